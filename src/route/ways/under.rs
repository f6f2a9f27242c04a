//! The gap under a board: thin cables get through between its standoffs, but only while
//! the board is not screwed down.

use super::meets::pieces;
use crate::geom::{Box3, Dir, Length, Vec3};
use crate::model::{Group, PartId, Space};
use crate::placement::{Placed, PlacedPart};
use crate::route::bend::{Point, norm, sub};
use crate::route::free::Block;
use crate::route::run::Stretch;

/// A board stands on standoffs of 6 to 13 mm; what is further below it is no gap under
/// it (standoff heights: common practice, no source).
const DEEP: Length = Length::mm(16);
/// A way is under a board where so much of it is, in millimetres: less only grazes its edge.
const LEAST: f64 = 5.0;

/// The gap under a board: from its underside towards what it is screwed to. `None` for
/// what is no board or has no holes to be screwed by.
fn gap(part: &PlacedPart) -> Option<Box3> {
    if part.group != Group::Board {
        return None;
    }
    let down: Dir = part.patterns.first()?.frame.normal;
    let (a, b) = down.axis().others();
    let area = |q: &Box3| q.size().along(a).as_mm() * q.size().along(b).as_mm();
    let sheet = part
        .of(Space::Solid)
        .map(|q| q.bounds)
        .max_by(|p, q| area(p).total_cmp(&area(q)))?;
    let (mut min, mut max) = (sheet.min(), sheet.max());
    let under = sheet.face(down);
    min.set(down.axis(), under);
    max.set(down.axis(), under + DEEP * down.sign());
    Some(Box3::new(min, max))
}

/// The gaps under all boards, as boxes in millimetres that a search may count as solid.
pub(super) fn gaps(placed: &Placed) -> Vec<Block> {
    let all = placed.parts().filter_map(gap);
    all.map(|b| [b.min().as_mm(), b.max().as_mm()]).collect()
}

/// True where a way leads through one of these gaps, and does not only graze it.
pub(super) fn leads_through(gaps: &[Block], stretch: &Stretch) -> bool {
    let all = pieces(stretch);
    gaps.iter()
        .any(|gap| all.iter().map(|(a, b)| inside(*a, *b, gap)).sum::<f64>() >= LEAST)
}

/// The boards that these stretches of a cable lead under: it has to be threaded before
/// they are screwed down.
pub fn leads_under(placed: &Placed, stretches: &[Stretch]) -> Vec<PartId> {
    let Some(around) = around(stretches) else {
        return Vec::new();
    };
    let near = placed.near(&around, DEEP).into_iter();
    near.filter_map(|part| Some((part, gap(part)?)))
        .filter(|(_, gap)| gap.overlaps(&around))
        .filter(|(_, gap)| {
            let all = stretches.iter().flat_map(pieces);
            let gap = [gap.min().as_mm(), gap.max().as_mm()];
            all.map(|(a, b)| inside(a, b, &gap)).sum::<f64>() >= LEAST
        })
        .map(|(part, _)| part.id.clone())
        .collect()
}

fn around(stretches: &[Stretch]) -> Option<Box3> {
    let points = stretches.iter().flat_map(|s| &s.points);
    let boxes = points.filter_map(|p| {
        let [x, y, z] = p.map(Length::from_mm);
        let at = Vec3::new(x?, y?, z?);
        Some(Box3::new(at, at))
    });
    boxes.reduce(|a, b| a.union(&b))
}

/// How much of a straight piece lies in a box, in millimetres.
fn inside(a: Point, b: Point, [low, high]: &Block) -> f64 {
    let (mut from, mut to) = (0.0f64, 1.0f64);
    for k in 0..3 {
        let d = b[k] - a[k];
        if d == 0.0 {
            if a[k] <= low[k] || a[k] >= high[k] {
                return 0.0;
            }
            continue;
        }
        let (s, t) = ((low[k] - a[k]) / d, (high[k] - a[k]) / d);
        from = from.max(s.min(t));
        to = to.min(s.max(t));
    }
    norm(sub(b, a)) * (to - from).max(0.0)
}
