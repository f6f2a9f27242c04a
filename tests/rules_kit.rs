//! What holds for all rules together: an update finds what a full check finds;
//! moving or turning a whole scene, or putting its parts in in another order,
//! changes nothing.

#[path = "support/build.rs"]
mod build;

use build::{
    Build, at_port, block, cable, cid, enclosure, fan, frame, l, pid, piece, plate, port, radiator,
    seat, solid, square, v, zone,
};
use closefit::edit::{Edit, Touched, apply};
use closefit::geom::{Axis, Box3, Solid, Turn, Vec3};
use closefit::model::{
    Cutout, Enclosure, Frame, Group, Opening, Outlet, Part, PartId, PartKind, Pattern, Place, Role,
    Scene, Space, Via,
};
use closefit::rules::{Checker, Finding, RULES, Severity};
use proptest::prelude::*;
use std::collections::BTreeSet;
use std::sync::Arc;

/// A box in the middle of a larger one, so that it can be moved about: floor zone,
/// a channel of 55 under the lid, a rear wall with an opening, a passage wall.
fn case() -> Enclosure {
    let mut case = enclosure([2000.0, 2000.0, 2000.0]);
    let at = |x: f64, y: f64, z: f64| v(500.0 + x, 500.0 + y, 500.0 + z);
    let sheet = |id: &str, a: [f64; 3], s: [f64; 3]| plate(id, a.map(|c| c + 500.0), s);
    let mut rear = sheet("rear", [0.0, 400.0, 0.0], [400.0, 1.0, 200.0]);
    rear.cutouts = vec![
        Cutout::Rect(Box3::at(at(40.0, 400.0, 20.0), v(158.75, 1.0, 44.45))),
        Cutout::Round {
            centre: at(300.0, 400.0, 100.0),
            diameter: l(80.0),
        },
    ];
    case.plates = vec![
        sheet("floor", [0.0, 0.0, -1.0], [400.0, 401.0, 1.0]),
        sheet("lid", [0.0, 0.0, 200.0], [400.0, 401.0, 1.0]),
        rear,
    ];
    let mut floor = zone(
        "floor",
        frame(at(0.0, 0.0, 0.0), "+x", "+y", "+z"),
        [400.0, 400.0],
        0.0,
        &[],
    );
    for x in [60.0, 180.0, 300.0] {
        floor.holes.extend(square(105.0, [x, 60.0], 4.5, None));
    }
    let mut channel = zone(
        "channel",
        frame(at(0.0, 0.0, 200.0), "+x", "+y", "-z"),
        [400.0, 150.0],
        55.0,
        &[],
    );
    channel.holes = square(105.0, [80.0, 60.0], 4.0, None);
    case.zones = vec![floor, channel];
    case.openings = vec![Opening {
        id: "io".into(),
        name: "board opening".into(),
        kind: "board-io".into(),
        frame: frame(at(40.0, 400.0, 20.0), "+x", "+z", "+y"),
        size: [l(158.75), l(44.45)],
    }];
    case
}

