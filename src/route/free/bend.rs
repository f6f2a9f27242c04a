//! Ways of a cable: with a thickness, a bend radius, and a direction at both ends.

use super::fillet::{Bent, bound};
use super::rules::{Rules, Trouble};
use super::space::{Space, checked};
use super::vector::{along, cross, dist, norm, unit};
use super::{Block, NoWay, Point};

/// Pairs of ways to leave and to arrive that are tried at most with larger obstacles; all are tried without.
const TRIES: usize = 8;
/// With a way in hand, so many tries in a row that do not better it end the search.
const IDLE: usize = 3;
/// A way is good enough if it is longer by this share at most than what even a chain would need.
const ENOUGH: f64 = 0.02;
/// Ways without rounding are also sought around boxes larger by these shares of the bend radius: the
/// arcs then have room at the corners. At a right-angled corner an arc needs 0.293.
const ROOMS: [f64; 3] = [0.0, 0.15, 0.3];

/// One end of a cable.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct End {
    /// Where it is plugged in.
    pub at: Point,
    /// The direction in which the cable leaves the port, of any length.
    pub direction: Point,
    /// How far it runs straight before the first bend, millimetres: plug and strain relief. On this
    /// length its middle must not enter an obstacle, but may be nearer than half the diameter.
    pub stub: f64,
}

/// One question.
#[derive(Debug, Clone, Copy)]
pub struct BendRequest<'a> {
    /// The inside of the enclosure.
    pub bounds: Block,
    /// Obstacles as they are, not inflated.
    pub boxes: &'a [Block],
    /// Both ends.
    pub ends: [End; 2],
    /// Outer diameter, millimetres; 0 for a line.
    pub diameter: f64,
    /// Least bend radius of the cable's middle, millimetres.
    pub radius: f64,
}

/// Why there is no way for the cable.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoBend {
    /// A direction without length, or a number that is negative or not finite.
    #[error("diameter, bend radius, stub or direction is not a usable number")]
    BadCable,
    /// The enclosure is narrower than the cable is thick.
    #[error("the cable is too thick for the enclosure")]
    TooThick,
    /// Not even a chain of the cable's thickness could be laid.
    #[error(transparent)]
    NoWay(#[from] NoWay),
    /// There are ways, but none found keeps the bend radius: what is missing on the best one.
    #[error("the bend radius cannot be kept: {missing:.2} mm are missing at {place:?}")]
    TooTight {
        /// Corner of the way where it fails.
        place: Point,
        /// How much is missing there, millimetres.
        missing: f64,
        /// The obstacle that is in the way, if it is one.
        block: Option<usize>,
    },
}

/// A way that leaves and arrives in the given directions, bends nowhere tighter than the radius, and
/// keeps half the diameter from every obstacle and wall except along the stubs. It is short but not
/// proved to be the shortest; it is verified before it is given.
///
/// # Errors
/// [`NoBend`]. An error does not prove that no such way exists.
pub fn bend_route(request: &BendRequest, stop: &mut dyn FnMut() -> bool) -> Result<Bent, NoBend> {
    let numbers = [
        request.diameter,
        request.radius,
        request.ends[0].stub,
        request.ends[1].stub,
    ];
    let axes = request.ends.map(|e| unit(e.direction));
    let good = |x: &f64| x.is_finite() && *x >= 0.0;
    if !numbers.iter().all(good) || axes.iter().any(|d| (norm(*d) - 1.0).abs() > 1e-9) {
        return Err(NoBend::BadCable);
    }
    checked(&request.bounds, request.boxes)?;
    if !request
        .ends
        .iter()
        .all(|e| e.at.iter().all(|x| x.is_finite()))
    {
        return Err(NoBend::NoWay(NoWay::BadPoint));
    }
    let rules = Rules {
        bounds: request.bounds,
        boxes: request.boxes,
        half: 0.5 * request.diameter,
        radius: request.radius,
        stubs: request.ends.map(|e| e.stub),
        axes,
    };
    // Straight through needs no corner.
    if let Ok(bent) = rules.check(&request.ends.map(|e| e.at)) {
        return Ok(bent);
    }
    let ends = [0, 1].map(|i| (request.ends[i].at, axes[i], request.ends[i].stub));
    let mut quest = Quest {
        rules,
        ends,
        chain: bound(ends),
        best: None,
        trouble: None,
        no_way: None,
    };
    for room in ROOMS {
        if quest.look(room, stop)? {
            break;
        }
    }
    let Quest {
        best,
        trouble,
        no_way,
        ..
    } = quest;
    let reason = match (trouble, no_way) {
        (Some((error, _)), _) => error,
        (None, Some(error)) => NoBend::NoWay(error),
        (None, None) => NoBend::NoWay(NoWay::GaveUp),
    };
    best.ok_or(reason)
}

/// Where it is plugged in, the unit direction, the stub.
type Port = (Point, Point, f64);

struct Quest<'a> {
    rules: Rules<'a>,
    ends: [Port; 2],
    /// Even a chain needs this length.
    chain: f64,
    best: Option<Bent>,
    /// The failure with least missing.
    trouble: Option<(NoBend, f64)>,
    no_way: Option<NoWay>,
}

