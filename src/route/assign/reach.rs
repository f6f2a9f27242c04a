//! Measures stretches by leading a cable along them.

use super::collect::{CAPTIVE, Problem};
use super::net::{From, Measure, Way, Ways};
use crate::geom::Length;
use crate::model::{Cable, CableId, PlugEnd, PortRef, Settings};
use crate::route::matching::Choice;
use crate::route::run::run;
use std::collections::BTreeMap;

/// Measures the stretches of a problem, and remembers by how much the best lead
/// misses where none reaches.
pub(super) struct Reach<'a> {
    pub problem: &'a Problem<'a>,
    pub settings: &'a Settings,
    /// By arc: what is missing, or why there is no way.
    pub missed: BTreeMap<usize, Result<Length, String>>,
    scratch: CableId,
}

/// What one stretch needs and has.
pub(super) struct Lead {
    /// The way's length.
    pub needed: Length,
    /// The length to take.
    pub length: Length,
    /// True where that leaves less than the share for service.
    pub tight: bool,
}

impl<'a> Reach<'a> {
    pub fn new(problem: &'a Problem<'a>, settings: &'a Settings) -> Reach<'a> {
        Reach {
            problem,
            settings,
            missed: BTreeMap::new(),
            scratch: CableId::fresh("measured", |_| false),
        }
    }

    /// The length of a stretch, or why it has none.
    fn needed(&self, cable: &Cable, stretch: usize) -> Result<Length, String> {
        let p = self.problem;
        let run = run(p.scene, p.placed, p.catalogue, &self.scratch, cable);
        match run.stretches.get(stretch) {
            Some(s) if !s.legs.is_empty() => Ok(s.needed),
            Some(s) => Err(s.judged.clone().err().unwrap_or_default()),
            None => Err(String::new()),
        }
    }

    /// The shortest length that leaves the share for service, or else one that
    /// reaches; otherwise what the longest lacks.
    fn pick(&self, lengths: &[Length], needed: Length) -> Result<Lead, Length> {
        let wanted = self.settings.with_service(needed);
        let of = |tight, least| {
            let length = lengths.iter().copied().find(|l| *l >= least)?;
            Some(Lead {
                needed,
                length,
                tight,
            })
        };
        let longest = lengths.last().copied().unwrap_or(Length::ZERO);
        of(false, wanted)
            .or_else(|| of(true, needed))
            .ok_or(needed - longest)
    }

    /// The first stretch of a lead from a source to a sink, alone on its run or
    /// not.
    pub fn first(
        &self,
        source: usize,
        sink: usize,
        choice: &Choice,
        alone: bool,
    ) -> Result<Lead, Result<Length, String>> {
        let p = self.problem;
        let (gives, takes) = (&p.sources[source], &p.sinks[sink]);
        let (from, to) = match choice.flipped {
            false => (gives, takes),
            true => (takes, gives),
        };
        let mut plugs = vec![to];
        // Whatever the next plug goes to, it does not change the first stretch.
        plugs.extend((!alone).then_some(from));
        let needed = self
            .needed(&cable(choice, from, &plugs, Length::ZERO), 0)
            .map_err(Err)?;
        self.pick(&choice.lengths, needed).map_err(Ok)
    }

    /// A further stretch of a run, from plug to plug.
    pub fn further(
        &self,
        before: usize,
        sink: usize,
        kind: &crate::model::CableKind,
    ) -> Result<Lead, Result<Length, String>> {
        let p = self.problem;
        let (a, b) = (&p.sinks[before], &p.sinks[sink]);
        let choice = choice_of(kind);
        let needed = self
            .needed(&cable(&choice, b, &[a, b], kind.pitch), 1)
            .map_err(Err)?;
        self.pick(&[kind.pitch], needed).map_err(Ok)
    }

    fn heads(&mut self, arc: usize, source: usize, sink: usize) -> Ways {
        let mut ways = Ways::default();
        for choice in self.problem.choices(source, sink) {
            let kind = self.kind(&choice);
            let runs = self.problem.net.plugs[kind] > 1;
            for alone in [true, false] {
                if !alone && !runs {
                    continue;
                }
                let list = if alone {
                    &mut ways.alone
                } else {
                    &mut ways.first
                };
                match self.first(source, sink, &choice, alone) {
                    Ok(lead) => list.push(way(kind, &lead)),
                    Err(why) => self.miss(arc, why),
                }
            }
        }
        ways
    }

    fn kind(&self, choice: &Choice) -> usize {
        let same = |k: &super::collect::Kind| {
            k.kept.is_none() && k.kind.as_ref().map(|k| &k.id) == choice.kind.as_ref()
        };
        self.problem.kinds.iter().position(same).unwrap_or(CAPTIVE)
    }

    fn miss(&mut self, arc: usize, why: Result<Length, String>) {
        let less = match (self.missed.get(&arc), &why) {
            (None, _) | (Some(Err(_)), Ok(_)) => true,
            (Some(Ok(old)), Ok(new)) => new < old,
            _ => false,
        };
        if less {
            self.missed.insert(arc, why);
        }
    }
}

impl Measure for Reach<'_> {
    fn ways(&mut self, arc: usize) -> Ways {
        let a = &self.problem.net.arcs[arc];
        if a.kept {
            // Whatever kind it is of: its own.
            let all = (0..self.problem.kinds.len()).filter(|k| self.problem.owns(arc, *k));
            let list: Vec<Way> = all
                .map(|kind| Way {
                    kind,
                    length: 0,
                    tight: false,
                })
                .collect();
            return Ways {
                alone: list.clone(),
                first: list,
            };
        }
        match a.from {
            From::Source(source) => self.heads(arc, source, a.to),
            From::Sink(before) => {
                let mut ways = Ways::default();
                for index in 0..self.problem.kinds.len() {
                    let Some(kind) = self.problem.kinds[index].kind.clone() else {
                        continue;
                    };
                    if !self.problem.joins(&kind, before, a.to) {
                        continue;
                    }
                    match self.further(before, a.to, &kind) {
                        Ok(lead) => ways.alone.push(way(index, &lead)),
                        Err(why) => self.miss(arc, why),
                    }
                }
                ways
            }
        }
    }
}

fn way(kind: usize, lead: &Lead) -> Way {
    Way {
        kind,
        length: lead.needed.as_um(),
        tight: lead.tight,
    }
}

pub(super) fn choice_of(kind: &crate::model::CableKind) -> Choice {
    Choice {
        kind: Some(kind.id.clone()),
        name: kind.name.clone(),
        system: kind.system,
        lengths: kind.lengths.clone(),
        section: kind.section,
        bend: kind.bend,
        flipped: false,
    }
}

/// A cable of a choice along these ports.
pub(super) fn cable(choice: &Choice, from: &PortRef, to: &[&PortRef], length: Length) -> Cable {
    let plug = |to: &&PortRef| PlugEnd {
        to: (*to).clone(),
        length,
        via: Vec::new(),
    };
    Cable {
        name: choice.name.clone(),
        kind: choice.kind.clone(),
        system: choice.system,
        from: from.clone(),
        plugs: to.iter().map(plug).collect(),
        section: choice.section,
        bend: choice.bend,
        locked: false,
        extension: None,
        hangs: None,
        finds: false,
    }
}
