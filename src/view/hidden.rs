//! Hidden edges: where the outline of a part runs behind nearer parts.
//!
//! Outlines are compared in whole micrometres on the plane of the view, so that
//! an edge that lies on the edge of what covers it counts as visible there and is
//! not drawn twice (ISO 128-2, precedence of visible edges, from memory). Edges
//! along the page are clipped exactly; slanted and round ones in floating point.

use super::list::{Path, Point2};
use super::projection::Projection;
use crate::geom::{Length, Solid, Vec3};
use std::collections::BTreeMap;

/// Corners of the polygon that stands for a circle.
const ROUND: usize = 48;

/// What something covers on the plane of the view, in micrometres to the right
/// and up.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Flat {
    /// Left, right, lower and upper end.
    Rect([i64; 4]),
    /// Middle and radius.
    Circle([i64; 2], i64),
    /// Rings, by the even-odd rule.
    Rings(Vec<Vec<[i64; 2]>>),
}

/// An outline with its depth.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Outline {
    /// Whose it is: an outline is not hidden by another of the same owner.
    pub owner: u32,
    /// What it covers.
    pub flat: Flat,
    /// Depth of the far face, in micrometres towards the eye.
    pub far: i64,
    /// Depth of the near face.
    pub near: i64,
    /// True where its own edges are drawn as hidden ones.
    pub edges: bool,
}

impl Outline {
    /// The outline of a solid in the enclosure's frame.
    pub fn of(solid: &Solid, projection: &Projection, owner: u32, edges: bool) -> Outline {
        let kind = projection.kind;
        let bounds = solid.bounds();
        let (far, near) = kind.reach(&bounds);
        let plane = |p: Vec3| {
            [
                p.toward(kind.right()).as_um(),
                p.toward(kind.up()).as_um(),
            ]
        };
        let eye = kind.eye().axis();
        let flat = match solid {
            Solid::Cylinder {
                axis, base, radius, ..
            } if *axis == eye => Flat::Circle(plane(*base), radius.as_um()),
            Solid::Extrusion {
                axis,
                outline,
                holes,
                ..
            } if *axis == eye => {
                let (u, v) = eye.others();
                let ring = |r: &Vec<[Length; 2]>| -> Vec<[i64; 2]> {
                    let at = |p: &[Length; 2]| plane(Vec3::ZERO.with(u, p[0]).with(v, p[1]));
                    r.iter().map(at).collect()
                };
                Flat::Rings(std::iter::once(outline).chain(holes).map(ring).collect())
            }
            _ => {
                let (a, b) = (plane(bounds.min()), plane(bounds.max()));
                Flat::Rect([
                    a[0].min(b[0]),
                    a[0].max(b[0]),
                    a[1].min(b[1]),
                    a[1].max(b[1]),
                ])
            }
        };
        Outline {
            owner,
            flat,
            far: far.as_um(),
            near: near.as_um(),
            edges,
        }
    }

    fn bounds(&self) -> [i64; 4] {
        match &self.flat {
            Flat::Rect(r) => *r,
            Flat::Circle(c, r) => [c[0] - r, c[0] + r, c[1] - r, c[1] + r],
            Flat::Rings(rings) => {
                let mut b = [i64::MAX, i64::MIN, i64::MAX, i64::MIN];
                for p in rings.iter().flatten() {
                    b = [b[0].min(p[0]), b[1].max(p[0]), b[2].min(p[1]), b[3].max(p[1])];
                }
                b
            }
        }
    }

    fn corners(&self) -> Vec<Vec<[i64; 2]>> {
        match &self.flat {
            Flat::Rect([l, r, d, u]) => vec![vec![[*l, *d], [*r, *d], [*r, *u], [*l, *u]]],
            Flat::Circle(c, radius) => {
                let at = |i: usize| {
                    let p = Point2::unit(360.0 * i as f64 / ROUND as f64) * *radius as f64;
                    [c[0] + p.x.round() as i64, c[1] + p.y.round() as i64]
                };
                vec![(0..ROUND).map(at).collect()]
            }
            Flat::Rings(rings) => rings.clone(),
        }
    }

    /// Paint order: what is drawn later lies on top.
    fn before(&self, other: &Outline) -> bool {
        (self.far, self.owner) < (other.far, other.owner)
    }
}

