//! Findings do not depend on where the whole scene stands, on which hand it is
//! built, on the names and order of its parts, or on the way it came about.

use crate::build;
mod mirror;

use build::{
    Build, at_port, block, cable, cid, enclosure, fan, frame, l, pid, piece, plate, port, square,
    v, zone,
};
use closefit::edit::Edit;
use closefit::geom::{Axis, Box3, Dir, Length, Solid, Turn, Vec3};
use closefit::model::{
    Cutout, Enclosure, Frame, Group, PartKind, Place, Role, Space, System, Vent, Via,
};
use closefit::rules::{Checker, Finding};
use mirror::mirrored;
use proptest::prelude::*;

/// Kinds with every space, shape, port and rating that a rule looks at.
fn kinds() -> Vec<PartKind> {
    let mut board = block("board", Group::Board, [120.0, 100.0, 6.0]);
    board.ports = vec![
        port("a", "host", v(20.0, 30.0, 6.0), "+z", Role::Source),
        port("b", "fan-4pin", v(90.0, 70.0, 6.0), "+z", Role::Source),
    ];
    let hand = Solid::Box(Box3::at(v(10.0, 20.0, 6.0), v(20.0, 20.0, 40.0)));
    board.body.push(piece(hand, Space::Reach, "hand"));
    let mut blowing = fan(80.0, 71.5, 25.0);
    blowing.blows = Some(Dir::PosZ);
    let mut supply = block("supply", Group::Supply, [90.0, 100.0, 60.0]);
    let air = Solid::Box(Box3::at(v(0.0, 0.0, 60.0), v(90.0, 100.0, 12.7)));
    supply.body.push(piece(air, Space::KeepOut, "air"));
    let mut drive = block("drive", Group::Drive, [100.0, 70.0, 20.0]);
    drive.ports = vec![port("data", "drive", v(30.0, 70.0, 5.0), "+y", Role::Sink)];
    drive.ratings.sound_db = Some(28.0);
    drive.ratings.up = vec![Dir::PosZ];
    drive.patterns = vec![build::pattern(
        "foot",
        frame(v(50.0, 35.0, 0.0), "+x", "-y", "-z"),
        square(50.0, [0.0, 0.0], 3.4, None),
        4,
    )];
    let mut cooler = block("cooler", Group::Cooler, [60.0, 50.0, 90.0]);
    cooler.blows = Some(Dir::PosX);
    cooler.ratings.mass_g = Some(800.0);
    let mut round = block("round", Group::Block, [60.0, 60.0, 40.0]);
    round.body = vec![build::solid(Solid::Cylinder {
        axis: Axis::Z,
        base: v(30.0, 30.0, 0.0),
        radius: l(30.0),
        height: l(40.0),
    })];
    round.ratings.draws_w = Some(6.0);
    round.ports = vec![port("h", "hose-end", v(30.0, 0.0, 20.0), "-y", Role::Both)];
    let mut wedge = block("wedge", Group::Bracket, [50.0, 40.0, 30.0]);
    wedge.body = vec![build::solid(Solid::Extrusion {
        axis: Axis::Y,
        low: l(0.0),
        high: l(40.0),
        // p, q run along z, x.
        outline: vec![[l(0.0), l(0.0)], [l(30.0), l(0.0)], [l(0.0), l(50.0)]],
        holes: vec![],
    })];
    let mut card = block("card", Group::Card, [20.0, 120.0, 70.0]);
    card.ratings.mass_g = Some(1200.0);
    let mut radiator = block("radiator", Group::Radiator, [140.0, 80.0, 30.0]);
    radiator.ports = vec![port("h", "hose-end", v(0.0, 25.0, 15.0), "-x", Role::Both)];
    vec![
        board, blowing, supply, drive, cooler, round, wedge, card, radiator,
    ]
}

/// A large box with a shelf that has a round and a square opening, a ledge, a
/// filter, and two fields of holes on the shelf; nothing at its outer walls.
fn case() -> Enclosure {
    let mut case = enclosure([1000.0, 1000.0, 1000.0]);
    let mut shelf = plate("shelf", [250.0, 250.0, 300.0], [400.0, 400.0, 2.0]);
    shelf.cutouts = vec![
        Cutout::Round {
            centre: v(330.0, 330.0, 300.0),
            diameter: l(90.0),
        },
        Cutout::Rect(Box3::at(v(450.0, 450.0, 300.0), v(120.0, 100.0, 2.0))),
    ];
    case.plates = vec![
        shelf,
        plate("ledge", [240.0, 250.0, 250.0], [3.0, 300.0, 200.0]),
    ];
    case.vents = vec![Vent {
        id: "dust".into(),
        frame: frame(v(300.0, 500.0, 300.0), "+x", "+y", "-z"),
        size: [l(100.0), l(100.0)],
        free: 0.5,
        filter: true,
        filter_outside: false,
    }];
    for (id, x) in [("one", 260.0), ("two", 361.0)] {
        let face = frame(v(x, 500.0, 302.0), "+x", "+y", "+z");
        let mut field = zone(id, face, [100.0, 70.0], 0.0, &[Group::Drive]);
        field.holes = square(50.0, [50.0, 35.0], 3.0, Some("M3"));
        case.zones.push(field);
    }
    case
}

