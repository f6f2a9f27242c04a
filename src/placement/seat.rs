//! Where a seated part may reach into the one that it sits in.

use super::table::Placed;
use crate::geom::{Box3, Length};
use crate::model::{PartId, Zone};

/// How far the space of a seat reaches to either side of its face: a card edge
/// connector is 11.25 mm high and a memory socket lower (mechanical reference of
/// the card edge connector, transcribed by others; rounded up).
pub const SEAT_REACH: Length = Length::mm(15);

impl Placed {
    /// The boxes inside which the solids of two parts may overlap, because one is
    /// seated in the other: the rectangle of the zone that has the seat, as far
    /// as [`SEAT_REACH`] before and behind its face. A part that is only screwed
    /// on may touch and no more, and so may one in a zone without extent.
    pub fn seat_spaces(&self, a: &PartId, b: &PartId) -> Vec<Box3> {
        let mut spaces = Vec::new();
        for (part, carrier) in [(a, b), (b, a)] {
            for hold in self.holds(part) {
                if !hold.seated || hold.zone.part.as_ref() != Some(carrier) {
                    continue;
                }
                if let Some(zone) = self.zone_at(hold.key) {
                    spaces.push(space(zone));
                }
            }
        }
        spaces
    }
}

pub(super) fn space(zone: &Zone) -> Box3 {
    let by = zone.frame.normal.times(SEAT_REACH);
    let face = zone.frame.block(zone.size, Length::ZERO);
    face.moved(by).union(&face.moved(-by))
}
