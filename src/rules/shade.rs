//! How much of a face is covered by what stands before it, nearer things before
//! those behind them.

use crate::geom::{Box3, Dir, Length};

/// Something before the face.
pub(super) struct Cover<'a> {
    /// From the face.
    pub gap: Length,
    /// Its extent over the face, in millimetres: low and high of both axes.
    pub low: [f64; 2],
    /// See `low`.
    pub high: [f64; 2],
    /// Where it is open all the same: cut-outs and vents of a plate.
    pub open: Option<&'a dyn Fn([f64; 2]) -> bool>,
}

impl<'a> Cover<'a> {
    /// A box before a face that looks along `dir`, as far as it stands in `space`.
    pub fn of(b: &Box3, space: &Box3, dir: Dir) -> Option<Cover<'a>> {
        if !b.overlaps(space) {
            return None;
        }
        let shared = b.intersection(space)?;
        let (p, q) = dir.axis().others();
        let flat = |v: crate::geom::Vec3| [v.along(p).as_mm(), v.along(q).as_mm()];
        Some(Cover {
            gap: (shared.face(dir.opposite()) - space.face(dir.opposite())) * dir.sign(),
            low: flat(shared.min()),
            high: flat(shared.max()),
            open: None,
        })
    }
}

/// Covers up to which every cell between their edges is looked at; more are sampled.
const MOST: usize = 64;

/// Cells along each side where a face or a cell is sampled.
const FINE: usize = 48;

/// The area that the covers take, each part of it counted for the nearest of them with
/// the weight of its gap. Exact for boxes without openings, up to [`MOST`] of them;
/// openings are sampled in 48 by 48 points of each cell.
pub(super) fn taken(covers: &[Cover], weight: &dyn Fn(Length) -> f64) -> f64 {
    let stops = |axis: usize| -> Vec<f64> {
        let ends = covers.iter().flat_map(|c| [c.low[axis], c.high[axis]]);
        let mut stops: Vec<f64> = ends.collect();
        stops.sort_by(f64::total_cmp);
        stops.dedup();
        if covers.len() > MOST {
            let (low, high) = (stops[0], stops[stops.len() - 1]);
            let n = 64;
            let step = (high - low) / n as f64;
            stops = (0..=n).map(|i| low + i as f64 * step).collect();
        }
        stops
    };
    let (us, vs) = (stops(0), stops(1));
    let mut sum = 0.0;
    for u in us.windows(2) {
        for v in vs.windows(2) {
            sum += cell(covers, [u[0], v[0]], [u[1], v[1]], weight);
        }
    }
    sum
}

fn cell(covers: &[Cover], low: [f64; 2], high: [f64; 2], weight: &dyn Fn(Length) -> f64) -> f64 {
    let area = (high[0] - low[0]) * (high[1] - low[1]);
    let middle = [(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0];
    let mut over: Vec<&Cover> = covers
        .iter()
        .filter(|c| (0..2).all(|i| c.low[i] < middle[i] && middle[i] < c.high[i]))
        .collect();
    over.sort_by_key(|c| c.gap);
    match over.first() {
        None => 0.0,
        Some(c) if c.open.is_none() => area * weight(c.gap),
        Some(_) => {
            let step = |i: usize| (high[i] - low[i]) / FINE as f64;
            let mut sum = 0.0;
            for i in 0..FINE * FINE {
                let at = [
                    low[0] + ((i % FINE) as f64 + 0.5) * step(0),
                    low[1] + ((i / FINE) as f64 + 0.5) * step(1),
                ];
                let closed = over.iter().find(|c| !c.open.is_some_and(|open| open(at)));
                sum += closed.map_or(0.0, |c| weight(c.gap));
            }
            sum * area / (FINE * FINE) as f64
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cover<'a>(gap: i64, low: [f64; 2], high: [f64; 2]) -> Cover<'a> {
        Cover {
            gap: Length::mm(gap),
            low,
            high,
            open: None,
        }
    }

    #[test]
    fn overlapping_covers_count_once_and_for_the_nearest() {
        let flat = |_: Length| 1.0;
        let a = || cover(0, [0.0, 0.0], [8.0, 1.0]);
        assert_eq!(taken(&[a()], &flat), 8.0);
        assert_eq!(taken(&[a(), a()], &flat), 8.0);
        // 8 at once, 8 more behind with 25/30 of the weight: by hand.
        let behind = cover(5, [0.0, 0.0], [16.0, 1.0]);
        let weight = |gap: Length| 1.0 - gap.as_mm() / 30.0;
        let sum = taken(&[a(), a(), behind], &weight);
        assert!((sum - (8.0 + 8.0 * 25.0 / 30.0)).abs() < 1e-9, "{sum}");
    }

    #[test]
    fn a_round_opening_takes_nothing() {
        let disc = |at: [f64; 2]| (at[0] - 50.0).hypot(at[1] - 50.0) < 40.0;
        let plate = Cover {
            open: Some(&disc),
            ..cover(0, [0.0, 0.0], [100.0, 100.0])
        };
        let sum = taken(&[plate], &|_| 1.0);
        // The square less the disc (closed form), within the sampling.
        let exact = 100.0 * 100.0 - std::f64::consts::PI * 40.0 * 40.0;
        assert!((sum - exact).abs() < 0.01 * exact, "{sum} {exact}");
    }
}
