//! How near a straight piece of a way comes to a solid: exact for boxes and cylinders,
//! to a hundredth of a millimetre for outlines.

use crate::geom::{Axis, Length, Ring, Solid};
use crate::route::bend::{Point, norm, sub};

/// Rounds of the search for the nearest place: each leaves 0.62 of the stretch, so a
/// metre ends below a thousandth of a micrometre.
const ROUNDS: usize = 44;
/// An outline that is not convex is looked at in steps of this, in millimetres.
const STEP: f64 = 0.5;

/// The place on a straight piece that is nearest to the solid, as a share of its length,
/// and the distance there in millimetres; below 0 by the depth inside.
pub(super) fn nearest(from: Point, to: Point, solid: &Solid) -> (f64, f64) {
    let at = |t: f64| -> Point { std::array::from_fn(|k| from[k] + (to[k] - from[k]) * t) };
    let off = |t: f64| distance(at(t), solid);
    match solid {
        // The signed distance of a convex solid is convex along a line.
        Solid::Box(_) | Solid::Cylinder { .. } => least(&off, 0.0, 1.0),
        Solid::Extrusion { .. } => {
            let steps = (norm(sub(to, from)) / STEP).ceil().clamp(1.0, 4000.0) as usize;
            let share = |i: usize| i as f64 / steps as f64;
            let first = (0..=steps).min_by(|a, b| off(share(*a)).total_cmp(&off(share(*b))));
            let i = first.unwrap_or(0);
            least(&off, share(i.saturating_sub(1)), share((i + 1).min(steps)))
        }
    }
}

/// The least value of a convex function between two places, by golden sections.
fn least(f: &dyn Fn(f64) -> f64, from: f64, to: f64) -> (f64, f64) {
    const PART: f64 = 0.618_033_988_749_894_9;
    let (mut a, mut b) = (from, to);
    let (mut c, mut d) = (b - PART * (b - a), a + PART * (b - a));
    let (mut at_c, mut at_d) = (f(c), f(d));
    for _ in 0..ROUNDS {
        if at_c <= at_d {
            (b, d, at_d) = (d, c, at_c);
            c = b - PART * (b - a);
            at_c = f(c);
        } else {
            (a, c, at_c) = (c, d, at_d);
            d = a + PART * (b - a);
            at_d = f(d);
        }
    }
    // The ends are looked at as they are: a way that touches has its least there.
    let all = [from, 0.5 * (a + b), to].map(|t| (t, f(t)));
    all.into_iter()
        .min_by(|x, y| x.1.total_cmp(&y.1))
        .unwrap_or((from, at_c))
}

/// Signed distance of a point in millimetres: below 0 inside.
pub(super) fn distance(p: Point, solid: &Solid) -> f64 {
    match solid {
        Solid::Box(b) => {
            let (low, high) = (b.min().as_mm(), b.max().as_mm());
            let off: Point = std::array::from_fn(|k| (low[k] - p[k]).max(p[k] - high[k]));
            together(&off)
        }
        Solid::Cylinder {
            axis,
            base,
            radius,
            height,
        } => {
            let (a, b) = axis.others();
            let (base, k) = (base.as_mm(), index(*axis));
            let (u, w) = (p[index(a)] - base[index(a)], p[index(b)] - base[index(b)]);
            let along = (base[k] - p[k]).max(p[k] - base[k] - height.as_mm());
            together(&[u.hypot(w) - radius.as_mm(), along])
        }
        Solid::Extrusion {
            axis,
            low,
            high,
            outline,
            holes,
        } => {
            let (a, b) = axis.others();
            let (q, z) = ([p[index(a)], p[index(b)]], p[index(*axis)]);
            let along = (low.as_mm() - z).max(z - high.as_mm());
            together(&[in_rings(q, outline, holes), along])
        }
    }
}

fn index(axis: Axis) -> usize {
    Axis::ALL.iter().position(|a| *a == axis).unwrap_or(0)
}

