//! The depth of bodies of several pieces that lie across one another: by hand, against all corners
//! of boxes, and against shifts tried out.

use super::outline::ring;
use closefit::geom::kernel::{Gap, Shape, Turn, Vec3, WayOut, gap, way_out};
use proptest::prelude::*;

fn v(x: f64, y: f64, z: f64) -> Vec3 {
    Vec3::new(x, y, z)
}

/// Own z along a coordinate axis.
fn along(axis: usize) -> Turn {
    let mut rows = [[0.0; 3]; 3];
    for own in 0..3 {
        rows[(axis + 1 + own) % 3][own] = 1.0;
    }
    Turn::from_rows(rows).expect("a quarter turn")
}

fn extrusion(axis: usize, outline: &[[f64; 2]], half: f64) -> Shape {
    Shape::extrusion(outline, &[], half, Vec3::ZERO, &along(axis)).expect("simple")
}

fn block(lo: [f64; 3], hi: [f64; 3]) -> Shape {
    Shape::aligned(Vec3(lo), Vec3(hi)).expect("a box")
}

fn rod(axis: usize, at: [f64; 3], radius: f64, half: f64) -> Shape {
    Shape::cylinder(Vec3(at), Vec3::unit(axis), radius, half).expect("a rod")
}

fn out(a: &[Shape], b: &[Shape]) -> Option<WayOut> {
    let pairs: Vec<(&Shape, &Shape)> = a
        .iter()
        .flat_map(|p| b.iter().map(move |q| (p, q)))
        .collect();
    way_out(&pairs)
}

/// How deep the deepest two shapes are in one another after a shift.
fn left(a: &[Shape], b: &[Shape], by: Vec3) -> f64 {
    let moved: Vec<Shape> = b.iter().map(|q| q.translated(by)).collect();
    let pairs = a.iter().flat_map(|p| moved.iter().map(move |q| (p, q)));
    pairs.fold(0.0_f64, |most, (p, q)| match gap(p, q, 1.0) {
        Gap::Overlap { depth, .. } => most.max(depth),
        _ => most,
    })
}

#[track_caller]
fn deep(a: &[Shape], b: &[Shape], want: f64) {
    for (a, b) in [(a, b), (b, a)] {
        let found = out(a, b).expect("they overlap");
        assert!((found.depth - want).abs() < 1e-5, "{found:?} for {want}");
        assert!(found.is_least && (found.way.norm() - 1.0).abs() < 1e-12);
        assert!(left(a, b, found.way * found.depth) < 1e-4);
    }
}

#[test]
fn by_hand() {
    // An angle of two boxes 10 thick about a block that stands 4 deep in the one and 3 in the
    // other: out of both at once along the diagonal, root(4^2 + 3^2).
    let angle = [
        block([0.0, 0.0, 0.0], [60.0, 10.0, 50.0]),
        block([0.0, 10.0, 0.0], [10.0, 60.0, 50.0]),
    ];
    deep(&angle, &[block([7.0, 6.0, 10.0], [47.0, 46.0, 40.0])], 5.0);
    // The same with a floor that it stands 12 deep in: root(4^2 + 3^2 + 12^2).
    let corner = [
        angle[0].clone(),
        angle[1].clone(),
        block([0.0, 0.0, -90.0], [60.0, 60.0, 12.0]),
    ];
    deep(&corner, &[block([7.0, 6.0, 0.0], [97.0, 96.0, 90.0])], 13.0);
    // A plate that is cut into two boxes is as deep as one that is not.
    let halves = [
        block([0.0, 0.0, 0.0], [50.0, 100.0, 8.0]),
        block([50.0, 0.0, 0.0], [100.0, 100.0, 8.0]),
    ];
    deep(
        &halves,
        &[block([45.0, 40.0, 5.0], [55.0, 60.0, 40.0])],
        3.0,
    );
    deep(&halves, &[rod(2, [50.0, 50.0, 30.0], 6.0, 25.0)], 3.0);
    // A rod along x through a slot along x that is 1 too narrow on either side: no way across
    // helps, so up by all that it stands in the slot.
    let slot = [
        block([0.0, 0.0, 0.0], [100.0, 20.0, 30.0]),
        block([0.0, 28.0, 0.0], [100.0, 48.0, 30.0]),
    ];
    // 5 about (24, 28): over the edges at y = 20 and 28, 4 from the middle, it has to go up by
    // the 2 that it is under, and 3 more (5^2 - 4^2 = 3^2).
    deep(&slot, &[rod(0, [50.0, 24.0, 28.0], 5.0, 90.0)], 5.0);
    // Free where touching.
    assert_eq!(
        out(&slot, &[block([0.0, 20.0, 0.0], [9.0, 28.0, 9.0])]),
        None
    );
    assert_eq!(out(&slot, &[rod(0, [50.0, 24.0, 15.0], 4.0, 90.0)]), None);
}

