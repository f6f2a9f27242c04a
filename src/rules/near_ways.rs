//! Which cables' ways come near a part, so that only those are looked at again when it
//! moves.

use crate::geom::Box3;
use crate::model::{CableId, PartId};
use crate::placement::{Placed, grid::Grid};
use std::collections::{BTreeMap, BTreeSet};

/// The boxes around the legs of all ways, and where the parts stood when they were
/// looked at last.
#[derive(Clone, Debug, Default)]
pub(super) struct NearWays {
    grid: Grid,
    keys: BTreeMap<CableId, Vec<u32>>,
    of: BTreeMap<u32, CableId>,
    free: Vec<u32>,
    spans: BTreeMap<PartId, Box3>,
}

impl NearWays {
    /// Puts the boxes of a way in place of those before.
    pub fn put(&mut self, id: &CableId, boxes: &[Box3]) {
        for key in self.keys.remove(id).unwrap_or_default() {
            self.grid.remove(key);
            self.of.remove(&key);
            self.free.push(key);
        }
        if boxes.is_empty() {
            return;
        }
        let mut keys = Vec::with_capacity(boxes.len());
        for b in boxes {
            let next = u32::try_from(self.of.len()).unwrap_or(u32::MAX);
            let key = self.free.pop().unwrap_or(next);
            self.grid.insert(key, *b);
            self.of.insert(key, id.clone());
            keys.push(key);
        }
        self.keys.insert(id.clone(), keys);
    }

    /// Adds the cables whose ways come near where these parts stood before or stand
    /// now, and notes where they stand. Gives back where they stood before.
    pub fn follow(
        &mut self,
        placed: &Placed,
        moved: &BTreeSet<PartId>,
        found: &mut BTreeSet<CableId>,
    ) -> Vec<Box3> {
        let mut stood = Vec::new();
        for id in moved {
            let now = placed.part(id).map(|p| p.span);
            let before = match now {
                Some(span) => self.spans.insert(id.clone(), span),
                None => self.spans.remove(id),
            };
            for span in before.iter().chain(&now) {
                let keys = self.grid.meeting(span);
                found.extend(keys.iter().filter_map(|k| self.of.get(k)).cloned());
            }
            stood.extend(before);
        }
        stood
    }
}
