//! A part in the enclosure's frame.

use super::gap::Body;
use crate::geom::{Box3, Dir, Length, Solid, Vec3};
use crate::model::{
    Frame, Group, HoleShape, Outlet, Part, PartId, PartKind, Pattern, Place, Space, Zone,
};
use std::sync::Arc;

/// One piece of a placed body.
#[derive(Clone, PartialEq, Debug)]
pub struct PlacedPiece {
    /// In the enclosure's frame.
    pub solid: Solid,
    /// The smallest box around it.
    pub bounds: Box3,
    /// The same solid, ready to be measured.
    pub body: Body,
    /// What it means to others.
    pub space: Space,
    /// As in the kind, may be empty.
    pub name: String,
}

/// A connector of a placed part.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct PlacedPort {
    /// Middle of the face that the plug goes into.
    pub at: Vec3,
    /// The way in which plug and lead leave.
    pub leaves: Dir,
    /// Which of the kind's ports it is.
    pub index: usize,
}

/// A part that has a place, with everything in the enclosure's frame.
#[derive(Clone, PartialEq, Debug)]
pub struct PlacedPart {
    /// The part.
    pub id: PartId,
    /// Its position in [`Placed::parts`](super::Placed::parts).
    pub index: u32,
    /// Where it lies in the tables of `Placed`; stays while the part is placed.
    pub(crate) slot: u32,
    /// For people.
    pub name: String,
    /// Its group.
    pub group: Group,
    /// Its kind.
    pub kind: Arc<PartKind>,
    /// Where it stands.
    pub place: Place,
    /// The turned outer box.
    pub outline: Box3,
    /// Around the outer box, all that is solid or kept clear, and the holes of its
    /// patterns and zones: what a neighbour can have to do with.
    pub span: Box3,
    /// The body.
    pub pieces: Vec<PlacedPiece>,
    /// Hole patterns, in the kind's order.
    pub patterns: Vec<Pattern>,
    /// Zones that it offers, in the kind's order.
    pub zones: Vec<Zone>,
    /// Faces that must meet an opening, in the kind's order.
    pub outlets: Vec<Outlet>,
    /// Connectors, in the kind's order.
    pub ports: Vec<PlacedPort>,
}

impl PlacedPart {
    /// The part at this place. `index` and `slot` are left at 0.
    pub fn new(id: &PartId, part: &Part, place: &Place) -> PlacedPart {
        let kind = &part.kind;
        let (turn, by) = (place.turn, place.shift(kind));
        let pieces: Vec<PlacedPiece> = kind
            .body
            .iter()
            .map(|piece| {
                let solid = piece.solid.placed(turn, by);
                let body = Body::from(solid.clone());
                PlacedPiece {
                    bounds: *body.bounds(),
                    body,
                    solid,
                    space: piece.space,
                    name: piece.name.clone(),
                }
            })
            .collect();
        let zones: Vec<Zone> = kind.zones.iter().map(|z| z.placed(turn, by)).collect();
        let outline = place.outline(kind);
        let mut span = outline;
        for piece in pieces.iter().filter(|p| p.space != Space::Reach) {
            span = span.union(&piece.bounds);
        }
        for holes in zones.iter().filter_map(hole_bounds) {
            span = span.union(&holes);
        }
        let patterns: Vec<Pattern> = kind
            .patterns
            .iter()
            .map(|p| Pattern {
                frame: p.frame.placed(turn, by),
                ..p.clone()
            })
            .collect();
        for holes in patterns.iter().filter_map(pattern_bounds) {
            span = span.union(&holes);
        }
        PlacedPart {
            id: id.clone(),
            index: 0,
            slot: 0,
            name: part.name.clone(),
            group: kind.group,
            kind: kind.clone(),
            place: *place,
            outline,
            span,
            pieces,
            patterns,
            zones,
            outlets: kind
                .outlets
                .iter()
                .map(|o| Outlet {
                    frame: o.frame.placed(turn, by),
                    ..o.clone()
                })
                .collect(),
            ports: kind
                .ports
                .iter()
                .enumerate()
                .map(|(index, p)| PlacedPort {
                    at: turn.apply(p.at) + by,
                    leaves: turn.dir(p.leaves),
                    index,
                })
                .collect(),
        }
    }

    /// Takes over what was worked out about the bodies of the same part at another
    /// place in the same turn.
    pub(super) fn remember(&mut self, before: &PlacedPart) {
        if !Arc::ptr_eq(&self.kind, &before.kind) || self.place.turn != before.place.turn {
            return;
        }
        let by = self.outline.min() - before.outline.min();
        for (piece, old) in self.pieces.iter_mut().zip(&before.pieces) {
            piece.body.remember(&old.body, by);
        }
    }

    /// The pieces of one meaning.
    pub fn of(&self, space: Space) -> impl Iterator<Item = &PlacedPiece> {
        self.pieces.iter().filter(move |p| p.space == space)
    }

    /// The zone with this id.
    pub fn zone(&self, id: &str) -> Option<&Zone> {
        self.zones.iter().find(|z| z.id == id)
    }
}

/// The box around all holes of a zone, ends of slots included; flat along the
/// normal. `None` without holes.
pub(crate) fn hole_bounds(zone: &Zone) -> Option<Box3> {
    points(&zone.frame, &zone.holes)
}

/// The same for a pattern.
pub(crate) fn pattern_bounds(pattern: &Pattern) -> Option<Box3> {
    points(&pattern.frame, &pattern.holes)
}

fn points(frame: &Frame, holes: &[crate::model::Hole]) -> Option<Box3> {
    holes
        .iter()
        .map(|h| {
            let (du, dv) = match h.shape {
                HoleShape::Slot { du, dv } => (du, dv),
                _ => (Length::ZERO, Length::ZERO),
            };
            Box3::new(frame.point(h.u, h.v), frame.point(h.u + du, h.v + dv))
        })
        .reduce(|a, b| a.union(&b))
}
