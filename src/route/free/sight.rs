//! Sight lines: what blocks them, and how much longer a way around what blocks them is at least.

use super::Point;
use super::space::{Space, interleaved};
use super::vector::dist;

impl Space {
    /// A box that the segment enters, if any; not the first one along it.
    pub(super) fn blocker(&self, a: Point, b: Point) -> Option<usize> {
        let inv = inverse(a, b);
        let (lo, hi) = corners(a, b);
        let mut found = None;
        self.any_near(lo, hi, |i| {
            let hit = enters(&self.core[i], a, inv);
            if hit {
                found = Some(i);
            }
            hit
        });
        found
    }

    /// Whether the segment enters no widened box.
    pub(super) fn clear(&self, a: Point, b: Point) -> bool {
        self.blocker(a, b).is_none()
    }

    /// Whether the point is outside every widened box and inside the drawn-in walls.
    pub(super) fn open(&self, p: Point) -> bool {
        (0..3).all(|k| p[k] >= self.walls[0][k] && p[k] <= self.walls[1][k])
            && !self.any_near(p, p, |i| {
                let b = &self.wide[i];
                (0..3).all(|k| p[k] > b[0][k] && p[k] < b[1][k])
            })
    }

    /// Whether the polyline stays in the enclosure and enters no obstacle as given. Looks at every
    /// box, on purpose without the sets that the search uses.
    pub(super) fn proves_clear(&self, points: &[Point]) -> bool {
        // A leg that grazes an edge may come out this much inside by rounding.
        let tol = 2e-3 * self.pad;
        let within =
            |p: &Point| (0..3).all(|k| p[k] >= self.bounds[0][k] && p[k] <= self.bounds[1][k]);
        points.iter().all(within)
            && points.windows(2).all(|w| {
                let inv = inverse(w[0], w[1]);
                self.home.iter().all(|h| {
                    let core = interleaved(&[h[0].map(|x| x + tol), h[1].map(|x| x - tol)]);
                    !enters(&core, w[0], inv)
                })
            })
    }

    /// A length that no way from `a` to `b` undercuts: the way around each box on the sight line
    /// bends on one of its edges. Looks no further once the length is over `limit`.
    pub(super) fn detour(&self, a: Point, b: Point, limit: f64) -> f64 {
        let inv = inverse(a, b);
        let (lo, hi) = corners(a, b);
        let mut most = dist(a, b);
        self.any_near(lo, hi, |i| {
            if enters(&self.core[i], a, inv) {
                most = most.max(self.around(i, a, b));
            }
            most > limit
        });
        most
    }

    /// Least length of a way from `a` to `b` over one edge of box `i` that `a` can bend on.
    fn around(&self, i: usize, a: Point, b: Point) -> f64 {
        let w = &self.wide[i];
        let mut least = f64::INFINITY;
        for axis in 0..3 {
            let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
            for (su, sv) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
                let (pu, pv) = (w[su][u], w[sv][v]);
                let walled = pu < self.walls[0][u]
                    || pu > self.walls[1][u]
                    || pv < self.walls[0][v]
                    || pv > self.walls[1][v];
                let (au, av) = (a[u] - pu, a[v] - pv);
                let sign = if su == sv { 1.0 } else { -1.0 };
                if walled || au * av * sign > 0.0 {
                    continue;
                }
                let (bu, bv) = (b[u] - pu, b[v] - pv);
                let (ra2, rb2) = (au * au + av * av, bu * bu + bv * bv);
                let (ra, rb) = (ra2.sqrt(), rb2.sqrt());
                let t = ra / (ra + rb).max(f64::MIN_POSITIVE);
                let x = (a[axis] + (b[axis] - a[axis]) * t).clamp(w[0][axis], w[1][axis]);
                let (da, db) = (x - a[axis], x - b[axis]);
                least = least.min((ra2 + da * da).sqrt() + (rb2 + db * db).sqrt());
            }
        }
        least
    }

    /// The open edge of box `i` that lies between the faces through which the segment goes in and
    /// out, and the point on it nearest to the segment's middle inside the box.
    pub(super) fn touched_edge(&self, i: usize, a: Point, b: Point) -> Option<(u32, Point)> {
        let (c, inv) = (&self.core[i], inverse(a, b));
        let (mut enter, mut leave) = (f64::NEG_INFINITY, f64::INFINITY);
        let (mut into, mut out) = ((0, 0), (0, 0));
        for k in 0..3 {
            let (t0, t1) = ((c[2 * k] - a[k]) * inv[k], (c[2 * k + 1] - a[k]) * inv[k]);
            if t0.min(t1) > enter {
                (enter, into) = (t0.min(t1), (k, usize::from(t1 < t0)));
            }
            if t0.max(t1) < leave {
                (leave, out) = (t0.max(t1), (k, usize::from(t0 < t1)));
            }
        }
        if into.0 == out.0 {
            return None;
        }
        let axis = 3 - into.0 - out.0;
        let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
        let (su, sv) = if into.0 == u {
            (into.1, out.1)
        } else {
            (out.1, into.1)
        };
        let at = [self.wide[i][su][u], self.wide[i][sv][v]];
        let x = a[axis] + (b[axis] - a[axis]) * 0.5 * (enter + leave);
        let slip = 4.0 * self.pad;
        let edges = self.first[i]..self.first[i + 1];
        edges.into_iter().find_map(|id| {
            let e = &self.edges[id as usize];
            let meets = e.axis == axis && e.at == at && x > e.lo - slip && x < e.hi + slip;
            meets.then(|| (id, e.point(x.clamp(e.lo, e.hi))))
        })
    }
}

