//! Metrics and outlines of the bundled typeface, B612 regular and bold.
//!
//! Lengths scale with the em: the font size in millimetres. Text is set glyph by
//! glyph at the advance widths of the file, without kerning or ligatures, so that
//! figures stand in columns and every back end sets the same line alike. A
//! character that the typeface lacks shows as a hollow box.

use super::list::{Affine, Path, Point2, Weight};
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::{FontRef, GlyphId, MetadataProvider};
use std::sync::{LazyLock, OnceLock};

/// Name of the type family, for files that keep text as text.
pub const FAMILY: &str = "B612";
/// Height of capitals and figures in ems.
pub const CAP_HEIGHT: f64 = 0.75;
/// Reach above the baseline in ems.
pub const ASCENT: f64 = 0.965;
/// Reach below the baseline in ems.
pub const DESCENT: f64 = 0.25;

/// Advance of the box that stands for a missing character, in ems.
const MISSING_ADVANCE: f64 = 0.7;

static REGULAR: &[u8] = include_bytes!("../../assets/fonts/B612-Regular.otf");
static BOLD: &[u8] = include_bytes!("../../assets/fonts/B612-Bold.otf");
static FACES: LazyLock<[Face; 2]> = LazyLock::new(|| [Face::read(REGULAR), Face::read(BOLD)]);
static MISSING: LazyLock<Path> = LazyLock::new(missing_box);

struct Face {
    font: FontRef<'static>,
    units_per_em: f64,
    /// Advance of each glyph in font units.
    advances: Vec<f64>,
    /// Outline of each glyph in ems, y down; read when first asked for.
    outlines: Vec<OnceLock<Path>>,
}

impl Face {
    fn read(file: &'static [u8]) -> Self {
        let font = FontRef::new(file).expect("the bundled font file is read by a test");
        let metrics = font.metrics(Size::unscaled(), LocationRef::default());
        let glyphs = font.glyph_metrics(Size::unscaled(), LocationRef::default());
        let count = metrics.glyph_count;
        let advance = |id| f64::from(glyphs.advance_width(GlyphId::new(id)).unwrap_or_default());
        Self {
            units_per_em: f64::from(metrics.units_per_em),
            advances: (0..count).map(advance).collect(),
            outlines: (0..count).map(|_| OnceLock::new()).collect(),
            font,
        }
    }

    /// Index of the character's glyph; `None` where the typeface lacks it.
    fn glyph(&self, c: char) -> Option<usize> {
        // The files map NUL to a glyph without outline; a control character has to show.
        let c = Some(c).filter(|c| !c.is_control())?;
        let id = self.font.charmap().map(c)?.to_u32() as usize;
        // Glyph 0 is the file's own mark for a missing character; ours is drawn alike everywhere.
        (id > 0 && id < self.advances.len()).then_some(id)
    }

    fn outline(&self, id: usize) -> &Path {
        self.outlines[id].get_or_init(|| {
            let mut sink = Sink {
                path: Path::new(),
                at: Point2::default(),
                scale: 1.0 / self.units_per_em,
            };
            if let Some(glyph) = self.font.outline_glyphs().get(GlyphId::new(id as u32)) {
                let settings = DrawSettings::unhinted(Size::unscaled(), LocationRef::default());
                if glyph.draw(settings, &mut sink).is_err() {
                    return MISSING.clone();
                }
            }
            sink.path
        })
    }
}

fn face(weight: Weight) -> &'static Face {
    match weight {
        Weight::Regular => &FACES[0],
        Weight::Bold => &FACES[1],
    }
}

/// The font file itself, to embed or to hand to a toolkit.
pub fn font_file(weight: Weight) -> &'static [u8] {
    match weight {
        Weight::Regular => REGULAR,
        Weight::Bold => BOLD,
    }
}

/// Whether the typeface has the character.
pub fn covers(c: char, weight: Weight) -> bool {
    face(weight).glyph(c).is_some()
}

/// Length in millimetres of one line of text at a font size of `em` millimetres.
pub fn width(text: &str, em: f64, weight: Weight) -> f64 {
    let face = face(weight);
    text.chars().map(|c| advance(face, c)).sum::<f64>() * em
}

/// The glyphs of one line of text: outline in ems (y down, baseline at zero) and
/// distance in ems from the start of the line. Fill by the non-zero rule.
pub fn glyphs(text: &str, weight: Weight) -> impl Iterator<Item = (&'static Path, f64)> {
    let face = face(weight);
    text.chars().scan(0.0, move |x, c| {
        let at = *x;
        *x += advance(face, c);
        Some((face.glyph(c).map_or(&*MISSING, |id| face.outline(id)), at))
    })
}

/// The file's own numbers of the glyphs of one line of text, one a character, with the
/// advance of each in ems; 0 stands for a character that the typeface lacks.
pub fn glyph_ids(text: &str, weight: Weight) -> impl Iterator<Item = (u32, f64)> {
    let face = face(weight);
    text.chars()
        .map(|c| (face.glyph(c).unwrap_or(0) as u32, advance(face, c)))
}

