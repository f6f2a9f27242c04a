//! From a scene to the bare problem: which ports want a plug, which give one.

use super::net::{Arc, From, Need, Net, Sink, Source};
use crate::geom::Length;
use crate::model::{Cable, CableId, CableKind, Catalogue, Port, PortRef, Purpose, Role, Scene};
use crate::placement::{Placed, PlacedPort};
use crate::route::feed::{carries, draws};
use crate::route::matching::{Choice, matching};
use std::collections::{BTreeMap, BTreeSet};

/// A kind of run of the problem.
#[derive(Clone)]
pub(super) struct Kind {
    /// The catalogue's kind; `None` for captive leads, and where it is not known.
    pub kind: Option<std::sync::Arc<CableKind>>,
    /// The lead that is laid already, where it is one that stays.
    pub kept: Option<CableId>,
}

/// A problem with what its numbers stand for.
pub(super) struct Problem<'a> {
    pub scene: &'a Scene,
    pub placed: &'a Placed,
    pub catalogue: &'a Catalogue,
    pub net: Net,
    pub sinks: Vec<PortRef>,
    pub sources: Vec<PortRef>,
    pub kinds: Vec<Kind>,
    /// For each sink how many sources of its type there are, and those that lie
    /// too far or carry too little to be worth an arc.
    pub typed: Vec<usize>,
    pub far: Vec<Vec<usize>>,
    pub weak: Vec<Vec<usize>>,
    /// Sinks that a lead is in already that cannot be told as a run.
    pub settled: BTreeSet<usize>,
    /// Ids of the leads that stay.
    pub kept: BTreeSet<CableId>,
    /// Of each arc that is kept, its kind of run.
    owner: BTreeMap<usize, usize>,
}

/// The one that all captive leads share.
pub(super) const CAPTIVE: usize = 0;

struct Ports<'a> {
    placed: &'a Placed,
    /// In the order of parts and of their ports.
    all: Vec<(PortRef, &'a Port, PlacedPort)>,
}

