//! Figures that the rules judge by.

use super::{Figure, NotNegative, Note, Positive, Word};
use crate::model::Group;
use serde::Deserialize;

/// The least gap between two groups of parts.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pair {
    /// One side; left out for any group.
    #[serde(default)]
    pub a: Option<Word<Group>>,
    /// The other side; left out for any group, or for a plate.
    #[serde(default)]
    pub b: Option<Word<Group>>,
    /// True where the other side is a plate of the enclosure.
    #[serde(default)]
    pub wall: bool,
    /// The least gap.
    pub gap: NotNegative,
    /// Why, in words.
    pub reason: Note,
}

/// How far dimensions without a figure of their own may be off.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Step {
    /// For dimensions up to this, and above the step before.
    pub to: Positive,
    /// Longer or shorter by at most this.
    pub by: NotNegative,
}

/// Limits of the standing orders; each may be left out.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// Share of its free area that a fan may lose, in percent.
    #[serde(default)]
    pub fan_loss_percent: Option<u32>,
    /// Heaviest card on its slot and bracket alone, in grams.
    #[serde(default)]
    pub card_mass_g: Option<u32>,
    /// Heaviest cooler that travels mounted, in grams.
    #[serde(default)]
    pub cooler_mass_g: Option<u32>,
    /// Least distance from warm air out to air in.
    #[serde(default)]
    pub exhaust_reach: Option<NotNegative>,
    /// Height of a plain memory module over the face of its socket.
    #[serde(default)]
    pub memory_height: Option<NotNegative>,
    /// How long a piece of a cable may hang free.
    #[serde(default)]
    pub free_span: Option<Positive>,
    /// How far a part on slots may be off along them.
    pub slot_set: Option<Positive>,
}

/// A file of rule figures.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rules {
    /// `closefit-rules`.
    #[serde(rename = "format")]
    pub _format: String,
    /// 1.
    #[serde(rename = "version")]
    pub _version: u64,
    /// Pair classes, the more special first.
    pub pairs: Vec<Pair>,
    /// Largest mismatch between an outlet and its opening along the wall.
    pub opening_play: NotNegative,
    /// Largest distance of an outlet's face from the wall's inner face.
    pub opening_depth: NotNegative,
    /// Share of a cable's needed length to keep for service, in percent.
    pub service_percent: u32,
    /// General tolerances, smallest dimensions first.
    #[serde(default)]
    pub general: Vec<Step>,
    /// Limits of the standing orders.
    #[serde(default)]
    pub limits: Limits,
    /// Sources of these figures; the program does not show them.
    #[serde(default, rename = "figures")]
    pub _figures: Vec<Figure>,
}
