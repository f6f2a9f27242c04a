//! Passages through which too much is led, or a plug does not get.

use super::index::Led;
use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};
use crate::geom::Box3;
use crate::model::{Cable, CableId, Passage, Section, Unit};
use crate::route::bundle;
use crate::route::ways::{FILL, gets_through};
use std::collections::BTreeMap;

/// See [`Rule::about`].
pub(super) struct PassageFull;

impl Rule for PassageFull {
    fn id(&self) -> &'static str {
        "passage-full"
    }

    fn title(&self) -> &'static str {
        "Passage too full"
    }

    fn about(&self) -> &'static str {
        "What is led through a passage has to get through its clear size: each cable flat or round, \
         at least one of its plugs, and all together. More area than the opening has cannot be built. \
         A plug whose size is not known is said. A \
         bundle (1.2 times the root of the sum of squared diameters, never thinner than the best \
         packing) that is thicker than the opening's narrow side is a caution once the cables fill \
         more than 40 percent of it (the fill of conduits with three and more, NFPA 70 chapter 9 table \
         1, from memory). A laid way that goes through counts like one that is led through. Exactly as \
         much is allowed."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Scene]
    }

    fn judge(&self, facts: &Facts, _: Anchor, out: &mut Vec<Finding>) {
        let all = &facts.scene.arrangement().cables;
        for (led, ids) in facts.index.along() {
            let Led::Passage(passage) = led else { continue };
            let cables = ids.iter().filter_map(|id| all.get_key_value(id)).collect();
            if let Some(passage) = facts.placed.enclosure().passage(passage) {
                plugs(facts, passage, &cables, out);
                out.extend(filled(passage, &cables));
            }
        }
    }
}

/// Around the opening, to go to.
fn place(passage: &Passage) -> Box3 {
    let at = passage.frame.origin;
    Box3::new(at, at).grown(passage.clear[0].max(passage.clear[1]) / 2)
}

fn plugs(
    facts: &Facts,
    passage: &Passage,
    cables: &BTreeMap<&CableId, &Cable>,
    out: &mut Vec<Finding>,
) {
    for (id, cable) in cables {
        // One end goes through first; a captive lead has its other end fixed.
        let captive = cable.kind.is_none();
        let ends = cable.ports().skip(usize::from(captive));
        let mut sizes = Vec::new();
        for end in ends {
            let port = facts.placed.port_kind(end);
            let connector = port.and_then(|p| facts.catalogue.connectors.get(&p.connector));
            sizes.extend(connector.map(|c| [c.plug[0], c.plug[1]]));
        }
        let subjects = vec![
            Subject::Cable((*id).clone()),
            Subject::Opening(passage.id.clone()),
        ];
        let Some(least) = sizes.iter().min_by_key(|s| s[0].max(s[1])) else {
            let text = format!(
                "whether a plug of {} gets through {} was not judged: their size is not known",
                cable.name, passage.name
            );
            let finding = Finding::unjudged("passage-full", subjects, text).at(place(passage));
            out.push(finding.hint("Measure the plugs."));
            continue;
        };
        if sizes.iter().any(|s| gets_through(*s, passage.clear)) {
            continue;
        }
        let text = format!(
            "{}: no plug of it gets through {}: {} x {} mm, the opening has {} x {}",
            cable.name, passage.name, least[0], least[1], passage.clear[0], passage.clear[1]
        );
        let finding = Finding::new("passage-full", Severity::Stop, subjects, text)
            .at(place(passage))
            .hint("Lead it another way, or put its plug on afterwards.");
        out.push(finding);
    }
}

