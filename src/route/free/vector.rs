//! The little vector arithmetic that ways need.

use super::Point;

pub fn sub(a: Point, b: Point) -> Point {
    std::array::from_fn(|k| a[k] - b[k])
}

pub fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub fn cross(a: Point, b: Point) -> Point {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

pub fn norm(a: Point) -> f64 {
    dot(a, a).sqrt()
}

/// Distance of two points.
pub fn dist(a: Point, b: Point) -> f64 {
    norm(sub(a, b))
}

/// The direction; nothing of nothing.
pub fn unit(a: Point) -> Point {
    let n = norm(a);
    if n > 0.0 { a.map(|x| x / n) } else { a }
}

/// The point at `by` from `p` along a direction.
pub fn along(p: Point, direction: Point, by: f64) -> Point {
    std::array::from_fn(|k| p[k] + direction[k] * by)
}
