//! Which place a held part takes of several that it could.

use crate::desk;

use closefit::editor::Editor;
use closefit::editor::tool::Event;
use closefit::geom::{Axis, Length};
use closefit::model::{PartId, Scene};
use closefit::rules::Severity;
use closefit::view::ViewKind::Top;
use desk::*;

/// An editor over the empty two-chamber box, and the middle of its radiator channel.
fn two_chambers() -> (Editor, closefit::editor::snap::Pointer) {
    let (catalogue, settings) = assets();
    let enclosure = catalogue
        .enclosures
        .values()
        .find(|e| {
            e.zones
                .iter()
                .any(|z| z.id.contains("radiator") || z.name.contains("radiator"))
        })
        .expect("an enclosure with a radiator channel")
        .clone();
    let zone = enclosure
        .zones
        .iter()
        .find(|z| z.name.contains("radiator") || z.id.contains("radiator"))
        .expect("its channel");
    let mut middle = at(Top, 0, 0, 0);
    middle.at = zone.space().centre().with(Axis::Z, Length::ZERO);
    let scene = Scene::new("test", enclosure);
    (Editor::new(catalogue, settings, scene), middle)
}

fn stops(e: &Editor, id: &PartId) -> Vec<String> {
    let findings = e.checker().findings();
    let of_part = findings.into_iter().filter(|f| {
        f.severity == Severity::Stop
            && f.subjects
                .iter()
                .any(|s| matches!(s, closefit::rules::Subject::Part(p) if p == id))
    });
    of_part
        .map(|f| f.key())
        .filter(|k| k.starts_with("clash") || k.starts_with("outside"))
        .collect()
}

#[test]
fn a_radiator_takes_the_turn_in_which_it_goes_in() {
    let (mut e, middle) = two_chambers();
    let id = drop_part(&mut e, "radiator-2x120-27", middle, false);
    let holds = e.checker().placed().holds(&id);
    let hold = holds.first().expect("it is held");
    assert_eq!((hold.matched, hold.of), (8, 8));
    assert_eq!(stops(&e, &id), Vec::<String>::new());
}

#[test]
fn a_fan_goes_to_the_free_face_of_a_radiator() {
    let (mut e, middle) = two_chambers();
    let radiator = drop_part(&mut e, "radiator-2x120-27", middle, false);
    let (part, place) = e.scene().placed(&radiator).expect("placed");
    let outline = place.outline(&part.kind);
    let mut over = middle;
    over.at.y = outline.min().y + (outline.size().y * 3).half().half();
    let fan = drop_part(&mut e, "fan-120x25", over, false);
    assert_eq!(stops(&e, &fan), Vec::<String>::new());
    assert!(
        e.checker()
            .placed()
            .holds(&fan)
            .iter()
            .any(|h| h.zone.part.as_ref() == Some(&radiator))
    );
}

#[test]
fn a_turn_that_the_user_chose_stays() {
    let (mut e, middle) = two_chambers();
    let radiator = kind(&e, "radiator-2x120-27");
    e.handle(Event::Take(radiator));
    e.handle(moved(middle, false));
    let turn = |e: &Editor| match e.tool() {
        closefit::editor::tool::Tool::Placing(p) => p.landing.expect("over the sheet").place.turn,
        _ => panic!("held"),
    };
    let first = turn(&e);
    e.handle(Event::Turn(Axis::Z, 1));
    let second = turn(&e);
    assert_ne!(first, second);
    e.handle(moved(middle, false));
    assert_eq!(turn(&e), second);
}
