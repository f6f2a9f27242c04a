//! Two cylinders whose axes are at right angles.
//!
//! At each level across both axes, a cylinder shows a rectangle: as long as itself, and
//! `sqrt(r² - z²)` to either side. So the distance is the least of
//! `(d - z1 - z2)² + max(0, p - s2(z2))² + max(0, q - s1(z1))²`, a convex function of two levels,
//! where `d`, `p` and `q` are the ways from axis to axis and past the ends.

use super::Vec3;
use super::gap::Separation;
use super::hull::{CylinderHull, Hull};

/// Two bounds of the distance may differ by this share of the size.
const PRECISION: f64 = 1e-11;

/// Signed distance of cylinders at right angles; `None` where they overlap in depth or the
/// equations do not settle: the general method has to do it then.
pub(super) fn separation(a: &CylinderHull, b: &CylinderHull) -> Option<Separation> {
    let delta = b.centre - a.centre;
    let up = a.axis.cross(b.axis);
    let signed = [a.axis.dot(delta), b.axis.dot(delta), up.dot(delta)];
    let axes = [a.axis, b.axis, up];
    let frame: [Vec3; 3] = std::array::from_fn(|k| axes[k] * 1f64.copysign(signed[k]));
    // Past the end of a, short of the end of b, from axis to axis.
    let (p, q) = (signed[0].abs() - a.half, signed[1].abs() - b.half);
    let d = signed[2].abs();
    let [za, zb] = levels(a.radius, b.radius, p, q, d)?;
    let (sa, sb) = (side(a.radius, za), side(b.radius, zb));
    // Where the rectangles overlap along an axis, the middle of the overlap.
    let x = if p > sb {
        [a.half, a.half + p - sb]
    } else {
        [shared(a.half, a.half + p, sb); 2]
    };
    let y = if q > sa {
        [sa, q]
    } else {
        [shared(sa, q + b.half, b.half); 2]
    };
    let at = |x: f64, y: f64, z: f64| a.centre + frame[0] * x + frame[1] * y + frame[2] * z;
    let (on_a, on_b) = (at(x[0], y[0], za), at(x[1], y[1], d - zb));
    let value = (on_b - on_a).norm();
    let normal = (on_b - on_a).normalized()?;
    let bound = delta.dot(normal) - a.reach(normal)[1] - b.reach(normal)[0];
    let size = a.radius + a.half + b.radius + b.half;
    ((value - bound).abs() <= PRECISION * size).then_some(Separation {
        value,
        normal,
        on_a,
        on_b,
    })
}

/// Middle of what `-a..a` and `centre - b..centre + b` share.
fn shared(a: f64, centre: f64, b: f64) -> f64 {
    ((centre - b).max(-a) + (centre + b).min(a)) * 0.5
}

fn side(radius: f64, level: f64) -> f64 {
    ((radius - level) * (radius + level)).max(0.0).sqrt()
}

/// Levels of the nearest points, above the axis of `a` and below that of `b`.
fn levels(ra: f64, rb: f64, p: f64, q: f64, d: f64) -> Option<[f64; 2]> {
    if p <= 0.0 && q <= 0.0 {
        return (d > ra + rb).then_some([ra, rb]);
    }
    // Seen along the other axis, the solid that the other lies across is a plain rectangle.
    if p <= 0.0 {
        let za = disc_level(ra, q, d - rb);
        return Some([za, rb.min(d - za)]);
    }
    if q <= 0.0 {
        let zb = disc_level(rb, p, d - ra);
        return Some([ra.min(d - zb), zb]);
    }
    // Up to these levels the rectangles overlap along one axis.
    let flush_a = (q < ra).then(|| side(ra, q));
    let flush_b = (p < rb).then(|| side(rb, p));
    match (flush_a, flush_b) {
        (Some(za), Some(zb)) if za + zb >= d => None,
        (Some(za), _) if za >= d => Some([d, 0.0]),
        (_, Some(zb)) if zb >= d => Some([0.0, d]),
        _ => rims(ra, rb, p, q, d),
    }
}

/// Level at which a disc is nearest to a quarter plane that starts `q` aside and `z` up.
fn disc_level(radius: f64, q: f64, z: f64) -> f64 {
    let z = z.max(0.0);
    radius * z / (q * q + z * z).sqrt()
}

/// Levels where a rim is nearest to a rim. With `t` and `u` the slopes of the two radii there,
/// the derivatives vanish where `q t + rb sin(atan u) = d` and `p u + ra sin(atan t) = d`.
fn rims(ra: f64, rb: f64, p: f64, q: f64, d: f64) -> Option<[f64; 2]> {
    let (mut t, mut u) = (d / (q + rb), d / (p + ra));
    for _ in 0..24 {
        let (ct, cu) = (1.0 / (1.0 + t * t).sqrt(), 1.0 / (1.0 + u * u).sqrt());
        let f = q * t + rb * u * cu - d;
        let g = p * u + ra * t * ct - d;
        if f.abs().max(g.abs()) <= 1e-14 * d {
            return Some([ra * t * ct, rb * u * cu]);
        }
        let (fu, gt) = (rb * cu.powi(3), ra * ct.powi(3));
        let det = q * p - fu * gt;
        let step = [(f * p - g * fu) / det, (g * q - f * gt) / det];
        t = (t - step[0]).max(0.0);
        u = (u - step[1]).max(0.0);
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::kernel::gjk::{self, Found};

    /// The general method is the measure; the equations have to settle but for rare cases.
    #[test]
    fn the_equations_settle_and_agree_with_the_general_method() {
        let cylinder =
            |centre, k, radius, half| CylinderHull::new(centre, Vec3::unit(k), radius, half);
        let (mut apart, mut left) = (0, 0);
        for (ra, rb, half) in [
            (5.0, 5.0, 10.0),
            (2.0, 9.0, 4.0),
            (9.0, 0.5, 1.0),
            (30.0, 20.0, 2.0),
        ] {
            for i in 0..12 * 12 * 12 {
                let [x, y, z] = [i % 12, i / 12 % 12, i / 144].map(|c| f64::from(c) * 3.5 - 8.0);
                let a = cylinder(Vec3::ZERO, 0, ra, half);
                let b = cylinder(Vec3::new(x, y, z), 1, rb, 7.0);
                let Found::Apart(want) = gjk::distance(&a, &b, Vec3::new(-x, -y, -z), f64::MAX)
                else {
                    continue;
                };
                if want.value < 1e-6 {
                    continue;
                }
                apart += 1;
                let Some(got) = separation(&a, &b) else {
                    left += 1;
                    continue;
                };
                assert!((got.value - want.value).abs() < 1e-8, "{got:?} {want:?}");
            }
        }
        // Where an end grazes a side the two equations are nearly one.
        assert!(apart > 3000 && left * 1000 < apart, "{left} of {apart}");
    }
}
