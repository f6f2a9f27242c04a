//! The search panel: what may move, what must hold, what counts; results as they come.
//!
//! The search runs on a thread of its own over a copy of the scene; the window never waits.

use super::App;
use crate::geom::Length;
use crate::model::{Catalogue, PartId, Scene, Settings};
use crate::search::questions::{Asker, QUESTIONS, Question, Reply};
use crate::search::scene::{Aim, Answer, Found, MOST_WEIGHT, News, Run, Weights, Wish, seek};
use eframe::egui::{self, ScrollArea, Ui};
use std::collections::BTreeSet;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
use std::time::{Duration, Instant};

/// Ends a search that nobody cancels.
const LIMIT: Duration = Duration::from_secs(600);

/// What the thread says.
enum Message {
    News(News),
    Answer(Box<Answer>),
    Reply(Box<Reply>),
}

/// A search under way.
struct Hunt {
    messages: Receiver<Message>,
    cancel: Arc<AtomicBool>,
    since: Instant,
    asked: Option<&'static Question>,
}

impl Drop for Hunt {
    /// A search that nobody waits for any more ends.
    fn drop(&mut self) {
        self.cancel.store(true, Ordering::Relaxed);
    }
}

/// The panel's state.
pub(super) struct SearchPanel {
    /// Parts that stay although they are not locked.
    staying: BTreeSet<PartId>,
    weights: Weights,
    gap_mm: f64,
    keep_air: bool,
    top: usize,
    hunt: Option<Hunt>,
    results: Vec<Found>,
    bound: Option<(f64, Option<f64>)>,
    places: Option<(usize, usize)>,
    ended: String,
    notes: Vec<String>,
    reply: Option<(&'static Question, Reply)>,
}

impl Default for SearchPanel {
    fn default() -> SearchPanel {
        SearchPanel {
            staying: BTreeSet::new(),
            weights: Weights::default(),
            gap_mm: 0.0,
            keep_air: true,
            top: 5,
            hunt: None,
            results: Vec::new(),
            bound: None,
            places: None,
            ended: String::new(),
            notes: Vec::new(),
            reply: None,
        }
    }
}

impl SearchPanel {
    fn wish(&self, scene: &Scene) -> Wish {
        let mut wish = Wish::of(scene);
        wish.movable.retain(|id| !self.staying.contains(id));
        wish.weights = self.weights.clone();
        wish.keep_air = self.keep_air;
        wish.top = self.top;
        wish.gap = Length::from_mm(self.gap_mm).filter(|g| *g > Length::ZERO);
        wish
    }

    /// True while a search is under way.
    pub(super) fn is_busy(&self) -> bool {
        self.hunt.is_some()
    }

    fn forget(&mut self) {
        self.hunt = None;
        self.results.clear();
        self.notes.clear();
        self.ended.clear();
        (self.bound, self.places, self.reply) = (None, None, None);
    }

    fn hear(&mut self, message: Message) {
        match message {
            Message::News(News::Looked { parts, places }) => self.places = Some((parts, places)),
            Message::News(News::Bound { least, best }) => self.bound = Some((least, best)),
            Message::News(News::Found(rank, found)) => {
                self.results.truncate(rank);
                self.results.push(*found);
            }
            Message::Answer(answer) => {
                self.ended = answer.words();
                self.results = answer.found;
                self.notes = answer.notes;
                self.hunt = None;
            }
            Message::Reply(reply) => {
                self.results.clear();
                self.ended.clear();
                let asked = self.hunt.take().and_then(|h| h.asked);
                self.reply = asked.map(|q| (q, *reply));
            }
        }
    }

