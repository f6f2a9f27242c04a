//! Sample points on the edges: the nodes of one search, and the quick choice of those worth a look.

use super::edges::Edge;
use super::space::Space;
use super::{Point, dist};

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

/// The edges along one axis as columns of `f32`, for a look at many at a time.
#[derive(Default)]
struct Group {
    u: Vec<f32>,
    v: Vec<f32>,
    sign: Vec<f32>,
    lo: Vec<f32>,
    hi: Vec<f32>,
    goal_away: Vec<f32>,
    /// Edge and its nodes.
    item: Vec<Item>,
}

/// The nodes of one edge.
#[derive(Debug, Clone, Copy)]
pub struct Item {
    pub edge: u32,
    pub first: u32,
    pub end: u32,
}

/// Edges looked at together.
const LANES: usize = 8;

/// The nodes: start points first, then samples edge by edge.
pub struct Graph {
    pub at: Vec<Point>,
    pub edge: Vec<u32>,
    /// Half the distance to the next sample: how far the true crossing may be off.
    pub half: Vec<f64>,
    /// What is left to the goal at least.
    pub rest: Vec<f64>,
    groups: [Group; 3],
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
            groups: Default::default(),
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
            let group = &mut graph.groups[e.axis];
            let base = [(e.axis + 1) % 3, (e.axis + 2) % 3, e.axis].map(|k| start[k]);
            group.u.push((e.at[0] - base[0]) as f32);
            group.v.push((e.at[1] - base[1]) as f32);
            group.sign.push((e.out[0] * e.out[1]) as f32);
            group.lo.push((lo - base[2]) as f32);
            group.hi.push((hi - base[2]) as f32);
            group.goal_away.push(over.rb as f32);
            group.item.push(Item {
                edge: i as u32,
                first,
                end,
            });
        }
        for group in &mut graph.groups {
            while !group.u.len().is_multiple_of(LANES) {
                for (column, value) in [
                    (&mut group.u, f32::INFINITY),
                    (&mut group.v, 0.0),
                    (&mut group.sign, 1.0),
                    (&mut group.lo, 0.0),
                    (&mut group.hi, 0.0),
                    (&mut group.goal_away, 0.0),
                ] {
                    column.push(value);
                }
            }
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
        let p: Point = std::array::from_fn(|k| look.from[k] - self.base[k]);
        let goal: Point = std::array::from_fn(|k| self.goal[k] - self.base[k]);
        let slop = self.slop;
        for axis in 0..3 {
            let g = &self.groups[axis];
            let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
            let margin = |k: usize| {
                slop + if look.axis == Some(k) {
                    look.half as f32
                } else {
                    0.0
                }
            };
            let c = Columns {
                p: [p[u] as f32, p[v] as f32, p[axis] as f32],
                goal: goal[axis] as f32,
                near: [margin(u), margin(v)],
                wedge: look
                    .wedge
                    .map(|w| [w[u] as f32, w[v] as f32, w[axis] as f32]),
                budget: look.budget as f32 + slop,
                slop,
                loose: look.loose as f32,
            };
            // The far end of each edge along the half space decides.
            let ends = look
                .wedge
                .map(|w| if w[axis] >= 0.0 { &g.hi } else { &g.lo });
            for first in (0..g.u.len()).step_by(LANES) {
                let r = first..first + LANES;
                let ok = c.test(
                    &g.u[r.clone()],
                    &g.v[r.clone()],
                    &g.sign[r.clone()],
                    &g.lo[r.clone()],
                    &g.hi[r.clone()],
                    &g.goal_away[r.clone()],
                    &ends[0][r.clone()],
                    &ends[1][r],
                );
                for (lane, &hit) in ok.iter().enumerate() {
                    if hit != 0 {
                        if let Some(&item) = g.item.get(first + lane) {
                            out.push((axis, item));
                        }
                    }
                }
            }
        }
    }
}

struct Columns {
    p: [f32; 3],
    goal: f32,
    near: [f32; 2],
    wedge: [[f32; 3]; 2],
    budget: f32,
    slop: f32,
    loose: f32,
}

impl Columns {
    /// One straight line of arithmetic a lane, so that the compiler can do several lanes at once.
    #[inline]
    #[allow(clippy::too_many_arguments)]
    fn test(
        &self,
        u: &[f32],
        v: &[f32],
        sign: &[f32],
        lo: &[f32],
        hi: &[f32],
        away: &[f32],
        end0: &[f32],
        end1: &[f32],
    ) -> [u32; LANES] {
        let mut ok = [0u32; LANES];
        let all = |s: &[f32]| -> [f32; LANES] { std::array::from_fn(|i| s[i]) };
        let (u, v, sign, lo, hi, away, end0, end1) = (
            all(u),
            all(v),
            all(sign),
            all(lo),
            all(hi),
            all(away),
            all(end0),
            all(end1),
        );
        for i in 0..LANES {
            let (du, dv) = (u[i] - self.p[0], v[i] - self.p[1]);
            let r2 = du * du + dv * dv;
            let r = r2.sqrt();
            let x = ((self.p[2] * away[i] + self.goal * r) / (r + away[i] + 1e-20))
                .max(lo[i])
                .min(hi[i]);
            let (da, db) = (x - self.p[2], x - self.goal);
            let least = (r2 + da * da).sqrt() + (away[i] * away[i] + db * db).sqrt();
            let [w0, w1] = &self.wedge;
            let first = w0[0] * du + w0[1] * dv + w0[2] * (end0[i] - self.p[2]);
            let second = w1[0] * du + w1[1] * dv + w1[2] * (end1[i] - self.p[2]);
            let faces = (sign[i] * du * dv <= 0.0)
                | (du.abs() <= self.near[0])
                | (dv.abs() <= self.near[1]);
            let inside = (first >= -self.slop) & (second >= -self.slop - self.loose * least);
            ok[i] = u32::from(faces & inside & (least <= self.budget));
        }
        ok
    }
}
