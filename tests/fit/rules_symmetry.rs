//! What holds for all rules together: moving or turning a whole scene, or putting
//! its parts in in another order, changes nothing.

use crate::build;
use crate::busy;

use build::{Build, v};
use busy::{all, busy, start};
use closefit::edit::Edit;
use closefit::geom::{Dir, Turn, Vec3};
use closefit::model::{Cutout, Frame, PartId, Place, Via};
use closefit::rules::{Finding, RULES, Severity};
use std::collections::BTreeSet;

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
            if let Via::Point(p) | Via::Corner(p) = via {
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
        let floats = ["cable-short", "way-blocked"];
        let needed = f.needed.filter(|_| !floats.contains(&f.rule));
        (
            f.severity,
            f.key(),
            needed,
            f.available.map(near),
            f.unjudged,
        )
    };
    // The outer box stays at the origin, whatever moves: what leaves it may differ.
    let leaves = |f: &Finding| f.rule == "way-blocked" && f.subjects.len() == 1;
    let found = all(&build.checked()).into_iter();
    found.filter(|f| !leaves(f)).map(one).collect()
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
            let of = |f: Finding| {
                // Where a way is blocked is said by its coordinates; by how much is compared above.
                let text = match f.rule {
                    "way-blocked" => f.text.split(" at (").next().unwrap_or_default().to_owned(),
                    _ => f.text.clone(),
                };
                format!("{text} {}", f.hint)
            };
            let leaves = |f: &Finding| f.rule == "way-blocked" && f.subjects.len() == 1;
            let found = all(&b.checked()).into_iter();
            found.filter(|f| !leaves(f)).map(of).collect()
        };
        assert_eq!(texts(&moved), texts(&busy));
    }
}

/// Rules that ask which way is up; a scene on its side has other findings of these.
const UPRIGHT: [&str; 4] = ["card-sag", "drive-turn", "hose-top", "pump-high"];

/// Findings that may not depend on which way is up.
fn level(found: Vec<Summary>) -> Vec<Summary> {
    let mut found = found;
    found.retain(|f| !UPRIGHT.iter().any(|rule| f.1.starts_with(rule)));
    found
}

#[test]
fn turning_the_whole_scene_changes_nothing() {
    let busy = busy();
    let before = summary(&busy);
    for turn in Turn::all() {
        // About the middle of the outer box, which is a cube.
        let middle = v(1000.0, 1000.0, 1000.0);
        let other = turned(&busy, turn, middle - turn.apply(middle));
        if turn.dir(Dir::PosZ) == Dir::PosZ {
            assert_eq!(summary(&other), before, "{turn:?}");
        }
        assert_eq!(level(summary(&other)), level(before.clone()), "{turn:?}");
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
