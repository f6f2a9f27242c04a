//! Solids that meet.

use super::common::{move_clear, mover, names, part, toward};
use super::overlaps::Overlaps;
use super::space_table::meeting;
use super::{Anchor, Facts, Finding, Rule, Scope, Severity};
use crate::geom::{Box3, Length};
use crate::model::Space;
use crate::placement::PlacedPart;

/// See [`Rule::about`].
pub(super) struct Clash;

impl Rule for Clash {
    fn id(&self) -> &'static str {
        "clash"
    }

    fn title(&self) -> &'static str {
        "Clash"
    }

    fn about(&self) -> &'static str {
        "Two solids cannot be in one place: where the insides of two parts meet, the build stops. \
         Touching is no clash. How deep they overlap is the shortest straight move that takes all of the \
         one out of all of the other (exact for boxes, within 0.001 mm for the rest; bodies of very many \
         pieces that cross each other in a tangle: a move that is enough). A part that is seated in another (a card in its slot, memory in its \
         socket) may overlap it inside the rectangle of the seat's zone, up to 15 mm before and \
         behind its face, and nowhere else. Spaces that parts keep clear or reach into are for another \
         rule. Figures: the bodies of the kinds, nothing else."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Pair]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Pair(a, b) = anchor else {
            return;
        };
        if !a.span.overlaps(&b.span) {
            return;
        }
        let seats = facts.placed.seat_spaces(&a.id, &b.id);
        let mut solid = Overlaps::default();
        solid.look(a, Space::Solid, b, Space::Solid, &seats);
        if let Some(depth) = solid.depth {
            out.push(overlap(facts, a, b, depth, solid));
            return;
        }
        if let Some(why) = solid.unjudged {
            let (x, y) = names(a, b);
            let text = format!("whether {x} and {y} clash was not judged: {why}");
            out.push(
                Finding::unjudged(self.id(), vec![part(a), part(b)], text)
                    .at(a.outline.intersection(&b.outline).unwrap_or(a.outline))
                    .hint("Look at the two parts in all views."),
            );
        }
    }
}

