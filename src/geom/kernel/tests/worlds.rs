//! Bodies that come near one another, and that move.

use super::*;

fn block(x: f64, y: f64, z: f64, side: f64) -> Vec<Shape> {
    let lo = Vec3::new(x, y, z);
    vec![Shape::aligned(lo, lo + Vec3([side; 3])).unwrap()]
}

fn named(pairs: &[NearPair]) -> Vec<(u32, u32, f64, bool)> {
    let name = |p: &NearPair| (p.a, p.b, p.distance(), p.is_overlap());
    pairs.iter().map(name).collect()
}

#[test]
fn only_gaps_under_the_wanted_one_are_listed() {
    let row = [0.0, 11.0, 21.0, 41.0, 50.0].map(|x| block(x, 0.0, 0.0, 10.0));
    let want = [(0, 1, 1.0, false), (1, 2, 0.0, false), (3, 4, 0.0, true)];
    // From 2 to 3 the gap is 10, which is not under 10.
    assert_eq!(named(&World::build(&row, 10.0).near_pairs()), want);
    assert_eq!(named(&World::build(&row, 0.0).near_pairs()), [want[2]]);
    assert_eq!(named(&World::build(&row, f64::NAN).near_pairs()), [want[2]]);
    assert_eq!(World::build(&row, f64::INFINITY).near_pairs().len(), 10);
    let rows = World::build(&row, 10.0);
    assert!(rows.is_crowded(2) && !rows.is_crowded(3));
}

#[test]
fn empty_bodies_are_near_nothing() {
    assert_eq!(World::build(&[], 1.0).near_pairs(), []);
    let mut world = World::build(&[vec![], block(0.0, 0.0, 0.0, 1.0), vec![]], 5.0);
    assert_eq!(world.near_pairs(), []);
    world.set_body(2, &block(2.0, 0.0, 0.0, 1.0));
    assert_eq!(named(&world.neighbours(2)), [(1, 2, 1.0, false)]);
    world.set_body(2, &[]);
    assert_eq!(world.near_pairs(), []);
    assert_eq!(world.neighbours(2), []);
}

#[test]
fn tags_choose_which_shapes_meet() {
    let [a, far] = [block(0.0, 0.0, 0.0, 1.0), block(0.0, 4.0, 0.0, 1.0)];
    let mut b = block(2.0, 0.0, 0.0, 1.0);
    b.extend(far.into_iter().map(|s| s.with_tag(7)));
    let world = World::build(&[a, b], 10.0);
    let all = world.near_pairs();
    assert_eq!((all[0].distance(), all[0].tags), (1.0, [0, 0]));
    let some = world.near_pairs_where(|_, b| b == 7);
    assert_eq!((some[0].distance(), some[0].tags), (3.0, [0, 7]));
    assert_eq!(world.neighbours_where(1, |_, b| b == 7), some);
    assert_eq!(world.near_pairs_where(|_, _| false), []);
}

#[test]
fn the_deepest_overlap_counts() {
    let a = block(0.0, 0.0, 0.0, 10.0);
    let mut b = block(9.0, 0.0, 0.0, 10.0);
    b.extend(block(2.0, 7.0, 0.0, 10.0));
    let pair = World::build(&[a, b], 1.0).near_pairs()[0];
    let Gap::Overlap {
        depth, direction, ..
    } = pair.gap
    else {
        panic!("{pair:?}");
    };
    assert_eq!((depth, direction), (3.0, Vec3::unit(1)));
}

/// A body may wander far out of where the columns were laid, and a plate may span them all.
#[test]
fn moving_bodies_gives_what_building_afresh_gives() {
    let mut bodies: Vec<Vec<Shape>> = (0..60)
        .map(|i| {
            block(
                f64::from(i * 7 % 60),
                f64::from(i * 11 % 60),
                f64::from(i),
                3.0,
            )
        })
        .collect();
    bodies[0] = vec![Shape::aligned(Vec3([-90.0; 3]), Vec3::new(90.0, 90.0, -89.0)).unwrap()];
    let mut world = World::build(&bodies, 4.0);
    for step in 0..400 {
        let i = step * 17 % 60;
        let by = Vec3([1.0, 2.0, 3.0].map(|k| ((step as f64 * k) % 9.0 - 4.0) * k));
        let far = if step % 50 == 0 {
            Vec3([500.0, -800.0, 300.0])
        } else {
            Vec3::ZERO
        };
        bodies[i] = bodies[i].iter().map(|s| s.translated(by + far)).collect();
        world.set_body(i, &bodies[i]);
        let afresh = World::build(&bodies, 4.0);
        let all = afresh.near_pairs();
        assert_eq!(world.near_pairs(), all);
        let own = |p: &&NearPair| p.a == i as u32 || p.b == i as u32;
        let of_body: Vec<NearPair> = all.iter().filter(own).copied().collect();
        assert_eq!(world.neighbours(i), of_body);
    }
}

/// Nothing to learn from the figures here, but no panic, no hang and no pair out of order either.
#[test]
fn extreme_sizes_and_places_are_survived() {
    let extremes = [-1e30, -1.0, 0.0, 1e-30, 1.0, 1e30];
    let sizes = [1e-30, 1.0, 1e30];
    let tilt = turn([0.5, 0.5, -0.5, 0.5]);
    let lean = turn([0.8, 0.0, 0.36, 0.48]);
    let mut bodies = Vec::new();
    for (i, x) in extremes.into_iter().enumerate() {
        for (j, size) in sizes.into_iter().enumerate() {
            let (at, other) = (v(x, extremes[(i + j) % 6], -x), sizes[(i + j) % 3]);
            let wedge = [[0.0, 0.0], [size, 0.0], [0.0, other]];
            bodies.push(vec![Shape::cuboid(at, v(size, other, 1.0), &lean).unwrap()]);
            bodies.push(vec![Shape::cuboid(at, v(size, other, 1.0), &tilt).unwrap()]);
            bodies.push(vec![
                Shape::cylinder(at, v(1.0, 2.0, 3.0), size, other).unwrap(),
            ]);
            bodies.push(vec![
                Shape::extrusion(&wedge, &[], size, at, &lean).unwrap(),
            ]);
        }
    }
    for near in [0.0, 1e-30, 1.0, 1e30, f64::INFINITY] {
        let pairs = World::build(&bodies, near).near_pairs();
        assert!(pairs.is_sorted_by_key(|p| (p.a, p.b)));
    }
}
