//! Sample points on the edges: the nodes of one search, and the quick choice of those worth a look.

use super::Point;
use super::columns::Columns;
use super::edges::Edge;
use super::space::Space;
use super::vector::{dist, sub};

/// No edge: a start point.
pub const NONE: u32 = u32::MAX;

/// What a way from start to goal over an edge takes at least, in free space.
#[derive(Debug, Clone, Copy)]
pub struct Over {
    /// Length.
    pub least: f64,
    /// Where it crosses the edge.
    x: f64,
    /// Distances of start and goal from the edge's line.
    ra: f64,
    rb: f64,
}

impl Over {
    /// Unfolds the two half planes through the edge's line into one; the crossing stays on the edge.
    pub fn new(e: &Edge, a: Point, b: Point) -> Self {
        let (u, v) = ((e.axis + 1) % 3, (e.axis + 2) % 3);
        let away = |p: Point| ((p[u] - e.at[0]).powi(2) + (p[v] - e.at[1]).powi(2)).sqrt();
        let (ra, rb) = (away(a), away(b));
        let t = if ra + rb > 0.0 { ra / (ra + rb) } else { 0.5 };
        let x = (a[e.axis] + (b[e.axis] - a[e.axis]) * t).clamp(e.lo, e.hi);
        let (da, db) = (x - a[e.axis], x - b[e.axis]);
        Self {
            least: (ra * ra + da * da).sqrt() + (rb * rb + db * db).sqrt(),
            x,
            ra,
            rb,
        }
    }

    /// The stretch of the edge inside the ellipsoid of all ways no longer than `bound`.
    fn stretch(&self, e: &Edge, a: Point, b: Point, bound: f64) -> (f64, f64) {
        if !bound.is_finite() {
            return (e.lo, e.hi);
        }
        // |a-x| + |x-b| = bound, squared twice, with y = x - a along the edge.
        let d = b[e.axis] - a[e.axis];
        let c = bound * bound + d * d + self.rb * self.rb - self.ra * self.ra;
        let qa = bound * bound - d * d;
        let qb = d * (c - 2.0 * bound * bound);
        let qc = bound * bound * (d * d + self.rb * self.rb) - 0.25 * c * c;
        let root = (qb * qb - 4.0 * qa * qc).max(0.0).sqrt();
        if qa <= 0.0 {
            return (self.x, self.x);
        }
        let (lo, hi) = (
            a[e.axis] + (-qb - root) / (2.0 * qa),
            a[e.axis] + (-qb + root) / (2.0 * qa),
        );
        (lo.max(e.lo).min(self.x), hi.min(e.hi).max(self.x))
    }
}

/// The nodes of one edge.
#[derive(Debug, Clone, Copy)]
pub struct Item {
    pub edge: u32,
    pub first: u32,
    pub end: u32,
}

/// The nodes: start points first, then samples edge by edge.
pub struct Graph {
    pub at: Vec<Point>,
    pub edge: Vec<u32>,
    /// Half the distance to the next sample: how far the true crossing may be off.
    pub half: Vec<f64>,
    /// What is left to the goal at least.
    pub rest: Vec<f64>,
    columns: [Columns; 3],
    base: Point,
    goal: Point,
    /// Rounding of the columns.
    slop: f32,
}

/// What the next corner after `from` has to satisfy.
pub struct Outlook {
    pub from: Point,
    /// Two half spaces `w . (next - from) >= 0`; zero where there is no condition.
    pub wedge: [Point; 2],
    /// How far `wedge[1]` may be broken, per millimetre of distance.
    pub loose: f64,
    /// Axis of the edge that `from` lies on, and how far the sample may be off along it.
    pub axis: Option<usize>,
    pub half: f64,
    /// Longest way on to the goal that is of interest.
    pub budget: f64,
}

impl Graph {
    /// Samples every edge inside the ellipsoid of ways no longer than `bound`, at most `spacing` apart.
    pub fn new(
        space: &Space,
        over: &[Over],
        starts: &[Point],
        goals: &[Point],
        bound: f64,
        spacing: f64,
    ) -> Self {
        // The several points of one end are a hair apart.
        let (start, goal) = (starts[0], goals[0]);
        let bound = bound + 8.0 * space.pad;
        let size = dist(space.bounds[0], space.bounds[1]);
        let mut graph = Self {
            at: starts.to_vec(),
            edge: vec![NONE; starts.len()],
            half: vec![0.0; starts.len()],
            rest: starts.iter().map(|&p| dist(p, goal)).collect(),
            columns: Default::default(),
            base: start,
            goal,
            slop: (size * 4e-6) as f32,
        };
        for (i, (e, over)) in space.edges.iter().zip(over).enumerate() {
            if over.least > bound {
                continue;
            }
            let (lo, hi) = over.stretch(e, start, goal, bound);
            let first = graph.at.len() as u32;
            let knots = &space.knots[e.knots[0] as usize..e.knots[1] as usize];
            graph.sample(e, i as u32, over.x, [lo, hi], knots, spacing);
            let end = graph.at.len() as u32;
            let item = Item {
                edge: i as u32,
                first,
                end,
            };
            let at = [
                e.at[0] - start[(e.axis + 1) % 3],
                e.at[1] - start[(e.axis + 2) % 3],
            ];
            let ends = [lo - start[e.axis], hi - start[e.axis]];
            graph.columns[e.axis].push(at, e.out[0] * e.out[1], ends, over.rb, item);
        }
        for columns in &mut graph.columns {
            columns.close();
        }
        graph
    }

    fn sample(
        &mut self,
        e: &Edge,
        id: u32,
        middle: f64,
        [lo, hi]: [f64; 2],
        knots: &[f64],
        spacing: f64,
    ) {
        let goal = self.goal;
        let mut add = |x: f64, half: f64| {
            let p = e.point(x);
            self.at.push(p);
            self.edge.push(id);
            self.half.push(half);
            self.rest.push(dist(p, goal));
        };
        if hi - lo < 1e-6 * spacing {
            return add(middle, 0.5 * spacing);
        }
        // Knots, and between them samples no further apart than the spacing; an end that is no knot
        // is half a gap away from the nearest sample.
        let mut fill = |a: f64, b: f64, left: bool, right: bool| {
            let ends = 0.5 * (f64::from(u8::from(left)) + f64::from(u8::from(right)));
            let count = ((b - a) / spacing - ends).ceil().max(0.0);
            let gap = (b - a) / (count + ends).max(0.5);
            for j in 0..count as usize {
                add(
                    a + gap * (j as f64 + if left { 1.0 } else { 0.5 }),
                    gap * 0.5,
                );
            }
            if right {
                add(b, 0.5 * spacing);
            }
        };
        let mut from = lo;
        let mut left = false;
        for &k in knots {
            if k < lo || k > hi || (left && k - from < 1e-6 * spacing) {
                continue;
            }
            fill(from, k, left, true);
            (from, left) = (k, true);
        }
        fill(from, hi, left, false);
    }

    /// Edges that may hold a next corner. Never leaves out one that has a corner within the conditions.
    pub fn candidates(&self, look: &Outlook, out: &mut Vec<(usize, Item)>) {
        out.clear();
        let from = sub(look.from, self.base);
        let goal = sub(self.goal, self.base);
        for (axis, columns) in self.columns.iter().enumerate() {
            columns.choose(axis, look, [from, goal], self.slop, out);
        }
    }
}
