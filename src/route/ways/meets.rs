//! What the drawn way of a cable runs through, with half its thickness.

use super::solid;
use crate::geom::{Box3, Length, Solid, Vec3};
use crate::model::{Cable, PortRef, Space, Via};
use crate::placement::{Placed, Thing};
use crate::route::bend::{Leg, Point, add, dot, norm, sub, unit};
use crate::route::run::{CableRun, Stretch};
use std::collections::BTreeMap;

/// A way may come nearer by so much, in millimetres: it stands for touching.
const TOUCH: f64 = 2e-3;
/// An arc is looked at as a chain of chords that lie within this of it, in millimetres.
const SAG: f64 = 0.02;

/// What a way meets.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Met {
    /// A part's material, or a plate's.
    Solid(Thing),
    /// The outside of the enclosure.
    Outside,
}

/// A place at which a way does not go, the deepest of what it meets.
#[derive(Clone, PartialEq, Debug)]
pub struct Meeting {
    /// Through what.
    pub met: Met,
    /// Which stretch of the run.
    pub stretch: usize,
    /// The place on the cable's middle line, in millimetres.
    pub at: Point,
    /// How much further off the middle line would have to be there, in millimetres.
    pub by: f64,
}

/// All that a cable's way runs through, the deepest place of each; half of the thickness
/// of its section counts all along.
///
/// Not looked at: the straight ends for plug and strain relief, whose room is judged by
/// itself; the part at an end within half the thickness of where the lead leaves it; the
/// plate of a passage, within its clear opening, where the way is led through it; and
/// along a tie the plate that it is fixed to; other plates there are. Touching is no meeting.
pub fn meetings(placed: &Placed, cable: &Cable, run: &CableRun) -> Vec<Meeting> {
    let mut worst: BTreeMap<Met, Meeting> = BTreeMap::new();
    for (index, stretch) in run.stretches.iter().enumerate() {
        look(placed, cable, index, stretch, &mut worst);
    }
    worst.into_values().collect()
}

/// The same for one stretch of a run: the deepest place of all.
pub(super) fn deepest(placed: &Placed, cable: &Cable, stretch: &Stretch) -> Option<Meeting> {
    let mut worst = BTreeMap::new();
    look(placed, cable, 0, stretch, &mut worst);
    worst.into_values().max_by(|a, b| a.by.total_cmp(&b.by))
}

fn look(
    placed: &Placed,
    cable: &Cable,
    index: usize,
    stretch: &Stretch,
    worst: &mut BTreeMap<Met, Meeting>,
) {
    let half = cable.section.thickness().as_mm() / 2.0;
    let mut look = Look {
        placed,
        half,
        index,
        excused: excused(placed, stretch, half),
        ends: ends(stretch, half),
        worst,
    };
    for piece in pieces(stretch) {
        look.piece(piece);
    }
}

/// The boxes around the pieces of a way that are looked at, with half its thickness.
pub fn reach(cable: &Cable, run: &CableRun) -> Vec<Box3> {
    let half = cable.section.thickness().as_mm() / 2.0 + TOUCH;
    let stretches = run.stretches.iter();
    let legs = stretches.flat_map(|s| body(s).iter());
    legs.filter_map(|leg| around_leg(leg, half)).collect()
}

/// A straight piece of a way, from here to there.
pub(super) type Piece = (Point, Point);

/// The legs between the straight ends.
fn body(stretch: &Stretch) -> &[Leg] {
    let legs = &stretch.legs;
    let [first, last] = stubs(stretch).map(|long| usize::from(long > TOUCH));
    if legs.len() < first + last {
        return &[];
    }
    &legs[first..legs.len() - last]
}

/// Lengths of the straight ends: from the face to where the cable may bend.
fn stubs(stretch: &Stretch) -> [f64; 2] {
    let p = &stretch.points;
    match p.len() {
        0..4 => [0.0; 2],
        n => [norm(sub(p[1], p[0])), norm(sub(p[n - 1], p[n - 2]))],
    }
}

