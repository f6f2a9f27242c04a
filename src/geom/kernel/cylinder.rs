//! Closed forms for cylinders: along an axis of a box or a prism, and two cylinders whose axes
//! are parallel or at right angles.

use super::Vec3;
use super::crossed;
use super::gap::Separation;
use super::hull::{BoxHull, CylinderHull, PrismHull};

/// Sine of the angle under which two directions count as parallel, or cosine for right angles.
/// The error in distance is that share of the size.
pub(super) const ALONG: f64 = 1e-12;

/// Signed distance in a plane: `value` over 0 outside, `normal` from the first to the second,
/// `on_a` the point of the first nearest to the second or shared with it.
#[derive(Clone, Copy)]
struct Flat {
    value: f64,
    normal: [f64; 2],
    on_a: [f64; 2],
}

/// A frame of three unit vectors at right angles; the third is the common axis.
struct Frame {
    axes: [Vec3; 3],
}

impl Frame {
    fn lift(&self, [x, y]: [f64; 2]) -> Vec3 {
        self.axes[0] * x + self.axes[1] * y
    }

    /// Two solids that are each a flat figure times an interval along the common axis:
    /// `along` is the way from middle to middle, `half_a` and `half_b` the half lengths.
    fn combine(&self, flat: Flat, along: f64, half_a: f64, half_b: f64, a: Vec3) -> Separation {
        let axis = self.axes[2] * 1f64.copysign(along);
        let along = along.abs();
        let end = along - half_a - half_b;
        let (across, rise) = (flat.value.max(0.0), end.max(0.0));
        let side = self.lift(flat.normal);
        // Middle of what the two intervals share, or the end that faces the other.
        let low = (along - half_b).max(-half_a);
        let high = (along + half_b).min(half_a);
        let level = if end > 0.0 {
            half_a
        } else {
            (low + high) * 0.5
        };
        let on_a = a + self.lift(flat.on_a) + axis * level;
        let (value, normal) = if across > 0.0 && rise > 0.0 {
            let value = length([across, rise]);
            (value, side * (across / value) + axis * (rise / value))
        } else if flat.value > end {
            (flat.value, side)
        } else {
            (end, axis)
        };
        Separation {
            value,
            normal,
            on_a,
            on_b: on_a + side * across + axis * rise,
        }
    }
}

/// A box and a cylinder, if the cylinder lies along an axis of the box.
pub(super) fn with_box(a: &BoxHull, b: &CylinderHull) -> Option<Separation> {
    let k = (0..3).find(|k| parallel(a.axes[*k], b.axis))?;
    let (i, j) = ((k + 1) % 3, (k + 2) % 3);
    let frame = Frame {
        axes: [a.axes[i], a.axes[j], a.axes[k]],
    };
    let delta = b.centre - a.centre;
    let to = [frame.axes[0].dot(delta), frame.axes[1].dot(delta)];
    let flat = rectangle_disc([a.half[i], a.half[j]], to, b.radius);
    Some(frame.combine(flat, frame.axes[2].dot(delta), a.half[k], b.half, a.centre))
}

/// A prism and a cylinder, if the cylinder lies along the prism.
pub(super) fn with_prism(a: &PrismHull, b: &CylinderHull) -> Option<Separation> {
    if !parallel(a.axes[2], b.axis) {
        return None;
    }
    let frame = Frame { axes: a.axes };
    let delta = b.centre - a.centre;
    let to = [frame.axes[0].dot(delta), frame.axes[1].dot(delta)];
    let flat = polygon_disc(a, to, b.radius);
    Some(frame.combine(flat, frame.axes[2].dot(delta), a.half, b.half, a.centre))
}

