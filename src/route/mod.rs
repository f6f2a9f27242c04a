//! The ways of cables and hoses: which cable joins two ports, how it runs, how
//! long it has to be. Nothing here judges.

pub mod assign;
mod bend;
pub mod bundle;
pub mod feed;
pub mod free;
pub mod hose;
pub mod leftover;
mod matching;
mod pinned;
mod plug;
mod run;
pub mod together;
pub mod ways;

pub use bend::{Leg, Point, Rounded, rounded};
pub use matching::{Choice, matching};
pub use plug::{plug_box, socket_axis, straight_box, sure_plug_box};
pub use run::{CableRun, Direct, Router, Stretch, run, run_with};
