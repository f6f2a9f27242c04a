//! What more could go in: fans in front, one more drive.

use super::{Asker, Reply, changes};
use crate::edit::{Edit, apply};
use crate::geom::Axis;
use crate::model::{Group, Part, PartId, PartKind, Scene, ZoneRef};
use crate::placement::Placed;
use crate::search::scene::{Aim, Weights, Wish};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Zones of the enclosure for fans in its front: they face along the depth and lie in the
/// front quarter.
fn front_zones(scene: &Scene) -> BTreeSet<ZoneRef> {
    let quarter = scene.enclosure.size.y.half().half();
    let zones = scene.enclosure.zones.iter();
    zones
        .filter(|z| z.takes.is_empty() || z.takes.contains(&Group::Fan))
        .filter(|z| z.frame.normal.axis() == Axis::Y && z.frame.origin.y <= quarter)
        .map(|z| ZoneRef {
            part: None,
            zone: z.id.clone(),
        })
        .collect()
}

pub(super) fn front_fans(asker: &Asker) -> Reply {
    let zones = front_zones(asker.scene);
    if zones.is_empty() {
        return Reply::no("The enclosure has no zone for fans in its front.");
    }
    let mut scene = asker.scene.clone();
    let placed = Placed::build(&scene);
    let there = |id: &PartId| placed.holds(id).iter().any(|h| zones.contains(&h.zone));
    let fans = scene
        .parts
        .iter()
        .filter(|(_, p)| p.kind.group == Group::Fan);
    let away: Vec<PartId> = fans.map(|(id, _)| id.clone()).filter(there).collect();
    for id in &away {
        // What was there makes way, with its cables.
        _ = apply(&mut scene, &Edit::RemovePart(id.clone()));
    }
    let kinds = asker.kinds(Group::Fan);
    let id = PartId::fresh("fan", |i| scene.parts.contains_key(i));
    let (mut go, mut not, mut plain) = (Vec::new(), Vec::new(), Vec::new());
    let mut aside = Vec::new();
    for kind in kinds {
        let mut with = scene.clone();
        add(&mut with, &id, &kind);
        let mut wish = Wish::of(&with).only([id.clone()]);
        wish.weights = Weights::none();
        wish.zones.insert(id.clone(), zones.clone());
        wish.top = 1;
        let (answer, lines) = asker.seek_apart(&with, &wish);
        aside = lines;
        match answer.found.is_empty() {
            false => go.push(kind.name.clone()),
            true => {
                // That itself cannot be met says no more than that it does not go in.
                let bare = format!("'{}'", kind.name);
                let reason = answer.words();
                let says = reason.replace(&bare, "").chars().any(|c| c == '\'');
                match says || !answer.notes.is_empty() {
                    true => not.push(format!("{}: {reason}", kind.name)),
                    false => plain.push(kind.name.clone()),
                }
            }
        }
    }
    let yes = !go.is_empty();
    let mut lines = vec![match yes {
        true => format!("In front could go: {}.", go.join("; ")),
        false => "No fan of the catalogue goes in front.".to_owned(),
    }];
    if !plain.is_empty() {
        lines.push(format!("No place takes: {}.", plain.join("; ")));
    }
    lines.extend(not);
    lines.extend(aside);
    Reply {
        lines,
        edits: Vec::new(),
        yes,
    }
}

fn add(scene: &mut Scene, id: &PartId, kind: &Arc<PartKind>) {
    let part = Part {
        name: kind.name.clone(),
        kind: kind.clone(),
    };
    scene.parts.insert(id.clone(), part);
}

/// The kind that most drives of the scene are of; the first of the catalogue without any.
fn usual_drive(asker: &Asker) -> Option<Arc<PartKind>> {
    let mut count: BTreeMap<&str, (usize, &Arc<PartKind>)> = BTreeMap::new();
    for part in asker.scene.parts.values() {
        if part.kind.group == Group::Drive {
            count
                .entry(part.kind.id.as_str())
                .or_insert((0, &part.kind))
                .0 += 1;
        }
    }
    let bulk = |k: &PartKind| k.outline().volume_mm3() as i64;
    let most = count.into_values().max_by_key(|(n, k)| (*n, bulk(k)));
    most.map(|(_, k)| k.clone())
        .or_else(|| asker.kinds(Group::Drive).into_iter().next())
}

pub(super) fn one_more_drive(asker: &Asker) -> Reply {
    let Some(kind) = usual_drive(asker) else {
        return Reply::no("The catalogue has no drive.");
    };
    let mut scene = asker.scene.clone();
    let id = PartId::fresh("drive", |i| scene.parts.contains_key(i));
    let drives = scene
        .parts
        .values()
        .filter(|p| p.kind.group == Group::Drive);
    let count = drives.count() + 1;
    add(&mut scene, &id, &kind);
    let mut wish = Wish::of(&scene).only([id.clone()]);
    wish.weights = Weights::none()
        .with(Aim::PartsMoved, 1)
        .with(Aim::Cautions, 1);
    wish.top = 1;
    let mut said = None;
    let (mut answer, mut aside) = asker.seek_apart(&scene, &wish);
    if answer.found.is_empty() {
        let (all, few) = asker.wish(&scene);
        wish.movable = all.movable;
        said = few;
        (answer, aside) = asker.seek_apart(&scene, &wish);
    }
    let Some(found) = answer.found.first() else {
        return Reply {
            lines: [
                format!("No: drive number {count}, {}, does not go in.", kind.name),
                answer.words(),
            ]
            .into_iter()
            .chain(said)
            .chain(aside)
            .collect(),
            ..Reply::default()
        };
    };
    let mut edits = vec![Edit::AddPart {
        id: id.clone(),
        part: scene.parts[&id].clone(),
        place: None,
    }];
    edits.extend(found.in_place(&scene));
    let mut lines = vec![format!("Yes, drive number {count} goes in: {}.", kind.name)];
    lines.extend(changes(&scene, found).into_iter().map(|c| format!("{c}.")));
    lines.push("Its cables are still to be led.".to_owned());
    lines.extend(said);
    lines.extend(aside);
    Reply {
        lines,
        edits,
        yes: true,
    }
}
