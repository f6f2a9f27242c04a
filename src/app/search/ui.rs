//! What the search panel shows.

use super::super::App;
use super::results::words;
use crate::model::PartId;
use crate::search::questions::QUESTIONS;
use crate::search::scene::{Aim, MOST_WEIGHT, few};
use eframe::egui::{self, ScrollArea, Ui};
use std::collections::{BTreeMap, BTreeSet};

impl App {
    /// Draws the panel.
    pub(in crate::app) fn search_ui(&mut self, ui: &mut Ui) {
        ui.horizontal(|ui| {
            if self.search.is_busy() {
                let stop = ui.button("Cancel search");
                let stop = stop.on_hover_text("Ends the search; what was found stays.");
                ui.spinner();
                if stop.clicked() {
                    self.search.give_up();
                }
            } else {
                let tip = "Looks for arrangements without a stop finding, best first, until the best is proved.";
                if ui.button("Start search").on_hover_text(tip).clicked() {
                    self.start_search();
                }
            }
            ui.add(egui::Label::new(self.search.progress()).truncate());
        });
        ui.separator();
        ui.columns(3, |columns| {
            let list = |ui: &mut Ui, salt: &str, add: &mut dyn FnMut(&mut Ui)| {
                ScrollArea::vertical()
                    .id_salt(salt)
                    .auto_shrink([false, false])
                    .show(ui, |ui| add(ui));
            };
            list(&mut columns[0], "may-move", &mut |ui| self.may_move_ui(ui));
            list(&mut columns[1], "wishes", &mut |ui| self.wishes_ui(ui));
            list(&mut columns[2], "results", &mut |ui| self.results_ui(ui));
        });
    }

    /// Of very many parts only those few may move that most need it, until the user says more.
    fn suggest(&mut self) {
        let scene = self.editor.scene();
        let known = self.search.suggested.as_ref().map(|s| &s.0);
        if known.is_some_and(|k| k.iter().eq(scene.parts.keys())) {
            return;
        }
        let all: BTreeSet<PartId> = scene.parts.keys().cloned().collect();
        let kept = known.is_some_and(|k| !k.is_disjoint(&all));
        if let (Some(few), false) = (few(scene, self.editor.checker()), kept) {
            self.search.staying = all.difference(&few.parts).cloned().collect();
            self.search.few = few.words;
            self.search.suggested = Some((all, few.parts));
            return;
        }
        if !kept {
            self.search.few.clear();
        }
        let before = self.search.suggested.take().map(|s| s.1);
        self.search.suggested = Some((all, before.unwrap_or_default()));
    }

