//! What hangs together, what of it is held by the enclosure, and what stands in
//! one stack.

use super::holes::FACE_PLAY;
use super::part::PlacedPart;
use super::table::{Placed, ZoneKey};
use crate::geom::{Box3, Length};
use crate::model::{PartId, Zone};
use std::collections::{BTreeMap, BTreeSet};

/// Most parts of one stack that are looked at.
const MOST_STACKED: usize = 1000;

/// Whether a part is held in the end.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Support {
    /// By the enclosure, directly or through other parts.
    Held,
    /// By another part that is itself not held.
    Rests,
    /// By nothing.
    #[default]
    Loose,
}

/// The column of parts on a zone.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Stack {
    /// Its parts, by id.
    pub parts: Vec<PartId>,
    /// From the zone's face to the farthest outline.
    pub height: Length,
    /// The part that reaches farthest.
    pub top: PartId,
    /// The box around all of it.
    pub bounds: Box3,
    /// False where there are too many to look at all of them.
    pub complete: bool,
}

impl Placed {
    /// Whether a part is held; `None` where it is not placed.
    ///
    /// A part is held by a zone where enough holes match. It also counts as held
    /// where another held part is screwed into one of its own zones (a radiator
    /// that hangs on fans); a seat holds only the part that sits in it.
    pub fn support(&self, id: &PartId) -> Option<Support> {
        Some(self.support[*self.by_id.get(id)? as usize])
    }

    /// Parts that move along with this one: those whose best hold is on it, and
    /// what they carry in turn; in the order of their ids.
    pub fn carried(&self, id: &PartId) -> Vec<PartId> {
        let Some(start) = self.by_id.get(id).copied() else {
            return Vec::new();
        };
        let mut found = BTreeSet::new();
        let mut open = vec![start];
        while let Some(slot) = open.pop() {
            for user in &self.used_by[slot as usize] {
                let best = self.holds[*user as usize].first();
                let on_it = best.is_some_and(|h| h.suffices() && h.key.owner == Some(slot));
                if on_it && *user != start && found.insert(*user) {
                    open.push(*user);
                }
            }
        }
        let ids = found.into_iter().filter_map(|s| self.at(s));
        let mut ids: Vec<PartId> = ids.map(|p| p.id.clone()).collect();
        ids.sort();
        ids
    }

    /// What carries this part by its best hold, what carries that, and so on.
    pub fn carriers(&self, id: &PartId) -> Vec<&PlacedPart> {
        let mut found: Vec<&PlacedPart> = Vec::new();
        let mut at = self.by_id.get(id).copied();
        while let Some(slot) = at {
            let best = self.holds[slot as usize].first();
            at = best.filter(|h| h.suffices()).and_then(|h| h.key.owner);
            match at.and_then(|s| self.at(s)) {
                Some(next) if next.id != *id && found.iter().all(|f| f.id != next.id) => {
                    found.push(next);
                }
                _ => break,
            }
        }
        found
    }

    /// Everything that hangs together with these parts, themselves included.
    pub(super) fn joined(&self, seeds: &[u32]) -> BTreeSet<u32> {
        let mut found: BTreeSet<u32> = seeds.iter().copied().collect();
        let mut open: Vec<u32> = seeds.to_vec();
        while let Some(slot) = open.pop() {
            for next in self.neighbours(slot) {
                if found.insert(next) {
                    open.push(next);
                }
            }
        }
        found
    }

