//! Is there any arrangement at all? A search on bit sets alone, without costs.

use super::bits::{BitMatrix, count, members};
use super::branch::Limits;
use super::problem::{NEVER, Problem, RuleKind};

/// Nodes before the first restart; each later run may take twice as many.
const FIRST_RUN: u64 = 500;
/// Support is only checked while all parts together have at most so many candidates left.
const CHECK_SUPPORT: usize = 600;

/// The answer to the question.
pub(super) enum Answer {
    /// Yes, for example this (`u32::MAX` for a part that need not be there).
    Found(Vec<u32>),
    /// No, proved.
    Never,
    /// Stopped before it was known.
    Stopped,
}

/// Answers for the rules and parts whose demand is on; also gives the nodes it took.
pub(super) fn feasible(
    problem: &Problem,
    on: impl Fn(Option<usize>) -> bool,
    limits: &Limits<'_>,
) -> (Answer, u64) {
    let mut web = Web::new(problem, on);
    if web.domains.iter().any(|d| count(d) == 0) {
        return (Answer::Never, 1);
    }
    let mut budget = FIRST_RUN;
    loop {
        web.left = budget;
        let domains = web.domains.clone();
        let todo: Vec<usize> = (0..domains.len())
            .filter(|&i| count(&domains[i]) == 1)
            .collect();
        match web.node(domains, todo, limits) {
            Step::Found(domains) => {
                return (Answer::Found(web.choice(problem, &domains)), web.nodes);
            }
            Step::Exhausted => return (Answer::Never, web.nodes),
            Step::OutOfBudget => budget *= 2,
            Step::Stopped => return (Answer::Stopped, web.nodes),
        }
    }
}

type Domains = Vec<Vec<u64>>;

enum Step {
    Found(Domains),
    Exhausted,
    OutOfBudget,
    Stopped,
}

struct Web {
    parts: Vec<usize>,
    domains: Domains,
    /// Forbidden pairs of parts i and j, a row for each candidate of i, at `i * n + j`.
    forbidden: Vec<Option<BitMatrix>>,
    weights: Vec<f64>,
    nodes: u64,
    left: u64,
}

impl Web {
    fn new(problem: &Problem, on: impl Fn(Option<usize>) -> bool) -> Self {
        let there = |&p: &usize| on(problem.part_demand(p));
        let parts: Vec<usize> = (0..problem.parts()).filter(there).collect();
        let n = parts.len();
        let mut place = vec![usize::MAX; problem.parts()];
        for (i, &p) in parts.iter().enumerate() {
            place[p] = i;
        }
        let all = |&p: &usize| BitMatrix::new(1, problem.candidates(p), &mut |_, _| true);
        let mut web = Self {
            domains: parts.iter().map(|p| all(p).row(0).to_vec()).collect(),
            forbidden: (0..n * n).map(|_| None).collect(),
            weights: vec![1.0; n],
            nodes: 0,
            left: 0,
            parts,
        };
        for rule in problem.rules().iter().filter(|r| on(r.demand)) {
            match &rule.kind {
                RuleKind::One { part, cost } => {
                    if let Some(domain) = web.domains.get_mut(place[*part]) {
                        for (c, _) in cost.iter().enumerate().filter(|&(_, &c)| c == NEVER) {
                            domain[c / 64] &= !(1 << (c % 64));
                        }
                    }
                }
                RuleKind::Clash { a, b, hit } => {
                    web.forbid(problem, &place, *a, *b, |i, j| hit.get(i, j));
                }
                RuleKind::Pair { a, b, cost } => {
                    let width = problem.candidates(*b);
                    let never = |i: usize, j: usize| cost[i * width + j] == NEVER;
                    if cost.contains(&NEVER) {
                        web.forbid(problem, &place, *a, *b, never);
                    }
                }
            }
        }
        web
    }

