//! The best arrangement and bound so far, shared by all threads.

use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Instant;

use super::options::{Options, Outcome, Progress, Status};

#[derive(Default)]
struct Held {
    best: Option<(u64, Vec<usize>)>,
    first_us: Option<u64>,
    best_us: Option<u64>,
    bound: u64,
}

/// What is known so far; costs in the caller's units.
pub(super) struct Record<'a> {
    start: Instant,
    options: &'a Options<'a>,
    /// Nothing counts that costs so much.
    below: u64,
    held: Mutex<Held>,
}

impl<'a> Record<'a> {
    pub(super) fn new(start: Instant, options: &'a Options<'a>) -> Self {
        Self {
            start,
            options,
            below: options.below.unwrap_or(u64::MAX),
            held: Mutex::default(),
        }
    }

    /// Nothing counts from now on that costs so much.
    pub(super) fn limit(&mut self, below: u64) {
        self.below = below;
    }

    fn held(&self) -> MutexGuard<'_, Held> {
        self.held.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn elapsed_us(&self) -> u64 {
        u64::try_from(self.start.elapsed().as_micros()).unwrap_or(u64::MAX)
    }

    /// What an arrangement has to cost less than: the best so far, or what the caller set.
    pub(super) fn best(&self) -> Option<u64> {
        let best = self.held().best.as_ref().map_or(u64::MAX, |b| b.0);
        Some(best.min(self.below)).filter(|b| *b < u64::MAX)
    }

    /// Takes an arrangement if it is better than the best so far.
    pub(super) fn found(&self, cost: u64, choice: impl Iterator<Item = usize>) {
        let mut held = self.held();
        if held.best.as_ref().is_some_and(|b| b.0 <= cost) || cost >= self.below {
            return;
        }
        held.best = Some((cost, choice.collect()));
        let now = self.elapsed_us();
        held.best_us = Some(now);
        held.first_us.get_or_insert(now);
        self.tell(held);
    }

    /// Puts an arrangement of equal cost in place of the one that some thread was first to find,
    /// so that the outcome does not depend on which was.
    pub(super) fn prefer(&self, cost: u64, choice: impl Iterator<Item = usize>) {
        let mut held = self.held();
        if let Some(best) = held.best.as_mut().filter(|b| b.0 == cost) {
            best.1 = choice.collect();
        }
    }

    /// Raises the bound.
    pub(super) fn raise(&self, bound: u64) {
        let mut held = self.held();
        let bound = held.best.as_ref().map_or(bound, |b| bound.min(b.0));
        if bound > held.bound {
            held.bound = bound;
            self.tell(held);
        }
    }

    fn tell(&self, held: MutexGuard<'_, Held>) {
        let (bound, best) = (held.bound, held.best.as_ref().map(|b| b.0));
        drop(held);
        if let Some(progress) = self.options.progress {
            progress(Progress { bound, best });
        }
    }

    /// The outcome, `complete` if nothing better is left to find.
    pub(super) fn outcome(self, complete: bool, nodes: u64) -> Outcome {
        let total_us = self.elapsed_us();
        let held = self
            .held
            .into_inner()
            .unwrap_or_else(PoisonError::into_inner);
        let (cost, choice) = held.best.unzip();
        let proved = complete || cost.is_some_and(|c| c <= held.bound);
        Outcome {
            status: match (proved, cost.is_some()) {
                (true, true) => Status::Optimal,
                (false, true) => Status::Feasible,
                (true, false) => Status::Infeasible,
                (false, false) => Status::Unknown,
            },
            cost,
            bound: if proved { cost } else { Some(held.bound) },
            choice,
            first_us: held.first_us,
            best_us: held.best_us,
            total_us,
            nodes,
        }
    }
}
