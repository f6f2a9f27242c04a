//! Ports with more than one cable in them.

use super::common::{port_name, port_place};
use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};

/// See [`Rule::about`].
pub(super) struct PortTwice;

impl Rule for PortTwice {
    fn id(&self) -> &'static str {
        "port-twice"
    }

    fn title(&self) -> &'static str {
        "Port used twice"
    }

    fn about(&self) -> &'static str {
        "One port takes one plug. Two cables in one port, or one cable that is plugged into it twice, \
         cannot be built. The same goes for a captive lead, which has one free end."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Port]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Port(port) = anchor else {
            return;
        };
        let cables = facts.placed.plugged(port);
        if cables.len() < 2 {
            return;
        }
        let mut names: Vec<String> = cables
            .iter()
            .map(|id| match facts.scene.arrangement().cables.get(id) {
                Some(cable) => format!("{} ({id})", cable.name),
                None => id.to_string(),
            })
            .collect();
        names.dedup();
        let text = format!(
            "{} takes one plug, {} are in it: {}",
            port_name(facts, port),
            cables.len(),
            names.join(", ")
        );
        let mut subjects = vec![Subject::Port(port.clone())];
        subjects.extend(cables.iter().cloned().map(Subject::Cable));
        subjects.dedup();
        let mut finding = Finding::new(self.id(), Severity::Stop, subjects, text)
            .hint("Take all but one to other ports, or use a splitter.");
        finding.place = port_place(facts.placed, port);
        out.push(finding);
    }
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, at_port, block, cable, fan, port, v};
    use crate::model::{Group, Role};

    fn two(second: &str) -> Build {
        let fan = fan(120.0, 105.0, 25.0);
        let mut hub = block("hub", Group::Adapter, [40.0, 40.0, 10.0]);
        for (id, x) in [("h1", 10.0), ("h2", 25.0)] {
            hub.ports
                .push(port(id, "fan-4pin", v(x, 20.0, 10.0), "+z", Role::Source));
        }
        let lead = |fan: &str, to: &str| {
            cable(
                None,
                at_port(fan, "lead"),
                at_port("hub", to),
                400.0,
                vec![],
            )
        };
        Build::open()
            .with("fan", &fan, [0.0, 0.0, 0.0])
            .with("fan-2", &fan, [0.0, 200.0, 0.0])
            .with("hub", &hub, [200.0, 100.0, 0.0])
            .cable("c1", lead("fan", "h1"))
            .cable("c2", lead("fan-2", second))
    }

    #[test]
    fn one_plug_a_port() {
        two("h2").expect("port-twice", &[]);
        let found = two("h1").only("port-twice");
        assert_eq!(found.key(), "port-twice:cable:c1+cable:c2+hub:h1");
        assert_eq!(
            found.text,
            "h1 of hub takes one plug, 2 are in it: lead (c1), lead (c2)"
        );
    }

    #[test]
    fn one_cable_may_not_be_plugged_in_twice() {
        let scene = two("h2");
        let mut lead = scene.scene.arrangement().cables[&crate::build::cid("c1")].clone();
        let again = lead.plugs[0].clone();
        lead.plugs.push(again);
        let found = scene.cable("c1", lead).only("port-twice");
        assert_eq!(found.key(), "port-twice:cable:c1+hub:h1");
    }
}
