//! Convex solids as tests describe them, with questions answered apart from the kernel.

use closefit::geom::kernel::{Shape, Turn, Vec3};
use parry3d_f64::math::{Pose, Vector};
use parry3d_f64::shape as other;
use proptest::prelude::*;

/// What a solid is along its own axes; a cylinder and a prism stand along the third.
#[derive(Clone, Debug)]
pub enum Kind {
    Box([f64; 3]),
    Cylinder { radius: f64, half: f64 },
    Prism { corners: Vec<[f64; 2]>, half: f64 },
}

/// A convex solid with its centre and the images of its own axes.
#[derive(Clone, Debug)]
pub struct Solid {
    kind: Kind,
    centre: Vec3,
    axes: [Vec3; 3],
}

/// Any solid with its centre in a cube of `space` to either side and half sizes up to `half`:
/// along the axes, turned about one, nearly along the axes, or in any position.
pub fn solid(space: f64, half: f64) -> impl Strategy<Value = Solid> {
    let half = move || 0.5..half;
    let kind = prop_oneof![
        [half(), half(), half()].prop_map(Kind::Box),
        (half(), half()).prop_map(|(radius, half)| Kind::Cylinder { radius, half }),
        (3..8_usize, half(), half(), 0.0..6.0_f64, half()).prop_map(|(n, x, y, at, half)| {
            // Corners on an ellipse in order: convex.
            let corner = |i: usize| (i as f64 / n as f64 * std::f64::consts::TAU + at).sin_cos();
            let corners = (0..n).map(corner).map(|(s, c)| [x * c, y * s]).collect();
            Kind::Prism { corners, half }
        }),
    ];
    let any = || -1.0..1.0_f64;
    let quaternion = prop_oneof![
        Just([1.0, 0.0, 0.0, 0.0]),
        Just([0.5, 0.5, 0.5, 0.5]),
        Just([0.5, 0.5, -0.5, 0.5]),
        (0.0..6.0_f64).prop_map(|t| [t.cos(), 0.0, 0.0, t.sin()]),
        (-10..-2, any(), any(), any()).prop_map(|(e, x, y, z)| {
            let tilt = 10f64.powi(e);
            [1.0, x * tilt, y * tilt, z * tilt]
        }),
        [0.1..1.0, any(), any(), any()],
    ];
    let place = [-space..space, -space..space, -space..space];
    let whole = (kind.clone(), place.clone(), Just([1.0, 0.0, 0.0, 0.0])).prop_map(rounded);
    prop_oneof![3 => (kind, place, quaternion).prop_map(placed), 1 => whole]
}

fn placed((kind, centre, quaternion): (Kind, [f64; 3], [f64; 4])) -> Solid {
    let len = quaternion.iter().map(|c| c * c).sum::<f64>().sqrt();
    let [w, x, y, z] = quaternion.map(|c| c / len);
    let axes = [
        [
            1.0 - 2.0 * (y * y + z * z),
            2.0 * (x * y + w * z),
            2.0 * (x * z - w * y),
        ],
        [
            2.0 * (x * y - w * z),
            1.0 - 2.0 * (x * x + z * z),
            2.0 * (y * z + w * x),
        ],
        [
            2.0 * (x * z + w * y),
            2.0 * (y * z - w * x),
            1.0 - 2.0 * (x * x + y * y),
        ],
    ];
    Solid {
        kind,
        centre: Vec3(centre),
        axes: axes.map(Vec3),
    }
}

/// Whole sizes in whole places, where touching and equal faces are common.
fn rounded((kind, centre, quaternion): (Kind, [f64; 3], [f64; 4])) -> Solid {
    let up = |c: f64| c.ceil();
    let kind = match kind {
        Kind::Box(half) => Kind::Box(half.map(up)),
        Kind::Cylinder { radius, half } => Kind::Cylinder {
            radius: up(radius),
            half: up(half),
        },
        prism => prism,
    };
    placed((kind, centre.map(f64::round), quaternion))
}

impl Solid {
    fn rows(&self) -> [[f64; 3]; 3] {
        std::array::from_fn(|i| std::array::from_fn(|k| self.axes[k][i]))
    }

    pub fn centre(&self) -> Vec3 {
        self.centre
    }

    pub fn shape(&self) -> Shape {
        let turn = Turn::from_rows(self.rows()).unwrap();
        match &self.kind {
            Kind::Box(half) => Shape::cuboid(self.centre, Vec3(*half), &turn),
            Kind::Cylinder { radius, half } => {
                Shape::cylinder(self.centre, self.axes[2], *radius, *half)
            }
            Kind::Prism { corners, half } => {
                Shape::extrusion(corners, &[], *half, self.centre, &turn)
            }
        }
        .unwrap()
    }

    pub fn moved(&self, by: Vec3) -> Self {
        Self {
            centre: self.centre + by,
            ..self.clone()
        }
    }

    /// Turned about the origin.
    pub fn turned(&self, turn: &Turn) -> Self {
        Self {
            kind: self.kind.clone(),
            centre: turn.apply(self.centre),
            axes: self.axes.map(|a| turn.apply(a)),
        }
    }

    /// Seen in a mirror across axis `k`.
    pub fn mirrored(&self, k: usize) -> Self {
        let flip = |mut v: Vec3| {
            v.0[k] = -v.0[k];
            v
        };
        Self {
            kind: self.kind.clone(),
            centre: flip(self.centre),
            axes: self.axes.map(flip),
        }
    }

