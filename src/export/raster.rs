//! The draw list on pixels: marks made ready once, then painted band by band.

use super::outline::{Glyph, Pen, append, frame, is_upright_rect, transform};
use crate::view::list::{
    Affine, DrawList, Fill, Image, Item, Line, Mark, Path, Rect, Role, Text, Weight,
};
use crate::view::palette::{Palette, Rgba};
use crate::view::text;
use std::collections::BTreeMap;
use std::sync::OnceLock;
use tiny_skia::{Color, FillRule, LineCap, LineJoin, Paint, PathBuilder, PixmapMut, Transform};

/// A mark ready to be filled: outline in pixels and colour.
struct Shape {
    outline: Outline,
    colour: Rgba,
    top: f32,
    bottom: f32,
}

enum Outline {
    /// An upright rectangle, which fills faster than its path.
    Rect(tiny_skia::Rect),
    Path(tiny_skia::Path, FillRule),
    /// A centre line; its outline is made by the first band that needs it.
    Stroke(tiny_skia::Path, Pen, OnceLock<Option<tiny_skia::Path>>),
    /// Pixels at the size at which they are painted, and their upper left corner.
    Pixels(tiny_skia::Pixmap, i32, i32),
    /// A centre line of a stroke below one pixel, which is drawn as it is.
    Hairline(tiny_skia::Path, Pen),
}

/// A draw list made ready for pixels, in paint order.
pub(super) struct Scene {
    shapes: Vec<Shape>,
    paper: Rgba,
}

impl Scene {
    /// Makes ready what shows on a page of this rectangle at `scale` pixels a
    /// millimetre.
    pub(super) fn new(list: &DrawList, page: Rect, palette: &Palette, scale: f64) -> Self {
        let mut maker = Maker {
            scale,
            page,
            paper: palette.colour(Role::Paper),
            // A quarter of a pixel of sag cannot be seen under anti-aliasing.
            tolerance: 0.1 / scale,
            shapes: Vec::with_capacity(list.items.len()),
            builder: PathBuilder::new(),
            glyphs: BTreeMap::new(),
        };
        for item in list.in_paint_order() {
            maker.item(item, palette);
        }
        Self {
            shapes: maker.shapes,
            paper: palette.colour(Role::Paper),
        }
    }

    /// Paints the rows from `top` on that the target holds.
    pub(super) fn paint(&self, target: &mut PixmapMut<'_>, top: u32) {
        target.fill(colour(self.paper));
        let (first, last) = (top as f32, (top + target.height()) as f32);
        let shift = Transform::from_translate(0.0, -first);
        let mut paint = Paint {
            anti_alias: true,
            ..Paint::default()
        };
        for shape in &self.shapes {
            if shape.bottom <= first || shape.top >= last {
                continue;
            }
            paint.set_color(colour(shape.colour));
            match &shape.outline {
                Outline::Rect(rect) => {
                    if let Some(rect) = rect.transform(shift) {
                        target.fill_rect(rect, &paint, Transform::identity(), None);
                    }
                }
                Outline::Path(path, rule) => target.fill_path(path, &paint, *rule, shift, None),
                Outline::Stroke(path, pen, outline) => {
                    if let Some(outline) = outline.get_or_init(|| path.stroke(&pen.stroke(), 1.0)) {
                        target.fill_path(outline, &paint, FillRule::Winding, shift, None);
                    }
                }
                Outline::Pixels(pixels, x, y) => target.draw_pixmap(
                    *x,
                    *y,
                    pixels.as_ref(),
                    &tiny_skia::PixmapPaint::default(),
                    shift,
                    None,
                ),
                Outline::Hairline(path, pen) => {
                    target.stroke_path(path, &paint, &pen.stroke(), shift, None)
                }
            }
        }
    }
}

fn colour(c: Rgba) -> Color {
    Color::from_rgba8(c.r, c.g, c.b, c.a)
}

struct Maker {
    scale: f64,
    page: Rect,
    paper: Rgba,
    tolerance: f64,
    shapes: Vec<Shape>,
    builder: PathBuilder,
    glyphs: BTreeMap<(char, Weight, u64, bool), Glyph>,
}

