//! The desk without a screen: editing, snapping, measuring, and the window by its labels.
//!
//! One program for the whole theme: linking is what testing costs, in time and on the disk.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has to stop")]

#[path = "../support/desk.rs"]
mod desk;

mod drafts;
mod editing;
mod exporting;
mod measured;
mod measuring;
mod mending;
mod plugging;
mod search_window;
mod shortfall_window;
mod snapping;
mod ways_window;
mod window;
mod window_arrangements;
