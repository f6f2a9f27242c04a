//! Which parts may move where nobody chose, and there are too many to try all at once.

use crate::model::{CableId, PartId, Scene};
use crate::route::CableRun;
use crate::rules::{Checker, Finding, Severity, Subject};
use std::collections::{BTreeMap, BTreeSet};

/// So many parts are tried together without asking.
const MANY: usize = 30;
/// So many are chosen where there are more.
const FEW: usize = 10;

/// A choice of parts, with the sentence that says how it was made.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Few {
    /// The parts.
    pub parts: BTreeSet<PartId>,
    /// 'Of 308 parts ten may move: ...'
    pub words: String,
}

/// The parts of a scene that most need another place, where more than thirty are not locked;
/// `None` where all may move. First those that an open stop finding names, then those of
/// cautions, then the ends of the cables that need most; ten in all. `checker` has to know
/// the scene.
pub fn few(scene: &Scene, checker: &Checker) -> Option<Few> {
    let places = &scene.arrangement().places;
    let locked = |id: &PartId| places.get(id).is_some_and(|p| p.locked);
    let free: BTreeSet<&PartId> = scene.parts.keys().filter(|id| !locked(id)).collect();
    if free.len() <= MANY {
        return None;
    }
    let mut parts: BTreeSet<PartId> = BTreeSet::new();
    let mut take = |ids: Vec<&PartId>| {
        for id in ids {
            if parts.len() < FEW && free.contains(id) {
                parts.insert(id.clone());
            }
        }
    };
    // What lies beside the enclosure is to go in.
    take(
        free.iter()
            .copied()
            .filter(|id| !places.contains_key(*id))
            .collect(),
    );
    for severity in [Severity::Stop, Severity::Caution] {
        for finding in checker.findings() {
            if finding.severity == severity && checker.is_accepted(scene, finding).is_none() {
                take(named(scene, finding));
            }
        }
    }
    for id in longest(checker.runs()) {
        let cable = scene.arrangement().cables.get(id);
        take(
            cable
                .into_iter()
                .flat_map(|c| c.ports())
                .map(|p| &p.part)
                .collect(),
        );
    }
    take(free.iter().copied().collect());
    let words = format!(
        "{} parts are not locked; {} of them may move here: those with findings first, then \
         those on the longest cables. Others can be chosen",
        free.len(),
        parts.len()
    );
    Some(Few { parts, words })
}

fn named<'a>(scene: &'a Scene, finding: &'a Finding) -> Vec<&'a PartId> {
    let of = |s: &'a Subject| -> Vec<&'a PartId> {
        match s {
            Subject::Part(id) => vec![id],
            Subject::Port(port) => vec![&port.part],
            Subject::Zone(zone) => zone.part.iter().collect(),
            Subject::Cable(id) => {
                let cable = scene.arrangement().cables.get(id);
                let ports = cable.into_iter().flat_map(|c| c.ports());
                ports.map(|p| &p.part).collect()
            }
            Subject::Plate(_) | Subject::Opening(_) => Vec::new(),
        }
    };
    finding.subjects.iter().flat_map(of).collect()
}

/// Cables by what they need, the longest first.
fn longest(runs: &BTreeMap<CableId, CableRun>) -> Vec<&CableId> {
    let mut ids: Vec<&CableId> = runs.keys().collect();
    ids.sort_by(|a, b| runs[*b].needed.cmp(&runs[*a].needed).then(a.cmp(b)));
    ids
}
