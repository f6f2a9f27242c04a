//! Which spaces of two parts may not be in one place, and how bad it is.

use super::Severity;
use crate::model::Space;

/// What it means where two spaces of different parts meet.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Meeting {
    /// One space.
    pub a: Space,
    /// The other.
    pub b: Space,
    /// How bad it is; `None` where it is no matter.
    pub severity: Option<Severity>,
    /// Why.
    pub reason: &'static str,
}

const fn row(a: Space, b: Space, severity: Option<Severity>, reason: &'static str) -> Meeting {
    Meeting {
        a,
        b,
        severity,
        reason,
    }
}

/// The whole table; each pair of spaces once. The first row is plain fact, the
/// rest common practice, no source.
pub static MEETINGS: [Meeting; 6] = [
    row(
        Space::Solid,
        Space::Solid,
        Some(Severity::Stop),
        "two solids cannot be in one place",
    ),
    row(
        Space::Solid,
        Space::KeepOut,
        Some(Severity::Caution),
        "what is kept clear for air or plugs does its work only while it is clear",
    ),
    row(
        Space::Solid,
        Space::Reach,
        Some(Severity::Remark),
        "a hand gets in before the other part does, or after it is out again",
    ),
    row(
        Space::KeepOut,
        Space::KeepOut,
        None,
        "two parts may share one stretch of air",
    ),
    row(
        Space::KeepOut,
        Space::Reach,
        None,
        "a hand may pass through air",
    ),
    row(
        Space::Reach,
        Space::Reach,
        None,
        "one hand may use the room of another",
    ),
];

/// The row of two spaces, in any order.
pub fn meeting(a: Space, b: Space) -> &'static Meeting {
    MEETINGS
        .iter()
        .find(|m| (m.a, m.b) == (a, b) || (m.a, m.b) == (b, a))
        .expect("the table has every pair, see its test")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pair_of_spaces_stands_in_the_table_once() {
        for a in Space::ALL {
            for b in Space::ALL {
                let rows = MEETINGS
                    .iter()
                    .filter(|m| (m.a, m.b) == (*a, *b) || (m.a, m.b) == (*b, *a));
                assert_eq!(rows.count(), 1, "{a:?} {b:?}");
                assert_eq!(meeting(*a, *b), meeting(*b, *a));
            }
        }
    }

    #[test]
    fn only_solids_are_in_the_way() {
        for m in MEETINGS {
            let solid = m.a == Space::Solid || m.b == Space::Solid;
            assert_eq!(m.severity.is_some(), solid);
            assert!(!m.reason.is_empty());
        }
    }
}