fn overlap(facts: &Facts, a: &PlacedPart, b: &PlacedPart, depth: Length, met: Overlaps) -> Finding {
    let (x, y) = names(a, b);
    let limit = met.limit_words();
    // What is less than half a tenth is given to the micrometre: 0.0 would read as none.
    let deep = match depth < Length::um(50) {
        true => depth.to_string(),
        false => depth.text1(),
    };
    let text = format!("{x} and {y} overlap by {deep} mm{limit}");
    let worst = meeting(Space::Solid, Space::Solid).severity;
    let worst = worst.unwrap_or(Severity::Stop);
    let (moving, fixed) = mover(facts.placed, a, b);
    let boxes: Vec<Box3> = fixed.of(Space::Solid).map(|p| p.bounds).collect();
    let way = move_clear(moving, &boxes, &facts.placed.enclosure().outline());
    let mut finding =
        Finding::new("clash", worst, vec![part(a), part(b)], text).figures(Length::ZERO, -depth);
    match way {
        Some((by, dir, edit)) => {
            finding = finding.hint(format!(
                "Move {} {} mm {}.",
                if moving.id == a.id { &x } else { &y },
                by.text1(),
                toward(dir)
            ));
            finding.fix = Some(vec![edit]);
        }
        None => finding = finding.hint("Give one of them another place, or turn it."),
    }
    met.mark(finding)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block, frame, l, pattern, seat, solid, v, zone};
    use crate::geom::{Axis, Solid};
    use crate::model::Group;

    fn cube(id: &str) -> crate::model::PartKind {
        block(id, Group::Drive, [100.0, 50.0, 20.0])
    }

    #[test]
    fn apart_and_touching_are_no_clash() {
        let apart = Build::open().with("a", &cube("one"), [0.0, 0.0, 0.0]);
        let touching = apart.clone().with("b", &cube("two"), [100.0, 0.0, 0.0]);
        touching.expect("clash", &[]);
        apart
            .with("b", &cube("two"), [200.0, 0.0, 0.0])
            .expect("clash", &[]);
    }

    #[test]
    fn one_micrometre_is_a_clash_and_the_fix_ends_it() {
        let scene = Build::open()
            .with("a", &cube("one"), [200.0, 200.0, 0.0])
            .with("b", &cube("two"), [299.999, 200.0, 0.0]);
        scene.expect("clash", &["clash:a+b"]);
        let found = scene.only("clash");
        assert_eq!(found.available, Some(-Length::um(1)));
        scene.fixed("clash");
    }

    #[test]
    fn the_sentence_has_the_depth_and_the_hint_the_way() {
        let scene = Build::open()
            .with("a", &cube("one"), [200.0, 200.0, 0.0])
            .with("b", &cube("two"), [296.8, 200.0, 0.0]);
        let found = scene.only("clash");
        assert_eq!(found.text, "one and two overlap by 3.2 mm");
        assert_eq!(found.hint, "Move two 3.2 mm to the right.");
        assert_eq!(found.severity, Severity::Stop);
    }

    #[test]
    fn a_part_inside_another_is_a_clash() {
        let small = block("small", Group::Other, [10.0, 10.0, 10.0]);
        let scene = Build::open()
            .with("a", &cube("one"), [200.0, 200.0, 0.0])
            .with("b", &small, [240.0, 220.0, 5.0]);
        // Out through the nearest face: 10 + 5 above or below.
        assert_eq!(scene.only("clash").available, Some(-l(15.0)));
        scene.fixed("clash");
    }

    #[test]
    fn a_locked_part_is_not_moved_by_the_fix() {
        let mut scene = Build::open()
            .with("a", &cube("one"), [200.0, 200.0, 0.0])
            .with("b", &cube("two"), [296.0, 200.0, 0.0]);
        let mut place = scene.scene.arrangement().places[&crate::build::pid("b")];
        place.locked = true;
        scene.edit(crate::edit::Edit::SetPlace(
            crate::build::pid("b"),
            Some(place),
        ));
        assert_eq!(scene.only("clash").hint, "Move one 4.0 mm to the left.");
        scene.fixed("clash");
    }

    #[test]
    fn the_corner_of_a_box_passes_a_cylinder_that_its_bounds_would_meet() {
        let mut round = block("round", Group::Other, [100.0, 100.0, 20.0]);
        round.body = vec![solid(Solid::Cylinder {
            axis: Axis::Z,
            base: v(50.0, 50.0, 0.0),
            radius: l(50.0),
            height: l(20.0),
        })];
        // The corner at 45 degrees lies 50 (sqrt 2 - 1) = 20.71 outside the
        // circle (closed form), so 14.6 in on both axes stays clear.
        let scene = |by: f64| {
            Build::open().with("a", &round, [200.0, 200.0, 0.0]).with(
                "b",
                &cube("two"),
                [300.0 - by, 300.0 - by, 0.0],
            )
        };
        scene(14.6).expect("clash", &[]);
        scene(14.7).expect("clash", &["clash:a+b"]);
    }

    fn board() -> crate::model::PartKind {
        let mut board = block("board", Group::Board, [200.0, 200.0, 12.0]);
        let mut slot = zone(
            "slot",
            frame(v(90.0, 50.0, 5.0), "+x", "+y", "+z"),
            [20.0, 89.0],
            0.0,
            &[Group::Card],
        );
        slot.holes = vec![seat("key", "edge", 10.0, 14.5)];
        board.zones = vec![slot];
        board
    }

    fn card(long: f64) -> crate::model::PartKind {
        let mut card = block("card", Group::Card, [1.6, long, 100.0]);
        let edge = frame(v(0.8, 14.5, 0.0), "+x", "+y", "-z");
        card.patterns = vec![pattern(
            "edge",
            edge,
            vec![seat("key", "edge", 0.0, 0.0)],
            1,
        )];
        card
    }

    #[test]
    fn a_seated_card_may_reach_into_its_slot_and_nowhere_else() {
        let place = [99.2, 50.0, 5.0];
        let seated =
            Build::open()
                .with("board", &board(), [0.0, 0.0, 0.0])
                .with("card", &card(80.0), place);
        seated.expect("clash", &[]);
        // Longer than the slot's zone, it cuts into the board beyond it.
        let long = Build::open().with("board", &board(), [0.0, 0.0, 0.0]).with(
            "card",
            &card(120.0),
            place,
        );
        long.expect("clash", &["clash:board+card"]);
        // Off its seat it is a clash like any other.
        let off = seated.moved("card", [0.0, 3.0, 0.0]);
        off.expect("clash", &["clash:board+card"]);
    }

    fn outlined(corners: &[[f64; 2]]) -> crate::model::PartKind {
        let mut kind = block("plate", Group::Other, [100.0, 100.0, 20.0]);
        kind.body = vec![solid(Solid::Extrusion {
            axis: Axis::Z,
            low: Length::ZERO,
            high: l(20.0),
            outline: corners.iter().map(|p| p.map(l)).collect(),
            holes: vec![],
        })];
        kind
    }

    #[test]
    fn beside_the_slope_of_an_outline_there_is_room() {
        let wedge = outlined(&[[0.0, 0.0], [100.0, 0.0], [0.0, 100.0]]);
        let scene = |x: f64| {
            Build::open()
                .with("a", &wedge, [0.0, 0.0, 0.0])
                .with("b", &cube("two"), [x, x, 0.0])
        };
        scene(50.0).expect("clash", &[]);
        // Across the slope by sqrt 2 mm (closed form).
        let found = scene(49.0).only("clash");
        assert_eq!(found.available, Some(-l(2.0f64.sqrt())));
    }

    #[test]
    fn shapes_that_cannot_be_judged_say_so() {
        let bow = outlined(&[[0.0, 0.0], [100.0, 100.0], [100.0, 0.0], [0.0, 100.0]]);
        let scene = Build::open().with("a", &bow, [0.0, 0.0, 0.0]).with(
            "b",
            &cube("two"),
            [90.0, 90.0, 0.0],
        );
        let found = scene.only("clash");
        assert!(found.unjudged && found.severity == Severity::Remark);
    }
}
