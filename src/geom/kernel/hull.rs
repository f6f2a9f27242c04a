//! Convex solids as the general methods see them: by their furthest point in a direction.

use std::sync::Arc;

use super::{Aabb, Vec3};

/// A convex solid with an inside.
pub(super) trait Hull {
    /// A point inside.
    fn centre(&self) -> Vec3;

    /// From the centre to a point that lies furthest in direction `dir` (of any length).
    fn offset(&self, dir: Vec3) -> Vec3;

    /// How far the solid reaches from its centre against and along the unit vector `n`.
    fn reach(&self, n: Vec3) -> [f64; 2];

    /// Calls `f` with directions among which the least way out of this solid often lies.
    fn each_normal(&self, f: &mut dyn FnMut(Vec3));
}

/// A convex solid with flat faces only.
pub(super) trait Polytope: Hull {
    /// Calls `f` with the direction of each edge, parallel ones once.
    fn each_edge(&self, f: &mut dyn FnMut(Vec3));
}

/// A box in any position.
#[derive(Clone, Copy, Debug)]
pub(super) struct BoxHull {
    pub centre: Vec3,
    pub half: Vec3,
    pub axes: [Vec3; 3],
}

/// A cylinder with flat ends.
#[derive(Clone, Copy, Debug)]
pub(super) struct CylinderHull {
    pub centre: Vec3,
    pub axis: Vec3,
    pub radius: f64,
    pub half: f64,
}

/// A prism over a convex polygon in its own x and y, `half` to either side along its own z.
#[derive(Clone, Debug)]
pub(super) struct PrismHull {
    pub centre: Vec3,
    pub axes: [Vec3; 3],
    pub half: f64,
    /// Anticlockwise, with the centre inside.
    pub corners: Arc<[[f64; 2]]>,
}

impl Hull for BoxHull {
    #[inline]
    fn centre(&self) -> Vec3 {
        self.centre
    }

    #[inline]
    fn offset(&self, dir: Vec3) -> Vec3 {
        let part = |i: usize| self.axes[i] * self.half[i].copysign(self.axes[i].dot(dir));
        part(0) + part(1) + part(2)
    }

    #[inline]
    fn reach(&self, n: Vec3) -> [f64; 2] {
        let part = |i: usize| self.half[i] * self.axes[i].dot(n).abs();
        let reach = part(0) + part(1) + part(2);
        [reach, reach]
    }

    fn each_normal(&self, f: &mut dyn FnMut(Vec3)) {
        self.axes.iter().for_each(|a| f(*a));
    }
}

impl Polytope for BoxHull {
    fn each_edge(&self, f: &mut dyn FnMut(Vec3)) {
        self.axes.iter().for_each(|a| f(*a));
    }
}

impl CylinderHull {
    /// `axis` is a unit vector; within 1e-12 of a coordinate axis it is taken as that axis.
    pub fn new(centre: Vec3, axis: Vec3, radius: f64, half: f64) -> Self {
        let whole = axis.0.iter().all(|c| (c - c.round()).abs() <= 1e-12);
        let axis = if whole {
            Vec3(axis.0.map(|c| c.round() + 0.0))
        } else {
            axis
        };
        Self {
            centre,
            axis,
            radius,
            half,
        }
    }

    /// The box around it, exact but for rounding.
    pub fn bounds(&self) -> Aabb {
        let reach = |k: usize| self.reach(Vec3::unit(k))[0];
        Aabb::around(self.centre, Vec3::new(reach(0), reach(1), reach(2)))
    }
}

impl Hull for CylinderHull {
    #[inline]
    fn centre(&self) -> Vec3 {
        self.centre
    }

    #[inline]
    fn offset(&self, dir: Vec3) -> Vec3 {
        let along = self.axis.dot(dir);
        let mut side = dir - self.axis * along;
        let mut out = side.norm();
        if out < 1e-3 * along.abs() {
            // What is left is partly rounding, and that part need not lie across the axis.
            side = side - self.axis * self.axis.dot(side);
            out = side.norm();
        }
        let rim = if out > 0.0 { self.radius / out } else { 0.0 };
        self.axis * self.half.copysign(along) + side * rim
    }

    #[inline]
    fn reach(&self, n: Vec3) -> [f64; 2] {
        // The cross product keeps its precision where the axis is nearly along n.
        let reach = self.half * self.axis.dot(n).abs() + self.radius * self.axis.cross(n).norm();
        [reach, reach]
    }

    fn each_normal(&self, f: &mut dyn FnMut(Vec3)) {
        f(self.axis);
    }
}

impl PrismHull {
    /// The box around it, exact but for rounding.
    pub fn bounds(&self) -> Aabb {
        let (mut lo, mut hi) = (self.centre, self.centre);
        for k in 0..3 {
            let [back, ahead] = self.reach(Vec3::unit(k));
            lo.0[k] -= back;
            hi.0[k] += ahead;
        }
        Aabb { lo, hi }
    }

    /// Direction of each edge of the polygon with its outward normal, in the own frame.
    pub fn sides(&self) -> impl Iterator<Item = ([f64; 2], [f64; 2])> + '_ {
        let n = self.corners.len();
        (0..n).filter_map(move |i| {
            let (p, q) = (self.corners[i], self.corners[(i + 1) % n]);
            let (x, y) = (q[0] - p[0], q[1] - p[1]);
            let len = x.hypot(y);
            (len > 0.0).then(|| ([x / len, y / len], [y / len, -x / len]))
        })
    }

    fn lift(&self, v: [f64; 2]) -> Vec3 {
        self.axes[0] * v[0] + self.axes[1] * v[1]
    }
}

impl Hull for PrismHull {
    #[inline]
    fn centre(&self) -> Vec3 {
        self.centre
    }

    #[inline]
    fn offset(&self, dir: Vec3) -> Vec3 {
        let (x, y) = (self.axes[0].dot(dir), self.axes[1].dot(dir));
        let mut best = (f64::NEG_INFINITY, [0.0; 2]);
        for c in self.corners.iter() {
            let far = c[0] * x + c[1] * y;
            if far > best.0 {
                best = (far, *c);
            }
        }
        let along = self.half.copysign(self.axes[2].dot(dir));
        self.lift(best.1) + self.axes[2] * along
    }

    fn reach(&self, n: Vec3) -> [f64; 2] {
        let (x, y) = (self.axes[0].dot(n), self.axes[1].dot(n));
        let along = self.half * self.axes[2].dot(n).abs();
        let (mut back, mut ahead) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
        for c in self.corners.iter() {
            let far = c[0] * x + c[1] * y;
            ahead = ahead.max(far);
            back = back.max(-far);
        }
        [back + along, ahead + along]
    }

    fn each_normal(&self, f: &mut dyn FnMut(Vec3)) {
        f(self.axes[2]);
        self.sides().for_each(|(_, n)| f(self.lift(n)));
    }
}

impl Polytope for PrismHull {
    fn each_edge(&self, f: &mut dyn FnMut(Vec3)) {
        f(self.axes[2]);
        self.sides().for_each(|(e, _)| f(self.lift(e)));
    }
}
