//! Finding ways beside the window: on a thread, over a copy of the scene. What was found
//! for a scene that is not there any more is dropped.

use super::App;
use crate::editor::ways::{Job, Taken, Task};
use crate::geom::Length;
use crate::model::{Cable, CableId};
use crate::route::bundle;
use crate::route::ways::{self, Outcome};
use eframe::egui::{self, Ui};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};

struct Running {
    job: Arc<Job>,
    answer: Receiver<Vec<Outcome>>,
    cancel: Arc<AtomicBool>,
}

impl Drop for Running {
    /// What nobody waits for any more ends.
    fn drop(&mut self) {
        self.cancel.store(true, Ordering::Relaxed);
    }
}

/// The ways that are being found.
#[derive(Default)]
pub(super) struct Ways {
    running: Option<Running>,
    /// What is said of one cable's way, worked out once for a scene as it stands.
    figures: Option<(u64, CableId, String)>,
}

impl App {
    /// True while ways are found beside the window.
    pub fn finds_ways(&self) -> bool {
        self.ways.running.is_some()
    }

    /// The selected cable.
    pub(super) fn selected_cable(&self) -> Option<&Cable> {
        let id = self.editor.selection().cable()?;
        self.editor.scene().arrangement().cables.get(id)
    }

    /// Takes the ways that were found, and has those laid anew that something moved
    /// away from under.
    pub(super) fn keep_ways(&mut self) {
        if let Some(running) = &self.ways.running {
            match running.answer.try_recv() {
                Ok(found) => {
                    let job = running.job.clone();
                    self.ways.running = None;
                    let taken = self.editor.take_ways(&job, found);
                    if job.task == Task::Keep {
                        // What only keeps up belongs to the step before, and to its words.
                        self.told.0 = self.editor.history().state();
                    }
                    self.tell_ways(job.task, taken);
                }
                Err(TryRecvError::Empty) => {}
                Err(TryRecvError::Disconnected) => self.ways.running = None,
            }
        }
        if self.ways.running.is_none() && !self.editor.stale_ways().is_empty() {
            let ids: Vec<CableId> = self.editor.stale_ways().iter().cloned().collect();
            self.start_ways(Task::Keep, ids);
        }
    }

    fn start_ways(&mut self, task: Task, ids: Vec<CableId>) {
        let Some(ctx) = self.ctx.clone() else { return };
        let Some(job) = self.editor.way_job(task, ids) else {
            return;
        };
        let job = Arc::new(job);
        let (send, answer) = channel();
        let cancel = Arc::new(AtomicBool::new(false));
        let (flag, work) = (cancel.clone(), job.clone());
        std::thread::spawn(move || {
            let cancelled = || flag.load(Ordering::Relaxed);
            let found = work.run(&cancelled);
            // A window that has closed takes no answer.
            if !cancelled() && send.send(found).is_ok() {
                ctx.request_repaint();
            }
        });
        self.ways.running = Some(Running {
            job,
            answer,
            cancel,
        });
    }

    /// Finds a way for the selected cable.
    pub(super) fn find_way(&mut self, task: Task) {
        self.editor.cancel_gesture();
        if let Some(id) = self.editor.selection().cable().cloned() {
            self.start_ways(task, vec![id]);
        }
    }

    /// Finds ways for all cables.
    pub(super) fn find_all_ways(&mut self) {
        self.editor.cancel_gesture();
        let cables = &self.editor.scene().arrangement().cables;
        let ids = cables.keys().cloned().collect();
        self.start_ways(Task::Find, ids);
    }

    /// Takes the corners off the selected cable's way.
    pub(super) fn straighten_way(&mut self) {
        self.editor.cancel_gesture();
        if let Some(id) = self.editor.selection().cable().cloned() {
            self.editor.straighten(&id);
        }
    }

    fn tell_ways(&mut self, task: Task, taken: Option<Taken>) {
        let Some(taken) = taken else {
            if task != Task::Keep {
                self.say("The scene changed meanwhile; the way was not taken.".to_owned());
            }
            return;
        };
        // What only keeps up is said where it does not succeed.
        let not = match taken.not.as_slice() {
            [] => String::new(),
            [(name, why)] => format!("{name} was not laid: {why}."),
            [(name, why), ..] => format!(
                "{} cables were not laid, {name} among them: {why}.",
                taken.not.len()
            ),
        };
        let only = taken.only.first().map(|name| {
            format!("No other way of {name} was found; that is no proof that there is none.")
        });
        let text = match (task, taken.laid) {
            (Task::Keep, _) => not,
            (_, 0) => only.unwrap_or(not),
            (_, 1) => format!("Laid 1 cable: it needs {} mm. {not}", taken.needed.text1()),
            (_, n) => format!("Laid {n} cables. {not}"),
        };
        if !text.is_empty() {
            self.say(text.trim_end().to_owned());
        }
    }

