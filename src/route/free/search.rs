//! A* over the samples. Sight lines are tested only when a step is taken up.

use super::Point;
use super::graph::{Graph, NONE, Outlook};
use super::queue::{Queue, Step};
use super::space::Space;
use super::vector::{dist, dot};

/// From here down to the number of goals: steps to a goal instead of to a node.
const GOAL: u32 = u32::MAX - 1;
/// Steps held at most; with this the memory of a search is bounded.
/// How many sample spacings a crossing may be off from where the unfolded way passes. Below 1.5 some
/// ways with a corner too many are lost (measured on scattered boxes); 3 finds no more than 2.
const ROOM: f64 = 2.0;
const MAX_STEPS: usize = 1 << 20;

/// How a search is run.
pub struct Plan {
    /// Factor on what is left to the goal: above 1 finds some way soon, 1 finds the best one.
    pub weight: f64,
    /// Ways that are longer are of no interest.
    pub bound: f64,
    /// Nodes expanded at most.
    pub limit: usize,
}

/// What became of a search.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// Everything within the bound was looked at.
    Exhausted,
    /// A limit of the plan or of memory was reached.
    Limited,
    /// The caller asked to stop.
    Cancelled,
}

struct Search<'a> {
    space: &'a Space,
    graph: &'a mut Graph,
    goals: &'a [Point],
    weight: f64,
    bound: f64,
    cost: Vec<f64>,
    from: Vec<u32>,
    known: Vec<bool>,
    queue: Queue,
    tolerance: f64,
}

/// Is given the nodes of each way that reaches a goal, start first, and which goal it is; answers the
/// new bound.
pub type Found<'a> = dyn FnMut(&Graph, &[u32], usize) -> f64 + 'a;

/// Runs a search.
pub fn run(
    space: &Space,
    graph: &mut Graph,
    goals: &[Point],
    plan: &Plan,
    stop: &mut dyn FnMut() -> bool,
    found: &mut Found,
) -> End {
    let n = graph.at.len();
    let starts = graph.edge.iter().take_while(|&&e| e == NONE).count();
    let least = (0..starts).fold(f64::INFINITY, |m, i| m.min(graph.rest[i]));
    let top = if plan.bound.is_finite() {
        plan.bound
    } else {
        4.0 * least
    };
    let mut s = Search {
        space,
        goals,
        weight: plan.weight,
        bound: plan.bound,
        cost: vec![f64::INFINITY; n],
        from: vec![NONE; n],
        known: vec![false; n],
        queue: Queue::new(least * plan.weight, top * plan.weight, 1024),
        tolerance: space.pad * 0.01,
        graph,
    };
    let mut edges = Vec::new();
    if stop() {
        return End::Cancelled;
    }
    for i in 0..starts {
        s.cost[i] = 0.0;
        s.expand(i as u32, &mut edges);
    }
    let mut way = Vec::new();
    let mut expanded = 0;
    while let Some(step) = s.queue.pop() {
        let parent = step.parent as usize;
        let p = s.graph.at[parent];
        if step.node > GOAL - goals.len() as u32 {
            let goal = (GOAL - step.node) as usize;
            let length = s.cost[parent] + dist(p, goals[goal]);
            if length > s.bound {
                continue;
            }
            if space.clear(p, goals[goal]) {
                way.clear();
                let mut at = step.parent;
                while at != NONE {
                    way.push(at);
                    at = s.from[at as usize];
                }
                way.reverse();
                s.bound = s.bound.min(found(s.graph, &way, goal));
                if stop() {
                    return End::Cancelled;
                }
            }
            continue;
        }
        if s.take_up(step) {
            expanded += 1;
            if expanded >= plan.limit || s.queue.len() >= MAX_STEPS {
                return End::Limited;
            }
            if expanded % 32 == 31 && stop() {
                return End::Cancelled;
            }
            s.expand(step.node, &mut edges);
        }
    }
    End::Exhausted
}