/// A way between its straight ends, arcs as chains of chords.
pub(super) fn pieces(stretch: &Stretch) -> Vec<Piece> {
    let mut out = Vec::new();
    for leg in body(stretch) {
        match *leg {
            Leg::Straight { from, to } => out.push((from, to)),
            Leg::Arc {
                from,
                centre,
                radius,
                angle,
                ..
            } => {
                let chords = chords(radius, angle);
                let (u, w) = (sub(from, centre), toward(leg));
                let at = |i: usize| {
                    let (sin, cos) = (angle * i as f64 / chords as f64).sin_cos();
                    add(add(centre, u, cos), w, radius * sin)
                };
                out.extend((0..chords).map(|i| (at(i), at(i + 1))));
            }
        }
    }
    out
}

/// The way in which an arc sets out.
fn toward(leg: &Leg) -> Point {
    let Leg::Arc {
        from, to, centre, ..
    } = *leg
    else {
        return [0.0; 3];
    };
    let (u, v) = (unit(sub(from, centre)), sub(to, centre));
    unit(add(v, u, -dot(u, v)))
}

fn chords(radius: f64, angle: f64) -> usize {
    let widest = 2.0 * (1.0 - SAG / radius.max(SAG)).clamp(-1.0, 1.0).acos();
    (angle / widest.max(0.01)).ceil().clamp(1.0, 400.0) as usize
}

pub(super) fn around_leg(leg: &Leg, half: f64) -> Option<Box3> {
    match *leg {
        Leg::Straight { from, to } => around(from, to, half),
        Leg::Arc {
            from,
            to,
            radius,
            angle,
            ..
        } => around(from, to, half + radius * (1.0 - (angle / 2.0).cos())),
    }
}

fn around(a: Point, b: Point, more: f64) -> Option<Box3> {
    let corner = |sign: f64| -> Option<Vec3> {
        let at = |k: usize| {
            let edge = if sign < 0.0 {
                a[k].min(b[k])
            } else {
                a[k].max(b[k])
            };
            Length::from_mm(edge + sign * more)
        };
        Some(Vec3::new(at(0)?, at(1)?, at(2)?))
    };
    Some(Box3::new(corner(-1.0)?, corner(1.0)?))
}

/// Where a part at an end is not looked at.
struct End {
    part: PortRef,
    at: Point,
    near: f64,
}

fn ends(stretch: &Stretch, half: f64) -> Vec<End> {
    let p = &stretch.points;
    let (Some(first), Some(last)) = (p.first(), p.last()) else {
        return Vec::new();
    };
    let [a, b] = stubs(stretch);
    [(&stretch.from, *first, a), (&stretch.to, *last, b)]
        .map(|(part, at, stub)| End {
            part: part.clone(),
            at,
            near: stub + half + OWN,
        })
        .into()
}

/// A captive lead comes out of its part somewhere near the place drawn, in millimetres.
const OWN: f64 = 3.0;

/// The middle of a passage, and a tie, may lie so far off its plate.
const OFF: Length = Length::mm(3);

/// A ball in which something is not looked at.
type Ball = (Point, f64);

/// Around passages and ties, each with the box that its own plate meets: other plates near by
/// are looked at.
fn excused(placed: &Placed, stretch: &Stretch, half: f64) -> Vec<(Box3, Ball)> {
    let e = placed.enclosure();
    let ball = |via: &Via| {
        let (at, radius) = match via {
            Via::Passage(id) => {
                let p = e.passage(id)?;
                let [u, v] = p.clear.map(|l| l.as_mm() / 2.0);
                (p.frame.origin, u.hypot(v) + half)
            }
            Via::Tie(id) | Via::Chosen(id) => (e.tie(id)?.at, 2.0 * half + OWN),
            Via::Point(_) | Via::Corner(_) => return None,
        };
        Some((Box3::new(at, at).grown(OFF), (at.as_mm(), radius)))
    };
    stretch.visits.iter().filter_map(ball).collect()
}

