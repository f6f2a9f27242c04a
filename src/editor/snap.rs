//! Which place a held part takes: the one where its holes land, or the grid.

use super::Editor;
use crate::geom::{Axis, Length, Turn, Vec3};
use crate::model::{PartKind, Place};
use crate::placement::{Offer, Outcome};
use crate::view::ViewKind;

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

/// The offer that a part with its middle under the pointer takes: one whose
/// middle is near, or whose zone lies under the pointer. The turn at hand is
/// preferred, then nearness, then more holes, then the order of the offers.
pub fn pick(offers: &[Offer], kind: &PartKind, turn: Turn, middle: Pointer) -> Option<Landing> {
    let mut best: Option<((usize, u64, usize, usize), Landing)> = None;
    for (index, offer) in offers.iter().enumerate() {
        let Outcome::Fits {
            place, matched, of, ..
        } = &offer.outcome
        else {
            continue;
        };
        let centre = place.outline(kind).centre();
        let away = in_plane(middle.view, centre - middle.at).distance_mm(Vec3::ZERO);
        if away > middle.near.as_mm() && !over(offer, middle) {
            continue;
        }
        let rank = (
            effort(turn, place.turn),
            (away * 1000.0) as u64,
            of - matched,
            index,
        );
        if best.as_ref().is_none_or(|(r, _)| rank < *r) {
            let landing = Landing {
                place: *place,
                offer: Some(index),
            };
            best = Some((rank, landing));
        }
    }
    best.map(|(_, landing)| landing)
}

/// True where the pointer is over the zone's face or free space in its view.
pub fn over(offer: &Offer, pointer: Pointer) -> bool {
    let space = offer.zone_world.space();
    let depth = depth_axis(pointer.view);
    let p = pointer.at.with(depth, space.min().along(depth));
    space.grown(Length::mm(2)).contains_point(p)
}

impl Editor {
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
