//! The search panel: what may move, what must hold, what counts; results as they come.
//!
//! The search runs on a thread of its own over a copy of the scene; the window never waits.

mod limits;
mod results;
mod ui;

use super::App;
use crate::geom::{Length, Turn};
use crate::model::{Catalogue, PartId, Scene, Settings, ZoneRef};
use crate::search::questions::{Asker, Question, Reply};
use crate::search::scene::{Answer, AtHand, Found, News, Run, Weights, Wish, seek};
use eframe::egui;
use std::collections::{BTreeMap, BTreeSet};
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
    /// Zones that a part may take, where not all whose holes fit.
    zones: BTreeMap<PartId, BTreeSet<ZoneRef>>,
    /// Turns that a part may take, where not all.
    turns: BTreeMap<PartId, BTreeSet<Turn>>,
    /// The parts that were there when the panel last looked, and those few of very many
    /// that were chosen for the user.
    suggested: Option<(BTreeSet<PartId>, BTreeSet<PartId>)>,
    /// How those few were chosen; empty where all may move.
    few: String,
    weights: Weights,
    gap_mm: f64,
    keep_air: bool,
    top: usize,
    hunt: Option<Hunt>,
    results: Vec<Found>,
    bound: Option<(f64, Option<f64>)>,
    places: Option<(usize, usize)>,
    at_hand: Option<AtHand>,
    /// The scene that the search started from.
    start: Option<Scene>,
    ended: String,
    notes: Vec<String>,
    reply: Option<(&'static Question, Reply)>,
}

impl Default for SearchPanel {
    fn default() -> SearchPanel {
        SearchPanel {
            staying: BTreeSet::new(),
            zones: BTreeMap::new(),
            turns: BTreeMap::new(),
            suggested: None,
            few: String::new(),
            weights: Weights::default(),
            gap_mm: 0.0,
            keep_air: true,
            top: 5,
            hunt: None,
            results: Vec::new(),
            bound: None,
            places: None,
            at_hand: None,
            start: None,
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
        wish.zones.clone_from(&self.zones);
        wish.turns.clone_from(&self.turns);
        wish.top = self.top;
        wish.gap = Length::from_mm(self.gap_mm).filter(|g| *g > Length::ZERO);
        wish
    }

    /// True while a search is under way.
    pub(super) fn is_busy(&self) -> bool {
        self.hunt.is_some()
    }

    /// Ends the search at once for whoever looks on; its thread ends when it next asks
    /// whether it should. What was found stays.
    fn give_up(&mut self) {
        let near = match self.share() {
            Some(share) if share > 0.0 => {
                format!(" The best is within {share:.0} % of the best possible.")
            }
            _ => String::new(),
        };
        self.hunt = None;
        self.ended = match self.results.len() {
            0 => "Cancelled before anything was found.".to_owned(),
            1 => format!("Cancelled; what was found stays.{near}"),
            n => format!("Cancelled; the {n} that were found stay.{near}"),
        };
    }

    /// By how much the best so far may still be off, in percent, rounded up; `None` where no
    /// bound is known. Nothing where it is proved.
    fn share(&self) -> Option<f64> {
        let best = self.results.first()?;
        if best.proved {
            return Some(0.0);
        }
        let (least, _) = self.bound?;
        (best.points > 0.0).then(|| {
            ((best.points - least) / best.points * 100.0)
                .max(0.0)
                .ceil()
        })
    }

    fn forget(&mut self) {
        self.hunt = None;
        self.results.clear();
        self.notes.clear();
        self.ended.clear();
        (self.bound, self.places, self.reply) = (None, None, None);
        (self.at_hand, self.start) = (None, None);
    }

    /// Another scene is on the sheet: what was looked for there is of no use here.
    pub(super) fn another_scene(&mut self) {
        self.forget();
        self.staying.clear();
        self.zones.clear();
        self.turns.clear();
        self.suggested = None;
    }

    fn hear(&mut self, message: Message) {
        match message {
            Message::News(News::Looked { parts, places }) => self.places = Some((parts, places)),
            Message::News(News::AtHand(at_hand)) => self.at_hand = Some(at_hand),
            Message::News(News::Bound { least, best }) => self.bound = Some((least, best)),
            Message::News(News::Found(rank, found)) => {
                self.results.truncate(rank);
                self.results.push(*found);
            }
            Message::News(News::Better(found)) => {
                let same = |f: &Found| {
                    f.kinds == found.kinds && f.arrangement.places == found.arrangement.places
                };
                self.results.retain(|f| !same(f));
                self.results.insert(0, *found);
                self.results.truncate(self.top);
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
            (Some(best), _) if best.proved => {
                let more = self.results.len().min(self.top);
                format!(", the best is proved, {more} of {} found", self.top)
            }
            (Some(best), Some((least, _))) if best.points > 0.0 => {
                let share = self.share().unwrap_or_default();
                format!(
                    ", best {:.1} points, none under {least:.1}: within {share:.0} %",
                    best.points,
                )
            }
            (Some(best), _) => format!(", best {:.1} points", best.points),
            (None, Some((least, _))) => format!(", none under {least:.1} points"),
            (None, None) => String::new(),
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
        // The list shows what there is; the user ends it.
        keep_on: true,
        ..Run::default()
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
        self.search.start = Some(scene.clone());
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
                run: Run {
                    keep_on: false,
                    ..run(cancel, &|_| {})
                },
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
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Arrangement, Place};
    use crate::search::scene::Figures;

    fn found(name: &str, points: f64, x: i64) -> Found {
        let at = crate::geom::Vec3::mm(x, 0, 0);
        let part = PartId::new("fan").expect("sound");
        let place = Place {
            at,
            ..Place::default()
        };
        Found {
            arrangement: Arrangement {
                name: name.into(),
                places: BTreeMap::from([(part, place)]),
                ..Arrangement::default()
            },
            kinds: BTreeMap::new(),
            points,
            figures: Figures::default(),
            proved: false,
            stands: false,
        }
    }

    #[test]
    fn a_better_first_comes_before_all_and_the_bound_outlives_a_cancel() {
        let mut panel = SearchPanel::default();
        let news = |n| Message::News(n);
        for (rank, (points, x)) in [(100.0, 1), (110.0, 2), (120.0, 3)].into_iter().enumerate() {
            let one = found(&format!("found {rank}"), points, x);
            panel.hear(news(News::Found(rank, Box::new(one))));
        }
        panel.hear(news(News::Bound {
            least: 88.0,
            best: Some(100.0),
        }));
        // What stood second turns out to be better still, as it is led now.
        panel.hear(news(News::Better(Box::new(found("found 4", 95.0, 2)))));
        let points: Vec<f64> = panel.results.iter().map(|f| f.points).collect();
        assert_eq!(points, [95.0, 100.0, 120.0]);
        panel.give_up();
        // 1 - 88/95 is 7.4 %.
        assert_eq!(
            panel.ended,
            "Cancelled; the 3 that were found stay. The best is within 8 % of the best possible."
        );
    }
}
