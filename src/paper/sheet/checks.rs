//! Checks before the first power-on, and values to measure at it.

use super::sections::{has, has_liquid};
use super::{Block, RowHead, Rows, Section};
use crate::model::{Group, PortRef};
use crate::paper::Build;
use crate::paper::joint::joints;

pub(super) fn section(build: &Build<'_>) -> Section {
    let mut ticks = Vec::new();
    let screws = joints(build).len();
    if screws > 0 {
        ticks.push(format!(
            "All {screws} screws, bolts and nuts of the list are in; none lies loose inside."
        ));
    }
    let leads = build.scene.arrangement().cables.len();
    if leads > 0 {
        ticks.push(format!(
            "All {leads} leads and hoses are in at both ends, latched, and go the way of the list."
        ));
    }
    ticks.extend(open_ports(build));
    if has(build, &[Group::Fan]) {
        ticks.push(
            "Each fan turns freely by hand, blows as listed, and no lead comes near its blades."
                .to_owned(),
        );
    }
    if has_liquid(build) {
        ticks.push(
            "Leak test passed with the power leads off; pressure or time: ______________"
                .to_owned(),
        );
    }
    if has(build, &[Group::Board]) {
        ticks.push(
            "No spacer stands under the board where it has no hole; nothing loose lies behind it."
                .to_owned(),
        );
    }
    for part in build.placed.unplaced() {
        ticks.push(format!(
            "'{part}' lies beside the enclosure in this arrangement: it is left out on purpose."
        ));
    }
    for plate in build
        .scene
        .enclosure
        .plates
        .iter()
        .filter(|p| p.panel.is_some())
    {
        ticks.push(format!(
            "'{}' is on and does not press on a lead.",
            plate.name
        ));
    }
    if build.open_stops > 0 {
        ticks.push(format!(
            "The {} open stop findings are settled.",
            build.open_stops
        ));
    }
    let mut blocks = Vec::new();
    if has(build, &[Group::Supply]) {
        blocks.push(Block::Caution(
            "Mains: close the enclosure before the supply is switched on, and never reach in while it is plugged in."
                .to_owned(),
        ));
    }
    if has(build, &[Group::Fan]) {
        blocks.push(Block::Caution(
            "Fans start without warning: keep fingers, hair and leads away.".to_owned(),
        ));
    }
    if has(
        build,
        &[
            Group::Cooler,
            Group::Radiator,
            Group::Block,
            Group::Card,
            Group::Supply,
        ],
    ) {
        blocks.push(Block::Caution(
            "Coolers, radiators, cards and supplies get hot: let them cool before you touch them."
                .to_owned(),
        ));
    }
    if !ticks.is_empty() {
        blocks.push(Block::Ticks(ticks));
        blocks.push(Block::Note(
            "Built by ______________________   checked by ______________________   date ______________".to_owned(),
        ));
    }
    Section {
        id: "checks",
        title: "Before the first power-on",
        blocks,
    }
}

/// Sockets that have to be connected and are not.
fn open_ports(build: &Build<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    for id in build.parts_in_order() {
        for port in build.scene.parts[id]
            .kind
            .ports
            .iter()
            .filter(|p| p.required)
        {
            let port = PortRef {
                part: id.clone(),
                port: port.id.clone(),
            };
            if build.placed.plugged(&port).is_empty() {
                lines.push(format!(
                    "{} has to be connected; this arrangement has no lead for it.",
                    build.port_words(&port)
                ));
            }
        }
    }
    lines
}

/// Values to measure at the first power-on.
pub(super) fn measured(build: &Build<'_>) -> Vec<Block> {
    let ports = |p: &crate::model::Part| {
        p.kind
            .ports
            .iter()
            .any(|p| p.connector == "supply-main-24" || p.connector == "main-24")
    };
    let parts = build.scene.parts.values();
    let feeds = parts.filter(|p| p.kind.group == Group::Supply).any(ports);
    let mut rows = Vec::new();
    if feeds {
        // Direct voltages of a supply with a main lead of 24 pins, within 5 %
        // (power supply design guides, from memory).
        for (name, range) in [
            ("12 V at the main lead", "11.40 to 12.60 V"),
            ("5 V at the main lead", "4.75 to 5.25 V"),
            ("3.3 V at the main lead", "3.14 to 3.47 V"),
            ("5 V standby", "4.75 to 5.25 V"),
        ] {
            rows.push(vec![name.to_owned(), range.to_owned(), String::new()]);
        }
    }
    for id in build.parts_in_order() {
        let part = &build.scene.parts[id];
        if part.kind.group == Group::Fan {
            rows.push(vec![
                format!("speed of {id} at full power"),
                String::new(),
                String::new(),
            ]);
        }
    }
    if rows.is_empty() {
        return Vec::new();
    }
    vec![
        Block::Heading("At the first power-on".to_owned()),
        Block::Rows(Rows {
            heads: vec![
                RowHead::words("value"),
                RowHead::words("wanted"),
                RowHead::blank("measured"),
            ],
            rows,
            tick: false,
        }),
    ]
}
