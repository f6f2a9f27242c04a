//! How far the next run goes above the bound.

/// A run may take about so many times as long as the one before.
const GROWTH: f64 = 6.0;
/// A last run may take so many times longer still, instead of one to just below the best cost
/// and another to it.
const LAST_GROWTH: f64 = 3.0;
/// Once less than this part of the first gap between bound and best cost is left, the limit may
/// go straight to the best cost.
const LAST_STRETCH: f64 = 0.3;
/// A run is given up after so many times the nodes of the last, but not before so many, and not
/// at all if it goes no further than this part of the first gap.
const PATIENCE: f64 = 30.0;
const LEAST_BUDGET: f64 = 3000.0;
const SMALL_STEP: f64 = 0.05;
/// Runs of so few nodes say nothing about how work grows.
const FEW_NODES: f64 = 10.0;

/// Chooses limits from what the runs so far have cost. The work of a run grows about
/// exponentially with its limit, so that all failed runs together cost little more than the last.
pub(super) struct Rise {
    first_gap: f64,
    /// Limit and nodes of the last run that was not given up.
    last: (f64, f64),
    /// Growth of the logarithm of the nodes with the limit.
    rate: f64,
    /// Limit of a run given up since.
    too_far: f64,
}

impl Rise {
    /// For a bound and a best cost.
    pub(super) fn new(low: f64, high: f64) -> Self {
        Self {
            first_gap: high - low,
            last: (low, FEW_NODES),
            rate: 0.0,
            too_far: f64::INFINITY,
        }
    }

    /// The next limit, at least `low` and at most `high`.
    pub(super) fn limit(&self, low: f64, high: f64) -> f64 {
        let near = high - low < LAST_STRETCH * self.first_gap;
        let mut wanted = if near { high } else { low + (high - low) / 2.0 };
        if self.rate > 0.0 {
            let reach = self.last.0 + GROWTH.ln() / self.rate;
            if reach + LAST_GROWTH.ln() / self.rate < high {
                wanted = wanted.min(reach);
            }
        }
        wanted = wanted.min(low + (self.too_far - low) / 3.0);
        wanted.max(low)
    }

    /// After how many nodes to give up a run with this limit.
    pub(super) fn budget(&self, low: f64, limit: f64) -> u64 {
        if limit - low < SMALL_STEP * self.first_gap {
            u64::MAX
        } else {
            (self.last.1 * PATIENCE).max(LEAST_BUDGET) as u64
        }
    }

    /// Notes what a run with this limit has cost, to its end or until it was given up.
    pub(super) fn note(&mut self, limit: f64, nodes: u64, complete: bool) {
        let nodes = (nodes as f64).max(FEW_NODES);
        let further = limit - self.last.0;
        if further > 0.0 {
            self.rate = (nodes / self.last.1).ln() / further;
        }
        if complete {
            self.last = (limit, nodes);
            self.too_far = f64::INFINITY;
        } else {
            self.too_far = limit;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cheap_runs_halve_the_gap_and_then_close_it() {
        let mut rise = Rise::new(0.0, 100.0);
        let mut low = 0.0;
        let mut limits = Vec::new();
        while low < 100.0 {
            let limit = rise.limit(low, 100.0);
            rise.note(limit, 3, true);
            limits.push(limit);
            low = limit;
        }
        assert_eq!(limits, [50.0, 75.0, 100.0]);
    }

    #[test]
    fn dear_runs_make_small_steps() {
        let mut rise = Rise::new(0.0, 100.0);
        rise.note(50.0, 1000, true); // a hundred times the work in fifty steps
        let step = rise.limit(50.0, 100.0) - 50.0;
        let expected = 50.0 * 6f64.ln() / 100f64.ln();
        assert!((step - expected).abs() < 1e-9, "{step}");
    }

    #[test]
    fn a_run_to_just_below_the_best_cost_goes_all_the_way() {
        let mut rise = Rise::new(0.0, 100.0);
        rise.note(80.0, 1000, true); // six times the work takes it to 111 or so
        assert_eq!(rise.limit(80.0, 100.0), 100.0);
        let mut rise = Rise::new(0.0, 100.0);
        rise.note(80.0, 100_000, true); // to 96, twice as much to 100
        assert_eq!(rise.limit(80.0, 100.0), 100.0);
    }

    #[test]
    fn a_run_given_up_is_followed_by_a_shorter_one() {
        let mut rise = Rise::new(0.0, 100.0);
        let limit = rise.limit(0.0, 100.0);
        assert!(rise.budget(0.0, limit) < u64::MAX);
        rise.note(limit, 3000, false);
        let shorter = rise.limit(0.0, 100.0);
        assert!(shorter <= limit / 3.0, "{shorter}");
        assert_eq!(
            rise.budget(0.0, 1.0),
            u64::MAX,
            "small steps are never given up"
        );
    }
}
