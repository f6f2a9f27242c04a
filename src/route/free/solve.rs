//! From a question to a way: how the searches follow one another.

use super::cells::{Link, link};
use super::ends::openings;
use super::graph::{Graph, NONE, Over};
use super::search::{End, Plan, run};
use super::slide::length;
use super::space::Space;
use super::taut::{Corner, Line};
use super::vector::dist;
use super::{NoWay, Point, Way};

/// The first search looks at ways that are longer than the straight line by this share.
const FIRST_EXCESS: f64 = 0.008;
/// Each further one looks this much further.
const GROWTH: f64 = 2.5;
/// From this excess on some way is sought first, so that its length bounds the searches.
const FAR: f64 = 0.05;
/// A sampled way may be this much longer than the best one and still be pulled taut to a better one.
const SLACK: f64 = 0.002;
/// The same with the finer samples of the last search.
const FINE_SLACK: f64 = 0.0005;
/// Samples of the last search to one of the others.
const FINER: f64 = 8.0 / 3.0;
/// Nodes expanded at most in a search: for any way, for the best, and for a still better one.
const LIMITS: [usize; 3] = [4_000, 100_000, 3_000];

struct Solver<'a> {
    space: &'a Space,
    starts: &'a [Point],
    goals: &'a [Point],
    over: Vec<Over>,
    best: Option<(f64, Line)>,
    complete: bool,
    stopped: bool,
}

/// The shortest way; `stop` is asked now and then, and once it answers true the best way so far is
/// given, or [`NoWay::Stopped`]. Without `fine` the last search is left out, which takes half the
/// time or more and finds as short a way in most cases.
pub fn shortest(
    space: &Space,
    start: Point,
    goal: Point,
    fine: bool,
    stop: &mut dyn FnMut() -> bool,
) -> Result<Way, NoWay> {
    if !start.iter().chain(&goal).all(|x| x.is_finite()) {
        return Err(NoWay::BadPoint);
    }
    let starts = openings(space, start);
    if starts.is_empty() {
        return Err(NoWay::StartBlocked);
    }
    let goals = openings(space, goal);
    if goals.is_empty() {
        return Err(NoWay::GoalBlocked);
    }
    for s in &starts {
        for g in &goals {
            if space.clear(*s, *g) {
                let corners = Vec::new();
                let line = Line {
                    start: *s,
                    goal: *g,
                    corners,
                };
                return finish(space, start, goal, &line, true);
            }
        }
    }
    let over = space
        .edges
        .iter()
        .map(|e| Over::new(e, starts[0], goals[0]))
        .collect();
    let mut solver = Solver {
        space,
        starts: &starts,
        goals: &goals,
        over,
        best: None,
        complete: true,
        stopped: false,
    };
    solver.solve(fine, stop)?;
    match &solver.best {
        Some((_, line)) => finish(space, start, goal, line, solver.complete),
        None => Err(if solver.stopped {
            NoWay::Stopped
        } else {
            NoWay::GaveUp
        }),
    }
}

