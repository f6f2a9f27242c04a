//! Scenes: one enclosure, one set of parts, several arrangements of them.

use super::acceptance::Acceptance;
use super::cable::Cable;
use super::enclosure::Enclosure;
use super::id::{CableId, PartId};
use super::kind::PartKind;
use super::measured::Dimensions;
use crate::geom::{Box3, Turn, Vec3};
use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

/// A part that was chosen for this build.
#[derive(Clone, Debug)]
pub struct Part {
    /// For people; starts as the kind's name.
    pub name: String,
    /// What it is.
    pub kind: Arc<PartKind>,
}

impl PartialEq for Part {
    /// Kinds are shared, so most comparisons end at the pointer.
    fn eq(&self, o: &Part) -> bool {
        self.name == o.name && (Arc::ptr_eq(&self.kind, &o.kind) || self.kind == o.kind)
    }
}

/// Where a part stands in one arrangement.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Place {
    /// Lower front left corner of the part's turned outer box.
    pub at: Vec3,
    /// Its orientation.
    pub turn: Turn,
    /// Dragging, nudging and deleting leave it alone.
    pub locked: bool,
    /// Not drawn. It is still checked.
    pub hidden: bool,
}

impl Place {
    /// At a corner, as drawn in the catalogue.
    pub fn at(at: Vec3) -> Place {
        Place {
            at,
            ..Place::default()
        }
    }

    /// The displacement to apply after the turn, so that the turned outer box
    /// starts at `at`.
    pub fn shift(&self, kind: &PartKind) -> Vec3 {
        self.at - kind.outline().turned(self.turn).min()
    }

    /// A point of the part's frame in the enclosure's frame.
    pub fn point(&self, kind: &PartKind, p: Vec3) -> Vec3 {
        self.turn.apply(p) + self.shift(kind)
    }

    /// The turned outer box in the enclosure's frame.
    pub fn outline(&self, kind: &PartKind) -> Box3 {
        kind.outline().turned(self.turn).moved(self.shift(kind))
    }
}

/// A port of a part.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct PortRef {
    /// The part.
    pub part: PartId,
    /// The port's id in the part's kind.
    pub port: String,
}

impl fmt::Display for PortRef {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.part, self.port)
    }
}

/// A zone of the enclosure or of a part.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct ZoneRef {
    /// The part that offers it; `None` for the enclosure.
    pub part: Option<PartId>,
    /// The zone's id there.
    pub zone: String,
}

/// One placing of the parts and leading of the cables.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Arrangement {
    /// For people.
    pub name: String,
    /// Places by part. A part without a place lies beside the enclosure and is
    /// not checked; the checker says so.
    pub places: BTreeMap<PartId, Place>,
    /// Cables and hoses.
    pub cables: BTreeMap<CableId, Cable>,
    /// Findings that the user accepted, by key.
    pub accepted: BTreeMap<String, Acceptance>,
    /// What parts are here that are of different kinds in different arrangements;
    /// see [`Scene::kind_in`].
    pub kinds: BTreeMap<PartId, Arc<PartKind>>,
}

/// A scene.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// Title for pictures and sheets.
    pub title: String,
    /// Free text.
    pub notes: String,
    /// The enclosure.
    pub enclosure: Arc<Enclosure>,
    /// True where the scene file carries the enclosure itself rather than its id.
    pub own_enclosure: bool,
    /// The parts chosen, each of the kind that it is in the arrangement at hand.
    pub parts: BTreeMap<PartId, Part>,
    /// What was measured, of a part or (`None`) of the enclosure. The figure holds for
    /// this very piece, in all arrangements.
    pub measured: BTreeMap<Option<PartId>, Dimensions>,
    /// Part kinds that the scene file carries itself, by id.
    pub own_kinds: BTreeMap<super::KindId, Arc<PartKind>>,
    /// Arrangements; at least one.
    pub arrangements: Vec<Arrangement>,
    /// Index of the arrangement at hand; always sound.
    pub current: usize,
}

impl Scene {
    /// An empty scene over an enclosure.
    pub fn new(title: &str, enclosure: Arc<Enclosure>) -> Scene {
        Scene {
            title: title.to_owned(),
            notes: String::new(),
            enclosure,
            own_enclosure: false,
            parts: BTreeMap::new(),
            measured: BTreeMap::new(),
            own_kinds: BTreeMap::new(),
            arrangements: vec![Arrangement {
                name: "first".to_owned(),
                ..Arrangement::default()
            }],
            current: 0,
        }
    }

    /// The arrangement at hand.
    pub fn arrangement(&self) -> &Arrangement {
        &self.arrangements[self.current]
    }

    /// The arrangement at hand, for `edit` only.
    pub(crate) fn arrangement_mut(&mut self) -> &mut Arrangement {
        &mut self.arrangements[self.current]
    }

    /// The scene without the corners of the cables at hand that find their own way;
    /// `None` where there are none.
    pub fn without_laid_ways(&self) -> Option<Scene> {
        let laid = |c: &Cable| c.finds && c.has_corners();
        if !self.arrangement().cables.values().any(laid) {
            return None;
        }
        let mut scene = self.clone();
        let cables = scene.arrangement_mut().cables.values_mut();
        cables.filter(|c| laid(c)).for_each(Cable::straighten);
        Some(scene)
    }

    /// Part and place, where the part exists and is placed.
    pub fn placed(&self, id: &PartId) -> Option<(&Part, &Place)> {
        Some((self.parts.get(id)?, self.arrangement().places.get(id)?))
    }
}
