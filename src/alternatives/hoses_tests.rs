//! Hoses with known ways out: drawn straight, and the half circle.

use super::*;
use crate::build::{Build, at_port, block, cable, catalogue, cid, l, port, v};
use crate::geom::Vec3;
use crate::model::{CaptiveLead, Group, PartKind, Role, Section, System};
use std::f64::consts::PI;

fn end(id: &str, group: Group, ports: &[(&str, &str, f64)]) -> PartKind {
    let mut kind = block(id, group, [10.0, 40.0, 10.0]);
    let at = |out: &str, y: f64| v(if out == "+x" { 10.0 } else { 0.0 }, y, 5.0);
    let made = ports
        .iter()
        .map(|(id, out, y)| port(id, "hose-end", at(out, *y), out, Role::Both));
    kind.ports = made.collect();
    kind
}

/// A radiator at x 300 whose hoses of this length leave to +x, and a block at `at` whose
/// ends look to `out`. Fittings are 20 long on the block, nothing on the radiator.
fn bench(hoses: &[(&str, f64, f64)], block: &[(&str, &str, f64)], at: Vec3) -> Build {
    let looks: Vec<(&str, &str, f64)> = hoses.iter().map(|h| (h.0, "+x", h.2)).collect();
    let mut radiator = end("radiator", Group::Radiator, &looks);
    for (port, hose) in radiator.ports.iter_mut().zip(hoses) {
        port.lead = Some(CaptiveLead {
            length: l(hose.1),
            section: Section::Round(l(10.0)),
            bend: l(36.0),
        });
    }
    let [x, y, z] = at.as_mm();
    let mut scene = Build::open()
        .with("r", &radiator, [300.0, 300.0, 300.0])
        .with("b", &end("pump", Group::Block, block), [x, y, z]);
    let mut connector = catalogue().connectors["host"].clone();
    connector.id = "hose-end".into();
    (connector.plug[2], connector.straight) = (l(20.0), l(0.0));
    scene
        .catalogue
        .connectors
        .insert("hose-end".into(), connector);
    scene
}

fn hose(from: &str, to: &str, length: f64) -> Cable {
    let mut hose = cable(None, at_port("r", from), at_port("b", to), length, vec![]);
    (hose.system, hose.bend) = (System::Liquid, l(36.0));
    hose.section = Section::Round(l(10.0));
    hose
}

fn of(build: &Build, id: &str) -> Vec<Alternative> {
    let checker = build.checked();
    let short = Shortfall::all(&checker, Some(&cid(id)));
    assert_eq!(short.len(), 1, "one hose does not lie");
    find(&build.scene, &checker, &short[0], MOST_TRIALS, &|| false)
}

fn reached(build: &Build, edits: &[Edit]) -> usize {
    let mut then = build.clone();
    for edit in edits {
        then.edit(edit.clone());
    }
    then.found("hose-reach").len()
}

#[test]
fn a_hose_drawn_straight_says_how_far_its_ends_have_to_come_nearer() {
    // From x 310 to 520, 210 apart, 20 of it the fitting: a hose of 200 lacks 10.
    let far = bench(
        &[("h", 200.0, 5.0)],
        &[("h", "-x", 5.0)],
        v(520.0, 300.0, 300.0),
    )
    .cable("c", hose("h", "h", 200.0));
    let all = of(&far, "c");
    let moves: Vec<&str> = all.iter().map(|a| a.words.as_str()).collect();
    assert!(
        moves.contains(&"Move pump by 10.0 mm to the left.")
            && moves.contains(&"Move radiator by 10.0 mm to the right."),
        "{moves:?}"
    );
    // It is drawn straight then: no other move of so little ends it.
    for a in &all {
        assert_eq!(reached(&far, &a.edits), 0, "{}", a.words);
        assert!(a.moved >= l(10.0) && a.needed == l(200.0) && a.available == l(200.0));
    }
}

