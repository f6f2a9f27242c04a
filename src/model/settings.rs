//! Figures that the rules judge by. They live in `assets/rules.json`.

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

    /// The largest gap that any class asks for: how far to look for neighbours.
    pub fn reach(&self) -> Length {
        self.pairs
            .iter()
            .map(|p| p.gap)
            .max()
            .unwrap_or(Length::ZERO)
    }
}
