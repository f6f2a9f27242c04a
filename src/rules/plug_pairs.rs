//! Plugs that stand in one another; part of the rule on the room of plugs.

use super::common::port_name;
use super::needs::{Need, Why};
use super::{Facts, Finding, FindingMark, Severity, Subject};
use crate::geom::Length;
use crate::model::PortRef;
use crate::placement::PlacedPart;

/// What plugs of two parts share. Those of one part are not looked at: its maker set the ports
/// at a pitch at which plugs go in, and the sizes of plugs are those of their kind at large.
pub(super) fn look(facts: &Facts, a: &PlacedPart, b: &PlacedPart, out: &mut Vec<Finding>) {
    for (p, x) in plugs(facts, a) {
        for (q, y) in plugs(facts, b).filter(|(_, y)| x.space.overlaps(&y.space)) {
            let (Some((depth, _)), Some(region)) =
                (x.space.depth(&y.space), x.space.intersection(&y.space))
            else {
                continue;
            };
            let ports = [(a, p), (b, q)].map(|(owner, port)| PortRef {
                part: owner.id.clone(),
                port: owner.kind.ports[port].id.clone(),
            });
            let names = ports.each_ref().map(|port| port_name(facts, port));
            let text = format!(
                "the plugs in {} and in {} stand {} mm deep in one another",
                names[0],
                names[1],
                depth.text1()
            );
            let subjects = ports.map(Subject::Port).to_vec();
            out.push(
                Finding::new("plug-space", Severity::Stop, subjects, text)
                    .figures(Length::ZERO, -depth)
                    .at(region)
                    .mark(FindingMark::Overlap(region))
                    .hint("Use another port for one of them, or move their parts apart."),
            );
        }
    }
}

/// The room that plugs fill, with the index of the port.
fn plugs<'a>(
    facts: &Facts<'a>,
    owner: &PlacedPart,
) -> impl Iterator<Item = (usize, &'a Need)> + use<'a> {
    facts.needs.of(owner).iter().filter_map(|n| match n.why {
        Why::Plug(port) => Some((port, n)),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, at_port, block, cable, port, v};
    use crate::model::{Group, Role};
    use crate::rules::Severity;

    /// Two blocks whose ports face one another this far apart, joined by a lead; the plugs are
    /// 16 long.
    fn facing(apart: f64) -> Build {
        let mut a = block("a", Group::Other, [20.0, 20.0, 20.0]);
        a.ports = vec![port("p", "drive", v(20.0, 10.0, 10.0), "+x", Role::Source)];
        let mut b = block("b", Group::Other, [20.0, 20.0, 20.0]);
        b.ports = vec![port("p", "drive", v(0.0, 10.0, 10.0), "-x", Role::Sink)];
        let lead = cable(None, at_port("a", "p"), at_port("b", "p"), 900.0, vec![]);
        Build::open()
            .with("a", &a, [0.0; 3])
            .with("b", &b, [20.0 + apart, 0.0, 0.0])
            .cable("c", lead)
    }

    #[test]
    fn plugs_that_face_one_another_need_room_for_both() {
        let found = facing(25.0).only("plug-space");
        assert_eq!(found.key(), "plug-space:a:p+b:p");
        assert_eq!(found.severity, Severity::Stop);
        assert!(found.text.contains("6.0 mm deep") || found.text.contains("7.0 mm deep"));
        // Face to face they touch, and that is enough.
        let plugs = |b: &Build| {
            let checked = b.checked();
            let all = checked.findings();
            all.iter()
                .filter(|f| f.key() == "plug-space:a:p+b:p")
                .count()
        };
        assert_eq!(plugs(&facing(31.9)), 1);
        assert_eq!(plugs(&facing(32.0)), 0);
    }
}