impl Maker {
    fn item(&mut self, item: &Item, palette: &Palette) {
        let shows = |b: Rect| {
            b.min.x < self.page.max.x
                && b.max.x > self.page.min.x
                && b.min.y < self.page.max.y
                && b.max.y > self.page.min.y
        };
        let reach = |mark: &Mark| match mark {
            Mark::Text(text) if text.halo => text.halo_mm(),
            // Mitres reach at most four half widths out; the bounds hold one.
            Mark::Path {
                stroke: Some(line), ..
            } => 1.5 * line.width.mm(),
            _ => 0.0,
        };
        if !item.mark.is_drawable()
            || !item
                .mark
                .bounds()
                .is_some_and(|b| shows(b.grown(reach(&item.mark) + self.tolerance)))
        {
            return;
        }
        let ink = palette.colour(item.role);
        match &item.mark {
            Mark::Path { path, fill, stroke } => {
                let inside = match fill {
                    Fill::None => None,
                    Fill::Solid => Some(ink),
                    Fill::Wash => Some(palette.wash(item.role)),
                };
                if let Some(colour) = inside {
                    self.fill(path, colour);
                }
                if let Some(line) = stroke {
                    self.line(path, *line, ink);
                }
            }
            Mark::Hatch(hatch) => self.line(&hatch.path(), hatch.line, ink),
            Mark::Image(image) => self.image(image),
            Mark::Text(text) => self.text(text, ink, palette.colour(Role::Paper)),
        }
    }

    fn line(&mut self, path: &Path, line: Line, colour: Rgba) {
        let dashes = line.dashes();
        let cut;
        let path = if dashes.is_empty() {
            path
        } else {
            cut = path.dashed(
                &dashes,
                self.page.grown(2.0 * line.width.mm()),
                self.tolerance,
            );
            &cut
        };
        let pen = Pen {
            width: (line.width.mm() * self.scale) as f32,
            cap: if line.round_ends() {
                LineCap::Round
            } else {
                LineCap::Butt
            },
            join: if line.round_corners() {
                LineJoin::Round
            } else {
                LineJoin::Miter
            },
        };
        append(&mut self.builder, path, self.scale);
        let upright = dashes.is_empty() && is_upright_rect(path) && pen.join == LineJoin::Miter;
        let Some(path) = self.finish_path() else {
            return;
        };
        if upright && pen.width > 1.0 {
            for bar in frame(path.bounds(), pen.width).into_iter().flatten() {
                self.push(Outline::Rect(bar), bar, 0.0, colour);
            }
            return;
        }
        let (bounds, margin) = (path.bounds(), 2.0 * pen.width);
        let outline = if pen.width <= 1.0 {
            Outline::Hairline(path, pen)
        } else {
            Outline::Stroke(path, pen, OnceLock::new())
        };
        self.push(outline, bounds, margin, colour);
    }

    fn fill(&mut self, path: &Path, colour: Rgba) {
        append(&mut self.builder, path, self.scale);
        let Some(filled) = self.finish_path() else {
            return;
        };
        let bounds = filled.bounds();
        let outline = if is_upright_rect(path) {
            Outline::Rect(bounds)
        } else {
            Outline::Path(filled, FillRule::EvenOdd)
        };
        self.push(outline, bounds, 0.0, colour);
    }

    /// A picture, shrunk or stretched once to the pixels it covers.
    fn image(&mut self, image: &Image) {
        let px = |mm: f64| (mm * self.scale).round();
        let (x, y) = (px(image.rect.min.x), px(image.rect.min.y));
        let side = |mm: f64| px(mm).clamp(1.0, 16_384.0) as u32;
        let (width, height) = (side(image.rect.width()), side(image.rect.height()));
        let b = &image.bitmap;
        let Some(whole) = image::RgbaImage::from_raw(b.width(), b.height(), b.rgba().to_vec())
        else {
            return;
        };
        let filter = image::imageops::FilterType::Triangle;
        let mut fitted = image::imageops::resize(&whole, width, height, filter);
        for p in fitted.pixels_mut() {
            let [r, g, b, a] = p.0;
            let over = |c: u8| (u16::from(c) * u16::from(a) / 255) as u8;
            p.0 = [over(r), over(g), over(b), a];
        }
        let size = tiny_skia::IntSize::from_wh(width, height);
        let pixels = size.and_then(|s| tiny_skia::Pixmap::from_vec(fitted.into_raw(), s));
        let bounds = tiny_skia::Rect::from_xywh(x as f32, y as f32, width as f32, height as f32);
        if let (Some(pixels), Some(bounds)) = (pixels, bounds) {
            let outline = Outline::Pixels(pixels, x as i32, y as i32);
            self.push(outline, bounds, 0.0, self.paper);
        }
    }

