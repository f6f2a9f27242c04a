//! Fit, rules, routes and search against oracles, symmetries and published answers.
//!
//! One program for the whole theme: linking is what testing costs, in time and on the disk.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has to stop")]

#[path = "../support/build.rs"]
mod build;
#[path = "../support/busy.rs"]
mod busy;

mod arrange_oracle;
mod fit_oracle;
mod route_oracle;
mod rules_kit;
mod rules_symmetry;
mod search_desk;
mod search_proof;
mod search_questions;
mod search_scene;
mod swapping;
mod symmetry;
mod ways;
mod ways_editor;
mod ways_known;
mod ways_tied;
