//! Larger details: fins, blades, grilles, labels, switches.

use super::canvas::{Canvas, Shape, soft};
use super::pattern;
use crate::view::list::{Path, Point2, Rect};

/// Fins across a field, lines along `upright`.
pub fn fins(c: &mut Canvas<'_>, level: i64, r: Rect, pitch: f64, upright: bool) {
    let inner = r.grown(-(0.3_f64).min(r.width().min(r.height()) / 6.0));
    let lines = pattern::fins(inner, pitch * c.scale, upright);
    c.fine(level, lines);
}

/// The swept disc of blades with its hub. `hub` is its radius on the page.
pub fn rotor(c: &mut Canvas<'_>, level: i64, shape: &Shape, hub: Option<f64>, clockwise: bool) {
    let Some((centre, tip)) = shape.circle() else {
        c.block(level, shape.path());
        return;
    };
    let hub = hub.unwrap_or(tip * 0.36).min(tip * 0.8);
    c.void(level, Path::circle(centre, tip));
    c.line(level, Path::circle(centre, tip));
    if tip > 2.0 {
        let count = if tip / c.scale > 80.0 { 9 } else { 7 };
        let blades = pattern::blades(centre, hub, tip * 0.96, count, clockwise);
        c.ground(level, blades.clone());
        c.tone(level, blades.clone());
        c.fine(level, blades);
    }
    let disc = Path::circle(centre, hub);
    c.block(level, disc);
    if hub > 1.5 {
        c.fine(level, Path::circle(centre, hub * 0.82));
    }
}

/// A perforated field: rings with spokes where round, a honeycomb where not.
pub fn grille(c: &mut Canvas<'_>, level: i64, shape: &Shape) {
    let hair = |c: &mut Canvas<'_>, path: Path| c.fine(level, path);
    if let Some((centre, radius)) = shape.circle() {
        c.void(level, Path::circle(centre, radius));
        c.tone(level, Path::circle(centre, radius));
        c.line(level, Path::circle(centre, radius));
        if radius >= 2.5 {
            let hub = radius * 0.22;
            let pitch = (radius * 0.13).max(6.0 * c.scale);
            let rings = pattern::rings(centre, hub, radius * 0.96, pitch);
            let spokes = pattern::spokes(centre, hub, radius, 8, 22.5);
            hair(c, rings.with(&spokes));
        }
        return;
    }
    let r = shape.rect();
    c.tone(level, Path::rect(r));
    hair(c, Path::rect(r).with(&pattern::honeycomb(r, 5.5 * c.scale)));
}

/// A label field: rounded, with the lines of a text too small to read.
pub fn label(c: &mut Canvas<'_>, level: i64, r: Rect) {
    let short = r.width().min(r.height());
    let path = soft(r, 1.5 * c.scale);
    c.void(level, path.clone());
    c.fine(level, path);
    if short < 5.0 {
        return;
    }
    let inner = r.grown(-short * 0.12);
    let mut lines = Path::new();
    for (t, to) in [(0.30, 0.75), (0.45, 0.55), (0.60, 0.85), (0.75, 0.40)] {
        let y = inner.min.y + t * inner.height();
        lines
            .move_to((inner.min.x, y))
            .line_to((inner.min.x + to * inner.width(), y));
    }
    c.fine(level, lines);
    let title = Rect::sized(
        inner.min.x,
        inner.min.y,
        inner.width() * 0.35,
        inner.height() * 0.12,
    );
    c.tone(level, Path::rect(title));
}

/// A round label: a disc with a ring.
pub fn badge(c: &mut Canvas<'_>, level: i64, centre: Point2, radius: f64) {
    let disc = Path::circle(centre, radius);
    c.void(level, disc.clone());
    c.line(level, disc);
    if radius >= 2.5 {
        c.fine(level, Path::circle(centre, radius * 0.8));
        let arm = Point2::new(radius * 0.35, 0.0);
        c.fine(level, Path::line(centre - arm, centre + arm));
    }
}

/// A rocker switch with its two marks.
pub fn switch(c: &mut Canvas<'_>, level: i64, r: Rect) {
    let short = r.width().min(r.height());
    c.inset(level, soft(r, 0.12 * short));
    if short < 1.8 {
        return;
    }
    let tall = r.height() >= r.width();
    let way = if tall {
        Point2::new(0.0, r.height() * 0.24)
    } else {
        Point2::new(r.width() * 0.24, 0.0)
    };
    let across = if tall {
        Point2::new(r.width() / 2.0, 0.0)
    } else {
        Point2::new(0.0, r.height() / 2.0)
    };
    let m = r.centre();
    let bar = way * 0.4;
    let marks = Path::line(m - across, m + across)
        .with(&Path::line(m - way - bar, m - way + bar))
        .with(&Path::circle(m + way, short * 0.12));
    c.fine(level, marks);
}
