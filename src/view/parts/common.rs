//! What every part has: pieces, mounting holes, and the plain drawing of a group
//! that has no routine of its own.

use super::canvas::{Canvas, Seen, Shape};
use super::feature;
use crate::geom::{Dir, Length};
use crate::model::{FeatureKind, Frame, Hole, HoleShape};
use crate::view::list::{Line, LineType, Path, Point2, Rect, Role, Width};

/// Deepest piece through which a hole still shows from its back, in micrometres.
const THROUGH: i64 = 4000;

/// The pieces with their ground and edges, corners rounded to `radius` millimetres
/// of the part.
pub fn bodies(c: &mut Canvas<'_>, radius: f64) {
    let details = details(c);
    for (i, piece) in c.pieces.clone().iter().enumerate() {
        let r = piece.shape.rect().grown(-0.01);
        let drawn_again =
            |d: &Seen| d.far <= piece.far && piece.near <= d.near && holds(d.shape.rect(), r);
        if i == 0 || !details.iter().any(drawn_again) {
            body(c, piece, radius, i == 0 || is_outer(c, piece));
        }
    }
}

/// The details that repeat pieces of the body, so that those need not be drawn.
fn details(c: &Canvas<'_>) -> Vec<Seen> {
    if c.pieces.len() < 2 {
        return Vec::new();
    }
    let kinds = [
        FeatureKind::Slot,
        FeatureKind::Socket,
        FeatureKind::Processor,
    ];
    let mut details: Vec<Seen> = Vec::new();
    for f in c.kind.features.iter().filter(|f| kinds.contains(&f.kind)) {
        details.push(c.seen(&f.solid));
    }
    details
}

fn holds(outer: Rect, inner: Rect) -> bool {
    outer.contains(inner.min) && outer.contains(inner.max)
}

/// One piece; its edge is thick where it is an outer one.
pub fn body(c: &mut Canvas<'_>, piece: &Seen, radius: f64, outer: bool) {
    let path = piece.shape.rounded(radius * c.scale);
    c.ground(piece.far, path.clone());
    if outer {
        c.edge(piece.far, path);
    } else {
        c.line(piece.far, path);
    }
}

/// True for a piece that covers much of the part or sticks out of the first one.
fn is_outer(c: &Canvas<'_>, piece: &Seen) -> bool {
    let r = piece.shape.rect();
    let share = r.width() * r.height() / (c.rect.width() * c.rect.height()).max(1e-9);
    let first = c.pieces.first().map(|p| p.shape.rect().grown(0.05));
    share > 0.25 || first.is_none_or(|f| !(f.contains(r.min) && f.contains(r.max)))
}

/// Pieces, features and holes without anything of a group's own.
pub fn plain(c: &mut Canvas<'_>) {
    bodies(c, 1.0);
    feature::all(c);
    holes(c);
}

/// The mounting holes that show: on the faces that look at the eye, and through
/// thin pieces from behind. Seats are no holes and are left out.
pub fn holes(c: &mut Canvas<'_>) {
    let kind = c.kind;
    let patterns = kind.patterns.iter().map(|p| (&p.frame, &p.holes));
    let zones = kind.zones.iter().map(|z| (&z.frame, &z.holes));
    let mut seen: Vec<(Point2, f64)> = Vec::new();
    let mut drawn = Path::new();
    let mut crosses = Path::new();
    let mut level = i64::MIN;
    for (frame, holes) in patterns.chain(zones) {
        if !c.along(frame.normal) {
            continue;
        }
        for hole in holes.iter().filter(|h| is_hole(h)) {
            let Some(at) = open_at(c, frame, hole) else {
                continue;
            };
            let p = c.point(frame.point(hole.u, hole.v));
            let radius = hole.diameter.as_mm() * c.scale / 2.0;
            if radius < 0.3 || seen.iter().any(|(q, _)| (p - *q).length() < 0.2) {
                continue;
            }
            seen.push((p, radius));
            level = level.max(at);
            drawn = drawn.with(&outline(c, frame, hole, radius));
            if radius >= 0.6 {
                crosses = crosses.with(&Path::cross(p, radius * 1.7));
            }
        }
    }
    if seen.is_empty() {
        return;
    }
    c.void(level, drawn.clone());
    c.pen(level).stroke(drawn, Line::THIN, Role::InkSoft);
    if !crosses.segments().is_empty() {
        let fine = Line::new(Width::Hair, LineType::Chain);
        c.pen(level).stroke(crosses, fine, Role::Centre);
    }
}

