//! Cutting a checked polygon with holes: holes bridged to the outline, ears clipped, and
//! neighbouring triangles joined again where the result stays convex.

use super::ShapeError;
use super::polygon::{Point, meet, ring, turn};

/// One ring that runs along the outline and, by way of doubled bridges, around each hole.
pub(super) fn bridge(
    outer: Vec<Point>,
    mut inner: Vec<Vec<Point>>,
) -> Result<Vec<Point>, ShapeError> {
    let right = |h: &[Point]| h.iter().fold(f64::NEG_INFINITY, |m, p| m.max(p[0]));
    // From the right, so that no bridge has to cross a hole that comes later.
    inner.sort_by(|g, h| right(h).total_cmp(&right(g)));
    let mut whole = outer;
    for hole in inner {
        let start = (0..hole.len())
            .max_by(|i, j| hole[*i][0].total_cmp(&hole[*j][0]))
            .ok_or(ShapeError::NotSimple)?;
        let from = hole[start];
        let at = visible(&whole, from).ok_or(ShapeError::NotSimple)?;
        let loop_ = (0..=hole.len()).map(|i| hole[(start + i) % hole.len()]);
        let mut next = whole[..=at].to_vec();
        next.extend(loop_);
        next.extend_from_slice(&whole[at..]);
        whole = next;
    }
    Ok(whole)
}

/// The corner of the ring nearest to `from` among those to which nothing bars the way.
fn visible(whole: &[Point], from: Point) -> Option<usize> {
    let n = whole.len();
    let far = |p: Point| (p[0] - from[0]).powi(2) + (p[1] - from[1]).powi(2);
    // Strictly to the right: there the hole itself and those that come later are out of the way.
    let mut order: Vec<usize> = (0..n).filter(|i| whole[*i][0] > from[0]).collect();
    order.sort_by(|i, j| far(whole[*i]).total_cmp(&far(whole[*j])));
    order.into_iter().find(|i| {
        let to = whole[*i];
        let (before, after) = (whole[(i + n - 1) % n], whole[(i + 1) % n]);
        let opens = if turn(before, to, after) > 0.0 {
            turn(before, to, from) > 0.0 && turn(to, after, from) > 0.0
        } else {
            turn(before, to, from) > 0.0 || turn(to, after, from) > 0.0
        };
        opens
            && (0..n).all(|k| {
                let (c, d) = (whole[k], whole[(k + 1) % n]);
                c == to || d == to || !meet(from, to, c, d)
            })
    })
}

/// Triangles of a ring that may run along bridges twice.
///
/// As every triangle cut off turns anticlockwise and together they have the ring as their
/// boundary, they cover its inside once and nothing else, whichever ears were chosen.
pub(super) fn clip_ears(ring: &[Point]) -> Result<Vec<Vec<usize>>, ShapeError> {
    let mut left: Vec<usize> = (0..ring.len()).collect();
    let mut triangles = Vec::new();
    while left.len() > 3 {
        let n = left.len();
        let around = |i: usize| [(i + n - 1) % n, i, (i + 1) % n].map(|k| ring[left[k]]);
        let is_ear = |i: &usize| {
            let [p, q, r] = around(*i);
            let enters = |k: usize| enters([p, q, r], ring[left[k]], ring[left[(k + 1) % n]]);
            turn(p, q, r) > 0.0 && !(0..n).any(enters)
        };
        // Corners on a straight way, and tips of ways that turn back, enclose nothing.
        let is_idle = |i: &usize| {
            let [p, q, r] = around(*i);
            let lengths = (q[0] - p[0]).hypot(q[1] - p[1]) * (r[0] - q[0]).hypot(r[1] - q[1]);
            turn(p, q, r).abs() <= 1e-14 * lengths
        };
        let ear = (0..n).find(is_ear);
        let at = (ear.or_else(|| (0..n).find(is_idle))).ok_or(ShapeError::NotSimple)?;
        if ear.is_some() {
            triangles.push(
                [(at + n - 1) % n, at, (at + 1) % n]
                    .map(|k| left[k])
                    .to_vec(),
            );
        }
        left.remove(at);
    }
    let last = turn(ring[left[0]], ring[left[1]], ring[left[2]]);
    if last > 0.0 {
        triangles.push(left);
    }
    Ok(triangles)
}

/// Whether the segment c, d runs through the inside of a triangle.
fn enters([p, q, r]: [Point; 3], c: Point, d: Point) -> bool {
    let outside = |a, b| turn(a, b, c) <= 0.0 && turn(a, b, d) <= 0.0;
    if outside(p, q) || outside(q, r) || outside(r, p) {
        return false;
    }
    let sides = [p, q, r].map(|v| turn(c, d, v));
    sides.iter().any(|s| *s > 0.0) && sides.iter().any(|s| *s < 0.0)
}

pub(super) fn corners(ring: &[Point], part: &[usize]) -> Vec<Point> {
    part.iter().map(|i| ring[*i]).collect()
}

/// Joins parts over common edges as long as they stay convex.
pub(super) fn join(ring: &[Point], parts: Vec<Vec<usize>>) -> Vec<Vec<Point>> {
    let mut parts: Vec<Vec<Point>> = parts.iter().map(|p| corners(ring, p)).collect();
    let mut i = 0;
    while i < parts.len() {
        let merged =
            (i + 1..parts.len()).find_map(|j| joined(&parts[i], &parts[j]).map(|whole| (j, whole)));
        match merged {
            Some((j, whole)) => {
                parts[i] = whole;
                parts.remove(j);
            }
            None => i += 1,
        }
    }
    parts
}

/// Two anticlockwise convex rings over a common edge, if the whole is convex.
fn joined(a: &[Point], b: &[Point]) -> Option<Vec<Point>> {
    let (n, m) = (a.len(), b.len());
    for i in 0..n {
        for j in 0..m {
            if a[i] != b[(j + 1) % m] || a[(i + 1) % n] != b[j] {
                continue;
            }
            let mut whole: Vec<Point> = (0..n).map(|k| a[(i + 1 + k) % n]).collect();
            whole.extend((2..m).map(|k| b[(j + k) % m]));
            let len = whole.len();
            let convex =
                (0..len).all(|k| turn(whole[k], whole[(k + 1) % len], whole[(k + 2) % len]) >= 0.0);
            if convex {
                return ring(&whole, true).ok();
            }
        }
    }
    None
}
