//! The point nearest to the origin that lies in none of many convex regions with flat faces.
//!
//! It is the foot of a face, or lies where faces of two regions cross: there it is the nearest
//! point of their common line that no region covers. For near such a point what is free is the
//! space beyond one face of each region that has it on its boundary, and of such a corner the
//! nearest point hangs on at most three faces, no two of one region.

use super::super::Vec3;
use super::facets::Plane;
use super::region::Region;

/// Sine of the angle under which two faces count as parallel.
const PARALLEL: f64 = 1e-9;

/// What is asked at most, in steps of a few nanoseconds.
const MOST_STEPS: usize = 4_000_000;

/// What was asked.
#[derive(Default)]
pub(super) struct Effort(usize);

/// The nearest free point under `most` from the origin; `Err` where it takes too long, `Ok(None)`
/// where there is none. Less deep than `slack` in a region is free of it; that may be the origin.
pub(super) fn nearest_free(
    regions: &[Region<'_>],
    most: f64,
    slack: f64,
    effort: &mut Effort,
) -> Result<Option<Vec3>, ()> {
    if !regions.iter().any(|r| r.holds(Vec3::ZERO, slack)) {
        return Ok(Some(Vec3::ZERO));
    }
    let mut faces: Vec<(Plane, usize)> = Vec::new();
    for (i, region) in regions.iter().enumerate() {
        let planes = region.planes.iter();
        faces.extend(planes.filter(|p| p.level.abs() < most).map(|p| (*p, i)));
    }
    faces.sort_by(|a, b| a.0.level.abs().total_cmp(&b.0.level.abs()));
    let (mut best, mut found) = (most, None);
    for (plane, _) in faces.iter().filter(|f| f.0.level > 0.0) {
        effort.0 += faces.len() + regions.len();
        if effort.0 > MOST_STEPS {
            return Err(());
        }
        let at = plane.normal * plane.level;
        if !regions.iter().any(|r| r.holds(at, slack)) {
            (best, found) = (plane.level, Some(at));
            break;
        }
    }
    let mut covers = Vec::new();
    for (i, (p, of_p)) in faces.iter().enumerate() {
        if p.level.abs() >= best {
            break;
        }
        effort.0 += i;
        for (q, of_q) in &faces[..i] {
            if of_p == of_q || (p.level <= 0.0 && q.level <= 0.0) {
                continue;
            }
            let cosine = p.normal.dot(q.normal);
            let sine2 = 1.0 - cosine * cosine;
            let far2 = p.level * p.level + q.level * q.level - 2.0 * cosine * p.level * q.level;
            if far2 >= best * best * sine2 {
                continue;
            }
            let along = p.normal.cross(q.normal);
            let sine2 = along.dot(along);
            if sine2 < PARALLEL * PARALLEL {
                continue;
            }
            let foot =
                (q.normal.cross(along) * p.level + along.cross(p.normal) * q.level) * (1.0 / sine2);
            let along = along * (1.0 / sine2.sqrt());
            // Only where it runs over both faces and is near enough.
            let half = (best * best - foot.dot(foot)).max(0.0).sqrt();
            let mut range = [-half, half];
            effort.0 += regions[*of_p].planes.len() + regions[*of_q].planes.len();
            for of in [*of_p, *of_q] {
                match regions[of].stretch(foot, along, -slack) {
                    Some([lo, hi]) => range = [range[0].max(lo), range[1].min(hi)],
                    None => range = [f64::INFINITY, 0.0],
                }
            }
            if range[0] > range[1] + slack {
                continue;
            }
            covers.clear();
            covers.extend(regions.iter().filter_map(|r| r.stretch(foot, along, slack)));
            effort.0 += faces.len();
            if let Some(s) = nearest_bare(range, &mut covers, slack) {
                let at = foot + along * s;
                let far = at.norm();
                if far < best {
                    (best, found) = (far, Some(at));
                }
            }
        }
        if effort.0 > MOST_STEPS {
            return Err(());
        }
    }
    Ok(found)
}

/// The number nearest to 0 in a range that lies inside none of the stretches by more than `slack`.
fn nearest_bare([lo, hi]: [f64; 2], covers: &mut [[f64; 2]], slack: f64) -> Option<f64> {
    let hi = hi.max(lo);
    let start = 0f64.clamp(lo, hi);
    covers.sort_unstable_by(|a, b| a[0].total_cmp(&b[0]));
    let mut up = start;
    for c in covers.iter() {
        if c[0] + slack < up && up + slack < c[1] {
            up = c[1];
        }
    }
    covers.sort_unstable_by(|a, b| b[1].total_cmp(&a[1]));
    let mut down = start;
    for c in covers.iter() {
        if c[0] + slack < down && down + slack < c[1] {
            down = c[0];
        }
    }
    let range = lo - slack..=hi + slack;
    let ends = [up, down].into_iter().filter(|s| range.contains(s));
    ends.min_by(|a, b| a.abs().total_cmp(&b.abs()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_bare_number_of_a_range() {
        let bare = |range, covers: &[[f64; 2]]| nearest_bare(range, &mut covers.to_vec(), 1e-9);
        assert_eq!(bare([-5.0, 5.0], &[]), Some(0.0));
        assert_eq!(bare([2.0, 5.0], &[]), Some(2.0));
        assert_eq!(bare([-5.0, 5.0], &[[-1.0, 2.0]]), Some(-1.0));
        // Stretches that touch leave the point between them free.
        assert_eq!(bare([-5.0, 5.0], &[[-1.0, 2.0], [-4.0, -1.0]]), Some(-1.0));
        assert_eq!(bare([-5.0, 5.0], &[[-1.0, 2.0], [-4.0, -0.5]]), Some(2.0));
        assert_eq!(bare([-3.0, 1.0], &[[-1.0, 2.0], [-4.0, -0.5]]), None);
        assert_eq!(
            bare([1.0, 9.0], &[[0.0, 3.0], [2.5, 4.0], [6.0, 7.0]]),
            Some(4.0)
        );
    }
}
