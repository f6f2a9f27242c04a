//! Trying an idea: on a copy of the scene, with the checker.

use super::{Alternative, Cost, How, Shortfall, hoses};
use crate::edit::{Edit, Touched, apply};
use crate::geom::Length;
use crate::model::{Cable, CableId, Catalogue, Off, PortRef, Scene, Severity};
use crate::placement::Placed;
use crate::route::{self, CableRun};
use crate::rules::Checker;
use std::collections::{BTreeMap, BTreeSet};

/// A finding got worse when its figures are apart by so much more.
const WORSE: Length = Length::um(50);

/// So many ideas of one sort are handed to the checker, the shortest ways first.
pub(super) const MOST_OF_A_SORT: usize = 8;

/// Something that might end the shortfall.
pub(super) struct Idea {
    pub how: How,
    pub words: String,
    pub edits: Vec<Edit>,
    pub moved: Length,
}

/// How bad a finding was, and how far its figures were apart.
type Bad = (Severity, Option<Off>);

/// One shortfall, with what it is judged against.
pub(super) struct Desk<'a> {
    pub scene: &'a Scene,
    pub checker: &'a Checker,
    pub short: &'a Shortfall,
    pub cable: &'a Cable,
    before: BTreeMap<String, Bad>,
    cancelled: &'a dyn Fn() -> bool,
}

