//! Swapping a part for another of its kind.

use crate::build;

use build::{Build, at_port, cable, cid, enclosure, fan, frame, l, pid, port, radiator, square, v};
use closefit::editor::Editor;
use closefit::geom::Length;
use closefit::model::{Group, PartKind, Role, Scene};
use std::sync::Arc;

fn editor(build: Build) -> Editor {
    Editor::new(
        Arc::new(build.catalogue),
        Arc::new(build.settings),
        build.scene,
    )
}

/// A box with one zone at its front that takes fans of the given hole pitches, the
/// middle of the zone at x = z = 100.
fn front(pitches: &[f64]) -> Build {
    let mut case = enclosure([400.0, 400.0, 300.0]);
    let out = frame(v(20.0, 2.0, 20.0), "+x", "+z", "+y");
    let mut zone = build::zone(
        "front",
        out,
        [160.0; 2],
        60.0,
        &[Group::Fan, Group::Radiator],
    );
    for pitch in pitches {
        zone.holes.extend(square(*pitch, [80.0, 80.0], 4.3, None));
    }
    case.zones = vec![zone];
    Build::new(case)
}

/// The fan turned so that its face lies on the front zone.
fn front_fan(build: Build, kind: &PartKind) -> Editor {
    let mut e = editor(build);
    let offers =
        closefit::placement::offers(e.scene(), e.checker().placed(), kind, &Default::default());
    let place = offers.iter().find_map(|o| match &o.outcome {
        closefit::placement::Outcome::Fits { place, .. } => Some(*place),
        closefit::placement::Outcome::Refused(_) => None,
    });
    let kind = Arc::new(kind.clone());
    e.add_part(&kind, Some(place.expect("the zone takes it")))
        .expect("it is added");
    e
}

fn holes(e: &Editor, id: &str) -> usize {
    let holds = e.checker().placed().holds(&pid(id));
    holds.first().map_or(0, |h| h.matched)
}

#[test]
fn a_thinner_and_a_larger_fan_keep_their_zone() {
    // Hole pitches 105 and 124.5 of 120 and 140 mm fans: common practice of the trade.
    let mut e = front_fan(front(&[105.0, 124.5]), &fan(120.0, 105.0, 25.0));
    let before = e.scene().clone();
    assert_eq!(holes(&e, "fan"), 4);
    let said = e
        .swap(&pid("fan"), &Arc::new(fan(120.0, 105.0, 15.0)), false)
        .expect("it is swapped");
    assert_eq!((said.kept.len(), said.lost.len()), (1, 0), "{said:?}");
    assert_eq!(said.kept[0], "its place on front: 4 holes");
    assert_eq!(holes(&e, "fan"), 4);
    assert_eq!(e.scene().placed(&pid("fan")).unwrap().1.at.y, l(2.0));
    let said = e
        .swap(&pid("fan"), &Arc::new(fan(140.0, 124.5, 25.0)), false)
        .expect("it is swapped");
    assert!(said.lost.is_empty(), "{said:?}");
    // 140 about the same middle: 100 - 70 = 30.
    let at = e.scene().placed(&pid("fan")).unwrap().1.at;
    assert_eq!((at.x, at.z, holes(&e, "fan")), (l(30.0), l(30.0), 4));
    e.undo();
    e.undo();
    assert_eq!(*e.scene(), before);
}

#[test]
fn a_fan_without_holes_there_says_so_and_keeps_its_middle() {
    let mut e = front_fan(front(&[105.0]), &fan(120.0, 105.0, 25.0));
    let said = e
        .swap(&pid("fan"), &Arc::new(fan(140.0, 124.5, 38.0)), false)
        .expect("it is swapped");
    assert!(said.kept.is_empty() && said.lost.len() == 1, "{said:?}");
    assert!(said.lost[0].starts_with("its screw holes: "), "{said:?}");
    let (part, place) = e.scene().placed(&pid("fan")).unwrap();
    let outline = place.outline(&part.kind);
    assert_eq!(
        (outline.centre().x, outline.centre().z),
        (l(100.0), l(100.0))
    );
    assert_eq!(outline.min().y, l(2.0), "its face stays on the zone");
}

