//! How far a cable hangs free between places that hold it.

use super::meets::around_leg;
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

/// A piece of a stretch that nothing holds.
#[derive(Clone, PartialEq, Debug)]
pub struct Span {
    /// Which stretch of the cable.
    pub stretch: usize,
    /// How long it is along the way.
    pub length: Length,
    /// Its middle.
    pub middle: Vec3,
    /// The box around it.
    pub around: Box3,
    /// Places along it, every 5 mm or less.
    pub along: Vec<Vec3>,
}

/// The longest piece of a cable's way that nothing holds, to 5 mm: neither an end, nor
/// a passage or tie that it is led along, nor something solid within 10 mm of its surface.
pub fn longest_free(placed: &Placed, cable: &Cable, run: &CableRun) -> Length {
    let stretches = (0..run.stretches.len()).map(|i| of_stretch(placed, cable, run, i, 0.0));
    let longest = stretches.flatten().map(|s| s.length).max();
    longest.unwrap_or_default()
}

/// The pieces of a cable's way that nothing holds and that are longer than `most`, to 5 mm, in
/// their order along it. Held is as in [`longest_free`].
pub fn free_spans(placed: &Placed, cable: &Cable, run: &CableRun, most: Length) -> Vec<Span> {
    let stretches = 0..run.stretches.len();
    let mut found: Vec<Span> = stretches
        .flat_map(|i| of_stretch(placed, cable, run, i, most.as_mm()))
        .collect();
    found.retain(|s| s.length > most);
    found
}

/// The boxes around a way in which something solid holds it.
pub fn held_reach(cable: &Cable, run: &CableRun) -> Vec<Box3> {
    let near = cable.section.thickness().as_mm() / 2.0 + HELD;
    let legs = run.stretches.iter().flat_map(|s| &s.legs);
    legs.filter_map(|leg| around_leg(leg, near)).collect()
}

/// The pieces of one stretch that nothing holds. Those shorter than `most` may be left out: the
/// way is looked at only where one that is longer would have to come by.
fn of_stretch(
    placed: &Placed,
    cable: &Cable,
    run: &CableRun,
    index: usize,
    most: f64,
) -> Vec<Span> {
    let stretch = &run.stretches[index];
    let long: f64 = stretch.legs.iter().map(Leg::length).sum();
    if long <= most {
        return Vec::new();
    }
    let near = cable.section.thickness().as_mm() / 2.0 + HELD;
    let e = placed.enclosure();
    let held: Vec<Point> = stretch
        .visits
        .iter()
        .filter_map(|v| match v {
            Via::Passage(id) => Some(e.passage(id)?.frame.origin.as_mm()),
            Via::Tie(id) | Via::Chosen(id) => Some(e.tie(id)?.at.as_mm()),
            Via::Point(_) | Via::Corner(_) => None,
        })
        .collect();
    let points = walk(stretch);
    let is_held = |i: usize| {
        let p = points[i].0;
        held.iter().any(|h| norm(sub(*h, p)) <= near) || solid_near(placed, p, near)
    };
    // No piece longer than `most` lies between two of these.
    let step = ((most / STEP).floor() as usize).max(1);
    let (mut found, mut i) = (Vec::new(), step - 1);
    let mut done = 0;
    while i < points.len() {
        if is_held(i) {
            i += step;
            continue;
        }
        let first = (done..i).rev().take_while(|k| !is_held(*k)).last();
        let first = first.unwrap_or(i);
        let end = (i + 1..points.len()).find(|k| is_held(*k));
        let end = end.unwrap_or(points.len());
        found.extend(span(index, &points[first..end]));
        done = end;
        i = end + step;
    }
    found
}

fn span(stretch: usize, points: &[(Point, f64)]) -> Option<Span> {
    let place = |p: Point| {
        let [x, y, z] = p.map(Length::from_mm);
        Some(Vec3::new(x?, y?, z?))
    };
    let along: Vec<Vec3> = points.iter().filter_map(|p| place(p.0)).collect();
    let boxes: Vec<Box3> = along.iter().map(|at| Box3::new(*at, *at)).collect();
    Some(Span {
        stretch,
        length: Length::from_mm(points.iter().map(|p| p.1).sum())?,
        middle: place(points.get(points.len() / 2)?.0)?,
        around: Box3::around(&boxes)?,
        along,
    })
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
