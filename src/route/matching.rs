//! Which cable joins two ports.

use crate::geom::Length;
use crate::model::{CableKindId, Catalogue, Port, Role, Section, System};

/// A way to join two ports.
#[derive(Clone, PartialEq, Debug)]
pub struct Choice {
    /// The catalogue's kind; `None` for the captive lead of one of the ports.
    pub kind: Option<CableKindId>,
    /// For people.
    pub name: String,
    /// Tint and legend.
    pub system: System,
    /// Lengths at hand, shortest first.
    pub lengths: Vec<Length>,
    /// Cross-section.
    pub section: Section,
    /// Smallest bend radius.
    pub bend: Length,
    /// True where the cable starts at the second port: that one gives, or has the
    /// captive lead.
    pub flipped: bool,
}

/// The cables that can join two ports: the captive lead of one of them, or kinds
/// of the catalogue. Otherwise why not, in words.
pub fn matching(catalogue: &Catalogue, a: &Port, b: &Port) -> Result<Vec<Choice>, String> {
    if gives(a) && gives(b) && !takes(a) && !takes(b) {
        return Err(format!("{} and {} both give", a.name, b.name));
    }
    if takes(a) && takes(b) && !gives(a) && !gives(b) {
        return Err(format!("{} and {} both take", a.name, b.name));
    }
    match (&a.lead, &b.lead) {
        (Some(_), Some(_)) => Err(format!(
            "{} and {} both have a lead of their own",
            a.name, b.name
        )),
        (Some(_), None) => captive(catalogue, a, b, false),
        (None, Some(_)) => captive(catalogue, b, a, true),
        (None, None) => loose(catalogue, a, b),
    }
}

fn gives(p: &Port) -> bool {
    p.role != Role::Sink
}

fn takes(p: &Port) -> bool {
    p.role != Role::Source
}

fn captive(
    catalogue: &Catalogue,
    from: &Port,
    to: &Port,
    flipped: bool,
) -> Result<Vec<Choice>, String> {
    let Some(lead) = &from.lead else {
        return Err(format!("{} has no lead", from.name));
    };
    if !catalogue.fits(&from.connector, &to.connector) {
        return Err(format!(
            "{} ends in a plug for {}, {} is {}",
            from.name,
            called(catalogue, &from.connector),
            to.name,
            called(catalogue, &to.connector),
        ));
    }
    let kinds = catalogue.cables.values();
    let system = kinds
        .filter(|k| k.to == from.connector || k.from == from.connector)
        .map(|k| k.system)
        .next();
    Ok(vec![Choice {
        kind: None,
        name: from.name.clone(),
        system: system.unwrap_or(System::Data),
        lengths: vec![lead.length],
        section: lead.section,
        bend: lead.bend,
        flipped,
    }])
}

fn loose(catalogue: &Catalogue, a: &Port, b: &Port) -> Result<Vec<Choice>, String> {
    let mut choices = Vec::new();
    for (from, to, flipped) in [(a, b, false), (b, a, true)] {
        if !gives(from) || !takes(to) {
            continue;
        }
        for kind in catalogue.cables.values() {
            let known = |c: &Choice| c.kind.as_ref() == Some(&kind.id);
            let fits = !kind.extends
                && kind.from == from.connector
                && catalogue.fits(&kind.to, &to.connector);
            if !fits || choices.iter().any(known) {
                continue;
            }
            choices.push(Choice {
                kind: Some(kind.id.clone()),
                name: kind.name.clone(),
                system: kind.system,
                lengths: kind.lengths.clone(),
                section: kind.section,
                bend: kind.bend,
                flipped,
            });
        }
    }
    if choices.is_empty() {
        return Err(format!(
            "no cable joins {} and {}",
            called(catalogue, &a.connector),
            called(catalogue, &b.connector)
        ));
    }
    Ok(choices)
}

/// A connector's name, or its id where the catalogue does not know it.
fn called(catalogue: &Catalogue, connector: &str) -> String {
    match catalogue.connectors.get(connector) {
        Some(c) => format!("'{}'", c.name),
        None => format!("'{connector}'"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Dir, Vec3};
    use crate::model::{CableKind, CaptiveLead};
    use std::sync::Arc;

    fn port(name: &str, connector: &str, role: Role) -> Port {
        Port {
            id: name.into(),
            name: name.into(),
            connector: connector.into(),
            at: Vec3::ZERO,
            leaves: Dir::PosX,
            role,
            lead: None,
            required: false,
            draws_mw: None,
            passes: false,
            purpose: None,
        }
    }

    fn lead() -> Option<CaptiveLead> {
        Some(CaptiveLead {
            length: Length::mm(500),
            section: Section::Round(Length::mm(4)),
            bend: Length::mm(20),
        })
    }

    fn catalogue() -> Catalogue {
        let id = CableKindId::new("sata").expect("sound");
        let kind = CableKind {
            id: id.clone(),
            name: "data lead".into(),
            system: System::Data,
            from: "host".into(),
            to: "drive".into(),
            lengths: vec![Length::mm(300), Length::mm(450)],
            section: Section::Flat(Length::mm(8), Length::mm(2)),
            bend: Length::mm(30),
            plugs: 1,
            pitch: Length::ZERO,
            extends: false,
            carries_mw: None,
            figures: vec![],
        };
        let mut catalogue = Catalogue::default();
        catalogue.cables.insert(id, Arc::new(kind));
        catalogue
    }

    #[test]
    fn a_kind_joins_its_two_ends_either_way_round() {
        let (host, drive) = (
            port("h", "host", Role::Source),
            port("d", "drive", Role::Sink),
        );
        let c = catalogue();
        let there = matching(&c, &host, &drive).expect("joins");
        let back = matching(&c, &drive, &host).expect("joins");
        assert!(!there[0].flipped && back[0].flipped);
        assert_eq!(there[0].lengths, back[0].lengths);
    }

    #[test]
    fn two_that_give_or_no_cable_between_them_is_said() {
        let c = catalogue();
        let give = port("one", "host", Role::Source);
        assert!(
            matching(&c, &give, &give)
                .unwrap_err()
                .contains("both give")
        );
        let odd = port("odd", "other", Role::Sink);
        let why = matching(&c, &give, &odd).unwrap_err();
        assert!(why.contains("no cable joins 'host' and 'other'"), "{why}");
    }

    #[test]
    fn a_captive_lead_goes_into_its_socket_only() {
        let c = catalogue();
        let mut fan = port("fan lead", "fan-4pin", Role::Sink);
        fan.lead = lead();
        let header = port("header", "fan-4pin", Role::Source);
        let choice = &matching(&c, &header, &fan).expect("joins")[0];
        assert!(choice.flipped && choice.kind.is_none());
        assert_eq!(choice.lengths, [Length::mm(500)]);
        let host = port("h", "host", Role::Source);
        assert!(matching(&c, &fan, &host).is_err());
        let mut other = header.clone();
        other.lead = lead();
        assert!(
            matching(&c, &fan, &other)
                .unwrap_err()
                .contains("both have")
        );
    }
}
