//! Openings of the enclosure's plates that take nothing out of them.

use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};
use crate::model::{Idle, Plate};

/// See [`Rule::about`].
pub(super) struct CutoutIdle;

impl Rule for CutoutIdle {
    fn id(&self) -> &'static str {
        "cutout-idle"
    }

    fn title(&self) -> &'static str {
        "Opening without effect"
    }

    fn about(&self) -> &'static str {
        "An opening of a plate goes right through it. One that lies beside its plate, or only touches \
         it, or ends half-way takes nothing out: everything is judged as if the plate were whole \
         there, and most likely a figure is wrong. Over an edge and into one another openings may go."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Scene]
    }

    fn judge(&self, facts: &Facts, _: Anchor, out: &mut Vec<Finding>) {
        // What was found when the plates were cut: this is asked at every change.
        let plates = &facts.placed.enclosure().plates;
        for placed in facts.placed.plates().iter().filter(|p| !p.idle.is_empty()) {
            let plate = plates.get(placed.index as usize);
            out.extend(plate.map(|plate| found(plate, &placed.idle)));
        }
    }
}

fn found(plate: &Plate, idle: &[(usize, Idle)]) -> Finding {
    let axis = plate.across();
    let thick = plate.solid.bounds().size().along(axis);
    let mut all = Vec::new();
    for (i, why) in idle {
        let why = match why {
            Idle::Beside => "lies beside it".to_owned(),
            Idle::Half(deep) => format!("goes {deep} mm deep, of {thick} mm"),
        };
        all.push(format!("number {} {why}", i + 1));
    }
    let shown = all.iter().take(3).cloned().collect::<Vec<_>>().join("; ");
    let more = match all.len() {
        n if n > 3 => format!("; and {} more", n - 3),
        _ => String::new(),
    };
    let text = format!(
        "{}: {} of {} cut-outs take nothing out of it, and it counts as whole there: {shown}{more}",
        plate.name,
        all.len(),
        plate.cutouts.len()
    );
    let subjects = vec![Subject::Plate(plate.id.clone())];
    let finding = Finding::new("cutout-idle", Severity::Caution, subjects, text);
    finding
        .at(plate.solid.bounds())
        .hint("Correct the figures of the enclosure, or leave them out.")
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, enclosure};
    use crate::geom::{Box3, Solid, Vec3};
    use crate::model::{Cutout, Plate};

    /// A shelf of 2 mm at 50 with openings from one height to another.
    fn shelf(cutouts: &[[i64; 2]]) -> Build {
        let open = cutouts.iter().enumerate().map(|(i, [from, to])| {
            let at = Vec3::mm(20 + 30 * i as i64, 50, 50 + from);
            Cutout::Rect(Box3::at(at, Vec3::mm(20, 20, to - from)))
        });
        let mut case = enclosure([300.0; 3]);
        case.plates = vec![Plate {
            id: "shelf".into(),
            name: "shelf".into(),
            solid: Solid::Box(Box3::at(Vec3::mm(0, 0, 50), Vec3::mm(300, 300, 2))),
            cutouts: open.collect(),
            panel: None,
        }];
        Build::new(case)
    }

    #[test]
    fn openings_that_go_through_pass() {
        shelf(&[]).expect("cutout-idle", &[]);
        shelf(&[[0, 2], [-5, 9]]).expect("cutout-idle", &[]);
    }

    #[test]
    fn one_that_touches_its_plate_or_ends_half_way_is_named() {
        let found = shelf(&[[0, 2], [2, 4], [0, 1]]).only("cutout-idle");
        assert_eq!(found.severity.name(), "caution");
        assert!(found.text.contains("2 of 3 cut-outs"), "{}", found.text);
        assert!(
            found.text.contains("number 2 lies beside it"),
            "{}",
            found.text
        );
        assert!(
            found.text.contains("number 3 goes 1 mm deep, of 2 mm"),
            "{}",
            found.text
        );
    }
}
