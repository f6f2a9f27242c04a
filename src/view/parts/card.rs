//! Expansion cards: shroud with fans, bracket, edge contacts.

use super::canvas::{Canvas, soft};
use super::common::{bodies, holes, thin};
use super::feature;
use crate::view::list::{Path, Rect};

/// Draws a card.
pub fn draw(c: &mut Canvas<'_>) {
    bodies(c, 1.2);
    shroud(c);
    feature::all(c);
    holes(c);
}

/// A soft inner rim on the largest piece, and grooves along it seen from its edge.
fn shroud(c: &mut Canvas<'_>) {
    let largest = c.pieces.iter().max_by(|a, b| {
        let area = |r: Rect| r.width() * r.height();
        area(a.shape.rect()).total_cmp(&area(b.shape.rect()))
    });
    let Some(piece) = largest.cloned() else {
        return;
    };
    let r = piece.shape.rect();
    let short = r.width().min(r.height());
    if short < 5.0 {
        return;
    }
    if c.along(thin(c)) {
        c.fine(piece.far, soft(r.grown(-short * 0.035), 3.0 * c.scale));
        return;
    }
    let wide = r.width() >= r.height();
    let mut grooves = Path::new();
    for t in [0.22, 0.78] {
        if wide {
            let y = r.min.y + t * r.height();
            grooves.move_to((r.min.x, y)).line_to((r.max.x, y));
        } else {
            let x = r.min.x + t * r.width();
            grooves.move_to((x, r.min.y)).line_to((x, r.max.y));
        }
    }
    c.fine(piece.far, grooves);
}
