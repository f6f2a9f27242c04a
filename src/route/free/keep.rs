//! Whether a rounded way keeps its distance from boxes.

use super::fillet::{Bent, Leg};
use super::vector::{dist, sub};
use super::{Block, Point};

/// How far the answer for an arc may be off, millimetres, to the safe side.
pub const ARC_TOLERANCE: f64 = 1e-3;
/// Rounding that is allowed before a straight leg counts as too near, millimetres.
const ROUNDING: f64 = 1e-7;

/// Where a way comes too near to a box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clash {
    /// Which leg.
    pub leg: usize,
    /// Which box.
    pub block: usize,
    /// The place on the leg, as a share of its length.
    pub at: f64,
    /// Distance of leg and box there, millimetres; 0 where the leg is inside.
    pub gap: f64,
}

/// Whether every leg keeps `half_diameter` from every box; touching is fine. For arcs the answer is
/// safe: one that is nearer than that by anything is never called clear, one that is farther by less
/// than 0.001 mm may be called a clash.
pub fn clear(way: &Bent, boxes: &[Block], half_diameter: f64) -> bool {
    way.legs.iter().all(|leg| {
        boxes
            .iter()
            .all(|b| too_near(leg, b, half_diameter).is_none())
    })
}

/// For every leg the box that it comes nearest to, of those nearer than `half_diameter`.
pub fn clashes(way: &Bent, boxes: &[Block], half_diameter: f64) -> Vec<Clash> {
    let mut out = Vec::new();
    for (leg, piece) in way.legs.iter().enumerate() {
        let mut worst: Option<Clash> = None;
        for (block, b) in boxes.iter().enumerate() {
            if let Some((at, gap)) = too_near(piece, b, half_diameter)
                && worst.is_none_or(|w| gap < w.gap)
            {
                worst = Some(Clash {
                    leg,
                    block,
                    at,
                    gap,
                });
            }
        }
        out.extend(worst);
    }
    out
}

/// Place and distance where the leg is nearer to the box than `half`.
pub fn too_near(leg: &Leg, b: &Block, half: f64) -> Option<(f64, f64)> {
    if !may_be_near(leg, b, half) {
        return None;
    }
    match *leg {
        Leg::Straight { a, b: end } => {
            let (at, gap) = segment_gap(a, end, b);
            // At no distance at all, lying on a face is fine and running inside is not.
            let near = if half > 0.0 {
                gap < half - ROUNDING
            } else {
                gap == 0.0 && enters(a, end, b)
            };
            near.then_some((at, gap))
        }
        Leg::Arc { .. } => arc_near(leg, b, half, 0.0, 1.0),
    }
}

/// Whether a leg is nearer to a box than `half`: what [`too_near`] says, without where and how
/// much, and several times as fast.
pub fn meets(leg: &Leg, b: &Block, half: f64) -> bool {
    match *leg {
        Leg::Straight { .. } => too_near(leg, b, half).is_some(),
        Leg::Arc { start, end, .. } => {
            may_be_near(leg, b, half)
                && (point_gap(start, b) < half - ROUNDING
                    || point_gap(end, b) < half - ROUNDING
                    || arc_meets(leg, b, half, [0.0, 1.0], [start, end]))
        }
    }
}

/// The same for a piece of an arc whose ends are far enough off.
fn arc_meets(leg: &Leg, b: &Block, half: f64, [from, to]: [f64; 2], ends: [Point; 2]) -> bool {
    let Leg::Arc { radius, angle, .. } = *leg else {
        return false;
    };
    // The arc lies within this of its chord: 1 - cos x is no more than half of x squared.
    let bulge = 0.125 * radius * (angle * (to - from)).powi(2);
    let (_, gap) = segment_gap(ends[0], ends[1], b);
    if gap - bulge >= half - ROUNDING {
        return false;
    }
    if bulge <= ARC_TOLERANCE {
        return true;
    }
    let t = 0.5 * (from + to);
    let middle = leg.point(t);
    point_gap(middle, b) < half - ROUNDING
        || arc_meets(leg, b, half, [from, t], [ends[0], middle])
        || arc_meets(leg, b, half, [t, to], [middle, ends[1]])
}

