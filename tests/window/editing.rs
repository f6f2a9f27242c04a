//! The editor used like a user: gestures, undo, refusals, cables.

use crate::desk;

use closefit::editor::tool::{Event, Tool};
use closefit::geom::{Axis, Dir, Length, Vec3};
use closefit::model::{PartId, Via};
use closefit::view::ViewKind::{Front, Side, Top};
use desk::*;

#[test]
fn a_fan_from_the_shelf_snaps_where_its_holes_land() {
    let mut e = desk();
    // Somewhere over the front fan place, not exactly in its middle.
    let id = drop_part(&mut e, "fan-120x25", at(Front, 143, 0, 94), false);
    let (part, place) = e.scene().placed(&id).expect("placed");
    let o = place.outline(&part.kind);
    // Zone middle x 150, z 100; the fan's face lies on the plate at y 2.
    assert_eq!(o.centre().x, Length::mm(150));
    assert_eq!(o.centre().z, Length::mm(100));
    assert_eq!((o.min().y, o.max().y), (Length::mm(2), Length::mm(27)));
    let holds = e.checker().placed().holds(&id);
    assert_eq!(holds.first().map(|h| (h.matched, h.of)), Some((4, 4)));
}

#[test]
fn a_plate_drilled_for_two_fan_sizes_takes_both() {
    // Pitches 105 and 124.5 (de facto fan patterns, mechanical reference section 3).
    for kind in ["fan-120x25", "fan-140x25"] {
        let mut e = desk();
        let id = drop_part(&mut e, kind, at(Front, 150, 0, 100), false);
        let holds = e.checker().placed().holds(&id);
        assert_eq!(holds.first().map(|h| h.matched), Some(4), "{kind}");
    }
}

#[test]
fn a_zone_that_cannot_take_a_part_says_why_in_millimetres() {
    let mut e = desk();
    let fan = kind(&e, "fan-92x25");
    e.handle(Event::Take(fan));
    e.handle(moved(at(Front, 150, 0, 100), false));
    let Tool::Placing(p) = e.tool() else {
        panic!("still held")
    };
    let why = p.refusal().expect("the zone under the pointer refuses");
    assert!(why.contains("82.5") && why.contains("105"), "{why}");
    e.handle(Event::Cancel);
    assert!(e.scene().parts.is_empty());
}

#[test]
fn one_drag_is_one_undo_step_and_escape_leaves_none() {
    let mut e = desk();
    let id = drop_part(&mut e, "fan-120x25", at(Top, 150, 150, 0), true);
    let before = e.scene().clone();
    e.handle(pressed(at(Top, 150, 150, 0), &id, false));
    for i in 0..20 {
        e.handle(moved(at(Top, 150 + i, 150 + 2 * i, 0), true));
    }
    e.handle(Event::Release);
    assert_ne!(*e.scene(), before);
    assert_eq!(e.undo().as_deref(), Some("move"));
    assert_eq!(*e.scene(), before);
    let steps = e.history().labels().count();

    e.handle(pressed(at(Top, 150, 150, 0), &id, false));
    e.handle(moved(at(Top, 20, 20, 0), true));
    assert_ne!(*e.scene(), before);
    e.handle(Event::Cancel);
    assert_eq!(*e.scene(), before);
    assert_eq!(e.history().labels().count(), steps);
}

#[test]
fn a_shelf_drag_that_leaves_the_sheet_leaves_nothing() {
    let mut e = desk();
    let fan = kind(&e, "fan-120x25");
    e.handle(Event::Take(fan));
    e.handle(moved(at(Top, 150, 150, 0), true));
    assert_eq!(e.scene().parts.len(), 1);
    e.leave_sheet();
    assert!(e.scene().parts.is_empty());
    e.handle(Event::Release);
    assert!(e.history().is_clean());
}

#[test]
fn findings_follow_a_drag_and_an_undo() {
    let mut e = desk();
    let a = drop_part(&mut e, "drive-35x26", at(Top, 100, 150, 0), true);
    let b = drop_part(&mut e, "drive-35x26", at(Top, 220, 150, 0), true);
    let clash = |e: &closefit::editor::Editor| keys(e).iter().any(|k| k.starts_with("clash:"));
    assert!(!clash(&e));
    e.handle(pressed(at(Top, 220, 150, 0), &b, false));
    e.handle(moved(at(Top, 180, 150, 0), true));
    assert!(clash(&e), "the clash shows during the drag: {:?}", keys(&e));
    e.handle(Event::Release);
    e.undo();
    assert!(!clash(&e));
    e.redo();
    assert!(clash(&e));
    assert!(e.scene().placed(&a).is_some());
}

