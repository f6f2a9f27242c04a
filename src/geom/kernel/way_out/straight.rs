//! The least move where both shapes are straight along one axis: a question in the plane, with
//! regions that are outlines. The least shift is where a boundary comes nearest to the origin, or
//! where two boundaries cross.

use super::super::hull::{CylinderHull, PrismHull};
use super::super::shape::{Piece, Solid};
use super::super::{Shape, Vec3};
use super::{MOST_ASKED, MOST_REGIONS};

/// Boundaries near the origin up to which their crossings are worked out.
const MOST_LINES: usize = 1500;

/// A point less deep in a region than this share of its size counts as on its boundary.
const SLACK: f64 = 1e-9;

pub(super) type Point = [f64; 2];

/// A piece seen along the axis: a convex polygon, or a disc about its one corner.
pub(super) struct Flat {
    corners: Vec<Point>,
    radius: f64,
}

/// A convex polygon, its corners counter-clockwise, grown by a radius.
pub(super) struct Region {
    pub corners: Vec<Point>,
    pub radius: f64,
}

/// The depth of two shapes that overlap, and the unit vector along which shifting the second
/// shape by it takes them apart. `None` unless one of them is of several pieces and all are
/// straight along one coordinate axis, or where they have too many corners.
pub(super) fn way_out(a: &Shape, b: &Shape) -> Option<(f64, Vec3)> {
    if a.pieces.len() + b.pieces.len() < 3 || a.pieces.len() * b.pieces.len() > MOST_REGIONS {
        return None;
    }
    (0..3).find_map(|axis| along(a, b, axis))
}

fn along(a: &Shape, b: &Shape, axis: usize) -> Option<(f64, Vec3)> {
    let one: Vec<Flat> = a
        .pieces
        .iter()
        .map(|p| flat(p, axis))
        .collect::<Option<_>>()?;
    let other: Vec<Flat> = b
        .pieces
        .iter()
        .map(|p| flat(p, axis))
        .collect::<Option<_>>()?;
    let up = a.bounds().hi[axis] - b.bounds().lo[axis];
    let down = b.bounds().hi[axis] - a.bounds().lo[axis];
    let straight = match up <= down {
        true => (up, Vec3::unit(axis)),
        false => (down, -Vec3::unit(axis)),
    };
    let size = a.bounds().longest().max(b.bounds().longest());
    let regions: Vec<Region> = one
        .iter()
        .flat_map(|p| other.iter().map(move |q| difference(p, q)))
        // What the origin is farther from than the way along the axis does not matter.
        .filter(|r| r.depth([0.0; 2]) > -straight.0)
        .collect();
    let Some(shift) = nearest_free(&regions, straight.0, SLACK * size)? else {
        return Some(straight);
    };
    let depth = shift[0].hypot(shift[1]);
    let [u, v] = across(axis);
    let way = Vec3::unit(u) * (shift[0] / depth) + Vec3::unit(v) * (shift[1] / depth);
    (depth > 0.0).then_some((depth, way))
}

pub(super) fn across(axis: usize) -> [usize; 2] {
    [(axis + 1) % 3, (axis + 2) % 3]
}

/// A piece along the axis; `None` where it is not straight that way.
pub(super) fn flat(piece: &Piece, axis: usize) -> Option<Flat> {
    let [u, v] = across(axis);
    let is_along = |way: Vec3| way[axis].abs() == 1.0;
    let corners = |corners: Vec<Vec3>| corners.into_iter().map(|c| [c[u], c[v]]).collect();
    match &piece.solid {
        Solid::Aligned => {
            let (lo, hi) = (piece.bounds.lo, piece.bounds.hi);
            Some(Flat {
                corners: vec![
                    [lo[u], lo[v]],
                    [hi[u], lo[v]],
                    [hi[u], hi[v]],
                    [lo[u], hi[v]],
                ],
                radius: 0.0,
            })
        }
        Solid::Cylinder(CylinderHull {
            centre,
            axis: way,
            radius,
            ..
        }) => is_along(*way).then(|| Flat {
            corners: corners(vec![*centre]),
            radius: *radius,
        }),
        Solid::Prism(hull) => is_along(hull.axes[2]).then(|| Flat {
            corners: corners(lifted(hull)),
            radius: 0.0,
        }),
        Solid::Turned(_) => None,
    }
}

