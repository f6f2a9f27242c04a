//! Points, rectangles and affine maps on the page.

use std::ops::{Add, Mul, Neg, Sub};

/// Farthest drawable coordinate in millimetres, either sign (100 m).
///
/// Marks that reach beyond it are not drawn; it keeps dash counts, numbers in
/// files and raster arithmetic bounded.
pub const MAX_COORDINATE: f64 = 100_000.0;

/// A point or a vector on the page, in millimetres; y runs down.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point2 {
    /// To the right.
    pub x: f64,
    /// Down the page.
    pub y: f64,
}

impl Point2 {
    /// The point at `x`, `y`.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The unit vector at `degrees` clockwise from the x axis.
    pub fn unit(degrees: f64) -> Self {
        let (sin, cos) = degrees.to_radians().sin_cos();
        Self::new(cos, sin)
    }

    /// Length of the vector.
    pub fn length(self) -> f64 {
        self.x.hypot(self.y)
    }

    /// The vector at length one; `None` where the length is zero or not finite.
    pub fn normalised(self) -> Option<Self> {
        let length = self.length();
        (length > 0.0 && length.is_finite()).then(|| self * (1.0 / length))
    }

    /// Inner product.
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// The vector turned a quarter counter-clockwise on the page: right becomes up.
    pub fn left(self) -> Self {
        Self::new(self.y, -self.x)
    }

    /// The point `t` of the way to `other`.
    pub fn lerp(self, other: Self, t: f64) -> Self {
        self + (other - self) * t
    }

    /// Whether both coordinates are finite and within [`MAX_COORDINATE`].
    pub fn is_drawable(self) -> bool {
        // A comparison with NaN is false, so this covers it.
        self.x.abs() <= MAX_COORDINATE && self.y.abs() <= MAX_COORDINATE
    }
}

impl From<(f64, f64)> for Point2 {
    fn from((x, y): (f64, f64)) -> Self {
        Self::new(x, y)
    }
}

impl Add for Point2 {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y)
    }
}

impl Sub for Point2 {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.x - other.x, self.y - other.y)
    }
}

impl Mul<f64> for Point2 {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self::new(self.x * factor, self.y * factor)
    }
}

impl Neg for Point2 {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.x, -self.y)
    }
}

/// An upright rectangle; `min` is the upper left corner on the page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    /// Upper left corner.
    pub min: Point2,
    /// Lower right corner.
    pub max: Point2,
}

impl Rect {
    /// The rectangle that two opposite corners span, in any order. A coordinate that
    /// is not a number stays one, so that the rectangle is not drawable.
    pub fn spanning(a: impl Into<Point2>, b: impl Into<Point2>) -> Self {
        let (a, b) = (a.into(), b.into());
        let order = |a: f64, b: f64| match a.partial_cmp(&b) {
            Some(std::cmp::Ordering::Greater) => (b, a),
            Some(_) => (a, b),
            None => (f64::NAN, f64::NAN),
        };
        let ((left, right), (top, bottom)) = (order(a.x, b.x), order(a.y, b.y));
        Self {
            min: Point2::new(left, top),
            max: Point2::new(right, bottom),
        }
    }

    /// The rectangle with its upper left corner at `x`, `y`.
    pub fn sized(x: f64, y: f64, width: f64, height: f64) -> Self {
        Self::spanning((x, y), (x + width, y + height))
    }

    /// Width, never negative for a rectangle from a constructor.
    pub fn width(self) -> f64 {
        self.max.x - self.min.x
    }

    /// Height, never negative for a rectangle from a constructor.
    pub fn height(self) -> f64 {
        self.max.y - self.min.y
    }

    /// The middle.
    pub fn centre(self) -> Point2 {
        self.min.lerp(self.max, 0.5)
    }

    /// Corners, clockwise on the page from the upper left.
    pub fn corners(self) -> [Point2; 4] {
        [
            self.min,
            Point2::new(self.max.x, self.min.y),
            self.max,
            Point2::new(self.min.x, self.max.y),
        ]
    }

    /// The rectangle with every side moved outwards by `margin` (inwards where
    /// negative; it shrinks to a point at most).
    pub fn grown(self, margin: f64) -> Self {
        let x = margin.max(-self.width() / 2.0);
        let y = margin.max(-self.height() / 2.0);
        Self {
            min: self.min - Point2::new(x, y),
            max: self.max + Point2::new(x, y),
        }
    }

