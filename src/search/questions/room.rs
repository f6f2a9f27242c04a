//! Who makes way for a part that is tried, and who moves along with it.

use super::why::counted;
use crate::edit::{Edit, apply};
use crate::model::{Group, PartId, Scene, System};
use crate::placement::{Hold, Placed};
use std::collections::BTreeSet;

/// Lays beside the enclosure what stands where the part belongs, with what its hoses lead
/// to and the fans on that, and says so.
pub(super) fn make_way(scene: &mut Scene, wanted: Group, group: Group) -> (Vec<Edit>, Vec<String>) {
    let placed = Placed::build(scene);
    let takes = |h: &Hold| {
        let zone = placed.zone(&h.zone);
        zone.is_some_and(|z| z.takes.contains(&wanted))
    };
    let parts = scene.parts.iter().filter(|(_, p)| p.kind.group == group);
    let there = parts.filter(|(id, _)| placed.holds(id).iter().any(takes));
    let mut away: BTreeSet<PartId> = there.map(|(id, _)| id.clone()).collect();
    loop {
        // What hangs on the same hoses is of no use without it.
        let cables = scene.arrangement().cables.values();
        let hoses = cables.filter(|c| c.system == System::Liquid);
        let on = hoses.filter(|c| c.ports().any(|p| away.contains(&p.part)));
        let more: BTreeSet<PartId> = on.flat_map(|c| c.ports()).map(|p| p.part.clone()).collect();
        if more.is_subset(&away) {
            break;
        }
        away.extend(more);
    }
    let fans = scene
        .parts
        .iter()
        .filter(|(_, p)| p.kind.group == Group::Fan);
    let on = |id: &PartId| away.iter().any(|a| placed.holds_each_other(id, a));
    let fans: Vec<PartId> = fans.map(|(id, _)| id.clone()).filter(on).collect();
    away.extend(fans);
    let names = away.iter().map(|id| scene.parts[id].name.clone());
    let names: Vec<String> = names.collect();
    let edits: Vec<Edit> = away
        .into_iter()
        .map(|id| Edit::SetPlace(id, None))
        .collect();
    for edit in &edits {
        // They stand in the scene, so each can be laid beside it.
        _ = apply(scene, edit);
    }
    let lines = match names.is_empty() {
        true => Vec::new(),
        false => vec![format!(
            "For that the liquid cooling is laid beside the enclosure, without its cables and \
             hoses: {}.",
            counted(&names, 6)
        )],
    };
    (edits, lines)
}

/// The part and what hangs together with it; of a part that is new, what stands on zones
/// that take it.
pub(super) fn moving(scene: &Scene, id: &PartId, new: bool, groups: &[Group]) -> BTreeSet<PartId> {
    let wanted = scene.parts.get(id).map(|p| p.kind.group);
    let placed = Placed::build(scene);
    let there = |other: &PartId| match new {
        false => placed.holds_each_other(id, other),
        true => placed.holds(other).iter().any(|h| {
            let zone = placed.zone(&h.zone);
            zone.is_some_and(|z| wanted.is_some_and(|w| z.takes.contains(&w)))
        }),
    };
    let parts = scene.parts.iter();
    let along = parts
        .filter(|(_, p)| groups.contains(&p.kind.group))
        .filter(|(other, _)| there(other))
        .map(|(other, _)| other.clone());
    along.chain([id.clone()]).collect()
}