fn lifted(hull: &PrismHull) -> Vec<Vec3> {
    let lift = |c: &[f64; 2]| hull.centre + hull.axes[0] * c[0] + hull.axes[1] * c[1];
    hull.corners.iter().map(lift).collect()
}

/// The shifts of `q` under which it meets `p`.
pub(super) fn difference(p: &Flat, q: &Flat) -> Region {
    let shifts = p.corners.iter().flat_map(|c| {
        let from = |d: &Point| [c[0] - d[0], c[1] - d[1]];
        q.corners.iter().map(from)
    });
    Region {
        corners: around(shifts.collect()),
        radius: p.radius + q.radius,
    }
}

fn cross(o: Point, a: Point, b: Point) -> f64 {
    (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])
}

/// The corners of the convex hull, counter-clockwise (monotone chain).
fn around(mut points: Vec<Point>) -> Vec<Point> {
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let mut hull: Vec<Point> = Vec::with_capacity(points.len() + 1);
    let backward: Vec<Point> = points.iter().rev().skip(1).copied().collect();
    for (points, least) in [(&points, 2), (&backward, 0)] {
        let least = if least == 0 { hull.len() + 1 } else { least };
        for p in points {
            while hull.len() >= least
                && cross(hull[hull.len() - 2], hull[hull.len() - 1], *p) <= 0.0
            {
                hull.pop();
            }
            hull.push(*p);
        }
    }
    hull.pop();
    hull
}

impl Region {
    /// Its sides, each with its outward normal.
    pub fn sides(&self) -> impl Iterator<Item = (Point, Point, Point)> + '_ {
        let n = self.corners.len();
        (0..n).filter_map(move |i| {
            let (p, q) = (self.corners[i], self.corners[(i + 1) % n]);
            let (x, y) = (q[0] - p[0], q[1] - p[1]);
            let length = x.hypot(y);
            (length > 0.0).then(|| (p, q, [y / length, -x / length]))
        })
    }

    /// How deep a point lies inside; negative outside, then the distance.
    pub fn depth(&self, at: Point) -> f64 {
        let mut out = f64::NEG_INFINITY;
        let mut off = f64::INFINITY;
        for (p, q, n) in self.sides() {
            out = out.max((at[0] - p[0]) * n[0] + (at[1] - p[1]) * n[1]);
            off = off.min(to_side(at, p, q));
        }
        self.radius - if out <= 0.0 { out } else { off }
    }

    fn lines(&self) -> impl Iterator<Item = Line> + '_ {
        let grown = |p: Point, n: Point| [p[0] + n[0] * self.radius, p[1] + n[1] * self.radius];
        let sides = self
            .sides()
            .map(move |(p, q, n)| Line::Side(grown(p, n), grown(q, n)));
        let rims = self.corners.iter().filter(|_| self.radius > 0.0);
        sides.chain(rims.map(|c| Line::Rim(*c, self.radius)))
    }
}

/// A stretch of a boundary. Of a rim the whole circle counts: what of it is no boundary lies
/// inside its region.
#[derive(Clone, Copy)]
enum Line {
    Side(Point, Point),
    Rim(Point, f64),
}

fn to_side(at: Point, p: Point, q: Point) -> f64 {
    let foot = foot(at, p, q);
    (at[0] - foot[0]).hypot(at[1] - foot[1])
}

fn foot(at: Point, p: Point, q: Point) -> Point {
    let (x, y) = (q[0] - p[0], q[1] - p[1]);
    let share = ((at[0] - p[0]) * x + (at[1] - p[1]) * y) / (x * x + y * y);
    let share = share.clamp(0.0, 1.0);
    [p[0] + x * share, p[1] + y * share]
}

