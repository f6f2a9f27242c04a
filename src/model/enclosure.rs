//! Enclosures: plates, panels, zones, passages, tie points, vents, openings.

use super::figure::Figure;
use super::id::EnclosureId;
use super::measured::Dimensions;
use super::mount::{Frame, Zone};
use crate::geom::{Box3, Dir, Length, Solid, Vec3};

/// An opening cut into a plate, right through it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Cutout {
    /// A rectangle: its box is cut out of the plate.
    Rect(Box3),
    /// A round hole.
    Round {
        /// Middle, anywhere along the plate's thickness.
        centre: Vec3,
        /// Its diameter.
        diameter: Length,
    },
}

/// A plate or wall that comes off.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Panel {
    /// The way it leaves.
    pub leaves: Dir,
    /// Where it swings: the side on which its hinge stands, across the way it leaves.
    pub hinge: Option<Dir>,
    /// The clear opening that it leaves.
    pub opening: Box3,
}

/// A plate or wall.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Plate {
    /// Unique in its enclosure.
    pub id: String,
    /// For people.
    pub name: String,
    /// Its material, in the enclosure's frame.
    pub solid: Solid,
    /// Openings through it.
    pub cutouts: Vec<Cutout>,
    /// Set where it comes off.
    pub panel: Option<Panel>,
}

/// A place where cables get through a plate.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Passage {
    /// Unique in its enclosure.
    pub id: String,
    /// For people.
    pub name: String,
    /// Middle of the clear opening; the normal is the way through.
    pub frame: Frame,
    /// Clear size along u and v.
    pub clear: [Length; 2],
}

/// A point where a cable can be tied.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Tie {
    /// Unique in its enclosure.
    pub id: String,
    /// Where the cable's middle line runs.
    pub at: Vec3,
    /// Clear diameter where it is a clamp that goes round the bundle; `None` for an
    /// open tie that takes any.
    pub clear: Option<Length>,
}

/// A room where leftover lengths of cables may be tucked away.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Tuck {
    /// Unique in its enclosure.
    pub id: String,
    /// For people.
    pub name: String,
    /// The room.
    pub room: Box3,
}

/// Where air gets in or out.
#[derive(Clone, PartialEq, Debug)]
pub struct Vent {
    /// Unique in its enclosure.
    pub id: String,
    /// Lower corner and directions; the normal points out of the enclosure.
    pub frame: Frame,
    /// Extent along u and v.
    pub size: [Length; 2],
    /// Free share of that area, 0 to 1.
    pub free: f64,
    /// True where a dust filter lies behind it.
    pub filter: bool,
    /// True where that filter is pulled out from outside, with all plates on.
    pub filter_outside: bool,
}

/// An opening at the rear (or elsewhere) that a part's face must meet.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Opening {
    /// Unique in its enclosure.
    pub id: String,
    /// For people.
    pub name: String,
    /// As the part's outlet says: 'board-io', 'card-slot', 'supply-face'.
    pub kind: String,
    /// Lower corner on the inner face of the wall; the normal points out.
    pub frame: Frame,
    /// Extent along u and v.
    pub size: [Length; 2],
}

/// An enclosure.
#[derive(Clone, PartialEq, Debug)]
pub struct Enclosure {
    /// Its id.
    pub id: EnclosureId,
    /// What it is, in words.
    pub name: String,
    /// Outer size; the outer box starts at the origin.
    pub size: Vec3,
    /// Plates and walls.
    pub plates: Vec<Plate>,
    /// Mounting zones.
    pub zones: Vec<Zone>,
    /// Cable passages.
    pub passages: Vec<Passage>,
    /// Tie points.
    pub ties: Vec<Tie>,
    /// Rooms for what is left over of cables.
    pub tucks: Vec<Tuck>,
    /// Vents.
    pub vents: Vec<Vent>,
    /// Openings that parts' faces must meet.
    pub openings: Vec<Opening>,
    /// Single dimensions with a figure of their own.
    pub dimensions: Dimensions,
    /// Sources of its figures.
    pub figures: Vec<Figure>,
}

impl Enclosure {
    /// The outer box.
    pub fn outline(&self) -> Box3 {
        Box3::at(Vec3::ZERO, self.size)
    }

    /// The passage with this id.
    pub fn passage(&self, id: &str) -> Option<&Passage> {
        self.passages.iter().find(|p| p.id == id)
    }

    /// The tie point with this id.
    pub fn tie(&self, id: &str) -> Option<&Tie> {
        self.ties.iter().find(|t| t.id == id)
    }
}
