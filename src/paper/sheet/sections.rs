//! The sections of a build sheet, in the order of the bench.

use super::{Block, BuildSheet, RowHead, Rows, Section, checks, compared, fans, pins, zones};
use crate::model::{Group, PartId};
use crate::paper::{Build, Table, lists};
use crate::rules::Severity;

/// The build sheet of the arrangement at hand.
pub fn build_sheet(build: &Build<'_>) -> BuildSheet {
    let scene = build.scene;
    let e = &scene.enclosure;
    let sections = vec![
        overview(build),
        parts(build),
        zones_section(build),
        screws(build),
        leads(build),
        sockets(build),
        fans::section(build),
        checks::section(build),
        records(build),
        compared::section(build),
    ];
    BuildSheet {
        title: scene.title.clone(),
        subtitle: format!(
            "Arrangement '{}' in {}, {} x {} x {} mm",
            scene.arrangement().name,
            e.name,
            e.size.x,
            e.size.y,
            e.size.z
        ),
        sections: sections
            .into_iter()
            .filter(|s| !s.blocks.is_empty())
            .collect(),
    }
}

fn table(build: &Build<'_>, id: &str) -> Table {
    let list = lists::List::of(id).expect("the lists of the sheet are in the list of lists");
    (list.make)(build)
}

/// True where a part of one of these groups is in the scene.
pub(super) fn has(build: &Build<'_>, groups: &[Group]) -> bool {
    build
        .scene
        .parts
        .values()
        .any(|p| groups.contains(&p.kind.group))
}

/// True where a hose is in the scene.
pub(super) fn has_liquid(build: &Build<'_>) -> bool {
    let ports = build.scene.parts.values().flat_map(|p| &p.kind.ports);
    ports.into_iter().any(|p| p.connector == "hose-end")
}

fn overview(build: &Build<'_>) -> Section {
    let mut blocks = Vec::new();
    if !build.scene.notes.is_empty() {
        blocks.push(Block::Note(build.scene.notes.clone()));
    }
    blocks.push(Block::Note(format!(
        "{} parts, {} leads and hoses. All figures are planning figures: measure before you rely on them.",
        build.scene.parts.len(),
        build.scene.arrangement().cables.len()
    )));
    if build.open_stops > 0 {
        blocks.push(Block::Caution(format!(
            "{} stop {} open: it cannot be built like this. Settle them first.",
            build.open_stops,
            if build.open_stops == 1 {
                "finding is"
            } else {
                "findings are"
            }
        )));
    }
    let worth = build
        .findings
        .iter()
        .filter(|(f, _)| f.severity != Severity::Remark);
    let rows: Vec<Vec<String>> = worth
        .take(MOST_FINDINGS)
        .map(|(f, reason)| {
            let reason = reason.unwrap_or_default().to_owned();
            vec![f.severity.name().to_owned(), f.text.clone(), reason]
        })
        .collect();
    if rows.is_empty() {
        blocks.push(Block::Note(
            "The rules found nothing to stop or to be careful about.".to_owned(),
        ));
    } else {
        let cut = rows.len() == MOST_FINDINGS;
        let mut heads = vec![RowHead::words("what"), RowHead::words("finding")];
        let reasons = rows.iter().any(|r| !r[2].is_empty());
        let rows = rows
            .into_iter()
            .map(|mut r| {
                r.truncate(if reasons { 3 } else { 2 });
                r
            })
            .collect();
        if reasons {
            heads.push(RowHead::words("accepted because"));
        }
        blocks.push(Block::Rows(Rows {
            heads,
            rows,
            tick: true,
        }));
        if cut {
            blocks.push(Block::Note(
                "There are more; the program lists all of them.".to_owned(),
            ));
        }
    }
    Section {
        id: "overview",
        title: "What is built",
        blocks,
    }
}

/// So many findings are printed: a scene with more is no build yet.
const MOST_FINDINGS: usize = 60;

fn parts(build: &Build<'_>) -> Section {
    let table = table(build, "parts");
    let mut blocks = Vec::new();
    if has(
        build,
        &[Group::Board, Group::Memory, Group::Card, Group::Drive],
    ) {
        blocks.push(Block::Caution(
            "Boards, cards, memory and drives do not stand static: earth yourself before you take them out of their bags."
                .to_owned(),
        ));
    }
    if !build.scene.enclosure.plates.is_empty() {
        blocks.push(Block::Caution(
            "Sheet metal has sharp edges: wear gloves until it is deburred.".to_owned(),
        ));
    }
    blocks.push(Block::Note(table.about.clone()));
    blocks.push(Block::Rows(Rows::of(&table, true)));
    Section {
        id: "parts",
        title: "Parts and places",
        blocks,
    }
}

fn zones_section(build: &Build<'_>) -> Section {
    let pictures = zones::pictures(build);
    let mut blocks = Vec::new();
    if !pictures.is_empty() {
        blocks.push(Block::Note(
            "Each zone of the enclosure that holds a part, seen from the side where the part goes, not mirrored. Filled \
             holes take a screw and bear the name of the part's own hole, as in the list of screws; the dashed outline \
             is the part."
                .to_owned(),
        ));
        blocks.push(Block::Pictures(pictures));
    }
    Section {
        id: "zones",
        title: "Zones",
        blocks,
    }
}

