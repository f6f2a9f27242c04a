//! Findings that the user took as they were.

use super::kind::words;
use crate::geom::Length;

/// How bad a finding is, worst first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Severity {
    /// It cannot be built like this.
    Stop,
    /// It can be built, and should be looked at.
    Caution,
    /// Worth knowing.
    Remark,
}

impl Severity {
    /// All, worst first.
    pub const ALL: [Severity; 3] = [Severity::Stop, Severity::Caution, Severity::Remark];

    /// The word in files and in the window.
    pub const fn name(self) -> &'static str {
        match self {
            Severity::Stop => "stop",
            Severity::Caution => "caution",
            Severity::Remark => "remark",
        }
    }
}

words!(
    /// What a figure that is no length counts in.
    Unit {
        /// Mass.
        Gram = "g", "g";
        /// Power.
        Watt = "w", "W";
        /// Angle.
        Degree = "deg", "°";
        /// Area.
        SquareMm = "mm2", "mm²";
    }
);

/// A figure that is no length, in whole thousandths of its unit, so that it can be
/// compared exactly and comes back from a file as it was.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Amount {
    /// What it counts in.
    pub unit: Unit,
    /// How many thousandths of that.
    pub thousandths: i64,
}

impl Amount {
    /// To the nearest thousandth; what is not a number is nothing.
    pub fn new(unit: Unit, value: f64) -> Amount {
        Amount {
            unit,
            thousandths: (value * 1000.0).round() as i64,
        }
    }

    /// In its unit.
    pub fn value(self) -> f64 {
        self.thousandths as f64 / 1000.0
    }

    /// With one decimal and its unit: '901.0 g'.
    pub fn text1(self) -> String {
        let space = if self.unit == Unit::Degree { "" } else { " " };
        format!("{:.1}{space}{}", self.value(), self.unit.words())
    }
}

/// How far what is needed and what is available were apart.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Off {
    /// A length.
    Length(Length),
    /// Anything else.
    Amount(Amount),
}

impl Off {
    /// True where this is at most as much as the other; figures of two kinds cannot
    /// be compared and are not.
    fn within(self, most: Off) -> bool {
        match (self, most) {
            (Off::Length(now), Off::Length(then)) => now <= then,
            (Off::Amount(now), Off::Amount(then)) => {
                now.unit == then.unit && now.thousandths <= then.thousandths
            }
            _ => false,
        }
    }
}

/// Why a finding was accepted, and how bad it was then.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Acceptance {
    /// The user's words.
    pub reason: String,
    /// How bad it was; `None` in files that did not keep it.
    pub severity: Option<Severity>,
    /// How far needed and available were apart; `None` where there were no figures.
    pub off: Option<Off>,
}

impl Acceptance {
    /// A reason alone: it holds however bad the finding becomes.
    pub fn of(reason: &str) -> Acceptance {
        Acceptance {
            reason: reason.to_owned(),
            severity: None,
            off: None,
        }
    }

    /// True while the finding is no worse than what was accepted.
    pub fn covers(&self, severity: Severity, off: Option<Off>) -> bool {
        let milder = self.severity.is_none_or(|s| severity >= s);
        let nearer = match (self.off, off) {
            (Some(then), Some(now)) => now.within(then),
            // It was accepted without figures, because it was not judged, say.
            (None, Some(_)) => self.severity.is_none(),
            (_, None) => true,
        };
        milder && nearer
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(um: i64) -> Option<Off> {
        Some(Off::Length(Length::um(um)))
    }

    #[test]
    fn what_got_worse_is_not_covered() {
        let mut accepted = Acceptance::of("measured");
        assert!(accepted.covers(Severity::Stop, mm(100_000)));
        accepted.severity = Some(Severity::Caution);
        accepted.off = mm(5000);
        assert!(accepted.covers(Severity::Caution, mm(5000)));
        assert!(accepted.covers(Severity::Remark, mm(1000)));
        assert!(accepted.covers(Severity::Caution, None));
        assert!(!accepted.covers(Severity::Stop, mm(5000)));
        assert!(!accepted.covers(Severity::Caution, mm(5001)));
        accepted.off = None;
        assert!(accepted.covers(Severity::Caution, None));
        assert!(!accepted.covers(Severity::Caution, mm(1)));
    }

    #[test]
    fn grams_are_compared_with_grams_and_with_nothing_else() {
        let by = |unit, value| Some(Off::Amount(Amount::new(unit, value)));
        let mut accepted = Acceptance::of("propped up");
        accepted.severity = Some(Severity::Caution);
        accepted.off = by(Unit::Gram, 150.0);
        assert!(accepted.covers(Severity::Caution, by(Unit::Gram, 150.0)));
        assert!(!accepted.covers(Severity::Caution, by(Unit::Gram, 150.001)));
        assert!(!accepted.covers(Severity::Caution, by(Unit::Watt, 1.0)));
        assert!(!accepted.covers(Severity::Caution, mm(1)));
        assert_eq!(Amount::new(Unit::Gram, 900.5).text1(), "900.5 g");
    }
}
