//! How deep two bodies of several solids are in one another: the least straight move that takes
//! all of the one out of all of the other.
//!
//! The greatest depth of a pair of solids would say too little: it depends on how a body happens
//! to be put together, and a move out of one solid may lead into the next.

use super::gap::{Body, Gap, between, rounded, whole};
use crate::geom::kernel::{self, Shape};
use crate::geom::{Length, Solid, Vec3};

/// What it takes to end an overlap.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Apart {
    /// Length of the move, to the nearest micrometre, never zero.
    pub depth: Length,
    /// The move, made by the second body, each coordinate to the micrometre.
    pub away: Vec3,
    /// Whether no shorter move does. Else there are so many solids that it was not worked out:
    /// the move is enough, and may be longer than it need be.
    pub is_least: bool,
}

/// The least straight move of the second of two bodies after which their insides share no
/// point; `None` where they share none as they stand.
///
/// `pairs` are the solids of the first body with those of the second: all of them, or fewer where
/// some may overlap. Solids that cannot be judged are left out. Exact for boxes; within a
/// micrometre for the rest.
pub fn apart(pairs: &[(&Body, &Body)]) -> Option<Apart> {
    if let [(a, b)] = pairs
        && let (Solid::Box(_), Solid::Box(_)) = (a.solid(), b.solid())
    {
        return match between(a, b, Length::ZERO) {
            Gap::Overlap {
                depth,
                away,
                is_least,
                ..
            } => Some(Apart {
                depth,
                away,
                is_least,
            }),
            _ => None,
        };
    }
    let shapes: Vec<(&Shape, &Shape)> = pairs
        .iter()
        .filter_map(|(a, b)| Some((a.shape().as_ref().ok()?, b.shape().as_ref().ok()?)))
        .collect();
    let out = kernel::way_out(&shapes)?;
    if let Some(back) = into_bore(pairs, out.depth) {
        return Some(back);
    }
    Some(Apart {
        depth: rounded(out.depth),
        away: whole(out.way * out.depth),
        is_least: out.is_least,
    })
}

/// So many ways back into a round opening are tried.
const MOST_BACK: usize = 8;

