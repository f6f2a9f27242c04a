//! Draw lists as the pages of a PDF file.
//!
//! One millimetre of a page is one millimetre on paper. Text stays text: the glyphs
//! that are used are embedded with their characters, set at the same advance widths
//! as in the other pictures. No date and no random name is written, so the same pages
//! give the same bytes.

use super::{ExportError, Meta, Page};
use crate::view::list::{
    DrawList, Fill, HAlign, Item, Line, Mark, Path, Point2, Role, Segment, Text, Weight,
};
use crate::view::palette::{Palette, Rgba};
use crate::view::text;
use krilla::color::rgb;
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point, Transform};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{FillRule, LineCap, LineJoin, Paint, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document, SerializeSettings};

/// PDF units (points) a millimetre.
const POINTS: f32 = 72.0 / 25.4;

/// Longest side of a PDF page in millimetres: 14 400 points.
///
/// Source: ISO 32000-1 annex C, architectural limits of readers, from memory.
pub const MAX_SIDE_MM: f64 = 5080.0;

/// One page of a document.
#[derive(Clone, Copy, Debug)]
pub struct PdfPage<'a> {
    /// What stands on it, in page millimetres.
    pub list: &'a DrawList,
    /// Its size.
    pub page: Page,
    /// Its entry in the reader's table of contents; none where empty.
    pub name: &'a str,
}

