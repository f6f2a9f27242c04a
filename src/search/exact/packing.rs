//! Parts that only clash: one candidate each, without costs between them.
//!
//! Once the parts that cables run to are fixed, what is left often is of this kind. Clashes two
//! by two then say less than they seem to: three parts, each half in one place and half
//! elsewhere, offend no pair. 'At most one of all that want this place' does; such cliques are
//! looked for as they are offended. Their bound comes with Lagrange multipliers: instead of
//! being forbidden, the second taker of a place pays for it. These prices follow subgradients
//! with steps after Polyak (Held, Wolfe and Crowder, Mathematical Programming 6 (1974) 62-88),
//! starting in each node from those of the node above. They are whole numbers, so the bound is
//! exact.

use super::branch::Limits;
use super::graph::Graph;
use super::live::{Live, left};
use super::number::Real;

/// Most steps at the first node, and at the others.
const FIRST_STEPS: usize = 250;
const STEPS: usize = 60;
/// Steps between two looks at the progress, which must close this part of the gap. Below the
/// first node prices start near what they come to: a few steps tell whether more are worth it.
const FIRST_CHECK: usize = 12;
const CHECK: usize = 4;
const WORTH: f64 = 0.1;
/// After so many steps without progress, steps shrink by this factor.
const STALE: usize = 3;
const SHRINK: f64 = 0.7;
/// In the choice of where to branch, what a vertex counts besides the room it leaves: high enough
/// that the number of vertices decides first.
const VERTEX_SCORE: f64 = 2.5;
/// Part of the way from the bound to the limit that the first search goes; each further one
/// goes twice as far.
const FIRST_RISE: f64 = 0.125;
/// Most cliques kept for later packings.
const MAX_POOL: usize = 1000;

/// Cliques found so far, each with its last price at a first node.
pub(super) type Pool = Vec<(Vec<u32>, f64)>;

/// One packing question.
pub(super) struct Packing<'a> {
    graph: &'a Graph,
    limits: &'a Limits<'a>,
    /// Own cost of each vertex; infinite for those that do not take part.
    cost: Vec<f64>,
    /// What the cost of a packing is a multiple of.
    unit: f64,
    wanted: Vec<u64>,
    cliques: Vec<Vec<u32>>,
    /// Where each clique comes from in the pool.
    pooled: Vec<usize>,
    of_vertex: Vec<Vec<u32>>,
    limit: f64,
    best: Option<(f64, Vec<usize>)>,
    /// Nodes so far, and how many are allowed.
    pub(super) nodes: u64,
    pub(super) budget: u64,
    pub(super) gave_up: bool,
    /// Cost of each vertex with the prices of its cliques, for the node at hand.
    sum: Vec<f64>,
    /// How many groups take a vertex of each clique, and the vertex that each group takes.
    taken: Vec<u32>,
    chosen: Vec<u32>,
    live: Live,
}

/// Vertices left to each part, and the price of each clique (nothing for those past the end).
#[derive(Clone)]
struct Node {
    groups: Vec<Vec<u32>>,
    price: Vec<f64>,
}

impl<'a> Packing<'a> {
    /// One vertex of each group at a cost of at most `limit` in all; `groups` hold vertices and
    /// their cost.
    pub(super) fn new(
        graph: &'a Graph,
        limits: &'a Limits<'a>,
        groups: &[Vec<(usize, f64)>],
        unit: f64,
        limit: f64,
    ) -> Self {
        let n = graph.origin.len();
        let mut cost = vec![f64::INFINITY; n];
        let mut wanted = graph.no_vertices();
        for &(v, c) in groups.iter().flatten() {
            cost[v] = c;
            wanted[v / 64] |= 1 << (v % 64);
        }
        Self {
            graph,
            limits,
            cost,
            unit,
            wanted,
            cliques: Vec::new(),
            pooled: Vec::new(),
            of_vertex: vec![Vec::new(); n],
            limit,
            best: None,
            nodes: 0,
            budget: u64::MAX,
            gave_up: false,
            sum: Vec::new(),
            taken: Vec::new(),
            chosen: Vec::new(),
            live: Live::default(),
        }
    }

    /// Cost and vertices of the best packing within the limit. Starts from the cliques of the
    /// pool and adds to it.
    pub(super) fn solve(
        &mut self,
        groups: &[Vec<(usize, f64)>],
        pool: &mut Pool,
    ) -> Option<(f64, Vec<usize>)> {
        let mut price = Vec::new();
        for (k, (clique, last)) in pool.iter().enumerate() {
            if self.join(clique) {
                self.pooled.push(k);
                price.push(*last);
            }
        }
        let vertices = |g: &Vec<(usize, f64)>| g.iter().map(|&(v, _)| v as u32).collect();
        let groups = groups.iter().map(vertices).collect();
        let mut root = Node { groups, price };
        self.nodes += 1;
        let bound = self.bound(&mut root, FIRST_STEPS, pool);
        for (&k, &price) in self.pooled.iter().zip(&root.price) {
            pool[k].1 = price;
        }
        if let Some((bound, _)) = bound {
            self.rise(&root, bound, pool);
        }
        self.best.take()
    }

