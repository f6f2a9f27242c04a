//! The geometry kernel against answers from elsewhere: python-fcl on whole scenes, `parry3d` on
//! pairs, certificates that need no other program, and the same scene told differently.

use std::path::Path;

use closefit::geom::kernel::{CONTACT, Gap, NearPair, Shape, Turn, Vec3, World, gap};
use proptest::prelude::*;

mod bodies_out;
#[path = "../perf/fit_scene.rs"]
mod fit_scene;
mod outline;
mod solid;
mod told;
mod turned;
mod way_out;

use solid::{Solid, separation, solid};

/// Scenes of the peers' generator, with what python-fcl 0.7.0.11 says (dynamic tree and `distance`
/// of exact primitives). Its distances of cylinders are good to some 1e-4 mm.
#[test]
fn scenes_agree_with_python_fcl() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/perf/inputs/fit");
    for name in ["axis_200", "axis_1000", "yaw_200"] {
        let scene = fit_scene::Scene::read(&folder.join(format!("{name}.json"))).unwrap();
        let pairs = World::build(&scene.shapes(), 10.0).near_pairs();
        let answers = std::fs::read_to_string(folder.join(format!("{name}.fcl.txt"))).unwrap();
        let answers: Vec<Vec<f64>> = answers
            .lines()
            .filter(|l| !l.starts_with('#'))
            .map(|l| l.split(' ').map(|w| w.parse().unwrap()).collect())
            .collect();
        assert_eq!(pairs.len(), answers.len(), "{name}");
        for (pair, want) in pairs.iter().zip(answers) {
            let names = [
                scene.ids[want[0] as usize].as_str(),
                scene.ids[want[1] as usize].as_str(),
            ];
            assert_eq!(
                [pair.a, pair.b],
                [want[0] as u32, want[1] as u32],
                "{name} {names:?}"
            );
            assert_eq!(pair.is_overlap(), want[2] < 0.0, "{name} {names:?}");
            let off = (pair.distance() - want[2].max(0.0)).abs();
            assert!(
                off < 1e-3,
                "{name} {names:?}: {} for {}",
                pair.distance(),
                want[2]
            );
        }
    }
}

/// Checks one answer by what it claims: points inside, a plane between, a way out and none shorter.
fn check(a: &Solid, b: &Solid) -> Result<(), TestCaseError> {
    let (first, second) = (a.shape(), b.shape());
    let size = first.bounds().longest().max(second.bounds().longest());
    match gap(&first, &second, f64::INFINITY) {
        Gap::Beyond => prop_assert!(false, "beyond infinity"),
        Gap::Apart {
            distance,
            on_a,
            on_b,
        } => {
            prop_assert!(((on_b - on_a).norm() - distance).abs() <= 1e-9 * size);
            prop_assert!(
                a.outside(on_a) <= 1e-9 * size,
                "{} outside a",
                a.outside(on_a)
            );
            prop_assert!(
                b.outside(on_b) <= 1e-9 * size,
                "{} outside b",
                b.outside(on_b)
            );
            let between = separation(a, b, on_b - on_a);
            prop_assert!(
                between >= distance - 1e-7 * size,
                "{distance}, plane {between}"
            );
        }
        Gap::Touching { at } => {
            prop_assert!(a.outside(at) <= size && b.outside(at) <= size);
            let between = separation(a, b, b.centre() - a.centre());
            prop_assert!(
                between.abs() <= 2.0 * CONTACT * size,
                "touching, plane {between}"
            );
        }
        Gap::Overlap {
            depth, direction, ..
        } => {
            let way = a.reach(direction) + b.reach(-direction);
            prop_assert!((way - depth).abs() <= 1e-9 * size);
            let least = -separation(a, b, direction);
            prop_assert!(
                least >= depth - 1e-6 * size,
                "depth {depth}, but {least} is enough"
            );
        }
    }
    Ok(())
}

/// A distance by another program's descent; 0 where it sees contact.
fn parry(a: &Solid, b: &Solid) -> f64 {
    let ((p, a), (q, b)) = (a.parry(), b.parry());
    parry3d_f64::query::distance(&p, a.as_ref(), &q, b.as_ref())
        .unwrap()
        .distance
}

/// A scene of bodies of up to three solids each, in a space where many come near.
fn bodies() -> impl Strategy<Value = Vec<Vec<Solid>>> {
    prop::collection::vec(prop::collection::vec(solid(70.0, 12.0), 0..4), 0..14)
}

fn shapes(bodies: &[Vec<Solid>]) -> Vec<Vec<Shape>> {
    let body = |b: &Vec<Solid>| b.iter().map(Solid::shape).collect();
    bodies.iter().map(body).collect()
}

/// Every pair of shapes of every pair of bodies, with no bounds and no order to save work.
fn brute(bodies: &[Vec<Shape>], near: f64) -> Vec<(u32, u32, f64, f64)> {
    let mut pairs = Vec::new();
    for (i, a) in bodies.iter().enumerate() {
        for (j, b) in bodies.iter().enumerate().skip(i + 1) {
            let (mut least, mut deepest) = (f64::INFINITY, 0.0_f64);
            for (p, q) in a.iter().flat_map(|p| b.iter().map(move |q| (p, q))) {
                let found = gap(p, q, f64::INFINITY);
                least = least.min(found.distance().unwrap_or(f64::INFINITY));
                if let Gap::Overlap { depth, .. } = found {
                    deepest = deepest.max(depth);
                }
            }
            if least < near {
                pairs.push((i as u32, j as u32, least, deepest));
            }
        }
    }
    pairs
}