impl<'a> Problem<'a> {
    /// What is to be fed where the leads that `keep` names stay as they are.
    pub fn new(
        scene: &'a Scene,
        placed: &'a Placed,
        catalogue: &'a Catalogue,
        keep: impl Fn(&CableId, &Cable) -> bool,
    ) -> Problem<'a> {
        let mut kinds = vec![Kind {
            kind: None,
            kept: None,
        }];
        let mut plugs = vec![1];
        for kind in catalogue.cables.values() {
            kinds.push(Kind {
                kind: Some(kind.clone()),
                kept: None,
            });
            plugs.push(kind.plugs);
        }
        let mut problem = Problem {
            scene,
            placed,
            catalogue,
            net: Net {
                plugs,
                ..Net::default()
            },
            sinks: Vec::new(),
            sources: Vec::new(),
            kinds,
            typed: Vec::new(),
            far: Vec::new(),
            weak: Vec::new(),
            settled: BTreeSet::new(),
            kept: BTreeSet::new(),
            owner: BTreeMap::new(),
        };
        let ports = Ports::of(placed);
        let kept: Vec<(&CableId, &Cable)> = scene
            .arrangement()
            .cables
            .iter()
            .filter(|(id, c)| keep(id, c))
            .collect();
        let used: BTreeSet<&PortRef> = kept.iter().flat_map(|(_, c)| c.ports()).collect();
        problem.kept = kept.iter().map(|(id, _)| (*id).clone()).collect();
        problem.sinks(&ports, &used, catalogue);
        problem.sources(&ports, catalogue);
        problem.keep(&kept);
        let led: BTreeSet<usize> = problem.net.arcs.iter().map(|a| a.to).collect();
        let settled =
            |(i, p): (usize, &PortRef)| (used.contains(p) && !led.contains(&i)).then_some(i);
        problem.settled = problem
            .sinks
            .iter()
            .enumerate()
            .filter_map(settled)
            .collect();
        problem.arcs(&ports, &used);
        problem
    }

    fn sinks(&mut self, ports: &Ports, used: &BTreeSet<&PortRef>, catalogue: &Catalogue) {
        for (at, port, _) in &ports.all {
            let need = match (port.required, port.lead.is_some()) {
                _ if port.role != Role::Sink => continue,
                (true, _) => Need::Must,
                (false, true) => Need::Wanted,
                (false, false) if used.contains(at) => Need::Wanted,
                (false, false) => continue,
            };
            self.sinks.push(at.clone());
            self.net.sinks.push(Sink {
                draws: ports.draws(at, port, catalogue),
                carries: carries(catalogue, &port.connector),
                need,
            });
        }
    }

    fn sources(&mut self, ports: &Ports, catalogue: &Catalogue) {
        let number: BTreeMap<&PortRef, usize> =
            self.sinks.iter().enumerate().map(|(i, p)| (p, i)).collect();
        let mut sources = Vec::new();
        for (at, port, _) in &ports.all {
            if port.role != Role::Source {
                continue;
            }
            let kind = ports.placed.part(&at.part).map(|p| &p.kind);
            let passes = kind.into_iter().flat_map(|k| &k.ports).filter(|p| p.passes);
            let through = passes.filter_map(|p| {
                let at = PortRef {
                    part: at.part.clone(),
                    port: p.id.clone(),
                };
                number.get(&at).copied()
            });
            sources.push(at.clone());
            self.net.sources.push(Source {
                carries: carries(catalogue, &port.connector),
                behind: through.collect(),
            });
        }
        self.sources = sources;
    }

    /// Leads that stay: their stretches are there already.
    fn keep(&mut self, kept: &[(&CableId, &Cable)]) {
        let number = |list: &[PortRef], p: &PortRef| list.iter().position(|q| q == p);
        let mut fed = BTreeSet::new();
        let mut gives = BTreeSet::new();
        for (id, cable) in kept {
            let (source, ends): (_, Vec<&PortRef>) = match number(&self.sources, &cable.from) {
                Some(source) => (Some(source), cable.plugs.iter().map(|p| &p.to).collect()),
                None => {
                    let to = cable.plugs.first().map(|p| &p.to);
                    (to.and_then(|p| number(&self.sources, p)), vec![&cable.from])
                }
            };
            let sinks: Option<Vec<usize>> = ends.iter().map(|p| number(&self.sinks, p)).collect();
            let (Some(source), Some(sinks)) = (source, sinks) else {
                continue;
            };
            // A port that is used twice is a finding; here the first lead counts.
            if gives.contains(&source) || sinks.iter().any(|s| fed.contains(s)) {
                continue;
            }
            gives.insert(source);
            let kind = cable.kind.as_ref();
            let kind = kind.and_then(|k| self.catalogue.cables.get(k)).cloned();
            self.net.plugs.push(match cable.extension {
                // The extension hangs on its last plug.
                Some(_) => sinks.len(),
                None => sinks.len().max(kind.as_ref().map_or(1, |k| k.plugs)),
            });
            self.kinds.push(Kind {
                kind,
                kept: Some((*id).clone()),
            });
            let mut from = From::Source(source);
            for to in sinks {
                if !fed.insert(to) {
                    break;
                }
                self.owner.insert(self.net.arcs.len(), self.kinds.len() - 1);
                self.net.arcs.push(Arc {
                    from,
                    to,
                    bound: 0,
                    kept: true,
                    astray: false,
                });
                from = From::Sink(to);
            }
        }
    }

    fn arcs(&mut self, ports: &Ports, used: &BTreeSet<&PortRef>) {
        let at: BTreeMap<&PortRef, (&Port, &PlacedPort)> =
            ports.all.iter().map(|(r, p, q)| (r, (*p, q))).collect();
        // What some header in the scene is there for.
        let purposes: BTreeSet<(&str, Purpose)> = (ports.all.iter())
            .filter(|(_, p, _)| p.role == Role::Source)
            .filter_map(|(_, p, _)| Some((p.connector.as_str(), p.purpose?)))
            .collect();
        let mut arcs = Vec::new();
        for (to, sink) in self.sinks.iter().enumerate() {
            let mut typed = 0;
            let (mut far, mut weak) = (Vec::new(), Vec::new());
            let (port, place) = at[sink];
            if !used.contains(sink) {
                for (from, source) in self.sources.iter().enumerate() {
                    if source.part == sink.part {
                        continue;
                    }
                    let (gives, gives_at) = at[source];
                    let Ok(choices) = matching(self.catalogue, gives, port) else {
                        continue;
                    };
                    typed += 1;
                    if used.contains(source) {
                        continue;
                    }
                    let choices = self.strong(to, from, choices);
                    let longest = choices.iter().flat_map(|c| c.lengths.last()).max();
                    let Some(longest) = longest else {
                        weak.push(from);
                        continue;
                    };
                    let straight = straight(gives_at, place);
                    let out = self.plug(&port.connector);
                    if straight - out > *longest {
                        far.push(from);
                        continue;
                    }
                    arcs.push(Arc {
                        from: From::Source(from),
                        to,
                        bound: (straight - out).max(Length::ZERO).as_um(),
                        kept: false,
                        astray: port.purpose.is_some_and(|p| {
                            gives.purpose != Some(p)
                                && purposes.contains(&(gives.connector.as_str(), p))
                        }),
                    });
                }
                for (from, before) in self.sinks.iter().enumerate() {
                    let (other, other_at) = at[before];
                    if from == to || other.lead.is_some() || port.lead.is_some() {
                        continue;
                    }
                    let out = self.plug(&port.connector) + self.plug(&other.connector);
                    let bound = (straight(other_at, place) - out).max(Length::ZERO);
                    let mut kinds = self.kinds.iter().filter_map(|k| k.kind.as_ref());
                    if kinds.any(|k| k.pitch >= bound && self.joins(k, from, to)) {
                        arcs.push(Arc {
                            from: From::Sink(from),
                            to,
                            bound: bound.as_um(),
                            kept: false,
                            astray: false,
                        });
                    }
                }
            }
            self.typed.push(typed);
            self.far.push(far);
            self.weak.push(weak);
        }
        self.net.arcs.extend(arcs);
    }

    /// True where this kind of run is the one that an arc that stays belongs to.
    pub fn owns(&self, arc: usize, kind: usize) -> bool {
        self.owner.get(&arc) == Some(&kind)
    }

    /// True where a run of this kind can go on from one sink to another.
    pub fn joins(&self, kind: &CableKind, before: usize, sink: usize) -> bool {
        let takes = |at: &PortRef| {
            let port = self.placed.port_kind(at);
            port.is_some_and(|p| p.connector == kind.to && p.lead.is_none())
        };
        kind.plugs > 1 && takes(&self.sinks[before]) && takes(&self.sinks[sink])
    }

    /// The choices that carry what this sink takes.
    fn strong(&self, sink: usize, source: usize, choices: Vec<Choice>) -> Vec<Choice> {
        let sink = &self.net.sinks[sink];
        let over = |most: Option<u64>| most.is_some_and(|m| sink.draws > m);
        if over(sink.carries) || over(self.net.sources[source].carries) {
            return Vec::new();
        }
        let strong = |c: &Choice| {
            let kind = c.kind.as_ref();
            let kind = kind.and_then(|k| self.catalogue.cables.get(k));
            let weak = over(kind.and_then(|k| k.carries_mw).map(u64::from));
            // A loose cable starts where it is fed from.
            let backwards = c.flipped && kind.is_some();
            !weak && !backwards
        };
        choices.into_iter().filter(strong).collect()
    }

    /// The cables that may join a source and a sink.
    pub fn choices(&self, source: usize, sink: usize) -> Vec<Choice> {
        let port = |at: &PortRef| self.placed.port_kind(at);
        let (Some(gives), Some(takes)) = (port(&self.sources[source]), port(&self.sinks[sink]))
        else {
            return Vec::new();
        };
        let choices = matching(self.catalogue, gives, takes).unwrap_or_default();
        self.strong(sink, source, choices)
    }

    /// How far the plug of a connector stands out.
    fn plug(&self, connector: &str) -> Length {
        let connector = self.catalogue.connectors.get(connector);
        connector.map_or(Length::ZERO, |c| c.plug[2])
    }
}

