//! Looks at a choice of one stretch per sink as a whole: chains, loops, loads.

use super::net::{From, Net, Run, Ways, best_kind};

/// A choice: for each sink the arc it takes, or `None` where it is left unfed.
pub(super) type Choice = [Option<usize>];

/// The arcs that hang on each source, in order.
type Chains = Vec<Option<Vec<usize>>>;

/// What is wrong with a choice, or what it makes.
#[derive(Debug)]
pub(super) enum Verdict {
    /// These cannot all hold: stretches chosen, and sinks left unfed.
    Conflict(Vec<Fact>),
    /// A run that is dearer than the sum of its stretches, or that no kind does.
    Dearer(Chain),
    /// Sound, at the weight of its stretches.
    Sound,
}

/// Something that a choice says.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Fact {
    /// This arc is chosen.
    Arc(usize),
    /// This sink is unfed.
    Unfed(usize),
}

/// A run as chosen.
#[derive(Clone, Debug)]
pub(super) struct Chain {
    /// Its stretches, in order.
    pub arcs: Vec<usize>,
    /// Its kind and true weight; `None` where no kind does.
    pub kind: Option<(usize, i128)>,
    /// Sum of what its stretches weigh at least.
    pub least: i128,
    /// True where some kind has a plug more than are in use.
    pub goes_on: bool,
}

/// What all stretches of a choice are made of.
pub(super) struct Judge<'a> {
    pub net: &'a Net,
    pub ways: &'a [Option<Ways>],
    /// What each arc weighs at least.
    pub least: &'a [i128],
    /// Sources of each sink's part, where it passes on.
    pub behind: &'a [Vec<usize>],
}

