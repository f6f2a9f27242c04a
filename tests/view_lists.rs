//! What the views and the picture put on the page, asked of the draw list.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has to stop")]

#[path = "view_lists/boards.rs"]
mod boards;
#[path = "view_lists/bodies.rs"]
mod bodies;
#[path = "view_lists/examples.rs"]
mod examples;
#[path = "view_lists/kinds.rs"]
mod kinds;
#[path = "view_lists/marking.rs"]
mod marking;
#[path = "view_lists/pictures.rs"]
mod pictures;
#[path = "view_lists/real.rs"]
mod real;
#[path = "view_lists/samples.rs"]
mod samples;
#[path = "view_lists/support.rs"]
mod support;