    /// The point at shares -1 to 1 of the own sizes; inside for every kind.
    pub fn pick(&self, [x, y, z]: [f64; 3]) -> Vec3 {
        let (a, b, c) = match &self.kind {
            Kind::Box(half) => (x * half[0], y * half[1], z * half[2]),
            Kind::Cylinder { radius, half } => {
                let (s, c) = (y * std::f64::consts::PI).sin_cos();
                (x * radius * c, x * radius * s, z * half)
            }
            Kind::Prism { corners, half } => {
                // On the way from the middle to a point of a side.
                let n = corners.len();
                let i = ((y + 1.0) * 0.5 * n as f64) as usize % n;
                let (p, q) = (corners[i], corners[(i + 1) % n]);
                let t = x.abs();
                (t * (p[0] + q[0]) * 0.5, t * (p[1] + q[1]) * 0.5, z * half)
            }
        };
        self.centre + self.axes[0] * a + self.axes[1] * b + self.axes[2] * c
    }

    /// How far a point is out over the surface that it is most out over; under 0 inside.
    pub fn outside(&self, p: Vec3) -> f64 {
        let d = p - self.centre;
        let [x, y, z] = self.axes.map(|a| a.dot(d));
        match &self.kind {
            Kind::Box(h) => (x.abs() - h[0]).max(y.abs() - h[1]).max(z.abs() - h[2]),
            Kind::Cylinder { radius, half } => (z.abs() - half).max(x.hypot(y) - radius),
            Kind::Prism { corners, half } => {
                let n = corners.len();
                let side = |i: usize| {
                    let (p, q) = (corners[i], corners[(i + 1) % n]);
                    let (u, v) = (q[0] - p[0], q[1] - p[1]);
                    ((x - p[0]) * v - (y - p[1]) * u) / u.hypot(v)
                };
                (0..n).map(side).fold(z.abs() - half, f64::max)
            }
        }
    }

    /// How far the solid reaches along a unit vector, from the origin.
    pub fn reach(&self, n: Vec3) -> f64 {
        let [x, y, z] = self.axes.map(|a| a.dot(n));
        let own = match &self.kind {
            Kind::Box(h) => h[0] * x.abs() + h[1] * y.abs() + h[2] * z.abs(),
            Kind::Cylinder { radius, half } => radius * x.hypot(y) + half * z.abs(),
            Kind::Prism { corners, half } => {
                let far = corners.iter().map(|c| c[0] * x + c[1] * y);
                far.fold(f64::NEG_INFINITY, f64::max) + half * z.abs()
            }
        };
        self.centre.dot(n) + own
    }

    /// The solid in the terms of `parry3d`, whose cylinders stand along y.
    pub fn parry(&self) -> (Pose, Box<dyn other::Shape>) {
        let place = |v: Vec3| Vector::new(v[0], v[1], v[2]);
        let corners = |points: Vec<Vec3>| {
            let points: Vec<Vector> = points.into_iter().map(place).collect();
            other::ConvexPolyhedron::from_convex_hull(&points).unwrap()
        };
        let lift = |x: f64, y: f64, z: f64| self.axes[0] * x + self.axes[1] * y + self.axes[2] * z;
        let at = Pose::from_translation(place(self.centre));
        match &self.kind {
            Kind::Box(h) => {
                let signs = (0..8).map(|i| [1, 2, 4].map(|k| if i & k == 0 { 1.0 } else { -1.0 }));
                let points = signs.map(|s| lift(s[0] * h[0], s[1] * h[1], s[2] * h[2]));
                (at, Box::new(corners(points.collect())))
            }
            Kind::Prism {
                corners: flat,
                half,
            } => {
                let points = flat
                    .iter()
                    .flat_map(|c| [lift(c[0], c[1], *half), lift(c[0], c[1], -half)]);
                (at, Box::new(corners(points.collect())))
            }
            Kind::Cylinder { radius, half } => {
                let turn = parry3d_f64::math::Rotation::from_rotation_arc(
                    Vector::new(0.0, 1.0, 0.0),
                    place(self.axes[2]),
                );
                let at = Pose::from_parts(place(self.centre), turn);
                (at, Box::new(other::Cylinder::new(*half, *radius)))
            }
        }
    }
}

/// The widest gap that a plane shows between two solids, or minus the least way out: searched
/// from `towards`, the axes of both and their cross products by ever smaller steps.
pub fn separation(a: &Solid, b: &Solid, towards: Vec3) -> f64 {
    let gap = |n: Vec3| -b.reach(-n) - a.reach(n);
    let axes: Vec<Vec3> = a.axes.into_iter().chain(b.axes).collect();
    let crossed = axes.iter().flat_map(|u| axes.iter().map(|v| u.cross(*v)));
    let mut starts: Vec<Vec3> = [towards]
        .into_iter()
        .chain(crossed)
        .chain(axes.clone())
        .collect();
    starts.retain(|n| n.norm() > 1e-9);
    let unit = |n: Vec3| n * (1.0 / n.norm());
    let signed = starts.iter().flat_map(|n| [unit(*n), unit(-*n)]);
    let (mut best, mut at) = signed
        .map(|n| (gap(n), n))
        .max_by(|p, q| p.0.total_cmp(&q.0))
        .expect("the axes are among the starts");
    let mut step = 0.5;
    while step > 1e-10 {
        let side = unit(at.cross(if at[0].abs() < 0.7 {
            Vec3::unit(0)
        } else {
            Vec3::unit(1)
        }));
        let up = at.cross(side);
        let around = (0..16).map(|i| {
            let (s, c) = (f64::from(i) * std::f64::consts::TAU / 16.0).sin_cos();
            unit(at + (side * c + up * s) * step)
        });
        let next = around
            .map(|n| (gap(n), n))
            .max_by(|p, q| p.0.total_cmp(&q.0));
        match next {
            Some((wider, n)) if wider > best => (best, at) = (wider, n),
            _ => step *= 0.5,
        }
    }
    best
}
