//! Numbers by the parts: balloons on rails beside the views, with straight leaders
//! that do not cross one another.

use super::items::Item;
use super::layout::{Placed, PlacedSolid, Plan};
use super::probe::{Probe, distance};
use crate::view::list::{DrawList, Layer, Line, Owner, Path, Point2, Rect, Role, Text, TextSize};
use crate::view::projection::ViewKind;
use crate::view::sheet::SheetInput;

/// Radius of a balloon in page millimetres.
const RADIUS: f64 = 3.0;
/// Distance of a rail from what the view draws.
const OFF: f64 = 7.5;
/// Distance between balloons on a rail.
const PITCH: f64 = 8.0;
/// Parts of which less shows in the three-dimensional view get no balloon there, in
/// square millimetres on paper.
const SHOWS: f64 = 3.0;
/// Up to so many parts each part has its own balloon; above, each number has one.
const EACH: usize = 40;
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
        // View, part and how much of it shows there.
        let mut found: Vec<(usize, u32, f64)> = Vec::new();
        for index in &item.parts {
            let views = probes.iter().enumerate();
            let seen = views.filter_map(|(v, p)| Some((v, *index, p.area(*index)?)));
            found.extend(seen.max_by(|a, b| a.2.total_cmp(&b.2).then(b.0.cmp(&a.0))));
        }
        if count > EACH {
            let best = found.into_iter().max_by(|a, b| a.2.total_cmp(&b.2));
            found = best.into_iter().collect();
        }
        for (v, index, area) in found {
            if let Some(at) = probes[v].point(index, &rails[v]) {
                let number = item.number;
                by_view[v].push(Target { number, at, area });
            }
        }
    }
    for (targets, slots) in by_view.into_iter().zip(rails) {
        place(list, targets, &slots);
    }
    if let Some(solid) = &plan.solid {
        let each = count <= EACH;
        place(list, on_solid(solid, items, each), &ring(solid.content));
    }
}

/// What shows in the three-dimensional view.
fn on_solid(solid: &PlacedSolid, items: &[Item], each: bool) -> Vec<Target> {
    let mut targets = Vec::new();
    for item in items {
        let number = item.number;
        let spots = item.parts.iter().filter_map(|index| {
            let (at, area) = solid.view.spot(Owner::Part(*index), solid.scale)?;
            let area = area * solid.scale * solid.scale;
            let at = at + solid.content.min;
            (area >= SHOWS).then_some(Target { number, at, area })
        });
        let mut spots: Vec<Target> = spots.collect();
        if !each {
            spots.sort_by(|a, b| b.area.total_cmp(&a.area));
            spots.truncate(1);
        }
        targets.append(&mut spots);
    }
    targets
}

/// The places for balloons all around a view.
fn ring(content: Rect) -> Vec<Point2> {
    let mut slots = Vec::new();
    let steps = |from: f64, to: f64| {
        let count = ((to - from) / PITCH).floor().max(0.0) as usize + 1;
        let start = (from + to) / 2.0 - (count - 1) as f64 * PITCH / 2.0;
        (0..count).map(move |i| start + i as f64 * PITCH)
    };
    let out = content.grown(OFF);
    for y in [out.min.y, out.max.y] {
        slots.extend(steps(content.min.x, content.max.x).map(|x| Point2::new(x, y)));
    }
    for x in [out.min.x, out.max.x] {
        slots.extend(steps(content.min.y, content.max.y).map(|y| Point2::new(x, y)));
    }
    slots
}

/// Draws balloons at slots; where the rail is full, and where a leader would cross
/// another or run through a balloon, the smallest go without: the legend has them.
fn place(list: &mut DrawList, mut targets: Vec<Target>, slots: &[Point2]) {
    targets.sort_by(|a, b| b.area.total_cmp(&a.area));
    targets.truncate(slots.len());
    loop {
        let chosen = assign(&targets, slots);
        let Some(worst) = in_the_way(&targets, slots, &chosen) else {
            for (target, slot) in targets.iter().zip(chosen) {
                balloon(list, target, slots[slot]);
            }
            return;
        };
        targets.remove(worst);
    }
}

