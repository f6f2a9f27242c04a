//! Volume of a union of solids.
//!
//! Boxes are exact, in whole cubic micrometres. Round and slanted solids are cut into
//! strips across one axis, each a box of the strip's own area: alone they are exact but
//! for rounding to the micrometre; where they overlap other solids the union is off
//! by a part of one strip at most.

use crate::geom::{Axis, Box3, Length, Solid, Vec3};
use std::collections::BTreeSet;

/// Strips that a round solid is cut into.
const STRIPS: i64 = 48;

/// Work after which the volume is given up: steps of the sweep.
const MOST_STEPS: u64 = 20_000_000;

/// Cubic millimetres of `room` that none of the solids fills. `None` where there are
/// too many solids to work it out.
pub fn free_mm3(room: &Box3, solids: &[Solid]) -> Option<f64> {
    let mut boxes = Vec::new();
    let mut steps = 0;
    for solid in solids {
        steps += boxes_of(solid, room, &mut boxes)?;
        if steps > MOST_STEPS {
            return None;
        }
    }
    let size = room.size();
    let whole = [size.x, size.y, size.z]
        .iter()
        .map(|l| i128::from(l.as_um()))
        .product::<i128>();
    Some((whole - union_um3(&boxes)?) as f64 / 1e9)
}

/// Adds the part of a solid inside `room` as boxes; returns the work done.
fn boxes_of(solid: &Solid, room: &Box3, out: &mut Vec<Box3>) -> Option<u64> {
    let mut add = |b: Box3| out.extend(b.intersection(room).filter(|b| b.overlaps(room)));
    match solid {
        Solid::Box(b) => add(*b),
        Solid::Cylinder {
            axis,
            base,
            radius,
            height,
        } => {
            let (u, v) = axis.others();
            let r = radius.as_um();
            let strip = |i: i64| -r + 2 * r * i / STRIPS;
            let (low, high) = (base.along(*axis), base.along(*axis) + *height);
            for i in 0..STRIPS {
                let (a, b) = (strip(i), strip(i + 1));
                if b > a {
                    let half = ((segment(b, r) - segment(a, r)) / (b - a) as f64).round() as i64;
                    let at = |du: i64, dv: i64, end: Length| {
                        Vec3::ZERO
                            .with(u, base.along(u) + Length::um(du))
                            .with(v, base.along(v) + Length::um(dv))
                            .with(*axis, end)
                    };
                    add(Box3::new(at(a, -half, low), at(b, half, high)));
                }
            }
        }
        Solid::Extrusion {
            axis,
            low,
            high,
            outline,
            holes,
        } => {
            let edges: Vec<[[i64; 2]; 2]> = std::iter::once(outline)
                .chain(holes)
                .flat_map(|ring| {
                    let next = ring.iter().cycle().skip(1);
                    ring.iter()
                        .zip(next)
                        .map(|(a, b)| [a, b].map(|p| p.map(Length::as_um)))
                })
                .collect();
            return prism(*axis, (*low, *high), &edges, &mut add);
        }
    }
    Some(STRIPS as u64)
}

/// The integral of the half chord of a circle from its middle to `u`.
fn segment(u: i64, r: i64) -> f64 {
    let (u, r) = (u as f64, r as f64);
    let root = (r * r - u * u).max(0.0).sqrt();
    0.5 * (u * root + r * r * (u / r).clamp(-1.0, 1.0).asin())
}

fn prism(
    axis: Axis,
    (low, high): (Length, Length),
    edges: &[[[i64; 2]; 2]],
    add: &mut impl FnMut(Box3),
) -> Option<u64> {
    let corners: BTreeSet<i64> = edges.iter().map(|e| e[0][0]).collect();
    let corners: Vec<i64> = corners.into_iter().collect();
    let (Some(first), Some(last)) = (corners.first(), corners.last()) else {
        return Some(0);
    };
    // Slanted edges need narrow strips only for their overlaps with other solids.
    let slanted = edges.iter().any(|[a, b]| a[0] != b[0] && a[1] != b[1]);
    let widest = if slanted {
        ((last - first) / STRIPS).max(1)
    } else {
        i64::MAX
    };
    let (u, v) = axis.others();
    let mut steps = 0;
    for pair in corners.windows(2) {
        let n = ((pair[1] - pair[0]) / widest).max(1);
        for i in 0..n {
            let cut = |i: i64| pair[0] + (pair[1] - pair[0]) * i / n;
            let (a, b) = (cut(i), cut(i + 1));
            if b == a {
                continue;
            }
            steps += edges.len() as u64;
            if steps > MOST_STEPS {
                return None;
            }
            let middle = (a + b) as f64 / 2.0;
            let mut hits: Vec<f64> = edges
                .iter()
                .filter(|[p, q]| (p[0] as f64 <= middle) != (q[0] as f64 <= middle))
                .map(|[p, q]| {
                    let t = (middle - p[0] as f64) / (q[0] - p[0]) as f64;
                    p[1] as f64 + t * (q[1] - p[1]) as f64
                })
                .collect();
            hits.sort_by(f64::total_cmp);
            for inside in hits.chunks_exact(2) {
                let at = |du: i64, dv: f64, end: Length| {
                    Vec3::ZERO
                        .with(u, Length::um(du))
                        .with(v, Length::um(dv.round() as i64))
                        .with(axis, end)
                };
                add(Box3::new(at(a, inside[0], low), at(b, inside[1], high)));
            }
        }
    }
    Some(steps)
}

