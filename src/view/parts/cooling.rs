//! Air coolers and liquid blocks.

use super::canvas::Canvas;
use super::common::{bodies, holes};
use super::{feature, surface};
use crate::geom::Axis;
use crate::model::FeatureKind;
use crate::view::list::Path;

/// The arms that lead from the base to its mounting posts, seen from above or below.
fn arms(c: &mut Canvas<'_>) {
    let kind = c.kind;
    let Some(base) = c.pieces.iter().min_by_key(|p| p.near).cloned() else {
        return;
    };
    if c.eye.axis() != Axis::Z {
        return;
    }
    let (middle, width) = (base.shape.rect().centre(), 5.0 * c.scale);
    let mut path = Path::new();
    for f in kind
        .features
        .iter()
        .filter(|f| f.kind == FeatureKind::Bracket)
    {
        if let Some((post, _)) = c.seen(&f.solid).shape.circle()
            && width > 0.6
        {
            path = path.with(&Path::slot(post, middle, width));
        }
    }
    if !path.segments().is_empty() {
        let level = c.pieces.first().map_or(base.far, |p| p.far) - 1;
        c.ground(level, path.clone());
        c.line(level, path);
    }
}

/// Draws an air cooler: its pieces, fins, pipes and fans.
pub fn cooler(c: &mut Canvas<'_>) {
    arms(c);
    bodies(c, 1.0);
    let has_fins = c
        .kind
        .features
        .iter()
        .any(|f| matches!(f.kind, FeatureKind::Fins | FeatureKind::Heatsink));
    if !has_fins && let Some(piece) = c.pieces.last().cloned() {
        let r = piece.shape.rect();
        surface::fins(c, piece.far, r, 2.2, r.width() >= r.height());
    }
    feature::all(c);
    holes(c);
}

/// Draws a liquid block: a cap with its pump ring and hose ends.
pub fn block(c: &mut Canvas<'_>) {
    arms(c);
    bodies(c, 4.0);
    let has_hub = c.kind.features.iter().any(|f| f.kind == FeatureKind::Hub);
    if let Some(piece) = c.pieces.last().cloned()
        && !has_hub
    {
        let r = piece.shape.rect();
        let radius = r.width().min(r.height()) * 0.36;
        if radius > 2.0 && c.eye.axis() == Axis::Z {
            let m = r.centre();
            c.tone(piece.far, Path::circle(m, radius));
            c.fine(
                piece.far,
                Path::circle(m, radius).with(&Path::circle(m, radius * 0.75)),
            );
        }
    }
    feature::all(c);
    holes(c);
}
