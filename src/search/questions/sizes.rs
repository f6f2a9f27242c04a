//! How long, how thick, how tall.

use super::room::{make_way, moving};
use super::why::{NO_HOLES, listed, reason};
use super::{Asker, Reply, changes, serves};
use crate::edit::Edit;
use crate::geom::{Axis, Length};
use crate::model::{Group, Part, PartId, PartKind, Scene};
use crate::search::scene::{Aim, Answer, End, MOST_WEIGHT, Weights, Wish};
use std::collections::BTreeSet;
use std::sync::Arc;

/// Whether a kind is of those asked for.
type IsOne = fn(&PartKind) -> bool;

/// One question of the family.
struct Sizes<'a> {
    group: Group,
    /// 'card', for sentences.
    what: &'a str,
    /// 'long over all', after the figure.
    how: &'a str,
    /// 'longer', 'shortest'.
    words: [&'a str; 2],
    size: fn(&PartKind) -> i64,
    /// Kinds that count as alternatives to the scene's own.
    alike: fn(&PartKind, &PartKind) -> bool,
    /// Groups whose parts move along where they hold it, are held by it, or stand where it
    /// could.
    along: &'a [Group],
    /// Where the scene has none: parts of this group make way that stand where it belongs.
    instead: Option<Group>,
    /// Those that are asked for by name, and that name; the others are an answer without them.
    named: Option<(&'a str, IsOne)>,
}

pub(super) fn longest_card(asker: &Asker) -> Reply {
    Sizes {
        group: Group::Card,
        what: "card",
        how: "long over all",
        words: ["longer", "shortest"],
        size: longest_side,
        // A card of another slot is no answer for the one that is wanted here.
        alike: |own, other| own.outlets.is_empty() == other.outlets.is_empty(),
        along: &[],
        instead: None,
        named: None,
    }
    .ask(asker)
}

pub(super) fn thickest_radiator(asker: &Asker) -> Reply {
    Sizes {
        group: Group::Radiator,
        what: "radiator",
        how: "thick",
        words: ["thicker", "thinnest"],
        size: thinnest_side,
        alike: same_face,
        along: &[Group::Fan],
        instead: None,
        named: None,
    }
    .ask(asker)
}

pub(super) fn tallest_cooler(asker: &Asker) -> Reply {
    Sizes {
        group: Group::Cooler,
        what: "air cooler",
        how: "tall from the board",
        words: ["taller", "lowest"],
        size: |k| k.size.z.as_um(),
        alike: |_, _| true,
        along: &[],
        instead: Some(Group::Block),
        named: Some(("tower cooler", is_tower)),
    }
    .ask(asker)
}

/// A tower stands taller than it is wide; a low cooler lies flat.
fn is_tower(kind: &PartKind) -> bool {
    kind.size.z > kind.size.x.max(kind.size.y)
}

fn sides(kind: &PartKind) -> [i64; 3] {
    let mut sides = Axis::ALL.map(|a| kind.size.along(a).as_um());
    sides.sort_unstable();
    sides
}

fn longest_side(kind: &PartKind) -> i64 {
    sides(kind)[2]
}

fn thinnest_side(kind: &PartKind) -> i64 {
    sides(kind)[0]
}

/// Faces that differ by a few millimetres are of one size: makers do not agree to a tenth.
pub(super) fn same_face(a: &PartKind, b: &PartKind) -> bool {
    let (a, b) = (sides(a), sides(b));
    (1..3).all(|i| (a[i] - b[i]).abs() <= 12_000)
}

impl Sizes<'_> {
    fn ask(&self, asker: &Asker) -> Reply {
        let mut scene = asker.scene.clone();
        let mut kinds = asker.kinds(self.group);
        let mut edits = Vec::new();
        let mut lines = Vec::new();
        let id = match asker.largest(self.group, self.size) {
            Some(id) => id,
            None => match kinds.first() {
                Some(first) => {
                    if let Some(away) = self.instead {
                        (edits, lines) = make_way(&mut scene, self.group, away);
                    }
                    self.added(&mut scene, first)
                }
                None => return Reply::no(format!("The catalogue has no {}.", self.what)),
            },
        };
        let own = asker.scene.parts.get(&id).map(|p| p.kind.clone());
        let mut left_out = Vec::new();
        if let Some(own) = &own {
            kinds.retain(|k| (self.alike)(own, k));
            (kinds, left_out) = kinds.into_iter().partition(|k| serves(asker.scene, &id, k));
            if !kinds.iter().any(|k| k.id == own.id) {
                kinds.push(own.clone());
            }
        }
        kinds.sort_by_key(|k| (std::cmp::Reverse((self.size)(k)), k.id.clone()));
        let mut wish = Wish::of(&scene).only(moving(&scene, &id, own.is_none(), self.along));
        wish.weights = Weights::none().with(Aim::PartsMoved, MOST_WEIGHT);
        wish.gently = true;
        wish.top = 1;
        // A larger one is worth more than any number of parts that stay.
        let step = u64::from(MOST_WEIGHT + 1) * (1 + scene.parts.len() as u64);
        let points = ranks(&kinds, self.size).into_iter().map(|r| r * step);
        wish.kind_points.insert(id.clone(), points.collect());
        wish.kinds.insert(id.clone(), kinds.clone());
        let (answer, aside) = asker.seek_apart(&scene, &wish);
        let Some(found) = answer.found.first() else {
            let mut all = self.none(asker, &scene, &wish, &id, &kinds, &answer);
            all.extend(lines);
            all.extend(aside);
            return Reply {
                lines: all,
                ..Reply::default()
            };
        };
        let best = found
            .kinds
            .get(&id)
            .unwrap_or(&scene.parts[&id].kind)
            .clone();
        let mut all = vec![self.best_words(&best, found.proved)];
        let yes = self.named.is_none_or(|(name, is)| {
            let fits = is(&best);
            if !fits && found.proved {
                all.insert(0, format!("No {name} fits here; what fits is low:"));
            }
            fits
        });
        all.append(&mut lines);
        let size = (self.size)(&best);
        let next = kinds.iter().map(|k| (self.size)(k)).filter(|s| *s > size);
        let left_out = self.left_out_words(&left_out, size);
        all.extend(match next.min() {
            Some(next) => {
                let next = kinds.iter().filter(|k| (self.size)(k) == next);
                let next: Vec<_> = next.cloned().collect();
                let (name, larger) = (&next[0].name, self.words[0]);
                let why = || asker.kept_out(&scene, &wish, &id, &next);
                Some(match found.proved.then(why) {
                    None => format!("The next {larger} one would be {name}."),
                    Some(None) => format!("The next {larger} one, {name}, does not fit."),
                    Some(Some(why)) => {
                        format!("The next {larger} one, {name}, does not fit: {why}.")
                    }
                })
            }
            None if left_out.is_some() => None,
            None => Some("It is the largest of its kind in the catalogue.".to_owned()),
        });
        all.extend(left_out);
        if own.is_none() {
            // What is added is the one that was found, under its own name.
            let part = Part {
                name: best.name.clone(),
                kind: best.clone(),
            };
            scene.parts.insert(id.clone(), part.clone());
            edits.push(Edit::AddPart {
                id: id.clone(),
                part,
                place: None,
            });
        }
        edits.extend(found.in_place(&scene));
        all.extend(changes(&scene, found).into_iter().map(|c| format!("{c}.")));
        all.extend(aside);
        Reply {
            lines: all,
            edits,
            yes,
        }
    }

    fn mm(&self, kind: &PartKind) -> Length {
        Length::um((self.size)(kind))
    }

    fn best_words(&self, best: &PartKind, proved: bool) -> String {
        let more = match proved {
            true => String::new(),
            false => format!("; a {} one was not ruled out", self.words[0]),
        };
        format!("{}: {} mm {}{more}.", best.name, self.mm(best), self.how)
    }

    /// What is said where nothing goes in: not what the nearest of all lacks, which may be a
    /// large one, but what keeps out even the smallest.
    fn none(
        &self,
        asker: &Asker,
        scene: &Scene,
        wish: &Wish,
        id: &PartId,
        kinds: &[Arc<PartKind>],
        answer: &Answer,
    ) -> Vec<String> {
        let End::Impossible(_) = &answer.end else {
            return vec![answer.words()];
        };
        let mut lines = vec![format!("No {} of the catalogue fits here.", self.what)];
        let why = reason(answer, id);
        if why.as_deref() == Some(NO_HOLES) {
            let tried = match kinds.len() {
                1 => "the one that was tried".to_owned(),
                n => format!("any of the {n} that were tried"),
            };
            lines.push(format!("No zone that takes it has the holes of {tried}."));
            return lines;
        }
        let least = kinds.iter().map(|k| (self.size)(k)).min().unwrap_or(0);
        let smallest = kinds.iter().filter(|k| (self.size)(k) == least);
        let smallest: Vec<_> = smallest.cloned().collect();
        let kept_out = asker.kept_out(scene, wish, id, &smallest);
        let (words, mm) = (self.words[1], Length::um(least));
        lines.push(match (kept_out.filter(|w| w != NO_HOLES), why) {
            (Some(kept), _) => format!("Even the {words}, {mm} mm, does not go in: {kept}."),
            (None, Some(why)) => format!("What came nearest: {why}."),
            (None, None) => answer.words(),
        });
        lines
    }

    /// Larger ones that what is plugged into the scene's own does not fit.
    fn left_out_words(&self, kinds: &[Arc<PartKind>], size: i64) -> Option<String> {
        let larger = kinds.iter().filter(|k| (self.size)(k) > size);
        let names: Vec<String> = larger.map(|k| k.name.clone()).collect();
        (!names.is_empty()).then(|| {
            format!(
                "Some are {} and were not tried, for the cables and hoses on this one do not fit \
                 them: {}.",
                self.words[0],
                listed(&names, 4)
            )
        })
    }

    fn added(&self, scene: &mut Scene, kind: &Arc<PartKind>) -> PartId {
        let id = PartId::fresh(self.group.name(), |i| scene.parts.contains_key(i));
        let part = Part {
            name: kind.name.clone(),
            kind: kind.clone(),
        };
        scene.parts.insert(id.clone(), part);
        id
    }
}

/// 0 for the largest size, 1 for the next smaller, and so on.
fn ranks(kinds: &[Arc<PartKind>], size: fn(&PartKind) -> i64) -> Vec<u64> {
    let sizes: BTreeSet<i64> = kinds.iter().map(|k| -size(k)).collect();
    let rank = |k: &Arc<PartKind>| sizes.range(..-size(k)).count() as u64;
    kinds.iter().map(rank).collect()
}
