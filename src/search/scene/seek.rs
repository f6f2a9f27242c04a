//! The search itself: solve, try, learn, until the best is proved.

use super::answer::{Answer, End, Found, News};
use super::leads::POINT;
use super::puzzle::{Never, Over, Puzzle, Unlike};
use super::tables::Tables;
use super::trial::{Trial, Verdict, gap_cost};
use super::wish::{Aim, WIDE_GAP, Weights, Wish};
use super::words;
use crate::model::{Arrangement, Catalogue, Scene, Settings};
use crate::search::exact::{
    Conflict, Exclude, Options, Outcome, Progress, Status, minimal_conflict, solve,
};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// After so many arrangements in a row with the same stop, it is taken to be one that
/// places do not decide on.
const STUBBORN: usize = 24;

/// After so many arrangements that taught nothing about fewer parts than all, the search
/// gives up: trying them one by one would not end.
const MOST_SINGLE: usize = 200;

/// How a search is run.
#[derive(Clone, Copy)]
pub struct Run<'a> {
    /// Searching threads. Without a time limit the answer depends on the scene, the wish
    /// and this number only.
    pub threads: usize,
    /// Ends the search with what there is by then.
    pub time_limit: Option<Duration>,
    /// Set it from anywhere to end the search soon, with what there is by then.
    pub cancel: Option<&'a AtomicBool>,
    /// Hears what is found on the way; called from searching threads.
    pub told: Option<&'a (dyn Fn(News) + Sync)>,
}

impl Default for Run<'_> {
    /// One thread, no limit, nobody to tell.
    fn default() -> Self {
        Run {
            threads: 1,
            time_limit: None,
            cancel: None,
            told: None,
        }
    }
}

/// Looks for arrangements of the scene's arrangement at hand, best first, each without a
/// stop finding (but for those that the user accepted) and different from the others.
pub fn seek(
    scene: &Scene,
    wish: &Wish,
    settings: &Arc<Settings>,
    catalogue: &Arc<Catalogue>,
    run: &Run,
) -> Answer {
    // Where parts move, corners that were laid mean nothing: such cables count straight,
    // the lower bound of their ways, and find them anew in what is taken.
    let straight = scene.without_laid_ways();
    let scene = straight.as_ref().unwrap_or(scene);
    let deadline = run.time_limit.and_then(|t| Instant::now().checked_add(t));
    let stop = || {
        run.cancel.is_some_and(|c| c.load(Ordering::Relaxed))
            || deadline.is_some_and(|d| Instant::now() >= d)
    };
    let tables = Tables::build(scene, wish, settings, catalogue, &stop);
    let places = tables.movers.iter().map(|m| m.spots.len()).sum();
    let answer = |found, end| Answer {
        found,
        end,
        places,
        notes: notes(&tables, scene),
    };
    if stop() {
        return answer(Vec::new(), End::Stopped);
    }
    if tables.ids.is_empty() {
        return answer(Vec::new(), End::NothingMoves);
    }
    if let Some(told) = run.told {
        told(News::Looked {
            parts: tables.ids.len(),
            places,
        });
    }
    let mut seeker = Seeker {
        scene,
        wish,
        run,
        deadline,
        tables: &tables,
        trial: Trial::new(scene, wish, &tables, settings, catalogue),
        nevers: Vec::new(),
        unlike: Vec::new(),
        stubborn: (String::new(), 0),
        single: 0,
        floor: AtomicU64::new(0),
        found: Vec::new(),
    };
    let end = seeker.all();
    seeker.best_first();
    let end = match end {
        End::Proved if !tables.complete => End::BestLooked,
        End::Impossible(_) if !tables.complete => End::Stopped,
        end => end,
    };
    answer(seeker.found, end)
}

fn notes(tables: &Tables, scene: &Scene) -> Vec<String> {
    let name = |id| {
        scene
            .parts
            .get(id)
            .map_or("", |p| p.name.as_str())
            .to_owned()
    };
    let cut: Vec<_> = tables.movers.iter().filter(|m| !m.complete).collect();
    match cut.as_slice() {
        [] => Vec::new(),
        [m] => vec![format!(
            "{} could stand in more places than were looked at",
            name(&m.id)
        )],
        many => vec![format!(
            "{} parts could stand in more places than were looked at: let fewer move",
            many.len()
        )],
    }
}

struct Seeker<'a> {
    scene: &'a Scene,
    wish: &'a Wish,
    run: &'a Run<'a>,
    deadline: Option<Instant>,
    tables: &'a Tables,
    trial: Trial<'a>,
    nevers: Vec<Never>,
    unlike: Vec<Unlike>,
    /// The stop of the last arrangements, and how many of them had it.
    stubborn: (String, usize),
    /// How many arrangements taught nothing about fewer parts than all.
    single: usize,
    /// What the one that is looked for costs at least, as far as is known.
    floor: AtomicU64,
    found: Vec<Found>,
}