    /// Searches with rising limits, as even a good bound is far from a poor limit.
    fn rise(&mut self, root: &Node, bound: f64, pool: &mut Pool) {
        let last = self.limit;
        // with few nodes to spend, any packing at all is what is wanted
        let mut part = if self.budget < u64::MAX {
            1.0
        } else {
            FIRST_RISE
        };
        loop {
            self.limit = last.min(bound + (last - bound) * part);
            let before = self.limit;
            self.node(root.clone(), STEPS, pool);
            if self.gave_up || self.limit < before || self.limit >= last {
                break;
            }
            part *= 2.0;
        }
    }

    /// Takes in what takes part of a clique, unless that is of one group only.
    fn join(&mut self, clique: &[u32]) -> bool {
        let there = |v: &u32| self.cost[*v as usize].is_finite();
        let part = |v: u32| self.graph.origin[v as usize].0;
        let left: Vec<u32> = clique.iter().copied().filter(there).collect();
        let useful = left.iter().any(|&v| part(v) != part(left[0]));
        if useful {
            for &v in &left {
                self.of_vertex[v as usize].push(self.cliques.len() as u32);
            }
            self.cliques.push(left);
        }
        useful
    }

    fn node(&mut self, mut node: Node, steps: usize, pool: &mut Pool) {
        self.gave_up |= self.nodes >= self.budget || self.limits.stop();
        if self.gave_up {
            return;
        }
        self.nodes += 1;
        let Some((bound, group)) = self.bound(&mut node, steps, pool) else {
            return;
        };
        let least = self.least(&node.groups[group]);
        let sum = &self.sum;
        let mut values: Vec<(f64, u32)> = (node.groups[group].iter())
            .map(|&v| (bound + sum[v as usize] - least, v))
            .collect();
        values.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for (bound, v) in values {
            if bound > self.limit || self.gave_up {
                break;
            }
            let mut below = node.clone();
            below.groups[group] = vec![v];
            if self.exclude(&mut below.groups, vec![group]) {
                self.node(below, STEPS, pool);
            }
        }
    }

    fn least(&self, group: &[u32]) -> f64 {
        let costs = group.iter().map(|&v| self.sum[v as usize]);
        costs.fold(f64::INFINITY, f64::min)
    }

    /// Rules out what the groups in `todo`, just fixed, exclude; whether every group has a
    /// vertex left.
    fn exclude(&self, groups: &mut [Vec<u32>], mut todo: Vec<usize>) -> bool {
        while let Some(g) = todo.pop() {
            let no = self.graph.excluded_by(groups[g][0] as usize);
            for (h, other) in groups.iter_mut().enumerate().filter(|(h, _)| *h != g) {
                let before = other.len();
                other.retain(|&v| no[v as usize / 64] >> (v % 64) & 1 == 0);
                match (before, other.len()) {
                    (_, 0) => return false,
                    (2.., 1) => todo.push(h),
                    _ => {}
                }
            }
        }
        true
    }

    /// Raises the bound of a node by changing prices, taking packings and ruling out vertices on
    /// the way. Gives the bound and where to branch, or `None` if nothing better is left.
    fn bound(&mut self, node: &mut Node, steps: usize, pool: &mut Pool) -> Option<(f64, usize)> {
        let mut best = (f64::NEG_INFINITY, Vec::new());
        let mut checked = f64::NEG_INFINITY;
        let mut stride = 1.0;
        let check = if steps == FIRST_STEPS {
            FIRST_CHECK
        } else {
            CHECK
        };
        let mut stale = 0;
        self.add_up(node);
        for step in 0..steps {
            if left(&node.groups) * 2 < self.live.left {
                self.add_up(node);
            }
            let bound = self.choose(node);
            if bound > self.limit {
                return None;
            }
            if bound > best.0 {
                self.rule_out(node, bound)?;
                best.0 = bound;
                best.1.clone_from(&node.price);
                stale = 0;
            } else {
                stale += 1;
                if stale % STALE == 0 {
                    stride *= SHRINK;
                }
            }
            if step % check == 0 {
                if best.0 - checked < WORTH * (self.limit + self.unit - best.0) {
                    break;
                }
                checked = best.0;
            }
            if !self.change_prices(node, bound, stride, pool) {
                break;
            }
        }
        node.price = best.1;
        self.add_up(node);
        let bound = self.choose(node);
        if bound > self.limit {
            return None;
        }
        self.rule_out(node, bound)?;
        let gap = self.limit - bound + self.unit;
        let mut pick: Option<(f64, usize)> = None;
        for (g, group) in node.groups.iter().enumerate().filter(|(_, g)| g.len() > 1) {
            let least = self.least(group);
            let worth = |&v: &u32| VERTEX_SCORE - (self.sum[v as usize] - least) / gap;
            let score: f64 = group.iter().map(worth).sum();
            if pick.is_none_or(|p| score < p.0) {
                pick = Some((score, g));
            }
        }
        if let Some((_, g)) = pick {
            return Some((bound, g));
        }
        self.take(node.groups.iter().map(|g| g[0] as usize).collect());
        None
    }