/// Outline of one line of text in millimetres, its baseline starting at the
/// origin. Fill by the non-zero rule.
pub fn outline(text: &str, em: f64, weight: Weight) -> Path {
    glyphs(text, weight).fold(Path::new(), |line, (glyph, x)| {
        line.with(&glyph.mapped(Affine([em, 0.0, 0.0, em, x * em, 0.0])))
    })
}

fn advance(face: &Face, c: char) -> f64 {
    face.glyph(c)
        .map_or(MISSING_ADVANCE, |id| face.advances[id] / face.units_per_em)
}

/// A hollow box as high as a capital, its inner ring the other way round.
fn missing_box() -> Path {
    let (left, right, top, rim) = (0.08, 0.62, -CAP_HEIGHT, 0.06);
    let outer = Path::polygon([(left, 0.0), (left, top), (right, top), (right, 0.0)]);
    let inner = [
        (left + rim, -rim),
        (right - rim, -rim),
        (right - rim, top + rim),
        (left + rim, top + rim),
    ];
    outer.with(&Path::polygon(inner))
}

/// Collects an outline in font units, y up, as a path in ems, y down.
struct Sink {
    path: Path,
    at: Point2,
    scale: f64,
}

impl Sink {
    fn point(&self, x: f32, y: f32) -> Point2 {
        Point2::new(f64::from(x), -f64::from(y)) * self.scale
    }
}

impl OutlinePen for Sink {
    fn move_to(&mut self, x: f32, y: f32) {
        self.at = self.point(x, y);
        self.path.move_to(self.at);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.at = self.point(x, y);
        self.path.line_to(self.at);
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        let (control, to) = (self.point(cx, cy), self.point(x, y));
        let two_thirds = 2.0 / 3.0;
        self.path.cubic_to(
            self.at.lerp(control, two_thirds),
            to.lerp(control, two_thirds),
            to,
        );
        self.at = to;
    }

    fn curve_to(&mut self, c1x: f32, c1y: f32, c2x: f32, c2y: f32, x: f32, y: f32) {
        let (c1, c2, to) = (self.point(c1x, c1y), self.point(c2x, c2y), self.point(x, y));
        self.path.cubic_to(c1, c2, to);
        self.at = to;
    }

    fn close(&mut self) {
        self.path.close();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn constants_are_those_of_both_files() {
        for weight in [Weight::Regular, Weight::Bold] {
            let face = face(weight);
            let metrics = face.font.metrics(Size::unscaled(), LocationRef::default());
            let em = |units: f32| f64::from(units) / face.units_per_em;
            assert_eq!(metrics.cap_height.map(em), Some(CAP_HEIGHT));
            assert_eq!(em(metrics.ascent), ASCENT);
            assert_eq!(em(metrics.descent), -DESCENT);
        }
    }

    #[test]
    fn figures_are_tabular() {
        // hmtx of both files, read with another reader: 1300 of 2000 units.
        for weight in [Weight::Regular, Weight::Bold] {
            for figure in '0'..='9' {
                assert!((width(&figure.to_string(), 10.0, weight) - 6.5).abs() < 1e-12);
            }
            // 600 units for the point, 700 for a space.
            assert!((width("12.5 ", 2000.0, weight) - (3.0 * 1300.0 + 600.0 + 700.0)).abs() < 1e-9);
        }
    }

    #[test]
    fn capitals_stand_on_the_baseline_and_reach_their_height() {
        let b = outline("E", 10.0, Weight::Regular).bounds().unwrap();
        assert!((b.min.y + 7.5).abs() < 1e-6 && b.max.y.abs() < 1e-6);
        let two = outline("EE", 10.0, Weight::Regular).bounds().unwrap();
        assert!((two.width() - b.width() - width("E", 10.0, Weight::Regular)).abs() < 1e-6);
    }

    #[test]
    fn missing_characters_show_as_a_box() {
        for c in ['\u{1f600}', '\u{fffd}', '\0', '\u{6f22}'] {
            assert!(!covers(c, Weight::Regular));
            let text = c.to_string();
            assert_eq!(width(&text, 1.0, Weight::Bold), MISSING_ADVANCE);
            assert_eq!(outline(&text, 1.0, Weight::Bold), *MISSING);
        }
        assert!(
            covers('Ø', Weight::Regular)
                && covers('°', Weight::Bold)
                && covers('×', Weight::Regular)
        );
        assert_eq!(outline(" ", 1.0, Weight::Regular), Path::new());
        assert_eq!(width("", 1.0, Weight::Regular), 0.0);
    }

    #[test]
    fn every_glyph_of_both_files_can_be_drawn() {
        for weight in [Weight::Regular, Weight::Bold] {
            let face = face(weight);
            assert!((0..face.outlines.len()).all(|id| face.outline(id).is_drawable()));
        }
    }
}
