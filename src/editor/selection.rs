//! What is selected. It never names a part or cable that is missing.

use crate::model::{CableId, PartId, Scene};
use std::collections::BTreeSet;

/// Selected parts, or one selected cable.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Selection {
    parts: BTreeSet<PartId>,
    cable: Option<CableId>,
}

impl Selection {
    /// The selected parts, in id order.
    pub fn parts(&self) -> &BTreeSet<PartId> {
        &self.parts
    }

    /// The selected cable.
    pub fn cable(&self) -> Option<&CableId> {
        self.cable.as_ref()
    }

    /// The part, where exactly one is selected.
    pub fn only(&self) -> Option<&PartId> {
        match self.parts.len() {
            1 => self.parts.first(),
            _ => None,
        }
    }

    /// True where the part is selected.
    pub fn has(&self, id: &PartId) -> bool {
        self.parts.contains(id)
    }

    /// True where nothing is selected.
    pub fn is_empty(&self) -> bool {
        self.parts.is_empty() && self.cable.is_none()
    }

    pub(super) fn set(&mut self, ids: impl IntoIterator<Item = PartId>) {
        self.parts = ids.into_iter().collect();
        self.cable = None;
    }

    pub(super) fn set_cable(&mut self, id: Option<CableId>) {
        self.parts.clear();
        self.cable = id;
    }

    pub(super) fn toggle(&mut self, id: &PartId) {
        self.cable = None;
        if !self.parts.remove(id) {
            self.parts.insert(id.clone());
        }
    }

    pub(super) fn clear(&mut self) {
        *self = Selection::default();
    }

    /// Drops ids that the scene no longer has.
    pub(super) fn repair(&mut self, scene: &Scene) {
        self.parts.retain(|id| scene.parts.contains_key(id));
        let gone = |id: &CableId| !scene.arrangement().cables.contains_key(id);
        if self.cable.as_ref().is_some_and(gone) {
            self.cable = None;
        }
    }
}
