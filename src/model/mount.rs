//! Mounting: frames, holes, hole patterns of parts and zones that take them.

use super::kind::Group;
use crate::geom::{Box3, Dir, Length, Turn, Vec3};

/// A flat frame in space: an origin, two directions along the face and the
/// outward normal. For a zone the normal points from the mounting face into the
/// free space before it; for a pattern it points out of the part.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Frame {
    /// Where u and v are zero.
    pub origin: Vec3,
    /// First direction along the face.
    pub u: Dir,
    /// Second direction along the face, square to the first.
    pub v: Dir,
    /// Out of the face; square to both, on either hand.
    pub normal: Dir,
}

impl Frame {
    /// A frame; `None` where the three directions do not lie along three axes.
    pub fn new(origin: Vec3, u: Dir, v: Dir, normal: Dir) -> Option<Frame> {
        let along = u.cross(v)?.axis();
        (along == normal.axis()).then_some(Frame {
            origin,
            u,
            v,
            normal,
        })
    }

    /// The point at (u, v) on the face.
    pub fn point(&self, u: Length, v: Length) -> Vec3 {
        self.origin + self.u.times(u) + self.v.times(v)
    }

    /// (u, v, height above the face) of a point.
    pub fn coords(&self, p: Vec3) -> (Length, Length, Length) {
        let d = p - self.origin;
        (d.toward(self.u), d.toward(self.v), d.toward(self.normal))
    }

    /// The frame turned about the origin and moved.
    pub fn placed(&self, turn: Turn, by: Vec3) -> Frame {
        Frame {
            origin: turn.apply(self.origin) + by,
            u: turn.dir(self.u),
            v: turn.dir(self.v),
            normal: turn.dir(self.normal),
        }
    }

    /// The box that covers `size` along u and v and `depth` along the normal.
    pub fn block(&self, size: [Length; 2], depth: Length) -> Box3 {
        Box3::new(
            self.origin,
            self.point(size[0], size[1]) + self.normal.times(depth),
        )
    }
}

/// What kind of hold a hole gives.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum HoleShape {
    /// A round hole for a screw.
    Round,
    /// A slot along which a screw may sit: from the hole's place by this much
    /// along u and v. The width is the hole's diameter.
    Slot {
        /// Along u, either sign.
        du: Length,
        /// Along v, either sign.
        dv: Length,
    },
    /// A seat without a screw: an edge connector, a clip, a socket. Both sides
    /// must carry the same key, and their places must agree within 0.2 mm.
    Seat {
        /// For instance 'pcie-x16' or 'dimm'.
        key: String,
    },
}

/// A hole of a part or of a zone.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Hole {
    /// Letter or number of the standard, where it has one; else a short name.
    pub label: String,
    /// Along the frame's u.
    pub u: Length,
    /// Along the frame's v.
    pub v: Length,
    /// Clear or core diameter. Zero for a seat.
    pub diameter: Length,
    /// Round, slot or seat.
    pub shape: HoleShape,
    /// Thread cut into it ('M3', '#6-32'), where it has one; a hole without is a
    /// clearance hole.
    pub thread: Option<String>,
}

/// Holes of a part on one of its faces, by which it can be mounted.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Pattern {
    /// Unique in its part.
    pub id: String,
    /// On the face that lies against the zone.
    pub frame: Frame,
    /// The holes.
    pub holes: Vec<Hole>,
    /// At least so many of them must be matched for the part to count as held.
    pub needs: usize,
}

/// A mounting face or bay: part of an enclosure, or offered by a part (the holes
/// of a radiator take fans, the slots of a board take cards).
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Zone {
    /// Unique in its enclosure or part.
    pub id: String,
    /// For people.
    pub name: String,
    /// The mounting face; the normal points into the free space.
    pub frame: Frame,
    /// Extent along u and v from the frame's origin.
    pub size: [Length; 2],
    /// What is free in front of the face. Zero where it is not limited by the
    /// zone itself.
    pub depth: Length,
    /// The groups of parts it is meant for.
    pub takes: Vec<Group>,
    /// Holes and slots of the face.
    pub holes: Vec<Hole>,
}

impl Zone {
    /// The zone turned about the origin and moved.
    pub fn placed(&self, turn: Turn, by: Vec3) -> Zone {
        Zone {
            frame: self.frame.placed(turn, by),
            ..self.clone()
        }
    }

    /// The free space of the zone.
    pub fn space(&self) -> Box3 {
        self.frame.block(self.size, self.depth)
    }
}

/// A face that must meet an opening of the enclosure: a board's rear block, a
/// card's bracket, a supply's inlet face; or, on the enclosure, that opening.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Outlet {
    /// Unique in its part.
    pub id: String,
    /// 'board-io', 'card-slot', 'supply-face' and so on; both sides must agree.
    pub kind: String,
    /// The face; the normal points out of the part.
    pub frame: Frame,
    /// Extent along u and v.
    pub size: [Length; 2],
}
