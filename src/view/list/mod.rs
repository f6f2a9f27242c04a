//! The neutral draw list: what stands on the sheet, in page millimetres.
//!
//! # Frame and units
//!
//! Page coordinates are `f64` millimetres, x to the right, y **down** the page,
//! origin in the upper left corner. The caller has already projected: nothing
//! here knows about depth, cameras or pixels. Angles are degrees, positive
//! **clockwise on the page** (from x towards y). Line widths and text sizes are
//! millimetres on paper; they keep their size when the geometry is scaled.
//! Areas are filled and hatched by the even-odd rule, so that a ring inside an
//! outline is a hole.
//!
//! # Drawing
//!
//! Drawing code holds a [`Pen`] and says what a mark is, never its colour:
//!
//! ```
//! use closefit::view::list::*;
//!
//! let mut list = DrawList::new();
//! let mut pen = list.pen().owner(Owner::Part(3)).z(40).place(Affine::shift(20.0, 30.0));
//! pen.body(Path::rounded_rect(Rect::sized(0.0, 0.0, 120.0, 120.0), 6.0), System::Air)
//!     .stroke(Path::circle((60.0, 60.0), 56.0), Line::THIN, Role::InkSoft)
//!     .stroke(Path::cross((60.0, 60.0), 8.0), Line::CENTRE, Role::Centre)
//!     .text(Text::new((60.0, 60.0), "120").middle(), Role::Text);
//!
//! assert_eq!(hit(&list, (80.0, 90.0), 0.5), [Owner::Part(3)]);
//! ```
//!
//! Back ends walk [`DrawList::in_paint_order`] and leave out what is not
//! [`Mark::is_drawable`].

mod dash;
mod dimension;
mod hatch;
mod hit;
mod item;
mod lettering;
mod line;
mod page;
mod path;
mod pen;
mod role;
mod shapes;
mod system;
mod text_mark;

pub use dimension::{Dimension, Direction, Terminator};
pub use hatch::Hatch;
pub use hit::hit;
pub use item::{DrawList, Fill, Item, Mark, Owner};
pub use lettering::{Anchor, HAlign, TextSize, VAlign, Weight};
pub use line::{Dashes, Line, LineType, Width};
pub use page::{Affine, MAX_COORDINATE, Point2, Rect};
pub use path::{Path, Polyline, Segment};
pub use pen::Pen;
pub use role::{GridStep, Layer, Role, Tone};
pub use system::System;
pub use text_mark::Text;
