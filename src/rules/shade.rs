//! How much of a face is covered by what stands before it, nearer things before
//! those behind them.

use super::shade_open::{Opening, Share};
use crate::geom::{Box3, Dir, Length};

/// Something before the face.
pub(super) struct Cover<'a> {
    /// From the face.
    pub gap: Length,
    /// Its extent over the face, in millimetres: low and high of both axes.
    pub low: [f64; 2],
    /// See `low`.
    pub high: [f64; 2],
    /// Where it is open all the same.
    pub open: &'a [Opening<'a>],
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
            open: &[],
        })
    }
}

/// Covers up to which every cell between their edges is looked at; more are sampled.
const MOST: usize = 64;

/// Openings whose edges bound cells as well; of more, all are sampled in larger cells.
const MOST_OPENINGS: usize = 16;

/// Points along each side of all that is covered where cells are sampled; a cell has its share.
const FINE: f64 = 96.0;

/// The area that the covers take, each part of it counted for the nearest of them with
/// the weight of its gap. Exact for boxes, up to [`MOST`] of them, and for up to
/// [`MOST_OPENINGS`] rectangular openings; round and other openings are sampled in points
/// 1/96 of the extent apart where their edges run.
pub(super) fn taken(covers: &[Cover], weight: &dyn Fn(Length) -> f64) -> f64 {
    let openings: usize = covers.iter().map(|c| c.open.len()).sum();
    let stops = |axis: usize| -> Vec<f64> {
        let ends = covers.iter().flat_map(|c| [c.low[axis], c.high[axis]]);
        let mut stops: Vec<f64> = ends.collect();
        stops.sort_by(f64::total_cmp);
        let [Some(&low), Some(&high)] = [stops.first(), stops.last()] else {
            return stops;
        };
        if covers.len() > MOST {
            let n = 64;
            let step = (high - low) / n as f64;
            return (0..=n).map(|i| low + i as f64 * step).collect();
        }
        if openings <= MOST_OPENINGS {
            let edges = covers.iter().flat_map(|c| c.open).flat_map(Opening::extent);
            let edges = edges.map(|corner| corner[axis]);
            stops.extend(edges.filter(|e| low < *e && *e < high));
            stops.sort_by(f64::total_cmp);
        }
        stops.dedup();
        stops
    };
    let (us, vs) = (stops(0), stops(1));
    let step = |stops: &[f64]| (stops[stops.len() - 1] - stops[0]) / FINE;
    let mut sum = 0.0;
    if us.len() > 1 && vs.len() > 1 {
        let steps = [step(&us), step(&vs)];
        for u in us.windows(2) {
            for v in vs.windows(2) {
                sum += cell(covers, [u[0], v[0]], [u[1], v[1]], steps, weight);
            }
        }
    }
    sum
}