    fn neighbours(&self, slot: u32) -> impl Iterator<Item = u32> + '_ {
        let carriers = self.holds[slot as usize].iter().filter_map(|h| h.key.owner);
        carriers.chain(self.used_by[slot as usize].iter().copied())
    }

    /// The zones of limited depth that a part, or anything it hangs together with,
    /// holds to.
    pub(crate) fn zones_below(&self, part: &PlacedPart) -> BTreeSet<ZoneKey> {
        let mut zones = BTreeSet::new();
        self.stacks(&self.joined(&[part.slot]), &mut zones);
        zones
    }

    /// Adds the zones with a limited depth that these parts hold to.
    pub(super) fn stacks(&self, slots: &BTreeSet<u32>, zones: &mut BTreeSet<ZoneKey>) {
        for slot in slots {
            let keys = self.holds[*slot as usize].iter().map(|h| h.key);
            zones.extend(keys.filter(|k| self.is_limited(*k)));
        }
    }

    fn is_limited(&self, key: ZoneKey) -> bool {
        self.zone_at(key).is_some_and(|z| z.depth > Length::ZERO)
    }

    /// Works out the support of these parts, which are whole groups of joined
    /// ones.
    pub(super) fn ground(&mut self, group: &BTreeSet<u32>) {
        let on_enclosure = |slot: &u32| {
            let mut holds = self.holds[*slot as usize].iter();
            holds.any(|h| h.suffices() && h.key.owner.is_none())
        };
        let held = self.spread(group.iter().copied().filter(|s| on_enclosure(s)), true);
        let adrift = group.iter().copied().filter(|s| !held.contains(s));
        let alone = |slot: &u32| {
            let mut holds = self.holds[*slot as usize].iter();
            !holds.any(|h| h.suffices())
        };
        let roots: Vec<u32> = adrift.clone().filter(alone).collect();
        let rests = self.spread(roots.iter().copied(), false);
        let mut now: BTreeMap<u32, Support> = BTreeMap::new();
        for slot in adrift {
            // Parts that hold one another in a ring have no root: all are loose.
            let leans = rests.contains(&slot) && !roots.contains(&slot);
            now.insert(
                slot,
                if leans {
                    Support::Rests
                } else {
                    Support::Loose
                },
            );
        }
        for slot in group {
            let new = now.get(slot).copied().unwrap_or(Support::Held);
            self.support[*slot as usize] = new;
        }
    }

    /// All parts that the given ones carry, and with `up` also those that hang on
    /// the screws of one of them.
    fn spread(&self, from: impl Iterator<Item = u32>, up: bool) -> BTreeSet<u32> {
        let mut found: BTreeSet<u32> = from.collect();
        let mut open: Vec<u32> = found.iter().copied().collect();
        while let Some(slot) = open.pop() {
            let carried = self.used_by[slot as usize].iter().copied().filter(|user| {
                let mut holds = self.holds[*user as usize].iter();
                holds.any(|h| h.suffices() && h.key.owner == Some(slot))
            });
            let hanging = self.holds[slot as usize]
                .iter()
                .filter(|h| up && h.suffices() && !h.seated)
                .filter_map(|h| h.key.owner);
            for next in carried.chain(hanging) {
                if found.insert(next) {
                    open.push(next);
                }
            }
        }
        found
    }

    /// What stands on a zone: the parts that hold to it and whatever is joined to
    /// them, as far as each stands over the zone's rectangle and reaches down to
    /// the ones below it. `None` where nothing does.
    pub(crate) fn stack(&self, key: ZoneKey) -> Option<Stack> {
        let zone = self.zone_at(key)?;
        let users = self.users.get(&key)?;
        let mut open: Vec<(Length, u32)> = Vec::new();
        let mut seen: BTreeSet<u32> = BTreeSet::new();
        let mut waiting: BTreeSet<(Length, u32)> = BTreeSet::new();
        let (mut height, mut complete) = (Length::ZERO, true);
        let visit = |slot: u32, seen: &mut BTreeSet<u32>, waiting: &mut BTreeSet<_>| {
            let Some(part) = self.at(slot) else { return };
            if Some(slot) != key.owner && over(zone, &part.outline) && seen.insert(slot) {
                waiting.insert((reach(zone, &part.outline).0, slot));
            }
        };
        for user in users {
            visit(*user, &mut seen, &mut waiting);
        }
        while let Some((low, slot)) = waiting.pop_first() {
            let part = self.at(slot)?;
            if low > height + FACE_PLAY {
                break;
            }
            if open.len() == MOST_STACKED {
                complete = false;
                break;
            }
            open.push((reach(zone, &part.outline).1, slot));
            height = height.max(reach(zone, &part.outline).1);
            for next in self.neighbours(slot) {
                visit(next, &mut seen, &mut waiting);
            }
        }
        let parts: Vec<_> = open
            .iter()
            .filter_map(|(h, s)| Some((*h, self.at(*s)?)))
            .collect();
        let (height, top) = parts
            .iter()
            .map(|(h, p)| (*h, &p.id))
            .max_by(|a, b| a.0.cmp(&b.0).then(b.1.cmp(a.1)))?;
        let bounds = Box3::around(parts.iter().map(|(_, p)| &p.outline))?;
        let mut ids: Vec<PartId> = parts.iter().map(|(_, p)| p.id.clone()).collect();
        ids.sort();
        Some(Stack {
            height,
            top: top.clone(),
            bounds,
            complete,
            parts: ids,
        })
    }
}

