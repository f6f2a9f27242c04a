//! What measured dimensions say of others: a whole of its pieces, a piece of the whole.

use crate::geom::Length;
use crate::model::{Deviation, Dimensions, Measured, Settings, Span};

/// From here to there, both included.
type Within = [Length; 2];

/// A dimension that was not measured itself, from the measured ones that it is a piece of or that
/// are a piece of it. What is left of those, or comes on top, is as it was measured; where it was
/// not, it keeps its own limits, and so does the dimension.
///
/// Where the two contradict each other, something is off by more than its limits, and nothing says
/// what: the result then goes from where all of it is in the rest to where all of it is here. Where
/// measured figures alone say what the dimension is, they decide. The order of the figures does
/// not matter.
///
/// `limits` says how far a dimension of this length may be off where nothing else is known.
/// `None` where nothing that was measured tells anything.
pub(super) fn from_others(
    span: Span,
    measured: &Dimensions,
    limits: impl Fn(Length) -> Option<Deviation>,
) -> Option<Measured> {
    let mine = limits(span.nominal())?;
    let mine = [span.nominal() - mine.minus, span.nominal() + mine.plus];
    let known = Known::of(span, measured, &limits);
    // Where all agrees, what follows from all of it together.
    if let Some(found) = known.within(span, &known.all) {
        return (found != mine).then(|| told(found));
    }
    let (mut sure, mut likely) = (Vec::new(), Vec::new());
    sure.extend(known.within(span, &known.figures));
    likely.extend(known.within(span, &known.steps));
    for (other, figure) in measured.iter().filter(|(o, _)| o.axis == span.axis) {
        if let Some((found, by_measure)) = by(span, *other, figure, &known, &limits) {
            match by_measure {
                true => sure.push(found),
                false => likely.push(found),
            }
        }
    }
    let figures = agreed(&sure);
    let base = figures.map_or(mine, |k| common(k, mine).unwrap_or(k));
    let (agree, against): (Vec<Within>, Vec<Within>) = likely
        .into_iter()
        .partition(|one| common(*one, base).is_some());
    let mut found = match agree.is_empty() {
        true => base,
        false => {
            let clipped: Vec<Within> = agree.iter().filter_map(|a| common(*a, base)).collect();
            agreed(&clipped).unwrap_or(base)
        }
    };
    // What was measured is right: then it is the rest that is off.
    if let Some(off) = agreed(&against).filter(|_| figures.is_none()) {
        found = [found[0].min(off[0]), found[1].max(off[1])];
    }
    (figures.is_some() || found != mine).then(|| told(found))
}

fn told(found: Within) -> Measured {
    let is = (found[0] + found[1]).half();
    let deviation = Deviation {
        plus: found[1] - is,
        minus: is - found[0],
    };
    Measured { is, deviation }
}

/// Of each pair of ends how much farther up the second may be at most; `None` where what it is made
/// of contradicts itself.
type Most = Option<Vec<Vec<Option<Length>>>>;

/// Of more ends no sums are worked out: each figure is looked at for itself.
const MOST_ENDS: usize = 24;

/// How far apart the ends of measured dimensions of an axis may be: by figures alone, with the
/// limits of the stretches between them, and with the limits of all stretches.
struct Known {
    ends: Vec<Length>,
    figures: Most,
    steps: Most,
    all: Most,
}

impl Known {
    fn of(
        span: Span,
        measured: &Dimensions,
        limits: &impl Fn(Length) -> Option<Deviation>,
    ) -> Known {
        let own: Vec<_> = measured
            .iter()
            .filter(|(o, _)| o.axis == span.axis)
            .collect();
        let mut ends: Vec<Length> = own.iter().flat_map(|(o, _)| [o.low, o.high]).collect();
        ends.extend([span.low, span.high]);
        ends.sort_unstable();
        ends.dedup();
        if ends.len() > MOST_ENDS {
            return Known {
                ends,
                figures: None,
                steps: None,
                all: None,
            };
        }
        let n = ends.len();
        let mut most = vec![vec![None; n]; n];
        for (i, row) in most.iter_mut().enumerate() {
            row[i] = Some(Length::ZERO);
        }
        let at = |x: Length| ends.binary_search(&x).unwrap_or(0);
        for (o, figure) in own {
            let (i, j) = (at(o.low), at(o.high));
            let d = figure.deviation;
            most[i][j] = least(most[i][j], Some(figure.is + d.plus));
            most[j][i] = least(most[j][i], Some(d.minus - figure.is));
        }
        let figures = closed(most);
        // With the limits of the stretches from one end to the next, or of all from any to any.
        let with = |far: usize, own: bool| {
            let mut most = figures.clone()?;
            for i in 0..n {
                for j in i + 1..n.min(i + 1 + far) {
                    let asked = ends[i] == span.low && ends[j] == span.high;
                    let long = ends[j] - ends[i];
                    if most[i][j].is_some() || (asked && !own) {
                        continue;
                    }
                    if let Some(by) = limits(long) {
                        most[i][j] = Some(long + by.plus);
                        most[j][i] = Some(by.minus - long);
                    }
                }
            }
            closed(most)
        };
        let (steps, all) = (with(1, false), with(n, true));
        Known {
            ends,
            figures,
            steps,
            all,
        }
    }

