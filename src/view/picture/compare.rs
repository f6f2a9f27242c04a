//! Before and after: two arrangements of a scene in one picture, with what differs
//! marked in both and listed.

use super::layout::{Placed, Plan, SCALES, content};
use super::{PictureOptions, clean, page_of, title};
use crate::compare::{COLUMNS, Row};
use crate::geom::{Axis, Length, Vec3};
use crate::model::{PartId, PartKind, Scene};
use crate::placement::PlacedPart;
use crate::rules::Checker;
use crate::view::labels::{Labels, shortened, wrapped};
use crate::view::list::{
    Affine, DrawList, Layer, Line, LineType, Path, Pen, Point2, Rect, Role, Text, TextSize, Width,
};
use crate::view::projection::{Projection, ViewKind};
use crate::view::sheet::{SheetInput, draw_with};
use std::collections::BTreeSet;
use std::sync::Arc;

/// Room for a heading over a column, and between views.
const HEAD: f64 = 11.0;
const BETWEEN: f64 = 10.0;
const AIR: f64 = 5.0;
/// Distance between lines of the list, in page millimetres.
const ROW: f64 = 4.4;
/// Shorter moves on paper get no arrow.
const ARROW: f64 = 4.0;

/// What became of a part.
#[derive(Clone, PartialEq, Debug)]
pub enum Change {
    /// It stands only in the arrangement after.
    Added,
    /// It stands only in the arrangement before.
    Removed,
    /// Another kind of part stands in its place, or elsewhere: from, to.
    Swapped(String, String),
    /// It stands elsewhere, by this much, or otherwise turned.
    Moved {
        /// From the old lower corner to the new one.
        by: Vec3,
        /// True where its orientation differs as well.
        turned: bool,
    },
}

/// A part that stands differently in two arrangements.
#[derive(Clone, PartialEq, Debug)]
pub struct Difference {
    /// The part.
    pub part: PartId,
    /// Its name.
    pub name: String,
    /// What became of it.
    pub change: Change,
}

impl Difference {
    /// In words: `radiator: 12 mm to the front, 5 mm up`.
    pub fn words(&self) -> String {
        let what = match &self.change {
            Change::Added => "only after".to_owned(),
            Change::Removed => "only before".to_owned(),
            Change::Swapped(from, to) => format!("{to} for {from}"),
            Change::Moved { by, turned } => {
                let mut ways: Vec<String> = Axis::ALL
                    .into_iter()
                    .filter_map(|axis| shift(axis, by.along(axis)))
                    .collect();
                if *turned {
                    ways.push("turned".to_owned());
                }
                ways.join(", ")
            }
        };
        format!("{}: {what}", self.name)
    }
}

fn shift(axis: Axis, by: Length) -> Option<String> {
    let (more, less) = match axis {
        Axis::X => ("to the right", "to the left"),
        Axis::Y => ("to the rear", "to the front"),
        Axis::Z => ("up", "down"),
    };
    match by.cmp(&Length::ZERO) {
        std::cmp::Ordering::Equal => None,
        std::cmp::Ordering::Greater => Some(format!("{by} mm {more}")),
        std::cmp::Ordering::Less => Some(format!("{} mm {less}", Length::ZERO - by)),
    }
}

/// The parts that stand differently, in the order of their ids. Hidden parts count.
pub fn differences(before: &Scene, after: &Scene) -> Vec<Difference> {
    let (a, b) = (&before.arrangement().places, &after.arrangement().places);
    let ids: BTreeSet<&PartId> = a.keys().chain(b.keys()).collect();
    let mut found = Vec::new();
    for id in ids {
        let kinds = [before, after].map(|s| s.parts.get(id).map(|p| &p.kind));
        let change = match (a.get(id), b.get(id)) {
            (None, Some(_)) => Change::Added,
            (Some(_), None) => Change::Removed,
            (Some(_), Some(_)) if kinds[0] != kinds[1] => {
                let name = |kind: Option<&Arc<PartKind>>| {
                    kind.map_or_else(|| id.to_string(), |k| k.name.clone())
                };
                Change::Swapped(name(kinds[0]), name(kinds[1]))
            }
            (Some(p), Some(q)) if p.at != q.at || p.turn != q.turn => Change::Moved {
                by: q.at - p.at,
                turned: p.turn != q.turn,
            },
            _ => continue,
        };
        let part = after.parts.get(id).or_else(|| before.parts.get(id));
        found.push(Difference {
            part: id.clone(),
            name: part.map_or_else(|| id.to_string(), |p| p.name.clone()),
            change,
        });
    }
    found
}