fn screws(build: &Build<'_>) -> Section {
    let by_part = table(build, "screws");
    let mut blocks = Vec::new();
    if !by_part.rows.is_empty() {
        if has(build, &[Group::Radiator]) {
            blocks.push(Block::Caution(
                "A screw that is too long pierces the tubes of a radiator: try the first one by hand without force."
                    .to_owned(),
            ));
        }
        blocks.push(Block::Note(by_part.about.clone()));
        let mut rows = Rows::of(&by_part, true);
        rows.join("in", "its holes", |zone, holes| {
            format!("{zone} (holes {holes})")
        });
        blocks.push(Block::Rows(rows));
        blocks.push(Block::Heading("In all".to_owned()));
        blocks.push(Block::Rows(Rows::of(&table(build, "screw-totals"), true)));
    }
    Section {
        id: "screws",
        title: "Screws",
        blocks,
    }
}

fn leads(build: &Build<'_>) -> Section {
    let leads = table(build, "leads");
    let mut blocks = Vec::new();
    if !leads.rows.is_empty() {
        if has(build, &[Group::Supply]) {
            blocks.push(Block::Caution(
                "The supply holds mains and stored charge: never open it, and unplug it from the mains before you plug or \
                 unplug a lead. Mains work is for those who are licensed for it; follow the makers' instructions and local codes."
                    .to_owned(),
            ));
        }
        if is_modular(build) {
            blocks.push(Block::Caution(
                "Use only the leads that came with this very supply. The leads of another modular supply may fit its sockets \
                 and destroy everything behind them."
                    .to_owned(),
            ));
        }
        if has_liquid(build) {
            blocks.push(Block::Caution(
                "Liquid near power: fill and leak-test with the mains unplugged and the leads off, before anything is powered."
                    .to_owned(),
            ));
        }
        blocks.push(Block::Note(leads.about.clone()));
        blocks.push(Block::Rows(lead_rows(&leads)));
        let mut stretches = table(build, "stretches");
        let names = stretches.texts("lead");
        let several = |n: &String| names.iter().filter(|m| *m == n).count() > 1;
        let kept: Vec<bool> = names.iter().map(several).collect();
        let mut keep = kept.iter();
        stretches
            .rows
            .retain(|_| keep.next().copied().unwrap_or(false));
        if !stretches.rows.is_empty() {
            blocks.push(Block::Heading(
                "Leads with several plugs, plug by plug".to_owned(),
            ));
            blocks.push(Block::Rows(Rows::of(&stretches, false)));
        }
    }
    Section {
        id: "leads",
        title: "Leads and hoses",
        blocks,
    }
}

/// The leads as the bench reads them: the name beside the id, each plug beside its
/// socket, so that the page has room for way and note.
fn lead_rows(leads: &Table) -> Rows {
    let mut rows = Rows::of(leads, true);
    rows.join("id", "lead", |id, name| format!("{id}: {name}"));
    // Two columns have this title: the first belongs to the giving end.
    for end in ["from", "to"] {
        rows.join(end, "plug there", |socket, plug| {
            format!("{socket} ({plug})")
        });
    }
    if let Some(head) = rows.heads.first_mut() {
        "lead".clone_into(&mut head.title);
    }
    rows
}

/// True where a supply has sockets for leads, not leads of its own.
fn is_modular(build: &Build<'_>) -> bool {
    let supplies = build.scene.parts.values();
    supplies
        .filter(|p| p.kind.group == Group::Supply)
        .flat_map(|p| &p.kind.ports)
        .any(|p| p.lead.is_none())
}

fn sockets(build: &Build<'_>) -> Section {
    let table = table(build, "sockets");
    let mut blocks = Vec::new();
    if !table.rows.is_empty() {
        blocks.push(Block::Note(table.about.clone()));
        blocks.push(Block::Rows(Rows::of(&table, true)));
        blocks.extend(pins::blocks(build));
    }
    Section {
        id: "sockets",
        title: "Sockets and headers",
        blocks,
    }
}

fn records(build: &Build<'_>) -> Section {
    let ids: Vec<&PartId> = build.parts_in_order();
    let serial: Vec<Vec<String>> = ids
        .iter()
        .map(|id| {
            vec![
                id.to_string(),
                build.part_name(id),
                String::new(),
                String::new(),
            ]
        })
        .collect();
    let weak = |id: &&&PartId| {
        let figures = &build.scene.parts[**id].kind.figures;
        figures.iter().any(|f| f.confidence.is_weak())
    };
    let sizes: Vec<Vec<String>> = ids
        .iter()
        .filter(weak)
        .map(|id| {
            let kind = &build.scene.parts[*id].kind;
            vec![id.to_string(), kind.size_text(), String::new()]
        })
        .collect();
    let mut blocks = Vec::new();
    if !serial.is_empty() {
        blocks.push(Block::Heading("Serial numbers".to_owned()));
        blocks.push(Block::Rows(Rows {
            heads: vec![
                RowHead::words("part"),
                RowHead::words("name"),
                RowHead::blank("serial number"),
                RowHead::blank("remark"),
            ],
            rows: serial,
            tick: false,
        }));
    }
    if !sizes.is_empty() {
        blocks.push(Block::Heading(
            "Outer sizes that the scene knows from memory, practice or invention: measure them"
                .to_owned(),
        ));
        blocks.push(Block::Rows(Rows {
            heads: vec![
                RowHead::words("part"),
                RowHead::words("in the scene, mm"),
                RowHead::blank("measured"),
            ],
            rows: sizes,
            tick: false,
        }));
    }
    blocks.extend(checks::measured(build));
    Section {
        id: "records",
        title: "Serial numbers and measured values",
        blocks,
    }
}
