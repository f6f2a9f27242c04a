//! Cables whose drawn way runs through something.

use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::geom::{Box3, Length, Vec3};
use crate::model::{Cable, CableId};
use crate::placement::Thing;
use crate::route::hose::Fit;
use crate::route::ways::{Meeting, Met, meetings};

/// See [`Rule::about`].
pub(super) struct WayBlocked;

impl Rule for WayBlocked {
    fn id(&self) -> &'static str {
        "way-blocked"
    }

    fn title(&self) -> &'static str {
        "Way not free"
    }

    fn about(&self) -> &'static str {
        "The way of a cable as it is drawn, with half the thickness of its section all along, runs \
         through a part or a plate, or out of the enclosure: a caution, for its true way is another \
         one, and longer than the drawn one says. The shape of a hose is judged alike. Left out are the \
         straight ends for plug and strain relief (their room is another rule's), the part at an end \
         close by its port, the rim of a passage within the clear opening that it is led through, \
         and the plate behind a tie. Touching is free. Other cables are no obstacle: they give way."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Way]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Cable(id, cable) = anchor else {
            return;
        };
        let Some(run) = facts.runs.get(id) else {
            return;
        };
        for met in meetings(facts.placed, cable, run) {
            // A hose without a shape has no way: `hose-reach` says why.
            let hose = facts.hoses.get(id).and_then(|all| all.get(met.stretch));
            let lies = hose.is_none_or(|h| matches!(h.fit, Fit::Lies(_) | Fit::Kinks(_)));
            // How far it bulges out of the enclosure is said by that rule as well.
            if lies && (hose.is_none() || met.met != Met::Outside) {
                out.extend(finding(facts, id, cable, &met, hose.is_some()));
            }
        }
    }
}

fn finding(
    facts: &Facts,
    id: &CableId,
    cable: &Cable,
    met: &Meeting,
    hose: bool,
) -> Option<Finding> {
    let mut subjects = vec![Subject::Cable(id.clone())];
    let mut uncut = None;
    let through = match &met.met {
        Met::Solid(Thing::Part(part)) => {
            subjects.push(Subject::Part(part.clone()));
            format!("through {}", facts.placed.part(part)?.name)
        }
        Met::Solid(Thing::Plate(index)) => {
            let plate = facts.placed.plates().get(*index as usize)?;
            subjects.push(Subject::Plate(plate.id.clone()));
            uncut = plate.uncut.clone();
            format!("through {}", plate.name)
        }
        Met::Outside => "out of the enclosure".to_owned(),
    };
    let [x, y, z] = met.at.map(Length::from_mm);
    let at = Vec3::new(x?, y?, z?);
    let by = Length::from_mm(met.by)?.max(Length::um(1));
    let place = Box3::new(at, at).grown(cable.section.thickness().half().max(Length::mm(2)));
    if let Some(why) = uncut {
        let text = format!(
            "whether the way of {} is free was not judged: {why}",
            cable.name
        );
        let finding = Finding::unjudged("way-blocked", subjects, text).at(place);
        return Some(finding.hint("Look at the place in all views."));
    }
    let what = if hose {
        "the shape it takes goes"
    } else {
        "the drawn way goes"
    };
    let text = format!(
        "{}: {what} {through} at ({}, {}, {}), by {} mm",
        cable.name,
        at.x.text1(),
        at.y.text1(),
        at.z.text1(),
        by.text2()
    );
    let hint = match (hose, cable.finds) {
        (true, _) => "Tie it another way, or take one of another length.",
        (false, true) => "Have it find its way anew.",
        (false, false) => "Have it find its way, or lead it round; the free way is longer.",
    };
    let finding = Finding::new("way-blocked", Severity::Caution, subjects, text)
        .figures(by, Length::ZERO)
        .at(place)
        .mark(FindingMark::Overlap(place));
    Some(finding.hint(hint))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, at_port, block, cable, cid, l, port, v};
    use crate::model::{Group, Role, Via};

    /// A lead of 4 mm from +x into -x, 300 apart at y 105 and z 105, with a block that
    /// ends at this z in between.
    fn past(top: f64) -> Build {
        let mut host = block("host", Group::Board, [10.0, 10.0, 10.0]);
        host.ports = vec![port("p", "host", v(10.0, 5.0, 5.0), "+x", Role::Source)];
        let mut drive = block("drive", Group::Drive, [10.0, 10.0, 10.0]);
        drive.ports = vec![port("p", "drive", v(0.0, 5.0, 5.0), "-x", Role::Sink)];
        let wall = block("wall", Group::Other, [20.0, 60.0, top]);
        let mut lead = cable(
            Some("data"),
            at_port("host", "p"),
            at_port("drive", "p"),
            450.0,
            vec![],
        );
        lead.section = crate::model::Section::Round(l(4.0));
        Build::open()
            .with("host", &host, [100.0, 100.0, 100.0])
            .with("drive", &drive, [410.0, 100.0, 100.0])
            .with("wall", &wall, [250.0, 80.0, 0.0])
            .cable("c", lead)
    }

    #[test]
    fn what_stands_in_the_way_is_named_with_how_far_it_reaches_in() {
        // The lead's underside is at 103.
        past(90.0).expect("way-blocked", &[]);
        past(103.0).expect("way-blocked", &[]);
        let found = past(103.1).only("way-blocked");
        assert_eq!(found.key(), "way-blocked:cable:c+wall");
        assert_eq!(
            (found.severity, found.needed),
            (Severity::Caution, Some(l(0.1)))
        );
        // Two past the middle line: thickness and that; sideways it is further out.
        let found = past(107.0).only("way-blocked");
        assert_eq!(found.needed, Some(l(4.0)));
        assert!(found.text.contains("105.0, 105.0)"), "{}", found.text);
    }

    #[test]
    fn a_way_led_over_it_is_free_and_one_out_of_the_enclosure_is_not() {
        let mut lead = past(110.0).scene.arrangement().cables[&cid("c")].clone();
        lead.plugs[0].via = vec![
            Via::Corner(v(160.0, 105.0, 105.0)),
            Via::Corner(v(200.0, 105.0, 150.0)),
            Via::Corner(v(320.0, 105.0, 150.0)),
            Via::Corner(v(360.0, 105.0, 105.0)),
        ];
        past(110.0)
            .cable("c", lead.clone())
            .expect("way-blocked", &[]);
        lead.plugs[0].via = vec![Via::Point(v(250.0, 105.0, -10.0))];
        let found = past(50.0).cable("c", lead).found("way-blocked");
        assert_eq!(found[0].key(), "way-blocked:cable:c");
    }

    #[test]
    fn a_part_that_moves_into_the_way_is_seen_and_one_that_leaves_it_too() {
        let mut scene = past(200.0).moved("wall", [0.0, 100.0, 0.0]);
        scene.expect("way-blocked", &[]);
        let mut checker = scene.checked();
        for (y, blocked) in [(80.0, true), (200.0, false), (107.0, false), (106.9, true)] {
            let id = crate::build::pid("wall");
            let mut place = scene.scene.arrangement().places[&id];
            place.at = v(250.0, y, 0.0);
            let touched = scene.edit(crate::edit::Edit::SetPlace(id, Some(place)));
            checker.update(&scene.scene, &touched);
            let found = checker.findings();
            let of_it = found.iter().any(|f| f.rule == "way-blocked");
            assert_eq!(of_it, blocked, "{y}");
            let mut fresh = scene.checked();
            fresh.check_all(&scene.scene);
            assert_eq!(fresh.findings(), checker.findings());
        }
    }
}