/// Kinds that have to do with one another.
fn kinds() -> Vec<PartKind> {
    let mut board = block("board", Group::Board, [160.0, 160.0, 20.0]);
    board.body[0] = solid(Solid::Box(Box3::at(Vec3::ZERO, v(160.0, 160.0, 2.0))));
    board.body.push(solid(Solid::Box(Box3::at(
        v(60.0, 10.0, 2.0),
        v(7.0, 89.0, 11.0),
    ))));
    let mut slot = zone(
        "slot",
        frame(v(53.5, 10.0, 5.0), "+x", "+y", "+z"),
        [20.0, 89.0],
        0.0,
        &[Group::Card],
    );
    slot.holes = vec![seat("key", "edge", 10.0, 20.0)];
    board.zones = vec![slot];
    board.outlets = vec![Outlet {
        id: "io".into(),
        kind: "board-io".into(),
        frame: frame(v(0.0, 160.0, 0.0), "+x", "+z", "+y"),
        size: [l(158.75), l(44.45)],
    }];
    board.ports = vec![
        port("h1", "fan-4pin", v(10.0, 5.0, 12.0), "+z", Role::Source),
        port("h2", "fan-4pin", v(30.0, 5.0, 12.0), "+z", Role::Source),
        port("d", "host", v(150.0, 40.0, 8.0), "+x", Role::Source),
    ];
    let under = frame(Vec3::ZERO, "+x", "+y", "-z");
    board.patterns = vec![Pattern {
        id: "bottom".into(),
        frame: under,
        holes: square(105.0, [60.0, 60.0], 4.2, None),
        needs: 3,
    }];
    let mut card = block("card", Group::Card, [20.0, 150.0, 100.0]);
    card.body[0] = solid(Solid::Box(Box3::at(v(9.2, 0.0, 0.0), v(1.6, 89.0, 10.0))));
    card.body.push(solid(Solid::Box(Box3::at(
        v(0.0, 0.0, 10.0),
        v(20.0, 150.0, 90.0),
    ))));
    let air = Solid::Box(Box3::at(v(-8.0, 20.0, 20.0), v(8.0, 100.0, 60.0)));
    card.body.push(piece(air, Space::KeepOut, "air"));
    card.patterns = vec![Pattern {
        id: "edge".into(),
        frame: frame(v(10.0, 20.0, 0.0), "+x", "+y", "-z"),
        holes: vec![seat("key", "edge", 0.0, 0.0)],
        needs: 1,
    }];
    let mut drive = block("drive", Group::Drive, [70.0, 100.0, 15.0]);
    drive.ports = vec![port("d", "drive", v(35.0, 100.0, 7.0), "+y", Role::Sink)];
    drive.ports[0].required = true;
    let mut tank = block("tank", Group::Other, [60.0, 60.0, 120.0]);
    tank.body = vec![solid(Solid::Cylinder {
        axis: Axis::Z,
        base: v(30.0, 30.0, 0.0),
        radius: l(30.0),
        height: l(120.0),
    })];
    let mut bent = block("bent", Group::Bracket, [80.0, 60.0, 40.0]);
    let p = |x: f64, y: f64| [l(x), l(y)];
    bent.body = vec![solid(Solid::Extrusion {
        axis: Axis::X,
        low: l(0.0),
        high: l(80.0),
        outline: vec![
            p(0.0, 0.0),
            p(60.0, 0.0),
            p(60.0, 3.0),
            p(3.0, 3.0),
            p(3.0, 40.0),
            p(0.0, 40.0),
        ],
        holes: vec![],
    })];
    vec![
        fan(120.0, 105.0, 25.0),
        radiator(1, 27.0),
        radiator(1, 38.0),
        board,
        card,
        drive,
        tank,
        bent,
    ]
}

fn start() -> Build {
    Build::new(case())
        .gap(Some(Group::Fan), Some(Group::Fan), false, 0.0)
        .gap(None, None, true, 2.0)
        .gap(None, None, false, 3.0)
}

/// Places that matter: on holes, beside one another, a little off, anywhere.
const STOPS: [f64; 12] = [
    -30.0, 0.0, 0.2, 20.0, 53.5, 60.0, 120.0, 120.5, 148.0, 173.0, 240.0, 340.0,
];

#[derive(Clone, Debug)]
enum Step {
    Place(usize, [usize; 3], usize, bool),
    Lift(usize),
    Add(usize, usize),
    Remove(usize),
    Rename(usize),
    Kind(usize, usize),
    Cable(usize, usize, usize, usize),
    Cut(usize),
}

fn a_step() -> impl Strategy<Value = Step> {
    let stop = || 0..STOPS.len();
    prop_oneof![
        6 => (0..12usize, [stop(), stop(), stop()], 0..6usize, any::<bool>())
            .prop_map(|(p, at, turn, lock)| Step::Place(p, at, turn, lock)),
        1 => (0..12usize).prop_map(Step::Lift),
        3 => (0..12usize, 0..8usize).prop_map(|(p, k)| Step::Add(p, k)),
        1 => (0..12usize).prop_map(Step::Remove),
        1 => (0..12usize).prop_map(Step::Rename),
        1 => (0..12usize, 0..8usize).prop_map(|(p, k)| Step::Kind(p, k)),
        3 => (0..6usize, 0..12usize, 0..12usize, 0..3usize)
            .prop_map(|(c, a, b, n)| Step::Cable(c, a, b, n)),
        1 => (0..6usize).prop_map(Step::Cut),
    ]
}

fn turns() -> Vec<Turn> {
    let mut turns = Turn::all();
    turns.truncate(6);
    turns
}