    fn text(&mut self, text: &Text, ink: Rgba, paper: Rgba) {
        let em = text.size.em_mm() * self.scale;
        let start = text.baseline_shift() * self.scale;
        let place = Affine::turn(text.angle).then(Affine::shift(
            text.at.x * self.scale,
            text.at.y * self.scale,
        ));
        let mut halo = PathBuilder::new();
        let rim = text
            .halo
            .then_some((2.0 * text.halo_mm() * self.scale) as f32);
        for (c, (outline, x)) in text.text.chars().zip(text::glyphs(&text.text, text.weight)) {
            let key = (c, text.weight, em.to_bits(), text.halo);
            let glyph = self
                .glyphs
                .entry(key)
                .or_insert_with(|| Glyph::new(outline, em, rim));
            let map = transform(Affine::shift(start.x + x * em, start.y).then(place));
            for (part, builder) in [(&glyph.halo, &mut halo), (&glyph.letter, &mut self.builder)] {
                if let Some(path) = part.clone().and_then(|path| path.transform(map)) {
                    builder.push_path(&path);
                }
            }
        }
        let letters = self.finish_path();
        for (path, colour) in [(halo.finish(), paper), (letters, ink)] {
            if let Some(path) = path {
                let bounds = path.bounds();
                self.push(Outline::Path(path, FillRule::Winding), bounds, 0.0, colour);
            }
        }
    }

    fn finish_path(&mut self) -> Option<tiny_skia::Path> {
        std::mem::take(&mut self.builder).finish()
    }

    fn push(&mut self, outline: Outline, bounds: tiny_skia::Rect, margin: f32, colour: Rgba) {
        let (top, bottom) = (bounds.top() - margin - 1.0, bounds.bottom() + margin + 1.0);
        self.shapes.push(Shape {
            outline,
            colour,
            top,
            bottom,
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::list::Width;

    /// Area in pixels that a mark covers, by how far it darkens white paper.
    fn covered(path: Path, line: Option<Line>) -> f64 {
        let mut list = DrawList::new();
        match line {
            None => list.pen().fill(path, Role::Ink),
            Some(line) => list.pen().stroke(path, line, Role::Ink),
        };
        let scene = Scene::new(
            &list,
            Rect::sized(0.0, 0.0, 40.0, 40.0),
            &Palette::LIGHT_HIGH_CONTRAST,
            1.0,
        );
        let mut data = vec![0; 40 * 40 * 4];
        let mut target = PixmapMut::from_bytes(&mut data, 40, 40).unwrap();
        scene.paint(&mut target, 0);
        data.as_chunks::<4>()
            .0
            .iter()
            .map(|pixel| 1.0 - f64::from(pixel[0]) / 255.0)
            .sum()
    }

    #[test]
    fn coverage_is_the_area_of_the_shape() {
        // Closed forms; the limits are the sampling error along the edges.
        let rect = || Path::rect(Rect::sized(5.3, 6.6, 20.45, 11.7));
        assert!((covered(rect(), None) - 20.45 * 11.7).abs() < 0.5);
        let frame = covered(
            rect(),
            Some(Line::new(
                Width::True(2.3),
                crate::view::list::LineType::Continuous,
            )),
        );
        // A true width has round corners: a quarter disc at each.
        let corners = (4.0 - std::f64::consts::PI) * 1.15 * 1.15;
        assert!(
            (frame - 2.0 * 2.3 * (20.45 + 11.7) + corners).abs() < 1.5,
            "{frame}"
        );
        let disc = std::f64::consts::PI * 81.0;
        assert!((covered(Path::circle((20.2, 19.7), 9.0), None) - disc).abs() < 1.5);
        let ring = disc - std::f64::consts::PI * 16.0;
        assert!((covered(Path::ring((20.2, 19.7), 9.0, 4.0), None) - ring).abs() < 2.0);
    }

    #[test]
    fn framed_rectangles_blend_no_pixel_twice() {
        let bars = super::super::outline::frame(
            tiny_skia::Rect::from_ltrb(5.3, 6.6, 25.75, 18.3).unwrap(),
            3.0,
        );
        // A border pixel blended twice is too dark; the sum over all tells.
        let mut data = vec![0; 40 * 40 * 4];
        let mut target = PixmapMut::from_bytes(&mut data, 40, 40).unwrap();
        let paint = Paint {
            anti_alias: true,
            ..Paint::default()
        };
        for bar in bars.into_iter().flatten() {
            target.fill_rect(bar, &paint, Transform::identity(), None);
        }
        let area: f64 = data
            .as_chunks::<4>()
            .0
            .iter()
            .map(|pixel| f64::from(pixel[3]) / 255.0)
            .sum();
        assert!((area - 2.0 * 3.0 * (20.45 + 11.7)).abs() < 0.5, "{area}");
    }
}