    /// How far it is, in words.
    fn progress(&self) -> String {
        let Some(hunt) = &self.hunt else {
            return self.ended.clone();
        };
        let seconds = hunt.since.elapsed().as_secs();
        let what = match (hunt.asked, self.places) {
            (Some(q), _) => q.words.to_owned(),
            (None, None) => "Looking at places".to_owned(),
            (None, Some((parts, places))) => format!("{parts} parts, {places} places"),
        };
        let bound = match (self.results.first(), self.bound) {
            _ if hunt.asked.is_some() => String::new(),
            (Some(best), _) if best.proved => ", the best is proved".to_owned(),
            (Some(best), Some((least, _))) if best.points > 0.0 => {
                let share = ((best.points - least) / best.points * 100.0).max(0.0);
                format!(", best within {:.0} %", share.ceil())
            }
            (Some(_), _) => ", one found".to_owned(),
            (None, _) => String::new(),
        };
        format!("{what}{bound}, {seconds} s")
    }
}

/// Starts the thread.
fn hunt(
    ctx: &egui::Context,
    asked: Option<&'static Question>,
    work: impl FnOnce(&AtomicBool, &Sender<Message>) -> Message + Send + 'static,
) -> Hunt {
    let (send, messages) = channel();
    let cancel = Arc::new(AtomicBool::new(false));
    let (flag, ctx) = (cancel.clone(), ctx.clone());
    std::thread::spawn(move || {
        // A window that has closed takes no answer.
        let last = work(&flag, &send);
        _ = send.send(last);
        ctx.request_repaint();
    });
    Hunt {
        messages,
        cancel,
        since: Instant::now(),
        asked,
    }
}

fn threads() -> usize {
    std::thread::available_parallelism().map_or(1, std::num::NonZero::get)
}

fn run<'a>(cancel: &'a AtomicBool, told: &'a (dyn Fn(News) + Sync)) -> Run<'a> {
    Run {
        threads: threads(),
        time_limit: Some(LIMIT),
        cancel: Some(cancel),
        told: Some(told),
    }
}

type World = (Scene, Arc<Settings>, Arc<Catalogue>);

impl App {
    fn world(&self) -> World {
        let editor = &self.editor;
        (
            editor.scene().clone(),
            editor.settings().clone(),
            editor.catalogue().clone(),
        )
    }

    /// Starts a search with the panel's wishes.
    pub(super) fn start_search(&mut self) {
        let Some(ctx) = self.ctx.clone() else { return };
        self.search.forget();
        let (scene, settings, catalogue) = self.world();
        let wish = self.search.wish(&scene);
        let repaint = ctx.clone();
        self.search.hunt = Some(hunt(&ctx, None, move |cancel, send| {
            let send = std::sync::Mutex::new(send.clone());
            let told = |news| {
                if let Ok(send) = send.lock() {
                    _ = send.send(Message::News(news));
                }
                repaint.request_repaint();
            };
            let run = run(cancel, &told);
            Message::Answer(Box::new(seek(&scene, &wish, &settings, &catalogue, &run)))
        }));
    }

    /// Starts the search that answers a question, and shows the panel.
    pub(super) fn start_question(&mut self, question: &'static Question) {
        let Some(ctx) = self.ctx.clone() else { return };
        self.look.findings = true;
        self.look.tab = super::Tab::Search;
        self.search.forget();
        let (scene, settings, catalogue) = self.world();
        self.search.hunt = Some(hunt(&ctx, Some(question), move |cancel, _| {
            let asker = Asker {
                scene: &scene,
                settings: &settings,
                catalogue: &catalogue,
                run: run(cancel, &|_| {}),
            };
            Message::Reply(Box::new(question.ask(&asker)))
        }));
    }

    /// Takes what the search has said since the last frame.
    pub(super) fn poll_search(&mut self) {
        while let Some(hunt) = &self.search.hunt {
            match hunt.messages.try_recv() {
                Ok(message) => self.search.hear(message),
                Err(TryRecvError::Empty) => break,
                Err(TryRecvError::Disconnected) => {
                    self.search.hunt = None;
                    self.search.ended =
                        "The search ended without an answer; nothing was changed.".to_owned();
                }
            }
        }
        if let (Some(ctx), true) = (&self.ctx, self.search.is_busy()) {
            // The seconds go on while there is no news.
            ctx.request_repaint_after(Duration::from_millis(500));
        }
    }

