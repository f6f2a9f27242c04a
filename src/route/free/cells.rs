//! An exact answer to 'is there any way at all': the space cut into free boxes.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::space::Space;
use super::vector::dist;
use super::{Block, Point};

/// More free boxes than this are not looked at, so that memory is bounded.
const MAX_CELLS: usize = 200_000;
const LEAF: u32 = u32::MAX;

/// What the cells say.
pub enum Link {
    /// A clear polyline from one of the starts to one of the goals.
    Way(Vec<Point>),
    /// No way leads from any start to any goal.
    Sealed,
    /// Stopped or too many cells.
    Undecided,
}

struct Node {
    /// Axis and place of the cut; the axis is 3 for a leaf.
    axis: usize,
    at: f64,
    /// Children, or [`LEAF`] and the cell's index ([`LEAF`] again where it is solid).
    next: [u32; 2],
}

struct Tree {
    nodes: Vec<Node>,
    cells: Vec<Block>,
}

/// Cuts the space along box faces until every piece is free or solid, then walks from piece to piece.
pub fn link(
    space: &Space,
    starts: &[Point],
    goals: &[Point],
    stop: &mut dyn FnMut() -> bool,
) -> Link {
    let mut tree = Tree {
        nodes: Vec::new(),
        cells: Vec::new(),
    };
    let all: Vec<u32> = (0..space.wide.len() as u32).collect();
    let mut work = vec![(space.walls, all, None)];
    while let Some((region, boxes, parent)) = work.pop() {
        if tree.nodes.len() > 2 * MAX_CELLS || (tree.nodes.len() % 256 == 255 && stop()) {
            return Link::Undecided;
        }
        let id = tree.nodes.len() as u32;
        if let Some((p, side)) = parent {
            let node: &mut Node = &mut tree.nodes[p as usize];
            node.next[side] = id;
        }
        let solid = boxes.iter().any(|&i| {
            let b = &space.wide[i as usize];
            (0..3).all(|k| b[0][k] <= region[0][k] && b[1][k] >= region[1][k])
        });
        if solid || boxes.is_empty() {
            let cell = if solid { LEAF } else { tree.cells.len() as u32 };
            if !solid {
                tree.cells.push(region);
            }
            tree.nodes.push(Node {
                axis: 3,
                at: 0.0,
                next: [LEAF, cell],
            });
            continue;
        }
        let (axis, at) = cut(space, &region, &boxes);
        tree.nodes.push(Node {
            axis,
            at,
            next: [0, 0],
        });
        for side in 0..2 {
            let mut part = region;
            part[1 - side][axis] = at;
            let inside = boxes.iter().copied().filter(|&i| {
                let b = &space.wide[i as usize];
                (0..3).all(|k| b[0][k] < part[1][k] && b[1][k] > part[0][k])
            });
            work.push((part, inside.collect(), Some((id, side))));
        }
    }
    walk(&tree, starts, goals, stop)
}

/// The face that cuts the region most evenly, of the box that takes most of it.
fn cut(space: &Space, region: &Block, boxes: &[u32]) -> (usize, f64) {
    let mut best = (f64::NEG_INFINITY, 0, 0.0);
    for &i in boxes {
        let b = &space.wide[i as usize];
        let share: f64 = (0..3)
            .map(|k| {
                let cover = b[1][k].min(region[1][k]) - b[0][k].max(region[0][k]);
                cover / (region[1][k] - region[0][k])
            })
            .product();
        for k in 0..3 {
            for side in b {
                let at = side[k];
                if at > region[0][k] && at < region[1][k] {
                    let even = ((at - region[0][k]) / (region[1][k] - region[0][k]) - 0.5).abs();
                    let score = share - 0.1 * even;
                    if score > best.0 {
                        best = (score, k, at);
                    }
                }
            }
        }
    }
    (best.1, best.2)
}

impl Tree {
    /// Free cells that meet the region.
    fn query(&self, region: &Block, out: &mut Vec<u32>) {
        out.clear();
        let mut work = vec![0u32];
        while let Some(n) = work.pop() {
            let node = &self.nodes[n as usize];
            if node.axis == 3 {
                if node.next[1] != LEAF {
                    out.push(node.next[1]);
                }
                continue;
            }
            if region[1][node.axis] >= node.at {
                work.push(node.next[1]);
            }
            if region[0][node.axis] <= node.at {
                work.push(node.next[0]);
            }
        }
        out.sort_unstable();
    }
}

/// Dijkstra over the free cells; the way crosses each shared face at the nearest place.
fn walk(tree: &Tree, starts: &[Point], goals: &[Point], stop: &mut dyn FnMut() -> bool) -> Link {
    let n = tree.cells.len();
    let mut cost = vec![f64::INFINITY; n];
    let mut enter = vec![[0.0; 3]; n];
    let mut from = vec![LEAF; n];
    let mut goal_in = vec![LEAF; n];
    let mut near = Vec::new();
    for (i, g) in goals.iter().enumerate() {
        tree.query(&[*g, *g], &mut near);
        for &c in &near {
            goal_in[c as usize] = i as u32;
        }
    }
    let mut heap = BinaryHeap::new();
    for s in starts {
        tree.query(&[*s, *s], &mut near);
        for &c in &near {
            cost[c as usize] = 0.0;
            enter[c as usize] = *s;
            heap.push(Reverse((0u64, c)));
        }
    }
    let mut done = vec![false; n];
    let mut count = 0usize;
    while let Some(Reverse((_, c))) = heap.pop() {
        let i = c as usize;
        if std::mem::replace(&mut done[i], true) {
            continue;
        }
        count += 1;
        if count.is_multiple_of(256) && stop() {
            return Link::Undecided;
        }
        if goal_in[i] != LEAF {
            let mut points = vec![goals[goal_in[i] as usize]];
            let mut at = c;
            while at != LEAF {
                points.push(enter[at as usize]);
                at = from[at as usize];
            }
            points.reverse();
            return Link::Way(points);
        }
        let here = tree.cells[i];
        tree.query(&here, &mut near);
        for &next in &near {
            let j = next as usize;
            let there = &tree.cells[j];
            let lo: Point = std::array::from_fn(|k| here[0][k].max(there[0][k]));
            let hi: Point = std::array::from_fn(|k| here[1][k].min(there[1][k]));
            // A face is shared where the overlap is flat along one axis only; an edge is no passage.
            if done[j] || (0..3).filter(|&k| hi[k] <= lo[k]).count() != 1 {
                continue;
            }
            let p: Point = std::array::from_fn(|k| {
                let inset = (0.25 * (hi[k] - lo[k])).max(0.0);
                enter[i][k].clamp(lo[k] + inset, hi[k] - inset)
            });
            let g = cost[i] + dist(enter[i], p);
            if g < cost[j] {
                cost[j] = g;
                enter[j] = p;
                from[j] = c;
                heap.push(Reverse((g.to_bits(), next)));
            }
        }
    }
    Link::Sealed
}
