//! A scene of turned solids and ragged plates with holes, told differently: turned as a whole by
//! any angle, mirrored, moved, its parts in another order.

use super::outline::{Ring, plate};
use super::solid::{Solid, solid};
use closefit::geom::kernel::{Shape, Turn, Vec3, World};
use proptest::prelude::*;

const NEAR: f64 = 10.0;

/// What a whole scene goes through: a mirror across x, then a turn about z, then a shift.
#[derive(Clone, Copy, Debug)]
struct Change {
    mirror: bool,
    yaw: f64,
    by: Vec3,
}

const NONE: Change = Change {
    mirror: false,
    yaw: 0.0,
    by: Vec3([0.0; 3]),
};

fn yaw(angle: f64) -> Turn {
    let (s, c) = angle.sin_cos();
    Turn::from_rows([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]).unwrap()
}

impl Change {
    fn point(&self, p: Vec3) -> Vec3 {
        let side = if self.mirror { -1.0 } else { 1.0 };
        yaw(self.yaw).apply(Vec3::new(p[0] * side, p[1], p[2])) + self.by
    }

    fn solid(&self, s: &Solid) -> Shape {
        let s = if self.mirror {
            s.mirrored(0)
        } else {
            s.clone()
        };
        s.turned(&yaw(self.yaw)).moved(self.by).shape()
    }

    fn plate(&self, p: &Plate) -> Shape {
        let side = if self.mirror { -1.0 } else { 1.0 };
        let ring = |r: &Ring| -> Ring { r.iter().map(|c| [c[0] * side, c[1]]).collect() };
        let holes: Vec<Ring> = p.holes.iter().map(ring).collect();
        let turn = yaw(self.yaw + side * p.yaw);
        Shape::extrusion(
            &ring(&p.outline),
            &holes,
            p.half,
            self.point(p.centre),
            &turn,
        )
        .unwrap()
    }
}

#[derive(Clone, Debug)]
struct Plate {
    outline: Ring,
    holes: Vec<Ring>,
    half: f64,
    centre: Vec3,
    yaw: f64,
}

fn ragged() -> impl Strategy<Value = Plate> {
    let centre = [-70.0..70.0, -70.0..70.0, -30.0..30.0];
    (plate(), 0.5..8.0, centre, 0.0..6.3).prop_map(|((outline, holes), half, centre, yaw)| Plate {
        outline,
        holes,
        half,
        centre: Vec3(centre),
        yaw,
    })
}

/// Pairs with their gap and whether they overlap. Not the depth: that of ragged outlines is told
/// of their convex pieces, and into which an outline is cut depends on how it lies.
fn pairs(bodies: &[Vec<Shape>]) -> Vec<(u32, u32, f64, bool)> {
    let near = World::build(bodies, NEAR).near_pairs();
    let tell = near
        .iter()
        .map(|p| (p.a, p.b, p.distance(), p.is_overlap()));
    tell.collect()
}

/// Rounding may decide what touches and what is near at all.
fn same(
    got: &[(u32, u32, f64, bool)],
    want: &[(u32, u32, f64, bool)],
) -> Result<(), TestCaseError> {
    let clear = |p: &&(u32, u32, f64, bool)| p.2 < NEAR - 1e-6;
    let got: Vec<_> = got.iter().filter(clear).collect();
    let want: Vec<_> = want.iter().filter(clear).collect();
    prop_assert_eq!(got.len(), want.len());
    for (g, w) in got.iter().zip(want) {
        prop_assert_eq!((g.0, g.1), (w.0, w.1));
        prop_assert!((g.2 - w.2).abs() <= 1e-7, "gap {} for {}", g.2, w.2);
        prop_assert_eq!(g.3, w.3);
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn turned_mirrored_moved_and_shuffled_scenes_have_the_same_pairs(
        plates in prop::collection::vec(ragged(), 1..4),
        solids in prop::collection::vec(solid(70.0, 12.0), 0..8),
        mirror in any::<bool>(),
        yaw in 0.0..6.3,
        by in [-900.0..900.0, -900.0..900.0, -900.0..900.0],
        first in any::<prop::sample::Index>(),
    ) {
        let bodies = |change: Change| -> Vec<Vec<Shape>> {
            let plates = plates.iter().map(|p| vec![change.plate(p)]);
            plates.chain(solids.iter().map(|s| vec![change.solid(s)])).collect()
        };
        let want = pairs(&bodies(NONE));
        same(&pairs(&bodies(Change { mirror, yaw, by: Vec3(by) })), &want)?;

        let mut other = bodies(NONE);
        let n = other.len();
        let first = first.index(n);
        other.rotate_left(first);
        let back = |i: u32| ((i as usize + first) % n) as u32;
        let mut found: Vec<_> = pairs(&other)
            .into_iter()
            .map(|(a, b, gap, over)| {
                let (a, b) = (back(a), back(b));
                (a.min(b), a.max(b), gap, over)
            })
            .collect();
        found.sort_by_key(|p| (p.0, p.1));
        same(&found, &want)?;
    }
}
