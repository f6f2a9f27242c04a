//! Cables that do not reach, or have to bend too tightly.

use super::common::{port_name, port_place};
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::edit::Edit;
use crate::geom::{Box3, Length, Vec3};
use crate::model::{Cable, CableId};
use crate::route::Stretch;

/// See [`Rule::about`].
pub(super) struct CableShort;

impl Rule for CableShort {
    fn id(&self) -> &'static str {
        "cable-short"
    }

    fn title(&self) -> &'static str {
        "Cable too short"
    }

    fn about(&self) -> &'static str {
        "Each stretch of a cable, from plug to plug, has to be as long as its way and a share of it \
         for service (settings; common practice, no source). A stretch shorter than its bare way \
         stops the build; one that reaches but leaves less than the share is a caution, and so is a \
         bend tighter than the cable's least radius. Exactly the length needed is enough. A way that \
         could not be found is said, with the reason."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Cable]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Cable(id, cable) = anchor else {
            return;
        };
        // A hose takes its own shape; `hose-reach` judges it.
        let Some(run) = facts.runs.get(id).filter(|_| !facts.hoses.contains_key(id)) else {
            return;
        };
        for (index, stretch) in run.stretches.iter().enumerate() {
            if let Err(why) = &stretch.judged {
                out.push(unjudged(facts, id, cable, stretch, why));
            }
            if stretch.legs.is_empty() {
                continue;
            }
            out.extend(length(facts, id, cable, index, stretch));
            out.extend(bend(facts, id, cable, stretch));
        }
    }
}

fn subjects(id: &CableId, stretch: &Stretch) -> Vec<Subject> {
    vec![
        Subject::Cable(id.clone()),
        Subject::Port(stretch.to.clone()),
    ]
}

fn way(facts: &Facts, cable: &Cable, stretch: &Stretch) -> String {
    format!("{} to {}", cable.name, port_name(facts, &stretch.to))
}

fn unjudged(facts: &Facts, id: &CableId, cable: &Cable, stretch: &Stretch, why: &str) -> Finding {
    let text = format!("{}: not judged, {why}", way(facts, cable, stretch));
    let mut finding = Finding::unjudged("cable-short", subjects(id, stretch), text)
        .hint("Lead it another way, or measure it.");
    finding.place = port_place(facts.placed, &stretch.to);
    finding
}

/// What a way needs with the share for service, rounded up to the micrometre.
fn with_service(needed: Length, percent: i64) -> Length {
    let share = needed.as_um().saturating_mul(percent.max(0));
    needed + Length::um(share.div_euclid(100) + i64::from(share.rem_euclid(100) > 0))
}

fn length(
    facts: &Facts,
    id: &CableId,
    cable: &Cable,
    index: usize,
    stretch: &Stretch,
) -> Option<Finding> {
    let wanted = with_service(stretch.needed, facts.settings.service_percent);
    if stretch.available >= wanted {
        return None;
    }
    let lead = way(facts, cable, stretch);
    let have = stretch.available.text1();
    let (severity, text) = match stretch.short_by() {
        Some(short) => (
            Severity::Stop,
            format!(
                "{lead}: needs {} mm ({} with {} % for service), has {have}: {} short",
                stretch.needed.text1(),
                wanted.text1(),
                facts.settings.service_percent,
                short.text1()
            ),
        ),
        None => (
            Severity::Caution,
            format!(
                "{lead}: needs {} mm with {} % for service, has {have}: {} less",
                wanted.text1(),
                facts.settings.service_percent,
                (wanted - stretch.available).text1()
            ),
        ),
    };
    let mut finding = Finding::new("cable-short", severity, subjects(id, stretch), text)
        .figures(wanted, stretch.available)
        .mark(FindingMark::Missing {
            cable: id.clone(),
            stretch: index,
            length: (stretch.needed - stretch.available).max(Length::ZERO),
        });
    finding.place = around(stretch);
    let longer = cable
        .kind
        .as_ref()
        .and_then(|kind| facts.catalogue.cables.get(kind))
        .and_then(|kind| kind.lengths.iter().copied().find(|l| *l >= wanted));
    Some(match longer {
        Some(longer) => {
            let mut edited = cable.clone();
            edited.plugs[index].length = longer;
            finding.fix = Some(vec![Edit::SetCable(id.clone(), Some(edited))]);
            finding.hint(format!("Take the one of {longer} mm."))
        }
        None if cable.kind.is_none() => finding
            .hint("The lead belongs to its part: move one end nearer, or lead it straighter."),
        None => {
            finding.hint("No longer one is at hand: lead it straighter, or move one end nearer.")
        }
    })
}