    /// What a cable's way is, with what finds another one.
    pub(super) fn way_ui(&mut self, ui: &mut Ui, id: &CableId, cable: &Cable) {
        if self.editor.is_hose(id) {
            ui.weak("A hose takes its own shape; tie points hold it, ways are not laid.");
            return;
        }
        let mut finds = cable.finds;
        let tip = "The program laid its way, and lays it anew when things move. Places that it is \
                   led along stay.";
        if ui
            .checkbox(&mut finds, "finds its own way")
            .on_hover_text(tip)
            .clicked()
        {
            self.editor.set_finds(id, finds);
        }
        ui.horizontal_wrapped(|ui| {
            for action in [
                super::Action::FindWay,
                super::Action::NextWay,
                super::Action::StraightWay,
            ] {
                let button = egui::Button::new(action.text()).small();
                let response = ui.add_enabled(action.enabled(self), button);
                if response
                    .on_hover_text(super::menu::tip(ui.ctx(), action))
                    .clicked()
                {
                    action.run(self);
                }
            }
            if self.finds_ways() {
                ui.weak("Looking for a way …");
            }
        });
        let revision = self.editor.revision();
        let known = self.ways.figures.as_ref();
        if known.is_none_or(|(at, of, _)| *at != revision || of != id) {
            self.ways.figures = Some((revision, id.clone(), self.way_figures(id, cable)));
        }
        if let Some((_, _, words)) = &self.ways.figures {
            ui.weak(words);
        }
        self.hangs_ui(ui, id, cable);
        let checker = self.editor.checker();
        let Some(run) = checker.runs().get(id) else {
            return;
        };
        for board in ways::leads_under(checker.placed(), &run.stretches) {
            let name = checker.placed().part(&board).map(|p| p.name.clone());
            ui.label(format!(
                "Leads under {}: thread it before the board is screwed down.",
                name.unwrap_or_default()
            ));
        }
    }

    /// How long a piece may hang free, and back to what the settings say.
    fn hangs_ui(&mut self, ui: &mut Ui, id: &CableId, cable: &Cable) {
        let most = self.editor.settings().may_hang(cable).unwrap_or_default();
        let tip = "Where a longer piece of its way is held by nothing, 'Find its way' leads it along \
                   ties of the enclosure, and what is left is a remark.";
        ui.horizontal(|ui| {
            let new = super::details::length_field(ui, "May hang", most, (10.0, 5000.0), tip);
            if let Some(length) = new {
                self.editor
                    .change_cable(id, "free span", |c| c.hangs = Some(length));
            }
            if cable.hangs.is_some() {
                let back = ui.small_button("As usual");
                let tip = "Takes the length that the settings give for all cables.";
                if back.on_hover_text(tip).clicked() {
                    self.editor
                        .change_cable(id, "free span", |c| c.hangs = None);
                }
            }
        });
    }

    /// Tightest bend, longest free span, and the passages used with their fill.
    fn way_figures(&self, id: &CableId, cable: &Cable) -> String {
        let checker = self.editor.checker();
        let Some(run) = checker.runs().get(id) else {
            return String::new();
        };
        let mut parts = Vec::new();
        let bends = run.stretches.iter().filter_map(|s| s.tightest_bend);
        if let Some(radius) = bends.min_by(f64::total_cmp) {
            parts.push(format!("Bends to {} mm", Length::mm1(radius)));
        }
        let free = ways::longest_free(checker.placed(), cable, run);
        parts.push(format!("hangs free for {:.0} mm at most", free.as_mm()));
        for passage in &self.editor.scene().enclosure.passages {
            if ways::uses(run, passage) {
                let users = ways::users(self.editor.scene(), checker.runs(), passage, None);
                let opening = passage.clear[0].as_mm() * passage.clear[1].as_mm();
                let share = (100.0 * bundle::area(users) / opening.max(1e-9)).max(0.0);
                parts.push(format!("through {}, {share:.0} % full", passage.name));
            }
        }
        parts.join("; ") + "."
    }
}
