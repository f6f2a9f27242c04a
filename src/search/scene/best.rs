//! The best arrangement that is unlike those found before: solve, try, learn, until what is
//! left costs as much at least.

use super::answer::{Found, News};
use super::puzzle::Unlike;
use super::seek::{Limit, Seeker, Step, points};
use super::trial::gap_cost;
use super::wish::{Aim, WIDE_GAP};
use crate::model::PartId;
use crate::search::exact::{Progress, Status};
use std::sync::atomic::Ordering;

/// So many cables are led for one place in the list before the best so far is taken for as good
/// as it was shown to be.
const MOST_LED: usize = 120;

/// How the search for one more arrangement ended.
pub(super) enum One {
    /// With the best of what was left.
    Best,
    /// With one within this share of the best of what was left; many were tried.
    Near(f64),
    /// There is none.
    None,
    /// Time is up; the best so far, if any, is within this share of the best possible.
    Stopped(Option<f64>),
    /// This stop stays whatever is tried.
    Stays(String),
}

/// How the search for one more arrangement stands.
pub(super) struct Quest {
    /// Its place in the list.
    rank: usize,
    /// The best so far with its cost and choice.
    best: Option<(u64, Found, Vec<usize>)>,
    /// Choices that were tried and taught nothing.
    done: Vec<Vec<usize>>,
    /// Gaps in micrometres above this only.
    above: Option<i64>,
    /// What is left costs at least this.
    floor: u64,
    /// The list is full already: it is gone on with for the proof of its first.
    again: bool,
}

/// What came of going on with it.
enum Went {
    /// Nothing that is left costs less than the best, if there is one.
    Settled,
    /// As many were tried as were to be.
    Enough,
    /// Time is up.
    Stopped,
    /// This stop stays whatever is tried.
    Stays(String),
}

