//! Hidden edges: where the outline of a part runs behind nearer parts.
//!
//! An edge that lies on the edge of what covers it counts as visible there and is
//! not drawn twice (ISO 128-2, precedence of visible edges, from memory). Edges
//! along the page are clipped exactly; slanted and round ones in short steps.

use super::covers::{Covers, Outline, contains, spans};
use super::list::Path;
use super::projection::Projection;
use std::collections::BTreeMap;

/// The hidden edges of all outlines, as one path on the page. Nothing where an
/// edge is visible or lies on an edge of what covers it.
pub(crate) fn edges(all: &Covers, projection: &Projection) -> Path {
    // Level and upright edges by their height or column, so that edges that lie
    // on one another are drawn once.
    let mut level: BTreeMap<i64, Vec<[i64; 2]>> = BTreeMap::new();
    let mut upright: BTreeMap<i64, Vec<[i64; 2]>> = BTreeMap::new();
    let mut path = Path::new();
    for subject in all.outlines().iter().filter(|o| o.edges) {
        let covers = all.over(subject);
        if covers.is_empty() {
            continue;
        }
        for ring in subject.corners() {
            for (i, a) in ring.iter().enumerate() {
                let b = ring[(i + 1) % ring.len()];
                if a[1] == b[1] {
                    let spans = covers.iter().flat_map(|c| spans(c, *a, b));
                    level.entry(a[1]).or_default().extend(spans);
                } else if a[0] == b[0] {
                    let spans = covers.iter().flat_map(|c| spans(c, *a, b));
                    upright.entry(a[0]).or_default().extend(spans);
                } else {
                    slanted(&mut path, projection, *a, b, &covers);
                }
            }
        }
    }
    let page = |x: i64, y: i64| projection.plane_to_page(x as f64 / 1000.0, y as f64 / 1000.0);
    for (y, spans) in level {
        for [a, b] in merged(spans) {
            path.move_to(page(a, y)).line_to(page(b, y));
        }
    }
    for (x, spans) in upright {
        for [a, b] in merged(spans) {
            path.move_to(page(x, a)).line_to(page(x, b));
        }
    }
    path
}

/// Intervals that overlap or touch, joined.
fn merged(mut spans: Vec<[i64; 2]>) -> Vec<[i64; 2]> {
    spans.sort_unstable();
    let mut out: Vec<[i64; 2]> = Vec::new();
    for s in spans {
        match out.last_mut() {
            Some(last) if s[0] <= last[1] => last[1] = last[1].max(s[1]),
            _ => out.push(s),
        }
    }
    out
}

