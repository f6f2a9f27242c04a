//! Screws by part, and all of them by thread and length.

use super::List;
use crate::geom::Length;
use crate::paper::joint::{Fastener, Joint, joins_fan, joints};
use crate::paper::{Build, Cell, Column, Table};
use std::collections::BTreeMap;

pub(super) const LIST: List = List {
    id: "screws",
    about: "screws by part, thread and length",
    make,
};

pub(super) const TOTALS: List = List {
    id: "screw-totals",
    about: "screws in all, by thread and length",
    make: totals,
};

const COLUMNS: &[Column] = &[
    Column::new("part", "part"),
    Column::file("part_name"),
    Column::new("zone", "in"),
    Column::new("holes", "its holes"),
    Column::new("joins", "from the head on"),
    Column::new("count", "pieces"),
    Column::new("fastener", "what"),
    Column::new("thread", "thread"),
    Column::new("length", "length"),
    Column::file("length_mm"),
    Column::new("clamped_mm", "clamped mm"),
    Column::new("note", "note"),
];

const TOTAL_COLUMNS: &[Column] = &[
    Column::new("fastener", "what"),
    Column::new("thread", "thread"),
    Column::new("length", "length"),
    Column::file("length_mm"),
    Column::new("count", "pieces"),
];

const ABOUT: &str = "A screw joins all that stands in one line with clearance holes. Its length is worked out: what it \
     clamps and one diameter in the thread (a nut: 1.2 diameters), up to the next length in stock (ISO 888; \
     from memory). How deep a thread is, the scene does not know: try the first screw by hand, above all in \
     radiators.";

/// One line of the list.
struct Row {
    part: String,
    name: String,
    zone: String,
    joins: String,
    labels: Vec<String>,
    fastener: Fastener,
    length: Option<(Length, String)>,
    clamped: Option<Length>,
    lacks: Option<(usize, usize)>,
    fan: bool,
}

fn rows(build: &Build<'_>) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    let mut at: BTreeMap<String, usize> = BTreeMap::new();
    for joint in joints(build) {
        let joins = joins(&joint);
        let key = format!(
            "{}|{}|{joins}|{:?}|{:?}|{:?}",
            joint.part,
            joint.zone,
            joint.fastener,
            joint.length(),
            joint.clamped(),
        );
        let index = *at.entry(key).or_insert(rows.len());
        if index == rows.len() {
            rows.push(Row {
                part: joint.part.to_string(),
                name: build.part_name(&joint.part),
                zone: joint.zone.clone(),
                joins,
                labels: Vec::new(),
                length: joint.length(),
                clamped: joint.clamped(),
                lacks: joint.lacks,
                fan: joins_fan(build, &joint),
                fastener: joint.fastener,
            });
        }
        rows[index].labels.push(joint.label);
    }
    rows
}

fn joins(joint: &Joint) -> String {
    let names: Vec<&str> = joint.members.iter().map(|m| m.name.as_str()).collect();
    names.join(" > ")
}

fn make(build: &Build<'_>) -> Table {
    let row = |r: Row| {
        vec![
            Cell::text(&r.part),
            Cell::text(&r.name),
            Cell::text(&r.zone),
            Cell::text(r.labels.join(" ")),
            Cell::text(&r.joins),
            Cell::Count(r.labels.len()),
            Cell::text(r.fastener.words()),
            thread(&r.fastener),
            length_name(&r),
            length_mm(&r),
            match r.fastener {
                Fastener::Nut(_) => Cell::Empty,
                _ => Cell::length(r.clamped),
            },
            Cell::text(note(&r)),
        ]
    };
    Table {
        id: LIST.id,
        title: "Screws by part",
        about: ABOUT.to_owned(),
        columns: COLUMNS,
        rows: rows(build).into_iter().map(row).collect(),
    }
}

fn thread(fastener: &Fastener) -> Cell {
    fastener.thread().map_or(Cell::Unknown, Cell::text)
}

fn length_name(row: &Row) -> Cell {
    match (&row.length, &row.fastener) {
        (Some((_, name)), _) => Cell::text(name),
        (None, Fastener::Nut(_)) => Cell::Empty,
        (None, _) => Cell::Unknown,
    }
}

fn length_mm(row: &Row) -> Cell {
    match (&row.length, &row.fastener) {
        (Some((length, _)), _) => Cell::Mm(*length),
        (None, Fastener::Nut(_)) => Cell::Empty,
        (None, _) => Cell::Unknown,
    }
}

fn note(row: &Row) -> String {
    let mut notes = Vec::new();
    match &row.fastener {
        Fastener::Bolt(t) if row.fan => {
            notes.push(format!(
                "no thread here: a self-tapping fan screw, or up to {t}"
            ));
        }
        Fastener::Bolt(t) => notes.push(format!("no thread here: up to {t}")),
        Fastener::Nut(_) => notes.push("comes with the part".to_owned()),
        Fastener::Unclear => notes.push("the holes do not say which screw".to_owned()),
        Fastener::Screw(_) => {}
    }
    if row.length.is_none() && !matches!(row.fastener, Fastener::Nut(_)) {
        notes.push(match row.clamped {
            None => "length not known: a thickness is not in the scene".to_owned(),
            Some(_) => "length not known: longer than usual stock".to_owned(),
        });
    }
    if let Some((matched, needs)) = row.lacks {
        notes.push(format!("only {matched} of {needs} holes meet"));
    }
    notes.join("; ")
}

fn totals(build: &Build<'_>) -> Table {
    let mut sums: BTreeMap<(String, Option<Length>, &'static str, String), usize> = BTreeMap::new();
    for row in rows(build) {
        let thread = row.fastener.thread().unwrap_or_default().to_owned();
        let (length, name) = match row.length.clone() {
            Some((length, name)) => (Some(length), name),
            None => (None, String::new()),
        };
        *sums
            .entry((thread, length, row.fastener.words(), name))
            .or_default() += row.labels.len();
    }
    let rows = sums
        .into_iter()
        .map(|((thread, length, what, name), count)| {
            let nut = what == Fastener::Nut(String::new()).words();
            let missing = if nut { Cell::Empty } else { Cell::Unknown };
            vec![
                Cell::text(what),
                if thread.is_empty() {
                    Cell::Unknown
                } else {
                    Cell::text(thread)
                },
                if name.is_empty() {
                    missing.clone()
                } else {
                    Cell::text(name)
                },
                length.map_or(missing, Cell::Mm),
                Cell::Count(count),
            ]
        });
    Table {
        id: TOTALS.id,
        title: "Screws in all",
        about: "Every screw of the list by part, summed by thread and length.".to_owned(),
        columns: TOTAL_COLUMNS,
        rows: rows.collect(),
    }
}