/// What one run of the exact search keeps within.
#[derive(Clone, Copy, Default)]
struct Limit {
    /// Gaps in micrometres above this only.
    above: Option<i64>,
    /// Costs below this only.
    below: Option<u64>,
}

/// How the search for one more arrangement ended.
enum One {
    /// With the best of what was left.
    Best,
    /// There is none.
    None,
    /// Time is up; the best so far, if any, is within this share of the best possible.
    Stopped(Option<f64>),
    /// This stop stays whatever is tried.
    Stays(String),
}

/// What one step of the search came to.
enum Step {
    Sound(Box<Verdict>),
    Again,
    Stays(String),
}

impl Seeker<'_> {
    fn all(&mut self) -> End {
        if let Some(end) = self.first() {
            return end;
        }
        let mut differ = self.wish.differ.clamp(1, 2);
        while self.found.len() < self.wish.top.max(1) {
            match self.one() {
                One::Best => {}
                One::None if self.found.is_empty() => return self.impossible(),
                One::None if differ > 1 => {
                    differ = 1;
                    for u in &mut self.unlike {
                        u.parts = 1;
                    }
                }
                One::None => return End::Proved,
                One::Stopped(share) if self.found.len() <= 1 => {
                    return share.map_or(End::Stopped, End::Within);
                }
                // The first is proved; what came after it is as far as time went.
                One::Stopped(_) => return End::Proved,
                One::Stays(what) if self.found.is_empty() => return End::Stays(what),
                One::Stays(_) => return End::Proved,
            }
            if let Some(last) = self.unlike.last_mut() {
                last.parts = differ;
            }
        }
        End::Proved
    }

    /// Any sound arrangement, so that there is something to show soon.
    fn first(&mut self) -> Option<End> {
        let careless = Wish {
            weights: Weights::none(),
            kind_points: std::collections::BTreeMap::new(),
            ..self.wish.clone()
        };
        for _ in 0..STUBBORN {
            let outcome = self.solve(&careless, Limit::default(), &[], &|_| {});
            let Some(choice) = outcome.and_then(|o| o.choice) else {
                return None; // left to the search proper, which says why
            };
            match self.step(&choice) {
                Step::Sound(verdict) => {
                    let found = self.named(&verdict, false);
                    self.tell(0, found);
                    return None;
                }
                Step::Again => {}
                Step::Stays(what) => return Some(End::Stays(what)),
            }
        }
        None
    }

    fn left(&self) -> Option<Duration> {
        self.deadline
            .map(|d| d.saturating_duration_since(Instant::now()))
    }

    fn solve(
        &self,
        wish: &Wish,
        limit: Limit,
        done: &[Vec<usize>],
        progress: &(dyn Fn(Progress) + Sync),
    ) -> Option<Outcome> {
        let over = Over {
            nevers: &self.nevers,
            unlike: &self.unlike,
            above: limit.above,
        };
        let puzzle = Puzzle::build(self.tables, self.scene, wish, &over).ok()?;
        // The parts that only say how arrangements differ may be as they like.
        let others = puzzle.problem.parts() - self.tables.ids.len();
        let exclude: Vec<Exclude> = done
            .iter()
            .map(|choice| Exclude {
                choice: choice.clone(),
                distance: others + 1,
            })
            .collect();
        Some(solve(
            &puzzle.problem,
            &Options {
                time_limit: self.left(),
                threads: self.run.threads,
                cancel: self.run.cancel,
                progress: Some(progress),
                exclude: &exclude,
                below: limit.below,
            },
        ))
    }

    /// Tries a choice, and learns from it where it has a stop.
    fn step(&mut self, choice: &[usize]) -> Step {
        let verdict = self.trial.judge(choice);
        let Some(stop) = verdict.stops.first() else {
            self.stubborn.1 = 0;
            return Step::Sound(Box::new(verdict));
        };
        let key = stop.key();
        if self.stubborn.0 == key {
            self.stubborn.1 += 1;
        } else {
            self.stubborn = (key, 1);
        }
        let mut widest = 0;
        for stop in verdict.stops.iter().take(4) {
            let never = self.trial.learn(choice, stop);
            widest = widest.max(never.of.len());
            if !self.nevers.contains(&never) {
                self.nevers.push(never);
            }
        }
        let all = self.tables.ids.len();
        self.single += usize::from(widest == all && all > 2);
        if self.stubborn.1 >= STUBBORN && widest == all || self.single > MOST_SINGLE {
            return Step::Stays(stop.text.clone());
        }
        Step::Again
    }

    /// The best arrangement that is unlike those found before.
    fn one(&mut self) -> One {
        let rank = self.found.len();
        let mut best: Option<(u64, Found, Vec<usize>)> = None;
        let mut done: Vec<Vec<usize>> = Vec::new();
        let mut above = None;
        self.floor.store(0, Ordering::Relaxed);
        loop {
            let most = self.most_gap();
            let extra = gap_cost(self.wish, most);
            let so_far = best.as_ref().map(|b| b.0);
            let tell = |p: Progress| self.bound(rank, p.bound + extra, so_far);
            let limit = Limit {
                above,
                // What costs as much as the best so far need not be looked for.
                below: so_far.map(|b| b.saturating_sub(extra)),
            };
            let Some(outcome) = self.solve(self.wish, limit, &done, &tell) else {
                return One::None;
            };
            let floor = outcome.bound.map(|b| b + extra);
            let settled = match (outcome.status, so_far, floor) {
                (Status::Infeasible, _, _) => true,
                (_, Some(best), Some(floor)) => floor >= best,
                _ => false,
            };
            if settled {
                return match best {
                    Some(best) => self.take(best, true),
                    None => One::None,
                };
            }
            let Some(choice) = outcome.choice else {
                return self.stopped(best);
            };
            let choice = &choice[..self.tables.ids.len()];
            match self.step(choice) {
                Step::Stays(what) => {
                    return match best {
                        Some(best) => self.take(best, false),
                        None => One::Stays(what),
                    };
                }
                Step::Again => {}
                Step::Sound(verdict) => {
                    if so_far.is_none_or(|b| verdict.cost < b) {
                        let found = self.named(&verdict, false);
                        self.tell(rank, found.clone());
                        best = Some((verdict.cost, found, choice.to_vec()));
                    }
                    if outcome.status == Status::Optimal {
                        let tight = Some(verdict.sum) == outcome.cost;
                        let widest = verdict.gap >= most.min(WIDE_GAP.as_um());
                        let gap_counts = self.wish.weights.of(Aim::SmallestGap) > 0;
                        if tight && (!gap_counts || widest) {
                            return self.take(best.expect("just found"), true);
                        }
                        if tight {
                            // All with a smaller gap cost no less: only wider ones are left.
                            above = Some(verdict.gap);
                        } else {
                            done.push(choice.to_vec());
                        }
                    }
                }
            }
            if outcome.status != Status::Optimal {
                return self.stopped(best);
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
        found.proved = proved && self.tables.complete;
        self.tell(self.found.len(), found.clone());
        self.found.push(found);
        self.unlike.push(Unlike {
            choice,
            parts: self.wish.differ.clamp(1, 2),
        });
        One::Best
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
        if let (Some(told), 0) = (self.run.told, rank) {
            told(News::Bound {
                least: points(least),
                best: best.map(points),
            });
        }
    }

    fn tell(&self, rank: usize, found: Found) {
        if let Some(told) = self.run.told {
            told(News::Found(rank, Box::new(found)));
        }
    }

    /// A name that is free, for the arrangement at this position from 1.
    fn name(&self, rank: usize) -> String {
        let free = |name: &String| self.scene.arrangements.iter().all(|a| a.name != *name);
        (0..)
            .map(|n| match n {
                0 => format!("found {rank}"),
                n => format!("found {rank} ({n})"),
            })
            .find(free)
            .expect("there are more numbers than arrangements")
    }

    /// Those that were let differ less at the end may be better than some before them.
    fn best_first(&mut self) {
        self.found.sort_by(|a, b| a.points.total_cmp(&b.points));
        for i in 0..self.found.len() {
            self.found[i].arrangement.name = self.name(i + 1);
        }
    }

    /// What was tried last, under a name that is free.
    fn named(&self, verdict: &Verdict, proved: bool) -> Found {
        let tried = self.trial.tried();
        let mut arrangement = Arrangement {
            name: self.name(self.found.len() + 1),
            ..tried.arrangement().clone()
        };
        for (id, place) in &mut arrangement.places {
            let was = self.scene.arrangement().places.get(id);
            place.locked = was.is_some_and(|p| p.locked);
        }
        let swapped = self.tables.ids.iter().filter_map(|id| {
            let (was, is) = (self.scene.parts.get(id)?, tried.parts.get(id)?);
            (was.kind.id != is.kind.id).then(|| (id.clone(), is.kind.clone()))
        });
        Found {
            arrangement,
            kinds: swapped.collect(),
            points: points(verdict.cost),
            figures: verdict.figures,
            proved,
        }
    }

    /// Which demands cannot all be met.
    fn impossible(&self) -> End {
        let over = Over {
            nevers: &self.nevers,
            unlike: &[],
            above: None,
        };
        let Ok(puzzle) = Puzzle::build(self.tables, self.scene, self.wish, &over) else {
            return End::Stopped;
        };
        let options = Options {
            time_limit: self.left(),
            cancel: self.run.cancel,
            ..Options::default()
        };
        match minimal_conflict(&puzzle.problem, &options) {
            Conflict::Demands {
                demands,
                irreducible,
            } => {
                let about = demands.into_iter().map(|d| puzzle.demands[d].clone());
                End::Impossible(words::clash(
                    self.scene,
                    self.wish,
                    self.tables,
                    about.collect(),
                    irreducible,
                ))
            }
            Conflict::None(_) | Conflict::Unknown => End::Stopped,
        }
    }
}

fn points(cost: u64) -> f64 {
    cost as f64 / POINT as f64
}
