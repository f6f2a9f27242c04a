//! Distance, touching and overlap of placed solids, and which of many come near one another.
//!
//! The kernel works in floating point and in no unit of its own: all lengths of a call are in one
//! unit, the caller's. Tolerances are shares of sizes ([`CONTACT`]). With whole numbers as
//! coordinates, what it says about axis-aligned boxes is exact.
//!
//! Touching is no overlap: two solids overlap when their insides share a point.
//!
//! ```
//! use closefit::geom::kernel::{Gap, Shape, Turn, Vec3, gap};
//! let board = Shape::aligned(Vec3::ZERO, Vec3::new(170.0, 170.0, 2.0))?;
//! let post = Shape::cylinder(Vec3::new(10.0, 10.0, -3.0), Vec3::unit(2), 3.0, 3.0)?;
//! assert!(matches!(gap(&board, &post, 1.0), Gap::Touching { .. }));
//! let post = post.translated(Vec3::new(0.0, 0.0, -0.5));
//! assert_eq!(gap(&board, &post, 1.0).distance(), Some(0.5));
//! # Ok::<(), closefit::geom::kernel::ShapeError>(())
//! ```

mod aabb;
mod boxes;
mod columns;
mod crossed;
mod cylinder;
mod ears;
mod epa;
mod gap;
mod gjk;
mod hull;
mod polygon;
mod polytope;
mod shape;
mod simplex;
#[cfg(test)]
mod tests;
mod vector;
mod way_out;
mod world;

pub use aabb::Aabb;
pub use gap::{CONTACT, Gap, gap};
pub use shape::{MAX_CORNERS, Shape, ShapeError};
pub use vector::{Turn, Vec3};
pub use way_out::{WayOut, way_out};
pub use world::{NearPair, World};
