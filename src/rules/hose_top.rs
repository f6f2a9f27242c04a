//! Upright radiators with their hose ends at the top.

use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::geom::{Axis, Box3, Length};
use crate::model::{Group, Space};
use crate::placement::PlacedPart;

/// The connector id of hose ends, for radiators with ends of their own.
use crate::route::hose::HOSE_END;

/// See [`Rule::about`].
pub(super) struct HoseTop;

impl Rule for HoseTop {
    fn id(&self) -> &'static str {
        "hose-top"
    }

    fn title(&self) -> &'static str {
        "Hose ends at the top"
    }

    fn about(&self) -> &'static str {
        "A radiator that stands on its end holds the air of its loop at its top. Where its hose ends \
         are up there the air goes round with the water; so they belong into the lower half, or the \
         side to fill and bleed is marked (accept the finding with where it is marked). Exactly half \
         way up is low enough. Radiators that lie or hang on a long side are not judged: their ends \
         are as high as the rest. One that stands on its end without hose ends in its kind is not \
         judged, and that is said. Common practice, no source."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Part]
    }

    fn judge(&self, _: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Part(p) = anchor else {
            return;
        };
        out.extend(look(p));
    }
}

fn look(p: &PlacedPart) -> Option<Finding> {
    // What is solid: its place may be larger.
    let own = Box3::around(p.of(Space::Solid).map(|q| &q.bounds)).unwrap_or(p.outline);
    let size = own.size();
    if p.group != Group::Radiator || size.z <= size.x.max(size.y) {
        return None;
    }
    let ends = p.ports.iter().filter(|e| {
        let kind = &p.kind.ports[e.index];
        kind.connector == HOSE_END
    });
    let Some(highest) = ends.max_by_key(|e| e.at.z) else {
        let text = format!(
            "{} stands on its end: where its hose ends are is not known, not judged",
            p.name
        );
        let subjects = vec![Subject::Part(p.id.clone())];
        let finding = Finding::unjudged("hose-top", subjects, text).at(p.outline);
        return Some(finding.hint("Give its kind the hose ends."));
    };
    // Twice, so that nothing is rounded.
    let twice = own.min().z + own.max().z;
    let over = highest.at.z * 2 - twice;
    if over <= Length::ZERO {
        return None;
    }
    let text = format!(
        "{} stands on its end with its hose ends {} mm above its middle",
        p.name,
        over.half().text1()
    );
    let from = highest.at;
    Some(
        Finding::new(
            "hose-top",
            Severity::Remark,
            vec![Subject::Part(p.id.clone())],
            text,
        )
        .figures(Length::ZERO, -over.half())
        .at(p.outline)
        .mark(FindingMark::Gap {
            from,
            to: from.with(Axis::Z, twice.half()),
        })
        .hint("Turn it end for end, or mark the side to bleed it at."),
    )
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, block, port, turn, v};
    use crate::geom::Turn;
    use crate::model::{Group, PartKind, Role};
    use crate::rules::Severity;

    /// A radiator along x with its hose ends at the lower x, or so far up.
    fn radiator(x: f64) -> PartKind {
        let mut kind = block("radiator", Group::Radiator, [275.0, 120.0, 27.0]);
        kind.ports = vec![port("1", "hose-end", v(x, 42.0, 13.5), "-x", Role::Both)];
        kind
    }

    fn stands(x: f64, turned: Turn) -> Build {
        Build::open().turned("rad", &radiator(x), [0.0; 3], turned)
    }

    #[test]
    fn ends_below_the_middle_or_at_it_pass_and_above_it_are_a_remark() {
        // x up: ends at x = 0 are at the bottom.
        stands(0.0, turn("+z", "+y")).expect("hose-top", &[]);
        stands(137.5, turn("+z", "+y")).expect("hose-top", &[]);
        let found = stands(0.0, turn("-z", "+y")).only("hose-top");
        assert_eq!(found.severity, Severity::Remark);
        assert!(found.text.ends_with("137.5 mm above its middle"));
        stands(137.501, turn("+z", "+y")).expect("hose-top", &["hose-top:rad"]);
    }

    #[test]
    fn without_hose_ends_it_says_so() {
        let mut kind = radiator(0.0);
        kind.ports.clear();
        let upright = Build::open().turned("rad", &kind, [0.0; 3], turn("+z", "+y"));
        assert!(upright.only("hose-top").unjudged);
        let lying = Build::open().with("rad", &kind, [0.0; 3]);
        lying.expect("hose-top", &[]);
    }

    #[test]
    fn lying_and_on_a_long_side_it_is_not_judged() {
        stands(0.0, Turn::NONE).expect("hose-top", &[]);
        stands(0.0, turn("+x", "+z")).expect("hose-top", &[]);
    }
}