/// From face to face, rounded down: no way is shorter.
fn straight(a: &PlacedPort, b: &PlacedPort) -> Length {
    let d = a.at - b.at;
    let square: i128 = [d.x, d.y, d.z]
        .iter()
        .map(|l| i128::from(l.as_um()) * i128::from(l.as_um()))
        .sum();
    Length::um(i64::try_from(square.isqrt()).unwrap_or(i64::MAX))
}

impl<'a> Ports<'a> {
    fn of(placed: &'a Placed) -> Ports<'a> {
        let mut all = Vec::new();
        for part in placed.parts() {
            for port in &part.kind.ports {
                let at = PortRef {
                    part: part.id.clone(),
                    port: port.id.clone(),
                };
                if let Some(place) = placed.port(&at) {
                    all.push((at, port, place));
                }
            }
        }
        all.sort_by(|a, b| a.0.cmp(&b.0));
        Ports { placed, all }
    }

    /// What a part takes through a port, in milliwatts; where it is not known, as
    /// much as the plug may carry.
    fn draws(&self, at: &PortRef, port: &Port, catalogue: &Catalogue) -> u64 {
        let kind = self.placed.part(&at.part).map(|p| &p.kind);
        let known = kind.and_then(|k| draws(k, port, catalogue));
        known.unwrap_or_else(|| carries(catalogue, &port.connector).unwrap_or(0))
    }
}
