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
