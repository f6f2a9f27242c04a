//! Stacks that are thicker than the zone they stand in is deep.

use super::outside;
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::geom::Length;
use crate::placement::Stack;
use std::collections::BTreeMap;

/// See [`Rule::about`].
pub(super) struct DepthShort;

impl Rule for DepthShort {
    fn id(&self) -> &'static str {
        "depth-short"
    }

    fn title(&self) -> &'static str {
        "Depth too short"
    }

    fn about(&self) -> &'static str {
        "A zone can say how much is free in front of its mounting face. What stands there (the parts \
         that hold to the zone and whatever is stacked on them, as far as it stands over the zone's \
         rectangle) must not reach farther. Exactly the depth is enough. What the stack runs into for \
         that alone (the lid, a wall) is said in the same finding, and not named again. Figures: the \
         zone's depth and the outer sizes of the parts."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Zone]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Zone(id, stack) = anchor else {
            return;
        };
        let Some(zone) = facts.placed.zone(id) else {
            return;
        };
        if zone.depth <= crate::geom::Length::ZERO {
            return;
        }
        if stack.height <= zone.depth {
            if !stack.complete {
                let text = format!(
                    "{}: not judged, more than {} parts hang together there",
                    facts.placed.zone_words(id),
                    stack.parts.len()
                );
                let finding = Finding::unjudged(self.id(), vec![Subject::Zone(id.clone())], text);
                out.push(
                    finding
                        .at(stack.bounds)
                        .hint("Look at the zone in all views."),
                );
            }
            return;
        }
        let short = stack.height - zone.depth;
        let text = format!(
            "{}: needs {}, {} free: {} short ({})",
            facts.placed.zone_words(id),
            stack.height.text1(),
            zone.depth.text1(),
            short.text1(),
            names(facts, stack)
        );
        let (also, marks) = runs_into(facts, stack);
        let text = text + &also;
        let mut subjects = vec![Subject::Zone(id.clone())];
        subjects.extend(stack.parts.iter().cloned().map(Subject::Part));
        let middle = stack.bounds.centre();
        let (u, v, _) = zone.frame.coords(middle);
        let on_face = zone.frame.point(u, v);
        let at = |height| on_face + zone.frame.normal.times(height);
        let finding = Finding::new(self.id(), Severity::Stop, subjects, text)
            .figures(stack.height, zone.depth)
            .at(stack.bounds)
            .mark(FindingMark::Gap {
                from: at(zone.depth),
                to: at(stack.height),
            });
        out.push(
            marks
                .into_iter()
                .take(16)
                .fold(finding, Finding::mark)
                .hint(format!(
                    "Take parts that are {} mm thinner together.",
                    short.text1()
                )),
        );
    }
}

/// What the stack runs into for being too thick, as the rule on the enclosure does not
/// name it again: a clause, and marks.
fn runs_into(facts: &Facts, stack: &Stack) -> (String, Vec<FindingMark>) {
    let parts = stack.parts.iter().filter_map(|id| facts.placed.part(id));
    let mut worst: BTreeMap<Option<String>, Length> = BTreeMap::new();
    let mut marks = Vec::new();
    for (plate, found) in parts.flat_map(|p| outside::said_of(facts, p)) {
        let deep = -found.available.unwrap_or(Length::ZERO);
        let known = worst.entry(plate).or_insert(deep);
        *known = deep.max(*known);
        marks.extend(found.marks);
    }
    let clauses: Vec<String> = worst
        .into_iter()
        .map(|(plate, deep)| match plate {
            None => format!("it sticks out of the enclosure by {} mm", deep.text1()),
            Some(plate) => format!("it stands {} mm deep in {plate}", deep.text1()),
        })
        .collect();
    let clause = match clauses.is_empty() {
        true => String::new(),
        false => format!("; {}", clauses.join(", ")),
    };
    (clause, marks)
}

