//! Hoses that do not reach, kink, or bulge out of the enclosure.

use super::cable_short::around;
use super::common::{port_name, port_place};
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::edit::Edit;
use crate::geom::Length;
use crate::model::{Cable, CableId};
use crate::route::Stretch;
use crate::route::hose::{self, Fit, Hose};

/// See [`Rule::about`].
pub(super) struct HoseReach;

impl Rule for HoseReach {
    fn id(&self) -> &'static str {
        "hose-reach"
    }

    fn title(&self) -> &'static str {
        "Hose does not lie"
    }

    fn about(&self) -> &'static str {
        "A hose has one length and lies as it is springy: of all curves of its length, straight out \
         of both fittings, the one that bends least (Euler's elastica). It stops the build where its \
         ends are further apart than it is long, and where that curve is tighter than the hose's \
         least radius: there it kinks. A hose that bulges out of the enclosure is a caution: its ends \
         are too near for so much hose. Exactly the length and the radius needed are enough; whether \
         that curve runs through something is another rule's. A hose that is tied lies like a cable and is judged as \
         one."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Cable]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Cable(id, cable) = anchor else {
            return;
        };
        let (Some(run), Some(hoses)) = (facts.runs.get(id), facts.hoses.get(id)) else {
            return;
        };
        for (index, (stretch, hose)) in run.stretches.iter().zip(hoses).enumerate() {
            let what = Judged {
                facts,
                id,
                cable,
                index,
                stretch,
            };
            out.extend(what.lies(hose));
        }
    }
}

struct Judged<'a> {
    facts: &'a Facts<'a>,
    id: &'a CableId,
    cable: &'a Cable,
    index: usize,
    stretch: &'a Stretch,
}

