//! A polyline with its corners rounded to a bend radius: straight legs and arcs.

use super::Point;
use super::vector::{along, cross, dist, dot, norm, sub, unit};

/// A piece of a rounded way. Lengths in millimetres, angles in radians.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Leg {
    /// From `a` straight to `b`.
    Straight {
        /// Begin.
        a: Point,
        /// End.
        b: Point,
    },
    /// Around `centre` from `start` to `end`.
    Arc {
        /// Centre of the circle.
        centre: Point,
        /// Begin.
        start: Point,
        /// End.
        end: Point,
        /// Radius, the bend radius asked for.
        radius: f64,
        /// How far it turns, above 0 and below half a turn.
        angle: f64,
        /// Unit axis of the turn; it turns anticlockwise seen against this axis.
        normal: Point,
    },
}

impl Leg {
    /// Length along the leg, millimetres.
    pub fn length(&self) -> f64 {
        match *self {
            Self::Straight { a, b } => dist(a, b),
            Self::Arc { radius, angle, .. } => radius * angle,
        }
    }

    /// The point at the share `t` of the leg's length, 0 to 1.
    pub fn point(&self, t: f64) -> Point {
        match *self {
            Self::Straight { a, b } => std::array::from_fn(|k| a[k] + (b[k] - a[k]) * t),
            Self::Arc {
                centre,
                start,
                angle,
                normal,
                ..
            } => {
                let out = sub(start, centre);
                let ahead = cross(normal, out);
                let (sin, cos) = (angle * t).sin_cos();
                std::array::from_fn(|k| centre[k] + out[k] * cos + ahead[k] * sin)
            }
        }
    }
}

/// A way that a cable can follow: legs that join without a kink.
#[derive(Debug, Clone, PartialEq)]
pub struct Bent {
    /// From start to goal.
    pub legs: Vec<Leg>,
    /// Sum of the lengths of the legs, millimetres.
    pub length: f64,
}

/// A bend that has not enough straight cable on both sides.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("the bend at corner {corner} needs {missing:.2} mm more straight cable beside it")]
pub struct TooTight {
    /// Which point of the polyline: of the two ends of the leg that is too short, the sharper bend.
    pub corner: usize,
    /// By how much the leg beside it is too short, millimetres; infinite where the polyline turns back.
    pub missing: f64,
}

/// Turns below this angle are straight, radians: a kink of a thousandth of a millimetre on a metre.
const STRAIGHT: f64 = 1e-9;

/// Rounds every corner of the polyline to `radius`, and keeps the first `stubs[0]` and the last
/// `stubs[1]` millimetres straight. A corner that turns by `theta` takes `t = radius tan(theta/2)`
/// of both legs beside it; two bends may share a leg down to its last millimetre. The length is
/// `sum |leg| + sum (radius theta - 2 t)`.
///
/// # Errors
/// [`TooTight`] for the leg that is short by most.
pub fn fillet(points: &[Point], radius: f64, stubs: [f64; 2]) -> Result<Bent, TooTight> {
    let points = simplified(points);
    let n = points.len();
    let (mut turn, mut take) = (vec![0.0; n], vec![0.0; n]);
    for i in 1..n.saturating_sub(1) {
        let (a, b) = (
            unit(sub(points[i].1, points[i - 1].1)),
            unit(sub(points[i + 1].1, points[i].1)),
        );
        turn[i] = norm(cross(a, b)).atan2(dot(a, b));
        take[i] = radius * (0.5 * turn[i]).tan();
        if turn[i] > std::f64::consts::PI - 1e-6 {
            take[i] = f64::INFINITY;
        }
    }
    if n > 1 {
        take[0] = stubs[0];
        take[n - 1] = stubs[1];
    }
    let mut worst: Option<TooTight> = None;
    for i in 1..n {
        let missing = take[i - 1] + take[i] - dist(points[i - 1].1, points[i].1);
        if missing > 1e-9 * radius.max(1.0) && worst.is_none_or(|w| missing > w.missing) {
            let bends = [i - 1, i].map(|j| {
                if j == 0 || j == n - 1 {
                    f64::NEG_INFINITY
                } else {
                    take[j]
                }
            });
            let corner = if bends[0] > bends[1] { i - 1 } else { i };
            worst = Some(TooTight {
                corner: points[corner].0,
                missing,
            });
        }
    }
    if let Some(worst) = worst {
        return Err(worst);
    }
    let mut legs = Vec::with_capacity(2 * n);
    let mut at = points.first().map_or([0.0; 3], |p| p.1);
    let straight = |legs: &mut Vec<Leg>, a: Point, b: Point| {
        // Two bends that use up a leg leave rounding of it.
        if dist(a, b) > 1e-9 * radius {
            legs.push(Leg::Straight { a, b });
        }
    };
    for i in 1..n.saturating_sub(1) {
        let p = points[i].1;
        if radius <= 0.0 {
            straight(&mut legs, at, p);
            at = p;
            continue;
        }
        let (a, b) = (unit(sub(p, points[i - 1].1)), unit(sub(points[i + 1].1, p)));
        let normal = unit(cross(a, b));
        let start = along(p, a, -take[i]);
        let end = along(p, b, take[i]);
        let centre = along(start, cross(normal, a), radius);
        straight(&mut legs, at, start);
        legs.push(Leg::Arc {
            centre,
            start,
            end,
            radius,
            angle: turn[i],
            normal,
        });
        at = end;
    }
    if let Some(last) = points.last() {
        straight(&mut legs, at, last.1);
    }
    let length = legs.iter().map(Leg::length).sum();
    Ok(Bent { legs, length })
}