#[test]
fn what_is_mounted_on_a_radiator_goes_with_its_face() {
    let (thin, thick) = (radiator(2, 27.0), radiator(2, 45.0));
    let one = fan(120.0, 105.0, 25.0);
    // Fans stand on the upper face, at z = 27.
    let b = Build::open()
        .with("rad", &thin, [50.0, 50.0, 0.0])
        .with("fan-a", &one, [70.0, 50.0, 27.0])
        .with("fan-b", &one, [190.0, 50.0, 27.0]);
    let mut e = editor(b);
    assert_eq!(e.checker().placed().carried(&pid("rad")).len(), 2);
    let said = e
        .swap(&pid("rad"), &Arc::new(thick), false)
        .expect("it is swapped");
    assert_eq!(said.lost, [""; 0]);
    let at = |e: &Editor, id: &str| e.scene().placed(&pid(id)).unwrap().1.at;
    assert_eq!(at(&e, "fan-a"), v(70.0, 50.0, 45.0));
    assert_eq!(at(&e, "fan-b"), v(190.0, 50.0, 45.0));
    assert_eq!((holes(&e, "fan-a"), holes(&e, "fan-b")), (4, 4));
    // One section: one fan finds its holes, the other one does not and says so.
    let said = e
        .swap(&pid("rad"), &Arc::new(radiator(1, 27.0)), false)
        .expect("it is swapped");
    assert_eq!(said.lost.len(), 1, "{said:?}");
    assert!(said.lost[0].contains("stays where it was"), "{said:?}");
}

fn drive(ports: &[(&str, &str)], size: [f64; 3]) -> PartKind {
    let mut kind = build::block("drive", Group::Drive, size);
    kind.id = closefit::model::KindId::new(&format!("drive-{}-{}", size[0], ports.len()))
        .expect("a sound id");
    kind.ports = ports
        .iter()
        .map(|(id, connector)| port(id, connector, v(0.0, 5.0, 5.0), "-x", Role::Sink))
        .collect();
    kind
}

#[test]
fn cables_go_to_ports_of_the_same_connector() {
    let mut board = build::block("board", Group::Board, [20.0; 3]);
    board.ports = vec![
        port("p1", "host", v(0.0, 5.0, 5.0), "-x", Role::Source),
        port("p2", "fan-4pin", v(0.0, 15.0, 5.0), "-x", Role::Source),
    ];
    let old = drive(&[("data", "drive"), ("aux", "fan-4pin")], [100.0; 3]);
    let lead = |from, to| {
        cable(
            None,
            at_port("board", from),
            at_port("drive", to),
            300.0,
            vec![],
        )
    };
    let b = Build::open()
        .with("board", &board, [300.0, 0.0, 0.0])
        .with("drive", &old, [10.0, 10.0, 10.0])
        .cable("c1", lead("p1", "data"))
        .cable("c2", lead("p2", "aux"));
    let mut e = editor(b);
    e.accept("port-twice:drive:data", Some("as built"));
    // The same connector under another name, and no second one.
    let new = drive(&[("link", "drive")], [69.0; 3]);
    let said = e
        .swap(&pid("drive"), &Arc::new(new), false)
        .expect("swapped");
    let cables = &e.scene().arrangement().cables;
    assert_eq!(cables[&cid("c1")].plugs[0].to, at_port("drive", "link"));
    assert!(!cables.contains_key(&cid("c2")));
    assert!(
        said.lost.iter().any(|t| t.contains("taken off")),
        "{said:?}"
    );
    let accepted = &e.scene().arrangement().accepted;
    assert_eq!(
        accepted.keys().collect::<Vec<_>>(),
        ["port-twice:drive:link"]
    );
}

