//! Closefit: what goes into a compact computer enclosure, where, on which screw
//! holes, and which cables reach.
//!
//! Everything but the window works headless through this library. The layers and
//! their order are listed in `DEVELOPERS.md`; `tests/data/tidy.rs` holds them.

pub mod alternatives;
pub mod app;
pub mod cli;
pub mod compare;
pub mod edit;
pub mod editor;
pub mod export;
pub mod file;
pub mod geom;
pub mod model;
pub mod paper;
pub mod placement;
pub mod route;
pub mod rules;
pub mod search;
pub mod view;

// Unit tests and integration tests share one way to build scenes in code.
#[cfg(test)]
extern crate self as closefit;
#[cfg(test)]
#[path = "../tests/support/build.rs"]
mod build;
