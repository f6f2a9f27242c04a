//! Depth-first branch and bound over the open parts.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use super::bare::Bare;
use super::bound::{Scratch, State};
use super::number::Real;
use super::options::Exclude;
use super::packing::Pool;
use super::tables::Tables;

/// Most sweeps at one node; the root's are made by the driver.
const SWEEPS: usize = 10;
/// The same where packing takes over.
const BARE_SWEEPS: usize = 2;
/// A further sweep is worth it while the last one closed this part of what was left to close.
const WORTH: f64 = 1.0 / 8.0;
/// Every value counts at least so much in a variable's score, however dear it is.
const LEAST_SCORE: f64 = 0.3;
/// What one failure adds to the weight of the part at which it showed, and the largest weight.
const FAILURE: f64 = 0.003;
const MAX_WEIGHT: f64 = 3.0;
/// Squeeze once at most this part of the cells is still in use.
const SQUEEZE: f64 = 0.4;

/// What all searching threads share.
pub(super) struct Limits<'a> {
    pub(super) cancel: Option<&'a AtomicBool>,
    pub(super) deadline: Option<Instant>,
    pub(super) stopped: AtomicBool,
    pub(super) exclude: &'a [Exclude],
}

impl Limits<'_> {
    /// Whether to stop: cancelled, out of time, or another thread found so.
    pub(super) fn stop(&self) -> bool {
        if self.stopped.load(Ordering::Relaxed) {
            return true;
        }
        let cancelled = self.cancel.is_some_and(|c| c.load(Ordering::Relaxed));
        let late = self.deadline.is_some_and(|d| Instant::now() >= d);
        if cancelled || late {
            self.stopped.store(true, Ordering::Relaxed);
        }
        cancelled || late
    }
}

/// The best of one (sub)problem: the whole one, or a group of parts that no longer touches others.
struct Frame<R> {
    limit: R,
    best: Option<(R, Vec<u32>)>,
}

/// How a search ended.
pub(super) struct Found<R> {
    /// Cost and candidates (by part) of the best arrangement found within the limit.
    pub(super) best: Option<(R, Vec<u32>)>,
    /// Nothing else lies within the limit.
    pub(super) complete: bool,
    /// If not complete: what is not yet searched costs at least so much.
    pub(super) floor: R,
}

/// One searching thread.
pub(super) struct Search<'a, R> {
    limits: &'a Limits<'a>,
    on_found: &'a (dyn Fn(R, &[u32]) + Sync),
    unit: R,
    bare: Option<&'a Bare<'a>>,
    pool: Pool,
    pub(super) weights: Vec<f64>,
    pub(super) nodes: u64,
    budget: u64,
    choice: Vec<u32>,
    frames: Vec<Frame<R>>,
    floor: R,
    gave_up: bool,
    scratch: Scratch<R>,
    spare: Vec<Tables<R>>,
    gains: Vec<Vec<R>>,
}

/// Where to branch: a variable and its values, cheapest first, with their least added cost.
pub(super) struct Branch<R> {
    variable: usize,
    values: Vec<(R, usize)>,
}

impl<'a, R: Real> Search<'a, R> {
    /// A search over `parts` parts whose costs are multiples of `unit`; `on_found` hears of each
    /// better arrangement.
    pub(super) fn new(
        limits: &'a Limits<'a>,
        on_found: &'a (dyn Fn(R, &[u32]) + Sync),
        parts: usize,
        unit: R,
    ) -> Self {
        Self {
            limits,
            on_found,
            unit,
            bare: None,
            pool: Pool::new(),
            weights: vec![1.0; parts],
            nodes: 0,
            budget: u64::MAX,
            choice: vec![u32::MAX; parts],
            frames: Vec::new(),
            floor: R::BIG,
            gave_up: false,
            scratch: Scratch::default(),
            spare: Vec::new(),
            gains: Vec::new(),
        }
    }

    /// Searches everything below `root` that costs at most `limit`, `prefix` being the
    /// candidates already chosen; gives up after `budget` nodes.
    pub(super) fn run(
        &mut self,
        root: State<R>,
        prefix: &[u32],
        limit: R,
        budget: u64,
    ) -> Found<R> {
        self.choice.copy_from_slice(prefix);
        self.budget = self.nodes.saturating_add(budget);
        self.gave_up = false;
        self.floor = root.base;
        self.frames.push(Frame { limit, best: None });
        self.node(root, 0);
        let best = self.frames.pop().and_then(|f| f.best);
        Found {
            best,
            complete: !self.gave_up,
            floor: self.floor,
        }
    }

    /// What all costs are multiples of.
    pub(super) fn unit(&self) -> R {
        self.unit
    }

    /// From now on leaves parts without costs between them to packing.
    pub(super) fn pack_with(&mut self, bare: Option<&'a Bare<'a>>) {
        self.bare = bare;
    }

    /// Another search that starts from what this one has learned.
    pub(super) fn fork(&self) -> Self {
        let mut fork = Self::new(self.limits, self.on_found, self.choice.len(), self.unit);
        fork.bare = self.bare;
        fork.pool.clone_from(&self.pool);
        fork.weights.copy_from_slice(&self.weights);
        fork
    }

