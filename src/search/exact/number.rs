//! The two number types the bounds are kept in, and the few vector loops over them.
//!
//! Every value is a whole number of cost units (or [`Real::BIG`], which absorbs whatever is
//! added), small enough for the type to hold it and every sum of three such values exactly.
//! Bounds are therefore exact although they live in floating point, which has what integers
//! lack on every processor: a one-instruction minimum and an infinity that does not overflow.

use std::ops::{Add, AddAssign, Mul, Sub, SubAssign};

/// Values per vector step; rows are padded to a multiple of it.
pub(super) const LANES: usize = 8;

/// A floating-point type used as an exact integer; see the module text.
pub(super) trait Real:
    Copy
    + Default
    + PartialOrd
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + AddAssign
    + SubAssign
    + Send
    + Sync
    + 'static
{
    /// Stands for 'forbidden'.
    const BIG: Self;
    /// Anything at or above is forbidden.
    const FORBIDDEN: Self;
    /// Zero.
    const ZERO: Self;
    /// Adding and subtracting it rounds to the nearest whole number.
    const ROUND: Self;
    /// Just under one half, which turns rounding to nearest into rounding down.
    const HALF: Self;
    /// Largest magnitude of an accumulated shift.
    const MAX_SHIFT: Self;
    /// Largest total cost, in units, that keeps every intermediate value exact.
    const MAX_TOTAL: u64;

    /// The whole number `x`, which is at most [`Real::MAX_TOTAL`].
    fn whole(x: u64) -> Self;
    /// One over a small count.
    fn share(count: usize) -> Self;
    /// As a general float, for scores and reports.
    fn float(self) -> f64;

    /// The lesser of two; compiles to one instruction, unlike `f32::min`.
    #[inline(always)]
    fn least(self, other: Self) -> Self {
        if self < other { self } else { other }
    }

    /// Rounded down (or one less where the product was just above a whole number).
    #[inline(always)]
    fn floor(self) -> Self {
        (self - Self::HALF + Self::ROUND) - Self::ROUND
    }
}

macro_rules! real {
    ($t:ty, $bits:expr) => {
        impl Real for $t {
            const BIG: Self = 1e30;
            const FORBIDDEN: Self = 1e29;
            const ZERO: Self = 0.0;
            const ROUND: Self = 1.5 * (1u64 << ($bits - 1)) as Self;
            const HALF: Self = 0.499;
            const MAX_SHIFT: Self = (1u64 << ($bits - 2)) as Self;
            const MAX_TOTAL: u64 = 1 << ($bits - 3);

            fn whole(x: u64) -> Self {
                x as Self
            }
            fn share(count: usize) -> Self {
                1.0 / count as Self
            }
            fn float(self) -> f64 {
                f64::from(self)
            }
        }
    };
}

real!(f32, 24);
real!(f64, 53);

/// `len` rounded up to whole vector steps.
pub(super) fn padded(len: usize) -> usize {
    len.next_multiple_of(LANES)
}

#[inline(always)]
fn fold<R: Real>(acc: [R; LANES]) -> R {
    let four = [
        acc[0].least(acc[4]),
        acc[1].least(acc[5]),
        acc[2].least(acc[6]),
        acc[3].least(acc[7]),
    ];
    four[0].least(four[2]).least(four[1].least(four[3]))
}

/// Least value of a padded row.
#[inline]
pub(super) fn least_of<R: Real>(row: &[R]) -> R {
    let mut acc = [R::BIG; LANES];
    for step in row.chunks_exact(LANES) {
        for k in 0..LANES {
            acc[k] = step[k].least(acc[k]);
        }
    }
    fold(acc)
}

/// Least of `row[k] + plus[k]` over a padded row.
#[inline]
pub(super) fn least_sum<R: Real>(row: &[R], plus: &[R]) -> R {
    let mut acc = [R::BIG; LANES];
    for (r, p) in row.chunks_exact(LANES).zip(plus.chunks_exact(LANES)) {
        for k in 0..LANES {
            acc[k] = (r[k] + p[k]).least(acc[k]);
        }
    }
    fold(acc)
}

/// `acc[k] = min(acc[k], row[k] + plus)` over a padded row.
#[inline]
pub(super) fn lower_to<R: Real>(acc: &mut [R], row: &[R], plus: R) {
    for (a, &r) in acc.iter_mut().zip(row) {
        *a = (r + plus).least(*a);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check_type<R: Real>() {
        let w = R::whole;
        assert!((w(7) * R::share(2)).floor() == w(3));
        assert!((w(6) * R::share(2)).floor() == w(3));
        assert!(R::ZERO.floor() == R::ZERO);
        assert!(R::BIG + w(5) == R::BIG && R::BIG - w(5) == R::BIG);
        let top = w(R::MAX_TOTAL);
        assert!(top + R::MAX_SHIFT + R::MAX_SHIFT + w(1) > top + R::MAX_SHIFT + R::MAX_SHIFT);
    }

    #[test]
    fn whole_numbers_stay_exact_in_both_types() {
        check_type::<f32>();
        check_type::<f64>();
    }

    #[test]
    fn vector_loops_agree_with_plain_ones() {
        let row: Vec<f32> = (0..24).map(|k| ((k * 7 + 5) % 23) as f32).collect();
        let plus: Vec<f32> = (0..24).map(|k| ((k * 11 + 3) % 19) as f32).collect();
        let sums: Vec<f32> = row.iter().zip(&plus).map(|(a, b)| a + b).collect();
        let least = |v: &[f32]| v.iter().copied().fold(f32::MAX, f32::min);
        assert_eq!(least_of(&row), least(&row));
        assert_eq!(least_sum(&row, &plus), least(&sums));
        let mut acc = plus.clone();
        lower_to(&mut acc, &row, 2.0);
        for k in 0..24 {
            assert_eq!(acc[k], plus[k].min(row[k] + 2.0));
        }
    }
}
