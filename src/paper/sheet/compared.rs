//! The arrangements of the scene side by side, for whoever has to choose.

use super::{Block, RowHead, Rows, Section};
use crate::compare::{COLUMNS, Table};
use crate::paper::Build;

/// So many arrangements stand beside one another; more go into a further table.
const ACROSS: usize = 5;

/// Empty where the scene has one arrangement only.
pub(super) fn section(build: &Build<'_>) -> Section {
    let scene = build.scene;
    let mut blocks = Vec::new();
    if scene.arrangements.len() > 1 {
        let mut table = Table::of(scene, build.settings, build.catalogue);
        table.base = Some(scene.current);
        blocks.push(Block::Note(format!(
            "In brackets the difference to '{}', which this sheet is about. '+?' means that more is not known. Planning \
             figures.",
            scene.arrangement().name
        )));
        let others = (0..table.rows.len()).filter(|r| *r != scene.current);
        for some in others.collect::<Vec<_>>().chunks(ACROSS - 1) {
            blocks.push(Block::Rows(rows(&table, scene.current, some)));
        }
    }
    Section {
        id: "arrangements",
        title: "Arrangements compared",
        blocks,
    }
}

/// The base first, then some of the others.
fn rows(table: &Table, base: usize, others: &[usize]) -> Rows {
    let across: Vec<usize> = std::iter::once(base)
        .chain(others.iter().copied())
        .collect();
    let names = across.iter().map(|r| RowHead {
        figure: true,
        ..RowHead::words(&table.rows[*r].name)
    });
    let line = |(c, column): (usize, &&dyn crate::compare::Column)| {
        let unit = match column.unit() {
            "" => String::new(),
            unit => format!(", {unit}"),
        };
        let figures = across.iter().map(|r| {
            let figure = table.rows[*r].figures[c].text();
            match table.delta(*r, c) {
                Some(delta) => format!("{figure} ({})", delta.text),
                None => figure,
            }
        });
        std::iter::once(format!("{}{unit}", column.title()))
            .chain(figures)
            .collect()
    };
    Rows {
        heads: std::iter::once(RowHead::words("figure"))
            .chain(names)
            .collect(),
        rows: COLUMNS.iter().enumerate().map(line).collect(),
        tick: false,
    }
}
