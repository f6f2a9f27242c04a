//! Boxes around the pieces of a solid.

use super::{Box3, Length, Solid, Vec3};

/// An outline with more distinct places along an axis stands for its bounding box.
const MOST_STRIPS: usize = 200;

/// Boxes that a solid lies within: of an outline along the axes exactly those it is made
/// of, of others the strips that cover it, of a cylinder the box around it.
pub fn covering_boxes(solid: &Solid) -> Vec<Box3> {
    covering_strips(solid).into_iter().map(|s| s.0).collect()
}

/// Like [`covering_boxes`]; with each true where the solid fills it.
pub fn covering_strips(solid: &Solid) -> Vec<(Box3, bool)> {
    let Solid::Extrusion {
        axis,
        low,
        high,
        outline,
        holes,
    } = solid
    else {
        return vec![(solid.bounds(), matches!(solid, Solid::Box(_)))];
    };
    let edges: Vec<[[Length; 2]; 2]> = std::iter::once(outline)
        .chain(holes)
        .flat_map(|ring| (0..ring.len()).map(|i| [ring[i], ring[(i + 1) % ring.len()]]))
        .collect();
    let mut cuts: Vec<Length> = edges.iter().map(|e| e[0][0]).collect();
    cuts.sort_unstable();
    cuts.dedup();
    if cuts.len() > MOST_STRIPS {
        return vec![(solid.bounds(), false)];
    }
    let (a, b) = axis.others();
    let mut all = Vec::new();
    for strip in cuts.windows(2) {
        // Edges that cross the whole strip, by their height in its middle; the strip
        // between two of them counts as far as they reach.
        let mut crossing: Vec<(Length, Length, Length)> = edges
            .iter()
            .filter(|e| {
                let (lo, hi) = (e[0][0].min(e[1][0]), e[0][0].max(e[1][0]));
                lo <= strip[0] && strip[1] <= hi && lo < hi
            })
            .map(|e| {
                let at = |u: Length| height(e, u);
                let (s, t) = (at(strip[0]), at(strip[1]));
                ((s + t) / 2, s.min(t), s.max(t))
            })
            .collect();
        crossing.sort_unstable();
        for pair in crossing.chunks_exact(2) {
            let corner =
                |u: Length, v: Length, w: Length| Vec3::ZERO.with(a, u).with(b, v).with(*axis, w);
            let covers = Box3::new(
                corner(strip[0], pair[0].1, *low),
                corner(strip[1], pair[1].2, *high),
            );
            let level = |e: &(Length, Length, Length)| e.1 == e.2;
            all.push((covers, level(&pair[0]) && level(&pair[1])));
        }
    }
    all
}

fn height(edge: &[[Length; 2]; 2], u: Length) -> Length {
    let [[u0, v0], [u1, v1]] = edge.map(|p| p.map(|l| l.as_um() as f64));
    let t = (u.as_um() as f64 - u0) / (u1 - u0);
    Length::um((v0 + (v1 - v0) * t).round() as i64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Axis;

    #[test]
    fn an_outline_along_the_axes_is_cut_into_its_boxes() {
        let p = |x, y| [Length::mm(x), Length::mm(y)];
        let angle = Solid::Extrusion {
            axis: Axis::Z,
            low: Length::ZERO,
            high: Length::mm(5),
            outline: vec![p(0, 0), p(30, 0), p(30, 2), p(2, 2), p(2, 20), p(0, 20)],
            holes: vec![],
        };
        let boxes = covering_boxes(&angle);
        let volume: f64 = boxes.iter().map(Box3::volume_mm3).sum();
        // By hand: 30 x 2 and 2 x 18, 5 high.
        assert_eq!(volume, (60.0 + 36.0) * 5.0);
        assert!(boxes.iter().all(|b| !b.contains_point(Vec3::mm(15, 10, 2))));
    }

    #[test]
    fn a_slanted_outline_is_covered() {
        let p = |x, y| [Length::mm(x), Length::mm(y)];
        let roof = Solid::Extrusion {
            axis: Axis::Z,
            low: Length::ZERO,
            high: Length::mm(5),
            outline: vec![p(0, 0), p(20, 0), p(10, 10)],
            holes: vec![],
        };
        let boxes = covering_boxes(&roof);
        for (x, y) in [(1, 1), (10, 9), (10, 10), (19, 1), (5, 5)] {
            assert!(boxes.iter().any(|b| b.contains_point(Vec3::mm(x, y, 2))));
        }
    }
}
