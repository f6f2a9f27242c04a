//! Ways that cables find by themselves: what is to be laid, worked out on a copy, taken
//! over where the scene is still the one it was worked out for.
//!
//! A [`Job`] is plain data: the window runs it on a thread, tests run it at once.

use super::Editor;
use crate::edit::{Edit, Touched};
use crate::geom::Length;
use crate::model::{Cable, CableId, Catalogue, Scene, Settings};
use crate::placement::Placed;
use crate::route::CableRun;
use crate::route::ways::{self, Desk, NotLaid, Outcome, Under, Wish};
use crate::rules::Subject;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// So many ways are looked at for the next best one.
const MOST_WAYS: usize = 8;

/// What is asked for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Task {
    /// To lay anew what the program laid, after something moved.
    Keep,
    /// To find a way, as a step of its own.
    Find,
    /// To find the next longer way after the one at hand, after the longest the first.
    Next,
}

/// Ways to be found, with all that takes.
pub struct Job {
    /// What is asked for.
    pub task: Task,
    ids: Vec<CableId>,
    scene: Scene,
    placed: Placed,
    catalogue: Arc<Catalogue>,
    runs: BTreeMap<CableId, CableRun>,
    settings: Arc<Settings>,
}

impl Job {
    /// Finds the ways. Ends early once `cancelled` says so.
    pub fn run(&self, cancelled: &dyn Fn() -> bool) -> Vec<Outcome> {
        match self.task {
            Task::Keep | Task::Find => ways::lay_all(
                &self.scene,
                &self.placed,
                &self.catalogue,
                &self.runs,
                &self.ids,
                Some(&self.settings),
                cancelled,
            ),
            Task::Next => self
                .ids
                .iter()
                .filter_map(|id| self.next(id, cancelled))
                .collect(),
        }
    }

    fn next(&self, id: &CableId, cancelled: &dyn Fn() -> bool) -> Option<Outcome> {
        let cable = self.scene.arrangement().cables.get(id)?;
        let desk = Desk {
            scene: &self.scene,
            placed: &self.placed,
            catalogue: &self.catalogue,
            runs: &self.runs,
        };
        let wish = Wish {
            under: Under::May,
            hangs: self.settings.may_hang(cable),
            ..Wish::default()
        };
        let at_hand = self.runs.get(id).map_or(Length::ZERO, |r| r.needed);
        let result = ways::ways(&desk, id, cable, &wish, MOST_WAYS, cancelled).map(|all| {
            let longer = |l: &ways::Laid| l.run.needed > at_hand + Length::mm(1);
            let here = all.iter().position(|l| same_way(&l.cable, cable));
            let next = match here {
                Some(here) => Some(here + 1).filter(|n| *n < all.len()),
                None => all.iter().position(longer).filter(|_| cable.has_corners()),
            };
            // A way that was chosen is not laid anew without a word.
            let mut next = all
                .into_iter()
                .nth(next.unwrap_or(0))
                .expect("at least one");
            next.cable.finds = false;
            next
        });
        Some((id.clone(), result))
    }

    /// The cables that are to be laid.
    pub fn ids(&self) -> &[CableId] {
        &self.ids
    }

    /// True where a scene is, for this job, the one it was made for: everything stands
    /// where it stood, and the cables differ in no more than their corners.
    fn fits(&self, scene: &Scene) -> bool {
        let (a, b) = (self.scene.arrangement(), scene.arrangement());
        let plain = |c: &Cable| {
            let mut c = c.clone();
            c.straighten();
            c
        };
        self.scene.current == scene.current
            && Arc::ptr_eq(&self.scene.enclosure, &scene.enclosure)
            && self.scene.parts == scene.parts
            && a.places == b.places
            && self.ids.iter().all(|id| {
                let (was, is) = (a.cables.get(id), b.cables.get(id));
                was.zip(is).is_some_and(|(w, i)| plain(w) == plain(i))
            })
    }
}

/// True where two cables are led alike.
fn same_way(a: &Cable, b: &Cable) -> bool {
    let way = |c: &Cable| c.plugs.iter().map(|p| p.via.clone()).collect::<Vec<_>>();
    way(a) == way(b)
}

/// What came of a job.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Taken {
    /// So many cables were laid.
    pub laid: usize,
    /// Why others were not, by name.
    pub not: Vec<(String, String)>,
    /// Cables of which no other way was found, by name.
    pub only: Vec<String>,
    /// What the last of those laid needs now.
    pub needed: Length,
}

impl Editor {
    /// Cables that find their own way and have to be laid anew, because they hang on
    /// something that moved, or something moved into their way.
    pub fn stale_ways(&self) -> &BTreeSet<CableId> {
        &self.stale
    }

    /// A job for these cables; `None` where none of them is there.
    pub fn way_job(&self, task: Task, ids: impl IntoIterator<Item = CableId>) -> Option<Job> {
        let scene = self.scene();
        let cables = &scene.arrangement().cables;
        let ids: Vec<CableId> = ids
            .into_iter()
            .filter(|id| cables.contains_key(id))
            .collect();
        if ids.is_empty() {
            return None;
        }
        Some(Job {
            task,
            ids,
            scene: scene.clone(),
            placed: self.checker.placed().clone(),
            catalogue: self.catalogue.clone(),
            runs: self.checker.runs().clone(),
            settings: self.settings.clone(),
        })
    }

