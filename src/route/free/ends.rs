//! Where a way can set out from a start or goal that touches something.

use super::Point;
use super::space::Space;

/// Points next to `p` that are clear of all widened boxes and of the walls: `p` itself where nothing
/// touches it, else one for each side on which the space next to it is open. Empty if `p` is outside
/// the enclosure, inside an obstacle, or where obstacles meet without a gap.
pub fn openings(space: &Space, p: Point) -> Vec<Point> {
    if space.open(p) {
        return vec![p];
    }
    if !p
        .iter()
        .zip(space.bounds[0].iter().zip(&space.bounds[1]))
        .all(|(x, (lo, hi))| x >= lo && x <= hi)
    {
        return Vec::new();
    }
    let step = space.pad * 1.001;
    let mut found: Vec<Point> = Vec::new();
    // Moves along one axis first: they are the ones that a point on a face needs.
    for moved in 1..=3 {
        for code in 0..27 {
            let dir = [code % 3, code / 3 % 3, code / 9].map(|c| f64::from(c) - 1.0);
            if dir.iter().filter(|d| **d != 0.0).count() != moved {
                continue;
            }
            let q: Point = std::array::from_fn(|k| p[k] + dir[k] * step);
            if space.open(q) && found.iter().all(|f| !space.clear(*f, q)) {
                found.push(q);
            }
        }
    }
    found
}