impl Quest<'_> {
    fn best_length(&self) -> f64 {
        self.best.as_ref().map_or(f64::INFINITY, |b| b.length)
    }

    /// Tries pairs of departures with obstacles that are larger by a share of the bend radius. True
    /// if there is nothing left to gain, or no time.
    fn look(&mut self, room: f64, stop: &mut dyn FnMut() -> bool) -> Result<bool, NoBend> {
        let (half, radius) = (self.rules.half, self.rules.radius);
        let by = half + room * radius;
        let grown: Vec<Block> = self
            .rules
            .boxes
            .iter()
            .map(|b| [b[0].map(|x| x - by), b[1].map(|x| x + by)])
            .collect();
        let inner = [
            self.rules.bounds[0].map(|x| x + half),
            self.rules.bounds[1].map(|x| x - half),
        ];
        let space = Space::new(inner, &grown).map_err(|_| NoBend::TooThick)?;
        if room == 0.0 {
            // A chain leaves its stubs in any direction.
            let [a, b] = self.ends.map(|(at, axis, stub)| along(at, axis, stub));
            if let Ok(way) = space.quick(a, b, stop) {
                self.chain = self.chain.max(self.ends[0].2 + way.length + self.ends[1].2);
            }
        }
        let mut pairs = Vec::new();
        for leave in departures(self.ends[0], radius) {
            for arrive in departures(self.ends[1], radius) {
                let (a, b) = (leave[leave.len() - 1], arrive[arrive.len() - 1]);
                let least = run_length(self.ends[0].0, &leave)
                    + dist(a, b)
                    + run_length(self.ends[1].0, &arrive);
                pairs.push((least, leave.clone(), arrive));
            }
        }
        pairs.sort_by(|p, q| p.0.total_cmp(&q.0));
        let mut idle = 0;
        for (least, leave, arrive) in
            pairs
                .into_iter()
                .take(if room == 0.0 { usize::MAX } else { TRIES })
        {
            // Rounding four corners of a right angle takes off less than this.
            if least - 4.0 * 0.43 * radius > self.best_length() {
                break;
            }
            let before = self.best_length();
            match space.quick(leave[leave.len() - 1], arrive[arrive.len() - 1], stop) {
                Ok(way) => self.lay(&leave, &way.points, &arrive, stop),
                Err(error) => self.no_way = Some(error),
            }
            idle = if self.best_length() < before {
                0
            } else {
                idle + 1
            };
            let enough = self.best_length() <= self.chain * (1.0 + ENOUGH);
            if enough || (self.best.is_some() && idle >= IDLE) || stop() {
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// Rounds a polyline and keeps it if it is the best so far.
    fn lay(
        &mut self,
        leave: &[Point],
        way: &[Point],
        arrive: &[Point],
        stop: &mut dyn FnMut() -> bool,
    ) {
        let mut points = vec![self.ends[0].0];
        points.extend(&leave[..leave.len() - 1]);
        points.extend(way);
        points.extend(arrive[..arrive.len() - 1].iter().rev());
        points.push(self.ends[1].0);
        points.dedup();
        match self.rules.round(&points, 1.05 * self.best_length(), stop) {
            Ok(bent) if bent.length < self.best_length() => self.best = Some(bent),
            Ok(_) => {}
            Err(trouble) => {
                let place = |i: usize| points.get(i).copied().unwrap_or(points[0]);
                let (place, missing, block) = match trouble {
                    Trouble::Tight(t) => (place(t.corner), t.missing, None),
                    Trouble::Near {
                        corner,
                        block,
                        missing,
                    } => (place(corner), missing, block),
                };
                if self.trouble.as_ref().is_none_or(|t| missing < t.1) {
                    self.trouble = Some((
                        NoBend::TooTight {
                            place,
                            missing,
                            block,
                        },
                        missing,
                    ));
                }
            }
        }
    }
}

fn run_length(from: Point, points: &[Point]) -> f64 {
    points
        .iter()
        .fold((0.0, from), |(sum, at), p| (sum + dist(at, *p), *p))
        .0
}

/// Ways to leave an end: straight on to a first corner with room for a turn of 45 or 90 degrees,
/// or a right angle and two radii to one of four sides, so that the second bend can turn back.
fn departures((at, direction, stub): Port, radius: f64) -> Vec<Vec<Point>> {
    let corner = |degrees: f64| {
        along(
            at,
            direction,
            stub + radius * (0.5 * degrees.to_radians()).tan(),
        )
    };
    let mut out: Vec<Vec<Point>> = [45.0, 90.0].iter().map(|d| vec![corner(*d)]).collect();
    if radius <= 0.0 {
        out.truncate(1);
        return out;
    }
    let least = (0..3)
        .min_by(|&i, &j| direction[i].abs().total_cmp(&direction[j].abs()))
        .unwrap_or(0);
    let mut axis = [0.0; 3];
    axis[least] = 1.0;
    let u = unit(cross(direction, axis));
    let v = cross(direction, u);
    for side in [u, v] {
        for sign in [1.0, -1.0] {
            out.push(vec![
                corner(90.0),
                along(corner(90.0), side, sign * 2.0 * radius),
            ]);
        }
    }
    out
}
