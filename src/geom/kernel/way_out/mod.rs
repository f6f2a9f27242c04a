//! The least move out of one another of two bodies that are not convex.
//!
//! The shifts of the second body under which the insides meet are a union of convex regions, one
//! for each pair of convex pieces: their Minkowski differences. The least shift is the point
//! nearest to the origin that lies in none of them.

mod facets;
mod region;
mod search;
mod straight;

use super::gap::{CONTACT, separation};
use super::shape::Piece;
use super::{Aabb, Shape, Vec3};
use region::Region;

/// Pairs of pieces up to which the least move is worked out.
const MOST_REGIONS: usize = 4096;

/// Faces of all their regions up to which it is: a region of two round pieces has hundreds.
const MOST_FACES: usize = 50_000;

/// What is asked at most of one stage, each a few nanoseconds. Whether it is too much is known
/// from how many there are before the first is asked, so that the answer hangs on no order.
const MOST_ASKED: usize = 8_000_000;

/// How often cylinders are laid closer.
const MOST_ROUNDS: usize = 64;

/// Share of the size by which a shift may fall short of clearing a cylinder.
const ROUND: f64 = 1e-7;

/// How far two bodies have to move to be clear of one another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WayOut {
    /// Length of the shift; greater than 0.
    pub depth: f64,
    /// Unit vector: shifting the second body this way by `depth` takes them apart.
    pub way: Vec3,
    /// Whether no shorter shift does. Else the bodies are of so many pieces that the search was
    /// given up: the shift is enough, and the least along the faces of the pieces that meet.
    pub is_least: bool,
}

/// The least straight shift of the second of two bodies, each a union of shapes, after which
/// their insides share no point; `None` where they share none as they stand.
///
/// `pairs` are the shapes of the first body with those of the second that matter to one another:
/// all of them, or fewer where some may overlap.
///
/// Between pieces with flat faces it is exact to rounding: with axis-aligned boxes at whole
/// coordinates a whole shift along one axis, or the diagonal of whole ones. With round pieces it
/// falls short by about 1e-7 of the size of the bodies.
pub fn way_out(pairs: &[(&Shape, &Shape)]) -> Option<WayOut> {
    let pieces = || {
        pairs.iter().flat_map(|(a, b)| {
            (a.pieces.iter()).flat_map(move |p| b.pieces.iter().map(move |q| (p, q)))
        })
    };
    let (depth, way, size) = deepest(pieces())?;
    let least = |depth, way| WayOut {
        depth,
        way,
        is_least: true,
    };
    // Often what takes the deepest pair apart takes everything apart.
    let by = way * depth;
    let slack = CONTACT * size;
    let is_clear = |(p, q): (&Piece, &Piece)| {
        let moved = q.bounds.translated(by);
        !p.bounds.within(&moved, -slack)
            || separation(p.seen(), q.translated(by).seen(), 0.0).is_none_or(|s| s.value >= -slack)
    };
    if pieces().all(is_clear) {
        return Some(least(depth, way));
    }
    let most = straight_out(pieces());
    if let [(a, b)] = pairs
        && let Some((depth, way)) = straight::way_out(a, b)
    {
        return Some(least(depth, way));
    }
    let given_up = |(depth, way): (f64, Vec3)| WayOut {
        depth,
        way,
        is_least: false,
    };
    let origin = Aabb {
        lo: Vec3::ZERO,
        hi: Vec3::ZERO,
    };
    let near = |(p, q): &(&Piece, &Piece)| {
        let (lo, hi) = (p.bounds.lo - q.bounds.hi, p.bounds.hi - q.bounds.lo);
        Aabb { lo, hi }.distance2(&origin) < most.0 * most.0
    };
    let near: Vec<(&Piece, &Piece)> = pieces().filter(near).collect();
    if near.len() > MOST_REGIONS {
        return Some(given_up(most));
    }
    let laid = |is_around, most: f64| -> Option<Vec<Region<'_>>> {
        let mut faces = 0;
        let mut found = Vec::new();
        for (p, q) in &near {
            let region = Region::new(p, q, is_around);
            faces += region.planes.len();
            if faces > MOST_FACES {
                return None;
            }
            if region.bounds.distance2(&origin) < most * most {
                found.push(region);
            }
        }
        Some(found)
    };
    let Some(regions) = laid(true, most.0) else {
        return Some(given_up(most));
    };
    let enough = along_faces(&regions, most, slack);
    let Some(mut regions) = laid(false, enough.0) else {
        return Some(given_up(enough));
    };
    let mut effort = search::Effort::default();
    // Each round is a least shift for cylinders laid too thin, so never too long.
    for _ in 0..MOST_ROUNDS {
        let most = along_faces(&regions, enough, slack);
        let Ok(by) = search::nearest_free(&regions, most.0, slack * 0.1, &mut effort) else {
            break;
        };
        let by = by.unwrap_or(most.1 * most.0);
        let refined = (regions.iter_mut()).filter_map(|r| r.refine(by, ROUND * size).then_some(()));
        if refined.count() == 0 {
            return Some(match by.normalized() {
                Some(way) => least(by.norm(), way),
                // They meet, so no shift is none: they do by less than can be told apart.
                None => given_up(enough),
            });
        }
    }
    Some(given_up(enough))
}

