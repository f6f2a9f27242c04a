//! Outlines in pixels: paths, strokes and glyphs as the rasteriser takes them.

use crate::view::list::{Affine, Path, Point2, Segment};
use tiny_skia::{LineCap, LineJoin, PathBuilder, Stroke, Transform};

/// How a centre line becomes an outline, in pixels.
#[derive(Clone, Copy)]
pub(super) struct Pen {
    pub(super) width: f32,
    pub(super) cap: LineCap,
    pub(super) join: LineJoin,
}

impl Pen {
    pub(super) fn stroke(self) -> Stroke {
        Stroke {
            width: self.width,
            line_cap: self.cap,
            line_join: self.join,
            ..Stroke::default()
        }
    }
}

/// A glyph at one size in pixels, at the origin; the rim around it is stroked once
/// for all its uses.
pub(super) struct Glyph {
    pub(super) letter: Option<tiny_skia::Path>,
    pub(super) halo: Option<tiny_skia::Path>,
}

impl Glyph {
    pub(super) fn new(outline: &Path, em: f64, rim: Option<f32>) -> Self {
        let mut builder = PathBuilder::new();
        append(&mut builder, outline, em);
        let letter = builder.finish();
        let halo = rim.zip(letter.as_ref()).and_then(|(width, letter)| {
            letter.stroke(
                &Pen {
                    width,
                    cap: LineCap::Butt,
                    join: LineJoin::Round,
                }
                .stroke(),
                1.0,
            )
        });
        Self { letter, halo }
    }
}

pub(super) fn transform(map: Affine) -> Transform {
    let [a, b, c, d, e, f] = map.0.map(|v| v as f32);
    Transform::from_row(a, b, c, d, e, f)
}

/// Whether the path is one closed ring with the sides of its bounds.
pub(super) fn is_upright_rect(path: &Path) -> bool {
    let [
        Segment::Move(a),
        Segment::Line(b),
        Segment::Line(c),
        Segment::Line(d),
        Segment::Close,
    ] = *path.segments()
    else {
        return false;
    };
    let level_first = a.y == b.y && b.x == c.x && c.y == d.y && d.x == a.x;
    let upright_first = a.x == b.x && b.y == c.y && c.x == d.x && d.y == a.y;
    level_first || upright_first
}

/// The stroke of an upright rectangle as four bars, which fill faster than an
/// outline. The upright bars end on whole pixels inside the level ones, so that no
/// pixel of an edge is blended twice.
pub(super) fn frame(rect: tiny_skia::Rect, width: f32) -> [Option<tiny_skia::Rect>; 4] {
    let half = width / 2.0;
    let bar = tiny_skia::Rect::from_ltrb;
    let (left, right) = (rect.left() - half, rect.right() + half);
    let (top, bottom) = (rect.top() - half, rect.bottom() + half);
    if rect.width() <= width || rect.height() <= width {
        return [bar(left, top, right, bottom), None, None, None];
    }
    let (from, to) = ((top + width).floor(), (bottom - width).ceil());
    [
        bar(left, top, right, top + width),
        bar(left, bottom - width, right, bottom),
        bar(left, from, left + width, to),
        bar(right - width, from, right, to),
    ]
}

/// Adds a path to an outline in the making, `scale` pixels a unit.
pub(super) fn append(builder: &mut PathBuilder, path: &Path, scale: f64) {
    let to = |p: Point2| ((p.x * scale) as f32, (p.y * scale) as f32);
    for segment in path.segments() {
        match *segment {
            Segment::Move(p) => {
                let (x, y) = to(p);
                builder.move_to(x, y);
            }
            Segment::Line(p) => {
                let (x, y) = to(p);
                builder.line_to(x, y);
            }
            Segment::Cubic(a, b, p) => {
                let ((ax, ay), (bx, by), (x, y)) = (to(a), to(b), to(p));
                builder.cubic_to(ax, ay, bx, by, x, y);
            }
            Segment::Close => builder.close(),
        }
    }
}
