//! Distance of two convex hulls by descent over simplices of their difference
//! (Gilbert, Johnson and Keerthi, IEEE J. Robotics and Automation 4(2), 1988).

use super::Vec3;
use super::gap::Separation;
use super::hull::Hull;
use super::simplex::Simplex;

/// Upper and lower bound may differ by this share of the greatest distance met: rounding.
const GAP: f64 = 1e-10;

/// Steps after which the best so far is taken. Flat solids need a handful, curved ones some tens.
const STEPS: usize = 96;

/// How often a stalled descent starts again from the nearest point so far.
const RESTARTS: usize = 3;

/// What the descent found.
pub(super) enum Found {
    /// The distance is not under the limit.
    Beyond,
    /// The distance with its points.
    Apart(Separation),
    /// They touch or overlap, or are so near that the descent cannot tell.
    Contact,
}

/// Distance of `a` and `b` if under `limit`, starting from the direction `towards` that points
/// from `b` to `a`. A good direction saves steps; any will do.
pub(super) fn distance(a: &impl Hull, b: &impl Hull, towards: Vec3, limit: f64) -> Found {
    let delta = a.centre() - b.centre();
    let mut v = if towards == Vec3::ZERO {
        Vec3::unit(0)
    } else {
        towards
    };
    let mut simplex = Simplex::default();
    let mut best = (f64::INFINITY, Vec3::ZERO, Vec3::ZERO);
    // Length of the step before; a fresh simplex has none.
    let mut last = f64::INFINITY;
    let (mut lower, mut span, mut restarts) = (0.0_f64, 0.0_f64, 0);
    for _ in 0..STEPS {
        let (pa, pb) = (a.offset(-v), b.offset(v));
        let w = delta + pa - pb;
        // The plane through w across v has the whole difference on its far side.
        let bound = v.dot(w) / v.norm();
        span = span.max(w.norm());
        if bound > lower {
            lower = bound;
            if lower >= limit {
                return Found::Beyond;
            }
        }
        if best.0 - lower <= GAP * span {
            break;
        }
        let nearest = if simplex.holds(w) {
            None
        } else {
            match simplex.add(w, pa) {
                // Once a plane has been found between them, that is a sliver's doing.
                None if lower <= GAP * span => return Found::Contact,
                nearest => nearest.filter(|n| n.norm() < last),
            }
        };
        let Some(nearest) = nearest else {
            // Rounding has eaten the step, most likely for a sliver in the simplex.
            if restarts == RESTARTS {
                break;
            }
            restarts += 1;
            simplex = Simplex::default();
            last = f64::INFINITY;
            v = best.1;
            continue;
        };
        last = nearest.norm();
        if last <= GAP * span {
            return Found::Contact;
        }
        v = nearest;
        if last < best.0 {
            best = (last, nearest, simplex.blend());
        }
    }
    let (value, v, offset) = best;
    let on_a = a.centre() + offset;
    Found::Apart(Separation {
        value,
        normal: v * (-1.0 / value),
        on_a,
        on_b: on_a - v,
    })
}
