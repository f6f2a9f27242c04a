//! The gap between two shapes: how far apart, touching, or how deep in one another.

use super::gjk::{self, Found};
use super::hull::{BoxHull, Hull};
use super::shape::{Seen, Solid};
use super::{Shape, Vec3, boxes, cylinder, epa, polytope};

/// Gaps and depths up to this share of the longest side of the two bounding boxes count as
/// touching. It has to cover the rounding of curved and turned shapes and nothing more: with
/// whole-number coordinates and sizes under 5e8 every question between axis-aligned boxes is
/// answered exactly.
pub const CONTACT: f64 = 1e-9;

/// How two shapes stand to one another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Gap {
    /// The distance is not under the limit; how far it is was not worked out.
    Beyond,
    /// Something lies between them.
    Apart {
        /// The shortest distance, greater than 0.
        distance: f64,
        /// A point of the first shape at that distance from the second.
        on_a: Vec3,
        /// The point of the second shape nearest to `on_a`.
        on_b: Vec3,
    },
    /// They share points of their surfaces and no inside: no clash.
    Touching {
        /// A shared point, or one near the middle of what they share where that is a surface.
        at: Vec3,
    },
    /// Their insides meet.
    Overlap {
        /// The least straight shift that leaves the deepest pair of convex pieces touching.
        /// Two boxes, cylinders or convex extrusions are one such pair.
        depth: f64,
        /// Unit vector: shifting the second shape this way by `depth` is that shift.
        direction: Vec3,
        /// A point near the middle of what they share.
        at: Vec3,
    },
}

impl Gap {
    /// The distance: 0 where they touch or overlap, `None` beyond the limit.
    pub fn distance(&self) -> Option<f64> {
        match self {
            Self::Beyond => None,
            Self::Apart { distance, .. } => Some(*distance),
            Self::Touching { .. } | Self::Overlap { .. } => Some(0.0),
        }
    }

    /// Whether insides meet.
    pub fn is_overlap(&self) -> bool {
        matches!(self, Self::Overlap { .. })
    }
}

/// The gap between two shapes if it is under `limit`.
///
/// Axis-aligned boxes are exact. Cylinders with parallel axes, at right angles, and along an axis
/// of a box are in closed form (at right angles the corner case is solved to rounding). Turned
/// boxes and extrusions are exact to rounding: separating axes decide and give the depth, the
/// distance comes from a finite descent. Any other pair is within 1e-9 of the size of the pieces
/// in distance and 1e-7 in depth.
///
/// One shape inside the other is an overlap. Touching is not; see [`CONTACT`] for what counts as
/// touching. A `limit` of 0 or not a number gives [`Gap::Beyond`] for all that is apart.
pub fn gap(a: &Shape, b: &Shape, limit: f64) -> Gap {
    let mut best = Best::under(limit);
    for p in &a.pieces {
        for q in &b.pieces {
            best.meet(p.seen(), q.seen());
        }
    }
    best.gap
}

/// The nearest, or once something overlaps the deepest, of several pairs of pieces.
pub(super) struct Best {
    /// Square of the distance that another pair has to stay under; 0 once two pieces overlap.
    pub reach2: f64,
    pub reach: f64,
    pub gap: Gap,
}

impl Best {
    pub fn under(limit: f64) -> Self {
        let limit = limit.max(0.0);
        Self {
            reach2: limit * limit,
            reach: limit,
            gap: Gap::Beyond,
        }
    }

    /// Whether pieces whose bounds are this far apart (squared) can still change the answer.
    #[inline]
    pub fn wants(&self, bounds2: f64) -> bool {
        bounds2 < self.reach2 || bounds2 == 0.0
    }

