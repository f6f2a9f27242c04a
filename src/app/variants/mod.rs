//! Arrangements side by side in the window: cards with pictures, what differs from the
//! base, the table. Checking and measuring all of them happens beside the window.

mod cards;
mod looked;
mod table;

pub(super) use looked::Variants;

use super::{App, Dialog};
use crate::compare::{Difference, Subject, differences};
use eframe::egui::{self, Ui};

impl App {
    /// Adds a copy of the arrangement at hand and goes on with it.
    pub(super) fn branch(&mut self) {
        if self.editor.branch().is_some() {
            let name = self.editor.scene().arrangement().name.clone();
            self.say(format!("Branched: you work on '{name}' now."));
        }
    }

    /// Goes to the next arrangement or the one before.
    pub(super) fn step_arrangement(&mut self, by: isize) {
        if self.editor.step_arrangement(by) {
            self.at_hand();
        }
    }

    pub(super) fn choose_arrangement(&mut self, index: usize) {
        if self.editor.choose(index) {
            self.at_hand();
        }
    }

    fn at_hand(&mut self) {
        let name = self.editor.scene().arrangement().name.clone();
        self.focus = None;
        self.say(format!("Arrangement '{name}'."));
    }

    pub(super) fn ask_arrangement_name(&mut self, index: usize) {
        if let Some(a) = self.editor.scene().arrangements.get(index) {
            self.dialog = Some(Dialog::Rename(index, a.name.clone()));
        }
    }

    /// Takes an arrangement out; where there is only one, says why not.
    pub(super) fn remove_arrangement(&mut self, index: usize) {
        let name = self
            .editor
            .scene()
            .arrangements
            .get(index)
            .map(|a| a.name.clone());
        match (self.editor.remove_arrangement(index), name) {
            (true, Some(name)) => self.say(format!("Removed '{name}'. Undo brings it back.")),
            _ => self.say("The last arrangement stays.".to_owned()),
        }
    }

    /// The arrangement that others are measured against, where there is one besides the
    /// one at hand.
    pub(super) fn base(&self) -> Option<usize> {
        let base = self.variants.base.as_ref()?;
        let all = &self.editor.scene().arrangements;
        all.iter().position(|a| a.name == *base)
    }

    /// Chooses the base by its index; `None` for no base.
    pub(super) fn measure_against(&mut self, index: Option<usize>) {
        let all = &self.editor.scene().arrangements;
        self.variants.base = index.and_then(|i| all.get(i)).map(|a| a.name.clone());
    }

    /// Differences to the base, with its index; empty without one.
    pub(super) fn differences(&self) -> (usize, Vec<Difference>) {
        let scene = self.editor.scene();
        match self.base() {
            Some(base) => (base, differences(scene, base, scene.current)),
            None => (scene.current, Vec::new()),
        }
    }

    /// The menu with everything about arrangements that is no action.
    pub(super) fn arrangements_menu(&mut self, ui: &mut Ui) {
        let scene = self.editor.scene();
        let current = scene.current;
        let names: Vec<String> = scene.arrangements.iter().map(|a| a.name.clone()).collect();
        for (i, name) in names.iter().enumerate() {
            let button = egui::Button::selectable(i == current, name);
            let response = ui.add(button).on_hover_text("Shows this arrangement.");
            if response.clicked() {
                self.choose_arrangement(i);
                ui.close();
            }
        }
    }

    /// The list of differences at the right of the cards.
    fn difference_rows(&mut self, ui: &mut Ui) {
        let names: Vec<String> = {
            let all = &self.editor.scene().arrangements;
            all.iter().map(|a| a.name.clone()).collect()
        };
        let base = self.base();
        let current = self.editor.scene().current;
        ui.horizontal(|ui| {
            let label = ui.label("Against");
            let shown = base.map_or("nothing", |b| &names[b]);
            egui::ComboBox::from_id_salt("base")
                .selected_text(shown)
                .width(110.0)
                .show_ui(ui, |ui| {
                    let mut choice = base;
                    ui.selectable_value(&mut choice, None, "nothing");
                    for (i, name) in names.iter().enumerate() {
                        ui.selectable_value(&mut choice, Some(i), name);
                    }
                    if choice != base {
                        self.measure_against(choice);
                    }
                })
                .response
                .labelled_by(label.id)
                .on_hover_text("The base: what differs from it is listed here and marked.");
            ui.checkbox(&mut self.variants.marked, "mark on sheet")
                .on_hover_text(
                    "Draws where things stand in the base as ghosts, with arrows to where they stand here.",
                );
        });
        let (base, all) = match base {
            None => {
                ui.weak("Choose a base to see what differs from it.");
                return;
            }
            Some(base) if base == current => {
                ui.weak("The base itself is at hand. Choose another arrangement.");
                return;
            }
            Some(_) => self.differences(),
        };
        if all.is_empty() {
            ui.label("Nothing differs from the base.");
        }
        egui::ScrollArea::vertical()
            .id_salt("differences")
            .auto_shrink([false, false])
            .show(ui, |ui| {
                for difference in all.iter().take(300) {
                    self.difference_row(ui, base, difference);
                }
                if all.len() > 300 {
                    ui.weak(format!("and {} more", all.len() - 300));
                }
            });
    }

    fn difference_row(&mut self, ui: &mut Ui, base: usize, difference: &Difference) {
        ui.horizontal(|ui| {
            let take = ui.small_button("Take").on_hover_text(
                "Gives this one part its place, or this cable its way, from the base.",
            );
            take.widget_info(|| {
                let words = format!("Take {} from the base", difference.name);
                egui::WidgetInfo::labeled(egui::Role::Button, true, words)
            });
            let words = difference.to_string();
            let row = ui
                .add(egui::Button::selectable(false, &words).wrap())
                .on_hover_text("Selects it.");
            match &difference.subject {
                Subject::Part(id) => {
                    if take.clicked() && !self.editor.take_place(id, base) {
                        self.say("That place could not be taken over.".to_owned());
                    }
                    if row.clicked() {
                        self.editor.select([id.clone()]);
                    }
                }
                Subject::Cable(id) => {
                    if take.clicked() && !self.editor.take_cable(id, base) {
                        self.say("A port of that cable is taken or gone here.".to_owned());
                    }
                    let here = self.editor.scene().arrangement().cables.contains_key(id);
                    if row.clicked() && here {
                        self.editor.select_cable(Some(id.clone()));
                    }
                }
            }
        });
    }
}