impl<'a> Desk<'a> {
    pub fn new(
        scene: &'a Scene,
        checker: &'a Checker,
        short: &'a Shortfall,
        cable: &'a Cable,
        cancelled: &'a dyn Fn() -> bool,
    ) -> Desk<'a> {
        Desk {
            scene,
            checker,
            short,
            cable,
            before: bad(checker),
            cancelled,
        }
    }

    pub fn catalogue(&self) -> &Catalogue {
        self.checker.catalogue()
    }

    pub fn placed(&self) -> &Placed {
        self.checker.placed()
    }

    /// True where it is a hose that lies as it is springy, and is not led like a cable.
    pub fn is_hose(&self) -> bool {
        self.checker.hoses().contains_key(&self.short.cable)
    }

    pub fn is_cancelled(&self) -> bool {
        (self.cancelled)()
    }

    /// The port that the short stretch leads to.
    pub fn to(&self) -> &PortRef {
        &self.cable.plugs[self.short.stretch].to
    }

    /// The port that the short stretch comes from.
    pub fn from(&self) -> &PortRef {
        match self.short.stretch {
            0 => &self.cable.from,
            n => &self.cable.plugs[n - 1].to,
        }
    }

    /// True where nothing is plugged into a port yet.
    pub fn is_free(&self, port: &PortRef) -> bool {
        self.placed().plugged(port).is_empty()
    }

    /// The run of a cable as it would be, with everything where it stands.
    pub fn run(&self, cable: &Cable) -> CableRun {
        let id = &self.short.cable;
        route::run(self.scene, self.placed(), self.catalogue(), id, cable)
    }

    /// How much the worst stretch lacks: of its bare way, and of that with the share
    /// for service. `None` where a way was not found.
    pub fn lacks(&self, run: &CableRun) -> Option<[Length; 2]> {
        let settings = self.checker.settings();
        let mut worst = [Length::mm(-100_000); 2];
        for s in &run.stretches {
            if s.judged.is_err() || s.legs.is_empty() {
                return None;
            }
            worst[0] = worst[0].max(s.needed - s.available);
            worst[1] = worst[1].max(settings.with_service(s.needed) - s.available);
        }
        Some(worst)
    }

    /// What a changed cable needs, where it reaches; with whether it keeps the share
    /// for service. A caution asks for that share.
    pub fn reaches(&self, cable: &Cable) -> Option<(bool, Length)> {
        let run = self.run(cable);
        let [bare, service] = self.lacks(&run)?;
        let kept = service <= Length::ZERO;
        let enough = match self.short.severity {
            Severity::Stop => bare <= Length::ZERO,
            _ => kept,
        };
        enough.then_some((kept, run.needed))
    }

    /// The cables among these that reach, the shortest ways first: at most as many as
    /// are handed to the checker.
    pub fn reaching<T>(&self, all: impl IntoIterator<Item = (T, Cable)>) -> Vec<(T, Cable)> {
        let mut kept: Vec<(bool, Length, T, Cable)> = Vec::new();
        for (what, cable) in all {
            if self.is_cancelled() {
                break;
            }
            if let Some((service, needed)) = self.reaches(&cable) {
                kept.push((!service, needed, what, cable));
            }
        }
        kept.sort_by_key(|k| (k.0, k.1));
        kept.truncate(MOST_OF_A_SORT);
        kept.into_iter().map(|(_, _, what, c)| (what, c)).collect()
    }

    /// Other ways of the short cable, with their words: those on which it reaches, as ideas.
    pub fn ways(&self, all: impl IntoIterator<Item = (String, Cable)>) -> Vec<Idea> {
        let found = self.reaching(all).into_iter();
        found
            .map(|(words, cable)| Idea {
                how: How::Way,
                words,
                edits: self.set(cable),
                moved: Length::ZERO,
            })
            .collect()
    }

    /// The edit that changes the short cable.
    pub fn set(&self, cable: Cable) -> Vec<Edit> {
        vec![Edit::SetCable(self.short.cable.clone(), Some(cable))]
    }

    /// Carries an idea out on a copy and judges it. `None` where it does not end the
    /// shortfall or is refused.
    pub fn tried(&self, idea: Idea) -> Option<Alternative> {
        let mut scene = self.scene.clone();
        let mut touched = Touched::default();
        let mut own: BTreeSet<&CableId> = BTreeSet::from([&self.short.cable]);
        for edit in &idea.edits {
            touched.merge(apply(&mut scene, edit).ok()?);
            if let Edit::SetCable(id, _) = edit {
                own.insert(id);
            }
        }
        let mut checker = self.checker.clone();
        checker.update(&scene, &touched);

        let (mut needed, mut available, mut service) = (Length::ZERO, Length::ZERO, true);
        for (id, run) in own
            .iter()
            .filter_map(|id| Some((*id, checker.runs().get(*id)?)))
        {
            if let Some(hoses) = checker.hoses().get(id) {
                if !hoses::lie(hoses, self.short.severity) {
                    return None;
                }
                // A hose lies along all that there is of it.
                needed += run.available;
                available += run.available;
                continue;
            }
            let [bare, share] = self.lacks(run)?;
            service &= share <= Length::ZERO;
            if bare > Length::ZERO || (self.short.severity > Severity::Stop && !service) {
                return None;
            }
            needed += run.needed;
            available += run.available;
        }
        let (mut had, mut took) = (Length::ZERO, Length::ZERO);
        for (id, run) in (own.iter()).filter_map(|id| Some((id, self.checker.runs().get(*id)?))) {
            had += run.available;
            let hose = self.checker.hoses().contains_key(*id);
            took += if hose { run.available } else { run.needed };
        }
        let after = bad(&checker);
        Some(Alternative {
            how: idea.how,
            words: idea.words,
            edits: idea.edits,
            needed,
            available,
            service,
            more: available - had,
            detour: needed - took,
            moved: idea.moved,
            costs: self.costs(&checker),
            ends: self
                .before
                .keys()
                .filter(|key| !after.contains_key(*key))
                .cloned()
                .collect(),
        })
    }

    fn costs(&self, after: &Checker) -> Vec<Cost> {
        let mut costs = Vec::new();
        for finding in after.findings() {
            let worse = match self.before.get(finding.key_str()) {
                None => false,
                Some((severity, off)) => {
                    let grown = match (finding.off(), off) {
                        (Some(Off::Length(now)), Some(Off::Length(then))) => now > *then + WORSE,
                        (Some(Off::Amount(now)), Some(Off::Amount(then))) => {
                            now.unit == then.unit && now.thousandths > then.thousandths
                        }
                        _ => false,
                    };
                    let same = finding.severity == *severity;
                    if finding.severity > *severity || (same && !grown) {
                        continue;
                    }
                    true
                }
            };
            costs.push(Cost {
                key: finding.key(),
                severity: finding.severity,
                text: finding.sentence(),
                worse,
            });
        }
        costs
    }
}

fn bad(checker: &Checker) -> BTreeMap<String, Bad> {
    let all = checker.findings().into_iter();
    all.map(|f| (f.key(), (f.severity, f.off()))).collect()
}