/// True where the outline stands over or behind the zone's rectangle.
pub(super) fn over(zone: &Zone, outline: &Box3) -> bool {
    let (a, b) = (
        zone.frame.coords(outline.min()),
        zone.frame.coords(outline.max()),
    );
    let meets = |p: Length, q: Length, size: Length| {
        p.max(q) > size.min(Length::ZERO) && p.min(q) < size.max(Length::ZERO)
    };
    meets(a.0, b.0, zone.size[0]) && meets(a.1, b.1, zone.size[1])
}

/// From where to where an outline reaches above the zone's face.
pub(super) fn reach(zone: &Zone, outline: &Box3) -> (Length, Length) {
    let (_, _, a) = zone.frame.coords(outline.min());
    let (_, _, b) = zone.frame.coords(outline.max());
    (a.min(b), a.max(b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, enclosure, fan, frame, pid, radiator, square, v, zone};

    /// Floor, fan, radiator, fan, one on the other.
    fn tower() -> Build {
        let mut case = enclosure([400.0; 3]);
        let face = frame(v(0.0, 0.0, 0.0), "+x", "+y", "+z");
        let mut floor = zone("floor", face, [400.0; 2], 90.0, &[]);
        floor.holes = square(105.0, [100.0, 100.0], 4.5, None);
        case.zones = vec![floor];
        let fan = fan(120.0, 105.0, 25.0);
        Build::new(case)
            .with("low", &fan, [40.0, 40.0, 0.0])
            .with("rad", &radiator(1, 27.0), [20.0, 40.0, 25.0])
            .with("top", &fan, [40.0, 40.0, 52.0])
    }

    fn ids(ids: &[&str]) -> Vec<PartId> {
        ids.iter().map(|id| pid(id)).collect()
    }

    #[test]
    fn what_stands_on_a_part_moves_along_and_what_is_screwed_to_the_floor_does_not() {
        let checker = tower().checked();
        let placed = checker.placed();
        assert_eq!(placed.carried(&pid("low")), ids(&["rad", "top"]));
        assert_eq!(placed.carried(&pid("rad")), ids(&["top"]));
        assert_eq!(placed.holds(&pid("low"))[0].zone.part, None);
        assert!(placed.holds_each_other(&pid("top"), &pid("rad")));
        assert!(!placed.holds_each_other(&pid("top"), &pid("low")));
    }

    #[test]
    fn a_stack_counts_what_stands_on_one_another_without_a_break() {
        let checker = tower().checked();
        let key = ZoneKey {
            owner: None,
            zone: 0,
        };
        let stack = checker.placed().stack(key).expect("it stands");
        assert_eq!(stack.parts, ids(&["low", "rad", "top"]));
        assert_eq!((stack.height, stack.top), (Length::mm(77), pid("top")));
        let apart = tower().moved("top", [0.0, 0.0, 1.0]).checked();
        let stack = apart.placed().stack(key).expect("it stands");
        assert_eq!(stack.height, Length::mm(52));
    }

    #[test]
    fn a_place_beside_all_is_no_support() {
        let checker = tower().beside("spare", &fan(120.0, 105.0, 25.0)).checked();
        let placed = checker.placed();
        assert_eq!(placed.support(&pid("top")), Some(Support::Held));
        assert_eq!(placed.support(&pid("spare")), None);
        assert_eq!(placed.carried(&pid("spare")), ids(&[]));
    }
}
