//! Solids that bodies are made of: boxes, cylinders and straight extrusions.

use super::{Axis, Box3, Dir, Length, Turn, Vec3};

/// A closed outline in the plane across an axis, without repeating its first
/// point. Coordinates are along [`Axis::others`] of that axis, in that order.
pub type Ring = Vec<[Length; 2]>;

/// A solid whose edges follow the axes of its frame.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Solid {
    /// A box.
    Box(Box3),
    /// A circular cylinder.
    Cylinder {
        /// The axis it runs along.
        axis: Axis,
        /// Middle of the end with the smaller coordinate.
        base: Vec3,
        /// Half the diameter.
        radius: Length,
        /// From end to end, not negative.
        height: Length,
    },
    /// A straight extrusion of a simple polygon, with holes.
    Extrusion {
        /// The axis it runs along.
        axis: Axis,
        /// Smaller end coordinate.
        low: Length,
        /// Larger end coordinate.
        high: Length,
        /// Outer outline, either sense.
        outline: Ring,
        /// Outlines of holes, inside the outer one and apart from one another.
        holes: Vec<Ring>,
    },
}

impl Solid {
    /// The smallest box around it.
    pub fn bounds(&self) -> Box3 {
        match self {
            Solid::Box(b) => *b,
            Solid::Cylinder {
                axis,
                base,
                radius,
                height,
            } => {
                let r = Vec3::new(*radius, *radius, *radius).with(*axis, Length::ZERO);
                Box3::new(*base - r, *base + r + Dir::new(*axis, true).times(*height))
            }
            Solid::Extrusion {
                axis,
                low,
                high,
                outline,
                ..
            } => {
                let corners: Vec<Box3> = outline
                    .iter()
                    .map(|p| {
                        let v = lift(*axis, *p, *low);
                        Box3::new(v, v.with(*axis, *high))
                    })
                    .collect();
                Box3::around(&corners).unwrap_or_default()
            }
        }
    }

    /// The solid turned about the origin and then moved by `by`. Exact: quarter
    /// turns keep whole micrometres.
    pub fn placed(&self, turn: Turn, by: Vec3) -> Solid {
        match self {
            Solid::Box(b) => Solid::Box(b.turned(turn).moved(by)),
            Solid::Cylinder {
                axis,
                base,
                radius,
                height,
            } => {
                let along = turn.dir(Dir::new(*axis, true));
                let a = turn.apply(*base) + by;
                let b = a + along.times(*height);
                Solid::Cylinder {
                    axis: along.axis(),
                    base: a.min(b),
                    radius: *radius,
                    height: *height,
                }
            }
            Solid::Extrusion {
                axis,
                low,
                high,
                outline,
                holes,
            } => {
                let to = turn.dir(Dir::new(*axis, true)).axis();
                let ring = |r: &Ring| -> Ring {
                    r.iter()
                        .map(|p| drop_axis(to, turn.apply(lift(*axis, *p, Length::ZERO)) + by))
                        .collect()
                };
                let end = |l: Length| (turn.apply(Vec3::ZERO.with(*axis, l)) + by).along(to);
                let (a, b) = (end(*low), end(*high));
                Solid::Extrusion {
                    axis: to,
                    low: a.min(b),
                    high: a.max(b),
                    outline: ring(outline),
                    holes: holes.iter().map(ring).collect(),
                }
            }
        }
    }
}

/// The point of the plane across `axis` at height `at` along it.
pub(crate) fn lift(axis: Axis, p: [Length; 2], at: Length) -> Vec3 {
    let (a, b) = axis.others();
    Vec3::ZERO.with(a, p[0]).with(b, p[1]).with(axis, at)
}

/// The two coordinates across `axis`.
pub(crate) fn drop_axis(axis: Axis, v: Vec3) -> [Length; 2] {
    let (a, b) = axis.others();
    [v.along(a), v.along(b)]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn triangle() -> Solid {
        let p = |x, y| [Length::mm(x), Length::mm(y)];
        Solid::Extrusion {
            axis: Axis::Z,
            low: Length::mm(1),
            high: Length::mm(4),
            outline: vec![p(0, 0), p(10, 0), p(0, 5)],
            holes: vec![],
        }
    }

    #[test]
    fn bounds_follow_every_turn() {
        let cyl = Solid::Cylinder {
            axis: Axis::X,
            base: Vec3::mm(1, 2, 3),
            radius: Length::mm(2),
            height: Length::mm(10),
        };
        for solid in [
            triangle(),
            cyl,
            Solid::Box(Box3::new(Vec3::ZERO, Vec3::mm(1, 2, 3))),
        ] {
            for t in Turn::all() {
                let by = Vec3::mm(7, -3, 11);
                let expected = solid.bounds().turned(t).moved(by);
                assert_eq!(solid.placed(t, by).bounds(), expected, "{t:?}");
            }
        }
    }

    #[test]
    fn turning_there_and_back_gives_the_same_solid() {
        for t in Turn::all() {
            let there = triangle().placed(t, Vec3::ZERO);
            assert_eq!(there.placed(t.inverse(), Vec3::ZERO), triangle());
        }
    }
}
