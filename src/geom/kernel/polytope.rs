//! Two solids with flat faces, at least one of them a prism: separating axes decide and give
//! the depth, a descent gives the distance.

use super::Vec3;
use super::gap::Separation;
use super::gjk::{self, Found};
use super::hull::Polytope;

/// Edges whose cross product is shorter than this are taken as parallel.
const PARALLEL: f64 = 1e-9;

/// Signed distance of two solids; `None` when it is not under `limit`.
pub(super) fn separation(a: &impl Polytope, b: &impl Polytope, limit: f64) -> Option<Separation> {
    let delta = b.centre() - a.centre();
    let mut best = (f64::NEG_INFINITY, Vec3::unit(0));
    let mut take = |n: Vec3| {
        let along = delta.dot(n);
        let ([a_back, a_ahead], [b_back, b_ahead]) = (a.reach(n), b.reach(n));
        let (ahead, behind) = (along - a_ahead - b_back, -along - a_back - b_ahead);
        let (gap, n) = if ahead > behind {
            (ahead, n)
        } else {
            (behind, -n)
        };
        if gap > best.0 {
            best = (gap, n);
        }
    };
    a.each_normal(&mut take);
    b.each_normal(&mut take);
    a.each_edge(&mut |e| {
        b.each_edge(&mut |f| {
            let n = e.cross(f);
            let len = n.norm();
            if len > PARALLEL {
                take(n * (1.0 / len));
            }
        });
    });
    let (value, normal) = best;
    if value >= limit {
        return None;
    }
    let flat = |value| Separation {
        value,
        normal,
        on_a: a.centre(),
        on_b: b.centre(),
    };
    if value <= 0.0 {
        return Some(flat(value));
    }
    match gjk::distance(a, b, -normal, limit) {
        Found::Beyond => None,
        Found::Apart(found) => Some(found),
        Found::Contact => Some(flat(0.0)),
    }
}
