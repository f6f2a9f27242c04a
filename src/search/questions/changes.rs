//! What an arrangement changes, in words.

use crate::edit::apply;
use crate::model::{PartId, Scene};
use crate::placement::Placed;
use crate::search::scene::Found;

/// What an arrangement changes, a line a part: 'drive: to bay 3'.
pub fn changes(scene: &Scene, found: &Found) -> Vec<String> {
    let mut after = scene.clone();
    for edit in found.in_place(scene) {
        // What cannot be carried out changes nothing.
        _ = apply(&mut after, &edit);
    }
    let placed = Placed::build(&after);
    let mut lines = Vec::new();
    let called = |id: &PartId, name: &str| {
        let same = after.parts.values().filter(|p| p.name == *name).count();
        told_apart(name, id.as_str(), same)
    };
    for (id, part) in &after.parts {
        let Some(was) = scene.parts.get(id) else {
            continue;
        };
        let place = |s: &Scene| s.arrangement().places.get(id).map(|p| (p.at, p.turn));
        let (before, now) = (place(scene), place(&after));
        let swapped = was.kind.id != part.kind.id;
        let name = called(id, &was.name);
        let Some(to) = now.filter(|_| before != now) else {
            if swapped {
                lines.push(format!("{name}: take {}", part.kind.name));
            }
            continue;
        };
        let at = format!("{}, {}, {} mm", to.0.x, to.0.y, to.0.z);
        let moved = match before {
            _ if swapped => format!("take {}, at", part.kind.name),
            Some(b) if b.0 == to.0 => "turn it at".to_owned(),
            Some(_) => "move to".to_owned(),
            None => "put in at".to_owned(),
        };
        match placed.holds(id).first() {
            Some(hold) => lines.push(format!(
                "{name}: {moved} {} ({at})",
                placed.zone_words(&hold.zone)
            )),
            None => lines.push(format!("{name}: {moved} {at}")),
        }
    }
    for (id, cable) in &after.arrangement().cables {
        let Some(was) = scene.arrangement().cables.get(id) else {
            continue;
        };
        let same = after.arrangement().cables.values();
        let same = same.filter(|c| c.name == cable.name).count();
        let name = told_apart(&cable.name, id.as_str(), same);
        for (old, new) in was.plugs.iter().zip(&cable.plugs) {
            if old.length != new.length {
                lines.push(format!("{name}: take the one of {} mm", new.length));
            }
            if old.via != new.via {
                lines.push(match new.via.is_empty() {
                    true => format!("{name}: lead it straight"),
                    false => format!("{name}: lead it anew, on a way that is free"),
                });
            }
        }
    }
    lines
}

/// A name, with the id where several have the same.
fn told_apart(name: &str, id: &str, same: usize) -> String {
    match same {
        0 | 1 => name.to_owned(),
        _ => format!("{name} ({id})"),
    }
}
