//! A small picture of each zone of the enclosure that holds a part.

use super::Picture;
use crate::geom::Length;
use crate::model::Zone;
use crate::paper::Build;
use crate::paper::template::{Face, Kind, Options, Shape, Subject, picture, template};
use crate::placement::Hold;
use crate::view::labels::Labels;
use crate::view::list::{Layer, Line, Path, Point2, Rect, Role, Text, TextSize};
use std::collections::BTreeMap;

/// Room for one picture: three stand beside one another on a sheet.
const ROOM: [f64; 2] = [56.0, 46.0];

pub(super) fn pictures(build: &Build<'_>) -> Vec<Picture> {
    let mut used: BTreeMap<&str, Vec<(&crate::model::PartId, &Hold)>> = BTreeMap::new();
    for part in build.placed.parts() {
        for hold in build.placed.holds(&part.id) {
            if hold.zone.part.is_none() && hold.suffices() {
                used.entry(hold.zone.zone.as_str())
                    .or_default()
                    .push((&part.id, hold));
            }
        }
    }
    let zones = build.scene.enclosure.zones.iter();
    zones
        .filter_map(|z| Some((z, used.get(z.id.as_str())?)))
        .filter_map(|(zone, holds)| one(build, zone, holds))
        .collect()
}

fn one(
    build: &Build<'_>,
    zone: &Zone,
    holds: &[(&crate::model::PartId, &Hold)],
) -> Option<Picture> {
    let subject = Subject::Zone(zone.id.clone());
    let mut made = template(build, &subject, Options::default()).ok()?;
    made.elements.retain(|e| e.kind != Kind::Suggested);
    // The part may reach past the zone; the picture takes it all in.
    let face = Face::seen_from(zone.frame.normal);
    let edge = face.box_outline(&zone.frame.block(zone.size, Length::ZERO));
    let origin = edge.bounds()[0];
    let mut outlines = Vec::new();
    for (id, _) in holds {
        let part = build.placed.part(id)?;
        let shape = face
            .box_outline(&part.outline)
            .moved([-origin[0], -origin[1]]);
        let [low, high] = shape.bounds();
        for i in 0..2 {
            made.bounds[0][i] = made.bounds[0][i].min(low[i]);
            made.bounds[1][i] = made.bounds[1][i].max(high[i]);
        }
        outlines.push(shape);
    }
    let (mut list, size) = picture(&made, ROOM);
    let [low, high] = made.bounds;
    let scale = size[0] / (high[0] - low[0]).max(1e-9);
    let to = |p: [f64; 2]| Point2::new((p[0] - low[0]) * scale, (high[1] - p[1]) * scale);
    let mut pen = list.pen().layer(Layer::Marks);
    for outline in &outlines {
        let [a, b] = outline.bounds();
        let rect = Rect::spanning(to(a), to(b));
        pen.stroke(Path::rect(rect), Line::HIDDEN, Role::Ink);
    }
    let mut labels = Labels::new(Some(Rect::sized(0.0, 0.0, size[0], size[1])));
    for (_, hold) in holds {
        for (own, label) in &hold.pairs {
            let hole = zone.holes.iter().find(|h| h.label == *label)?;
            let at = match face.hole(&zone.frame, hole) {
                Shape::Slot { from, to, .. } => [(from[0] + to[0]) / 2.0, (from[1] + to[1]) / 2.0],
                other => other.middle(),
            };
            let at = to([at[0] - origin[0], at[1] - origin[1]]);
            pen.fill(Path::circle(at, 0.9), Role::Ink);
            labels.take(Rect::spanning(at, at).grown(1.0));
            let name = Text::new((0.0, 0.0), own)
                .size(TextSize::Cap(1.5))
                .bold()
                .halo();
            if let Some((text, _)) = labels.near(at, 1.6, &name) {
                pen.text(text, Role::Text);
            }
        }
    }
    let names: Vec<String> = holds
        .iter()
        .map(|(id, h)| format!("{id} ({} of {})", h.matched, h.of))
        .collect();
    Some(Picture {
        caption: format!("{}: {}", zone.name, names.join(", ")),
        list,
        size,
    })
}