impl Search<'_> {
    /// Settles the node of a step if it can be reached that way; true if it is to be expanded now.
    fn take_up(&mut self, step: Step) -> bool {
        let (i, parent) = (step.node as usize, step.parent as usize);
        let p = self.graph.at[i];
        if !step.seen {
            // What is left is no consistent estimate: a node may be reached a second time, and shorter.
            let q = self.graph.at[parent];
            let cost = self.cost[parent] + dist(q, p);
            if cost >= self.cost[i] - self.tolerance || cost + self.graph.rest[i] > self.bound {
                return false;
            }
            if !self.space.clear(q, p) {
                return false;
            }
            self.cost[i] = cost;
            self.from[i] = step.parent;
        }
        if !self.known[i] {
            self.known[i] = true;
            let limit = self.bound - self.cost[i];
            let around = self.goals.iter().map(|g| self.space.detour(p, *g, limit));
            self.graph.rest[i] = around.fold(f64::INFINITY, f64::min);
        }
        let least = self.cost[i] + self.graph.rest[i];
        if least > self.bound {
            return false;
        }
        let key = self.cost[i] + self.weight * self.graph.rest[i];
        if !step.seen && self.queue.is_later(key) {
            self.queue.push(Step {
                key,
                seen: true,
                ..step
            });
            return false;
        }
        true
    }

    /// Puts every next corner that could be part of a taut way into the queue.
    fn expand(&mut self, node: u32, edges: &mut Vec<(usize, super::graph::Item)>) {
        let i = node as usize;
        let p = self.graph.at[i];
        let cost = self.cost[i];
        let mut look = Outlook {
            from: p,
            wedge: [[0.0; 3]; 2],
            loose: 0.0,
            axis: None,
            half: 0.0,
            budget: self.bound - cost,
        };
        // Of the corner before: distance from this edge's line, shift along it, and slack.
        let (mut before, mut shift, mut slack) = (0.0, 0.0, 0.0);
        let (mut axis, mut before_axis) = (0, 3);
        // At an end where another box cuts the edge off, that box's edge takes up what pulls outwards.
        let mut cut = [false; 2];
        if self.graph.edge[i] != NONE {
            let e = &self.space.edges[self.graph.edge[i] as usize];
            let parent = self.from[i] as usize;
            let q = self.graph.at[parent];
            axis = e.axis;
            let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
            let (a, b) = (e.out[0] * (p[u] - q[u]), e.out[1] * (p[v] - q[v]));
            before = (a * a + b * b).sqrt();
            shift = p[axis] - q[axis];
            slack = self.graph.half[parent];
            if self.graph.edge[parent] != NONE {
                before_axis = self.space.edges[self.graph.edge[parent] as usize].axis;
            }
            // The way wraps around the box at this edge: on between straight ahead and the far face.
            let unit = 1.0 / before.max(1e-300);
            if a > b {
                let (a, b) = (a.max(0.0) * unit, b.min(0.0) * unit);
                look.wedge[0][u] = e.out[0];
                look.wedge[1][u] = e.out[0] * b;
                look.wedge[1][v] = -e.out[1] * a;
            } else {
                let (a, b) = (a.min(0.0) * unit, b.max(0.0) * unit);
                look.wedge[0][v] = e.out[1];
                look.wedge[1][u] = -e.out[0] * b;
                look.wedge[1][v] = e.out[1] * a;
            }
            look.loose = if before_axis == u || before_axis == v {
                (slack * unit).min(1.0)
            } else {
                0.0
            };
            look.axis = Some(axis);
            cut = [e.cut[0] && p[axis] <= e.lo, e.cut[1] && p[axis] >= e.hi];
            look.half = self.graph.half[i];
        }
        let tol = self.tolerance;
        for (g, goal) in self.goals.iter().enumerate() {
            let ahead: Point = std::array::from_fn(|k| goal[k] - p[k]);
            let on = dot(ahead, ahead).sqrt();
            let wraps = dot(look.wedge[0], ahead) >= -tol
                && dot(look.wedge[1], ahead) >= -tol - look.loose * on;
            if wraps && cost + on <= self.bound {
                self.queue.push(Step {
                    key: cost + on,
                    node: GOAL - g as u32,
                    parent: node,
                    seen: false,
                });
            }
        }
        self.graph.candidates(&look, edges);
        let own = self.graph.edge[i];
        let (nu, nv) = ((axis + 1) % 3, (axis + 2) % 3);
        for &(along, item) in edges.iter() {
            if item.edge == own {
                continue;
            }
            for c in item.first as usize..item.end as usize {
                let q = self.graph.at[c];
                let d = [q[0] - p[0], q[1] - p[1], q[2] - p[2]];
                let half = self.graph.half[c];
                let length = dot(d, d).sqrt();
                let reach = cost + length;
                if reach + self.graph.rest[c] > self.bound || reach >= self.cost[c] {
                    continue;
                }
                if own != NONE {
                    let [w0, w1] = &look.wedge;
                    if dot(*w0, d) < -tol - w0[along].abs() * half
                        || dot(*w1, d) < -tol - w1[along].abs() * half - look.loose * length
                    {
                        continue;
                    }
                    // The crossing here has to be, within the samples' spacing, where the unfolded
                    // way from the corner before to the next one passes.
                    let after = (d[nu] * d[nu] + d[nv] * d[nv]).sqrt();
                    let off = d[axis] * before - shift * after;
                    let room =
                        tol + ROOM * (look.half * (before + after) + slack * after + half * before);
                    if (off > room && !cut[1]) || (off < -room && !cut[0]) {
                        continue;
                    }
                }
                let key = reach + self.weight * self.graph.rest[c];
                self.queue.push(Step {
                    key,
                    node: c as u32,
                    parent: node,
                    seen: false,
                });
            }
        }
    }
}
