//! Another port, a plug of another lead, two leads that change places.

use super::desk::{Desk, Idea};
use super::{How, port_words};
use crate::edit::Edit;
use crate::geom::Length;
use crate::model::{Cable, CableId, PlugEnd, PortRef};
use crate::route;

/// So many ports are looked at.
const MOST_PORTS: usize = 200;

/// So many other leads are looked at.
const MOST_LEADS: usize = 40;

/// Free ports first, then plugs of other runs, then exchanges.
pub(super) fn ideas(desk: &Desk) -> Vec<Idea> {
    let mut ideas = free_ports(desk);
    ideas.extend(other_runs(desk));
    ideas.extend(exchanges(desk));
    ideas
}

/// True where a cable of this kind joins its ports as it stands.
fn joins(desk: &Desk, cable: &Cable) -> bool {
    let Some(from) = desk.placed().port_kind(&cable.from) else {
        return false;
    };
    cable.plugs.iter().all(|plug| {
        let to = desk.placed().port_kind(&plug.to);
        let choices = to.map(|to| route::matching(desk.catalogue(), from, to));
        choices.is_some_and(|c| {
            c.is_ok_and(|all| all.iter().any(|c| !c.flipped && c.kind == cable.kind))
        })
    })
}

/// The lead at hand goes to another free port: the giving end of a loose one, the far
/// end of a captive one.
fn free_ports(desk: &Desk) -> Vec<Idea> {
    let captive = desk.cable.kind.is_none();
    let last = desk.cable.plugs.len() - 1;
    if captive && last > 0 {
        return Vec::new();
    }
    let now = match captive {
        true => desk.to(),
        false => &desk.cable.from,
    };
    let ports = desk.placed().parts().flat_map(|part| {
        part.kind.ports.iter().map(|p| PortRef {
            part: part.id.clone(),
            port: p.id.clone(),
        })
    });
    let others = ports
        .filter(|p| p != now && desk.is_free(p))
        .take(MOST_PORTS)
        .filter_map(|port| {
            let mut cable = desk.cable.clone();
            match captive {
                true => cable.plugs[0].to = port.clone(),
                false => cable.from = port.clone(),
            }
            let index = desk.short.stretch;
            if index == 0 {
                cable.plugs[0].via.clear();
            }
            joins(desk, &cable).then_some((port, cable))
        });
    let found = desk.reaching(others);
    found
        .into_iter()
        .map(|(port, cable)| Idea {
            how: How::Port,
            words: match captive {
                true => format!("Plug it into {}.", port_words(desk.scene, &port)),
                false => format!("Start it at {}.", port_words(desk.scene, &port)),
            },
            edits: desk.set(cable),
            moved: Length::ZERO,
        })
        .collect()
}

fn others<'a>(desk: &'a Desk) -> impl Iterator<Item = (&'a CableId, &'a Cable)> {
    let all = desk.scene.arrangement().cables.iter();
    all.filter(|(id, c)| **id != desk.short.cable && !c.locked)
        .take(MOST_LEADS)
}

/// The device hangs on a plug of another run that is not used; its own lead loses it.
fn other_runs(desk: &Desk) -> Vec<Idea> {
    let mut ideas = Vec::new();
    for (id, run) in others(desk) {
        let kind = run.kind.as_ref();
        let Some(kind) = kind.and_then(|k| desk.catalogue().cables.get(k)) else {
            continue;
        };
        if kind.plugs <= run.plugs.len() || run.extension.is_some() || desk.is_cancelled() {
            continue;
        }
        let mut longer = run.clone();
        longer.plugs.push(PlugEnd {
            to: desk.to().clone(),
            length: kind.pitch,
            via: Vec::new(),
        });
        if !joins(desk, &longer) || desk.reaches(&longer).is_none() {
            continue;
        }
        let mut rest = desk.cable.clone();
        let gone = rest.plugs.remove(desk.short.stretch);
        if let Some(next) = rest.plugs.get_mut(desk.short.stretch) {
            next.length += gone.length;
        }
        let rest = (!rest.plugs.is_empty()).then_some(rest);
        let words = match &rest {
            Some(_) => format!("Take a free plug of '{}' for it.", run.name),
            None => format!(
                "Take a free plug of '{}' for it; this lead is not needed then.",
                run.name
            ),
        };
        ideas.push(Idea {
            how: How::Port,
            words,
            edits: vec![
                Edit::SetCable(desk.short.cable.clone(), rest),
                Edit::SetCable(id.clone(), Some(longer)),
            ],
            moved: Length::ZERO,
        });
    }
    ideas.truncate(super::desk::MOST_OF_A_SORT);
    ideas
}

/// Two leads change places: captive ones their sockets, loose ones of one kind their
/// giving ends.
fn exchanges(desk: &Desk) -> Vec<Idea> {
    let captive = desk.cable.kind.is_none();
    let mut ideas = Vec::new();
    for (id, other) in others(desk) {
        if other.kind != desk.cable.kind || desk.is_cancelled() {
            continue;
        }
        let (mut mine, mut theirs) = (desk.cable.clone(), other.clone());
        let with = if captive {
            let (Some(a), Some(b)) = (mine.plugs.last_mut(), theirs.plugs.last_mut()) else {
                continue;
            };
            std::mem::swap(&mut a.to, &mut b.to);
            (a.via, b.via) = (Vec::new(), Vec::new());
            a.to.clone()
        } else {
            std::mem::swap(&mut mine.from, &mut theirs.from);
            mine.plugs[0].via.clear();
            theirs.plugs[0].via.clear();
            mine.from.clone()
        };
        let sound = joins(desk, &mine) && joins(desk, &theirs);
        if !sound || desk.reaches(&mine).is_none() || desk.reaches(&theirs).is_none() {
            continue;
        }
        ideas.push(Idea {
            how: How::Port,
            words: format!(
                "Change places with '{}': this one at {}.",
                other.name,
                port_words(desk.scene, &with)
            ),
            edits: vec![
                Edit::SetCable(desk.short.cable.clone(), Some(mine)),
                Edit::SetCable(id.clone(), Some(theirs)),
            ],
            moved: Length::ZERO,
        });
    }
    ideas.truncate(super::desk::MOST_OF_A_SORT);
    ideas
}
