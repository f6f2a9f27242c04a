//! What the zones say to the part in hand: where it would sit, or why not.

use super::labels::{Labels, wrapped};
use super::list::{DrawList, Layer, Line, Path, Rect, Role, Text, TextSize};
use super::projection::Projection;
use super::sheet::SheetInput;
use super::zones;
use crate::geom::{Box3, Turn, Vec3};
use crate::placement::{Offer, Outcome};

/// Width at which a reason is broken into lines, in page millimetres.
const REASON: f64 = 62.0;

/// Draws the offers, and the part in hand where it is now.
///
/// A zone shows the places in the turn at hand, or else in any turn; the place
/// nearest to the part in hand is washed. Zones for something else altogether
/// stay as they are: they say so when the pointer is over them.
pub(crate) fn draw(
    list: &mut DrawList,
    projection: &Projection,
    input: &SheetInput<'_>,
    labels: &mut Labels,
) {
    let hand = input.ghost.as_ref();
    let turn = hand.map(|(_, place)| place.turn);
    let middle = hand.map(|(kind, place)| place.outline(kind).centre());
    let nearest = middle.and_then(|m| {
        let away = |o: &Box3| o.centre().distance_mm(m);
        let boxes = input.offers.iter().filter_map(place_of).map(|(b, _)| b);
        boxes.min_by(|a, b| away(a).total_cmp(&away(b)))
    });
    let mut drawn: Vec<Rect> = Vec::new();
    for same_zone in input.offers.chunk_by(|a, b| a.zone == b.zone) {
        let places: Vec<(Box3, Turn)> = same_zone.iter().filter_map(place_of).collect();
        let foreign = |o: &Offer| matches!(&o.outcome, Outcome::Refused(r) if r.foreign);
        if same_zone.iter().all(foreign) {
            continue;
        }
        let zone = &same_zone[0].zone_world;
        let role = if places.is_empty() {
            Role::ZoneNo
        } else {
            Role::ZoneOpen
        };
        zones::draw(list, projection, zone, None, role);
        let at_hand = places.iter().any(|(_, t)| turn == Some(*t));
        for (b, _) in places.iter().filter(|(_, t)| !at_hand || turn == Some(*t)) {
            let rect = projection.box_to_page(b);
            // Places that cover the same ground look the same.
            if drawn.contains(&rect) {
                continue;
            }
            drawn.push(rect);
            let mut pen = list.pen().layer(Layer::Marks).z(-5);
            let path = Path::rect(rect);
            if nearest == Some(*b) {
                pen.wash(path.clone(), Role::ZoneOpen);
            }
            pen.stroke(path, Line::PHANTOM, Role::ZoneOpen);
        }
        for offer in same_zone {
            if let Outcome::Refused(why) = &offer.outcome {
                let rect = zones::outline(projection, zone);
                reason(list, labels, rect, &why.text);
            }
        }
    }
    if let Some((kind, place)) = hand {
        let rect = projection.box_to_page(&place.outline(kind));
        let mut pen = list.pen().layer(Layer::Marks).z(30);
        pen.stroke_and_wash(Path::rect(rect), Line::PHANTOM, Role::Ghost);
    }
}

/// The outer box of the part at the place of an offer, and its turn.
fn place_of(offer: &Offer) -> Option<(Box3, Turn)> {
    let Outcome::Fits { place, .. } = &offer.outcome else {
        return None;
    };
    let turned = Box3::at(Vec3::ZERO, offer.size).turned(place.turn);
    Some((turned.moved(place.at - turned.min()), place.turn))
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
