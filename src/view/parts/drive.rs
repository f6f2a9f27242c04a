//! Drives: cover with its label, screws, connector.

use super::canvas::{Canvas, soft};
use super::common::{bodies, holes, thin};
use super::{feature, surface};
use crate::model::FeatureKind;
use crate::view::list::{Path, Point2};

/// Draws a drive.
pub fn draw(c: &mut Canvas<'_>) {
    let bare = c.kind.size.as_mm().into_iter().fold(f64::MAX, f64::min) < 5.0;
    bodies(c, if bare { 0.4 } else { 2.0 });
    let Some(level) = c.pieces.first().map(|p| p.far) else {
        return;
    };
    let flat = c.along(thin(c));
    let has = |k: FeatureKind| c.kind.features.iter().any(|f| f.kind == k);
    let labelled = has(FeatureKind::Label);
    if flat && !bare {
        cover(c, level, c.eye.is_positive() && !labelled);
    } else if !flat {
        seam(c, level);
    }
    feature::all(c);
    holes(c);
}

/// The cover: a stepped rim, corner screws, and a label where none is given.
fn cover(c: &mut Canvas<'_>, level: i64, label: bool) {
    let r = c.rect;
    let short = r.width().min(r.height());
    if short < 6.0 {
        return;
    }
    let rim = r.grown(-short * 0.035);
    c.fine(level, soft(rim, 3.0 * c.scale));
    let inset = short * 0.075;
    let mut screws = Path::new();
    for corner in r.grown(-inset).corners() {
        let radius = (short * 0.022).max(0.25);
        screws = screws.with(&Path::circle(corner, radius));
        if radius > 0.5 {
            let d = Point2::new(radius, radius) * 0.6;
            screws = screws.with(&Path::line(corner - d, corner + d));
        }
    }
    c.fine(level, screws);
    if label {
        surface::label(c, level, r.grown(-short * 0.16));
    }
}

/// From the side: the seam between cover and base.
fn seam(c: &mut Canvas<'_>, level: i64) {
    let r = c.rect;
    let out = c.way(thin(c));
    let depth = (out.x * r.width()).abs() + (out.y * r.height()).abs();
    if depth < 1.6 {
        return;
    }
    let across = out.left();
    let half = across * ((across.x * r.width()).abs() + (across.y * r.height()).abs()) * 0.5;
    let m = r.centre() + out * (depth * 0.28);
    c.fine(level, Path::line(m - half, m + half));
}