impl Judge<'_> {
    /// The verdict, and where nothing conflicts and every run has a kind, the true
    /// weight of all runs.
    pub fn judge(&self, choice: &Choice) -> (Verdict, Option<i128>) {
        let (chains, source_of) = self.chains(choice);
        let conflict = (self.ring(choice, &source_of))
            .or_else(|| self.starved(choice, &chains))
            .or_else(|| self.fed_by_itself(&chains, &source_of))
            .or_else(|| self.overlong(&chains))
            .or_else(|| self.overloaded(&chains));
        match conflict {
            Some(facts) => (Verdict::Conflict(facts), None),
            None => self.weigh(chains),
        }
    }

    /// The runs of a choice that some kind does, whatever else is wrong with it.
    pub fn runs(&self, choice: &Choice) -> Vec<Run> {
        let (chains, _) = self.chains(choice);
        let run = |(source, arcs): (usize, Option<Vec<usize>>)| {
            let arcs = arcs?;
            let (kind, _) = best_kind(self.net, &arcs, self.ways)?;
            Some(self.run(source, kind, arcs))
        };
        chains.into_iter().enumerate().filter_map(run).collect()
    }

    fn run(&self, source: usize, kind: usize, arcs: Vec<usize>) -> Run {
        Run {
            source,
            kind,
            sinks: arcs.iter().map(|a| self.net.arcs[*a].to).collect(),
            arcs,
        }
    }

    /// The arcs that hang on each source, and for each sink its source and its
    /// place in the run.
    fn chains(&self, choice: &Choice) -> (Chains, Vec<Option<(usize, usize)>>) {
        let n = self.net.sinks.len();
        let mut head: Vec<Option<usize>> = vec![None; self.net.sources.len()];
        let mut next: Vec<Option<usize>> = vec![None; n];
        for arc in choice.iter().flatten() {
            match self.net.arcs[*arc].from {
                From::Source(s) => head[s] = Some(*arc),
                From::Sink(t) => next[t] = Some(*arc),
            }
        }
        let mut chains: Chains = vec![None; head.len()];
        let mut source_of: Vec<Option<(usize, usize)>> = vec![None; n];
        for (source, first) in head.iter().enumerate() {
            let mut arcs = Vec::new();
            let mut at = *first;
            while let Some(arc) = at {
                let to = self.net.arcs[arc].to;
                source_of[to] = Some((source, arcs.len()));
                arcs.push(arc);
                at = next[to];
            }
            chains[source] = (!arcs.is_empty()).then_some(arcs);
        }
        (chains, source_of)
    }

    /// Sinks that only feed one another.
    fn ring(&self, choice: &Choice, source_of: &[Option<(usize, usize)>]) -> Option<Vec<Fact>> {
        let hangs = |s: &usize| choice[*s].is_some() && source_of[*s].is_none();
        let start = (0..choice.len()).find(hangs)?;
        let before = |sink: usize| match choice[sink].map(|a| self.net.arcs[a].from) {
            Some(From::Sink(t)) => Some(t),
            _ => None,
        };
        // Back along the chain: into the ring, or to a sink that is unfed.
        let mut seen = vec![start];
        let mut at = start;
        while let Some(t) = before(at) {
            if choice[t].is_none() {
                return Some(vec![Fact::Unfed(t), Fact::Arc(choice[at]?)]);
            }
            if let Some(i) = seen.iter().position(|s| *s == t) {
                let ring = seen.drain(i..).filter_map(|s| choice[s].map(Fact::Arc));
                return Some(ring.collect());
            }
            seen.push(t);
            at = t;
        }
        None
    }

    /// A part that passes on, in use, and not fed itself.
    fn starved(&self, choice: &Choice, chains: &Chains) -> Option<Vec<Fact>> {
        for (source, chain) in chains.iter().enumerate() {
            let Some(chain) = chain else { continue };
            let new = chain.iter().find(|a| !self.net.arcs[**a].kept);
            let mut behind = self.net.sources[source].behind.iter();
            if let Some(new) = new
                && let Some(sink) = behind.find(|s| choice[**s].is_none())
            {
                return Some(vec![Fact::Unfed(*sink), Fact::Arc(*new)]);
            }
        }
        None
    }

    /// Parts that pass on to one another in a ring.
    fn fed_by_itself(
        &self,
        chains: &Chains,
        source_of: &[Option<(usize, usize)>],
    ) -> Option<Vec<Fact>> {
        // Up from each source in turn, along what feeds its part.
        for start in 0..chains.len() {
            let mut open: Vec<(usize, Vec<usize>)> = vec![(start, Vec::new())];
            let mut seen = vec![start];
            while let Some((at, facts)) = open.pop() {
                for sink in &self.net.sources[at].behind {
                    let Some((source, place)) = source_of[*sink] else {
                        continue;
                    };
                    let chain = chains[source].as_deref().unwrap_or_default();
                    let mut facts = facts.clone();
                    facts.extend_from_slice(&chain[..=place]);
                    if source == start {
                        if let Some(facts) = self.blame(facts) {
                            return Some(facts);
                        }
                    } else if !seen.contains(&source) {
                        seen.push(source);
                        open.push((source, facts));
                    }
                }
            }
        }
        None
    }

    /// Further stretches that join more sinks than any run has plugs.
    fn overlong(&self, chains: &Chains) -> Option<Vec<Fact>> {
        for chain in chains.iter().flatten() {
            let Some(second) = chain.get(1) else { continue };
            let kinds = self.ways[*second].iter().flat_map(|w| &w.alone);
            let most = kinds.map(|w| self.net.plugs[w.kind]).max().unwrap_or(1);
            if chain.len() > most
                && let Some(facts) = self.blame(chain[1..=most].to_vec())
            {
                return Some(facts);
            }
        }
        None
    }

    /// A source or a plug that would have to carry too much.
    fn overloaded(&self, chains: &Chains) -> Option<Vec<Fact>> {
        for (source, chain) in chains.iter().enumerate() {
            let Some(chain) = chain else { continue };
            let mut facts = Vec::new();
            let mut all: u64 = 0;
            for arc in chain {
                let sink = self.net.arcs[*arc].to;
                let mut here = Vec::new();
                let load = self.load(chains, sink, &mut here);
                if self.net.sinks[sink].carries.is_some_and(|c| load > c) {
                    if here.is_empty() {
                        here.push(*arc);
                    }
                    if let Some(facts) = self.blame(here) {
                        return Some(facts);
                    }
                    here = Vec::new();
                }
                all += load;
                if load > 0 {
                    facts.extend(here);
                }
                // A stretch without load still leads to those after it.
                facts.push(*arc);
            }
            if self.net.sources[source].carries.is_some_and(|c| all > c)
                && let Some(facts) = self.blame(facts)
            {
                return Some(facts);
            }
        }
        None
    }

    /// The arcs as facts; none where all of them are laid already and stay: what
    /// the user did is not ours to undo.
    fn blame(&self, arcs: Vec<usize>) -> Option<Vec<Fact>> {
        let ours = arcs.iter().any(|a| !self.net.arcs[*a].kept);
        ours.then(|| arcs.into_iter().map(Fact::Arc).collect())
    }

    /// What a sink takes, with all that its part passes on; adds the arcs by which
    /// it does.
    fn load(&self, chains: &Chains, sink: usize, arcs: &mut Vec<usize>) -> u64 {
        let mut all = self.net.sinks[sink].draws;
        for source in &self.behind[sink] {
            let mut through: u64 = 0;
            for arc in chains[*source].iter().flatten() {
                through += self.load(chains, self.net.arcs[*arc].to, arcs);
                arcs.push(*arc);
            }
            let shares = self.net.sources[*source].behind.len() as u64;
            all += through.div_ceil(shares.max(1));
        }
        all
    }

    /// The dearest miss of a run against its stretches, or the sound answer. With
    /// it the true weight of all runs, where every run has a kind.
    fn weigh(&self, chains: Chains) -> (Verdict, Option<i128>) {
        let mut all = Some(0);
        let mut worst: Option<(i128, Chain)> = None;
        for arcs in chains.into_iter().flatten() {
            let kind = best_kind(self.net, &arcs, self.ways);
            let least = arcs.iter().map(|a| self.least[*a]).sum();
            all = all.zip(kind).map(|(all, (_, weight))| all + weight);
            let miss = kind.map_or(i128::MAX, |(_, weight)| weight - least);
            if miss > 0 && worst.as_ref().is_none_or(|(m, _)| miss > *m) {
                let goes_on = self.net.plugs.iter().any(|p| *p > arcs.len());
                let chain = Chain {
                    arcs,
                    kind,
                    least,
                    goes_on,
                };
                worst = Some((miss, chain));
            }
        }
        match worst {
            Some((_, chain)) => (Verdict::Dearer(chain), all),
            None => (Verdict::Sound, all),
        }
    }
}
