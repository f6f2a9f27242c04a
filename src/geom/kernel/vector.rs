//! Vectors and turns in floating point: as much of them as the kernel needs.

use std::ops::{Add, AddAssign, Index, Mul, Neg, Sub};

use super::ShapeError;

/// A vector or a point, in the unit of the caller.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Vec3(pub [f64; 3]);

impl Vec3 {
    /// The origin.
    pub const ZERO: Self = Self([0.0; 3]);

    /// From three coordinates.
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self([x, y, z])
    }

    /// The unit vector along axis `k` (0, 1 or 2).
    pub const fn unit(k: usize) -> Self {
        let mut v = [0.0; 3];
        v[k] = 1.0;
        Self(v)
    }

    /// Scalar product.
    #[inline]
    pub fn dot(self, o: Self) -> f64 {
        self.0[0] * o.0[0] + self.0[1] * o.0[1] + self.0[2] * o.0[2]
    }

    /// Vector product.
    #[inline]
    pub fn cross(self, o: Self) -> Self {
        let ([a, b, c], [x, y, z]) = (self.0, o.0);
        Self([b * z - c * y, c * x - a * z, a * y - b * x])
    }

    /// Length.
    #[inline]
    pub fn norm(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// The same direction with length 1; `None` when the length is 0 or not finite.
    #[inline]
    pub fn normalized(self) -> Option<Self> {
        let n = self.norm();
        (n > 0.0 && n.is_finite()).then(|| self * (1.0 / n))
    }

    /// Whether all three coordinates are finite.
    pub fn is_finite(self) -> bool {
        self.0.iter().all(|c| c.is_finite())
    }
}

impl Index<usize> for Vec3 {
    type Output = f64;
    #[inline]
    fn index(&self, k: usize) -> &f64 {
        &self.0[k]
    }
}

impl Add for Vec3 {
    type Output = Self;
    #[inline]
    fn add(self, o: Self) -> Self {
        Self([self.0[0] + o.0[0], self.0[1] + o.0[1], self.0[2] + o.0[2]])
    }
}

impl AddAssign for Vec3 {
    #[inline]
    fn add_assign(&mut self, o: Self) {
        *self = *self + o;
    }
}

impl Sub for Vec3 {
    type Output = Self;
    #[inline]
    fn sub(self, o: Self) -> Self {
        Self([self.0[0] - o.0[0], self.0[1] - o.0[1], self.0[2] - o.0[2]])
    }
}

impl Mul<f64> for Vec3 {
    type Output = Self;
    #[inline]
    fn mul(self, s: f64) -> Self {
        Self([self.0[0] * s, self.0[1] * s, self.0[2] * s])
    }
}

impl Neg for Vec3 {
    type Output = Self;
    #[inline]
    fn neg(self) -> Self {
        Self([-self.0[0], -self.0[1], -self.0[2]])
    }
}

/// How a shape stands: an orthogonal matrix, kept as the images of the three own axes.
///
/// Reflections are taken as well as turns, so that a mirrored scene can be described.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    pub(super) axes: [Vec3; 3],
    aligned: bool,
}

impl Turn {
    /// No turn at all.
    pub const IDENTITY: Self = Self {
        axes: [Vec3::unit(0), Vec3::unit(1), Vec3::unit(2)],
        aligned: true,
    };

    /// From a row-major matrix, `rows[0]` giving x.
    ///
    /// Entries within 1e-12 of -1, 0 and 1 in a matrix of quarter turns are taken as exact;
    /// any other matrix is made orthogonal to rounding.
    ///
    /// # Errors
    /// [`ShapeError::NotATurn`] when the columns are not unit vectors at right angles within 1e-6.
    pub fn from_rows(rows: [[f64; 3]; 3]) -> Result<Self, ShapeError> {
        let column = |k: usize| Vec3::new(rows[0][k], rows[1][k], rows[2][k]);
        let [x, y, z] = [column(0), column(1), column(2)];
        // What is no number is off, too.
        let off = |v: f64| v.is_nan() || v.abs() > 1e-6;
        if [x, y, z].iter().any(|c| off(c.dot(*c) - 1.0))
            || off(x.dot(y))
            || off(y.dot(z))
            || off(z.dot(x))
        {
            return Err(ShapeError::NotATurn);
        }
        let whole = |c: &f64| (c - c.round()).abs() <= 1e-12;
        if [x, y, z].iter().all(|c| c.0.iter().all(whole)) {
            let snap = |v: Vec3| Vec3(v.0.map(|c| c.round() + 0.0));
            return Ok(Self {
                axes: [snap(x), snap(y), snap(z)],
                aligned: true,
            });
        }
        let unit = |v: Vec3| v.normalized().ok_or(ShapeError::NotATurn);
        let x = unit(x)?;
        let y = unit(y - x * x.dot(y))?;
        let z = unit(z - x * x.dot(z) - y * y.dot(z))?;
        Ok(Self {
            axes: [x, y, z],
            aligned: false,
        })
    }

    /// Whether it maps coordinate axes onto coordinate axes.
    pub fn is_aligned(&self) -> bool {
        self.aligned
    }

    /// A vector given along the own axes, seen from outside.
    #[inline]
    pub fn apply(&self, v: Vec3) -> Vec3 {
        self.axes[0] * v[0] + self.axes[1] * v[1] + self.axes[2] * v[2]
    }

    /// A vector seen from outside, given along the own axes.
    #[inline]
    pub fn undo(&self, v: Vec3) -> Vec3 {
        Vec3(self.axes.map(|a| a.dot(v)))
    }

    /// Half sizes of the bounding box of a box with these half sizes along its own axes.
    pub(super) fn spread(&self, half: Vec3) -> Vec3 {
        let reach = |k: usize| (0..3).map(|i| self.axes[i][k].abs() * half[i]).sum();
        Vec3::new(reach(0), reach(1), reach(2))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quarter_turns_are_exact_and_others_orthogonal() {
        let (s, c) = std::f64::consts::FRAC_PI_2.sin_cos();
        let quarter = Turn::from_rows([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]).unwrap();
        assert!(quarter.is_aligned());
        assert_eq!(
            quarter.apply(Vec3::new(1.0, 2.0, 3.0)),
            Vec3::new(-2.0, 1.0, 3.0)
        );
        let (s, c) = (0.3_f64.sin() + 1e-9, 0.3_f64.cos());
        let rough = Turn::from_rows([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]).unwrap();
        assert!(!rough.is_aligned());
        assert!(rough.axes[0].dot(rough.axes[1]).abs() < 1e-15);
        let v = Vec3::new(1.0, -2.0, 0.5);
        assert!((rough.undo(rough.apply(v)) - v).norm() < 1e-14);
    }

    #[test]
    fn what_is_no_turn_is_refused() {
        for rows in [
            [[1.0, 0.0, 0.0], [0.0, 2.0, 0.0], [0.0, 0.0, 1.0]],
            [[1.0, 0.1, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
            [[0.0; 3]; 3],
            [[f64::NAN; 3]; 3],
        ] {
            assert_eq!(Turn::from_rows(rows), Err(ShapeError::NotATurn));
        }
    }
}
