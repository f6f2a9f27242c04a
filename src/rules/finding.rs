//! What a rule finds.

use crate::edit::Edit;
use crate::geom::{Box3, Dir, Length, Solid, Vec3};
pub use crate::model::Severity;
use crate::model::{Acceptance, Amount, CableId, Off, PartId, PortRef, Unit, ZoneRef};
use crate::placement::Chains;
use std::fmt;
use std::sync::Arc;

/// What a finding is about. Written as in keys: `board`, `plate:rear`,
/// `cable:c1`, `board:fan1`, `zone:front-fans`, `zone:board/slot-1`, `opening:io`.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Subject {
    /// A part.
    Part(PartId),
    /// A plate of the enclosure.
    Plate(String),
    /// A cable or hose.
    Cable(CableId),
    /// A port.
    Port(PortRef),
    /// A zone.
    Zone(ZoneRef),
    /// An opening of the enclosure, or the face of a part that misses one.
    Opening(String),
}

impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Subject::Part(id) => write!(f, "{id}"),
            Subject::Plate(id) => write!(f, "plate:{id}"),
            Subject::Cable(id) => write!(f, "cable:{id}"),
            Subject::Port(port) => write!(f, "{port}"),
            Subject::Zone(ZoneRef { part: None, zone }) => write!(f, "zone:{zone}"),
            Subject::Zone(ZoneRef {
                part: Some(part),
                zone,
            }) => write!(f, "zone:{part}/{zone}"),
            Subject::Opening(id) => write!(f, "opening:{id}"),
        }
    }
}

/// Something to draw at the place of a finding.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum FindingMark {
    /// Where solids meet: the box around it, to be hatched.
    Overlap(Box3),
    /// A distance, to be drawn as a dimension.
    Gap {
        /// From here.
        from: Vec3,
        /// To there.
        to: Vec3,
    },
    /// What two solids share, where one of them is no box.
    Shared {
        /// The box that both bounds share.
        region: Box3,
        /// The solids.
        solids: Arc<[Solid; 2]>,
    },
    /// An empty hole, to be drawn as a ring.
    Ring {
        /// Its middle.
        at: Vec3,
        /// Out of the part's face.
        normal: Dir,
        /// Its diameter; zero for a seat.
        diameter: Length,
    },
    /// The piece that a cable lacks at the end of a stretch; of a hose that is long enough
    /// and does not lie, nothing.
    Missing {
        /// The cable.
        cable: CableId,
        /// Which stretch of its run.
        stretch: usize,
        /// How much of what it needs is not there.
        length: Length,
    },
}

/// One thing that a rule found.
#[derive(Clone, PartialEq, Debug)]
pub struct Finding {
    /// The rule's id.
    pub rule: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// What it is about.
    pub subjects: Vec<Subject>,
    /// The figure needed.
    pub needed: Option<Length>,
    /// The figure available. For an overlap the gap is negative.
    pub available: Option<Length>,
    /// Needed or allowed, and available or found, where they are no lengths.
    pub amounts: Option<[Amount; 2]>,
    /// Where.
    pub place: Option<Box3>,
    /// What to draw there.
    pub marks: Vec<FindingMark>,
    /// One sentence with the figures.
    pub text: String,
    /// What to do.
    pub hint: String,
    /// Edits that end it, as one step.
    pub fix: Option<Vec<Edit>>,
    /// The dimensions that add up to the gap it is about, where a tolerance decides.
    pub chain: Option<Arc<Chains>>,
    /// True where the rule could not judge; the sentence says why.
    pub unjudged: bool,
    key: Arc<str>,
}

impl Finding {
    /// Its text as a sentence of its own: with a capital, as names may start small.
    pub fn sentence(&self) -> String {
        let mut rest = self.text.chars();
        match rest.next() {
            Some(first) => first.to_uppercase().chain(rest).collect(),
            None => String::new(),
        }
    }

    /// How far needed and available are apart; `None` without both.
    pub fn off(&self) -> Option<Off> {
        if let Some([a, b]) = self.amounts {
            return Some(Off::Amount(Amount {
                unit: a.unit,
                thousandths: a.thousandths.saturating_sub(b.thousandths).saturating_abs(),
            }));
        }
        Some(Off::Length((self.needed? - self.available?).abs()))
    }