    /// From where to where a dimension lies by one of these.
    fn within(&self, span: Span, most: &Most) -> Option<Within> {
        let most = most.as_ref()?;
        let i = self.ends.binary_search(&span.low).ok()?;
        let j = self.ends.binary_search(&span.high).ok()?;
        Some([Length::ZERO - most[j][i]?, most[i][j]?])
    }
}

fn least(a: Option<Length>, b: Option<Length>) -> Option<Length> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

/// The least of all sums from one end to another; `None` where they contradict each other.
fn closed(mut most: Vec<Vec<Option<Length>>>) -> Most {
    let n = most.len();
    for k in 0..n {
        for i in 0..n {
            for j in 0..n {
                if let (Some(a), Some(b)) = (most[i][k], most[k][j]) {
                    most[i][j] = least(most[i][j], Some(a + b));
                }
            }
        }
    }
    let sound = (0..n).all(|i| most[i][i].is_some_and(|x| x >= Length::ZERO));
    sound.then_some(most)
}

/// What one measured figure says of a dimension, and true where the rest was measured too.
fn by(
    span: Span,
    other: Span,
    figure: &Measured,
    known: &Known,
    limits: &impl Fn(Length) -> Option<Deviation>,
) -> Option<(Within, bool)> {
    let within = other.low <= span.low && span.high <= other.high;
    let around = span.low <= other.low && other.high <= span.high;
    if !within && !around {
        return None;
    }
    let (mut least, mut most, mut sure) = (Length::ZERO, Length::ZERO, true);
    for ends in [[span.low, other.low], [span.high, other.high]] {
        let [a, b] = [ends[0].min(ends[1]), ends[0].max(ends[1])];
        let Some(rest) = Span::new(span.axis, a, b) else {
            continue;
        };
        let by_measure = known.within(rest, &known.figures);
        let [low, high] = match by_measure {
            Some(found) => found,
            None => {
                let by = limits(rest.nominal())?;
                [rest.nominal() - by.minus, rest.nominal() + by.plus]
            }
        };
        sure &= by_measure.is_some();
        least += low;
        most += high;
    }
    let [low, high] = [
        figure.is - figure.deviation.minus,
        figure.is + figure.deviation.plus,
    ];
    // What is left of a whole is shorter where the rest is longer.
    let found = match within {
        true => [low - most, high - least],
        false => [low + least, high + most],
    };
    Some((found, sure))
}

fn common(a: Within, b: Within) -> Option<Within> {
    let both = [a[0].max(b[0]), a[1].min(b[1])];
    (both[0] <= both[1]).then_some(both)
}

