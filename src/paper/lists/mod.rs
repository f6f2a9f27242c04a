//! Lists of a build. A new list is one file and one line in [`LISTS`].

mod labels;
mod leads;
mod parts;
mod screws;
mod sockets;

use super::{Build, Table};

/// A list that can be asked for.
pub struct List {
    /// Its name on the command line and in files.
    pub id: &'static str,
    /// What it holds, in a few words.
    pub about: &'static str,
    /// Makes it.
    pub make: fn(&Build<'_>) -> Table,
}

/// All lists.
pub const LISTS: &[List] = &[
    parts::LIST,
    screws::LIST,
    screws::TOTALS,
    leads::LIST,
    leads::STRETCHES,
    sockets::LIST,
    labels::LIST,
];

impl List {
    /// The list with this name.
    pub fn of(id: &str) -> Option<&'static List> {
        LISTS.iter().find(|l| l.id == id)
    }
}
