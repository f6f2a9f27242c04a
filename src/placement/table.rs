//! The table of placed parts and its upkeep.

use super::grid::Grid;
use super::hold::Hold;
use super::part::{PlacedPart, PlacedPort, hole_bounds};
use super::plate::PlacedPlate;
use super::support::Support;
use crate::edit::Touched;
use crate::geom::{Box3, Length, Vec3};
use crate::model::{CableId, Enclosure, EnclosureId, PartId, Port, PortRef, Scene, Zone, ZoneRef};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A zone by position: of the enclosure, or of the part in a slot.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct ZoneKey {
    pub(crate) owner: Option<u32>,
    pub(crate) zone: u32,
}

/// What an update changed.
#[derive(Clone, Debug, Default)]
pub struct Dirty {
    /// Parts whose own facts, or facts of anything that they hang together with,
    /// may have changed; also parts that went.
    pub parts: BTreeSet<PartId>,
    /// Cables that changed or have an end on a part that did.
    pub cables: BTreeSet<CableId>,
    /// True where everything was built anew.
    pub all: bool,
    /// Zones in which the stack may have changed.
    pub(crate) zones: BTreeSet<ZoneKey>,
    /// Ports at which cables came or went.
    pub(crate) ports: BTreeSet<PortRef>,
    /// Slots that are empty now.
    pub(crate) gone: Vec<u32>,
}

/// Everything derived from a scene's arrangement at hand.
#[derive(Clone, Debug)]
pub struct Placed {
    pub(super) enclosure: Arc<Enclosure>,
    pub(super) slots: Vec<Option<PlacedPart>>,
    free: Vec<u32>,
    pub(super) by_id: BTreeMap<PartId, u32>,
    unplaced: BTreeSet<PartId>,
    pub(super) grid: Grid,
    pub(super) zone_grid: Grid,
    zone_ids: BTreeMap<String, u32>,
    plates: Arc<[PlacedPlate]>,
    plate_grid: Grid,
    pub(super) holds: Vec<Vec<Hold>>,
    pub(super) used_by: Vec<BTreeSet<u32>>,
    pub(super) users: BTreeMap<ZoneKey, BTreeSet<u32>>,
    pub(super) support: Vec<Support>,
    plugs: BTreeMap<PortRef, Vec<CableId>>,
    ends: BTreeMap<CableId, Vec<PortRef>>,
}

impl Placed {
    /// Nothing in no enclosure, until something is looked at.
    pub fn empty() -> Placed {
        let none = Enclosure {
            id: EnclosureId::new("none").expect("a plain word"),
            name: String::new(),
            size: Vec3::ZERO,
            plates: Vec::new(),
            zones: Vec::new(),
            passages: Vec::new(),
            ties: Vec::new(),
            tucks: Vec::new(),
            vents: Vec::new(),
            openings: Vec::new(),
            dimensions: BTreeMap::new(),
            figures: Vec::new(),
        };
        Placed::of_enclosure(Arc::new(none), Arc::new([]))
    }

    /// Derives everything from the scene.
    pub fn build(scene: &Scene) -> Placed {
        Placed::with_plates(scene, PlacedPlate::all(&scene.enclosure))
    }

    fn with_plates(scene: &Scene, plates: Arc<[PlacedPlate]>) -> Placed {
        let mut placed = Placed::of_enclosure(scene.enclosure.clone(), plates);
        let mut touched = Touched::default();
        touched.parts.extend(scene.parts.keys().cloned());
        touched
            .cables
            .extend(scene.arrangement().cables.keys().cloned());
        placed.update(scene, &touched);
        placed
    }

    fn of_enclosure(enclosure: Arc<Enclosure>, plates: Arc<[PlacedPlate]>) -> Placed {
        let (mut zone_grid, mut plate_grid) = (Grid::default(), Grid::default());
        let mut zone_ids = BTreeMap::new();
        for (key, zone) in (0u32..).zip(&enclosure.zones) {
            zone_ids.entry(zone.id.clone()).or_insert(key);
            if let Some(bounds) = hole_bounds(zone) {
                zone_grid.insert(key, bounds);
            }
        }
        for plate in plates.iter() {
            plate_grid.insert(plate.index, plate.bounds);
        }
        Placed {
            enclosure,
            slots: Vec::new(),
            free: Vec::new(),
            by_id: BTreeMap::new(),
            unplaced: BTreeSet::new(),
            grid: Grid::default(),
            zone_grid,
            zone_ids,
            plates,
            plate_grid,
            holds: Vec::new(),
            used_by: Vec::new(),
            users: BTreeMap::new(),
            support: Vec::new(),
            plugs: BTreeMap::new(),
            ends: BTreeMap::new(),
        }
    }