#[test]
fn outlines_that_lie_across_by_hand() {
    // An angle along z (walls 10 thick at x < 10 and y < 10) and one along x (walls at y < 10
    // and z < 10, seen with y, z as own x, y), moved in: 4 in y by their common wall.
    let angle = [
        [0.0, 0.0],
        [60.0, 0.0],
        [60.0, 10.0],
        [10.0, 10.0],
        [10.0, 60.0],
        [0.0, 60.0],
    ];
    let up = extrusion(2, &angle, 40.0);
    let hooked: Vec<[f64; 2]> = angle.iter().map(|c| [c[0] + 6.0, c[1] - 5.0]).collect();
    let across = extrusion(0, &hooked, 200.0);
    // The one along x is at y 6..66 with its wall at y 6..16 (z -5..55) and its floor at z -5..5:
    // all of it runs through x -200..200 and so through the walls at x < 10. Down by the 40 + 55
    // or up by 45, or past y = 60 by 54; back in y out of the wall at y < 10 it stays in the
    // wall at x < 10: 66 to be free of that.
    deep(&[up], &[across], 45.0);
    // A rod along x that dips 3 into the inner corner of an angle along y, walls z < 10, x < 10.
    let floor = extrusion(1, &angle, 80.0);
    let dip = rod(0, [60.0, 0.0, 0.0], 5.0, 49.0);
    let dipped = dip.translated(v(0.0, 0.0, 12.0));
    // Its end at x = 11 is free of the wall at x < 10; its side stands 3 under z = 10.
    let aside = dipped.translated(v(-5.0, 0.0, 0.0));
    let floor = [floor];
    deep(&floor, &[dipped], 3.0);
    // 5 farther along it is 4 deep in the wall, too: out by both, root(3^2 + 4^2).
    deep(&floor, &[aside], 5.0);
}

fn boxes() -> impl Strategy<Value = Vec<[[i32; 3]; 2]>> {
    let one = ([-12..12, -12..12, -12..12], [1..14, 1..14, 1..14]);
    let one = one.prop_map(|(lo, size): ([i32; 3], [i32; 3])| {
        [lo, std::array::from_fn(|k| lo[k] + size[k])]
    });
    prop::collection::vec(one, 1..5)
}

/// The least of all shifts whose coordinates bring two faces together, in whole numbers.
fn by_all_faces(a: &[[[i32; 3]; 2]], b: &[[[i32; 3]; 2]]) -> i32 {
    let pairs = || a.iter().flat_map(|p| b.iter().map(move |q| (p, q)));
    let steps: [Vec<i32>; 3] = std::array::from_fn(|k| {
        let both =
            |(p, q): (&[[i32; 3]; 2], &[[i32; 3]; 2])| [p[1][k] - q[0][k], p[0][k] - q[1][k]];
        let mut all: Vec<i32> = pairs().flat_map(both).chain([0]).collect();
        all.sort_unstable();
        all.dedup();
        all
    });
    let free = |by: [i32; 3]| {
        pairs()
            .all(|(p, q)| (0..3).any(|k| p[1][k] <= q[0][k] + by[k] || q[1][k] + by[k] <= p[0][k]))
    };
    let mut best = i32::MAX;
    for x in &steps[0] {
        for y in &steps[1] {
            for z in &steps[2] {
                let far = x * x + y * y + z * z;
                if far < best && free([*x, *y, *z]) {
                    best = far;
                }
            }
        }
    }
    best
}

/// Something along one of the axes, with its middle near the origin.
fn piece() -> impl Strategy<Value = Shape> {
    let ragged = (0..3_usize, ring(4..9, 3.0, 20.0), 2.0..15.0)
        .prop_map(|(axis, ring, half)| extrusion(axis, &ring, half));
    let round = (0..3_usize, 1.0..12.0, 2.0..20.0)
        .prop_map(|(axis, radius, half)| rod(axis, [0.0; 3], radius, half));
    let flat =
        [1.0..12.0, 1.0..12.0, 1.0..12.0].prop_map(|half: [f64; 3]| block(half.map(|h| -h), half));
    prop_oneof![3 => ragged, 1 => round, 1 => flat]
}

fn body() -> impl Strategy<Value = Vec<Shape>> {
    let one = (piece(), [-15.0..15.0, -15.0..15.0, -15.0..15.0]);
    prop::collection::vec(one.prop_map(|(s, at)| s.translated(Vec3(at))), 1..4)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, ..ProptestConfig::default() })]

    /// Bodies of boxes: the square of the depth is the whole number that all shifts give.
    #[test]
    fn boxes_are_exact(a in boxes(), b in boxes()) {
        let shapes = |s: &[[[i32; 3]; 2]]| -> Vec<Shape> {
            s.iter().map(|[lo, hi]| block(lo.map(f64::from), hi.map(f64::from))).collect()
        };
        let want = by_all_faces(&a, &b);
        let got = out(&shapes(&a), &shapes(&b));
        prop_assert!(got.is_none_or(|w| w.is_least));
        prop_assert_eq!(got.map_or(0.0, |w| w.depth * w.depth).round() as i32, want);
        let off = got.map_or(0.0, |w| w.depth - f64::from(want).sqrt());
        prop_assert!(off.abs() < 1e-12);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    /// The shift takes bodies apart, and no shorter one of many does.
    #[test]
    fn the_least_shift_is_the_least(a in body(), b in body(), seed in 0..1000_u32) {
        if let Some(found) = out(&a, &b) {
            let WayOut { depth, way, is_least } = found;
            let left = left(&a, &b, way * depth);
            // In millimetres a tenth of a micrometre.
            prop_assert!(left < 1e-4, "{found:?} leaves {left}");
            let piece = self::left(&a, &b, Vec3::ZERO);
            prop_assert!(depth >= piece - 1e-5, "{depth}, one pair alone {piece}");
            // Given up, which is rare, the shift is enough and no more is said.
            for step in (0..400).filter(|_| is_least) {
                // Even over the sphere by the golden angle (the usual Fibonacci lattice).
                let z = 1.0 - (2.0 * f64::from(step) + 1.0) / 400.0;
                let (s, c) = (f64::from(step + seed) * 2.399_963_229_728_653).sin_cos();
                let flat = (1.0 - z * z).sqrt();
                for share in [0.5, 0.8, 0.95, 0.999] {
                    let by = v(flat * c, flat * s, z) * (depth * share);
                    prop_assert!(self::left(&a, &b, by) > 0.0, "{by:?} is enough, {depth} said");
                }
            }
        }
    }
}
