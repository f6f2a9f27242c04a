//! Which demands cannot hold together.

use std::sync::atomic::AtomicBool;
use std::time::Instant;

use super::branch::Limits;
use super::feasible::{Answer, feasible};
use super::options::Options;
use super::problem::Problem;

/// Whether all demands of a problem can hold, and if not, which of them are to blame.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Conflict {
    /// An arrangement that meets them all: candidate of every part.
    None(Vec<usize>),
    /// These demands (by number) cannot all hold.
    Demands {
        /// Ascending; empty if what belongs to no demand is already too much.
        demands: Vec<usize>,
        /// Without any one of them, the others can hold. Not so if time ran out.
        irreducible: bool,
    },
    /// Stopped before it was known whether all demands can hold.
    Unknown,
}

/// Finds demands that cannot all hold, none of which could be left out of the list.
///
/// Demands are left out one by one, the last first, for good wherever the others still cannot
/// hold; so those to be kept in the answer if possible are best numbered first. Each step is a
/// search by itself that ignores costs. Of `options`, the time limit (for all steps together)
/// and the cancel flag count.
pub fn minimal_conflict(problem: &Problem, options: &Options<'_>) -> Conflict {
    let limits = Limits {
        cancel: options.cancel,
        deadline: options
            .time_limit
            .and_then(|t| Instant::now().checked_add(t)),
        stopped: AtomicBool::new(false),
        exclude: &[],
    };
    let mut on = vec![true; problem.demands().len()];
    let ask = |on: &[bool]| feasible(problem, |d| d.is_none_or(|d| on[d]), &limits).0;
    match ask(&on) {
        Answer::Found(choice) => {
            return Conflict::None(choice.into_iter().map(|c| c as usize).collect());
        }
        Answer::Stopped => return Conflict::Unknown,
        Answer::Never => {}
    }
    let mut irreducible = true;
    for d in (0..on.len()).rev() {
        on[d] = false;
        match ask(&on) {
            Answer::Never => {}
            Answer::Found(_) => on[d] = true,
            Answer::Stopped => {
                on[d] = true;
                irreducible = false;
            }
        }
    }
    let demands = (0..on.len()).filter(|&d| on[d]).collect();
    Conflict::Demands {
        demands,
        irreducible,
    }
}
