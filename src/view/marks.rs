//! Marks of findings: each by its own hatch, line style or shape and a figure,
//! never by colour alone.

use super::labels::Labels;
use super::list::{
    DrawList, Hatch, Layer, Line, Owner, Path, Pen, Point2, Rect, Role, Text, TextSize,
};
use super::projection::Projection;
use super::shared;
use super::sheet::SheetInput;
use crate::geom::{Length, Vec3};
use crate::rules::{Finding, FindingMark, Severity};

/// Smallest drawn extent of a place where solids meet, in page millimetres.
const LEAST: f64 = 1.2;

/// Findings with marks at most, besides the chosen one. More of them hide the drawing,
/// and their figures look for room among one another.
pub const MOST: usize = 300;

/// Draws the marks of the findings.
pub(crate) fn draw(
    list: &mut DrawList,
    projection: &Projection,
    input: &SheetInput<'_>,
    labels: &mut Labels,
) {
    // In the order of the list, which is that of their weight.
    let marked = || {
        let all = input.findings.iter().enumerate();
        all.filter(|(i, _)| *i < MOST || input.chosen == Some(Owner::Finding(*i as u32)))
    };
    // Signs first, so that figures keep clear of them.
    for (_, finding) in marked().filter(|(_, f)| f.marks.is_empty()) {
        if let Some(place) = finding.place {
            let at = projection.box_to_page(&place).centre();
            labels.take(Rect::spanning(at, at).grown(1.4));
        }
    }
    for (i, finding) in marked() {
        let owner = Owner::Finding(i as u32);
        one(list, projection, finding, owner, labels);
        if input.chosen == Some(owner) || input.hover == Some(owner) {
            brackets(list, projection, finding, owner);
        }
    }
}

fn one(
    list: &mut DrawList,
    projection: &Projection,
    finding: &Finding,
    owner: Owner,
    labels: &mut Labels,
) {
    let mut pen = list.pen().owner(owner).layer(Layer::Marks);
    let mut spots: Vec<Rect> = Vec::new();
    for mark in &finding.marks {
        match mark {
            FindingMark::Overlap(region) => {
                let rect = at_least(projection.box_to_page(region), LEAST);
                if finding.rule == "outside" {
                    beyond(&mut pen, rect);
                } else {
                    meeting(&mut pen, Path::rect(rect));
                }
                spots.push(rect);
            }
            FindingMark::Shared { region, solids } => {
                let seen = shared::outline(projection, solids);
                let (path, around) = match seen {
                    Some(seen) => seen,
                    None => {
                        let rect = projection.box_to_page(region);
                        (Path::rect(rect), rect)
                    }
                };
                let rect = at_least(around, LEAST);
                // What is too small to be seen as it is shows as a speck.
                let path = if rect == around {
                    path
                } else {
                    Path::rect(rect)
                };
                if finding.rule == "outside" {
                    beyond(&mut pen, rect);
                } else {
                    meeting(&mut pen, path);
                }
                spots.push(rect);
            }
            FindingMark::Gap { from, to } => {
                gap(&mut pen, projection, finding, *from, *to, labels);
            }
            FindingMark::Ring {
                at,
                normal,
                diameter,
            } => {
                let at = projection.to_page(*at);
                let radius = (diameter.as_mm() / 2.0 * projection.scale).max(0.9);
                let flat = normal.axis() == projection.kind.eye().axis();
                ring(&mut pen, at, radius, flat, projection.vector(*normal));
            }
            // Drawn with the cable itself.
            FindingMark::Missing { .. } => {}
        }
    }
    if finding.marks.is_empty() {
        sign(&mut pen, projection, finding);
    }
    // One figure for the whole finding, at the largest of its places.
    let area = |r: &Rect| r.width() * r.height();
    let largest = spots.into_iter().max_by(|a, b| area(a).total_cmp(&area(b)));
    // What nothing is free for says how much of it there is.
    let figure = match (finding.available, finding.needed) {
        (Some(Length::ZERO), Some(needed)) => Some(needed.text1()),
        (available, _) => available.map(|a| a.abs().text1()),
    };
    if let (Some(rect), Some(figure)) = (largest, figure) {
        let gap = rect.height().min(6.0) / 2.0 + 0.6;
        label(&mut pen, labels, rect.centre(), gap, &figure, Role::Clash);
    }
}

fn at_least(rect: Rect, least: f64) -> Rect {
    let grow = |extent: f64| ((least - extent) / 2.0).max(0.0);
    let by = Point2::new(grow(rect.width()), grow(rect.height()));
    Rect {
        min: rect.min - by,
        max: rect.max + by,
    }
}

/// Where solids meet: hatched and outlined.
fn meeting(pen: &mut Pen<'_>, path: Path) {
    let hatch = Hatch::new(path.clone(), 1.1).line(Line::THIN);
    pen.wash(path.clone(), Role::Clash)
        .hatch(hatch, Role::Clash)
        .stroke(path, Line::THICK, Role::Clash);
}

/// What lies beyond the wall: a double outline.
fn beyond(pen: &mut Pen<'_>, rect: Rect) {
    pen.stroke(Path::rect(rect), Line::THICK, Role::Clash)
        .stroke(Path::rect(rect.grown(0.9)), Line::THIN, Role::Clash);
}