impl Judged<'_> {
    fn lies(&self, hose: &Hose) -> Option<Finding> {
        let from = port_name(self.facts, &self.stretch.from);
        let to = port_name(self.facts, &self.stretch.to);
        let name = format!("{}, {from} to {to}", self.cable.name);
        let subjects = vec![
            Subject::Cable(self.id.clone()),
            Subject::Port(self.stretch.to.clone()),
        ];
        let new = |severity, text| Finding::new("hose-reach", severity, subjects.clone(), text);
        let finding = match &hose.fit {
            Fit::TooFar(by) => new(
                Severity::Stop,
                format!(
                    "{name}: {} mm long, its ends are {} mm too far apart",
                    hose.length.text1(),
                    by.text1()
                ),
            )
            .figures(hose.length + *by, hose.length)
            .hint(self.longer("Move one end nearer.")),
            Fit::Kinks(radius) => {
                let radius = Length::from_mm(*radius).unwrap_or(Length::ZERO);
                new(
                    Severity::Stop,
                    format!(
                        "{name}: kinks, it bends with radius {} mm, {} mm at least",
                        radius.text1(),
                        self.cable.bend.text1()
                    ),
                )
                .figures(self.cable.bend, radius)
                .hint(self.longer("Turn a part, or move one end."))
            }
            Fit::Unknown(why) => {
                let text = format!("{name}: how it lies was not judged, {why}");
                Finding::unjudged("hose-reach", subjects.clone(), text)
            }
            Fit::Lies(_) if hose.outside > Length::ZERO => new(
                Severity::Caution,
                format!(
                    "{name}: its ends are too near for {} mm of hose, it bulges {} mm out of the \
                     enclosure",
                    hose.length.text1(),
                    hose.outside.text1()
                ),
            )
            .figures(Length::ZERO, -hose.outside)
            .hint(self.longer("Turn a part, move one end away, or take a shorter hose.")),
            Fit::Lies(_) => return None,
        };
        let mut finding = finding;
        if !finding.unjudged {
            let length = match hose.fit {
                Fit::TooFar(by) => by,
                _ => Length::ZERO,
            };
            finding = finding.mark(FindingMark::Missing {
                cable: self.id.clone(),
                stretch: self.index,
                length,
            });
        }
        if matches!(hose.fit, Fit::TooFar(_) | Fit::Kinks(_)) {
            finding.fix = self.other().map(|length| {
                let mut edited = self.cable.clone();
                edited.plugs[self.index].length = length;
                vec![Edit::SetCable(self.id.clone(), Some(edited))]
            });
        }
        let whole = around(self.stretch);
        finding.place = whole.or_else(|| port_place(self.facts.placed, &self.stretch.to));
        Some(finding)
    }

    /// Another length of the catalogue at which it does not kink.
    fn other(&self) -> Option<Length> {
        let kind = self.facts.catalogue.cables.get(self.cable.kind.as_ref()?)?;
        let wide = |length: &Length| {
            let ends = (&self.stretch.from, &self.stretch.to);
            let (placed, catalogue) = (self.facts.placed, self.facts.catalogue);
            let radius = hose::radius_at(placed, catalogue, self.cable, ends, *length);
            radius.is_some_and(|r| hose::is_wide(r, self.cable.bend))
        };
        kind.lengths.iter().copied().find(wide)
    }

    fn longer(&self, otherwise: &str) -> String {
        match self.other() {
            Some(length) => format!("Take {length} mm of it."),
            None => otherwise.to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, at_port, block, cable, l, port, v};
    use crate::model::{CaptiveLead, Group, PartKind, Role, Section, System};
    use std::f64::consts::PI;

    fn ends(length: f64, out: &str) -> [PartKind; 2] {
        let mut radiator = block("radiator", Group::Radiator, [10.0; 3]);
        let mut hose = port("h", "hose-end", v(10.0, 5.0, 5.0), "+x", Role::Both);
        hose.lead = Some(CaptiveLead {
            length: l(length),
            section: Section::Round(l(10.0)),
            bend: l(36.0),
        });
        radiator.ports = vec![hose];
        let mut pump = block("pump", Group::Block, [10.0; 3]);
        let x = if out == "+x" { 10.0 } else { 0.0 };
        pump.ports = vec![port("h", "hose-end", v(x, 5.0, 5.0), out, Role::Both)];
        [radiator, pump]
    }

    /// A radiator with a hose of this length, and a block at `at` whose hose end
    /// looks to `out`. The fitting is 20 long, with nothing straight behind it.
    fn hose(length: f64, out: &str, at: [f64; 3]) -> Build {
        let [radiator, pump] = ends(length, out);
        let mut scene = Build::open()
            .with("r", &radiator, [300.0, 300.0, 300.0])
            .with("b", &pump, at);
        let mut connector = scene.catalogue.connectors["host"].clone();
        connector.id = "hose-end".into();
        (connector.plug[2], connector.straight) = (l(20.0), l(0.0));
        scene
            .catalogue
            .connectors
            .insert("hose-end".into(), connector);
        let mut hose = cable(None, at_port("r", "h"), at_port("b", "h"), length, vec![]);
        (hose.system, hose.bend, hose.section) = (System::Liquid, l(36.0), Section::Round(l(10.0)));
        scene.cable("c", hose)
    }

    #[test]
    fn drawn_straight_it_just_reaches() {
        // From x 310 to 490, 180 apart, 20 of it the fitting.
        hose(180.0, "-x", [490.0, 300.0, 300.0]).expect("hose-reach", &[]);
        let found = hose(179.9, "-x", [490.0, 300.0, 300.0]).only("hose-reach");
        assert_eq!(found.key(), "hose-reach:b:h+cable:c");
        assert!(
            found.text.contains("0.1 mm too far apart"),
            "{}",
            found.text
        );
    }

    #[test]
    fn a_half_circle_of_the_least_radius_is_enough() {
        // Both look to +x; the block's free end lies 20 before its face, so the half
        // circle of radius 36 is pi 36 long, and 20 of fitting.
        let half = |radius: f64| {
            let length = (PI * radius + 20.0) * 1000.0;
            hose(
                length.round() / 1000.0,
                "+x",
                [280.0, 300.0 + 2.0 * radius, 300.0],
            )
        };
        half(36.0).expect("hose-reach", &[]);
        let found = half(35.0).only("hose-reach");
        assert!(
            found.text.contains("kinks, it bends with radius 35.0"),
            "{}",
            found.text
        );
    }

    #[test]
    fn too_much_hose_bulges_out() {
        let found = hose(2500.0, "-x", [490.0, 300.0, 300.0]).only("hose-reach");
        assert!(
            found.text.contains("too near for 2500.0 mm"),
            "{}",
            found.text
        );
    }

    #[test]
    fn a_lead_is_no_hose() {
        let mut scene = hose(100.0, "-x", [490.0, 300.0, 300.0]);
        let mut lead = scene.scene.arrangement().cables[&crate::build::cid("c")].clone();
        lead.system = System::Data;
        scene.edit(crate::edit::Edit::SetCable(
            crate::build::cid("c"),
            Some(lead),
        ));
        scene.expect("hose-reach", &[]);
    }
}
