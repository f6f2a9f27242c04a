//! Depth of two convex hulls that overlap: a polytope grown inside their difference until its
//! nearest face is a face of the difference (van den Bergen, Game Developers Conference 2001).

use super::Vec3;
use super::gap::Separation;
use super::hull::Hull;

/// Shares of the size of the difference: wanted precision, and what counts as flat.
const PRECISION: f64 = 1e-8;
const FLAT: f64 = 1e-12;

/// Corners after which the best way out so far is taken; it is then too long by little.
const CORNERS: usize = 160;

/// A face with its outward unit normal; the origin lies `distance` behind it.
struct Face {
    corner: [usize; 3],
    normal: Vec3,
    distance: f64,
}

/// The difference of two hulls, asked for its furthest point.
struct Difference<'a, A, B> {
    a: &'a A,
    b: &'a B,
    delta: Vec3,
}

impl<A: Hull, B: Hull> Difference<'_, A, B> {
    fn furthest(&self, dir: Vec3) -> Vec3 {
        self.delta + self.a.offset(dir) - self.b.offset(-dir)
    }

    /// How far the second hull has to go along the unit vector `n` to be clear of the first.
    fn way_out(&self, n: Vec3) -> f64 {
        self.delta.dot(n) + self.a.reach(n)[1] + self.b.reach(n)[0]
    }
}

/// The least way out, for hulls that touch or overlap. The value is over 0 by rounding at most.
pub(super) fn depth<A: Hull, B: Hull>(a: &A, b: &B) -> Separation {
    let delta = a.centre() - b.centre();
    let whole = Difference { a, b, delta };
    let mut best = (f64::INFINITY, Vec3::unit(0));
    let mut take = |n: Vec3| {
        for n in [n, -n] {
            let out = whole.way_out(n);
            if out < best.0 {
                best = (out, n);
            }
        }
    };
    a.each_normal(&mut take);
    b.each_normal(&mut take);
    if let Some(n) = delta.normalized() {
        take(n);
    }
    if let Some(hull) = Growing::new(&whole) {
        hull.grow(&whole, &mut best);
    }
    Separation {
        value: -best.0,
        normal: best.1,
        on_a: a.centre(),
        on_b: b.centre(),
    }
}

struct Growing {
    corner: Vec<Vec3>,
    face: Vec<Face>,
    size: f64,
}

impl Growing {
    /// A tetrahedron of far corners; `None` if rounding makes it flat.
    fn new<A: Hull, B: Hull>(whole: &Difference<A, B>) -> Option<Self> {
        let p = whole.furthest(Vec3::unit(0));
        let q = whole.furthest(-Vec3::unit(0));
        let along = q - p;
        let size = along.norm();
        let side = along.cross(Vec3::new(0.3, 1.0, 0.7)).normalized()?;
        let far = |n: Vec3| {
            let (r, s) = (whole.furthest(n), whole.furthest(-n));
            let off = |c: Vec3| (c - p).dot(n).abs();
            if off(r) > off(s) { r } else { s }
        };
        let r = far(side);
        let s = far(along.cross(r - p).normalized()?);
        let inside = (p + q + r + s) * 0.25;
        let mut hull = Self {
            corner: vec![p, q, r, s],
            face: Vec::with_capacity(2 * CORNERS),
            size,
        };
        for corner in [[0, 1, 2], [0, 3, 1], [1, 3, 2], [2, 3, 0]] {
            let outward = |f: &Face| f.normal.dot(inside) < f.distance;
            let face = hull
                .plane(corner)
                .filter(outward)
                .or_else(|| hull.plane([corner[0], corner[2], corner[1]]))?;
            hull.face.push(face);
        }
        Some(hull)
    }

    fn plane(&self, corner: [usize; 3]) -> Option<Face> {
        let [a, b, c] = corner.map(|i| self.corner[i]);
        let normal = (b - a).cross(c - a).normalized()?;
        Some(Face {
            corner,
            normal,
            distance: normal.dot(a),
        })
    }

    /// Lowers `best` to the least way out.
    fn grow<A: Hull, B: Hull>(mut self, whole: &Difference<A, B>, best: &mut (f64, Vec3)) {
        let enough = PRECISION * self.size;
        while self.corner.len() < CORNERS {
            let nearest = (0..self.face.len())
                .min_by(|i, j| self.face[*i].distance.total_cmp(&self.face[*j].distance));
            let Some(nearest) = nearest else {
                return;
            };
            let Face {
                normal, distance, ..
            } = self.face[nearest];
            if best.0 - distance <= enough {
                return;
            }
            let w = whole.furthest(normal);
            let out = normal.dot(w);
            if out < best.0 {
                *best = (out, normal);
            }
            if out - distance <= enough || !self.raise(nearest, w) {
                return;
            }
        }
    }

    /// Replaces the faces that see `w`, from one of them on, by a fan from their rim to `w`.
    /// False if rounding has torn the surface.
    fn raise(&mut self, from: usize, w: Vec3) -> bool {
        let flat = FLAT * self.size;
        let mut rim: Vec<[usize; 2]> = Vec::new();
        let mut next = Some(from);
        while let Some(i) = next {
            let [a, b, c] = self.face.swap_remove(i).corner;
            for edge in [[a, b], [b, c], [c, a]] {
                match rim.iter().position(|e| *e == [edge[1], edge[0]]) {
                    Some(i) => drop(rim.swap_remove(i)),
                    None => rim.push(edge),
                }
            }
            // Only over a common edge: slivers elsewhere may see anything.
            next = self.face.iter().position(|f| {
                let [a, b, c] = f.corner;
                f.normal.dot(w) - f.distance > flat
                    && (rim.iter()).any(|e| [[b, a], [c, b], [a, c]].contains(e))
            });
        }
        self.corner.push(w);
        let top = self.corner.len() - 1;
        for [a, b] in &rim {
            let face = self.plane([*a, *b, top]);
            self.face.extend(face);
        }
        // A closed surface of triangles has this many.
        self.face.len() <= 2 * self.corner.len() - 4
    }
}