/// The smaller of two targets of which one is in the way of the other.
fn in_the_way(targets: &[Target], slots: &[Point2], chosen: &[usize]) -> Option<usize> {
    let line = |i: usize| (targets[i].at, slots[chosen[i]]);
    (0..targets.len()).rev().find(|j| {
        (0..*j).any(|i| {
            let (a, b) = (line(i), line(*j));
            crosses(a, b) || distance(a, b.1) < RADIUS || distance(b, a.1) < RADIUS
        })
    })
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
    let top = plan.rail_over(view);
    let y = if top { c.min.y - OFF } else { c.max.y + OFF };
    let lift = plan.rulers_over(view);
    let y = y - lift;
    slots.extend(along(c.min.x + RADIUS, c.max.x - RADIUS).map(|x| Point2::new(x, y)));
    let x = c.max.x + OFF;
    slots.extend(along(c.min.y + RADIUS, c.max.y - RADIUS).map(|y| Point2::new(x, y)));
    slots
}

impl Plan {
    /// Whether balloons stand over a view rather than under it.
    pub(super) fn rail_over(&self, view: &Placed) -> bool {
        self.single || view.projection.kind == ViewKind::Top
    }

    /// How much a ruler over a view takes of the room for balloons.
    fn rulers_over(&self, view: &Placed) -> f64 {
        if self.rail_over(view) {
            self.ruler
        } else {
            0.0
        }
    }
}

/// The slots by which all leaders together are shortest. Such leaders do not cross:
/// two that did could change ends and be shorter.
///
/// Hungarian method with potentials, after Kuhn 1955 and Munkres 1957 (from memory).
/// There are at least as many slots as targets.
fn shortest(targets: &[Target], slots: &[Point2]) -> Vec<usize> {
    let (n, m) = (targets.len(), slots.len());
    let cost = |i: usize, j: usize| (slots[j - 1] - targets[i - 1].at).length();
    let (mut u, mut v) = (vec![0.0; n + 1], vec![0.0; m + 1]);
    // Which target has slot j, counted from 1; 0 for none.
    let mut has = vec![0; m + 1];
    let mut before = vec![0; m + 1];
    for i in 1..=n {
        has[0] = i;
        let mut at = 0;
        let mut least = vec![f64::INFINITY; m + 1];
        let mut seen = vec![false; m + 1];
        while has[at] != 0 {
            seen[at] = true;
            let (row, mut step, mut next) = (has[at], f64::INFINITY, 0);
            for j in (1..=m).filter(|j| !seen[*j]) {
                let reduced = cost(row, j) - u[row] - v[j];
                if reduced < least[j] {
                    least[j] = reduced;
                    before[j] = at;
                }
                if least[j] < step {
                    step = least[j];
                    next = j;
                }
            }
            for j in 0..=m {
                if seen[j] {
                    u[has[j]] += step;
                    v[j] -= step;
                } else {
                    least[j] -= step;
                }
            }
            at = next;
        }
        while at != 0 {
            has[at] = has[before[at]];
            at = before[at];
        }
    }
    let mut chosen = vec![0; n];
    for (j, i) in has.iter().enumerate().skip(1).filter(|(_, i)| **i > 0) {
        chosen[*i - 1] = j - 1;
    }
    chosen
}

/// Gives each target a slot so that leaders are short, do not cross and do not run
/// through other balloons. Each change makes the sum smaller, so it ends.
fn assign(targets: &[Target], slots: &[Point2]) -> Vec<usize> {
    let mut chosen = shortest(targets, slots);
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

fn balloon(list: &mut DrawList, target: &Target, at: Point2) {
    let mut pen = list.pen().layer(Layer::Notes);
    if let Some(way) = (target.at - at).normalised() {
        let leader = Path::line(at + way * RADIUS, target.at);
        pen.stroke(leader.clone(), Line::true_width(0.7), Role::Paper)
            .stroke(leader, Line::THIN, Role::Callout);
        // A dot on what shows, a ring over what is covered.
        let dot = Path::circle(target.at, 0.6);
        if target.area > 0.0 {
            pen.fill(dot, Role::Callout);
        } else {
            pen.fill(dot.clone(), Role::Paper)
                .stroke(dot, Line::THIN, Role::Callout);
        }
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