fn names(facts: &Facts, stack: &Stack) -> String {
    let parts = stack.parts.iter().filter_map(|id| facts.placed.part(id));
    let names: Vec<&str> = parts.map(|p| p.name.as_str()).collect();
    match names.len() {
        0..=3 => names.join(", "),
        n => format!("{} and {} more", names[..2].join(", "), n - 2),
    }
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, enclosure, fan, frame, l, plate, radiator, square, v, zone};
    use crate::model::{Enclosure, Group};

    /// A channel under a lid: mounting face at z = 100, 55 free below it.
    fn channel() -> Enclosure {
        let mut case = enclosure([400.0, 400.0, 110.0]);
        let face = frame(v(0.0, 0.0, 100.0), "+x", "+y", "-z");
        let takes = [Group::Fan, Group::Radiator];
        let mut zone = zone("channel", face, [300.0, 150.0], 55.0, &takes);
        zone.holes = square(105.0, [100.0, 75.0], 4.0, None);
        case.zones = vec![zone];
        case
    }

    fn stack(radiator_thick: f64) -> Build {
        let rad = radiator(1, radiator_thick);
        let fan = fan(120.0, 105.0, 25.0);
        Build::new(channel())
            .with("rad", &rad, [20.0, 15.0, 100.0 - radiator_thick])
            .with("fan", &fan, [40.0, 15.0, 75.0 - radiator_thick])
    }

    #[test]
    fn a_27_mm_radiator_with_25_mm_fans_goes_into_55_and_a_38_mm_one_is_8_short() {
        // Common practice, no source; 38 + 25 - 55 = 8.
        stack(27.0).expect("depth-short", &[]);
        stack(27.0).expect("unheld", &[]);
        let found = stack(38.0).only("depth-short");
        assert_eq!(
            found.text,
            "channel: needs 63.0, 55.0 free: 8.0 short (fan 120x25, radiator 1x120 38)"
        );
        assert_eq!(
            (found.needed, found.available),
            (Some(l(63.0)), Some(l(55.0)))
        );
        assert_eq!(found.key(), "depth-short:fan+rad+zone:channel");
    }

    #[test]
    fn what_the_stack_runs_into_is_said_once() {
        // A wall 3 thick just beyond the channel, at the outer face of the enclosure.
        let build = |radiator_thick: f64, z: f64| {
            let mut case = channel();
            case.plates = vec![plate("skin", [0.0, 0.0, z], [400.0, 400.0, 3.0])];
            let rad = radiator(1, radiator_thick);
            let fan = fan(120.0, 105.0, 25.0);
            Build::new(case)
                .with("rad", &rad, [20.0, 15.0, 100.0 - radiator_thick])
                .with("fan", &fan, [40.0, 15.0, 75.0 - radiator_thick])
        };
        let short = build(38.0, 42.0);
        let found = short.only("depth-short");
        assert!(
            found.text.ends_with("; it stands 8.0 mm deep in skin"),
            "{}",
            found.text
        );
        assert_eq!(found.marks.len(), 2);
        short.expect("outside", &[]);
        // A plate inside the channel would be in the way of a thinner one as well.
        let inside = build(38.0, 44.5);
        inside.expect("outside", &["outside:fan+plate:skin"]);
        assert!(!inside.only("depth-short").text.contains("skin"));
        // And where the stack is not too thick there is nothing to be said by it.
        build(27.0, 48.5).expect("outside", &["outside:fan+plate:skin"]);
    }

    #[test]
    fn exactly_the_depth_is_enough() {
        stack(30.0).expect("depth-short", &[]);
        assert_eq!(stack(30.001).found("depth-short").len(), 1);
    }

    #[test]
    fn what_stands_beside_the_stack_does_not_count() {
        let fan = fan(120.0, 105.0, 25.0);
        // Screwed to nothing of the stack, far below it.
        let scene = stack(27.0).with("other", &fan, [40.0, 15.0, 0.0]);
        scene.expect("depth-short", &[]);
    }
}
