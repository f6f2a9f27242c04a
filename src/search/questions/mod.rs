//! Questions that the trade asks, each a ready-made search.
//!
//! To add one: a function that answers it and one entry in [`QUESTIONS`].

mod change;
mod changes;
mod enclosure;
mod more;
mod room;
mod sizes;
mod why;

pub use changes::changes;

use super::scene::{Answer, Run, Wish, few, seek};
use crate::edit::Edit;
use crate::model::{Catalogue, Group, PartId, PartKind, Scene, Settings};
use crate::rules::{Checker, Severity, Subject};
use std::collections::BTreeSet;
use std::sync::Arc;

/// A question with the search that answers it.
pub struct Question {
    /// The word on the command line.
    pub id: &'static str,
    /// As a person asks it.
    pub words: &'static str,
    /// What is tried, what stays.
    pub about: &'static str,
    ask: fn(&Asker) -> Reply,
}

/// All questions.
pub static QUESTIONS: &[Question] = &[
    Question {
        id: "longest-card",
        words: "Longest card that fits here",
        about: "Tries all cards of the catalogue in place of the longest one of the scene; everything else stays.",
        ask: sizes::longest_card,
    },
    Question {
        id: "thickest-radiator",
        words: "Thickest radiator",
        about: "Tries all radiators of the same face as the one of the scene, or all where it has none; fans on it or in its place move along, everything else stays.",
        ask: sizes::thickest_radiator,
    },
    Question {
        id: "tallest-cooler",
        words: "Largest tower cooler",
        about: "Tries all air coolers of the catalogue, the tallest first, in place of the one on the processor or of the liquid cooling there; everything else stays. Where no tower fits the answer is no, with the tallest low one.",
        ask: sizes::tallest_cooler,
    },
    Question {
        id: "front-fans",
        words: "Which fan sizes could go in front",
        about: "Tries each fan of the catalogue on the zones of the front; fans that are there now make way.",
        ask: more::front_fans,
    },
    Question {
        id: "one-more-drive",
        words: "Can one more drive go in, and where",
        about: "Adds a drive like one of those of the scene, each sort in turn; at first everything else stays, then it may move.",
        ask: more::one_more_drive,
    },
    Question {
        id: "smallest-enclosure",
        words: "Smallest enclosure that takes this list",
        about: "Puts all parts into each enclosure of the catalogue, the smallest first. Cables may be longer, and lie where they like.",
        ask: enclosure::smallest,
    },
    Question {
        id: "cheapest-change",
        words: "Cheapest change that makes this work",
        about: "Moves as few parts as it can; if that does not do, takes longer cables, then other kinds for what is in the way.",
        ask: change::cheapest,
    },
];

/// The question with this id.
pub fn question(id: &str) -> Option<&'static Question> {
    QUESTIONS.iter().find(|q| q.id == id)
}

/// What a question is asked about.
#[derive(Clone, Copy)]
pub struct Asker<'a> {
    /// The scene; its arrangement at hand counts.
    pub scene: &'a Scene,
    /// Figures that the rules judge by.
    pub settings: &'a Arc<Settings>,
    /// What parts and enclosures are chosen from.
    pub catalogue: &'a Arc<Catalogue>,
    /// Threads, time limit, cancel flag, and who hears of what is found.
    pub run: Run<'a>,
}

/// The answer to a question.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Reply {
    /// In sentences, the answer first.
    pub lines: Vec<String>,
    /// The edits that carry it out, as one step; none where nothing is to be changed.
    pub edits: Vec<Edit>,
    /// True where the answer is a yes: something fits, works, goes in.
    pub yes: bool,
}

impl Question {
    /// Answers it.
    pub fn ask(&self, asker: &Asker) -> Reply {
        (self.ask)(asker)
    }
}

impl Reply {
    fn no(line: impl Into<String>) -> Reply {
        Reply {
            lines: vec![line.into()],
            ..Reply::default()
        }
    }
}