fn part_id(n: usize) -> PartId {
    // Ids whose order is not the order of numbers.
    pid(["m", "c", "x", "a", "k", "z", "b", "y", "f", "q", "d", "w"][n])
}

fn edit(scene: &Scene, kinds: &[Arc<PartKind>], step: &Step) -> Option<Edit> {
    let first_port = |n: usize, which: usize| {
        let id = part_id(n);
        scene.arrangement().places.get(&id)?;
        let ports = &scene.parts.get(&id)?.kind.ports;
        let port = ports.get(which % ports.len().max(1))?;
        Some((at_port(id.as_str(), &port.id), port.lead.is_some()))
    };
    Some(match step {
        Step::Place(n, at, turn, locked) => Edit::SetPlace(
            part_id(*n),
            Some(Place {
                at: v(500.0, 500.0, 500.0) + v(STOPS[at[0]], STOPS[at[1]], STOPS[at[2]]),
                turn: turns()[*turn],
                locked: *locked,
                hidden: false,
            }),
        ),
        Step::Lift(n) => Edit::SetPlace(part_id(*n), None),
        Step::Add(n, kind) => Edit::AddPart {
            id: part_id(*n),
            part: Part {
                name: kinds[*kind].name.clone(),
                kind: kinds[*kind].clone(),
            },
            place: Some(Place::at(v(500.0, 500.0, 500.0 + 25.0 * *n as f64))),
        },
        Step::Remove(n) => Edit::RemovePart(part_id(*n)),
        Step::Rename(n) => Edit::Rename(part_id(*n), "another".into()),
        Step::Kind(n, kind) => Edit::SetKind(part_id(*n), kinds[*kind].clone()),
        Step::Cable(c, a, b, which) => {
            let (from, captive) = first_port(*a, *which)?;
            let (to, _) = first_port(*b, *which)?;
            let via = vec![Via::Point(v(700.0, 700.0, 600.0)); which % 2];
            let kind = if captive { None } else { Some("data") };
            Edit::SetCable(
                cid(&format!("c{c}")),
                Some(cable(kind, from, to, 300.0, via)),
            )
        }
        Step::Cut(c) => Edit::SetCable(cid(&format!("c{c}")), None),
    })
}

fn all(checker: &Checker) -> Vec<Finding> {
    checker.findings().into_iter().cloned().collect()
}

fn same_everywhere(build: &Build, scene: &Scene, live: &Checker) -> Result<(), TestCaseError> {
    let mut fresh = build.checker();
    fresh.check_all(scene);
    prop_assert_eq!(all(live), all(&fresh));
    prop_assert_eq!(live.runs(), fresh.runs());
    let (a, b) = (live.placed(), fresh.placed());
    prop_assert_eq!(a.unplaced(), b.unplaced());
    prop_assert_eq!(a.len(), b.len());
    for (p, q) in a.parts().zip(b.parts()) {
        prop_assert_eq!((&p.id, p.index, p.span), (&q.id, q.index, q.span));
        prop_assert_eq!(a.support(&p.id), b.support(&p.id));
        prop_assert_eq!(a.carried(&p.id), b.carried(&p.id));
        let zones = |placed: &closefit::placement::Placed| -> Vec<_> {
            let holds = placed.holds(&p.id).iter();
            holds
                .map(|h| (h.zone.clone(), h.pairs.clone(), h.seated))
                .collect()
        };
        prop_assert_eq!(zones(a), zones(b));
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, ..ProptestConfig::default() })]

    #[test]
    fn an_update_finds_what_a_full_check_finds(steps in prop::collection::vec(a_step(), 1..40)) {
        let build = start();
        let kinds: Vec<Arc<PartKind>> = kinds().into_iter().map(Arc::new).collect();
        let mut scene = build.scene.clone();
        let mut live = build.checker();
        live.check_all(&scene);
        for step in &steps {
            let Some(edit) = edit(&scene, &kinds, step) else { continue };
            if let Ok(touched) = apply(&mut scene, &edit) {
                live.update(&scene, &touched);
            }
        }
        same_everywhere(&build, &scene, &live)?;
    }

    #[test]
    fn several_changes_at_once_are_one_update(steps in prop::collection::vec(a_step(), 1..40)) {
        let build = start();
        let kinds: Vec<Arc<PartKind>> = kinds().into_iter().map(Arc::new).collect();
        let mut scene = build.scene.clone();
        let mut live = build.checker();
        live.check_all(&scene);
        for batch in steps.chunks(7) {
            let mut touched = Touched::default();
            for step in batch {
                let Some(edit) = edit(&scene, &kinds, step) else { continue };
                if let Ok(t) = apply(&mut scene, &edit) {
                    touched.merge(t);
                }
            }
            live.update(&scene, &touched);
        }
        same_everywhere(&build, &scene, &live)?;
    }
}

