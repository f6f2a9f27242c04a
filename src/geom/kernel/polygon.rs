//! Simple polygons with holes: what is one, and its convex parts.

use super::ShapeError;
use super::ears::{bridge, clip_ears, corners, join};

/// The most corners that an outline and its holes may have together.
/// Cutting takes time with its square, for the worst outlines with its cube.
pub const MAX_CORNERS: usize = 512;

pub(super) type Point = [f64; 2];

/// Convex parts of the outline less its holes, each anticlockwise.
pub(super) fn convex_parts(
    outline: &[Point],
    holes: &[Vec<Point>],
) -> Result<Vec<Vec<Point>>, ShapeError> {
    let count = outline.len() + holes.iter().map(Vec::len).sum::<usize>();
    if count > MAX_CORNERS || holes.len() > MAX_CORNERS {
        return Err(ShapeError::TooManyCorners);
    }
    let usable = |p: &Point| p.iter().all(|c| c.abs() <= 1e30);
    if !outline.iter().chain(holes.iter().flatten()).all(usable) {
        return Err(ShapeError::NotFinite);
    }
    let outer = ring(outline, true)?;
    let mut inner = Vec::new();
    for hole in holes {
        inner.push(ring(hole, false)?);
    }
    check_simple(&outer, &inner)?;
    let area = double_area(&outer) + inner.iter().map(|h| double_area(h)).sum::<f64>();
    let whole = bridge(outer, inner)?;
    let triangles = clip_ears(&whole)?;
    let sum: f64 = triangles
        .iter()
        .map(|t| double_area(&corners(&whole, t)))
        .sum();
    // Whatever slipped through shows as area that is missing or counted twice.
    if (sum - area).abs() > 1e-9 * area {
        return Err(ShapeError::NotSimple);
    }
    Ok(join(&whole, triangles))
}

