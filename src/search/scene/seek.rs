//! The search itself: solve, try, learn, until the best is proved.

use super::answer::{Answer, End, Found, News};
use super::best::{One, Quest};
use super::leads::POINT;
use super::lessons::Lessons;
use super::looked::{as_far_as_looked, notes};
use super::puzzle::{Over, Puzzle, Unlike};
use super::run::Run;
use super::tables::Tables;
use super::trial::{Trial, Verdict};
use super::wish::{Aim, MOST_WEIGHT, Weights, Wish};
use super::words;
use crate::model::{Arrangement, Cable, Catalogue, Scene, Settings};
use crate::search::exact::{
    Conflict, Exclude, Options, Outcome, Progress, minimal_conflict, solve,
};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// After so many arrangements in a row with the same stop, it is taken to be one that
/// places do not decide on.
const STUBBORN: usize = 24;

/// After so many arrangements that taught nothing about fewer parts than all, the search
/// gives up: trying them one by one would not end.
const MOST_SINGLE: usize = 200;

/// After so many that differ from one that was found in the order of like parts only, no more
/// are looked for.
const MOST_REPEATS: usize = 12;

/// Looks for arrangements of the scene's arrangement at hand, best first, each without a
/// stop finding (but for those that the user accepted) and different from the others.
pub fn seek(
    scene: &Scene,
    wish: &Wish,
    settings: &Arc<Settings>,
    catalogue: &Arc<Catalogue>,
    run: &Run,
) -> Answer {
    let at_hand = scene;
    let straight = straight(scene, wish);
    let scene = &straight;
    let deadline = run.time_limit.and_then(|t| Instant::now().checked_add(t));
    let stop = || {
        run.cancel.is_some_and(|c| c.load(Ordering::Relaxed))
            || deadline.is_some_and(|d| Instant::now() >= d)
    };
    let tables = Tables::build(scene, wish, settings, catalogue, run.most_places, &stop);
    let places = tables.movers.iter().map(|m| m.spots.len()).sum();
    let answer = |found, end, at_hand| Answer {
        found,
        end,
        at_hand,
        places,
        notes: notes(&tables, scene),
    };
    if stop() {
        return answer(Vec::new(), End::Stopped, None);
    }
    if tables.ids.is_empty() {
        return answer(Vec::new(), End::NothingMoves, None);
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
        trial: Trial::new(at_hand, scene, wish, &tables, settings, catalogue, &stop),
        lessons: Lessons::default(),
        unlike: Vec::new(),
        stubborn: (String::new(), 0),
        single: 0,
        floor: AtomicU64::new(0),
        head: None,
        found: Vec::new(),
        open: None,
        repeats: 0,
    };
    let at_hand = seeker.trial.value_at_hand();
    if let Some(told) = run.told {
        told(News::AtHand(at_hand));
    }
    let mut end = seeker.all();
    // With time set aside for it, what is left of it goes into the proof of the first.
    if run.keep_on && matches!(end, End::Within(_)) && !stop() {
        end = seeker.prove().map_or(End::Proved, End::Within);
    }
    seeker.best_first();
    let end = as_far_as_looked(end, tables.left_out);
    let mut cables = seeker.trial.at_hand.arrangement().cables.values();
    let tied = cables.any(|c| c.is_tied() && seeker.trial.moves(c));
    let mut answer = answer(seeker.found, end, Some(at_hand));
    if tied {
        answer.notes.push(
            "Ways along ties that were chosen count as what the cables need without them: the \
             search lays its ways without ties"
                .to_owned(),
        );
    }
    if matches!(answer.end, End::Within(_) | End::SoFar) && !stop() {
        answer.notes.push(
            "After many sound arrangements no more was proved, for what parts together do to \
             cables leaves the rest open; with more time, or fewer that may move, it comes closer"
                .to_owned(),
        );
    }
    answer
}

/// The scene without the corners of cables with an end that may move: they mean nothing
/// there. What is pinned stays. Straight is the least that their ways need.
fn straight(scene: &Scene, wish: &Wish) -> Scene {
    let moving = wish.moving(scene);
    let moves = |c: &Cable| c.ports().any(|p| moving.contains(&&p.part));
    let ids = scene.arrangement().cables.iter();
    let ids = ids.filter(|(_, c)| moves(c)).map(|(id, _)| id.clone());
    let ids: Vec<_> = ids.collect();
    let mut straight = scene.clone();
    for id in ids {
        if let Some(cable) = straight.arrangement_mut().cables.get_mut(&id) {
            cable.straighten();
        }
    }
    straight
}

