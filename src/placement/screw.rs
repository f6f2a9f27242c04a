//! Screws: which thread has which diameter, and how far two holes may be out of
//! line for a screw to go through both.

use crate::geom::Length;
use crate::model::Hole;

/// A thread by the name used in files, with its major diameter.
struct Thread {
    name: &'static str,
    major: Length,
}

/// Major diameters. Metric coarse threads: ISO 262. Unified threads from their
/// inch sizes: #4 0.1120 in, #6 0.1380 in, #8 0.1640 in.
const THREADS: &[Thread] = &[
    Thread {
        name: "M2",
        major: Length::um(2_000),
    },
    Thread {
        name: "M2.5",
        major: Length::um(2_500),
    },
    Thread {
        name: "#4-40",
        major: Length::um(2_845),
    },
    Thread {
        name: "M3",
        major: Length::um(3_000),
    },
    Thread {
        name: "#6-32",
        major: Length::um(3_505),
    },
    Thread {
        name: "M4",
        major: Length::um(4_000),
    },
    Thread {
        name: "#8-32",
        major: Length::um(4_166),
    },
    Thread {
        name: "M5",
        major: Length::um(5_000),
    },
    Thread {
        name: "M6",
        major: Length::um(6_000),
    },
    Thread {
        name: "M16",
        major: Length::um(16_000),
    },
];

/// Major diameter of a thread; `None` for one that is not in the table.
pub(crate) fn major(thread: &str) -> Option<Length> {
    THREADS.iter().find(|t| t.name == thread).map(|t| t.major)
}

/// The thickest thread of the table that passes a hole, with its name.
pub(crate) fn thickest_through(hole: Length) -> Option<(&'static str, Length)> {
    let passing = THREADS.iter().filter(|t| t.major <= hole);
    passing.max_by_key(|t| t.major).map(|t| (t.name, t.major))
}

/// Why no screw joins two holes, wherever they lie.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) enum NoScrew {
    /// Both are threaded, differently.
    Threads(String, String),
    /// The screw of this diameter does not pass the hole of that diameter.
    TooNarrow(Length, Length),
    /// The head of the screw of this diameter falls through the hole.
    TooWide(Length, Length),
    /// The thread is not in the table and the holes do not agree by name.
    Unknown(String),
}

impl NoScrew {
    /// In words, for a refusal.
    pub fn words(&self) -> String {
        match self {
            NoScrew::Threads(a, b) => format!("thread {a} does not go with thread {b}"),
            NoScrew::TooNarrow(s, h) => {
                format!("a screw of {s} mm does not pass a hole of {h} mm")
            }
            NoScrew::TooWide(s, h) => {
                format!("the head of a screw of {s} mm falls through a hole of {h} mm")
            }
            NoScrew::Unknown(t) => format!("the diameter of thread '{t}' is not known"),
        }
    }
}

/// Twice the distance that the middles of two holes may be apart for one screw
/// to sit in both.
///
/// - One hole threaded: the screw has that thread's major diameter, and the other
///   hole has to let it pass: the play is half the difference.
/// - Both threaded with the same thread: they have to be in line.
/// - None threaded: a bolt with a nut, the thickest of the table that passes
///   both; it may lean on opposite sides.
///
/// A hole of more than twice the screw's diameter lets the head through (pan
/// heads are about twice the thread; from memory).
pub(crate) fn twice_play(a: &Hole, b: &Hole) -> Result<Length, NoScrew> {
    match (&a.thread, &b.thread) {
        (Some(x), Some(y)) if x == y => Ok(Length::ZERO),
        (Some(x), Some(y)) => Err(NoScrew::Threads(x.clone(), y.clone())),
        (Some(t), None) => pass(t, b.diameter),
        (None, Some(t)) => pass(t, a.diameter),
        (None, None) => {
            let narrow = a.diameter.min(b.diameter);
            let wide = a.diameter.max(b.diameter);
            let bolt = THREADS
                .iter()
                .map(|t| t.major)
                .filter(|m| *m <= narrow)
                .max()
                .unwrap_or(narrow);
            if wide > bolt * 2 {
                return Err(NoScrew::TooWide(bolt, wide));
            }
            Ok(narrow + wide - bolt * 2)
        }
    }
}

fn pass(thread: &str, hole: Length) -> Result<Length, NoScrew> {
    let screw = major(thread).ok_or_else(|| NoScrew::Unknown(thread.to_owned()))?;
    if hole < screw {
        Err(NoScrew::TooNarrow(screw, hole))
    } else if hole > screw * 2 {
        Err(NoScrew::TooWide(screw, hole))
    } else {
        Ok(hole - screw)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::HoleShape;

    fn hole(um: i64, thread: Option<&str>) -> Hole {
        Hole {
            label: String::new(),
            u: Length::ZERO,
            v: Length::ZERO,
            diameter: Length::um(um),
            shape: HoleShape::Round,
            thread: thread.map(str::to_owned),
        }
    }

    #[test]
    fn a_board_hole_over_a_standoff_has_the_play_of_the_standard_sizes() {
        // Hole 3.96 mm (0.156 in, ATX drawing) over #6-32 (major 0.1380 in =
        // 3.505 mm): 0.455 mm in diameter.
        let play = twice_play(&hole(3_960, None), &hole(3_505, Some("#6-32")));
        assert_eq!(play, Ok(Length::um(455)));
    }

    #[test]
    fn the_same_thread_on_both_sides_has_to_be_in_line() {
        let a = hole(3_000, Some("M3"));
        assert_eq!(twice_play(&a, &a), Ok(Length::ZERO));
    }

    #[test]
    fn different_threads_do_not_match() {
        let (a, b) = (hole(3_000, Some("M3")), hole(3_505, Some("#6-32")));
        assert!(matches!(twice_play(&a, &b), Err(NoScrew::Threads(..))));
    }

    #[test]
    fn a_screw_as_wide_as_its_hole_just_passes() {
        let exact = twice_play(&hole(3_000, None), &hole(3_000, Some("M3")));
        assert_eq!(exact, Ok(Length::ZERO));
        let narrow = twice_play(&hole(2_999, None), &hole(3_000, Some("M3")));
        assert!(matches!(narrow, Err(NoScrew::TooNarrow(..))));
    }

    #[test]
    fn two_clear_holes_take_the_thickest_bolt_that_passes_both() {
        // 4.1 and 5.0 take an M4 bolt (ISO 262) with 0.1 and 1.0 to spare; 4.3
        // also takes a #8 (0.1640 in = 4.166 mm).
        let play = |a, b| twice_play(&hole(a, None), &hole(b, None));
        assert_eq!(play(4_100, 5_000), Ok(Length::um(1_100)));
        assert_eq!(play(4_300, 5_000), Ok(Length::um(968)));
    }

    #[test]
    fn a_hole_that_swallows_the_head_does_not_hold() {
        let wide = twice_play(&hole(4_300, None), &hole(12_000, None));
        assert!(matches!(wide, Err(NoScrew::TooWide(..))));
    }

    #[test]
    fn a_switch_with_a_thread_of_its_own_goes_into_its_panel_hole() {
        // M16 (ISO 262): the bush and nut of a panel switch, in a hole of 16.2.
        let play = twice_play(&hole(16_000, Some("M16")), &hole(16_200, None));
        assert_eq!(play, Ok(Length::um(200)));
    }

    #[test]
    fn an_unknown_thread_is_said_and_not_guessed() {
        let odd = twice_play(&hole(4_300, None), &hole(4_000, Some("G1/4")));
        assert_eq!(odd, Err(NoScrew::Unknown("G1/4".to_owned())));
    }
}
