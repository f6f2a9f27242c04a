//! The smallest enclosure that takes all parts.

use super::{Asker, Reply};
use crate::edit::Edit;
use crate::geom::{Box3, Solid, Vec3, free_mm3};
use crate::model::{Enclosure, HoleShape, KindId, Scene, Space};
use crate::search::scene::{End, Weights, Wish};
use std::collections::BTreeMap;
use std::sync::Arc;

pub(super) fn smallest(asker: &Asker) -> Reply {
    let mut enclosures: Vec<&Arc<Enclosure>> = asker.catalogue.enclosures.values().collect();
    if asker.scene.own_enclosure {
        enclosures.push(&asker.scene.enclosure);
    }
    let bulk = |e: &Enclosure| e.outline().volume_mm3();
    enclosures.sort_by(|a, b| bulk(a).total_cmp(&bulk(b)).then(a.id.cmp(&b.id)));
    let filled = filled_mm3(asker.scene);
    let mut lines: Vec<String> = Vec::new();
    let mut unsure = 0;
    for enclosure in enclosures {
        if asker
            .run
            .cancel
            .is_some_and(|c| c.load(std::sync::atomic::Ordering::Relaxed))
        {
            return Reply::no("Stopped before an enclosure was found.");
        }
        let litres = bulk(enclosure) / 1e6;
        let name = format!("{}, {litres:.1} litres", enclosure.name);
        let stands = enclosure.id == asker.scene.enclosure.id
            && asker
                .scene
                .parts
                .keys()
                .all(|id| asker.scene.placed(id).is_some())
            && asker.is_sound();
        if stands {
            return smallest_is(&name, unsure, true, lines, Vec::new());
        }
        if let Some(filled) = filled.filter(|f| *f > bulk(enclosure)) {
            let lacks = (filled - bulk(enclosure)) / 1e6;
            let filled = filled / 1e6;
            // More digits where fewer would read like nothing.
            let words = match lacks < 0.1 {
                true => format!("{:.0} ml more than that", (lacks * 1000.0).ceil()),
                false => format!("{filled:.1} litres"),
            };
            lines.push(format!(
                "{name}: the parts of this build alone fill {words}."
            ));
            continue;
        }
        let scene = beside(asker.scene, enclosure);
        let mut wish = Wish::of(&scene);
        wish.weights = Weights::none();
        wish.longer_cables = true;
        wish.top = 1;
        let answer = asker.seek(&scene, &wish);
        if let Some(found) = answer.found.first() {
            let mut edits = vec![Edit::SetEnclosure(enclosure.clone())];
            edits.extend(found.in_place(&scene));
            return smallest_is(&name, unsure, false, lines, edits);
        }
        lines.push(match &answer.end {
            End::Impossible(clash) => format!("{name}: {}", clash.sentence()),
            End::Stays(what) => format!("{name}: {what}."),
            End::NoneLooked(..) => {
                unsure += 1;
                format!(
                    "{name}: not known. Of the places that were looked at none works; there are more \
                     than can be looked at."
                )
            }
            _ => {
                unsure += 1;
                format!("{name}: not known, for the time was up before.")
            }
        });
    }
    let first = match unsure {
        0 => "No enclosure of the catalogue takes all parts.".to_owned(),
        1 => "No enclosure was found that takes all parts; of one it is not known.".to_owned(),
        n => format!("No enclosure was found that takes all parts; of {n} it is not known."),
    };
    lines.insert(0, first);
    Reply {
        lines,
        ..Reply::default()
    }
}

/// The answer where one takes all parts; of so many smaller ones it is not known.
fn smallest_is(
    name: &str,
    unsure: usize,
    stands: bool,
    smaller: Vec<String>,
    edits: Vec<Edit>,
) -> Reply {
    let as_it_stands = match stands {
        true => ", as they stand now",
        false => "",
    };
    let first = match unsure {
        0 => format!("The smallest that takes all parts: {name}{as_it_stands}."),
        _ => format!("It takes all parts{as_it_stands}: {name}; a smaller one may do."),
    };
    Reply {
        lines: std::iter::once(first).chain(smaller).collect(),
        edits,
        yes: true,
    }
}

/// What the parts fill at least, in cubic millimetres: those of which no two may stand in one
/// another, and none outside. Left out is what sits in a socket or slot of another part. `None`
/// where an overlap or standing outside was accepted, or where the shapes are too many.
fn filled_mm3(scene: &Scene) -> Option<f64> {
    let accepted = scene.arrangement().accepted.keys();
    let mut rules = accepted.map(|key| key.split(':').next().unwrap_or_default());
    if rules.any(|rule| ["clash", "outside"].contains(&rule)) {
        return None;
    }
    let mut each: BTreeMap<&KindId, f64> = BTreeMap::new();
    let mut all = 0.0;
    for part in scene.parts.values() {
        let holes = part.kind.patterns.iter().flat_map(|p| &p.holes);
        if holes
            .into_iter()
            .any(|h| matches!(h.shape, HoleShape::Seat { .. }))
        {
            continue;
        }
        all += match each.get(&part.kind.id) {
            Some(known) => *known,
            None => {
                let solid = part.kind.body.iter().filter(|p| p.space == Space::Solid);
                let solids: Vec<Solid> = solid.map(|p| p.solid.clone()).collect();
                let room = Box3::at(Vec3::ZERO, part.kind.size);
                let fills = room.volume_mm3() - free_mm3(&room, &solids)?;
                each.insert(&part.kind.id, fills);
                fills
            }
        };
    }
    Some(all)
}

/// All parts beside another enclosure; cables are led through nothing in particular.
fn beside(scene: &Scene, enclosure: &Arc<Enclosure>) -> Scene {
    let mut scene = scene.clone();
    scene.enclosure = enclosure.clone();
    let arrangement = scene.arrangement_mut();
    arrangement.places.clear();
    for cable in arrangement.cables.values_mut() {
        for plug in &mut cable.plugs {
            plug.via.clear();
        }
    }
    scene
}
