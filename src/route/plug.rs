//! The plug in a port, as a box.

use crate::geom::{Axis, Box3, Length, Vec3};
use crate::placement::{PlacedPart, PlacedPort};

/// The box of a plug of this size (across, along and out of the socket) in its
/// port. It lies the longer way of the socket that is drawn there; where none is
/// drawn, along the first axis across the port.
pub fn plug_box(part: &PlacedPart, at: &PlacedPort, [across, along, out]: [Length; 3]) -> Box3 {
    let (a, b) = at.leaves.axis().others();
    let (long, wide) = match socket_axis(part, at) {
        Some(axis) if axis == b => (b, a),
        _ => (a, b),
    };
    column(at, [(long, along), (wide, across)], Length::ZERO, out)
}

/// What a plug fills whichever way it lies where [`socket_axis`] is not known, and
/// its box where it is.
pub fn sure_plug_box(part: &PlacedPart, at: &PlacedPort, size: [Length; 3]) -> Box3 {
    if socket_axis(part, at).is_some() {
        return plug_box(part, at, size);
    }
    let least = size[0].min(size[1]);
    straight_box(at, least, Length::ZERO, size[2])
}

/// A square column before a port, `from` to `to` out of its face.
pub fn straight_box(at: &PlacedPort, width: Length, from: Length, to: Length) -> Box3 {
    let (a, b) = at.leaves.axis().others();
    column(at, [(a, width), (b, width)], from, to)
}

fn column(at: &PlacedPort, across: [(Axis, Length); 2], from: Length, to: Length) -> Box3 {
    let mut half = Vec3::ZERO;
    for (axis, size) in across {
        half.set(axis, size.half());
    }
    Box3::new(
        at.at - half + at.leaves.times(from),
        at.at + half + at.leaves.times(to),
    )
}

/// The axis across the port along which the socket drawn there is longer; `None`
/// where no socket is drawn.
pub fn socket_axis(part: &PlacedPart, at: &PlacedPort) -> Option<Axis> {
    let own = part.kind.ports[at.index].at;
    let near = |b: &Box3| b.grown(Length::mm(1)).contains_point(own);
    let boxes = part.kind.features.iter().map(|f| f.solid.bounds());
    let socket = boxes
        .filter(near)
        .min_by_key(|b| b.size().x + b.size().y + b.size().z)?;
    let size = socket.turned(part.place.turn).size();
    let (a, b) = at.leaves.axis().others();
    Some(if size.along(b) > size.along(a) { b } else { a })
}
