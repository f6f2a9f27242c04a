//! The command: from a scene to the cables that feed it.

use super::branch::{Answer, solve};
use super::collect::Problem;
use super::net::{From, Need, Run};
use super::reach::{Reach, cable};
use crate::geom::Length;
use crate::model::{Cable, CableId, Catalogue, PlugEnd, PortRef, Scene, Settings};
use crate::placement::Placed;
use std::collections::BTreeSet;
use std::fmt;

/// Most relaxed problems for each part of the scene's ports that hangs together.
const MOST_NODES: usize = 4_000;

/// Which leads give every device port its plug.
#[derive(Clone, PartialEq, Debug)]
pub struct Plan {
    /// New leads, and leads that stay and get a further plug, by id.
    pub cables: Vec<(CableId, Cable)>,
    /// Ports without which a part does not work and that get no plug.
    pub unfed: Vec<Unfed>,
    /// Leads of parts that find no free port.
    pub loose: Vec<Unfed>,
    /// Length of all new ways, without any share for service.
    pub length: Length,
    /// New leads.
    pub leads: usize,
    /// Stretches that reach but leave less than the share for service.
    pub tight: usize,
    /// True where no other choice feeds more, is shorter, or is as short with
    /// fewer leads. False where the search was broken off: then it is the best
    /// choice found.
    pub proved: bool,
}

/// A port that gets no plug, and why.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Unfed {
    /// The port.
    pub port: PortRef,
    /// Why.
    pub why: Why,
}

/// Why a port gets no plug.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Why {
    /// Nothing in the scene gives what it takes.
    NoSource {
        /// Its connector's name.
        connector: String,
    },
    /// All that give it feed others.
    Taken {
        /// So many there are.
        sources: usize,
    },
    /// The lead that misses least is too short.
    TooFar {
        /// To this source.
        source: PortRef,
        /// By so much.
        by: Length,
    },
    /// It takes more than any free source or lead may carry, in milliwatts.
    TooMuch {
        /// What it takes.
        takes: u64,
    },
    /// There is no way for a lead.
    NoWay {
        /// As the way finder says.
        why: String,
    },
}

impl fmt::Display for Why {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Why::NoSource { connector } => write!(f, "nothing in the scene feeds '{connector}'"),
            Why::Taken { sources: 1 } => write!(f, "the one port that feeds it is taken"),
            Why::Taken { sources } => write!(f, "all {sources} ports that feed it are taken"),
            Why::TooFar { source, by } => write!(
                f,
                "the nearest lead, to {source}, is {} mm too short",
                by.text1()
            ),
            Why::TooMuch { takes } => write!(
                f,
                "it takes {:.1} W, more than the free ports and leads may carry",
                *takes as f64 / 1000.0
            ),
            Why::NoWay { why } => write!(f, "no way was found for a lead: {why}"),
        }
    }
}

/// Gives every device port of a placed part its plug.
///
/// The answer is proved to be the best one in this order: as few ports as possible
/// that must be fed and are not, as few leads as possible that hang loose, as few
/// stretches as possible that leave less than the share for service, as few leads as
/// possible in a header that is for something else, the least
/// length of all new ways, the fewest new leads. It keeps to port types, to the
/// lengths at hand and the pitch of runs with several plugs, to what plugs and
/// leads may carry, and it feeds what passes on (hubs, splitters) before it counts
/// on it. Leads that `keep` names stay as they are; a run among them may get
/// further plugs. Hoses are no matter of it: liquid flows in a ring.
///
/// Ports of parts that lie beside the enclosure are left out.
pub fn plan(
    scene: &Scene,
    placed: &Placed,
    catalogue: &Catalogue,
    settings: &Settings,
    keep: impl Fn(&CableId, &Cable) -> bool,
) -> Plan {
    let problem = Problem::new(scene, placed, catalogue, keep);
    let mut reach = Reach::new(&problem, settings);
    let answer = solve(&problem.net, &mut reach, MOST_NODES);
    let mut plan = Plan {
        cables: cables(&problem, &reach, &answer),
        unfed: Vec::new(),
        loose: Vec::new(),
        length: Length::um(answer.score.length),
        leads: usize::try_from(answer.score.leads).unwrap_or(usize::MAX),
        tight: usize::try_from(answer.score.tight).unwrap_or(usize::MAX),
        proved: answer.proved,
    };
    for sink in &answer.unfed {
        if problem.settled.contains(sink) {
            continue;
        }
        let unfed = Unfed {
            port: problem.sinks[*sink].clone(),
            why: why(&problem, &reach, &answer, *sink),
        };
        match problem.net.sinks[*sink].need {
            Need::Must => plan.unfed.push(unfed),
            Need::Wanted => plan.loose.push(unfed),
        }
    }
    plan
}

