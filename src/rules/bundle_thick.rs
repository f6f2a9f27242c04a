//! Bundles that are too thick for a clamp, or for the room under a panel.

use super::index::Led;
use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};
use crate::geom::{Box3, Dir, Length, Vec3};
use crate::model::{CableId, Section, Space, Tie};
use crate::placement::PlacedPlate;
use crate::route::bundle;
use crate::route::together::{Bundle, bundles};
use std::collections::BTreeMap;

/// A bundle further than this from a panel does not lie under it.
const UNDER: Length = Length::mm(60);

/// See [`Rule::about`].
pub(super) struct BundleThick;

impl Rule for BundleThick {
    fn id(&self) -> &'static str {
        "bundle-thick"
    }

    fn title(&self) -> &'static str {
        "Bundle too thick"
    }

    fn about(&self) -> &'static str {
        "Cables along the same way lie as one bundle: 1.2 times the root of the sum of their squared \
         diameters (harness maker's rule, two calculator sites), never thinner than the best packing \
         of so many circles. A clamp with a clear diameter has to close round all that is led \
         through it: more area than it has stops the build, a thicker bundle is a caution. Under a \
         panel that comes off, the room from its inner face to the first solid thing has to take the \
         bundle, else the panel does not go on without pressing the cables flat: a caution, for cables \
         may lie side by side. Exactly as much room is enough. What runs together: see the bundles of \
         the sheet. An open tie takes any bundle."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Scene]
    }

    fn judge(&self, facts: &Facts, _: Anchor, out: &mut Vec<Finding>) {
        clamps(facts, out);
        let lids = lids(facts);
        if lids.is_empty() {
            return;
        }
        for bundle in bundles(&facts.scene.arrangement().cables, facts.runs) {
            out.extend(under(facts, &lids, &bundle));
        }
    }
}

fn clamps(facts: &Facts, out: &mut Vec<Finding>) {
    let cables = &facts.scene.arrangement().cables;
    let clamps = facts.placed.enclosure().ties.iter();
    for (tie, clear) in clamps.filter_map(|t| Some((t, t.clear?))) {
        let ids = facts.index.along().get(&Led::Tie(tie.id.clone()));
        let all = ids
            .into_iter()
            .flatten()
            .filter_map(|id| cables.get_key_value(id));
        let led = all.map(|(id, cable)| (id, cable.section)).collect();
        out.extend(clamp(tie, clear, &led));
    }
}

fn clamp(tie: &Tie, clear: Length, led: &BTreeMap<&CableId, Section>) -> Option<Finding> {
    let thick = bundle::diameter(led.values().copied());
    if led.is_empty() || thick <= clear {
        return None;
    }
    let area = bundle::area(led.values().copied());
    let has = std::f64::consts::PI * clear.as_mm().powi(2) / 4.0;
    let severity = match area > has {
        true => Severity::Stop,
        false => Severity::Caution,
    };
    let text = format!(
        "Clamp '{}' takes Ø {} mm, what is led through it ({}) is a bundle of Ø {}",
        tie.id,
        clear.text1(),
        counted(led.len()),
        thick.text1()
    );
    let mut subjects = vec![Subject::Opening(tie.id.clone())];
    subjects.extend(led.keys().map(|id| Subject::Cable((*id).clone())));
    let finding = Finding::new("bundle-thick", severity, subjects, text)
        .figures(thick, clear)
        .at(Box3::new(tie.at, tie.at).grown(clear))
        .hint("Lead some of them past it, or take a larger clamp.");
    Some(finding)
}

fn counted(n: usize) -> String {
    match n {
        1 => "1 cable".to_owned(),
        n => format!("{n} cables"),
    }
}

/// Panels that come off, with the way they leave.
fn lids<'a>(facts: &Facts<'a>) -> Vec<(&'a PlacedPlate, Dir)> {
    let plates = facts.placed.plates().iter();
    plates
        .filter_map(|p| {
            let own = facts.placed.enclosure().plates.get(p.index as usize)?;
            Some((p, own.panel.as_ref()?.leaves))
        })
        .collect()
}

/// The tightest place of a bundle under each panel that it is too thick for; a bundle
/// is named once, for the panel with the least room.
fn under(facts: &Facts, lids: &[(&PlacedPlate, Dir)], bundle: &Bundle) -> Option<Finding> {
    let mut worst: Option<(Length, &PlacedPlate, Vec3)> = None;
    for point in &bundle.line {
        let [x, y, z] = point.map(Length::from_mm);
        let (Some(x), Some(y), Some(z)) = (x, y, z) else {
            continue;
        };
        let at = Vec3::new(x, y, z);
        for (lid, leaves) in lids {
            let Some(room) = room(facts, lid, *leaves, at, bundle.diameter) else {
                continue;
            };
            if room < bundle.diameter && worst.is_none_or(|w| room < w.0) {
                worst = Some((room, lid, at));
            }
        }
    }
    let (room, lid, at) = worst?;
    let text = format!(
        "{} lie as a bundle of Ø {} mm under {}, which leaves {} there",
        counted(bundle.cables.len()),
        bundle.diameter.text1(),
        lid.name,
        room.text1()
    );
    let mut subjects = vec![Subject::Plate(lid.id.clone())];
    subjects.extend(bundle.cables.iter().cloned().map(Subject::Cable));
    let finding = Finding::new("bundle-thick", Severity::Caution, subjects, text)
        .figures(bundle.diameter, room)
        .at(Box3::new(at, at).grown(bundle.diameter))
        .hint("Lay them side by side, or lead some of them another way.");
    Some(finding)
}

