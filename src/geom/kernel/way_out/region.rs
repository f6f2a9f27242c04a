//! The shifts of one convex piece under which it meets another: a convex region of space.

use std::f64::consts::TAU;

use super::super::gap::separation;
use super::super::hull::{CylinderHull, PrismHull};
use super::super::shape::{Piece, Solid};
use super::super::{Aabb, Vec3};
use super::facets::{Plane, facets};

/// Corners that stand for a circle at first.
const CORNERS: usize = 16;

/// Corners nearer than this, in radians, are one.
const NEAR: f64 = 1e-7;

/// All shifts between two pieces. A cylinder is a prism with corners on its rims at first, and
/// gets more of them where that matters.
pub(super) struct Region<'a> {
    pub bounds: Aabb,
    /// What lies short of all of these is inside.
    pub planes: Vec<Plane>,
    pieces: [&'a Piece; 2],
    /// Angles of the corners of each piece that is a cylinder, ascending; else none.
    angles: [Vec<f64>; 2],
}

impl<'a> Region<'a> {
    /// With cylinders inside the true ones, or around them.
    pub fn new(p: &'a Piece, q: &'a Piece, is_around: bool) -> Self {
        let bounds = Aabb {
            lo: p.bounds.lo - q.bounds.hi,
            hi: p.bounds.hi - q.bounds.lo,
        };
        let angles = [p, q].map(|piece| match piece.solid {
            Solid::Cylinder(_) => {
                let angle = |i| TAU * i as f64 / CORNERS as f64;
                (0..CORNERS).map(angle).collect()
            }
            _ => Vec::new(),
        });
        let mut region = Self {
            bounds,
            planes: Vec::new(),
            pieces: [p, q],
            angles,
        };
        region.lay(if is_around {
            1.0 / (0.5 * TAU / CORNERS as f64).cos()
        } else {
            1.0
        });
        region
    }

    fn lay(&mut self, grown: f64) {
        let flat = |i: usize| flattened(self.pieces[i], &self.angles[i], grown);
        self.planes = facets(&flat(0), &flat(1));
    }

    pub fn is_round(&self) -> bool {
        self.angles.iter().any(|a| !a.is_empty())
    }

    /// Whether a point lies deeper inside than `slack`, cylinders taken as they are laid.
    #[inline]
    pub fn holds(&self, at: Vec3, slack: f64) -> bool {
        (0..3).all(|k| at[k] - self.bounds.lo[k] > slack && self.bounds.hi[k] - at[k] > slack)
            && self.planes.iter().all(|p| p.short(at) > slack)
    }

    /// The stretch of a line that lies inside. A line along a face counts as inside where it lies
    /// deeper than `slack`, which may be less than 0.
    #[inline]
    pub fn stretch(&self, from: Vec3, way: Vec3, slack: f64) -> Option<[f64; 2]> {
        let (mut lo, mut hi) = (f64::NEG_INFINITY, f64::INFINITY);
        for p in &self.planes {
            let (rise, short) = (p.normal.dot(way), p.short(from));
            if rise.abs() < 1e-12 {
                if short <= slack {
                    return None;
                }
            } else if rise > 0.0 {
                hi = hi.min(short / rise);
            } else {
                lo = lo.max(short / rise);
            }
            if lo - hi >= slack.abs() {
                return None;
            }
        }
        Some([lo, hi])
    }

    /// Lays cylinders closer where a shift lies inside by more than `slack` in truth; true if it
    /// does and that can be done.
    pub fn refine(&mut self, at: Vec3, slack: f64) -> bool {
        if !self.is_round()
            || (0..3).any(|k| at[k] <= self.bounds.lo[k] || at[k] >= self.bounds.hi[k])
        {
            return false;
        }
        let [p, q] = self.pieces;
        let Some(found) = separation(p.seen(), q.translated(at).seen(), 0.0) else {
            return false;
        };
        if found.value >= -slack {
            return false;
        }
        let mut news = false;
        for (i, way) in [found.normal, -found.normal].into_iter().enumerate() {
            if let Solid::Cylinder(hull) = &self.pieces[i].solid {
                let [u, v, _] = frame(hull);
                let (x, y) = (u.dot(way), v.dot(way));
                // Where the ends meet, no corner helps.
                if x.hypot(y) > 1e-9 {
                    news |= close_in(&mut self.angles[i], y.atan2(x).rem_euclid(TAU));
                }
            }
        }
        if news {
            self.lay(1.0);
        }
        news
    }
}

/// A corner at this angle; where there is one, halfway to those beside it, for a depth that was
/// worked out step by step gives its direction only nearly.
fn close_in(angles: &mut Vec<f64>, angle: f64) -> bool {
    if insert(angles, angle) {
        return true;
    }
    let n = angles.len();
    let after = angles.partition_point(|a| *a < angle + NEAR);
    let before = angles.partition_point(|a| *a <= angle - NEAR);
    let near = |i: usize| angles[i % n];
    let halves = [near(after), near(before + n - 1)].map(|other| {
        let off = (other - angle + TAU / 2.0).rem_euclid(TAU) - TAU / 2.0;
        (angle + off / 2.0).rem_euclid(TAU)
    });
    halves
        .into_iter()
        .fold(false, |news, half| insert(angles, half) | news)
}

fn insert(angles: &mut Vec<f64>, angle: f64) -> bool {
    let at = angles.partition_point(|a| *a < angle);
    let near = |a: &f64| {
        let off = (a - angle).abs();
        off.min(TAU - off) < NEAR
    };
    let around = [at % angles.len(), (at + angles.len() - 1) % angles.len()];
    if around.iter().any(|i| near(&angles[*i])) {
        return false;
    }
    angles.insert(at, angle);
    true
}

/// A cylinder's axis as the last of three at right angles.
fn frame(hull: &CylinderHull) -> [Vec3; 3] {
    let w = hull.axis;
    let least = (0..3).min_by(|i, j| w[*i].abs().total_cmp(&w[*j].abs()));
    let u = w.cross(Vec3::unit(least.unwrap_or(0))).normalized();
    let u = u.unwrap_or(Vec3::unit(0));
    [u, w.cross(u), w]
}

/// A cylinder as a prism with corners at these angles, its radius grown; anything else as it is.
fn flattened(piece: &Piece, angles: &[f64], grown: f64) -> Piece {
    let Solid::Cylinder(hull) = &piece.solid else {
        return piece.clone();
    };
    let corner = |a: &f64| {
        let (s, c) = a.sin_cos();
        [c, s].map(|x| x * hull.radius * grown)
    };
    let prism = PrismHull {
        centre: hull.centre,
        axes: frame(hull),
        half: hull.half,
        corners: angles.iter().map(corner).collect(),
    };
    Piece {
        bounds: piece.bounds,
        solid: Solid::Prism(prism),
    }
}