/// Distance from where all slabs meet, by how far each is off.
fn together(off: &[f64]) -> f64 {
    let inside = off.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if inside <= 0.0 {
        return inside;
    }
    off.iter().map(|o| o.max(0.0).powi(2)).sum::<f64>().sqrt()
}

/// Signed distance of a point from an outline with holes, in its plane.
fn in_rings(q: [f64; 2], outline: &Ring, holes: &[Ring]) -> f64 {
    let (mut least, mut inside) = (f64::INFINITY, false);
    for ring in std::iter::once(outline).chain(holes) {
        for (i, corner) in ring.iter().enumerate() {
            let [a, b] = [*corner, ring[(i + 1) % ring.len()]].map(|c| c.map(Length::as_mm));
            least = least.min(to_edge(q, a, b));
            if (a[1] > q[1]) != (b[1] > q[1])
                && q[0] < a[0] + (b[0] - a[0]) * (q[1] - a[1]) / (b[1] - a[1])
            {
                inside = !inside;
            }
        }
    }
    if inside { -least } else { least }
}

fn to_edge(q: [f64; 2], a: [f64; 2], b: [f64; 2]) -> f64 {
    let (d, r) = ([b[0] - a[0], b[1] - a[1]], [q[0] - a[0], q[1] - a[1]]);
    let long = d[0] * d[0] + d[1] * d[1];
    let t = if long > 0.0 {
        ((r[0] * d[0] + r[1] * d[1]) / long).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (r[0] - d[0] * t).hypot(r[1] - d[1] * t)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Box3, Vec3};

    fn ring(points: &[[i64; 2]]) -> Ring {
        points.iter().map(|p| p.map(Length::mm)).collect()
    }

    #[test]
    fn past_a_box_inside_and_touching() {
        let b = Solid::Box(Box3::new(Vec3::ZERO, Vec3::mm(10, 10, 10)));
        let near = |a, c| nearest(a, c, &b).1;
        assert!((near([-5.0, 13.0, 5.0], [15.0, 13.0, 5.0]) - 3.0).abs() < 1e-9);
        // Past the edge at 45 degrees: from (13, 10) to (10, 13), nearest 3/sqrt 2.
        let past = near([13.0, 10.0, 5.0], [10.0, 13.0, 5.0]);
        assert!((past - 4.5f64.sqrt()).abs() < 1e-9, "{past}");
        assert!((near([-5.0, 6.0, 5.0], [15.0, 6.0, 5.0]) + 4.0).abs() < 1e-9);
        assert_eq!(near([-5.0, 10.0, 5.0], [15.0, 10.0, 5.0]), 0.0);
        assert_eq!(near([20.0, 5.0, 5.0], [20.0, 5.0, 5.0]), 10.0);
    }

    #[test]
    fn a_cylinder_and_an_outline_with_a_hole() {
        let post = Solid::Cylinder {
            axis: Axis::Z,
            base: Vec3::mm(0, 0, 0),
            radius: Length::mm(5),
            height: Length::mm(20),
        };
        let (t, off) = nearest([-20.0, 8.0, 10.0], [20.0, 8.0, 10.0], &post);
        assert!((off - 3.0).abs() < 1e-9 && (t - 0.5).abs() < 1e-6);
        assert_eq!(distance([0.0, 0.0, 22.0], &post), 2.0);
        let frame = Solid::Extrusion {
            axis: Axis::Z,
            low: Length::ZERO,
            high: Length::mm(2),
            outline: ring(&[[0, 0], [100, 0], [100, 100], [0, 100]]),
            holes: vec![ring(&[[40, 40], [60, 40], [60, 60], [40, 60]])],
        };
        // Through the hole's middle: half its width away, through the rim: inside.
        let through = |x: f64| nearest([x, 50.0, -30.0], [x, 50.0, 30.0], &frame).1;
        assert!((through(50.0) - 10.0).abs() < 1e-6);
        assert!((through(58.0) - 2.0).abs() < 1e-6);
        assert!((through(70.0) + 1.0).abs() < 1e-6);
    }
}
