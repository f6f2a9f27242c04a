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

/// Obstacles that were in the way of a leg between two places: the next one between them is
/// likely to meet them as well.
#[derive(Default)]
pub(super) struct Known {
    boxes: Vec<Block>,
    whose: Vec<Option<Thing>>,
    // Of no thing: the boxes that count besides.
    taken: BTreeSet<(Option<Thing>, usize)>,
}

/// A leg that was found.
#[derive(Clone)]
pub(super) struct Found {
    /// The rounded way.
    pub bent: Bent,
    /// The boxes that it had to get past, with whose they are.
    pub past: Vec<(Option<Thing>, Block)>,
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
    if !inside(&from) || !inside(&to) {
        return false;
    }
    let near = |b: &Block| free::meets(&leg, b, half);
    for thing in field.near(&around) {
        if let Some(i) = field.boxes(&thing).iter().position(near) {
            field.note(Some(&thing), i);
            return false;
        }
    }
    if let Some(i) = field.more.iter().position(near) {
        field.note(None, i);
        return false;
    }
    true
}

/// The shortest way that was found between two ends, clear of everything.
pub(super) fn reach(
    field: &mut Field,
    thread: Thread,
    ends: [End; 2],
    known: &mut Known,
    stop: &mut dyn FnMut() -> bool,
) -> Result<Found, NoBend> {
    for round in 0..MOST_ROUNDS {
        let bent = bend_route(
            &BendRequest {
                bounds: field.bounds(),
                boxes: &known.boxes,
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
            let hits = |b: &Block| free::meets(&piece, b, half);
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
        let fresh: Vec<(Option<Thing>, usize)> = more.difference(&known.taken).cloned().collect();
        if more.is_empty() {
            let past = known.whose.iter().cloned().zip(known.boxes.iter().copied());
            return Ok(Found {
                past: past.collect(),
                bent,
            });
        }
        if fresh.is_empty() {
            break;
        }
        for (thing, i) in fresh {
            field.note(thing.as_ref(), i);
            known.boxes.push(match &thing {
                Some(thing) => field.boxes(thing)[i],
                None => field.more[i],
            });
            known.whose.push(thing.clone());
            known.taken.insert((thing, i));
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
