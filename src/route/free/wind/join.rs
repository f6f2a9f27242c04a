//! A turn, a straight piece and a turn between two places with directions.

use super::Wind;
use crate::route::free::Point;
use crate::route::free::fillet::Leg;
use crate::route::free::vector::{along, cross, dot, norm, sub, unit};

/// The corners of a turn, a straight piece and a turn.
pub(super) struct Join {
    pub corners: [Point; 2],
    pub angles: [f64; 2],
    pub length: f64,
}

impl Wind<'_> {
    /// A turn, a straight piece and a turn to a goal, given by where it may bend and the way out
    /// of it. The corners' distances depend on the angles and the angles on the corners; a few
    /// rounds settle them, where there is such a way.
    pub(super) fn join(&self, at: Point, way: Point, goal: (Point, Point)) -> Option<Join> {
        let r = self.turn();
        let mut takes = [0.0f64; 2];
        for _ in 0..14 {
            let corners = [along(at, way, takes[0]), along(goal.0, goal.1, takes[1])];
            let between = sub(corners[1], corners[0]);
            let long = norm(between);
            if long <= 1e-9 {
                return None;
            }
            let ahead = between.map(|x| x / long);
            let cos = [dot(way, ahead), -dot(goal.1, ahead)];
            if cos.iter().any(|c| *c < -0.97) {
                return None;
            }
            let next = cos.map(|c| r * ((1.0 - c) / (1.0 + c)).max(0.0).sqrt());
            let off = (next[0] - takes[0]).abs().max((next[1] - takes[1]).abs());
            takes = [0, 1].map(|i| 0.8 * next[i] + 0.2 * takes[i]);
            if off < 1e-3 {
                if takes[0] + takes[1] > long {
                    return None;
                }
                let angles = takes.map(|t| 2.0 * (t / r).atan());
                return Some(Join {
                    corners,
                    angles,
                    length: long + (0..2).map(|i| r * angles[i] - takes[i]).sum::<f64>(),
                });
            }
        }
        None
    }

    /// True where a join keeps clear of everything.
    pub(super) fn is_clear(&self, at: Point, goal: Point, join: &Join) -> bool {
        let [a, b] = join.corners;
        let ahead = unit(sub(b, a));
        let r = self.turn();
        let takes = join.angles.map(|x| r * (0.5 * x).tan());
        let (leave, arrive) = (along(a, ahead, takes[0]), along(b, ahead, -takes[1]));
        let arc = |start: Point, corner: Point, end: Point, angle: f64| {
            let (d, e) = (sub(corner, start), sub(end, corner));
            let normal = unit(cross(d, e));
            Leg::Arc {
                centre: along(start, cross(normal, unit(d)), r),
                start,
                end,
                radius: r,
                angle,
                normal,
            }
        };
        let mut legs = vec![Leg::Straight {
            a: leave,
            b: arrive,
        }];
        if join.angles[0] > 1e-6 {
            legs.push(arc(at, a, leave, join.angles[0]));
        }
        if join.angles[1] > 1e-6 {
            legs.push(arc(arrive, b, goal, join.angles[1]));
        }
        legs.iter().all(|leg| {
            (0..=4).all(|i| self.inside(leg.point(f64::from(i) / 4.0)))
                && !self.hits(leg, self.half)
        })
    }
}
