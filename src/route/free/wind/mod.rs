//! Ways for ends that lie too near to one another, or too askew, for the bend radius: a search
//! over straight pieces and turns that swings out to where there is room, and back.
//!
//! A state is a place and a direction. From each the cable goes straight on for half a radius or
//! turns by 30 or 90 degrees (45 or 90 where that finds nothing) to one of eight sides, and
//! wherever a turn, a straight piece and another turn lead to the goal clear of everything, there
//! is a way. What is left is guessed by such a join without obstacles. The way that is found is
//! shortened corner by corner. So it is short, but not proved to be the shortest.

mod far;
mod join;
mod pairs;
mod rest;
mod shorten;

use super::fillet::{Bent, Leg};
use super::keep;
use super::vector::{along, cross, unit};
use super::{Block, End, Point};

/// The search turns with so much more than the radius, so that what it finds holds after rounding.
const WIDER: f64 = 1.0002;

/// Where a cable may wind, and what it keeps.
pub struct Wind<'a> {
    /// The room that is looked at; the way may touch its walls.
    pub bounds: Block,
    /// Obstacles as they are.
    pub boxes: &'a [Block],
    /// Half the cable's diameter, millimetres.
    pub half: f64,
    /// Least bend radius of its middle, millimetres; above 0.
    pub radius: f64,
}

#[derive(Clone, Copy)]
struct State {
    at: Point,
    way: Point,
    cost: f64,
    /// The state before, and the corner between; the start has none.
    from: Option<usize>,
    corner: Option<Point>,
    /// Which end it comes from, and how.
    end: usize,
    aim: Aim,
}

/// Straight on, and a turn to a side: millimetres and radians.
#[derive(Clone, Copy)]
struct Aim {
    ahead: f64,
    angle: f64,
    side: f64,
}

impl Wind<'_> {
    /// A way out of one of the starts and into one of the goals, by a turn at each and a join
    /// between, with which of them it is; `None` where none was found, which is no proof that
    /// there is none.
    pub fn near(
        &self,
        starts: &[End],
        goals: &[End],
        stop: &mut dyn FnMut() -> bool,
    ) -> Option<(usize, usize, Bent)> {
        let fans = [starts, goals].map(|ends| self.fan(ends));
        let found = self.pairs(&fans, [starts, goals], stop)?;
        self.finished(found, [starts, goals], stop)
    }

    /// The same by as many turns as it takes.
    pub fn far(
        &self,
        starts: &[End],
        goals: &[End],
        stop: &mut dyn FnMut() -> bool,
    ) -> Option<(usize, usize, Bent)> {
        let fans = [starts, goals].map(|ends| self.fan(ends));
        let found = self.turning(&fans, stop)?;
        self.finished(found, [starts, goals], stop)
    }

    fn finished(
        &self,
        (start, goal, inner): (usize, usize, Vec<Point>),
        [starts, goals]: [&[End]; 2],
        stop: &mut dyn FnMut() -> bool,
    ) -> Option<(usize, usize, Bent)> {
        let mut points = vec![starts[start].at];
        points.extend(inner);
        points.push(goals[goal].at);
        let bent = self.shorten(points, [starts[start], goals[goal]], stop)?;
        Some((start, goal, bent))
    }

    /// Where one turn out of an end leads; `None` where something is in the way.
    fn aimed(&self, end: usize, e: &End, aim: Aim) -> Option<State> {
        let way = unit(e.direction);
        let free = along(e.at, way, e.stub);
        let at = along(free, way, aim.ahead);
        let plug = Leg::Straight { a: e.at, b: free };
        let on = Leg::Straight { a: free, b: at };
        if !self.inside(free)
            || !self.inside(at)
            || self.hits(&plug, 0.0)
            || self.hits(&on, self.half)
        {
            return None;
        }
        let state = State {
            at,
            way,
            cost: aim.ahead,
            from: None,
            corner: None,
            end,
            aim,
        };
        if aim.angle <= 0.0 {
            return Some(state);
        }
        let (corner, to, towards, arc) = self.turned(at, way, aim.side, aim.angle);
        (self.inside(to) && !self.hits(&arc, self.half)).then_some(State {
            at: to,
            way: towards,
            cost: aim.ahead + arc.length(),
            corner: Some(corner),
            ..state
        })
    }

    fn turn(&self) -> f64 {
        self.radius * WIDER
    }

    fn turned(&self, at: Point, way: Point, side: f64, angle: f64) -> (Point, Point, Point, Leg) {
        let r = self.turn();
        let (u, v) = across(way);
        let (sin, cos) = side.sin_cos();
        let aside: Point = std::array::from_fn(|k| u[k] * cos + v[k] * sin);
        let (sin, cos) = angle.sin_cos();
        let towards: Point = std::array::from_fn(|k| way[k] * cos + aside[k] * sin);
        let take = r * (0.5 * angle).tan();
        let corner = along(at, way, take);
        let to = along(corner, towards, take);
        let arc = Leg::Arc {
            centre: along(at, aside, r),
            start: at,
            end: to,
            radius: r,
            angle,
            normal: unit(cross(way, aside)),
        };
        (corner, to, towards, arc)
    }

    fn inside(&self, p: Point) -> bool {
        (0..3)
            .all(|k| self.bounds[0][k] + self.half <= p[k] && p[k] <= self.bounds[1][k] - self.half)
    }

    fn hits(&self, leg: &Leg, half: f64) -> bool {
        blocked(leg, half, self.boxes.iter())
    }
}