    /// The smallest rectangle around both.
    pub fn union(self, other: Self) -> Self {
        Self {
            min: Point2::new(self.min.x.min(other.min.x), self.min.y.min(other.min.y)),
            max: Point2::new(self.max.x.max(other.max.x), self.max.y.max(other.max.y)),
        }
    }

    /// The smallest rectangle around the points; `None` for no points.
    pub fn around(points: impl IntoIterator<Item = Point2>) -> Option<Self> {
        points
            .into_iter()
            .map(|p| Self { min: p, max: p })
            .reduce(Self::union)
    }

    /// Whether the point is inside or on the border.
    pub fn contains(self, point: Point2) -> bool {
        (self.min.x..=self.max.x).contains(&point.x) && (self.min.y..=self.max.y).contains(&point.y)
    }
}

/// An affine map of the page: `x' = a·x + c·y + e`, `y' = b·x + d·y + f`.
///
/// The order of the six numbers is that of an SVG `matrix(a b c d e f)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Affine(pub [f64; 6]);

impl Affine {
    /// Leaves everything where it is.
    pub const IDENTITY: Self = Self([1.0, 0.0, 0.0, 1.0, 0.0, 0.0]);

    /// Moves by `x`, `y` millimetres.
    pub const fn shift(x: f64, y: f64) -> Self {
        Self([1.0, 0.0, 0.0, 1.0, x, y])
    }

    /// Scales about the origin; a negative factor mirrors.
    pub const fn scale(x: f64, y: f64) -> Self {
        Self([x, 0.0, 0.0, y, 0.0, 0.0])
    }

    /// Turns about the origin, clockwise on the page. Quarter turns are exact.
    pub fn turn(degrees: f64) -> Self {
        let quarters = degrees / 90.0;
        let (sin, cos) = if quarters.fract() == 0.0 {
            [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)][quarters.rem_euclid(4.0) as usize]
        } else {
            degrees.to_radians().sin_cos()
        };
        Self([cos, sin, -sin, cos, 0.0, 0.0])
    }

    /// First `self`, then `next`.
    pub fn then(self, next: Self) -> Self {
        let [a, b, c, d, _, _] = self.0;
        let x = next.vector(Point2::new(a, b));
        let y = next.vector(Point2::new(c, d));
        let o = next.point(Point2::new(self.0[4], self.0[5]));
        Self([x.x, x.y, y.x, y.y, o.x, o.y])
    }

    /// The image of a point.
    pub fn point(self, p: Point2) -> Point2 {
        self.vector(p) + Point2::new(self.0[4], self.0[5])
    }

    /// The image of a vector: without the shift.
    pub fn vector(self, v: Point2) -> Point2 {
        let [a, b, c, d, _, _] = self.0;
        Point2::new(a * v.x + c * v.y, b * v.x + d * v.y)
    }

    /// Mean length factor: the square root of the area factor.
    pub fn mean_scale(self) -> f64 {
        let [a, b, c, d, _, _] = self.0;
        (a * d - b * c).abs().sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn maps_apply_in_the_order_they_are_chained() {
        let map = Affine::turn(90.0).then(Affine::shift(10.0, 0.0));
        assert_eq!(map.point(Point2::new(1.0, 0.0)), Point2::new(10.0, 1.0));
        let other = Affine::shift(10.0, 0.0).then(Affine::turn(90.0));
        assert_eq!(other.point(Point2::new(1.0, 0.0)), Point2::new(0.0, 11.0));
        assert_eq!(Affine::turn(-90.0), Affine::turn(270.0));
        assert_eq!(Affine::scale(-2.0, 2.0).mean_scale(), 2.0);
    }

    #[test]
    fn left_of_rightwards_is_up_the_page() {
        assert_eq!(Point2::new(1.0, 0.0).left(), Point2::new(0.0, -1.0));
    }

    #[test]
    fn shrinking_stops_at_the_centre() {
        let rect = Rect::sized(0.0, 0.0, 4.0, 2.0).grown(-9.0);
        assert_eq!(
            (rect.min, rect.max),
            (Point2::new(2.0, 1.0), Point2::new(2.0, 1.0))
        );
    }

    #[test]
    fn what_is_not_finite_or_too_far_is_not_drawable() {
        for x in [f64::NAN, f64::INFINITY, 1e300, -MAX_COORDINATE * 1.01] {
            assert!(!Point2::new(x, 0.0).is_drawable(), "{x}");
        }
        assert!(Point2::new(MAX_COORDINATE, -MAX_COORDINATE).is_drawable());
        assert!(
            !Rect::spanning((0.0, f64::NAN), (5.0, 5.0))
                .min
                .is_drawable()
        );
    }
}
