//! Lengths, points, turns and solids, and the questions asked of them.
//!
//! # Conventions, stated once
//!
//! - Right-handed frame seen from the front of the enclosure: x to the right,
//!   y to the back, z up. The origin is the lower front left outer corner.
//! - Lengths are whole micrometres ([`Length`]). Angles of stored placements are
//!   quarter turns only ([`Turn`]).
//! - **Touching is no clash.** Two solids clash only where their interiors meet.
//!   Faces, edges or corners that merely meet are a gap of exactly zero. Every
//!   predicate here follows this: names with `overlaps` mean interiors, names with
//!   `touches` mean closed sets that meet without overlapping.
//! - A positive quarter turn about an axis is counter-clockwise for an eye that
//!   the axis points at.

mod box3;
mod cover;
pub mod kernel;
mod length;
mod solid;
mod turn;
mod vec3;
mod volume;

pub use box3::Box3;
pub use cover::{covering_boxes, covering_strips};
pub use length::{LIMIT_MM, Length};
pub use solid::{Ring, Solid};
pub use turn::Turn;
pub use vec3::{Axis, Dir, Vec3};
pub use volume::{free_mm3, union_um3};