fn cables(problem: &Problem, reach: &Reach, answer: &Answer) -> Vec<(CableId, Cable)> {
    let mut taken: BTreeSet<CableId> = problem.kept.clone();
    let mut all = Vec::new();
    for run in &answer.runs {
        let kind = &problem.kinds[run.kind];
        if let Some(id) = &kind.kept {
            all.extend(longer(problem, id, run));
            continue;
        }
        let name = kind.kind.as_ref().map_or("lead", |k| k.id.as_str());
        let id = CableId::fresh(name, |i| taken.contains(i));
        if let Some(cable) = fresh(problem, reach, run) {
            taken.insert(id.clone());
            all.push((id, cable));
        }
    }
    all
}

fn fresh(problem: &Problem, reach: &Reach, run: &Run) -> Option<Cable> {
    let kind = problem.kinds[run.kind].kind.as_ref();
    let choices = problem.choices(run.source, run.sinks[0]);
    let choice = choices
        .into_iter()
        .find(|c| c.kind.as_ref() == kind.map(|k| &k.id))?;
    let alone = run.sinks.len() == 1;
    let lead = reach.first(run.source, run.sinks[0], &choice, alone).ok()?;
    let (source, sink) = (&problem.sources[run.source], &problem.sinks[run.sinks[0]]);
    let (from, to) = match choice.flipped {
        false => (source, sink),
        true => (sink, source),
    };
    let mut cable = cable(&choice, from, &[to], lead.length);
    let pitch = kind.map_or(Length::ZERO, |k| k.pitch);
    cable.plugs.extend(run.sinks[1..].iter().map(|s| PlugEnd {
        to: problem.sinks[*s].clone(),
        length: pitch,
        via: Vec::new(),
    }));
    Some(cable)
}

/// A lead that stays, with its new plugs; `None` where it gets none.
fn longer(problem: &Problem, id: &CableId, run: &Run) -> Option<(CableId, Cable)> {
    let new = run
        .arcs
        .iter()
        .zip(&run.sinks)
        .filter(|(a, _)| !problem.net.arcs[**a].kept);
    let pitch = problem.kinds[run.kind].kind.as_ref().map(|k| k.pitch)?;
    let mut cable = problem.scene.arrangement().cables.get(id)?.clone();
    let before = cable.plugs.len();
    cable.plugs.extend(new.map(|(_, sink)| PlugEnd {
        to: problem.sinks[*sink].clone(),
        length: pitch,
        via: Vec::new(),
    }));
    (cable.plugs.len() > before).then(|| (id.clone(), cable))
}

fn why(problem: &Problem, reach: &Reach, answer: &Answer, sink: usize) -> Why {
    let net = &problem.net;
    if problem.typed[sink] == 0 {
        let connector = problem.placed.port_kind(&problem.sinks[sink]);
        let connector = connector.map_or("", |p| &p.connector);
        let known = problem.catalogue.connectors.get(connector);
        return Why::NoSource {
            connector: known.map_or(connector, |c| &c.name).to_owned(),
        };
    }
    // The lead that misses least, of those too far to be thought of too.
    let mut nearest: Option<(Length, usize)> = None;
    let mut no_way = None;
    let mut reached = Vec::new();
    for (index, arc) in net.arcs.iter().enumerate().filter(|(_, a)| a.to == sink) {
        let From::Source(source) = arc.from else {
            continue;
        };
        match reach.missed.get(&index) {
            Some(Ok(by)) if nearest.is_none_or(|n| *by < n.0) => nearest = Some((*by, source)),
            Some(Ok(_)) => {}
            Some(Err(why)) => no_way = Some(why.clone()),
            None => reached.push(source),
        }
    }
    for source in &problem.far[sink] {
        for choice in problem.choices(*source, sink) {
            if let Err(Ok(by)) = reach.first(*source, sink, &choice, true)
                && nearest.is_none_or(|n| by < n.0)
            {
                nearest = Some((by, *source));
            }
        }
    }
    let used = |source: &usize| answer.runs.iter().any(|r| r.source == *source);
    let takes = net.sinks[sink].draws;
    if !reached.is_empty() {
        return match reached.iter().all(used) {
            true => Why::Taken {
                sources: problem.typed[sink],
            },
            false => Why::TooMuch { takes },
        };
    }
    match (nearest, no_way) {
        (Some((by, source)), _) => Why::TooFar {
            source: problem.sources[source].clone(),
            by,
        },
        (None, Some(why)) => Why::NoWay { why },
        (None, None) if !problem.weak[sink].is_empty() => Why::TooMuch { takes },
        (None, None) => Why::Taken {
            sources: problem.typed[sink],
        },
    }
}
