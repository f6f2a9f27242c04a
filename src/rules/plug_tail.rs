//! Plugs that go into a smaller socket and leave a piece hanging free.

use super::common::{port_name, port_place};
use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};

/// See [`Rule::about`].
pub(super) struct PlugTail;

impl Rule for PlugTail {
    fn id(&self) -> &'static str {
        "plug-tail"
    }

    fn title(&self) -> &'static str {
        "Plug leaves a tail"
    }

    fn about(&self) -> &'static str {
        "A six-plus-two plug goes into a socket of six too; the piece with the other two contacts \
         then hangs beside it and has to be tucked away, clear of blades (common practice, no \
         source). Which plugs split is a figure of the catalogue."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Port]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Port(at) = anchor else {
            return;
        };
        let kind = |p: &crate::model::PortRef| facts.scene.parts.get(&p.part)?.kind.port(&p.port);
        let Some(socket) = kind(at) else { return };
        for id in facts.placed.plugged(at) {
            let Some(cable) = facts.scene.arrangement().cables.get(id) else {
                continue;
            };
            if cable.from == *at {
                continue;
            }
            let loose = cable.kind.as_ref();
            let plug = match loose.map(|k| facts.catalogue.cables.get(k)) {
                Some(known) => known.map(|k| k.to.as_str()),
                None => kind(&cable.from).map(|p| p.connector.as_str()),
            };
            // The wrong plug is another rule's matter.
            let Some(plug) = plug
                .filter(|p| *p != socket.connector && facts.catalogue.fits(p, &socket.connector))
            else {
                continue;
            };
            let called = |c: &str| match facts.catalogue.connectors.get(c) {
                Some(known) => known.name.clone(),
                None => c.to_owned(),
            };
            let text = format!(
                "{}: its plug ({}) leaves a tail beside {} ({})",
                cable.name,
                called(plug),
                port_name(facts, at),
                called(&socket.connector)
            );
            let subjects = vec![Subject::Cable(id.clone()), Subject::Port(at.clone())];
            let mut finding = Finding::new(self.id(), Severity::Remark, subjects, text)
                .hint("Tie the free piece back to its lead, clear of fans.");
            finding.place = port_place(facts.placed, at);
            out.push(finding);
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, at_port, block, cable, l, port, v};
    use crate::model::{CaptiveLead, Group, Role, Section};

    /// A captive lead with plug type `drive`, which splits to `small`.
    fn plugged(socket: &str) -> Build {
        let mut supply = block("supply", Group::Supply, [40.0; 3]);
        let mut lead = port("lead", "drive", v(40.0, 20.0, 20.0), "+x", Role::Source);
        lead.lead = Some(CaptiveLead {
            length: l(300.0),
            section: Section::Round(l(4.0)),
            bend: l(10.0),
        });
        supply.ports = vec![lead];
        let mut card = block("card", Group::Card, [40.0; 3]);
        card.ports = vec![port("p", socket, v(0.0, 20.0, 20.0), "-x", Role::Sink)];
        let mut scene =
            Build::open()
                .with("supply", &supply, [0.0; 3])
                .with("card", &card, [200.0, 0.0, 0.0]);
        let mut small = scene.catalogue.connectors["drive"].clone();
        small.id = "small".into();
        scene.catalogue.connectors.insert("small".into(), small);
        let splits = &mut scene
            .catalogue
            .connectors
            .get_mut("drive")
            .unwrap()
            .splits_to;
        splits.push("small".into());
        scene.cable(
            "c",
            cable(
                None,
                at_port("supply", "lead"),
                at_port("card", "p"),
                300.0,
                vec![],
            ),
        )
    }

    #[test]
    fn a_plug_in_its_own_socket_leaves_none() {
        plugged("drive").expect("plug-tail", &[]);
    }

    #[test]
    fn a_split_plug_fits_and_leaves_a_tail() {
        let scene = plugged("small");
        scene.expect("port-unmatched", &[]);
        let found = scene.only("plug-tail");
        assert_eq!(found.key(), "plug-tail:cable:c+card:p");
        assert_eq!(
            found.text,
            "lead: its plug (drive) leaves a tail beside p of card (drive)"
        );
    }

    #[test]
    fn a_wrong_plug_is_no_tail() {
        let scene = plugged("host");
        scene.expect("plug-tail", &[]);
        assert_eq!(scene.found("port-unmatched").len(), 1);
    }
}
