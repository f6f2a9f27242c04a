//! What the search found: what it started from, results to take over, answers to questions.

use super::super::App;
use crate::model::Scene;
use crate::search::questions::{Question, Reply, changes};
use crate::search::scene::{Figures, Found};
use eframe::egui::{self, Ui};

/// What the gap of a result is.
const GAP: &str = "The movable gap is the smallest around a part that may move; parts that touch without a screw between them have none. The comparison's smallest gap looks at all parts, and not at those that touch.";

impl App {
    pub(super) fn results_ui(&mut self, ui: &mut Ui) {
        if let Some((question, reply)) = self.search.reply.clone() {
            self.reply_ui(ui, question, &reply);
            return;
        }
        ui.strong("Found");
        for note in &self.search.notes {
            words(ui, format!("{note}."));
        }
        if self.search.results.is_empty() {
            ui.label(match self.search.is_busy() {
                true => "Nothing yet.",
                false if self.search.ended.is_empty() => {
                    "Start a search, or ask a question from the menu Ask."
                }
                false => "Nothing.",
            });
            return;
        }
        self.started_from_ui(ui);
        let results = self.search.results.clone();
        for found in &results {
            self.result_ui(ui, found);
            ui.add_space(4.0);
        }
    }

    /// What the search started from; once the sheet shows another arrangement, it says so.
    fn started_from_ui(&self, ui: &mut Ui) {
        let (Some(at_hand), Some(start)) = (self.search.at_hand, &self.search.start) else {
            return;
        };
        let (name, tip) = match alike(start, self.editor.scene()) {
            true => (
                "at hand",
                "What the arrangement that the search started from comes to, counted the same way.",
            ),
            false => (
                "started from",
                "What the arrangement that the search started from comes to, counted the same way. The sheet shows another one now.",
            ),
        };
        ui.horizontal(|ui| {
            ui.strong(name).on_hover_text(tip);
            ui.label(at_hand.words());
        });
        words(ui, figures(&at_hand.figures)).on_hover_text(GAP);
        ui.add_space(4.0);
    }

    fn result_ui(&mut self, ui: &mut Ui, found: &Found) {
        let on_sheet = found.is_at_hand(self.editor.scene());
        let title = match (found.stands, on_sheet) {
            (true, false) => "as it stood",
            _ => found.title(),
        };
        ui.horizontal(|ui| {
            ui.strong(title);
            ui.label(format!("{:.1} points", found.points));
            if found.proved {
                ui.label("proved").on_hover_text(
                    "No arrangement that differs enough from those above has fewer points.",
                );
            }
            if on_sheet && !found.stands {
                ui.label("on the sheet")
                    .on_hover_text("The arrangement at hand is this one.");
            }
        });
        if found.stands {
            // Its figures stand above, there is nothing to add, and one step back puts it in
            // place again.
            return;
        }
        let scene = self.editor.scene();
        words(ui, figures(&found.figures)).on_hover_ui(|ui| {
            ui.label(GAP);
            ui.label("Cables are led on ways that are free where there are any.");
            let changes = changes(scene, found);
            if changes.is_empty() {
                ui.label("Everything stands like this already.");
            }
            for change in changes.iter().take(20) {
                ui.label(format!("{change}."));
            }
            if changes.len() > 20 {
                ui.weak(format!("and {} more", changes.len() - 20));
            }
        });
        ui.horizontal(|ui| self.take_buttons_ui(ui, found, on_sheet));
    }

    fn take_buttons_ui(&mut self, ui: &mut Ui, found: &Found, on_sheet: bool) {
        let name = &found.arrangement.name;
        let done = !self.search.is_busy();
        const BUSY: &str = "The search still looks for better ones: wait for its end, or cancel it and take what there is.";
        let add = egui::Button::new(format!("Add {name}")).small();
        let add = ui
            .add_enabled(done, add)
            .on_disabled_hover_text(BUSY)
            .on_hover_text(
                "Adds it as a further arrangement and shows it; one step back undoes it.",
            );
        if add.clicked() {
            let edits = found.as_new(self.editor.scene());
            self.take_over(&format!("add {name}"), &edits);
        }
        let put = egui::Button::new(format!("Put {name} here")).small();
        let put = ui
            .add_enabled(done && !on_sheet, put)
            .on_disabled_hover_text(match done {
                true => "Everything stands like this already.",
                false => BUSY,
            })
            .on_hover_text("Moves the parts of the arrangement at hand; one step back undoes it.");
        if put.clicked() {
            let edits = found.in_place(self.editor.scene());
            self.take_over(&format!("put {name} here"), &edits);
        }
    }

    fn reply_ui(&mut self, ui: &mut Ui, question: &Question, reply: &Reply) {
        ui.strong(format!("{}?", question.words));
        if !reply.edits.is_empty() {
            let take = ui.button("Carry it out");
            if take
                .on_hover_text(
                    "Changes the arrangement at hand like this; one step back undoes it.",
                )
                .clicked()
            {
                self.take_over(&question.words.to_lowercase(), &reply.edits);
            }
        }
        for line in &reply.lines {
            words(ui, line.as_str());
        }
    }

    fn take_over(&mut self, label: &str, edits: &[crate::edit::Edit]) {
        if edits.is_empty() {
            self.say("Everything stands like this already.".to_owned());
            return;
        }
        match self.editor.apply(label, edits) {
            Ok(()) => self.say(format!("Done: {label}.")),
            Err(e) => self.trouble(format!(
                "The scene has changed since the search began: {e}. Search again."
            )),
        }
    }
}

/// Whether the arrangements at hand are the same: places, kinds and cables.
fn alike(a: &Scene, b: &Scene) -> bool {
    let (x, y) = (a.arrangement(), b.arrangement());
    let kinds = |s: &Scene| {
        let parts = s.parts.iter();
        let kinds = parts.map(|(id, p)| (id.clone(), p.kind.id.clone()));
        kinds.collect::<Vec<_>>()
    };
    x.places == y.places && x.cables == y.cables && kinds(a) == kinds(b)
}

/// A paragraph; columns would spread its words to both edges.
pub(super) fn words(ui: &mut Ui, text: impl Into<egui::WidgetText>) -> egui::Response {
    let layout = egui::Layout::top_down(egui::Align::Min);
    let builder = egui::UiBuilder::new().layout(layout);
    ui.scope_builder(builder, |ui| ui.label(text)).inner
}

fn figures(f: &Figures) -> String {
    let gap = f.gap_words();
    format!(
        "cables {:.0} mm, cautions {}{}, movable gap {gap}, moved {}",
        f.cables.as_mm(),
        f.cautions,
        f.ways_words(),
        f.moved
    )
}
