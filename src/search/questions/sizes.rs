//! How long, how thick, how tall.

use super::{Asker, Reply, changes, serves};
use crate::geom::{Axis, Length};
use crate::model::{Group, Part, PartId, PartKind, Scene};
use crate::search::scene::{Aim, End, MOST_WEIGHT, Weights, Wish};
use std::collections::BTreeSet;
use std::sync::Arc;

/// One question of the family.
struct Sizes<'a> {
    group: Group,
    /// 'card', for sentences.
    what: &'a str,
    /// 'long'.
    how: &'a str,
    size: fn(&PartKind) -> i64,
    /// Kinds that count as alternatives to the scene's own.
    alike: fn(&PartKind, &PartKind) -> bool,
    /// Groups whose parts move along where they are held by it or hold it.
    along: &'a [Group],
}

pub(super) fn longest_card(asker: &Asker) -> Reply {
    Sizes {
        group: Group::Card,
        what: "card",
        how: "long",
        size: longest_side,
        // A card of another slot is no answer for the one that is wanted here.
        alike: |own, other| own.outlets.is_empty() == other.outlets.is_empty(),
        along: &[],
    }
    .ask(asker)
}

pub(super) fn thickest_radiator(asker: &Asker) -> Reply {
    Sizes {
        group: Group::Radiator,
        what: "radiator",
        how: "thick",
        size: thinnest_side,
        alike: same_face,
        along: &[Group::Fan],
    }
    .ask(asker)
}

pub(super) fn tallest_cooler(asker: &Asker) -> Reply {
    Sizes {
        group: Group::Cooler,
        what: "air cooler",
        how: "tall",
        size: |k| k.size.z.as_um(),
        alike: |_, _| true,
        along: &[],
    }
    .ask(asker)
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
        let id = match asker.largest(self.group, self.size) {
            Some(id) => id,
            None => match kinds.first() {
                Some(first) => self.added(&mut scene, first),
                None => return Reply::no(format!("The catalogue has no {}.", self.what)),
            },
        };
        let Some(part) = scene.parts.get(&id) else {
            return Reply::default();
        };
        if let Some(own) = asker.scene.parts.get(&id) {
            kinds.retain(|k| (self.alike)(&own.kind, k) && serves(asker.scene, &id, k));
            if !kinds.iter().any(|k| k.id == own.kind.id) {
                kinds.push(own.kind.clone());
            }
        }
        kinds.sort_by_key(|k| (std::cmp::Reverse((self.size)(k)), k.id.clone()));
        let was = asker
            .scene
            .parts
            .contains_key(&id)
            .then(|| part.kind.clone());
        let mut wish = Wish::of(&scene).only(self.moving(asker, &id));
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
            let mut reply = match answer.end {
                End::Impossible(_) => Reply::no(format!(
                    "No {} of the catalogue fits here. {}",
                    self.what,
                    answer.words()
                )),
                _ => Reply::no(answer.words()),
            };
            reply.lines.extend(aside);
            return reply;
        };
        let best = found.kinds.get(&id).or(was.as_ref()).unwrap_or(&kinds[0]);
        let mm = |k: &PartKind| Length::um((self.size)(k));
        let mut lines = vec![format!(
            "{}: {} mm {}{}.",
            best.name,
            mm(best),
            self.how,
            if found.proved {
                ""
            } else {
                "; a larger one was not ruled out"
            }
        )];
        let mut larger = kinds.iter().filter(|k| (self.size)(k) > (self.size)(best));
        lines.push(match larger.next_back() {
            Some(next) if found.proved => {
                format!("The next larger one, {}, does not fit.", next.name)
            }
            Some(next) => format!("The next larger one would be {}.", next.name),
            None => "It is the largest of its kind in the catalogue.".to_owned(),
        });
        let mut edits = Vec::new();
        if was.is_none() {
            edits.push(crate::edit::Edit::AddPart {
                id: id.clone(),
                part: scene.parts[&id].clone(),
                place: None,
            });
        }
        edits.extend(found.in_place(&scene));
        lines.extend(changes(&scene, found).into_iter().map(|c| format!("{c}.")));
        lines.extend(aside);
        Reply {
            lines,
            edits,
            yes: true,
        }
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

    /// The part and what hangs together with it.
    fn moving(&self, asker: &Asker, id: &PartId) -> BTreeSet<PartId> {
        let placed = crate::placement::Placed::build(asker.scene);
        let parts = asker.scene.parts.iter();
        let along = parts
            .filter(|(_, p)| self.along.contains(&p.kind.group))
            .filter(|(other, _)| placed.holds_each_other(id, other))
            .map(|(other, _)| other.clone());
        along.chain([id.clone()]).collect()
    }
}

/// 0 for the largest size, 1 for the next smaller, and so on.
fn ranks(kinds: &[Arc<PartKind>], size: fn(&PartKind) -> i64) -> Vec<u64> {
    let sizes: BTreeSet<i64> = kinds.iter().map(|k| -size(k)).collect();
    let rank = |k: &Arc<PartKind>| sizes.range(..-size(k)).count() as u64;
    kinds.iter().map(rank).collect()
}
