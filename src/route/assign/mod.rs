//! Gives every device port its plug: which lead goes where, proved to be the best.

mod branch;
mod collect;
mod flow;
mod judge;
pub mod net;
#[cfg(test)]
mod oracle;
mod plan;
mod reach;

pub use branch::{Answer, solve};
pub use plan::{Plan, Unfed, Why, plan};
