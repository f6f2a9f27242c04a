//! What the views and the picture put on the page, asked of the draw list.

mod boards;
mod bodies;
mod examples;
mod kinds;
mod marking;
mod pictures;
mod real;
mod samples;
mod support;
