//! Extrusions of ragged outlines with holes against the even-odd rule.

use closefit::geom::kernel::{Gap, Shape, Turn, Vec3, gap};
use proptest::prelude::*;

pub type Ring = Vec<[f64; 2]>;

/// A ring around a point: one corner in each of `n` equal sectors, anywhere between two radii.
pub fn ring(n: std::ops::Range<usize>, inner: f64, outer: f64) -> impl Strategy<Value = Ring> {
    prop::collection::vec((inner..outer, 0.05..0.95_f64), n).prop_map(|corners| {
        let n = corners.len() as f64;
        let corner = |(i, (radius, at)): (usize, (f64, f64))| {
            let (s, c) = ((i as f64 + at) / n * std::f64::consts::TAU).sin_cos();
            [radius * c, radius * s]
        };
        corners.into_iter().enumerate().map(corner).collect()
    })
}

/// A ragged plate with up to nine holes on a lattice; some outlines are whole numbers, where
/// corners stand in line.
pub fn plate() -> impl Strategy<Value = (Ring, Vec<Ring>)> {
    let holes = prop::collection::btree_set(0..9_usize, 0..9);
    let hole = prop::collection::vec(ring(3..9, 1.0, 4.5), 9);
    let plate = (ring(14..40, 24.0, 60.0), holes, hole, any::<bool>());
    plate.prop_map(|(mut outline, places, holes, whole)| {
        if whole {
            outline = [
                [-40.0, -30.0],
                [40.0, -30.0],
                [40.0, 0.0],
                [30.0, 0.0],
                [30.0, 30.0],
            ]
            .into();
            outline.extend([
                [0.0, 30.0],
                [0.0, 25.0],
                [-20.0, 25.0],
                [-20.0, 30.0],
                [-40.0, 30.0],
            ]);
        }
        let hole = |k: usize| -> Ring {
            let (x, y) = ((k % 3) as f64 * 10.0 - 10.0, (k / 3) as f64 * 10.0 - 10.0);
            let square = vec![[-2.0, -2.0], [-2.0, 2.0], [2.0, 2.0], [2.0, -2.0]];
            let ring = if whole { square } else { holes[k].clone() };
            ring.iter().map(|c| [c[0] + x, c[1] + y]).collect()
        };
        let holes = places.into_iter().map(hole).collect();
        (outline, holes)
    })
}

fn contains(ring: &Ring, [x, y]: [f64; 2]) -> bool {
    let n = ring.len();
    (0..n).fold(false, |inside, i| {
        let ([ax, ay], [bx, by]) = (ring[i], ring[(i + 1) % n]);
        let crosses = (ay > y) != (by > y) && x < ax + (y - ay) / (by - ay) * (bx - ax);
        inside ^ crosses
    })
}

/// Distance from a point to the nearest side.
fn to_side(ring: &Ring, [x, y]: [f64; 2]) -> f64 {
    let n = ring.len();
    let side = |i: usize| {
        let (p, q) = (ring[i], ring[(i + 1) % n]);
        let (u, v) = (q[0] - p[0], q[1] - p[1]);
        let t = (((x - p[0]) * u + (y - p[1]) * v) / (u * u + v * v)).clamp(0.0, 1.0);
        (x - p[0] - t * u).hypot(y - p[1] - t * v)
    };
    (0..n).map(side).fold(f64::INFINITY, f64::min)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    /// A pin through the plate hits it where the even-odd rule says that there is material, and
    /// else is as far off as the nearest side.
    #[test]
    fn pins_hit_material_and_miss_holes(
        (outline, holes) in plate(),
        at in prop::collection::vec([-60.0..60.0, -60.0..60.0], 60),
        middle in prop::collection::vec([-15.0..15.0, -15.0..15.0], 60),
    ) {
        let plate = Shape::extrusion(&outline, &holes, 1.0, Vec3::ZERO, &Turn::IDENTITY);
        let plate = plate.expect("the outline is simple and the holes lie inside");
        let rings: Vec<&Ring> = std::iter::once(&outline).chain(&holes).collect();
        for p in at.into_iter().chain(middle) {
            let material = rings.iter().filter(|r| contains(r, p)).count() == 1;
            let side = rings.iter().map(|r| to_side(r, p)).fold(f64::INFINITY, f64::min);
            let radius = 1e-3;
            if (side - radius).abs() < 1e-6 {
                continue;
            }
            let pin = Shape::cylinder(Vec3::new(p[0], p[1], 0.0), Vec3::unit(2), radius, 5.0);
            match gap(&plate, &pin.expect("it has a size"), f64::INFINITY) {
                Gap::Apart { distance, .. } => {
                    prop_assert!(!material, "missed at {p:?}");
                    prop_assert!((distance - (side - radius)).abs() < 1e-9);
                }
                Gap::Overlap { .. } => prop_assert!(material || side < radius, "hit at {p:?}"),
                other => prop_assert!(false, "{other:?} at {p:?}"),
            }
        }
    }
}