    /// Adds what a fork has learned since its weights were `before`.
    pub(super) fn learn(&mut self, before: &[f64], after: &[f64]) {
        for ((own, b), a) in self.weights.iter_mut().zip(before).zip(after) {
            *own = (*own + a - b).min(MAX_WEIGHT);
        }
    }

    fn limit(&self) -> R {
        self.frames.last().map_or(R::ZERO, |f| f.limit)
    }

    fn spent(&mut self) -> bool {
        self.gave_up = self.gave_up || self.nodes >= self.budget || self.limits.stop();
        self.gave_up
    }

    /// Whether the open parts can still take the choice far enough from all that is excluded.
    fn may_differ(&self, state: &State<R>) -> bool {
        self.limits.exclude.iter().all(|e| {
            let same = |p: usize| {
                e.choice
                    .get(p)
                    .is_some_and(|&c| c == self.choice[p] as usize)
            };
            let open = |p: usize| state.vars.iter().any(|&i| state.tables().part[i] == p);
            let kept = (0..self.choice.len()).filter(|&p| !open(p) && same(p));
            self.choice.len() - kept.count() >= e.distance
        })
    }

    /// Everything is chosen: takes it if it is better.
    fn leaf(&mut self, cost: R) {
        let outer = self.frames.len() == 1;
        if outer && !self.limits.exclude.iter().all(|e| e.admits(&self.choice)) {
            return;
        }
        let unit = self.unit;
        if let Some(frame) = self.frames.last_mut()
            && cost <= frame.limit
        {
            frame.limit = cost - unit;
            frame.best = Some((cost, self.choice.clone()));
            if outer {
                (self.on_found)(cost, &self.choice);
            }
        }
    }

    fn node(&mut self, mut state: State<R>, depth: usize) {
        if state.vars.is_empty() {
            self.leaf(state.base);
            return;
        }
        if self.spent() || !self.may_differ(&state) {
            return;
        }
        self.nodes += 1;
        let prepared = self.bound(&mut state);
        if prepared && self.packed(&state) {
            // nothing is left to do below this node
        } else if prepared {
            let mut groups = self.groups(&state);
            if groups.len() > 1 {
                groups.sort_by_key(Vec::len);
                self.apart(&state, groups, depth);
            } else if let Some(branch) = self.branch(&mut state, depth) {
                for &(gain, value) in &branch.values {
                    if state.base + gain > self.limit() {
                        break;
                    }
                    let child = self.child(&state, branch.variable, value);
                    if let Some(child) = child {
                        self.node(child, depth + 1);
                    }
                    if self.gave_up {
                        if depth == 0 {
                            self.floor = state.base + gain;
                        }
                        break;
                    }
                }
            }
        }
        self.recycle(state);
    }

    /// Solves the node as a packing if it is one; whether it was.
    fn packed(&mut self, state: &State<R>) -> bool {
        let Some(bare) = self.bare.filter(|b| b.applies(state)) else {
            return false;
        };
        let budget = match self.budget {
            u64::MAX => u64::MAX,
            some => some - self.nodes,
        };
        let limit = self.limit();
        let packed = bare.solve(state, &self.choice, limit, budget, &mut self.pool);
        self.nodes += packed.nodes;
        self.gave_up |= !packed.complete;
        if let Some((cost, all)) = packed.best {
            for (part, candidate) in all {
                self.choice[part] = candidate;
            }
            self.leaf(R::whole(cost as u64));
        }
        true
    }

    /// Chooses one value and notes it, or `None` if that leaves nothing within the limit.
    fn child(&mut self, state: &State<R>, variable: usize, value: usize) -> Option<State<R>> {
        let t = state.tables();
        self.choice[t.part[variable]] = t.candidate[value];
        state.choose(variable, value, self.limit())
    }

    /// Raises the bound of a node and squeezes its tables; whether anything is left.
    fn bound(&mut self, state: &mut State<R>) -> bool {
        let limit = self.limit();
        let mut last = state.base;
        let sweeps = match self.bare {
            Some(bare) if bare.applies(state) => BARE_SWEEPS,
            _ => SWEEPS,
        };
        for sweep in 0..sweeps {
            if let Err(at) = state.sweep(sweep % 2 == 0, limit, &mut self.scratch) {
                self.blame(state.tables().part[at]);
                return false;
            }
            if state.vars.len() == 1 {
                break;
            }
            if sweep == 1 {
                self.squeeze(state, limit);
            }
            if sweep > 0 {
                let gain = (state.base - last).float();
                if gain <= 0.0 || gain < WORTH * (limit - state.base).float() {
                    break;
                }
            }
            last = state.base;
        }
        true
    }

    fn blame(&mut self, part: usize) {
        self.weights[part] = (self.weights[part] + FAILURE).min(MAX_WEIGHT);
    }

