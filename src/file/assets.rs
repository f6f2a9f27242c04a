//! What is built into the program: catalogue, rule figures, example scenes.
//!
//! One line a file. The files lie in `assets/` and `scenes/`, and their texts are
//! part of the program, so it finds them wherever it is started.

use super::catalogue::{Texts, catalogue_over, hole_sets as sets_of, settings_from};
use super::convert::mount::HoleSets;
use super::error::FileError;
use crate::model::{Catalogue, Settings};
use std::sync::OnceLock;

/// Name and text of a built-in file.
type Built = (&'static str, &'static str);

// A line of these lists reads, for instance:
//     ("assets/holes.json", include_str!("../../assets/holes.json")),
/// Sets of holes.
const HOLES: &[Built] = &[];
/// Part kinds.
const PARTS: &[Built] = &[];
/// Connectors and cable kinds.
const CABLES: &[Built] = &[];
/// Enclosures.
const ENCLOSURES: &[Built] = &[];
/// Figures that the rules judge by; one file.
const RULES: &[Built] = &[];

/// An example scene.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Example {
    /// Name of its file in `scenes/`.
    pub file: &'static str,
    /// For menus.
    pub title: &'static str,
    /// What it shows, in one line.
    pub about: &'static str,
    /// The text of its file, for [`read_scene`](super::read_scene).
    pub text: &'static str,
}

// An example reads, for instance:
//     Example {
//         file: "first.json",
//         title: "First look",
//         about: "A finished build without clashes",
//         text: include_str!("../../scenes/first.json"),
//     },
/// Example scenes, in the order of the menu.
const EXAMPLES: &[Example] = &[];

/// The built-in example scenes, in the order of the menu.
pub fn examples() -> &'static [Example] {
    EXAMPLES
}

/// The built-in sets of holes, read once.
pub fn hole_sets() -> Result<&'static HoleSets, FileError> {
    static SETS: OnceLock<Result<HoleSets, FileError>> = OnceLock::new();
    SETS.get_or_init(|| sets_of(HOLES))
        .as_ref()
        .map_err(Clone::clone)
}

/// The built-in catalogue. It is read anew each time: read it once and share it.
pub fn catalogue() -> Result<Catalogue, FileError> {
    let texts = Texts {
        holes: HOLES,
        parts: PARTS,
        cables: CABLES,
        enclosures: ENCLOSURES,
    };
    catalogue_over(hole_sets()?, &texts)
}

/// The built-in figures that the rules judge by.
pub fn settings() -> Result<Settings, FileError> {
    let Some((name, text)) = RULES.first() else {
        return Err(FileError::Field {
            path: "pairs".to_owned(),
            what: "no rules file is built in".to_owned(),
            hint: "name one in the list of built-in files".to_owned(),
        });
    };
    settings_from(text).map_err(|e| e.in_file(*name))
}