fn bend(facts: &Facts, id: &CableId, cable: &Cable, stretch: &Stretch) -> Option<Finding> {
    let radius = stretch.tightest_bend?;
    // The radius comes from floating point; a micrometre less is no finding.
    let tightest = Length::from_mm(radius)?;
    if tightest + Length::um(1) >= cable.bend {
        return None;
    }
    let text = format!(
        "{}: bends with radius {} mm, {} mm at least",
        way(facts, cable, stretch),
        tightest.text1(),
        cable.bend.text1()
    );
    let mut subjects = subjects(id, stretch);
    subjects.push(Subject::Port(stretch.from.clone()));
    let mut finding = Finding::new("cable-short", Severity::Caution, subjects, text)
        .figures(cable.bend, tightest)
        .hint("Give it more room between the places it is led through.");
    finding.place = around(stretch);
    Some(finding)
}

pub(super) fn around(stretch: &Stretch) -> Option<Box3> {
    let corner = |p: &[f64; 3]| {
        let [x, y, z] = p.map(Length::from_mm);
        let at = Vec3::new(x?, y?, z?);
        Some(Box3::new(at, at))
    };
    let corners = stretch.points.iter().filter_map(corner);
    corners.reduce(|a, b| a.union(&b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, at_port, block, cable, cid, fan, l, port, v};
    use crate::model::{Group, PartKind, Role, Via};
    use std::f64::consts::PI;

    fn with_port(id: &str, connector: &str, role: Role, leaves: &str) -> PartKind {
        let mut kind = block(id, Group::Board, [10.0, 10.0, 10.0]);
        let x = if leaves == "+x" { 10.0 } else { 0.0 };
        kind.ports = vec![port("p", connector, v(x, 5.0, 5.0), leaves, role)];
        kind
    }

    /// Two ports that look at one another, `apart` from face to face.
    fn facing(apart: f64, length: f64) -> Build {
        let host = with_port("host", "host", Role::Source, "+x");
        let drive = with_port("drive", "drive", Role::Sink, "-x");
        Build::open()
            .with("host", &host, [0.0, 100.0, 100.0])
            .with("drive", &drive, [10.0 + apart, 100.0, 100.0])
            .cable(
                "c",
                cable(
                    Some("data"),
                    at_port("host", "p"),
                    at_port("drive", "p"),
                    length,
                    vec![],
                ),
            )
    }

    #[test]
    fn a_straight_lead_needs_its_distance_and_the_share_for_service() {
        let run = facing(300.0, 450.0).checked().runs()[&cid("c")].clone();
        assert_eq!(run.needed, l(300.0));
        facing(300.0, 330.0).expect("cable-short", &[]);
        let found = facing(300.0, 329.999).only("cable-short");
        assert_eq!(found.severity, Severity::Caution);
        assert_eq!(found.key(), "cable-short:cable:c+drive:p");
    }

    #[test]
    fn too_short_stops_and_the_next_longer_one_is_the_fix() {
        let scene = facing(400.0, 300.0);
        let found = scene.only("cable-short");
        assert_eq!(found.severity, Severity::Stop);
        assert_eq!(
            (found.needed, found.available),
            (Some(l(440.0)), Some(l(300.0)))
        );
        assert!(found.text.contains("100.0 short"), "{}", found.text);
        assert_eq!(found.hint, "Take the one of 450 mm.");
        scene.fixed("cable-short");
        // 600 is the longest at hand and 560 needs 616.
        assert!(facing(560.0, 300.0).only("cable-short").fix.is_none());
    }

    #[test]
    fn plugs_across_a_run_need_no_turn_between_them() {
        // Two drives 31 above one another, plugs 16 deep: 300 - 16 to the first
        // plug's back, and 31 from there to the second's.
        let drive = with_port("drive", "drive", Role::Sink, "-x");
        let mut run = facing(300.0, 400.0).with("upper", &drive, [310.0, 100.0, 131.0]);
        let mut two = run.scene.arrangement().cables[&cid("c")].clone();
        let mut next = two.plugs[0].clone();
        (next.to, next.length) = (at_port("upper", "p"), l(120.0));
        two.plugs.push(next);
        run.edit(Edit::SetCable(cid("c"), Some(two)));
        run.expect("cable-short", &[]);
        let stretches = run.checked().runs()[&cid("c")].stretches.clone();
        assert_eq!(
            stretches.iter().map(|s| s.needed).collect::<Vec<_>>(),
            [l(284.0), l(31.0)]
        );
    }

    #[test]
    fn a_gentle_step_between_two_straight_ends_bends_no_tighter_than_its_radius() {
        // Closed form of two arcs of radius r and angle a with a straight s between
        // them: d = 2 r sin a + s cos a along, h = 2 r (1 - cos a) + s sin a aside,
        // so s^2 = d^2 + h^2 - 4 r h and tan(a/2) = (d - s) / (4 r - h).
        let out_of_line = facing(300.0, 450.0).moved("drive", [0.0, 0.0, 10.0]);
        out_of_line.expect("cable-short", &[]);
        let run = &out_of_line.checked().runs()[&cid("c")].stretches[0].clone();
        assert!((run.tightest_bend.expect("it bends") - 20.0).abs() < 1e-6);
        let (r, d, h) = (20.0f64, 300.0 - 22.0 - 24.0, 10.0);
        let s = (d * d + h * h - 4.0 * r * h).sqrt();
        let a = 2.0 * ((d - s) / (4.0 * r - h)).atan();
        let length = 22.0 + 24.0 + s + 2.0 * r * a;
        assert!((run.needed.as_mm() - length).abs() < 2e-3, "{}", run.needed);
    }

    #[test]
    fn a_lead_passes_through_the_point_that_it_is_led_along() {
        // From +x into a port that looks down, by the corner between them: no way
        // through it is shorter than both straight legs (triangle inequality), and arcs
        // of r = 20 add r (a - 2 sin a/2) for a = 90 degrees where the legs are long.
        let host = with_port("host", "host", Role::Source, "+x");
        let mut drive = with_port("drive", "drive", Role::Sink, "-z");
        drive.ports[0].at = v(5.0, 5.0, 0.0);
        let scene = Build::open()
            .with("host", &host, [0.0, 100.0, 100.0])
            .with("drive", &drive, [200.0, 100.0, 300.0])
            .cable(
                "c",
                cable(
                    Some("data"),
                    at_port("host", "p"),
                    at_port("drive", "p"),
                    450.0,
                    vec![Via::Point(v(205.0, 105.0, 105.0))],
                ),
            );
        let run = scene.checked().runs()[&cid("c")].clone();
        let needed = run.needed.as_mm();
        let long = 390.0 + 20.0 * (PI / 2.0 - 2.0 * (PI / 4.0).sin());
        assert!(
            needed > 390.0 && (needed - long).abs() < 0.6,
            "{needed} {long}"
        );
        scene.expect("cable-short", &[]);
    }

    #[test]
    fn a_bend_without_room_is_a_caution() {
        let scene = facing(300.0, 600.0);
        let mut lead = scene.scene.arrangement().cables[&cid("c")].clone();
        lead.plugs[0].via = vec![
            Via::Point(v(150.0, 105.0, 105.0)),
            Via::Point(v(150.0, 115.0, 105.0)),
            Via::Point(v(160.0, 105.0, 105.0)),
        ];
        let found = scene.cable("c", lead).only("cable-short");
        assert_eq!(found.severity, Severity::Caution);
        assert!(found.text.contains("20.0 mm at least"), "{}", found.text);
    }

    #[test]
    fn what_cannot_be_judged_is_said() {
        let mut scene = facing(300.0, 450.0);
        scene.catalogue.connectors.remove("drive");
        let found = scene.only("cable-short");
        assert!(
            found.unjudged && found.text.contains("'drive'"),
            "{}",
            found.text
        );
        let mut lead = scene.scene.arrangement().cables[&cid("c")].clone();
        lead.plugs[0].via = vec![Via::Passage("gone".into())];
        let found = scene.cable("c", lead).only("cable-short");
        assert!(found.unjudged && found.text.contains("no passage 'gone'"));
    }

    #[test]
    fn a_captive_lead_is_as_long_as_it_is() {
        let header = with_port("header", "fan-4pin", Role::Source, "-x");
        let scene = |apart: f64| {
            Build::open()
                .with("fan", &fan(120.0, 105.0, 25.0), [0.0, 0.0, 0.0])
                .with("hub", &header, [120.0 + apart, 55.0, 7.5])
                .cable(
                    "c",
                    cable(
                        None,
                        at_port("fan", "lead"),
                        at_port("hub", "p"),
                        9999.0,
                        vec![],
                    ),
                )
        };
        scene(360.0).expect("cable-short", &[]);
        let found = scene(400.001).only("cable-short");
        assert_eq!(found.severity, Severity::Stop);
        assert_eq!(found.available, Some(l(400.0)));
    }
}
