//! Dimensions with a figure of their own: measured with a calliper, or given by a maker.

use super::kind::Deviation;
use crate::geom::{Axis, LIMIT_MM, Length};
use std::collections::BTreeMap;

/// How far a calliper may be off where nothing else is said (common practice, no source).
pub const CALLIPER: Length = Length::um(50);

/// One dimension of a part or of the enclosure: from one coordinate to another along an
/// axis of its own frame. A face, a hole, a port or a zone is where its coordinate is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Span {
    /// The axis.
    pub axis: Axis,
    /// From here.
    pub low: Length,
    /// To there, farther up the axis.
    pub high: Length,
}

impl Span {
    /// Between two coordinates, in any order. `None` where they are one.
    pub fn new(axis: Axis, a: Length, b: Length) -> Option<Span> {
        let (low, high) = (a.min(b), a.max(b));
        (low < high).then_some(Span { axis, low, high })
    }

    /// Its length as drawn.
    pub fn nominal(&self) -> Length {
        self.high - self.low
    }
}

/// What a dimension is, and how far it may be off that.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Measured {
    /// Its length.
    pub is: Length,
    /// Longer and shorter by at most this.
    pub deviation: Deviation,
}

/// Dimensions of one thing that have a figure of their own.
pub type Dimensions = BTreeMap<Span, Measured>;

impl Measured {
    /// Reads a figure as people type it: `118.6`, `118.6 ± 0.1`, `118.6 +- 0.1`,
    /// `118.6 +0.2 -0.1`, with or without `mm`, with a point or a comma. Without a plus
    /// and minus it is good to [`CALLIPER`].
    ///
    /// # Errors
    /// What is wrong with the text, for people.
    pub fn parse(text: &str) -> Result<Measured, String> {
        let plain = text.replace("mm", " ").replace(',', ".");
        let plain = plain.replace("+-", "±").replace("+/-", "±");
        let plain = plain.replace('−', "-");
        let (first, rest) = match plain.find(['±', '+', '-']).filter(|i| *i > 0) {
            Some(at) => plain.split_at(at),
            None => (plain.as_str(), ""),
        };
        let is = length(first)?;
        if is <= Length::ZERO {
            return Err("a dimension is more than nothing".to_owned());
        }
        let rest = rest.trim();
        let deviation = if rest.is_empty() {
            (CALLIPER, CALLIPER)
        } else if let Some(even) = rest.strip_prefix('±') {
            let by = length(even)?;
            (by, by)
        } else {
            let uneven = rest.strip_prefix('+').and_then(|r| r.split_once('-'));
            let (plus, minus) = uneven.ok_or("write it as 118.6 ± 0.1 or 118.6 +0.2 -0.1")?;
            (length(plus)?, length(minus)?)
        };
        if deviation.0 < Length::ZERO || deviation.1 < Length::ZERO {
            return Err("plus and minus are not negative".to_owned());
        }
        if deviation.1 >= is {
            return Err("it may not be off by as much as it is long".to_owned());
        }
        Ok(Measured {
            is,
            deviation: Deviation {
                plus: deviation.0,
                minus: deviation.1,
            },
        })
    }

    /// As [`Measured::parse`] reads it: `118.6 ± 0.1`.
    pub fn text(&self) -> String {
        let Deviation { plus, minus } = self.deviation;
        match plus == minus {
            true => format!("{} ± {plus}", self.is),
            false => format!("{} +{plus} -{minus}", self.is),
        }
    }
}

fn length(text: &str) -> Result<Length, String> {
    let text = text.trim();
    let mm: f64 = text
        .parse()
        .map_err(|_| format!("'{text}' is no length in millimetres"))?;
    let length = Length::from_mm(mm);
    length.ok_or_else(|| format!("'{text}' is out of range; at most {LIMIT_MM} mm"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(um: i64) -> Length {
        Length::um(um)
    }

    #[test]
    fn figures_are_read_as_people_type_them() {
        for (text, is, plus, minus) in [
            ("118.6", 118_600, 50, 50),
            ("118.6 ± 0.1", 118_600, 100, 100),
            ("118,6+-0,1 mm", 118_600, 100, 100),
            ("118.6 +/- 0.1", 118_600, 100, 100),
            (" 90 +0.2 -0 ", 90_000, 200, 0),
            ("90 +0.2 −0.1", 90_000, 200, 100),
        ] {
            let read = Measured::parse(text).expect(text);
            assert_eq!(read.is, mm(is), "{text}");
            assert_eq!(
                (read.deviation.plus, read.deviation.minus),
                (mm(plus), mm(minus)),
                "{text}"
            );
            assert_eq!(Measured::parse(&read.text()), Ok(read));
        }
    }

    #[test]
    fn what_is_no_dimension_is_refused_with_a_reason() {
        for text in [
            "",
            "wide",
            "0",
            "-3",
            "10 ±",
            "10 ± -1",
            "10 +1",
            "1 ± 1",
            "1e99",
            "nan",
            "inf ± 1",
            "10 ± inf",
        ] {
            assert!(Measured::parse(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_span_has_no_sense_and_no_span_is_empty() {
        assert_eq!(
            Span::new(Axis::X, mm(5), mm(2)),
            Span::new(Axis::X, mm(2), mm(5))
        );
        assert_eq!(Span::new(Axis::X, mm(5), mm(5)), None);
    }
}
