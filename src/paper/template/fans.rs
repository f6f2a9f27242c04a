//! Where the holes of a zone are those of fans: the openings that fans want.

use super::face::Shape;
use crate::model::{HoleShape, Zone};

/// Frame and hole pitch of fans in tenths of millimetres, as in the hole sets of the
/// catalogue (fan outlines in use, transcribed by others).
const FANS: &[(i64, i64)] = &[
    (400, 320),
    (600, 500),
    (800, 715),
    (920, 825),
    (1200, 1050),
    (1400, 1245),
    (2000, 1540),
    (2000, 1700),
];

/// The blades of a fan sweep its frame less this (common practice, no source).
const RIM: f64 = 4.0;

/// Middles of the fans, in the zone's frame, with the diameter of the opening; the
/// largest fans first, and none inside another.
pub(super) fn openings(zone: &Zone) -> Vec<([i64; 2], f64)> {
    // Radiators sit in slots: the middle of one is its hole.
    let middle = |h: &crate::model::Hole| match h.shape {
        HoleShape::Round => Some([h.u.as_um(), h.v.as_um()]),
        HoleShape::Slot { du, dv } => {
            let half = [du.as_um() / 2, dv.as_um() / 2];
            Some([h.u.as_um() + half[0], h.v.as_um() + half[1]])
        }
        HoleShape::Seat { .. } => None,
    };
    let at: Vec<[i64; 2]> = zone.holes.iter().filter_map(middle).take(256).collect();
    let is_hole = |p: [i64; 2]| {
        at.iter()
            .any(|q| (q[0] - p[0]).abs() <= 300 && (q[1] - p[1]).abs() <= 300)
    };
    let mut found: Vec<([i64; 2], f64)> = Vec::new();
    for (frame, pitch) in FANS.iter().rev() {
        let step = pitch * 100;
        for p in &at {
            let corners = [
                [p[0] + step, p[1]],
                [p[0], p[1] + step],
                [p[0] + step, p[1] + step],
            ];
            let middle = [p[0] + step / 2, p[1] + step / 2];
            let diameter = *frame as f64 / 10.0 - RIM;
            let apart = found.iter().all(|(m, d)| {
                let (x, y) = ((m[0] - middle[0]) as f64, (m[1] - middle[1]) as f64);
                x.hypot(y) / 1000.0 >= (d + diameter) / 2.0
            });
            if corners.into_iter().all(is_hole) && apart {
                found.push((middle, diameter));
            }
        }
    }
    found
}

/// True where an opening is there already: one that holds the middle.
pub(super) fn is_open(middle: [f64; 2], cuts: &[Shape]) -> bool {
    cuts.iter().any(|c| c.contains(middle))
}
