//! Shortening a way corner by corner.

use super::Wind;
use crate::route::free::fillet::Bent;
use crate::route::free::rules::Rules;
use crate::route::free::vector::{along, unit};
use crate::route::free::{Block, End, Point};

/// Rounds of shortening.
const ROUNDS: usize = 24;

impl Wind<'_> {
    /// The same way as short as taking corners away and drawing them in makes it.
    pub(super) fn shorten(
        &self,
        points: Vec<Point>,
        ends: [End; 2],
        stop: &mut dyn FnMut() -> bool,
    ) -> Option<Bent> {
        // The way stays within its points' box.
        let around = |pick: fn(f64, f64) -> f64, by: f64| -> Point {
            std::array::from_fn(|k| {
                let all = points.iter().map(|p| p[k]);
                all.fold(points[0][k], pick) + by
            })
        };
        let (lo, hi) = (around(f64::min, -self.half), around(f64::max, self.half));
        let boxes: Vec<Block> = self
            .boxes
            .iter()
            .filter(|b| (0..3).all(|k| b[0][k] < hi[k] && lo[k] < b[1][k]))
            .copied()
            .collect();
        let rules = Rules {
            bounds: self.bounds,
            boxes: &boxes,
            half: self.half,
            radius: self.radius,
            stubs: ends.map(|e| e.stub),
            axes: ends.map(|e| unit(e.direction)),
        };
        let mut best = Short {
            bent: rules.check(&points).ok()?,
            rules: &rules,
            points,
        };
        let mut step = self.radius;
        for _ in 0..ROUNDS {
            let before = best.bent.length;
            best.round(step);
            if before - best.bent.length < 0.1 * step {
                step *= 0.5;
            }
            if step < 0.2 || stop() {
                break;
            }
        }
        Some(best.bent)
    }
}

/// A way that is being shortened.
struct Short<'a> {
    rules: &'a Rules<'a>,
    points: Vec<Point>,
    bent: Bent,
}

impl Short<'_> {
    fn take(&mut self, points: Vec<Point>) -> bool {
        match self.rules.check(&points) {
            Ok(bent) if bent.length < self.bent.length - 1e-6 => {
                (self.points, self.bent) = (points, bent);
                true
            }
            _ => false,
        }
    }

    fn round(&mut self, step: f64) {
        // The first and the last corner stay on the axes of the ends.
        let mut i = 2;
        while i + 2 < self.points.len() {
            let mut fewer = self.points.clone();
            fewer.remove(i);
            if !self.take(fewer) {
                i += 1;
            }
        }
        let n = self.points.len();
        for i in 1..n.saturating_sub(1) {
            let ways: Vec<Point> = match i {
                1 => vec![self.rules.axes[0]],
                _ if i + 2 == n => vec![self.rules.axes[1]],
                _ => (0..3)
                    .map(|k| std::array::from_fn(|j| f64::from(u8::from(j == k))))
                    .collect(),
            };
            for way in ways {
                for by in [step, -step] {
                    let mut any = false;
                    while self.shift(i, way, by) {
                        any = true;
                    }
                    if any {
                        break;
                    }
                }
            }
        }
    }

    fn shift(&mut self, i: usize, way: Point, by: f64) -> bool {
        let mut moved = self.points.clone();
        moved[i] = along(moved[i], way, by);
        self.take(moved)
    }
}
