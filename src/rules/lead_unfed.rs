//! Leads that hang on a hub, a splitter or an adapter that nothing feeds.

use super::common::{part, port_name, port_place};
use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};
use crate::model::{PortRef, Role};
use crate::placement::PlacedPart;
use crate::route::feed;
use std::collections::BTreeMap;

/// See [`Rule::about`].
pub(super) struct LeadUnfed;

impl Rule for LeadUnfed {
    fn id(&self) -> &'static str {
        "lead-unfed"
    }

    fn title(&self) -> &'static str {
        "Lead that nothing feeds"
    }

    fn about(&self) -> &'static str {
        "Hubs, splitters and adapters give only what they get. Leads on one that has no feed of its \
         own, and such parts that feed one another in a ring, are dead. Which ports pass on is a \
         figure of the part."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Part, Scope::Port]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        match anchor {
            Anchor::Part(p) => out.extend(dead(facts, p)),
            Anchor::Port(at) => out.extend(ring(facts, at)),
            _ => {}
        }
    }
}

fn at(p: &PlacedPart, port: &crate::model::Port) -> PortRef {
    PortRef {
        part: p.id.clone(),
        port: port.id.clone(),
    }
}

fn dead(facts: &Facts, p: &PlacedPart) -> Option<Finding> {
    let empty = |q: &&crate::model::Port| q.passes && facts.placed.plugged(&at(p, q)).is_empty();
    let through = at(p, p.kind.ports.iter().find(empty)?);
    let sources = p.kind.ports.iter().filter(|q| q.role == Role::Source);
    let ids: Vec<_> = sources
        .flat_map(|q| facts.placed.plugged(&at(p, q)).to_vec())
        .collect();
    let names: Vec<String> = ids
        .iter()
        .filter_map(|id| facts.scene.arrangement().cables.get(id))
        .map(|c| c.name.clone())
        .collect();
    let hang = match names.as_slice() {
        [] => return None,
        [one] => format!("{one} gets nothing"),
        [one, rest @ ..] => format!("{one} and {} more get nothing", rest.len()),
    };
    let text = format!("{hang}: {} has no cable", port_name(facts, &through));
    let mut subjects = vec![part(p), Subject::Port(through.clone())];
    subjects.extend(ids.into_iter().map(Subject::Cable));
    let mut finding = Finding::new("lead-unfed", Severity::Caution, subjects, text)
        .hint("Feed it, or take its leads to other ports.");
    finding.place = port_place(facts.placed, &through);
    Some(finding)
}

/// A ring through this port, found from the least of its ports only.
fn ring(facts: &Facts, start: &PortRef) -> Option<Finding> {
    let passes = |at: &PortRef| {
        let port = facts.scene.parts.get(&at.part)?.kind.port(&at.port)?;
        port.passes.then_some(())
    };
    passes(start)?;
    // Up from port to port; the way back tells the ring.
    let mut below: BTreeMap<PortRef, PortRef> = BTreeMap::new();
    let mut open = vec![start.clone()];
    while let Some(at) = open.pop() {
        for up in above(facts, &at) {
            if up == *start {
                let mut ring = vec![at.clone()];
                while let Some(next) = ring.last().and_then(|p| below.get(p)) {
                    ring.push(next.clone());
                }
                return ring.iter().all(|p| p >= start).then(|| found(facts, &ring));
            }
            if !below.contains_key(&up) {
                below.insert(up.clone(), at.clone());
                open.push(up);
            }
        }
    }
    None
}

/// The ports through which the part that feeds this port is fed.
fn above(facts: &Facts, at: &PortRef) -> Vec<PortRef> {
    let mut all = Vec::new();
    for id in facts.placed.plugged(at) {
        let cable = facts.scene.arrangement().cables.get(id);
        let Some((from, to)) = cable.and_then(|c| feed::ends(facts.scene, c)) else {
            continue;
        };
        let Some(part) = facts
            .scene
            .parts
            .get(&from.part)
            .filter(|_| to.contains(&at))
        else {
            continue;
        };
        all.extend(
            part.kind
                .ports
                .iter()
                .filter(|p| p.passes)
                .map(|p| PortRef {
                    part: from.part.clone(),
                    port: p.id.clone(),
                }),
        );
    }
    all
}