/// A distance with its figure: arrows from outside at both ends, or a lozenge
/// where it runs along the eye's axis.
fn gap(
    pen: &mut Pen<'_>,
    projection: &Projection,
    finding: &Finding,
    from: Vec3,
    to: Vec3,
    labels: &mut Labels,
) {
    let figure = figure(finding, from, to);
    let role = match finding.severity {
        Severity::Stop => Role::Clash,
        Severity::Caution => Role::Tight,
        Severity::Remark => Role::Remark,
    };
    let (a, b) = (projection.to_page(from), projection.to_page(to));
    let way = b - a;
    let Some(unit) = way.normalised().filter(|_| way.length() > 0.05) else {
        let r = 1.1;
        let corner = |x: f64, y: f64| a + Point2::new(x, y) * r;
        let lozenge = [
            corner(0.0, -1.0),
            corner(1.0, 0.0),
            corner(0.0, 1.0),
            corner(-1.0, 0.0),
        ];
        let path = Path::polygon(lozenge);
        pen.fork()
            .layer(Layer::Marks)
            .fill(path.clone(), Role::Paper);
        pen.stroke(path, Line::THIN, role);
        label(pen, labels, a, r + 0.6, &figure, role);
        return;
    };
    let (head, half) = (1.5, unit.left() * 0.45);
    for (tip, out) in [(a, -unit), (b, unit)] {
        let neck = tip + out * head;
        pen.fill(Path::polygon([tip, neck + half, neck - half]), role)
            .stroke(Path::line(neck, tip + out * 3.2), Line::THIN, role);
        let bar = unit.left() * 1.1;
        pen.stroke(Path::line(tip - bar, tip + bar), Line::THIN, role);
    }
    pen.stroke(Path::line(a, b), Line::THIN, role);
    label(pen, labels, a.lerp(b, 0.5), 1.4, &figure, role);
}

/// The figure of a distance: what is there, or how much is missing.
fn figure(finding: &Finding, from: Vec3, to: Vec3) -> String {
    match (finding.rule, finding.needed, finding.available) {
        ("depth-short", Some(needed), Some(free)) => format!("-{}", (needed - free).text1()),
        ("tight-gap" | "opening-missed", _, Some(free)) => free.text1(),
        _ => crate::geom::Length::from_mm(from.distance_mm(to))
            .unwrap_or_default()
            .text1(),
    }
}

/// An empty hole: a ring on paper, or a mark across the face seen from the side.
fn ring(pen: &mut Pen<'_>, at: Point2, radius: f64, flat: bool, out: Point2) {
    if flat {
        let path = Path::circle(at, radius);
        pen.fork()
            .layer(Layer::Marks)
            .fill(path.clone(), Role::Paper);
        pen.stroke(path, Line::THICK, Role::Unheld);
        return;
    }
    let Some(out) = out.normalised() else {
        return;
    };
    let (side, foot) = (out.left() * radius, at - out * (1.6 * radius));
    let path = Path::polyline([at + side, foot + side, foot - side, at - side]);
    pen.stroke(path, Line::THIN, Role::Unheld);
}

/// The place of a finding that has no shape of its own: a sign by its severity, an
/// eight-cornered one, a triangle or a circle.
fn sign(pen: &mut Pen<'_>, projection: &Projection, finding: &Finding) {
    let Some(place) = finding.place else {
        return;
    };
    let at = projection.box_to_page(&place).centre();
    let ring = |corners: u32, start: f64, r: f64| {
        let step = 360.0 / f64::from(corners);
        let corner = |i: u32| at + Point2::unit(start + step * f64::from(i)) * r;
        Path::polygon((0..corners).map(corner))
    };
    let (role, path) = match finding.severity {
        Severity::Stop => (Role::Clash, ring(8, 22.5, 1.5)),
        Severity::Caution => (Role::Caution, ring(3, -90.0, 1.8)),
        Severity::Remark => (Role::Remark, Path::circle(at, 1.3)),
    };
    let stroke = Path::line(at - Point2::new(0.0, 0.7), at + Point2::new(0.0, 0.15));
    let dot = Point2::new(0.0, 0.6);
    let stroke = stroke.with(&Path::line(at + dot, at + dot * 1.05));
    pen.fork()
        .layer(Layer::Marks)
        .fill(path.clone(), Role::Paper);
    pen.stroke(path.with(&stroke), Line::THIN, role);
}

/// Corner brackets about the place of the finding in hand.
fn brackets(list: &mut DrawList, projection: &Projection, finding: &Finding, owner: Owner) {
    let Some(place) = finding.place else {
        return;
    };
    let rect = at_least(projection.box_to_page(&place), 4.0).grown(1.5);
    let arm = (rect.width().min(rect.height()) / 3.0).min(4.0);
    let mut path = Path::new();
    for corner in rect.corners() {
        let inward = rect.centre() - corner;
        let x = Point2::new(arm.copysign(inward.x), 0.0);
        let y = Point2::new(0.0, arm.copysign(inward.y));
        path.move_to(corner + x).line_to(corner).line_to(corner + y);
    }
    let mut pen = list.pen().owner(owner).layer(Layer::Marks).z(15);
    pen.stroke(path, Line::THICK, Role::Selected);
}

fn label(pen: &mut Pen<'_>, labels: &mut Labels, at: Point2, gap: f64, text: &str, role: Role) {
    let text = Text::new(at, text).size(TextSize::Small).bold().halo();
    if let Some((text, leader)) = labels.near(at, gap, &text) {
        let mut pen = pen.fork().z(8);
        if let Some(to) = leader {
            pen.stroke(Path::line(at, to), Line::HAIR, role);
        }
        pen.text(text, role);
    }
}