/// Two arrangements side by side, and the page size in millimetres. The front and the
/// three-dimensional view, numbers and legend of the usual page are left out.
pub fn compare(
    before: (&Scene, &Checker),
    after: (&Scene, &Checker),
    options: &PictureOptions,
) -> (DrawList, (f64, f64)) {
    let page = page_of(options);
    let inputs = [before, after].map(|(scene, checker)| {
        let mut input = SheetInput::of(scene, checker.placed(), checker.runs());
        input.catalogue = Some(checker.catalogue());
        clean(&input, options)
    });
    let found = differences(before.0, after.0);
    let mut list = DrawList::new();
    let plan = plan(&inputs, options, Rect::sized(0.0, 0.0, page.0, page.1));
    let half = plan.views.len() / 2;
    for (side, input) in inputs.iter().enumerate() {
        let word = ["before", "after"][side];
        let views = &plan.views[side * half..(side + 1) * half];
        heading(
            &mut list,
            word,
            &input.scene.arrangement().name,
            views,
            &plan,
        );
        for view in views {
            let mut labels = Labels::new(Some(room_of(view)));
            let mut drawn = draw_with(view.projection.kind, plan.scale, input, &mut labels);
            marks(&mut drawn, view, &inputs, side, &found, &mut labels);
            list.append(drawn.mapped(Affine::shift(view.origin.x, view.origin.y)));
        }
    }
    let mut lines: Vec<(String, String)> = Vec::new();
    for (n, difference) in found.iter().enumerate() {
        lines.push((letter(n), difference.words()));
    }
    let figures = figures(before, after).into_iter();
    lines.extend(figures.map(|text| ("–".to_owned(), text)));
    lines.extend(
        cables(&inputs)
            .into_iter()
            .map(|text| ("–".to_owned(), text)),
    );
    listed(&mut list, &plan, &lines);
    title::draw(&mut list, &inputs[1], options, &plan);
    (list, page)
}

/// The room of a view in its own frame.
fn room_of(view: &Placed) -> Rect {
    let back = Point2::default() - view.origin;
    Rect {
        min: view.content.min + back,
        max: view.content.max + back,
    }
    .grown(4.0)
}

