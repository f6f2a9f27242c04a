//! Stacks that are thicker than the zone they stand in is deep.

use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::placement::Stack;

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
         rectangle) must not reach farther. Exactly the depth is enough. Figures: the zone's depth \
         and the outer sizes of the parts."
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
        if zone.depth <= crate::geom::Length::ZERO || stack.height <= zone.depth {
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
        let mut subjects = vec![Subject::Zone(id.clone())];
        subjects.extend(stack.parts.iter().cloned().map(Subject::Part));
        let middle = stack.bounds.centre();
        let (u, v, _) = zone.frame.coords(middle);
        let on_face = zone.frame.point(u, v);
        let at = |height| on_face + zone.frame.normal.times(height);
        out.push(
            Finding::new(self.id(), Severity::Stop, subjects, text)
                .figures(stack.height, zone.depth)
                .at(stack.bounds)
                .mark(FindingMark::Gap {
                    from: at(zone.depth),
                    to: at(stack.height),
                })
                .hint(format!(
                    "Take parts that are {} mm thinner together.",
                    short.text1()
                )),
        );
    }
}

fn names(facts: &Facts, stack: &Stack) -> String {
    let parts = stack.parts.iter().filter_map(|id| facts.placed.part(id));
    let names: Vec<&str> = parts.map(|p| p.name.as_str()).collect();
    match names.len() {
        0..=3 => names.join(", "),
        n => format!("{} and {} more", names[..2].join(", "), n - 2),
    }
}
