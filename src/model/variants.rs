//! The kinds of parts by arrangement.
//!
//! A part may be of one kind in one arrangement and of another in the next, so that
//! a radiator of 240 can be compared with one of 280. `Scene::parts` always shows
//! the kinds of the arrangement at hand, so whoever looks at one arrangement need not
//! know of the others. For each part either no arrangement has an entry in
//! [`Arrangement::kinds`] (it is of one kind throughout) or each of them has.

use super::{Arrangement, PartId, PartKind, Scene};
use std::collections::BTreeSet;
use std::sync::Arc;

impl Scene {
    /// What a part is in the arrangement with this index.
    pub fn kind_in(&self, arrangement: usize, id: &PartId) -> Option<&Arc<PartKind>> {
        let part = self.parts.get(id)?;
        let own = self.arrangements.get(arrangement)?.kinds.get(id);
        Some(own.unwrap_or(&part.kind))
    }

    /// The scene with another of its arrangements at hand, for instance to check it.
    /// `None` where there is no such arrangement.
    pub fn showing(&self, arrangement: usize) -> Option<Scene> {
        (arrangement < self.arrangements.len()).then(|| {
            let mut scene = self.clone();
            scene.take_up(arrangement);
            scene
        })
    }

    /// All kinds of all parts in all arrangements, each once, by id.
    pub fn kinds_used(&self) -> impl Iterator<Item = &Arc<PartKind>> {
        let now = self.parts.values().map(|p| &p.kind);
        let others = self.arrangements.iter().flat_map(|a| a.kinds.values());
        let mut seen = BTreeSet::new();
        now.chain(others).filter(move |k| seen.insert(&k.id))
    }

    /// Puts the arrangement with this sound index at hand; parts become of its kinds.
    pub(crate) fn take_up(&mut self, arrangement: usize) {
        self.current = arrangement;
        for (id, kind) in &self.arrangements[arrangement].kinds {
            if let Some(part) = self.parts.get_mut(id) {
                part.become_of(kind);
            }
        }
    }

    /// Makes a part of another kind in the arrangement at hand only.
    pub(crate) fn set_kind(&mut self, id: &PartId, kind: &Arc<PartKind>) {
        self.spread_kinds(std::iter::once(id));
        self.arrangement_mut()
            .kinds
            .insert(id.clone(), kind.clone());
        self.settle_kinds();
    }

    /// Adds an arrangement; parts of which it says no kind are as they are now.
    pub(crate) fn add_arrangement(&mut self, arrangement: &Arrangement) {
        self.arrangements.push(arrangement.clone());
        let named: BTreeSet<PartId> = self
            .arrangements
            .iter()
            .flat_map(|a| a.kinds.keys().cloned())
            .collect();
        self.spread_kinds(named.iter());
        self.current = self.arrangements.len() - 1;
        self.settle_kinds();
    }

    /// Writes down in each arrangement what these parts are there.
    fn spread_kinds<'a>(&mut self, parts: impl Iterator<Item = &'a PartId>) {
        for id in parts {
            let Some(part) = self.parts.get(id) else {
                continue;
            };
            for arrangement in &mut self.arrangements {
                let entry = arrangement.kinds.entry(id.clone());
                entry.or_insert_with(|| part.kind.clone());
            }
        }
    }

    /// Restores the rule at the head of this file after any change: no entries for
    /// parts that are gone or of one kind throughout, and parts as they are now.
    pub(crate) fn settle_kinds(&mut self) {
        self.take_up(self.current);
        let Some(first) = self.arrangements.first() else {
            return;
        };
        let of_one: Vec<PartId> = first
            .kinds
            .iter()
            .filter(|(id, kind)| {
                !self.parts.contains_key(*id)
                    || self.arrangements.iter().all(|a| {
                        let other = a.kinds.get(*id);
                        other.is_some_and(|k| Arc::ptr_eq(k, kind) || k == *kind)
                    })
            })
            .map(|(id, _)| id.clone())
            .collect();
        for arrangement in &mut self.arrangements {
            for id in &of_one {
                arrangement.kinds.remove(id);
            }
        }
    }

    /// The same after reading a file, which may name kinds in some arrangements only.
    pub(crate) fn complete_kinds(&mut self) {
        let named: BTreeSet<PartId> = self
            .arrangements
            .iter()
            .flat_map(|a| a.kinds.keys().cloned())
            .collect();
        self.spread_kinds(named.iter());
        self.settle_kinds();
    }
}

impl super::Part {
    /// Makes the part one of another kind; a name of its own stays.
    pub(crate) fn become_of(&mut self, kind: &Arc<PartKind>) {
        if self.name == self.kind.name {
            self.name.clone_from(&kind.name);
        }
        self.kind = kind.clone();
    }
}
