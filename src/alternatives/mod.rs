//! What would end a cable's shortfall, and what each of it would cost elsewhere.
//!
//! Each [`Alternative`] was carried out on a copy of the scene and judged by the true
//! checker: what it costs are the findings that were not there before. The work is
//! bounded by [`MOST_TRIALS`]; whoever cannot wait runs it on a thread and cancels it.

mod desk;
mod free_ways;
mod hoses;
#[cfg(test)]
mod hoses_tests;
mod json;
mod lengths;
mod moves;
mod plugs;
mod sources;
#[cfg(test)]
mod tests;
mod ways;

pub use json::json;

use crate::edit::Edit;
use crate::geom::Length;
use crate::model::kind::words;
use crate::model::{Cable, CableId, Scene, Severity};
use crate::rules::{Checker, Finding, FindingMark};
use desk::{Desk, Idea};

/// So many alternatives are tried with the checker for one shortfall, at most.
pub const MOST_TRIALS: usize = 40;

/// A stretch of a cable that a finding says is too short, or of a hose that does not lie.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Shortfall {
    /// The cable.
    pub cable: CableId,
    /// Which stretch of its run, from 0.
    pub stretch: usize,
    /// How bad it is: a stop lacks its bare way, a caution the share for service. A hose
    /// that stops the build is too short or kinks; one that is a caution bulges out.
    pub severity: Severity,
}

impl Shortfall {
    /// The shortfall that a finding is about, if any.
    pub fn of(finding: &Finding) -> Option<Shortfall> {
        finding.marks.iter().find_map(|mark| match mark {
            FindingMark::Missing { cable, stretch, .. } => Some(Shortfall {
                cable: cable.clone(),
                stretch: *stretch,
                severity: finding.severity,
            }),
            _ => None,
        })
    }

    /// All shortfalls of one cable, or of all, in the order of the findings.
    pub fn all(checker: &Checker, of: Option<&CableId>) -> Vec<Shortfall> {
        let found = checker.findings().into_iter().filter_map(Shortfall::of);
        found
            .filter(|s| of.is_none_or(|id| s.cable == *id))
            .collect()
    }
}

words!(
    /// What an alternative does.
    How {
        /// Uses another plug of the same run, or its plugs in another order.
        Plug = "plug", "other plug";
        /// Starts at, or ends in, another port, or takes a plug of another lead.
        Port = "port", "other port";
        /// Takes another length of the cable, or one of another kind.
        Length = "length", "another cable";
        /// Puts an extension between its last plug and the socket.
        Extension = "extension", "extension";
        /// Leads it another way.
        Way = "way", "other way";
        /// Moves one of the parts at its ends.
        Move = "move", "part moved";
    }
);

/// A finding that an alternative brings with it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Cost {
    /// Its key.
    pub key: String,
    /// How bad it is.
    pub severity: Severity,
    /// Its sentence.
    pub text: String,
    /// True where it was there before, and is worse now.
    pub worse: bool,
}

/// One way to end a shortfall.
#[derive(Clone, PartialEq, Debug)]
pub struct Alternative {
    /// What it does.
    pub how: How,
    /// The same in words, with the figures: 'Take the lead of 450 mm.'
    pub words: String,
    /// The edits, to be applied as one step.
    pub edits: Vec<Edit>,
    /// What the cables it changes need then, all stretches together.
    pub needed: Length,
    /// What they have then.
    pub available: Length,
    /// True where each stretch keeps its share for service.
    pub service: bool,
    /// How much more cable is at hand for it than before; less than nothing where a lead
    /// is not needed any more.
    pub more: Length,
    /// By how much all ways together get longer.
    pub detour: Length,
    /// How far a part is moved; zero where none is.
    pub moved: Length,
    /// What is found then that was not found before, worst first.
    pub costs: Vec<Cost>,
    /// Keys of what is found no more.
    pub ends: Vec<String>,
}

impl Alternative {
    /// How many findings of this severity it brings.
    pub fn brings(&self, severity: Severity) -> usize {
        let of_it = self.costs.iter().filter(|c| c.severity == severity);
        of_it.count()
    }

    /// What it costs elsewhere, in a few words.
    pub fn price(&self) -> String {
        let mut parts: Vec<String> = Severity::ALL
            .iter()
            .filter_map(|s| match self.brings(*s) {
                0 => None,
                n => Some(format!("{n} {}", s.name())),
            })
            .collect();
        if !self.service {
            parts.push("less than the share for service".to_owned());
        }
        match parts.is_empty() {
            true => "costs nothing elsewhere".to_owned(),
            false => parts.join(", "),
        }
    }

    /// What costs least elsewhere comes first (stops, then cautions), then what keeps
    /// the share for service, then what leaves all parts where they stand, by the
    /// length of the cables at hand and of their ways; then moves, by their distance.
    fn rank(&self) -> (usize, usize, bool, Length, Length, Length, How, &str) {
        (
            self.brings(Severity::Stop),
            self.brings(Severity::Caution),
            !self.service,
            self.moved,
            self.more,
            self.detour,
            self.how,
            &self.words,
        )
    }
}

/// All alternatives for a shortfall, the cheapest first, each of them tried: at most
/// `most` of them. Empty where nothing known ends it, or where the scene has no such
/// shortfall. `checker` has to be up to date with the scene. Ends early, with what was
/// tried so far, once `cancelled` says so.
pub fn find(
    scene: &Scene,
    checker: &Checker,
    of: &Shortfall,
    most: usize,
    cancelled: &dyn Fn() -> bool,
) -> Vec<Alternative> {
    let Some(cable) = scene.arrangement().cables.get(&of.cable) else {
        return Vec::new();
    };
    if of.stretch >= cable.plugs.len() {
        return Vec::new();
    }
    let desk = Desk::new(scene, checker, of, cable, cancelled);
    let mut found: Vec<Alternative> = Vec::new();
    let mut left = most;
    let cables: [fn(&Desk) -> Vec<Idea>; 7] = [
        lengths::longer,
        plugs::ideas,
        sources::ideas,
        lengths::extended,
        ways::ideas,
        free_ways::ideas,
        moves::ideas,
    ];
    let hoses: [fn(&Desk) -> Vec<Idea>; 4] =
        [hoses::lengths, hoses::exchanged, hoses::tied, moves::ideas];
    let sources = match desk.is_hose() {
        true => &hoses[..],
        false => &cables[..],
    };
    for ideas in sources {
        for idea in ideas(&desk) {
            if left == 0 || cancelled() {
                break;
            }
            left -= 1;
            found.extend(desk.tried(idea));
        }
    }
    found.sort_by(|a, b| a.rank().cmp(&b.rank()));
    found.dedup_by(|a, b| a.edits == b.edits);
    found
}

/// The port in words: 'fan header of board'.
fn port_words(scene: &Scene, at: &crate::model::PortRef) -> String {
    match scene.parts.get(&at.part) {
        Some(part) => {
            let name = part.kind.port(&at.port).map(|p| p.name.as_str());
            format!("{} of {}", name.unwrap_or(&at.port), part.name)
        }
        None => at.to_string(),
    }
}

/// The connector at the plug end of a cable: the kind's, or that of the captive lead.
fn plug_of<'a>(desk: &'a Desk<'_>, cable: &'a Cable) -> Option<&'a str> {
    match &cable.kind {
        Some(kind) => Some(desk.catalogue().cables.get(kind)?.to.as_str()),
        None => Some(desk.placed().port_kind(&cable.from)?.connector.as_str()),
    }
}
