//! Parts that stand closer together, or closer to a plate, than their kinds want.

use super::common::{mounted_on, names, part};
use super::opening_missed::meets_opening_in;
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::geom::{Box3, Length, Solid, Vec3};
use crate::model::{PairClass, Space};
use crate::placement::{Gap, PlacedPart, between};

/// See [`Rule::about`].
pub(super) struct TightGap;

impl Rule for TightGap {
    fn id(&self) -> &'static str {
        "tight-gap"
    }

    fn title(&self) -> &'static str {
        "Gap too tight"
    }

    fn about(&self) -> &'static str {
        "Parts are never quite as drawn, fingers need room and blades need air: the table of pair \
         classes (assets/rules.json) gives the least gap between two groups of parts, or between a \
         group and a plate, with the reason and source of each figure. The first class that fits \
         decides; a gap of exactly that figure is enough. Parts that hold each other are excused, \
         and so is a part from the plate that it is mounted on or that has the opening its face \
         meets. What overlaps is for the rules on clashes and on the enclosure."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Pair, Scope::Wall]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        match anchor {
            Anchor::Pair(a, b) => {
                let Some(class) = facts.settings.pair(a.group, b.group) else {
                    return;
                };
                if class.gap <= Length::ZERO || facts.placed.holds_each_other(&a.id, &b.id) {
                    return;
                }
                let theirs = b.of(Space::Solid).map(|p| (&p.solid, p.bounds));
                let near = nearest(a, theirs, &b.span, class.gap);
                let (x, y) = names(a, b);
                out.extend(report(near, class, vec![part(a), part(b)], &x, &y));
            }
            Anchor::Wall(p, plate) => {
                let Some(class) = facts.settings.wall(p.group) else {
                    return;
                };
                if class.gap <= Length::ZERO
                    || mounted_on(facts.placed, &p.id, plate)
                    || meets_opening_in(facts, p, plate)
                {
                    return;
                }
                let near = nearest(p, plate.pieces(), &plate.bounds, class.gap);
                let subjects = vec![part(p), Subject::Plate(plate.id.clone())];
                out.extend(report(near, class, subjects, &p.name, &plate.name));
            }
            _ => {}
        }
    }
}

/// How near two bodies come.
enum Near {
    /// Not nearer than the gap wanted, or overlapping.
    Fine,
    /// This near, between these points.
    At(Length, Vec3, Vec3),
    /// Not known.
    Unjudged(String),
}

fn nearest<'a>(
    p: &PlacedPart,
    others: impl Iterator<Item = (&'a Solid, Box3)>,
    around: &Box3,
    gap: Length,
) -> Near {
    let mut reach = gap;
    let mut found = Near::Fine;
    let around = around.grown(gap);
    let own: Vec<_> = p
        .of(Space::Solid)
        .filter(|q| q.bounds.overlaps(&around))
        .collect();
    for (solid, bounds) in others {
        let wide = bounds.grown(gap);
        for piece in own.iter().filter(|q| q.bounds.overlaps(&wide)) {
            match between(&piece.solid, solid, reach) {
                Gap::Overlap { .. } => return Near::Fine,
                Gap::Apart { distance, from, to } if distance < reach => {
                    reach = distance;
                    found = Near::At(distance, from, to);
                }
                Gap::Unjudged(why) => {
                    if matches!(found, Near::Fine) {
                        found = Near::Unjudged(why);
                    }
                }
                Gap::Apart { .. } | Gap::Beyond => {}
            }
        }
    }
    found
}

fn report(
    near: Near,
    class: &PairClass,
    subjects: Vec<Subject>,
    x: &str,
    y: &str,
) -> Option<Finding> {
    match near {
        Near::Fine => None,
        Near::At(gap, from, to) => {
            let text = format!(
                "{x} and {y}: gap {} mm, wanted {} mm ({})",
                gap.text1(),
                class.gap.text1(),
                class.reason
            );
            Some(
                Finding::new("tight-gap", Severity::Caution, subjects, text)
                    .figures(class.gap, gap)
                    .at(Box3::new(from, to))
                    .mark(FindingMark::Gap { from, to })
                    .hint(format!("Move them {} mm apart.", (class.gap - gap).text1())),
            )
        }
        Near::Unjudged(why) => {
            let text = format!("the gap of {x} and {y} was not judged: {why}");
            Some(
                Finding::unjudged("tight-gap", subjects, text)
                    .hint(format!("Keep {} mm between them.", class.gap.text1())),
            )
        }
    }
}
