//! Where one part could go by its holes: what a wish can narrow down.

use crate::geom::{Dir, Turn};
use crate::model::{PartId, Scene, ZoneRef};
use crate::placement::{Outcome, Placed, offers};
use std::collections::BTreeSet;

/// Zones and turns that a part can take as the others stand.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Choices {
    /// Zones whose holes fit, those of the enclosure first.
    pub zones: Vec<ZoneRef>,
    /// Turns in which they fit; the one that it has now first.
    pub turns: Vec<Turn>,
}

/// The zones and turns that a part's holes fit, whatever else stands there.
pub fn choices(scene: &Scene, placed: &Placed, id: &PartId) -> Choices {
    let Some(part) = scene.parts.get(id) else {
        return Choices::default();
    };
    let mut without: BTreeSet<PartId> = placed.carried(id).into_iter().collect();
    without.insert(id.clone());
    // What only takes a place may make way; what offers places stays.
    let takers = scene.parts.iter().filter(|(_, p)| p.kind.zones.is_empty());
    without.extend(takers.map(|(id, _)| id.clone()));
    let mut all = Choices::default();
    for offer in offers(scene, placed, &part.kind, &without) {
        let Outcome::Fits { place, .. } = offer.outcome else {
            continue;
        };
        if !all.zones.contains(&offer.zone) {
            all.zones.push(offer.zone);
        }
        if !all.turns.contains(&place.turn) {
            all.turns.push(place.turn);
        }
    }
    let now = scene.placed(id).map(|(_, p)| p.turn);
    all.turns.sort_by_key(|t| (Some(*t) != now, *t));
    all
}

/// A turn in words: where the part's own top and front point.
pub fn turn_words(turn: Turn) -> String {
    let (top, front) = (turn.dir(Dir::PosZ), turn.dir(Dir::NegY));
    let to = |dir: Dir| match dir {
        Dir::PosZ | Dir::NegZ => dir.words().to_owned(),
        _ => format!("to the {}", dir.words()),
    };
    format!("top {}, front {}", to(top), to(front))
}

/// A turn as on the command line and in scene files, '+x+y': where its own x and y point.
/// `None` for anything else.
pub fn turn_from(text: &str) -> Option<Turn> {
    let (x, y) = text
        .is_ascii()
        .then(|| text.split_at_checked(2))
        .flatten()?;
    Turn::new(Dir::from_name(x)?, Dir::from_name(y)?)
}

/// A zone as on the command line: its id, or that of a part and its own with a stroke
/// between.
pub fn zone_from(scene: &Scene, text: &str) -> Option<ZoneRef> {
    let (part, zone) = match text.split_once('/') {
        None => (None, text),
        Some((part, zone)) => (Some(PartId::new(part).ok()?), zone),
    };
    let zones = match &part {
        None => &scene.enclosure.zones,
        Some(id) => &scene.parts.get(id)?.kind.zones,
    };
    zones.iter().any(|z| z.id == zone).then(|| ZoneRef {
        part,
        zone: zone.to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_are_read_and_said() {
        assert_eq!(turn_from("+x+y"), Some(Turn::NONE));
        assert_eq!(turn_words(Turn::NONE), "top up, front to the front");
        // Own x up, own y to the back: the top (z = x cross y) points to the left, by the
        // right-hand rule.
        let turn = turn_from("+z+y").expect("a turn");
        assert_eq!(turn_words(turn), "top to the left, front to the front");
        for wrong in ["", "+x", "+x+x", "+x-x", "xy", "+x+y+z", "+xé"] {
            assert_eq!(turn_from(wrong), None, "{wrong}");
        }
    }
}
