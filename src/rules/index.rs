//! What rules on the scene as a whole look up: kept from change to change, since such a
//! rule is asked at every one of them.

use super::pump_high::is_pump;
use crate::model::{Cable, CableId, Catalogue, Enclosure, PartId, Scene, Settings, System, Via};
use crate::placement::Placed;
use crate::route::CableRun;
use crate::route::leftover::{Leftover, of_cable};
use crate::route::ways::uses;
use std::collections::{BTreeMap, BTreeSet};

/// An opening or clamp of the enclosure, by its id.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Led {
    /// Through a passage.
    Passage(String),
    /// Along a tie.
    Tie(String),
}

impl Led {
    fn of(via: &Via) -> Option<Led> {
        match via {
            Via::Passage(id) => Some(Led::Passage(id.clone())),
            Via::Tie(id) | Via::Chosen(id) => Some(Led::Tie(id.clone())),
            _ => None,
        }
    }
}

/// Who is led where, what is left over, which parts pump: each in proportion to what
/// there is of it, not to the whole scene.
#[derive(Clone, Default, Debug)]
pub struct Index {
    left: BTreeMap<CableId, Vec<Leftover>>,
    led: BTreeMap<CableId, BTreeSet<Led>>,
    along: BTreeMap<Led, BTreeSet<CableId>>,
    hoses: BTreeSet<CableId>,
    pumps: BTreeSet<PartId>,
}

impl Index {
    /// All leftovers, by cable.
    pub fn leftovers(&self) -> impl Iterator<Item = &Leftover> {
        self.left.values().flatten()
    }

    /// The passages and ties that something is led along, with the cables.
    pub fn along(&self) -> &BTreeMap<Led, BTreeSet<CableId>> {
        &self.along
    }

    /// All liquid hoses.
    pub fn hoses(&self) -> &BTreeSet<CableId> {
        &self.hoses
    }

    /// Parts with a place that are known to be pumps.
    pub fn pumps(&self) -> &BTreeSet<PartId> {
        &self.pumps
    }

    /// A cable was drawn or led anew.
    pub(super) fn cable(
        &mut self,
        (scene, catalogue, settings): (&Scene, &Catalogue, &Settings),
        enclosure: &Enclosure,
        (id, cable): (&CableId, &Cable),
        run: &CableRun,
    ) {
        let left = of_cable(scene, catalogue, settings, id, cable, run);
        match left.is_empty() {
            true => self.left.remove(id),
            false => self.left.insert(id.clone(), left),
        };
        let all = cable.plugs.iter().flat_map(|p| &p.via);
        let mut places: BTreeSet<Led> = all.filter_map(Led::of).collect();
        // A way that was laid goes through without a word.
        if cable.has_corners() {
            let through = enclosure.passages.iter().filter(|p| uses(run, p));
            places.extend(through.map(|p| Led::Passage(p.id.clone())));
        }
        self.lead(id, places);
        match cable.system {
            System::Liquid => self.hoses.insert(id.clone()),
            _ => self.hoses.remove(id),
        };
    }

    /// A cable is gone.
    pub(super) fn forget(&mut self, id: &CableId) {
        self.left.remove(id);
        self.hoses.remove(id);
        self.lead(id, BTreeSet::new());
    }

    fn lead(&mut self, id: &CableId, places: BTreeSet<Led>) {
        if self
            .led
            .get(id)
            .map_or(places.is_empty(), |old| *old == places)
        {
            return;
        }
        for old in self.led.remove(id).unwrap_or_default() {
            if let Some(who) = self.along.get_mut(&old) {
                who.remove(id);
                if who.is_empty() {
                    self.along.remove(&old);
                }
            }
        }
        for new in &places {
            self.along
                .entry(new.clone())
                .or_default()
                .insert(id.clone());
        }
        if !places.is_empty() {
            self.led.insert(id.clone(), places);
        }
    }

    /// A part came, went or became another kind.
    pub(super) fn part(&mut self, placed: &Placed, id: &PartId) {
        match placed.part(id).and_then(is_pump) {
            Some(true) => self.pumps.insert(id.clone()),
            _ => self.pumps.remove(id),
        };
    }
}
