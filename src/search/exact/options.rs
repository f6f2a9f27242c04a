//! What a caller sets and what it gets back.

use std::sync::atomic::AtomicBool;
use std::time::Duration;

/// How to search.
#[derive(Clone, Copy)]
pub struct Options<'a> {
    /// Give up after this time with what there is by then.
    pub time_limit: Option<Duration>,
    /// Searching threads; 0 counts as 1. The outcome without a time limit depends on nothing
    /// else but the problem and this number.
    pub threads: usize,
    /// Set it from anywhere to stop the search within milliseconds.
    pub cancel: Option<&'a AtomicBool>,
    /// Hears of every better arrangement and every better bound; called from searching threads.
    pub progress: Option<&'a (dyn Fn(Progress) + Sync)>,
    /// Arrangements to keep away from.
    pub exclude: &'a [Exclude],
    /// Only arrangements that cost less count; without any, the outcome is 'infeasible'.
    pub below: Option<u64>,
}

impl Default for Options<'_> {
    /// One thread, no time limit, nothing excluded.
    fn default() -> Self {
        Self {
            time_limit: None,
            threads: 1,
            cancel: None,
            progress: None,
            exclude: &[],
            below: None,
        }
    }
}

/// An arrangement that a solution must differ from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Exclude {
    /// Candidate of every part.
    pub choice: Vec<usize>,
    /// At least so many parts must take another candidate.
    pub distance: usize,
}

impl Exclude {
    /// Whether an arrangement keeps away far enough.
    pub(super) fn admits(&self, choice: &[u32]) -> bool {
        let pairs = self.choice.iter().zip(choice);
        let same = pairs.filter(|&(&a, &b)| a == b as usize).count();
        choice.len() - same >= self.distance
    }
}

/// A state of the search on its way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// No arrangement costs less.
    pub bound: u64,
    /// Cost of the best arrangement so far.
    pub best: Option<u64>,
}

/// How far a search got.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// The arrangement given is of least cost, which is proved.
    Optimal,
    /// An arrangement is given; a cheaper one may exist.
    Feasible,
    /// There is no arrangement, which is proved.
    Infeasible,
    /// Stopped before any arrangement was found.
    Unknown,
}

/// What a search gives back.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// How far it got.
    pub status: Status,
    /// Cost of the arrangement given.
    pub cost: Option<u64>,
    /// No arrangement costs less; `None` if there is no arrangement at all.
    pub bound: Option<u64>,
    /// Candidate of every part.
    pub choice: Option<Vec<usize>>,
    /// Time to the first arrangement.
    pub first_us: Option<u64>,
    /// Time to the arrangement given.
    pub best_us: Option<u64>,
    /// Time to the end.
    pub total_us: u64,
    /// Nodes of the search tree.
    pub nodes: u64,
}
