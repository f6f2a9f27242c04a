//! A face looked at square on: points of the enclosure in millimetres, x to the
//! right and y up as the eye sees it. Never mirrored.

use crate::geom::{Axis, Box3, Dir, Length, Solid, Vec3};
use crate::model::{Hole, HoleShape};

/// A view square onto one side.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Face {
    /// From the face to the eye.
    pub eye: Dir,
    right: Dir,
    up: Dir,
}

impl Face {
    /// Seen from that side: up is up, or the back for a level face.
    pub fn seen_from(eye: Dir) -> Face {
        let up = match eye.axis() {
            Axis::Z => Dir::PosY,
            _ => Dir::PosZ,
        };
        let right = up.cross(eye).expect("up is square to the eye");
        Face { eye, right, up }
    }

    /// A point.
    pub fn point(self, p: Vec3) -> [f64; 2] {
        [p.toward(self.right).as_mm(), p.toward(self.up).as_mm()]
    }

    /// A displacement along the directions of a frame.
    fn rect(self, b: &Box3) -> Shape {
        let (a, b) = (self.point(b.min()), self.point(b.max()));
        Shape::rect([a[0].min(b[0]), a[1].min(b[1])], [a[0].max(b[0]), a[1].max(b[1])])
    }

    /// The outline of a box.
    pub fn box_outline(self, b: &Box3) -> Shape {
        self.rect(b)
    }

    /// Outline of a solid, and its holes; false where only its outer box could be drawn.
    pub fn outline(self, solid: &Solid) -> (Vec<Shape>, bool) {
        match solid {
            Solid::Box(b) => (vec![self.rect(b)], true),
            Solid::Extrusion {
                axis,
                low,
                outline,
                holes,
                ..
            } if *axis == self.eye.axis() => {
                let ring = |ring: &Vec<[Length; 2]>| {
                    let (u, v) = axis.others();
                    let points = ring.iter().map(|p| {
                        let at = Vec3::ZERO.with(u, p[0]).with(v, p[1]).with(*axis, *low);
                        self.point(at)
                    });
                    Shape::Polygon(points.collect())
                };
                let rings = std::iter::once(outline).chain(holes).map(ring);
                (rings.collect(), true)
            }
            Solid::Cylinder {
                axis, base, radius, ..
            } if *axis == self.eye.axis() => (
                vec![Shape::Circle {
                    at: self.point(*base),
                    diameter: radius.as_mm() * 2.0,
                }],
                true,
            ),
            other => (vec![self.rect(&other.bounds())], false),
        }
    }

    /// A hole of a frame.
    pub fn hole(self, frame: &crate::model::Frame, hole: &Hole) -> Shape {
        let at = self.point(frame.point(hole.u, hole.v));
        match hole.shape {
            HoleShape::Slot { du, dv } => Shape::Slot {
                from: at,
                to: self.point(frame.point(hole.u + du, hole.v + dv)),
                width: hole.diameter.as_mm(),
            },
            _ => Shape::Circle {
                at,
                diameter: hole.diameter.as_mm(),
            },
        }
    }
}

/// A closed outline on a face, in millimetres, y up.
#[derive(Clone, PartialEq, Debug)]
pub enum Shape {
    /// A circle.
    Circle {
        /// Its middle.
        at: [f64; 2],
        /// Its diameter.
        diameter: f64,
    },
    /// A round-ended slot.
    Slot {
        /// Middle of one end.
        from: [f64; 2],
        /// Middle of the other.
        to: [f64; 2],
        /// Its width.
        width: f64,
    },
    /// A polygon; the first corner is not repeated.
    Polygon(Vec<[f64; 2]>),
}

impl Shape {
    /// An upright rectangle.
    pub fn rect(min: [f64; 2], max: [f64; 2]) -> Shape {
        Shape::Polygon(vec![min, [max[0], min[1]], max, [min[0], max[1]]])
    }

