//! Arrangements tried and ranked.

pub mod exact;
pub mod scene;