    /// Takes the ways that a job found: into the step at hand where it only keeps up
    /// with what moved, as a step of its own otherwise. `None` where the scene changed
    /// meanwhile; then nothing is taken.
    pub fn take_ways(&mut self, job: &Job, found: Vec<Outcome>) -> Option<Taken> {
        if !job.fits(self.scene()) {
            return None;
        }
        let mut taken = Taken::default();
        let mut edits = Vec::new();
        for (id, result) in found {
            let Some(now) = self.scene().arrangement().cables.get(&id).cloned() else {
                continue;
            };
            self.stale.remove(&id);
            match result {
                Ok(laid) if job.task == Task::Next && same_way(&laid.cable, &now) => {
                    taken.only.push(now.name);
                }
                Ok(laid) => {
                    taken.laid += 1;
                    taken.needed = laid.run.needed;
                    if laid.cable != now {
                        edits.push(Edit::SetCable(id, Some(laid.cable)));
                    }
                }
                // A hose takes its own shape: there was nothing to do.
                Err(NotLaid::Hose) => {}
                Err(why) => {
                    taken.not.push((now.name.clone(), why.to_string()));
                    // Better no corners than those of a way that is not free any more.
                    let mut straight = now.clone();
                    straight.straighten();
                    if job.task == Task::Keep && straight != now {
                        edits.push(Edit::SetCable(id, Some(straight)));
                    }
                }
            }
        }
        let done = match job.task {
            _ if edits.is_empty() => Ok(Touched::default()),
            Task::Keep => self.history.amend(&edits),
            Task::Find => self.history.apply_all("find its way", &edits),
            Task::Next => self.history.apply_all("next best way", &edits),
        };
        let touched = done.ok()?;
        // What was just laid is not stale, whatever it touched.
        let stale = std::mem::take(&mut self.stale);
        self.after(touched);
        self.stale = stale;
        Some(taken)
    }

    /// True for a hose: it takes its own shape and is not led.
    pub fn is_hose(&self, id: &CableId) -> bool {
        self.checker.hoses().contains_key(id)
    }

    /// Takes the corners off a cable's way and lays it by hand again.
    pub fn straighten(&mut self, id: &CableId) -> bool {
        self.stale.remove(id);
        self.change_cable(id, "back to straight", |c| {
            c.straighten();
            c.finds = false;
        })
    }

    /// Whether a cable lays its way anew when things move.
    pub fn set_finds(&mut self, id: &CableId, finds: bool) -> bool {
        let label = match finds {
            true => "let it find its way",
            false => "keep its way",
        };
        let done = self.change_cable(id, label, |c| c.finds = finds);
        if finds && done {
            self.stale.insert(id.clone());
        } else {
            self.stale.remove(id);
        }
        done
    }

    /// Notes of these new cables those whose straight way runs through something or bends too
    /// tightly; gives how many they are.
    pub(super) fn age_new<'a>(&mut self, ids: impl Iterator<Item = &'a CableId>) -> usize {
        let blocked = self.blocked_ways();
        let new: Vec<CableId> = ids.filter(|id| blocked.contains(*id)).cloned().collect();
        let many = new.len();
        self.stale.extend(new);
        many
    }

    /// Cables that find their own way and run through something as they are led, or bend too
    /// tightly.
    fn blocked_ways(&self) -> BTreeSet<CableId> {
        let cables = &self.history.scene().arrangement().cables;
        if !cables.values().any(|c| c.finds) {
            return BTreeSet::new();
        }
        let ways = self.checker.findings().into_iter();
        let ways = ways.filter(|f| f.wants_way());
        let of = ways.filter_map(|f| {
            f.subjects.iter().find_map(|s| match s {
                Subject::Cable(id) => Some(id.clone()),
                _ => None,
            })
        });
        of.filter(|id| cables.get(id).is_some_and(|c| c.finds))
            .collect()
    }

    /// Notes which ways have to be laid anew after a change.
    pub(super) fn age_ways(&mut self, touched: &Touched) {
        let cables = &self.history.scene().arrangement().cables;
        self.stale
            .retain(|id| cables.get(id).is_some_and(|c| c.finds));
        if touched.parts.is_empty() && !touched.all {
            return;
        }
        let on_moved = |c: &Cable| {
            let mut ports = c.ports();
            touched.all || ports.any(|p| touched.parts.contains(&p.part))
        };
        let mut stale: BTreeSet<CableId> = cables
            .iter()
            .filter(|(_, c)| c.finds && on_moved(c))
            .map(|(id, _)| id.clone())
            .collect();
        stale.extend(self.blocked_ways());
        self.stale.extend(stale);
    }

    /// In a gesture that moves these parts: the cables on them that find their own way
    /// run straight until it is laid anew.
    pub(super) fn loosen_ways(&mut self, label: &str) {
        let cables = &self.history.scene().arrangement().cables;
        let moved = self.stale.iter().filter_map(|id| {
            let mut cable = cables.get(id).filter(|c| c.has_corners())?.clone();
            cable.straighten();
            Some(Edit::SetCable(id.clone(), Some(cable)))
        });
        for edit in moved.collect::<Vec<_>>() {
            if let Ok(touched) = self.history.apply(label, &edit) {
                self.after(touched);
            }
        }
    }
}
