//! Parts that no screw or seat holds.

use super::common::part;
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::model::{HoleShape, Pattern};
use crate::placement::{Hold, PlacedPart, Support};

/// See [`Rule::about`].
pub(super) struct Unheld;

impl Rule for Unheld {
    fn id(&self) -> &'static str {
        "unheld"
    }

    fn title(&self) -> &'static str {
        "Not held"
    }

    fn about(&self) -> &'static str {
        "Every part has to be held by the enclosure, directly or through other parts: by as many of \
         its holes (or seats) as its kind needs, matched with the holes of a zone by their places, \
         with the play that the screw leaves. A part into whose own holes a held part is screwed (a \
         radiator on its fans) is held as well. What only rests on an unheld part is not reported \
         again. Hole patterns: the standards named by the kinds; how many are needed: common \
         practice, no source."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Part]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Part(p) = anchor else {
            return;
        };
        if facts.placed.support(&p.id) != Some(Support::Loose) {
            return;
        }
        let Some(pattern) = p.patterns.iter().find(|q| !q.holes.is_empty()) else {
            let text = format!(
                "whether {} is held was not judged: its kind has no mounting holes",
                p.name
            );
            out.push(
                Finding::unjudged(self.id(), vec![part(p)], text)
                    .at(p.outline)
                    .hint("Add its holes to the kind, or accept this with the reason."),
            );
            return;
        };
        let best = facts.placed.holds(&p.id).first();
        let finding = match best {
            None => none(p, pattern),
            Some(hold) if hold.suffices() => ring(p),
            Some(hold) => some(facts, p, hold),
        };
        out.push(finding.at(p.outline));
    }
}

fn none(p: &PlacedPart, pattern: &Pattern) -> Finding {
    let text = format!("no screw holds {}", p.name);
    let finding = Finding::new("unheld", Severity::Stop, vec![part(p)], text);
    let finding = rings(finding, pattern, &[]);
    finding.hint("Move it so that its holes lie on those of a zone; it snaps there.")
}

/// It holds to parts that in the end hold to it.
fn ring(p: &PlacedPart) -> Finding {
    let text = format!("{} is held only by parts that nothing else holds", p.name);
    Finding::new("unheld", Severity::Stop, vec![part(p)], text)
        .hint("Screw one of them to the enclosure.")
}

fn some(facts: &Facts, p: &PlacedPart, hold: &Hold) -> Finding {
    let zone = facts.placed.zone_words(&hold.zone);
    let text = format!(
        "{}: {} of {} holes match {zone}, {} needed",
        p.name, hold.matched, hold.of, hold.needs
    );
    let subjects = vec![part(p), Subject::Zone(hold.zone.clone())];
    let finding = Finding::new("unheld", Severity::Caution, subjects, text)
        .hint("Move it to where more of its holes match, or add holes to the zone.");
    match p.patterns.iter().find(|q| q.id == hold.pattern) {
        Some(pattern) => {
            let met: Vec<&str> = hold.pairs.iter().map(|(own, _)| own.as_str()).collect();
            rings(finding, pattern, &met)
        }
        None => finding,
    }
}

/// A ring at each hole that has no screw.
fn rings(mut finding: Finding, pattern: &Pattern, met: &[&str]) -> Finding {
    for hole in &pattern.holes {
        if met.contains(&hole.label.as_str()) {
            continue;
        }
        let seat = matches!(hole.shape, HoleShape::Seat { .. });
        finding = finding.mark(FindingMark::Ring {
            at: pattern.frame.point(hole.u, hole.v),
            normal: pattern.frame.normal,
            diameter: if seat {
                crate::geom::Length::ZERO
            } else {
                hole.diameter
            },
        });
    }
    finding
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{
        Build, block, enclosure, fan, frame, hole, pattern, radiator, square, v, zone,
    };
    use crate::model::Group;

    /// A floor zone with the holes of a 120 fan about (100, 100).
    fn drilled() -> crate::model::Enclosure {
        let mut case = enclosure([400.0, 400.0, 400.0]);
        let face = frame(v(0.0, 0.0, 10.0), "+x", "+y", "+z");
        let mut floor = zone("floor", face, [400.0, 400.0], 0.0, &[Group::Fan]);
        floor.holes = square(105.0, [100.0, 100.0], 4.5, None);
        case.zones = vec![floor];
        case
    }

    #[test]
    fn on_its_holes_it_is_held_and_beyond_the_play_of_the_screws_it_is_not() {
        let fan = fan(120.0, 105.0, 25.0);
        let at = |x: f64| Build::new(drilled()).with("fan", &fan, [x, 40.0, 10.0]);
        at(40.0).expect("unheld", &[]);
        // Holes of 4.3 and 4.5 with a #8 (4.166): (0.134 + 0.334) / 2 = 0.234.
        at(40.234).expect("unheld", &[]);
        at(40.235).expect("unheld", &["unheld:fan"]);
        assert_eq!(at(45.0).only("unheld").text, "no screw holds fan 120x25");
    }

    #[test]
    fn too_few_holes_are_counted() {
        let mut case = drilled();
        case.zones[0].holes.truncate(2);
        let scene = Build::new(case).with("fan", &fan(120.0, 105.0, 25.0), [40.0, 40.0, 10.0]);
        let found = scene.only("unheld");
        assert_eq!(found.text, "fan 120x25: 2 of 4 holes match floor, 4 needed");
        assert_eq!(found.key(), "unheld:fan+zone:floor");
        assert_eq!(found.marks.len(), 2);
        assert_eq!(found.severity, Severity::Caution);
    }

    #[test]
    fn a_radiator_hangs_on_fans_and_only_the_root_of_what_floats_is_named() {
        let fan = fan(120.0, 105.0, 25.0);
        let stack = |z: f64| {
            Build::new(drilled())
                .with("fan", &fan, [40.0, 40.0, z])
                .with("rad", &radiator(1, 27.0), [20.0, 40.0, z + 25.0])
        };
        stack(10.0).expect("unheld", &[]);
        // Each holds to the other: both are named, for neither is the root.
        stack(60.0).expect("unheld", &["unheld:fan", "unheld:rad"]);
        let mut tray = block("tray", Group::Bracket, [120.0, 120.0, 5.0]);
        let top = frame(v(0.0, 0.0, 5.0), "+x", "+y", "+z");
        let mut on_top = zone("top", top, [120.0, 120.0], 0.0, &[Group::Fan]);
        on_top.holes = square(105.0, [60.0, 60.0], 4.3, None);
        tray.zones = vec![on_top];
        let under = frame(v(0.0, 0.0, 0.0), "+x", "+y", "-z");
        tray.patterns = vec![pattern("b", under, vec![hole("1", 5.0, 5.0, 3.4, None)], 1)];
        let floating = Build::new(drilled())
            .with("tray", &tray, [200.0, 200.0, 100.0])
            .with("fan", &fan, [200.0, 200.0, 105.0]);
        floating.expect("unheld", &["unheld:tray"]);
    }

    #[test]
    fn a_kind_without_holes_is_not_passed_in_silence() {
        let scene = Build::open().with("x", &block("x", Group::Other, [5.0; 3]), [1.0; 3]);
        let found = scene.only("unheld");
        assert!(found.unjudged && found.severity == Severity::Remark);
    }
}
