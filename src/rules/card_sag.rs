//! Heavy cards that hang by one edge.

use super::common::above;
use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};
use crate::geom::{Axis, Dir};
use crate::model::{Group, Unit};
use crate::placement::PlacedPart;
use std::collections::BTreeSet;

/// See [`Rule::about`].
pub(super) struct CardSag;

impl Rule for CardSag {
    fn id(&self) -> &'static str {
        "card-sag"
    }

    fn title(&self) -> &'static str {
        "Card without support"
    }

    fn about(&self) -> &'static str {
        "A card that lies flat hangs by its slot and its bracket, and a heavy one bends them. Above the \
         mass allowed (assets/rules.json; common practice, no source) it wants a third hold: screws \
         of another of its hole patterns, or a holder. Exactly that mass is allowed. A card that stands on its \
         edge or on its end does not sag. A prop that is not screwed on is not seen: accept the \
         finding with it. A lying card without a mass in the catalogue is not judged, and that is \
         said."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Part]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Part(p) = anchor else {
            return;
        };
        if p.group != Group::Card || !lies(p) || held_elsewhere(facts, p) {
            return;
        }
        let subjects = vec![Subject::Part(p.id.clone())];
        let name = &p.name;
        let (mass, most) = (p.kind.ratings.mass_g, facts.settings.limits.card_mass_g);
        let (Some(mass), Some(most)) = (mass, most) else {
            let why = match mass {
                None => "its mass is not known",
                Some(_) => "no limit is set",
            };
            let text = format!("whether {name} sags was not judged: {why}");
            out.push(Finding::unjudged(self.id(), subjects, text).at(p.outline));
            return;
        };
        if mass <= most as f64 {
            return;
        }
        let said = above(mass, most as f64);
        let text = format!("{name} hangs with {said} g on slot and bracket, {most} g at most");
        out.push(
            Finding::new(self.id(), Severity::Caution, subjects, text)
                .amounts(Unit::Gram, most as f64, mass)
                .at(p.outline)
                .hint("Hold its free end, or stand the card up."),
        );
    }
}

/// True where the card's plane is level: its thinnest extent points up.
fn lies(p: &PlacedPart) -> bool {
    let size = p.kind.size;
    let thin = Axis::ALL.into_iter().min_by_key(|a| size.along(*a));
    thin.is_some_and(|a| p.place.turn.dir(Dir::new(a, true)).axis() == Axis::Z)
}

/// True where screws hold it besides slot and slot bracket: of a bracket part, or
/// in a second place.
fn held_elsewhere(facts: &Facts, p: &PlacedPart) -> bool {
    let screwed = facts
        .placed
        .holds(&p.id)
        .iter()
        .filter(|h| h.suffices() && !h.seated);
    let on_bracket = |part: &crate::model::PartId| {
        let carrier = facts.placed.part(part);
        carrier.is_some_and(|c| c.group == Group::Bracket)
    };
    let mut places = BTreeSet::new();
    for hold in screwed {
        if hold.zone.part.as_ref().is_some_and(on_bracket) {
            return true;
        }
        // Two screws of one bracket are one place, whatever they are screwed to.
        places.insert(hold.pattern.as_str());
    }
    places.len() > 1
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, block, frame, hole, pattern, pid, turn, v, zone};
    use crate::geom::Turn;
    use crate::model::{Group, PartKind};

    /// A card whose plane is across x; with a hole in its far end.
    fn card(mass: Option<f64>) -> PartKind {
        let mut kind = block("card", Group::Card, [40.0, 270.0, 110.0]);
        kind.ratings.mass_g = mass;
        let end = frame(v(20.0, 270.0, 50.0), "+x", "+z", "+y");
        kind.patterns = vec![pattern("end", end, vec![hole("e", 0.0, 0.0, 3.4, None)], 1)];
        kind
    }

    fn flat() -> Turn {
        turn("+z", "+y")
    }

    fn lying(mass: Option<f64>) -> Build {
        Build::open().turned("c", &card(mass), [0.0; 3], flat())
    }

    #[test]
    fn the_mass_allowed_is_allowed_and_a_gram_more_is_not() {
        lying(Some(900.0)).expect("card-sag", &[]);
        let found = lying(Some(901.0)).only("card-sag");
        assert_eq!(
            found.text,
            "card hangs with 901 g on slot and bracket, 900 g at most"
        );
        let upright = Build::open().with("c", &card(Some(2000.0)), [0.0; 3]);
        upright.expect("card-sag", &[]);
    }

    #[test]
    fn without_a_mass_it_says_so() {
        assert!(lying(None).only("card-sag").unjudged);
    }

    #[test]
    fn a_bracket_at_its_end_holds_it() {
        let mut holder = block("holder", Group::Bracket, [110.0, 10.0, 40.0]);
        // Its face looks at the card's end.
        let face = frame(v(0.0, 0.0, 0.0), "+x", "+z", "-y");
        let mut field = zone("end", face, [110.0, 40.0], 0.0, &[Group::Card]);
        field.holes = vec![hole("h", 60.0, 20.0, 3.0, Some("M3"))];
        holder.zones = vec![field];
        // Turned, the card's z points to -x: its hole at z = 50 lies at x = 60.
        let held = |y: f64| lying(Some(2000.0)).with("h", &holder, [0.0, y, 0.0]);
        let checked = held(270.0).checked();
        assert!(checked.placed().holds_each_other(&pid("c"), &pid("h")));
        held(270.0).expect("card-sag", &[]);
        held(275.0).expect("card-sag", &["card-sag:c"]);
    }

    #[test]
    fn two_screws_of_one_bracket_are_one_place() {
        let mut kind = card(Some(2000.0));
        let end = frame(v(20.0, 270.0, 50.0), "+x", "+z", "+y");
        let two = vec![
            hole("a", 0.0, 0.0, 3.4, None),
            hole("b", 0.0, 20.0, 3.4, None),
        ];
        kind.patterns = vec![pattern("bracket", end, two, 1)];
        // Each screw in a plate of its own.
        let slot = |z: f64| {
            let mut slot = block("slot", Group::Other, [110.0, 10.0, 15.0]);
            let face = frame(v(0.0, 0.0, 0.0), "+x", "+z", "-y");
            let mut field = zone("end", face, [110.0, 15.0], 0.0, &[Group::Card]);
            field.holes = vec![hole("h", z, 7.5, 3.0, Some("M3"))];
            slot.zones = vec![field];
            slot
        };
        let alone = Build::open().turned("c", &kind, [0.0; 3], flat());
        let placed = crate::placement::Placed::build(&alone.scene);
        let own = placed.part(&pid("c")).expect("placed");
        let holes = own.patterns[0].frame;
        let at = |v: f64| {
            holes
                .point(crate::build::l(0.0), crate::build::l(v))
                .as_mm()
        };
        let mut held = alone;
        for (id, v) in [("s1", 0.0), ("s2", 20.0)] {
            let [x, y, z] = at(v);
            held = held.with(id, &slot(55.0), [x - 55.0, y, z - 7.5]);
        }
        let placed = held.checked();
        for id in ["s1", "s2"] {
            assert!(
                placed.placed().holds_each_other(&pid("c"), &pid(id)),
                "{id}"
            );
        }
        held.expect("card-sag", &["card-sag:c"]);
    }
}
