//! Headers, sockets and leads through which more is drawn than they may carry.

use super::common::{port_name, port_place};
use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};
use crate::model::{CableId, PortRef, Role, Unit};
use crate::route::feed::{self, Load};

/// See [`Rule::about`].
pub(super) struct PlugOverload;

impl Rule for PlugOverload {
    fn id(&self) -> &'static str {
        "plug-overload"
    }

    fn title(&self) -> &'static str {
        "Plug overloaded"
    }

    fn about(&self) -> &'static str {
        "What hangs on a header, a socket or a lead, by splitters and hubs too, may not draw more \
         through it than its plug carries: 1.5 A at a fan header (4-Wire PWM Controlled Fans \
         Specification, 2.1), and so on; each figure has its source in the catalogue. What a part \
         takes is its port's figure or its share of the part's own; a card's slot gives it 75 W \
         first. Exactly as much is allowed. Where it is not known what several on one plug take, that \
         is said."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Port]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Port(at) = anchor else {
            return;
        };
        let part = facts.scene.parts.get(&at.part);
        let Some(port) = part.and_then(|p| p.kind.port(&at.port)) else {
            return;
        };
        let (most, lead) = least(facts, at, &port.connector);
        // A plain device says by its own connector what it takes.
        let Some(most) = most.filter(|_| port.role == Role::Source || port.passes) else {
            return;
        };
        let load = feed::load(facts.scene, facts.placed, facts.catalogue, at);
        let mut subjects = vec![Subject::Port(at.clone())];
        subjects.extend(lead.map(Subject::Cable));
        let name = port_name(facts, at);
        let mut finding = if load.mw > most {
            let text = format!(
                "{name}: {} W drawn through it by {}, {} W at most",
                watts(load.mw),
                count(load),
                watts(most)
            );
            Finding::new(self.id(), Severity::Stop, subjects, text)
                .amounts(Unit::Watt, most as f64 / 1000.0, load.mw as f64 / 1000.0)
                .hint("Feed some of them from another port.")
        } else if load.unknown > 0 && load.ports > 1 {
            let text = format!(
                "{name}: whether it carries {} was not judged, of {} it is not known what they draw",
                count(load),
                load.unknown
            );
            Finding::unjudged(self.id(), subjects, text)
        } else {
            return;
        };
        finding.place = port_place(facts.placed, at);
        out.push(finding);
    }
}

fn count(load: Load) -> String {
    match load.ports {
        1 => "one port".to_owned(),
        n => format!("{n} ports"),
    }
}

fn watts(mw: u64) -> String {
    (mw as f64 / 1000.0).to_string()
}

/// What the port's plug may carry, or the lead in it where that carries less; then
/// with the lead.
fn least(facts: &Facts, at: &PortRef, connector: &str) -> (Option<u64>, Option<CableId>) {
    let plug = feed::carries(facts.catalogue, connector);
    let mut least = (plug, None);
    for id in facts.placed.plugged(at) {
        let cable = facts.scene.arrangement().cables.get(id);
        let kind = cable
            .filter(|c| c.from == *at)
            .and_then(|c| c.kind.as_ref());
        let kind = kind.and_then(|k| facts.catalogue.cables.get(k));
        if let Some(carries) = kind.and_then(|k| k.carries_mw).map(u64::from)
            && least.0.is_none_or(|m| carries < m)
        {
            least = (Some(carries), Some(id.clone()));
        }
    }
    least
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, at_port, block, cable, fan, port, v};
    use crate::model::{Group, PartKind, Role};

    fn drawing(watts: Option<f64>) -> PartKind {
        let mut kind = fan(120.0, 105.0, 25.0);
        kind.ratings.draws_w = watts;
        kind
    }

    /// Two fans on a splitter on one header that carries 18 W: 1.5 A at 12 V, 4-Wire
    /// PWM Controlled Fans Specification, 2.1.
    fn on_splitter(watts: Option<f64>) -> Build {
        let mut board = block("board", Group::Board, [40.0; 3]);
        board.ports = vec![port(
            "h",
            "fan-4pin",
            v(20.0, 20.0, 40.0),
            "+z",
            Role::Source,
        )];
        let mut splitter = block("splitter", Group::Adapter, [20.0, 10.0, 10.0]);
        let lead = drawing(None).ports[0].clone();
        splitter.ports = vec![
            crate::model::Port {
                id: "in".into(),
                at: v(0.0, 5.0, 5.0),
                passes: true,
                ..lead
            },
            port("a", "fan-4pin", v(20.0, 5.0, 3.0), "+x", Role::Source),
            port("b", "fan-4pin", v(20.0, 5.0, 7.0), "+x", Role::Source),
        ];
        let mut scene = Build::open()
            .with("board", &board, [0.0; 3])
            .with("splitter", &splitter, [100.0, 0.0, 0.0])
            .with("fan-1", &drawing(watts), [200.0, 0.0, 0.0])
            .with("fan-2", &drawing(watts), [400.0, 0.0, 0.0]);
        let header = scene.catalogue.connectors.get_mut("fan-4pin").unwrap();
        header.carries_mw = Some(18_000);
        let lead = |from, to| cable(None, from, to, 400.0, vec![]);
        scene
            .cable("c0", lead(at_port("splitter", "in"), at_port("board", "h")))
            .cable(
                "c1",
                lead(at_port("fan-1", "lead"), at_port("splitter", "a")),
            )
            .cable(
                "c2",
                lead(at_port("fan-2", "lead"), at_port("splitter", "b")),
            )
    }

    #[test]
    fn exactly_as_much_is_allowed() {
        on_splitter(Some(9.0)).expect("plug-overload", &[]);
    }

    #[test]
    fn more_is_found_at_the_header_and_at_the_plug() {
        let scene = on_splitter(Some(9.001));
        scene.expect(
            "plug-overload",
            &["plug-overload:board:h", "plug-overload:splitter:in"],
        );
        assert_eq!(
            scene.found("plug-overload")[0].text,
            "h of board: 18.002 W drawn through it by 3 ports, 18 W at most"
        );
    }

    #[test]
    fn what_is_not_known_is_said() {
        let found = on_splitter(None).found("plug-overload");
        assert!(
            found.len() == 2 && found.iter().all(|f| f.unjudged),
            "{found:#?}"
        );
    }

    #[test]
    fn a_change_far_down_is_found_far_up() {
        use crate::edit::{Edit, apply};
        let scene = on_splitter(Some(9.0));
        let mut checker = scene.checked();
        let mut after = scene.scene.clone();
        let bigger = std::sync::Arc::new(drawing(Some(12.0)));
        let edit = Edit::SetKind(crate::build::pid("fan-2"), bigger);
        let touched = apply(&mut after, &edit).expect("sound");
        checker.update(&after, &touched);
        let found: Vec<String> = checker
            .findings()
            .iter()
            .filter(|f| f.rule == "plug-overload")
            .map(|f| f.key())
            .collect();
        assert_eq!(
            found,
            ["plug-overload:board:h", "plug-overload:splitter:in"]
        );
    }
}
