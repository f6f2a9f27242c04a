//! Distance of two convex hulls by descent over simplices of their difference
//! (Gilbert, Johnson and Keerthi, IEEE J. Robotics and Automation 4(2), 1988).

use super::Vec3;
use super::gap::Separation;
use super::hull::Hull;
use super::simplex::Simplex;

/// Upper and lower bound may differ by this share of the greatest distance met: rounding.
const GAP: f64 = 1e-11;

/// Steps after which the best so far is taken. Flat solids need a handful, curved ones some tens.
const STEPS: usize = 96;

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
    let (mut upper, mut lower, mut span) = (f64::INFINITY, 0.0_f64, 0.0_f64);
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
        if upper - lower <= GAP * span || simplex.holds(w) {
            break;
        }
        let before = simplex;
        let Some(nearest) = simplex.add(w, pa) else {
            return Found::Contact;
        };
        let norm = nearest.norm();
        if norm <= GAP * span {
            return Found::Contact;
        }
        if norm >= upper {
            // Rounding has eaten the step.
            simplex = before;
            break;
        }
        (v, upper) = (nearest, norm);
    }
    let on_a = a.centre() + simplex.blend();
    let normal = v * (-1.0 / upper);
    Found::Apart(Separation {
        value: upper,
        normal,
        on_a,
        on_b: on_a - v,
    })
}
