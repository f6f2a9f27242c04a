//! The shortest polyline through a given sequence of edges: a convex problem in one number a corner.

use super::Point;
use super::edges::Edge;
use super::vector::dist;

/// Length of a polyline.
pub fn length(points: &[Point]) -> f64 {
    points.windows(2).map(|w| dist(w[0], w[1])).sum()
}

/// Slides the inner points along their edges until the polyline is shortest. A corner without an
/// edge stays. Obstacles are not looked at.
pub fn slide(points: &mut [Point], edges: &[Option<&Edge>]) {
    let mut before = length(points);
    for round in 0..100 {
        for (i, e) in edges.iter().enumerate() {
            let Some(e) = e else { continue };
            // Unfold both neighbours around the edge's line into one plane.
            let (u, v) = ((e.axis + 1) % 3, (e.axis + 2) % 3);
            let (a, b) = (points[i], points[i + 2]);
            let away = |p: Point| ((p[u] - e.at[0]).powi(2) + (p[v] - e.at[1]).powi(2)).sqrt();
            let (ra, rb) = (away(a), away(b));
            let t = if ra + rb > 0.0 { ra / (ra + rb) } else { 0.5 };
            points[i + 1][e.axis] = (a[e.axis] + (b[e.axis] - a[e.axis]) * t).clamp(e.lo, e.hi);
        }
        if edges.len() < 2 {
            return;
        }
        newton(points, edges);
        let now = length(points);
        if before - now <= 1e-13 * now && round > 1 {
            return;
        }
        before = now;
    }
}

/// One damped Newton step on all crossings together; those that press against an end of their edge stay.
fn newton(points: &mut [Point], edges: &[Option<&Edge>]) {
    let n = edges.len();
    let (mut grad, mut diag, mut off) = (vec![0.0; n], vec![0.0; n], vec![0.0; n]);
    for i in 0..=n {
        let (a, b) = (points[i], points[i + 1]);
        let len = dist(a, b);
        if len < 1e-9 {
            // Not smooth here; the one-edge moves go on alone.
            return;
        }
        let dir: Point = std::array::from_fn(|k| (b[k] - a[k]) / len);
        let left = if i > 0 { edges[i - 1] } else { None };
        let right = if i < n { edges[i] } else { None };
        if let Some(e) = left {
            grad[i - 1] -= dir[e.axis];
            diag[i - 1] += (1.0 - dir[e.axis] * dir[e.axis]) / len;
        }
        if let Some(e) = right {
            grad[i] += dir[e.axis];
            diag[i] += (1.0 - dir[e.axis] * dir[e.axis]) / len;
        }
        if let (Some(e), Some(f)) = (left, right) {
            let same = if e.axis == f.axis { 1.0 } else { 0.0 };
            off[i - 1] = -(same - dir[e.axis] * dir[f.axis]) / len;
        }
    }
    for i in 0..n {
        let stays = edges[i].is_none_or(|e| {
            let x = points[i + 1][e.axis];
            (x <= e.lo && grad[i] >= 0.0) || (x >= e.hi && grad[i] <= 0.0)
        });
        if stays {
            (grad[i], diag[i], off[i]) = (0.0, 1.0, 0.0);
            if i > 0 {
                off[i - 1] = 0.0;
            }
        }
        diag[i] += 1e-12;
    }
    // The matrix is tridiagonal and positive definite.
    for i in 1..n {
        let w = off[i - 1] / diag[i - 1];
        diag[i] -= w * off[i - 1];
        if diag[i] <= 0.0 {
            return;
        }
        grad[i] -= w * grad[i - 1];
    }
    let mut step = vec![0.0; n];
    for i in (0..n).rev() {
        let next = if i + 1 < n { off[i] * step[i + 1] } else { 0.0 };
        step[i] = (grad[i] - next) / diag[i];
    }
    let keep = points.to_vec();
    let from = length(points);
    let mut scale = 1.0;
    for _ in 0..6 {
        for (i, e) in edges.iter().enumerate() {
            if let Some(e) = e {
                points[i + 1][e.axis] = (keep[i + 1][e.axis] - scale * step[i]).clamp(e.lo, e.hi);
            }
        }
        if length(points) <= from {
            return;
        }
        scale *= 0.35;
    }
    points.copy_from_slice(&keep);
}