/// Twice the area to the left of the way p, q, r.
pub(super) fn turn(p: Point, q: Point, r: Point) -> f64 {
    (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
}

fn double_area(ring: &[Point]) -> f64 {
    let Some(first) = ring.first() else {
        return 0.0;
    };
    ring.windows(2).map(|w| turn(*first, w[0], w[1])).sum()
}

/// A ring without repeated corners and corners on a straight edge, in the wanted sense.
pub(super) fn ring(corners: &[Point], anticlockwise: bool) -> Result<Vec<Point>, ShapeError> {
    let mut ring: Vec<Point> = corners.to_vec();
    loop {
        let n = ring.len();
        if n < 3 {
            return Err(ShapeError::NotSimple);
        }
        let idle = (0..n).find(|i| {
            let (p, q, r) = (ring[(i + n - 1) % n], ring[*i], ring[(i + 1) % n]);
            p == q || is_straight(p, q, r)
        });
        match idle {
            Some(i) => drop(ring.remove(i)),
            None => break,
        }
    }
    if (double_area(&ring) > 0.0) != anticlockwise {
        ring.reverse();
    }
    Ok(ring)
}

/// Whether q lies on the way from p to r and is passed without turning back.
fn is_straight(p: Point, q: Point, r: Point) -> bool {
    let (x, y) = (q[0] - p[0], q[1] - p[1]);
    let (u, v) = (r[0] - q[0], r[1] - q[1]);
    let ahead = x * u + y * v;
    ahead > 0.0 && turn(p, q, r).abs() <= 1e-14 * ahead
}

/// No two edges may meet but neighbours in their corner; every hole lies inside the outline
/// and outside the other holes.
fn check_simple(outer: &[Point], inner: &[Vec<Point>]) -> Result<(), ShapeError> {
    let rings: Vec<&[Point]> = std::iter::once(outer)
        .chain(inner.iter().map(Vec::as_slice))
        .collect();
    let edges: Vec<(usize, usize, Point, Point)> = rings
        .iter()
        .enumerate()
        .flat_map(|(r, ring)| {
            (0..ring.len()).map(move |i| (r, i, ring[i], ring[(i + 1) % ring.len()]))
        })
        .collect();
    for (at, (r, i, a, b)) in edges.iter().enumerate() {
        for (s, j, c, d) in &edges[at + 1..] {
            let n = rings[*r].len();
            let clash = if r == s && (i + 1) % n == *j {
                spike(*a, *b, *d)
            } else if r == s && (j + 1) % n == *i {
                spike(*c, *d, *b)
            } else {
                meet(*a, *b, *c, *d)
            };
            if clash {
                return Err(ShapeError::NotSimple);
            }
        }
    }
    let stray = inner.iter().enumerate().any(|(i, hole)| {
        !contains(outer, hole[0])
            || (inner.iter().enumerate()).any(|(j, other)| i != j && contains(other, hole[0]))
    });
    if stray {
        return Err(ShapeError::NotSimple);
    }
    Ok(())
}

/// Whether the way a, b, c turns straight back at b.
fn spike(a: Point, b: Point, c: Point) -> bool {
    turn(a, b, c) == 0.0 && (a[0] - b[0]) * (c[0] - b[0]) + (a[1] - b[1]) * (c[1] - b[1]) > 0.0
}

/// Whether two closed segments share a point.
pub(super) fn meet(a: Point, b: Point, c: Point, d: Point) -> bool {
    let apart = |k: usize| a[k].max(b[k]) < c[k].min(d[k]) || c[k].max(d[k]) < a[k].min(b[k]);
    if apart(0) || apart(1) {
        return false;
    }
    let beside = |s: f64, t: f64| (s > 0.0 && t > 0.0) || (s < 0.0 && t < 0.0);
    !beside(turn(a, b, c), turn(a, b, d)) && !beside(turn(c, d, a), turn(c, d, b))
}

/// Even-odd test; points on the ring have been ruled out before.
fn contains(ring: &[Point], p: Point) -> bool {
    let n = ring.len();
    (0..n).fold(false, |inside, i| {
        let (a, b) = (ring[i], ring[(i + 1) % n]);
        let spans = (a[1] > p[1]) != (b[1] > p[1]);
        let left = if b[1] > a[1] {
            turn(a, b, p) > 0.0
        } else {
            turn(a, b, p) < 0.0
        };
        inside ^ (spans && left)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(parts: &[Vec<Point>]) -> f64 {
        parts.iter().map(|p| double_area(p) * 0.5).sum()
    }

    fn rectangle(x: f64, y: f64, w: f64, h: f64) -> Vec<Point> {
        vec![[x, y], [x + w, y], [x + w, y + h], [x, y + h]]
    }

    #[track_caller]
    fn check(outline: &[Point], holes: &[Vec<Point>], want_area: f64, most_parts: usize) {
        let parts = convex_parts(outline, holes).unwrap();
        assert!((area(&parts) - want_area).abs() < 1e-9 * want_area);
        assert!(parts.len() <= most_parts, "{} parts", parts.len());
        for p in &parts {
            let n = p.len();
            for i in 0..n {
                assert!(turn(p[i], p[(i + 1) % n], p[(i + 2) % n]) > 0.0, "{p:?}");
            }
        }
    }

    #[test]
    fn convex_outlines_stay_whole_in_either_sense() {
        let mut square = rectangle(0.0, 0.0, 4.0, 3.0);
        check(&square, &[], 12.0, 1);
        square.reverse();
        check(&square, &[], 12.0, 1);
        // A repeated corner and corners on a straight edge say nothing.
        let wordy = [
            [0.0, 0.0],
            [1.0, 0.0],
            [4.0, 0.0],
            [4.0, 0.0],
            [4.0, 3.0],
            [0.0, 3.0],
        ];
        check(&wordy, &[], 12.0, 1);
    }

    #[test]
    fn notched_outlines_are_cut() {
        let l = [
            [0.0, 0.0],
            [10.0, 0.0],
            [10.0, 2.0],
            [2.0, 2.0],
            [2.0, 8.0],
            [0.0, 8.0],
        ];
        check(&l, &[], 32.0, 2);
        let comb: Vec<Point> = (0..8)
            .flat_map(|i| {
                let x = f64::from(i) * 4.0 + 1.0;
                [[x, 10.0], [x, 1.0], [x + 2.0, 1.0], [x + 2.0, 10.0]]
            })
            .chain([[32.0, 10.0], [32.0, 0.0], [0.0, 0.0], [0.0, 10.0]])
            .collect();
        check(&comb, &[], 320.0 - 8.0 * 18.0, 17);
    }

    #[test]
    fn holes_are_left_out() {
        let plate = rectangle(0.0, 0.0, 100.0, 60.0);
        check(&plate, &[rectangle(10.0, 10.0, 20.0, 20.0)], 5600.0, 6);
        // Holes in line with each other and with their right edges flush.
        let holes: Vec<_> = [
            (10.0, 10.0),
            (40.0, 10.0),
            (70.0, 10.0),
            (70.0, 40.0),
            (10.0, 40.0),
        ]
        .iter()
        .map(|(x, y)| rectangle(*x, *y, 15.0, 15.0))
        .collect();
        check(&plate, &holes, 6000.0 - 5.0 * 225.0, 20);
        let round: Vec<Point> = (0..32)
            .map(|i| (f64::from(i) * std::f64::consts::TAU / 32.0).sin_cos())
            .map(|(s, c)| [50.0 + 20.0 * c, 30.0 + 20.0 * s])
            .collect();
        let cut = double_area(&round) * 0.5;
        check(&plate, &[round], 6000.0 - cut, 40);
    }

    #[test]
    fn what_is_no_simple_polygon_is_refused() {
        let plate = rectangle(0.0, 0.0, 10.0, 10.0);
        let cases: [(&[Point], Vec<Vec<Point>>); 9] = [
            (&[], vec![]),
            (&[[0.0, 0.0], [1.0, 0.0]], vec![]),
            (&[[0.0, 0.0], [1.0, 0.0], [2.0, 0.0]], vec![]),
            // Crosses itself.
            (&[[0.0, 0.0], [4.0, 4.0], [4.0, 0.0], [0.0, 4.0]], vec![]),
            // Touches itself in a corner.
            (
                &[
                    [0.0, 0.0],
                    [4.0, 0.0],
                    [2.0, 2.0],
                    [4.0, 4.0],
                    [0.0, 4.0],
                    [2.0, 2.0],
                ],
                vec![],
            ),
            (&plate, vec![rectangle(20.0, 0.0, 2.0, 2.0)]),
            (&plate, vec![rectangle(8.0, 8.0, 4.0, 4.0)]),
            (&plate, vec![rectangle(0.0, 2.0, 4.0, 4.0)]),
            (
                &plate,
                vec![rectangle(1.0, 1.0, 8.0, 8.0), rectangle(3.0, 3.0, 2.0, 2.0)],
            ),
        ];
        for (outline, holes) in cases {
            let got = convex_parts(outline, &holes);
            assert_eq!(got, Err(ShapeError::NotSimple), "{outline:?} {holes:?}");
        }
        let nan = [[0.0, 0.0], [1.0, f64::NAN], [1.0, 1.0]];
        assert_eq!(convex_parts(&nan, &[]), Err(ShapeError::NotFinite));
        let many = vec![[0.0, 0.0]; MAX_CORNERS + 1];
        assert_eq!(convex_parts(&many, &[]), Err(ShapeError::TooManyCorners));
    }
}
