//! Swapping a part for another of its kind, and taking its place from elsewhere.

use super::App;
use crate::editor::swap::Candidate;
use crate::model::{PartId, PartKind};
use eframe::egui::{self, Ui};
use std::sync::Arc;

impl App {
    /// The rows 'swap for' and 'place as in' of a part's details.
    pub(super) fn swap_details(&mut self, ui: &mut Ui, id: &PartId) {
        ui.add_space(8.0);
        let placed = self.editor.scene().placed(id);
        if placed.is_some_and(|(_, p)| p.locked) {
            return;
        }
        ui.horizontal(|ui| {
            let wide = ui.available_width();
            let list = egui::ComboBox::from_id_salt("swap")
                .selected_text("Swap for…")
                .width(wide - 8.0)
                .height(360.0)
                .show_ui(ui, |ui| self.swap_entries(ui, id));
            list.response.widget_info(|| {
                egui::WidgetInfo::labeled(egui::Role::ComboBox, true, "Swap for")
            });
            list.response.on_hover_text(
                "Puts another part of its kind in its place; holes, cables and accepted findings are kept where they can be.",
            );
        });
        if self.editor.scene().arrangements.len() > 1 {
            ui.checkbox(&mut self.variants.everywhere, "in all arrangements")
                .on_hover_text(
                    "Swaps it in every arrangement. Otherwise only here, so that the two can be compared.",
                );
            self.place_from(ui, id);
        }
        self.swap_report(ui, id);
    }

    /// The kinds to choose from, in a menu or a list.
    pub(in crate::app) fn swap_entries(&mut self, ui: &mut Ui, id: &PartId) {
        let mut chosen = None;
        let all = self.swap_candidates(id);
        if all.is_empty() {
            ui.label("There is no other part of its kind on the shelf.");
        }
        ui.set_min_width(260.0);
        let mut refused = false;
        for candidate in &all {
            if candidate.seat.is_err() && !refused {
                refused = true;
                ui.separator();
                ui.weak("Would not be held where it is:");
            }
            let tip = match &candidate.seat {
                Ok(Some(n)) => format!("Sits in the same zone, on {n} holes."),
                Ok(None) => "Nothing holds the part where it is.".to_owned(),
                Err(why) => why.clone(),
            };
            let button = egui::Button::selectable(false, &candidate.kind.name);
            if ui.add(button).on_hover_text(tip).clicked() {
                chosen = Some(candidate.kind.clone());
                ui.close();
            }
        }
        if let Some(kind) = chosen {
            self.swap(id, &kind);
        }
    }

    /// Worked out once for each part and state of the scene: every kind is tried.
    fn swap_candidates(&mut self, id: &PartId) -> Vec<Candidate> {
        let revision = self.editor.revision();
        match &self.variants.candidates {
            Some((at, of, all)) if *at == revision && of == id => all.clone(),
            _ => {
                let all = self.editor.swaps(id);
                self.variants.candidates = Some((revision, id.clone(), all.clone()));
                all
            }
        }
    }

    fn swap(&mut self, id: &PartId, kind: &Arc<PartKind>) {
        let everywhere = self.variants.everywhere && self.editor.scene().arrangements.len() > 1;
        match self.editor.swap(id, kind, everywhere) {
            Some(said) => {
                let rest = match said.lost.len() {
                    0 => "everything was kept".to_owned(),
                    1 => said.lost[0].clone(),
                    n => format!("{n} things could not be kept, see the details"),
                };
                self.say(format!("Swapped for {}: {rest}.", kind.name));
                self.variants.swapped = Some((id.clone(), said));
            }
            None => self.say("The part could not be swapped.".to_owned()),
        }
    }

    fn swap_report(&mut self, ui: &mut Ui, id: &PartId) {
        let Some((_, said)) = self.variants.swapped.clone().filter(|s| s.0 == *id) else {
            return;
        };
        let frame = egui::Frame::group(ui.style());
        frame.show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.horizontal(|ui| {
                ui.strong("At the last swap");
                ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                    let done = ui
                        .small_button("Done")
                        .on_hover_text("Puts this note away.");
                    if done.clicked() {
                        self.variants.swapped = None;
                    }
                });
            });
            for text in &said.lost {
                ui.label(format!("! not kept: {text}"));
            }
            for text in &said.kept {
                ui.weak(format!("kept: {text}"));
            }
            if said.kept.is_empty() && said.lost.is_empty() {
                ui.weak("There was nothing to keep.");
            }
        });
    }

    fn place_from(&mut self, ui: &mut Ui, id: &PartId) {
        let scene = self.editor.scene();
        let here = scene.current;
        let others: Vec<(usize, String, bool)> = scene
            .arrangements
            .iter()
            .enumerate()
            .filter(|(i, _)| *i != here)
            .map(|(i, a)| {
                let same = a.places.get(id) == scene.arrangement().places.get(id)
                    && scene.kind_in(i, id) == scene.kind_in(here, id);
                (i, a.name.clone(), same)
            })
            .collect();
        ui.menu_button("Place as in…", |ui| {
            for (i, name, same) in &others {
                let words = match same {
                    true => format!("{name} (the same)"),
                    false => name.clone(),
                };
                let button = ui.add_enabled(!same, egui::Button::new(words));
                if button
                    .on_hover_text("Gives this one part its place and kind from there.")
                    .clicked()
                {
                    self.editor.take_place(id, *i);
                    ui.close();
                }
            }
        })
        .response
        .on_hover_text("Takes this one part's place from another arrangement.");
    }
}
