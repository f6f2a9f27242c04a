//! How far a cable hangs free between places that hold it.

use super::solid;
use crate::geom::{Box3, Length, Vec3};
use crate::model::{Cable, Space, Via};
use crate::placement::Placed;
use crate::route::bend::{Leg, Point, add, dot, norm, sub, unit};
use crate::route::run::{CableRun, Stretch};

/// A way is looked at every so many millimetres.
const STEP: f64 = 5.0;
/// A cable whose surface is no farther than this from something solid can be laid or
/// tied on it, in millimetres (common practice, no source).
const HELD: f64 = 10.0;

/// The longest piece of a cable's way that nothing holds, to 5 mm: neither an end, nor
/// a passage or tie that it is led along, nor something solid within 10 mm of its surface.
pub fn longest_free(placed: &Placed, cable: &Cable, run: &CableRun) -> Length {
    let longest = run
        .stretches
        .iter()
        .map(|s| of_stretch(placed, cable, s))
        .fold(0.0, f64::max);
    Length::from_mm(longest).unwrap_or_default()
}

fn of_stretch(placed: &Placed, cable: &Cable, stretch: &Stretch) -> f64 {
    let near = cable.section.thickness().as_mm() / 2.0 + HELD;
    let e = placed.enclosure();
    let held: Vec<Point> = stretch
        .visits
        .iter()
        .filter_map(|v| match v {
            Via::Passage(id) => Some(e.passage(id)?.frame.origin.as_mm()),
            Via::Tie(id) => Some(e.tie(id)?.at.as_mm()),
            Via::Point(_) | Via::Corner(_) => None,
        })
        .collect();
    let is_held =
        |p: Point| held.iter().any(|h| norm(sub(*h, p)) <= near) || solid_near(placed, p, near);
    let (mut longest, mut free) = (0.0f64, 0.0f64);
    for (p, step) in walk(stretch) {
        free = if is_held(p) { 0.0 } else { free + step };
        longest = longest.max(free);
    }
    longest
}

fn solid_near(placed: &Placed, p: Point, near: f64) -> bool {
    let [x, y, z] = p.map(Length::from_mm);
    let (Some(x), Some(y), Some(z), Some(by)) = (x, y, z, Length::from_mm(near)) else {
        return false;
    };
    let at = Vec3::new(x, y, z);
    let around = Box3::new(at, at).grown(by);
    let solid = |s: &crate::geom::Solid| solid::distance(p, s) <= near;
    let parts = placed.near(&around, Length::ZERO);
    let mut solids = parts.iter().flat_map(|part| part.of(Space::Solid));
    solids.any(|q| solid(&q.solid))
        || placed
            .plates_near(&around, Length::ZERO)
            .iter()
            .any(|plate| plate.solids.iter().any(solid))
}

/// Points along a way with the length that each stands for.
fn walk(stretch: &Stretch) -> Vec<(Point, f64)> {
    let mut out = Vec::new();
    for leg in &stretch.legs {
        let long = leg.length();
        let steps = (long / STEP).ceil().clamp(1.0, 20_000.0) as usize;
        for i in 0..steps {
            let t = (i as f64 + 0.5) / steps as f64;
            out.push((at(leg, t), long / steps as f64));
        }
    }
    out
}

fn at(leg: &Leg, t: f64) -> Point {
    match *leg {
        Leg::Straight { from, to } => add(from, sub(to, from), t),
        Leg::Arc {
            from,
            to,
            centre,
            radius,
            angle,
        } => {
            let (u, v) = (unit(sub(from, centre)), sub(to, centre));
            let w = unit(add(v, u, -dot(u, v)));
            let (sin, cos) = (angle * t).sin_cos();
            add(add(centre, u, radius * cos), w, radius * sin)
        }
    }
}
