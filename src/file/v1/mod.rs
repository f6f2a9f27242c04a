//! Version 1 of the file formats: the types that JSON is read into and written
//! from.
//!
//! They mirror the files and nothing else: they never leave `file`, and the model
//! never derives serde. What can be said of a single value (a size is positive, an
//! id has sound characters) is said by its type here; what needs two values is
//! said by `convert`. Once a version is released its types stay as they are.

mod cable;
mod enclosure;
mod kind;
mod mount;
mod number;
mod refs;
mod rules;
mod scene;
mod solid;
mod text;

pub use cable::{CableKind, Cables, Connector, Section};
pub use enclosure::{
    Cutout, Enclosure, EnclosureFile, Opening, Panel, Passage, Plate, RoundCutout, Tie, Vent,
};
pub use kind::{
    Deviations, Feature, Kind, Lead, Outlet, Parts, Pattern, Piece, Port, Pull, Ratings, Zone,
};
pub use mount::{Frame, Hole, HoleUse, Holes};
pub use number::{Amount, Mm, NotNegative, Positive, Share, Watts};
pub use refs::{EnclosureOrId, PortName, Via};
pub use rules::{Pair, Rules};
pub use scene::{Accepted, Arrangement, Cable, KindOf, Over, Part, Place, PlugEnd, Scene};
pub use solid::{Block, Cylinder, Extrusion, Room, Solid};
pub use text::{Figure, Id, Name, Note, Word};

/// The number of this version.
pub const VERSION: u64 = 1;

/// A point or displacement: x, y, z.
pub type Point = [Mm; 3];

/// True for a flag that is left out of files.
fn is_off(flag: &bool) -> bool {
    !flag
}

/// True for a count that is left out of files.
fn is_none(count: &u32) -> bool {
    *count == 0
}

/// True for a length that is left out of files.
fn is_zero(length: &NotNegative) -> bool {
    length.0 == crate::geom::Length::ZERO
}
