//! Where on a part a leader ends: on what shows of it, clear of what covers it.

use super::layout::Placed;
use crate::geom::Length;
use crate::model::Space;
use crate::view::list::{Point2, Rect};
use crate::view::sheet::SheetInput;
use crate::view::{bodies, ways};
use std::collections::BTreeMap;

/// Points of a part that are asked whether they show, along each side.
const PROBES: usize = 9;
/// Clearance wanted about the end of a leader, in page millimetres.
const CLEAR: f64 = 1.6;

/// What shows of the parts in one view.
pub(super) struct Probe<'a> {
    view: &'a Placed,
    /// Index, outline on the page; the nearest last.
    order: Vec<(u32, Rect)>,
    /// The solid pieces of each part on the page.
    own: BTreeMap<u32, Vec<Rect>>,
    /// Middle lines of the cables on the page.
    cables: Vec<(Point2, Point2)>,
}

impl<'a> Probe<'a> {
    /// Looks at a view.
    pub fn new(input: &SheetInput<'_>, view: &'a Placed) -> Probe<'a> {
        let shown = bodies::shown(&view.projection, input);
        let rect = |r: Rect| Rect {
            min: r.min + view.origin,
            max: r.max + view.origin,
        };
        let own = shown.iter().map(|(_, p)| {
            let pieces = p.of(Space::Solid);
            let page = pieces.map(|q| rect(view.projection.box_to_page(&q.bounds)));
            (p.index, page.collect())
        });
        let own = own.collect();
        let mut order: Vec<(Length, u32, Rect)> = shown
            .into_iter()
            .map(|(far, p)| (far, p.index, view.projection.box_to_page(&p.outline)))
            .collect();
        // Plates between the parts cover what lies behind them.
        for b in bodies::between(&view.projection, input) {
            let (far, _) = view.projection.kind.reach(&b);
            order.push((far, u32::MAX, view.projection.box_to_page(&b)));
        }
        order.sort_by_key(|(far, index, _)| (*far, *index));
        let order = order.into_iter().map(|(_, i, r)| (i, rect(r))).collect();
        let mut lines = Vec::new();
        if input.options.cables {
            for stretch in input.runs.values().flat_map(|r| &r.stretches) {
                let line = ways::line_of(stretch);
                let page = |p: &[f64; 3]| view.projection.mm_to_page(*p) + view.origin;
                lines.extend(line.windows(2).map(|w| (page(&w[0]), page(&w[1]))));
            }
        }
        Probe {
            view,
            order,
            own,
            cables: lines,
        }
    }

    /// Outline of a part, its place in the order and the points of it that show.
    fn open(&self, index: u32) -> Option<(Rect, usize, Vec<Point2>)> {
        let place = self.order.iter().position(|(i, _)| *i == index)?;
        let rect = self.order[place].1;
        let inset = (rect.width().min(rect.height()) * 0.12).min(2.0);
        let inner = rect.grown(-inset);
        let mut open: Vec<Point2> = Vec::new();
        for i in 0..PROBES * PROBES {
            let t = |k: usize| k as f64 / (PROBES - 1) as f64;
            let at = Point2::new(
                inner.min.x + t(i % PROBES) * inner.width(),
                inner.min.y + t(i / PROBES) * inner.height(),
            );
            let covered = self.order[place + 1..].iter().any(|(_, r)| r.contains(at));
            let own = self.own.get(&index);
            let on = own.is_none_or(|pieces| pieces.iter().any(|r| r.contains(at)));
            if on && !covered && self.view.content.contains(at) {
                open.push(at);
            }
        }
        Some((rect, place, open))
    }

    /// How much of a part shows, in square millimetres on paper.
    pub fn area(&self, index: u32) -> Option<f64> {
        let (rect, _, open) = self.open(index)?;
        Some(rect.width() * rect.height() * open.len() as f64 / (PROBES * PROBES) as f64)
    }

    /// The point of a part that shows and stands clear, near a balloon; the middle
    /// where nothing of it shows.
    pub fn point(&self, index: u32, slots: &[Point2]) -> Option<Point2> {
        let (rect, place, open) = self.open(index)?;
        if open.is_empty() {
            return Some(rect.centre());
        }
        // Points that stand clear of what covers the part, of cables and of its edge.
        let room = |p: &Point2| {
            let nearer = self.order[place + 1..].iter().map(|(_, r)| outside(*r, *p));
            let cables = self.cables.iter().map(|l| distance(*l, *p));
            nearer.chain(cables).fold(CLEAR, f64::min)
        };
        let rooms: Vec<f64> = open.iter().map(room).collect();
        let most = rooms.iter().copied().fold(0.0, f64::max);
        let clear: Vec<Point2> = open
            .iter()
            .zip(&rooms)
            .filter(|(_, r)| **r >= most * 0.8)
            .map(|(p, _)| *p)
            .collect();
        let away = |p: &Point2| {
            let far = slots.iter().map(|s| (*s - *p).length());
            far.fold(f64::MAX, f64::min)
        };
        // Between the nearest point and the middle of what shows: short leaders that
        // still end well inside.
        let nearest = clear
            .iter()
            .copied()
            .min_by(|a, b| away(a).total_cmp(&away(b)))?;
        let sum = clear.iter().fold(Point2::default(), |s, p| s + *p);
        let wanted = nearest.lerp(sum * (1.0 / clear.len() as f64), 0.35);
        let off = |p: &Point2| (*p - wanted).length();
        let all = clear.iter().copied();
        all.min_by(|a, b| off(a).total_cmp(&off(b)))
    }
}

/// Distance of a point from a rectangle that it lies outside of.
fn outside(r: Rect, p: Point2) -> f64 {
    let x = (r.min.x - p.x).max(p.x - r.max.x).max(0.0);
    let y = (r.min.y - p.y).max(p.y - r.max.y).max(0.0);
    x.hypot(y)
}

/// Distance of a point from a line.
pub(super) fn distance(line: (Point2, Point2), p: Point2) -> f64 {
    let way = line.1 - line.0;
    let t = ((p - line.0).dot(way) / way.dot(way).max(1e-12)).clamp(0.0, 1.0);
    (line.0.lerp(line.1, t) - p).length()
}
