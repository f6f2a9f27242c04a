//! Closed forms, theory and lower bounds that the shapes have to agree with.

use super::elastica::shape;
use crate::route::Point;
use crate::route::bend::{add, dot, norm, sub};
use proptest::prelude::*;
use std::f64::consts::PI;

const X: Point = [1.0, 0.0, 0.0];
const Y: Point = [0.0, 1.0, 0.0];
const DOWN: Point = [0.0, -1.0, 0.0];

fn close(a: f64, b: f64, share: f64) {
    assert!((a - b).abs() <= share * b.abs().max(1e-9), "{a} is not {b}");
}

/// An arc of a circle is the elastica without force: of all curves of its length
/// and ends it bends least (Euler, 1744; energy = angle / radius).
#[test]
fn circles_stay_circles() {
    for (angle, radius) in [(PI, 50.0), (PI / 2.0, 80.0), (1.0, 200.0), (1.4 * PI, 40.0)] {
        let end = [
            radius * (1.0 - f64::cos(angle)),
            radius * f64::sin(angle),
            0.0,
        ];
        let into = [f64::sin(angle), f64::cos(angle), 0.0];
        let s = shape([0.0; 3], Y, end, into, radius * angle).expect("a shape");
        close(s.tightest.expect("bent"), radius, 2e-3);
        close(s.bending, angle / radius, 1e-3);
        for p in &s.points {
            close(norm(sub(*p, [radius, 0.0, 0.0])), radius, 2e-3);
        }
    }
}

#[test]
fn drawn_tight_it_is_straight_or_nothing() {
    let s = shape([0.0; 3], X, [100.0, 0.0, 0.0], X, 100.0).expect("a shape");
    assert_eq!((s.tightest, s.bending), (None, 0.0));
    assert!(shape([0.0; 3], X, [100.0, 0.0, 0.0], Y, 100.0).is_none());
    assert!(shape([0.0; 3], X, [100.0, 0.0, 0.0], X, 99.9).is_none());
}

/// Clamped ends pushed together a little: the shape is the first buckling mode, a
/// full cosine wave of height 2/pi sqrt(L (L - d)) and energy 8 pi^2 (L - d) / L^2
/// (Euler; the small-deflection limit from any strength-of-materials text).
#[test]
fn a_slightly_long_hose_buckles_as_euler_says() {
    let (length, apart) = (100.0, 99.9);
    let s = shape([0.0; 3], X, [apart, 0.0, 0.0], X, length).expect("a shape");
    let height = s
        .points
        .iter()
        .map(|p| f64::hypot(p[1], p[2]))
        .fold(0.0, f64::max);
    close(
        height,
        2.0 / PI * f64::sqrt(length * (length - apart)),
        2e-2,
    );
    close(
        s.bending,
        8.0 * PI * PI * (length - apart) / length.powi(2),
        2e-2,
    );
}

/// The lemniscate-like loop aside, a hose between two ends side by side that both
/// look the same way is symmetric.
#[test]
fn a_symmetric_task_has_a_symmetric_shape() {
    let s = shape([0.0; 3], Y, [60.0, 0.0, 0.0], DOWN, 300.0).expect("a shape");
    let n = s.points.len();
    for i in 0..n {
        let (a, b) = (s.points[i], s.points[n - 1 - i]);
        assert!((a[0] + b[0] - 60.0).abs() < 1e-3 && (a[1] - b[1]).abs() < 1e-3);
    }
}

