//! Where each movable part could stand: all places on whose holes its own lie.

use super::pair::too_high;
use super::unary::Unary;
use super::wish::Wish;
use crate::geom::{Turn, Vec3};
use crate::model::{KindId, Part, PartId, PartKind, Pattern, Place, Scene, Zone, ZoneRef};
use crate::placement::{Lay, Placed, PlacedPart, lays};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Most places looked at for one part, where few parts move.
pub(super) const MOST_SPOTS: usize = 4000;
/// Parts stand on parts on parts to this height.
const MOST_LEVELS: u8 = 4;

/// What holds a part at a place.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Via {
    /// The enclosure, or a part that does not move.
    Ground,
    /// Another movable part, by its number.
    On(usize),
    /// Nothing that is known: the place where it stands now.
    Free,
}

/// A place of a movable part.
pub(super) struct Spot {
    pub(super) kind: usize,
    pub(super) part: Arc<PlacedPart>,
    pub(super) zone: Option<ZoneRef>,
    pub(super) via: Via,
    /// A part stands on one of the level below.
    pub(super) level: u8,
    pub(super) unary: Unary,
}

impl Spot {
    pub(super) fn place(&self) -> &Place {
        &self.part.place
    }
}

/// A movable part and its places.
pub(super) struct Mover {
    pub(super) id: PartId,
    pub(super) kinds: Vec<Arc<PartKind>>,
    pub(super) now: Option<Place>,
    pub(super) spots: Vec<Spot>,
    /// Why it cannot stand where it came nearest to it, by what would hold it there.
    pub(super) refusals: BTreeMap<Via, No>,
    /// Places that were not looked at, for there were too many; what stands on a part there is
    /// not counted.
    pub(super) left_out: usize,
    seen: BTreeSet<(usize, Vec3, Turn, Via, u8)>,
}

impl Mover {
    /// Leaves out places above this number; the one where the part stands is kept.
    pub(super) fn cut(&mut self, limit: usize) {
        if self.spots.len() <= limit {
            return;
        }
        self.left_out += self.spots.len() - limit;
        let now = self.now;
        let stays =
            |s: &Spot| now.is_some_and(|n| n.at == s.place().at && n.turn == s.place().turn);
        self.spots.sort_by_key(|s| !stays(s));
        self.spots.truncate(limit);
    }

    /// The nearest of all refusals.
    pub(super) fn refusal(&self) -> Option<&str> {
        let nearest = self.refusals.values().min_by_key(|no| no.rank());
        nearest.map(|no| no.text.as_str())
    }
}

/// What says no to a place: a sentence, and by how many micrometres it is missed.
pub(super) struct No {
    /// A depth that does not suffice, or a part that is in the way, says more than how far a
    /// solid stands in a thin plate.
    pub(super) telling: bool,
    pub(super) text: String,
    pub(super) short: i64,
}

impl No {
    /// The smaller, the better it says what is missing.
    pub(super) fn rank(&self) -> (bool, i64) {
        (!self.telling, self.short)
    }
}

/// Says what a place costs or why it is none.
pub(super) type Judge<'a> = dyn FnMut(&PlacedPart, Option<&Zone>) -> Result<Unary, No> + 'a;

/// A kind on a zone of a part of some kind and turn.
pub(super) type OnKind = (KindId, KindId, usize, Turn);

/// Finds the places. Says of each, by `judge`, what it costs or why it is none.
pub(super) struct Finder<'a> {
    pub(super) scene: &'a Scene,
    pub(super) wish: &'a Wish,
    /// What does not move.
    pub(super) fixed: &'a Placed,
    pub(super) judge: &'a mut Judge<'a>,
    pub(super) stop: &'a dyn Fn() -> bool,
    /// Most places looked at for one part, besides the one where it stands.
    pub(super) most: usize,
    /// Places of a kind on a zone of a part of some kind and turn, with where that part stood.
    pub(super) known: BTreeMap<OnKind, (Vec3, Vec<Lay>)>,
}

/// Something that parts can be put on.
struct Carrier<'a> {
    via: Via,
    part: Option<&'a PlacedPart>,
    zones: &'a [Zone],
    level: u8,
    /// The zone that it stands on itself, where that is known.
    under: Option<&'a Zone>,
}