    /// Follows a change of the scene. Costs in proportion to what was touched and
    /// what is joined to it.
    pub fn update(&mut self, scene: &Scene, touched: &Touched) -> Dirty {
        if touched.all || !Arc::ptr_eq(&self.enclosure, &scene.enclosure) {
            // Openings are cut once for an enclosure: many that overlap take their time.
            *self = match Arc::ptr_eq(&self.enclosure, &scene.enclosure) {
                true => Placed::with_plates(scene, self.plates.clone()),
                false => Placed::build(scene),
            };
            return Dirty {
                all: true,
                ..Dirty::default()
            };
        }
        let mut dirty = Dirty {
            parts: touched.parts.clone(),
            cables: touched.cables.clone(),
            ..Dirty::default()
        };
        // Whoever held to a touched part has to be looked at again, and so does
        // everything that hung together with it.
        let slots: Vec<u32> = touched
            .parts
            .iter()
            .filter_map(|id| self.by_id.get(id).copied())
            .collect();
        let mut joined = self.joined(&slots);
        self.stacks(&joined, &mut dirty.zones);
        let mut redo: BTreeSet<u32> = slots.iter().copied().collect();
        for slot in &slots {
            redo.extend(&self.used_by[*slot as usize]);
        }
        let mut before: BTreeMap<u32, Vec<Hold>> = BTreeMap::new();
        for slot in &redo {
            before.insert(*slot, self.unlink(*slot));
        }

        let (came, gone) = self.replace(scene, touched);
        for slot in &gone {
            redo.remove(slot);
            joined.remove(slot);
        }
        redo.extend(&came);
        // A slot that is filled anew may still carry what was said of another part.
        joined.extend(&came);
        // Where all parts came, all are looked at anyway.
        let others = came.len() < self.by_id.len();
        for slot in came.iter().filter(|_| others) {
            let part = self.at(*slot).expect("just put in");
            let zones: Vec<Box3> = part.zones.iter().filter_map(hole_bounds).collect();
            for bounds in zones {
                redo.extend(self.grid.meeting(&bounds.grown(Length::mm(4))));
            }
        }
        for slot in redo {
            let old = match before.remove(&slot) {
                Some(old) => old,
                None => self.unlink(slot),
            };
            let new = self.find_holds(slot);
            if new != old {
                joined.insert(slot);
            }
            self.link(slot, new);
        }
        let seeds: Vec<u32> = joined.into_iter().collect();
        let joined = self.joined(&seeds);
        self.stacks(&joined, &mut dirty.zones);
        self.ground(&joined);
        // Chains of dimensions run through everything that hangs together.
        for slot in joined {
            let part = self.at(slot).expect("placed");
            dirty.parts.insert(part.id.clone());
        }
        self.replug(scene, touched, &mut dirty);
        self.free.extend(&gone);
        dirty.gone = gone;
        dirty
    }

    /// Takes touched parts out and puts them back in where they stand now.
    /// Returns the slots that are filled anew and the ones that are empty now.
    fn replace(&mut self, scene: &Scene, touched: &Touched) -> (Vec<u32>, Vec<u32>) {
        let (mut came, mut gone) = (Vec::new(), Vec::new());
        let mut renumber = false;
        for id in &touched.parts {
            let known = self.by_id.get(id).copied();
            match scene.placed(id) {
                Some((part, place)) => {
                    self.unplaced.remove(id);
                    let slot = known.unwrap_or_else(|| {
                        renumber = true;
                        self.fresh_slot()
                    });
                    let mut new = PlacedPart::new(id, part, place);
                    new.slot = slot;
                    if let Some(old) = self.at(slot) {
                        new.index = old.index;
                        new.remember(old);
                    }
                    self.grid.insert(slot, new.span);
                    self.slots[slot as usize] = Some(new);
                    self.by_id.insert(id.clone(), slot);
                    came.push(slot);
                }
                None => {
                    if scene.parts.contains_key(id) {
                        self.unplaced.insert(id.clone());
                    } else {
                        self.unplaced.remove(id);
                    }
                    if let Some(slot) = known {
                        self.by_id.remove(id);
                        self.grid.remove(slot);
                        self.slots[slot as usize] = None;
                        gone.push(slot);
                        renumber = true;
                    }
                }
            }
        }
        if renumber {
            for (index, slot) in (0u32..).zip(self.by_id.values()) {
                if let Some(part) = &mut self.slots[*slot as usize] {
                    part.index = index;
                }
            }
        }
        (came, gone)
    }

