//! Findings by the spot they were found at, and in the order they are shown.

use super::{Finding, Severity};
use crate::model::{CableId, PartId, PortRef};
use crate::placement::ZoneKey;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A thing that rules are asked about, by small numbers where there are many.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Spot {
    Part(u32),
    Around(u32),
    /// The smaller slot first.
    Pair(u32, u32),
    Wall(u32, u32),
    Zone(ZoneKey),
    Cable(CableId),
    Way(CableId),
    Port(PortRef),
    Beside(PartId),
    Scene,
    /// That not everything was judged.
    Rest,
}

/// Order of showing. The spot only tells apart what has one key by mistake.
type Rank = (Severity, &'static str, Arc<str>, Spot);

#[derive(Clone, Debug, Default)]
pub(super) struct Store {
    findings: BTreeMap<Rank, Finding>,
    by_spot: BTreeMap<Spot, Vec<Rank>>,
    /// For each slot the others it has findings with.
    partners: BTreeMap<u32, BTreeSet<u32>>,
}

impl Store {
    /// In the order of showing: severity, rule, key.
    pub fn all(&self) -> impl Iterator<Item = &Finding> {
        self.findings.values()
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.findings.len()
    }

    /// Puts the findings of a spot in place of the ones before.
    pub fn put(&mut self, spot: Spot, found: Vec<Finding>) {
        self.clear(&spot);
        if found.is_empty() {
            return;
        }
        if let Spot::Pair(a, b) = spot {
            self.partners.entry(a).or_default().insert(b);
            self.partners.entry(b).or_default().insert(a);
        }
        let mut ranks = Vec::with_capacity(found.len());
        for finding in found {
            let rank = (
                finding.severity,
                finding.rule,
                finding.shared_key(),
                spot.clone(),
            );
            ranks.push(rank.clone());
            self.findings.insert(rank, finding);
        }
        self.by_spot.insert(spot, ranks);
    }

    /// Forgets what was found at a spot.
    pub fn clear(&mut self, spot: &Spot) {
        let Some(ranks) = self.by_spot.remove(spot) else {
            return;
        };
        for rank in ranks {
            self.findings.remove(&rank);
        }
        if let Spot::Pair(a, b) = *spot {
            for (one, other) in [(a, b), (b, a)] {
                if let Some(set) = self.partners.get_mut(&one) {
                    set.remove(&other);
                    if set.is_empty() {
                        self.partners.remove(&one);
                    }
                }
            }
        }
    }

    /// The other parts of all pairs of this slot that have findings.
    pub fn partners(&self, slot: u32) -> Vec<u32> {
        let set = self.partners.get(&slot).into_iter().flatten();
        set.copied().collect()
    }

    /// The plates with which this slot has findings.
    pub fn walls(&self, slot: u32) -> Vec<Spot> {
        let range = Spot::Wall(slot, 0)..=Spot::Wall(slot, u32::MAX);
        self.by_spot.range(range).map(|(s, _)| s.clone()).collect()
    }

    /// Forgets everything about a slot: itself, its pairs, walls and zones.
    pub fn purge(&mut self, slot: u32) {
        self.clear(&Spot::Part(slot));
        self.clear(&Spot::Around(slot));
        for other in self.partners(slot) {
            self.clear(&Spot::Pair(slot.min(other), slot.max(other)));
        }
        let key = |zone| {
            Spot::Zone(ZoneKey {
                owner: Some(slot),
                zone,
            })
        };
        let zones = self.by_spot.range(key(0)..=key(u32::MAX));
        let mut spots: Vec<Spot> = zones.map(|(s, _)| s.clone()).collect();
        spots.extend(self.walls(slot));
        for spot in spots {
            self.clear(&spot);
        }
    }
}
