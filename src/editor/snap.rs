//! Which place a held part takes: the one where its holes land, or the grid.

use super::Editor;
use crate::geom::{Axis, Length, Turn, Vec3};
use crate::model::{Part, PartId, PartKind, Place};
use crate::placement::{Offer, Outcome};
use crate::view::ViewKind;
use std::collections::BTreeSet;

/// Where a held part would come to stand.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Landing {
    /// The place.
    pub place: Place,
    /// Index of the offer that it follows; `None` where it stands freely.
    pub offer: Option<usize>,
}

/// A pointer on a view. The coordinate along the view's depth means nothing.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Pointer {
    /// The view it is over.
    pub view: ViewKind,
    /// The point under it.
    pub at: Vec3,
    /// How near counts as 'on it', in scene lengths: some pixels at this zoom.
    pub near: Length,
}

/// The axis that a view looks along.
pub fn depth_axis(view: ViewKind) -> Axis {
    match view {
        ViewKind::Top => Axis::Z,
        ViewKind::Side => Axis::X,
        ViewKind::Front => Axis::Y,
    }
}

/// The displacement without its part along the view's depth.
pub fn in_plane(view: ViewKind, v: Vec3) -> Vec3 {
    v.with(depth_axis(view), Length::ZERO)
}

/// How many of the three axes a turn changes: used to prefer the turn at hand.
fn effort(from: Turn, to: Turn) -> usize {
    let (a, b) = (from.axes(), to.axes());
    (0..3).filter(|i| a[*i] != b[*i]).count()
}

/// How an offer is chosen among those near the pointer.
pub struct Choice<'a> {
    /// The turn at hand.
    pub turn: Turn,
    /// True once the user has turned the part: then this turn comes first. Before
    /// that, any turn will do.
    pub turned: bool,
    /// Whether the place of the offer with this index is free of other solids.
    pub vacant: &'a mut dyn FnMut(usize) -> bool,
}

/// The offer that a part with its middle under the pointer takes: one whose
/// middle is near, or whose zone lies under the pointer.
///
/// A turn that the user chose is preferred. Then each zone names its best place:
/// free of other solids, with most holes, with the least turning, nearest to the
/// pointer. Of the zones the one is taken whose best place is free, nearest to the
/// pointer in steps of its reach, nearest to the eye.
pub fn pick(
    offers: &[Offer],
    kind: &PartKind,
    middle: Pointer,
    choice: &mut Choice<'_>,
) -> Option<Landing> {
    type Rank = (usize, bool, u64, Length, usize);
    type InZone = (usize, bool, usize, usize, u64, usize);
    let mut best: Option<(Rank, Landing)> = None;
    let mut index = 0;
    for zone in offers.chunk_by(|a, b| a.zone == b.zone) {
        let mut own: Option<(InZone, Place)> = None;
        for (i, offer) in (index..).zip(zone) {
            let Outcome::Fits {
                place, matched, of, ..
            } = &offer.outcome
            else {
                continue;
            };
            let away = away(place, kind, middle);
            if away > middle.near.as_mm() && !over(offer, middle) {
                continue;
            }
            let effort = effort(choice.turn, place.turn);
            let asked = if choice.turned { effort } else { 0 };
            let met = !(choice.vacant)(i);
            let rank = (asked, met, of - matched, effort, (away * 1000.0) as u64, i);
            if own.as_ref().is_none_or(|(r, _)| rank < *r) {
                own = Some((rank, *place));
            }
        }
        index += zone.len();
        let Some(((asked, met, _, _, _, i), place)) = own else {
            continue;
        };
        let steps = away(&place, kind, middle) / middle.near.as_mm().max(0.001);
        let far = -middle.view.depth(place.outline(kind).centre());
        let rank = (asked, met, steps as u64, far, i);
        if best.as_ref().is_none_or(|(r, _)| rank < *r) {
            let landing = Landing {
                place,
                offer: Some(i),
            };
            best = Some((rank, landing));
        }
    }
    best.map(|(_, landing)| landing)
}

/// From the pointer to the middle of the part at a place, as seen in the view.
fn away(place: &Place, kind: &PartKind, middle: Pointer) -> f64 {
    let centre = place.outline(kind).centre();
    in_plane(middle.view, centre - middle.at).distance_mm(Vec3::ZERO)
}

/// Why the zone under the pointer does not take the part. A zone for other things
/// has a say only where there is no place for the part at all.
pub fn refusal(offers: &[Offer], pointer: Pointer) -> Option<&str> {
    let under = |foreign: bool| {
        offers.iter().find_map(|o| match &o.outcome {
            Outcome::Refused(r) if r.foreign == foreign && over(o, pointer) => {
                Some(r.text.as_str())
            }
            _ => None,
        })
    };
    let fits = |o: &Offer| matches!(o.outcome, Outcome::Fits { .. });
    under(false).or_else(|| match offers.iter().any(fits) {
        true => None,
        false => under(true),
    })
}

/// True where the pointer is over the zone's face or free space in its view.
pub fn over(offer: &Offer, pointer: Pointer) -> bool {
    let space = offer.zone_world.space();
    let depth = depth_axis(pointer.view);
    let p = pointer.at.with(depth, space.min().along(depth));
    space.grown(Length::mm(2)).contains_point(p)
}

impl Editor {
    /// The offer taken for a part in hand. Whether places are free is remembered in
    /// `known`, by offer: nothing but the part itself moves meanwhile.
    pub(super) fn pick_offer(
        &self,
        held: (&PartId, &Part),
        offers: &[Offer],
        known: &mut [Option<bool>],
        middle: Pointer,
        (turn, turned): (Turn, bool),
        without: &BTreeSet<PartId>,
    ) -> Option<Landing> {
        let (id, part) = held;
        let placed = self.checker.placed();
        let mut vacant = |i: usize| {
            let fresh = || {
                let Outcome::Fits { place, .. } = &offers[i].outcome else {
                    return false;
                };
                // What it is plugged or screwed into may reach around it.
                let mut without = without.clone();
                without.extend(offers[i].zone.part.clone());
                placed.vacant(id, part, place, &without)
            };
            *known[i].get_or_insert_with(fresh)
        };
        let mut choice = Choice {
            turn,
            turned,
            vacant: &mut vacant,
        };
        pick(offers, &part.kind, middle, &mut choice)
    }

    /// A free place with the middle of the part under the pointer, its corner on
    /// the grid. `keep` gives the coordinate along the view's depth.
    pub fn free_place(&self, kind: &PartKind, turn: Turn, pointer: Pointer, keep: Length) -> Place {
        let outline = kind.outline().turned(turn);
        let corner = pointer.at - outline.size().half();
        let grid = self.snapping.grid;
        let at = Vec3::new(
            corner.x.snapped(grid),
            corner.y.snapped(grid),
            corner.z.snapped(grid),
        );
        Place {
            at: at.with(depth_axis(pointer.view), keep),
            turn,
            ..Place::default()
        }
    }
}
