//! The shape of a springy hose: of all curves of its length with its ends and
//! their directions, one that bends least (least integral of squared curvature),
//! without twist. Euler's elastica, in space.
//!
//! The curve is a chain of equal pieces; each piece's direction is an unknown on
//! the unit sphere, so the length holds by itself. Newton's method on the
//! directions and on the force that holds the far end in place; the equations are
//! banded, so a step costs in proportion to the number of pieces.

use crate::route::Point;
use crate::route::bend::{add, dot, norm, sub, unit};

/// Pieces of the chain.
const PIECES: usize = 64;

/// Rounds at most from one first guess.
const ROUNDS: usize = 120;

/// A shape.
#[derive(Clone, PartialEq, Debug)]
pub struct Shape {
    /// Points along the middle line, both ends among them.
    pub points: Vec<Point>,
    /// Integral of squared curvature, in 1/mm.
    pub bending: f64,
    /// Smallest radius, in millimetres; `None` where it is straight.
    pub tightest: Option<f64>,
}

/// Shapes in which a hose of length `length` rests between `from`, which it leaves
/// in the direction `out`, and `to`, where it arrives in the direction `into` (both
/// of length 1); the one that bends least first. None where the length does not
/// even span the straight distance. Where a hose may bulge to any side alike, a few
/// of these shapes are given.
pub fn shapes(from: Point, out: Point, to: Point, into: Point, length: f64) -> Vec<Shape> {
    let gap = sub(to, from);
    let apart = norm(gap);
    if !(length > 0.0 && apart <= length) {
        return Vec::new();
    }
    if length - apart < 1e-9 * length {
        // Drawn tight: straight, and only if both ends point along.
        let along = unit(gap);
        let straight = dot(along, out) > 1.0 - 1e-12 && dot(along, into) > 1.0 - 1e-12;
        let shape = Shape {
            points: vec![from, to],
            bending: 0.0,
            tightest: None,
        };
        return straight.then_some(shape).into_iter().collect();
    }
    let chain = Chain {
        goal: gap.map(|v| v / length),
        out,
        into,
    };
    let mut found: Vec<Shape> = Vec::new();
    for guess in chain.guesses() {
        let Some(ways) = chain.relax(guess) else {
            continue;
        };
        let piece = length / PIECES as f64;
        let mut points = vec![from];
        for way in &ways {
            let last = points[points.len() - 1];
            points.push(add(last, *way, piece));
        }
        let apart = |s: &Shape| {
            let pairs = s.points.iter().zip(&points);
            pairs.map(|(a, b)| norm(sub(*a, *b))).fold(0.0, f64::max)
        };
        if found.iter().all(|s| apart(s) > 1e-3 * length) {
            found.push(Shape {
                points,
                bending: chain.bending(&ways) / length,
                tightest: chain.sharpest(&ways).map(|r| r * length),
            });
        }
    }
    // Equal but for rounding: in the order of the guesses.
    found.sort_by_key(|s| (s.bending * length * 1e5).round() as i64);
    found
}

/// The first of [`shapes`].
pub fn shape(from: Point, out: Point, to: Point, into: Point, length: f64) -> Option<Shape> {
    shapes(from, out, to, into, length).into_iter().next()
}

/// The problem for a chain of length 1.
struct Chain {
    goal: Point,
    out: Point,
    into: Point,
}

