//! The point of a simplex nearest to the origin, and the corners that carry it
//! (regions as in C. Ericson, Real-Time Collision Detection, 2005, chapter 5.1).

use super::Vec3;

/// Height over the longest side under which a tetrahedron is flat.
const FLAT: f64 = 1e-12;

/// Up to three corners of a difference, each with the point of the first hull that gave it.
#[derive(Clone, Copy, Default)]
pub(super) struct Simplex {
    len: usize,
    corner: [Vec3; 4],
    source: [Vec3; 4],
    weight: [f64; 4],
}

/// Corners by index with their weights; the weights add up to 1.
type Share = ([usize; 3], [f64; 3], usize);

impl Simplex {
    /// Whether `w` is one of the corners.
    #[inline]
    pub fn holds(&self, w: Vec3) -> bool {
        self.corner[..self.len].contains(&w)
    }

    /// The point of the first hull that belongs to the nearest point.
    pub fn blend(&self) -> Vec3 {
        let mut sum = Vec3::ZERO;
        for i in 0..self.len {
            sum += self.source[i] * self.weight[i];
        }
        sum
    }

    /// Adds a corner, finds the point nearest to the origin and keeps the corners that carry it.
    /// `None` when the origin lies inside.
    #[inline]
    pub fn add(&mut self, w: Vec3, source: Vec3) -> Option<Vec3> {
        self.corner[self.len] = w;
        self.source[self.len] = source;
        self.len += 1;
        let share = match self.len {
            1 => ([0; 3], [1.0, 0.0, 0.0], 1),
            2 => self.segment(0, 1),
            3 => self.triangle(0, 1, 2),
            _ => self.tetrahedron()?,
        };
        Some(self.keep(share))
    }

    fn keep(&mut self, (index, weight, len): Share) -> Vec3 {
        let (corner, source) = (self.corner, self.source);
        let mut nearest = Vec3::ZERO;
        for i in 0..len {
            self.corner[i] = corner[index[i]];
            self.source[i] = source[index[i]];
            self.weight[i] = weight[i];
            nearest += self.corner[i] * weight[i];
        }
        self.len = len;
        nearest
    }

    #[inline]
    fn segment(&self, i: usize, j: usize) -> Share {
        let (a, b) = (self.corner[i], self.corner[j]);
        let ab = b - a;
        let (t, all) = (-a.dot(ab), ab.dot(ab));
        if t <= 0.0 {
            ([i; 3], [1.0, 0.0, 0.0], 1)
        } else if t >= all {
            ([j; 3], [1.0, 0.0, 0.0], 1)
        } else {
            let t = t / all;
            ([i, j, j], [1.0 - t, t, 0.0], 2)
        }
    }

    #[inline]
    fn triangle(&self, i: usize, j: usize, k: usize) -> Share {
        let (a, b, c) = (self.corner[i], self.corner[j], self.corner[k]);
        let (ab, ac) = (b - a, c - a);
        let (d1, d2) = (-ab.dot(a), -ac.dot(a));
        if d1 <= 0.0 && d2 <= 0.0 {
            return ([i; 3], [1.0, 0.0, 0.0], 1);
        }
        let (d3, d4) = (-ab.dot(b), -ac.dot(b));
        if d3 >= 0.0 && d4 <= d3 {
            return ([j; 3], [1.0, 0.0, 0.0], 1);
        }
        let (d5, d6) = (-ab.dot(c), -ac.dot(c));
        if d6 >= 0.0 && d5 <= d6 {
            return ([k; 3], [1.0, 0.0, 0.0], 1);
        }
        // Areas over the three sides, from the normal: steadier than products of the six above.
        let n = ab.cross(ac);
        let (wa, wb, wc) = (n.dot(b.cross(c)), n.dot(c.cross(a)), n.dot(a.cross(b)));
        if wc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 {
            return self.segment(i, j);
        }
        if wb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 {
            return self.segment(i, k);
        }
        if wa <= 0.0 && d4 >= d3 && d5 >= d6 {
            return self.segment(j, k);
        }
        let all = wa + wb + wc;
        // Slivers contradict themselves.
        if !(wa >= 0.0 && wb >= 0.0 && wc >= 0.0 && all > 0.0) {
            return self.best_side(i, j, k);
        }
        ([i, j, k], [wa / all, wb / all, wc / all], 3)
    }

    /// For triangles without area, or nearly so.
    fn best_side(&self, i: usize, j: usize, k: usize) -> Share {
        let sides = [self.segment(i, j), self.segment(i, k), self.segment(j, k)];
        self.nearest(&sides)
    }

    fn nearest(&self, shares: &[Share]) -> Share {
        let mut best = (f64::INFINITY, shares[0]);
        for (index, weight, len) in shares {
            let mut p = Vec3::ZERO;
            for i in 0..*len {
                p += self.corner[index[i]] * weight[i];
            }
            let far = p.dot(p);
            if far < best.0 {
                best = (far, (*index, *weight, *len));
            }
        }
        best.1
    }

    fn tetrahedron(&self) -> Option<Share> {
        const FACES: [[usize; 4]; 4] = [[0, 1, 2, 3], [0, 2, 3, 1], [0, 3, 1, 2], [1, 3, 2, 0]];
        let mut shares = [([0; 3], [0.0; 3], 0); 4];
        let mut count = 0;
        for [i, j, k, opposite] in FACES {
            let a = self.corner[i];
            let n = (self.corner[j] - a).cross(self.corner[k] - a);
            let inward = n.dot(self.corner[opposite] - a);
            let origin = -n.dot(a);
            // A flat tetrahedron has no inside: all of its faces are asked.
            let flat = inward.abs() <= FLAT * n.norm() * (self.corner[opposite] - a).norm();
            if flat || origin * inward <= 0.0 {
                shares[count] = self.triangle(i, j, k);
                count += 1;
            }
        }
        (count > 0).then(|| self.nearest(&shares[..count]))
    }
}
