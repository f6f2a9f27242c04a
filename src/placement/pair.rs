//! What two parts would be to one another, without a scene around them.

use super::hold::holds_on;
use super::part::PlacedPart;
use super::seat::space;
use super::support::{over, reach};
use crate::geom::{Box3, Length};
use crate::model::Zone;

/// How far holes that match can be outside of the spans of their parts.
const LOOK: Length = Length::mm(4);

/// How two parts hold each other.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Joint {
    /// True where at least one hole of one lies on a hole of the other.
    pub touches: bool,
    /// True where the first sits on enough holes of a zone of the second.
    pub first_on_second: bool,
    /// True where the second sits on enough holes of a zone of the first.
    pub second_on_first: bool,
    /// True where the first hangs on screws through a zone of its own into the second.
    pub first_hangs: bool,
    /// Boxes inside which their solids may overlap; see
    /// [`Placed::seat_spaces`](super::Placed::seat_spaces).
    pub seats: Vec<Box3>,
}

impl Joint {
    /// Looks at both ways round.
    pub fn of(a: &PlacedPart, b: &PlacedPart) -> Joint {
        let mut joint = Joint::default();
        if !a.span.grown(LOOK).overlaps(&b.span) {
            return joint;
        }
        let (on, under) = (holds_on(a, b), holds_on(b, a));
        joint.touches = !on.is_empty() || !under.is_empty();
        joint.first_on_second = on.iter().any(|h| h.suffices());
        joint.second_on_first = under.iter().any(|h| h.suffices());
        joint.first_hangs = under.iter().any(|h| h.suffices() && !h.seated);
        for (holds, carrier) in [(&on, b), (&under, a)] {
            for hold in holds.iter().filter(|h| h.seated) {
                joint.seats.extend(carrier.zone(&hold.zone.zone).map(space));
            }
        }
        joint
    }

    /// True where the second can hold the first.
    pub fn holds_first(&self) -> bool {
        self.first_on_second || self.first_hangs
    }
}

/// Needed and free depth where an outline stands over a zone of limited depth and
/// reaches farther.
pub fn too_deep(zone: &Zone, outline: &Box3) -> Option<(Length, Length)> {
    let needed = reach(zone, outline).1;
    (zone.depth > Length::ZERO && needed > zone.depth && over(zone, outline))
        .then_some((needed, zone.depth))
}
