//! Arrangements tried and ranked.

pub mod exact;
pub mod questions;
pub mod scene;