    /// Needed and available with their units, for lists: '900.0 g' and '1050.0 g'.
    pub fn amounts_text(&self) -> Option<[String; 2]> {
        self.amounts.map(|both| both.map(Amount::text1))
    }

    /// An acceptance of the finding as bad as it is now.
    pub fn accepted(&self, reason: &str) -> Acceptance {
        Acceptance {
            reason: reason.to_owned(),
            severity: Some(self.severity),
            off: self.off(),
        }
    }

    /// A finding with its sentence; the rest is filled in by the methods below.
    pub fn new(
        rule: &'static str,
        severity: Severity,
        subjects: Vec<Subject>,
        text: String,
    ) -> Finding {
        let mut names: Vec<String> = subjects.iter().map(Subject::to_string).collect();
        names.sort();
        let key = match names.as_slice() {
            [] => rule.to_owned(),
            names => format!("{rule}:{}", names.join("+")),
        };
        Finding {
            rule,
            severity,
            subjects,
            needed: None,
            available: None,
            amounts: None,
            place: None,
            marks: Vec::new(),
            text,
            hint: String::new(),
            fix: None,
            chain: None,
            unjudged: false,
            key: key.into(),
        }
    }

    /// Something the rule could not judge: a remark that says why.
    pub fn unjudged(rule: &'static str, subjects: Vec<Subject>, text: String) -> Finding {
        Finding {
            unjudged: true,
            ..Finding::new(rule, Severity::Remark, subjects, text)
        }
    }

    /// With needed and available figures.
    pub fn figures(mut self, needed: Length, available: Length) -> Finding {
        (self.needed, self.available) = (Some(needed), Some(available));
        self
    }

    /// With needed and available figures that are no lengths.
    pub fn amounts(mut self, unit: Unit, needed: f64, available: f64) -> Finding {
        self.amounts = Some([needed, available].map(|value| Amount::new(unit, value)));
        self
    }

    /// With its place.
    pub fn at(mut self, place: Box3) -> Finding {
        self.place = Some(place);
        self
    }

    /// With a mark.
    pub fn mark(mut self, mark: FindingMark) -> Finding {
        self.marks.push(mark);
        self
    }

    /// With the chain of dimensions behind it.
    pub fn chain(mut self, chain: Chains) -> Finding {
        self.chain = Some(Arc::new(chain));
        self
    }

    /// With a hint.
    pub fn hint(mut self, hint: impl Into<String>) -> Finding {
        self.hint = hint.into();
        self
    }

    /// True where leading a cable another way may end it: it runs through something, or bends
    /// more tightly than it may.
    pub fn wants_way(&self) -> bool {
        let length = |m: &FindingMark| matches!(m, FindingMark::Missing { .. });
        let bend = self.rule == "cable-short" && !self.marks.iter().any(length);
        (self.rule == "way-blocked" || bend) && !self.unjudged
    }

    /// The stable key by which it can be accepted: rule id and sorted subjects,
    /// for instance `clash:board+gpu`.
    pub fn key(&self) -> String {
        self.key.to_string()
    }

    /// The same without a copy.
    pub fn key_str(&self) -> &str {
        &self.key
    }

    pub(super) fn shared_key(&self) -> Arc<str> {
        self.key.clone()
    }

    /// True where the finding is about this part, itself or by one of its ports
    /// or zones.
    pub fn concerns(&self, part: &PartId) -> bool {
        self.subjects.iter().any(|s| match s {
            Subject::Part(id) => id == part,
            Subject::Port(port) => port.part == *part,
            Subject::Zone(zone) => zone.part.as_ref() == Some(part),
            Subject::Plate(_) | Subject::Cable(_) | Subject::Opening(_) => false,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_key_does_not_depend_on_the_order_of_subjects() {
        let id = |s| Subject::Part(PartId::new(s).expect("sound"));
        let key = |subjects| Finding::new("clash", Severity::Stop, subjects, String::new()).key();
        assert_eq!(key(vec![id("gpu"), id("board")]), "clash:board+gpu");
        assert_eq!(key(vec![id("board"), id("gpu")]), "clash:board+gpu");
    }

    #[test]
    fn worst_comes_first() {
        assert!(Severity::Stop < Severity::Caution && Severity::Caution < Severity::Remark);
    }
}
