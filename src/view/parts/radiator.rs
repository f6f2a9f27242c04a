//! Radiators: fin field with its tubes, end tanks, hose ends, screw holes.

use super::canvas::{Canvas, soft};
use super::common::{bodies, holes, largest, thin};
use super::{feature, pattern, surface};
use crate::model::FeatureKind;
use crate::view::list::{Path, Rect};

/// Draws a radiator.
pub fn draw(c: &mut Canvas<'_>) {
    bodies(c, 3.0);
    let Some(level) = c.pieces.first().map(|p| p.far) else {
        return;
    };
    if c.along(thin(c)) {
        let core = largest(c, FeatureKind::Fins).map(|(shape, _, _)| shape.rect());
        core_field(
            c,
            level,
            core.unwrap_or_else(|| c.rect.grown(-4.0 * c.scale)),
        );
    } else {
        edge(c, level);
    }
    tanks(c);
    feature::except(c, &[FeatureKind::Fins, FeatureKind::Label]);
    holes(c);
}

/// The end tanks: smooth, with a bead along their edge.
fn tanks(c: &mut Canvas<'_>) {
    let kind = c.kind;
    for f in kind
        .features
        .iter()
        .filter(|f| f.kind == FeatureKind::Label)
    {
        let seen = c.seen(&f.solid);
        let r = seen.shape.rect();
        let short = r.width().min(r.height());
        if short < 1.0 || !c.is_open(r, seen.near, seen.far) {
            continue;
        }
        let level = c.level(r, seen.far);
        c.block(level, soft(r, 2.0 * c.scale));
        if short >= 3.0 {
            let bead = r.grown(-short * 0.16);
            c.fine(level, soft(bead, 2.0 * c.scale));
        }
    }
}

/// Tubes along the length with folded fins between them.
fn core_field(c: &mut Canvas<'_>, level: i64, core: Rect) {
    if core.width().min(core.height()) < 3.0 {
        return;
    }
    c.tone(level, Path::rect(core));
    let wide = core.width() >= core.height();
    let across = core.width().min(core.height());
    let rows = pattern::fields(across, 9.5 * c.scale).max(2);
    let tube = (across / rows as f64 * 0.20).max(0.16);
    let mut tubes = Path::new();
    let mut folds = Path::new();
    for i in 0..rows {
        let t = |k: f64| k / rows as f64 * across;
        let (from, to) = (t(i as f64) + tube / 2.0, t(i as f64 + 1.0) - tube / 2.0);
        let band = |a: f64, b: f64| {
            if wide {
                Rect::sized(core.min.x, core.min.y + a, core.width(), b - a)
            } else {
                Rect::sized(core.min.x + a, core.min.y, b - a, core.height())
            }
        };
        if to - from > 1.4 {
            folds = folds.with(&pattern::zigzag(band(from, to), (3.2 * c.scale).max(1.1)));
        }
        if i > 0 {
            tubes = tubes.with(&Path::rect(band(
                t(i as f64) - tube / 2.0,
                t(i as f64) + tube / 2.0,
            )));
        }
    }
    if folds.segments().is_empty() {
        // Too fine for folds: strokes across the tubes stand for them.
        return surface::fins(c, level, core, 6.4, wide);
    }
    c.fine(level, folds);
    c.ground(level, tubes.clone());
    c.fine(level, tubes);
    c.line(level, Path::rect(core));
}

/// From the side: the frame's folded rims and the fins between them.
fn edge(c: &mut Canvas<'_>, level: i64) {
    let r = c.rect;
    let (wide, short) = (r.width() >= r.height(), r.width().min(r.height()));
    if short < 2.0 {
        return;
    }
    let rim = short * 0.14;
    let end = (14.0 * c.scale).min(r.width().max(r.height()) / 5.0);
    let field = if wide {
        Rect::sized(
            r.min.x + end,
            r.min.y + rim,
            r.width() - 2.0 * end,
            short - 2.0 * rim,
        )
    } else {
        Rect::sized(
            r.min.x + rim,
            r.min.y + end,
            short - 2.0 * rim,
            r.height() - 2.0 * end,
        )
    };
    c.tone(level, Path::rect(field));
    c.fine(level, Path::rect(field));
    surface::fins(c, level, field, 3.2, wide);
}