/// A scene out of numbers: parts near one another, some in the fields of holes,
/// leads between those that have ports.
fn scene(choices: &[u32]) -> Build {
    let kinds = kinds();
    let turns = Turn::all();
    let mut build = Build::new(case())
        .gap(Some(Group::Drive), Some(Group::Drive), false, 3.0)
        .gap(None, None, false, 5.0)
        .gap(None, None, true, 2.0);
    let mut ports: Vec<(String, String)> = Vec::new();
    for (i, choice) in choices.iter().enumerate() {
        let id = format!("p{i:02}");
        let pick = |shift: u32, of: usize| (choice >> shift) as usize % of;
        let kind = &kinds[pick(0, kinds.len())];
        let (at, turn) = if kind.group == Group::Drive && pick(4, 3) > 0 {
            // In a field, off its holes by up to 0.1.
            let x = [260.0, 361.0][pick(6, 2)] + pick(8, 3) as f64 * 0.05;
            ([x, 500.0, 302.0], Turn::NONE)
        } else {
            let along = |shift| 250.0 + pick(shift, 61) as f64 * 5.1;
            ([along(6), along(13), along(20)], turns[pick(26, 24)])
        };
        ports.extend(kind.ports.iter().map(|p| (id.clone(), p.id.clone())));
        build = build.turned(&id, kind, at, turn);
    }
    for (i, pair) in ports.chunks_exact(2).enumerate() {
        let [(a, p), (b, q)] = pair else { continue };
        let via = vec![Via::Point(v(400.0, 410.0, 700.0))];
        let mut lead = cable(None, at_port(a, p), at_port(b, q), 900.0, via);
        if p == "h" && q == "h" {
            lead.system = System::Liquid;
        }
        build = build.cable(&format!("c{i:02}"), lead);
    }
    build
}

