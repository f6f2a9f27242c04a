//! The depth of outlines that are not convex: by hand, and against shifts tried out.

use super::outline::{Ring, plate, ring};
use closefit::geom::kernel::{Gap, Shape, Turn, Vec3, WayOut, gap, way_out};
use proptest::prelude::*;

fn v(x: f64, y: f64, z: f64) -> Vec3 {
    Vec3::new(x, y, z)
}

fn rect(lo: [f64; 2], hi: [f64; 2]) -> Ring {
    vec![lo, [hi[0], lo[1]], hi, [lo[0], hi[1]]]
}

/// So tall that the way out is across.
fn extrusion(outline: &Ring, holes: &[Ring]) -> Shape {
    Shape::extrusion(outline, holes, 500.0, Vec3::ZERO, &Turn::IDENTITY).expect("simple")
}

#[track_caller]
fn deep(a: &Shape, b: &Shape, want: f64) {
    assert!(gap(a, b, 1.0).is_overlap());
    for (a, b) in [(a, b), (b, a)] {
        let WayOut { depth, way, .. } = way_out(&[(a, b)]).expect("they overlap");
        assert!((depth - want).abs() < 1e-6, "{depth} for {want}");
        assert!((way.norm() - 1.0).abs() < 1e-12);
        let moved = b.translated(way * (depth + 1e-6));
        assert!(!gap(a, &moved, 1.0).is_overlap());
    }
}

/// A frame of 100 x 100 about a window of 40 x 40.
fn frame() -> Shape {
    extrusion(
        &rect([0.0, 0.0], [100.0, 100.0]),
        &[rect([30.0, 30.0], [70.0, 70.0])],
    )
}

#[test]
fn by_hand() {
    let block = |lo: [f64; 2], hi: [f64; 2]| {
        Shape::aligned(v(lo[0], lo[1], -9.0), v(hi[0], hi[1], 9.0)).expect("a box")
    };
    let pin = |x: f64, y: f64, radius: f64| {
        Shape::cylinder(v(x, y, 0.0), Vec3::unit(2), radius, 9.0).expect("a pin")
    };
    // In the lower bar, which is 30 wide: up into the window or down and out.
    deep(&frame(), &block([45.0, 10.0], [55.0, 20.0]), 20.0);
    deep(&frame(), &block([45.0, 12.0], [55.0, 22.0]), 18.0);
    // Too wide for the window: down and out only.
    deep(&frame(), &block([25.0, 18.0], [75.0, 28.0]), 28.0);
    // Standing over the window's edge.
    deep(&frame(), &block([45.0, 25.0], [55.0, 33.0]), 5.0);
    // In a corner of the window, over both edges: out along both, root(2^2 + 3^2).
    deep(
        &frame(),
        &block([28.0, 27.0], [40.0, 40.0]),
        13.0_f64.sqrt(),
    );
    // A pin in the window's corner, over both edges by 2: its middle 3 from each.
    deep(&frame(), &pin(33.0, 33.0, 5.0), 8.0_f64.sqrt());
    // A pin in the middle of a bar: 15 + 5 either way.
    deep(&frame(), &pin(50.0, 15.0, 5.0), 20.0);
    // At the outer corner the way past it is round: to 10 from the corner at (100, 100),
    // 2 beyond it both ways; straight out to one side it is the 10 less those 2 = 8, and
    // away from the corner 10 - root 8.
    deep(&frame(), &pin(102.0, 102.0, 10.0), 10.0 - 8.0_f64.sqrt());
    // Two angles hooked into one another: a wall of 10 stands 4 deep in the notch's wall.
    let angle: Ring = vec![
        [0.0, 0.0],
        [60.0, 0.0],
        [60.0, 10.0],
        [10.0, 10.0],
        [10.0, 60.0],
        [0.0, 60.0],
    ];
    let hook: Ring = angle.iter().map(|c| [66.0 - c[0], 66.0 - c[1]]).collect();
    deep(&extrusion(&angle, &[]), &extrusion(&hook, &[]), 4.0);
    // A short one leaves along the axis.
    let low = Shape::aligned(v(45.0, 10.0, 497.0), v(55.0, 20.0, 600.0)).expect("a box");
    deep(&frame(), &low, 3.0);
}

/// Something that stands in a plate: a block, a pin or another ragged outline.
fn guest() -> impl Strategy<Value = Shape> {
    let block = (1.0..25.0, 1.0..25.0).prop_map(|(x, y)| {
        Shape::cuboid(Vec3::ZERO, v(x, y, 300.0), &Turn::IDENTITY).expect("a box")
    });
    let pin = (0.5..20.0)
        .prop_map(|r| Shape::cylinder(Vec3::ZERO, Vec3::unit(2), r, 300.0).expect("a pin"));
    let ragged = ring(4..12, 3.0, 25.0).prop_map(|r| extrusion(&r, &[]));
    prop_oneof![block, pin, ragged]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    /// The shift takes them apart, and no shorter one of many does.
    #[test]
    fn the_least_shift_is_the_least(
        (outline, holes) in plate(),
        guest in guest(),
        at in [-45.0..45.0, -45.0..45.0],
    ) {
        let plate = extrusion(&outline, &holes);
        let guest = guest.translated(v(at[0], at[1], 0.0));
        if let Gap::Overlap { depth: piece, .. } = gap(&plate, &guest, 1.0)
            && let Some(WayOut { depth, way, .. }) = way_out(&[(&plate, &guest)])
        {
            prop_assert!(depth >= piece - 1e-6, "{depth}, one piece alone {piece}");
            let apart = |by: Vec3| !gap(&plate, &guest.translated(by), 1.0).is_overlap();
            prop_assert!(apart(way * (depth + 1e-6)), "{depth} is not enough");
            for step in 0..120 {
                let (s, c) = (f64::from(step) / 120.0 * std::f64::consts::TAU).sin_cos();
                for share in [0.2, 0.4, 0.6, 0.8, 0.95, 0.999] {
                    let by = v(c, s, 0.0) * (depth * share);
                    prop_assert!(!apart(by), "{by:?} is enough, {depth} said");
                }
            }
        }
    }
}
