//! Pulling a clear way taut without ever leaving the free space.

use super::Point;
use super::edges::Edge;
use super::graph::NONE;
use super::slide::{length, slide};
use super::space::Space;
use super::vector::dist;

/// A corner: where it is and the edge that it lies on, [`NONE`] if it lies on no edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    pub edge: u32,
    pub at: Point,
}

/// A clear polyline with what its corners lie on.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    pub start: Point,
    pub goal: Point,
    pub corners: Vec<Corner>,
}

impl Line {
    pub fn points(&self) -> Vec<Point> {
        let inner = self.corners.iter().map(|c| c.at);
        std::iter::once(self.start)
            .chain(inner)
            .chain([self.goal])
            .collect()
    }

    pub fn length(&self) -> f64 {
        length(&self.points())
    }

    /// Point `i` of the polyline: 0 is the start.
    fn point(&self, i: usize) -> Point {
        if i == 0 {
            self.start
        } else {
            self.corners.get(i - 1).map_or(self.goal, |c| c.at)
        }
    }

    /// Shortens the line as far as it goes without a jump: corners slide, corners that no box holds
    /// are let go, and where the line comes to lie against an edge it gets a corner there.
    pub fn pull_taut(&mut self, space: &Space) {
        // Each round ends in a shorter line or in the last one; the limit is for bad luck with rounding.
        for _ in 0..100 {
            let mut i = 0;
            let mut moved = false;
            while i < self.corners.len() {
                if !self.is_held(space, i) && self.let_go(space, i) {
                    moved = true;
                    i = i.saturating_sub(1);
                } else {
                    i += 1;
                }
            }
            moved |= self.slide_until_contact(space);
            if !moved {
                return;
            }
        }
    }

    /// Whether the line wraps around a box at corner `i`.
    fn is_held(&self, space: &Space, i: usize) -> bool {
        let c = self.corners[i];
        if c.edge == NONE {
            return false;
        }
        let e = &space.edges[c.edge as usize];
        let (u, v) = ((e.axis + 1) % 3, (e.axis + 2) % 3);
        let (p, q) = (self.point(i), self.point(i + 2));
        let turn = |from: Point, to: Point| {
            let (a, b) = (e.out[0] * (to[u] - from[u]), e.out[1] * (to[v] - from[v]));
            let len = (a * a + b * b).sqrt();
            if len > 0.0 {
                (a / len, b / len)
            } else {
                (0.0, 0.0)
            }
        };
        let ((a1, b1), (a2, b2)) = (turn(p, c.at), turn(c.at, q));
        let cross = a1 * b2 - b1 * a2;
        let eps = 1e-7;
        (a1 >= -eps && b1 <= eps && a2 >= -eps && b2 <= eps && cross <= eps)
            || (a1 <= eps && b1 >= -eps && a2 <= eps && b2 >= -eps && cross >= -eps)
    }

    /// Draws corner `i` back along the leg before it; the leg behind it sweeps over the triangle and
    /// gets a corner on each edge that it meets. False if nothing was gained.
    fn let_go(&mut self, space: &Space, i: usize) -> bool {
        let (a, c, b) = (self.point(i), self.corners[i].at, self.point(i + 2));
        let saved = dist(a, c) + dist(c, b) - dist(a, b);
        if saved <= 1e-3 * space.pad {
            return false;
        }
        let along = |t: f64| -> Point { std::array::from_fn(|k| c[k] + (a[k] - c[k]) * t) };
        let back = dist(a, c);
        let mut chain: Vec<Corner> = Vec::new();
        let mut right = b;
        let mut from = 0.0;
        for _ in 0..32 {
            let Some(mut block) = space.blocker(a, right) else {
                if chain.is_empty() {
                    self.corners.remove(i);
                } else {
                    chain.reverse();
                    self.corners.splice(i..=i, chain);
                }
                return true;
            };
            let (mut t0, mut t1) = (from, 1.0);
            while (t1 - t0) * back > 1e-4 * space.pad {
                let t = 0.5 * (t0 + t1);
                if t <= t0 || t >= t1 {
                    break;
                }
                match space.blocker(along(t), right) {
                    Some(hit) => (block, t1) = (hit, t),
                    None => t0 = t,
                }
            }
            let Some((edge, at)) = space.touched_edge(block, along(t1), right) else {
                return false;
            };
            if chain.last().is_some_and(|l| l.edge == edge)
                || !space.clear(at, right)
                || !space.clear(along(t0), at)
            {
                return false;
            }
            chain.push(Corner { edge, at });
            right = at;
            from = t0;
        }
        false
    }

    /// Slides all corners towards the shortest line through the same edges, up to the first contact
    /// with another box. False if nothing moved.
    fn slide_until_contact(&mut self, space: &Space) -> bool {
        let edges: Vec<Option<&Edge>> = self
            .corners
            .iter()
            .map(|c| (c.edge != NONE).then(|| &space.edges[c.edge as usize]))
            .collect();
        let old = self.points();
        let mut to = old.clone();
        slide(&mut to, &edges);
        let moved = old
            .iter()
            .zip(&to)
            .fold(0.0f64, |m, (a, b)| m.max(dist(*a, *b)));
        if moved <= 1e-4 * space.pad {
            return false;
        }
        let hit = |points: &[Point]| {
            points
                .windows(2)
                .enumerate()
                .find_map(|(i, w)| space.blocker(w[0], w[1]).map(|b| (i, b)))
        };
        let between = |t: f64| -> Vec<Point> {
            let mix = |a: &Point, b: &Point| -> Point {
                std::array::from_fn(|k| a[k] + (b[k] - a[k]) * t)
            };
            old.iter().zip(&to).map(|(a, b)| mix(a, b)).collect()
        };
        let Some(mut first) = hit(&to) else {
            self.set(&to);
            return true;
        };
        let (mut t0, mut t1, mut far) = (0.0, 1.0, to.clone());
        while (t1 - t0) * moved > 1e-4 * space.pad {
            let t = 0.5 * (t0 + t1);
            if t <= t0 || t >= t1 {
                break;
            }
            let points = between(t);
            match hit(&points) {
                Some(h) => (first, t1, far) = (h, t, points),
                None => t0 = t,
            }
        }
        let near = between(t0);
        let (leg, block) = first;
        let contact = space.touched_edge(block, far[leg], far[leg + 1]);
        self.set(&near);
        let Some((edge, at)) = contact else {
            return false;
        };
        let taken = [leg.wrapping_sub(1), leg]
            .iter()
            .any(|&i| self.corners.get(i).is_some_and(|c| c.edge == edge));
        if taken || !space.clear(near[leg], at) || !space.clear(at, near[leg + 1]) {
            return false;
        }
        self.corners.insert(leg, Corner { edge, at });
        true
    }

    fn set(&mut self, points: &[Point]) {
        for (c, p) in self.corners.iter_mut().zip(&points[1..]) {
            c.at = *p;
        }
    }
}
