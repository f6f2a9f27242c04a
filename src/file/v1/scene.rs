//! Scenes.

use super::{
    Amount, Dimension, EnclosureOrId, Id, Kind, Mm, Name, NotNegative, Note, Point, PortName,
    Positive, Section, VERSION, Via, Word,
};
use crate::geom::{Axis, Dir};
use crate::model::{Severity, System, Unit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A part chosen for the build.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// Unique in the scene.
    pub id: Id,
    /// Its kind's id.
    pub kind: Id,
    /// Only where it differs from the kind's name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<Name>,
}

/// Where a part stands.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// The part's id.
    pub part: Id,
    /// Lower front left corner of its turned outer box.
    pub at: Point,
    /// Where its own x and y point; left out where it is not turned.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turn: Option<[Word<Dir>; 2]>,
    /// Left alone by dragging, nudging and deleting.
    #[serde(default, skip_serializing_if = "super::is_off")]
    pub locked: bool,
    /// Not drawn.
    #[serde(default, skip_serializing_if = "super::is_off")]
    pub hidden: bool,
}

/// One plug of a run, and the stretch that leads to it.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlugEnd {
    /// The port it is plugged into.
    pub to: PortName,
    /// Length at hand of the stretch that leads to it.
    pub length: Positive,
    /// Places to visit on that stretch.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub via: Vec<Via>,
}

/// An extension at the end of a lead.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Extension {
    /// The catalogue's cable kind.
    pub kind: Id,
    /// Its length.
    pub length: Positive,
}

/// A cable or hose.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Cable {
    /// Unique in its arrangement.
    pub id: Id,
    /// For people.
    pub name: Name,
    /// The catalogue's cable kind; left out for a captive lead or hose.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kind: Option<Id>,
    /// Tint and legend.
    pub system: Word<System>,
    /// The giving end, or the captive lead.
    pub from: PortName,
    /// The plugs in order.
    #[schemars(length(min = 1))]
    pub plugs: Vec<PlugEnd>,
    /// Cross-section.
    pub section: Section,
    /// Smallest bend radius of the middle line.
    pub bend: NotNegative,
    /// What lengthens its last stretch.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub extension: Option<Extension>,
    /// How long a piece of it may hang free; left out for what the settings say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hangs: Option<Positive>,
    /// The user's choice: it stays when leads are given out anew.
    #[serde(default, skip_serializing_if = "super::is_off")]
    pub locked: bool,
    /// The program laid its way, and lays it anew when things move.
    #[serde(default, skip_serializing_if = "super::is_off")]
    pub finds: bool,
}

/// A finding that the user accepted.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Accepted {
    /// Its key.
    pub finding: Note,
    /// Why.
    pub reason: Note,
    /// How bad it was then; where it gets worse, it counts again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub severity: Option<Word<Severity>>,
    /// How far needed and available were apart then.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub off: Option<NotNegative>,
    /// The same where the figures are no lengths.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub over: Option<Over>,
}

/// How far figures that are no lengths were apart.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Over {
    /// So much, to the nearest thousandth.
    pub by: Amount,
    /// Of this.
    pub unit: Word<Unit>,
}

/// What a dimension of a part, or of the enclosure, was measured to be.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// The part's id; left out for the enclosure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<Id>,
    /// The axis, in the frame of the part.
    pub axis: Word<Axis>,
    /// From here.
    pub from: Mm,
    /// To there, farther up the axis.
    pub to: Mm,
    /// Its length, where that is not the one drawn.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub is: Option<Positive>,
    /// Longer by at most this.
    pub plus: NotNegative,
    /// Shorter by at most this.
    pub minus: NotNegative,
}

impl Measured {
    /// A dimension of a part, or of the enclosure.
    pub fn new(part: Option<Id>, d: Dimension) -> Measured {
        Measured {
            part,
            axis: d.axis,
            from: d.from,
            to: d.to,
            is: d.is,
            plus: d.plus,
            minus: d.minus,
        }
    }

    /// Without whose it is.
    pub fn dimension(&self) -> Dimension {
        Dimension {
            axis: self.axis,
            from: self.from,
            to: self.to,
            is: self.is,
            plus: self.plus,
            minus: self.minus,
        }
    }
}

/// What a part is in one arrangement, where that differs from another one.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct KindOf {
    /// The part's id.
    pub part: Id,
    /// Its kind's id in this arrangement.
    pub kind: Id,
}

/// One placing of the parts and leading of the cables.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Arrangement {
    /// For people.
    pub name: Name,
    /// Places of parts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub places: Vec<Place>,
    /// Cables and hoses.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cables: Vec<Cable>,
    /// Accepted findings.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub accepted: Vec<Accepted>,
    /// Kinds of parts that are of another kind in another arrangement. A part that
    /// is not listed is of the kind that the scene gives it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub kinds: Vec<KindOf>,
}

/// A scene: one enclosure, one set of parts, several arrangements of them.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Scene {
    /// What kind of file this is.
    #[schemars(extend("const" = "closefit-scene"))]
    pub format: String,
    /// The version of the format.
    #[schemars(extend("const" = VERSION))]
    pub version: u64,
    /// Title for pictures and sheets.
    pub title: Name,
    /// Free text.
    #[serde(default, skip_serializing_if = "Note::is_empty")]
    pub notes: Note,
    /// The enclosure.
    pub enclosure: EnclosureOrId,
    /// Part kinds that the scene carries itself.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub kinds: Vec<Kind>,
    /// The parts chosen.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<Part>,
    /// What was measured.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub measured: Vec<Measured>,
    /// Arrangements.
    #[schemars(length(min = 1))]
    pub arrangements: Vec<Arrangement>,
    /// Index of the arrangement at hand.
    #[serde(default, skip_serializing_if = "super::is_none")]
    pub current: u32,
}
