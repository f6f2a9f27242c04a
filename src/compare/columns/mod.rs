//! The columns, one theme a file.

mod cables;
mod findings;
mod gap;
mod mass;
mod room;

use super::Column;

/// All columns, in the order in which they are shown.
pub static COLUMNS: &[&dyn Column] = &[
    &findings::Stops,
    &findings::Cautions,
    &findings::Remarks,
    &gap::SmallestGap,
    &cables::Short,
    &cables::Spare,
    &cables::Length,
    &room::FreeRoom,
    &mass::Mass,
    &mass::Centre,
    &mass::Cost,
];

/// The column with this id.
pub fn column(id: &str) -> Option<&'static dyn Column> {
    COLUMNS.iter().copied().find(|c| c.id() == id)
}

/// 'mass of 3 parts not known', with the names where they are few.
fn not_known(what: &str, of: &str, names: &[&str]) -> Option<String> {
    let n = names.len();
    let some = match n {
        0 => return None,
        1..=3 => format!(" ({})", names.join("; ")),
        _ => format!(" ({}; …)", names[..3].join("; ")),
    };
    let plural = if n == 1 { "" } else { "s" };
    Some(format!("{what} of {n} {of}{plural} not known{some}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn ids_and_titles_differ_and_every_column_explains_itself() {
        let ids: BTreeSet<&str> = COLUMNS.iter().map(|c| c.id()).collect();
        let titles: BTreeSet<&str> = COLUMNS.iter().map(|c| c.title()).collect();
        assert_eq!((ids.len(), titles.len()), (COLUMNS.len(), COLUMNS.len()));
        for c in COLUMNS {
            assert!(c.about().len() > c.title().len() + 20, "{}", c.id());
            assert!(column(c.id()).is_some_and(|d| d.title() == c.title()));
            let plain = |ch: char| ch.is_ascii_lowercase() || ch == '_';
            assert!(c.id().chars().all(plain), "{}", c.id());
        }
    }

    #[test]
    fn what_is_not_known_is_counted_and_named() {
        assert_eq!(not_known("mass", "part", &[]), None);
        let one = not_known("mass", "part", &["fan"]);
        assert_eq!(one.as_deref(), Some("mass of 1 part not known (fan)"));
        let many = not_known("mass", "part", &["a", "b", "c", "d"]);
        assert_eq!(
            many.as_deref(),
            Some("mass of 4 parts not known (a; b; c; …)")
        );
    }
}
