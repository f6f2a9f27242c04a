//! What would end a cable's shortfall, one click away. Worked out on a thread over a
//! copy of the scene; the window never waits.

use super::App;
use crate::alternatives::{self, Alternative, MOST_TRIALS, Shortfall};
use crate::model::{CableId, Severity};
use eframe::egui::{self, Ui};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};

/// Costs named in a tip, at most.
const MOST_NAMED: usize = 6;

/// In a panel wider than this a row takes one line, in points.
const WIDE: f32 = 520.0;

/// What an answer is of: a state of the scene, and a cable.
type Of = (u64, CableId);

type Answer = Vec<(Shortfall, Vec<Alternative>)>;

struct Job {
    of: Of,
    answer: Receiver<Answer>,
    cancel: Arc<AtomicBool>,
}

impl Drop for Job {
    /// What nobody waits for any more ends.
    fn drop(&mut self) {
        self.cancel.store(true, Ordering::Relaxed);
    }
}

/// What the window knows about alternatives.
#[derive(Default)]
pub(super) struct Alternatives {
    job: Option<Job>,
    known: Option<(Of, Answer)>,
}

impl Alternatives {
    /// True while something is worked out.
    pub(super) fn is_busy(&self) -> bool {
        self.job.is_some()
    }
}

impl App {
    /// True while alternatives are worked out beside the window.
    pub fn seeks_alternatives(&self) -> bool {
        self.alternatives.is_busy()
    }

    /// Asks for the alternatives of a cable, unless they are known or on their way.
    fn ask_alternatives(&mut self, of: &Of) {
        let a = &mut self.alternatives;
        if let Some(job) = &a.job {
            match job.answer.try_recv() {
                Ok(answer) => {
                    a.known = Some((job.of.clone(), answer));
                    a.job = None;
                }
                Err(TryRecvError::Empty) => {}
                Err(TryRecvError::Disconnected) => a.job = None,
            }
        }
        let there = a.known.as_ref().is_some_and(|(k, _)| k == of);
        let coming = a.job.as_ref().is_some_and(|j| j.of == *of);
        // A gesture under way changes the scene with each frame.
        if there || coming || self.editor.history().is_open() {
            return;
        }
        let Some(ctx) = self.ctx.clone() else { return };
        let (send, answer) = channel();
        let cancel = Arc::new(AtomicBool::new(false));
        let (scene, checker) = (self.editor.scene().clone(), self.editor.checker().clone());
        let (flag, id) = (cancel.clone(), of.1.clone());
        std::thread::spawn(move || {
            let cancelled = || flag.load(Ordering::Relaxed);
            let shortfalls = Shortfall::all(&checker, Some(&id));
            let all = shortfalls.into_iter().map(|s| {
                let found = alternatives::find(&scene, &checker, &s, MOST_TRIALS, &cancelled);
                (s, found)
            });
            let all: Answer = all.collect();
            // A window that has closed takes no answer.
            if !cancelled() && send.send(all).is_ok() {
                ctx.request_repaint();
            }
        });
        self.alternatives.job = Some(Job {
            of: of.clone(),
            answer,
            cancel,
        });
    }

    /// The alternatives for a cable's shortfalls, or for that of one stretch. Draws
    /// nothing where it reaches.
    pub(super) fn alternatives_ui(&mut self, ui: &mut Ui, id: &CableId, stretch: Option<usize>) {
        let of = (self.editor.history().state(), id.clone());
        let asked = |s: &Shortfall| stretch.is_none_or(|i| s.stretch == i);
        if !Shortfall::all(self.editor.checker(), Some(id))
            .iter()
            .any(asked)
        {
            return;
        }
        self.ask_alternatives(&of);
        ui.add_space(4.0);
        let known = self.alternatives.known.as_ref().filter(|(k, _)| *k == of);
        let Some((_, all)) = known else {
            ui.weak("Looking for what would end it …");
            return;
        };
        let of_it: Vec<(Shortfall, Vec<Alternative>)> =
            all.iter().filter(|(s, _)| asked(s)).cloned().collect();
        let mut taken = None;
        for (short, found) in &of_it {
            let title = match of_it.len() {
                1 => "What would end it".to_owned(),
                _ => format!("What would end it, stretch {}", short.stretch + 1),
            };
            ui.strong(title);
            if found.is_empty() {
                let hose = self.editor.checker().hoses().contains_key(id);
                ui.label(match hose {
                    true => {
                        "Nothing that is known ends it: no other length, no tie, no exchange of its end with \
                         another hose's, and no straight move of a part at its ends, nor another \
                         place on its holes, that stays in the enclosure."
                    }
                    false => {
                        "Nothing that is known ends it: no other port, plug, cable, extension or \
                         way, and no move of a part at its ends that stays in the enclosure."
                    }
                });
            }
            for alternative in found {
                if row(ui, alternative) {
                    taken = Some(alternative.clone());
                }
            }
        }
        if let Some(taken) = taken {
            let said = match self.editor.take_alternative(&taken) {
                Ok(()) => format!("{} Undo takes it back.", taken.words),
                Err(why) => why,
            };
            self.say(said);
        }
    }
}

/// One alternative with its price; true where it was clicked.
fn row(ui: &mut Ui, a: &Alternative) -> bool {
    let mut tip = format!(
        "Needs {} mm then, has {}. One step, can be undone.",
        a.needed.text1(),
        a.available.text1()
    );
    for cost in a.costs.iter().take(MOST_NAMED) {
        let worse = if cost.worse { ", worse than now" } else { "" };
        tip += &format!("\n{}{worse}: {}", cost.severity.name(), cost.text);
    }
    if a.costs.len() > MOST_NAMED {
        tip += &format!("\nand {} more", a.costs.len() - MOST_NAMED);
    }
    let price = egui::RichText::new(a.price()).small();
    let price = match (a.brings(Severity::Stop), a.brings(Severity::Caution)) {
        (0, 0) => price.weak(),
        (0, _) => price.color(ui.visuals().warn_fg_color),
        _ => price.color(ui.visuals().error_fg_color),
    };
    // Beside the button where the panel is wide, under it where it is narrow.
    if ui.available_width() > WIDE {
        return ui
            .horizontal(|ui| {
                let clicked = ui.button(&a.words).on_hover_text(tip).clicked();
                ui.label(price);
                clicked
            })
            .inner;
    }
    let button = egui::Button::new(&a.words).wrap();
    let clicked = ui.add(button).on_hover_text(tip).clicked();
    ui.indent(("price", &a.words), |ui| ui.label(price));
    clicked
}
