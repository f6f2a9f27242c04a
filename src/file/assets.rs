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

/// A file of `assets/`, under its own name.
macro_rules! built {
    ($path:literal) => {
        (
            concat!("assets/", $path),
            include_str!(concat!("../../assets/", $path)),
        )
    };
}

/// Sets of holes.
const HOLES: &[Built] = &[built!("holes.json")];
/// Part kinds.
const PARTS: &[Built] = &[
    built!("parts/adapters.json"),
    built!("parts/blocks.json"),
    built!("parts/boards-atx.json"),
    built!("parts/boards-microatx.json"),
    built!("parts/boards-mini-dtx-flexatx.json"),
    built!("parts/boards-mini-itx.json"),
    built!("parts/brackets.json"),
    built!("parts/cards-graphics.json"),
    built!("parts/cards-other.json"),
    built!("parts/coolers.json"),
    built!("parts/drives-m2.json"),
    built!("parts/drives.json"),
    built!("parts/fans-120.json"),
    built!("parts/fans-140-200.json"),
    built!("parts/fans-small.json"),
    built!("parts/memory.json"),
    built!("parts/others.json"),
    built!("parts/radiators-120-thick.json"),
    built!("parts/radiators-120.json"),
    built!("parts/radiators-140-thick.json"),
    built!("parts/radiators-140.json"),
    built!("parts/supplies.json"),
];
/// Connectors and cable kinds.
const CABLES: &[Built] = &[built!("cables.json")];
/// Enclosures.
const ENCLOSURES: &[Built] = &[
    built!("enclosures/cube-microatx.json"),
    built!("enclosures/rack-shallow.json"),
    built!("enclosures/slim-upright.json"),
    built!("enclosures/storage-box.json"),
    built!("enclosures/test-field.json"),
    built!("enclosures/two-chamber.json"),
];
/// Figures that the rules judge by; one file.
const RULES: &[Built] = &[built!("rules.json")];

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

/// Example scenes, in the order of the menu; the program opens on the first.
const EXAMPLES: &[Example] = &[
    Example {
        file: "first-build.json",
        title: "Two-chamber build with liquid cooling",
        about: "Radiator and fans in a 55 mm channel, a card in its own chamber, every lead along its ties",
        text: include_str!("../../scenes/first-build.json"),
    },
    Example {
        file: "slim-upright.json",
        title: "Slim upright build on a riser",
        about: "A board on the wall and a card below it, 76 mm wide",
        text: include_str!("../../scenes/slim-upright.json"),
    },
    Example {
        file: "storage-box.json",
        title: "Storage box with four drives",
        about: "Drives on side rails, a tray that pulls out, a hinged door, over a Mini-ITX board",
        text: include_str!("../../scenes/storage-box.json"),
    },
    Example {
        file: "rack-shallow.json",
        title: "Shallow rack build",
        about: "Two units high, low-profile cards, fans in front",
        text: include_str!("../../scenes/rack-shallow.json"),
    },
    Example {
        file: "cube-microatx.json",
        title: "microATX cube with air cooling",
        about: "Supply and drives below, cards and a tower cooler above; the supply either way up",
        text: include_str!("../../scenes/cube-microatx.json"),
    },
    Example {
        file: "channel-short.json",
        title: "Radiator too thick for its channel",
        about: "38 and 25 mm in a channel of 55: 8 mm short",
        text: include_str!("../../scenes/channel-short.json"),
    },
    Example {
        file: "pump-lead-short.json",
        title: "Control lead of the pump too short",
        about: "400 mm do not reach along the front bay",
        text: include_str!("../../scenes/pump-lead-short.json"),
    },
    Example {
        file: "supply-clash.json",
        title: "Supply that is too long",
        about: "180 mm deep, and the drive cage stands there",
        text: include_str!("../../scenes/supply-clash.json"),
    },
    Example {
        file: "drive-few-screws.json",
        title: "Drive held by too few screws",
        about: "Two of the four holes it needs lie on the drilled ones",
        text: include_str!("../../scenes/drive-few-screws.json"),
    },
    Example {
        file: "test-field.json",
        title: "Test field with 28 nodes",
        about: "More than 300 parts, to try the program on a large scene",
        text: include_str!("../../scenes/test-field.json"),
    },
];

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
