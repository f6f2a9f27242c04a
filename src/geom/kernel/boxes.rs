//! Two boxes in any position: fifteen separating axes decide and give the depth
//! (Gottschalk, Lin and Manocha, SIGGRAPH 1996), a descent gives the distance.

use super::Vec3;
use super::gap::Separation;
use super::gjk::{self, Found};
use super::hull::{BoxHull, Hull};

/// Edges whose cross product is shorter than this are taken as parallel;
/// the axes of the faces then stand for it within as much.
const PARALLEL: f64 = 1e-9;

/// Signed distance of two boxes; `None` when it is not under `limit`.
pub(super) fn separation(a: &BoxHull, b: &BoxHull, limit: f64) -> Option<Separation> {
    let (value, normal) = best_axis(a, b, limit)?;
    if value <= 0.0 {
        return Some(Separation {
            value,
            normal,
            on_a: a.centre,
            on_b: b.centre,
        });
    }
    // The axis gives a lower bound of the distance only.
    match gjk::distance(a, b, -normal, limit) {
        Found::Beyond => None,
        Found::Apart(found) => Some(found),
        Found::Contact => Some(Separation {
            value: 0.0,
            normal,
            on_a: a.centre,
            on_b: b.centre,
        }),
    }
}

/// The axis with the greatest signed gap, pointing from `a` to `b`; `None` once one reaches
/// the limit.
fn best_axis(a: &BoxHull, b: &BoxHull, limit: f64) -> Option<(f64, Vec3)> {
    let delta = b.centre - a.centre;
    let r: [[f64; 3]; 3] =
        std::array::from_fn(|i| std::array::from_fn(|j| a.axes[i].dot(b.axes[j])));
    let s = r.map(|row| row.map(f64::abs));
    let t: [f64; 3] = std::array::from_fn(|i| a.axes[i].dot(delta));
    let mut best = (f64::NEG_INFINITY, Vec3::unit(0));
    for i in 0..3 {
        let reach = a.half[i] + b.half[0] * s[i][0] + b.half[1] * s[i][1] + b.half[2] * s[i][2];
        let gap = t[i].abs() - reach;
        if gap > best.0 {
            best = (gap, a.axes[i] * 1f64.copysign(t[i]));
        }
    }
    for (j, axis) in b.axes.into_iter().enumerate() {
        let along = axis.dot(delta);
        let reach = b.half[j] + a.half[0] * s[0][j] + a.half[1] * s[1][j] + a.half[2] * s[2][j];
        let gap = along.abs() - reach;
        if gap > best.0 {
            best = (gap, axis * 1f64.copysign(along));
        }
    }
    if best.0 >= limit {
        return None;
    }
    for i in 0..3 {
        for j in 0..3 {
            // Length of the cross product from the two other components: exact when short.
            let len2 = r[i][(j + 1) % 3].powi(2) + r[i][(j + 2) % 3].powi(2);
            if len2 < PARALLEL * PARALLEL {
                continue;
            }
            if len2 > 1e-8 {
                let (i1, i2, j1, j2) = ((i + 1) % 3, (i + 2) % 3, (j + 1) % 3, (j + 2) % 3);
                let along = t[i2] * r[i1][j] - t[i1] * r[i2][j];
                let reach = a.half[i1] * s[i2][j]
                    + a.half[i2] * s[i1][j]
                    + b.half[j1] * s[i][j2]
                    + b.half[j2] * s[i][j1];
                // Compared without the root: most of the nine are no better.
                let short = along.abs() - reach;
                if short.abs() * short < best.0.abs() * best.0 * len2 {
                    continue;
                }
            }
            let Some(n) = a.axes[i].cross(b.axes[j]).normalized() else {
                continue;
            };
            let along = delta.dot(n);
            let n = n * 1f64.copysign(along);
            let gap = along.abs() - a.reach(n)[0] - b.reach(n)[0];
            if gap > best.0 {
                best = (gap, n);
            }
        }
    }
    (best.0 < limit).then_some(best)
}
