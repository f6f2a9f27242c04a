//! Vectors of three numbers, in millimetres.

pub(crate) type P3 = [f64; 3];

pub(crate) fn add(a: P3, b: P3) -> P3 {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

pub(crate) fn sub(a: P3, b: P3) -> P3 {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

pub(crate) fn scaled(a: P3, by: f64) -> P3 {
    [a[0] * by, a[1] * by, a[2] * by]
}

pub(crate) fn dot(a: P3, b: P3) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(crate) fn cross(a: P3, b: P3) -> P3 {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

pub(crate) fn length(a: P3) -> f64 {
    dot(a, a).sqrt()
}

/// The vector at length one; nought stays nought.
pub(crate) fn unit(a: P3) -> P3 {
    let l = length(a);
    if l > 0.0 { scaled(a, 1.0 / l) } else { a }
}
