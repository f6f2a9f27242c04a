//! Cables that run along the same stretch of way, as bundles with their diameters.

use super::bend::{Leg, Point};
use super::bundle;
use super::run::CableRun;
use crate::geom::Length;
use crate::model::{Cable, CableId, System};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// Ways are looked at in such steps, millimetres.
const STEP: f64 = 10.0;

/// So many places of all ways together; with more, the steps get longer.
const MOST_PLACES: f64 = 60_000.0;

/// Surfaces of cables that a tie draws together: this far apart at most, millimetres.
/// Common practice, no source.
const PLAY: f64 = 4.0;

/// Shorter stretches are a crossing, not a bundle, millimetres. Common practice, no
/// source.
const LEAST: f64 = 30.0;

/// Ways that differ by no more than 20 degrees run along one another. Common practice,
/// no source.
const ALONG: f64 = 0.939_7;

/// Cables that run together for a stretch.
#[derive(Clone, PartialEq, Debug)]
pub struct Bundle {
    /// Which, in the order of their ids; two or more.
    pub cables: Vec<CableId>,
    /// Points on the way of the first of them, in millimetres.
    pub line: Vec<Point>,
    /// Diameter of the round bundle, by [`bundle::diameter`].
    pub diameter: Length,
}

impl Bundle {
    /// How long it is, in millimetres.
    pub fn length(&self) -> f64 {
        self.line.windows(2).map(|w| distance(w[0], w[1])).sum()
    }
}

struct Spot {
    cable: usize,
    at: Point,
    way: Point,
}

/// All bundles, in the order of their first cables and along these. Hoses are none of
/// them: they take their own shape.
///
/// Two cables run together where their surfaces are no more than 4 mm apart and their
/// ways differ by no more than 20 degrees, for 30 mm or more; so do a third that runs
/// with either of them. Ways are looked at every
/// 10 mm, in scenes with more than 600 m of cable in longer steps.
pub fn bundles(
    cables: &BTreeMap<CableId, Cable>,
    runs: &BTreeMap<CableId, CableRun>,
) -> Vec<Bundle> {
    // Cells are looked up by key only, never walked through.
    let led: Vec<(&CableId, &Cable, &CableRun)> = cables
        .iter()
        .filter(|(_, c)| c.system != System::Liquid)
        .filter_map(|(id, c)| Some((id, c, runs.get(id)?)))
        .collect();
    let half: Vec<f64> = led
        .iter()
        .map(|(_, c, _)| c.section.thickness().as_mm() / 2.0)
        .collect();
    let all: f64 = led.iter().map(|(_, _, r)| r.needed.as_mm()).sum();
    let step = STEP.max(all / MOST_PLACES);
    let mut spots: Vec<Vec<Vec<Spot>>> = Vec::with_capacity(led.len());
    for (index, (_, _, run)) in led.iter().enumerate() {
        let of = |legs: &[Leg]| -> Vec<Spot> {
            let places = places(legs, step);
            let spot = |(at, way)| Spot {
                cable: index,
                at,
                way,
            };
            places.into_iter().map(spot).collect()
        };
        spots.push(run.stretches.iter().map(|s| of(&s.legs)).collect());
    }
    let widest = half.iter().copied().fold(0.0, f64::max);
    // Twice as far as two spots that count as near may be apart.
    let cell = 2.0 * (2.0 * widest + PLAY).hypot(step) + 1.0;
    let mut grid: HashMap<[i64; 3], Vec<&Spot>> = HashMap::new();
    for spot in spots.iter().flatten().flatten() {
        let key = spot.at.map(|x| (x / cell).floor() as i64);
        grid.entry(key).or_default().push(spot);
    }
    let together = |spot: &Spot| -> BTreeSet<usize> {
        let mut set = BTreeSet::from([spot.cable]);
        let mut open = vec![spot];
        while let Some(spot) = open.pop() {
            for key in around(spot.at, cell) {
                for other in grid.get(&key).into_iter().flatten() {
                    if set.contains(&other.cable) {
                        continue;
                    }
                    let reach = half[spot.cable] + half[other.cable] + PLAY;
                    let off = across(spot, other.at, step);
                    if off <= reach + 1e-6 && dot(spot.way, other.way).abs() >= ALONG {
                        set.insert(other.cable);
                        open.push(other);
                    }
                }
            }
        }
        set
    };
    let mut found = Vec::new();
    for spots in spots.iter().flatten() {
        let mut open: Option<(BTreeSet<usize>, Vec<Point>)> = None;
        let mut close = |open: Option<(BTreeSet<usize>, Vec<Point>)>| {
            let Some((set, line)) = open else { return };
            let bundle = Bundle {
                cables: set.iter().map(|i| led[*i].0.clone()).collect(),
                diameter: bundle::diameter(set.iter().map(|i| led[*i].1.section)),
                line,
            };
            if bundle.length() >= LEAST {
                found.push(bundle);
            }
        };
        for spot in spots {
            let set = together(spot);
            // Told once, by the first of them.
            let told = set.len() > 1 && set.first() == Some(&spot.cable);
            match &mut open {
                Some((now, line)) if told && *now == set => line.push(spot.at),
                _ => {
                    close(open.take());
                    open = told.then(|| (set, vec![spot.at]));
                }
            }
        }
        close(open.take());
    }
    found
}

