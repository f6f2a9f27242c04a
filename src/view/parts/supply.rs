//! Supplies: shell with its seam, grille, inlet and switch.

use super::canvas::{Canvas, Shape, soft};
use super::common::{bodies, holes};
use super::feature;
use crate::geom::Dir;
use crate::model::FeatureKind;
use crate::view::list::{Path, Rect};

/// Draws a supply.
pub fn draw(c: &mut Canvas<'_>) {
    bodies(c, 0.8);
    let Some(level) = c.pieces.first().map(|p| p.far) else {
        return;
    };
    let face = c.kind.outlets.iter().find(|o| o.frame.normal == c.eye);
    if face.is_some() {
        feature::except(c, &[FeatureKind::Connector]);
        inlets(c, level);
    } else {
        shell(c, level);
        feature::all(c);
    }
    holes(c);
}

/// The inlet on the outer face: a six-cornered well with three contacts, as the
/// usual inlet for leads with an earth has it.
fn inlets(c: &mut Canvas<'_>, level: i64) {
    let kind = c.kind;
    for f in kind
        .features
        .iter()
        .filter(|f| f.kind == FeatureKind::Connector)
    {
        let seen = c.seen(&f.solid);
        if !c.is_open(seen.shape.rect(), seen.near, seen.far) {
            continue;
        }
        match seen.shape {
            Shape::Rect(r) => inlet(c, level, r),
            other => feature::one(c, f.kind, level, &other),
        }
    }
}

fn inlet(c: &mut Canvas<'_>, level: i64, r: Rect) {
    c.inset(level, soft(r, 1.0 * c.scale));
    let w = r.grown(-r.width().min(r.height()) * 0.14);
    let cut = w.width().min(w.height()) * 0.28;
    if cut < 0.5 {
        return;
    }
    let well = Path::polygon([
        (w.min.x + cut, w.min.y),
        (w.max.x - cut, w.min.y),
        (w.max.x, w.min.y + cut),
        (w.max.x, w.max.y),
        (w.min.x, w.max.y),
        (w.min.x, w.min.y + cut),
    ]);
    c.void(level, well.clone());
    c.line(level, well);
    let pin = |x: f64, y: f64| {
        let at = (w.min.x + x * w.width(), w.min.y + y * w.height());
        Path::rect(Rect::spanning(at, at).grown(w.width().min(w.height()) * 0.06))
    };
    c.fine(
        level,
        pin(0.25, 0.66).with(&pin(0.5, 0.36)).with(&pin(0.75, 0.66)),
    );
}

/// The folded shell: the seam of the lid along the sides, rims on the faces.
fn shell(c: &mut Canvas<'_>, level: i64) {
    let r = c.rect;
    let short = r.width().min(r.height());
    if short < 6.0 {
        return;
    }
    let up = c.way(Dir::PosZ);
    if up.length() > 0.5 {
        let side = up.left();
        let half = side * ((side.x * r.width()).abs() + (side.y * r.height()).abs()) * 0.5;
        let at = r.centre() + up * (((up.x * r.width()).abs() + (up.y * r.height()).abs()) * 0.34);
        c.fine(level, Path::line(at - half, at + half));
    } else {
        c.fine(level, Path::rect(r.grown(-short * 0.03)));
    }
}
