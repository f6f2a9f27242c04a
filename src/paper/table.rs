//! Tables: the one content model of lists, build sheet and their files.

use crate::geom::Length;

/// A column of a table.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Column {
    /// Its name in files: lower case, with the unit at the end (`length_mm`).
    pub key: &'static str,
    /// Its heading for people.
    pub title: &'static str,
    /// True where it only serves programs: it stands in files, not on the sheet.
    pub files_only: bool,
}

impl Column {
    /// A column of files and sheet.
    pub const fn new(key: &'static str, title: &'static str) -> Column {
        Column {
            key,
            title,
            files_only: false,
        }
    }

    /// A column of files only.
    pub const fn file(key: &'static str) -> Column {
        Column {
            key,
            title: "",
            files_only: true,
        }
    }
}

/// One field.
#[derive(Clone, PartialEq, Debug)]
pub enum Cell {
    /// Words.
    Text(String),
    /// A length, in millimetres in files.
    Mm(Length),
    /// A count.
    Count(usize),
    /// Any other figure; finite.
    Number(f64),
    /// Does not apply.
    Empty,
    /// Applies, but the scene does not know it.
    Unknown,
}

impl Cell {
    /// Words; empty words do not apply.
    pub fn text(words: impl Into<String>) -> Cell {
        let words = words.into();
        if words.is_empty() {
            Cell::Empty
        } else {
            Cell::Text(words)
        }
    }

    /// A figure that may be missing.
    pub fn figure(value: Option<f64>) -> Cell {
        match value.filter(|v| v.is_finite()) {
            Some(v) => Cell::Number(v),
            None => Cell::Unknown,
        }
    }

    /// A length that may be missing.
    pub fn length(value: Option<Length>) -> Cell {
        value.map_or(Cell::Unknown, Cell::Mm)
    }

    /// As on the sheet: lengths with one decimal.
    pub fn shown(&self) -> String {
        match self {
            Cell::Text(t) => t.clone(),
            Cell::Mm(l) => l.text1(),
            Cell::Count(n) => n.to_string(),
            Cell::Number(v) => format!("{v}"),
            Cell::Empty => String::new(),
            Cell::Unknown => "not known".to_owned(),
        }
    }

    /// True for lengths, counts and figures.
    pub fn is_figure(&self) -> bool {
        matches!(self, Cell::Mm(_) | Cell::Count(_) | Cell::Number(_))
    }
}

/// Rows under headings. Every row has as many cells as there are columns.
#[derive(Clone, PartialEq, Debug)]
pub struct Table {
    /// Its name in files and on the command line.
    pub id: &'static str,
    /// For people.
    pub title: &'static str,
    /// What it says, and by which rules its figures came about.
    pub about: String,
    /// Headings.
    pub columns: &'static [Column],
    /// The rows.
    pub rows: Vec<Vec<Cell>>,
}

impl Table {
    /// The cells of one column; none where there is no such column.
    pub fn column(&self, key: &str) -> Vec<&Cell> {
        match self.columns.iter().position(|c| c.key == key) {
            Some(i) => self.rows.iter().filter_map(|r| r.get(i)).collect(),
            None => Vec::new(),
        }
    }

    /// The same in words, for tests and look-ups.
    pub fn texts(&self, key: &str) -> Vec<String> {
        self.column(key).into_iter().map(Cell::shown).collect()
    }
}
