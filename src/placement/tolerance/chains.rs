//! A gap that does not run along an axis: one chain of dimensions for each axis along which its
//! nearest points are apart.

use super::{Broken, Chain, Face, Link, Spread};
use crate::geom::{Axis, Length, Vec3};
use crate::model::{Dimensions, PartId, Settings};
use crate::placement::table::Placed;
use std::collections::BTreeMap;

/// The chain along one axis.
#[derive(Clone, PartialEq, Debug)]
pub struct Slope {
    /// The axis.
    pub axis: Axis,
    /// How much of a shift along the axis the gap takes: 1 where it runs along it.
    pub cosine: f64,
    /// As drawn.
    drawn: Length,
    /// From the lower face to the higher one.
    pub chain: Chain,
}

/// The chains of one gap.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Chains {
    /// One for each axis along which the nearest points are apart; at least one.
    pub slopes: Vec<Slope>,
    /// True where the gap is between two boxes: what closes on one axis stays open while it is
    /// open on another. Else it is between surfaces that may be round, and closes as fast as
    /// along the line between their nearest points.
    pub boxes: bool,
}

/// How far apart two boxes are, from how far they are along each of some axes, where they level
/// with one another along the rest: the distance between their edges, or, negative, the least way
/// out.
fn edges(apart: &[f64]) -> f64 {
    let open: f64 = apart.iter().map(|c| c.max(0.0).powi(2)).sum();
    match open > 0.0 {
        true => open.sqrt(),
        false => apart.iter().copied().fold(f64::NEG_INFINITY, f64::max),
    }
}

fn length(mm: f64) -> Length {
    Length::from_mm(mm).unwrap_or(Length::ZERO)
}

impl Chains {
    /// The sums. The worst case of a gap across an edge is the gap with every chain at its worst;
    /// root sum square weighs each chain with its slope, and boxes interfere where they do so
    /// along every axis.
    pub fn spread(&self) -> Spread {
        if let [only] = &self.slopes[..] {
            return only.chain.spread();
        }
        let each: Vec<Spread> = self.slopes.iter().map(|s| s.chain.spread()).collect();
        let gap = |of: &dyn Fn(&Spread) -> f64| -> f64 {
            let along: Vec<f64> = each.iter().map(of).collect();
            if self.boxes {
                return edges(&along);
            }
            // From the gap as drawn, along the line between the nearest points.
            let drawn: Vec<f64> = self.slopes.iter().map(|s| s.drawn.as_mm()).collect();
            let moved = self.slopes.iter().zip(&along).zip(&drawn);
            edges(&drawn)
                + moved
                    .map(|((s, is), was)| s.cosine * (is - was))
                    .sum::<f64>()
        };
        let squares = self.slopes.iter().zip(&each);
        let squares = squares.map(|(s, e)| (s.cosine * e.rss).powi(2));
        let mut spread = Spread {
            nominal: length(gap(&|s| s.nominal.as_mm())),
            least: length(gap(&|s| s.least.as_mm())),
            most: length(gap(&|s| s.most.as_mm())),
            centre: gap(&|s| s.centre),
            rss: squares.sum::<f64>().sqrt(),
            interference: 0.0,
        };
        spread.interference = match self.boxes {
            true => each.iter().map(|s| s.interference).product(),
            false => spread.below_zero(),
        };
        spread
    }

    /// The share of a link in the root sum square, 0 to 1: by how much measuring it would narrow
    /// the spread. All shares add up to 1 where anything may be off.
    pub fn share(&self, slope: &Slope, link: &Link) -> f64 {
        let square = |s: &Slope, l: &Link| {
            let range = (l.deviation.plus + l.deviation.minus).as_mm();
            (s.cosine * range).powi(2)
        };
        let all: f64 = self.links().map(|(s, l)| square(s, l)).sum();
        if all > 0.0 {
            square(slope, link) / all
        } else {
            0.0
        }
    }

    /// All links with their slopes, axis by axis, in the order of their chains.
    pub fn links(&self) -> impl Iterator<Item = (&Slope, &Link)> {
        let slopes = self.slopes.iter();
        slopes.flat_map(|s| s.chain.links.iter().map(move |l| (s, l)))
    }

    /// The links that move the gap most, largest range along it first.
    pub fn by_range(&self) -> Vec<(&Slope, &Link)> {
        let mut links: Vec<(&Slope, &Link)> = self.links().collect();
        let range =
            |(s, l): &(&Slope, &Link)| s.cosine * (l.deviation.plus + l.deviation.minus).as_mm();
        links.sort_by(|a, b| {
            let by = range(b).total_cmp(&range(a));
            by.then(a.1.what.cmp(&b.1.what))
                .then(a.0.axis.cmp(&b.0.axis))
        });
        links
    }

    /// True where it runs along one axis.
    pub fn is_straight(&self) -> bool {
        self.slopes.len() == 1
    }
}

impl Placed {
    /// The chains of a gap from a point of one thing to one of another (parts; `None` for the
    /// enclosure): see [`Placed::chain`]. `boxes` is true where both points lie on boxes.
    ///
    /// # Errors
    /// See [`Broken`]; [`Broken::NoGap`] where the points are one.
    pub fn chains(
        &self,
        known: (&Settings, &BTreeMap<Option<PartId>, Dimensions>),
        ends: [Option<&PartId>; 2],
        [from, to]: [Vec3; 2],
        boxes: bool,
    ) -> Result<Chains, Broken> {
        let gap = from.distance_mm(to);
        let mut slopes = Vec::new();
        for axis in Axis::ALL {
            let [a, b] = [from.along(axis), to.along(axis)];
            if a == b {
                continue;
            }
            let face = |part, at| Face { part, at };
            let (low, high) = match a < b {
                true => (face(ends[0], a), face(ends[1], b)),
                false => (face(ends[1], b), face(ends[0], a)),
            };
            let drawn = (b - a).abs();
            slopes.push(Slope {
                axis,
                cosine: drawn.as_mm() / gap,
                drawn,
                chain: self.chain(known, axis, low, high)?,
            });
        }
        match slopes.is_empty() {
            true => Err(Broken::NoGap),
            false => Ok(Chains { slopes, boxes }),
        }
    }
}
