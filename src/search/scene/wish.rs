//! What a search is asked for: which parts may move, where, what must hold, what counts.

use crate::geom::{Length, Turn};
use crate::model::{PartId, PartKind, Place, Scene, ZoneRef};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Something that counts when arrangements are compared.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Aim {
    /// Needed length of cables and hoses with an end that may move, as they are led.
    CableLength,
    /// Findings of severity caution that places decide on; of cables that run through
    /// something one each.
    Cautions,
    /// The smallest gap around what may move, up to [`WIDE_GAP`].
    MovableGap,
    /// Parts that do not stay where they are.
    PartsMoved,
}

/// A gap this wide is as good as any wider one.
pub const WIDE_GAP: Length = Length::mm(10);

/// The largest weight.
pub const MOST_WEIGHT: u32 = 100;

impl Aim {
    /// All, in the order of the panel.
    pub const ALL: [Aim; 4] = [
        Aim::CableLength,
        Aim::Cautions,
        Aim::MovableGap,
        Aim::PartsMoved,
    ];

    /// The word on the command line.
    pub const fn name(self) -> &'static str {
        match self {
            Aim::CableLength => "cable-length",
            Aim::Cautions => "cautions",
            Aim::MovableGap => "movable-gap",
            Aim::PartsMoved => "parts-moved",
        }
    }

    /// The words in the window.
    pub const fn words(self) -> &'static str {
        match self {
            Aim::CableLength => "cable length",
            Aim::Cautions => "cautions",
            Aim::MovableGap => "gap of movable parts",
            Aim::PartsMoved => "parts moved",
        }
    }

    /// What a weight of one means.
    pub const fn about(self) -> &'static str {
        match self {
            Aim::CableLength => {
                "points for each 10 mm that the cables and hoses of parts that may move need together, as they are led"
            }
            Aim::Cautions => {
                "points for each caution that the places of parts decide on, and for each cable without a free way"
            }
            Aim::MovableGap => {
                "points for each millimetre that the smallest gap around a part that may move is under 10 mm; what touches without a screw has none. The comparison's 'smallest gap' is another figure: it looks at all parts, and not at those that touch"
            }
            Aim::PartsMoved => "points for each part that does not stay where it is",
        }
    }

    /// The weight without a wish of the user's.
    pub const fn usual(self) -> u32 {
        match self {
            Aim::CableLength => 1,
            Aim::Cautions => 20,
            Aim::MovableGap => 2,
            Aim::PartsMoved => 2,
        }
    }
}

/// How much each aim counts: 0 for not at all, at most [`MOST_WEIGHT`].
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Weights(BTreeMap<Aim, u32>);

impl Default for Weights {
    fn default() -> Weights {
        Weights(Aim::ALL.into_iter().map(|a| (a, a.usual())).collect())
    }
}

impl Weights {
    /// Nothing counts: any arrangement without a stop is as good as another.
    pub fn none() -> Weights {
        Weights(BTreeMap::new())
    }

    /// The weight of an aim.
    pub fn of(&self, aim: Aim) -> u32 {
        self.0.get(&aim).copied().unwrap_or(0)
    }

    /// Sets it; what is above the largest counts as the largest.
    pub fn set(&mut self, aim: Aim, weight: u32) {
        self.0.insert(aim, weight.min(MOST_WEIGHT));
    }

    /// With a weight set.
    pub fn with(mut self, aim: Aim, weight: u32) -> Weights {
        self.set(aim, weight);
        self
    }
}

/// What a search is asked for.
#[derive(Clone, PartialEq, Debug)]
pub struct Wish {
    /// Parts that may move. All others stay, and so does a locked one that is named here.
    pub movable: BTreeSet<PartId>,
    /// Kinds that may be taken for a part; without an entry its own only.
    pub kinds: BTreeMap<PartId, Vec<Arc<PartKind>>>,
    /// Points for each of those kinds, in the same order; none where shorter.
    pub kind_points: BTreeMap<PartId, Vec<u64>>,
    /// Zones that a part may take; without an entry all whose holes fit.
    pub zones: BTreeMap<PartId, BTreeSet<ZoneRef>>,
    /// Turns that a part may take; without an entry all whose holes fit.
    pub turns: BTreeMap<PartId, BTreeSet<Turn>>,
    /// Fans go on blowing the way they do.
    pub keep_air: bool,
    /// A cable may be taken in the longest length that its kind comes in.
    pub longer_cables: bool,
    /// Of places that count alike the nearer one is taken: up to one point a part, 0.01 for
    /// each millimetre that it moves.
    pub gently: bool,
    /// No two parts, of which one may move, come closer than this, unless they hold each other.
    pub gap: Option<Length>,
    /// What counts.
    pub weights: Weights,
    /// So many arrangements are looked for.
    pub top: usize,
    /// In so many parts each has to differ from every other one; fewer where no more can.
    pub differ: usize,
    /// Another number tries places in another order, and so shows other arrangements of
    /// equal worth.
    pub seed: u64,
}

impl Wish {
    /// The usual wish for a scene: whatever is not locked may move, and the weights are the
    /// usual ones.
    pub fn of(scene: &Scene) -> Wish {
        let locked = |id: &PartId| scene.placed(id).is_some_and(|(_, p)| p.locked);
        let movable = scene.parts.keys().filter(|id| !locked(id));
        Wish {
            movable: movable.cloned().collect(),
            kinds: BTreeMap::new(),
            kind_points: BTreeMap::new(),
            zones: BTreeMap::new(),
            turns: BTreeMap::new(),
            keep_air: true,
            longer_cables: false,
            gently: false,
            gap: None,
            weights: Weights::default(),
            top: 5,
            differ: 2,
            seed: 0,
        }
    }

    /// The same with these parts movable only.
    pub fn only(mut self, parts: impl IntoIterator<Item = PartId>) -> Wish {
        self.movable = parts.into_iter().collect();
        self
    }

    /// Parts of the scene that may move, in the order of their ids.
    pub(super) fn moving<'a>(&self, scene: &'a Scene) -> Vec<&'a PartId> {
        let locked = |id: &PartId| scene.placed(id).is_some_and(|(_, p)| p.locked);
        let ids = scene.parts.keys();
        ids.filter(|id| self.movable.contains(*id) && !locked(id))
            .collect()
    }

    /// Kinds that a part may be of; its own where nothing else is said.
    pub(super) fn kinds_of(&self, scene: &Scene, id: &PartId) -> Vec<Arc<PartKind>> {
        match (self.kinds.get(id), scene.parts.get(id)) {
            (Some(kinds), _) => kinds.clone(),
            (None, Some(part)) => vec![part.kind.clone()],
            (None, None) => Vec::new(),
        }
    }

    /// Whether a part may stand in a zone, turned like this.
    pub(super) fn admits(
        &self,
        id: &PartId,
        zone: Option<&ZoneRef>,
        kind: &PartKind,
        place: &Place,
        now: Option<(&PartKind, &Place)>,
    ) -> bool {
        let turn_ok = self.turns.get(id).is_none_or(|t| t.contains(&place.turn));
        let zone_ok = match (self.zones.get(id), zone) {
            (Some(zones), Some(zone)) => zones.contains(zone),
            (Some(_), None) => false,
            (None, _) => true,
        };
        let air = |k: &PartKind, p: &Place| k.blows.map(|d| p.turn.dir(d));
        let air_ok = !self.keep_air
            || now.is_none_or(|(k, p)| air(k, p).is_none() || air(k, p) == air(kind, place));
        turn_ok && zone_ok && air_ok
    }
}
