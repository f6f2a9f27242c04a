//! Dust filters that cannot be got at.

use super::common::part;
use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};
use crate::geom::{Box3, Length};
use crate::model::{Group, Vent};
use crate::placement::{PlacedPart, PlacedPlate};

/// How far behind its vent's outer face a fan draws through it: sheet, filter and
/// a finger's gap (common practice, no source).
const BEHIND: Length = Length::mm(10);

/// How far a vent may lie from the plate it is in, so that it counts as its own.
const OWN: Length = Length::mm(3);

/// See [`Rule::about`].
pub(super) struct FilterReach;

impl Rule for FilterReach {
    fn id(&self) -> &'static str {
        "filter-reach"
    }

    fn title(&self) -> &'static str {
        "Filter out of reach"
    }

    fn about(&self) -> &'static str {
        "A filter before a fan fills with dust and has to be cleaned: where a fan stands up to 10 mm \
         behind a vent with a filter, the filter has to be one that is pulled out from outside (a \
         field of the vent), or the plate with that vent has to come off. A fan that only shares an \
         edge with the vent does not draw through it. A remark: it stops no build. Common practice, no \
         source."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Part]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Part(p) = anchor else {
            return;
        };
        if p.group != Group::Fan {
            return;
        }
        let enclosure = facts.placed.enclosure();
        let vents = enclosure.vents.iter();
        for vent in vents.filter(|v| v.filter && !v.filter_outside && draws(p, v)) {
            let mut plates = around(facts, vent).peekable();
            if plates.peek().is_none() {
                let text = format!(
                    "whether the filter of vent '{}' before {} can be reached was not judged: which \
                     plate it is in is not known",
                    vent.id, p.name
                );
                let subjects = vec![part(p), Subject::Opening(vent.id.clone())];
                let finding = Finding::unjudged(self.id(), subjects, text);
                out.push(finding.at(vent.frame.block(vent.size, Length::ZERO)));
            }
            for plate in plates {
                let known = enclosure.plates.get(plate.index as usize);
                if known.is_none_or(|k| k.panel.is_none()) {
                    self.found(p, vent, plate, out);
                }
            }
        }
    }
}

impl FilterReach {
    fn found(&self, p: &PlacedPart, vent: &Vent, plate: &PlacedPlate, out: &mut Vec<Finding>) {
        // Two vents in one plate are one finding.
        let subjects = vec![part(p), Subject::Plate(plate.id.clone())];
        if out
            .iter()
            .any(|f| f.rule == self.id() && f.subjects == subjects)
        {
            return;
        }
        let text = format!(
            "{} draws through the filter of vent '{}', but {} does not come off",
            p.name, vent.id, plate.name
        );
        out.push(
            Finding::new(self.id(), Severity::Remark, subjects, text)
                .at(vent.frame.block(vent.size, Length::ZERO))
                .hint("Take a plate that comes off, or a filter that is pulled out from outside."),
        );
    }
}

/// The plates that a vent lies in.
fn around<'a>(facts: &Facts<'a>, vent: &Vent) -> impl Iterator<Item = &'a PlacedPlate> {
    let face = vent.frame.block(vent.size, Length::ZERO).grown(OWN);
    let near = facts.placed.plates_near(&face, Length::ZERO).into_iter();
    near.filter(move |plate| face.overlaps(&plate.bounds))
}

fn draws(p: &PlacedPart, vent: &Vent) -> bool {
    // Exactly so far behind it counts, exactly beside it does not.
    let space: Box3 = vent.frame.block(vent.size, -(BEHIND + Length::um(1)));
    space.overlaps(&p.outline)
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, enclosure, fan, frame, l, plate, v};
    use crate::geom::{Box3, Dir};
    use crate::model::{Panel, Vent};

    fn scene(filter: bool, panel: bool, x: f64, z: f64) -> Build {
        pulled(filter, false, panel, x, z)
    }

    fn pulled(filter: bool, outside: bool, panel: bool, x: f64, z: f64) -> Build {
        let mut case = enclosure([300.0, 200.0, 200.0]);
        case.plates = vec![plate("floor", [0.0; 3], [300.0, 200.0, 1.0])];
        case.plates[0].panel = panel.then(|| Panel {
            leaves: Dir::NegZ,
            hinge: None,
            opening: Box3::at(v(0.0, 0.0, 0.0), v(300.0, 200.0, 1.0)),
        });
        case.vents = vec![Vent {
            id: "v".into(),
            frame: frame(v(0.0, 0.0, 0.0), "+x", "+y", "-z"),
            size: [l(120.0), l(120.0)],
            free: 0.6,
            filter,
            filter_outside: outside,
        }];
        Build::new(case).gap(None, None, true, 20.0).with(
            "fan",
            &fan(120.0, 105.0, 25.0),
            [x, 0.0, z],
        )
    }

    #[test]
    fn a_filter_behind_a_plate_that_stays_is_named() {
        scene(true, false, 0.0, 1.0).expect("filter-reach", &["filter-reach:fan+plate:floor"]);
        scene(true, true, 0.0, 1.0).expect("filter-reach", &[]);
        scene(false, false, 0.0, 1.0).expect("filter-reach", &[]);
        pulled(true, true, false, 0.0, 1.0).expect("filter-reach", &[]);
    }

    #[test]
    fn a_vent_that_lies_in_no_plate_is_not_passed_in_silence() {
        let mut build = scene(true, false, 0.0, 1.0);
        let mut case = (*build.scene.enclosure).clone();
        case.plates.clear();
        build.edit(crate::edit::Edit::SetEnclosure(std::sync::Arc::new(case)));
        assert!(build.only("filter-reach").unjudged);
    }

    #[test]
    fn beside_the_vent_or_far_behind_it_the_fan_does_not_draw_through_it() {
        scene(true, false, 120.0, 1.0).expect("filter-reach", &[]);
        scene(true, false, 119.9, 1.0).expect("filter-reach", &["filter-reach:fan+plate:floor"]);
        scene(true, false, 0.0, 10.001).expect("filter-reach", &[]);
        assert_eq!(scene(true, false, 0.0, 10.0).found("filter-reach").len(), 1);
    }
}
