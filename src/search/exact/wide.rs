//! Problems too wide for dense tables: parts are fixed one by one until the rest fits.

use super::drive::{Driver, Solved};
use super::number::Real;
use super::problem::{NEVER, Problem, Rule, RuleKind};
use super::tables::{Open, Tables};

/// Bytes that the tables of one dense problem may take.
const TABLE_BYTES: usize = 64 << 20;

/// Parts still open, the candidates left to each and what these cost by now.
pub(super) struct Rest {
    parts: Vec<usize>,
    candidates: Vec<Vec<u32>>,
    cost: Vec<Vec<u64>>,
    base: u64,
}

impl Rest {
    /// All parts, without the candidates that are forbidden by themselves or by pairs with every
    /// candidate of a part.
    pub(super) fn all(problem: &Problem) -> Self {
        let parts: Vec<usize> = (0..problem.parts()).collect();
        let mut cost: Vec<Vec<u64>> = (parts.iter())
            .map(|&p| {
                let own = 0..problem.candidates(p);
                own.map(|c| if problem.is_dead(p, c) { NEVER } else { 0 })
                    .collect()
            })
            .collect();
        for rule in problem.rules() {
            if let RuleKind::One { part, cost: own } = &rule.kind {
                for (sum, &c) in cost[*part].iter_mut().zip(own) {
                    *sum = plus(*sum, c);
                }
            }
        }
        let candidates = (cost.iter().map(|own| 0..own.len() as u32)).map(Vec::from_iter);
        let candidates = candidates.collect();
        let mut rest = Self {
            parts,
            candidates,
            cost,
            base: 0,
        };
        rest.drop_forbidden();
        rest
    }

    /// Whether some part has no candidate left.
    pub(super) fn is_stuck(&self) -> bool {
        self.candidates.iter().any(Vec::is_empty)
    }

    fn drop_forbidden(&mut self) {
        for (candidates, cost) in self.candidates.iter_mut().zip(&mut self.cost) {
            let mut own = cost.iter();
            candidates.retain(|_| own.next().is_some_and(|&c| c != NEVER));
            cost.retain(|&c| c != NEVER);
        }
    }

    /// Sum of the cheapest candidates.
    fn bound(&self) -> u64 {
        let least = self.cost.iter().filter_map(|own| own.iter().min());
        self.base + least.sum::<u64>()
    }

    /// What is left once the part at `at` takes its candidate at `k`; `None` if a part is stuck.
    fn fix(&self, problem: &Problem, at: usize, k: usize) -> Option<Self> {
        let (part, candidate) = (self.parts[at], self.candidates[at][k] as usize);
        let mut place = vec![usize::MAX; problem.parts()];
        for (x, &p) in self.parts.iter().enumerate() {
            place[p] = x;
        }
        let mut cost = self.cost.clone();
        for rule in problem.rules() {
            let Some(other) = partner(rule, part) else {
                continue;
            };
            if place[other] == usize::MAX {
                continue;
            }
            let x = place[other];
            for (sum, &d) in cost[x].iter_mut().zip(&self.candidates[x]) {
                *sum = plus(*sum, entry(problem, rule, part, candidate, d as usize));
            }
        }
        let without = |x: &usize| *x != at;
        let keep = |n: usize| (0..n).filter(without);
        let n = self.parts.len();
        let mut rest = Self {
            parts: keep(n).map(|x| self.parts[x]).collect(),
            candidates: keep(n).map(|x| self.candidates[x].clone()).collect(),
            cost: keep(n).map(|x| std::mem::take(&mut cost[x])).collect(),
            base: self.base + self.cost[at][k],
        };
        rest.drop_forbidden();
        (!rest.is_stuck()).then_some(rest)
    }

    /// Solves what is left; `raise` hears of better bounds.
    pub(super) fn solve<R: Real>(
        &self,
        driver: &Driver<'_>,
        prefix: &mut Vec<u32>,
        raise: &dyn Fn(u64),
    ) -> Solved {
        let cells: usize = Tables::<R>::demand(self.candidates.iter().map(Vec::len));
        if cells <= TABLE_BYTES / size_of::<R>() {
            let open = Open {
                parts: &self.parts,
                candidates: &self.candidates,
                cost: &self.cost,
                base: self.base,
            };
            return driver.solve::<R>(&open, prefix, raise);
        }
        let mut solved = Solved {
            complete: true,
            bound: u64::MAX,
            nodes: 1,
        };
        let fewest = (0..self.parts.len()).min_by_key(|&x| self.candidates[x].len());
        let Some(at) = fewest else { return solved };
        let mut values = Vec::new();
        for k in 0..self.candidates[at].len() {
            if driver.limits.stop() {
                solved.complete = false;
                solved.bound = self.bound();
                return solved;
            }
            let rest = self.fix(driver.problem, at, k);
            values.extend(rest.map(|r| (r.bound(), k)));
        }
        values.sort_unstable();
        for (bound, k) in values {
            raise(bound);
            if driver.record.best().is_some_and(|b| b <= bound) {
                break;
            }
            if driver.limits.stop() {
                solved.complete = false;
                solved.bound = solved.bound.min(bound);
                break;
            }
            prefix[self.parts[at]] = self.candidates[at][k];
            if let Some(rest) = self.fix(driver.problem, at, k) {
                let below = rest.solve::<R>(driver, prefix, &|_| {});
                solved.complete &= below.complete;
                solved.nodes += below.nodes;
                if !below.complete {
                    solved.bound = solved.bound.min(below.bound);
                }
            }
        }
        solved
    }
}

fn plus(sum: u64, cost: u64) -> u64 {
    if sum == NEVER || cost == NEVER {
        NEVER
    } else {
        sum + cost
    }
}

/// The other part of a pair rule of `part`.
fn partner(rule: &Rule, part: usize) -> Option<usize> {
    match rule.kind {
        RuleKind::One { .. } => None,
        RuleKind::Clash { a, b, .. } | RuleKind::Pair { a, b, .. } => {
            if a == part {
                Some(b)
            } else {
                (b == part).then_some(a)
            }
        }
    }
}

/// What a pair rule says of candidate `c` of `part` and candidate `d` of the other.
fn entry(problem: &Problem, rule: &Rule, part: usize, c: usize, d: usize) -> u64 {
    match &rule.kind {
        RuleKind::One { .. } => 0,
        RuleKind::Clash { a, hit, .. } => {
            let hit = if *a == part {
                hit.get(c, d)
            } else {
                hit.get(d, c)
            };
            if hit { NEVER } else { 0 }
        }
        RuleKind::Pair { a, b, cost } => {
            let (row, column) = if *a == part { (c, d) } else { (d, c) };
            cost[row * problem.candidates(*b) + column]
        }
    }
}
