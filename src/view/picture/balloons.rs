//! Numbers by the parts: balloons on rails beside the views, with straight leaders
//! that do not cross one another.

use super::items::Item;
use super::layout::{Placed, Plan};
use crate::view::list::{DrawList, Layer, Line, Path, Point2, Rect, Role, Text, TextSize};
use crate::view::projection::ViewKind;
use crate::view::sheet::SheetInput;
use crate::view::{bodies, cables};

/// Radius of a balloon in page millimetres.
const RADIUS: f64 = 3.0;
/// Distance of a rail from what the view draws.
const OFF: f64 = 7.5;
/// Distance between balloons on a rail.
const PITCH: f64 = 8.0;
/// Up to so many parts each part has its own balloon; above, each number has one.
const EACH: usize = 40;
/// Points of a part that are asked whether they show, along each side.
const PROBES: usize = 9;
/// Clearance wanted about the end of a leader, in page millimetres.
const CLEAR: f64 = 1.6;

/// A part that gets a balloon.
struct Target {
    number: usize,
    /// Where its leader ends.
    at: Point2,
    /// How much of it shows, in square millimetres.
    area: f64,
}

/// Draws the balloons of all views.
pub(super) fn draw(list: &mut DrawList, input: &SheetInput<'_>, plan: &Plan, items: &[Item]) {
    let mut by_view: Vec<Vec<Target>> = plan.views.iter().map(|_| Vec::new()).collect();
    let rails: Vec<Vec<Point2>> = plan.views.iter().map(|v| rail(plan, v)).collect();
    let probes: Vec<_> = plan.views.iter().map(|v| Probe::new(input, v)).collect();
    let count: usize = items.iter().map(|i| i.parts.len()).sum();
    for item in items {
        let mut found: Vec<(usize, Target)> = Vec::new();
        for index in &item.parts {
            let seen = probes.iter().enumerate().filter_map(|(v, probe)| {
                let (at, area) = probe.point(*index, &rails[v])?;
                let number = item.number;
                Some((v, Target { number, at, area }))
            });
            let best = seen.max_by(|a, b| a.1.area.total_cmp(&b.1.area).then(b.0.cmp(&a.0)));
            found.extend(best);
        }
        if count > EACH {
            let best = found
                .into_iter()
                .max_by(|a, b| a.1.area.total_cmp(&b.1.area));
            found = best.into_iter().collect();
        }
        for (v, target) in found {
            by_view[v].push(target);
        }
    }
    for (mut targets, slots) in by_view.into_iter().zip(rails) {
        // Where the rail is full, the smallest go without: the legend has them.
        targets.sort_by(|a, b| b.area.total_cmp(&a.area));
        targets.truncate(slots.len());
        let chosen = assign(&targets, &slots);
        for (target, slot) in targets.iter().zip(chosen) {
            balloon(list, target, slots[slot]);
        }
    }
}

/// What shows of the parts in one view.
struct Probe<'a> {
    view: &'a Placed,
    /// Index, outline on the page; the nearest last.
    order: Vec<(u32, Rect)>,
    /// Middle lines of the cables on the page.
    cables: Vec<(Point2, Point2)>,
}

impl<'a> Probe<'a> {
    fn new(input: &SheetInput<'_>, view: &'a Placed) -> Probe<'a> {
        let shown = bodies::shown(&view.projection, input);
        let rect = |r: Rect| Rect {
            min: r.min + view.origin,
            max: r.max + view.origin,
        };
        let order = shown
            .into_iter()
            .map(|(_, p)| (p.index, rect(view.projection.box_to_page(&p.outline))))
            .collect();
        let mut lines = Vec::new();
        if input.options.cables {
            for stretch in input.runs.values().flat_map(|r| &r.stretches) {
                let line = cables::line_of(stretch);
                let page = |p: &[f64; 3]| view.projection.mm_to_page(*p) + view.origin;
                lines.extend(line.windows(2).map(|w| (page(&w[0]), page(&w[1]))));
            }
        }
        Probe {
            view,
            order,
            cables: lines,
        }
    }

    /// The point of a part that shows and lies nearest to a balloon, and how much
    /// of the part shows. The middle where nothing of it shows.
    fn point(&self, index: u32, slots: &[Point2]) -> Option<(Point2, f64)> {
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
            if !covered && self.view.content.contains(at) {
                open.push(at);
            }
        }
        let area = rect.width() * rect.height() * open.len() as f64 / (PROBES * PROBES) as f64;
        if open.is_empty() {
            return Some((rect.centre(), 0.0));
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
        let at = clear
            .iter()
            .copied()
            .min_by(|a, b| off(a).total_cmp(&off(b)))?;
        Some((at, area))
    }
}

/// Distance of a point from a rectangle that it lies outside of.
fn outside(r: Rect, p: Point2) -> f64 {
    let x = (r.min.x - p.x).max(p.x - r.max.x).max(0.0);
    let y = (r.min.y - p.y).max(p.y - r.max.y).max(0.0);
    x.hypot(y)
}

/// The places for balloons of a view: over the top view, under the others, and at
/// the right.
fn rail(plan: &Plan, view: &Placed) -> Vec<Point2> {
    let c = view.content;
    let mut slots = Vec::new();
    let along = |from: f64, to: f64| {
        let count = ((to - from) / PITCH).floor().max(0.0) as usize + 1;
        let start = (from + to) / 2.0 - (count - 1) as f64 * PITCH / 2.0;
        (0..count).map(move |i| start + i as f64 * PITCH)
    };
    let top = view.projection.kind == ViewKind::Top;
    let y = if top { c.min.y - OFF } else { c.max.y + OFF };
    let lift = plan.rulers_over(view);
    let y = y - lift;
    slots.extend(along(c.min.x + RADIUS, c.max.x - RADIUS).map(|x| Point2::new(x, y)));
    let x = c.max.x + OFF;
    slots.extend(along(c.min.y + RADIUS, c.max.y - RADIUS).map(|y| Point2::new(x, y)));
    slots
}