/// Some twenty parts, of which many clash, hang or miss.
fn busy() -> Build {
    let k = kinds();
    let at = |x: f64, y: f64, z: f64| [500.0 + x, 500.0 + y, 500.0 + z];
    let lying = build::turn("+y", "-x");
    start()
        .with("fan-1", &k[0], at(0.0, 0.0, 0.0))
        .with("fan-2", &k[0], at(120.0, 0.0, 0.0))
        .with("fan-3", &k[0], at(230.0, 3.0, 0.0))
        .with("rad-low", &k[1], at(-20.0, 0.0, 162.0))
        .with("rad-top", &k[2], at(0.0, 0.0, 162.0))
        .with("fan-top", &k[0], at(20.0, 0.0, 137.0))
        .with("board", &k[3], at(40.0, 239.0, 20.0))
        .with("card", &k[4], at(93.5, 249.0, 25.0))
        .with("card-off", &k[4], at(200.0, 200.0, 25.0))
        .with("disk", &k[5], at(205.0, 190.0, 40.0))
        .turned("disk-2", &k[5], at(300.0, 190.0, 40.0), lying)
        .with("tank", &k[6], at(330.0, 250.0, 0.5))
        .with("bent", &k[7], at(300.0, 330.0, 60.0))
        .with("bent-2", &k[7], at(310.0, 345.0, 70.0))
        .with("tank-2", &k[6], at(320.0, 372.0, 80.0))
        .cable(
            "c1",
            cable(
                None,
                at_port("fan-1", "lead"),
                at_port("board", "h1"),
                400.0,
                vec![],
            ),
        )
        .cable(
            "c2",
            cable(
                None,
                at_port("fan-2", "lead"),
                at_port("board", "h1"),
                400.0,
                vec![],
            ),
        )
        .cable(
            "c3",
            cable(
                Some("data"),
                at_port("board", "d"),
                at_port("disk", "d"),
                300.0,
                vec![],
            ),
        )
        .cable(
            "c4",
            cable(
                Some("data"),
                at_port("board", "d"),
                at_port("disk-2", "d"),
                300.0,
                vec![Via::Point(v(900.0, 800.0, 600.0))],
            ),
        )
        .beside("spare", &k[5])
}

#[test]
fn the_busy_scene_is_worth_its_name() {
    let found = all(&busy().checked());
    let rules: BTreeSet<&str> = found.iter().map(|f| f.rule).collect();
    for rule in [
        "clash",
        "tight-gap",
        "outside",
        "unheld",
        "depth-short",
        "cable-short",
        "port-twice",
        "beside",
    ] {
        assert!(rules.contains(rule), "{rule}: {rules:?}");
    }
    let keys: BTreeSet<String> = found.iter().map(Finding::key).collect();
    assert_eq!(keys.len(), found.len(), "keys are unique");
    let sorted = found
        .windows(2)
        .all(|w| (w[0].severity, w[0].rule) <= (w[1].severity, w[1].rule));
    assert!(
        sorted
            && found
                .iter()
                .all(|f| !f.text.is_empty() && !f.hint.is_empty())
    );
}

#[test]
fn putting_parts_in_in_another_order_changes_nothing() {
    let busy = busy();
    let before = all(&busy.checked());
    let (parts, places, cables) = {
        let a = busy.scene.arrangement();
        (busy.scene.parts.clone(), a.places.clone(), a.cables.clone())
    };
    let mut ids: Vec<&PartId> = parts.keys().collect();
    for turn in 0..6 {
        ids.rotate_left(5 + turn);
        ids.reverse();
        let mut other = start();
        let mut checker = other.checker();
        checker.check_all(&other.scene);
        for id in &ids {
            let touched = other.edit(Edit::AddPart {
                id: (*id).clone(),
                part: parts[*id].clone(),
                place: places.get(*id).copied(),
            });
            checker.update(&other.scene, &touched);
        }
        for (id, cable) in cables.iter().rev() {
            let touched = other.edit(Edit::SetCable(id.clone(), Some(cable.clone())));
            checker.update(&other.scene, &touched);
        }
        assert_eq!(all(&checker), before);
    }
}