fn is_hole(hole: &Hole) -> bool {
    !matches!(hole.shape, HoleShape::Seat { .. }) && hole.diameter > Length::ZERO
}

/// The painting height of a hole, where it shows.
fn open_at(c: &Canvas<'_>, frame: &Frame, hole: &Hole) -> Option<i64> {
    let p = frame.point(hole.u, hole.v);
    let (at, page) = (c.depth(p), c.point(p));
    let over = |s: &&Seen| s.shape.rect().grown(0.01).contains(page);
    let host = c
        .pieces
        .iter()
        .filter(over)
        .find(|s| s.far <= at && at <= s.near)?;
    let from_behind = frame.normal != c.eye && at < host.near;
    if from_behind && host.near - host.far > THROUGH {
        return None;
    }
    let covered = c
        .pieces
        .iter()
        .filter(over)
        .any(|s| s.far >= host.near && s.near > host.near);
    (!covered).then_some(host.far)
}

/// The outline of a round hole or a slot.
pub fn outline(c: &Canvas<'_>, frame: &Frame, hole: &Hole, radius: f64) -> Path {
    let p = c.point(frame.point(hole.u, hole.v));
    match hole.shape {
        HoleShape::Slot { du, dv } => {
            let q = c.point(frame.point(hole.u + du, hole.v + dv));
            Path::slot(p, q, 2.0 * radius)
        }
        _ => Path::circle(p, radius),
    }
}

/// The direction of the part's thinnest extent, positive.
pub fn thin(c: &Canvas<'_>) -> Dir {
    let size = c.kind.size;
    let axis = crate::geom::Axis::ALL
        .into_iter()
        .min_by_key(|a| size.along(*a));
    Dir::new(axis.unwrap_or(crate::geom::Axis::Z), true)
}

/// An arrow on the page from `from` along `way` (page millimetres).
pub fn arrow(c: &mut Canvas<'_>, level: i64, from: Point2, way: Point2) {
    let Some(unit) = way.normalised() else {
        return;
    };
    let head = (way.length() * 0.45).min(1.8);
    let (tip, half) = (from + way, unit.left() * (head * 0.38));
    let neck = tip - unit * head;
    let role = Role::Detail(c.system);
    c.pen(level)
        .stroke(Path::line(from, neck), Line::THIN, role)
        .fill(Path::polygon([tip, neck + half, neck - half]), role);
}

/// The way of an arrow as a sign: a dot where it comes at the eye, a cross where
/// it goes away (the feather of the arrow).
pub fn arrow_end(c: &mut Canvas<'_>, level: i64, at: Point2, radius: f64, comes: bool) {
    let role = Role::Detail(c.system);
    let mut pen = c.pen(level);
    pen.stroke(Path::circle(at, radius), Line::THIN, role);
    if comes {
        pen.fill(Path::circle(at, radius * 0.32), role);
    } else {
        let arm = radius * std::f64::consts::FRAC_1_SQRT_2;
        let (a, b) = (Point2::new(arm, arm), Point2::new(arm, -arm));
        let cross = Path::line(at - a, at + a).with(&Path::line(at - b, at + b));
        pen.stroke(cross, Line::THIN, role);
    }
}

/// The largest feature of a kind that shows.
pub fn largest(c: &Canvas<'_>, kind: crate::model::FeatureKind) -> Option<(Shape, i64, i64)> {
    c.kind
        .features
        .iter()
        .filter(|f| f.kind == kind)
        .map(|f| c.seen(&f.solid))
        .max_by(|a, b| {
            let area = |s: &Seen| s.shape.rect().width() * s.shape.rect().height();
            area(a).total_cmp(&area(b))
        })
        .map(|s| (s.shape, s.far, s.near))
}