fn told(pairs: &[NearPair]) -> Vec<(u32, u32, f64, f64)> {
    let tell = |p: &NearPair| {
        let depth = match p.gap {
            Gap::Overlap { depth, .. } => depth,
            _ => 0.0,
        };
        (p.a, p.b, p.distance(), depth)
    };
    pairs.iter().map(tell).collect()
}

/// The same pairs with the same figures but for rounding; what lies at the limit may differ.
fn same(
    got: &[(u32, u32, f64, f64)],
    want: &[(u32, u32, f64, f64)],
    near: f64,
) -> Result<(), TestCaseError> {
    let clear = |p: &&(u32, u32, f64, f64)| p.2 < near - 1e-6;
    let (got, want): (Vec<_>, Vec<_>) = (
        got.iter().filter(clear).collect(),
        want.iter().filter(clear).collect(),
    );
    prop_assert_eq!(got.len(), want.len());
    for (g, w) in got.iter().zip(want) {
        prop_assert_eq!((g.0, g.1), (w.0, w.1));
        prop_assert!((g.2 - w.2).abs() <= 1e-7, "gap {} for {}", g.2, w.2);
        prop_assert!((g.3 - w.3).abs() <= 1e-5, "depth {} for {}", g.3, w.3);
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn pairs_prove_what_they_say(a in solid(60.0, 40.0), b in solid(60.0, 40.0)) {
        check(&a, &b)?;
    }

    #[test]
    fn pairs_agree_with_parry(a in solid(60.0, 40.0), b in solid(60.0, 40.0)) {
        let found = gap(&a.shape(), &b.shape(), f64::INFINITY);
        let distance = found.distance().expect("nothing is beyond infinity");
        // An oracle for the distance only: it stops at some 1e-6 of the size with curved shapes.
        prop_assert!((distance - parry(&a, &b)).abs() < 1e-3);
        prop_assert_eq!(gap(&a.shape(), &b.shape(), distance * 0.999 - 1e-6), match found {
            Gap::Apart { .. } => Gap::Beyond,
            other => other,
        });
    }

    /// Points picked inside one shape are never nearer to the other than the gap says.
    #[test]
    fn no_point_is_nearer(
        a in solid(60.0, 40.0),
        b in solid(60.0, 40.0),
        at in prop::collection::vec([-1.0..1.0, -1.0..1.0, -1.0..1.0], 50),
    ) {
        let distance = gap(&a.shape(), &b.shape(), f64::INFINITY).distance().unwrap_or(0.0);
        for p in at.iter().map(|p| a.pick(*p)) {
            prop_assert!(a.outside(p) <= 1e-9);
            // Outside by a plane or the side is less than the distance, so this is one-sided.
            let ball = Shape::cuboid(p, Vec3([1e-6; 3]), &Turn::IDENTITY).unwrap();
            let far = gap(&ball, &b.shape(), f64::INFINITY).distance().unwrap_or(0.0);
            prop_assert!(far >= distance - 3e-6, "{far} under {distance}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn worlds_agree_with_all_pairs(bodies in bodies(), near in 0.5..25.0) {
        let shapes = shapes(&bodies);
        let world = World::build(&shapes, near);
        let pairs = told(&world.near_pairs());
        same(&pairs, &brute(&shapes, near), near)?;
        for i in 0..bodies.len() as u32 {
            let own: Vec<_> = pairs.iter().filter(|p| p.0 == i || p.1 == i).copied().collect();
            prop_assert_eq!(told(&world.neighbours(i as usize)), own);
        }
    }

    #[test]
    fn the_same_scene_told_differently(bodies in bodies(), by in [-900.0..900.0, -900.0..900.0, -900.0..900.0]) {
        let near = 10.0;
        let want = told(&World::build(&shapes(&bodies), near).near_pairs());
        let retold = |change: &dyn Fn(&Solid) -> Solid| {
            let all: Vec<Vec<Solid>> =
                bodies.iter().map(|b| b.iter().map(change).collect()).collect();
            told(&World::build(&shapes(&all), near).near_pairs())
        };
        same(&retold(&|s| s.moved(Vec3(by))), &want, near)?;
        for k in 0..3 {
            same(&retold(&|s| s.mirrored(k)), &want, near)?;
        }
        let backwards: Vec<Vec<Solid>> =
            bodies.iter().rev().map(|b| b.iter().rev().cloned().collect()).collect();
        let last = bodies.len().saturating_sub(1) as u32;
        let mut turned: Vec<_> = told(&World::build(&shapes(&backwards), near).near_pairs())
            .into_iter()
            .map(|(a, b, distance, depth)| (last - b, last - a, distance, depth))
            .collect();
        turned.sort_by_key(|p| (p.0, p.1));
        same(&turned, &want, near)?;
    }
}
