//! Openings of an outlined plate that stay holes of one outline.

use super::gap::Body;
use super::plate_cut::{MOST_CORNERS, QUARTER, Slab};
use crate::geom::{Length, Ring, Solid};
use crate::model::Cutout;

/// Corners of a quarter of a round opening in a plate that stays in one piece, at least.
const PLAIN_QUARTER: usize = 12;

/// The plate with its openings as further holes of its outline: where they lie apart within it,
/// and there are not too many for round ones to be round.
pub(super) fn with_holes(
    slab: &Slab,
    outline: &Ring,
    holes: &[Ring],
    cutouts: &[Cutout],
) -> Option<Body> {
    let rounds = cutouts.iter().filter(|c| matches!(c, Cutout::Round { .. }));
    let rounds = rounds.count();
    let own = outline.len() + holes.iter().map(Vec::len).sum::<usize>();
    let left = MOST_CORNERS.checked_sub(own + 4 * (cutouts.len() - rounds))?;
    let quarter = left
        .checked_div(4 * rounds)
        .unwrap_or(QUARTER[1])
        .min(QUARTER[1]);
    if quarter < PLAIN_QUARTER {
        return None;
    }
    let (a, b) = slab.axis.others();
    let mut rings = holes.to_vec();
    let mut taken: Vec<Rect> = holes.iter().filter_map(ring_rect).collect();
    for cutout in cutouts {
        let hole = slab.hole(cutout);
        let rect = Rect {
            low: [hole.min().along(a), hole.min().along(b)],
            high: [hole.max().along(a), hole.max().along(b)],
        };
        if taken.iter().any(|t| t.meets(&rect)) || !ring_holds(outline, &rect) {
            return None;
        }
        taken.push(rect);
        rings.push(slab.outline(cutout, 4 * quarter));
    }
    let solid = Solid::Extrusion {
        axis: slab.axis,
        low: slab.low,
        high: slab.high,
        outline: outline.clone(),
        holes: rings,
    };
    Some(Body::from(solid).bored(slab.bores(cutouts)))
}

/// A rectangle in the plane of an outlined plate.
#[derive(Clone, Copy)]
struct Rect {
    low: [Length; 2],
    high: [Length; 2],
}

impl Rect {
    /// True where they meet, touching included: outlines of holes stay apart.
    fn meets(&self, o: &Rect) -> bool {
        (0..2).all(|i| self.low[i] <= o.high[i] && o.low[i] <= self.high[i])
    }
}

fn ring_rect(ring: &Ring) -> Option<Rect> {
    ring.iter()
        .map(|p| Rect { low: *p, high: *p })
        .reduce(|r, p| Rect {
            low: [r.low[0].min(p.low[0]), r.low[1].min(p.low[1])],
            high: [r.high[0].max(p.high[0]), r.high[1].max(p.high[1])],
        })
}

/// True where the rectangle lies inside the outline: a corner of it does, and no
/// edge of the outline gets near it or touches it: a hole lies within. An edge that passes a corner at a slant may
/// be refused although it misses.
fn ring_holds(outline: &Ring, rect: &Rect) -> bool {
    let mut inside = false;
    let (x, y) = (
        rect.low[0].as_um() as f64 + 0.5,
        rect.low[1].as_um() as f64 + 0.5,
    );
    for (p, q) in outline.iter().zip(outline.iter().cycle().skip(1)) {
        let clear = (0..2).any(|i| p[i].max(q[i]) < rect.low[i] || p[i].min(q[i]) > rect.high[i]);
        if !clear {
            return false;
        }
        let (px, py) = (p[0].as_um() as f64, p[1].as_um() as f64);
        let (qx, qy) = (q[0].as_um() as f64, q[1].as_um() as f64);
        if (py > y) != (qy > y) && x < (qx - px) * (y - py) / (qy - py) + px {
            inside = !inside;
        }
    }
    inside
}
