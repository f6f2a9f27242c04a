//! Arrangements tried and ranked.

pub mod exact;
