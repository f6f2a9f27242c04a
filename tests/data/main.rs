//! Assets: figures against their standards, and the rules that this repository keeps itself to.
//!
//! One program for the whole theme: linking is what testing costs, in time and on the disk.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has to stop")]

#[path = "../support/build.rs"]
mod build;
mod figures;

mod assets;
mod catalogue;
mod enclosure_data;
mod hole_standards;
mod standards;
mod tidy;