/// Two cylinders, if their axes are parallel or at right angles.
pub(super) fn with_cylinder(a: &CylinderHull, b: &CylinderHull) -> Option<Separation> {
    let delta = b.centre - a.centre;
    if !parallel(a.axis, b.axis) {
        return (a.axis.dot(b.axis).abs() <= ALONG)
            .then(|| crossed::separation(a, b))
            .flatten();
    }
    let along = a.axis.dot(delta);
    let aside = delta - a.axis * along;
    let far = aside.norm();
    let side = aside
        .normalized()
        .or_else(|| a.axis.cross(least_axis(a.axis)).normalized())?;
    let frame = Frame {
        axes: [side, a.axis.cross(side), a.axis],
    };
    let value = far - a.radius - b.radius;
    let shared = (a.radius.min(far + b.radius) + (far - b.radius).max(-a.radius)) * 0.5;
    let flat = Flat {
        value,
        normal: [1.0, 0.0],
        on_a: [if value > 0.0 { a.radius } else { shared }, 0.0],
    };
    Some(frame.combine(flat, along, a.half, b.half, a.centre))
}

/// `hypot` guards against overflow that the range of shapes rules out, and takes its time.
fn length([x, y]: [f64; 2]) -> f64 {
    (x * x + y * y).sqrt()
}

fn parallel(u: Vec3, v: Vec3) -> bool {
    // A scalar product tells most pairs off at once.
    u.dot(v).abs() > 0.999 && u.cross(v).norm() <= ALONG
}

/// The coordinate axis furthest from `u`.
fn least_axis(u: Vec3) -> Vec3 {
    let k = (0..3).min_by(|i, j| u[*i].abs().total_cmp(&u[*j].abs()));
    Vec3::unit(k.unwrap_or(0))
}

/// A rectangle about the origin and a disc about `to`.
fn rectangle_disc(half: [f64; 2], to: [f64; 2], radius: f64) -> Flat {
    let sign = to.map(|c| 1f64.copysign(c));
    let over = [to[0].abs() - half[0], to[1].abs() - half[1]];
    if over[0] > 0.0 && over[1] > 0.0 {
        let far = length(over);
        return Flat {
            value: far - radius,
            normal: [sign[0] * over[0] / far, sign[1] * over[1] / far],
            on_a: [sign[0] * half[0], sign[1] * half[1]],
        };
    }
    let k = usize::from(over[1] > over[0]);
    let mut normal = [0.0; 2];
    normal[k] = sign[k];
    let on_a = [0, 1].map(|k| to[k].clamp(-half[k], half[k]));
    Flat {
        value: over[k] - radius,
        normal,
        on_a,
    }
}

/// A convex polygon about the origin and a disc about `to`.
fn polygon_disc(a: &PrismHull, to: [f64; 2], radius: f64) -> Flat {
    let n = a.corners.len();
    let mut inside = (f64::NEG_INFINITY, [0.0; 2]);
    for (i, (_, normal)) in a.sides().enumerate() {
        let c = a.corners[i];
        let over = (to[0] - c[0]) * normal[0] + (to[1] - c[1]) * normal[1];
        if over > inside.0 {
            inside = (over, normal);
        }
    }
    let (over, normal) = inside;
    if over <= 0.0 {
        return Flat {
            value: over - radius,
            normal,
            on_a: to,
        };
    }
    let mut best = (f64::INFINITY, [0.0; 2]);
    for i in 0..n {
        let on = nearest_on(a.corners[i], a.corners[(i + 1) % n], to);
        let far = length([to[0] - on[0], to[1] - on[1]]);
        if far < best.0 {
            best = (far, on);
        }
    }
    let (far, on_a) = best;
    // On the outline itself the side that it lies on gives the direction.
    let normal = if far > 0.0 {
        [(to[0] - on_a[0]) / far, (to[1] - on_a[1]) / far]
    } else {
        normal
    };
    Flat {
        value: far - radius,
        normal,
        on_a,
    }
}

fn nearest_on(p: [f64; 2], q: [f64; 2], to: [f64; 2]) -> [f64; 2] {
    let (x, y) = (q[0] - p[0], q[1] - p[1]);
    let t = ((to[0] - p[0]) * x + (to[1] - p[1]) * y) / (x * x + y * y);
    let t = t.clamp(0.0, 1.0);
    [p[0] + t * x, p[1] + t * y]
}