/// The way out of the pair that is deepest in one another, and the size of the pieces that meet.
fn deepest<'a>(pieces: impl Iterator<Item = (&'a Piece, &'a Piece)>) -> Option<(f64, Vec3, f64)> {
    let mut best: Option<(f64, Vec3)> = None;
    let mut size = 0.0_f64;
    for (p, q) in pieces {
        let own = p.bounds.longest().max(q.bounds.longest());
        size = size.max(own);
        if !p.bounds.within(&q.bounds, 0.0) {
            continue;
        }
        let Some(found) = separation(p.seen(), q.seen(), 0.0) else {
            continue;
        };
        if -found.value > (CONTACT * own).max(best.map_or(0.0, |b| b.0)) {
            best = Some((-found.value, found.normal));
        }
    }
    best.map(|(depth, way)| (depth, way, size))
}

/// The way out along a coordinate axis by the boxes around all pieces.
fn straight_out<'a>(pieces: impl Iterator<Item = (&'a Piece, &'a Piece)>) -> (f64, Vec3) {
    let mut out = [[0.0_f64; 2]; 3];
    for (p, q) in pieces {
        for (k, [back, ahead]) in out.iter_mut().enumerate() {
            *back = back.max(q.bounds.hi[k] - p.bounds.lo[k]);
            *ahead = ahead.max(p.bounds.hi[k] - q.bounds.lo[k]);
        }
    }
    let ways = (0..3).flat_map(|k| {
        let [back, ahead] = out[k];
        [(ahead, Vec3::unit(k)), (back, -Vec3::unit(k))]
    });
    ways.min_by(|a, b| a.0.total_cmp(&b.0))
        .unwrap_or((0.0, Vec3::unit(0)))
}

/// The shortest way out across a face of a region that holds the origin, if it is under `most`.
fn along_faces(regions: &[Region<'_>], most: (f64, Vec3), slack: f64) -> (f64, Vec3) {
    let mut ways: Vec<Vec3> = Vec::new();
    for region in regions.iter().filter(|r| r.holds(Vec3::ZERO, slack)) {
        if ways.len().saturating_mul(regions.len()) > MOST_ASKED {
            return most;
        }
        for n in region.planes.iter().map(|p| p.normal) {
            if !ways.iter().any(|w| w.dot(n) > 1.0 - 1e-12) {
                ways.push(n);
            }
        }
    }
    let faces: usize = regions.iter().map(|r| r.planes.len()).sum();
    if ways.len().saturating_mul(faces) > MOST_ASKED {
        return most;
    }
    let mut best = most;
    let mut stretches: Vec<[f64; 2]> = Vec::new();
    for way in ways {
        stretches.clear();
        stretches.extend(
            regions
                .iter()
                .filter_map(|r| r.stretch(Vec3::ZERO, way, slack)),
        );
        stretches.sort_unstable_by(|a, b| a[0].total_cmp(&b[0]));
        let mut out = 0.0_f64;
        for [from, to] in &stretches {
            if out > 0.0 && *from >= out - slack {
                break;
            }
            out = out.max(*to);
        }
        if out > 0.0 && out < best.0 {
            best = (out, way);
        }
    }
    best
}
