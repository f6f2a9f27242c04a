//! One leg of a way among obstacles that are taken up as they prove to be in the way.
//!
//! A way that is shortest among some of the obstacles and clear of all of them is
//! shortest among all. So each leg starts with none, and takes up what its way runs
//! through until it runs through nothing: a handful of boxes, whatever the scene holds.

use super::field::Field;
use crate::geom::{Box3, Length, Vec3};
use crate::placement::Thing;
use crate::route::free::{
    self, BendRequest, Bent, Block, End, Leg, NoBend, NoWay, Point, bend_route,
};
use std::collections::BTreeSet;

/// So often more obstacles are taken up, one at a time at first.
const MOST_ROUNDS: usize = 60;
/// From here on a thing that is in the way is taken up as a whole.
const SINGLY: usize = 10;

/// A cable as the search sees it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Thread {
    /// Half its thickness, in millimetres.
    pub half: f64,
    /// The radius it is bent with: a little more than it has to be, so that rounding
    /// to whole micrometres leaves enough.
    pub radius: f64,
}

/// A leg that was found.
pub(super) struct Found {
    /// The rounded way.
    pub bent: Bent,
    /// The boxes that it had to get past, with whose they are.
    pub past: Vec<(Option<Thing>, Block)>,
}

/// The shortest way that was found between two ends, clear of everything. Where it would
/// have to bend too tightly, it goes straight on for a while at either end first.
pub(super) fn reach(
    field: &mut Field,
    thread: Thread,
    ends: [End; 2],
    stop: &mut dyn FnMut() -> bool,
) -> Result<Found, NoBend> {
    let why = match leg(field, thread, ends, stop) {
        Err(why @ NoBend::TooTight { .. }) => why,
        other => return other,
    };
    // How far each end can go straight on.
    let straight = ends.map(|end| {
        let on = |share: &f64| {
            let from = along(&end, end.stub);
            clear(
                field,
                from,
                along(&end, end.stub + share * thread.radius),
                thread.half,
            )
        };
        AHEAD.into_iter().take_while(on).collect::<Vec<f64>>()
    });
    let mut pairs: Vec<[f64; 2]> = Vec::new();
    for a in std::iter::once(&0.0).chain(&straight[0]) {
        for b in std::iter::once(&0.0).chain(&straight[1]) {
            pairs.push([*a, *b]);
        }
    }
    pairs.sort_by(|p, q| (p[0] + p[1]).total_cmp(&(q[0] + q[1])));
    let mut best: Option<Found> = None;
    for pair in pairs.into_iter().skip(1) {
        let moved: [End; 2] = std::array::from_fn(|i| End {
            at: along(&ends[i], ends[i].stub + pair[i] * thread.radius),
            stub: 0.0,
            ..ends[i]
        });
        if let Ok(mut found) = leg(field, thread, moved, stop) {
            found.bent.length += (0..2)
                .map(|i| ends[i].stub + pair[i] * thread.radius)
                .sum::<f64>();
            if best
                .as_ref()
                .is_none_or(|b| found.bent.length < b.bent.length)
            {
                best = Some(found);
            }
        }
        if stop() {
            break;
        }
    }
    best.ok_or(why)
}

/// Shares of the bend radius that a way goes straight on for.
const AHEAD: [f64; 4] = [0.5, 1.0, 1.75, 3.0];

fn along(end: &End, by: f64) -> Point {
    let long = end.direction.iter().map(|x| x * x).sum::<f64>().sqrt();
    std::array::from_fn(|k| end.at[k] + end.direction[k] / long * by)
}

/// True where a straight piece of cable keeps clear of everything.
pub(super) fn clear(field: &mut Field, from: Point, to: Point, half: f64) -> bool {
    let leg = Leg::Straight { a: from, b: to };
    let Some(around) = around(&leg, half) else {
        return false;
    };
    let walls = field.bounds();
    let inside =
        |p: &Point| (0..3).all(|k| walls[0][k] + half <= p[k] && p[k] <= walls[1][k] - half);
    let near = |b: &Block| free::too_near(&leg, b, half).is_some();
    inside(&from)
        && inside(&to)
        && !field.more.iter().any(near)
        && field
            .near(&around)
            .iter()
            .all(|t| !field.boxes(t).iter().any(near))
}

