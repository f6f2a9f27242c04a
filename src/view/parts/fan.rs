//! Fans: ring, blades and hub along the axis; flanges and air arrows from the side.

use super::canvas::{Canvas, Shape};
use super::common::{arrow, arrow_end, bodies, holes, largest, thin};
use super::surface::rotor;
use crate::model::FeatureKind;
use crate::view::list::{Path, Point2, Rect};

/// Draws a fan.
pub fn draw(c: &mut Canvas<'_>) {
    let blows = c.kind.blows.unwrap_or_else(|| thin(c));
    if c.along(blows) {
        face(c, blows == c.eye);
    } else {
        side(c);
    }
}

fn face(c: &mut Canvas<'_>, outlet: bool) {
    bodies(
        c,
        c.kind.size.as_mm().into_iter().fold(0.0, f64::max) * 0.045,
    );
    let Some(level) = c.pieces.first().map(|p| p.far) else {
        return;
    };
    let r = c.rect;
    let half = r.width().min(r.height()) / 2.0;
    let disc = largest(c, FeatureKind::Blades).map(|(shape, _, _)| shape);
    let disc = disc
        .filter(|s| s.circle().is_some())
        .unwrap_or(Shape::Circle(r.centre(), half * 0.93));
    let (centre, tip) = disc.circle().unwrap_or((r.centre(), half * 0.93));
    let hub = largest(c, FeatureKind::Hub).and_then(|(s, _, _)| s.circle());
    let hub = hub.map_or(tip * 0.36, |(_, radius)| radius);
    if half > 4.0 {
        c.fine(level, Path::circle(centre, (tip * 1.035).min(half * 0.985)));
    }
    rotor(c, level, &disc, Some(hub), !outlet);
    if outlet && half > 5.0 {
        struts(c, level, centre, hub, tip);
    }
    if hub > 1.8 {
        arrow_end(c, level, centre, (hub * 0.34).min(1.6), outlet);
    }
    holes(c);
}

/// The struts that carry the motor, on the outlet side.
fn struts(c: &mut Canvas<'_>, level: i64, centre: Point2, hub: f64, tip: f64) {
    let mut path = Path::new();
    let half = (tip * 0.022).max(0.18);
    for k in 0..4 {
        let out = Point2::unit(45.0 + 90.0 * f64::from(k));
        // They leave the hub at its rim, not from its middle.
        let (foot, way) = (out.left() * (hub * 0.55), out);
        let reach = |r: f64, at: Point2| (r * r - at.dot(at)).max(0.0).sqrt();
        let (a, b) = (way * reach(hub, foot), way * reach(tip, foot));
        let w = out.left() * half;
        path = path.with(&Path::polygon([
            centre + foot + a + w,
            centre + foot + b + w,
            centre + foot + b - w,
            centre + foot + a - w,
        ]));
    }
    c.ground(level, path.clone());
    c.fine(level, path);
}

fn side(c: &mut Canvas<'_>) {
    bodies(c, 1.0);
    let blows = c.kind.blows.unwrap_or_else(|| thin(c));
    let Some(level) = c.pieces.first().map(|p| p.far) else {
        return;
    };
    let (r, way) = (c.rect, c.way(blows));
    let across = way.left();
    let depth = (way.x * r.width()).abs() + (way.y * r.height()).abs();
    let length = (across.x * r.width()).abs() + (across.y * r.height()).abs();
    if depth < 2.0 {
        return;
    }
    // Two flanges, and the round barrel between them, seen against its edge.
    let flange = (depth * 0.16).min(4.0 * c.scale);
    let m = r.centre();
    let strip = |from: f64, to: f64, margin: f64| {
        let half = across * (length / 2.0 - margin);
        Rect::spanning(m + way * from - half, m + way * to + half)
    };
    let inner = depth / 2.0 - flange;
    let barrel = strip(-inner, inner, length * 0.055);
    let mut lines = Path::new();
    for at in [-inner, inner] {
        let half = across * (length / 2.0);
        lines = lines.with(&Path::line(m + way * at - half, m + way * at + half));
    }
    c.tone(level, Path::rect(barrel));
    c.fine(level, lines.with(&Path::rect(barrel)));
    if depth >= 3.5 && length >= 8.0 {
        let reach = depth * 0.62;
        for t in [-0.27, 0.0, 0.27] {
            let from = m + across * (t * length) - way * (reach / 2.0);
            arrow(c, level, from, way * reach);
        }
    }
    holes(c);
}