    fn fresh_slot(&mut self) -> u32 {
        self.free.pop().unwrap_or_else(|| {
            self.slots.push(None);
            self.holds.push(Vec::new());
            self.used_by.push(BTreeSet::new());
            self.support.push(Support::default());
            u32::try_from(self.slots.len() - 1).expect("fewer parts than u32 can count")
        })
    }

    fn link(&mut self, slot: u32, holds: Vec<Hold>) {
        for hold in &holds {
            self.users.entry(hold.key).or_default().insert(slot);
            if let Some(owner) = hold.key.owner {
                self.used_by[owner as usize].insert(slot);
            }
        }
        self.holds[slot as usize] = holds;
    }

    fn unlink(&mut self, slot: u32) -> Vec<Hold> {
        let holds = std::mem::take(&mut self.holds[slot as usize]);
        for hold in &holds {
            if let Some(users) = self.users.get_mut(&hold.key) {
                users.remove(&slot);
                if users.is_empty() {
                    self.users.remove(&hold.key);
                }
            }
            if let Some(owner) = hold.key.owner {
                self.used_by[owner as usize].remove(&slot);
            }
        }
        holds
    }

    fn replug(&mut self, scene: &Scene, touched: &Touched, dirty: &mut Dirty) {
        for id in &touched.cables {
            for port in self.ends.remove(id).unwrap_or_default() {
                if let Some(cables) = self.plugs.get_mut(&port) {
                    cables.retain(|c| c != id);
                    if cables.is_empty() {
                        self.plugs.remove(&port);
                    }
                }
                dirty.ports.insert(port);
            }
            let Some(cable) = scene.arrangement().cables.get(id) else {
                continue;
            };
            let ports: Vec<PortRef> = cable.ports().cloned().collect();
            for port in &ports {
                let cables = self.plugs.entry(port.clone()).or_default();
                let at = cables.partition_point(|c| c <= id);
                cables.insert(at, id.clone());
                dirty.ports.insert(port.clone());
            }
            self.ends.insert(id.clone(), ports);
        }
        for id in &touched.parts {
            dirty.cables.extend(self.cables_at(id).cloned());
        }
    }

    /// The part in a slot.
    pub(crate) fn at(&self, slot: u32) -> Option<&PlacedPart> {
        self.slots.get(slot as usize)?.as_ref()
    }

    /// The part with this id, where it has a place.
    pub fn part(&self, id: &PartId) -> Option<&PlacedPart> {
        self.at(*self.by_id.get(id)?)
    }

    /// All placed parts in the order of their ids.
    pub fn parts(&self) -> impl Iterator<Item = &PlacedPart> {
        self.by_id.values().filter_map(|slot| self.at(*slot))
    }

    /// How many parts are placed.
    pub fn len(&self) -> usize {
        self.by_id.len()
    }

    /// True where none is.
    pub fn is_empty(&self) -> bool {
        self.by_id.is_empty()
    }

    /// Parts of the scene that lie beside the enclosure.
    pub fn unplaced(&self) -> &BTreeSet<PartId> {
        &self.unplaced
    }

    /// Parts whose span comes within `reach` of the box, in the order of their ids.
    pub fn near(&self, b: &Box3, reach: Length) -> Vec<&PlacedPart> {
        let slots = self.grid.meeting(&b.grown(reach));
        let mut parts: Vec<&PlacedPart> = slots.into_iter().filter_map(|s| self.at(s)).collect();
        parts.sort_unstable_by_key(|p| p.index);
        parts
    }

    /// Plates of the enclosure, cut-outs taken out, in the enclosure's order.
    pub fn plates(&self) -> &[PlacedPlate] {
        &self.plates
    }

    /// Plates whose bounds come within `reach` of the box.
    pub fn plates_near(&self, b: &Box3, reach: Length) -> Vec<&PlacedPlate> {
        let found = self.plate_grid.meeting(&b.grown(reach));
        found
            .into_iter()
            .map(|i| &self.plates[i as usize])
            .collect()
    }

    /// The enclosure that all this stands in.
    pub fn enclosure(&self) -> &Enclosure {
        &self.enclosure
    }

