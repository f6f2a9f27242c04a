//! Gaps across an edge: worst cases against boxes and rods that are moved as far as the dimensions
//! allow, root sum square and probability by arithmetic.

use crate::build::{Build, block, enclosure, frame, l, pattern, pid, square, v, zone};
use crate::geom::{Axis, Box3, Length, Solid, Vec3};
use crate::model::{Group, PartKind};
use crate::placement::{Broken, Chains, Closest, Placed, Source, Thing};

fn carried(id: &str, round: bool) -> PartKind {
    let mut kind = block(id, Group::Drive, [100.0, 100.0, 20.0]);
    if round {
        kind.body[0].solid = Solid::Cylinder {
            axis: Axis::Z,
            base: v(50.0, 50.0, 0.0),
            radius: l(50.0),
            height: l(20.0),
        };
    }
    let foot = frame(v(50.0, 50.0, 0.0), "+x", "-y", "-z");
    let holes = square(80.0, [0.0, 0.0], 4.3, None);
    kind.patterns = vec![pattern("foot", foot, holes, 4)];
    kind
}

/// Two parts of 100 x 100, screwed down with M3 in 4.3, apart by this along x and y.
fn two(gap: [f64; 2], round: bool) -> Build {
    let mut case = enclosure([400.0, 400.0, 100.0]);
    let at = [[0.0, 0.0], [100.0 + gap[0], 100.0 + gap[1]]];
    for (id, [x, y]) in ["one", "two"].into_iter().zip(at) {
        let face = frame(v(x, y, 0.0), "+x", "+y", "+z");
        let mut field = zone(id, face, [100.0, 100.0], 0.0, &[Group::Drive]);
        field.holes = square(80.0, [50.0, 50.0], 3.0, Some("M3"));
        case.zones.push(field);
    }
    Build::new(case)
        .with("a", &carried("one", round), [0.0; 3])
        .with("b", &carried("two", round), [at[1][0], at[1][1], 0.0])
}

fn chains(build: &Build) -> Result<Chains, Broken> {
    let placed = Placed::build(&build.scene);
    let (a, b) = (Thing::Part(pid("a")), Thing::Part(pid("b")));
    let Ok(Closest::Apart {
        from, to, boxes, ..
    }) = placed.closest(&a, &b)
    else {
        panic!("they are apart");
    };
    let known = (&build.settings, &build.scene.measured);
    let ids = [pid("a"), pid("b")];
    let ends = ids.each_ref().map(Some);
    placed.chains(known, ends, [from, to], boxes)
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 0.001
}

#[test]
fn across_an_edge_both_axes_have_their_chain() {
    // Each axis as in the rule's straight case: 2.1 at worst, 1.032 by root sum square.
    let found = chains(&two([3.0, 3.0], false)).expect("both are held");
    assert!(found.boxes && !found.is_straight());
    let s = found.spread();
    assert!(near(s.nominal.as_mm(), 18f64.sqrt()));
    // With every dimension at its worst the corners are 0.9 apart both ways.
    assert!(near(s.least.as_mm(), 0.9 * 2f64.sqrt()));
    assert!(near(s.most.as_mm(), 5.1 * 2f64.sqrt()));
    // Two equal spreads at 45 degrees add up to one of them.
    assert!(near(s.rss, 1.065f64.sqrt()), "{}", s.rss);
    let shares: f64 = found.links().map(|(s, l)| found.share(s, l)).sum();
    assert!(near(shares, 1.0));
    assert_eq!(found.links().count(), 10);
}

#[test]
fn boxes_that_are_moved_as_far_as_they_may_never_come_nearer() {
    for gap in [[3.0, 3.0], [3.0, 1.0], [2.5, 0.2], [5.0, 2.1]] {
        let s = chains(&two(gap, false)).expect("both are held").spread();
        let a = Box3::at(Vec3::ZERO, v(100.0, 100.0, 20.0));
        let b = Box3::at(
            v(100.0 + gap[0], 100.0 + gap[1], 0.0),
            v(100.0, 100.0, 20.0),
        );
        let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
        for i in -21..=21 {
            for j in -21..=21 {
                let by = v(f64::from(i) / 10.0, f64::from(j) / 10.0, 0.0);
                let distance = a.distance_mm(&b.moved(by));
                (least, most) = (least.min(distance), most.max(distance));
            }
        }
        assert!(near(s.least.as_mm(), least), "{gap:?}: {} {least}", s.least);
        assert!(near(s.most.as_mm(), most), "{gap:?}: {} {most}", s.most);
    }
}

