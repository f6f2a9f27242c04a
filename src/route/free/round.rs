//! Rounding the corners of a way so that the arcs, too, keep clear: corners move until they do.

use super::Point;
use super::fillet::{Bent, TooTight};
use super::rules::{Rules, Trouble};
use super::vector::{along, cross, dist, dot, norm, sub, unit};

/// Rounds of moving corners; most ways need under ten. After so many without progress it is no use.
const ROUNDS: usize = 60;
const STALE: usize = 20;

impl Rules<'_> {
    /// Moves corners of the polyline until its rounding keeps everything. The first and last inner
    /// corner stay on the axes of the ends. A way longer than `give_up` is not shortened any more.
    pub fn round(
        &self,
        points: &[Point],
        give_up: f64,
        stop: &mut dyn FnMut() -> bool,
    ) -> Result<Bent, Trouble> {
        let mut moved = points.to_vec();
        let mut least = (f64::INFINITY, 0);
        let mut round = 0;
        loop {
            let trouble = match self.check(&moved) {
                Ok(bent) if bent.length > give_up => return Ok(bent),
                Ok(bent) => return Ok(self.settle(points, moved, bent)),
                Err(trouble) => trouble,
            };
            if trouble.missing() < 0.95 * least.0 {
                least = (trouble.missing(), round);
            }
            let goes_on = match trouble {
                Trouble::Tight(t) => self.make_room(&mut moved, t),
                Trouble::Near {
                    corner, missing, ..
                } => self.push_out(&mut moved, corner, missing),
            };
            round += 1;
            if !goes_on || round == ROUNDS || round - least.1 > STALE || stop() {
                return Err(trouble);
            }
        }
    }

    /// Takes back as much of the moves as the rules allow, and draws the corners on the axes of the
    /// ends back towards the ends.
    fn settle(&self, points: &[Point], moved: Vec<Point>, bent: Bent) -> Bent {
        let mut best = (moved, bent);
        let n = points.len();
        // Tries to go from the best polyline towards another one, as far as it stays good.
        let mut toward = |target: &dyn Fn(&[Point]) -> Vec<Point>| {
            let from = best.0.clone();
            let to = target(&from);
            let (mut good, mut bad) = (0.0, 1.0);
            for step in 0..9 {
                let t = if step == 0 { 1.0 } else { 0.5 * (good + bad) };
                let mix = |a: &Point, b: &Point| -> Point {
                    std::array::from_fn(|k| a[k] + (b[k] - a[k]) * t)
                };
                let trial: Vec<Point> = from.iter().zip(&to).map(|(a, b)| mix(a, b)).collect();
                match self.check(&trial) {
                    Ok(bent) if bent.length <= best.1.length => {
                        best = (trial, bent);
                        good = t;
                        if step == 0 {
                            return;
                        }
                    }
                    _ => bad = t,
                }
            }
        };
        toward(&|_| points.to_vec());
        for i in 1..n - 1 {
            toward(&|from| {
                let mut to = from.to_vec();
                to[i] = points[i];
                to
            });
        }
        for (corner, end) in [(1, 0), (n - 2, n - 1)] {
            toward(&|from| {
                let mut to = from.to_vec();
                to[corner] = along(
                    from[end],
                    self.axes[usize::from(end != 0)],
                    self.stubs[usize::from(end != 0)] + 1e-6,
                );
                to
            });
        }
        best.1
    }

    /// Lengthens the leg that two bends share. False if nothing can move.
    fn make_room(&self, points: &mut [Point], t: TooTight) -> bool {
        let n = points.len();
        if n < 3 || !t.missing.is_finite() {
            return false;
        }
        // The leg that is too short: beside the named corner, the one with less room.
        let i = t.corner.clamp(1, n - 2);
        let lengths = [
            dist(points[i - 1], points[i]),
            dist(points[i], points[i + 1]),
        ];
        let leg = if lengths[0] <= lengths[1] { i - 1 } else { i };
        let by = 0.55 * t.missing + 0.01 * self.radius;
        let axis = unit(sub(points[leg + 1], points[leg]));
        let mut any = false;
        for (j, away) in [(leg, -1.0), (leg + 1, 1.0)] {
            if j == 0 || j == n - 1 {
                continue;
            }
            let to = along(
                points[j],
                axis,
                away * by * if leg == 0 || leg + 2 == n { 2.0 } else { 1.0 },
            );
            any |= self.place(points, j, to);
        }
        any
    }

    /// Moves a corner outwards, away from the inside of its bend. False if it cannot move.
    fn push_out(&self, points: &mut [Point], corner: usize, missing: f64) -> bool {
        let n = points.len();
        if n < 3 || corner == 0 {
            return false;
        }
        let (a, b) = (
            unit(sub(points[corner], points[corner - 1])),
            unit(sub(points[corner + 1], points[corner])),
        );
        let turn = norm(cross(a, b)).atan2(dot(a, b));
        let cut = self.radius * (1.0 / (0.5 * turn).cos().max(0.1) - 1.0);
        let by = missing.max(0.08 * cut).max(0.02 * self.radius).max(1e-3);
        let outwards = unit(sub(a, b));
        if norm(outwards) < 0.5 {
            return false;
        }
        let to = along(points[corner], outwards, by);
        self.place(points, corner, to)
    }

    /// Puts a corner in a new place: on the axis of its end where it is bound to one, and not beyond
    /// the walls.
    fn place(&self, points: &mut [Point], corner: usize, to: Point) -> bool {
        let n = points.len();
        let old = points[corner];
        let mut to: Point = std::array::from_fn(|k| {
            let (lo, hi) = (self.bounds[0][k] + self.half, self.bounds[1][k] - self.half);
            if lo <= hi {
                to[k].clamp(lo, hi)
            } else {
                old[k]
            }
        });
        for (bound, end) in [(1, 0), (n - 2, n - 1)] {
            if corner == bound {
                let axis = unit(sub(old, points[end]));
                // Farther out only: what is needed here is room.
                let moved = dot(sub(to, old), axis);
                let off = norm(sub(to, old));
                to = along(old, axis, moved.max(0.5 * off));
            }
        }
        points[corner] = to;
        dist(old, to) > 1e-6
    }
}