/// A quick look at the bounds of the leg.
fn may_be_near(leg: &Leg, b: &Block, half: f64) -> bool {
    let (p, q, more) = match *leg {
        Leg::Straight { a, b } => (a, b, half),
        // Within this of the chord.
        Leg::Arc {
            start,
            end,
            radius,
            angle,
            ..
        } => (start, end, half + radius * (1.0 - (0.5 * angle).cos())),
    };
    (0..3).all(|k| p[k].min(q[k]) - more <= b[1][k] && p[k].max(q[k]) + more >= b[0][k])
}

/// Halves the arc until its chord decides.
fn arc_near(leg: &Leg, b: &Block, half: f64, from: f64, to: f64) -> Option<(f64, f64)> {
    let Leg::Arc { radius, angle, .. } = *leg else {
        return None;
    };
    let (start, end) = (leg.point(from), leg.point(to));
    // The arc lies within this of its chord.
    let bulge = radius * (1.0 - (0.5 * angle * (to - from)).cos());
    let (at, gap) = segment_gap(start, end, b);
    if gap - bulge >= half - ROUNDING {
        return None;
    }
    let middle = 0.5 * (from + to);
    if bulge <= ARC_TOLERANCE && to - from < 0.5 {
        return Some((from + at * (to - from), gap));
    }
    let (left, right) = (
        arc_near(leg, b, half, from, middle),
        arc_near(leg, b, half, middle, to),
    );
    match (left, right) {
        (Some(l), Some(r)) => Some(if l.1 <= r.1 { l } else { r }),
        (l, r) => l.or(r),
    }
}

/// Distance of a point from a box; 0 inside.
fn point_gap(p: Point, b: &Block) -> f64 {
    let off: Point = std::array::from_fn(|k| (b[0][k] - p[k]).max(p[k] - b[1][k]).max(0.0));
    dist(off, [0.0; 3])
}

/// Where a segment comes nearest to a box, as a share of its length, and how near. The square of the
/// distance is convex along the segment and a parabola between the places where it passes a face.
fn segment_gap(a: Point, b: Point, block: &Block) -> (f64, f64) {
    let d = sub(b, a);
    let mut cuts = [0.0; 8];
    let mut n = 1;
    for k in 0..3 {
        for side in block {
            let t = (side[k] - a[k]) / d[k];
            if t > 0.0 && t < 1.0 {
                cuts[n] = t;
                n += 1;
            }
        }
    }
    cuts[n] = 1.0;
    n += 1;
    cuts[1..n - 1].sort_by(f64::total_cmp);
    let mut best = (0.0, point_gap(a, block));
    for w in cuts[..n].windows(2) {
        let middle = 0.5 * (w[0] + w[1]);
        // Slope of half the squared distance, linear in t between two cuts.
        let (mut constant, mut linear) = (0.0, 0.0);
        for k in 0..3 {
            let x = a[k] + d[k] * middle;
            let face = if x < block[0][k] {
                block[0][k]
            } else if x > block[1][k] {
                block[1][k]
            } else {
                continue;
            };
            constant += d[k] * (a[k] - face);
            linear += d[k] * d[k];
        }
        let t = if linear > 0.0 {
            (-constant / linear).clamp(w[0], w[1])
        } else {
            w[0]
        };
        for t in [t, w[1]] {
            let gap = point_gap(std::array::from_fn(|k| a[k] + d[k] * t), block);
            if gap < best.1 {
                best = (t, gap);
            }
        }
    }
    best
}