/// The hidden edges of all outlines, as one path on the page. Nothing where an
/// edge is visible or lies on an edge of what covers it.
pub(crate) fn edges(outlines: &[Outline], projection: &Projection) -> Path {
    let mut order: Vec<([i64; 4], &Outline)> = outlines.iter().map(|o| (o.bounds(), o)).collect();
    order.sort_by_key(|(b, _)| b[0]);
    let widest = order.iter().map(|(b, _)| b[1] - b[0]).max().unwrap_or(0);
    // Level and upright edges by their height or column, so that edges that lie
    // on one another are drawn once.
    let mut level: BTreeMap<i64, Vec<[i64; 2]>> = BTreeMap::new();
    let mut upright: BTreeMap<i64, Vec<[i64; 2]>> = BTreeMap::new();
    let mut path = Path::new();
    for (bounds, subject) in order.iter().filter(|(_, o)| o.edges) {
        let from = order.partition_point(|(b, _)| b[0] < bounds[0] - widest);
        let covers: Vec<&Outline> = order[from..]
            .iter()
            .take_while(|(b, _)| b[0] < bounds[1])
            .filter(|(b, o)| {
                o.owner != subject.owner
                    && b[1] > bounds[0]
                    && b[2] < bounds[3]
                    && b[3] > bounds[2]
                    && subject.before(o)
            })
            .map(|(_, o)| *o)
            .collect();
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

/// The stretches of an edge along the page that lie inside `cover`, as intervals
/// of its running coordinate.
fn spans(cover: &Outline, a: [i64; 2], b: [i64; 2]) -> Vec<[i64; 2]> {
    // The running axis and the fixed one.
    let (run, fix) = if a[1] == b[1] { (0, 1) } else { (1, 0) };
    let (from, to, at) = (a[run].min(b[run]), a[run].max(b[run]), a[fix]);
    let clip = |low: i64, high: i64| {
        let (low, high) = (low.max(from), high.min(to));
        (low < high).then_some([low, high])
    };
    match &cover.flat {
        Flat::Rect(r) => {
            let (low, high) = (r[2 * fix], r[2 * fix + 1]);
            let inside = low < at && at < high;
            let span = inside.then(|| clip(r[2 * run], r[2 * run + 1]));
            span.flatten().into_iter().collect()
        }
        Flat::Circle(c, radius) => {
            let off = (at - c[fix]) as f64;
            let half = (*radius as f64 * *radius as f64 - off * off).max(0.0).sqrt() as i64;
            clip(c[run] - half, c[run] + half).into_iter().collect()
        }
        Flat::Rings(rings) => {
            let mut crossings: Vec<i64> = Vec::new();
            for ring in rings {
                for (i, p) in ring.iter().enumerate() {
                    let q = ring[(i + 1) % ring.len()];
                    // Half open, so that a corner counts once.
                    if (p[fix] > at) != (q[fix] > at) {
                        let t = (at - p[fix]) as f64 / (q[fix] - p[fix]) as f64;
                        crossings.push(p[run] + (t * (q[run] - p[run]) as f64).round() as i64);
                    }
                    // An edge along the outline of the cover is not hidden by it.
                    if p[fix] == at && q[fix] == at {
                        return Vec::new();
                    }
                }
            }
            crossings.sort_unstable();
            let pairs = crossings.chunks_exact(2);
            pairs.filter_map(|p| clip(p[0], p[1])).collect()
        }
    }
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
fn slanted(path: &mut Path, projection: &Projection, a: [i64; 2], b: [i64; 2], covers: &[&Outline]) {
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

/// True where a point lies inside an outline.
fn contains(cover: &Outline, p: [f64; 2]) -> bool {
    match &cover.flat {
        Flat::Rect(r) => {
            let r = r.map(|v| v as f64);
            r[0] < p[0] && p[0] < r[1] && r[2] < p[1] && p[1] < r[3]
        }
        Flat::Circle(c, r) => (p[0] - c[0] as f64).hypot(p[1] - c[1] as f64) < *r as f64,
        Flat::Rings(rings) => {
            let mut odd = false;
            for ring in rings {
                for (i, a) in ring.iter().enumerate() {
                    let b = ring[(i + 1) % ring.len()];
                    let (a, b) = (a.map(|v| v as f64), b.map(|v| v as f64));
                    if (a[1] > p[1]) != (b[1] > p[1]) {
                        let x = a[0] + (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]);
                        odd ^= p[0] < x;
                    }
                }
            }
            odd
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Box3;
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
        let path = edges(outlines, &top());
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
