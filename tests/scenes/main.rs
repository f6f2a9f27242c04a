//! Scene files: what the examples and the check scenes say, reading, saving, and hostile input.
//!
//! One program for the whole theme: linking is what testing costs, in time and on the disk.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has to stop")]

#[path = "files/catalogue.rs"]
mod catalogue;
#[path = "../support/checked.rs"]
mod checked;

mod example_scenes;
mod hostile_files;
mod scene_checks;
mod scene_files;
