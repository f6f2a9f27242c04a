//! A longer cable, a cable of another kind, an extension.

use super::desk::{Desk, Idea};
use super::{How, plug_of};
use crate::geom::Length;
use crate::model::{Cable, Extension};
use crate::route;

/// Longer cables of its kind, and of other kinds that join the same ports.
pub(super) fn longer(desk: &Desk) -> Vec<Idea> {
    let mut ideas = Vec::new();
    let several = desk.cable.plugs.len() > 1;
    // Further plugs of a run are at its pitch; only the first stretch can be chosen.
    if desk.cable.kind.is_none() || (several && desk.short.stretch > 0) {
        return ideas;
    }
    let ports = (
        desk.placed().port_kind(&desk.cable.from),
        desk.placed().port_kind(&desk.cable.plugs[0].to),
    );
    let (Some(from), Some(to)) = ports else {
        return ideas;
    };
    let Ok(choices) = route::matching(desk.catalogue(), from, to) else {
        return ideas;
    };
    for choice in choices.into_iter().filter(|c| !c.flipped) {
        let same = choice.kind == desk.cable.kind;
        let plugs = choice
            .kind
            .as_ref()
            .and_then(|k| desk.catalogue().cables.get(k));
        if several && !same && plugs.is_none_or(|k| k.plugs < desk.cable.plugs.len()) {
            continue;
        }
        let mut cable = Cable {
            kind: choice.kind.clone(),
            system: choice.system,
            section: choice.section,
            bend: choice.bend,
            ..desk.cable.clone()
        };
        if !same {
            cable.name.clone_from(&choice.name);
            if let Some(kind) = plugs.filter(|_| several) {
                for plug in &mut cable.plugs[1..] {
                    plug.length = kind.pitch;
                }
            }
        }
        // The way does not depend on the length: the shortest that reaches with the
        // share for service, and without where none does.
        let mut found = None;
        for length in &choice.lengths {
            cable.plugs[0].length = *length;
            match desk.reaches(&cable) {
                Some((true, _)) => {
                    found = Some(*length);
                    break;
                }
                Some((false, _)) => found = found.or(Some(*length)),
                None => {}
            }
        }
        let Some(length) = found.filter(|l| !same || *l != desk.cable.plugs[0].length) else {
            continue;
        };
        cable.plugs[0].length = length;
        let words = match same {
            true => format!("Take the one of {length} mm."),
            false => format!("Take '{}' of {length} mm.", choice.name),
        };
        ideas.push(Idea {
            how: How::Length,
            words,
            edits: desk.set(cable),
            moved: Length::ZERO,
        });
    }
    ideas
}

/// An extension between the last plug and its socket.
pub(super) fn extended(desk: &Desk) -> Vec<Idea> {
    let last = desk.cable.plugs.len() - 1;
    let Some(plug) = plug_of(desk, desk.cable).filter(|_| desk.short.stretch == last) else {
        return Vec::new();
    };
    let Some(socket) = desk.placed().port_kind(desk.to()) else {
        return Vec::new();
    };
    let catalogue = desk.catalogue();
    let kinds = catalogue.cables.values().filter(|k| {
        k.extends && catalogue.fits(plug, &k.from) && catalogue.fits(&k.to, &socket.connector)
    });
    let mut ideas = Vec::new();
    for kind in kinds {
        let with = |length: Length| Cable {
            extension: Some(Extension {
                kind: kind.id.clone(),
                length,
            }),
            ..desk.cable.clone()
        };
        let reach = |service: bool| {
            let mut lengths = kind.lengths.iter().copied();
            lengths.find(|l| {
                desk.reaches(&with(*l))
                    .is_some_and(|(kept, _)| kept || !service)
            })
        };
        let Some(length) = reach(true).or_else(|| reach(false)) else {
            continue;
        };
        if desk
            .cable
            .extension
            .as_ref()
            .is_some_and(|e| e.length >= length)
        {
            continue;
        }
        ideas.push(Idea {
            how: How::Extension,
            words: format!("Put '{}' of {length} mm at its end.", kind.name),
            edits: desk.set(with(length)),
            moved: Length::ZERO,
        });
    }
    ideas
}
