//! The bare problem: sinks to be fed, sources that feed them, runs in between.
//! No scene in it, so that brute force can be asked for the same answer.

/// A device port to be fed by one plug.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Sink {
    /// What it takes itself, in milliwatts.
    pub draws: u64,
    /// The most that its plug may carry, in milliwatts; `None` for no limit known.
    pub carries: Option<u64>,
    /// How much it matters that it is fed.
    pub need: Need,
}

/// How much it matters that a sink is fed.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Need {
    /// Its part does not work without.
    Must,
    /// Its lead is there and would hang loose.
    Wanted,
}

/// A port that gives. One run starts at it at most.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Source {
    /// The most that may be drawn from it, in milliwatts; `None` for no limit known.
    pub carries: Option<u64>,
    /// The sinks through which its part gets what it gives, where it only passes
    /// on. All have to be fed, and each carries an equal share.
    pub behind: Vec<usize>,
}

/// What a stretch of a run hangs on.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum From {
    /// The first stretch, at a source.
    Source(usize),
    /// A further one, at the plug before it.
    Sink(usize),
}

/// One stretch by one kind of run.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Way {
    /// Index of the kind of run.
    pub kind: usize,
    /// Length of its way in micrometres.
    pub length: i64,
    /// True where the lead reaches, but leaves less than the share for service.
    pub tight: bool,
}

/// A stretch that could be: which sink would be fed from where.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Arc {
    /// From where.
    pub from: From,
    /// The sink it would feed.
    pub to: usize,
    /// Not shorter than this, in micrometres, whatever kind is taken.
    pub bound: i64,
    /// Part of a lead that is laid already and stays; its length counts nothing.
    pub kept: bool,
    /// The lead belongs into a header of another purpose, and there is one.
    pub astray: bool,
}

/// The ways of a stretch, once measured.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Ways {
    /// As the only stretch of its run, or as a further stretch.
    pub alone: Vec<Way>,
    /// As the first stretch of a run that goes on.
    pub first: Vec<Way>,
}

/// A problem.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Net {
    /// What is to be fed.
    pub sinks: Vec<Sink>,
    /// What feeds.
    pub sources: Vec<Source>,
    /// Most plugs of each kind of run.
    pub plugs: Vec<usize>,
    /// Stretches that could be.
    pub arcs: Vec<Arc>,
}

/// Measures stretches, dear or cheap: each is asked for once at most.
pub trait Measure {
    /// The ways of an arc; none where no lead reaches or fits.
    fn ways(&mut self, arc: usize) -> Ways;
}

/// How good an answer is; the smaller the better, field by field.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Default)]
pub struct Score {
    /// Sinks that must be fed and are not.
    pub unfed: u64,
    /// Leads that hang loose.
    pub loose: u64,
    /// Stretches that reach without the share for service.
    pub tight: u64,
    /// New stretches into a header that is not for what hangs on the lead.
    pub astray: u64,
    /// Length of all new ways in micrometres.
    pub length: i64,
    /// New runs.
    pub leads: u64,
}

impl Score {
    /// As one number, so that sums of parts can be compared: each field counts
    /// more than all that the fields after it can add up to.
    pub(super) fn weight(self) -> i128 {
        let mut all = i128::from(self.unfed);
        all = (all << 16) + i128::from(self.loose);
        all = (all << 16) + i128::from(self.tight);
        all = (all << 16) + i128::from(self.astray);
        all = (all << 43) + i128::from(self.length);
        (all << 20) + i128::from(self.leads)
    }

    /// The number back as fields.
    pub(super) fn of(weight: i128) -> Score {
        let part = |shift: u32, bits: u32| ((weight >> shift) & ((1 << bits) - 1)) as u64;
        Score {
            unfed: part(111, 16),
            loose: part(95, 16),
            tight: part(79, 16),
            astray: part(63, 16),
            length: part(20, 43) as i64,
            leads: part(0, 20),
        }
    }
}

/// One run of an answer.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Run {
    /// Where it starts.
    pub source: usize,
    /// Its kind.
    pub kind: usize,
    /// The sinks it feeds, in order.
    pub sinks: Vec<usize>,
    /// The stretches, in order.
    pub arcs: Vec<usize>,
}

/// The cheapest kind for a run over measured stretches: its kind and weight.
/// Stretches of a kept lead count nothing; `None` where no kind does.
pub(super) fn best_kind(net: &Net, arcs: &[usize], ways: &[Option<Ways>]) -> Option<(usize, i128)> {
    let mut best: Option<(usize, i128)> = None;
    for kind in 0..net.plugs.len() {
        if net.plugs[kind] < arcs.len() {
            continue;
        }
        let mut score = Score::default();
        let fits = arcs.iter().enumerate().all(|(i, arc)| {
            let Some(Some(measured)) = ways.get(*arc) else {
                return false;
            };
            let list = if i == 0 && arcs.len() > 1 {
                &measured.first
            } else {
                &measured.alone
            };
            let Some(way) = list.iter().find(|w| w.kind == kind) else {
                return false;
            };
            if !net.arcs[*arc].kept {
                score.length += way.length;
                score.tight += u64::from(way.tight);
                score.astray += u64::from(net.arcs[*arc].astray);
            }
            true
        });
        if !fits {
            continue;
        }
        if arcs.first().is_some_and(|a| !net.arcs[*a].kept) {
            score.leads = 1;
        }
        let weight = score.weight();
        let plugs = |k: usize| net.plugs[k];
        if best.is_none_or(|(k, w)| (weight, plugs(kind)) < (w, plugs(k))) {
            best = Some((kind, weight));
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scores_compare_field_by_field() {
        let score = |unfed, loose, tight, astray, length, leads| Score {
            unfed,
            loose,
            tight,
            astray,
            length,
            leads,
        };
        let most = 1_000_000_000_000;
        let rising = [
            score(0, 0, 0, 0, 5, 9),
            score(0, 0, 0, 0, 6, 0),
            score(0, 0, 0, 1, 0, 0),
            score(0, 0, 1, 0, 0, 0),
            score(0, 1, 0, 900, most, 900),
            score(1, 0, 900, 900, most, 900),
        ];
        for pair in rising.windows(2) {
            assert!(pair[0] < pair[1] && pair[0].weight() < pair[1].weight());
        }
        for s in rising {
            assert_eq!(Score::of(s.weight()), s);
        }
    }
}