#[test]
fn moving_in_one_view_keeps_the_coordinate_across_it() {
    let mut e = desk();
    let id = drop_part(&mut e, "drive-25x7", at(Top, 100, 100, 0), true);
    let z = e.scene().placed(&id).expect("placed").1.at.z;
    drag(&mut e, &id, at(Top, 100, 100, 0), at(Top, 130, 90, 0), true);
    let place = *e.scene().placed(&id).expect("placed").1;
    assert_eq!(place.at.z, z);
    drag(
        &mut e,
        &id,
        at(Side, 0, 100, 10),
        at(Side, 0, 100, 60),
        true,
    );
    let lifted = *e.scene().placed(&id).expect("placed").1;
    assert_eq!((lifted.at.x, lifted.at.y), (place.at.x, place.at.y));
    assert_eq!(lifted.at.z, place.at.z + Length::mm(50));
}

#[test]
fn four_quarter_turns_bring_a_part_back() {
    let mut e = desk();
    let id = drop_part(&mut e, "supply-sfx-100", at(Top, 150, 150, 0), true);
    let before = *e.scene().placed(&id).expect("placed").1;
    for axis in Axis::ALL {
        for _ in 0..4 {
            assert!(e.turn(axis, 1));
        }
        let after = e.scene().placed(&id).expect("placed").1;
        // The middle of an odd size falls between micrometres: half of one is lost.
        let off = after.at - before.at;
        assert!(off.x.abs().max(off.y.abs()).max(off.z.abs()) <= Length::um(4));
        assert_eq!(after.turn, before.turn);
    }
}

#[test]
fn nudging_and_typing_move_exactly() {
    let mut e = desk();
    let id = drop_part(&mut e, "drive-25x7", at(Top, 100, 100, 0), true);
    let x = e.scene().placed(&id).expect("placed").1.at.x;
    assert!(e.nudge(Dir::PosX, Length::um(100)));
    assert_eq!(
        e.scene().placed(&id).expect("placed").1.at.x,
        x + Length::um(100)
    );
    assert!(e.set_coordinate(&id, Axis::X, Length::um(12_345)));
    assert_eq!(
        e.scene().placed(&id).expect("placed").1.at.x,
        Length::um(12_345)
    );
    assert_eq!(e.undo().as_deref(), Some("move"));
}

#[test]
fn a_locked_part_stays() {
    let mut e = desk();
    let id = drop_part(&mut e, "drive-25x7", at(Top, 100, 100, 0), true);
    assert!(e.set_locked(true));
    let before = e.scene().clone();
    assert!(!e.nudge(Dir::PosX, Length::mm(1)));
    assert!(!e.delete());
    drag(
        &mut e,
        &id,
        at(Top, 100, 100, 0),
        at(Top, 200, 200, 0),
        true,
    );
    assert_eq!(*e.scene(), before);
}

#[test]
fn what_is_mounted_moves_along_and_a_copy_stands_beside() {
    let mut e = desk();
    let board = drop_part(&mut e, "board-mini-itx-78", at(Top, 120, 150, 0), true);
    let (kind, place) = {
        let (p, place) = e.scene().placed(&board).expect("placed");
        (p.kind.clone(), *place)
    };
    let zone = kind
        .zones
        .iter()
        .find(|z| z.id == "processor")
        .expect("a socket");
    let socket = place.point(
        &kind,
        zone.frame.point(zone.size[0].half(), zone.size[1].half()),
    );
    let over = closefit::editor::snap::Pointer {
        view: Top,
        at: socket,
        near: Length::mm(10),
    };
    let cooler = drop_part(&mut e, "cooler-low-47", over, false);
    assert_eq!(
        e.checker().placed().carried(&board),
        std::slice::from_ref(&cooler)
    );
    let was = e.scene().placed(&cooler).expect("placed").1.at;
    e.select([board]);
    assert!(e.move_by(Vec3::mm(0, 7, 0)));
    assert_eq!(
        e.scene().placed(&cooler).expect("placed").1.at,
        was + Vec3::mm(0, 7, 0)
    );
    let n = e.scene().parts.len();
    assert!(e.duplicate());
    assert_eq!(e.scene().parts.len(), n + 1);
}

