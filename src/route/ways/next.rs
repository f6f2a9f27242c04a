//! The next best ways: the same search with one side of an obstacle closed that the way
//! before went past.

use super::find::{Desk, Laid, NotLaid, Wish, lay};
use super::meets::pieces;
use crate::geom::Length;
use crate::model::{Cable, CableId};
use crate::placement::Thing;
use crate::route::bend::{Point, norm, sub};
use crate::route::free::{self, Block};
use std::collections::BTreeMap;

/// So many sides are closed in turn for one list of ways.
const MOST_TRIED: usize = 40;
/// Two ways that come nowhere further apart than this are one, in millimetres.
const SAME: f64 = 8.0;

/// Ways of a cable that differ, in order of length, at most so many: the one that [`lay`]
/// finds, and others found with the space beside an obstacle closed, on the side on which
/// a way before went past it.
///
/// # Errors
/// As [`lay`], where there is not even one.
pub fn ways(
    desk: &Desk,
    id: &CableId,
    cable: &Cable,
    wish: &Wish,
    most: usize,
    cancelled: &dyn Fn() -> bool,
) -> Result<Vec<Laid>, NotLaid> {
    let first = lay(desk, id, cable, wish, cancelled)?;
    // Ways with what was closed for them; those before `looked` had their sides closed.
    let mut known: Vec<(Laid, Vec<Block>)> = vec![(first, wish.more.clone())];
    let mut looked = 0;
    let mut tried = 0;
    while looked < known.len() && known.len() < 2 * most && tried < MOST_TRIED {
        let (way, closed) = known[looked].clone();
        looked += 1;
        for side in sides(desk, &way) {
            if tried == MOST_TRIED || cancelled() {
                break;
            }
            tried += 1;
            let mut more = closed.clone();
            more.push(side);
            let wish = Wish {
                more: more.clone(),
                ..wish.clone()
            };
            if let Ok(other) = lay(desk, id, cable, &wish, cancelled)
                && known.iter().all(|(k, _)| differ(k, &other))
            {
                known.push((other, more));
            }
        }
    }
    let mut all: Vec<Laid> = known.into_iter().map(|k| k.0).collect();
    all.sort_by_key(|l| l.run.needed);
    all.truncate(most);
    Ok(all)
}

/// The free space beside the obstacles of a way, to the wall, where the way goes there.
fn sides(desk: &Desk, way: &Laid) -> Vec<Block> {
    let room = desk.placed.enclosure().outline();
    let walls = [room.min().as_mm(), room.max().as_mm()];
    // One box for each thing: its sides are what people think of.
    let mut things: BTreeMap<&Thing, Block> = BTreeMap::new();
    for (thing, b) in &way.past {
        let whole = things.entry(thing).or_insert(*b);
        for k in 0..3 {
            whole[0][k] = whole[0][k].min(b[0][k]);
            whole[1][k] = whole[1][k].max(b[1][k]);
        }
    }
    let ends: Vec<Point> = way
        .run
        .stretches
        .iter()
        .flat_map(|s| {
            let n = s.points.len();
            let inner = [0, 1, n.saturating_sub(2), n.saturating_sub(1)];
            inner.into_iter().filter_map(|i| s.points.get(i).copied())
        })
        .collect();
    let half = way.cable.section.thickness().as_mm() / 2.0 + way.cable.bend.as_mm() * 0.5;
    let mut all = Vec::new();
    for b in things.values() {
        for k in 0..3 {
            for up in [false, true] {
                let mut side = *b;
                match up {
                    false => (side[0][k], side[1][k]) = (walls[0][k], b[0][k]),
                    true => (side[0][k], side[1][k]) = (b[1][k], walls[1][k]),
                }
                if side[0][k] >= side[1][k] {
                    continue;
                }
                let holds = |p: &Point| {
                    (0..3).all(|i| side[0][i] - half <= p[i] && p[i] <= side[1][i] + half)
                };
                if !ends.iter().any(holds) && goes_through(way, &side) {
                    all.push(side);
                }
            }
        }
    }
    all
}

fn goes_through(way: &Laid, b: &Block) -> bool {
    let mut all = way.run.stretches.iter().flat_map(pieces);
    all.any(|(a, c)| free::too_near(&free::Leg::Straight { a, b: c }, b, 0.0).is_some())
}

/// True where some place of one way is apart from all of the other.
fn differ(a: &Laid, b: &Laid) -> bool {
    let close = Length::from_mm(SAME).unwrap_or_default();
    if (a.run.needed - b.run.needed).max(b.run.needed - a.run.needed) > close {
        return true;
    }
    let [p, q] = [a, b].map(corners);
    let far = |p: &[Point], q: &[Point]| {
        p.iter()
            .any(|x| q.windows(2).all(|w| off(*x, w[0], w[1]) > SAME))
    };
    far(&p, &q) || far(&q, &p)
}

fn corners(l: &Laid) -> Vec<Point> {
    let stretches = l.run.stretches.iter();
    stretches.flat_map(|s| s.points.iter().copied()).collect()
}

/// Distance of a point from a straight piece.
fn off(p: Point, a: Point, b: Point) -> f64 {
    let (d, r) = (sub(b, a), sub(p, a));
    let long = d.iter().map(|x| x * x).sum::<f64>();
    let t = match long > 0.0 {
        true => ((0..3).map(|k| r[k] * d[k]).sum::<f64>() / long).clamp(0.0, 1.0),
        false => 0.0,
    };
    norm(std::array::from_fn(|k| r[k] - d[k] * t))
}