/// The eight cells that lie within half a cell of a point.
fn around(at: Point, cell: f64) -> impl Iterator<Item = [i64; 3]> {
    let low = at.map(|x| (x / cell - 0.5).floor() as i64);
    (0..8).map(move |i| {
        [
            low[0] + (i & 1),
            low[1] + (i >> 1 & 1),
            low[2] + (i >> 2 & 1),
        ]
    })
}

/// Points along legs with the way there: both ends of each leg, and between them.
pub(super) fn places(legs: &[Leg], step: f64) -> Vec<(Point, Point)> {
    let mut all = Vec::new();
    for leg in legs {
        let parts = (leg.length() / step).ceil().clamp(1.0, 10_000.0) as usize;
        let at = |i: usize| along(leg, i as f64 / parts as f64);
        for i in 0..parts {
            let (from, to) = (at(i), at(i + 1));
            let length = distance(from, to);
            if length > 1e-9 {
                let way = [0, 1, 2].map(|k| (to[k] - from[k]) / length);
                let middle = [0, 1, 2].map(|k| (from[k] + to[k]) / 2.0);
                all.push((middle, way));
            }
        }
    }
    all
}

/// The point of a leg at this share of its length.
fn along(leg: &Leg, t: f64) -> Point {
    match leg {
        Leg::Straight { from, to } => [0, 1, 2].map(|k| from[k] + t * (to[k] - from[k])),
        Leg::Arc {
            from,
            to,
            centre,
            angle,
            ..
        } => {
            let sin = angle.sin();
            let (a, b) = match sin.abs() > 1e-6 {
                true => (((1.0 - t) * angle).sin() / sin, (t * angle).sin() / sin),
                false => (1.0 - t, t),
            };
            [0, 1, 2].map(|k| centre[k] + a * (from[k] - centre[k]) + b * (to[k] - centre[k]))
        }
    }
}

fn distance(a: Point, b: Point) -> f64 {
    let d = [0, 1, 2].map(|k| b[k] - a[k]);
    dot(d, d).sqrt()
}

fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// Distance of a point from the line through a spot along its way. The places of two
/// ways need not lie side by side.
fn across(spot: &Spot, p: Point, step: f64) -> f64 {
    let d = [0, 1, 2].map(|k| p[k] - spot.at[k]);
    let on = dot(d, spot.way);
    // Further along than a step it is another place of that way.
    if on.abs() > step {
        return f64::INFINITY;
    }
    (dot(d, d) - on * on).max(0.0).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, at_port, block, cable, cid, l, port, v};
    use crate::model::{Group, Role, Section};

    /// Leads of 4 mm side by side, so far apart from middle to middle, 300 long.
    fn beside(count: usize, apart: f64) -> Vec<Bundle> {
        let mut host = block("host", Group::Board, [10.0, 400.0, 10.0]);
        let mut drive = block("drive", Group::Drive, [10.0, 400.0, 10.0]);
        for i in 0..count {
            let y = 10.0 + apart * i as f64;
            let id = format!("p{i}");
            host.ports
                .push(port(&id, "host", v(10.0, y, 5.0), "+x", Role::Source));
            drive
                .ports
                .push(port(&id, "drive", v(0.0, y, 5.0), "-x", Role::Sink));
        }
        let mut scene = Build::open().with("a", &host, [100.0, 100.0, 100.0]).with(
            "b",
            &drive,
            [410.0, 100.0, 100.0],
        );
        for i in 0..count {
            let end = |part: &str| at_port(part, &format!("p{i}"));
            let mut lead = cable(Some("data"), end("a"), end("b"), 500.0, vec![]);
            lead.section = Section::Round(l(4.0));
            scene = scene.cable(&format!("c{i}"), lead);
        }
        let checker = scene.checked();
        bundles(&scene.scene.arrangement().cables, checker.runs())
    }

    #[test]
    fn leads_side_by_side_are_one_bundle_with_the_diameter_of_the_packing() {
        assert_eq!(
            beside(3, 8.0).len(),
            1,
            "the middle one joins the outer ones"
        );
        let found = beside(3, 4.0);
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].cables, [cid("c0"), cid("c1"), cid("c2")]);
        // Three equal circles in one: 1 + 2/sqrt 3 times theirs (closed form), 8.62.
        let exact = 4.0 * (1.0 + 2.0 / 3.0f64.sqrt());
        assert!((found[0].diameter.as_mm() - exact).abs() < 2e-3);
        assert!((found[0].length() - 300.0).abs() < 2.0 * STEP);
    }

    #[test]
    fn leads_further_apart_than_a_tie_draws_them_are_none() {
        // Surfaces 4 mm apart, and a little more.
        assert_eq!(beside(2, 8.0).len(), 1);
        assert!(beside(2, 8.001).is_empty());
        assert!(beside(1, 4.0).is_empty());
    }
}