    fn forbid(
        &mut self,
        problem: &Problem,
        place: &[usize],
        a: usize,
        b: usize,
        never: impl Fn(usize, usize) -> bool,
    ) {
        let (i, j, n) = (place[a], place[b], self.parts.len());
        if i == usize::MAX || j == usize::MAX {
            return;
        }
        let mut add = |at: usize, new: BitMatrix, rows: usize| match &mut self.forbidden[at] {
            Some(old) => {
                for r in 0..rows {
                    let pairs = old.row_mut(r).iter_mut().zip(new.row(r));
                    pairs.for_each(|(old, new)| *old |= new);
                }
            }
            none => *none = Some(new),
        };
        let (rows, columns) = (problem.candidates(a), problem.candidates(b));
        add(
            i * n + j,
            BitMatrix::new(rows, columns, &mut |x, y| never(x, y)),
            rows,
        );
        add(
            j * n + i,
            BitMatrix::new(columns, rows, &mut |x, y| never(y, x)),
            columns,
        );
    }

    fn choice(&self, problem: &Problem, domains: &Domains) -> Vec<u32> {
        let mut choice = vec![u32::MAX; problem.parts()];
        for (&p, domain) in self.parts.iter().zip(domains) {
            choice[p] = members(domain).next().map_or(u32::MAX, |c| c as u32);
        }
        choice
    }

    fn node(&mut self, mut domains: Domains, todo: Vec<usize>, limits: &Limits<'_>) -> Step {
        if limits.stop() {
            return Step::Stopped;
        }
        if self.left == 0 {
            return Step::OutOfBudget;
        }
        self.left -= 1;
        self.nodes += 1;
        if let Err(at) = self.propagate(&mut domains, todo) {
            self.weights[at] += 1.0;
            return Step::Exhausted;
        }
        let open = (0..domains.len()).filter_map(|i| {
            let left = count(&domains[i]);
            (left > 1).then(|| (left as f64 / self.weights[i], i))
        });
        let Some((_, i)) = open.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))) else {
            return Step::Found(domains);
        };
        for c in members(&domains[i].clone()) {
            let mut below = domains.clone();
            below[i].fill(0);
            below[i][c / 64] = 1 << (c % 64);
            match self.node(below, vec![i], limits) {
                Step::Exhausted => {}
                other => return other,
            }
        }
        Step::Exhausted
    }

    /// Rules out what the parts in `todo`, just fixed, forbid, and what then has no support.
    ///
    /// # Errors
    /// The part that has no candidate left.
    fn propagate(&self, domains: &mut Domains, mut todo: Vec<usize>) -> Result<(), usize> {
        let n = domains.len();
        loop {
            while let Some(i) = todo.pop() {
                let Some(c) = members(&domains[i]).next() else {
                    return Err(i);
                };
                for j in (0..n).filter(|&j| j != i) {
                    let Some(forbidden) = &self.forbidden[i * n + j] else {
                        continue;
                    };
                    let before = count(&domains[j]);
                    for (word, no) in domains[j].iter_mut().zip(forbidden.row(c)) {
                        *word &= !no;
                    }
                    match (before, count(&domains[j])) {
                        (_, 0) => return Err(j),
                        (2.., 1) => todo.push(j),
                        _ => {}
                    }
                }
            }
            if domains.iter().map(|d| count(d)).sum::<usize>() > CHECK_SUPPORT {
                return Ok(());
            }
            let changed = self.drop_unsupported(domains, &mut todo)?;
            if !changed {
                return Ok(());
            }
        }
    }

    /// Rules out candidates that some other part has no candidate to go with.
    fn drop_unsupported(
        &self,
        domains: &mut Domains,
        todo: &mut Vec<usize>,
    ) -> Result<bool, usize> {
        let n = domains.len();
        let mut changed = false;
        for i in 0..n {
            let before = count(&domains[i]);
            for j in (0..n).filter(|&j| j != i) {
                let Some(forbidden) = &self.forbidden[i * n + j] else {
                    continue;
                };
                let own: Vec<usize> = members(&domains[i]).collect();
                for c in own {
                    let mut pairs = domains[j].iter().zip(forbidden.row(c));
                    if pairs.all(|(word, no)| word & !no == 0) {
                        domains[i][c / 64] &= !(1 << (c % 64));
                    }
                }
            }
            let after = count(&domains[i]);
            changed |= after < before;
            match (before, after) {
                (_, 0) => return Err(i),
                (2.., 1) => todo.push(i),
                _ => {}
            }
        }
        Ok(changed)
    }
}
