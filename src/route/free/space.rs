//! The enclosure and its obstacles, prepared for any number of ways.

use super::edges::{self, Edge};
use super::vector::dist;
use super::{Block, NoWay, Point, Way};

/// Slices of the enclosure along each axis for the quick choice of boxes.
const BINS: usize = 64;
/// Obstacles are widened by this share of the largest coordinate. Boxes that touch then overlap, so
/// that no way slips between them; it is far above rounding and far below anything that matters.
const PAD: f64 = 1e-9;
/// How deep a sight line may enter a widened box, as a share of the widening.
const GRAZE: f64 = 1e-3;
/// Diagonals of the enclosure to one distance of samples: 10 mm in a case of half a metre.
const SAMPLES: f64 = 50.0;

/// More obstacles are refused, so that time and memory stay bounded: they are prepared in a second.
const MAX_BOXES: usize = 20_000;

/// Obstacles in an enclosure, ready for any number of questions. Costs about a microsecond a box.
pub struct Space {
    pub(super) bounds: Block,
    /// The obstacles that count, as given and widened by `pad` on every side.
    pub(super) home: Vec<Block>,
    pub(super) wide: Vec<Block>,
    /// `wide` drawn in by the graze as `[lo, hi, lo, hi, lo, hi]`: what no sight line may enter.
    pub(super) core: Vec<[f64; 6]>,
    /// The enclosure drawn in by `pad`.
    pub(super) walls: Block,
    pub(super) pad: f64,
    /// Largest distance of sample points on an edge.
    pub(super) spacing: f64,
    pub(super) edges: Vec<Edge>,
    /// Places on the edges where another box's edge passes near by.
    pub(super) knots: Vec<f64>,
    /// Where the edges of each box begin in `edges`, and where the last ones end.
    pub(super) first: Vec<u32>,
    /// Words of a set of boxes.
    words: usize,
    /// Per axis and bin the set of boxes that begin below its top, and that end above its bottom.
    below: [Vec<u64>; 3],
    above: [Vec<u64>; 3],
    bins_per_mm: Point,
}

impl Space {
    /// Takes over the enclosure and the obstacles.
    ///
    /// # Errors
    /// [`NoWay::BadBounds`], [`NoWay::BadBox`] and, from 20,000 obstacles on, [`NoWay::TooMany`].
    pub fn new(bounds: Block, boxes: &[Block]) -> Result<Self, NoWay> {
        let pad = checked(&bounds, boxes)?;
        // What lies outside by more than the widening counts for nothing, what is flat neither.
        let counts = |b: &&Block| {
            (0..3).all(|k| {
                b[0][k] < b[1][k] && b[0][k] <= bounds[1][k] + pad && b[1][k] >= bounds[0][k] - pad
            })
        };
        let home: Vec<Block> = boxes.iter().filter(counts).copied().collect();
        let grown = |b: &Block, by: f64| [b[0].map(|x| x - by), b[1].map(|x| x + by)];
        let wide: Vec<Block> = home.iter().map(|b| grown(b, pad)).collect();
        let core = wide
            .iter()
            .map(|b| interleaved(&grown(b, -GRAZE * pad)))
            .collect();
        let words = wide.len().div_ceil(64);
        let mut space = Self {
            bounds,
            home,
            core,
            walls: grown(&bounds, -pad),
            pad,
            spacing: dist(bounds[0], bounds[1]) / SAMPLES,
            edges: Vec::new(),
            knots: Vec::new(),
            first: Vec::new(),
            words,
            below: std::array::from_fn(|_| vec![0; BINS * words]),
            above: std::array::from_fn(|_| vec![0; BINS * words]),
            bins_per_mm: std::array::from_fn(|k| BINS as f64 / (bounds[1][k] - bounds[0][k])),
            wide,
        };
        space.fill_bins();
        (space.edges, space.knots) = edges::list(&space);
        let boxes = space.wide.len() as u32;
        space.first = (0..=boxes)
            .map(|i| space.edges.partition_point(|e| e.block < i) as u32)
            .collect();
        Ok(space)
    }

