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
        let Some(run) = facts.runs.get(id) else {
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

fn around(stretch: &Stretch) -> Option<Box3> {
    let corner = |p: &[f64; 3]| {
        let [x, y, z] = p.map(Length::from_mm);
        let at = Vec3::new(x?, y?, z?);
        Some(Box3::new(at, at))
    };
    let corners = stretch.points.iter().filter_map(corner);
    corners.reduce(|a, b| a.union(&b))
}
