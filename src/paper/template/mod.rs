//! Drill and cut templates at full size, of a zone or of a plate.
//!
//! A template is plain geometry in millimetres, y up, from the lower left corner of
//! what it shows. The draw list, the tiles for a printer and the DXF file are three
//! readers of it.

mod draw;
mod face;
mod fans;
mod grille;
mod make;
mod tiles;

pub use draw::{CHECK_MM, page, picture};
pub use face::{Face, Shape};
pub use grille::{Grille, Pattern};
pub use make::{Options, Subject, template};
pub use tiles::{PrintPage, Tiles, tiles};

use crate::geom::Length;

/// What an outline is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Kind {
    /// The edge of the plate, or of the zone.
    Edge,
    /// An opening to cut.
    Cut,
    /// A hole to drill or a slot to mill.
    Drill,
    /// An opening that the scene does not have and the trade would cut.
    Suggested,
    /// The field of a vent, without a pattern of its own.
    Vent,
    /// An opening of a grille.
    Grille,
}

/// One outline.
#[derive(Clone, PartialEq, Debug)]
pub struct Element {
    /// What it is.
    pub kind: Kind,
    /// Its outline.
    pub shape: Shape,
    /// What stands beside it, may be empty.
    pub label: String,
}

/// A hole in the table of a template.
#[derive(Clone, PartialEq, Debug)]
pub struct Drill {
    /// Its mark on the drawing: a letter for its size and a number.
    pub mark: String,
    /// From the lower left corner.
    pub at: [f64; 2],
    /// Its diameter (width of a slot).
    pub diameter: Length,
    /// How long a slot is between the middles of its ends.
    pub slot: Option<f64>,
    /// The thread cut into it.
    pub thread: Option<String>,
    /// The zone that it is for.
    pub zone: String,
}

/// A template.
#[derive(Clone, PartialEq, Debug)]
pub struct Template {
    /// What it is of.
    pub title: String,
    /// What has to be known to use it, line by line.
    pub notes: Vec<String>,
    /// Width and height of what it shows.
    pub size: [f64; 2],
    /// All outlines, from the lower left corner.
    pub elements: Vec<Element>,
    /// All holes.
    pub drills: Vec<Drill>,
}

impl Template {
    /// The outlines of one kind.
    pub fn of(&self, kind: Kind) -> impl Iterator<Item = &Element> {
        self.elements.iter().filter(move |e| e.kind == kind)
    }

    /// Places where a centre punch goes: drills and round openings.
    pub fn centres(&self) -> Vec<([f64; 2], f64)> {
        let round = |e: &Element| match (e.kind, &e.shape) {
            (Kind::Drill | Kind::Cut | Kind::Suggested, Shape::Circle { at, diameter }) => {
                vec![(*at, *diameter)]
            }
            (Kind::Drill, Shape::Slot { from, to, width }) => vec![(*from, *width), (*to, *width)],
            _ => Vec::new(),
        };
        self.elements.iter().flat_map(round).collect()
    }
}