    /// Draws the panel.
    pub(super) fn search_ui(&mut self, ui: &mut Ui) {
        ui.horizontal(|ui| {
            if self.search.is_busy() {
                let stop = ui.button("Cancel search");
                if stop.on_hover_text("Ends the search; what was found stays.").clicked()
                    && let Some(hunt) = &self.search.hunt
                {
                    hunt.cancel.store(true, Ordering::Relaxed);
                }
                ui.spinner();
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

    fn may_move_ui(&mut self, ui: &mut Ui) {
        let scene = self.editor.scene();
        let locked = |id: &PartId| scene.placed(id).is_some_and(|(_, p)| p.locked);
        let parts: Vec<(PartId, String, bool)> = scene
            .parts
            .iter()
            .map(|(id, p)| (id.clone(), p.name.clone(), locked(id)))
            .collect();
        ui.horizontal(|ui| {
            ui.strong("May move");
            if ui
                .small_button("All")
                .on_hover_text("Every part that is not locked may move.")
                .clicked()
            {
                self.search.staying.clear();
            }
            if ui
                .small_button("None")
                .on_hover_text("Every part stays; then choose the few that may move.")
                .clicked()
            {
                self.search.staying = parts.iter().map(|p| p.0.clone()).collect();
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
            }
        });
        for (id, name, locked) in parts {
            let mut may = !locked && !self.search.staying.contains(&id);
            let tip = match locked {
                true => "It is locked: unlock it to let it move.".to_owned(),
                false => format!("'{id}' may take any place that its holes fit."),
            };
            let check = ui.add_enabled(!locked, egui::Checkbox::new(&mut may, name));
            if check
                .on_hover_text(tip.clone())
                .on_disabled_hover_text(tip)
                .changed()
            {
                match may {
                    true => _ = self.search.staying.remove(&id),
                    false => _ = self.search.staying.insert(id),
                }
            }
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

    fn results_ui(&mut self, ui: &mut Ui) {
        if let Some((question, reply)) = self.search.reply.clone() {
            self.reply_ui(ui, question, &reply);
            return;
        }
        ui.strong("Found");
        for note in &self.search.notes {
            ui.label(format!("{note}."));
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
        let done = !self.search.is_busy();
        let results = self.search.results.clone();
        for found in &results {
            let name = &found.arrangement.name;
            ui.horizontal(|ui| {
                ui.strong(name);
                ui.label(format!("{:.1} points", found.points));
                if found.proved {
                    ui.label("proved").on_hover_text(
                        "No arrangement that differs enough from those above has fewer points.",
                    );
                }
            });
            ui.label(figures(found));
            ui.horizontal(|ui| {
                let new = ui.add_enabled(done, egui::Button::new(format!("Add {name}")).small());
                if new
                    .on_hover_text(
                        "Adds it as a further arrangement and shows it; one step back undoes it.",
                    )
                    .clicked()
                {
                    let edits = found.as_new(self.editor.scene());
                    self.take_over(&format!("add {name}"), &edits);
                }
                let here =
                    ui.add_enabled(done, egui::Button::new(format!("Put {name} here")).small());
                if here
                    .on_hover_text(
                        "Moves the parts of the arrangement at hand; one step back undoes it.",
                    )
                    .clicked()
                {
                    let edits = found.in_place(self.editor.scene());
                    self.take_over(&format!("put {name} here"), &edits);
                }
            });
            ui.add_space(4.0);
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
            ui.label(line);
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

    /// The menu of questions.
    pub(super) fn ask_menu(&mut self, ui: &mut Ui) {
        for question in QUESTIONS {
            let response = ui.add_enabled(
                !self.search.is_busy(),
                egui::Button::new(format!("{}?", question.words)),
            );
            if response.on_hover_text(question.about).clicked() {
                self.start_question(question);
                ui.close();
            }
        }
    }
}

fn figures(found: &Found) -> String {
    let f = &found.figures;
    let gap = match f.smallest_gap {
        Some(gap) => format!("{} mm", gap.text1()),
        None => "10 mm or more".to_owned(),
    };
    format!(
        "cables {:.0} mm, cautions {}, smallest gap {gap}, moved {}",
        f.cables.as_mm(),
        f.cautions,
        f.moved
    )
}