#[test]
fn boxes_interfere_where_they_do_along_both_axes() {
    // 1 mm both ways: sigma is 1.032 / 3 = 0.344, P(z < -2.907) = 0.001824 (tables of the normal
    // distribution), of both its square.
    let s = chains(&two([1.0, 1.0], false))
        .expect("both are held")
        .spread();
    assert_eq!(s.least, l(-1.1));
    assert!(
        (s.interference.sqrt() - 0.001_824).abs() < 2e-5,
        "{}",
        s.interference
    );
}

#[test]
fn rods_close_along_the_line_between_them() {
    // Rods of 50 whose middles are 75 apart both ways: 106.066 - 100.
    let s = chains(&two([-25.0, -25.0], true)).expect("both are held");
    assert!(!s.boxes);
    let s = s.spread();
    assert!(near(s.nominal.as_mm(), 75.0 * 2f64.sqrt() - 100.0));
    // Face to hole 75.4 (+-0.3), hole to hole 75 (+-0.3), hole to face 4.6 (+-0.1) and both plays
    // of 0.65: 2.0 each way.
    let lowest = s.nominal.as_mm() - 2.0 * 2f64.sqrt();
    assert!(near(s.least.as_mm(), lowest), "{}", s.least);
    let mut least = f64::INFINITY;
    for i in -20..=20 {
        for j in -20..=20 {
            let by = [f64::from(i), f64::from(j)].map(|d| d / 10.0);
            least = least.min((75.0 + by[0]).hypot(75.0 + by[1]) - 100.0);
        }
    }
    assert!(near(least, lowest), "{least} {lowest}");
}

#[test]
fn points_that_are_one_have_no_chain() {
    let build = two([3.0, 3.0], false);
    let placed = Placed::build(&build.scene);
    let known = (&build.settings, &build.scene.measured);
    let ids = [pid("a"), pid("b")];
    let ends = ids.each_ref().map(Some);
    let point = v(100.0, 100.0, 5.0);
    let none = placed.chains(known, ends, [point, point], true);
    assert_eq!(none, Err(Broken::NoGap));
}

#[test]
fn what_a_slot_is_set_to_counts_along_it_and_screws_across() {
    let mut build = two([3.0, -50.0], false);
    let mut case = (*build.scene.enclosure).clone();
    for hole in &mut case.zones[0].holes {
        // Slots of 6 along x, plain ones of 3.4; the part has threads then.
        hole.shape = crate::model::HoleShape::Slot {
            du: l(6.0),
            dv: Length::ZERO,
        };
        (hole.u, hole.diameter, hole.thread) = (hole.u - l(3.0), l(3.4), None);
    }
    build.scene.enclosure = std::sync::Arc::new(case);
    let mut kind = (*build.scene.parts[&pid("a")].kind).clone();
    for hole in &mut kind.patterns[0].holes {
        (hole.diameter, hole.thread) = (l(2.5), Some("M3".into()));
    }
    build
        .scene
        .parts
        .get_mut(&pid("a"))
        .expect("it is there")
        .kind = std::sync::Arc::new(kind);
    let play = |build: &Build, axis: Axis| {
        let found = chains(build).expect("both are held");
        let slope = found.slopes.iter().find(|s| s.axis == axis)?;
        let own = |l: &&crate::placement::Link| {
            l.source == Source::Play
                && (l.what.starts_with("play of one") || l.what.starts_with("one set"))
        };
        slope.chain.links.iter().find(own).map(|l| l.deviation.plus)
    };
    // M3 in 3.4 plays 0.2; along the slot it is set to half a millimetre.
    assert_eq!(play(&build, Axis::X), Some(l(0.2)));
    build.settings.limits.slot_set = Some(l(0.5));
    assert_eq!(play(&build, Axis::X), Some(l(0.5)));
}
