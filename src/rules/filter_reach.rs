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
        &[Scope::Wall]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Wall(p, plate) = anchor else {
            return;
        };
        let enclosure = facts.placed.enclosure();
        let known = enclosure.plates.get(plate.index as usize);
        if p.group != Group::Fan || known.is_some_and(|k| k.panel.is_some()) {
            return;
        }
        let vents = enclosure.vents.iter();
        let behind = vents
            .filter(|v| v.filter && !v.filter_outside)
            .find(|v| in_plate(v, plate) && draws(p, v));
        let Some(vent) = behind else {
            return;
        };
        let text = format!(
            "{} draws through the filter of vent '{}', but {} does not come off",
            p.name, vent.id, plate.name
        );
        let subjects = vec![part(p), Subject::Plate(plate.id.clone())];
        out.push(
            Finding::new(self.id(), Severity::Remark, subjects, text)
                .at(vent.frame.block(vent.size, Length::ZERO))
                .hint("Take a plate that comes off, or a filter that is pulled out from outside."),
        );
    }
}

fn in_plate(vent: &Vent, plate: &PlacedPlate) -> bool {
    let face = vent.frame.block(vent.size, Length::ZERO).grown(OWN);
    face.overlaps(&plate.bounds)
}

fn draws(p: &PlacedPart, vent: &Vent) -> bool {
    let space: Box3 = vent.frame.block(vent.size, -BEHIND);
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
    fn beside_the_vent_or_far_behind_it_the_fan_does_not_draw_through_it() {
        scene(true, false, 120.0, 1.0).expect("filter-reach", &[]);
        scene(true, false, 119.9, 1.0).expect("filter-reach", &["filter-reach:fan+plate:floor"]);
        scene(true, false, 0.0, 10.0).expect("filter-reach", &[]);
    }
}