/// A slanted edge in short steps, the hidden ones drawn.
fn slanted(
    path: &mut Path,
    projection: &Projection,
    a: [i64; 2],
    b: [i64; 2],
    covers: &[&Outline],
) {
    let steps = 8;
    let at = |i: usize| {
        let t = i as f64 / steps as f64;
        let mix = |k: usize| a[k] as f64 + t * (b[k] - a[k]) as f64;
        [mix(0), mix(1)]
    };
    let mut open = false;
    for i in 0..steps {
        let (p, q) = (at(i), at(i + 1));
        let middle = [(p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0];
        if !covers.iter().any(|c| contains(c, middle)) {
            open = false;
            continue;
        }
        let page = |p: [f64; 2]| projection.plane_to_page(p[0] / 1000.0, p[1] / 1000.0);
        if !open {
            path.move_to(page(p));
        }
        path.line_to(page(q));
        open = true;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Box3;
    use crate::geom::{Length, Solid, Vec3};
    use crate::view::covers::Outline;
    use crate::view::projection::ViewKind;

    fn top() -> Projection {
        Projection::new(
            ViewKind::Top,
            1.0,
            &Box3::at(Vec3::ZERO, Vec3::mm(100, 100, 100)),
        )
    }

    fn block(owner: u32, at: [i64; 3], size: [i64; 3]) -> Outline {
        let b = Box3::at(
            Vec3::mm(at[0], at[1], at[2]),
            Vec3::mm(size[0], size[1], size[2]),
        );
        Outline::of(&Solid::Box(b), &top(), owner, true)
    }

    /// Total length of what is drawn, in millimetres.
    fn length(outlines: &[Outline]) -> f64 {
        let path = edges(&Covers::new(outlines.to_vec()), &top());
        let lines = path.flattened(0.01);
        let all = lines.iter().flat_map(|l| l.edges().collect::<Vec<_>>());
        all.map(|(a, b)| (b - a).length()).sum()
    }

    #[test]
    fn only_what_lies_behind_is_hidden() {
        // A cover of 50 x 50 over the corner of a plate of 60 x 60: its two edges
        // of 30 inside the cover are hidden.
        let low = block(1, [0, 0, 0], [60, 60, 10]);
        let high = block(2, [30, 30, 20], [50, 50, 10]);
        assert!((length(&[low.clone(), high.clone()]) - 60.0).abs() < 1e-9);
        // Put below, its own two edges of 30 are the hidden ones; beside, none is.
        let under = block(2, [30, 40, -20], [50, 50, 10]);
        assert!((length(&[low.clone(), under]) - 50.0).abs() < 1e-9);
        let beside = block(2, [60, 0, 20], [50, 50, 10]);
        assert_eq!(length(&[low, beside]), 0.0);
    }

    #[test]
    fn an_edge_under_an_edge_is_not_drawn() {
        let low = block(1, [0, 0, 0], [60, 60, 10]);
        let same = block(2, [0, 0, 10], [60, 60, 10]);
        assert_eq!(length(&[low.clone(), same]), 0.0);
        // Two covers side by side: their common edge is visible.
        let wide = block(3, [20, 10, 0], [20, 20, 5]);
        let left = block(4, [0, 0, 10], [40, 40, 5]);
        let right = block(5, [40, 0, 10], [40, 40, 5]);
        assert!((length(&[wide, left, right]) - 60.0).abs() < 1e-9);
    }

    #[test]
    fn edges_that_lie_on_one_another_are_drawn_once() {
        let a = block(1, [10, 10, 0], [20, 20, 5]);
        let b = block(2, [10, 10, 5], [20, 20, 5]);
        let cover = block(3, [0, 0, 10], [60, 60, 5]);
        assert!((length(&[a, b, cover]) - 80.0).abs() < 1e-9);
    }

    #[test]
    fn a_round_cover_hides_its_chord() {
        let low = block(1, [0, 0, 0], [50, 50, 10]);
        let disc = Solid::Cylinder {
            axis: crate::geom::Axis::Z,
            base: Vec3::mm(50, 25, 20),
            radius: Length::mm(10),
            height: Length::mm(5),
        };
        let disc = Outline::of(&disc, &top(), 2, false);
        // The chord through the middle: twice the radius.
        assert!((length(&[low, disc]) - 20.0).abs() < 1e-3);
    }

    #[test]
    fn an_extruded_cover_shows_through_its_hole() {
        let p = |x, y| [Length::mm(x), Length::mm(y)];
        let frame = Solid::Extrusion {
            axis: crate::geom::Axis::Z,
            low: Length::mm(20),
            high: Length::mm(22),
            outline: vec![p(0, 0), p(100, 0), p(100, 100), p(0, 100)],
            holes: vec![vec![p(20, 20), p(80, 20), p(80, 80), p(20, 80)]],
        };
        let frame = Outline::of(&frame, &top(), 2, false);
        // A bar of 100 by 10 under the frame and its opening: the two long edges
        // are hidden at both ends for 20 each; the short ones lie on the outline.
        let bar = block(1, [0, 45, 0], [100, 10, 5]);
        assert!((length(&[bar, frame]) - 80.0).abs() < 1e-6);
    }
}
