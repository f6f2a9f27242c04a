//! Figures that the rules judge by. They live in `assets/rules.json`.

use super::cable::{Cable, System};
use super::kind::Group;
use crate::geom::Length;

/// The least gap wanted between two groups of parts, with its reason.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PairClass {
    /// One side; `None` stands for any group.
    pub a: Option<Group>,
    /// The other side; `None` stands for any group, or for the enclosure where
    /// `wall` is set.
    pub b: Option<Group>,
    /// True where the other side is a plate of the enclosure.
    pub wall: bool,
    /// The least gap.
    pub gap: Length,
    /// Why, in words for the finding.
    pub reason: String,
}

/// How far a dimension without a figure of its own may be off, by its size.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Step {
    /// For dimensions up to this, itself included, and above the step before.
    pub to: Length,
    /// Longer or shorter by at most this.
    pub by: Length,
}

/// Limits of the standing orders of the trade. `None` means that no limit is set:
/// the rule then says that it could not judge.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Limits {
    /// Largest share of its free area that a fan may lose to what stands before
    /// it, in percent.
    pub fan_loss_percent: Option<i64>,
    /// Heaviest card that hangs on its slot and bracket alone, in grams.
    pub card_mass_g: Option<i64>,
    /// Heaviest cooler that travels mounted, in grams.
    pub cooler_mass_g: Option<i64>,
    /// Least distance from where warm air leaves to where air is drawn in.
    pub exhaust_reach: Option<Length>,
    /// Height of a plain memory module over the face of its socket.
    pub memory_height: Option<Length>,
    /// How long a piece of a cable may hang free, where the cable says nothing of its own.
    pub free_span: Option<Length>,
    /// How far a part on slots may be off, along them, where it is meant to be set. `None`:
    /// it is taken to be set exactly.
    pub slot_set: Option<Length>,
}

/// Figures that the rules judge by.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Settings {
    /// Pair classes, the more special first: the first match decides.
    pub pairs: Vec<PairClass>,
    /// Largest mismatch between an outlet and its opening along the wall.
    pub opening_play: Length,
    /// Largest distance of an outlet's face from the wall's inner face.
    pub opening_depth: Length,
    /// Share of a cable's needed length to keep for service, in percent.
    pub service_percent: i64,
    /// General tolerances, smallest dimensions first. Empty where none are known.
    pub general: Vec<Step>,
    /// Limits of the standing orders.
    pub limits: Limits,
}

impl Settings {
    /// The class of a pair of parts, order does not matter.
    pub fn pair(&self, a: Group, b: Group) -> Option<&PairClass> {
        let fits = |x: Option<Group>, g: Group| x.is_none_or(|x| x == g);
        self.pairs
            .iter()
            .find(|p| !p.wall && ((fits(p.a, a) && fits(p.b, b)) || (fits(p.a, b) && fits(p.b, a))))
    }

    /// The class of a part against a plate of the enclosure.
    pub fn wall(&self, a: Group) -> Option<&PairClass> {
        self.pairs
            .iter()
            .find(|p| p.wall && p.a.is_none_or(|x| x == a))
    }

    /// What a way needs with the share for service, rounded up to the micrometre.
    pub fn with_service(&self, needed: Length) -> Length {
        let share = needed.as_um().saturating_mul(self.service_percent.max(0));
        needed + Length::um(share.div_euclid(100) + i64::from(share.rem_euclid(100) > 0))
    }

    /// How long a piece of a cable may hang free; `None` where nobody says, and for hoses,
    /// which carry themselves.
    pub fn may_hang(&self, cable: &Cable) -> Option<Length> {
        match cable.system {
            System::Liquid => None,
            _ => cable.hangs.or(self.limits.free_span),
        }
    }

    /// How far a dimension of this size may be off where it has no figure of its
    /// own; `None` beyond the table.
    pub fn general(&self, size: Length) -> Option<Length> {
        let size = size.abs();
        self.general.iter().find(|s| size <= s.to).map(|s| s.by)
    }

    /// The largest gap that any class asks for: how far to look for neighbours.
    pub fn reach(&self) -> Length {
        self.pairs
            .iter()
            .map(|p| p.gap)
            .max()
            .unwrap_or(Length::ZERO)
    }
}
