//! Points and displacements, axes and the six directions along them.

use super::Length;
use std::fmt;
use std::ops::{Add, AddAssign, Neg, Sub};

/// One of the three axes of the enclosure.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Axis {
    /// Width, to the right.
    X,
    /// Depth, to the back.
    Y,
    /// Height, up.
    Z,
}

impl Axis {
    /// Its letter: `x`, `y` or `z`.
    pub const fn name(self) -> &'static str {
        match self {
            Axis::X => "x",
            Axis::Y => "y",
            Axis::Z => "z",
        }
    }

    /// All three, in order.
    pub const ALL: [Axis; 3] = [Axis::X, Axis::Y, Axis::Z];

    /// The two other axes in cyclic order: Z gives (X, Y), X gives (Y, Z), Y gives (Z, X).
    pub const fn others(self) -> (Axis, Axis) {
        match self {
            Axis::X => (Axis::Y, Axis::Z),
            Axis::Y => (Axis::Z, Axis::X),
            Axis::Z => (Axis::X, Axis::Y),
        }
    }

    /// 0, 1 or 2.
    pub const fn index(self) -> usize {
        self as usize
    }
}

/// A direction along an axis.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dir {
    /// To the left.
    NegX,
    /// To the right.
    PosX,
    /// To the front.
    NegY,
    /// To the back.
    PosY,
    /// Down.
    NegZ,
    /// Up.
    PosZ,
}

impl Dir {
    /// All six.
    pub const ALL: [Dir; 6] = [
        Dir::NegX,
        Dir::PosX,
        Dir::NegY,
        Dir::PosY,
        Dir::NegZ,
        Dir::PosZ,
    ];

    /// The direction along `axis`, positive or negative.
    pub const fn new(axis: Axis, positive: bool) -> Dir {
        match (axis, positive) {
            (Axis::X, false) => Dir::NegX,
            (Axis::X, true) => Dir::PosX,
            (Axis::Y, false) => Dir::NegY,
            (Axis::Y, true) => Dir::PosY,
            (Axis::Z, false) => Dir::NegZ,
            (Axis::Z, true) => Dir::PosZ,
        }
    }

    /// The axis it lies along.
    pub const fn axis(self) -> Axis {
        match self {
            Dir::NegX | Dir::PosX => Axis::X,
            Dir::NegY | Dir::PosY => Axis::Y,
            Dir::NegZ | Dir::PosZ => Axis::Z,
        }
    }

    /// True where it points to larger coordinates.
    pub const fn is_positive(self) -> bool {
        matches!(self, Dir::PosX | Dir::PosY | Dir::PosZ)
    }

    /// 1 or -1.
    pub const fn sign(self) -> i64 {
        if self.is_positive() { 1 } else { -1 }
    }

    /// The other way along the same axis.
    pub const fn opposite(self) -> Dir {
        Dir::new(self.axis(), !self.is_positive())
    }

    /// The third direction of a right-handed frame: `self` x `other`. `None`
    /// where both lie along one axis.
    pub fn cross(self, other: Dir) -> Option<Dir> {
        let (a, b) = (self.axis(), other.axis());
        if a == b {
            return None;
        }
        let third = Axis::ALL[3 - a.index() - b.index()];
        let even = a.others().0 == b;
        Some(Dir::new(
            third,
            (self.is_positive() == other.is_positive()) == even,
        ))
    }

    /// A displacement of the given length in this direction.
    pub fn times(self, length: Length) -> Vec3 {
        let mut v = Vec3::ZERO;
        v.set(self.axis(), length * self.sign());
        v
    }

    /// `+x`, `-x` and so on, as written in files and in the window.
    pub const fn name(self) -> &'static str {
        match self {
            Dir::NegX => "-x",
            Dir::PosX => "+x",
            Dir::NegY => "-y",
            Dir::PosY => "+y",
            Dir::NegZ => "-z",
            Dir::PosZ => "+z",
        }
    }

    /// In words, from the user's place before the enclosure.
    pub const fn words(self) -> &'static str {
        match self {
            Dir::NegX => "left",
            Dir::PosX => "right",
            Dir::NegY => "front",
            Dir::PosY => "back",
            Dir::NegZ => "down",
            Dir::PosZ => "up",
        }
    }

    /// The direction with the given [`name`](Dir::name).
    pub fn from_name(name: &str) -> Option<Dir> {
        Dir::ALL.into_iter().find(|d| d.name() == name)
    }
}

