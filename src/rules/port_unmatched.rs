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
        if let Some(why) = mismatch(facts, kind, from, here, first) {
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
fn mismatch(
    facts: &Facts,
    kind: Option<&CableKind>,
    from: &Port,
    here: &Port,
    first: bool,
) -> Option<String> {
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
    if !facts.catalogue.fits(plug, &here.connector) {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, at_port, block, cable, fan, port, v};
    use crate::model::Group;

    fn joined(from: (&str, Role), to: (&str, Role), kind: Option<&str>) -> Build {
        let of = |id: &str, p: (&str, Role)| {
            let mut kind = block(id, Group::Board, [10.0; 3]);
            kind.ports = vec![port("p", p.0, v(10.0, 5.0, 5.0), "+x", p.1)];
            kind
        };
        Build::open()
            .with("a", &of("one", from), [0.0, 0.0, 0.0])
            .with("b", &of("two", to), [200.0, 0.0, 0.0])
            .cable(
                "c",
                cable(kind, at_port("a", "p"), at_port("b", "p"), 300.0, vec![]),
            )
    }

    #[test]
    fn the_right_plugs_at_both_ends_pass() {
        joined(("host", Role::Source), ("drive", Role::Sink), Some("data"))
            .expect("port-unmatched", &[]);
    }

    #[test]
    fn the_wrong_plug_is_named_with_its_end() {
        let scene = joined(("host", Role::Source), ("other", Role::Sink), Some("data"));
        let found = scene.only("port-unmatched");
        assert_eq!(found.key(), "port-unmatched:b:p+cable:c");
        assert_eq!(
            found.text,
            "lead: p of two takes 'other', the cable has 'drive'"
        );
    }

    #[test]
    fn two_that_give_do_not_feed_one_another() {
        let scene = joined(
            ("host", Role::Source),
            ("drive", Role::Source),
            Some("data"),
        );
        assert!(
            scene
                .only("port-unmatched")
                .text
                .contains("so does the other end")
        );
    }

    #[test]
    fn a_cable_without_kind_needs_a_captive_lead() {
        let scene = joined(("host", Role::Source), ("drive", Role::Sink), None);
        let texts: Vec<String> = scene
            .found("port-unmatched")
            .into_iter()
            .map(|f| f.text)
            .collect();
        assert!(
            texts.iter().any(|t| t.contains("no lead of its own")),
            "{texts:?}"
        );
    }

    #[test]
    fn a_kind_that_the_catalogue_lacks_is_not_passed_in_silence() {
        let mut scene = joined(("host", Role::Source), ("drive", Role::Sink), Some("data"));
        scene.catalogue.cables.clear();
        assert!(scene.only("port-unmatched").unjudged);
    }

    #[test]
    fn a_port_that_must_be_fed_wants_a_cable() {
        let mut kind = fan(120.0, 105.0, 25.0);
        kind.ports[0].required = true;
        let alone = Build::open().with("fan", &kind, [0.0, 0.0, 0.0]);
        let found = alone.only("port-unmatched");
        assert_eq!(found.text, "lead of fan 120x25 has no cable");
        let mut hub = block("hub", Group::Adapter, [40.0, 40.0, 10.0]);
        hub.ports = vec![port("h", "fan-4pin", v(0.0, 20.0, 5.0), "-x", Role::Source)];
        alone
            .with("hub", &hub, [300.0, 0.0, 0.0])
            .cable(
                "c",
                cable(
                    None,
                    at_port("fan", "lead"),
                    at_port("hub", "h"),
                    400.0,
                    vec![],
                ),
            )
            .expect("port-unmatched", &[]);
    }
}
