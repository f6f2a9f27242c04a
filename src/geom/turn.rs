//! The 24 axis-aligned orientations of a part.

use super::{Axis, Dir, Vec3};
use std::fmt;

/// An orientation: where the part's own x, y and z axes point in the enclosure.
/// Always right-handed, so a turn never mirrors a part.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Turn {
    x: Dir,
    y: Dir,
    z: Dir,
}

impl Default for Turn {
    fn default() -> Turn {
        Turn::NONE
    }
}

impl Turn {
    /// As drawn in the catalogue.
    pub const NONE: Turn = Turn {
        x: Dir::PosX,
        y: Dir::PosY,
        z: Dir::PosZ,
    };

    /// The turn whose own x and y axes point to `x` and `y`; z follows by the
    /// right hand. `None` where both lie along one axis.
    pub fn new(x: Dir, y: Dir) -> Option<Turn> {
        x.cross(y).map(|z| Turn { x, y, z })
    }

    /// All 24, in a fixed order that starts with [`Turn::NONE`].
    pub fn all() -> Vec<Turn> {
        let mut all: Vec<Turn> = Dir::ALL
            .into_iter()
            .flat_map(|x| Dir::ALL.into_iter().filter_map(move |y| Turn::new(x, y)))
            .collect();
        all.sort_by_key(|t| (*t != Turn::NONE, *t));
        all
    }

    /// `quarters` quarter turns about `axis`, counter-clockwise for an eye that
    /// the axis points at.
    pub fn about(axis: Axis, quarters: i32) -> Turn {
        let (a, b) = axis.others();
        let (pos_a, pos_b) = (Dir::new(a, true), Dir::new(b, true));
        let one = |d: Dir| -> Dir {
            if d == pos_a {
                pos_b
            } else if d == pos_a.opposite() {
                pos_b.opposite()
            } else if d == pos_b {
                pos_a.opposite()
            } else if d == pos_b.opposite() {
                pos_a
            } else {
                d
            }
        };
        let mut turn = Turn::NONE;
        for _ in 0..quarters.rem_euclid(4) {
            turn = Turn {
                x: one(turn.x),
                y: one(turn.y),
                z: one(turn.z),
            };
        }
        turn
    }

    /// Where the part's own axis directions point: x, y, z.
    pub const fn axes(self) -> [Dir; 3] {
        [self.x, self.y, self.z]
    }

    /// The direction in the enclosure of a direction of the part.
    pub fn dir(self, d: Dir) -> Dir {
        let image = self.axes()[d.axis().index()];
        if d.is_positive() {
            image
        } else {
            image.opposite()
        }
    }

    /// A displacement of the part in the enclosure's frame.
    pub fn apply(self, v: Vec3) -> Vec3 {
        self.x.times(v.x) + self.y.times(v.y) + self.z.times(v.z)
    }

    /// This turn followed by `next` about the enclosure's axes.
    pub fn then(self, next: Turn) -> Turn {
        Turn {
            x: next.dir(self.x),
            y: next.dir(self.y),
            z: next.dir(self.z),
        }
    }

    /// The turn that takes this one back.
    pub fn inverse(self) -> Turn {
        let back = |to: Dir| -> Dir {
            let i = Axis::ALL
                .into_iter()
                .find(|a| self.axes()[a.index()].axis() == to.axis());
            let axis = i.expect("a turn is a permutation of the axes");
            Dir::new(
                axis,
                self.axes()[axis.index()].is_positive() == to.is_positive(),
            )
        };
        Turn {
            x: back(Dir::PosX),
            y: back(Dir::PosY),
            z: back(Dir::PosZ),
        }
    }
}

impl fmt::Debug for Turn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "[{} {}]", self.x.name(), self.y.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_are_24_and_each_has_its_inverse() {
        // The rotation group of the cube has 24 elements (group theory).
        let all = Turn::all();
        assert_eq!(all.len(), 24);
        assert_eq!(all[0], Turn::NONE);
        let v = Vec3::mm(1, 2, 3);
        for t in all {
            assert_eq!(t.then(t.inverse()), Turn::NONE);
            assert_eq!(t.inverse().apply(t.apply(v)), v);
        }
    }

    #[test]
    fn a_quarter_turn_about_z_takes_x_to_y() {
        let t = Turn::about(Axis::Z, 1);
        assert_eq!(t.dir(Dir::PosX), Dir::PosY);
        assert_eq!(t.apply(Vec3::mm(1, 0, 5)), Vec3::mm(0, 1, 5));
        assert_eq!(Turn::about(Axis::Z, 4), Turn::NONE);
        assert_eq!(Turn::about(Axis::Z, -1), t.inverse());
        assert_eq!(Turn::about(Axis::X, 1).dir(Dir::PosY), Dir::PosZ);
        assert_eq!(Turn::about(Axis::Y, 1).dir(Dir::PosZ), Dir::PosX);
    }

    #[test]
    fn turns_follow_one_another_in_order() {
        let a = Turn::about(Axis::X, 1);
        let b = Turn::about(Axis::Z, 1);
        let v = Vec3::mm(1, 2, 3);
        assert_eq!(a.then(b).apply(v), b.apply(a.apply(v)));
    }
}