impl fmt::Debug for Dir {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// A point of the enclosure's frame, or a displacement in it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Vec3 {
    /// Along the width.
    pub x: Length,
    /// Along the depth.
    pub y: Length,
    /// Along the height.
    pub z: Length,
}

impl Vec3 {
    /// The origin, or no displacement.
    pub const ZERO: Vec3 = Vec3::new(Length::ZERO, Length::ZERO, Length::ZERO);

    /// From three lengths.
    pub const fn new(x: Length, y: Length, z: Length) -> Vec3 {
        Vec3 { x, y, z }
    }

    /// From whole millimetres.
    pub const fn mm(x: i64, y: i64, z: i64) -> Vec3 {
        Vec3::new(Length::mm(x), Length::mm(y), Length::mm(z))
    }

    /// The coordinate along `axis`.
    pub const fn along(self, axis: Axis) -> Length {
        match axis {
            Axis::X => self.x,
            Axis::Y => self.y,
            Axis::Z => self.z,
        }
    }

    /// The signed coordinate in direction `dir`: minus y for `-y`.
    pub fn toward(self, dir: Dir) -> Length {
        self.along(dir.axis()) * dir.sign()
    }

    /// Replaces the coordinate along `axis`.
    pub fn set(&mut self, axis: Axis, value: Length) {
        match axis {
            Axis::X => self.x = value,
            Axis::Y => self.y = value,
            Axis::Z => self.z = value,
        }
    }

    /// The same point with another coordinate along `axis`.
    pub fn with(mut self, axis: Axis, value: Length) -> Vec3 {
        self.set(axis, value);
        self
    }

    /// The smaller coordinate of both on each axis.
    pub fn min(self, other: Vec3) -> Vec3 {
        Vec3::new(
            self.x.min(other.x),
            self.y.min(other.y),
            self.z.min(other.z),
        )
    }

    /// The larger coordinate of both on each axis.
    pub fn max(self, other: Vec3) -> Vec3 {
        Vec3::new(
            self.x.max(other.x),
            self.y.max(other.y),
            self.z.max(other.z),
        )
    }

    /// Each coordinate halved, rounded down to whole micrometres.
    pub fn half(self) -> Vec3 {
        Vec3::new(self.x.half(), self.y.half(), self.z.half())
    }

    /// Straight distance to `other` in millimetres.
    pub fn distance_mm(self, other: Vec3) -> f64 {
        let d = (self - other).as_mm();
        (d[0] * d[0] + d[1] * d[1] + d[2] * d[2]).sqrt()
    }

    /// Millimetres as floats, x y z.
    pub fn as_mm(self) -> [f64; 3] {
        [self.x.as_mm(), self.y.as_mm(), self.z.as_mm()]
    }
}

impl Add for Vec3 {
    type Output = Vec3;
    fn add(self, o: Vec3) -> Vec3 {
        Vec3::new(self.x + o.x, self.y + o.y, self.z + o.z)
    }
}

impl AddAssign for Vec3 {
    fn add_assign(&mut self, o: Vec3) {
        *self = *self + o;
    }
}

impl Sub for Vec3 {
    type Output = Vec3;
    fn sub(self, o: Vec3) -> Vec3 {
        Vec3::new(self.x - o.x, self.y - o.y, self.z - o.z)
    }
}

impl Neg for Vec3 {
    type Output = Vec3;
    fn neg(self) -> Vec3 {
        Vec3::new(-self.x, -self.y, -self.z)
    }
}

impl fmt::Debug for Vec3 {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "({} {} {})", self.x, self.y, self.z)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cross_products_are_right_handed() {
        assert_eq!(Dir::PosX.cross(Dir::PosY), Some(Dir::PosZ));
        assert_eq!(Dir::PosY.cross(Dir::PosX), Some(Dir::NegZ));
        assert_eq!(Dir::PosZ.cross(Dir::PosX), Some(Dir::PosY));
        assert_eq!(Dir::NegX.cross(Dir::PosY), Some(Dir::NegZ));
        assert_eq!(Dir::PosX.cross(Dir::NegX), None);
    }

    #[test]
    fn names_lead_back_to_their_direction() {
        for d in Dir::ALL {
            assert_eq!(Dir::from_name(d.name()), Some(d));
            assert_eq!(d.opposite().opposite(), d);
        }
        assert_eq!(Dir::from_name("x"), None);
    }
}