#[test]
fn a_hose_that_kinks_lies_once_its_half_circle_is_wide_enough() {
    // Both look to +x, the block 20 behind: of all curves that turn round, the half circle bends
    // least, with pi times its radius of hose. So much for 37 is bent tighter where its ends
    // stand 60 apart, and lies once they are at most 74 apart.
    let length = ((PI * 37.0 + 20.0) * 1000.0).round() / 1000.0;
    let mut kinks = bench(
        &[("h", length, 5.0)],
        &[("h", "+x", 5.0)],
        v(280.0, 360.0, 300.0),
    )
    .cable("c", hose("h", "h", length));
    let (_, place) = kinks
        .scene
        .placed(&crate::build::pid("r"))
        .expect("it is placed");
    let mut locked = *place;
    locked.locked = true;
    kinks.edit(Edit::SetPlace(crate::build::pid("r"), Some(locked)));
    let all = of(&kinks, "c");
    let aside = all
        .iter()
        .any(|a| a.words.starts_with("Move pump by 1") && a.words.contains("back"));
    assert!(aside, "{all:?}");
    for a in &all {
        assert_eq!(reached(&kinks, &a.edits), 0, "{}", a.words);
        // A tenth of a millimetre less and it kinks still.
        let back = a.edits.iter().map(|e| match e {
            Edit::SetPlace(id, Some(place)) => {
                let was = kinks.scene.placed(id).expect("it is placed").1;
                let step = place.at - was.at;
                let less = |d: Length| match d.as_um().signum() {
                    0 => Length::ZERO,
                    sign => Length::um(sign * 100),
                };
                let at = place.at - Vec3::new(less(step.x), less(step.y), less(step.z));
                Edit::SetPlace(id.clone(), Some(crate::model::Place { at, ..*place }))
            }
            other => other.clone(),
        });
        let back: Vec<Edit> = back.collect();
        assert_eq!(reached(&kinks, &back), 1, "{}", a.words);
    }
}

#[test]
fn hoses_that_cross_exchange_their_ends() {
    // Ends 20 apart on both; straight across 180 is all there is, the diagonal is longer.
    let crossed = bench(
        &[("a", 180.5, 5.0), ("b", 180.5, 35.0)],
        &[("a", "-x", 5.0), ("b", "-x", 35.0)],
        v(490.0, 300.0, 300.0),
    )
    .cable("one", hose("a", "b", 180.5))
    .cable("two", hose("b", "a", 180.5));
    let all = of(&crossed, "one");
    assert_eq!(all[0].how, How::Port, "{all:?}");
    assert_eq!(reached(&crossed, &all[0].edits), 0);
    assert_eq!(all[0].ends.len(), 2, "both lie then");
}

#[test]
fn a_loose_hose_is_taken_in_a_length_at_which_it_lies() {
    let mut far = bench(
        &[("h", 100.0, 5.0)],
        &[("h", "-x", 5.0)],
        v(520.0, 300.0, 300.0),
    );
    // A kind of its own, cut at three lengths; both its ends have a fitting of 20.
    let mut kind =
        (*far.catalogue.cables[&crate::model::CableKindId::new("data").expect("sound")]).clone();
    kind.id = crate::model::CableKindId::new("hose").expect("sound");
    (kind.from, kind.to) = ("hose-end".into(), "hose-end".into());
    (kind.system, kind.bend, kind.section) = (System::Liquid, l(36.0), Section::Round(l(10.0)));
    kind.lengths = vec![l(150.0), l(205.0), l(230.0)];
    let id = kind.id.clone();
    far.catalogue
        .cables
        .insert(id.clone(), std::sync::Arc::new(kind));
    let mut radiator = end("radiator", Group::Radiator, &[("h", "+x", 5.0)]);
    radiator.id = far.scene.parts[&crate::build::pid("r")].kind.id.clone();
    far = far.with("q", &radiator, [300.0, 500.0, 300.0]);
    far = far.with(
        "p",
        &end("other", Group::Block, &[("h", "-x", 5.0)]),
        [520.0, 500.0, 300.0],
    );
    let mut loose = hose("h", "h", 150.0);
    (loose.from, loose.plugs[0].to) = (at_port("q", "h"), at_port("p", "h"));
    loose.kind = Some(id);
    // 210 from face to face: 150 is too short; drawn through by 20, 230 lies.
    let far = far.cable("c", loose);
    let all = of(&far, "c");
    assert_eq!(all[0].how, How::Length, "{all:?}");
    assert_eq!(all[0].words, "Take 230 mm of it.");
    assert_eq!(reached(&far, &all[0].edits), 0);
}
