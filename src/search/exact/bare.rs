//! From the tree search to the packing of parts that no cost ties together any more.

use super::bound::State;
use super::branch::Limits;
use super::drive::Units;
use super::graph::Graph;
use super::number::Real;
use super::packing::{Packing, Pool};
use super::problem::{NEVER, Problem, RuleKind};

/// Fewest parts that packing is worth it for.
const FEWEST: usize = 4;

/// When and how to treat open parts as a packing.
pub(super) struct Bare<'a> {
    problem: &'a Problem,
    limits: &'a Limits<'a>,
    units: Units,
    /// Whether two parts have a cost between them, at `a * parts + b`.
    priced: Vec<bool>,
    graph: Graph,
}

/// How a packing ended.
pub(super) struct Packed {
    /// Cost in all, and candidate of each part packed.
    pub(super) best: Option<(f64, Vec<(usize, u32)>)>,
    pub(super) complete: bool,
    pub(super) nodes: u64,
}

impl<'a> Bare<'a> {
    /// `None` where it would hardly ever apply: if too few parts have no cost between them.
    pub(super) fn new<R: Real>(
        problem: &'a Problem,
        limits: &'a Limits<'a>,
        units: Units,
        root: &State<R>,
    ) -> Option<Self> {
        let n = problem.parts();
        let mut priced = vec![false; n * n];
        for rule in problem.rules() {
            if let RuleKind::Pair { a, b, .. } = rule.kind {
                priced[a * n + b] = true;
                priced[b * n + a] = true;
            }
        }
        let ties = |p: &usize| (0..n).filter(|q| priced[p * n + q]).count();
        let mut parts: Vec<usize> = root.vars.iter().map(|&i| root.tables().part[i]).collect();
        parts.sort_by_key(ties);
        let mut untied: Vec<usize> = Vec::new();
        for &p in &parts {
            if untied.iter().all(|q| !priced[p * n + q]) {
                untied.push(p);
            }
        }
        if !limits.exclude.is_empty() || untied.len() < FEWEST || untied.len() * 2 <= parts.len() {
            return None;
        }
        Some(Self {
            problem,
            limits,
            units,
            priced,
            graph: Graph::new(root, n)?,
        })
    }

    /// Whether the open parts are a packing.
    pub(super) fn applies<R: Real>(&self, state: &State<R>) -> bool {
        let part = &state.tables().part;
        let n = self.problem.parts();
        let tied = |i: usize, j: usize| self.priced[part[i] * n + part[j]];
        let mut vars = state.vars.iter();
        state.vars.len() >= FEWEST && vars.all(|&i| state.vars.iter().all(|&j| !tied(i, j)))
    }

    /// The best packing of the open parts at a cost of at most `limit` in all, given the
    /// candidates chosen for the others.
    pub(super) fn solve<R: Real>(
        &self,
        state: &State<R>,
        choice: &[u32],
        limit: R,
        budget: u64,
        pool: &mut Pool,
    ) -> Packed {
        let t = state.tables();
        let mut place = vec![usize::MAX; self.problem.parts()];
        let mut groups: Vec<Vec<(usize, u64, u32)>> = Vec::with_capacity(state.vars.len());
        for (g, &i) in state.vars.iter().enumerate() {
            place[t.part[i]] = g;
            let alive = t.values(i).filter(|&v| state.cost[v] < R::FORBIDDEN);
            let vertex = |v: usize| {
                let vertex = self.graph.vertex(t.part[i], t.candidate[v])?;
                Some((vertex, 0, t.candidate[v]))
            };
            groups.push(alive.filter_map(vertex).collect());
        }
        let mut base = 0;
        for rule in self.problem.rules() {
            match &rule.kind {
                RuleKind::Clash { .. } => {}
                RuleKind::One { part, cost } => match groups.get_mut(place[*part]) {
                    Some(group) => add(group, |c| cost[c]),
                    None => base += cost[choice[*part] as usize],
                },
                RuleKind::Pair { a, b, cost } => {
                    let width = self.problem.candidates(*b);
                    let (row, column) = (choice[*a] as usize, choice[*b] as usize);
                    if let Some(group) = groups.get_mut(place[*a]) {
                        add(group, |c| cost[c * width + column]);
                    } else if let Some(group) = groups.get_mut(place[*b]) {
                        add(group, |c| cost[row * width + c]);
                    } else {
                        base += cost[row * width + column];
                    }
                }
            }
        }
        let number = |c: u64| self.units.number::<f64>(c);
        let vertices: Vec<Vec<(usize, f64)>> = (groups.iter())
            .map(|g| g.iter().map(|&(v, c, _)| (v, number(c))).collect())
            .collect();
        let base = number(base);
        let unit = number(self.units.divisor);
        let mut packing = Packing::new(
            &self.graph,
            self.limits,
            &vertices,
            unit,
            limit.float() - base,
        );
        packing.budget = budget;
        let best = packing.solve(&vertices, pool);
        let origin = |v: usize| self.graph.origin[v];
        Packed {
            best: best.map(|(c, all)| (base + c, all.into_iter().map(origin).collect())),
            complete: !packing.gave_up,
            nodes: packing.nodes,
        }
    }
}

/// Adds a cost to each candidate of a group; those it forbids are dropped.
fn add(group: &mut Vec<(usize, u64, u32)>, cost: impl Fn(usize) -> u64) {
    group.retain_mut(|(_, sum, candidate)| {
        let more = cost(*candidate as usize);
        *sum = sum.saturating_add(more);
        more != NEVER
    });
}