    /// Takes a pair in; true if it changed the answer.
    pub fn meet(&mut self, p: Seen<'_>, q: Seen<'_>) -> bool {
        if !self.wants(p.bounds.distance2(q.bounds)) {
            return false;
        }
        let contact = CONTACT * p.bounds.longest().max(q.bounds.longest());
        // A pair that touches has to be told from one that overlaps whatever came before.
        let Some(found) = separation(p, q, self.reach.max(2.0 * contact)) else {
            return false;
        };
        if found.value > contact {
            if found.value >= self.reach || self.reach == 0.0 {
                return false;
            }
            self.reach = found.value;
            self.reach2 = found.value * found.value;
            self.gap = Gap::Apart {
                distance: found.value,
                on_a: found.on_a,
                on_b: found.on_b,
            };
            return true;
        }
        (self.reach, self.reach2) = (0.0, 0.0);
        if found.value >= -contact {
            let at = if found.value > 0.0 {
                (found.on_a + found.on_b) * 0.5
            } else {
                p.bounds.middle(q.bounds)
            };
            let news = !matches!(self.gap, Gap::Touching { .. } | Gap::Overlap { .. });
            if news {
                self.gap = Gap::Touching { at };
            }
            return news;
        }
        let depth = -found.value;
        if let Gap::Overlap { depth: known, .. } = self.gap
            && known >= depth
        {
            return false;
        }
        self.gap = Gap::Overlap {
            depth,
            direction: found.normal,
            at: p.bounds.middle(q.bounds),
        };
        true
    }
}

/// Signed distance of two convex pieces.
#[derive(Clone, Copy, Debug)]
pub(super) struct Separation {
    /// Distance, or minus the depth.
    pub value: f64,
    /// Unit vector along which shifting the second piece takes it away from the first.
    pub normal: Vec3,
    /// The point of the first piece nearest to the second; meaningless unless `value` is over 0.
    pub on_a: Vec3,
    /// The point of the second piece nearest to the first; likewise.
    pub on_b: Vec3,
}

impl Separation {
    /// The same, seen from the second piece.
    pub fn swapped(self) -> Self {
        Self {
            value: self.value,
            normal: -self.normal,
            on_a: self.on_b,
            on_b: self.on_a,
        }
    }
}

/// Signed distance of two pieces; `None` when it is certainly not under `limit`.
pub(super) fn separation(p: Seen<'_>, q: Seen<'_>, limit: f64) -> Option<Separation> {
    use Solid::{Aligned, Cylinder, Prism, Turned};
    match (p.solid, q.solid) {
        (Aligned, Aligned) => Some(p.bounds.separation(q.bounds)),
        (Cylinder(a), Cylinder(b)) => cylinder::with_cylinder(a, b).or_else(|| smooth(a, b, limit)),
        (Prism(a), Prism(b)) => polytope::separation(a, b, limit),
        (Prism(a), Cylinder(b)) => cylinder::with_prism(a, b).or_else(|| smooth(a, b, limit)),
        (Aligned, _) => box_with(&p.aligned_hull(), q, limit),
        (Turned(a), _) => box_with(a, q, limit),
        (Cylinder(_) | Prism(_), _) => separation(q, p, limit).map(Separation::swapped),
    }
}

fn box_with(a: &BoxHull, q: Seen<'_>, limit: f64) -> Option<Separation> {
    match q.solid {
        Solid::Aligned => boxes::separation(a, &q.aligned_hull(), limit),
        Solid::Turned(b) => boxes::separation(a, b, limit),
        Solid::Cylinder(b) => cylinder::with_box(a, b).or_else(|| smooth(a, b, limit)),
        Solid::Prism(b) => polytope::separation(a, b, limit),
    }
}

/// Signed distance where one of the two is curved and no closed form is at hand.
fn smooth(a: &impl Hull, b: &impl Hull, limit: f64) -> Option<Separation> {
    match gjk::distance(a, b, a.centre() - b.centre(), limit) {
        Found::Beyond => None,
        Found::Apart(found) => Some(found),
        Found::Contact => Some(epa::depth(a, b)),
    }
}
