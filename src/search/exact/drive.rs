//! Strategy around the tree search: first an arrangement, then ever higher limits.
//!
//! A depth-first search with a poor best cost loses itself in its first branches. So the cost
//! is not only pressed down from above: the search is run with limits well below the best cost.
//! Such a run is short, and either proves that nothing lies within its limit, which raises the
//! bound, or finds an arrangement within it and proves the best one on its way out.

use super::bare::Bare;
use super::bound::{Scratch, State};
use super::branch::{Found, Limits, Search};
use super::number::Real;
use super::problem::Problem;
use super::record::Record;
use super::rise::Rise;
use super::tables::{Open, Tables};
use super::tasks::Tasks;

/// Most sweeps at the root.
const ROOT_SWEEPS: usize = 30;
/// Nodes a part of the first run.
const FIRST_NODES: u64 = 30;
/// After a failed run of so many nodes, half as many are spent to find something better.
const LONG_RUN: u64 = 2000;

/// How whole costs of the caller become numbers of the search and back.
#[derive(Clone, Copy)]
pub(super) struct Units {
    /// All costs are multiples of it.
    pub(super) divisor: u64,
    /// A cost of one divisor becomes so much, to leave room for shares of it.
    pub(super) scale: u64,
}

impl Units {
    /// The number for a cost.
    pub(super) fn number<R: Real>(self, cost: u64) -> R {
        R::whole(cost / self.divisor * self.scale)
    }

    /// The least cost that is not below a number.
    pub(super) fn cost<R: Real>(self, number: R) -> u64 {
        (number.float() / self.scale as f64).ceil() as u64 * self.divisor
    }
}

/// Everything a (sub)problem is solved with.
pub(super) struct Driver<'a> {
    pub(super) problem: &'a Problem,
    pub(super) limits: &'a Limits<'a>,
    pub(super) record: &'a Record<'a>,
    pub(super) units: Units,
    pub(super) threads: usize,
}

/// How solving one (sub)problem ended.
pub(super) struct Solved {
    /// Nothing in it is cheaper than the best cost on record.
    pub(super) complete: bool,
    /// If not complete: it costs at least so much.
    pub(super) bound: u64,
    pub(super) nodes: u64,
}

impl Driver<'_> {
    /// Searches all arrangements of the open parts that are cheaper than the best on record;
    /// `prefix` holds the candidates chosen for the others. `raise` hears of better bounds.
    pub(super) fn solve<R: Real>(
        &self,
        open: &Open<'_>,
        prefix: &[u32],
        raise: &dyn Fn(u64),
    ) -> Solved {
        let units = self.units;
        let unit: R = units.number(units.divisor);
        let found = |cost: R, choice: &[u32]| {
            let choice = choice.iter().map(|&c| c as usize);
            self.record.found(units.cost(cost), choice);
        };
        let best = || self.record.best().map(|c| units.number::<R>(c));
        let top: R = best().map_or(units.number(self.problem.total()), |b| b - unit);
        let mut root = Tables::from_rules(self.problem, open, units.divisor, units.scale);
        if self.bound_root(&mut root, top).is_err() {
            return self.solved(true, top, 0);
        }
        let mut low: R = units.number(units.cost(root.base));
        raise(units.cost(low));
        let mut search = Search::new(self.limits, &found, self.problem.parts(), unit);
        let mut budget = FIRST_NODES * open.parts.len() as u64;
        loop {
            let run = search.run(root.clone(), prefix, top, budget);
            if run.complete || self.limits.stop() {
                low = self.cautious(low, &run, top + unit);
                return self.solved(run.complete, low, search.nodes);
            }
            if self.record.best().is_some() {
                break;
            }
            budget *= 2;
        }
        let mut high = best().unwrap_or(top);
        let mut rise = Rise::new(low.float(), high.float());
        let bare = Bare::new(self.problem, self.limits, self.units, &root);
        search.pack_with(bare.as_ref());
        let mut tasks = Tasks::new(&mut search, root, prefix, high - unit, self.threads);
        loop {
            if high <= low {
                return self.solved(true, low, search.nodes);
            }
            let wanted = rise.limit(low.float(), high.float()) / unit.float();
            let limit = R::whole(wanted.max(0.0) as u64 * units.scale).least(high - unit);
            let limit = if limit < low { low } else { limit };
            let budget = rise.budget(low.float(), limit.float());
            let before = search.nodes;
            let run = tasks.run(&mut search, limit, budget, self.threads);
            let spent = search.nodes - before;
            if let Some((cost, choice)) = &run.best {
                let choice = choice.iter().map(|&c| c as usize);
                self.record.prefer(units.cost(*cost), choice);
                high = *cost;
            }
            if self.limits.stop() || run.complete && run.best.is_some() {
                low = self.cautious(low, &run, limit + unit);
                return self.solved(run.complete, low, search.nodes);
            }
            rise.note(limit.float(), spent, run.complete);
            if run.complete {
                low = limit + unit;
                raise(units.cost(low));
            }
            if spent >= LONG_RUN && high > low {
                let better = tasks.dive(&mut search, high - unit, spent / 2);
                high = better.unwrap_or(high);
            }
        }
    }

    /// The bound after a run that was stopped: what it had not searched, or its limit.
    fn cautious<R: Real>(&self, low: R, run: &Found<R>, limit: R) -> R {
        let reached = run.floor.least(limit);
        if reached > low { reached } else { low }
    }

    fn solved<R: Real>(&self, complete: bool, bound: R, nodes: u64) -> Solved {
        Solved {
            complete,
            bound: self.units.cost(bound),
            nodes,
        }
    }

    fn bound_root<R: Real>(&self, root: &mut State<R>, top: R) -> Result<(), usize> {
        let mut scratch = Scratch::default();
        let mut last = root.base;
        for sweep in 0..ROOT_SWEEPS {
            root.sweep(sweep % 2 == 0, top, &mut scratch)?;
            if self.limits.stop() || sweep > 0 && root.base <= last {
                break;
            }
            last = root.base;
        }
        Ok(())
    }
}
