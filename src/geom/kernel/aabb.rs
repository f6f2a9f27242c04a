//! Axis-aligned boxes: exact solids and bounds of others.

use super::{Vec3, gap::Separation};

/// A box along the coordinate axes, from its low to its high corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Aabb {
    /// The corner with the least coordinates.
    pub lo: Vec3,
    /// The corner with the greatest coordinates.
    pub hi: Vec3,
}

impl Aabb {
    /// The box around nothing: neutral in [`Aabb::union`] and far from every other box.
    pub const EMPTY: Self = Self {
        lo: Vec3([f64::INFINITY; 3]),
        hi: Vec3([f64::NEG_INFINITY; 3]),
    };

    pub(super) fn around(centre: Vec3, half: Vec3) -> Self {
        Self {
            lo: centre - half,
            hi: centre + half,
        }
    }

    /// The least box around both.
    pub fn union(&self, o: &Self) -> Self {
        let pick = |f: fn(f64, f64) -> f64, a: Vec3, b: Vec3| {
            Vec3::new(f(a[0], b[0]), f(a[1], b[1]), f(a[2], b[2]))
        };
        Self {
            lo: pick(f64::min, self.lo, o.lo),
            hi: pick(f64::max, self.hi, o.hi),
        }
    }

    /// Whether it is the box around nothing.
    pub fn is_empty(&self) -> bool {
        (0..3).any(|k| self.lo[k] > self.hi[k])
    }

    /// The middle.
    #[inline]
    pub fn centre(&self) -> Vec3 {
        (self.lo + self.hi) * 0.5
    }

    /// Half sizes.
    #[inline]
    pub fn half(&self) -> Vec3 {
        (self.hi - self.lo) * 0.5
    }

    /// The longest side.
    #[inline]
    pub fn longest(&self) -> f64 {
        let size = self.hi - self.lo;
        size[0].max(size[1]).max(size[2])
    }

    /// The box shifted by `by`.
    pub fn translated(&self, by: Vec3) -> Self {
        Self {
            lo: self.lo + by,
            hi: self.hi + by,
        }
    }

    /// Signed gap along one axis: negative where the two intervals share an inside.
    #[inline]
    pub(super) fn axis_gap(&self, o: &Self, k: usize) -> f64 {
        let (ahead, behind) = (o.lo[k] - self.hi[k], self.lo[k] - o.hi[k]);
        if ahead > behind { ahead } else { behind }
    }

    /// Square of the distance, 0 where they touch or overlap.
    #[inline]
    pub(super) fn distance2(&self, o: &Self) -> f64 {
        let g = |k| {
            let g = self.axis_gap(o, k);
            if g > 0.0 { g } else { 0.0 }
        };
        let (x, y, z) = (g(0), g(1), g(2));
        x * x + y * y + z * z
    }

    /// Whether the gap along each axis is under `near`.
    #[inline]
    pub(super) fn within(&self, o: &Self, near: f64) -> bool {
        (self.axis_gap(o, 0) < near) & (self.axis_gap(o, 1) < near) & (self.axis_gap(o, 2) < near)
    }

    /// The middle of what two boxes share, or of the space between them.
    pub(super) fn middle(&self, o: &Self) -> Vec3 {
        let mid = |k: usize| (self.lo[k].max(o.lo[k]) + self.hi[k].min(o.hi[k])) * 0.5;
        Vec3::new(mid(0), mid(1), mid(2))
    }

    /// Distance or depth of two solid boxes. The depth is the least shift along a coordinate
    /// axis that leaves them touching; so a box inside another is pushed out by its nearest way.
    pub(super) fn separation(&self, o: &Self) -> Separation {
        let (mut on_a, mut on_b) = (self.middle(o), self.middle(o));
        let (mut best, mut axis, mut sum) = (f64::NEG_INFINITY, 0, 0.0);
        for k in 0..3 {
            let g = self.axis_gap(o, k);
            if g > best {
                (best, axis) = (g, k);
            }
            if g > 0.0 {
                sum += g * g;
                let ahead = o.lo[k] > self.hi[k];
                on_a.0[k] = if ahead { self.hi[k] } else { self.lo[k] };
                on_b.0[k] = if ahead { o.lo[k] } else { o.hi[k] };
            }
        }
        let ahead = o.lo[axis] - self.hi[axis] >= self.lo[axis] - o.hi[axis];
        let across = if ahead {
            Vec3::unit(axis)
        } else {
            -Vec3::unit(axis)
        };
        let apart = best > 0.0;
        Separation {
            value: if apart { sum.sqrt() } else { best },
            normal: (on_b - on_a).normalized().unwrap_or(across),
            on_a,
            on_b,
        }
    }
}
