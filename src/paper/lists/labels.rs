//! A label for each end of each lead.

use super::List;
use crate::model::PortRef;
use crate::paper::{Build, Cell, Column, Table};

pub(super) const LIST: List = List {
    id: "labels",
    about: "a label for each end of each lead",
    make,
};

const COLUMNS: &[Column] = &[
    Column::new("label", "label"),
    Column::new("lead", "lead"),
    Column::file("end"),
    Column::new("here", "this end in"),
    Column::new("plug", "plug"),
    Column::new("there", "other end in"),
    Column::file("line_1"),
    Column::file("line_2"),
];

fn make(build: &Build<'_>) -> Table {
    let mut rows = Vec::new();
    for (id, cable) in &build.scene.arrangement().cables {
        let ports: Vec<&PortRef> = cable.ports().collect();
        for (i, port) in ports.iter().enumerate() {
            // A captive lead needs no label where it leaves its part.
            if i == 0 && cable.kind.is_none() {
                continue;
            }
            let others = ports.iter().enumerate().filter(|(j, _)| *j != i);
            let others: Vec<String> = others.map(|(_, p)| build.port_words(p)).collect();
            let here = build.port_words(port);
            rows.push(vec![
                Cell::text(format!("{id}/{}", i + 1)),
                Cell::text(id.as_str()),
                Cell::Count(i + 1),
                Cell::text(&here),
                Cell::text(build.plug_words(port)),
                Cell::text(others.join("; ")),
                Cell::text(format!("{id}/{}", i + 1)),
                Cell::text(here),
            ]);
        }
    }
    Table {
        id: LIST.id,
        title: "Labels of cable ends",
        about: "One label an end, numbered from the giving end; an end that is fixed to its part needs none."
            .to_owned(),
        columns: COLUMNS,
        rows,
    }
}
