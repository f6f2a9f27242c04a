//! What ways need more that pass right through the places they are led along.
//!
//! A rounded corner cuts its point off: at 90 degrees and a radius of 30 by 12 mm, and
//! the way comes out 17 mm too short. The line is drawn with its plain fillets; the
//! length counts as if the middle of each arc lay on its place.

use super::bend::{Point, SAME, half_tangent, norm, sub, unit};

/// What the corners at these positions add to the rounded way, in millimetres, so that
/// it passes through their points: for a turn by 2 h with radius r it is
/// 2 r (tan h - sin h), the fillet's saving over both legs and what arcs that meet on
/// the point add to them (legs long against r). Where the legs are too short for the
/// radius, that of the fillet that they leave room for counts.
pub(super) fn extra(corners: &[Point], pins: &[usize], radius: f64) -> f64 {
    pins.iter()
        .filter(|at| **at > 0 && **at + 1 < corners.len())
        .map(|at| one(corners[at - 1], corners[*at], corners[at + 1], radius))
        .sum()
}

fn one(before: Point, corner: Point, after: Point, radius: f64) -> f64 {
    let (a, b) = (sub(corner, before), sub(after, corner));
    let room = norm(a).min(norm(b)) / 2.0;
    if room < 1e-6 {
        return 0.0;
    }
    // The same tangent as the fillet's: where that is a kink, it cuts nothing off.
    let tan = half_tangent(unit(a), unit(b));
    let r = radius.min(room / tan.max(1e-9));
    if !tan.is_finite() || r <= SAME {
        return 0.0;
    }
    2.0 * r * (tan - tan.atan().sin())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::route::bend::rounded;

    #[test]
    fn a_way_through_a_place_is_longer_than_both_legs() {
        let corners = [[0.0; 3], [100.0, 0.0, 0.0], [100.0, 100.0, 0.0]];
        let way = rounded(&corners, 30.0).length;
        // No way through the point is shorter than both straight legs (triangle
        // inequality), which the fillet undercuts.
        assert!(way < 200.0);
        let through = way + extra(&corners, &[1], 30.0);
        let quarter = std::f64::consts::FRAC_PI_2;
        let exact = 200.0 + 30.0 * (quarter - 2.0 * (quarter / 2.0).sin());
        assert!((through - exact).abs() < 1e-9, "{through} {exact}");
    }

    #[test]
    fn what_goes_straight_on_or_right_back_stays_sound() {
        let straight = [[0.0; 3], [50.0, 0.0, 0.0], [90.0, 0.0, 0.0]];
        assert!(extra(&straight, &[1], 30.0).abs() < 1e-9);
        // Right back, and as near to it as rounding brings it: a kink, both legs in full.
        for off in [0.0, 1e-13, 1e-10] {
            let back = [[0.0; 3], [50.0, 0.0, off], [off, 0.0, 0.0]];
            let way = rounded(&back, 30.0).length + extra(&back, &[1], 30.0);
            assert!((way - 100.0).abs() < 1e-6, "{off}: {way}");
        }
        let back = [[0.0; 3], [50.0, 0.0, 0.0], [0.0; 3]];
        assert_eq!(extra(&back, &[0, 2, 7], 30.0), 0.0);
        assert_eq!(extra(&[[0.0; 3]; 3], &[1], 30.0), 0.0);
    }
}