    /// Lower left and upper right corner of the box around it.
    pub fn bounds(&self) -> [[f64; 2]; 2] {
        let points: Vec<[f64; 2]> = match self {
            Shape::Circle { at, diameter } => around(*at, diameter / 2.0),
            Shape::Slot { from, to, width } => [around(*from, width / 2.0), around(*to, width / 2.0)].concat(),
            Shape::Polygon(points) => points.clone(),
        };
        let mut bounds = [[f64::INFINITY; 2], [f64::NEG_INFINITY; 2]];
        for p in points {
            for i in 0..2 {
                bounds[0][i] = bounds[0][i].min(p[i]);
                bounds[1][i] = bounds[1][i].max(p[i]);
            }
        }
        bounds
    }

    /// The middle of its box.
    pub fn middle(&self) -> [f64; 2] {
        let [a, b] = self.bounds();
        [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0]
    }

    /// True where the point lies in it or on its edge (a slot: in its box).
    pub fn contains(&self, p: [f64; 2]) -> bool {
        match self {
            Shape::Circle { at, diameter } => (p[0] - at[0]).hypot(p[1] - at[1]) <= diameter / 2.0 + 1e-9,
            _ => {
                let [a, b] = self.bounds();
                (0..2).all(|i| a[i] - 1e-9 <= p[i] && p[i] <= b[i] + 1e-9)
            }
        }
    }

    /// Its area; a polygon by the shoelace formula.
    pub fn area(&self) -> f64 {
        use std::f64::consts::PI;
        match self {
            Shape::Circle { diameter, .. } => PI * diameter * diameter / 4.0,
            Shape::Slot { from, to, width } => {
                let along = (to[0] - from[0]).hypot(to[1] - from[1]);
                along * width + PI * width * width / 4.0
            }
            Shape::Polygon(points) => {
                let next = points.iter().cycle().skip(1);
                let twice: f64 = points
                    .iter()
                    .zip(next)
                    .map(|(a, b)| a[0] * b[1] - b[0] * a[1])
                    .sum();
                twice.abs() / 2.0
            }
        }
    }

    /// The same moved.
    #[must_use]
    pub fn moved(&self, by: [f64; 2]) -> Shape {
        let m = |p: [f64; 2]| [p[0] + by[0], p[1] + by[1]];
        match self {
            Shape::Circle { at, diameter } => Shape::Circle {
                at: m(*at),
                diameter: *diameter,
            },
            Shape::Slot { from, to, width } => Shape::Slot {
                from: m(*from),
                to: m(*to),
                width: *width,
            },
            Shape::Polygon(points) => Shape::Polygon(points.iter().map(|p| m(*p)).collect()),
        }
    }
}

fn around(at: [f64; 2], r: f64) -> Vec<[f64; 2]> {
    vec![[at[0] - r, at[1] - r], [at[0] + r, at[1] + r]]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_side_is_seen_true_and_never_mirrored() {
        for eye in Dir::ALL {
            let face = Face::seen_from(eye);
            // Right, up and towards the eye are a right-handed set: no mirror image.
            assert_eq!(face.right.cross(face.up), Some(face.eye), "{eye:?}");
        }
        // From the front, left is left and up is up.
        let front = Face::seen_from(Dir::NegY);
        assert_eq!(front.point(Vec3::mm(3, 7, 5)), [3.0, 5.0]);
        // From the back, left is right.
        let back = Face::seen_from(Dir::PosY);
        assert_eq!(back.point(Vec3::mm(3, 7, 5)), [-3.0, 5.0]);
    }

    #[test]
    fn areas_are_those_of_the_handbook() {
        use std::f64::consts::PI;
        let circle = Shape::Circle {
            at: [0.0, 0.0],
            diameter: 10.0,
        };
        assert!((circle.area() - 25.0 * PI).abs() < 1e-9);
        let slot = Shape::Slot {
            from: [0.0, 0.0],
            to: [6.0, 8.0],
            width: 2.0,
        };
        // A rectangle of 10 by 2 and a circle of 2.
        assert!((slot.area() - 20.0 - PI).abs() < 1e-9);
        assert_eq!(Shape::rect([1.0, 1.0], [4.0, 3.0]).area(), 6.0);
    }
}
