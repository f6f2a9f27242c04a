//! The build sheet: what the bench needs to build the arrangement at hand.
//!
//! One content model, [`BuildSheet`]; the pages of the PDF ([`pages`]) and the HTML
//! file (`export::html`) are two readers of it. It carries what the scene knows and
//! says nothing that it does not.

mod checks;
mod compared;
mod fans;
mod pages;
mod pins;
mod sections;
mod zones;

pub use pages::pages;
pub use sections::build_sheet;

use crate::paper::Table;
use crate::view::list::DrawList;

/// A build sheet.
#[derive(Clone, Debug)]
pub struct BuildSheet {
    /// The scene's title.
    pub title: String,
    /// Arrangement, enclosure and size in one line.
    pub subtitle: String,
    /// The parts of it, in the order of the bench.
    pub sections: Vec<Section>,
}

/// A section under its heading.
#[derive(Clone, Debug)]
pub struct Section {
    /// A short name, unique in the sheet, for links and kept ticks.
    pub id: &'static str,
    /// Its heading.
    pub title: &'static str,
    /// What it holds.
    pub blocks: Vec<Block>,
}

/// A piece of a section.
#[derive(Clone, Debug)]
pub enum Block {
    /// A paragraph.
    Note(String),
    /// A warning.
    Caution(String),
    /// A smaller heading.
    Heading(String),
    /// A table; ticked off row by row where so said.
    Rows(Rows),
    /// Lines to tick off.
    Ticks(Vec<String>),
    /// Pictures in rows.
    Pictures(Vec<Picture>),
}

/// A table as it is shown.
#[derive(Clone, Debug)]
pub struct Rows {
    /// Headings.
    pub heads: Vec<RowHead>,
    /// Cells in words.
    pub rows: Vec<Vec<String>>,
    /// With a box to tick before each row.
    pub tick: bool,
}

/// A heading of a table.
#[derive(Clone, Debug)]
pub struct RowHead {
    /// In words.
    pub title: String,
    /// Figures stand at the right.
    pub figure: bool,
    /// A field to write in.
    pub blank: bool,
}

impl RowHead {
    fn words(title: &str) -> RowHead {
        RowHead {
            title: title.to_owned(),
            figure: false,
            blank: false,
        }
    }

    fn blank(title: &str) -> RowHead {
        RowHead {
            blank: true,
            ..RowHead::words(title)
        }
    }
}

/// A picture with its caption.
#[derive(Clone, Debug)]
pub struct Picture {
    /// Over it.
    pub caption: String,
    /// What it shows, from its upper left corner.
    pub list: DrawList,
    /// Its size in millimetres.
    pub size: [f64; 2],
}

impl Rows {
    /// Puts the next column with the title `from` into the one with the title `into`;
    /// nothing where either is missing. Cells that are empty are left out.
    fn join(&mut self, into: &str, from: &str, words: impl Fn(&str, &str) -> String) {
        let Some(at) = self.heads.iter().position(|h| h.title == into) else {
            return;
        };
        let next = self.heads.iter().skip(at + 1);
        let Some(gone) = next.clone().position(|h| h.title == from) else {
            return;
        };
        let gone = at + 1 + gone;
        self.heads.remove(gone);
        for row in &mut self.rows {
            let cell = row.remove(gone);
            if row[at].is_empty() {
                row[at] = cell;
            } else if !cell.is_empty() {
                row[at] = words(&row[at], &cell);
            }
        }
    }

    /// Of a list: without the columns that serve files only, and without those that
    /// are empty in every row.
    pub fn of(table: &Table, tick: bool) -> Rows {
        let used = |i: &usize| {
            !table.columns[*i].files_only && table.rows.iter().any(|r| !r[*i].shown().is_empty())
        };
        let kept: Vec<usize> = (0..table.columns.len()).filter(used).collect();
        let figure = |i: usize| table.rows.iter().any(|r| r[i].is_figure());
        Rows {
            heads: kept
                .iter()
                .map(|i| RowHead {
                    title: table.columns[*i].title.to_owned(),
                    figure: figure(*i),
                    blank: false,
                })
                .collect(),
            rows: table
                .rows
                .iter()
                .map(|r| kept.iter().map(|i| r[*i].shown()).collect())
                .collect(),
            tick,
        }
    }
}
