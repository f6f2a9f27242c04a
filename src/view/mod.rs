//! What is drawn, before any back end: the draw list, the palette, the typeface.
//!
//! The window, the SVG file and the PNG picture are three readers of one
//! [`list::DrawList`]. This module never names a window toolkit. Colours exist
//! in [`palette`] only; everything else says what a mark *is* ([`list::Role`]).

pub mod list;
pub mod palette;
pub mod text;

mod bodies;
mod cables;
mod covers;
mod cutouts;
mod differences;
mod enclosure;
mod grid;
mod hidden;
pub(crate) mod labels;
mod marks;
mod measure;
mod offers;
mod parts;
pub mod picture;
pub mod pins;
mod plugs;
mod projection;
mod shared;
mod sheet;
pub mod solid3d;
mod sweeps;
mod together;
pub(crate) mod ways;
mod zones;

pub use differences::differences;
pub use grid::{GridLines, RULER, RulerEdge, grid, grid_lines, ruler};
pub use marks::MOST as MOST_MARKED;
pub use measure::Measured;
pub use picture::{LEAST_PAGE, PictureOptions, Views, picture, picture_of};
pub use plugs::port_at;
pub use projection::{Projection, ViewKind};
pub use sheet::{SheetInput, ViewOptions, draw, pointed};
