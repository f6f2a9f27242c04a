//! Cables whose ends do not go into their ports, and ports that must be fed and
//! are not.

use super::common::{part, port_name, port_place};
use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};
use crate::model::{Cable, CableId, CableKind, Port, PortRef, Role};
use crate::placement::PlacedPart;

/// See [`Rule::about`].
pub(super) struct PortUnmatched;

impl Rule for PortUnmatched {
    fn id(&self) -> &'static str {
        "port-unmatched"
    }

    fn title(&self) -> &'static str {
        "Port unmatched"
    }

    fn about(&self) -> &'static str {
        "The plug at each end of a cable has to be the one that its port takes, and one end has to \
         give what the other takes (a source feeds a sink). A port without which its part does not \
         work has to have a cable. Connector types: the catalogue's, with their sources."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Cable, Scope::Part]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        match anchor {
            Anchor::Cable(id, cable) => ends(facts, id, cable, out),
            Anchor::Part(p) => unfed(facts, p, out),
            _ => {}
        }
    }
}

fn ends(facts: &Facts, id: &CableId, cable: &Cable, out: &mut Vec<Finding>) {
    let kind = match &cable.kind {
        Some(kind) => match facts.catalogue.cables.get(kind) {
            Some(kind) => Some(kind.as_ref()),
            None => {
                let text = format!(
                    "whether the plugs of {} fit was not judged: its kind '{kind}' is not in the catalogue",
                    cable.name
                );
                let subjects = vec![Subject::Cable(id.clone())];
                out.push(Finding::unjudged("port-unmatched", subjects, text));
                return;
            }
        },
        None => None,
    };
    let port = |at: &PortRef| facts.scene.parts.get(&at.part)?.kind.port(&at.port);
    let Some(from) = port(&cable.from) else {
        out.push(missing(facts, id, cable, &cable.from));
        return;
    };
    for at in cable.ports() {
        let Some(here) = port(at) else {
            out.push(missing(facts, id, cable, at));
            continue;
        };
        let first = std::ptr::eq(at, &cable.from);
        if let Some(why) = mismatch(kind, from, here, first) {
            let text = format!("{}: {} {why}", cable.name, port_name(facts, at));
            out.push(finding(facts, id, at, text));
        }
    }
}

fn missing(facts: &Facts, id: &CableId, cable: &Cable, at: &PortRef) -> Finding {
    let text = format!("{}: {} does not exist", cable.name, port_name(facts, at));
    finding(facts, id, at, text)
}

fn finding(facts: &Facts, id: &CableId, at: &PortRef, text: String) -> Finding {
    let subjects = vec![Subject::Cable(id.clone()), Subject::Port(at.clone())];
    let mut finding = Finding::new("port-unmatched", Severity::Stop, subjects, text)
        .hint("Take a cable with the right plugs, or another port.");
    finding.place = port_place(facts.placed, at);
    finding
}

/// Why an end does not go into its port.
fn mismatch(kind: Option<&CableKind>, from: &Port, here: &Port, first: bool) -> Option<String> {
    if first {
        return match kind {
            Some(kind) if kind.from != here.connector => Some(format!(
                "takes '{}', the cable has '{}'",
                here.connector, kind.from
            )),
            Some(_) if here.lead.is_some() => Some("has a lead of its own".to_owned()),
            None if here.lead.is_none() => {
                Some("has no lead of its own, and the cable is of no kind".to_owned())
            }
            _ => None,
        };
    }
    let plug = kind.map_or(&from.connector, |k| &k.to);
    if *plug != here.connector {
        return Some(format!(
            "takes '{}', the cable has '{plug}'",
            here.connector
        ));
    }
    if here.lead.is_some() {
        return Some("has a lead of its own".to_owned());
    }
    match (from.role, here.role) {
        (Role::Source, Role::Source) => Some("gives, and so does the other end".to_owned()),
        (Role::Sink, Role::Sink) => Some("takes, and so does the other end".to_owned()),
        _ => None,
    }
}

fn unfed(facts: &Facts, p: &PlacedPart, out: &mut Vec<Finding>) {
    for port in p.kind.ports.iter().filter(|q| q.required) {
        let at = PortRef {
            part: p.id.clone(),
            port: port.id.clone(),
        };
        if !facts.placed.plugged(&at).is_empty() {
            continue;
        }
        let text = format!("{} has no cable", port_name(facts, &at));
        let subjects = vec![part(p), Subject::Port(at.clone())];
        let mut finding = Finding::new("port-unmatched", Severity::Caution, subjects, text)
            .hint("Draw a cable from it to a port that matches.");
        finding.place = port_place(facts.placed, &at);
        out.push(finding);
    }
}
