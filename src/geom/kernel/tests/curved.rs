//! Cylinders and extrusions.

use super::*;

#[test]
fn a_cylinder_along_an_axis_of_a_box() {
    let b = aligned([0.0; 3], [10.0, 10.0, 10.0]);
    // Beside a face, an edge across, over the rim of an end, past both.
    check_apart(&b, &cylinder([15.0, 5.0, 5.0], 2, 2.0, 3.0), 3.0);
    check_apart(&b, &cylinder([13.0, 14.0, 5.0], 2, 2.0, 3.0), 3.0);
    check_apart(&b, &cylinder([5.0, 5.0, 17.0], 2, 2.0, 3.0), 4.0);
    check_apart(&b, &cylinder([15.0, 5.0, 17.0], 2, 2.0, 3.0), 5.0);
    check_apart(&b, &cylinder([13.0, 14.0, 17.0], 2, 2.0, 3.0), 5.0);
    check_touching(&b, &cylinder([13.0, 14.0, 5.0], 2, 5.0, 3.0));
    check_overlap(&b, &cylinder([13.0, 14.0, 5.0], 2, 5.5, 9.0), 0.5);
    check_overlap(&b, &cylinder([13.0, 14.0, 12.0], 2, 5.5, 2.25), 0.25);
}

#[test]
fn parallel_cylinders() {
    let a = cylinder([0.0; 3], 0, 4.0, 10.0);
    check_apart(&a, &cylinder([0.0, 6.0, 8.0], 0, 3.0, 1.0), 3.0);
    check_apart(&a, &cylinder([19.0, 0.0, 1.0], 0, 3.0, 5.0), 4.0);
    check_apart(&a, &cylinder([19.0, 6.0, 8.0], 0, 3.0, 5.0), 5.0);
    check_touching(&a, &cylinder([3.0, 6.0, 8.0], 0, 6.0, 5.0));
    check_overlap(&a, &cylinder([3.0, 6.0, 8.0], 0, 6.5, 50.0), 0.5);
    let slant = v(1.0, 2.0, 2.0);
    let side = v(2.0, -2.0, 1.0) * (1.0 / 3.0);
    let c = Shape::cylinder(Vec3::ZERO, slant, 1.0, 3.0).unwrap();
    let d = Shape::cylinder(side * 5.0 + slant * 3.0, -slant, 1.0, 3.0).unwrap();
    check_apart(&c, &d, 3f64.hypot(3.0));
}

#[test]
fn cylinders_at_right_angles() {
    let a = cylinder([0.0; 3], 0, 3.0, 10.0);
    // Sides over one another; an end before a side; an end beside a rim's lowest point.
    check_apart(&a, &cylinder([2.0, 1.0, 9.0], 1, 4.0, 10.0), 2.0);
    check_apart(&a, &cylinder([2.0, 15.0, 0.0], 1, 4.0, 10.0), 2.0);
    check_apart(&a, &cylinder([16.0, 2.0, 1.0], 1, 4.0, 10.0), 2.0);
    check_apart(&a, &cylinder([2.0, 16.0, 9.0], 1, 1.0, 10.0), 7.0);
    // Rim to rim, from the conditions for the least distance with radii that slope 3:4 and, in
    // the second, 4:3 at the nearest points: gaps of 4, 4, 3 and of 2.25, 4, 3.
    let c = cylinder([0.0; 3], 0, 5.0, 10.0);
    check_apart(&c, &cylinder([18.0, 18.0, 9.0], 1, 5.0, 10.0), 41f64.sqrt());
    check_apart(
        &c,
        &cylinder([18.25, -18.0, 14.0], 1, 10.0, 10.0),
        30.0625f64.sqrt(),
    );
    check_touching(&a, &cylinder([2.0, 1.0, 7.0], 1, 4.0, 10.0));
    check_overlap(&a, &cylinder([2.0, 1.0, 6.5], 1, 4.0, 10.0), 0.5);
}