/// Exact volume of the union of boxes in cubic micrometres, by a sweep along x with
/// the covered area kept in a tree of intervals. `None` where it would take too long.
pub fn union_um3(boxes: &[Box3]) -> Option<i128> {
    let um = |b: &Box3, axis: Axis| [b.min().along(axis).as_um(), b.max().along(axis).as_um()];
    let solid = |b: &&Box3| Axis::ALL.iter().all(|a| um(b, *a)[0] < um(b, *a)[1]);
    let boxes: Vec<&Box3> = boxes.iter().filter(solid).collect();
    let stops = |axis| {
        let all: BTreeSet<i64> = boxes.iter().flat_map(|b| um(b, axis)).collect();
        all.into_iter().collect::<Vec<i64>>()
    };
    let (xs, zs) = (stops(Axis::X), stops(Axis::Z));
    let mut by_x = boxes.clone();
    by_x.sort_by_key(|b| um(b, Axis::X)[0]);
    let mut next = by_x.into_iter().peekable();
    let mut active: Vec<&Box3> = Vec::new();
    let mut tree = Tree::new(&zs);
    let (mut volume, mut steps) = (0_i128, 0_u64);
    for slab in xs.windows(2) {
        active.retain(|b| um(b, Axis::X)[1] > slab[0]);
        while let Some(b) = next.next_if(|b| um(b, Axis::X)[0] <= slab[0]) {
            active.push(b);
        }
        steps += active.len() as u64 * 2 * (1 + zs.len().ilog2().max(1) as u64);
        if steps > MOST_STEPS {
            return None;
        }
        // At one y what ends and what begins may come in either order.
        let mut events: Vec<(i64, bool, [usize; 2])> = Vec::with_capacity(active.len() * 2);
        for b in &active {
            let z = um(b, Axis::Z).map(|z| zs.partition_point(|s| *s < z));
            let y = um(b, Axis::Y);
            events.push((y[0], true, z));
            events.push((y[1], false, z));
        }
        events.sort_unstable();
        let (mut area, mut last) = (0_i128, 0);
        for (y, begins, [from, to]) in events {
            area += i128::from(tree.covered()) * i128::from(y - last);
            last = y;
            tree.change(1, 0, zs.len() - 1, from, to, begins);
        }
        volume += area * i128::from(slab[1] - slab[0]);
    }
    Some(volume)
}

/// How much of a line is covered, over fixed stops.
struct Tree<'a> {
    stops: &'a [i64],
    count: Vec<u32>,
    length: Vec<i64>,
}