    fn squeeze(&mut self, state: &mut State<R>, limit: R) {
        if state.in_use() > SQUEEZE {
            return;
        }
        let mut tables = self.spare.pop().unwrap_or_default();
        let cost = tables.squeeze(state, limit - state.base, &mut self.scratch.kept);
        let vars = (0..tables.n).collect();
        let shift = vec![R::ZERO; tables.shifts()];
        let next = State::new(Arc::new(tables), vars, cost, shift, state.base);
        self.recycle(std::mem::replace(state, next));
    }

    /// Keeps the memory of tables that no other state uses.
    fn recycle(&mut self, state: State<R>) {
        if let Ok(tables) = Arc::try_unwrap(state.into_tables()) {
            self.spare.push(tables);
        }
    }

    /// Groups of variables that nothing links any more.
    fn groups(&self, state: &State<R>) -> Vec<Vec<usize>> {
        if !self.limits.exclude.is_empty() {
            return Vec::new(); // an excluded arrangement links all parts
        }
        let t = state.tables();
        let mut open = state.vars.clone();
        let mut groups = Vec::new();
        while let Some(first) = open.pop() {
            let mut group = vec![first];
            let mut at = 0;
            while at < group.len() {
                let i = group[at];
                open.retain(|&j| {
                    let linked = t.linked(i, j);
                    if linked {
                        group.push(j);
                    }
                    !linked
                });
                at += 1;
            }
            group.sort_unstable();
            groups.push(group);
        }
        groups
    }

    /// Solves each group by itself.
    fn apart(&mut self, state: &State<R>, groups: Vec<Vec<usize>>, depth: usize) {
        let mut total = state.base;
        let mut parts = Vec::with_capacity(groups.len());
        for vars in groups {
            let mut part = state.part_of(vars);
            if part
                .sweep(true, self.limit() - total, &mut self.scratch)
                .is_err()
            {
                return;
            }
            total += part.base;
            parts.push(part);
        }
        for part in parts {
            total -= part.base;
            let limit = self.limit() - total;
            let numbers: Vec<usize> = part.vars.iter().map(|&i| part.tables().part[i]).collect();
            self.frames.push(Frame { limit, best: None });
            self.node(part, depth + 1);
            let Some((cost, best)) = self.frames.pop().and_then(|f| f.best) else {
                return;
            };
            for p in numbers {
                self.choice[p] = best[p];
            }
            total += cost;
        }
        self.leaf(total);
    }

    /// Rules out values by looking one step ahead and picks the variable that promises the
    /// smallest tree: few values, most of them nearly dear enough to be ruled out.
    fn branch(&mut self, state: &mut State<R>, depth: usize) -> Option<Branch<R>> {
        while self.gains.len() <= depth {
            self.gains.push(Vec::new());
        }
        let mut gain = std::mem::take(&mut self.gains[depth]);
        state.look_ahead(&mut gain, &mut self.scratch);
        let gap = self.limit() - state.base;
        let scale = 1.0 / (gap + self.unit).float();
        let mut best: Option<(f64, usize)> = None;
        let mut nothing_left = None;
        for at in 0..state.vars.len() {
            let i = state.vars[at];
            let mut score = 0.0;
            for v in state.tables().values(i) {
                if gain[v] > gap {
                    state.cost[v] = R::BIG;
                } else {
                    score += LEAST_SCORE + 1.0 - gain[v].float() * scale;
                }
            }
            let part = state.tables().part[i];
            if score == 0.0 {
                nothing_left = Some(part);
                break;
            }
            score /= self.weights[part];
            if best.is_none_or(|(s, _)| score < s) {
                best = Some((score, i));
            }
        }
        let branch = match (nothing_left, best) {
            (Some(part), _) => {
                self.blame(part);
                None
            }
            (None, best) => best.map(|(_, variable)| {
                let mut values: Vec<(R, usize)> = (state.tables().values(variable))
                    .filter(|&v| gain[v] <= gap)
                    .map(|v| (gain[v], v))
                    .collect();
                values.sort_by(|a, b| a.0.float().total_cmp(&b.0.float()).then(a.1.cmp(&b.1)));
                Branch { variable, values }
            }),
        };
        self.gains[depth] = gain;
        branch
    }

    /// One node of [`Search::run`] by itself: the states below it, bounded, with what is chosen
    /// by then. A state without open variables is an arrangement.
    pub(super) fn expand(
        &mut self,
        mut state: State<R>,
        prefix: &[u32],
        limit: R,
    ) -> Vec<(State<R>, Vec<u32>)> {
        self.choice.copy_from_slice(prefix);
        self.frames.push(Frame { limit, best: None });
        let mut below = Vec::new();
        if self.bound(&mut state)
            && let Some(branch) = self.branch(&mut state, 0)
        {
            for &(_, value) in &branch.values {
                self.nodes += 1;
                let child = self.child(&state, branch.variable, value);
                if let Some(mut child) = child
                    && (child.vars.is_empty() || self.bound(&mut child))
                {
                    below.push((child, self.choice.clone()));
                }
            }
        }
        self.frames.pop();
        below
    }
}