/// True where a leg comes too near to one of these boxes. Most of them are put aside by the
/// bounds of its quarters.
fn blocked<'a>(leg: &Leg, half: f64, mut boxes: impl Iterator<Item = &'a Block>) -> bool {
    let bulge = match *leg {
        Leg::Straight { .. } => 0.0,
        Leg::Arc { radius, angle, .. } => radius * (1.0 - (0.125 * angle).cos()),
    };
    let by = half + bulge;
    let at = [0.0, 0.25, 0.5, 0.75, 1.0].map(|t| leg.point(t));
    let quarters: [Block; 4] = std::array::from_fn(|i| {
        let (p, q) = (at[i], at[i + 1]);
        [
            std::array::from_fn(|k| p[k].min(q[k]) - by),
            std::array::from_fn(|k| p[k].max(q[k]) + by),
        ]
    });
    boxes.any(|b| {
        let meets = |q: &Block| (0..3).all(|k| q[0][k] <= b[1][k] && b[0][k] <= q[1][k]);
        quarters.iter().any(meets) && keep::meets(leg, b, half)
    })
}

/// Two directions across a unit one.
fn across(way: Point) -> (Point, Point) {
    let least = (0..3)
        .min_by(|&i, &j| way[i].abs().total_cmp(&way[j].abs()))
        .unwrap_or(0);
    let mut axis = [0.0; 3];
    axis[least] = 1.0;
    let u = unit(cross(way, axis));
    (u, cross(way, u))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::route::free::{BendRequest, bend_route, clear};

    const ROOM: Block = [[-200.0; 3], [300.0; 3]];

    fn end(at: Point, direction: Point) -> End {
        End {
            at,
            direction,
            stub: 5.0,
        }
    }

    /// Joined without a gap, out of both ends as they look, with no bend tighter than allowed,
    /// and clear of all boxes.
    #[track_caller]
    fn assert_sound(bent: &Bent, ends: [End; 2], boxes: &[Block], half: f64, radius: f64) {
        let off = |a: Point, b: Point| (0..3).map(|k| (a[k] - b[k]).powi(2)).sum::<f64>().sqrt();
        let mut at = ends[0].at;
        for leg in &bent.legs {
            assert!(off(leg.point(0.0), at) < 1e-6);
            at = leg.point(1.0);
            if let Leg::Arc { radius: r, .. } = leg {
                assert!(*r >= radius - 1e-9);
            }
        }
        assert!(off(at, ends[1].at) < 1e-6);
        let last = bent.legs.len() - 1;
        let inner = |leg: &Leg, from: f64, to: f64| off(leg.point(from), leg.point(to));
        assert!(inner(&bent.legs[0], 0.0, 1.0) >= 5.0 && inner(&bent.legs[last], 0.0, 1.0) >= 5.0);
        let body = Bent {
            legs: bent.legs[1..last].to_vec(),
            length: 0.0,
        };
        assert!(clear(&body, boxes, half - 1e-3));
    }

    // Two ports side by side, 10 apart, both upwards, with a radius of 24: turned outwards by
    // a, back by a half circle and 2 a, and by a again. The middles of the outer circles are
    // 29 aside and 48 from that of the middle one: a = acos(29/48). It is Dubins' way with
    // three arcs, 24 (pi + 4 a), and both straight ends.
    #[test]
    fn ends_side_by_side_are_joined_by_a_loop() {
        let boxes = [[[0.0, 0.0, 0.0], [100.0, 100.0, 20.0]]];
        let ends = [
            end([30.0, 50.0, 20.0], [0.0, 0.0, 1.0]),
            end([40.0, 50.0, 20.0], [0.0, 0.0, 1.0]),
        ];
        let wind = Wind {
            bounds: ROOM,
            boxes: &boxes,
            half: 2.0,
            radius: 24.0,
        };
        let best = 24.0 * (std::f64::consts::PI + 4.0 * (29f64 / 48.0).acos()) + 10.0;
        for found in [
            wind.near(&ends[..1], &ends[1..], &mut || false),
            wind.far(&ends[..1], &ends[1..], &mut || false),
        ] {
            let (_, _, bent) = found.expect("a loop");
            assert_sound(&bent, ends, &boxes, 2.0, 24.0);
            assert!(bent.length < 1.35 * best, "{} {best}", bent.length);
        }
    }

    // From below a shelf, away from its edge, to a port above it that looks away from the edge
    // as well: turned about, round the shelf's edge, turned about again.
    #[test]
    fn a_way_round_a_shelf_and_back_is_found_and_a_walled_up_end_is_not() {
        let boxes = [
            [[-200.0, -200.0, 40.0], [120.0, 300.0, 44.0]],
            [[-200.0, -200.0, 108.0], [300.0, 300.0, 300.0]],
        ];
        let ends = [
            end([60.0, 50.0, 0.0], [-1.0, 0.0, 0.0]),
            end([40.0, 50.0, 76.0], [-1.0, 0.0, 0.0]),
        ];
        let wind = Wind {
            bounds: ROOM,
            boxes: &boxes,
            half: 2.0,
            radius: 20.0,
        };
        let found = wind.far(&ends[..1], &ends[1..], &mut || false);
        let (_, _, bent) = found.expect("a way");
        assert_sound(&bent, ends, &boxes, 2.0, 20.0);
        // No way is shorter than the straight line over the shelf's edge.
        assert!(bent.length > 2.0 * 60.0);
        let plain = BendRequest {
            bounds: ROOM,
            boxes: &boxes,
            ends,
            diameter: 4.0,
            radius: 20.0,
        };
        if let Ok(other) = bend_route(&plain, &mut || false) {
            assert!(
                bent.length < 1.6 * other.length,
                "{} {}",
                bent.length,
                other.length
            );
        }
        let shut = [[[-40.0, 0.0, -200.0], [50.0, 100.0, 300.0]]];
        let wind = Wind {
            boxes: &shut,
            ..wind
        };
        assert!(wind.near(&ends[..1], &ends[1..], &mut || false).is_none());
        assert!(wind.far(&ends[..1], &ends[1..], &mut || false).is_none());
    }
}