/// What all of them have in common, else all that any of them allows.
fn agreed(all: &[Within]) -> Option<Within> {
    let first = *all.first()?;
    let shared = all
        .iter()
        .try_fold(first, |so_far, one| common(so_far, *one));
    let hull = |a: Within, b: &Within| [a[0].min(b[0]), a[1].max(b[1])];
    Some(shared.unwrap_or_else(|| all.iter().fold(first, hull)))
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

    fn ends(m: &Measured) -> [Length; 2] {
        [m.is - m.deviation.minus, m.is + m.deviation.plus]
    }

    /// Exact figures.
    fn figures(all: &[(Span, f64)]) -> Dimensions {
        let exact = |is: f64| Measured {
            is: l(is),
            deviation: even(0.0),
        };
        all.iter().map(|(span, is)| (*span, exact(*is))).collect()
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
    fn more_than_both_allow_may_be_in_either() {
        // 1 mm longer where 0.2 and 0.3 are allowed. All in the rest: 9.8 at least here. All
        // here: 51 less 39.7 are 11.3 at most.
        let off = of(span(0.0, 10.0), (span(0.0, 50.0), 51.0, 0.0)).expect("news");
        assert_eq!(ends(&off), [l(9.8), l(11.3)]);
        // Neither may be off at all: it is all in the one or all in the other.
        let measured = figures(&[(span(0.0, 50.0), 51.0)]);
        let exact = |_| Some(Deviation::default());
        let off = from_others(span(0.0, 10.0), &measured, exact).expect("news");
        assert_eq!(ends(&off), [l(10.0), l(11.0)]);
    }

    #[test]
    fn what_was_measured_decides_over_limits() {
        // By hand: 50 measured as 50.6, of which 49 are 49.0: 1.6 are left, whatever is allowed.
        let measured = figures(&[(span(0.0, 50.0), 50.6), (span(0.0, 49.0), 49.0)]);
        let limits = |_| Some(even(0.1));
        let left = from_others(span(49.0, 50.0), &measured, limits).expect("news");
        assert_eq!(ends(&left), [l(1.6), l(1.6)]);
        // And the other way round: two pieces make the whole.
        let measured = figures(&[(span(0.0, 20.0), 20.4), (span(20.0, 50.0), 30.4)]);
        let whole = from_others(span(0.0, 50.0), &measured, limits).expect("news");
        assert_eq!(ends(&whole), [l(50.8), l(50.8)]);
    }

    #[test]
    fn figures_add_up() {
        // By hand: four pieces of 10 measured as 10.1 make 40.4, whatever any limit says; a chain of
        // two in a whole of 50 leaves the rest.
        let exact = |a: f64, b: f64, is: f64| (span(a, b), is);
        let four: Vec<_> = (0..4)
            .map(|i| exact(10.0 * f64::from(i), 10.0 * f64::from(i + 1), 10.1))
            .collect();
        let limits = |_| Some(even(0.1));
        let whole = from_others(span(0.0, 40.0), &figures(&four), limits).expect("news");
        assert_eq!(ends(&whole), [l(40.4), l(40.4)]);
        let three = [
            exact(0.0, 50.0, 50.3),
            exact(0.0, 4.0, 4.1),
            exact(4.0, 10.0, 6.1),
        ];
        let rest = from_others(span(10.0, 50.0), &figures(&three), limits).expect("news");
        assert_eq!(ends(&rest), [l(40.1), l(40.1)]);
        // Two of 10.3 about a middle of 20 +-0.1 in a whole of 40 +-0.1: from 39.9 to 40.7.
        let two = [exact(10.0, 20.0, 10.3), exact(40.0, 50.0, 10.3)];
        let whole = from_others(span(10.0, 50.0), &figures(&two), limits).expect("news");
        assert_eq!(ends(&whole), [l(39.9), l(40.7)]);
    }

    #[test]
    fn figures_that_contradict_each_other_count_alike() {
        // A whole that says 11 +-0.1 and another that says 9 +-0.1 of a piece of 10 +-0.1.
        let (long, short) = ((span(0.0, 50.0), 51.0), (span(-40.0, 10.0), 49.0));
        let limits = |_| Some(even(0.1));
        let both = from_others(span(0.0, 10.0), &figures(&[long, short]), limits);
        assert_eq!(ends(&both.expect("news")), [l(8.9), l(11.1)]);
        // One that agrees narrows what the other one leaves, from wherever it is measured.
        for agrees in [(span(0.0, 30.0), 30.15), (span(-20.0, 10.0), 30.15)] {
            let both = from_others(span(0.0, 10.0), &figures(&[long, agrees]), limits);
            assert_eq!(ends(&both.expect("news")), [l(10.05), l(11.1)]);
        }
    }

    #[test]
    fn a_piece_says_what_the_whole_is() {
        // 40 measured as 40.2 exact: 49.9 to 50.3 with the other 10, against 49.7 to 50.3.
        let whole = |is: f64| of(span(0.0, 50.0), (span(10.0, 50.0), is, 0.0));
        let known = whole(40.2).expect("news");
        assert_eq!((known.is, known.deviation.plus), (l(50.15), l(0.15)));
        // 41 is more than any figure allows: the whole may be as it should, or longer by all of it.
        let off = whole(41.0).expect("news");
        assert_eq!(ends(&off), [l(49.7), l(51.2)]);
        // What lies beside it tells nothing, and neither does another axis.
        assert_eq!(of(span(0.0, 10.0), (span(10.0, 50.0), 41.0, 0.0)), None);
        let across = Span::new(Axis::Y, l(0.0), l(50.0)).expect("it has a length");
        assert_eq!(of(span(0.0, 10.0), (across, 51.0, 0.0)), None);
    }
}