impl Line {
    /// Its point nearest to the origin.
    fn nearest(self) -> Point {
        match self {
            Line::Side(p, q) => foot([0.0; 2], p, q),
            Line::Rim(c, r) => {
                let off = c[0].hypot(c[1]);
                match off > 0.0 {
                    true => c.map(|x| x - x * r / off),
                    false => [r, 0.0],
                }
            }
        }
    }

    fn crossings(self, other: Line, out: &mut Vec<Point>) {
        match (self, other) {
            (Line::Side(a, b), Line::Side(c, d)) => {
                let (s, t) = ([b[0] - a[0], b[1] - a[1]], [d[0] - c[0], d[1] - c[1]]);
                let turn = s[0] * t[1] - s[1] * t[0];
                if turn == 0.0 {
                    return;
                }
                let share = ((c[0] - a[0]) * t[1] - (c[1] - a[1]) * t[0]) / turn;
                let at = [a[0] + s[0] * share, a[1] + s[1] * share];
                // What lies a little past an end is no boundary, and the regions say so.
                if (-1e-9..=1.0 + 1e-9).contains(&share) {
                    out.push(at);
                }
            }
            (Line::Side(p, q), Line::Rim(c, r)) | (Line::Rim(c, r), Line::Side(p, q)) => {
                let (x, y) = (q[0] - p[0], q[1] - p[1]);
                let length = x.hypot(y);
                let way = [x / length, y / length];
                let along = (c[0] - p[0]) * way[0] + (c[1] - p[1]) * way[1];
                let off = (c[0] - p[0]) * way[1] - (c[1] - p[1]) * way[0];
                let half = (r * r - off * off).max(0.0).sqrt();
                for at in [along - half, along + half] {
                    out.push([p[0] + way[0] * at, p[1] + way[1] * at]);
                }
            }
            (Line::Rim(c, r), Line::Rim(d, s)) => {
                let (x, y) = (d[0] - c[0], d[1] - c[1]);
                let apart = x.hypot(y);
                if apart == 0.0 {
                    return;
                }
                let along = (apart * apart + r * r - s * s) / (2.0 * apart);
                let half = (r * r - along * along).max(0.0).sqrt();
                let way = [x / apart, y / apart];
                for side in [-half, half] {
                    out.push([
                        c[0] + way[0] * along - way[1] * side,
                        c[1] + way[1] * along + way[0] * side,
                    ]);
                }
            }
        }
    }
}

fn norm(p: Point) -> f64 {
    p[0].hypot(p[1])
}

/// The point nearest to the origin that lies in no region, if it is nearer than `most`; the
/// outer `None` where there are too many boundaries.
#[expect(
    clippy::option_option,
    reason = "'none is nearer' and 'not worked out' differ"
)]
fn nearest_free(regions: &[Region], most: f64, slack: f64) -> Option<Option<Point>> {
    let free = |at: &Point| regions.iter().all(|r| r.depth(*at) <= slack);
    let first = |mut points: Vec<Point>, most: f64| {
        points.retain(|p| norm(*p) < most);
        points.sort_by(|a, b| norm(*a).total_cmp(&norm(*b)));
        points.into_iter().find(|p| free(p))
    };
    let lines: Vec<Line> = regions
        .iter()
        .flat_map(Region::lines)
        .filter(|l| norm(l.nearest()) < most)
        .collect();
    let too_many = |points: usize| points.saturating_mul(regions.len()) > MOST_ASKED;
    if too_many(lines.len()) {
        return None;
    }
    let plain = first(lines.iter().map(|l| l.nearest()).collect(), most);
    let most = plain.map_or(most, norm);
    let lines: Vec<Line> = lines
        .into_iter()
        .filter(|l| norm(l.nearest()) < most)
        .collect();
    if lines.len() > MOST_LINES {
        return None;
    }
    let mut crossings = Vec::new();
    for (i, l) in lines.iter().enumerate() {
        for other in &lines[i + 1..] {
            l.crossings(*other, &mut crossings);
        }
        crossings.retain(|p| norm(*p) < most);
    }
    if too_many(crossings.len()) {
        return None;
    }
    Some(first(crossings, most).or(plain))
}
