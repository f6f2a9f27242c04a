//! Polylines with their corners rounded by the bend radius of a cable.

/// A point in millimetres.
pub type Point = [f64; 3];

/// A piece of a cable's middle line.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Leg {
    /// From here to there.
    Straight {
        /// Start.
        from: Point,
        /// End.
        to: Point,
    },
    /// Part of a circle, less than half of one.
    Arc {
        /// Start.
        from: Point,
        /// End.
        to: Point,
        /// Middle of the circle.
        centre: Point,
        /// Its radius.
        radius: f64,
        /// Angle turned, in radians.
        angle: f64,
    },
}

impl Leg {
    /// Length of the leg in millimetres.
    pub fn length(&self) -> f64 {
        match self {
            Leg::Straight { from, to } => norm(sub(*to, *from)),
            Leg::Arc { radius, angle, .. } => radius * angle,
        }
    }

    /// Where it ends.
    pub fn end(&self) -> Point {
        match self {
            Leg::Straight { to, .. } | Leg::Arc { to, .. } => *to,
        }
    }
}

/// A polyline with rounded corners.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Rounded {
    /// The legs in order.
    pub legs: Vec<Leg>,
    /// Their lengths together.
    pub length: f64,
    /// The smallest radius of any corner, 0 for a kink; `None` where it is straight.
    pub tightest: Option<f64>,
}

/// Directions closer together than this, in radians, count as the same.
const STRAIGHT: f64 = 1e-9;
/// Points closer together than this, in millimetres, count as one.
pub(super) const SAME: f64 = 1e-6;

/// Rounds the corners of a polyline with this radius. Where two corners want more
/// of a leg than there is, each gets its share of it and a smaller radius. A turn
/// right back cannot be rounded: it stays a kink of radius 0.
pub fn rounded(points: &[Point], radius: f64) -> Rounded {
    let mut line: Vec<Point> = Vec::with_capacity(points.len());
    for p in points {
        if line.last().is_none_or(|q| norm(sub(*p, *q)) > SAME) {
            line.push(*p);
        }
    }
    let mut out = Rounded::default();
    if line.len() < 2 {
        return out;
    }
    let legs: Vec<f64> = line.windows(2).map(|w| norm(sub(w[1], w[0]))).collect();
    let ways: Vec<Point> = line.windows(2).map(|w| unit(sub(w[1], w[0]))).collect();
    let half_tan: Vec<f64> = ways.windows(2).map(|w| half_tangent(w[0], w[1])).collect();
    // How much of both of its legs each corner takes.
    let want: Vec<f64> = half_tan.iter().map(|t| (t * radius).min(1e9)).collect();
    let share = |corner: usize, leg: usize, other: Option<usize>| {
        let others = other.map_or(0.0, |o| want[o]);
        let both = want[corner] + others;
        if both <= legs[leg] || both == 0.0 {
            want[corner]
        } else {
            legs[leg] * want[corner] / both
        }
    };
    let mut at = line[0];
    for corner in 0..want.len() {
        let before = share(corner, corner, corner.checked_sub(1));
        let after = share(
            corner,
            corner + 1,
            (corner + 1 < want.len()).then_some(corner + 1),
        );
        if half_tan[corner] <= STRAIGHT {
            continue;
        }
        let take = before.min(after);
        let (p, u, v) = (line[corner + 1], ways[corner], ways[corner + 1]);
        let r = if half_tan[corner].is_finite() {
            take / half_tan[corner]
        } else {
            0.0
        };
        let r = r.min(radius);
        out.tightest = Some(out.tightest.map_or(r, |t| t.min(r)));
        if r <= SAME {
            out.straight(&mut at, p);
            continue;
        }
        let (from, to) = (add(p, u, -take), add(p, v, take));
        // From the corner to the middle: along the bisector of both legs.
        let inward = unit(sub(v, u));
        let centre = add(p, inward, (r * r + take * take).sqrt());
        out.straight(&mut at, from);
        let angle = 2.0 * half_tan[corner].atan();
        out.push(Leg::Arc {
            from,
            to,
            centre,
            radius: r,
            angle,
        });
        at = to;
    }
    out.straight(&mut at, line[line.len() - 1]);
    out
}

impl Rounded {
    fn straight(&mut self, at: &mut Point, to: Point) {
        if norm(sub(to, *at)) > SAME {
            self.push(Leg::Straight { from: *at, to });
        }
        *at = to;
    }

    fn push(&mut self, leg: Leg) {
        self.length += leg.length();
        self.legs.push(leg);
    }

    /// Adds a straight leg before the first.
    pub(super) fn lead_in(&mut self, from: Point, to: Point) {
        if norm(sub(to, from)) > SAME {
            let leg = Leg::Straight { from, to };
            self.length += leg.length();
            self.legs.insert(0, leg);
        }
    }

