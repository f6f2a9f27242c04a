//! The table: a row for each arrangement.

use super::{COLUMNS, Column, Delta, Facts, Figure, columns::column};
use crate::model::{Catalogue, Scene, Settings};
use crate::rules::Checker;
use std::sync::Arc;

/// The figures of one arrangement.
#[derive(Clone, PartialEq, Debug)]
pub struct Row {
    /// Name of the arrangement.
    pub name: String,
    /// One figure for each column of [`COLUMNS`].
    pub figures: Vec<Figure>,
}

/// A row for each arrangement of a scene.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Table {
    /// Title of the scene.
    pub title: String,
    /// The rows, in the scene's order.
    pub rows: Vec<Row>,
    /// The row that the others are measured against.
    pub base: Option<usize>,
}

impl Row {
    /// The figures of the arrangement at hand of a scene that was checked.
    pub fn of(scene: &Scene, checker: &Checker) -> Row {
        let facts = Facts { scene, checker };
        Row {
            name: scene.arrangement().name.clone(),
            figures: COLUMNS.iter().map(|c| c.figure(facts)).collect(),
        }
    }

    /// The figure in the column with this id.
    pub fn figure(&self, id: &str) -> Option<&Figure> {
        let at = COLUMNS.iter().position(|c| c.id() == id)?;
        self.figures.get(at)
    }
}

impl Table {
    /// Checks and measures every arrangement of a scene.
    pub fn of(scene: &Scene, settings: &Arc<Settings>, catalogue: &Arc<Catalogue>) -> Table {
        let rows = (0..scene.arrangements.len()).filter_map(|i| {
            let scene = scene.showing(i)?;
            let mut checker = Checker::new(settings.clone()).with_catalogue(catalogue.clone());
            checker.check_all(&scene);
            Some(Row::of(&scene, &checker))
        });
        Table {
            title: scene.title.clone(),
            rows: rows.collect(),
            base: None,
        }
    }

    /// Difference of a figure to that of the base; `None` without a base, in the base's
    /// own row, and where either figure has no value.
    pub fn delta(&self, row: usize, column: usize) -> Option<Delta> {
        let base = self.base.filter(|b| *b != row)?;
        let figure = |row: usize| self.rows.get(row)?.figures.get(column);
        figure(row)?.delta(figure(base)?, COLUMNS.get(column)?.better())
    }

    /// The rows' indices sorted by a column; equal ones stay in the scene's order.
    /// Without a column that exists, the scene's order.
    pub fn order(&self, by: Option<&str>, descending: bool) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.rows.len()).collect();
        let at = by.and_then(|id| COLUMNS.iter().position(|c| c.id() == id));
        if let Some(at) = at {
            order.sort_by(|a, b| {
                let of = |row: &usize| &self.rows[*row].figures[at];
                of(a).order(of(b), descending)
            });
        }
        order
    }

    /// The column with this id, for headings.
    pub fn column(id: &str) -> Option<&'static dyn Column> {
        column(id)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block};
    use crate::compare::Sense;
    use crate::edit::Edit;
    use crate::model::Group;

    /// A clash, and a branch without it.
    fn table() -> Table {
        let mut b = Build::open()
            .with("a", &block("one", Group::Drive, [20.0; 3]), [100.0; 3])
            .with(
                "b",
                &block("two", Group::Drive, [20.0; 3]),
                [110.0, 100.0, 100.0],
            );
        let copy = crate::model::Arrangement {
            name: "apart".into(),
            ..b.scene.arrangement().clone()
        };
        b.edit(Edit::AddArrangement(copy));
        let b = b.moved("b", [15.0, 0.0, 0.0]);
        let (settings, catalogue) = (Arc::new(b.settings.clone()), Arc::new(b.catalogue.clone()));
        Table::of(&b.scene, &settings, &catalogue)
    }

    #[test]
    fn each_arrangement_has_its_own_figures() {
        let mut t = table();
        let text = |row: usize, id: &str| t.rows[row].figure(id).expect("a column").text();
        assert_eq!((text(0, "stop"), text(1, "stop")), ("1".into(), "0".into()));
        assert_eq!(text(1, "smallest_gap"), "5.0");
        assert_eq!(text(0, "mass"), "not known");
        assert_eq!(t.delta(1, 0), None);
        t.base = Some(0);
        let delta = t.delta(1, 0).expect("both are counted");
        assert_eq!((delta.text.as_str(), delta.sense), ("-1", Sense::Better));
        assert_eq!(t.delta(0, 0), None);
        assert_eq!(t.delta(1, 99), None);
    }

    #[test]
    fn rows_are_sorted_by_any_column() {
        let t = table();
        assert_eq!(t.order(Some("stop"), false), [1, 0]);
        assert_eq!(t.order(Some("stop"), true), [0, 1]);
        assert_eq!(t.order(Some("mass"), true), [0, 1]);
        assert_eq!(t.order(Some("no such"), false), [0, 1]);
        // One has a gap of 5, the other none at all: that comes last either way.
        assert_eq!(t.order(Some("smallest_gap"), false), [1, 0]);
        assert_eq!(t.order(Some("smallest_gap"), true), [1, 0]);
    }
}
