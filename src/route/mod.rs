//! Ways through the enclosure.
pub mod free;
