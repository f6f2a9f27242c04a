//! Frames and holes.

use super::{Figure, Id, Mm, Name, Note, Point, Positive, Word};
use crate::geom::Dir;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A flat frame in space.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Frame {
    /// Where u and v are zero.
    pub at: Point,
    /// First direction along the face.
    pub u: Word<Dir>,
    /// Second direction along the face.
    pub v: Word<Dir>,
    /// Out of the face.
    pub out: Word<Dir>,
}

/// A hole, slot or seat.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Hole {
    /// Letter or number of the standard, or a short name.
    pub label: Name,
    /// Along the frame's u.
    pub u: Mm,
    /// Along the frame's v.
    pub v: Mm,
    /// Clear or core diameter; left out for a seat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub d: Option<Positive>,
    /// Thread cut into it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thread: Option<Name>,
    /// A screw may sit from (u, v) by this much.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slot: Option<[Mm; 2]>,
    /// Key of a seat without a screw.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seat: Option<Id>,
}

/// Holes taken from a set.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HoleUse {
    /// The set's id.
    pub set: Id,
    /// Where the set's origin lies.
    pub at: [Mm; 2],
    /// Only the holes with these labels.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub only: Vec<Name>,
    /// Another diameter for all its holes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub d: Option<Positive>,
    /// Another thread for all its holes; an empty text takes the threads away.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thread: Option<Name>,
    /// Quarter turns counter-clockwise from u to v about the set's origin, before
    /// it is moved.
    #[serde(default, skip_serializing_if = "super::is_none")]
    #[schemars(range(max = 3))]
    pub turned: u32,
}

/// A named set of holes.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HoleSet {
    /// Its id.
    pub id: Id,
    /// Where its origin lies, in words.
    #[serde(default, skip_serializing_if = "Note::is_empty")]
    pub about: Note,
    /// The holes, relative to its origin.
    pub holes: Vec<Hole>,
    /// Sources of its figures.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub figures: Vec<Figure>,
}

/// A file of hole sets.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Holes {
    /// `closefit-holes`.
    pub format: String,
    /// 1.
    pub version: u64,
    /// The sets.
    pub sets: Vec<HoleSet>,
}
