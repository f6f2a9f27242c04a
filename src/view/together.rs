//! Bundles of cables on the sheet: their outline about the way, with the diameter; and
//! the rooms where leftover lengths are tucked away.

use super::enclosure;
use super::labels::Labels;
use super::list::{
    DrawList, Layer, Line, LineType, Owner, Path, Point2, Role, Text, TextSize, Width,
};
use super::projection::Projection;
use super::sheet::SheetInput;
use super::ways::below;
use crate::route::together::{Bundle, bundles};

/// Bundles thinner than this on paper are not drawn: their outline would be one line.
const LEAST: f64 = 1.2;

/// From this scale on bundles and rooms carry figures.
const ROOMY: f64 = 0.8;

/// Draws the outline of each bundle: a pair of thin lines, its diameter apart.
pub(crate) fn draw(
    list: &mut DrawList,
    projection: &Projection,
    input: &SheetInput<'_>,
    labels: &mut Labels,
) {
    let cut = enclosure::cut_depth(input, projection).map(|c| c.as_mm());
    let ids: Vec<_> = input.runs.keys().collect();
    let chosen = match input.chosen {
        Some(Owner::Cable(i)) => ids.get(i as usize).copied(),
        _ => None,
    };
    for bundle in bundles(&input.scene.arrangement().cables, input.runs) {
        let wide = bundle.diameter.as_mm() * projection.scale;
        let marked = chosen.is_some_and(|id| bundle.cables.contains(id));
        if wide < LEAST && !marked {
            continue;
        }
        let lines = match cut {
            Some(cut) => below(projection, &bundle.line, cut),
            None => vec![bundle.line.clone()],
        };
        for line in &lines {
            let page: Vec<Point2> = line.iter().map(|p| projection.mm_to_page(*p)).collect();
            outline(list, &page, wide, marked);
            if marked || (input.options.labels && projection.scale >= ROOMY) {
                figure(list, labels, &bundle, &page, wide);
            }
        }
    }
}

fn outline(list: &mut DrawList, page: &[Point2], wide: f64, marked: bool) {
    let mut pen = list.pen().layer(Layer::Cables).z(20);
    let width = if marked { Width::Thin } else { Width::Hair };
    let line = Line::new(width, LineType::Dashed);
    for side in [-0.5, 0.5] {
        let at = |i: usize| {
            let way = page[(i + 1).min(page.len() - 1)] - page[i.saturating_sub(1)];
            let out = way.normalised().map(Point2::left);
            out.map(|o| page[i] + o * (wide * side))
        };
        let points: Vec<Point2> = (0..page.len()).filter_map(at).collect();
        if points.len() > 1 {
            pen.stroke(Path::polyline(points), line, Role::InkSoft);
        }
    }
}

fn figure(list: &mut DrawList, labels: &mut Labels, bundle: &Bundle, page: &[Point2], wide: f64) {
    let Some(middle) = page.get(page.len() / 2) else {
        return;
    };
    let text = format!("{} × Ø {}", bundle.cables.len(), bundle.diameter.text1());
    let text = Text::new((0.0, 0.0), text).size(TextSize::Small).halo();
    if let Some((text, leader)) = labels.near(*middle, 1.2 + wide / 2.0, &text) {
        let mut pen = list.pen().layer(Layer::Notes);
        if let Some(to) = leader {
            pen.stroke(Path::line(*middle, to), Line::HAIR, Role::TextSoft);
        }
        pen.text(text, Role::TextSoft);
    }
}

/// Draws the tuck zones of the enclosure: a thin chain-dotted box each.
pub(crate) fn rooms(
    list: &mut DrawList,
    projection: &Projection,
    input: &SheetInput<'_>,
    labels: &mut Labels,
) {
    for tuck in &input.scene.enclosure.tucks {
        let rect = projection.box_to_page(&tuck.room);
        let line = Line::new(Width::Hair, LineType::Chain);
        let mut pen = list.pen().layer(Layer::Marks).z(-11);
        pen.stroke(Path::rect(rect), line, Role::Tie);
        if input.options.labels && projection.scale >= ROOMY {
            let text = format!("tuck: {}", tuck.name);
            let text = Text::new((0.0, 0.0), text).size(TextSize::Small).halo();
            let middle = rect.min.lerp(rect.max, 0.5);
            if let Some((text, _)) = labels.near(middle, 0.5, &text) {
                list.pen().layer(Layer::Notes).text(text, Role::TextSoft);
            }
        }
    }
}
