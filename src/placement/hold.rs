//! What holds a part: the zones on whose holes its own holes lie.

use super::holes::match_indices;
use super::part::{PlacedPart, pattern_bounds};
use super::table::{Placed, ZoneKey};
use crate::geom::Length;
use crate::model::{HoleShape, Zone, ZoneRef};
use std::cmp::Reverse;

/// Screws of the table leave no more play than this, so no further zone can hold.
const LOOK: Length = Length::mm(4);

/// So many zones are kept, and so many near parts looked at, for one part: far
/// more than a part can be screwed to, and an end to what a heap of parts costs.
const MOST_HOLDS: usize = 32;
const MOST_CARRIERS: usize = 1000;

/// A part on the holes of a zone. At least one hole matches.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Hold {
    /// The zone.
    pub zone: ZoneRef,
    /// The part's pattern that lies on it.
    pub pattern: String,
    /// Labels of the part's hole and of the zone's hole.
    pub pairs: Vec<(String, String)>,
    /// How many holes match.
    pub matched: usize,
    /// How many the pattern has.
    pub of: usize,
    /// How many it needs, at least 1.
    pub needs: usize,
    /// True where at least one match is a seat rather than a screw.
    pub seated: bool,
    pub(crate) key: ZoneKey,
}

impl Hold {
    /// True where enough holes match.
    pub fn suffices(&self) -> bool {
        self.matched >= self.needs
    }

    /// Best first: enough holes, seats before screws (a card belongs to its slot
    /// more than to the screw of its bracket), the enclosure before other parts,
    /// many holes, and then by name so that the order is fixed.
    fn rank(&self) -> impl Ord + '_ {
        (
            !self.suffices(),
            !self.seated,
            self.zone.part.is_some(),
            Reverse(self.matched),
            &self.zone,
        )
    }
}

impl Placed {
    /// All zones that hold the part in this slot, best first; one pattern each.
    pub(super) fn find_holds(&self, slot: u32) -> Vec<Hold> {
        let Some(part) = self.at(slot) else {
            return Vec::new();
        };
        if part.patterns.is_empty() {
            return Vec::new();
        }
        let mut holds: Vec<Hold> = Vec::new();
        for pattern in &part.patterns {
            let Some(bounds) = pattern_bounds(pattern) else {
                continue;
            };
            for index in self.zone_grid.meeting(&bounds.grown(LOOK)) {
                let zone = &self.enclosure.zones[index as usize];
                let key = ZoneKey {
                    owner: None,
                    zone: index,
                };
                consider(&mut holds, pattern, zone, None, key);
            }
        }
        let near = self.grid.meeting(&part.span.grown(LOOK));
        for other in near.into_iter().take(MOST_CARRIERS) {
            let carrier = self.at(other).expect("the grid knows placed parts only");
            if other == slot {
                continue;
            }
            for (index, zone) in carrier.zones.iter().enumerate() {
                let key = ZoneKey {
                    owner: Some(other),
                    zone: index as u32,
                };
                for pattern in &part.patterns {
                    consider(&mut holds, pattern, zone, Some(carrier), key);
                }
            }
        }
        holds.sort_by(|a, b| a.rank().cmp(&b.rank()));
        holds.truncate(MOST_HOLDS);
        holds
    }
}

/// How one part would be held by another, if both stood where they are drawn, best first.
pub(super) fn holds_on(part: &PlacedPart, carrier: &PlacedPart) -> Vec<Hold> {
    let mut holds = Vec::new();
    for (index, zone) in (0u32..).zip(&carrier.zones) {
        let key = ZoneKey {
            owner: Some(carrier.slot),
            zone: index,
        };
        for pattern in &part.patterns {
            consider(&mut holds, pattern, zone, Some(carrier), key);
        }
    }
    holds.sort_by(|a, b| a.rank().cmp(&b.rank()));
    holds
}

fn consider(
    holds: &mut Vec<Hold>,
    pattern: &crate::model::Pattern,
    zone: &Zone,
    carrier: Option<&PlacedPart>,
    key: ZoneKey,
) {
    if holds.len() >= 4 * MOST_HOLDS {
        return;
    }
    let pairs = match_indices(pattern, zone);
    if pairs.is_empty() {
        return;
    }
    let needs = pattern.needs.max(1);
    let known = holds.iter().position(|h| h.key == key);
    if let Some(i) = known {
        let better = (pairs.len() >= needs, pairs.len());
        if better <= (holds[i].suffices(), holds[i].matched) {
            return;
        }
        holds.swap_remove(i);
    }
    holds.push(Hold {
        zone: ZoneRef {
            part: carrier.map(|c| c.id.clone()),
            zone: zone.id.clone(),
        },
        pattern: pattern.id.clone(),
        matched: pairs.len(),
        of: pattern.holes.len(),
        needs,
        seated: pairs
            .iter()
            .any(|(i, _)| matches!(pattern.holes[*i].shape, HoleShape::Seat { .. })),
        pairs: pairs
            .into_iter()
            .map(|(i, j)| (pattern.holes[i].label.clone(), zone.holes[j].label.clone()))
            .collect(),
        key,
    });
}
