//! What measured dimensions say of others: a whole of its pieces, a piece of the whole.

use crate::geom::Length;
use crate::model::{Deviation, Dimensions, Measured, Settings, Span};

/// A dimension that was not measured itself, from the measured ones that it is a piece of or that
/// are a piece of it: what is left, or what comes on top, keeps its own limits, and so does the
/// dimension. Where a measured whole is longer or shorter than the limits of its pieces allow,
/// each takes its share of that; where a measured piece is, all of it shows.
///
/// `limits` says how far a dimension of this length may be off where nothing else is known.
/// `None` where nothing that was measured tells anything.
pub(super) fn from_others(
    span: Span,
    measured: &Dimensions,
    limits: impl Fn(Length) -> Option<Deviation>,
) -> Option<Measured> {
    let mine = limits(span.nominal())?;
    let (mut low, mut high) = (span.nominal() - mine.minus, span.nominal() + mine.plus);
    let mut told = false;
    for (other, figure) in measured.iter().filter(|(o, _)| o.axis == span.axis) {
        let within = other.low <= span.low && span.high <= other.high;
        let around = span.low <= other.low && other.high <= span.high;
        if !within && !around {
            continue;
        }
        let mut rest = Deviation::default();
        let mut known = true;
        for long in [span.low - other.low, other.high - span.high] {
            match limits(long.abs()) {
                _ if long == Length::ZERO => {}
                Some(by) => {
                    rest.plus += by.plus;
                    rest.minus += by.minus;
                }
                None => known = false,
            }
        }
        if !known {
            continue;
        }
        let is = figure.is + span.nominal() - other.nominal();
        // What is left of a whole is shorter where the rest is longer.
        let (above, below) = match within {
            true => (rest.minus, rest.plus),
            false => (rest.plus, rest.minus),
        };
        let least = is - figure.deviation.minus - below;
        let most = is + figure.deviation.plus + above;
        if least.max(low) <= most.min(high) {
            told |= low < least || most < high;
            (low, high) = (least.max(low), most.min(high));
            continue;
        }
        told = true;
        if around {
            (low, high) = (least, most);
            continue;
        }
        let more = figure.is - other.nominal();
        let (a, b) = (mine.plus + mine.minus, rest.plus + rest.minus);
        let share =
            i128::from(more.as_um()) * i128::from(a.as_um()) / i128::from((a + b).as_um().max(1));
        let at = span.nominal() + Length::um(i64::try_from(share).unwrap_or(0));
        (low, high) = (at - mine.minus, at + mine.plus);
    }
    let is = (low + high).half();
    let deviation = Deviation {
        plus: high - is,
        minus: is - low,
    };
    told.then_some(Measured { is, deviation })
}

/// How far a dimension of this length may be off by the kind's figure for its axis, else by the
/// general tolerances.
pub(super) fn limits(
    own: Option<Deviation>,
    settings: &Settings,
    length: Length,
) -> Option<Deviation> {
    own.or_else(|| {
        let by = settings.general(length)?;
        Some(Deviation {
            plus: by,
            minus: by,
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::l;
    use crate::geom::Axis;

    fn even(by: f64) -> Deviation {
        Deviation {
            plus: l(by),
            minus: l(by),
        }
    }

    fn span(a: f64, b: f64) -> Span {
        Span::new(Axis::X, l(a), l(b)).expect("it has a length")
    }

    /// Of a part of 50 with a hole 10 from its left face: from the face to the hole, or another.
    fn of(asked: Span, (known, is, by): (Span, f64, f64)) -> Option<Measured> {
        let figure = Measured {
            is: l(is),
            deviation: even(by),
        };
        let measured = Dimensions::from([(known, figure)]);
        let limits = |length: Length| Some(even(if length > l(30.0) { 0.3 } else { 0.2 }));
        from_others(asked, &measured, limits)
    }

    #[test]
    fn the_whole_narrows_what_a_piece_may_be() {
        let piece = |is: f64, by: f64| of(span(0.0, 10.0), (span(0.0, 50.0), is, by));
        // By hand: at its nominal and exact, 40 +-0.3 leaves 9.7 to 10.3: no news over +-0.2.
        assert_eq!(piece(50.0, 0.0), None);
        // 0.4 longer: 50.4 - 40.3 = 10.1 at least, 10.2 at most.
        let longer = piece(50.4, 0.0).expect("that is news");
        assert_eq!((longer.is, longer.deviation.minus), (l(10.15), l(0.05)));
        // A calliper of +-0.05: from 10.05.
        let about = piece(50.4, 0.05).expect("that is news");
        assert_eq!(about.is - about.deviation.minus, l(10.05));
        // In the middle of the whole both rests count: 0.2 + 0.2 about 30.
        let inner = of(span(10.0, 40.0), (span(0.0, 50.0), 50.5, 0.0)).expect("news");
        assert_eq!(inner.is - inner.deviation.minus, l(30.1));
    }

    #[test]
    fn more_than_both_allow_is_shared() {
        // 1 mm longer where 0.2 and 0.3 are allowed: 0.4 and 0.6.
        let off = of(span(0.0, 10.0), (span(0.0, 50.0), 51.0, 0.0)).expect("news");
        assert_eq!((off.is, off.deviation.plus), (l(10.4), l(0.2)));
    }

    #[test]
    fn a_piece_says_what_the_whole_is() {
        // 40 measured as 40.2 exact: 49.9 to 50.3 with the other 10, against 49.7 to 50.3.
        let whole = |is: f64| of(span(0.0, 50.0), (span(10.0, 50.0), is, 0.0));
        let known = whole(40.2).expect("news");
        assert_eq!((known.is, known.deviation.plus), (l(50.15), l(0.15)));
        // 41 is more than any figure allows: all of it shows.
        let off = whole(41.0).expect("news");
        assert_eq!((off.is, off.deviation.plus), (l(51.0), l(0.2)));
        // What lies beside it tells nothing, and neither does another axis.
        assert_eq!(of(span(0.0, 10.0), (span(10.0, 50.0), 41.0, 0.0)), None);
        let across = Span::new(Axis::Y, l(0.0), l(50.0)).expect("it has a length");
        assert_eq!(of(span(0.0, 10.0), (across, 51.0, 0.0)), None);
    }
}
