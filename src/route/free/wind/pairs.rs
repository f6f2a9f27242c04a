//! The fans of both ends, and the shortest join between them, refined.

use super::join::Join;
use super::{Aim, State, Wind};
use crate::route::free::vector::dist;
use crate::route::free::{End, Point};

/// The fan of an end: straight on for so many radii, then a turn by so many degrees.
const AHEAD: [f64; 6] = [0.0, 0.5, 1.0, 1.75, 2.75, 4.0];
const FANNED: [f64; 4] = [25.0, 50.0, 75.0, 110.0];
/// Joins between two fans that are worked out, and looked at, at most.
const JOINS: usize = 8_000;
const LOOKS: usize = 400;
/// So many of the shortest are refined.
const REFINED: usize = 2;
/// In which sense the two ends are changed to refine a way.
const SIGNS: [[f64; 2]; 8] = [
    [1.0, 0.0],
    [-1.0, 0.0],
    [0.0, 1.0],
    [0.0, -1.0],
    [1.0, 1.0],
    [-1.0, -1.0],
    [1.0, -1.0],
    [-1.0, 1.0],
];

/// A way by two fanned states and a join, with its length.
type Pair = (f64, [State; 2], Join);

impl Wind<'_> {
    /// The states that an end leads to with one turn at most, clear of everything.
    pub(super) fn fan(&self, ends: &[End]) -> Vec<State> {
        let r = self.turn();
        let mut out = Vec::new();
        for (end, e) in ends.iter().enumerate() {
            for ahead in AHEAD {
                let aim = |angle: f64, side: i32| Aim {
                    ahead: ahead * r,
                    angle: angle.to_radians(),
                    side: f64::from(side) * std::f64::consts::FRAC_PI_4,
                };
                let Some(on) = self.aimed(end, e, aim(0.0, 0)) else {
                    break;
                };
                out.push(on);
                for angle in FANNED {
                    out.extend((0..8).filter_map(|side| self.aimed(end, e, aim(angle, side))));
                }
            }
        }
        out
    }

    /// The shortest join of two fans that is clear of everything, refined.
    pub(super) fn pairs(
        &self,
        fans: &[Vec<State>; 2],
        ends: [&[End]; 2],
        stop: &mut dyn FnMut() -> bool,
    ) -> Option<(usize, usize, Vec<Point>)> {
        let [from, to] = fans;
        let mut order: Vec<(f64, u32, u32)> = Vec::with_capacity(from.len() * to.len());
        for (i, a) in from.iter().enumerate() {
            for (j, b) in to.iter().enumerate() {
                order.push((a.cost + dist(a.at, b.at) + b.cost, i as u32, j as u32));
            }
        }
        let by_length = |p: &(f64, u32, u32), q: &(f64, u32, u32)| p.0.total_cmp(&q.0);
        if order.len() > JOINS {
            order.select_nth_unstable_by(JOINS, by_length);
            order.truncate(JOINS);
        }
        if stop() {
            return None;
        }
        let mut joins: Vec<(f64, u32, u32)> = order
            .into_iter()
            .filter_map(|(_, i, j)| {
                let (a, b) = (&from[i as usize], &to[j as usize]);
                let join = self.join(a.at, a.way, (b.at, b.way))?;
                Some((a.cost + join.length + b.cost, i, j))
            })
            .collect();
        joins.sort_by(|p, q| by_length(p, q).then((p.1, p.2).cmp(&(q.1, q.2))));
        let clear = joins.into_iter().take(LOOKS).filter_map(|(length, i, j)| {
            let (a, b) = (&from[i as usize], &to[j as usize]);
            let join = self.join(a.at, a.way, (b.at, b.way))?;
            let clear = self.is_clear(a.at, b.at, &join);
            clear.then_some((length, [*a, *b], join))
        });
        let mut best: Option<Pair> = None;
        for mut pair in clear.take(REFINED) {
            self.refine(&mut pair, ends, stop);
            if best.as_ref().is_none_or(|b| pair.0 < b.0) {
                best = Some(pair);
            }
        }
        let best = best?;
        let (_, [a, b], join) = best;
        let inner = a.corner.into_iter().chain(join.corners).chain(b.corner);
        Some((a.end, b.end, inner.collect()))
    }

    /// Turns and pieces of a join, as they make it shortest; in steps that are halved.
    fn refine(&self, best: &mut Pair, ends: [&[End]; 2], stop: &mut dyn FnMut() -> bool) {
        let mut share = 0.5;
        while share > 0.01 && !stop() {
            let mut any = false;
            // One end by itself, both alike, both against one another.
            for (what, signs) in (0..3).flat_map(|what| SIGNS.map(|s| (what, s))) {
                let mut pair = best.1;
                let moved = (0..2).filter(|i| signs[*i] != 0.0).try_for_each(|i| {
                    let mut aim = pair[i].aim;
                    let by = signs[i] * share;
                    match what {
                        0 => aim.ahead = (aim.ahead + by * self.radius).max(0.0),
                        1 => aim.angle = (aim.angle + by).clamp(0.0, 2.2),
                        _ => aim.side += by,
                    }
                    let end = pair[i].end;
                    pair[i] = self.aimed(end, &ends[i][end], aim)?;
                    Some(())
                });
                let [a, b] = &pair;
                let join = moved.and_then(|()| self.join(a.at, a.way, (b.at, b.way)));
                let Some(join) = join else { continue };
                let length = a.cost + join.length + b.cost;
                if length < best.0 - 1e-3 && self.is_clear(a.at, b.at, &join) {
                    *best = (length, pair, join);
                    any = true;
                }
            }
            if !any {
                share *= 0.5;
            }
        }
    }
}