/// The bounds of a segment.
fn corners(a: Point, b: Point) -> (Point, Point) {
    (
        std::array::from_fn(|k| a[k].min(b[k])),
        std::array::from_fn(|k| a[k].max(b[k])),
    )
}

/// One over each component of `b - a`, large where that is nothing.
fn inverse(a: Point, b: Point) -> Point {
    std::array::from_fn(|k| {
        let d = b[k] - a[k];
        if d.abs() < 1e-30 { 1e30 } else { 1.0 / d }
    })
}

/// Whether the segment from `a` has a stretch inside the box `[lo, hi, lo, hi, lo, hi]`.
#[inline]
fn enters(c: &[f64; 6], a: Point, inv: Point) -> bool {
    let (mut enter, mut leave) = (0.0f64, 1.0f64);
    for k in 0..3 {
        let (t0, t1) = ((c[2 * k] - a[k]) * inv[k], (c[2 * k + 1] - a[k]) * inv[k]);
        enter = enter.max(t0.min(t1));
        leave = leave.min(t0.max(t1));
    }
    enter < leave
}

#[cfg(test)]
mod tests {
    use super::super::Block;
    use super::*;

    fn space(boxes: &[Block]) -> Space {
        Space::new([[0.0; 3], [100.0; 3]], boxes).expect("good boxes")
    }

    #[test]
    fn a_line_along_a_face_or_through_a_corner_is_blocked_only_by_the_widening() {
        let s = space(&[[[40.0; 3], [60.0; 3]]]);
        assert!(s.clear([0.0, 61.0, 50.0], [100.0, 61.0, 50.0]));
        assert!(!s.clear([0.0, 50.0, 50.0], [100.0, 50.0, 50.0]));
        // On the face itself a way is allowed, but the search keeps to the widened box.
        let along = [[0.0, 60.0, 50.0], [100.0, 60.0, 50.0]];
        assert!(!s.clear(along[0], along[1]));
        assert!(s.proves_clear(&along));
        assert!(s.proves_clear(&[[0.0, 100.0, 50.0], [60.0, 60.0, 50.0], [100.0, 0.0, 50.0]]));
        assert!(!s.proves_clear(&[[0.0, 59.9, 50.0], [100.0, 59.9, 50.0]]));
        assert!(!s.proves_clear(&[[0.0, 0.0, 0.0], [0.0, 0.0, 101.0]]));
    }

    #[test]
    fn the_detour_bound_is_the_way_over_the_nearer_edge() {
        let s = space(&[[[40.0, 0.0, 0.0], [60.0, 100.0, 80.0]]]);
        let (a, b) = ([30.0, 50.0, 70.0], [60.0, 50.0, 70.0]);
        // From 10 in front of the wall, 10 below its top, to its far face: over the front edge.
        let front = 200f64.sqrt() + (20f64 * 20.0 + 100.0).sqrt();
        assert!((s.detour(a, b, f64::INFINITY) - front).abs() < 1e-5);
        assert_eq!(
            s.detour([0.0, 0.0, 90.0], [100.0, 0.0, 90.0], f64::INFINITY),
            100.0
        );
    }

    #[test]
    fn the_touched_edge_lies_between_the_faces_crossed() {
        let s = space(&[[[40.0; 3], [60.0; 3]]]);
        let (id, at) = s
            .touched_edge(0, [35.0, 50.0, 58.0], [55.0, 52.0, 65.0])
            .expect("an edge");
        let e = &s.edges[id as usize];
        assert_eq!((e.axis, e.out[1] * 1.0, e.out[0]), (1, -1.0, 1.0));
        assert!((at[0] - 40.0).abs() < 1e-6 && (at[2] - 60.0).abs() < 1e-6);
        assert!(at[1] > 50.0 && at[1] < 52.0);
        assert!(
            s.touched_edge(0, [0.0, 50.0, 50.0], [100.0, 50.0, 50.0])
                .is_none()
        );
    }
}
