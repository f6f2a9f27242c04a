//! Lists, templates and the build sheet as files, in one place for the window and the command line.

use super::{Meta, Page, dxf, html, lists, pdf, svg};
use crate::paper::sheet;
use crate::paper::template::{self, Options, PrintPage, Subject};
use crate::paper::{Build, List, Paper, label_pages};
use crate::view::palette::Palette;
use std::path::Path;

/// Prints are on white paper, in black: they have to do without colour.
const PRINT: Palette = Palette::LIGHT_HIGH_CONTRAST;

/// Format of a template file.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum TemplateFormat {
    /// Sheets to print and to tape together.
    Pdf,
    /// One page at full size.
    Svg,
    /// For machines.
    Dxf,
}

impl TemplateFormat {
    /// The format that a file's ending asks for.
    pub fn of(path: &Path) -> Option<TemplateFormat> {
        let ending = path.extension()?.to_ascii_lowercase();
        match ending.to_str()? {
            "pdf" => Some(TemplateFormat::Pdf),
            "svg" => Some(TemplateFormat::Svg),
            "dxf" => Some(TemplateFormat::Dxf),
            _ => None,
        }
    }
}

/// Format of a list.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum ListFormat {
    /// For spreadsheets.
    #[default]
    Csv,
    /// For programs.
    Json,
    /// Pages to print and to cut: labels only.
    Pages,
}

impl ListFormat {
    /// The format that a file's ending asks for.
    pub fn of(path: &Path) -> Option<ListFormat> {
        let ending = path.extension()?.to_ascii_lowercase();
        match ending.to_str()? {
            "csv" => Some(ListFormat::Csv),
            "json" => Some(ListFormat::Json),
            "pdf" => Some(ListFormat::Pages),
            _ => None,
        }
    }
}

/// A list as a file.
///
/// # Errors
///
/// In words: no such list, a list other than the labels as pages, or pages that cannot
/// be put together.
pub fn list_bytes(
    build: &Build<'_>,
    list: &str,
    format: ListFormat,
    paper: Paper,
) -> Result<Vec<u8>, String> {
    let list = List::of(list).ok_or_else(|| format!("there is no list '{list}'"))?;
    let table = || (list.make)(build);
    match format {
        ListFormat::Csv => Ok(lists::csv(&table())),
        ListFormat::Json => {
            let arrangement = &build.scene.arrangement().name;
            Ok(lists::json(&table(), &build.scene.title, arrangement).into_bytes())
        }
        ListFormat::Pages if list.id == "labels" => {
            let meta = Meta {
                title: format!("Labels: {}", build.scene.title),
                description: list.about.to_owned(),
            };
            print(&label_pages(build, paper), &meta)
        }
        ListFormat::Pages => Err("of the lists only labels are printed as pages".to_owned()),
    }
}

/// A template as a file.
///
/// # Errors
///
/// In words: no such zone or plate, a grille that is too fine, a page that is too
/// large, a file that cannot be put together.
pub fn template_bytes(
    build: &Build<'_>,
    subject: &Subject,
    options: Options,
    paper: Paper,
    format: TemplateFormat,
) -> Result<Vec<u8>, String> {
    let made = template::template(build, subject, options)?;
    let meta = Meta {
        title: made.title.clone(),
        description: format!("{}, at full size. {}", made.title, build.scene.title),
    };
    match format {
        TemplateFormat::Dxf => dxf::write(&made).map_err(|e| e.to_string()),
        TemplateFormat::Svg => {
            let (list, [width, height]) = template::page(&made);
            let page = Page::new(width, height).map_err(|e| e.to_string())?;
            Ok(svg::write(&list, page, &PRINT, &meta, svg::Font::Embedded).into_bytes())
        }
        TemplateFormat::Pdf => {
            let pages = template::tiles(&made, paper, &build.scene.title)?;
            print(&pages, &meta)
        }
    }
}

/// The build sheet: HTML for a tablet, or the pages of a PDF.
///
/// # Errors
///
/// In words, where the PDF cannot be put together.
pub fn sheet_bytes(build: &Build<'_>, paper: Paper, html: bool) -> Result<Vec<u8>, String> {
    let made = sheet::build_sheet(build);
    if html {
        return Ok(html::write(&made, &PRINT).into_bytes());
    }
    let meta = Meta {
        title: format!("Build sheet: {}", made.title),
        description: made.subtitle.clone(),
    };
    print(&sheet::pages(&made, paper), &meta)
}

/// Whether a build sheet's file is HTML or PDF, by its ending; `None` for any other.
pub fn is_html(path: &Path) -> Option<bool> {
    let ending = path.extension()?.to_ascii_lowercase();
    match ending.to_str()? {
        "html" | "htm" => Some(true),
        "pdf" => Some(false),
        _ => None,
    }
}

/// Pages as a PDF file.
fn print(pages: &[PrintPage], meta: &Meta) -> Result<Vec<u8>, String> {
    let mut sheets = Vec::new();
    for page in pages {
        let [width, height] = page.size;
        sheets.push(pdf::PdfPage {
            list: &page.list,
            page: Page::new(width, height).map_err(|e| e.to_string())?,
            name: &page.name,
        });
    }
    pdf::write(&sheets, &PRINT, meta).map_err(|e| e.to_string())
}
