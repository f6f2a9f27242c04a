//! Connectors and cable kinds.

use super::{Figure, Id, Name, NotNegative, Positive, Watts, Word};
use crate::model::System;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Cross-section of a cable or hose.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Section {
    /// Round: its diameter.
    Round(Positive),
    /// Flat: width and thickness, the larger first.
    Flat([Positive; 2]),
}

/// A type of connector.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Connector {
    /// Its id.
    pub id: Id,
    /// For people.
    pub name: Name,
    /// Plug size: across, along the longer side, out of the socket.
    pub plug: [Positive; 3],
    /// Straight length of lead behind the plug.
    pub straight: NotNegative,
    /// The most power that one plug may carry, in watts.
    #[serde(default)]
    pub carries_w: Option<Watts>,
    /// Sockets of other types that its plug goes into too, split.
    #[serde(default)]
    pub splits_to: Vec<Id>,
    /// Sources of its figures.
    #[serde(default)]
    pub figures: Vec<Figure>,
}

/// A cable that can be bought or made.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CableKind {
    /// Its id.
    pub id: Id,
    /// For people.
    pub name: Name,
    /// Tint and legend.
    pub system: Word<System>,
    /// Connector of the port at the giving end.
    pub from: Id,
    /// Connector of the port at the taking end.
    pub to: Id,
    /// Lengths at hand, shortest first.
    pub lengths: Vec<Positive>,
    /// Cross-section.
    pub section: Section,
    /// Smallest bend radius of the middle line.
    pub bend: NotNegative,
    /// Number of plugs along the run.
    #[serde(default = "one")]
    pub plugs: u32,
    /// From plug to plug, where there are several.
    #[serde(default)]
    pub pitch: NotNegative,
    /// True where it lengthens another lead.
    #[serde(default)]
    pub extends: bool,
    /// The most power that it may carry, in watts, where that is less than its
    /// plugs may.
    #[serde(default)]
    pub carries_w: Option<Watts>,
    /// Sources of its figures.
    #[serde(default)]
    pub figures: Vec<Figure>,
}

fn one() -> u32 {
    1
}

/// A file of connectors and cable kinds.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cables {
    /// `closefit-cables`.
    #[serde(rename = "format")]
    pub _format: String,
    /// 1.
    #[serde(rename = "version")]
    pub _version: u64,
    /// Types of connectors.
    pub connectors: Vec<Connector>,
    /// Kinds of cables.
    pub cables: Vec<CableKind>,
}