impl Tree<'_> {
    fn new(stops: &[i64]) -> Tree<'_> {
        let n = stops.len().next_power_of_two() * 2;
        Tree {
            stops,
            count: vec![0; n],
            length: vec![0; n],
        }
    }

    fn covered(&self) -> i64 {
        self.length[1]
    }

    /// One cover more or less of the stretch between two stops.
    fn change(&mut self, node: usize, low: usize, high: usize, a: usize, b: usize, more: bool) {
        if b <= low || high <= a {
            return;
        }
        if a <= low && high <= b {
            match more {
                true => self.count[node] += 1,
                false => self.count[node] -= 1,
            }
        } else {
            let middle = usize::midpoint(low, high);
            self.change(node * 2, low, middle, a, b, more);
            self.change(node * 2 + 1, middle, high, a, b, more);
        }
        self.length[node] = match self.count[node] {
            0 if high - low > 1 => self.length[node * 2] + self.length[node * 2 + 1],
            0 => 0,
            _ => self.stops[high] - self.stops[low],
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{l, v};
    use proptest::prelude::*;

    fn block(at: [i64; 3], size: [i64; 3]) -> Box3 {
        let um = |p: [i64; 3]| Vec3::new(Length::um(p[0]), Length::um(p[1]), Length::um(p[2]));
        Box3::at(um(at), um(size))
    }

    fn volume(b: &Box3) -> i128 {
        let s = b.size();
        [s.x, s.y, s.z]
            .iter()
            .map(|l| i128::from(l.as_um()))
            .product()
    }

    /// The union by inclusion and exclusion: every set of boxes, its common part added
    /// or taken away. Independent of the sweep; exact.
    fn by_inclusion(boxes: &[Box3]) -> i128 {
        (1_u32..1 << boxes.len())
            .map(|set| {
                let mut members = boxes.iter().enumerate().filter(|(i, _)| set >> i & 1 == 1);
                let first = members.next().map(|m| *m.1);
                let common =
                    members.try_fold(first.expect("not empty"), |c, (_, b)| c.intersection(b));
                let sign = if set.count_ones() % 2 == 1 { 1 } else { -1 };
                sign * common.map_or(0, |b| volume(&b))
            })
            .sum()
    }

    proptest! {
        #[test]
        fn the_sweep_agrees_with_inclusion_and_exclusion(
            raw in proptest::collection::vec(
                (proptest::array::uniform3(0_i64..40), proptest::array::uniform3(0_i64..30)),
                0..8,
            )
        ) {
            let boxes: Vec<Box3> = raw.iter().map(|(at, size)| block(*at, *size)).collect();
            prop_assert_eq!(union_um3(&boxes), Some(by_inclusion(&boxes)));
        }
    }

    #[test]
    fn a_cylinder_and_a_prism_alone_have_their_closed_forms() {
        let room = Box3::new(Vec3::ZERO, v(100.0, 100.0, 100.0));
        let filled = |s: Solid| 1e6 - free_mm3(&room, &[s]).expect("few solids");
        for axis in Axis::ALL {
            let round = Solid::Cylinder {
                axis,
                base: v(50.0, 50.0, 50.0).with(axis, l(10.0)),
                radius: l(20.0),
                height: l(30.0),
            };
            let exact = std::f64::consts::PI * 400.0 * 30.0;
            assert!((filled(round) - exact).abs() < exact * 1e-4);
            // A right triangle with a square hole: 60 x 40 / 2 - 8 x 8, 10 high.
            let p = |x: f64, y: f64| [l(x), l(y)];
            let wedge = Solid::Extrusion {
                axis,
                low: l(0.0),
                high: l(10.0),
                outline: vec![p(0.0, 0.0), p(60.0, 0.0), p(0.0, 40.0)],
                holes: vec![vec![p(4.0, 4.0), p(12.0, 4.0), p(12.0, 12.0), p(4.0, 12.0)]],
            };
            assert!((filled(wedge) - 11_360.0).abs() < 1.0, "{axis:?}");
        }
    }

    #[test]
    fn mixed_solids_agree_with_points_thrown_at_random() {
        let room = Box3::new(Vec3::ZERO, v(100.0, 80.0, 60.0));
        let p = |x: f64, y: f64| [l(x), l(y)];
        let solids = vec![
            Solid::Box(Box3::at(v(-10.0, 5.0, 5.0), v(60.0, 30.0, 40.0))),
            Solid::Box(Box3::at(v(30.0, 20.0, 0.0), v(30.0, 50.0, 30.0))),
            Solid::Cylinder {
                axis: Axis::Y,
                base: v(60.0, 10.0, 30.0),
                radius: l(25.0),
                height: l(50.0),
            },
            Solid::Extrusion {
                axis: Axis::Z,
                low: l(20.0),
                high: l(70.0),
                outline: vec![p(60.0, 40.0), p(120.0, 40.0), p(80.0, 90.0)],
                holes: vec![],
            },
        ];
        let inside = |q: [f64; 3]| {
            let [x, y, z] = q;
            (x < 50.0 && (5.0..35.0).contains(&y) && (5.0..45.0).contains(&z))
                || ((30.0..60.0).contains(&x) && (20.0..70.0).contains(&y) && z < 30.0)
                || ((10.0..60.0).contains(&y) && (x - 60.0).hypot(z - 30.0) < 25.0)
                || (z > 20.0
                    && y > 40.0
                    && (y - 40.0) * 20.0 < (x - 60.0) * 50.0
                    && (y - 40.0) * 40.0 < (120.0 - x) * 50.0)
        };
        // A fixed sequence that fills space evenly: fractions of the powers of the
        // plastic constant's kin in three dimensions.
        let (n, g) = (200_000_u32, 1.220_744_084_605_759_6_f64);
        let step = [1, 2, 3].map(|k| g.powi(-k));
        let hits = (0..n)
            .filter(|i| {
                let t = [0, 1, 2].map(|k| (0.5 + step[k] * f64::from(*i)).fract());
                inside([t[0] * 100.0, t[1] * 80.0, t[2] * 60.0])
            })
            .count();
        let thrown = 480_000.0 * (1.0 - hits as f64 / f64::from(n));
        let worked = free_mm3(&room, &solids).expect("few solids");
        assert!((thrown - worked).abs() < 600.0, "{thrown} {worked}");
    }

    #[test]
    fn touching_flat_and_far_too_many_boxes() {
        let two = [block([0; 3], [10; 3]), block([10, 0, 0], [10; 3])];
        assert_eq!(union_um3(&two), Some(2000));
        assert_eq!(union_um3(&[block([0; 3], [10, 0, 10])]), Some(0));
        assert_eq!(union_um3(&[]), Some(0));
        let many: Vec<Box3> = (0..9000).map(|i| block([i; 3], [9000; 3])).collect();
        assert_eq!(union_um3(&many), None);
    }
}