#[test]
fn a_lead_of_its_own_is_the_new_parts_lead() {
    let mut board = build::block("board", Group::Board, [20.0; 3]);
    board.ports = vec![port("h", "fan-4pin", v(0.0, 5.0, 5.0), "-x", Role::Source)];
    let mut long = fan(140.0, 124.5, 25.0);
    long.ports[0].lead.as_mut().expect("its lead").length = l(600.0);
    let b = Build::open()
        .with("board", &board, [300.0, 0.0, 0.0])
        .with("fan", &fan(120.0, 105.0, 25.0), [10.0, 10.0, 10.0])
        .cable(
            "c",
            cable(
                None,
                at_port("fan", "lead"),
                at_port("board", "h"),
                400.0,
                vec![],
            ),
        );
    let mut e = editor(b);
    e.swap(&pid("fan"), &Arc::new(long), false)
        .expect("swapped");
    assert_eq!(
        e.scene().arrangement().cables[&cid("c")].plugs[0].length,
        Length::mm(600)
    );
}

#[test]
fn a_swap_stays_in_the_arrangement_at_hand_unless_asked() {
    let mut e = front_fan(front(&[105.0]), &fan(120.0, 105.0, 25.0));
    e.branch();
    let thin = Arc::new(fan(120.0, 105.0, 15.0));
    let thick = |e: &Editor, i: usize| e.scene().kind_in(i, &pid("fan")).unwrap().size.z;
    e.swap(&pid("fan"), &thin, false).expect("swapped");
    assert_eq!((thick(&e, 0), thick(&e, 1)), (l(25.0), l(15.0)));
    let before = e.scene().clone();
    e.swap(&pid("fan"), &thin, true)
        .expect("swapped in the other");
    assert_eq!((thick(&e, 0), thick(&e, 1)), (l(15.0), l(15.0)));
    assert_eq!(e.scene().current, 1);
    assert_eq!(e.swap(&pid("fan"), &thin, false), None);
    e.undo();
    assert_eq!(*e.scene(), before);
    e.select([pid("fan")]);
    e.set_locked(true);
    let thick = Arc::new(fan(120.0, 105.0, 25.0));
    assert_eq!(e.swap(&pid("fan"), &thick, false), None, "it is locked");
}

/// Every cable of every arrangement ends at ports that are there.
fn sound(scene: &Scene) {
    for (i, arrangement) in scene.arrangements.iter().enumerate() {
        for port in arrangement.cables.values().flat_map(|c| c.ports()) {
            let kind = scene.kind_in(i, &port.part).expect("the part is there");
            assert!(kind.port(&port.port).is_some(), "{port}");
        }
    }
}

/// Every part of the first example, for a spread of the kinds it could be swapped for:
/// what is said to be kept is found by the placement, and undo gives the scene back.
#[test]
fn every_part_of_an_example_can_be_swapped_and_put_back() {
    let (catalogue, settings) = closefit::cli::assets().expect("sound assets");
    let scene = closefit::cli::scene(None, &catalogue).expect("a sound example");
    let mut e = Editor::new(catalogue, settings, scene.clone());
    e.branch();
    let before = e.scene().clone();
    let ids: Vec<_> = before.parts.keys().cloned().collect();
    let mut swapped = 0;
    for id in &ids {
        let all = e.swaps(id);
        for candidate in all.iter().take(2).chain(all.last()) {
            let Some(said) = e.swap(id, &candidate.kind, false) else {
                continue;
            };
            swapped += 1;
            sound(e.scene());
            if let Ok(Some(matched)) = candidate.seat {
                let words = format!(": {matched} hole");
                assert!(said.kept[0].contains(&words), "{id}: {said:?}");
                let found = e
                    .checker()
                    .placed()
                    .holds(id)
                    .iter()
                    .any(|h| h.matched == matched);
                assert!(found, "{id} as {}", candidate.kind.name);
            }
            e.undo();
            assert_eq!(*e.scene(), before, "{id}");
        }
    }
    assert!(swapped > 20, "{swapped}");
}
