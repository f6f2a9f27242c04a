//! What the measured whole of a part says of a piece of it.

use crate::geom::{Length, Vec3};
use crate::model::{Deviation, Dimensions, Measured, Settings, Span};

/// A dimension that begins or ends at an outer face, where the size across was measured: what is
/// left of it beside the other piece, which keeps its own limits. Where the whole is longer or
/// shorter than the limits of both pieces allow, each takes its share of that.
///
/// `size` is the outer size of the thing in its own frame, which starts at its origin. `limits`
/// says how far a dimension of this length may be off where nothing else is known. `None` where
/// the whole was not measured, or the dimension does not begin at a face.
pub(super) fn piece_of(
    span: Span,
    size: Vec3,
    measured: &Dimensions,
    limits: impl Fn(Length) -> Option<Deviation>,
) -> Option<Measured> {
    let all = size.along(span.axis);
    let whole = measured.get(&Span::new(span.axis, Length::ZERO, all)?)?;
    let at_face = span.low == Length::ZERO || span.high == all;
    let piece = span.nominal();
    let other = all - piece;
    if !at_face || other <= Length::ZERO {
        return None;
    }
    let (mine, theirs) = (limits(piece)?, limits(other)?);
    let low = (piece - mine.minus).max(whole.is - whole.deviation.minus - other - theirs.plus);
    let high = (piece + mine.plus).min(whole.is + whole.deviation.plus - other + theirs.minus);
    if low <= high {
        let is = (low + high).half();
        let deviation = Deviation {
            plus: high - is,
            minus: is - low,
        };
        return Some(Measured { is, deviation });
    }
    let more = whole.is - all;
    let (a, b) = (mine.plus + mine.minus, theirs.plus + theirs.minus);
    let part = match (a + b).as_um() {
        0 => more.half(),
        sum => Length::um(
            i64::try_from(i128::from(more.as_um()) * i128::from(a.as_um()) / i128::from(sum))
                .unwrap_or(0),
        ),
    };
    Some(Measured {
        is: piece + part,
        deviation: mine,
    })
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

    fn of(whole: f64, by: f64) -> Measured {
        let span = |a: f64, b: f64| Span::new(Axis::X, l(a), l(b)).expect("it has a length");
        let even = |by: f64| Deviation {
            plus: l(by),
            minus: l(by),
        };
        let figure = Measured {
            is: l(whole),
            deviation: even(by),
        };
        let measured = Dimensions::from([(span(0.0, 50.0), figure)]);
        // A hole 10 from the left face, of a part of 50: 40 to the right one.
        let limits = |length: Length| Some(even(if length > l(30.0) { 0.3 } else { 0.2 }));
        let size = Vec3::new(l(50.0), l(5.0), l(5.0));
        assert_eq!(piece_of(span(10.0, 40.0), size, &measured, limits), None);
        piece_of(span(0.0, 10.0), size, &measured, limits).expect("it begins at a face")
    }

    #[test]
    fn the_whole_narrows_what_a_piece_may_be() {
        // By hand: at its nominal and exact, 40 +-0.3 leaves 9.7 to 10.3: no news over +-0.2.
        let same = of(50.0, 0.0);
        assert_eq!((same.is, same.deviation.plus), (l(10.0), l(0.2)));
        // 0.4 longer: 50.4 - 40.3 = 10.1 at least, 10.2 at most.
        let longer = of(50.4, 0.0);
        assert_eq!((longer.is, longer.deviation.minus), (l(10.15), l(0.05)));
        // A calliper of +-0.05: from 10.05.
        assert_eq!(of(50.4, 0.05).is - of(50.4, 0.05).deviation.minus, l(10.05));
    }

    #[test]
    fn more_than_both_allow_is_shared() {
        // 1 mm longer where 0.2 and 0.3 are allowed: 0.4 and 0.6.
        let off = of(51.0, 0.0);
        assert_eq!((off.is, off.deviation.plus), (l(10.4), l(0.2)));
    }
}