fn found(facts: &Facts, ring: &[PortRef]) -> Finding {
    let name = |p: &PortRef| {
        facts
            .scene
            .parts
            .get(&p.part)
            .map_or("", |q| q.name.as_str())
    };
    let text = match ring {
        [one] => format!("{} feeds itself: nothing comes in", name(one)),
        [one, rest @ ..] => format!(
            "{} and {} feed one another: nothing comes in",
            name(one),
            rest.iter().map(name).collect::<Vec<_>>().join(", ")
        ),
        [] => String::new(),
    };
    let subjects = ring.iter().cloned().map(Subject::Port).collect();
    let mut finding = Finding::new("lead-unfed", Severity::Stop, subjects, text)
        .hint("Feed one of them from a board or a supply.");
    finding.place = ring.first().and_then(|p| port_place(facts.placed, p));
    finding
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, at_port, block, cable, fan, port, v};
    use crate::model::{Group, PartKind, Port, Role};

    fn splitter() -> PartKind {
        let mut kind = block("splitter", Group::Adapter, [20.0, 10.0, 10.0]);
        let lead = fan(120.0, 105.0, 25.0).ports[0].clone();
        kind.ports = vec![
            Port {
                id: "in".into(),
                at: v(0.0, 5.0, 5.0),
                passes: true,
                ..lead
            },
            port("a", "fan-4pin", v(20.0, 5.0, 3.0), "+x", Role::Source),
            port("b", "fan-4pin", v(20.0, 5.0, 7.0), "+x", Role::Source),
        ];
        kind
    }

    fn lead(from: (&str, &str), to: (&str, &str)) -> crate::model::Cable {
        let end = |e: (&str, &str)| at_port(e.0, e.1);
        cable(None, end(from), end(to), 400.0, vec![])
    }

    fn bench() -> Build {
        let mut board = block("board", Group::Board, [40.0; 3]);
        board.ports = vec![port(
            "h",
            "fan-4pin",
            v(20.0, 20.0, 40.0),
            "+z",
            Role::Source,
        )];
        Build::open()
            .with("board", &board, [0.0; 3])
            .with("s", &splitter(), [100.0, 0.0, 0.0])
            .with("t", &splitter(), [100.0, 100.0, 0.0])
            .with("fan", &fan(120.0, 105.0, 25.0), [200.0, 0.0, 0.0])
            .cable("c1", lead(("fan", "lead"), ("s", "a")))
    }

    #[test]
    fn a_fed_splitter_passes() {
        let fed = bench().cable("c0", lead(("s", "in"), ("board", "h")));
        fed.expect("lead-unfed", &[]);
    }

    #[test]
    fn a_dead_splitter_names_its_leads() {
        let found = bench().only("lead-unfed");
        assert_eq!(found.key(), "lead-unfed:cable:c1+s+s:in");
        assert_eq!(
            found.text,
            "lead gets nothing: lead of splitter has no cable"
        );
    }

    #[test]
    fn a_splitter_without_leads_is_not_named_here() {
        let alone = Build::open().with("s", &splitter(), [0.0; 3]);
        alone.expect("lead-unfed", &[]);
    }

    #[test]
    fn a_ring_is_found_once() {
        let ring = bench()
            .cable("c2", lead(("s", "in"), ("t", "a")))
            .cable("c3", lead(("t", "in"), ("s", "b")));
        let found = ring.only("lead-unfed");
        assert_eq!(found.key(), "lead-unfed:s:in+t:in");
        let own = bench().cable("c2", lead(("s", "in"), ("s", "b")));
        assert_eq!(own.only("lead-unfed").key(), "lead-unfed:s:in");
    }
}