fn cell(
    covers: &[Cover],
    low: [f64; 2],
    high: [f64; 2],
    steps: [f64; 2],
    weight: &dyn Fn(Length) -> f64,
) -> f64 {
    let area = (high[0] - low[0]) * (high[1] - low[1]);
    let middle = [(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0];
    let mut over: Vec<&Cover> = covers
        .iter()
        .filter(|c| (0..2).all(|i| c.low[i] < middle[i] && middle[i] < c.high[i]))
        .collect();
    over.sort_by_key(|c| c.gap);
    // Of each what is open in a part of the cell only, down to the first that is closed.
    let mut partly: Vec<(f64, Vec<&Opening>)> = Vec::new();
    let mut behind = 0.0;
    for c in over {
        let parts = c.open.iter().map(|o| (o.share(low, high), o));
        let parts: Vec<(Share, &Opening)> = parts.filter(|o| o.0 != Share::None).collect();
        if parts.iter().any(|o| o.0 == Share::All) {
            continue;
        }
        if parts.is_empty() {
            behind = weight(c.gap);
            break;
        }
        partly.push((weight(c.gap), parts.into_iter().map(|o| o.1).collect()));
    }
    if partly.is_empty() {
        return area * behind;
    }
    let count = |i: usize| ((high[i] - low[i]) / steps[i]).ceil().max(4.0);
    let (nu, nv) = (count(0), count(1));
    let mut sum = 0.0;
    for u in 0..nu as usize {
        for v in 0..nv as usize {
            let at = [
                low[0] + (u as f64 + 0.5) * (high[0] - low[0]) / nu,
                low[1] + (v as f64 + 0.5) * (high[1] - low[1]) / nv,
            ];
            let closed = partly.iter().find(|p| !p.1.iter().any(|o| o.holds(at)));
            sum += closed.map_or(behind, |p| p.0);
        }
    }
    sum * area / (nu * nv)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cover<'a>(gap: i64, low: [f64; 2], high: [f64; 2]) -> Cover<'a> {
        Cover {
            gap: Length::mm(gap),
            low,
            high,
            open: &[],
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
        let open = [Opening::Disc {
            at: [50.0, 50.0],
            radius: 40.0,
        }];
        let plate = Cover {
            open: &open,
            ..cover(0, [0.0, 0.0], [100.0, 100.0])
        };
        let sum = taken(&[plate], &|_| 1.0);
        // The square less the disc (closed form), within the sampling.
        let exact = 100.0 * 100.0 - std::f64::consts::PI * 40.0 * 40.0;
        assert!((sum - exact).abs() < 0.005 * exact, "{sum} {exact}");
    }

    #[test]
    fn rectangular_openings_are_exact_and_show_what_lies_behind() {
        let open = [
            Opening::Rect {
                low: [10.0, 10.0],
                high: [40.0, 30.0],
            },
            // Over the edge of the first: together they count once.
            Opening::Rect {
                low: [30.0, 20.0],
                high: [50.0, 140.0],
            },
        ];
        let plate = || Cover {
            open: &open,
            ..cover(0, [0.0, 0.0], [100.0, 100.0])
        };
        // 10000 - (600 + 1600 - 100), by hand.
        let sum = taken(&[plate()], &|_| 1.0);
        assert!((sum - 7900.0).abs() < 1e-9, "{sum}");
        // A slab behind the left half of the first opening, at half the weight.
        let slab = cover(5, [0.0, 0.0], [25.0, 100.0]);
        let sum = taken(&[plate(), slab], &|gap| 1.0 - gap.as_mm() / 10.0);
        assert!((sum - (7900.0 + 15.0 * 20.0 / 2.0)).abs() < 1e-9, "{sum}");
    }

    #[test]
    fn beyond_an_outline_and_in_its_holes_is_open() {
        let mm = |x: i64, y: i64| [Length::mm(x), Length::mm(y)];
        let outline = [mm(0, 0), mm(100, 0), mm(0, 100)];
        let holes = [vec![mm(10, 10), mm(30, 10), mm(30, 30), mm(10, 30)]];
        let open = [Opening::Beyond {
            outline: &outline,
            holes: &holes,
        }];
        let plate = Cover {
            open: &open,
            ..cover(0, [0.0, 0.0], [100.0, 100.0])
        };
        // Half the square less the hole, within the sampling of the slope.
        let sum = taken(&[plate], &|_| 1.0);
        assert!((sum - 4600.0).abs() < 0.01 * 4600.0, "{sum}");
    }

    #[test]
    fn many_openings_are_sampled() {
        let open: Vec<Opening> = (0..100)
            .map(|i| Opening::Rect {
                low: [
                    f64::from(i % 10) * 10.0 + 2.5,
                    f64::from(i / 10) * 10.0 + 2.5,
                ],
                high: [
                    f64::from(i % 10) * 10.0 + 7.5,
                    f64::from(i / 10) * 10.0 + 7.5,
                ],
            })
            .collect();
        let plate = Cover {
            open: &open,
            ..cover(0, [0.0, 0.0], [100.0, 100.0])
        };
        let sum = taken(&[plate], &|_| 1.0);
        assert!((sum - 7500.0).abs() < 0.02 * 7500.0, "{sum}");
    }
}