impl Finder<'_> {
    pub(super) fn find(&mut self, parts: &[PartId]) -> Vec<Mover> {
        let mut movers: Vec<Mover> = parts.iter().map(|id| self.mover(id)).collect();
        let ground = Carrier {
            via: Via::Ground,
            part: None,
            zones: &self.fixed.enclosure().zones.clone(),
            level: 0,
            under: None,
        };
        let fixed: Vec<Carrier> = self
            .fixed
            .parts()
            .map(|p| carrier(p, Via::Ground, 0))
            .collect();
        for mover in &mut movers {
            for c in std::iter::once(&ground).chain(&fixed) {
                self.put(mover, c);
            }
        }
        for level in 1..MOST_LEVELS {
            for b in 0..movers.len() {
                let below: Vec<(Arc<PlacedPart>, Option<ZoneRef>)> = movers[b]
                    .spots
                    .iter()
                    .filter(|s| s.level == level - 1 && s.via != Via::Free)
                    .map(|s| (s.part.clone(), s.zone.clone()))
                    .collect();
                let fixed = self.fixed;
                for (part, zone) in distinct(below) {
                    if (self.stop)() {
                        return movers;
                    }
                    let c = Carrier {
                        under: zone.as_ref().and_then(|z| fixed.zone(z)),
                        ..carrier(&part, Via::On(b), level)
                    };
                    for (_, mover) in movers.iter_mut().enumerate().filter(|(a, _)| *a != b) {
                        self.put(mover, &c);
                    }
                }
            }
        }
        for mover in &mut movers {
            self.stay(mover);
        }
        movers
    }

    fn mover(&self, id: &PartId) -> Mover {
        Mover {
            id: id.clone(),
            kinds: self.wish.kinds_of(self.scene, id),
            now: self.scene.placed(id).map(|(_, p)| *p),
            spots: Vec::new(),
            refusals: BTreeMap::new(),
            left_out: 0,
            seen: BTreeSet::new(),
        }
    }

    /// All places of a part on a carrier.
    fn put(&mut self, mover: &mut Mover, on: &Carrier) {
        for k in 0..mover.kinds.len() {
            let kind = mover.kinds[k].clone();
            for (z, zone) in on.zones.iter().enumerate() {
                if !zone.takes.is_empty() && !zone.takes.contains(&kind.group) {
                    continue;
                }
                let of = ZoneRef {
                    part: on.part.map(|p| p.id.clone()),
                    zone: zone.id.clone(),
                };
                for lay in self.lays(&kind, zone, on.part, z) {
                    self.take(mover, k, lay.place, Some((&of, zone)), on);
                }
            }
            let Some(part) = on.part else { continue };
            for zone in &kind.zones {
                if !zone.takes.is_empty() && !zone.takes.contains(&part.group) {
                    continue;
                }
                for lay in lays(&part.kind, zone) {
                    if let Some(place) = hung(&kind, part, &lay, zone) {
                        self.take(mover, k, place, None, on);
                    }
                }
            }
        }
    }

    /// The places of a kind on a zone; those on parts of one kind and turn are worked out once.
    fn lays(
        &mut self,
        kind: &PartKind,
        zone: &Zone,
        of: Option<&PlacedPart>,
        z: usize,
    ) -> Vec<Lay> {
        let Some(part) = of else {
            return lays(kind, zone);
        };
        let key = (kind.id.clone(), part.kind.id.clone(), z, part.place.turn);
        let fresh = || (part.place.at, lays(kind, zone));
        let (at, known) = self.known.entry(key).or_insert_with(fresh);
        let by = part.place.at - *at;
        let moved = known.iter().cloned().map(|mut lay| {
            lay.place.at += by;
            lay
        });
        moved.collect()
    }

    /// The place where it stands now, if it was not found already.
    fn stay(&mut self, mover: &mut Mover) {
        let Some(now) = mover.now else { return };
        let Some(own) = self.scene.parts.get(&mover.id) else {
            return;
        };
        let Some(k) = mover.kinds.iter().position(|k| k.id == own.kind.id) else {
            return;
        };
        let known = |s: &Spot| s.kind == k && s.place().at == now.at && s.place().turn == now.turn;
        if mover.spots.iter().any(known) || self.wish.zones.contains_key(&mover.id) {
            return;
        }
        let free = Carrier {
            via: Via::Free,
            part: None,
            zones: &[],
            level: 0,
            under: None,
        };
        self.take(mover, k, now, None, &free);
    }

    fn take(
        &mut self,
        mover: &mut Mover,
        k: usize,
        place: Place,
        zone: Option<(&ZoneRef, &Zone)>,
        on: &Carrier,
    ) {
        let kind = mover.kinds[k].clone();
        let now = mover.now.as_ref();
        let own = self.scene.parts.get(&mover.id);
        let was = own.and_then(|p| Some((p.kind.as_ref(), now?)));
        let key = (k, place.at, place.turn, on.via, on.level);
        let grounded = (k, place.at, place.turn, Via::Ground, 0);
        if mover.seen.contains(&grounded) || !mover.seen.insert(key) {
            return;
        }
        if !self
            .wish
            .admits(&mover.id, zone.map(|z| z.0), &kind, &place, was)
        {
            return;
        }
        let stays = now.is_some_and(|n| n.at == place.at && n.turn == place.turn);
        if mover.spots.len() >= self.most && !stays {
            mover.left_out += 1;
            return;
        }
        let place = Place {
            locked: false,
            hidden: now.is_some_and(|p| p.hidden),
            ..place
        };
        let part = Part {
            name: own.map_or_else(|| kind.name.clone(), |p| named(p, &kind)),
            kind,
        };
        let part = PlacedPart::new(&mover.id, &part, &place);
        let high = on.part.and_then(|lower| too_high(&part, lower, on.under));
        let judged = match high {
            Some((short, text)) => Err(No {
                telling: true,
                text,
                short: short.as_um(),
            }),
            None => (self.judge)(&part, zone.map(|z| z.1)),
        };
        match judged {
            Ok(unary) => mover.spots.push(Spot {
                kind: k,
                part: Arc::new(part),
                zone: zone.map(|z| z.0.clone()),
                via: on.via,
                level: on.level,
                unary,
            }),
            Err(no) => {
                let known = mover.refusals.get(&on.via);
                if known.is_none_or(|k| no.rank() < k.rank()) {
                    mover.refusals.insert(on.via, no);
                }
            }
        }
    }
}

