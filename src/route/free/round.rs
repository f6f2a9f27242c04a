//! Rounding the corners of a way so that the arcs, too, keep clear: corners move until they do.

use super::fillet::{Bent, Leg, TooTight, along, cross, dot, fillet, norm, sub, unit};
use super::keep::{self, Clash};
use super::{Block, Point, dist};

/// Rounds of moving corners; most ways need under ten. After so many without progress it is no use.
const ROUNDS: usize = 60;
const STALE: usize = 20;

/// What a rounded way has to keep.
pub struct Rules<'a> {
    /// The enclosure and the obstacles, as they are.
    pub bounds: Block,
    pub boxes: &'a [Block],
    /// Half the cable's diameter.
    pub half: f64,
    /// Bend radius of the cable's middle.
    pub radius: f64,
    /// Length at start and goal that stays straight and may be nearer to obstacles than `half`.
    pub stubs: [f64; 2],
    /// Unit directions in which the cable leaves start and goal.
    pub axes: [Point; 2],
}

/// Why a way could not be rounded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Trouble {
    /// A bend lacks room beside it.
    Tight(TooTight),
    /// The rounded way comes too near to an obstacle or, without a block, to the enclosure's wall.
    Near {
        /// Corner of the polyline next to the place.
        corner: usize,
        /// Which obstacle.
        block: Option<usize>,
        /// How much is missing, millimetres.
        missing: f64,
    },
}

impl Trouble {
    /// How much is missing, millimetres.
    pub fn missing(&self) -> f64 {
        match *self {
            Self::Tight(t) => t.missing,
            Self::Near { missing, .. } => missing,
        }
    }
}

impl Rules<'_> {
    /// The rounded way, if it keeps everything.
    pub fn check(&self, points: &[Point]) -> Result<Bent, Trouble> {
        let n = points.len();
        for (axis, at, next) in [(self.axes[0], 0, 1), (self.axes[1], n - 1, n - 2)] {
            let off = sub(unit(sub(points[next], points[at])), axis);
            if norm(off) > 1e-9 {
                return Err(Trouble::Tight(TooTight {
                    corner: at,
                    missing: f64::INFINITY,
                }));
            }
        }
        let bent = fillet(points, self.radius, self.stubs).map_err(Trouble::Tight)?;
        match self.first_trouble(points, &bent) {
            Some(trouble) => Err(trouble),
            None => Ok(bent),
        }
    }

    /// The worst place of a rounded way.
    fn first_trouble(&self, points: &[Point], bent: &Bent) -> Option<Trouble> {
        let mut worst: Option<Trouble> = None;
        let mut note = |leg: &Leg, at: f64, block: Option<usize>, missing: f64| {
            let worse = match worst {
                Some(Trouble::Near { missing: m, .. }) => missing > m,
                _ => true,
            };
            if worse {
                let place = leg.point(at);
                // Of the inner corners.
                let nearest = (1..points.len() - 1)
                    .min_by(|&i, &j| dist(points[i], place).total_cmp(&dist(points[j], place)))
                    .unwrap_or(0);
                worst = Some(Trouble::Near {
                    corner: nearest,
                    block,
                    missing,
                });
            }
        };
        let legs = &bent.legs;
        for (i, leg) in legs.iter().enumerate() {
            // The stubs are judged by their axis only, the rest by the cable's thickness.
            let mut rest = *leg;
            let mut pieces = Vec::with_capacity(3);
            if let (0, Leg::Straight { a, b }) = (i, rest) {
                let cut = along(a, unit(sub(b, a)), self.stubs[0].min(dist(a, b)));
                pieces.push((Leg::Straight { a, b: cut }, 0.0));
                rest = Leg::Straight { a: cut, b };
            }
            if let (true, Leg::Straight { a, b }) = (i + 1 == legs.len(), rest) {
                let cut = along(b, unit(sub(a, b)), self.stubs[1].min(dist(a, b)));
                pieces.push((Leg::Straight { a: cut, b }, 0.0));
                rest = Leg::Straight { a, b: cut };
            }
            pieces.push((rest, self.half));
            for (piece, half) in pieces {
                if piece.length() <= 0.0 {
                    continue;
                }
                for Clash { block, at, gap, .. } in self.nearest(&piece, half) {
                    note(&piece, at, Some(block), half - gap);
                }
                for (at, missing) in self.beyond_walls(&piece, half) {
                    note(&piece, at, None, missing);
                }
            }
        }
        worst
    }

    fn nearest(&self, piece: &Leg, half: f64) -> Vec<Clash> {
        keep::clashes(
            &Bent {
                legs: vec![*piece],
                length: 0.0,
            },
            self.boxes,
            half,
        )
    }

    /// Where the piece comes nearer than `half` to a wall, and by how much.
    fn beyond_walls(&self, piece: &Leg, half: f64) -> Vec<(f64, f64)> {
        let mut out = Vec::new();
        for k in 0..3 {
            for (at, reach) in extremes(piece, k) {
                let missing =
                    (self.bounds[0][k] + half - reach).max(reach - self.bounds[1][k] + half);
                if missing > 1e-7 {
                    out.push((at, missing));
                }
            }
        }
        out
    }

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
    fn make_room(&self, points: &mut Vec<Point>, t: TooTight) -> bool {
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
    fn push_out(&self, points: &mut Vec<Point>, corner: usize, missing: f64) -> bool {
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

/// The places of a leg where its coordinate `k` is least or greatest, as share of length and value.
fn extremes(leg: &Leg, k: usize) -> Vec<(f64, f64)> {
    let mut at = vec![0.0, 1.0];
    if let Leg::Arc {
        centre,
        start,
        angle,
        normal,
        ..
    } = *leg
    {
        let out = sub(start, centre);
        let ahead = cross(normal, out);
        // The coordinate is out cos x + ahead sin x: its slope is nothing at two opposite angles.
        let x = ahead[k].atan2(out[k]);
        for turn in [-1.0, 0.0, 1.0, 2.0] {
            let t = (x + turn * std::f64::consts::PI) / angle;
            if t > 0.0 && t < 1.0 {
                at.push(t);
            }
        }
    }
    at.into_iter().map(|t| (t, leg.point(t)[k])).collect()
}
