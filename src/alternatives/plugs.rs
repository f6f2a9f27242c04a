//! Another plug of the same run, or its plugs in another order.

use super::desk::{Desk, Idea};
use super::{How, port_words};
use crate::geom::Length;
use crate::model::{Cable, PlugEnd};

/// Runs with more plugs are not tried in every order: 5 have 120 orders.
const MOST_ORDERED: usize = 4;

/// Later plugs of the run, where it has some that are not used; other orders.
pub(super) fn ideas(desk: &Desk) -> Vec<Idea> {
    let mut ideas = later(desk);
    ideas.extend(orders(desk));
    ideas
}

/// A later plug goes into the socket; those before it hang free.
fn later(desk: &Desk) -> Vec<Idea> {
    let kind = desk.cable.kind.as_ref();
    let Some(kind) = kind.and_then(|k| desk.catalogue().cables.get(k)) else {
        return Vec::new();
    };
    // Plugs that were passed over already are so many pitches in the lengths.
    let over: usize = desk
        .cable
        .plugs
        .iter()
        .skip(1)
        .map(|p| passed(p, kind.pitch))
        .sum();
    let free = kind.plugs.saturating_sub(desk.cable.plugs.len() + over);
    let found = (1..=free).find_map(|n| {
        let mut cable = desk.cable.clone();
        let more = Length::um(kind.pitch.as_um().saturating_mul(n as i64));
        cable.plugs[desk.short.stretch].length += more;
        desk.reaches(&cable).map(|_| (n, cable))
    });
    let idea = |(n, cable): (usize, Cable)| Idea {
        how: How::Plug,
        words: match n {
            1 => format!(
                "Use the next plug of the run, {} mm further on; one hangs free.",
                kind.pitch
            ),
            n => format!("Use the plug {n} further on; {n} hang free."),
        },
        edits: desk.set(cable),
        moved: Length::ZERO,
    };
    found.into_iter().map(idea).collect()
}

fn passed(plug: &PlugEnd, pitch: Length) -> usize {
    match pitch.as_um() {
        ..=0 => 0,
        um => usize::try_from(plug.length.as_um() / um - 1).unwrap_or(0),
    }
}

fn orders(desk: &Desk) -> Vec<Idea> {
    let n = desk.cable.plugs.len();
    if !(2..=MOST_ORDERED).contains(&n) {
        return Vec::new();
    }
    let mut all = Vec::new();
    for order in permutations(n) {
        if order.iter().enumerate().all(|(i, j)| i == *j) {
            continue;
        }
        let mut cable = desk.cable.clone();
        for (i, j) in order.iter().enumerate() {
            let plug = &mut cable.plugs[i];
            plug.to.clone_from(&desk.cable.plugs[*j].to);
            // Places on the way belong to where it went.
            if i != *j {
                plug.via.clear();
            }
        }
        all.push(((), cable));
    }
    let best = desk.reaching(all).into_iter().take(3);
    best.map(|((), cable)| {
        let ports: Vec<String> = cable
            .plugs
            .iter()
            .map(|p| port_words(desk.scene, &p.to))
            .collect();
        Idea {
            how: How::Plug,
            words: format!("Plug it in this order: {}.", ports.join(", ")),
            edits: desk.set(cable),
            moved: Length::ZERO,
        }
    })
    .collect()
}

fn permutations(n: usize) -> Vec<Vec<usize>> {
    let mut all = vec![Vec::new()];
    for _ in 0..n {
        all = all
            .into_iter()
            .flat_map(|done: Vec<usize>| {
                (0..n)
                    .filter(|i| !done.contains(i))
                    .map(|i| {
                        let mut next = done.clone();
                        next.push(i);
                        next
                    })
                    .collect::<Vec<_>>()
            })
            .collect();
    }
    all
}
