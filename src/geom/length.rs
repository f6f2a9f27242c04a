//! The one length type of the model.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// Largest magnitude that files and fields accept, in millimetres (100 m). Sums
/// of any number of accepted lengths stay far below the range of `i64`.
pub const LIMIT_MM: f64 = 100_000.0;

/// A length in whole micrometres, so that 'touching' is an exact question.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(i64);

impl Length {
    /// No length.
    pub const ZERO: Length = Length(0);

    /// Whole micrometres.
    pub const fn um(um: i64) -> Length {
        Length(um)
    }

    /// Whole millimetres.
    pub const fn mm(mm: i64) -> Length {
        Length(mm * 1000)
    }

    /// Millimetres rounded to the nearest micrometre. `None` where the number is
    /// not finite or beyond [`LIMIT_MM`].
    pub fn from_mm(mm: f64) -> Option<Length> {
        (mm.is_finite() && mm.abs() <= LIMIT_MM).then(|| Length((mm * 1000.0).round() as i64))
    }

    /// The number of micrometres.
    pub const fn as_um(self) -> i64 {
        self.0
    }

    /// Millimetres as a float, for drawing and physics.
    pub fn as_mm(self) -> f64 {
        self.0 as f64 / 1000.0
    }

    /// Magnitude.
    pub const fn abs(self) -> Length {
        Length(self.0.abs())
    }

    /// Half, rounded towards minus infinity to a whole micrometre.
    pub const fn half(self) -> Length {
        Length(self.0.div_euclid(2))
    }

    /// The nearest multiple of `step`; ties go up. A step that is not positive
    /// leaves the length as it is.
    pub const fn snapped(self, step: Length) -> Length {
        if step.0 <= 0 {
            return self;
        }
        Length((self.0 + step.0 / 2).div_euclid(step.0) * step.0)
    }

    /// Text with one decimal, as everywhere in the program: `12.3`.
    pub fn text1(self) -> String {
        let tenths = (self.0.abs() + 50) / 100;
        let sign = if self.0 < 0 && tenths > 0 { "-" } else { "" };
        format!("{sign}{}.{}", tenths / 10, tenths % 10)
    }

    /// Text with one decimal of a computed figure in millimetres, which first becomes whole
    /// micrometres: 24.7499999 reads as 24.75 does.
    pub fn mm1(mm: f64) -> String {
        match Length::from_mm(mm) {
            Some(length) => length.text1(),
            None => format!("{mm:.1}"),
        }
    }

    /// Text with two decimals, as used when measuring.
    pub fn text2(self) -> String {
        let cents = (self.0.abs() + 5) / 10;
        let sign = if self.0 < 0 && cents > 0 { "-" } else { "" };
        format!("{sign}{}.{:02}", cents / 100, cents % 100)
    }
}

impl fmt::Display for Length {
    /// Millimetres with as many decimals as needed: `12`, `12.5`, `12.345`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let um = self.0.unsigned_abs();
        if self.0 < 0 {
            f.write_str("-")?;
        }
        write!(f, "{}", um / 1000)?;
        if !um.is_multiple_of(1000) {
            let digits = format!("{:03}", um % 1000);
            write!(f, ".{}", digits.trim_end_matches('0'))?;
        }
        Ok(())
    }
}

impl fmt::Debug for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self} mm")
    }
}

impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0 + other.0)
    }
}

impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0 - other.0)
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Length) {
        self.0 += other.0;
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Length) {
        self.0 -= other.0;
    }
}

impl Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length(-self.0)
    }
}

impl Mul<i64> for Length {
    type Output = Length;
    fn mul(self, n: i64) -> Length {
        Length(self.0 * n)
    }
}

impl Div<i64> for Length {
    type Output = Length;
    fn div(self, n: i64) -> Length {
        Length(self.0 / n)
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Length>>(iter: I) -> Length {
        iter.fold(Length::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_has_only_the_decimals_it_needs() {
        let case = |um, text: &str| assert_eq!(Length::um(um).to_string(), text);
        case(12_000, "12");
        case(12_500, "12.5");
        case(12_345, "12.345");
        case(-40, "-0.04");
        case(0, "0");
    }

    #[test]
    fn one_decimal_rounds_half_away_from_zero_and_has_no_negative_zero() {
        assert_eq!(Length::um(12_350).text1(), "12.4");
        assert_eq!(Length::um(-12_350).text1(), "-12.4");
        assert_eq!(Length::um(-49).text1(), "0.0");
        assert_eq!(Length::um(8_000).text2(), "8.00");
    }

    #[test]
    fn numbers_that_are_no_length_are_refused() {
        assert_eq!(Length::from_mm(f64::NAN), None);
        assert_eq!(Length::from_mm(1e12), None);
        assert_eq!(Length::from_mm(25.4), Some(Length::um(25_400)));
        assert_eq!(Length::from_mm(0.0004), Some(Length::ZERO));
    }

    #[test]
    fn inch_sizes_of_boards_are_exact() {
        // 12.0 x 9.6 in is 304.80 x 243.84 mm: 1 in = 25.4 mm exactly (ISO 80000-3).
        assert_eq!(Length::from_mm(12.0 * 25.4), Some(Length::um(304_800)));
        assert_eq!(Length::from_mm(9.6 * 25.4), Some(Length::um(243_840)));
    }

    #[test]
    fn snapping_goes_to_the_nearest_step_on_both_sides_of_zero() {
        let step = Length::mm(10);
        assert_eq!(Length::um(14_999).snapped(step), Length::mm(10));
        assert_eq!(Length::um(-14_000).snapped(step), Length::mm(-10));
        assert_eq!(Length::um(-16_000).snapped(step), Length::mm(-20));
        assert_eq!(Length::um(77).snapped(Length::ZERO), Length::um(77));
    }
}