impl Plan {
    /// How much a ruler over a view takes of the room for balloons.
    fn rulers_over(&self, view: &Placed) -> f64 {
        if view.projection.kind == ViewKind::Top {
            self.ruler
        } else {
            0.0
        }
    }
}

/// Gives each target a slot so that leaders are short, do not cross and do not run
/// through other balloons. Each change makes the sum smaller, so it ends.
fn assign(targets: &[Target], slots: &[Point2]) -> Vec<usize> {
    let mut chosen: Vec<usize> = Vec::new();
    for target in targets {
        let free = (0..slots.len()).filter(|s| !chosen.contains(s));
        let away = |s: &usize| (slots[*s] - target.at).length();
        let nearest = free.min_by(|a, b| away(a).total_cmp(&away(b)));
        chosen.extend(nearest);
    }
    let n = chosen.len();
    let pair = |i: usize, si: usize, j: usize, sj: usize| {
        let (a, b) = ((targets[i].at, slots[si]), (targets[j].at, slots[sj]));
        let mut cost = 0.0;
        if crosses(a, b) {
            cost += 60.0;
        }
        for (line, balloon, dot) in [(a, b.1, b.0), (b, a.1, a.0)] {
            if distance(line, balloon) < RADIUS + 0.8 {
                cost += 60.0;
            }
            if distance(line, dot) < 0.9 {
                cost += 20.0;
            }
        }
        cost
    };
    let cost = |chosen: &[usize], i: usize, s: usize, but: usize| {
        let others = (0..n).filter(|j| *j != i && *j != but);
        (slots[s] - targets[i].at).length() + others.map(|j| pair(i, s, j, chosen[j])).sum::<f64>()
    };
    for _ in 0..60 {
        let mut better = false;
        for i in 0..n {
            for s in 0..slots.len() {
                let before;
                let after;
                match chosen.iter().position(|c| *c == s) {
                    Some(j) if j == i => continue,
                    Some(j) => {
                        let (si, sj) = (chosen[i], chosen[j]);
                        before =
                            cost(&chosen, i, si, j) + cost(&chosen, j, sj, i) + pair(i, si, j, sj);
                        after =
                            cost(&chosen, i, sj, j) + cost(&chosen, j, si, i) + pair(i, sj, j, si);
                        if after < before - 1e-6 {
                            chosen.swap(i, j);
                            better = true;
                        }
                    }
                    None => {
                        before = cost(&chosen, i, chosen[i], i);
                        after = cost(&chosen, i, s, i);
                        if after < before - 1e-6 {
                            chosen[i] = s;
                            better = true;
                        }
                    }
                }
            }
        }
        if !better {
            break;
        }
    }
    chosen
}

/// True where two leaders cross.
fn crosses(a: (Point2, Point2), b: (Point2, Point2)) -> bool {
    let side = |p: (Point2, Point2), q: Point2| (p.1 - p.0).left().dot(q - p.0);
    side(a, b.0) * side(a, b.1) < 0.0 && side(b, a.0) * side(b, a.1) < 0.0
}

/// Distance of a point from a leader.
fn distance(line: (Point2, Point2), p: Point2) -> f64 {
    let way = line.1 - line.0;
    let t = ((p - line.0).dot(way) / way.dot(way).max(1e-12)).clamp(0.0, 1.0);
    (line.0.lerp(line.1, t) - p).length()
}

fn balloon(list: &mut DrawList, target: &Target, at: Point2) {
    let mut pen = list.pen().layer(Layer::Notes);
    if let Some(way) = (target.at - at).normalised() {
        let leader = Path::line(at + way * RADIUS, target.at);
        pen.stroke(leader.clone(), Line::true_width(0.7), Role::Paper)
            .stroke(leader, Line::THIN, Role::Callout)
            .fill(Path::circle(target.at, 0.6), Role::Callout);
    }
    let circle = Path::circle(at, RADIUS);
    pen.fill(circle.clone(), Role::Paper)
        .stroke(circle, Line::THIN, Role::Callout)
        .text(
            Text::new(at, target.number.to_string())
                .size(TextSize::Cap(2.0))
                .middle(),
            Role::Callout,
        );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leaders_do_not_cross_whatever_the_order() {
        let slots: Vec<Point2> = (0..16)
            .map(|i| Point2::new(f64::from(i) * 8.0, 0.0))
            .collect();
        // Targets on two levels, given in an order that would cross if kept.
        let targets: Vec<Target> = (0..14)
            .map(|i| Target {
                number: i,
                at: Point2::new(
                    ((i * 37) % 14) as f64 * 8.0 + 3.0,
                    20.0 + ((i * 5) % 3) as f64 * 15.0,
                ),
                area: 1.0,
            })
            .collect();
        let chosen = assign(&targets, &slots);
        let lines: Vec<_> = targets
            .iter()
            .zip(&chosen)
            .map(|(t, s)| (t.at, slots[*s]))
            .collect();
        for (i, a) in lines.iter().enumerate() {
            for b in &lines[i + 1..] {
                assert!(!crosses(*a, *b));
                assert_ne!(a.1, b.1);
            }
        }
    }
}