/// A rod that stands on the rim of a round opening gets off it by the difference of two circles,
/// which corners in their place do not tell where it nearly fills the opening. Only what is less
/// than a way found already, in micrometres, and does free it.
fn into_bore(pairs: &[(&Body, &Body)], found: f64) -> Option<Apart> {
    let mut all: Vec<(f64, Vec3)> = Vec::new();
    for (a, b) in pairs {
        all.extend(a.bores().iter().filter_map(|bore| bore.back(b.solid())));
    }
    all.retain(|(by, _)| *by < found - 0.5);
    all.sort_by(|x, y| x.0.total_cmp(&y.0).then_with(|| x.1.cmp(&y.1)));
    all.dedup();
    let frees = |away: Vec3| {
        let clear = |(a, b): &(&Body, &Body)| {
            let there = Body::from(b.solid().placed(crate::geom::Turn::NONE, away));
            !matches!(between(a, &there, Length::ZERO), Gap::Overlap { .. })
        };
        pairs.iter().all(clear)
    };
    let (by, away) = all
        .into_iter()
        .take(MOST_BACK)
        .find(|(_, away)| frees(*away))?;
    Some(Apart {
        depth: rounded(by),
        away,
        is_least: true,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{l, v};
    use crate::geom::{Axis, Box3};

    fn cuboid(at: [f64; 3], size: [f64; 3]) -> Body {
        let [x, y, z] = at;
        let [a, b, c] = size;
        Solid::Box(Box3::at(v(x, y, z), v(a, b, c))).into()
    }

    fn out(a: &[Body], b: &[Body]) -> Option<Apart> {
        let pairs: Vec<(&Body, &Body)> =
            (a.iter().flat_map(|p| b.iter().map(move |q| (p, q)))).collect();
        apart(&pairs)
    }

    /// A plate of 100 x 100 x 2 about an opening of 40 x 40, as four boxes.
    fn plate() -> Vec<Body> {
        vec![
            cuboid([0.0, 0.0, 0.0], [100.0, 30.0, 2.0]),
            cuboid([0.0, 70.0, 0.0], [100.0, 30.0, 2.0]),
            cuboid([0.0, 30.0, 0.0], [30.0, 40.0, 2.0]),
            cuboid([70.0, 30.0, 0.0], [30.0, 40.0, 2.0]),
        ]
    }

    #[test]
    fn a_plate_with_an_opening_by_hand() {
        // Through the opening with a micrometre to spare nowhere: touching is no overlap.
        let post = |x: f64, y: f64, w: f64| cuboid([x, y, -50.0], [w, w, 100.0]);
        assert_eq!(out(&plate(), &[post(30.0, 30.0, 40.0)]), None);
        // 0.3 over the one rim and 0.4 over the other: aside by both, 0.5.
        let corner = out(&plate(), &[post(29.7, 29.6, 20.0)]).expect("over the rim");
        assert_eq!((corner.depth, corner.is_least), (l(0.5), true));
        assert_eq!(corner.away, v(0.3, 0.4, 0.0));
        // A post of 41 has to go all the way down.
        let wide = out(&plate(), &[post(29.5, 29.5, 41.0)]).expect("too wide");
        assert_eq!(wide.depth, l(50.0));
        // Over a joint of two of the boxes it is as deep as in one: 2 + 1.
        let foot = out(&plate(), &[cuboid([10.0, 20.0, -1.0], [20.0, 20.0, 60.0])]);
        assert_eq!(foot.expect("in the plate").depth, l(3.0));
    }

    #[test]
    fn round_ones_are_within_a_micrometre() {
        let rod = |axis, x, y, z, r: f64, h: f64| -> Body {
            Solid::Cylinder {
                axis,
                base: v(x, y, z),
                radius: l(r),
                height: l(h),
            }
            .into()
        };
        // In the corner of the opening, 5 about (33, 33): 2 over both rims, root(2^2 + 2^2).
        let pin = out(&plate(), &[rod(Axis::Z, 33.0, 33.0, -50.0, 5.0, 100.0)]);
        let off = pin.expect("over both").depth.as_mm() - 8f64.sqrt();
        assert!(off.abs() < 0.001, "{off}");
        // Two rods of 3 that lie crosswise 1 apart in two rods of 4: 1 deep in the lower ones.
        let below = [
            rod(Axis::X, -50.0, 0.0, 0.0, 4.0, 100.0),
            rod(Axis::X, -50.0, 20.0, 0.0, 4.0, 100.0),
        ];
        let above = [
            rod(Axis::Y, 0.0, -50.0, 6.0, 3.0, 100.0),
            rod(Axis::Y, 10.0, -50.0, 6.0, 3.0, 100.0),
        ];
        let off = out(&below, &above).expect("they meet").depth - l(1.0);
        assert!(off.abs() <= Length::um(1), "{off:?}");
    }

    #[test]
    fn rods_that_overlap_by_less_than_a_prism_tells() {
        // Three rods of radius 20 side by side, the third a little in both others, whose
        // directions from it lie 90 degrees apart between the corners of a laid prism. It is free
        // where its middle is 40 from both: where two circles cross.
        let rod = |x: f64, y: f64| -> Body {
            Solid::Cylinder {
                axis: Axis::Z,
                base: v(x, y, 0.0),
                radius: l(20.0),
                height: l(100.0),
            }
            .into()
        };
        let (p, q) = ([38.937_f64, 7.745], [-7.784_f64, 39.133]);
        let depth = out(&[rod(p[0], p[1]), rod(q[0], q[1])], &[rod(0.0, 0.0)]);
        let middle = [(p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0];
        let (dx, dy) = (q[0] - p[0], q[1] - p[1]);
        let d = dx.hypot(dy);
        let high = (1600.0 - d * d / 4.0).sqrt();
        let cross = [-1.0, 1.0].map(|s| {
            let (x, y) = (middle[0] + s * high * dy / d, middle[1] - s * high * dx / d);
            x.hypot(y)
        });
        let least = cross[0].min(cross[1]);
        assert!((0.31..0.32).contains(&least), "{least}");
        let off = depth.expect("they meet").depth.as_mm() - least;
        assert!(off.abs() <= 0.001, "{off}");
    }

    #[test]
    fn a_tangle_of_rods_is_given_up_with_a_move_that_is_enough() {
        let rods = |axis, heights: [f64; 2]| -> Vec<Body> {
            let rod = |i: usize| {
                let (far, z) = (20.0 * i as f64, heights[i % 2]);
                let base = match axis {
                    Axis::X => v(-500.0, far, z),
                    _ => v(far, -500.0, z),
                };
                let solid = Solid::Cylinder {
                    axis,
                    base,
                    radius: l(6.0),
                    height: l(2000.0),
                };
                Body::from(solid)
            };
            (0..40).map(rod).collect()
        };
        // Rods across a grating, in turn 2 deep over it and 2 deep under it: the lower ones are
        // above it after 10 + 12 = 22 mm up, and down it is as far.
        let (below, above) = (rods(Axis::X, [0.0; 2]), rods(Axis::Y, [10.0, -10.0]));
        let found = out(&below, &above).expect("they meet");
        assert_eq!((found.depth, found.is_least), (l(22.0), false));
        for q in &above {
            let moved = Body::from(q.solid().placed(crate::geom::Turn::default(), found.away));
            for p in &below {
                let gap = between(p, &moved, Length::ZERO);
                assert!(!matches!(gap, Gap::Overlap { depth, .. } if depth > Length::um(1)));
            }
        }
        let turned: Vec<Body> = above.iter().rev().cloned().collect();
        assert_eq!(out(&below, &turned), Some(found));
    }
}
