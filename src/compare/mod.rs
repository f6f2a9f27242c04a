//! Arrangements side by side: one row of figures for each, and what differs between
//! two of them. Nothing here changes a scene.
//!
//! A column is one entry in [`COLUMNS`] and one type that implements [`Column`];
//! window, command line and exports read the list. A figure that is not known in full
//! says so ([`Figure::missing`]); it is never counted as nothing.

pub mod columns;
pub mod diff;
mod export;
mod figure;
mod table;

pub use columns::COLUMNS;
pub use diff::{Change, Difference, Subject, differences};
pub use export::number;
pub use figure::{Better, Delta, Figure, Sense, Value};
pub use table::{Row, Table};

use crate::model::Scene;
use crate::rules::Checker;

/// What a column may look at: one arrangement, checked.
#[derive(Clone, Copy)]
pub struct Facts<'a> {
    /// The scene with that arrangement at hand.
    pub scene: &'a Scene,
    /// Its placement, cable runs and findings.
    pub checker: &'a Checker,
}

/// One column of the comparison.
pub trait Column: Sync {
    /// Short and stable; the name in files.
    fn id(&self) -> &'static str;
    /// For headings.
    fn title(&self) -> &'static str;
    /// Unit of its figures, may be empty.
    fn unit(&self) -> &'static str;
    /// What it says, how it is worked out, and what it leaves out.
    fn about(&self) -> &'static str;
    /// Which way is an improvement.
    fn better(&self) -> Better;
    /// The figure of one arrangement. Depends on nothing but the facts.
    fn figure(&self, facts: Facts<'_>) -> Figure;
}
