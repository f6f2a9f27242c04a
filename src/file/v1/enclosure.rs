//! Enclosures.

use super::{
    Block, Dimension, Figure, Frame, Id, Name, Point, Positive, Room, Share, Solid, Word, Zone,
};
use crate::geom::Dir;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A round hole right through a plate.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RoundCutout {
    /// Middle, anywhere along the plate's thickness.
    pub centre: Point,
    /// Its diameter.
    pub diameter: Positive,
}

/// An opening right through a plate.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Cutout {
    /// A rectangle.
    Rect(Block),
    /// A round hole.
    Round(RoundCutout),
}

/// How a plate comes off.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Panel {
    /// The way it leaves.
    pub leaves: Word<Dir>,
    /// The side on which its hinge stands; left out where it comes off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hinge: Option<Word<Dir>>,
    /// The clear opening that it leaves; it may be flat.
    pub opening: Room,
}

/// A plate or wall.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Plate {
    /// Unique in its enclosure.
    pub id: Id,
    /// For people.
    pub name: Name,
    /// Its material.
    pub solid: Solid,
    /// Openings through it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cutouts: Vec<Cutout>,
    /// Set where it comes off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel: Option<Panel>,
}

/// A place where cables get through a plate.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Passage {
    /// Unique in its enclosure.
    pub id: Id,
    /// For people.
    pub name: Name,
    /// Middle of the clear opening; `out` is the way through.
    pub frame: Frame,
    /// Clear size along u and v.
    pub clear: [Positive; 2],
}

/// A point where a cable can be tied.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tie {
    /// Unique in its enclosure.
    pub id: Id,
    /// Where the cable's middle line runs.
    pub at: Point,
    /// Clear diameter of a clamp; left out for an open tie.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clear: Option<Positive>,
}

/// A room where leftover lengths of cables may be tucked away.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tuck {
    /// Unique in its enclosure.
    pub id: Id,
    /// For people.
    pub name: Name,
    /// The room.
    pub room: Block,
}

/// Where air gets in or out.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Vent {
    /// Unique in its enclosure.
    pub id: Id,
    /// Lower corner; `out` points out of the enclosure.
    pub frame: Frame,
    /// Extent along u and v.
    pub size: [Positive; 2],
    /// Free share of that area.
    pub free: Share,
    /// True where a dust filter lies behind it.
    #[serde(default, skip_serializing_if = "super::is_off")]
    pub filter: bool,
    /// True where that filter is pulled out from outside, with all plates on.
    #[serde(default, skip_serializing_if = "super::is_off")]
    pub filter_outside: bool,
}

/// An opening that a part's face must meet.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Opening {
    /// Unique in its enclosure.
    pub id: Id,
    /// For people.
    pub name: Name,
    /// As the part's outlet says.
    pub kind: Id,
    /// Lower corner on the wall's inner face; `out` points out of the enclosure.
    pub frame: Frame,
    /// Extent along u and v.
    pub size: [Positive; 2],
}

/// An enclosure.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Enclosure {
    /// Its id.
    pub id: Id,
    /// What it is, in words.
    pub name: Name,
    /// Outer size; the outer box starts at the origin.
    pub size: [Positive; 3],
    /// Plates and walls.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub plates: Vec<Plate>,
    /// Mounting zones.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub zones: Vec<Zone>,
    /// Cable passages.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub passages: Vec<Passage>,
    /// Tie points.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ties: Vec<Tie>,
    /// Rooms for what is left over of cables.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tucks: Vec<Tuck>,
    /// Vents.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub vents: Vec<Vent>,
    /// Openings that parts' faces must meet.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub openings: Vec<Opening>,
    /// Single dimensions with a figure of their own.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub dimensions: Vec<Dimension>,
    /// Sources of its figures.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub figures: Vec<Figure>,
}

/// A file with one enclosure.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EnclosureFile {
    /// `closefit-enclosure`.
    pub format: String,
    /// 1.
    pub version: u64,
    /// The enclosure.
    pub enclosure: Enclosure,
}