/// The enclosure and every part of a scene turned and moved as one.
fn turned(build: &Build, turn: Turn, by: Vec3) -> Build {
    let mut case = (*build.scene.enclosure).clone();
    let point = |p: Vec3| turn.apply(p) + by;
    let frame = |f: &Frame| f.placed(turn, by);
    for plate in &mut case.plates {
        plate.solid = plate.solid.placed(turn, by);
        for cutout in &mut plate.cutouts {
            match cutout {
                Cutout::Rect(b) => *b = b.turned(turn).moved(by),
                Cutout::Round { centre, .. } => *centre = point(*centre),
            }
        }
    }
    for zone in &mut case.zones {
        zone.frame = frame(&zone.frame);
    }
    for opening in &mut case.openings {
        opening.frame = frame(&opening.frame);
    }
    let mut other = Build::new(case);
    other.settings = build.settings.clone();
    let a = build.scene.arrangement();
    for (id, part) in &build.scene.parts {
        let place = a.places.get(id).map(|p| Place {
            at: p.outline(&part.kind).turned(turn).moved(by).min(),
            turn: p.turn.then(turn),
            ..*p
        });
        other.edit(Edit::AddPart {
            id: id.clone(),
            part: part.clone(),
            place,
        });
    }
    for (id, cable) in &a.cables {
        let mut cable = cable.clone();
        for via in cable.plugs.iter_mut().flat_map(|p| &mut p.via) {
            if let Via::Point(p) = via {
                *p = point(*p);
            }
        }
        other.edit(Edit::SetCable(id.clone(), Some(cable)));
    }
    other
}

type Summary = (
    Severity,
    String,
    Option<closefit::geom::Length>,
    Option<i64>,
    bool,
);

/// What may not depend on where the scene stands: all but places and directions.
/// Floating point in cable lengths and slanted gaps may differ in the last
/// micrometre.
fn summary(build: &Build) -> Vec<Summary> {
    let near = |l: closefit::geom::Length| (l.as_um() + 5).div_euclid(10);
    let one = |f: Finding| {
        let needed = f.needed.filter(|_| f.rule != "cable-short");
        (
            f.severity,
            f.key(),
            needed,
            f.available.map(near),
            f.unjudged,
        )
    };
    all(&build.checked()).into_iter().map(one).collect()
}

#[test]
fn moving_the_whole_scene_changes_nothing() {
    let busy = busy();
    let before = summary(&busy);
    for by in [
        v(-311.0, 77.7, 0.001),
        v(400.0, 400.0, 400.0),
        v(0.0, -123.456, 64.0),
    ] {
        let moved = turned(&busy, Turn::NONE, by);
        assert_eq!(summary(&moved), before);
        let texts = |b: &Build| -> Vec<String> {
            all(&b.checked())
                .into_iter()
                .map(|f| format!("{} {}", f.text, f.hint))
                .collect()
        };
        assert_eq!(texts(&moved), texts(&busy));
    }
}

#[test]
fn turning_the_whole_scene_changes_nothing() {
    let busy = busy();
    let before = summary(&busy);
    for turn in Turn::all() {
        // About the middle of the outer box, which is a cube.
        let middle = v(1000.0, 1000.0, 1000.0);
        let other = turned(&busy, turn, middle - turn.apply(middle));
        assert_eq!(summary(&other), before, "{turn:?}");
    }
}

#[test]
fn rules_have_ids_titles_and_reasons() {
    let ids: BTreeSet<&str> = RULES.iter().map(|r| r.id()).collect();
    assert_eq!(ids.len(), RULES.len());
    for rule in RULES {
        assert!(
            !rule.title().is_empty() && rule.about().len() > 80,
            "{}",
            rule.id()
        );
        assert!(!rule.scopes().is_empty());
        assert_eq!(
            closefit::rules::rule(rule.id()).map(|r| r.id()),
            Some(rule.id())
        );
    }
}
