//! What hangs on what: who feeds a port, what a port takes, what a source has to
//! give in all.

use crate::model::{Cable, Catalogue, Group, PartKind, Port, PortRef, Role, Scene};
use crate::placement::Placed;
use std::collections::BTreeSet;

/// What a card may take from its slot, in milliwatts: 75 W for x16 by the PCI
/// Express Card Electromechanical Specification (quoted in secondary texts).
const SLOT_MW: u64 = 75_000;

/// What a part takes itself through one of its ports, in milliwatts: as the port
/// says, or its share of what the part takes in all (a card's slot gives its part
/// first). Nothing through a port that carries no power; `None` where it is not
/// known.
pub fn draws(kind: &PartKind, port: &Port, catalogue: &Catalogue) -> Option<u64> {
    if let Some(draws) = port.draws_mw {
        return Some(u64::from(draws));
    }
    if carries(catalogue, &port.connector).is_none() {
        return Some(0);
    }
    let Some(watts) = kind.ratings.draws_w else {
        return port.passes.then_some(0);
    };
    let said: u64 = kind
        .ports
        .iter()
        .filter_map(|p| p.draws_mw)
        .map(u64::from)
        .sum();
    let slot = match kind.group {
        Group::Card => SLOT_MW,
        _ => 0,
    };
    let left = ((watts * 1000.0).ceil() as u64).saturating_sub(said + slot);
    let shares = kind.ports.iter().filter(|p| {
        p.role == Role::Sink && p.draws_mw.is_none() && carries(catalogue, &p.connector).is_some()
    });
    Some(left.div_ceil(shares.count().max(1) as u64))
}

/// The most that a connector's plug may carry, in milliwatts.
pub fn carries(catalogue: &Catalogue, connector: &str) -> Option<u64> {
    let connector = catalogue.connectors.get(connector)?;
    connector.carries_mw.map(u64::from)
}

/// True where what is plugged in here decides how the part's sources run: a port that passes
/// on, or the header that tells a hub with a feed of its own how fast its fans turn.
pub fn steers(kind: &PartKind, port: &str) -> bool {
    let hub = kind.ports.iter().any(|p| p.passes);
    let alike = |at: &Port| {
        let mut sources = kind.ports.iter().filter(|p| p.role == Role::Source);
        sources.any(|p| p.connector == at.connector)
    };
    let at = kind.port(port);
    at.is_some_and(|p| p.role == Role::Sink && (p.passes || (hub && alike(p))))
}

/// The ends of a cable as it feeds: the port that gives and those that take.
/// `None` where none of its ends gives.
pub fn ends<'a>(scene: &Scene, cable: &'a Cable) -> Option<(&'a PortRef, Vec<&'a PortRef>)> {
    let gives = |at: &PortRef| {
        let port = scene
            .parts
            .get(&at.part)
            .and_then(|p| p.kind.port(&at.port));
        port.is_some_and(|p| p.role == Role::Source)
    };
    let first = cable.plugs.first().map(|p| &p.to)?;
    if gives(&cable.from) {
        Some((&cable.from, cable.plugs.iter().map(|p| &p.to).collect()))
    } else {
        gives(first).then(|| (first, vec![&cable.from]))
    }
}

/// What hangs on a port.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Load {
    /// What is known to be drawn, in milliwatts.
    pub mw: u64,
    /// Ports on it, near and far.
    pub ports: usize,
    /// Ports on it of which it is not known what they draw.
    pub unknown: usize,
}

/// What is drawn through a port: of one that gives, all that its cables lead to;
/// of one that takes, what its part takes there and passes on.
pub fn load(scene: &Scene, placed: &Placed, catalogue: &Catalogue, at: &PortRef) -> Load {
    let mut load = Load::default();
    let mut seen = BTreeSet::new();
    let whole = Share {
        of: 1,
        at: at.clone(),
    };
    let mut open = vec![whole];
    while let Some(Share { of, at }) = open.pop() {
        // A ring of parts that feed one another is counted once round.
        if !seen.insert(at.clone()) {
            continue;
        }
        let Some(part) = scene.parts.get(&at.part) else {
            continue;
        };
        let Some(port) = part.kind.port(&at.port) else {
            continue;
        };
        if port.role == Role::Sink {
            load.ports += 1;
            match draws(&part.kind, port, catalogue) {
                Some(mw) => load.mw += mw.div_ceil(of),
                None => load.unknown += 1,
            }
            if port.passes {
                let ways = part.kind.ports.iter().filter(|p| p.passes).count() as u64;
                for p in part.kind.ports.iter().filter(|p| p.role == Role::Source) {
                    open.push(Share {
                        of: of.saturating_mul(ways),
                        at: PortRef {
                            part: at.part.clone(),
                            port: p.id.clone(),
                        },
                    });
                }
            }
            continue;
        }
        for id in placed.plugged(&at) {
            let cable = scene.arrangement().cables.get(id);
            if let Some((from, to)) = cable.and_then(|c| ends(scene, c))
                && *from == at
            {
                open.extend(to.into_iter().map(|p| Share { of, at: p.clone() }));
            }
        }
    }
    load
}

/// A port on the way down, and through how many ways of equal share it is fed.
struct Share {
    of: u64,
    at: PortRef,
}

/// Adds the ports that have to do with those in the set: the other ends of their
/// cables, and the ports through which their parts are fed, all the way up. A
/// change at one of them changes what those have to give.
pub fn add_upstream(scene: &Scene, placed: &Placed, ports: &mut BTreeSet<PortRef>) {
    let mut open: Vec<PortRef> = ports.iter().cloned().collect();
    while let Some(at) = open.pop() {
        let kind = scene.parts.get(&at.part).map(|p| &p.kind);
        let through = kind.into_iter().flat_map(|k| {
            let ports = k.ports.iter().filter(|p| steers(k, &p.id));
            ports.map(|p| PortRef {
                part: at.part.clone(),
                port: p.id.clone(),
            })
        });
        for here in std::iter::once(at.clone()).chain(through) {
            for id in placed.plugged(&here) {
                let cable = scene.arrangement().cables.get(id);
                for end in cable.into_iter().flat_map(|c| c.ports()) {
                    if ports.insert(end.clone()) {
                        open.push(end.clone());
                    }
                }
            }
        }
    }
}
