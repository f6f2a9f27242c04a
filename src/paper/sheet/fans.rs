//! Which way each fan blows, and what it does by that.

use super::{Block, RowHead, Rows, Section};
use crate::geom::{Dir, Length};
use crate::model::{Group, PartId};
use crate::paper::Build;

/// A wall is at most so far behind the face that a fan is screwed to.
const WALL: Length = Length::mm(20);

pub(super) fn section(build: &Build<'_>) -> Section {
    let fans: Vec<&PartId> = build
        .parts_in_order()
        .into_iter()
        .filter(|id| build.scene.parts[*id].kind.group == Group::Fan)
        .collect();
    let rows: Vec<Vec<String>> = fans.iter().map(|id| row(build, id)).collect();
    let mut blocks = Vec::new();
    if !rows.is_empty() {
        blocks.push(Block::Note(
            "A fan usually has arrows on its frame; without one, air leaves at the side of the struts (common practice, no source)."
                .to_owned(),
        ));
        blocks.push(Block::Rows(Rows {
            heads: ["fan", "on", "air goes", "so it", "lead leaves"]
                .map(RowHead::words)
                .to_vec(),
            rows,
            tick: true,
        }));
    }
    Section {
        id: "fans",
        title: "Fans and their direction",
        blocks,
    }
}

fn row(build: &Build<'_>, id: &PartId) -> Vec<String> {
    let kind = &build.scene.parts[id].kind;
    let Some(part) = build.placed.part(id) else {
        return vec![
            id.to_string(),
            "beside the enclosure".to_owned(),
            String::new(),
            String::new(),
            String::new(),
        ];
    };
    let hold = build.placed.holds(id).iter().find(|h| h.suffices());
    let on = hold.map_or("nothing".to_owned(), |h| build.zone_words(&h.zone));
    let blows = kind.blows.map(|d| part.place.turn.dir(d));
    let does = match (blows, hold) {
        (None, _) => "not known".to_owned(),
        (Some(way), Some(hold)) => {
            let normal = build.placed.zone(&hold.zone).map(|z| z.frame);
            match (normal, &hold.zone.part) {
                (Some(f), Some(other)) if f.normal.axis() == way.axis() => match way == f.normal {
                    true => format!("pulls air through {other}"),
                    false => format!("pushes air through {other}"),
                },
                (Some(f), None) if at_wall(build, f.origin, f.normal) => match way == f.normal {
                    true => "brings air in".to_owned(),
                    false => "takes air out".to_owned(),
                },
                _ => "moves air inside".to_owned(),
            }
        }
        (Some(_), None) => "moves air inside".to_owned(),
    };
    let lead = part
        .ports
        .iter()
        .find(|p| kind.ports[p.index].lead.is_some());
    vec![
        id.to_string(),
        on,
        blows.map_or("not known".to_owned(), |d| d.words().to_owned()),
        does,
        lead.map_or(String::new(), |p| p.leaves.words().to_owned()),
    ]
}

/// True where the outside of the enclosure lies close behind a face.
fn at_wall(build: &Build<'_>, at: crate::geom::Vec3, normal: Dir) -> bool {
    let out = normal.opposite();
    let face = build.scene.enclosure.outline().face(out);
    (at.along(out.axis()) - face).abs() <= WALL
}
