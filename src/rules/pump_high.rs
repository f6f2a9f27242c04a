//! Pumps that stand highest in their loop.

use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::geom::{Axis, Length};
use crate::model::{Group, PartId, Space};
use crate::placement::PlacedPart;
use std::collections::{BTreeMap, BTreeSet};

/// See [`Rule::about`].
pub(super) struct PumpHigh;

impl Rule for PumpHigh {
    fn id(&self) -> &'static str {
        "pump-high"
    }

    fn title(&self) -> &'static str {
        "Pump highest in its loop"
    }

    fn about(&self) -> &'static str {
        "Air in a loop gathers at its highest point; a pump that stands there runs dry and gets loud. \
         So something else of the loop, its own tank included, has to reach at least as high as the \
         pump. A pump is a liquid block that draws power, or has a piece called 'pump'; its height is \
         that of this piece where it has one; a loop is all that liquid hoses join, parts without a \
         place left out. Of a block that stands highest and whose power is not known, and of a pump \
         that no hose joins to anything, it is said that they were not judged. Common practice, no \
         source."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Scene]
    }

    fn judge(&self, facts: &Facts, _: Anchor, out: &mut Vec<Finding>) {
        let joined = joined(facts);
        let mut seen: BTreeSet<&PartId> = BTreeSet::new();
        for start in joined.keys() {
            if seen.contains(start) {
                continue;
            }
            let mut parts: Vec<&PlacedPart> = Vec::new();
            let mut open = vec![*start];
            seen.insert(start);
            while let Some(id) = open.pop() {
                parts.extend(facts.placed.part(id));
                for next in joined.get(id).into_iter().flatten() {
                    if seen.insert(next) {
                        open.push(next);
                    }
                }
            }
            parts.sort_by_key(|p| p.index);
            for part in &parts {
                match is_pump(part) {
                    Some(true) => out.extend(look(part, &parts)),
                    // A block that is not the highest is fine, whatever it is.
                    None => out.extend(look(part, &parts).map(|_| unknown(part))),
                    Some(false) => {}
                }
            }
        }
        let alone = facts
            .index
            .pumps()
            .iter()
            .filter(|id| !joined.contains_key(id));
        out.extend(alone.filter_map(|id| facts.placed.part(id)).map(|p| {
            let text = format!(
                "whether {} is the highest point of its loop was not judged: no hose joins it",
                p.name
            );
            unjudged(p, text, "Draw its hoses.")
        }));
    }
}

/// Which part is joined to which by a hose.
fn joined<'a>(facts: &Facts<'a>) -> BTreeMap<&'a PartId, Vec<&'a PartId>> {
    let mut joined: BTreeMap<&PartId, Vec<&PartId>> = BTreeMap::new();
    let cables = &facts.scene.arrangement().cables;
    for cable in facts.index.hoses().iter().filter_map(|id| cables.get(id)) {
        for plug in &cable.plugs {
            let (a, b) = (&cable.from.part, &plug.to.part);
            joined.entry(a).or_default().push(b);
            joined.entry(b).or_default().push(a);
        }
    }
    joined
}

/// `None` where that is not known.
pub(super) fn is_pump(p: &PlacedPart) -> Option<bool> {
    if p.of(Space::Solid).any(|q| q.name == "pump") {
        return Some(true);
    }
    if p.group != Group::Block {
        return Some(false);
    }
    p.kind.ratings.draws_w.map(|w| w > 0.0)
}

fn unknown(p: &PlacedPart) -> Finding {
    let text = format!(
        "{} is the highest point of its loop; whether it is a pump is not known, not judged",
        p.name
    );
    unjudged(
        p,
        text,
        "Note the power it draws in its kind, 0 W for a plain block.",
    )
}

fn unjudged(p: &PlacedPart, text: String, hint: &str) -> Finding {
    let subjects = vec![Subject::Part(p.id.clone())];
    Finding::unjudged("pump-high", subjects, text)
        .at(p.outline)
        .hint(hint)
}

/// Top of the pump itself, and of the highest of the rest of the part.
fn tops(p: &PlacedPart) -> (Length, Option<Length>) {
    let top = |name: bool| {
        let pieces = p.of(Space::Solid).filter(|q| (q.name == "pump") == name);
        pieces.map(|q| q.bounds.max().z).max()
    };
    match top(true) {
        Some(pump) => (pump, top(false)),
        None => (top_of(p), None),
    }
}

/// Top of what is solid of a part: its place may be larger.
fn top_of(p: &PlacedPart) -> Length {
    let tops = p.of(Space::Solid).map(|q| q.bounds.max().z);
    tops.max().unwrap_or(p.outline.max().z)
}