    /// The shortest way between two points; `stop` is asked several times a millisecond.
    ///
    /// # Errors
    /// As [`shortest_until`](super::shortest_until).
    pub fn shortest(
        &self,
        start: Point,
        goal: Point,
        stop: &mut dyn FnMut() -> bool,
    ) -> Result<Way, NoWay> {
        super::solve::shortest(self, start, goal, true, stop)
    }

    /// A short way in half the time of [`Space::shortest`] or less: mostly the same one.
    ///
    /// # Errors
    /// As [`shortest_until`](super::shortest_until).
    pub fn quick(
        &self,
        start: Point,
        goal: Point,
        stop: &mut dyn FnMut() -> bool,
    ) -> Result<Way, NoWay> {
        super::solve::shortest(self, start, goal, false, stop)
    }

    fn fill_bins(&mut self) {
        for (i, b) in self.wide.iter().enumerate() {
            let bit = 1u64 << (i % 64);
            for (k, (lo, hi)) in b[0].iter().zip(&b[1]).enumerate() {
                let (low, high) = (self.bin(k, *lo), self.bin(k, *hi));
                let word = |bin: usize| bin * self.words + i / 64;
                (low..BINS).for_each(|bin| self.below[k][word(bin)] |= bit);
                (0..=high).for_each(|bin| self.above[k][word(bin)] |= bit);
            }
        }
    }

    fn bin(&self, k: usize, x: f64) -> usize {
        // The cast saturates: what lies below the enclosure is in bin 0.
        (((x - self.bounds[0][k]) * self.bins_per_mm[k]) as usize).min(BINS - 1)
    }

    /// Calls `f` with every box that may meet the box `lo..hi`, until it answers true.
    #[inline]
    pub(super) fn any_near(&self, lo: Point, hi: Point, mut f: impl FnMut(usize) -> bool) -> bool {
        let w = self.words;
        let sets: [(&[u64], &[u64]); 3] = std::array::from_fn(|k| {
            let (b, a) = (self.bin(k, hi[k]) * w, self.bin(k, lo[k]) * w);
            (&self.below[k][b..b + w], &self.above[k][a..a + w])
        });
        let [x, y, z] = sets;
        for i in 0..w {
            let mut set = x.0[i] & x.1[i] & y.0[i] & y.1[i] & z.0[i] & z.1[i];
            while set != 0 {
                if f(i * 64 + set.trailing_zeros() as usize) {
                    return true;
                }
                set &= set - 1;
            }
        }
        false
    }
}

/// What is wrong with the enclosure or an obstacle; else the widening.
pub(super) fn checked(bounds: &Block, boxes: &[Block]) -> Result<f64, NoWay> {
    let finite = |b: &Block| b.iter().flatten().all(|x| x.is_finite());
    let reach = bounds.iter().flatten().fold(0.0f64, |m, x| m.max(x.abs()));
    let pad = reach * PAD;
    let thick = (0..3).all(|k| bounds[1][k] - bounds[0][k] > 4.0 * pad);
    if !finite(bounds) || !thick || reach > 1e100 {
        return Err(NoWay::BadBounds);
    }
    let bad = |b: &Block| !finite(b) || (0..3).any(|k| b[0][k] > b[1][k]);
    if let Some(i) = boxes.iter().position(bad) {
        return Err(NoWay::BadBox(i));
    }
    if boxes.len() > MAX_BOXES {
        return Err(NoWay::TooMany(MAX_BOXES));
    }
    Ok(pad)
}

/// Low and high end axis by axis.
pub(super) fn interleaved(b: &Block) -> [f64; 6] {
    [b[0][0], b[1][0], b[0][1], b[1][1], b[0][2], b[1][2]]
}