/// The bytes of a PDF file with these pages, in this order.
///
/// The ground is painted in the palette's paper, and left out where that is white.
/// What lies wholly beside its page is left out; a document of no pages has one
/// empty A4 page, because a PDF file cannot have none.
///
/// # Errors
///
/// [`ExportError::PdfPageSize`] where a side is longer than [`MAX_SIDE_MM`],
/// [`ExportError::Pdf`] where the file cannot be put together.
pub fn write(
    pages: &[PdfPage<'_>],
    palette: &Palette,
    meta: &Meta,
) -> Result<Vec<u8>, ExportError> {
    let empty = DrawList::new();
    let blank = [PdfPage {
        list: &empty,
        page: Page::A4,
        name: "",
    }];
    let pages = if pages.is_empty() { &blank } else { pages };
    let fonts = Fonts::load()?;
    let mut document = Document::new_with(SerializeSettings {
        enable_tagging: false,
        ..SerializeSettings::default()
    });
    document.set_metadata(
        Metadata::new()
            .title(printable(&meta.title))
            .description(printable(&meta.description))
            .creator("Closefit".to_owned())
            .language("en".to_owned()),
    );
    let mut contents = Outline::new();
    for (index, page) in pages.iter().enumerate() {
        add_page(&mut document, page, palette, &fonts)?;
        if !page.name.is_empty() {
            let start = XyzDestination::new(index, Point::from_xy(0.0, 0.0));
            contents.push_child(OutlineNode::new(printable(page.name), start));
        }
    }
    if pages.iter().any(|p| !p.name.is_empty()) {
        document.set_outline(contents);
    }
    document
        .finish()
        .map_err(|e| ExportError::Pdf(e.to_string()))
}

fn add_page(
    document: &mut Document,
    page: &PdfPage<'_>,
    palette: &Palette,
    fonts: &Fonts,
) -> Result<(), ExportError> {
    let (width, height) = (page.page.width(), page.page.height());
    let points = |mm: f64| mm as f32 * POINTS;
    let settings = PageSettings::from_wh(points(width), points(height))
        .filter(|_| width <= MAX_SIDE_MM && height <= MAX_SIDE_MM)
        .ok_or(ExportError::PdfPageSize { width, height })?;
    let mut sheet = document.start_page_with(settings);
    let mut surface = sheet.surface();
    surface.push_transform(&Transform::from_scale(POINTS, POINTS));
    let paper = palette.colour(Role::Paper);
    if paper != Rgba::hex(0xff_ff_ff) {
        let whole = Path::rect(page.page.rect());
        area(&mut surface, &whole, paper);
    }
    let rect = page.page.rect();
    for item in page.list.in_paint_order() {
        let shows = |b: crate::view::list::Rect| {
            b.min.x <= rect.max.x
                && b.max.x >= rect.min.x
                && b.min.y <= rect.max.y
                && b.max.y >= rect.min.y
        };
        if item.mark.is_drawable() && item.mark.bounds().is_some_and(shows) {
            mark(&mut surface, item, palette, fonts);
        }
    }
    surface.pop();
    surface.finish();
    sheet.finish();
    Ok(())
}

/// The bundled typeface as the PDF writer takes it.
struct Fonts {
    regular: Font,
    bold: Font,
}

impl Fonts {
    fn load() -> Result<Self, ExportError> {
        let load = |weight| {
            Font::new(text::font_file(weight).into(), 0)
                .ok_or_else(|| ExportError::Pdf("the typeface cannot be read".to_owned()))
        };
        Ok(Self {
            regular: load(Weight::Regular)?,
            bold: load(Weight::Bold)?,
        })
    }

    fn of(&self, weight: Weight) -> Font {
        match weight {
            Weight::Regular => self.regular.clone(),
            Weight::Bold => self.bold.clone(),
        }
    }
}

fn mark(surface: &mut Surface<'_>, item: &Item, palette: &Palette, fonts: &Fonts) {
    let colour = palette.colour(item.role);
    match &item.mark {
        Mark::Path { path, fill, stroke } => {
            match fill {
                Fill::None => {}
                Fill::Solid => area(surface, path, colour),
                Fill::Wash => area(surface, path, palette.wash(item.role)),
            }
            if let Some(line) = stroke {
                outline(surface, path, *line, colour);
            }
        }
        Mark::Hatch(hatch) => outline(surface, &hatch.path(), hatch.line, colour),
        Mark::Text(text) => lettering(surface, text, colour, palette.colour(Role::Paper), fonts),
    }
}

fn area(surface: &mut Surface<'_>, path: &Path, colour: Rgba) {
    let Some(path) = outline_of(path) else { return };
    surface.set_stroke(None);
    surface.set_fill(Some(fill(colour, FillRule::EvenOdd)));
    surface.draw_path(&path);
}

fn outline(surface: &mut Surface<'_>, path: &Path, line: Line, colour: Rgba) {
    let Some(path) = outline_of(path) else { return };
    let dashes = line.dashes();
    surface.set_fill(None);
    surface.set_stroke(Some(Stroke {
        paint: paint(colour),
        width: line.width.mm() as f32,
        miter_limit: 4.0,
        line_cap: if line.round_ends() {
            LineCap::Round
        } else {
            LineCap::Butt
        },
        line_join: if line.round_corners() {
            LineJoin::Round
        } else {
            LineJoin::Miter
        },
        opacity: opacity(colour),
        dash: (!dashes.is_empty()).then(|| StrokeDash {
            array: dashes.iter().map(|mm| *mm as f32).collect(),
            offset: 0.0,
        }),
    }));
    surface.draw_path(&path);
}

fn lettering(surface: &mut Surface<'_>, text: &Text, colour: Rgba, paper: Rgba, fonts: &Fonts) {
    let mut at = 0;
    let glyphs: Vec<KrillaGlyph> = text::glyph_ids(&text.text, text.weight)
        .zip(text.text.chars())
        .map(|((id, advance), c)| {
            let range = at..at + c.len_utf8();
            at = range.end;
            KrillaGlyph::new(GlyphId::new(id), advance as f32, 0.0, 0.0, 0.0, range, None)
        })
        .collect();
    if glyphs.is_empty() {
        return;
    }
    let shift = match text.anchor.h {
        HAlign::Left => 0.0,
        HAlign::Middle => -text.width() / 2.0,
        HAlign::Right => -text.width(),
    };
    let turn = Point2::unit(text.angle);
    let (cos, sin) = (turn.x as f32, turn.y as f32);
    let place = Transform::from_row(cos, sin, -sin, cos, text.at.x as f32, text.at.y as f32);
    let start = Point::from_xy(shift as f32, text.baseline_drop() as f32);
    let font = fonts.of(text.weight);
    let em = text.size.em_mm() as f32;
    surface.push_transform(&place);
    if text.halo {
        // As outlines, so that a reader finds each word once.
        surface.set_fill(None);
        surface.set_stroke(Some(Stroke {
            paint: paint(paper),
            width: 2.0 * text.halo_mm() as f32,
            line_join: LineJoin::Round,
            opacity: opacity(paper),
            ..Stroke::default()
        }));
        surface.draw_glyphs(start, &glyphs, font.clone(), &text.text, em, true);
    }
    surface.set_stroke(None);
    surface.set_fill(Some(fill(colour, FillRule::NonZero)));
    surface.draw_glyphs(start, &glyphs, font, &text.text, em, false);
    surface.pop();
}

fn fill(colour: Rgba, rule: FillRule) -> krilla::paint::Fill {
    krilla::paint::Fill {
        paint: paint(colour),
        opacity: opacity(colour),
        rule,
    }
}

fn paint(colour: Rgba) -> Paint {
    rgb::Color::new(colour.r, colour.g, colour.b).into()
}

fn opacity(colour: Rgba) -> NormalizedF32 {
    NormalizedF32::new(f32::from(colour.a) / 255.0).unwrap_or(NormalizedF32::ONE)
}

fn outline_of(path: &Path) -> Option<krilla::geom::Path> {
    let mut builder = PathBuilder::new();
    let to = |p: Point2| (p.x as f32, p.y as f32);
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
    builder.finish()
}

/// The text without what XML, and so the file's own description, cannot hold.
fn printable(text: &str) -> String {
    let allowed = |c: char| !c.is_control() && !matches!(c, '\u{fffe}' | '\u{ffff}');
    text.chars()
        .map(|c| {
            if allowed(c) {
                c
            } else {
                char::REPLACEMENT_CHARACTER
            }
        })
        .collect()
}
