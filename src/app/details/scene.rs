//! Details of the scene while nothing is selected: title, enclosure, parts.

use super::{App, row};
use crate::edit::Edit;
use eframe::egui::{self, Grid, Ui};

impl App {
    pub(super) fn scene_details(&mut self, ui: &mut Ui) {
        let scene = self.editor.scene();
        let (mut title, mut notes) = (scene.title.clone(), scene.notes.clone());
        let enclosure = scene.enclosure.clone();
        let label = ui.weak("Title");
        let field = ui
            .add(egui::TextEdit::singleline(&mut title).desired_width(f32::INFINITY))
            .labelled_by(label.id)
            .on_hover_text("Stands on pictures and sheets.");
        if field.changed() {
            _ = self.editor.apply("title", &[Edit::SetTitle(title)]);
        }
        let label = ui.weak("Notes");
        let field = ui
            .add(
                egui::TextEdit::multiline(&mut notes)
                    .desired_rows(3)
                    .desired_width(f32::INFINITY),
            )
            .labelled_by(label.id)
            .on_hover_text("For yourself and the bench; saved with the scene.");
        if field.changed() {
            _ = self.editor.apply("notes", &[Edit::SetNotes(notes)]);
        }
        ui.add_space(8.0);
        ui.strong("Enclosure");
        ui.label(&enclosure.name);
        Grid::new("enclosure-facts")
            .num_columns(2)
            .spacing([8.0, 4.0])
            .show(ui, |ui| {
                let s = enclosure.size;
                row(ui, "Outer size", format!("{} x {} x {} mm", s.x, s.y, s.z));
                let litres = enclosure.outline().volume_mm3() / 1e6;
                row(ui, "Volume", format!("{litres:.1} litres"));
                row(ui, "Zones", enclosure.zones.len().to_string());
                row(ui, "Passages", enclosure.passages.len().to_string());
                row(ui, "Tie points", enclosure.ties.len().to_string());
                let plain = (enclosure.plates.iter())
                    .filter(|p| p.panel.as_ref().is_some_and(|p| p.hinge.is_none()));
                let off: Vec<&str> = plain.map(|p| p.name.as_str()).collect();
                if !off.is_empty() {
                    row(ui, "Comes off", off.join(", "));
                }
                for (i, plate) in enclosure.plates.iter().enumerate() {
                    let Some(hinge) = plate.panel.as_ref().and_then(|p| p.hinge) else {
                        continue;
                    };
                    let text = format!("{}, hinge to the {}", plate.name, hinge.words());
                    row(ui, "Swings open", text);
                    ui.label("");
                    let mut shown = self.sheet.panel == Some(i);
                    let tip = "Where it swings, and what on it swings along.";
                    let check = ui.checkbox(&mut shown, "show its way");
                    if check.on_hover_text(tip).changed() {
                        self.sheet.panel = shown.then_some(i);
                    }
                    ui.end_row();
                }
            });
        self.measured_of_enclosure(ui);
        ui.add_space(8.0);
        let parts: Vec<_> = self
            .editor
            .scene()
            .parts
            .iter()
            .map(|(id, p)| (id.clone(), p.name.clone()))
            .collect();
        ui.strong(format!("Parts ({})", parts.len()));
        if parts.is_empty() {
            ui.label("The enclosure is empty. Drag a part from the shelf onto a view.");
        }
        for (id, name) in parts.iter().take(400) {
            let place = self.editor.scene().arrangement().places.get(id);
            let state = match place {
                None => " (beside the enclosure)",
                Some(p) if p.hidden => " (hidden)",
                Some(p) if p.locked => " (locked)",
                Some(_) => "",
            };
            let r = ui.selectable_label(false, format!("{name}{state}"));
            if r.on_hover_text("Selects this part.").clicked() {
                self.editor.select([id.clone()]);
            }
        }
        if parts.len() > 400 {
            ui.weak(format!("and {} more", parts.len() - 400));
        }
    }
}
