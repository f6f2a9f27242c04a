//! Boxes in every position, and what is refused.

use super::*;

/// Shared reference, box_bb1 to box_bb7: computed with python-fcl 0.7.0.11 and an independent
/// exact method over edges and corners that agrees to 1e-12. Full sizes, quaternions w x y z,
/// and for the second box its centre; the first stands at the origin.
#[test]
fn turned_boxes_agree_with_the_reference() {
    const STILL: [f64; 4] = [1.0, 0.0, 0.0, 0.0];
    const YAW_45: [f64; 4] = [0.9238795325112867, 0.0, 0.0, 0.3826834323650898];
    type Case = ([f64; 3], [f64; 4], [f64; 3], [f64; 4], [f64; 3], f64);
    let cases: [Case; 7] = [
        (
            [2.0, 1.0, 0.5],
            STILL,
            [1.0; 3],
            YAW_45,
            [3.0, 0.0, 0.0],
            1.2928932188134525,
        ),
        (
            [2.0, 4.0, 6.0],
            [0.9659258262890683, 0.25881904510252074, 0.0, 0.0],
            [1.0, 2.0, 3.0],
            [0.8660254037844387, 0.0, 0.49999999999999994, 0.0],
            [5.0, 1.0, -2.0],
            2.450961894323342,
        ),
        (
            [150.0, 86.0, 140.0],
            [
                0.9762960071199334,
                0.057845920020143056,
                0.11569184004028611,
                0.17353776006042917,
            ],
            [267.0, 111.0, 40.0],
            [
                0.8191520442889918,
                -0.38238429090069737,
                0.38238429090069737,
                0.19119214545034868,
            ],
            [260.0, -40.0, 120.0],
            115.52534106921246,
        ),
        (
            [10.0; 3],
            [
                0.8660254037844387,
                0.28867513459481287,
                0.28867513459481287,
                0.28867513459481287,
            ],
            [10.0; 3],
            [
                0.9537169507482269,
                0.21263110997159387,
                -0.21263110997159387,
                0.0,
            ],
            [14.0, 9.0, 7.0],
            3.4773368110384855,
        ),
        (
            [120.0, 120.0, 25.0],
            [0.9914448613738104, 0.0, 0.13052619222005157, 0.0],
            [30.0, 200.0, 4.0],
            [
                0.9063077870366499,
                0.29883623873011983,
                0.0,
                0.29883623873011983,
            ],
            [20.0, -10.0, 80.0],
            31.696157166626868,
        ),
        // Negative: the depth, from the best separating axis.
        (
            [2.0; 3],
            STILL,
            [2.0; 3],
            YAW_45,
            [2.2, 0.0, 0.0],
            -0.21421356237309475,
        ),
        (
            [1.0; 3],
            STILL,
            [1.0; 3],
            STILL,
            [3.0, 4.0, 0.0],
            3.605551275463989,
        ),
    ];
    for (size_a, quat_a, size_b, quat_b, centre, want) in cases {
        let a = Shape::cuboid(Vec3::ZERO, Vec3(size_a) * 0.5, &turn(quat_a)).unwrap();
        let b = Shape::cuboid(Vec3(centre), Vec3(size_b) * 0.5, &turn(quat_b)).unwrap();
        if want > 0.0 {
            check_apart(&a, &b, want);
        } else {
            check_overlap(&a, &b, -want);
        }
    }
}

#[test]
fn boxes_that_share_a_face_an_edge_or_a_corner_touch() {
    let a = aligned([0.0; 3], [3.0, 5.0, 7.0]);
    check_touching(&a, &aligned([3.0, 1.0, 1.0], [4.0, 2.0, 2.0]));
    check_touching(&a, &aligned([3.0, 5.0, 1.0], [4.0, 6.0, 2.0]));
    check_touching(&a, &aligned([3.0, 5.0, 7.0], [4.0, 6.0, 8.0]));
    check_touching(&a, &aligned([-1.0, -2.0, -1.0], [0.0, 9.0, 9.0]));
}

