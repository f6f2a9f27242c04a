//! Every socket, header and captive lead of every part, and what is in it.

use super::List;
use crate::model::{PortRef, Role};
use crate::paper::{Build, Cell, Column, Table};
use std::collections::BTreeMap;

pub(super) const LIST: List = List {
    id: "sockets",
    about: "every socket, header and lead end and what is in it",
    make,
};

const COLUMNS: &[Column] = &[
    Column::new("part", "part"),
    Column::file("part_name"),
    Column::file("port"),
    Column::new("name", "socket or header"),
    Column::file("connector"),
    Column::new("plug", "plug"),
    Column::file("role"),
    Column::new("lead", "lead"),
    Column::new("other_end", "other end"),
    Column::new("state", "state"),
];

fn make(build: &Build<'_>) -> Table {
    let mut plugged: BTreeMap<&PortRef, Vec<(String, String)>> = BTreeMap::new();
    for (id, cable) in &build.scene.arrangement().cables {
        for port in cable.ports() {
            let others = cable.ports().filter(|p| *p != port);
            let others: Vec<String> = others.map(|p| build.port_words(p)).collect();
            plugged
                .entry(port)
                .or_default()
                .push((id.to_string(), others.join("; ")));
        }
    }
    let mut rows = Vec::new();
    for id in build.parts_in_order() {
        let part = &build.scene.parts[id];
        for port in &part.kind.ports {
            let key = PortRef {
                part: id.clone(),
                port: port.id.clone(),
            };
            let found = plugged.get(&key).map_or(&[][..], Vec::as_slice);
            let leads: Vec<&str> = found.iter().map(|(l, _)| l.as_str()).collect();
            let others: Vec<&str> = found.iter().map(|(_, o)| o.as_str()).collect();
            let state = match (found.len(), port.required) {
                (0, true) => "open, has to be connected",
                (0, false) => "open",
                (1, _) => "connected",
                _ => "more than one lead",
            };
            rows.push(vec![
                Cell::text(id.as_str()),
                Cell::text(&part.name),
                Cell::text(&port.id),
                Cell::text(&port.name),
                Cell::text(&port.connector),
                Cell::text(build.connector_name(&port.connector)),
                Cell::text(match port.role {
                    Role::Source => "gives",
                    Role::Sink => "takes",
                    Role::Both => "either",
                }),
                Cell::text(leads.join("; ")),
                Cell::text(others.join("; ")),
                Cell::text(state),
            ]);
        }
    }
    Table {
        id: LIST.id,
        title: "Sockets and headers",
        about: "Each socket, header and fixed lead of each part, with the lead that is in it in this arrangement."
            .to_owned(),
        columns: COLUMNS,
        rows,
    }
}