/// Whether the segment has a stretch inside the box.
fn enters(a: Point, b: Point, block: &Block) -> bool {
    let (mut enter, mut leave) = (0.0f64, 1.0f64);
    for k in 0..3 {
        let d = b[k] - a[k];
        if d == 0.0 {
            if a[k] <= block[0][k] || a[k] >= block[1][k] {
                return false;
            }
            continue;
        }
        let (t, u) = ((block[0][k] - a[k]) / d, (block[1][k] - a[k]) / d);
        enter = enter.max(t.min(u));
        leave = leave.min(t.max(u));
    }
    leave - enter > 1e-10
}

#[cfg(test)]
mod tests {
    use super::super::fillet::fillet;
    use super::*;
    use proptest::prelude::*;

    const UNIT: Block = [[0.0; 3], [10.0; 3]];

    fn straight(a: Point, b: Point) -> Bent {
        Bent {
            legs: vec![Leg::Straight { a, b }],
            length: dist(a, b),
        }
    }

    #[test]
    fn a_straight_leg_may_touch_but_not_come_nearer() {
        let beside = straight([-5.0, 12.0, 5.0], [15.0, 12.0, 5.0]);
        assert!(clear(&beside, &[UNIT], 2.0));
        assert!(!clear(&beside, &[UNIT], 2.001));
        // Past an edge, the distance is that of the corner.
        let past = straight([12.0, 8.0, 5.0], [8.0, 12.0, 5.0]);
        assert_eq!(
            clashes(&past, &[UNIT], 0.1),
            vec![Clash {
                leg: 0,
                block: 0,
                at: 0.5,
                gap: 0.0
            }]
        );
        let on_face = straight([0.0, 10.0, 5.0], [10.0, 10.0, 5.0]);
        assert!(clear(&on_face, &[UNIT], 0.0));
        assert!(!clear(
            &straight([0.0, 9.9, 5.0], [10.0, 9.9, 5.0]),
            &[UNIT],
            0.0
        ));
    }

    #[test]
    fn an_arc_around_a_corner_keeps_its_sagitta() {
        // A quarter of radius 20 about (-8, -8): nearest to the box's edge at the middle of the arc.
        let bent = fillet(
            &[[-8.0, 12.0, 5.0], [12.0, 12.0, 5.0], [12.0, -8.0, 5.0]],
            20.0,
            [0.0; 2],
        )
        .expect("fits");
        let gap = 20.0 - 2f64.sqrt() * 18.0;
        assert!(gap < 0.0, "the arc cuts the corner of the box");
        assert!(!clear(&bent, &[UNIT], 0.0));
        let smaller = [[0.0; 3], [6.0; 3]];
        let gap = 20.0 - 2f64.sqrt() * 14.0;
        assert!(clear(&bent, &[smaller], gap - 2.0 * ARC_TOLERANCE));
        assert!(!clear(&bent, &[smaller], gap + 1e-6));
    }

    fn point() -> impl Strategy<Value = Point> {
        [-20.0..30.0, -20.0..30.0, -20.0..30.0]
    }

    proptest! {
        // Against a dense walk along the way.
        #[test]
        fn agrees_with_a_walk_along_the_way(a in point(), b in point(), c in point(), radius in 1.0..12.0, half in 0.1..6.0) {
            let Ok(bent) = fillet(&[a, b, c], radius, [0.0; 2]) else { return Ok(()) };
            let walked = bent.legs.iter().flat_map(|leg| (0..=4000).map(|i| point_gap(leg.point(f64::from(i) / 4000.0), &UNIT)))
                .fold(f64::INFINITY, f64::min);
            // The quick answer is the same but for the tolerance at an arc's limit.
            let met = |by: f64| bent.legs.iter().any(|leg| meets(leg, &UNIT, half + by));
            prop_assert!(clear(&bent, &[UNIT], half) || met(2.0 * ARC_TOLERANCE));
            prop_assert!(!clear(&bent, &[UNIT], half) || !met(-2.0 * ARC_TOLERANCE));
            if clear(&bent, &[UNIT], half) {
                prop_assert!(walked >= half - 1e-6, "called clear at {walked}");
            } else {
                prop_assert!(walked <= half + ARC_TOLERANCE + 0.02, "called a clash at {walked}");
            }
        }
    }
}