/// The name of a part, should it be of another kind.
fn named(part: &Part, kind: &PartKind) -> String {
    match part.kind.id == kind.id || part.name != part.kind.name {
        true => part.name.clone(),
        false => kind.name.clone(),
    }
}

fn carrier(part: &PlacedPart, via: Via, level: u8) -> Carrier<'_> {
    Carrier {
        via,
        part: Some(part),
        zones: &part.zones,
        level,
        under: None,
    }
}

/// One of each kind and place.
fn distinct<T>(parts: Vec<(Arc<PlacedPart>, T)>) -> Vec<(Arc<PlacedPart>, T)> {
    let mut seen = BTreeSet::new();
    let mut kept = Vec::new();
    for (p, more) in parts {
        if seen.insert((p.kind.id.clone(), p.place.at, p.place.turn)) {
            kept.push((p, more));
        }
    }
    kept
}

/// Where a part of this kind hangs on `carrier`, which lies on its zone as `lay` says, in
/// the frame of the kind.
fn hung(kind: &PartKind, carrier: &PlacedPart, lay: &Lay, zone: &Zone) -> Option<Place> {
    let pattern: &Pattern = carrier.kind.patterns.iter().find(|p| p.id == lay.pattern)?;
    // A seat holds what sits in it, not what it sits in.
    if !pattern
        .holes
        .iter()
        .any(|h| h.diameter > crate::geom::Length::ZERO)
        || zone.holes.is_empty()
    {
        return None;
    }
    let turn = lay.place.turn.inverse().then(carrier.place.turn);
    let by = carrier.place.shift(&carrier.kind) - turn.apply(lay.place.shift(&carrier.kind));
    Some(Place {
        at: kind.outline().turned(turn).moved(by).min(),
        turn,
        ..Place::default()
    })
}

/// Movable parts that can stand in for one another: of one kind, without cables, with
/// nothing on them, and wished for alike. Each with the numbers of its members.
pub(super) fn twins(scene: &Scene, wish: &Wish, parts: &[PartId]) -> Vec<Vec<usize>> {
    let mut groups: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    let cabled: BTreeSet<&PartId> = scene
        .arrangement()
        .cables
        .values()
        .flat_map(|c| c.ports().map(|p| &p.part))
        .collect();
    for (i, id) in parts.iter().enumerate() {
        let Some(part) = scene.parts.get(id) else {
            continue;
        };
        let plain = part.kind.zones.is_empty()
            && part.kind.blows.is_none()
            && !cabled.contains(id)
            && !wish.kinds.contains_key(id)
            && !wish.zones.contains_key(id)
            && !wish.turns.contains_key(id);
        if plain {
            groups.entry(part.kind.id.to_string()).or_default().push(i);
        }
    }
    groups.into_values().filter(|g| g.len() > 1).collect()
}