    /// Where a port is, where its part is placed and has it.
    pub fn port(&self, port: &PortRef) -> Option<PlacedPort> {
        let part = self.part(&port.part)?;
        let index = part.kind.ports.iter().position(|p| p.id == port.port)?;
        part.ports.get(index).copied()
    }

    /// What a port is, where its part is placed and has it.
    pub fn port_kind(&self, port: &PortRef) -> Option<&Port> {
        self.part(&port.part)?.kind.port(&port.port)
    }

    /// Cables with an end in this port; one that is in twice stands there twice.
    pub fn plugged(&self, port: &PortRef) -> &[CableId] {
        self.plugs.get(port).map_or(&[], Vec::as_slice)
    }

    /// Cables with an end on this part, with repetitions.
    pub fn cables_at<'a>(&'a self, part: &'a PartId) -> impl Iterator<Item = &'a CableId> {
        self.plugged_on(part).flat_map(|(_, cables)| cables)
    }

    /// Ports of this part that have a cable in them.
    pub fn ports_at<'a>(&'a self, part: &'a PartId) -> impl Iterator<Item = &'a PortRef> {
        self.plugged_on(part).map(|(port, _)| port)
    }

    fn plugged_on<'a>(
        &'a self,
        part: &'a PartId,
    ) -> impl Iterator<Item = (&'a PortRef, &'a Vec<CableId>)> {
        let first = PortRef {
            part: part.clone(),
            port: String::new(),
        };
        let on_it = self.plugs.range(first..);
        on_it.take_while(move |(port, _)| port.part == *part)
    }

    /// Zones that a part is screwed to or seated in, best first. At least one hole
    /// matches in each; see [`Hold::suffices`].
    pub fn holds(&self, id: &PartId) -> &[Hold] {
        self.by_id
            .get(id)
            .map_or(&[], |slot| self.holds[*slot as usize].as_slice())
    }

    /// True where another part holds to a zone of this one.
    pub fn is_carrier(&self, id: &PartId) -> bool {
        let slot = self.by_id.get(id);
        slot.is_some_and(|s| !self.used_by[*s as usize].is_empty())
    }

    /// True where something holds to this zone of a part, by its position.
    pub(crate) fn is_taken(&self, owner: &PlacedPart, zone: usize) -> bool {
        let key = u32::try_from(zone).map(|zone| ZoneKey {
            owner: Some(owner.slot),
            zone,
        });
        key.is_ok_and(|k| self.users.contains_key(&k))
    }

    /// True where a hole of one lies on a hole of the other.
    pub fn holds_each_other(&self, a: &PartId, b: &PartId) -> bool {
        let on = |x: &PartId, y: &PartId| {
            self.holds(x)
                .iter()
                .any(|h| h.zone.part.as_ref() == Some(y))
        };
        on(a, b) || on(b, a)
    }

    /// A zone of the enclosure or of a placed part.
    pub fn zone(&self, zone: &ZoneRef) -> Option<&Zone> {
        match &zone.part {
            Some(part) => self.part(part)?.zone(&zone.zone),
            None => {
                let index = self.zone_ids.get(&zone.zone)?;
                self.enclosure.zones.get(*index as usize)
            }
        }
    }

    pub(crate) fn zone_at(&self, key: ZoneKey) -> Option<&Zone> {
        match key.owner {
            Some(slot) => self.at(slot)?.zones.get(key.zone as usize),
            None => self.enclosure.zones.get(key.zone as usize),
        }
    }

    /// Zones of limited depth that something holds to.
    pub(crate) fn limited_zones(&self) -> BTreeSet<ZoneKey> {
        let slots = self.by_id.values().copied().collect();
        let mut zones = BTreeSet::new();
        self.stacks(&slots, &mut zones);
        zones
    }

    pub(crate) fn zone_ref(&self, key: ZoneKey) -> Option<ZoneRef> {
        let part = match key.owner {
            Some(slot) => Some(self.at(slot)?.id.clone()),
            None => None,
        };
        Some(ZoneRef {
            part,
            zone: self.zone_at(key)?.id.clone(),
        })
    }

    /// How a zone is called in sentences: its name, and whose it is.
    pub fn zone_words(&self, zone: &ZoneRef) -> String {
        let name = self.zone(zone).map_or(zone.zone.as_str(), |z| &z.name);
        match zone.part.as_ref().and_then(|p| self.part(p)) {
            Some(part) => format!("{name} of {}", part.name),
            None => name.to_owned(),
        }
    }
}
