//! How far a gap may be off: sums of dimensions that each may be off a little.

mod chain;
#[cfg(test)]
mod chain_tests;
mod chains;
#[cfg(test)]
mod chains_tests;
mod derived;

pub use chain::{Broken, Face};
pub use chains::{Chains, Slope};

use crate::geom::Length;
use crate::model::{Deviation, PartId, Span};

/// Where the figure of a link comes from.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Source {
    /// Measured of this very piece.
    Measured,
    /// It follows from others that were measured.
    Derived,
    /// The kind's or the enclosure's own figure.
    Given,
    /// The table of general tolerances, by the size of the dimension.
    General,
    /// The play of the screws or the seat, or how well a part is set along a slot.
    Play,
}

impl Source {
    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            Source::Measured => "measured",
            Source::Derived => "from what was measured",
            Source::Given => "its own figure",
            Source::General => "general tolerance",
            Source::Play => "play",
        }
    }
}

/// One dimension, or one play, between two faces.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Link {
    /// What to measure, in words.
    pub what: String,
    /// What it adds to the gap; negative where it takes from it.
    pub nominal: Length,
    /// How far the dimension itself may be longer or shorter.
    pub deviation: Deviation,
    /// Where that comes from.
    pub source: Source,
    /// Which dimension it is, by which a measured figure is noted: whose (`None`: of the
    /// enclosure), and from where to where in its frame. `None` for a play.
    pub dimension: Option<(Option<PartId>, Span)>,
}

impl Link {
    /// How far its share of the gap may be above and below the nominal. Where it
    /// takes from the gap, a longer dimension makes the gap smaller.
    pub fn shares(&self) -> (Length, Length) {
        let Deviation { plus, minus } = self.deviation;
        if self.nominal < Length::ZERO {
            (minus, plus)
        } else {
            (plus, minus)
        }
    }
}

/// The dimensions from one face to another, in order.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Chain {
    /// Dimensions and plays.
    pub links: Vec<Link>,
}

/// What a chain says about a gap. Root sum square and probability assume that all
/// links vary on their own, each about the middle of its limits.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Spread {
    /// The gap if every dimension is at its nominal.
    pub nominal: Length,
    /// The smallest gap: every link at its worst.
    pub least: Length,
    /// The largest.
    pub most: Length,
    /// The middle in millimetres: limits that are not even on both sides shift it.
    pub centre: f64,
    /// Root of the sum of squares of half of each link's range, in millimetres.
    pub rss: f64,
    /// The probability that the gap is negative, if every link is normally distributed about
    /// its middle with its limits three standard deviations away.
    pub interference: f64,
}

impl Chain {
    /// The sums.
    pub fn spread(&self) -> Spread {
        let mut spread = Spread {
            nominal: Length::ZERO,
            least: Length::ZERO,
            most: Length::ZERO,
            centre: 0.0,
            rss: 0.0,
            interference: 0.0,
        };
        let mut squares = 0.0;
        for link in &self.links {
            let (above, below) = link.shares();
            spread.nominal += link.nominal;
            spread.least += link.nominal - below;
            spread.most += link.nominal + above;
            squares += ((above + below).as_mm() / 2.0).powi(2);
        }
        spread.centre = (spread.least + spread.most).as_mm() / 2.0;
        spread.rss = squares.sqrt();
        spread.interference = spread.below_zero();
        spread
    }
}

impl Spread {
    /// The probability that the gap is negative, if it is normally distributed about
    /// its middle with the root-sum-square limits three standard deviations away.
    fn below_zero(&self) -> f64 {
        if self.rss <= 0.0 {
            return if self.centre < 0.0 { 1.0 } else { 0.0 };
        }
        let sigma = self.rss / 3.0;
        // The lower tail of the normal distribution by the complementary error
        // function: half erfc(z / sqrt 2).
        libm::erfc(self.centre / sigma / std::f64::consts::SQRT_2) / 2.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::l;

    fn chain(links: &[(f64, f64, f64)]) -> Chain {
        let link = |(nominal, plus, minus): &(f64, f64, f64)| Link {
            what: String::new(),
            nominal: l(*nominal),
            deviation: Deviation {
                plus: l(*plus),
                minus: l(*minus),
            },
            source: Source::Given,
            dimension: None,
        };
        Chain {
            links: links.iter().map(link).collect(),
        }
    }

    fn even(nominal: &[f64], by: &[f64]) -> Spread {
        let links: Vec<_> = nominal.iter().zip(by).map(|(n, t)| (*n, *t, *t)).collect();
        chain(&links).spread()
    }

    #[test]
    fn a_published_stack_of_four() {
        // 'Tolerance stack-up: a worked example' (metricmech.com): nominal 3.00;
        // worst case and root sum square by arithmetic from its inputs.
        let s = even(&[40.0, -25.0, -2.0, -10.0], &[0.1, 0.05, 0.03, 0.05]);
        assert_eq!(s.nominal, l(3.0));
        assert_eq!((s.least, s.most), (l(2.77), l(3.23)));
        assert!((s.rss - 0.126_095_202_129_184_93).abs() < 1e-9);
    }

    #[test]
    fn ten_equal_tolerances() {
        // 'RSS tolerance analysis', 10 x 0.1: 1.0 and 0.316 as published.
        let s = even(&[1.0; 10], &[0.1; 10]);
        assert_eq!(s.most - s.nominal, l(1.0));
        assert!((s.rss - 0.316_227_766_016_837_94).abs() < 1e-9);
    }

    #[test]
    fn a_case_with_five_dimensions() {
        // Composed: 330 - 140 - 150 - 25 - 3 = 12; squares add up to 0.64.
        let s = even(
            &[330.0, -140.0, -150.0, -25.0, -3.0],
            &[0.5, 0.3, 0.5, 0.2, 0.1],
        );
        assert_eq!((s.nominal, s.least), (l(12.0), l(10.4)));
        assert!((s.rss - 0.8).abs() < 1e-9);
    }

    #[test]
    fn uneven_limits_shift_the_middle() {
        // By definition: 10 +0.3 -0.1 has its middle at 10.1 and half range 0.2.
        let s = chain(&[(10.0, 0.3, 0.1)]).spread();
        assert!((s.centre - 10.1).abs() < 1e-12 && (s.rss - 0.2).abs() < 1e-12);
        // The same dimension taken from a gap shifts it the other way.
        let s = chain(&[(-10.0, 0.3, 0.1)]).spread();
        assert!((s.centre + 10.1).abs() < 1e-12);
        assert_eq!((s.least, s.most), (l(-10.3), l(-9.9)));
    }

    #[test]
    fn the_probability_is_the_tail_of_the_normal_distribution() {
        // Handbook tables of the normal distribution: P(z < 0) = 0.5, P(z < -1) =
        // 0.158655, P(z < -2) = 0.022750, P(z < -3) = 0.001350.
        for (gap, expected) in [
            (0.0, 0.5),
            (0.1, 0.158_655),
            (0.2, 0.022_750),
            (0.3, 0.001_350),
        ] {
            let p = even(&[gap], &[0.3]).interference;
            assert!((p - expected).abs() < 1e-6, "{gap}: {p}");
        }
        assert_eq!(even(&[1.0], &[0.0]).interference, 0.0);
        assert_eq!(even(&[-1.0], &[0.0]).interference, 1.0);
    }
}