pub(super) struct Seeker<'a> {
    pub(super) scene: &'a Scene,
    pub(super) wish: &'a Wish,
    pub(super) run: &'a Run<'a>,
    pub(super) deadline: Option<Instant>,
    pub(super) tables: &'a Tables,
    pub(super) trial: Trial<'a>,
    pub(super) lessons: Lessons,
    pub(super) unlike: Vec<Unlike>,
    /// The stop of the last arrangements, and how many of them had it.
    pub(super) stubborn: (String, usize),
    /// How many arrangements taught nothing about fewer parts than all.
    pub(super) single: usize,
    /// What the one that is looked for costs at least, as far as is known.
    pub(super) floor: AtomicU64,
    /// The first sound one, with its cost and choice, until the search for the best takes it.
    pub(super) head: Option<(u64, Found, Vec<usize>)>,
    pub(super) found: Vec<Found>,
    /// The first of the list, where it was given up for a while to prove it.
    pub(super) open: Option<Quest>,
    /// How many were left out that differ from one of those in the order of like parts only.
    pub(super) repeats: usize,
}

/// What one run of the exact search keeps within.
#[derive(Clone, Copy, Default)]
pub(super) struct Limit {
    /// Gaps in micrometres above this only.
    pub(super) above: Option<i64>,
    /// Costs below this only.
    pub(super) below: Option<u64>,
    /// What was learned of costs counts.
    pub(super) costs: bool,
}

/// What one step of the search came to.
pub(super) enum Step {
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
        // How close the first is to the best possible, once it was given up to prove more.
        let mut near = None;
        let proved = |near: Option<f64>| near.map_or(End::Proved, End::Within);
        while self.found.len() < self.wish.top.max(1) && self.repeats < MOST_REPEATS {
            let first = self.found.is_empty();
            match self.one() {
                One::Best => {}
                One::Near(share) if first => near = Some(share),
                One::Near(_) => {}
                One::None if self.found.is_empty() => return self.impossible(),
                One::None if differ > 1 => {
                    differ = 1;
                    for u in &mut self.unlike {
                        u.parts = 1;
                    }
                }
                One::None => return proved(near),
                One::Stopped(share) if first => {
                    return share.map_or(End::Stopped, End::Within);
                }
                // The first is proved; what came after it is as far as time went.
                One::Stopped(_) => return proved(near),
                One::Stays(what) if self.found.is_empty() => return End::Stays(what),
                One::Stays(_) => return proved(near),
            }
            if let Some(last) = self.unlike.last_mut() {
                last.parts = differ;
            }
        }
        proved(near)
    }

    /// A sound arrangement that moves little, so that there is something to show soon.
    fn first(&mut self) -> Option<End> {
        let careless = Wish {
            weights: Weights::none().with(Aim::PartsMoved, MOST_WEIGHT),
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
                    self.tell(0, found.clone());
                    self.head = Some((verdict.cost, found, choice));
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

    pub(super) fn solve(
        &self,
        wish: &Wish,
        limit: Limit,
        done: &[Vec<usize>],
        progress: &(dyn Fn(Progress) + Sync),
    ) -> Option<Outcome> {
        let over = Over {
            lessons: Some(&self.lessons),
            costs: limit.costs,
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
    pub(super) fn step(&mut self, choice: &[usize]) -> Step {
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
            self.lessons.never(never);
        }
        let all = (0..self.tables.ids.len()).collect();
        let all = self.trial.choosing(&all).len();
        self.single += usize::from(widest == all && all > 2);
        if self.stubborn.1 >= STUBBORN && widest == all || self.single > MOST_SINGLE {
            return Step::Stays(stop.text.clone());
        }
        Step::Again
    }

    pub(super) fn tell(&self, rank: usize, found: Found) {
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
        let mut rank = 0;
        for i in 0..self.found.len() {
            if !self.found[i].stands {
                rank += 1;
                self.found[i].arrangement.name = self.name(rank);
            }
        }
    }

    /// What was tried last, under a name that is free.
    pub(super) fn named(&self, verdict: &Verdict, proved: bool) -> Found {
        let tried = self.trial.tried();
        let others = self.found.iter().filter(|f| !f.stands).count();
        let mut arrangement = Arrangement {
            name: self.name(others + 1),
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
        let mut found = Found {
            arrangement,
            kinds: swapped.collect(),
            points: points(verdict.cost),
            figures: verdict.figures,
            proved,
            stands: false,
        };
        let at_hand = self.trial.at_hand;
        if found.is_at_hand(at_hand) {
            found.stands = true;
            found
                .arrangement
                .name
                .clone_from(&at_hand.arrangement().name);
        }
        found
    }

    /// Which demands cannot all be met.
    fn impossible(&self) -> End {
        let over = Over {
            lessons: Some(&self.lessons),
            unlike: &[],
            ..Over::default()
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

pub(super) fn points(cost: u64) -> f64 {
    cost as f64 / POINT as f64
}
