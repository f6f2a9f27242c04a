//! Parts drawn as what they are, one small routine a group.
//!
//! A routine reads the kind's own data (pieces, features, holes, outlets) and
//! draws it on a [`Canvas`]. A new group is one file and one line in
//! [`ROUTINES`]; a group without a line is drawn by its pieces and features alone.

mod board;
mod canvas;
mod card;
mod common;
mod cooling;
mod drive;
mod fan;
mod feature;
pub(crate) mod pattern;
mod radiator;
mod supply;
mod surface;

use crate::geom::Length;
use crate::model::{Group, PartKind, Place};
use crate::view::list::{Pen, System};
use crate::view::projection::Projection;
pub(crate) use canvas::Canvas;

/// Draws a part of one group.
type Routine = fn(&mut Canvas<'_>);

/// Which routine draws which group.
const ROUTINES: &[(Group, Routine)] = &[
    (Group::Fan, fan::draw),
    (Group::Board, board::draw),
    (Group::Radiator, radiator::draw),
    (Group::Drive, drive::draw),
    (Group::Supply, supply::draw),
    (Group::Card, card::draw),
    (Group::Cooler, cooling::cooler),
    (Group::Block, cooling::block),
    (Group::Memory, board::module),
];

/// The system whose tint a group has.
pub fn system(group: Group) -> System {
    match group {
        Group::Board | Group::Card | Group::Memory => System::Boards,
        Group::Supply => System::Power,
        Group::Fan => System::Air,
        Group::Radiator | Group::Block => System::Liquid,
        Group::Drive => System::Drives,
        Group::Cooler => System::Cooling,
        Group::Adapter => System::Data,
        Group::Bracket | Group::Other => System::Structure,
    }
}

/// Draws a part at a place. What lies nearer to the eye than the depth `cut` is
/// left out.
pub(crate) fn draw(
    kind: &PartKind,
    place: &Place,
    projection: &Projection,
    cut: Option<Length>,
    pen: Pen<'_>,
) {
    let Some(mut canvas) = Canvas::new(kind, place, projection, cut, pen) else {
        return;
    };
    let routine = ROUTINES.iter().find(|(group, _)| *group == kind.group);
    match routine {
        _ if canvas.is_tiny() => common::bodies(&mut canvas, 0.0),
        Some((_, routine)) => routine(&mut canvas),
        None => common::plain(&mut canvas),
    }
}
