//! Pictures: a draw list as an SVG file, a PNG or the pages of a PDF.
//!
//! All put the list on a [`Page`] in the colours of a palette. Marks that are not
//! drawable are left out; [`DrawList::undrawable`](crate::view::list::DrawList::undrawable)
//! says how many. The same list gives the same bytes each time.

pub mod compared;
pub mod dxf;
pub mod html;
pub mod lists;
mod outline;
pub mod paper;
pub mod pdf;
pub mod png;
mod raster;
pub mod svg;
mod xml;

use crate::view::list::{DrawList, Rect};
use crate::view::palette::Palette;
use std::path::Path;

/// Format of a picture file.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Format {
    /// Pixels, so many across the page.
    Png(u32),
    /// Lines that stay sharp; text stays text, the typeface is embedded.
    Svg,
    /// Pages at true size; text stays text, the typeface is embedded.
    Pdf,
}

impl Format {
    /// The format that a file's ending asks for, with a width for PNG; `None` for
    /// any other ending.
    pub fn of(path: &Path, width: u32) -> Option<Format> {
        let ending = path.extension()?.to_ascii_lowercase();
        match ending.to_str()? {
            "png" => Some(Format::Png(width)),
            "svg" => Some(Format::Svg),
            "pdf" => Some(Format::Pdf),
            _ => None,
        }
    }
}

/// The bytes of a picture file.
///
/// # Errors
///
/// As [`png::write`] and [`pdf::write`]; an SVG cannot fail.
pub fn picture(
    list: &DrawList,
    page: Page,
    palette: &Palette,
    meta: &Meta,
    format: Format,
) -> Result<Vec<u8>, ExportError> {
    match format {
        Format::Png(width) => png::write(list, page, palette, meta, png::Resolution::Width(width)),
        Format::Svg => Ok(svg::write(list, page, palette, meta, svg::Font::Embedded).into_bytes()),
        Format::Pdf => {
            let name = "";
            pdf::write(&[pdf::PdfPage { list, page, name }], palette, meta)
        }
    }
}

/// Longest side of a page in millimetres (10 m).
pub const MAX_PAGE_MM: f64 = 10_000.0;

/// Size of a page in millimetres; both sides positive and at most [`MAX_PAGE_MM`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Page {
    width: f64,
    height: f64,
}

impl Page {
    /// A4, upright. Source of the sheet sizes: ISO 216, from memory.
    pub const A4: Self = Self {
        width: 210.0,
        height: 297.0,
    };
    /// A3, lying.
    pub const A3_LANDSCAPE: Self = Self {
        width: 420.0,
        height: 297.0,
    };

    /// A page of this size.
    ///
    /// # Errors
    ///
    /// [`ExportError::PageSize`] where a side is not finite, not positive, or
    /// longer than [`MAX_PAGE_MM`].
    pub fn new(width: f64, height: f64) -> Result<Self, ExportError> {
        let sound = |side: f64| side > 0.0 && side <= MAX_PAGE_MM;
        if sound(width) && sound(height) {
            Ok(Self { width, height })
        } else {
            Err(ExportError::PageSize { width, height })
        }
    }

    /// The page lying where it stood, standing where it lay.
    #[must_use]
    pub const fn turned(self) -> Self {
        Self {
            width: self.height,
            height: self.width,
        }
    }

    /// Width in millimetres.
    pub const fn width(self) -> f64 {
        self.width
    }

    /// Height in millimetres.
    pub const fn height(self) -> f64 {
        self.height
    }

    /// The page as a rectangle from the origin.
    pub fn rect(self) -> Rect {
        Rect::sized(0.0, 0.0, self.width, self.height)
    }
}

/// What a picture says about itself.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Meta {
    /// Title, in one line.
    pub title: String,
    /// What the picture shows, for those who cannot see it.
    pub description: String,
}

/// Why a picture could not be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ExportError {
    /// A page side is not finite, not positive, or too long.
    #[error(
        "a page of {width} mm by {height} mm cannot be drawn: each side has to be above 0 and at most {MAX_PAGE_MM} mm"
    )]
    PageSize {
        /// Width asked for.
        width: f64,
        /// Height asked for.
        height: f64,
    },
    /// A page side is longer than readers of PDF files take.
    #[error(
        "a PDF page of {width} mm by {height} mm is too large: at most {} mm a side",
        pdf::MAX_SIDE_MM
    )]
    PdfPageSize {
        /// Width asked for.
        width: f64,
        /// Height asked for.
        height: f64,
    },
    /// The resolution is not finite or not positive.
    #[error("a picture at {0} dots per inch cannot be drawn: choose a resolution above 0")]
    Resolution(f64),
    /// The picture would have more pixels than allowed.
    #[error(
        "a picture of {width} by {height} pixels is too large: at most {max_side} a side and {max_megapixels} megapixels; lower the resolution or make the page smaller",
        max_side = png::MAX_SIDE,
        max_megapixels = png::MAX_PIXELS / 1_000_000
    )]
    TooManyPixels {
        /// Pixels across.
        width: u64,
        /// Pixels down.
        height: u64,
    },
    /// The PNG could not be put together.
    #[error("the PNG could not be written: {0}")]
    Encoding(#[from] ::png::EncodingError),
    /// The PDF could not be put together.
    #[error("the PDF could not be written: {0}")]
    Pdf(String),
}