/// A length that no way between the two ends undercuts: each leaves straight for its stub, along a
/// unit direction away from its port.
pub fn bound(ends: [(Point, Point, f64); 2]) -> f64 {
    let [a, b] = ends.map(|(at, direction, stub)| along(at, direction, stub));
    let direct = dist(ends[0].0, ends[1].0);
    (ends[0].2 + dist(a, b) + ends[1].2).max(direct)
}

/// The points with their places in the polyline, without repeated points and those on a straight line.
fn simplified(points: &[Point]) -> Vec<(usize, Point)> {
    let mut kept: Vec<(usize, Point)> = Vec::with_capacity(points.len());
    for (i, &p) in points.iter().enumerate() {
        if kept.last().is_some_and(|l| l.1 == p) {
            continue;
        }
        if let [.., a, b] = kept[..] {
            let (d, e) = (unit(sub(b.1, a.1)), unit(sub(p, b.1)));
            if norm(cross(d, e)) <= STRAIGHT && dot(d, e) > 0.0 {
                kept.pop();
            }
        }
        kept.push((i, p));
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flat(points: &[[f64; 2]]) -> Vec<Point> {
        points.iter().map(|p| [p[0], p[1], 0.0]).collect()
    }

    #[track_caller]
    fn assert_joined(bent: &Bent, points: &[Point], radius: f64) {
        let mut at = points[0];
        let mut ahead: Option<Point> = None;
        for leg in &bent.legs {
            assert!(dist(leg.point(0.0), at) < 1e-9);
            let begin = unit(sub(leg.point(1e-6), leg.point(0.0)));
            let end = unit(sub(leg.point(1.0), leg.point(1.0 - 1e-6)));
            if let Some(before) = ahead {
                assert!(norm(sub(begin, before)) < 1e-4, "a kink");
            }
            if let Leg::Arc {
                centre, radius: r, ..
            } = leg
            {
                assert_eq!(*r, radius);
                for t in [0.0, 0.3, 1.0] {
                    assert!((dist(leg.point(t), *centre) - radius).abs() < 1e-9);
                }
            }
            (at, ahead) = (leg.point(1.0), Some(end));
        }
        assert!(dist(at, points[points.len() - 1]) < 1e-9);
    }

    // Plane geometry; the values were computed apart from the project with the formula in the
    // documentation of `fillet`.
    #[test]
    fn lengths_of_rounded_polylines() {
        for (points, radius, expected) in [
            (
                vec![[0.0; 3], [100.0, 0.0, 0.0], [100.0, 100.0, 0.0]],
                20.0,
                191.41592653589794,
            ),
            (
                vec![
                    [0.0; 3],
                    [100.0, 0.0, 0.0],
                    [100.0, 80.0, 0.0],
                    [100.0, 80.0, 60.0],
                ],
                15.0,
                227.1238898038469,
            ),
            (
                vec![
                    [0.0; 3],
                    [50.0, 0.0, 0.0],
                    [80.0, 40.0, 0.0],
                    [80.0, 40.0, 90.0],
                    [0.0, 40.0, 90.0],
                ],
                10.0,
                260.6888787159141,
            ),
            (
                flat(&[[0.0, 0.0], [100.0, 0.0], [200.0, 100.0]]),
                30.0,
                240.13048739684726,
            ),
            (
                flat(&[[0.0, 0.0], [100.0, 0.0], [0.0, 100.0]]),
                20.0,
                191.9767035462326,
            ),
            (flat(&[[0.0, 0.0], [50.0, 0.0], [120.0, 0.0]]), 25.0, 120.0),
        ] {
            let bent = fillet(&points, radius, [0.0; 2]).expect("room enough");
            assert!(
                (bent.length - expected).abs() < 1e-9 * expected,
                "{} not {expected}",
                bent.length
            );
            assert_joined(&bent, &points, radius);
        }
    }

    #[test]
    fn two_bends_that_overlap_are_named_with_what_is_missing() {
        let points = flat(&[[0.0, 0.0], [30.0, 0.0], [30.0, 30.0], [60.0, 30.0]]);
        let error = fillet(&points, 20.0, [0.0; 2]).expect_err("20 + 20 is more than 30");
        assert!((error.missing - 10.0).abs() < 1e-9 && (error.corner == 1 || error.corner == 2));
        // They may use up the leg between them.
        assert!(fillet(&points, 15.0, [0.0; 2]).is_ok());
    }

    #[test]
    fn stubs_stay_straight() {
        let points = flat(&[[0.0, 0.0], [30.0, 0.0], [30.0, 50.0]]);
        let bent = fillet(&points, 20.0, [10.0, 30.0]).expect("10 + 20 and 20 + 30 fit");
        assert!((bent.legs[0].length() - 10.0).abs() < 1e-9);
        let error = fillet(&points, 20.0, [12.0, 0.0]).expect_err("12 + 20 is more than 30");
        assert_eq!(
            (error.corner, (error.missing - 2.0).abs() < 1e-9),
            (1, true)
        );
    }

    #[test]
    fn a_polyline_that_turns_back_has_no_rounding() {
        let points = flat(&[[0.0, 0.0], [30.0, 0.0], [10.0, 0.0]]);
        assert_eq!(
            fillet(&points, 5.0, [0.0; 2]),
            Err(TooTight {
                corner: 1,
                missing: f64::INFINITY
            })
        );
        assert_eq!(
            fillet(&points[..1], 5.0, [0.0; 2]).map(|b| b.length),
            Ok(0.0)
        );
    }

    #[test]
    fn the_bound_is_the_straight_line_between_the_stubs() {
        let ends = [
            ([0.0; 3], [1.0, 0.0, 0.0], 10.0),
            ([50.0, 0.0, 0.0], [0.0, 1.0, 0.0], 30.0),
        ];
        assert!((bound(ends) - (10.0 + 50.0 + 30.0)).abs() < 1e-9);
    }
}
