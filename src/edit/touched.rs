//! What a change touched, so that live work costs in proportion to it.

use crate::model::{CableId, PartId, Scene};
use std::collections::BTreeSet;
use std::sync::Arc;

/// The parts and cables that changed, appeared or went.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Touched {
    /// Parts.
    pub parts: BTreeSet<PartId>,
    /// Cables.
    pub cables: BTreeSet<CableId>,
    /// True where everything has to be looked at again.
    pub all: bool,
}

impl Touched {
    /// Everything.
    pub fn all() -> Touched {
        Touched {
            all: true,
            ..Touched::default()
        }
    }

    /// True where nothing geometric changed.
    pub fn is_empty(&self) -> bool {
        !self.all && self.parts.is_empty() && self.cables.is_empty()
    }

    /// Adds a part.
    pub fn part(&mut self, id: &PartId) {
        self.parts.insert(id.clone());
    }

    /// Adds a cable.
    pub fn cable(&mut self, id: &CableId) {
        self.cables.insert(id.clone());
    }

    /// Marks everything.
    pub fn everything(&mut self) {
        self.all = true;
    }

    /// Adds what `other` touched.
    pub fn merge(&mut self, other: Touched) {
        self.parts.extend(other.parts);
        self.cables.extend(other.cables);
        self.all |= other.all;
    }

    /// What differs between two scenes, in the arrangement at hand of each.
    pub fn between(a: &Scene, b: &Scene) -> Touched {
        if a.current != b.current
            || a.arrangements.len() != b.arrangements.len()
            || !Arc::ptr_eq(&a.enclosure, &b.enclosure)
            || a.measured != b.measured
        {
            return Touched::all();
        }
        let mut touched = Touched::default();
        let (x, y) = (a.arrangement(), b.arrangement());
        for (one, other) in [(a, b), (b, a)] {
            for (id, part) in &one.parts {
                let same = other
                    .parts
                    .get(id)
                    .is_some_and(|p| Arc::ptr_eq(&p.kind, &part.kind) && p.name == part.name);
                if !same || x.places.get(id) != y.places.get(id) {
                    touched.part(id);
                }
            }
        }
        for (id, cable) in &x.cables {
            if y.cables.get(id) != Some(cable) {
                touched.cable(id);
            }
        }
        for id in y.cables.keys().filter(|id| !x.cables.contains_key(id)) {
            touched.cable(id);
        }
        touched
    }
}