    /// Adds a straight leg after the last.
    pub(super) fn lead_out(&mut self, from: Point, to: Point) {
        let mut at = from;
        self.straight(&mut at, to);
    }
}

/// Tangent of half the angle between two directions; infinite right back.
pub(super) fn half_tangent(u: Point, v: Point) -> f64 {
    let (across, along) = (
        norm(sub(v, u)),
        norm([u[0] + v[0], u[1] + v[1], u[2] + v[2]]),
    );
    if along <= STRAIGHT {
        f64::INFINITY
    } else {
        across / along
    }
}

pub(super) fn sub(a: Point, b: Point) -> Point {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

pub(super) fn add(a: Point, way: Point, by: f64) -> Point {
    [a[0] + way[0] * by, a[1] + way[1] * by, a[2] + way[2] * by]
}

pub(super) fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(super) fn norm(a: Point) -> f64 {
    dot(a, a).sqrt()
}

pub(super) fn unit(a: Point) -> Point {
    let n = norm(a);
    if n > 0.0 {
        [a[0] / n, a[1] / n, a[2] / n]
    } else {
        a
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    #[test]
    fn a_right_angle_saves_the_closed_form() {
        // A fillet of radius r in a right angle replaces 2 r by pi r / 2.
        let r = rounded(&[[0.0; 3], [100.0, 0.0, 0.0], [100.0, 50.0, 0.0]], 20.0);
        assert!((r.length - (150.0 - 40.0 + PI * 10.0)).abs() < 1e-9);
        assert_eq!(r.tightest, Some(20.0));
        let Leg::Arc { centre, .. } = r.legs[1] else {
            panic!("an arc in the middle")
        };
        assert!(norm(sub(centre, [80.0, 20.0, 0.0])) < 1e-9);
    }

    #[test]
    fn legs_follow_one_another_and_touch_their_circles() {
        let points = [
            [0.0; 3],
            [90.0, 0.0, 0.0],
            [120.0, 80.0, 10.0],
            [20.0, 90.0, 60.0],
        ];
        let r = rounded(&points, 15.0);
        let mut at = points[0];
        for leg in &r.legs {
            match leg {
                Leg::Straight { from, .. } => assert!(norm(sub(*from, at)) < 1e-9),
                Leg::Arc {
                    from,
                    to,
                    centre,
                    radius,
                    ..
                } => {
                    assert!(norm(sub(*from, at)) < 1e-9);
                    assert!((norm(sub(*from, *centre)) - radius).abs() < 1e-9);
                    assert!((norm(sub(*to, *centre)) - radius).abs() < 1e-9);
                }
            }
            at = leg.end();
        }
        assert_eq!(at, points[3]);
    }

    #[test]
    fn legs_too_short_for_the_radius_are_reported() {
        // A 10 mm step between two right angles has room for 5 mm each.
        let points = [
            [0.0; 3],
            [50.0, 0.0, 0.0],
            [50.0, 10.0, 0.0],
            [90.0, 10.0, 0.0],
        ];
        let r = rounded(&points, 20.0);
        assert!((r.tightest.expect("it bends") - 5.0).abs() < 1e-9);
    }

    #[test]
    fn where_there_is_room_it_agrees_with_the_search_for_free_ways() {
        // Both are written apart from one another.
        let mut state = 7u64;
        let mut random = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            (state >> 33) as f64 / f64::from(1u32 << 31)
        };
        let mut compared = 0;
        for _ in 0..500 {
            let points: Vec<Point> = (0..5).map(|_| [0; 3].map(|_| random() * 300.0)).collect();
            let radius = 2.0 + random() * 30.0;
            let own = rounded(&points, radius);
            match crate::route::free::fillet(&points, radius, [0.0; 2]) {
                Ok(other) => {
                    assert!((own.length - other.length).abs() < 1e-6, "{points:?}");
                    assert!(own.tightest.expect("it bends") > radius - 1e-6);
                    compared += 1;
                }
                Err(_) => assert!(own.tightest.expect("it bends") < radius),
            }
        }
        assert!(compared > 100, "{compared}");
    }

    #[test]
    fn right_back_is_a_kink() {
        let r = rounded(&[[0.0; 3], [50.0, 0.0, 0.0], [10.0, 0.0, 0.0]], 5.0);
        assert_eq!(r.tightest, Some(0.0));
        assert!((r.length - 90.0).abs() < 1e-9);
    }

    #[test]
    fn a_straight_line_does_not_bend() {
        let r = rounded(
            &[[0.0; 3], [0.0; 3], [10.0, 0.0, 0.0], [30.0, 0.0, 0.0]],
            5.0,
        );
        assert_eq!((r.tightest, r.legs.len()), (None, 1));
        assert_eq!(rounded(&[[1.0; 3]], 5.0), Rounded::default());
    }
}