    /// Cost of each vertex left with the prices of its cliques. A clique of which one group at
    /// most has a vertex left forbids nothing: without its price the bound is as good or better.
    fn add_up(&mut self, node: &mut Node) {
        node.price.resize(self.cliques.len(), 0.0);
        self.sum.clear();
        self.sum.extend_from_slice(&self.cost);
        let all = self.cliques.len();
        self.live.start(&node.groups, &self.of_vertex, all);
        for (price, &(_, first, last)) in node.price.iter_mut().zip(&self.live.reach) {
            *price = if first < last { *price } else { 0.0 };
        }
        for &(k, from, end) in &self.live.cliques {
            let price = node.price[k as usize];
            if price > 0.0 {
                for &v in &self.live.members[from as usize..end as usize] {
                    self.sum[v as usize] += price;
                }
            }
        }
    }

    /// The bound with the prices as they are; notes the vertex that each group takes for it.
    fn choose(&mut self, node: &Node) -> f64 {
        let mut bound = -node.price.iter().sum::<f64>();
        self.chosen.clear();
        for group in &node.groups {
            let mut least = (f64::INFINITY, u32::MAX);
            for &v in group {
                let c = self.sum[v as usize];
                least = if c < least.0 { (c, v) } else { least };
            }
            bound += least.0;
            self.chosen.push(least.1);
        }
        bound
    }

    /// Rules out vertices that cost too much, and what those then left alone exclude; `None` if
    /// a group has nothing left.
    fn rule_out(&self, node: &mut Node, bound: f64) -> Option<()> {
        let mut fixed = Vec::new();
        for (g, group) in node.groups.iter_mut().enumerate() {
            if group.len() > 1 {
                let room = self.sum[self.chosen[g] as usize] + self.limit - bound;
                group.retain(|&v| self.sum[v as usize] <= room);
                if group.len() == 1 {
                    fixed.push(g);
                }
            }
        }
        self.exclude(&mut node.groups, fixed).then_some(())
    }

    /// Takes a packing if it is within the limit.
    fn take(&mut self, vertices: Vec<usize>) {
        let cost: f64 = vertices.iter().map(|&v| self.cost[v]).sum();
        if cost <= self.limit {
            self.limit = cost - self.unit;
            self.best = Some((cost, vertices));
        }
    }

    /// Raises the prices of the cliques that several groups want, lowers those that none does;
    /// takes the choice as a packing if no two exclude each other. Whether any price changed.
    fn change_prices(&mut self, node: &mut Node, bound: f64, stride: f64, pool: &mut Pool) -> bool {
        if self.find_cliques(&node.groups, pool) {
            self.take(self.chosen.iter().map(|&v| v as usize).collect());
        }
        node.price.resize(self.cliques.len(), 0.0);
        self.taken.clear();
        self.taken.resize(self.cliques.len(), 0);
        for &v in &self.chosen {
            for &k in &self.of_vertex[v as usize] {
                self.taken[k as usize] += 1;
            }
        }
        let excess = |taken: u32, price: f64| match taken {
            0 if price > 0.0 => -1.0,
            0 => 0.0,
            t => f64::from(t - 1),
        };
        let live = self.live.cliques.iter().map(|&(k, _, _)| k as usize);
        let excesses = live.map(|k| excess(self.taken[k], node.price[k]));
        let square: f64 = excesses.map(|e| e * e).sum();
        if square == 0.0 {
            return false;
        }
        let step = stride * (self.limit + self.unit - bound) / square;
        let mut changed = false;
        for &(k, from, end) in &self.live.cliques {
            let price = &mut node.price[k as usize];
            let excess = excess(self.taken[k as usize], *price);
            if excess == 0.0 {
                continue;
            }
            let next = (*price + step * excess).max(0.0);
            let next = (next + <f64 as Real>::ROUND) - <f64 as Real>::ROUND;
            let more = next - *price;
            if more != 0.0 {
                changed = true;
                *price = next;
                for &v in &self.live.members[from as usize..end as usize] {
                    self.sum[v as usize] += more;
                }
            }
        }
        changed
    }

    /// Finds a clique for each two chosen vertices that exclude each other, if there is none
    /// yet; whether none do.
    fn find_cliques(&mut self, groups: &[Vec<u32>], pool: &mut Pool) -> bool {
        let mut packing = true;
        for g in 1..self.chosen.len() {
            for h in 0..g {
                let (x, y) = (self.chosen[g], self.chosen[h]);
                if !self.graph.exclude(x, y) {
                    continue;
                }
                packing = false;
                let (of_x, of_y) = (&self.of_vertex[x as usize], &self.of_vertex[y as usize]);
                if of_x.iter().any(|k| of_y.contains(k)) {
                    continue;
                }
                let clique = self.graph.clique(x, y, &self.wanted);
                self.join(&clique);
                let k = self.cliques.len() - 1;
                self.live.add(k as u32, &self.cliques[k], groups);
                if pool.len() < MAX_POOL {
                    pool.push((clique, 0.0));
                }
            }
        }
        packing
    }
}
