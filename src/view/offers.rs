//! What the zones say to the part in hand: where it would sit, or why not.

use super::labels::{Labels, wrapped};
use super::list::{DrawList, Layer, Line, Path, Rect, Role, Text, TextSize};
use super::projection::Projection;
use super::sheet::SheetInput;
use super::zones;
use crate::placement::{Offer, Outcome};

/// Width at which a reason is broken into lines, in page millimetres.
const REASON: f64 = 62.0;

/// Draws the offers, and the part in hand where it is now.
pub(crate) fn draw(
    list: &mut DrawList,
    projection: &Projection,
    input: &SheetInput<'_>,
    labels: &mut Labels,
) {
    let mut ghosts: Vec<Rect> = Vec::new();
    let mut last: Option<&Offer> = None;
    for offer in input.offers {
        let fits = matches!(offer.outcome, Outcome::Fits { .. });
        let role = if fits { Role::ZoneOpen } else { Role::ZoneNo };
        if last.is_none_or(|l| l.zone != offer.zone) {
            zones::draw(list, projection, &offer.zone_world, None, role);
        }
        last = Some(offer);
        match &offer.outcome {
            Outcome::Fits { place, .. } => {
                let kind_box = crate::geom::Box3::at(crate::geom::Vec3::ZERO, offer.size);
                let turned = kind_box.turned(place.turn);
                let rect = projection.box_to_page(&turned.moved(place.at - turned.min()));
                // Turns that cover the same ground look the same.
                if !ghosts.contains(&rect) {
                    ghosts.push(rect);
                    let mut pen = list.pen().layer(Layer::Marks).z(-5);
                    pen.stroke_and_wash(Path::rect(rect), Line::PHANTOM, Role::ZoneOpen);
                }
            }
            Outcome::Refused(why) => {
                let rect = zones::outline(projection, &offer.zone_world);
                reason(list, labels, rect, &why.text);
            }
        }
    }
    if let Some((kind, place)) = &input.ghost {
        let rect = projection.box_to_page(&place.outline(kind));
        let mut pen = list.pen().layer(Layer::Marks).z(30);
        pen.stroke_and_wash(Path::rect(rect), Line::PHANTOM, Role::Ghost);
    }
}

/// The reason of a refusal, in lines, in the zone or near it.
fn reason(list: &mut DrawList, labels: &mut Labels, zone: Rect, text: &str) {
    let line = |s: &str| {
        Text::new(zone.centre(), s)
            .size(TextSize::Small)
            .halo()
            .middle()
    };
    let lines = wrapped(&line(text), REASON);
    let pitch = TextSize::Small.cap_mm() * 1.9;
    for step in 0..24 {
        // In the middle of the zone, then downwards and upwards from there.
        let shift = pitch * f64::from((step + 1) / 2) * if step % 2 == 0 { -1.0 } else { 1.0 };
        let block: Vec<Text> = lines
            .iter()
            .enumerate()
            .map(|(i, l)| {
                let mut t = line(l);
                t.at.y += shift + (i as f64 - (lines.len() - 1) as f64 / 2.0) * pitch;
                t
            })
            .collect();
        if block.iter().all(|t| labels.is_free(t.bounds())) {
            for t in block {
                labels.take(t.bounds());
                list.pen().text(t, Role::ZoneNo);
            }
            return;
        }
    }
}
