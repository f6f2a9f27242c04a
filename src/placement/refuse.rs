//! Why a zone does not take a part, in words with figures.

use super::offer::{Refusal, could_join};
use super::screw::twice_play;
use crate::geom::Length;
use crate::model::{Group, Hole, HoleShape, PartKind, Zone};
use std::collections::BTreeSet;

/// The zone is meant for other parts.
pub(super) fn group(takes: &[Group]) -> Refusal {
    let words: Vec<String> = takes.iter().map(|g| g.words().to_lowercase()).collect();
    let list = match words.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
        None => "nothing".to_owned(),
    };
    foreign(format!("zone is for {list}"))
}

/// Another part is on these holes.
pub(super) fn taken(name: &str) -> Refusal {
    plain(format!("taken by {name}"))
}

/// Not every way was tried.
pub(super) fn too_many() -> Refusal {
    plain("too many holes to try all ways".to_owned())
}

/// Not deep enough, counting what stands there already.
pub(super) fn depth(needed: Length, free: Length) -> Refusal {
    Refusal {
        text: format!(
            "needs {needed} mm, {free} mm free: {} mm short",
            needed - free
        ),
        needed: Some(needed),
        free: Some(free),
        foreign: false,
    }
}

/// The holes do not match: `best` is the most that do anywhere, of how many.
pub(super) fn holes(kind: &PartKind, zone: &Zone, best: (usize, usize)) -> Refusal {
    let patterns = || kind.patterns.iter().filter(|p| !p.holes.is_empty());
    if patterns().next().is_none() {
        return plain("no mounting holes of this part are known".to_owned());
    }
    if zone.holes.is_empty() {
        return plain("zone has no holes".to_owned());
    }
    let own = || patterns().flat_map(|p| &p.holes);
    let pairs = || own().flat_map(|h| zone.holes.iter().map(move |o| (h, o)));
    if !pairs().any(|(h, o)| could_join(h, o)) {
        let is_seat = |h: &Hole| matches!(h.shape, HoleShape::Seat { .. });
        let screws = own().any(|h| !is_seat(h)) && zone.holes.iter().any(|h| !is_seat(h));
        return match screws {
            true => plain(no_pair(pairs())),
            false => foreign(no_pair(pairs())),
        };
    }
    let (matched, needs) = best;
    // A few may match by chance; then the spacing says more.
    if matched * 2 > needs && matched >= 2 {
        return plain(format!(
            "only {matched} of the {needs} holes it needs match"
        ));
    }
    let has = spacings(&zone.holes);
    let square = spacings_both_ways(&zone.holes);
    let wanted = patterns().find_map(|p| {
        let mut wants = spacings_both_ways(&p.holes);
        if wants.is_empty() {
            wants = spacings(&p.holes);
        }
        wants.into_iter().find(|s| !has.contains(s))
    });
    if let Some(want) = wanted {
        let from = if square.is_empty() { &has } else { &square };
        if let Some(near) = from.iter().min_by_key(|s| (**s - want).abs()) {
            return Refusal {
                text: format!("holes {want} mm apart, plate has {near} mm"),
                needed: Some(want),
                free: Some(*near),
                foreign: false,
            };
        }
    }
    plain(format!(
        "only {matched} of the {needs} holes it needs match"
    ))
}

fn foreign(text: String) -> Refusal {
    Refusal {
        foreign: true,
        ..plain(text)
    }
}

fn plain(text: String) -> Refusal {
    Refusal {
        text,
        needed: None,
        free: None,
        foreign: false,
    }
}

/// Why no hole of the part goes with any hole of the zone.
fn no_pair<'a>(mut pairs: impl Iterator<Item = (&'a Hole, &'a Hole)>) -> String {
    let Some((hole, other)) = pairs.next() else {
        return "zone has no holes".to_owned();
    };
    match (&hole.shape, &other.shape) {
        (HoleShape::Seat { key: a }, HoleShape::Seat { key: b }) => {
            format!("seat '{a}' does not go into seat '{b}'")
        }
        (HoleShape::Seat { key }, _) => format!("zone has no seat '{key}'"),
        (_, HoleShape::Seat { key }) => format!("zone has a seat '{key}' and no such screw holes"),
        _ => match twice_play(hole, other) {
            Err(why) => why.words(),
            Ok(_) => "the holes do not match".to_owned(),
        },
    }
}

/// Distances of holes that stand in one row or one column.
fn spacings(holes: &[Hole]) -> BTreeSet<Length> {
    let (along_u, along_v) = rows(holes);
    along_u.union(&along_v).copied().collect()
}

/// Distances that occur both in a row and in a column, as on a fan.
fn spacings_both_ways(holes: &[Hole]) -> BTreeSet<Length> {
    let (along_u, along_v) = rows(holes);
    along_u.intersection(&along_v).copied().collect()
}

fn rows(holes: &[Hole]) -> (BTreeSet<Length>, BTreeSet<Length>) {
    let (mut along_u, mut along_v) = (BTreeSet::new(), BTreeSet::new());
    for (i, a) in holes.iter().enumerate() {
        for b in &holes[i + 1..] {
            if a.v == b.v && a.u != b.u {
                along_u.insert((a.u - b.u).abs());
            }
            if a.u == b.u && a.v != b.v {
                along_v.insert((a.v - b.v).abs());
            }
        }
    }
    (along_u, along_v)
}