#[test]
fn extrusions_keep_their_notches_and_holes_free() {
    let frame = [[0.0, 0.0], [60.0, 0.0], [60.0, 40.0], [0.0, 40.0]];
    let window = vec![[20.0, 10.0], [40.0, 10.0], [40.0, 30.0], [20.0, 30.0]];
    let plate = Shape::extrusion(&frame, &[window], 1.0, Vec3::ZERO, &Turn::IDENTITY).unwrap();
    assert_eq!(plate.bounds().hi, v(60.0, 40.0, 1.0));
    check_apart(&plate, &cylinder([30.0, 20.0, 0.0], 2, 8.0, 5.0), 2.0);
    check_touching(&plate, &aligned([20.0, 12.0, -5.0], [30.0, 20.0, 5.0]));
    check_touching(&plate, &cylinder([30.0, 20.0, 0.0], 2, 10.0, 5.0));
    check_overlap(&plate, &cylinder([29.0, 20.0, 0.0], 2, 10.0, 5.0), 1.0);
    check_overlap(&plate, &aligned([5.0, 5.0, 0.5], [9.0, 9.0, 5.0]), 0.5);
    let l = [
        [0.0, 0.0],
        [30.0, 0.0],
        [30.0, 5.0],
        [5.0, 5.0],
        [5.0, 20.0],
        [0.0, 20.0],
    ];
    let upright = Turn::from_rows([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]).unwrap();
    let bracket = Shape::extrusion(&l, &[], 10.0, v(100.0, 0.0, 0.0), &upright).unwrap();
    assert_eq!(bracket.bounds().lo, v(100.0, -10.0, 0.0));
    assert_eq!(bracket.bounds().hi, v(130.0, 10.0, 20.0));
    check_apart(
        &bracket,
        &aligned([107.0, -3.0, 9.0], [120.0, 3.0, 15.0]),
        2.0,
    );
    check_touching(&bracket, &aligned([105.0, -3.0, 5.0], [120.0, 3.0, 15.0]));
    check_overlap(
        &bracket,
        &aligned([104.0, -3.0, 6.0], [120.0, 3.0, 15.0]),
        1.0,
    );
}

#[test]
fn slanting_prisms() {
    // A wedge whose slope runs through (10, 0) and (0, 10).
    let wedge = [[0.0, 0.0], [10.0, 0.0], [0.0, 10.0]];
    let wedge = Shape::extrusion(&wedge, &[], 4.0, Vec3::ZERO, &Turn::IDENTITY).unwrap();
    let root = 2f64.sqrt();
    check_apart(
        &wedge,
        &cylinder([10.0, 10.0, 0.0], 2, 3.0, 9.0),
        5.0 * root - 3.0,
    );
    check_apart(
        &wedge,
        &aligned([8.0, 8.0, -1.0], [9.0, 9.0, 1.0]),
        3.0 * root,
    );
    check_touching(&wedge, &aligned([5.0, 5.0, -1.0], [9.0, 9.0, 1.0]));
    check_overlap(
        &wedge,
        &aligned([4.0, 5.0, -1.0], [9.0, 9.0, 1.0]),
        0.5 * root,
    );
    check_overlap(&wedge, &cylinder([2.0, 2.0, 0.0], 2, 1.0, 9.0), 3.0);
    let other = [[20.0, 20.0], [10.0, 20.0], [20.0, 10.0]];
    let other = Shape::extrusion(&other, &[], 4.0, Vec3::ZERO, &Turn::IDENTITY).unwrap();
    check_apart(&wedge, &other, 10.0 * root);
}

/// A drum in any position: whatever the general method says has to hold in closed form, too.
#[test]
fn a_drum_turned_in_small_steps_over_a_plate() {
    let plate = aligned([-200.0, -200.0, -2.0], [200.0, 200.0, 0.0]);
    for step in 1..90 {
        let (s, c) = f64::from(step).to_radians().sin_cos();
        // Its lowest point lies c * half + s * radius under its middle.
        let low = 20.0 * c + 15.0 * s;
        let drum = |lift: f64| {
            Shape::cylinder(v(3.0, 5.0, low + lift), v(s * 0.6, s * 0.8, c), 15.0, 20.0).unwrap()
        };
        check_apart(&plate, &drum(0.75), 0.75);
        check_touching(&plate, &drum(0.0));
        check_overlap(&plate, &drum(-0.5), 0.5);
    }
}
