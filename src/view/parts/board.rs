//! Boards and memory modules: the sheet with its holes, sockets and chips.

use super::canvas::{Canvas, soft};
use super::common::{bodies, holes, thin};
use super::feature;
use crate::view::list::{Path, Rect};

/// Draws a board.
pub fn draw(c: &mut Canvas<'_>) {
    bodies(c, 0.8);
    pads(c);
    if shows_parts(c) {
        feature::all(c);
    } else {
        backs(c);
    }
    holes(c);
}

/// Draws a memory module.
pub fn module(c: &mut Canvas<'_>) {
    bodies(c, 0.6);
    feature::all(c);
    let (Some(piece), false) = (c.pieces.last().cloned(), c.along(thin(c))) else {
        return holes(c);
    };
    // From its edge: the seam between heat spreader and board.
    let r = piece.shape.rect();
    let wide = r.width() >= r.height();
    if r.width().min(r.height()) >= 1.2 {
        c.fine(piece.far, pattern_seam(r, wide));
    }
    holes(c);
}

fn pattern_seam(r: Rect, wide: bool) -> Path {
    let m = r.centre();
    if wide {
        Path::line((r.min.x, m.y), (r.max.x, m.y))
    } else {
        Path::line((m.x, r.min.y), (m.x, r.max.y))
    }
}

/// True unless the board shows its back.
fn shows_parts(c: &Canvas<'_>) -> bool {
    let out = thin(c);
    c.eye != out.opposite()
}

/// Bare rings around the mounting holes.
fn pads(c: &mut Canvas<'_>) {
    let kind = c.kind;
    let Some(level) = c.pieces.first().map(|p| p.far) else {
        return;
    };
    let mut rings = Path::new();
    for pattern in kind.patterns.iter().filter(|p| c.along(p.frame.normal)) {
        for hole in &pattern.holes {
            let radius = hole.diameter.as_mm() * c.scale * 0.95;
            if radius > 0.8 {
                let at = c.point(pattern.frame.point(hole.u, hole.v));
                rings = rings.with(&Path::circle(at, radius));
            }
        }
    }
    if !rings.segments().is_empty() {
        c.tone(level, rings.clone());
        c.fine(level, rings);
    }
}

/// The back of a board: where the sockets' contacts come through.
fn backs(c: &mut Canvas<'_>) {
    let kind = c.kind;
    let Some(level) = c.pieces.last().map(|p| p.far) else {
        return;
    };
    let mut lines = Path::new();
    for f in &kind.features {
        let r = c.seen(&f.solid).shape.rect();
        if r.width().min(r.height()) >= 1.0 {
            lines = lines.with(&soft(r, 0.3));
        }
    }
    if !lines.segments().is_empty() {
        c.fine(level, lines);
    }
}