impl Seeker<'_> {
    /// The best arrangement that is unlike those found before.
    pub(super) fn one(&mut self) -> One {
        let mut quest = Quest {
            rank: self.found.len(),
            best: self.head.take(),
            done: Vec::new(),
            above: None,
            floor: 0,
            again: false,
        };
        self.floor.store(0, Ordering::Relaxed);
        let went = self.go_on(&mut quest, Some((self.run.most_tried, MOST_LED)));
        quest.floor = self.floor.load(Ordering::Relaxed);
        let best = quest.best.clone();
        match (went, best) {
            (Went::Settled, Some(best)) => self.take(best, true),
            (Went::Settled, None) => One::None,
            (Went::Stays(what), None) => One::Stays(what),
            (Went::Stopped, best) => self.stopped(best),
            (Went::Stays(_) | Went::Enough, best) => {
                if quest.rank == 0 {
                    self.open = Some(quest);
                }
                self.near(best)
            }
        }
    }

    /// With all that was found at hand, and time left: goes on with the first until it is
    /// proved. A better one that turns up comes before it. Gives the share by which the first
    /// may still be off; `None` where it is proved, or was before.
    pub(super) fn prove(&mut self) -> Option<f64> {
        let mut quest = self.open.take()?;
        let unlike = std::mem::take(&mut self.unlike);
        self.floor.store(quest.floor, Ordering::Relaxed);
        let was = quest.best.as_ref().map(|b| b.0);
        quest.again = true;
        let went = self.go_on(&mut quest, None);
        self.unlike = unlike;
        let (cost, mut found, _) = quest.best?;
        let settled = matches!(went, Went::Settled);
        found.proved = settled && self.tables.complete();
        let known = was.is_some_and(|w| w <= cost);
        match self.found.first_mut().filter(|_| known) {
            Some(first) => first.proved = found.proved,
            None => {
                // It may stand farther down already, where it had to differ from the first.
                let same = |f: &Found| {
                    f.kinds == found.kinds && f.arrangement.places == found.arrangement.places
                };
                self.found.retain(|f| !same(f));
                self.found.insert(0, found);
                self.found.truncate(self.wish.top.max(1));
            }
        }
        let floor = self.floor.load(Ordering::Relaxed).min(cost);
        (!settled).then(|| cost.saturating_sub(floor) as f64 / cost.max(1) as f64)
    }

    /// Goes on until nothing better is left; `most` says how many sound arrangements to try and
    /// how many cables to lead at most.
    fn go_on(&mut self, quest: &mut Quest, most_tried: Option<(usize, usize)>) -> Went {
        let mut tried = 0;
        let led = self.trial.led;
        loop {
            let most = self.most_gap();
            let extra = gap_cost(self.wish, most);
            let so_far = quest.best.as_ref().map(|b| b.0);
            let rank = quest.rank;
            let tell = |p: Progress| self.bound(rank, p.bound + extra, so_far);
            let limit = Limit {
                above: quest.above,
                // What costs as much as the best so far need not be looked for.
                below: so_far.map(|b| b.saturating_sub(extra)),
                costs: true,
            };
            let Some(outcome) = self.solve(self.wish, limit, &quest.done, &tell) else {
                return Went::Settled;
            };
            let floor = outcome.bound.map(|b| b + extra);
            if let Some(floor) = floor {
                self.bound(rank, floor, so_far);
            }
            let settled = match (outcome.status, so_far, floor) {
                (Status::Infeasible, _, _) => true,
                (_, Some(best), Some(floor)) => floor >= best,
                _ => false,
            };
            if settled {
                return Went::Settled;
            }
            let Some(choice) = outcome.choice else {
                return Went::Stopped;
            };
            let choice = &choice[..self.tables.ids.len()];
            match self.step(choice) {
                Step::Stays(what) => return Went::Stays(what),
                Step::Again => {}
                Step::Sound(verdict) => {
                    if so_far.is_none_or(|b| verdict.cost < b) {
                        let found = self.named(&verdict, false);
                        match (quest.again, self.run.told) {
                            (true, Some(told)) => told(News::Better(Box::new(found.clone()))),
                            _ => self.tell(rank, found.clone()),
                        }
                        quest.best = Some((verdict.cost, found, choice.to_vec()));
                    }
                    tried += 1;
                    let beyond = &verdict.beyond;
                    let news = self.trial.learn_costs(choice, beyond, &mut self.lessons);
                    if outcome.status == Status::Optimal {
                        let tight = outcome.cost.is_some_and(|cost| verdict.sum <= cost);
                        let widest = verdict.gap >= most.min(WIDE_GAP.as_um());
                        let gap_counts = self.wish.weights.of(Aim::MovableGap) > 0;
                        if tight && (!gap_counts || widest) {
                            return Went::Settled;
                        }
                        if tight {
                            // All with a smaller gap cost no less: only wider ones are left.
                            quest.above = Some(verdict.gap);
                        } else if !news {
                            quest.done.push(choice.to_vec());
                        }
                    }
                    let enough = most_tried.is_some_and(|(most, most_led)| {
                        tried >= most || self.trial.led - led >= most_led
                    });
                    if enough {
                        return Went::Enough;
                    }
                }
            }
            if outcome.status != Status::Optimal {
                return Went::Stopped;
            }
        }
    }

    /// No arrangement has a smallest gap wider than this, in micrometres.
    fn most_gap(&self) -> i64 {
        let widest = self.tables.movers.iter().map(|m| {
            let gaps = m.spots.iter().map(|s| s.unary.gap);
            gaps.max().unwrap_or(WIDE_GAP.as_um())
        });
        widest.min().unwrap_or(WIDE_GAP.as_um())
    }

    fn take(&mut self, best: (u64, Found, Vec<usize>), proved: bool) -> One {
        let (_, mut found, choice) = best;
        found.proved = proved && self.tables.complete();
        match self.found.iter().any(|f| self.like_parts(f, &found)) {
            true => self.repeats += 1,
            false => {
                self.tell(self.found.len(), found.clone());
                self.found.push(found);
            }
        }
        self.unlike.push(Unlike {
            choice,
            parts: self.wish.differ.clamp(1, 2),
        });
        One::Best
    }

    /// Whether two differ only in which of like parts stands where, and come to the same to the
    /// last digit: nobody needs to look at both.
    fn like_parts(&self, a: &Found, b: &Found) -> bool {
        let kind = |f: &Found, id: &PartId| {
            let swapped = f.kinds.get(id).map(|k| k.id.clone());
            swapped.or_else(|| self.scene.parts.get(id).map(|p| p.kind.id.clone()))
        };
        let place = |f: &Found, id: &PartId| f.arrangement.places.get(id).map(|p| (p.at, p.turn));
        let ids = &self.tables.ids;
        let several = |id: &PartId| ids.iter().filter(|o| kind(a, o) == kind(a, id)).count() > 1;
        let mut other = ids.iter().filter(|id| place(a, id) != place(b, id));
        a.kinds == b.kinds
            && a.points.to_bits() == b.points.to_bits()
            && a.figures == b.figures
            && other.all(several)
    }

    /// The best so far, with how near it is to the best of what was left.
    fn near(&mut self, best: Option<(u64, Found, Vec<usize>)>) -> One {
        match self.stopped(best) {
            One::Stopped(Some(share)) if share > 0.0 => One::Near(share),
            One::Stopped(Some(_)) => One::Best,
            other => other,
        }
    }

    fn stopped(&mut self, best: Option<(u64, Found, Vec<usize>)>) -> One {
        let Some(best) = best else {
            return One::Stopped(None);
        };
        let floor = self.floor.load(Ordering::Relaxed).min(best.0);
        let cost = best.0.max(1) as f64;
        let share = (cost - floor as f64).max(0.0) / cost;
        self.take(best, share <= 0.0);
        One::Stopped(Some(share))
    }

    /// What is left costs `least` at least, so all of them cost that or as much as the best.
    fn bound(&self, rank: usize, least: u64, best: Option<u64>) {
        let least = best.map_or(least, |b| b.min(least));
        if self.floor.fetch_max(least, Ordering::Relaxed) >= least {
            return;
        }
        // Where not all places were looked at, what was not may be better still.
        if let (Some(told), 0, true) = (self.run.told, rank, self.tables.complete()) {
            told(News::Bound {
                least: points(least),
                best: best.map(points),
            });
        }
    }
}
