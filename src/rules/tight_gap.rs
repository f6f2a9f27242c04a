//! Parts that stand closer together, or closer to a plate, than their kinds want.

use super::common::{mounted_on, names, part};
use super::nearest::{Near, nearest};
use super::opening_missed::meets_opening_in;
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::geom::{Box3, Length};
use crate::model::{PairClass, Space};

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
                let theirs = b.of(Space::Solid).map(|p| &p.body);
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
                let near = nearest(p, plate.bodies().iter(), &plate.bounds, class.gap);
                let subjects = vec![part(p), Subject::Plate(plate.id.clone())];
                out.extend(report(near, class, subjects, &p.name, &plate.name));
            }
            _ => {}
        }
    }
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
        Near::At(gap, [from, to], _) => {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block, enclosure, fan, l, plate, radiator};
    use crate::model::Group;

    fn pair(gap: f64) -> Build {
        let fan = fan(120.0, 105.0, 25.0);
        let tower = block("tower", Group::Cooler, [60.0, 120.0, 150.0]);
        Build::open()
            .gap(Some(Group::Fan), Some(Group::Cooler), false, 5.0)
            .gap(None, None, false, 1.0)
            .with("fan", &fan, [0.0, 0.0, 0.0])
            .with("tower", &tower, [120.0 + gap, 0.0, 0.0])
    }

    #[test]
    fn the_gap_wanted_is_enough_and_a_micrometre_less_is_not() {
        pair(5.0).expect("tight-gap", &[]);
        let found = pair(4.999).only("tight-gap");
        assert_eq!(found.key(), "tight-gap:fan+tower");
        assert_eq!(
            (found.needed, found.available),
            (Some(l(5.0)), Some(l(4.999)))
        );
    }

    #[test]
    fn touching_is_a_gap_of_zero_and_overlap_is_left_to_the_clash() {
        let found = pair(0.0).only("tight-gap");
        assert_eq!(found.available, Some(Length::ZERO));
        assert_eq!(
            found.text,
            "fan 120x25 and tower: gap 0.0 mm, wanted 5.0 mm (as wanted)"
        );
        let over = pair(-1.0);
        over.expect("tight-gap", &[]);
        over.expect("clash", &["clash:fan+tower"]);
    }

    #[test]
    fn across_a_corner_the_straight_distance_counts() {
        // 3-4-5: three and four apart on two axes is five apart (Pythagoras).
        pair(3.0)
            .moved("tower", [0.0, 124.0, 0.0])
            .expect("tight-gap", &[]);
        let nearer = pair(3.0).moved("tower", [0.0, 123.9, 0.0]);
        let found = nearer.only("tight-gap");
        assert_eq!(found.available, Some(l((9.0f64 + 3.9 * 3.9).sqrt())));
    }

    #[test]
    fn the_first_class_that_fits_decides() {
        let disk = block("disk", Group::Drive, [10.0, 10.0, 10.0]);
        let scene = pair(20.0).with("disk", &disk, [122.0, 0.0, 0.0]);
        scene.expect("tight-gap", &[]);
        let closer = scene.moved("disk", [-1.5, 0.0, 0.0]);
        closer.expect("tight-gap", &["tight-gap:disk+fan"]);
    }

    #[test]
    fn parts_that_hold_each_other_may_touch() {
        let scene = Build::open()
            .gap(None, None, false, 1.0)
            .with("rad", &radiator(1, 27.0), [0.0, 0.0, 0.0])
            .with("fan", &fan(120.0, 105.0, 25.0), [20.0, 0.0, 27.0]);
        scene.expect("tight-gap", &[]);
        // Shifted off the holes it touches without being held.
        let off = scene.moved("fan", [0.0, 3.0, 0.0]);
        off.expect("tight-gap", &["tight-gap:fan+rad"]);
    }

    #[test]
    fn a_plate_is_kept_clear_of_unless_the_part_is_mounted_on_it() {
        let mut box_ = enclosure([300.0, 300.0, 300.0]);
        box_.plates = vec![plate("lid", [0.0, 0.0, 299.0], [300.0, 300.0, 1.0])];
        let tower = block("tower", Group::Cooler, [60.0, 60.0, 150.0]);
        let scene = |gap: f64| {
            Build::new(box_.clone())
                .gap(Some(Group::Cooler), None, true, 3.0)
                .with("tower", &tower, [100.0, 100.0, 149.0 - gap])
        };
        scene(3.0).expect("tight-gap", &[]);
        let found = scene(1.5).only("tight-gap");
        assert_eq!(found.key(), "tight-gap:plate:lid+tower");
        assert_eq!(found.available, Some(l(1.5)));
    }
}