/// Lengths of shortest paths of bounded curvature, by the Dubins library 1.0.1 (C
/// source after Shkel and Lumelsky): no curve with a radius of at least r is
/// shorter, so a hose that is shorter than that has to bend more tightly.
#[test]
fn no_shape_beats_the_shortest_path_of_bounded_curvature() {
    let cases: [([f64; 3], [f64; 3], f64, f64); 6] = [
        ([0.0, 0.0, 90.0], [4.0, 0.0, -90.0], 1.0, 5.141593),
        ([0.0, 0.0, 0.0], [100.0, 60.0, 90.0], 20.0, 120.8586),
        ([0.0, 0.0, 0.0], [50.0, 50.0, 0.0], 15.0, 73.86273),
        ([0.0, 0.0, 45.0], [-30.0, 10.0, -120.0], 12.0, 52.83345),
        ([0.0, 0.0, 0.0], [0.0, 2.0, 0.0], 1.0, 8.283185),
        ([0.0, 0.0, 0.0], [0.0, 40.0, 180.0], 20.0, 62.83185),
    ];
    for (start, goal, radius, shortest) in cases {
        let way = |degrees: f64| {
            let (sin, cos) = degrees.to_radians().sin_cos();
            [cos, sin, 0.0]
        };
        let (a, b) = ([start[0], start[1], 0.0], [goal[0], goal[1], 0.0]);
        for share in [0.9, 0.97, 0.995] {
            let s = shape(a, way(start[2]), b, way(goal[2]), shortest * share);
            // Out of the plane the shortest path may be shorter still, so only
            // shapes that stay in it are compared.
            let Some(s) = s.filter(|s| s.points.iter().all(|p| p[2].abs() < 1e-6)) else {
                continue;
            };
            let tightest = s.tightest.expect("bent");
            assert!(
                tightest < radius * 1.002,
                "{tightest} at {share} of {shortest}"
            );
        }
        // With plenty of length it bends less than the shortest path does.
        let s = shape(a, way(start[2]), b, way(goal[2]), 3.0 * shortest).expect("a shape");
        assert!(s.tightest.expect("bent") > 0.5 * radius);
    }
}

fn direction() -> impl Strategy<Value = Point> {
    (-1.0_f64..1.0, 0.0..2.0 * PI).prop_map(|(z, a)| {
        let r = f64::sqrt(1.0 - z * z);
        [r * a.cos(), r * a.sin(), z]
    })
}

fn cross(a: Point, b: Point) -> Point {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// It has its length and its ends, and is in balance: between two cuts only the
    /// constant force of the end acts, so the bending moment, curvature square to
    /// the curve, changes by force x arm (Kirchhoff). Three moments give the force;
    /// all others have to agree.
    #[test]
    fn every_shape_has_its_length_and_is_in_balance(
        out in direction(), into in direction(), way in direction(),
        apart in 5.0_f64..280.0
    ) {
        let length = 300.0;
        let to = way.map(|v| v * apart);
        let Some(s) = shape([0.0; 3], out, to, into, length) else {
            return Err(TestCaseError::fail("no shape"));
        };
        let n = s.points.len();
        let last = s.points[n - 1];
        prop_assert!(norm(sub(last, to)) < 1e-6 * length);
        let pieces: Vec<Point> = s.points.windows(2).map(|w| sub(w[1], w[0])).collect();
        let all: f64 = pieces.iter().map(|p| norm(*p)).sum();
        prop_assert!((all - length).abs() < 1e-6 * length);
        // The first chord turns from the end's direction by no more than its bend.
        let turn = 1.5 * norm(pieces[0]) / s.tightest.unwrap_or(f64::INFINITY);
        let along = dot(pieces[0], out) / norm(pieces[0]);
        prop_assert!(along > turn.min(PI).cos() - 1e-3, "{along} {turn}");
        // Moments at the joints, and how they change over each piece.
        let h = length / pieces.len() as f64;
        let moment = |i: usize| cross(pieces[i - 1], pieces[i]).map(|v| v / (h * h * h));
        let moments: Vec<Point> = (1..pieces.len()).map(moment).collect();
        // Least squares for the force f with moment[i+1] - moment[i] = f x piece.
        let mut normal = [[0.0; 3]; 3];
        let mut right = [0.0; 3];
        for i in 0..moments.len() - 1 {
            let (p, d) = (pieces[i + 1], sub(moments[i + 1], moments[i]));
            // d = f x p, so p x d = f (p.p) - p (p.f).
            let q = cross(p, d);
            for r in 0..3 {
                right[r] += q[r];
                for c in 0..3 {
                    let unit = if r == c { dot(p, p) } else { 0.0 };
                    normal[r][c] += unit - p[r] * p[c];
                }
            }
        }
        let det = dot(normal[0], cross(normal[1], normal[2]));
        prop_assume!(det.abs() > 1e-3);
        let column = |k: usize| {
            let mut m = normal;
            for (row, v) in m.iter_mut().zip(right) { row[k] = v; }
            dot(m[0], cross(m[1], m[2])) / det
        };
        let f = [column(0), column(1), column(2)];
        let scale = moments.iter().map(|m| norm(*m)).fold(0.0, f64::max);
        let mut carried = moments[0];
        for i in 0..moments.len() - 1 {
            carried = add(carried, cross(f, pieces[i + 1]), 1.0);
            let off = norm(sub(carried, moments[i + 1]));
            prop_assert!(off < 0.02 * scale, "{off} of {scale} at {i}");
        }
    }
}