/// From the inner face of a panel to the first solid thing behind this point, where the
/// point lies under the panel with nothing in between. `None` where nothing is near
/// enough to limit a bundle of this diameter.
fn room(facts: &Facts, lid: &PlacedPlate, leaves: Dir, at: Vec3, thick: Length) -> Option<Length> {
    let face = lid.bounds.face(leaves.opposite());
    let deep = (face - at.along(leaves.axis())) * leaves.sign();
    let (a, b) = leaves.axis().others();
    let within = |box3: &Box3| {
        [a, b]
            .iter()
            .all(|x| box3.min().along(*x) <= at.along(*x) && at.along(*x) <= box3.max().along(*x))
    };
    if deep <= Length::ZERO || deep > UNDER || !within(&lid.bounds) {
        return None;
    }
    // All that the line from the face through the point and a diameter on meets.
    let far = at.with(leaves.axis(), face - thick.max(deep) * leaves.sign());
    let line = Box3::new(at.with(leaves.axis(), face), far).grown(Length::mm(1));
    let solids = facts.placed.near(&line, Length::ZERO);
    let parts = solids
        .iter()
        .flat_map(|p| p.of(Space::Solid))
        .map(|q| q.bounds);
    let plates = facts.placed.plates_near(&line, Length::ZERO);
    let plates = plates
        .iter()
        .filter(|p| p.index != lid.index)
        .flat_map(|p| p.solids.iter().map(crate::geom::Solid::bounds));
    let mut nearest: Option<Length> = None;
    for bounds in parts.chain(plates).filter(within) {
        let off = (face - bounds.face(leaves)) * leaves.sign();
        // What reaches up beside the panel's face is no floor of the room under it.
        if off <= Length::ZERO {
            continue;
        }
        if off < deep {
            return None;
        }
        nearest = Some(nearest.map_or(off, |n: Length| n.min(off)));
    }
    nearest
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, at_port, block, cable, enclosure, l, plate, port, v};
    use crate::model::{Enclosure, Group, Panel, Role, Via};

    /// So many leads of 4 mm on one another's height through the middle of the box,
    /// along a clamp where there is one.
    fn led(e: Enclosure, count: usize, via: bool) -> Build {
        let mut host = block("host", Group::Board, [10.0, 100.0, 10.0]);
        let mut drive = block("drive", Group::Drive, [10.0, 100.0, 10.0]);
        for i in 0..count {
            let y = 30.0 + 4.0 * i as f64;
            let id = format!("p{i}");
            host.ports
                .push(port(&id, "host", v(10.0, y, 5.0), "+x", Role::Source));
            drive
                .ports
                .push(port(&id, "drive", v(0.0, y, 5.0), "-x", Role::Sink));
        }
        let mut scene = Build::new(e).with("a", &host, [100.0, 100.0, 480.0]).with(
            "b",
            &drive,
            [510.0, 100.0, 480.0],
        );
        for i in 0..count {
            let end = |part: &str| at_port(part, &format!("p{i}"));
            let along = match via {
                true => vec![Via::Tie("clamp".into())],
                false => vec![],
            };
            let mut lead = cable(Some("data"), end("a"), end("b"), 700.0, along);
            lead.section = Section::Round(l(4.0));
            scene = scene.cable(&format!("c{i}"), lead);
        }
        scene
    }

    fn clamped(count: usize, clear: Option<f64>) -> Build {
        let mut e = enclosure([600.0, 300.0, 500.0]);
        e.ties.push(Tie {
            id: "clamp".into(),
            at: v(300.0, 134.0, 485.0),
            clear: clear.map(l),
        });
        led(e, count, true)
    }

    #[test]
    fn a_clamp_takes_the_packing_of_what_runs_through_it_and_no_more() {
        // Two circles in one: twice their diameter (closed form).
        clamped(2, Some(8.0)).expect("bundle-thick", &[]);
        let found = clamped(2, Some(7.999)).only("bundle-thick");
        assert_eq!(found.severity, Severity::Caution);
        assert_eq!(found.key(), "bundle-thick:cable:c0+cable:c1+opening:clamp");
        // Two of 4 have 25.1 mm², a clamp of 5.6 has 24.6.
        let found = clamped(2, Some(5.6)).only("bundle-thick");
        assert_eq!(found.severity, Severity::Stop);
        clamped(9, None).expect("bundle-thick", &[]);
    }

    /// A lid so far above a plate that lies under the leads.
    fn lidded(count: usize, room: f64) -> Build {
        let mut e = enclosure([600.0, 300.0, 500.0]);
        let mut lid = plate("lid", [0.0, 0.0, 495.0], [600.0, 300.0, 5.0]);
        lid.panel = Some(Panel {
            leaves: Dir::PosZ,
            hinge: None,
            opening: lid.solid.bounds(),
        });
        e.plates.push(lid);
        e.plates.push(plate(
            "shelf",
            [250.0, 0.0, 495.0 - room - 1.0],
            [100.0, 300.0, 1.0],
        ));
        led(e, count, false)
    }

    #[test]
    fn under_a_lid_the_bundle_needs_its_diameter() {
        // Three of 4 mm: 8.62 mm (closed form 4 (1 + 2/sqrt 3) = 8.6188).
        lidded(3, 12.0).expect("bundle-thick", &[]);
        let found = lidded(4, 10.5).found("bundle-thick");
        // Four: 1 + sqrt 2 times 4 = 9.657 fits 10.5; five need 10.805.
        assert!(found.is_empty(), "{found:?}");
        let found = lidded(5, 10.5).found("bundle-thick");
        assert!(!found.is_empty());
        assert!(found.iter().all(|f| f.severity == Severity::Caution));
        assert!(found[0].text.contains("under lid"), "{}", found[0].text);
        assert_eq!(found[0].available, Some(l(10.5)));
    }
}