fn filled(passage: &Passage, cables: &BTreeMap<&CableId, &Cable>) -> Option<Finding> {
    let sections: Vec<Section> = cables.values().map(|c| c.section).collect();
    let area = bundle::area(sections.iter().copied());
    let opening = passage.clear[0].as_mm() * passage.clear[1].as_mm();
    let thick = bundle::diameter(sections.iter().copied());
    let narrow = passage.clear[0].min(passage.clear[1]);
    let wide = sections
        .iter()
        .find(|s| !gets_through([s.width(), s.thickness()], passage.clear));
    let (severity, text) = if area > opening || wide.is_some() {
        (
            Severity::Stop,
            format!(
                "{} do not get through {}: {:.0} mm² of cable, the opening has {:.0}",
                count(cables.len()),
                passage.name,
                area,
                opening
            ),
        )
    } else if thick > narrow && area > FILL * opening {
        (
            Severity::Caution,
            format!(
                "{} fill {} to {:.0} %: as a bundle Ø {} mm, the opening is {} wide",
                count(cables.len()),
                passage.name,
                100.0 * area / opening,
                thick.text1(),
                narrow.text1()
            ),
        )
    } else {
        return None;
    };
    let mut subjects = vec![Subject::Opening(passage.id.clone())];
    subjects.extend(cables.keys().map(|id| Subject::Cable((*id).clone())));
    let finding = Finding::new("passage-full", severity, subjects, text)
        .figures(thick, narrow)
        .at(place(passage))
        .hint("Lead some of them another way.");
    Some(match area > opening {
        true => finding.amounts(Unit::SquareMm, opening, area),
        false => finding,
    })
}

fn count(cables: usize) -> String {
    match cables {
        1 => "One cable".to_owned(),
        n => format!("{n} cables"),
    }
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, at_port, block, cable, enclosure, frame, l, port, v};
    use crate::model::{Group, Passage, Role, Section, Via};

    /// So many leads of this diameter through an opening. The plugs are 6 x 12.
    fn led(count: usize, diameter: f64, clear: [f64; 2]) -> Build {
        let mut e = enclosure([1000.0; 3]);
        e.passages.push(Passage {
            id: "gap".into(),
            name: "gap".into(),
            frame: frame(v(500.0, 500.0, 500.0), "+x", "+z", "+y"),
            clear: clear.map(l),
        });
        let mut host = block("host", Group::Board, [400.0, 10.0, 10.0]);
        let mut drive = block("drive", Group::Drive, [400.0, 10.0, 10.0]);
        for i in 0..count {
            let x = 20.0 * i as f64 + 10.0;
            let id = format!("p{i}");
            host.ports
                .push(port(&id, "host", v(x, 10.0, 5.0), "+y", Role::Source));
            drive
                .ports
                .push(port(&id, "drive", v(x, 0.0, 5.0), "-y", Role::Sink));
        }
        let mut scene = Build::new(e).with("a", &host, [300.0, 100.0, 495.0]).with(
            "b",
            &drive,
            [300.0, 900.0, 495.0],
        );
        for i in 0..count {
            let end = |part: &str| at_port(part, &format!("p{i}"));
            let via = vec![Via::Passage("gap".into())];
            let mut lead = cable(Some("data"), end("a"), end("b"), 1500.0, via);
            lead.section = Section::Round(l(diameter));
            scene = scene.cable(&format!("c{i}"), lead);
        }
        scene
    }

    #[test]
    fn what_just_gets_through_passes() {
        // The plug of 6 x 12 in an opening of 6 x 12; and five of 10 mm side by side.
        led(1, 4.0, [12.0, 6.0]).expect("passage-full", &[]);
        led(1, 6.0, [6.0, 12.0]).expect("passage-full", &[]);
        led(3, 4.0, [20.0, 20.0]).expect("passage-full", &[]);
    }

    #[test]
    fn a_plug_that_does_not_get_through_is_named() {
        let found = led(1, 4.0, [11.9, 6.0]).only("passage-full");
        assert_eq!(found.key(), "passage-full:cable:c0+opening:gap");
        assert!(
            found.text.contains("12 mm, the opening has 11.9"),
            "{}",
            found.text
        );
    }

    #[test]
    fn a_bundle_that_is_too_thick_is_a_caution_and_too_much_area_a_stop() {
        use crate::rules::Severity;
        // Four of 8: 201 mm² of 380, 53 %, as a bundle 19.3 in 19.
        let found = led(4, 8.0, [20.0, 19.0]).only("passage-full");
        assert_eq!(found.severity, Severity::Caution);
        assert!(found.text.contains("Ø 19.3"), "{}", found.text);
        led(4, 8.0, [20.0, 20.0]).expect("passage-full", &[]);
        let found = led(9, 8.0, [20.0, 20.0]).only("passage-full");
        assert_eq!(found.severity, Severity::Stop);
    }
}
