//! The cheapest arrangement over discrete placements, with proof.
//!
//! A [`Problem`] has parts, each of which takes exactly one of its candidates; rules forbid and
//! price candidates and pairs of candidates. [`solve`] finds an arrangement of least cost and
//! proves it, or proves that there is none; stopped early, it gives the best arrangement so far
//! and a bound that no arrangement undercuts. [`minimal_conflict`] says which demands of an
//! infeasible problem cannot hold together.
//!
//! Inside it is a branch and bound over a weighted constraint network (`branch`), with bounds
//! from message passing between parts (`bound`, `tables`), led by runs with rising limits
//! (`drive`) over tasks for one or several threads (`tasks`). Problems without costs are left to a
//! search on bit sets (`feasible`); those too wide for dense tables have their first parts fixed
//! one by one (`wide`).

mod bare;
mod bits;
mod bound;
mod branch;
mod conflict;
mod drive;
mod feasible;
mod graph;
mod live;
mod number;
mod options;
mod packing;
mod problem;
mod record;
mod rise;
mod tables;
mod tasks;
#[cfg(test)]
mod tests;
mod wide;

use std::sync::atomic::AtomicBool;
use std::time::Instant;

pub use conflict::{Conflict, minimal_conflict};
pub use options::{Exclude, Options, Outcome, Progress, Status};
pub use problem::{Problem, ProblemError};

use branch::Limits;
use drive::{Driver, Units};
use feasible::{Answer, feasible};
use number::Real;
use problem::{NEVER, RuleKind};
use record::Record;
use wide::Rest;

/// Most numbers of the search to one unit of cost.
const MAX_SCALE: u64 = 64;

/// Searches for the cheapest arrangement.
///
/// All demands count. The cost, the bound and the status are the same on any machine unless a
/// time limit or the cancel flag ends the search; the arrangement and the number of nodes
/// depend on the number of threads only.
pub fn solve(problem: &Problem, options: &Options<'_>) -> Outcome {
    let start = Instant::now();
    let mut record = Record::new(start, options);
    let limits = Limits {
        cancel: options.cancel,
        deadline: options.time_limit.and_then(|t| start.checked_add(t)),
        stopped: AtomicBool::new(false),
        exclude: options.exclude,
    };
    let rest = Rest::all(problem);
    if rest.is_stuck() || options.below == Some(0) {
        return record.outcome(true, 0);
    }
    if problem.total() == 0 && options.exclude.is_empty() {
        let (answer, nodes) = feasible(problem, |_| true, &limits);
        if let Answer::Found(choice) = &answer {
            record.found(0, choice.iter().map(|&c| c as usize));
        }
        return record.outcome(!matches!(answer, Answer::Stopped), nodes);
    }
    let units = units(problem);
    if let Some(below) = options.below {
        // Costs are multiples of the divisor, so this is the same limit.
        record.limit(below.div_ceil(units.divisor).saturating_mul(units.divisor));
    }
    let driver = Driver {
        problem,
        limits: &limits,
        record: &record,
        units,
        threads: options.threads.max(1),
    };
    let mut prefix = vec![u32::MAX; problem.parts()];
    let raise = |bound| record.raise(bound);
    let small = problem.total() / units.divisor <= <f32 as Real>::MAX_TOTAL;
    let solved = if small {
        rest.solve::<f32>(&driver, &mut prefix, &raise)
    } else {
        rest.solve::<f64>(&driver, &mut prefix, &raise)
    };
    if !solved.complete {
        record.raise(solved.bound);
    }
    record.outcome(solved.complete, solved.nodes)
}

/// The largest divisor of all costs, and the scale that leaves most room for shares of it.
fn units(problem: &Problem) -> Units {
    let mut divisor = 0;
    for rule in problem.rules() {
        if let RuleKind::One { cost, .. } | RuleKind::Pair { cost, .. } = &rule.kind {
            for &c in cost.iter().filter(|&&c| c != NEVER) {
                if divisor == 0 || c % divisor != 0 {
                    divisor = greatest_common_divisor(divisor, c);
                }
            }
        }
    }
    let divisor = divisor.max(1);
    let total = problem.total() / divisor;
    let room = if total <= <f32 as Real>::MAX_TOTAL {
        <f32 as Real>::MAX_TOTAL
    } else {
        <f64 as Real>::MAX_TOTAL
    };
    let mut scale = MAX_SCALE;
    while scale > 1 && total.saturating_add(1).saturating_mul(scale) > room {
        scale /= 2;
    }
    Units { divisor, scale }
}

fn greatest_common_divisor(a: u64, b: u64) -> u64 {
    let (mut a, mut b) = (a, b);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}
