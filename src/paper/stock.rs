//! Lengths that screws are sold in.

use crate::geom::Length;

/// A length in stock, with its name in the trade.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Stock {
    /// Under the head.
    pub length: Length,
    /// '8 mm' or '1/4 in'.
    pub name: &'static str,
}

const fn stock(um: i64, name: &'static str) -> Stock {
    Stock {
        length: Length::um(um),
        name,
    }
}

/// Nominal lengths of metric screws: ISO 888, without those in brackets (from memory).
const METRIC: &[Stock] = &[
    stock(3_000, "3 mm"),
    stock(4_000, "4 mm"),
    stock(5_000, "5 mm"),
    stock(6_000, "6 mm"),
    stock(8_000, "8 mm"),
    stock(10_000, "10 mm"),
    stock(12_000, "12 mm"),
    stock(16_000, "16 mm"),
    stock(20_000, "20 mm"),
    stock(25_000, "25 mm"),
    stock(30_000, "30 mm"),
    stock(35_000, "35 mm"),
    stock(40_000, "40 mm"),
    stock(45_000, "45 mm"),
    stock(50_000, "50 mm"),
    stock(60_000, "60 mm"),
    stock(70_000, "70 mm"),
];

/// Lengths of unified screws. 3/16, 1/4 and 5/16 in are those used in enclosures
/// (transcribed by others); the longer ones are the usual steps, from memory.
const INCH: &[Stock] = &[
    stock(4_763, "3/16 in"),
    stock(6_350, "1/4 in"),
    stock(7_938, "5/16 in"),
    stock(9_525, "3/8 in"),
    stock(12_700, "1/2 in"),
    stock(15_875, "5/8 in"),
    stock(19_050, "3/4 in"),
    stock(25_400, "1 in"),
    stock(31_750, "1 1/4 in"),
    stock(38_100, "1 1/2 in"),
    stock(44_450, "1 3/4 in"),
    stock(50_800, "2 in"),
];

/// The shortest stock length of a thread that is at least `wanted`; `None` where
/// none is as long.
pub(super) fn at_least(thread: &str, wanted: Length) -> Option<Stock> {
    let lengths = if thread.starts_with('#') {
        INCH
    } else {
        METRIC
    };
    lengths.iter().copied().find(|s| s.length >= wanted)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inch_lengths_are_inches_to_the_micrometre() {
        // 1 in = 25.4 mm exactly (international yard and pound agreement, 1959).
        for (name, sixteenths) in [("3/16 in", 3), ("1/4 in", 4), ("5/16 in", 5), ("1 in", 16)] {
            let s = INCH.iter().find(|s| s.name == name).unwrap();
            let exact = 25_400.0 * f64::from(sixteenths) / 16.0;
            assert!((s.length.as_um() as f64 - exact).abs() <= 0.5, "{name}");
        }
    }

    #[test]
    fn the_next_length_is_found_and_a_fit_counts() {
        assert_eq!(at_least("M3", Length::um(8_000)).unwrap().name, "8 mm");
        assert_eq!(at_least("M3", Length::um(8_001)).unwrap().name, "10 mm");
        assert_eq!(at_least("#6-32", Length::um(5_000)).unwrap().name, "1/4 in");
        assert_eq!(at_least("M3", Length::mm(71)), None);
    }
}