struct Look<'a> {
    placed: &'a Placed,
    half: f64,
    index: usize,
    excused: Vec<(Box3, Ball)>,
    ends: Vec<End>,
    worst: &'a mut BTreeMap<Met, Meeting>,
}

impl Look<'_> {
    fn piece(&mut self, (from, to): Piece) {
        let Some(around) = around(from, to, self.half) else {
            return;
        };
        let placed = self.placed;
        for part in placed.near(&around, Length::ZERO) {
            for q in part.of(Space::Solid).filter(|q| q.bounds.overlaps(&around)) {
                let own = self.ends.iter().filter(|e| e.part.part == part.id);
                let balls: Vec<Ball> = own.map(|e| (e.at, e.near)).collect();
                let met = Met::Solid(Thing::Part(part.id.clone()));
                self.against(&q.solid, (from, to), &balls, met);
            }
        }
        for plate in placed.plates_near(&around, Length::ZERO) {
            let own = self.excused.iter().filter(|e| e.0.overlaps(&plate.bounds));
            let balls: Vec<Ball> = own.map(|e| e.1).collect();
            for solid in plate.solids.iter().filter(|s| s.bounds().overlaps(&around)) {
                let met = Met::Solid(Thing::Plate(plate.index));
                self.against(solid, (from, to), &balls, met);
            }
        }
        let room = placed.enclosure().outline();
        if !room.contains(&around) {
            for at in [from, to] {
                self.outside(at, &room);
            }
        }
    }

    fn against(&mut self, solid: &Solid, piece: Piece, balls: &[Ball], met: Met) {
        for (from, to) in outside_balls(piece, balls) {
            let (t, off) = solid::nearest(from, to, solid);
            if off < self.half - TOUCH {
                let at = std::array::from_fn(|k| from[k] + (to[k] - from[k]) * t);
                self.put(met.clone(), at, self.half - off);
            }
        }
    }

    fn outside(&mut self, at: Point, room: &Box3) {
        let (low, high) = (room.min().as_mm(), room.max().as_mm());
        let off = (0..3).map(|k| (low[k] - at[k]).max(at[k] - high[k]) + self.half);
        let by = off.fold(f64::NEG_INFINITY, f64::max);
        if by > TOUCH {
            self.put(Met::Outside, at, by);
        }
    }

    fn put(&mut self, met: Met, at: Point, by: f64) {
        let new = Meeting {
            met: met.clone(),
            stretch: self.index,
            at,
            by,
        };
        match self.worst.get(&met) {
            Some(old) if old.by >= by => {}
            _ => _ = self.worst.insert(met, new),
        }
    }
}

/// The pieces of a straight piece that lie outside all balls.
fn outside_balls(piece: Piece, balls: &[Ball]) -> Vec<Piece> {
    let mut left = vec![(0.0, 1.0)];
    let (from, to) = piece;
    let d = sub(to, from);
    let long = norm(d);
    for (centre, radius) in balls {
        if long <= 0.0 {
            if norm(sub(from, *centre)) < *radius {
                return Vec::new();
            }
            continue;
        }
        let way = unit(d);
        let along = dot(sub(*centre, from), way);
        let aside = norm(sub(add(from, way, along), *centre));
        if aside >= *radius {
            continue;
        }
        let chord = (radius * radius - aside * aside).sqrt();
        let (a, b) = ((along - chord) / long, (along + chord) / long);
        left = left
            .into_iter()
            .flat_map(|(s, t): (f64, f64)| [(s, t.min(a)), (s.max(b), t)])
            .filter(|(s, t)| s < t)
            .collect();
    }
    let at = |t: f64| -> Point { std::array::from_fn(|k| from[k] + d[k] * t) };
    left.into_iter().map(|(s, t)| (at(s), at(t))).collect()
}
