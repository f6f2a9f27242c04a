//! Boxes, cylinders and extrusions.

use super::{Mm, NotNegative, Point, Positive, Word};
use crate::geom::Axis;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A box with volume.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Block {
    /// Lower front left corner.
    pub at: Point,
    /// Extent along x, y and z.
    pub size: [Positive; 3],
}

/// A box that may be flat: a clear opening.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Room {
    /// Lower front left corner.
    pub at: Point,
    /// Extent along x, y and z.
    pub size: [NotNegative; 3],
}

/// A circular cylinder.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Cylinder {
    /// The axis it runs along.
    pub axis: Word<Axis>,
    /// Middle of the end with the smaller coordinate.
    pub base: Point,
    /// Twice the radius.
    pub diameter: Positive,
    /// From end to end.
    pub height: Positive,
}

/// A straight extrusion of a simple polygon. Its points are along the two other
/// axes in cyclic order: z has (x, y), x has (y, z), y has (z, x).
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Extrusion {
    /// The axis it runs along.
    pub axis: Word<Axis>,
    /// Smaller end coordinate.
    pub low: Mm,
    /// Larger end coordinate.
    pub high: Mm,
    /// The corners, either way round.
    #[schemars(length(min = 3))]
    pub outline: Vec<[Mm; 2]>,
    /// Outlines of holes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub holes: Vec<Vec<[Mm; 2]>>,
}

/// A solid whose edges follow the axes.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Solid {
    /// A box.
    Box(Block),
    /// A circular cylinder.
    Cylinder(Cylinder),
    /// A straight extrusion.
    Extrusion(Extrusion),
}