fn look(pump: &PlacedPart, parts: &[&PlacedPart]) -> Option<Finding> {
    let (own, rest) = tops(pump);
    let others = parts.iter().filter(|p| p.id != pump.id);
    let others = others.map(|p| top_of(p));
    let highest = others.chain(rest).max()?;
    if highest >= own {
        return None;
    }
    let over = own - highest;
    let text = format!(
        "{} is the highest point of its loop by {} mm",
        pump.name,
        over.text1()
    );
    let from = pump.outline.centre().with(Axis::Z, own);
    Some(
        Finding::new(
            "pump-high",
            Severity::Caution,
            vec![Subject::Part(pump.id.clone())],
            text,
        )
        .figures(Length::ZERO, -over)
        .at(pump.outline)
        .mark(FindingMark::Gap {
            from,
            to: from.with(Axis::Z, highest),
        })
        .hint("Hang the radiator or a tank higher, or the pump lower."),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, at_port, block, cable, l, piece, port, v};
    use crate::geom::{Box3, Solid};
    use crate::model::{PartKind, Role, System};

    fn pump() -> PartKind {
        let mut kind = block("pump", Group::Block, [60.0, 60.0, 50.0]);
        kind.ratings.draws_w = Some(6.0);
        kind.ports = vec![port("a", "hose-end", v(60.0, 30.0, 20.0), "+x", Role::Both)];
        kind
    }

    fn radiator() -> PartKind {
        let mut kind = block("radiator", Group::Radiator, [30.0, 120.0, 100.0]);
        kind.ports = vec![port("a", "hose-end", v(0.0, 60.0, 20.0), "-x", Role::Both)];
        kind
    }

    /// A pump of 50 at this height, a radiator of 100 on the floor.
    fn at(kind: &PartKind, z: f64) -> Build {
        let mut hose = cable(
            None,
            at_port("pump", "a"),
            at_port("rad", "a"),
            400.0,
            vec![],
        );
        hose.system = System::Liquid;
        Build::open()
            .with("pump", kind, [0.0, 0.0, z])
            .with("rad", &radiator(), [300.0, 0.0, 0.0])
            .cable("hose", hose)
    }

    #[test]
    fn level_with_the_rest_is_low_enough_and_higher_is_not() {
        at(&pump(), 0.0).expect("pump-high", &[]);
        at(&pump(), 50.0).expect("pump-high", &[]);
        let found = at(&pump(), 50.1).only("pump-high");
        assert_eq!(found.key(), "pump-high:pump");
        assert_eq!(found.available, Some(-l(0.1)));
        assert_eq!(found.severity, Severity::Caution);
    }

    #[test]
    fn a_tank_over_the_pump_takes_the_air_and_a_plain_block_is_none() {
        let mut with_tank = pump();
        let solid = |z: f64, name: &str| {
            let b = Box3::at(v(0.0, 0.0, z), v(60.0, 60.0, 25.0));
            piece(Solid::Box(b), Space::Solid, name)
        };
        with_tank.body = vec![solid(0.0, "pump"), solid(25.0, "tank")];
        at(&with_tank, 300.0).expect("pump-high", &[]);
        let mut plain = pump();
        plain.ratings.draws_w = Some(0.0);
        at(&plain, 300.0).expect("pump-high", &[]);
    }

    #[test]
    fn a_block_of_unknown_power_matters_only_where_it_stands_highest() {
        let mut some = pump();
        some.ratings.draws_w = None;
        at(&some, 50.0).expect("pump-high", &[]);
        assert!(at(&some, 50.1).only("pump-high").unjudged);
    }

    #[test]
    fn a_pump_without_a_loop_is_not_passed_in_silence() {
        let alone = Build::open().with("pump", &pump(), [0.0; 3]);
        let found = alone.only("pump-high");
        assert!(found.unjudged && found.text.contains("no hose joins it"));
    }

    #[test]
    fn moving_the_other_end_of_the_loop_is_seen() {
        let mut build = at(&pump(), 50.0);
        let mut checker = build.checked();
        let place = crate::model::Place::at(v(300.0, 0.0, -1.0));
        let touched = build.edit(crate::edit::Edit::SetPlace(
            crate::build::pid("rad"),
            Some(place),
        ));
        checker.update(&build.scene, &touched);
        assert!(checker.findings().iter().any(|f| f.rule == "pump-high"));
    }

    #[test]
    fn what_is_solid_counts_and_not_the_size_of_the_kind() {
        // A pump of which only the lower 40 of 50 are solid, beside a radiator of 100.
        let mut low = pump();
        let solid = Box3::at(v(0.0, 0.0, 0.0), v(60.0, 60.0, 40.0));
        low.body = vec![piece(Solid::Box(solid), Space::Solid, "block")];
        at(&low, 60.0).expect("pump-high", &[]);
        assert_eq!(at(&low, 60.1).only("pump-high").available, Some(-l(0.1)));
        // A radiator of which only the lower 80 are.
        let mut build = at(&pump(), 30.1);
        let id = crate::build::pid("rad");
        let part = build.scene.parts.get_mut(&id).expect("it is there");
        let kind = std::sync::Arc::make_mut(&mut part.kind);
        let solid = Box3::at(v(0.0, 0.0, 0.0), v(30.0, 120.0, 80.0));
        kind.body = vec![piece(Solid::Box(solid), Space::Solid, "radiator")];
        assert_eq!(build.only("pump-high").available, Some(-l(0.1)));
    }
}
