//! The faces of the difference of two solids with flat faces.

use super::super::Vec3;
use super::super::hull::{BoxHull, Hull, Polytope, PrismHull};
use super::super::shape::{Piece, Solid};

/// Cosine from which two normals are one.
const SAME: f64 = 1.0 - 1e-13;

/// The points `at` with `at . normal >= level` lie beyond; the normal is a unit vector.
#[derive(Clone, Copy, Debug)]
pub(super) struct Plane {
    pub normal: Vec3,
    pub level: f64,
}

impl Plane {
    pub fn through(normal: Vec3, at: Vec3) -> Self {
        Self {
            normal,
            level: normal.dot(at),
        }
    }

    /// How far a point falls short of it.
    #[inline]
    pub fn short(&self, at: Vec3) -> f64 {
        self.level - self.normal.dot(at)
    }
}

/// A solid by its corners, its normals and the directions of its edges.
struct Corners {
    corner: Vec<Vec3>,
    normal: Vec<Vec3>,
    edge: Vec<Vec3>,
}

/// The faces of the shifts of `q` under which it meets `p`, each as the plane that the shifts
/// beyond it lie on. No cylinder may be among the two.
pub(super) fn facets(p: &Piece, q: &Piece) -> Vec<Plane> {
    if let (Solid::Aligned, Solid::Aligned) = (&p.solid, &q.solid) {
        let (lo, hi) = (p.bounds.lo - q.bounds.hi, p.bounds.hi - q.bounds.lo);
        let faces = |k: usize| {
            let normal = Vec3::unit(k);
            [Plane::through(normal, hi), Plane::through(-normal, lo)]
        };
        return (0..3).flat_map(faces).collect();
    }
    let (a, b) = (corners(p), corners(q));
    let tiny = 1e-9 * p.bounds.longest().max(q.bounds.longest());
    let mut planes: Vec<Plane> = Vec::new();
    let mut take = |n: Vec3| {
        for normal in [n, -n] {
            if planes.iter().any(|p| p.normal.dot(normal) > SAME) {
                continue;
            }
            let (far, on_a) = far(&a.corner, normal, tiny);
            let (near, on_b) = self::far(&b.corner, -normal, tiny);
            // A face of one, or an edge along each: else the two meet in an edge or a corner.
            if on_a >= 3 || on_b >= 3 || (on_a == 2 && on_b == 2) {
                let level = far + near;
                planes.push(Plane { normal, level });
            }
        }
    };
    a.normal.iter().chain(&b.normal).for_each(|n| take(*n));
    for e in &a.edge {
        for f in &b.edge {
            // Edges as good as parallel span no face.
            let n = e.cross(*f);
            if n.norm() > 1e-9 {
                take(n * (1.0 / n.norm()));
            }
        }
    }
    planes
}

/// How far the corners reach along `n`, and how many of them.
fn far(corners: &[Vec3], n: Vec3, tiny: f64) -> (f64, usize) {
    let (mut most, mut on) = (f64::NEG_INFINITY, 0);
    for c in corners {
        let reach = n.dot(*c);
        if reach > most + tiny {
            (most, on) = (reach, 1);
        } else if reach > most - tiny {
            (most, on) = (most.max(reach), on + 1);
        }
    }
    (most, on)
}

fn corners(piece: &Piece) -> Corners {
    match &piece.solid {
        Solid::Turned(hull) => of_box(hull),
        Solid::Prism(hull) => of_prism(hull),
        Solid::Aligned | Solid::Cylinder(_) => of_box(&piece.aligned_hull()),
    }
}

fn of_box(hull: &BoxHull) -> Corners {
    let sign = |i: usize, k: usize| if i >> k & 1 == 0 { -1.0 } else { 1.0 };
    let corner = |i: usize| {
        (0..3).fold(hull.centre, |at, k| {
            at + hull.axes[k] * (sign(i, k) * hull.half[k])
        })
    };
    described(hull, (0..8).map(corner).collect())
}

fn of_prism(hull: &PrismHull) -> Corners {
    let corner = |c: &[f64; 2]| {
        let flat = hull.centre + hull.axes[0] * c[0] + hull.axes[1] * c[1];
        let end = hull.axes[2] * hull.half;
        [flat - end, flat + end]
    };
    described(hull, hull.corners.iter().flat_map(corner).collect())
}

fn described(hull: &impl Polytope, corner: Vec<Vec3>) -> Corners {
    let (mut normal, mut edge) = (Vec::new(), Vec::new());
    Hull::each_normal(hull, &mut |n| normal.push(n));
    hull.each_edge(&mut |e| edge.push(e));
    Corners {
        corner,
        normal,
        edge,
    }
}
