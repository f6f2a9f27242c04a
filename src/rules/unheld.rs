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