#[test]
fn only_matching_ports_take_a_cable_and_the_others_say_why() {
    let mut e = desk();
    let board = drop_part(&mut e, "board-mini-itx-78", at(Top, 120, 180, 0), true);
    let drive = drop_part(&mut e, "drive-25x7", at(Top, 240, 60, 0), true);
    let sata = e.scene().parts[&board]
        .kind
        .ports
        .iter()
        .find(|p| p.connector == "sata-data-host")
        .expect("a SATA header")
        .id
        .clone();
    let why = e
        .choices(&port(&board, &sata), &port(&drive, "power"))
        .expect_err("data does not feed power");
    assert!(why.len() > 10, "{why}");
    let cable = e
        .join(&port(&board, &sata), &port(&drive, "data"))
        .expect("a data lead");
    let run = &e.checker().runs()[&cable];
    assert!(run.needed > Length::mm(100) && run.needed < Length::mm(500));
    assert!(run.available >= run.needed);
    assert_eq!(
        e.history().undo_label().map(|l| l.starts_with("add")),
        Some(true)
    );
    // The port is taken now.
    let drive2 = drop_part(&mut e, "drive-25x7", at(Top, 240, 160, 0), true);
    let why = e
        .choices(&port(&board, &sata), &port(&drive2, "data"))
        .expect_err("taken");
    assert!(why.contains("taken"), "{why}");
}

#[test]
fn a_detour_lengthens_a_cable_and_removing_a_part_takes_it_off() {
    let mut e = desk();
    let board = drop_part(&mut e, "board-mini-itx-78", at(Top, 120, 180, 0), true);
    let fan = drop_part(&mut e, "fan-120x25", at(Front, 150, 0, 100), false);
    let header = e.scene().parts[&board]
        .kind
        .ports
        .iter()
        .find(|p| p.connector == "fan-4pin")
        .expect("a fan header")
        .id
        .clone();
    let id = e
        .join(&port(&fan, "lead"), &port(&board, &header))
        .expect("the fan's own lead");
    let straight = e.checker().runs()[&id].needed;
    assert!(e.add_via(&id, 0, Via::Tie("t1".to_owned())));
    assert!(e.checker().runs()[&id].needed > straight);
    assert!(e.remove_via(&id, 0, 0));
    assert_eq!(e.checker().runs()[&id].needed, straight);
    e.select([fan]);
    assert!(e.delete());
    assert!(e.scene().arrangement().cables.is_empty());
    assert!(e.checker().runs().is_empty());
    e.undo();
    assert_eq!(e.scene().arrangement().cables.len(), 1);
}

#[test]
fn an_accepted_finding_keeps_its_reason() {
    let mut e = desk();
    drop_part(&mut e, "drive-25x7", at(Top, 100, 100, 0), true);
    let key = keys(&e).into_iter().next().expect("no screw holds it");
    assert!(e.accept(&key, Some("lies in foam")));
    assert!(!keys(&e).contains(&key));
    let accepted = e.scene().arrangement().accepted[&key].clone();
    assert_eq!(accepted.reason, "lies in foam");
    assert!(accepted.severity.is_some());
    e.undo();
    assert!(keys(&e).contains(&key));
}

#[test]
fn the_selection_never_names_a_missing_part() {
    let mut e = desk();
    let id = drop_part(&mut e, "drive-25x7", at(Top, 100, 100, 0), true);
    assert!(e.selection().has(&id));
    e.undo();
    assert!(e.selection().is_empty());
    e.select([PartId::new("nobody").expect("an id")]);
    assert!(e.selection().is_empty());
}

#[test]
fn a_band_selects_what_it_touches() {
    let mut e = desk();
    let a = drop_part(&mut e, "drive-25x7", at(Top, 60, 80, 0), true);
    let b = drop_part(&mut e, "drive-25x7", at(Top, 200, 80, 0), true);
    e.handle(Event::Press {
        pointer: at(Top, 5, 5, 0),
        target: closefit::editor::tool::Target::Sheet,
        add: false,
    });
    e.handle(moved(at(Top, 70, 100, 0), false));
    e.handle(Event::Release);
    assert!(e.selection().has(&a) && !e.selection().has(&b));
}