/// What a finding says, without where and in which words.
type Said = (String, &'static str, Option<Length>, Option<Length>, bool);

fn said(f: &Finding) -> Said {
    let severity = f.severity.name();
    (f.key(), severity, f.needed, f.available, f.unjudged)
}

fn all(build: &Build) -> Vec<Said> {
    list(&build.checked())
}

fn list(checker: &Checker) -> Vec<Said> {
    let mut found: Vec<Said> = checker.findings().into_iter().map(said).collect();
    found.sort();
    found
}

// --- moving ---

fn moved(build: &Build, by: Vec3) -> Build {
    let shift = |f: &mut Frame| f.origin += by;
    let mut case = (*build.scene.enclosure).clone();
    for p in &mut case.plates {
        p.solid = p.solid.placed(Turn::NONE, by);
        for c in &mut p.cutouts {
            match c {
                Cutout::Rect(b) => *b = b.moved(by),
                Cutout::Round { centre, .. } => *centre += by,
            }
        }
    }
    case.zones.iter_mut().for_each(|z| shift(&mut z.frame));
    case.vents.iter_mut().for_each(|z| shift(&mut z.frame));
    rebuilt(
        build,
        case,
        |_| None,
        |_, place| Place {
            at: place.at + by,
            ..*place
        },
        |p| p + by,
    )
}

/// The same scene over another enclosure, with other kinds, places and points.
fn rebuilt(
    build: &Build,
    case: Enclosure,
    kind: impl Fn(&PartKind) -> Option<PartKind>,
    place: impl Fn(&PartKind, &Place) -> Place,
    point: impl Fn(Vec3) -> Vec3,
) -> Build {
    let mut other = Build::new(case);
    other.settings = build.settings.clone();
    for (id, part) in &build.scene.parts {
        let mut part = part.clone();
        let at = &build.scene.arrangement().places[id];
        let at = place(&part.kind, at);
        if let Some(kind) = kind(&part.kind) {
            part.kind = std::sync::Arc::new(kind);
        }
        other.edit(Edit::AddPart {
            id: id.clone(),
            part,
            place: Some(at),
        });
    }
    for (id, lead) in &build.scene.arrangement().cables {
        let mut lead = lead.clone();
        for plug in &mut lead.plugs {
            for via in &mut plug.via {
                if let Via::Point(p) | Via::Corner(p) = via {
                    *p = point(*p);
                }
            }
        }
        other.edit(Edit::SetCable(id.clone(), Some(lead)));
    }
    other
}

fn choices() -> impl Strategy<Value = Vec<u32>> {
    prop::collection::vec(any::<u32>(), 2..14)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(160))]

    #[test]
    fn moving_the_whole_scene_changes_no_finding(
        choices in choices(),
        by in prop::array::uniform3(-200_000i64..200_000),
    ) {
        let build = scene(&choices);
        let [x, y, z] = by.map(Length::um);
        prop_assert_eq!(all(&moved(&build, Vec3::new(x, y, z))), all(&build));
    }

    #[test]
    fn building_it_on_the_other_hand_changes_no_finding(choices in choices()) {
        let build = scene(&choices);
        prop_assert_eq!(all(&mirrored(&build)), all(&build));
    }

    #[test]
    fn the_way_it_came_about_changes_no_finding(
        choices in choices(),
        order in any::<prop::sample::Index>(),
        detours in prop::collection::vec(any::<u32>(), 0..8),
    ) {
        // Parts are put in from another one on, with the leads before and after
        // them, and are dragged about on the way.
        let build = scene(&choices);
        let mut other = Build::new((*build.scene.enclosure).clone());
        other.settings = build.settings.clone();
        let mut checker = other.checked();
        let ids: Vec<_> = build.scene.parts.keys().cloned().collect();
        let from = order.index(ids.len());
        let mut edits: Vec<Edit> = Vec::new();
        for id in ids[from..].iter().chain(&ids[..from]) {
            let part = build.scene.parts[id].clone();
            let place = build.scene.arrangement().places[id];
            let mut away = place;
            away.at += v(13.0, -7.0, 21.0);
            edits.push(Edit::AddPart { id: id.clone(), part, place: Some(away) });
            edits.push(Edit::SetPlace(id.clone(), Some(place)));
        }
        let leads = &build.scene.arrangement().cables;
        edits.extend(leads.iter().map(|(id, c)| Edit::SetCable(id.clone(), Some(c.clone()))));
        for detour in detours {
            let id = &ids[detour as usize % ids.len()];
            let place = build.scene.arrangement().places[id];
            let mut away = place;
            away.at.x += Length::um(i64::from(detour >> 8) % 90_000);
            away.at.z -= Length::um(i64::from(detour >> 16) % 40_000);
            edits.push(Edit::SetPlace(id.clone(), Some(away)));
            edits.push(Edit::SetPlace(id.clone(), None));
            edits.push(Edit::SetPlace(id.clone(), Some(place)));
        }
        // Taking a part's place takes its leads as well.
        for (id, c) in leads {
            edits.push(Edit::SetCable(id.clone(), None));
            edits.push(Edit::SetCable(id.clone(), Some(c.clone())));
        }
        for edit in edits {
            let touched = other.edit(edit);
            checker.update(&other.scene, &touched);
        }
        prop_assert_eq!(list(&checker), all(&build));
    }

    #[test]
    fn other_names_in_another_order_change_no_finding(choices in choices()) {
        // p00 becomes the last name and so on; keys are read back to the old names.
        let build = scene(&choices);
        let n = build.scene.parts.len();
        let new = |old: &str| {
            let i: usize = old[1..].parse().expect("a number");
            format!("p{:02}", n - 1 - i)
        };
        let mut other = Build::new((*build.scene.enclosure).clone());
        other.settings = build.settings.clone();
        for (id, part) in &build.scene.parts {
            let place = build.scene.arrangement().places[id];
            other.edit(Edit::AddPart {
                id: pid(&new(id.as_str())),
                part: part.clone(),
                place: Some(place),
            });
        }
        for (id, lead) in &build.scene.arrangement().cables {
            let mut lead = lead.clone();
            lead.from.part = pid(&new(lead.from.part.as_str()));
            for plug in &mut lead.plugs {
                plug.to.part = pid(&new(plug.to.part.as_str()));
            }
            other.edit(Edit::SetCable(cid(id.as_str()), Some(lead)));
        }
        let renamed = |key: &str| -> String {
            let Some((rule, subjects)) = key.split_once(':') else { return key.to_owned() };
            let mut subjects: Vec<String> = subjects
                .split('+')
                .map(|s| match s.split_once(':') {
                    Some((kind, rest)) if !kind.starts_with('p') || kind == "plate" => {
                        format!("{kind}:{rest}")
                    }
                    Some((part, rest)) => format!("{}:{rest}", new(part)),
                    None => new(s),
                })
                .collect();
            subjects.sort();
            format!("{rule}:{}", subjects.join("+"))
        };
        let mut found = all(&other);
        for f in &mut found {
            f.0 = renamed(&f.0);
        }
        found.sort();
        prop_assert_eq!(found, all(&build));
    }
}

#[test]
fn the_scenes_of_these_tests_have_findings_of_many_rules() {
    let mut rules = std::collections::BTreeSet::new();
    let mut seed = 1u32;
    for _ in 0..150 {
        let mut next = || {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            seed ^ (seed >> 13)
        };
        let choices: Vec<u32> = (0..12).map(|_| next()).collect();
        let checker = scene(&choices).checked();
        rules.extend(checker.findings().iter().map(|f| f.rule));
    }
    for rule in [
        "clash",
        "tight-gap",
        "gap-uncertain",
        "outside",
        "unheld",
        "space-blocked",
        "plug-space",
        "fan-air",
        "exhaust-intake",
        "pump-high",
        "hose-top",
        "drive-turn",
        "card-sag",
        "cooler-heavy",
        "filter-reach",
        "cable-short",
    ] {
        assert!(rules.contains(rule), "{rule} is never found: {rules:?}");
    }
}
