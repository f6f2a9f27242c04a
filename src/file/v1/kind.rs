//! Part kinds.

use super::{
    Amount, Block, Figure, Frame, Hole, HoleUse, Id, Mm, Name, NotNegative, Point, Positive,
    Section, Solid, Watts, Word,
};
use crate::geom::{Axis, Dir};
use crate::model::{FeatureKind, Group, Purpose, Role, Space};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

fn solid() -> Word<Space> {
    Word(Space::Solid)
}

fn is_solid(space: &Word<Space>) -> bool {
    space.0 == Space::Solid
}

/// One solid of a body.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Piece {
    /// The solid in the part's frame.
    pub solid: Solid,
    /// What it means to others.
    #[serde(default = "solid", skip_serializing_if = "is_solid")]
    pub space: Word<Space>,
    /// A short name for messages.
    #[serde(default, skip_serializing_if = "Name::is_empty")]
    pub name: Name,
}

/// Holes of a part on one of its faces.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pattern {
    /// Unique in its part.
    pub id: Id,
    /// On the face; `out` points out of the part.
    pub frame: Frame,
    /// Holes from sets.
    #[serde(default, rename = "use", skip_serializing_if = "Vec::is_empty")]
    pub uses: Vec<HoleUse>,
    /// Holes of its own.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub holes: Vec<Hole>,
    /// So many of them must be matched.
    pub needs: u32,
}

/// A mounting face or bay.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Zone {
    /// Unique in its enclosure or part.
    pub id: Id,
    /// For people.
    pub name: Name,
    /// The mounting face; `out` points into the free space.
    pub frame: Frame,
    /// Extent along u and v.
    pub size: [Positive; 2],
    /// Free depth; left out where the zone does not limit it.
    #[serde(default, skip_serializing_if = "super::is_zero")]
    pub depth: NotNegative,
    /// Groups of parts it is meant for.
    #[schemars(length(min = 1))]
    pub takes: Vec<Word<Group>>,
    /// Holes from sets.
    #[serde(default, rename = "use", skip_serializing_if = "Vec::is_empty")]
    pub uses: Vec<HoleUse>,
    /// Holes of its own.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub holes: Vec<Hole>,
}

/// A lead or hose that belongs to its part.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Lead {
    /// From the part to the plug's face.
    pub length: Positive,
    /// Round or flat.
    pub section: Section,
    /// Smallest radius of its middle line.
    pub bend: NotNegative,
}

/// A connector on a part.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Port {
    /// Unique in its part.
    pub id: Id,
    /// For people.
    pub name: Name,
    /// The connector's id.
    pub connector: Id,
    /// Middle of the plug's face, or where the captive lead leaves.
    pub at: Point,
    /// The way in which plug and lead leave.
    pub leaves: Word<Dir>,
    /// Gives, takes or either.
    pub role: Word<Role>,
    /// Set where the lead belongs to the part.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lead: Option<Lead>,
    /// True where the part does not work unless it is connected.
    #[serde(default, skip_serializing_if = "super::is_off")]
    pub required: bool,
    /// What the part itself takes through it, in watts; left out where only what
    /// it takes in all is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub draws_w: Option<Watts>,
    /// True where all that the part's sources give comes in here.
    #[serde(default, skip_serializing_if = "super::is_off")]
    pub passes: bool,
    /// What a header is there for, or what hangs on the lead; left out for anything.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub purpose: Option<Word<Purpose>>,
}

/// A face that must meet an opening of the enclosure.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Outlet {
    /// Unique in its part.
    pub id: Id,
    /// As the opening says.
    pub kind: Id,
    /// The face; `out` points out of the part.
    pub frame: Frame,
    /// Extent along u and v.
    pub size: [Positive; 2],
}

/// A detail for drawing.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Feature {
    /// What it is.
    pub kind: Word<FeatureKind>,
    /// Where.
    pub solid: Solid,
    /// A short name.
    #[serde(default, skip_serializing_if = "Name::is_empty")]
    pub name: Name,
}

/// How far dimensions along its own axes may be off: longer by at most the first,
/// shorter by at most the second.
#[derive(Clone, Copy, Default, PartialEq, Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Deviations {
    /// Along x.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub x: Option<[NotNegative; 2]>,
    /// Along y.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub y: Option<[NotNegative; 2]>,
    /// Along z.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub z: Option<[NotNegative; 2]>,
}

impl Deviations {
    fn is_empty(&self) -> bool {
        *self == Deviations::default()
    }
}

/// Figures of other disciplines; absent means not known.
#[derive(Default, PartialEq, Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Ratings {
    /// Mass in grams.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass_g: Option<Amount>,
    /// Power taken, in watts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub draws_w: Option<Amount>,
    /// Power that a supply can give, in watts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gives_w: Option<Amount>,
    /// Price in the user's currency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<Amount>,
    /// Free-air flow in cubic metres an hour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flow_m3h: Option<Amount>,
    /// Sound level in decibels.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sound_db: Option<Amount>,
    /// Which of its own directions may point up while it runs; left out where that
    /// is not known.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub up: Vec<Word<Dir>>,
    /// How far its dimensions may be off; left out where that is not known.
    #[serde(default, skip_serializing_if = "Deviations::is_empty")]
    pub deviation: Deviations,
    /// Single dimensions with a figure of their own.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub dimensions: Vec<Dimension>,
}

/// A dimension along an axis of a frame, from one coordinate to another, with a figure
/// of its own.
#[derive(Clone, Copy, PartialEq, Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Dimension {
    /// The axis.
    pub axis: Word<Axis>,
    /// From here.
    pub from: Mm,
    /// To there, farther up the axis.
    pub to: Mm,
    /// Its length, where that is not the one drawn.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub is: Option<Positive>,
    /// Longer by at most this.
    pub plus: NotNegative,
    /// Shorter by at most this.
    pub minus: NotNegative,
}

impl Ratings {
    fn is_empty(&self) -> bool {
        *self == Ratings::default()
    }
}

/// How a part is pulled out.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pull {
    /// The way, in the part's frame.
    pub way: Word<Dir>,
    /// How far until it is free.
    pub by: Positive,
}

/// A kind of part.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Kind {
    /// Its id.
    pub id: Id,
    /// What it is, in words.
    pub name: Name,
    /// Group on the shelf.
    pub group: Word<Group>,
    /// Outer size; the part's own box starts at its origin.
    pub size: [Positive; 3],
    /// The body; left out for one solid box of the whole size.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub body: Vec<Piece>,
    /// Hole patterns by face.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub patterns: Vec<Pattern>,
    /// Zones that it offers to other parts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub zones: Vec<Zone>,
    /// Connectors and captive leads.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ports: Vec<Port>,
    /// Faces that must meet an opening.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub outlets: Vec<Outlet>,
    /// Details for drawing.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub features: Vec<Feature>,
    /// The way air leaves it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub blows: Option<Word<Dir>>,
    /// How it is pulled out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pulls: Option<Pull>,
    /// Of a board: where parts of its own may stand that are not drawn.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub heights: Vec<Block>,
    /// Figures of other disciplines.
    #[serde(default, skip_serializing_if = "Ratings::is_empty")]
    pub ratings: Ratings,
    /// Sources of its figures.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub figures: Vec<Figure>,
}

/// A file of part kinds.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Parts {
    /// `closefit-parts`.
    pub format: String,
    /// 1.
    pub version: u64,
    /// The kinds.
    pub kinds: Vec<Kind>,
}