fn cross(a: Point, b: Point) -> Point {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

/// Some direction square to `a`, always the same one.
fn square_to(a: Point) -> Point {
    let least = (0..3).min_by(|i, j| a[*i].abs().total_cmp(&a[*j].abs()));
    let mut e = [0.0; 3];
    e[least.unwrap_or(2)] = 1.0;
    unit(cross(a, e))
}

/// Pull of a neighbour's direction: 2/h between pieces, 4/h at an end, which is
/// half a piece away.
const PULL: f64 = 2.0 * PIECES as f64;

impl Chain {
    /// The integral of squared curvature.
    fn bending(&self, ways: &[Point]) -> f64 {
        let n = PIECES as f64;
        let turn = |a: Point, b: Point| angle(a, b).powi(2);
        let inner: f64 = ways.windows(2).map(|w| turn(w[0], w[1])).sum();
        let ends = turn(self.out, ways[0]) + turn(self.into, ways[ways.len() - 1]);
        n * inner + 2.0 * n * ends
    }

    /// The smallest radius; `None` where it is straight.
    fn sharpest(&self, ways: &[Point]) -> Option<f64> {
        let h = 1.0 / PIECES as f64;
        let inner = ways.windows(2).map(|w| angle(w[0], w[1]) / h);
        let ends = [
            2.0 * angle(self.out, ways[0]) / h,
            2.0 * angle(self.into, ways[ways.len() - 1]) / h,
        ];
        let most = inner.chain(ends).fold(0.0, f64::max);
        (most > 1e-9).then_some(1.0 / most)
    }

    /// Chains to start from: smooth ones that leave and arrive as they must, bulged
    /// to the length in several directions.
    fn guesses(&self) -> Vec<Vec<Point>> {
        let apart = norm(self.goal);
        let along = if apart > 1e-9 {
            self.goal.map(|v| v / apart)
        } else {
            self.out
        };
        let side = square_to(along);
        let mut bulges = vec![side, cross(along, side)];
        let lean = sub(self.out, self.into);
        let lean = add(lean, along, -dot(lean, along));
        if norm(lean) > 1e-6 {
            bulges.insert(0, unit(lean));
        }
        let mut all = Vec::new();
        for bulge in bulges {
            for sign in [1.0, -1.0] {
                let bulge = bulge.map(|v| v * sign);
                all.extend(self.bulged(bulge, 0.4));
            }
        }
        all
    }

    /// A curve with control points along the end directions, pushed out along
    /// `bulge` as far as its length asks for.
    fn bulged(&self, bulge: Point, handle: f64) -> Option<Vec<Point>> {
        let curve = |handle: f64, push: f64| -> Vec<Point> {
            let a = add([0.0; 3], self.out, handle);
            let b = add(self.goal, self.into, -handle);
            let (c, d) = (add(a, bulge, push), add(b, bulge, push));
            let control = [[0.0; 3], a, c, d, b, self.goal];
            (0..=4 * PIECES)
                .map(|i| bezier(&control, i as f64 / (4 * PIECES) as f64))
                .collect()
        };
        let long =
            |points: &[Point]| -> f64 { points.windows(2).map(|w| norm(sub(w[1], w[0]))).sum() };
        let (mut low, mut high) = (0.0, 4.0);
        let points = if long(&curve(handle, 0.0)) > 1.0 {
            // Too long as it is: shorter handles.
            (low, high) = (0.0, handle);
            for _ in 0..50 {
                let middle = 0.5 * (low + high);
                match long(&curve(middle, 0.0)) > 1.0 {
                    true => high = middle,
                    false => low = middle,
                }
            }
            curve(low, 0.0)
        } else {
            for _ in 0..50 {
                let middle = 0.5 * (low + high);
                match long(&curve(handle, middle)) > 1.0 {
                    true => high = middle,
                    false => low = middle,
                }
            }
            curve(handle, low)
        };
        let ways = pieces(&points);
        ways.iter().flatten().all(|v| v.is_finite()).then_some(ways)
    }

    /// Lets a chain find its rest. `None` where it finds none.
    fn relax(&self, mut ways: Vec<Point>) -> Option<Vec<Point>> {
        let mut force = [0.0; 3];
        let mut damp = 0.0;
        for _ in 0..ROUNDS {
            let step = self.step(&ways, force, damp);
            let Some((turns, push, rest)) = step else {
                damp = (damp * 4.0).max(PULL * 1e-3);
                if damp > PULL * 1e6 {
                    return None;
                }
                continue;
            };
            if rest < 1e-9 {
                return Some(ways);
            }
            let most = turns.iter().map(|t| norm(*t)).fold(0.0, f64::max);
            let part = (0.4 / most).min(1.0);
            for (way, turn) in ways.iter_mut().zip(&turns) {
                *way = unit(add(*way, *turn, part));
            }
            force = add(force, push, part);
            damp *= if part < 1.0 { 0.7 } else { 0.2 };
        }
        None
    }

    /// One step of Newton's method: how each piece turns, how the force changes, and
    /// how far from rest the chain was. `None` where the step would not lead
    /// downwards.
    fn step(&self, ways: &[Point], force: Point, damp: f64) -> Option<(Vec<Point>, Point, f64)> {
        let n = ways.len();
        let h = 1.0 / PIECES as f64;
        let bases: Vec<[Point; 2]> = ways
            .iter()
            .map(|t| {
                let a = square_to(*t);
                [a, cross(*t, a)]
            })
            .collect();
        let mut miss = self.goal.map(|v| -v);
        let mut rest: f64 = 0.0;
        let mut right: Vec<[[f64; 2]; 4]> = Vec::with_capacity(n);
        let mut diagonal: Vec<[[f64; 2]; 2]> = Vec::with_capacity(n);
        for (i, way) in ways.iter().enumerate() {
            let (before, after) = match (i, i + 1 == n) {
                (0, _) => (self.out.map(|v| 2.0 * v), ways[1]),
                (_, true) => (ways[i - 1], self.into.map(|v| 2.0 * v)),
                _ => (ways[i - 1], ways[i + 1]),
            };
            let pull = add(before, after, 1.0).map(|v| -PULL * v);
            let slope = add(pull, force, h);
            miss = add(miss, *way, h);
            let here = [dot(bases[i][0], slope), dot(bases[i][1], slope)];
            rest = rest.max(here[0].abs().max(here[1].abs()) / PULL);
            let mut columns = [[0.0; 2]; 4];
            columns[0] = here.map(|v| -v);
            for (axis, column) in columns[1..].iter_mut().enumerate() {
                *column = [h * bases[i][0][axis], h * bases[i][1][axis]];
            }
            right.push(columns);
            let stiff = -dot(*way, slope) + damp;
            diagonal.push([[stiff, 0.0], [0.0, stiff]]);
        }
        rest = rest.max(norm(miss));
        let beside = |i: usize| -> [[f64; 2]; 2] {
            let (a, b) = (&bases[i], &bases[i + 1]);
            let entry = |j: usize, k: usize| -PULL * dot(a[j], b[k]);
            [[entry(0, 0), entry(0, 1)], [entry(1, 0), entry(1, 1)]]
        };
        // Down the band, counting directions in which the chain would fall.
        let mut falling = 0;
        let mut inverse = Vec::with_capacity(n);
        for i in 0..n {
            let (inv, negative) = inverted(diagonal[i])?;
            falling += negative;
            if i + 1 < n {
                let o = beside(i);
                // Lower block times inverse: transposed(o) * inv.
                let m = product(transposed(o), inv);
                let less = product(m, o);
                for (r, row) in less.iter().enumerate() {
                    for (c, v) in row.iter().enumerate() {
                        diagonal[i + 1][r][c] -= v;
                    }
                }
                let mine = right[i];
                for (next, v) in right[i + 1].iter_mut().zip(mine) {
                    let v = apply(m, v);
                    *next = [next[0] - v[0], next[1] - v[1]];
                }
            }
            inverse.push(inv);
        }
        // And up again.
        for i in (0..n).rev() {
            let after = right.get(i + 1).copied();
            for (k, v) in right[i].iter_mut().enumerate() {
                if let Some(after) = after {
                    let up = apply(beside(i), after[k]);
                    *v = [v[0] - up[0], v[1] - up[1]];
                }
                *v = apply(inverse[i], *v);
            }
        }
        // The change of force that closes the gap.
        let mut matrix = [[0.0; 3]; 3];
        let mut gap = miss;
        for (basis, columns) in bases.iter().zip(&right) {
            for (axis, row) in matrix.iter_mut().enumerate() {
                let j = [h * basis[0][axis], h * basis[1][axis]];
                gap[axis] += j[0] * columns[0][0] + j[1] * columns[0][1];
                for (entry, column) in row.iter_mut().zip(&columns[1..]) {
                    *entry += j[0] * column[0] + j[1] * column[1];
                }
            }
        }
        // Held by its ends it must not fall at all (the signs of the bordered matrix).
        if falling != negatives(&matrix)? {
            return None;
        }
        let push = solved(matrix, gap)?;
        let turns = bases.iter().zip(&right).map(|(basis, columns)| {
            let mut a = columns[0];
            for (column, f) in columns[1..].iter().zip(push) {
                a[0] -= column[0] * f;
                a[1] -= column[1] * f;
            }
            add(basis[0].map(|v| v * a[0]), basis[1], a[1])
        });
        Some((turns.collect(), push, rest))
    }
}

/// The angle between two directions, exact for small ones too.
fn angle(a: Point, b: Point) -> f64 {
    norm(cross(a, b)).atan2(dot(a, b))
}

fn bezier(control: &[Point; 6], t: f64) -> Point {
    let mut points = *control;
    for last in (1..points.len()).rev() {
        for i in 0..last {
            points[i] = add(points[i].map(|v| v * (1.0 - t)), points[i + 1], t);
        }
    }
    points[0]
}

/// Directions of equal pieces along a polyline.
fn pieces(points: &[Point]) -> Vec<Point> {
    let lengths: Vec<f64> = points.windows(2).map(|w| norm(sub(w[1], w[0]))).collect();
    let all: f64 = lengths.iter().sum();
    let mut ends = vec![points[0]];
    let (mut at, mut done) = (0, 0.0);
    for i in 1..=PIECES {
        let wanted = all * i as f64 / PIECES as f64;
        while at + 1 < lengths.len() && done + lengths[at] < wanted {
            done += lengths[at];
            at += 1;
        }
        let part = ((wanted - done) / lengths[at]).clamp(0.0, 1.0);
        let way = sub(points[at + 1], points[at]);
        ends.push(add(points[at], way, part));
    }
    ends.windows(2).map(|w| unit(sub(w[1], w[0]))).collect()
}

type Block = [[f64; 2]; 2];

/// The inverse of a symmetric block, and how many of its eigenvalues are negative;
/// `None` where it has none to speak of.
fn inverted(m: Block) -> Option<(Block, usize)> {
    let det = m[0][0] * m[1][1] - m[0][1] * m[1][0];
    let negative = match (det > 0.0, m[0][0] + m[1][1] > 0.0) {
        (true, true) => 0,
        (true, false) => 2,
        (false, _) => 1,
    };
    let inverse = [
        [m[1][1] / det, -m[0][1] / det],
        [-m[1][0] / det, m[0][0] / det],
    ];
    (det.abs() > 1e-18 * PULL * PULL).then_some((inverse, negative))
}

fn transposed(m: Block) -> Block {
    [[m[0][0], m[1][0]], [m[0][1], m[1][1]]]
}

fn product(a: Block, b: Block) -> Block {
    let entry = |i: usize, j: usize| a[i][0] * b[0][j] + a[i][1] * b[1][j];
    [[entry(0, 0), entry(0, 1)], [entry(1, 0), entry(1, 1)]]
}

fn apply(m: Block, v: [f64; 2]) -> [f64; 2] {
    [
        m[0][0] * v[0] + m[0][1] * v[1],
        m[1][0] * v[0] + m[1][1] * v[1],
    ]
}

/// How many eigenvalues of a symmetric matrix are negative, by the signs of its
/// pivots; `None` where one is too small to say.
fn negatives(m: &[[f64; 3]; 3]) -> Option<usize> {
    let size = m.iter().map(|r| norm(*r)).fold(0.0, f64::max);
    let one = m[0][0];
    let two = m[0][0] * m[1][1] - m[0][1] * m[1][0];
    let three = dot(m[0], cross(m[1], m[2]));
    let sound = one.abs() > 1e-12 * size
        && two.abs() > 1e-14 * size * size
        && three.abs() > 1e-16 * size.powi(3);
    let pivots = [one, two / one, three / two];
    sound.then(|| pivots.iter().filter(|p| **p < 0.0).count())
}

/// Solves three equations by Cramer's rule.
fn solved(m: [[f64; 3]; 3], right: Point) -> Option<Point> {
    let det = dot(m[0], cross(m[1], m[2]));
    let size = m.iter().map(|r| norm(*r)).product::<f64>();
    if det.abs() <= 1e-14 * size || size == 0.0 {
        return None;
    }
    let column = |k: usize| {
        let mut n = m;
        for (row, r) in n.iter_mut().zip(right) {
            row[k] = r;
        }
        dot(n[0], cross(n[1], n[2])) / det
    };
    Some([column(0), column(1), column(2)])
}
