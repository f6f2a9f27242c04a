//! By more turns than one from the start: a search over places and directions.

use super::rest::Rest;
use super::{State, Wind, blocked};
use crate::route::free::fillet::Leg;
use crate::route::free::vector::{along, dist};
use crate::route::free::{Block, Point};
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

/// Turns in degrees, with so many states expanded at most: where the first finds nothing, the
/// next is tried.
const TRIES: [([f64; 2], usize); 2] = [([30.0, 90.0], 800), ([45.0, 90.0], 1500)];
/// With a way in hand, so many more.
const MORE: usize = 40;
/// Factor on what is left: above 1 finds some way soon.
const WEIGHT: f64 = 1.2;

impl Wind<'_> {
    /// By more turns than one from the start: to where a join leads into the goals' fan.
    pub(super) fn turning(
        &self,
        [from, to]: &[Vec<State>; 2],
        stop: &mut dyn FnMut() -> bool,
    ) -> Option<(usize, usize, Vec<Point>)> {
        let last: Vec<&State> = to
            .iter()
            .filter(|s| s.aim.ahead <= 1.1 * self.turn() && s.aim.angle < 1.6)
            .collect();
        let rest = Rest::new(self, to.iter().filter(|s| s.cost == 0.0).map(|s| s.at));
        TRIES.iter().find_map(|(turns, most)| {
            let mut all = Open {
                wind: self,
                rest: &rest,
                turns: *turns,
                last: &last,
                states: Vec::new(),
                heap: BinaryHeap::new(),
                seen: BTreeMap::new(),
            };
            for start in from.iter().filter(|s| s.cost == 0.0) {
                all.push(*start);
            }
            all.search(*most, stop)
        })
    }

    /// Boxes that a turn from here may meet.
    fn boxes_near(&self, at: Point) -> Vec<&Block> {
        // Half a circle reaches twice its radius.
        let reach = 2.0 * self.turn() + self.half;
        let meets = |b: &&Block| (0..3).all(|k| b[0][k] < at[k] + reach && at[k] - reach < b[1][k]);
        self.boxes.iter().filter(meets).collect()
    }

    /// Turns to eight sides: the corner, where they end, the way from there on, and the arc.
    fn turns(&self, at: Point, way: Point, by: [f64; 2]) -> Vec<(Point, Point, Point, Leg)> {
        let sides = (0..8).map(|side| f64::from(side) * std::f64::consts::FRAC_PI_4);
        let all = |side| by.map(|turn| self.turned(at, way, side, turn.to_radians()));
        sides.flat_map(all).collect()
    }
}

/// The states of one search.
struct Open<'a> {
    wind: &'a Wind<'a>,
    rest: &'a Rest,
    turns: [f64; 2],
    last: &'a [&'a State],
    states: Vec<State>,
    heap: BinaryHeap<Reverse<(u64, usize)>>,
    seen: BTreeMap<[i32; 6], f64>,
}

impl Open<'_> {
    /// Expands so many states at most; the way's ends, and its corners.
    fn search(
        &mut self,
        most: usize,
        stop: &mut dyn FnMut() -> bool,
    ) -> Option<(usize, usize, Vec<Point>)> {
        let mut best: Option<(f64, usize, usize, [Point; 2])> = None;
        let mut left = most;
        while let Some(Reverse((_, i))) = self.heap.pop() {
            if left == 0 || (left.is_multiple_of(16) && stop()) {
                break;
            }
            left -= 1;
            let State { at, way, cost, .. } = self.states[i];
            for (goal, target) in self.last.iter().enumerate() {
                let least = best.as_ref().map_or(f64::INFINITY, |b| b.0);
                if cost + dist(at, target.at) + target.cost >= least {
                    continue;
                }
                let Some(join) = self.wind.join(at, way, (target.at, target.way)) else {
                    continue;
                };
                let length = cost + join.length + target.cost;
                if length < least && self.wind.is_clear(at, target.at, &join) {
                    if best.is_none() {
                        left = left.min(MORE);
                    }
                    best = Some((length, i, goal, join.corners));
                }
            }
            self.expand(i);
        }
        let (_, end, goal, corners) = best?;
        let goal = self.last[goal];
        let mut inner: Vec<Point> = goal.corner.into_iter().collect();
        inner.extend([corners[1], corners[0]]);
        let mut at = Some(end);
        while let Some(i) = at {
            inner.extend(self.states[i].corner);
            at = self.states[i].from;
        }
        inner.reverse();
        Some((self.states[end].end, goal.end, inner))
    }

    fn push(&mut self, state: State) {
        let cell = self.cell(state.at, state.way);
        if self
            .seen
            .get(&cell)
            .is_some_and(|c| *c <= state.cost + 1e-9)
        {
            return;
        }
        let Some(rest) = self.rest.of(state.at) else {
            return;
        };
        self.seen.insert(cell, state.cost);
        let key = state.cost + WEIGHT * rest;
        self.heap.push(Reverse((key.to_bits(), self.states.len())));
        self.states.push(state);
    }

    /// What may come next: straight on, and the turns.
    fn expand(&mut self, i: usize) {
        let here = self.states[i];
        let wind = self.wind;
        let near = wind.boxes_near(here.at);
        let on = along(here.at, here.way, 0.5 * wind.turn());
        let straight = Leg::Straight { a: here.at, b: on };
        let turns = wind.turns(here.at, here.way, self.turns).into_iter();
        let all = turns.map(|(corner, to, way, leg)| (Some(corner), to, way, leg));
        for (corner, at, way, leg) in all.chain([(None, on, here.way, straight)]) {
            let free = wind.inside(at) && !blocked(&leg, wind.half, near.iter().copied());
            if free {
                self.push(State {
                    at,
                    way,
                    cost: here.cost + leg.length(),
                    from: Some(i),
                    corner,
                    ..here
                });
            }
        }
    }

    /// Places within half a radius, and directions within some 20 degrees, are one.
    fn cell(&self, at: Point, way: Point) -> [i32; 6] {
        let step = 0.5 * self.wind.radius;
        // The casts saturate; a place is inside the bounds.
        let place: [i32; 3] = std::array::from_fn(|k| (at[k] / step).floor() as i32);
        let turn = way.map(|x| (x * 2.0).round() as i32);
        [place[0], place[1], place[2], turn[0], turn[1], turn[2]]
    }
}
