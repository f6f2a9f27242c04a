//! Geometry.

pub mod kernel;
