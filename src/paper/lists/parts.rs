//! Every part of the scene, once: what it is, where it stands, what holds it.

use super::List;
use crate::geom::Dir;
use crate::model::PartId;
use crate::paper::{Build, Cell, Column, Table};

pub(super) const LIST: List = List {
    id: "parts",
    about: "every part with its size, place, zone",
    make,
};

const COLUMNS: &[Column] = &[
    Column::new("part", "id"),
    Column::new("name", "part"),
    Column::file("kind"),
    Column::file("group"),
    Column::file("size_x_mm"),
    Column::file("size_y_mm"),
    Column::file("size_z_mm"),
    Column::new("at_x_mm", "x"),
    Column::new("at_y_mm", "y"),
    Column::new("at_z_mm", "z"),
    Column::new("top_faces", "its top faces"),
    Column::new("front_faces", "its front faces"),
    Column::new("zone", "held by"),
    Column::new("holes", "holes"),
    Column::file("mass_g"),
    Column::file("cost"),
    Column::file("note"),
];

fn make(build: &Build<'_>) -> Table {
    let ids = build.parts_in_order();
    Table {
        id: LIST.id,
        title: "Parts",
        about: "Places are those of the lower front left corner of the part as it stands, in millimetres \
                from the lower front left outer corner of the enclosure: x to the right, y to the back, z up."
            .to_owned(),
        columns: COLUMNS,
        rows: ids.into_iter().map(|id| row(build, id)).collect(),
    }
}

fn row(build: &Build<'_>, id: &PartId) -> Vec<Cell> {
    let part = &build.scene.parts[id];
    let kind = &part.kind;
    let place = build.scene.arrangement().places.get(id);
    let at = |axis: fn(&crate::geom::Vec3) -> crate::geom::Length| match place {
        Some(p) => Cell::Mm(axis(&p.at)),
        None => Cell::Empty,
    };
    let faces = |dir: Dir| match place {
        Some(p) => Cell::text(p.turn.dir(dir).words()),
        None => Cell::Empty,
    };
    let holds = build.placed.holds(id);
    let zones: Vec<String> = holds
        .iter()
        .filter(|h| h.suffices())
        .map(|h| build.zone_words(&h.zone))
        .collect();
    let holes: Vec<String> = holds
        .iter()
        .filter(|h| h.suffices())
        .map(|h| format!("{} of {}", h.matched, h.of))
        .collect();
    let zone = match (place, zones.is_empty()) {
        (None, _) => "beside the enclosure".to_owned(),
        (Some(_), true) => "nothing".to_owned(),
        (Some(_), false) => zones.join("; "),
    };
    let weak = kind.figures.iter().filter(|f| f.confidence.is_weak());
    let weak: Vec<&str> = weak.map(|f| f.what.as_str()).collect();
    let note = match weak.is_empty() {
        true => String::new(),
        false => format!("measure before relying on: {}", weak.join("; ")),
    };
    vec![
        Cell::text(id.as_str()),
        Cell::text(&part.name),
        Cell::text(kind.id.as_str()),
        Cell::text(kind.group.name()),
        Cell::Mm(kind.size.x),
        Cell::Mm(kind.size.y),
        Cell::Mm(kind.size.z),
        at(|v| v.x),
        at(|v| v.y),
        at(|v| v.z),
        faces(Dir::PosZ),
        faces(Dir::NegY),
        Cell::text(zone),
        Cell::text(holes.join("; ")),
        Cell::figure(kind.ratings.mass_g),
        Cell::figure(kind.ratings.cost),
        Cell::text(note),
    ]
}