    fn may_move_ui(&mut self, ui: &mut Ui) {
        self.suggest();
        let scene = self.editor.scene();
        let locked = |id: &PartId| scene.placed(id).is_some_and(|(_, p)| p.locked);
        let mut names: BTreeMap<&str, usize> = BTreeMap::new();
        for part in scene.parts.values() {
            *names.entry(&part.name).or_default() += 1;
        }
        let label = |id: &PartId, name: &str| match names.get(name).is_some_and(|n| *n > 1) {
            true => format!("{name} ({id})"),
            false => name.to_owned(),
        };
        let mut parts: Vec<(PartId, String, bool)> = scene
            .parts
            .iter()
            .map(|(id, p)| (id.clone(), label(id, &p.name), locked(id)))
            .collect();
        if !self.search.few.is_empty() {
            // The few that may move are not to be looked for among hundreds.
            let chosen = self.search.suggested.as_ref().map(|s| &s.1);
            parts.sort_by_key(|p| chosen.is_some_and(|c| !c.contains(&p.0)));
        }
        ui.horizontal(|ui| {
            ui.strong("May move");
            if ui
                .small_button("All")
                .on_hover_text("Every part that is not locked may move.")
                .clicked()
            {
                self.search.staying.clear();
                self.search.few.clear();
            }
            if ui
                .small_button("None")
                .on_hover_text("Every part stays; then choose the few that may move.")
                .clicked()
            {
                self.search.staying = parts.iter().map(|p| p.0.clone()).collect();
                self.search.few.clear();
            }
            let chosen: BTreeSet<PartId> =
                self.editor.selection().parts().iter().cloned().collect();
            let only = ui.add_enabled(!chosen.is_empty(), egui::Button::new("Selected").small());
            if only
                .on_hover_text("Only the parts selected on the sheet may move.")
                .clicked()
            {
                let all = parts.iter().map(|p| p.0.clone());
                self.search.staying = all.filter(|id| !chosen.contains(id)).collect();
                self.search.few.clear();
            }
        });
        if !self.search.few.is_empty() {
            words(
                ui,
                egui::RichText::new(format!("{}.", self.search.few)).weak(),
            );
        }
        for (id, name, locked) in parts {
            let mut may = !locked && !self.search.staying.contains(&id);
            let tip = match locked {
                true => "It is locked: unlock it to let it move.".to_owned(),
                false => format!("'{id}' may take any place that its holes fit."),
            };
            ui.horizontal(|ui| {
                let check = ui.add_enabled(!locked, egui::Checkbox::new(&mut may, name));
                let changed = check
                    .on_hover_text(tip.clone())
                    .on_disabled_hover_text(tip)
                    .changed();
                if may {
                    self.limits_ui(ui, &id);
                }
                match (changed, may) {
                    (true, true) => _ = self.search.staying.remove(&id),
                    (true, false) => _ = self.search.staying.insert(id),
                    (false, _) => {}
                }
            });
        }
    }

    fn wishes_ui(&mut self, ui: &mut Ui) {
        let panel = &mut self.search;
        ui.strong("Must hold");
        ui.label("No stop finding")
            .on_hover_text("Accepted findings do not count.");
        ui.checkbox(&mut panel.keep_air, "Fans blow the way they do now")
            .on_hover_text("Off: a fan may also be turned round.");
        ui.horizontal(|ui| {
            let label = ui.label("Gaps of at least");
            ui.add(
                egui::DragValue::new(&mut panel.gap_mm)
                    .range(0.0..=50.0)
                    .speed(0.1)
                    .max_decimals(1)
                    .suffix(" mm"),
            )
            .labelled_by(label.id)
            .on_hover_text("Between parts that do not hold each other; 0 asks for nothing.");
        });
        ui.add_space(4.0);
        ui.strong("What counts");
        for aim in Aim::ALL {
            ui.horizontal(|ui| {
                let mut weight = panel.weights.of(aim);
                let drag = egui::DragValue::new(&mut weight)
                    .range(0..=MOST_WEIGHT)
                    .speed(0.1);
                let field = ui.add(drag);
                let label = ui.label(aim.words()).on_hover_text(aim.about());
                if field
                    .labelled_by(label.id)
                    .on_hover_text(aim.about())
                    .changed()
                {
                    panel.weights.set(aim, weight);
                }
            });
        }
        ui.horizontal(|ui| {
            let field = ui.add(
                egui::DragValue::new(&mut panel.top)
                    .range(1..=20)
                    .speed(0.05),
            );
            let label = ui.label("results");
            field
                .labelled_by(label.id)
                .on_hover_text("Each differs from the others in two parts, where it can.");
        });
    }

    /// The menu of questions.
    pub(in crate::app) fn ask_menu(&mut self, ui: &mut Ui) {
        for question in QUESTIONS {
            let response = ui.add_enabled(
                !self.search.is_busy(),
                egui::Button::new(format!("{}?", question.words)),
            );
            let busy = "A search is under way: wait for it, or cancel it in the panel Search.";
            let response = response.on_disabled_hover_text(busy);
            if response.on_hover_text(question.about).clicked() {
                self.start_question(question);
                ui.close();
            }
        }
    }
}