fn plan(inputs: &[SheetInput<'_>; 2], options: &PictureOptions, page: Rect) -> Plan {
    let mut plan = super::layout::bare(options, page);
    let drawing = plan.drawing;
    let kinds = [ViewKind::Top, ViewKind::Side];
    let outline = inputs[0].scene.enclosure.outline();
    // Both columns leave the room that the larger arrangement takes.
    let rects = |scale: f64| {
        kinds.map(|k| {
            let p = Projection::new(k, scale, &outline);
            content(&inputs[0], &p).union(content(&inputs[1], &p))
        })
    };
    let column = drawing.width() / 2.0;
    let fits = |scale: &f64| {
        let [top, side] = rects(*scale);
        let left = top.min.x.min(side.min.x);
        let right = top.max.x.max(side.max.x);
        right - left + 2.0 * AIR <= column
            && HEAD + top.height() + BETWEEN + side.height() + 2.0 * AIR <= drawing.height()
    };
    plan.scale = SCALES.into_iter().find(fits).unwrap_or(0.001);
    let rects = rects(plan.scale);
    let left = rects[0].min.x.min(rects[1].min.x);
    let right = rects[0].max.x.max(rects[1].max.x);
    let height = HEAD + rects[0].height() + BETWEEN + rects[1].height();
    let top = drawing.min.y + ((drawing.height() - height) / 2.0).max(AIR) + HEAD;
    for side in 0..2 {
        let x = drawing.min.x + column * (f64::from(side) + 0.5) - (left + right) / 2.0;
        let mut y = top;
        for (kind, rect) in kinds.into_iter().zip(rects) {
            let projection = Projection::new(kind, plan.scale, &outline);
            let origin = Point2::new(x, y - rect.min.y);
            let at = |r: Rect| Rect {
                min: r.min + origin,
                max: r.max + origin,
            };
            plan.views.push(Placed {
                projection,
                origin,
                outline: at(projection.box_to_page(&outline)),
                content: at(rect),
            });
            y += rect.height() + BETWEEN;
        }
    }
    plan
}

fn heading(list: &mut DrawList, word: &str, name: &str, views: &[Placed], plan: &Plan) {
    let Some(first) = views.first() else { return };
    let text = Text::new(
        (first.content.min.x, first.content.min.y - 6.0),
        format!("{word}: {name}"),
    )
    .size(TextSize::Body)
    .bold();
    let short = shortened(&text, plan.drawing.width() / 2.0 - 2.0 * AIR);
    let mut pen = list.pen().layer(Layer::Notes);
    pen.text(
        Text {
            text: short,
            ..text
        },
        Role::Title,
    );
    for view in views {
        let at = view.content.min - Point2::new(0.0, 1.6);
        let name = Text::new(at, view.projection.kind.name()).size(TextSize::Small);
        pen.text(name, Role::TextSoft);
    }
}

/// A letter for the nth difference: a to z, then aa, ab and so on.
fn letter(n: usize) -> String {
    let last = char::from(b'A' + (n % 26) as u8);
    if n < 26 {
        last.to_string()
    } else {
        format!("{}{last}", letter(n / 26 - 1))
    }
}

/// Marks the differences in one view: where a part stands, where it stood, and an
/// arrow between.
fn marks(
    list: &mut DrawList,
    view: &Placed,
    inputs: &[SheetInput<'_>; 2],
    side: usize,
    found: &[Difference],
    labels: &mut Labels,
) {
    let p = &view.projection;
    let rect = |part: &PlacedPart| p.box_to_page(&part.outline);
    for (n, difference) in found.iter().enumerate() {
        let [before, after] = [0, 1].map(|i| inputs[i].placed.part(&difference.part).map(rect));
        let (here, there) = if side == 0 {
            (before, None)
        } else {
            (after, before)
        };
        let mut pen = list.pen().layer(Layer::Marks).z(30);
        if let Some(old) = there {
            let gone = Line::new(Width::Thin, LineType::Phantom);
            pen.stroke(Path::rect(old), gone, Role::Ghost);
        }
        let Some(now) = here.or(there) else { continue };
        let line = if side == 0 { Line::HIDDEN } else { Line::THICK };
        if here.is_some() {
            let frame = Path::rounded_rect(now.grown(0.5), 0.5);
            pen.stroke(frame, line, Role::Selected);
        }
        if let (Some(old), Some(new)) = (there, here) {
            arrow(&mut pen, old.centre(), new.centre());
        }
        let name = Text::new((0.0, 0.0), letter(n))
            .size(TextSize::Body)
            .bold()
            .halo();
        let at = Point2::new(now.min.x + 2.4, now.min.y + 2.4);
        if let Some((text, _)) = labels.near(at, 0.5, &name) {
            pen.text(text, Role::Selected);
        }
    }
}

fn arrow(pen: &mut Pen<'_>, from: Point2, to: Point2) {
    let way = to - from;
    let Some(unit) = way.normalised().filter(|_| way.length() >= ARROW) else {
        return;
    };
    let neck = to - unit * 2.4;
    let half = unit.left() * 0.9;
    pen.stroke(Path::line(from, neck), Line::THICK, Role::Selected)
        .fill(
            Path::polygon([to, neck + half, neck - half]),
            Role::Selected,
        );
}

/// The figures of the comparison that differ, in words.
fn figures(before: (&Scene, &Checker), after: (&Scene, &Checker)) -> Vec<String> {
    let rows = [before, after].map(|(scene, checker)| Row::of(scene, checker));
    let mut lines = Vec::new();
    for (c, column) in COLUMNS.iter().enumerate() {
        let [was, is] = [0, 1].map(|r: usize| rows[r].figures[c].text());
        if was != is {
            let unit = match column.unit() {
                "" => String::new(),
                unit => format!(" {unit}"),
            };
            lines.push(format!(
                "{}: {is}{unit}, before {was}{unit}",
                column.title()
            ));
        }
    }
    lines
}

/// Cables that need another length than before, and those that are only in one of
/// the two, in words.
fn cables(inputs: &[SheetInput<'_>; 2]) -> Vec<String> {
    let [before, after] = inputs;
    let ids: BTreeSet<_> = before.runs.keys().chain(after.runs.keys()).collect();
    let name = |id| {
        let both = [after, before].map(|i| i.scene.arrangement().cables.get(id));
        both.into_iter().flatten().next().map(|c| c.name.clone())
    };
    let mut lines = Vec::new();
    for id in ids {
        let Some(name) = name(id) else { continue };
        match (before.runs.get(id), after.runs.get(id)) {
            (Some(a), Some(b)) if a.needed != b.needed => {
                let (a, b) = (a.needed.text1(), b.needed.text1());
                lines.push(format!("{name}: needs {b} mm, before {a} mm"));
            }
            (Some(_), None) => lines.push(format!("{name}: only before")),
            (None, Some(_)) => lines.push(format!("{name}: only after")),
            _ => {}
        }
    }
    lines
}

/// The differences in words, in the legend's room.
fn listed(list: &mut DrawList, plan: &Plan, found: &[(String, String)]) {
    let room = plan.legend.grown(-3.0);
    let mut pen = list.pen().layer(Layer::Notes);
    pen.stroke(Path::rect(plan.legend), Line::THIN, Role::Ruler);
    let mut y = super::legend::heading(&mut pen, room, "what differs");
    let small = |x: f64, y: f64, text: String| Text::new((x, y + 2.4), text).size(TextSize::Small);
    if found.is_empty() {
        pen.text(
            small(
                room.min.x,
                y,
                "nothing: all parts stand where they stood".to_owned(),
            ),
            Role::Text,
        );
    }
    let indent = 7.0;
    for (n, (sign, words)) in found.iter().enumerate() {
        let probe = small(0.0, 0.0, words.clone());
        let lines = wrapped(&probe, room.width() - indent);
        let tail = if n + 1 == found.len() { 0.0 } else { ROW };
        if y + lines.len() as f64 * ROW + tail > room.max.y {
            let left = found.len() - n;
            let more = small(room.min.x + indent, y, format!("and {left} more"));
            pen.text(more, Role::TextSoft);
            return;
        }
        pen.text(small(room.min.x, y, sign.clone()).bold(), Role::Selected);
        for line in lines {
            let whole = small(room.min.x + indent, y, line);
            let short = shortened(&whole, room.width() - indent);
            pen.text(
                Text {
                    text: short,
                    ..whole
                },
                Role::Text,
            );
            y += ROW;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moves_read_as_a_person_says_them() {
        let difference = |by, turned| Difference {
            part: PartId::new("fan").expect("an id"),
            name: "fan".to_owned(),
            change: Change::Moved { by, turned },
        };
        assert_eq!(
            difference(Vec3::mm(-12, 0, 5), false).words(),
            "fan: 12 mm to the left, 5 mm up"
        );
        assert_eq!(difference(Vec3::ZERO, true).words(), "fan: turned");
    }

    #[test]
    fn letters_go_on_after_z() {
        let names = [0, 25, 26, 51, 52].map(letter);
        assert_eq!(names, ["A", "Z", "AA", "AZ", "BA"]);
    }
}
