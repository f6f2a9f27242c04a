//! What leaves the desk on paper and in lists: parts, screws, leads, labels,
//! templates, the build sheet. Content only; `export` writes the files.
//!
//! Everything is derived from one [`Build`]. A figure that the scene does not know
//! is said to be not known ([`Cell::Unknown`]); it is never guessed in silence.

mod flow;
pub mod joint;
mod labels;
pub mod lists;
pub mod sheet;
mod stock;
mod table;
pub mod template;
mod words;

pub use flow::Paper;
pub use joint::{Fastener, Joint, Member};
pub use labels::label_pages;
pub use lists::{LISTS, List};
pub use table::{Cell, Column, Table};

use crate::model::{CableId, Catalogue, Scene, Settings};
use crate::placement::Placed;
use crate::route::CableRun;
use crate::rules::{Checker, Finding, Severity};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A scene with everything that is known about it.
pub struct Build<'a> {
    /// The scene; its arrangement at hand is meant.
    pub scene: &'a Scene,
    /// Where everything stands.
    pub placed: &'a Placed,
    /// The ways of all cables.
    pub runs: &'a BTreeMap<CableId, CableRun>,
    /// Connectors and cable kinds.
    pub catalogue: &'a Arc<Catalogue>,
    /// Figures judged by.
    pub settings: &'a Arc<Settings>,
    /// What the rules found, worst first, with the reason for which it is accepted.
    pub findings: Vec<(&'a Finding, Option<&'a str>)>,
    /// Findings that the scene accepts stand in the list, but stop nothing.
    pub open_stops: usize,
}

impl<'a> Build<'a> {
    /// Of a scene that the checker has looked at.
    pub fn of(scene: &'a Scene, checker: &'a Checker) -> Build<'a> {
        let findings = checker.findings().into_iter();
        let findings: Vec<_> = findings
            .map(|f| (f, checker.is_accepted(scene, f)))
            .collect();
        let open_stops = findings
            .iter()
            .filter(|(f, accepted)| f.severity == Severity::Stop && accepted.is_none())
            .count();
        Build {
            scene,
            placed: checker.placed(),
            runs: checker.runs(),
            catalogue: checker.catalogue(),
            settings: checker.settings(),
            findings,
            open_stops,
        }
    }
}