fn leg(
    field: &mut Field,
    thread: Thread,
    ends: [End; 2],
    stop: &mut dyn FnMut() -> bool,
) -> Result<Found, NoBend> {
    let mut boxes: Vec<Block> = Vec::new();
    let mut whose: Vec<Option<Thing>> = Vec::new();
    // Of no thing: the boxes that count besides.
    let mut taken: BTreeSet<(Option<Thing>, usize)> = BTreeSet::new();
    for round in 0..MOST_ROUNDS {
        let bent = bend_route(
            &BendRequest {
                bounds: field.bounds(),
                boxes: &boxes,
                ends,
                diameter: 2.0 * thread.half,
                radius: thread.radius,
            },
            stop,
        )?;
        let mut more: BTreeSet<(Option<Thing>, usize)> = BTreeSet::new();
        for (piece, half) in pieces(&bent, ends.map(|e| e.stub), thread.half) {
            let Some(around) = around(&piece, half) else {
                continue;
            };
            let hits = |b: &Block| free::too_near(&piece, b, half).is_some();
            let besides = (0..field.more.len()).filter(|i| hits(&field.more[*i]));
            more.extend(besides.map(|i| (None, i)));
            for thing in field.near(&around) {
                let all = field.boxes(&thing);
                let hit: Vec<usize> = (0..all.len()).filter(|i| hits(&all[*i])).collect();
                let whose = Some(thing);
                match hit.is_empty() || round < SINGLY {
                    true => more.extend(hit.into_iter().map(|i| (whose.clone(), i))),
                    false => more.extend((0..all.len()).map(|i| (whose.clone(), i))),
                }
            }
        }
        let fresh: Vec<(Option<Thing>, usize)> = more.difference(&taken).cloned().collect();
        if more.is_empty() {
            let past = whose.into_iter().zip(boxes).collect();
            return Ok(Found { bent, past });
        }
        if fresh.is_empty() {
            break;
        }
        for (thing, i) in fresh {
            boxes.push(match &thing {
                Some(thing) => field.boxes(thing)[i],
                None => field.more[i],
            });
            whose.push(thing.clone());
            taken.insert((thing, i));
        }
    }
    Err(NoBend::NoWay(NoWay::GaveUp))
}

/// The pieces of a way with the distance that each has to keep: on the straight ends
/// only the middle line counts.
fn pieces(bent: &Bent, stubs: [f64; 2], half: f64) -> Vec<(Leg, f64)> {
    let last = bent.legs.len().saturating_sub(1);
    let mut out = Vec::with_capacity(bent.legs.len() + 2);
    for (i, leg) in bent.legs.iter().enumerate() {
        let Leg::Straight { a, b } = *leg else {
            out.push((*leg, half));
            continue;
        };
        let long = leg.length().max(1e-12);
        let ahead = if i == 0 {
            (stubs[0] / long).min(1.0)
        } else {
            0.0
        };
        let back = if i == last {
            (1.0 - stubs[1] / long).max(ahead)
        } else {
            1.0
        };
        let at = |t: f64| -> Point { std::array::from_fn(|k| a[k] + (b[k] - a[k]) * t) };
        for (from, to, keep) in [(0.0, ahead, 0.0), (ahead, back, half), (back, 1.0, 0.0)] {
            if to > from {
                let (a, b) = (at(from), at(to));
                out.push((Leg::Straight { a, b }, keep));
            }
        }
    }
    out
}

fn around(leg: &Leg, half: f64) -> Option<Box3> {
    let (a, b, more) = match *leg {
        Leg::Straight { a, b } => (a, b, half),
        Leg::Arc {
            start,
            end,
            radius,
            angle,
            ..
        } => (start, end, half + radius * (1.0 - (0.5 * angle).cos())),
    };
    // Boxes are a little larger than their solids.
    let more = more + super::field::CLEAR;
    let corner = |pick: fn(f64, f64) -> f64, more: f64| {
        let at = |k: usize| Length::from_mm(pick(a[k], b[k]) + more);
        Some(Vec3::new(at(0)?, at(1)?, at(2)?))
    };
    Some(Box3::new(corner(f64::min, -more)?, corner(f64::max, more)?))
}
