//! What more could go in: fans in front, one more drive.

use super::why::{counted, reason};
use super::{Asker, Reply, changes};
use crate::edit::{Edit, apply};
use crate::geom::{Axis, Length};
use crate::model::{Group, Part, PartId, PartKind, Scene, ZoneRef};
use crate::placement::Placed;
use crate::search::scene::{Aim, End, Found, Weights, Wish};
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
    let (mut go, mut not) = (Vec::new(), Vec::new());
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
            false => go.push(kind),
            true => not.push((kind, reason(&answer, &id))),
        }
    }
    let yes = !go.is_empty();
    let mut lines = vec![match yes {
        true => format!("In front could go: {}.", sizes(&go)),
        false => "No fan of the catalogue goes in front.".to_owned(),
    }];
    if yes && !away.is_empty() {
        let names = away.iter().filter_map(|id| asker.scene.parts.get(id));
        let names: Vec<String> = names.map(|p| p.name.clone()).collect();
        lines.push(format!("Makes way for them: {}.", counted(&names, 6)));
    }
    let (holes, other): (Vec<_>, Vec<_>) = not
        .into_iter()
        .partition(|(_, why)| why.as_deref().is_some_and(|w| w.starts_with("its holes")));
    for (kind, why) in other {
        let why = why.unwrap_or_else(|| "does not go in".to_owned());
        lines.push(match why.strip_prefix(&format!("{}: ", kind.name)) {
            Some(rest) => format!("{}: {rest}.", kind.name),
            None => format!("{}: {why}.", kind.name),
        });
    }
    if !holes.is_empty() {
        let kinds: Vec<_> = holes.into_iter().map(|h| h.0).collect();
        lines.push(format!("No holes in front for: {}.", sizes(&kinds)));
    }
    lines.extend(aside);
    Reply {
        lines,
        edits: Vec::new(),
        yes,
    }
}

/// '120 mm: 15, 25 thick; 140 mm: 25 thick': fans by face and thickness.
fn sizes(kinds: &[Arc<PartKind>]) -> String {
    let mut faces: BTreeMap<Length, BTreeSet<Length>> = BTreeMap::new();
    for kind in kinds {
        let mut sides = Axis::ALL.map(|a| kind.size.along(a));
        sides.sort_unstable();
        faces.entry(sides[2]).or_default().insert(sides[0]);
    }
    let each = faces.into_iter().map(|(face, thick)| {
        let thick: Vec<String> = thick.into_iter().map(|t| t.to_string()).collect();
        format!("{face} mm: {} thick", thick.join(", "))
    });
    each.collect::<Vec<_>>().join("; ")
}

fn add(scene: &mut Scene, id: &PartId, kind: &Arc<PartKind>) {
    let part = Part {
        name: kind.name.clone(),
        kind: kind.clone(),
    };
    scene.parts.insert(id.clone(), part);
}

/// Kinds of the scene's drives, the most frequent first; the first of the catalogue without any.
fn usual_drives(asker: &Asker) -> Vec<Arc<PartKind>> {
    let mut count: BTreeMap<&str, (usize, &Arc<PartKind>)> = BTreeMap::new();
    for part in asker.scene.parts.values() {
        if part.kind.group == Group::Drive {
            let (n, _) = count
                .entry(part.kind.id.as_str())
                .or_insert((0, &part.kind));
            *n += 1;
        }
    }
    let bulk = |k: &PartKind| k.outline().volume_mm3() as i64;
    let mut all: Vec<_> = count.into_values().collect();
    all.sort_by_key(|(n, k)| std::cmp::Reverse((*n, bulk(k))));
    match all.is_empty() {
        false => all.into_iter().map(|(_, k)| k.clone()).collect(),
        true => asker.kinds(Group::Drive).into_iter().take(1).collect(),
    }
}

pub(super) fn one_more_drive(asker: &Asker) -> Reply {
    let kinds = usual_drives(asker);
    if kinds.is_empty() {
        return Reply::no("The catalogue has no drive.");
    }
    let id = PartId::fresh("drive", |i| asker.scene.parts.contains_key(i));
    let drives = asker.scene.parts.values();
    let count = drives.filter(|p| p.kind.group == Group::Drive).count() + 1;
    let weights = Weights::none()
        .with(Aim::PartsMoved, 1)
        .with(Aim::Cautions, 1);
    let mut not = Vec::new();
    for kind in &kinds {
        let mut scene = asker.scene.clone();
        add(&mut scene, &id, kind);
        let mut wish = Wish::of(&scene).only([id.clone()]);
        wish.weights = weights.clone();
        wish.top = 1;
        let (answer, aside) = asker.seek_apart(&scene, &wish);
        if let Some(found) = answer.found.first() {
            not.extend(aside);
            return goes_in(&scene, &id, count, found, not);
        }
        let why = reason(&answer, &id).map_or_else(String::new, |why| format!(": {why}"));
        not.push(format!(
            "With everything else where it is, {} finds no place{why}.",
            kind.name
        ));
    }
    let kind = &kinds[0];
    let mut scene = asker.scene.clone();
    add(&mut scene, &id, kind);
    let (mut wish, few) = asker.wish(&scene);
    // What a stop is about already stays: whether that can be mended is another question.
    let stopped = asker.stopped(&scene);
    wish.movable.retain(|m| !stopped.contains(m));
    wish.movable.insert(id.clone());
    wish.weights = weights;
    wish.top = 1;
    let (answer, aside) = asker.seek_apart(&scene, &wish);
    if let Some(found) = answer.found.first() {
        not.extend(few);
        not.extend(aside);
        return goes_in(&scene, &id, count, found, not);
    }
    let mut lines = vec![match answer.end {
        End::Impossible(_) => format!("No: drive number {count} does not go in."),
        _ => format!("No place was found for drive number {count}."),
    }];
    lines.extend(not);
    lines.push(format!(
        "With the others moved as well, {}: {}",
        kind.name,
        answer.words()
    ));
    lines.extend(few);
    lines.extend(aside);
    Reply {
        lines,
        ..Reply::default()
    }
}

fn goes_in(scene: &Scene, id: &PartId, count: usize, found: &Found, beside: Vec<String>) -> Reply {
    let part = &scene.parts[id];
    let mut edits = vec![Edit::AddPart {
        id: id.clone(),
        part: part.clone(),
        place: None,
    }];
    edits.extend(found.in_place(scene));
    let name = &part.kind.name;
    let mut lines = vec![format!("Yes, drive number {count} goes in: {name}.")];
    lines.extend(changes(scene, found).into_iter().map(|c| format!("{c}.")));
    if part.kind.ports.iter().any(|p| p.required) {
        lines.push("Its cables are still to be led.".to_owned());
    }
    lines.extend(beside);
    Reply {
        lines,
        edits,
        yes: true,
    }
}
