//! What a rounded way has to keep, and where it does not.

use super::fillet::{Bent, Leg, TooTight, fillet};
use super::keep::{self, Clash};
use super::vector::{along, cross, dist, norm, sub, unit};
use super::{Block, Point};

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
        let off_axis = |corner| TooTight {
            corner,
            missing: f64::INFINITY,
        };
        if n < 2 {
            return Err(Trouble::Tight(off_axis(0)));
        }
        for (axis, at, next) in [(self.axes[0], 0, 1), (self.axes[1], n - 1, n - 2)] {
            let off = sub(unit(sub(points[next], points[at])), axis);
            let bound = self.radius > 0.0 || self.stubs[usize::from(at > 0)] > 0.0;
            if bound && norm(off) > 1e-9 {
                return Err(Trouble::Tight(off_axis(at)));
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
