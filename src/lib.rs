//! Closefit: what goes into a compact computer enclosure, where, and what reaches what.

pub mod route;