impl Solver<'_> {
    fn best_length(&self) -> f64 {
        self.best.as_ref().map_or(f64::INFINITY, |b| b.0)
    }

    fn solve(&mut self, fine: bool, stop: &mut dyn FnMut() -> bool) -> Result<(), NoWay> {
        let direct = dist(self.starts[0], self.goals[0]).max(self.space.pad);
        let spacing = self.space.spacing;
        let mut excess = FIRST_EXCESS;
        loop {
            if self.best.is_none() && excess > FAR && !self.any_way(stop)? {
                return Ok(());
            }
            let bound = (direct * (1.0 + excess)).min(self.best_length() * (1.0 + SLACK));
            match self.search(bound, spacing, SLACK, LIMITS[1], stop) {
                End::Cancelled => return Ok(()),
                End::Limited if self.best.is_some() => break,
                _ => {}
            }
            if self.best_length() <= bound {
                break;
            }
            excess *= GROWTH;
        }
        if fine {
            let bound = self.best_length() * (1.0 + FINE_SLACK);
            self.search(bound, spacing / FINER, FINE_SLACK, LIMITS[2], stop);
        }
        Ok(())
    }

    /// Finds some way. False if stopped or given up.
    fn any_way(&mut self, stop: &mut dyn FnMut() -> bool) -> Result<bool, NoWay> {
        let mut graph = Graph::new(
            self.space,
            &self.over,
            self.starts,
            self.goals,
            f64::INFINITY,
            5.0 * self.space.spacing,
        );
        let plan = Plan {
            weight: 2.0,
            bound: f64::INFINITY,
            limit: LIMITS[0],
        };
        let (space, goals) = (self.space, self.goals);
        let mut line = None;
        let end = run(
            space,
            &mut graph,
            goals,
            &plan,
            stop,
            &mut |graph, way, goal| {
                line = Some(trace(graph, way, goals[goal]));
                0.0
            },
        );
        self.stopped |= end == End::Cancelled;
        if line.is_none() && !self.stopped {
            let stopped = &mut self.stopped;
            let mut stop = || {
                *stopped |= stop();
                *stopped
            };
            match link(space, self.starts, goals, &mut stop) {
                Link::Sealed => return Err(NoWay::SealedOff),
                Link::Undecided => self.complete = false,
                Link::Way(points) => {
                    let corners = points[1..points.len() - 1]
                        .iter()
                        .map(|&at| Corner { edge: NONE, at });
                    line = Some(Line {
                        start: points[0],
                        goal: points[points.len() - 1],
                        corners: corners.collect(),
                    });
                }
            }
        }
        if let Some(mut line) = line {
            line.pull_taut(space);
            self.best = Some((line.length(), line));
            return Ok(true);
        }
        self.complete = false;
        Ok(false)
    }

    /// Looks for ways no longer than the bound and pulls taut each one with a new sequence of edges.
    fn search(
        &mut self,
        bound: f64,
        spacing: f64,
        slack: f64,
        limit: usize,
        stop: &mut dyn FnMut() -> bool,
    ) -> End {
        let mut graph = Graph::new(
            self.space,
            &self.over,
            self.starts,
            self.goals,
            bound,
            spacing,
        );
        let plan = Plan {
            weight: 1.0,
            bound,
            limit,
        };
        let (space, goals) = (self.space, self.goals);
        let best = &mut self.best;
        let mut seen: Vec<Vec<u32>> = Vec::new();
        let end = run(
            space,
            &mut graph,
            goals,
            &plan,
            stop,
            &mut |graph, way, goal| {
                let mut line = trace(graph, way, goals[goal]);
                let edges: Vec<u32> = line.corners.iter().map(|c| c.edge).collect();
                if !seen.contains(&edges) {
                    seen.push(edges);
                    line.pull_taut(space);
                    let length = line.length();
                    if best.as_ref().is_none_or(|b| length < b.0) {
                        *best = Some((length, line));
                    }
                }
                best.as_ref().map_or(f64::INFINITY, |b| b.0 * (1.0 + slack))
            },
        );
        self.complete &= end == End::Exhausted;
        self.stopped |= end == End::Cancelled;
        end
    }
}

fn trace(graph: &Graph, way: &[u32], goal: Point) -> Line {
    let start = graph.at[way[0] as usize];
    let corners = way[1..].iter().map(|&i| Corner {
        edge: graph.edge[i as usize],
        at: graph.at[i as usize],
    });
    Line {
        start,
        goal,
        corners: corners.collect(),
    }
}

/// Puts the corners from the widened boxes back onto the boxes themselves, and proves the result clear.
fn finish(
    space: &Space,
    start: Point,
    goal: Point,
    line: &Line,
    complete: bool,
) -> Result<Way, NoWay> {
    let whole = |inner: Vec<Point>| -> Vec<Point> {
        let mut points: Vec<Point> = std::iter::once(start).chain(inner).collect();
        points.dedup();
        if points.len() == 1 || points.last() != Some(&goal) {
            points.push(goal);
        }
        points
    };
    let home = |c: &Corner| {
        if c.edge == NONE {
            c.at
        } else {
            space.edges[c.edge as usize].home(space, c.at)
        }
    };
    // What is tried last stays on the widened boxes, a hair outside of the boxes themselves: for a
    // graze at the limit of rounding.
    let points = [
        whole(merged(space, line)),
        whole(line.corners.iter().map(home).collect()),
        whole(line.points()),
    ]
    .into_iter()
    .find(|points| space.proves_clear(points))
    .ok_or(NoWay::GaveUp)?;
    Ok(Way {
        length: length(&points),
        points,
        complete,
    })
}

/// The corners on the boxes themselves, with one corner where two edges cross within the widening.
fn merged(space: &Space, line: &Line) -> Vec<Point> {
    let mut points: Vec<Point> = Vec::with_capacity(line.corners.len());
    let mut before: Option<&Corner> = None;
    for c in &line.corners {
        if c.edge == NONE {
            points.push(c.at);
            before = None;
            continue;
        }
        let e = &space.edges[c.edge as usize];
        let p = e.home(space, c.at);
        match (before, points.last_mut()) {
            (Some(b), Some(last)) if dist(b.at, c.at) < 8.0 * space.pad => {
                // Each edge knows where it lies across its axis.
                last[space.edges[b.edge as usize].axis] = p[space.edges[b.edge as usize].axis];
            }
            _ => points.push(p),
        }
        before = Some(c);
    }
    points
}
