//! The panel at the right: what is selected, its figures, its ports or its way.

mod cable;
mod measured;
mod part;
mod pins;
mod scene;
mod swap;

pub(super) use cable::bar;

use super::{Action, App};
use crate::geom::Length;
use eframe::egui::{self, DragValue, Response, Ui};
use std::time::Duration;

/// For so long a field says what it takes, after more was typed.
const LIMIT_SAID_S: f64 = 4.0;

impl App {
    /// Draws the details of the selection.
    pub(super) fn details_ui(&mut self, ui: &mut Ui) {
        ui.horizontal(|ui| {
            ui.heading("Details");
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                self.fold_button(ui, Action::Details);
            });
        });
        ui.add_space(4.0);
        // What is selected anew is read from its top.
        let shown = (
            self.editor.selection().cable().cloned(),
            self.editor.selection().only().cloned(),
        );
        egui::ScrollArea::vertical()
            .id_salt(("details", shown))
            .auto_shrink([false, false])
            .show(ui, |ui| {
                let selection = self.editor.selection();
                if let Some(id) = selection.cable().cloned() {
                    self.cable_details(ui, &id);
                } else if let Some(id) = selection.only().cloned() {
                    self.part_details(ui, &id);
                } else if selection.parts().is_empty() {
                    self.scene_details(ui);
                } else {
                    self.many_details(ui);
                }
            });
    }

    fn many_details(&mut self, ui: &mut Ui) {
        let parts = self.editor.selection().parts().clone();
        ui.label(format!("{} parts selected.", parts.len()));
        ui.add_space(4.0);
        for id in &parts {
            let name = self.editor.scene().parts.get(id).map(|p| p.name.clone());
            let response = ui.selectable_label(false, name.unwrap_or_default());
            if response.on_hover_text("Selects this part alone.").clicked() {
                self.editor.select([id.clone()]);
            }
        }
        ui.add_space(8.0);
        ui.horizontal_wrapped(|ui| {
            for action in [
                Action::Duplicate,
                Action::Lock,
                Action::Hide,
                Action::Delete,
            ] {
                self.button(ui, action);
            }
        });
    }

    /// A button for an action, greyed where it cannot be carried out.
    pub(super) fn button(&mut self, ui: &mut Ui, action: Action) {
        let response = ui.add_enabled(action.enabled(self), egui::Button::new(action.text()));
        if response
            .on_hover_text(super::menu::tip(ui.ctx(), action))
            .clicked()
        {
            action.run(self);
        }
    }
}

/// A field for a length in millimetres. Returns the new value once the user has
/// finished it: at the end of a drag, at Enter, at leaving the field.
pub(in crate::app) fn length_field(
    ui: &mut Ui,
    label: &str,
    value: Length,
    range: (f64, f64),
    tip: &str,
) -> Option<Length> {
    let id = ui.make_persistent_id(("length", label));
    let held: Option<f64> = ui.data(|d| d.get_temp(id));
    let mut mm = held.unwrap_or(value.as_mm());
    let typed = std::cell::Cell::new(None);
    let name = ui.label(label);
    let response = ui
        .add(
            DragValue::new(&mut mm)
                .speed(0.5)
                .range(range.0..=range.1)
                .max_decimals(3)
                .min_decimals(1)
                .update_while_editing(false)
                // A value from a file may lie outside; looking at it changes nothing.
                .clamp_existing_to_range(false)
                .custom_parser(|text| {
                    typed.set(parsed(text));
                    typed.get()
                })
                .suffix(" mm"),
        )
        .labelled_by(name.id)
        .on_hover_text(tip);
    say_limit(ui, &response, typed.get(), range);
    if response.changed() && (response.dragged() || response.has_focus()) && !response.lost_focus()
    {
        ui.data_mut(|d| d.insert_temp(id, mm));
        if response.dragged() {
            return None;
        }
    }
    let finished = response.drag_stopped() || response.lost_focus() || response.changed();
    if !finished {
        return None;
    }
    ui.data_mut(|d| d.remove_temp::<f64>(id));
    Length::from_mm(mm).filter(|l| *l != value)
}

/// Says for a few seconds that what was typed lies beyond what the field takes.
fn say_limit(ui: &Ui, response: &Response, typed: Option<f64>, range: (f64, f64)) {
    let id = response.id.with("limit");
    let now = ui.input(|i| i.time);
    if let Some(mm) = typed {
        let until = now + LIMIT_SAID_S;
        let until = if (range.0..=range.1).contains(&mm) {
            now
        } else {
            until
        };
        ui.data_mut(|d| d.insert_temp(id, until));
    }
    let until: Option<f64> = ui.data(|d| d.get_temp(id));
    if until.is_some_and(|until| now < until) {
        let (least, most) = range;
        response.show_tooltip_text(format!(
            "It takes {least:.0} to {most:.0} mm; the nearest was taken."
        ));
        ui.ctx().request_repaint_after(Duration::from_millis(500));
    }
}

/// A length as people type it: comma or point, with or without its unit. What is
/// no length leaves the field as it was.
fn parsed(text: &str) -> Option<f64> {
    let text = text.trim().to_lowercase().replace(',', ".");
    let (figure, unit) = match text.find(|c: char| c.is_alphabetic() || c == '"') {
        Some(at) => text.split_at(at),
        None => (text.as_str(), "mm"),
    };
    let times = match unit.trim() {
        "mm" => 1.0,
        "cm" => 10.0,
        "m" => 1000.0,
        "in" | "\"" => 25.4,
        _ => return None,
    };
    let value: f64 = figure.trim().replace(' ', "").parse().ok()?;
    value.is_finite().then_some(value * times)
}

/// A line 'name: value' in a two-column grid. A long value wraps: left alone it
/// would widen the panel.
pub(super) fn row(ui: &mut Ui, name: &str, value: impl Into<egui::WidgetText>) {
    ui.weak(name);
    ui.add(egui::Label::new(value).wrap());
    ui.end_row();
}

#[cfg(test)]
mod tests {
    use super::parsed;

    #[test]
    fn lengths_are_read_as_people_type_them() {
        for (text, mm) in [
            ("12.5", 12.5),
            ("12,5", 12.5),
            (" 60 mm", 60.0),
            ("60mm", 60.0),
            ("1,2cm", 12.0),
            ("-3", -3.0),
            ("2 in", 50.8),
        ] {
            assert_eq!(parsed(text), Some(mm), "{text}");
        }
        for text in ["", "abc", "inf", "nan", "1e999", "12 parsec", "1.2.3"] {
            assert_eq!(parsed(text), None, "{text}");
        }
    }
}
