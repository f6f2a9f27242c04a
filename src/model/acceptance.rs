//! Findings that the user took as they were.

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

/// Why a finding was accepted, and how bad it was then.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Acceptance {
    /// The user's words.
    pub reason: String,
    /// How bad it was; `None` in files that did not keep it.
    pub severity: Option<Severity>,
    /// How far needed and available were apart; `None` where there were no figures.
    pub off: Option<Length>,
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
    pub fn covers(&self, severity: Severity, off: Option<Length>) -> bool {
        let milder = self.severity.is_none_or(|s| severity >= s);
        let nearer = match (self.off, off) {
            (Some(then), Some(now)) => now <= then,
            _ => true,
        };
        milder && nearer
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_got_worse_is_not_covered() {
        let mut accepted = Acceptance::of("measured");
        assert!(accepted.covers(Severity::Stop, Some(Length::mm(100))));
        accepted.severity = Some(Severity::Caution);
        accepted.off = Some(Length::mm(5));
        assert!(accepted.covers(Severity::Caution, Some(Length::mm(5))));
        assert!(accepted.covers(Severity::Remark, Some(Length::mm(1))));
        assert!(accepted.covers(Severity::Caution, None));
        assert!(!accepted.covers(Severity::Stop, Some(Length::mm(5))));
        assert!(!accepted.covers(Severity::Caution, Some(Length::um(5001))));
    }
}