/// Whole micrometres over some metres: one more or less decides.
#[test]
fn whole_numbers_are_exact() {
    let a = aligned([0.0; 3], [1_000_000.0, 1.0, 1_000_003.0]);
    let b = aligned([1_000_000.0, 0.0, 0.0], [3_000_001.0, 1.0, 1.0]);
    check_touching(&a, &b);
    check_apart(&a, &b.translated(v(1.0, 0.0, 0.0)), 1.0);
    check_overlap(&a, &b.translated(v(-1.0, 0.0, 0.0)), 1.0);
    let post = cylinder([1_000_500.0, 0.0, 0.0], 1, 500.0, 40_000.0);
    check_touching(&a, &post);
    check_apart(&a, &post.translated(v(1.0, 0.0, 0.0)), 1.0);
    check_overlap(&a, &post.translated(v(-1.0, 0.0, 0.0)), 1.0);
}

#[test]
fn one_inside_the_other_overlaps() {
    let outer = aligned([0.0; 3], [10.0, 20.0, 30.0]);
    check_overlap(&outer, &aligned([4.0, 5.0, 6.0], [5.0, 6.0, 7.0]), 5.0);
    check_overlap(&outer, &outer, 10.0);
    check_overlap(&outer, &cylinder([4.0, 9.0, 9.0], 2, 1.0, 2.0), 5.0);
    check_overlap(&outer, &cylinder([4.0, 9.0, 9.0], 1, 40.0, 40.0), 44.0);
    let yaw = turn([0.9238795325112867, 0.0, 0.0, 0.3826834323650898]);
    let inner = Shape::cuboid(v(3.0, 10.0, 15.0), v(1.0, 1.0, 1.0), &yaw).unwrap();
    check_overlap(&outer, &inner, 3.0 + 2f64.sqrt());
    let (a, b) = (
        cylinder([0.0; 3], 2, 5.0, 9.0),
        cylinder([1.0, 0.0, 0.0], 2, 1.0, 1.0),
    );
    check_overlap(&a, &b, 5.0);
    check_overlap(&a, &a, 10.0);
}

#[test]
fn what_has_no_size_or_place_is_refused() {
    use ShapeError::{NoDirection, NoSize, NotFinite};
    let (o, i, one) = (Vec3::ZERO, Turn::IDENTITY, v(1.0, 1.0, 1.0));
    assert_eq!(Shape::aligned(o, v(1.0, 1.0, 0.0)).err(), Some(NoSize));
    assert_eq!(Shape::aligned(one, o).err(), Some(NoSize));
    assert_eq!(Shape::cuboid(o, v(1.0, -1.0, 1.0), &i).err(), Some(NoSize));
    assert_eq!(
        Shape::cuboid(o, v(1.0, f64::NAN, 1.0), &i).err(),
        Some(NoSize)
    );
    assert_eq!(
        Shape::cuboid(v(f64::NAN, 0.0, 0.0), one, &i).err(),
        Some(NotFinite)
    );
    assert_eq!(
        Shape::cuboid(v(f64::INFINITY, 0.0, 0.0), one, &i).err(),
        Some(NotFinite)
    );
    assert_eq!(
        Shape::cylinder(o, Vec3::ZERO, 1.0, 1.0).err(),
        Some(NoDirection)
    );
    assert_eq!(
        Shape::cylinder(o, v(f64::NAN, 0.0, 0.0), 1.0, 1.0).err(),
        Some(NoDirection)
    );
    assert_eq!(Shape::cylinder(o, one, 0.0, 1.0).err(), Some(NoSize));
    assert_eq!(
        Shape::cylinder(o, one, 1.0, f64::INFINITY).err(),
        Some(NoSize)
    );
}

#[test]
fn a_limit_hides_only_what_is_apart() {
    let (a, b) = (aligned([0.0; 3], [1.0; 3]), aligned([2.0; 3], [3.0; 3]));
    for limit in [0.0, -1.0, f64::NAN, 3f64.sqrt()] {
        assert_eq!(gap(&a, &b, limit), Gap::Beyond);
        assert!(gap(&a, &a, limit).is_overlap());
    }
    assert_eq!(gap(&a, &b, f64::INFINITY).distance(), Some(3f64.sqrt()));
}