impl Asker<'_> {
    fn checked(&self, scene: &Scene) -> Checker {
        let mut checker =
            Checker::new(self.settings.clone()).with_catalogue(self.catalogue.clone());
        checker.check_all(scene);
        checker
    }

    fn seek(&self, scene: &Scene, wish: &Wish) -> Answer {
        seek(scene, wish, self.settings, self.catalogue, &self.run)
    }

    /// As `seek`, where stops of the arrangement that name none of the movable parts, nor a
    /// cable on one, are set aside: the question is not about them. The lines say which.
    fn seek_apart(&self, scene: &Scene, wish: &Wish) -> (Answer, Vec<String>) {
        let checker = self.checked(scene);
        let cables = &scene.arrangement().cables;
        let moves = |s: &Subject| match s {
            Subject::Part(id) => wish.movable.contains(id),
            Subject::Port(port) => wish.movable.contains(&port.part),
            Subject::Zone(zone) => zone.part.as_ref().is_some_and(|p| wish.movable.contains(p)),
            Subject::Cable(id) => cables
                .get(id)
                .is_some_and(|c| c.ports().any(|p| wish.movable.contains(&p.part))),
            Subject::Plate(_) | Subject::Opening(_) => false,
        };
        let mut apart = scene.clone();
        let mut aside = Vec::new();
        for f in checker.findings() {
            let open = f.severity == Severity::Stop && checker.is_accepted(scene, f).is_none();
            if open && !f.subjects.iter().any(moves) {
                let accepted = &mut apart.arrangement_mut().accepted;
                accepted.insert(f.key_str().to_owned(), f.accepted("set aside"));
                aside.push(f.text.clone());
            }
        }
        let lines = match aside.as_slice() {
            [] => Vec::new(),
            [one] => vec![format!("Set aside, for it is another matter: {one}.")],
            [one, rest @ ..] => vec![format!(
                "Set aside, for they are another matter: {one}; and {} more that stop this build.",
                rest.len()
            )],
        };
        (self.seek(&apart, wish), lines)
    }

    /// True where no stop of the arrangement at hand is open.
    fn is_sound(&self) -> bool {
        let checker = self.checked(self.scene);
        let findings = checker.findings().into_iter();
        let mut open = findings.filter(|f| f.severity == Severity::Stop);
        open.all(|f| checker.is_accepted(self.scene, f).is_some())
    }

    /// Parts that an open stop names, also by a port, a zone or a cable of theirs.
    fn stopped(&self, scene: &Scene) -> BTreeSet<PartId> {
        let checker = self.checked(scene);
        let cables = &scene.arrangement().cables;
        let open = checker
            .findings()
            .into_iter()
            .filter(|f| f.severity == Severity::Stop && checker.is_accepted(scene, f).is_none());
        let mut parts = BTreeSet::new();
        for subject in open.flat_map(|f| &f.subjects) {
            match subject {
                Subject::Part(id) => _ = parts.insert(id.clone()),
                Subject::Port(port) => _ = parts.insert(port.part.clone()),
                Subject::Zone(zone) => parts.extend(zone.part.clone()),
                Subject::Cable(id) => {
                    let ends = cables.get(id).into_iter().flat_map(|c| c.ports());
                    parts.extend(ends.map(|p| p.part.clone()));
                }
                Subject::Plate(_) | Subject::Opening(_) => {}
            }
        }
        parts
    }

    /// The usual wish for a scene; where it has very many parts, for those few that most need
    /// another place, and the sentence that says so.
    fn wish(&self, scene: &Scene) -> (Wish, Option<String>) {
        let mut wish = Wish::of(scene);
        let checker = self.checked(scene);
        let words = few(scene, &checker).map(|few| {
            wish.movable = few.parts;
            format!("{}.", few.words)
        });
        (wish, words)
    }

    /// The scene's part of a group for which `size` is largest.
    fn largest(&self, group: Group, size: impl Fn(&PartKind) -> i64) -> Option<PartId> {
        let parts = self.scene.parts.iter();
        let of = parts.filter(|(_, p)| p.kind.group == group);
        of.max_by_key(|(id, p)| (size(&p.kind), std::cmp::Reverse(*id)))
            .map(|(id, _)| id.clone())
    }

    /// Kinds of a group in the catalogue and in the scene, by id.
    fn kinds(&self, group: Group) -> Vec<Arc<PartKind>> {
        let own = self.scene.own_kinds.values();
        let all = self.catalogue.kinds.values().chain(own);
        let mut kinds: Vec<Arc<PartKind>> = all.filter(|k| k.group == group).cloned().collect();
        kinds.sort_by(|a, b| a.id.cmp(&b.id));
        kinds.dedup_by(|a, b| a.id == b.id);
        kinds
    }
}

/// Whether a kind has what the cables on a part need: the same connectors, and a lead of its
/// own where the part has one.
pub(super) fn serves(scene: &Scene, id: &PartId, kind: &PartKind) -> bool {
    let Some(own) = scene.parts.get(id).map(|p| &p.kind) else {
        return true;
    };
    let cables = scene.arrangement().cables.values();
    let ports = cables.flat_map(|c| c.ports()).filter(|p| p.part == *id);
    ports.into_iter().all(|port| {
        let both = own.port(&port.port).zip(kind.port(&port.port));
        both.is_some_and(|(a, b)| {
            a.connector == b.connector && a.lead.is_some() == b.lead.is_some()
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_are_unique_and_every_question_says_what_it_tries() {
        for (i, q) in QUESTIONS.iter().enumerate() {
            assert!(q.about.len() > q.words.len(), "{}", q.id);
            assert!(QUESTIONS[i + 1..].iter().all(|o| o.id != q.id), "{}", q.id);
            assert!(question(q.id).is_some());
        }
        assert!(question("nonsense").is_none());
    }
}
