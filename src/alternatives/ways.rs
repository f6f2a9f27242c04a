//! Another way: without a place on it, in another order, through another passage.

use super::desk::{Desk, Idea};
use crate::model::{Cable, Via};

/// So many passages are tried in place of another, or as one more.
const MOST_PASSAGES: usize = 16;

/// Ways of the short stretch that are short enough.
pub(super) fn ideas(desk: &Desk) -> Vec<Idea> {
    let enclosure = desk.placed().enclosure();
    let via = &desk.cable.plugs[desk.short.stretch].via;
    let mut all: Vec<(String, Vec<Via>)> = Vec::new();
    for (i, gone) in via.iter().enumerate() {
        let mut less = via.clone();
        less.remove(i);
        all.push((format!("Leave out {}.", place(desk, gone)), less));
    }
    if via.len() > 1 {
        all.push(("Lead it straight from plug to plug.".to_owned(), Vec::new()));
        let back = via.iter().rev().cloned().collect();
        all.push((
            "Lead it along the same places the other way round.".to_owned(),
            back,
        ));
    }
    for passage in enclosure.passages.iter().take(MOST_PASSAGES) {
        let through = Via::Passage(passage.id.clone());
        if via.contains(&through) {
            continue;
        }
        for (i, was) in via.iter().enumerate() {
            if let Via::Passage(_) = was {
                let mut other = via.clone();
                other[i] = through.clone();
                let words = format!(
                    "Lead it through {} in place of {}.",
                    place(desk, &through),
                    place(desk, was)
                );
                all.push((words, other));
            }
        }
        if via.is_empty() {
            let words = format!("Lead it through {}.", place(desk, &through));
            all.push((words, vec![through]));
        }
    }
    let cables = all.into_iter().map(|(words, via)| {
        let mut cable: Cable = desk.cable.clone();
        cable.plugs[desk.short.stretch].via = via;
        (words, cable)
    });
    desk.ways(cables)
}

fn place(desk: &Desk, via: &Via) -> String {
    match via {
        Via::Passage(id) => match desk.placed().enclosure().passage(id) {
            Some(p) => format!("passage '{}'", p.name),
            None => format!("passage '{id}'"),
        },
        Via::Tie(id) | Via::Chosen(id) => format!("tie '{id}'"),
        Via::Point(p) => format!("point {}, {}, {}", p.x, p.y, p.z),
        Via::Corner(p) => format!("corner {}, {}, {}", p.x, p.y, p.z),
    }
}
