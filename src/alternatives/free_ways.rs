//! Another free way: found by search, also under a board.

use super::desk::{Desk, Idea};
use crate::model::Cable;
use crate::placement::Placed;
use crate::route::ways::{self, Laid, Under, Wish};

/// So many free ways are looked at.
const MOST_WAYS: usize = 4;

/// Free ways of the short cable on which it reaches, the shortest first: what is pinned
/// on it stays, and then without that.
pub(super) fn ideas(desk: &Desk) -> Vec<Idea> {
    let mut all: Vec<(String, Cable)> = Vec::new();
    let mut unpinned = desk.cable.clone();
    unpinned.plugs[desk.short.stretch].via.clear();
    let mut from = vec![(desk.cable.clone(), "")];
    if unpinned.plugs != desk.cable.plugs {
        from.push((unpinned, ", leaving out what it is led along"));
    }
    for (cable, how) in from {
        if desk.is_cancelled() {
            break;
        }
        let search = ways::Desk {
            scene: desk.scene,
            placed: desk.placed(),
            catalogue: desk.catalogue(),
            runs: desk.checker.runs(),
        };
        let wish = Wish {
            under: Under::May,
            ..Wish::default()
        };
        let cancelled = || desk.is_cancelled();
        let found = ways::ways(
            &search,
            &desk.short.cable,
            &cable,
            &wish,
            MOST_WAYS,
            &cancelled,
        );
        // Without corners it is as straight as the ways that are tried anyway.
        let led = found
            .into_iter()
            .flatten()
            .filter(|l| l.cable.has_corners());
        for laid in led {
            all.push((words(desk.placed(), &laid, how), laid.cable));
        }
    }
    desk.ways(all)
}

fn words(placed: &Placed, laid: &Laid, how: &str) -> String {
    let needed = laid.run.needed.text1();
    let boards: Vec<&str> = laid
        .under
        .iter()
        .filter_map(|id| Some(placed.part(id)?.name.as_str()))
        .collect();
    match boards.is_empty() {
        true => format!("Lay it along a free way of {needed} mm{how}."),
        false => format!(
            "Lay it under {}{how}, a way of {needed} mm: thread it before the board is screwed down.",
            boards.join(" and ")
        ),
    }
}
