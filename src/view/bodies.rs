//! The parts of a view: farthest first, hidden edges, names, selection.

use super::covers::{Covers, Outline};
use super::hidden;
use super::labels::{Labels, shortened};
use super::list::{
    DrawList, Layer, Line, LineType, Owner, Path, Point2, Rect, Role, Text, TextSize, Width,
};
use super::projection::Projection;
use super::sheet::SheetInput;
use super::{enclosure, parts};
use crate::geom::{Box3, Length, Solid};
use crate::model::Space;
use crate::placement::PlacedPart;

/// Pieces smaller than this on paper (square millimetres) hide nothing.
const COVERS: f64 = 4.0;

/// Pieces smaller than this on paper (square millimetres) show no hidden edges.
const SHOWS: f64 = 25.0;

/// The parts that a view shows, farthest first.
pub(crate) fn shown<'a>(
    projection: &Projection,
    input: &SheetInput<'a>,
) -> Vec<(Length, &'a PlacedPart)> {
    let cut = enclosure::cut_depth(input, projection);
    let mut order: Vec<(Length, &PlacedPart)> = input
        .placed
        .parts()
        .filter(|p| !p.place.hidden)
        .map(|p| (projection.kind.reach(&p.outline).0, p))
        .filter(|(far, _)| cut.is_none_or(|c| *far < c))
        .collect();
    order.sort_by_key(|(far, p)| (*far, p.index));
    order
}

/// Draws the parts; gives back what hides what.
pub(crate) fn draw(list: &mut DrawList, projection: &Projection, input: &SheetInput<'_>) -> Covers {
    let cut = enclosure::cut_depth(input, projection);
    let order = shown(projection, input);
    for (_, part) in &order {
        let pen = list.pen().owner(Owner::Part(part.index));
        parts::draw(&part.kind, &part.place, projection, cut, pen);
    }
    if !input.options.hidden_edges {
        return Covers::new(Vec::new());
    }
    let covers = Covers::new(outlines(projection, input, &order, cut));
    let path = hidden::edges(&covers, projection);
    if !path.segments().is_empty() {
        let line = Line::new(Width::Hair, LineType::Dashed);
        list.pen().z(i32::MAX).stroke(path, line, Role::Hidden);
    }
    covers
}

fn outlines(
    projection: &Projection,
    input: &SheetInput<'_>,
    order: &[(Length, &PlacedPart)],
    cut: Option<Length>,
) -> Vec<Outline> {
    let mut outlines = Vec::new();
    for (_, part) in order {
        let whole = area(projection.box_to_page(&part.outline));
        for piece in part.of(Space::Solid) {
            let size = area(projection.box_to_page(&piece.bounds));
            let (far, _) = projection.kind.reach(&piece.bounds);
            if size < COVERS || cut.is_some_and(|c| far >= c) {
                continue;
            }
            let edges = size >= SHOWS && size > whole * 0.25;
            outlines.push(Outline::of(&piece.solid, projection, part.index, edges));
        }
    }
    for solid in ground(projection, input) {
        outlines.push(Outline::of(solid, projection, u32::MAX, false));
    }
    outlines
}

/// What is left of the flat plates that stand between the parts.
fn ground<'a>(
    projection: &'a Projection,
    input: &'a SheetInput<'_>,
) -> impl Iterator<Item = &'a Solid> {
    let cut = enclosure::cut_depth(input, projection);
    let enclosure = &input.scene.enclosure;
    let plates = enclosure.plates.iter().zip(input.placed.plates());
    let between = plates.filter(move |(plate, _)| {
        let shown = enclosure::shown(enclosure, plate, projection, cut);
        matches!(shown, enclosure::Shown::Ground(_))
    });
    between.flat_map(|(_, placed)| &placed.solids)
}

/// The boxes around what is left of the flat plates between the parts.
pub(crate) fn between(projection: &Projection, input: &SheetInput<'_>) -> Vec<Box3> {
    ground(projection, input).map(Solid::bounds).collect()
}

fn area(rect: Rect) -> f64 {
    rect.width() * rect.height()
}

/// Outlines of what is selected and of what is under the pointer, and what the
/// selected parts keep clear.
pub(crate) fn highlight(list: &mut DrawList, projection: &Projection, input: &SheetInput<'_>) {
    for part in input.placed.parts() {
        let owner = Owner::Part(part.index);
        let selected = input.selection.contains(&part.id);
        let hover = input.hover == Some(owner);
        if !(selected || hover) {
            continue;
        }
        let (role, line) = if selected {
            (Role::Selected, Line::THICK)
        } else {
            (Role::Hover, Line::THIN)
        };
        let rect = projection.box_to_page(&part.outline).grown(0.5);
        let mut pen = list.pen().owner(owner).layer(Layer::Marks).z(20);
        pen.stroke(Path::rounded_rect(rect, 0.5), line, role);
        if !(selected && input.options.clearances) {
            continue;
        }
        let dotted = Line::new(Width::Thin, LineType::Dotted);
        let kept = part.pieces.iter().filter(|p| p.space != Space::Solid);
        for piece in kept {
            let path = enclosure::silhouette(&piece.solid, projection);
            pen.fork()
                .no_owner()
                .stroke_and_wash(path, dotted, Role::Ghost);
        }
    }
}

/// The outline of the part under the pointer.
pub(crate) fn pointed(list: &mut DrawList, projection: &Projection, input: &SheetInput<'_>) {
    let under = |p: &&PlacedPart| input.hover == Some(Owner::Part(p.index));
    for part in input.placed.parts().filter(under) {
        let rect = projection.box_to_page(&part.outline).grown(0.5);
        let mut pen = list.pen().layer(Layer::Marks).z(20);
        pen.stroke(Path::rounded_rect(rect, 0.5), Line::THIN, Role::Hover);
    }
}

/// Names on the parts that have room for them and are not covered there.
pub(crate) fn names(
    list: &mut DrawList,
    projection: &Projection,
    input: &SheetInput<'_>,
    labels: &mut Labels,
) {
    let order = shown(projection, input);
    let rects: Vec<Rect> = order
        .iter()
        .map(|(_, p)| projection.box_to_page(&p.outline))
        .collect();
    for (i, (_, part)) in order.iter().enumerate() {
        let rect = rects[i];
        let covered = |p: Point2| rects[i + 1..].iter().any(|r| r.contains(p));
        let text = Text::new(rect.centre(), &part.name)
            .size(TextSize::Small)
            .halo();
        let upright = rect.height() > 1.6 * rect.width();
        let room = rect.width().max(if upright { rect.height() } else { 0.0 }) - 2.0;
        let across = if upright { rect.width() } else { rect.height() };
        if across < 1.5 * text.size.cap_mm() || room < 8.0 {
            continue;
        }
        let name = shortened(&text, room);
        for t in [0.5, 0.25, 0.75, 0.12, 0.88] {
            let mut at = rect.centre();
            if upright {
                at.x = rect.min.x + t * rect.width();
            } else {
                at.y = rect.min.y + t * rect.height();
            }
            let text = Text::new(at, &name).size(TextSize::Small).halo().middle();
            let text = text.turned(if upright { -90.0 } else { 0.0 });
            let b = text.bounds();
            let [a, _, c, _] = b.corners();
            if covered(b.centre())
                || covered(a)
                || covered(c)
                || !rect.contains(a)
                || !rect.contains(c)
            {
                continue;
            }
            if labels.put(&text) {
                list.pen().text(text, Role::Text);
                break;
            }
        }
    }
}
