//! A template on paper: lines that a drill can follow, and its check line.

use super::{Element, Kind, Shape, Template};
use crate::paper::flow::broken;
use crate::view::labels::Labels;
use crate::view::list::{
    Affine, DrawList, HAlign, Hatch, Layer, Line, LineType, Path, Pen, Point2, Rect, Role, Text,
    TextSize, VAlign, Weight, Width,
};

/// Length of the check line that every print carries, in millimetres.
pub const CHECK_MM: f64 = 100.0;

/// Room around a template on one page.
const MARGIN: f64 = 12.0;

/// Lettering of marks.
const MARKS: TextSize = TextSize::Cap(2.0);

/// The whole template on one page at full size, with its notes, its table of holes
/// and the check line under it; and the page's size in millimetres.
pub fn page(template: &Template) -> (DrawList, [f64; 2]) {
    let [low, high] = template.bounds;
    let size = [high[0] - low[0], high[1] - low[1]];
    let width = size[0].max(CHECK_MM + 30.0);
    let mut list = DrawList::new();
    let mut y = MARGIN;
    let mut put = |list: &mut DrawList, words: &str, cap: f64, weight: Weight| {
        let size = TextSize::Cap(cap);
        for line in broken(words, width, size, weight) {
            y += size.em_mm() * 1.3;
            let mut text = Text::new((MARGIN, y), line).size(size);
            text.weight = weight;
            list.pen().layer(Layer::Notes).text(text, Role::Text);
        }
        y
    };
    put(&mut list, &template.title, 3.5, Weight::Bold);
    let top = put(
        &mut list,
        "Full size: print at 100 %, without fitting to the page.",
        2.1,
        Weight::Regular,
    ) + 8.0;
    let drawn = drawing(template, 1.0, true);
    list.append(drawn.mapped(Affine::shift(MARGIN, top)));
    let mut y = top + size[1] + 12.0;
    check_line(&mut list, Point2::new(MARGIN, y));
    y += 8.0;
    let mut under = |list: &mut DrawList, words: &str| {
        let size = TextSize::Cap(2.1);
        for line in broken(words, width, size, Weight::Regular) {
            y += size.em_mm() * 1.35;
            list.pen()
                .layer(Layer::Notes)
                .text(Text::new((MARGIN, y), line).size(size), Role::Text);
        }
        y
    };
    for note in &template.notes {
        under(&mut list, note);
    }
    for drill in &template.drills {
        let line = format!(
            "{}: {} at ({:.2}, {:.2}), {}",
            drill.mark,
            hole_words(drill),
            drill.at[0],
            drill.at[1],
            drill.zone
        );
        under(&mut list, &line);
    }
    let height = under(&mut list, "") + MARGIN;
    (list, [width + 2.0 * MARGIN, height])
}

/// A hole in words: 'Ø 2.5, thread M3', 'slot 4.4 x 10'.
pub fn hole_words(drill: &super::Drill) -> String {
    let mut words = match drill.slot {
        Some(long) => format!("slot {} wide, {:.2} between its ends", drill.diameter, long),
        None => format!("Ø {}", drill.diameter),
    };
    if let Some(thread) = &drill.thread {
        words.push_str(&format!(", core of thread {thread}"));
    }
    words
}

/// The line that has to measure 100 mm on paper, with its words beside its middle.
pub(super) fn check_line(list: &mut DrawList, at: Point2) {
    let mut pen = list.pen().layer(Layer::Notes).z(20);
    let end = at + Point2::new(CHECK_MM, 0.0);
    // Square ends: the line is as long as it says.
    let line = Line::new(Width::True(0.3), LineType::Continuous);
    pen.stroke(Path::line(at, end), line, Role::Ink);
    // Their outer edges are the ends of the line, so that it measures the same there.
    let inside = Width::Hair.mm() / 2.0;
    for x in [
        at + Point2::new(inside, 0.0),
        end - Point2::new(inside, 0.0),
    ] {
        let tick = Path::line(x - Point2::new(0.0, 2.0), x + Point2::new(0.0, 2.0));
        pen.stroke(tick, Line::HAIR, Role::Ink);
    }
    let words = "this line is 100 mm long: measure it before you drill";
    pen.text(
        Text::new(at + Point2::new(CHECK_MM / 2.0, -1.4), words)
            .size(TextSize::Small)
            .anchored(HAlign::Middle, VAlign::Baseline),
        Role::Text,
    );
}

/// A small picture of a template, without marks; its scale is chosen to fit.
pub fn picture(template: &Template, room: [f64; 2]) -> (DrawList, [f64; 2]) {
    let [low, high] = template.bounds;
    let size = [high[0] - low[0], high[1] - low[1]];
    let scale = (room[0] / size[0].max(1.0))
        .min(room[1] / size[1].max(1.0))
        .min(1.0);
    (
        drawing(template, scale, false),
        [size[0] * scale, size[1] * scale],
    )
}

/// The outlines from the upper left corner of their bounds, y down.
pub(super) fn drawing(template: &Template, scale: f64, marks: bool) -> DrawList {
    let [low, high] = template.bounds;
    let to = |p: [f64; 2]| Point2::new((p[0] - low[0]) * scale, (high[1] - p[1]) * scale);
    let room = Rect::spanning(to([low[0], high[1]]), to([high[0], low[1]])).grown(8.0);
    let mut list = DrawList::new();
    let mut labels = Labels::new(Some(room));
    let mut pen = list.pen();
    for element in &template.elements {
        outline(&mut pen, element, &to, scale);
        if let Shape::Circle { at, diameter } = &element.shape
            && element.kind != Kind::Grille
        {
            let r = diameter / 2.0 * scale;
            let c = to(*at);
            labels.take(Rect::spanning(c, c).grown(r.min(4.0)));
        }
    }
    let mut pen = list.pen().layer(Layer::Marks);
    for (at, diameter) in template.centres() {
        let half = (diameter / 2.0 * scale + 2.0).min(8.0) * if marks { 1.0 } else { 0.5 };
        pen.stroke(Path::cross(to(at), half), Line::HAIR, Role::Ink);
    }
    if !marks {
        return list;
    }
    let mut pen = list.pen().layer(Layer::Notes);
    for element in &template.elements {
        if element.label.is_empty() {
            continue;
        }
        let text = Text::new((0.0, 0.0), &element.label).size(MARKS).halo();
        let gap = match (&element.kind, &element.shape) {
            (Kind::Drill, Shape::Circle { diameter, .. }) => diameter / 2.0 * scale + 1.0,
            _ => 1.0,
        };
        if let Some((text, _)) = labels.near(to(element.shape.middle()), gap, &text) {
            pen.text(text, Role::Text);
        }
    }
    list
}

fn outline(pen: &mut Pen<'_>, element: &Element, to: &impl Fn([f64; 2]) -> Point2, scale: f64) {
    let path = match &element.shape {
        Shape::Circle { at, diameter } => Path::circle(to(*at), diameter / 2.0 * scale),
        Shape::Slot {
            from,
            to: end,
            width,
        } => Path::slot(to(*from), to(*end), width * scale),
        Shape::Polygon(points) => Path::polygon(points.iter().map(|p| to(*p))),
    };
    let mut pen = pen.fork().layer(Layer::Bodies);
    match element.kind {
        Kind::Edge => pen.stroke(path, Line::THICK, Role::Ink),
        Kind::Extent => pen.stroke(path, Line::PHANTOM, Role::Ink),
        Kind::Cut => {
            // What falls out is hatched, so that it shows without colour.
            pen.hatch(Hatch::new(path.clone(), 4.0), Role::InkSoft);
            pen.stroke(
                path,
                Line::new(Width::True(0.35), LineType::Continuous),
                Role::Ink,
            )
        }
        Kind::Drill | Kind::Grille => pen.stroke(
            path,
            Line::new(Width::True(0.18), LineType::Continuous),
            Role::Ink,
        ),
        Kind::Suggested => pen.stroke(path, Line::PHANTOM, Role::Ink),
        Kind::Vent => pen.stroke(path, Line::HIDDEN, Role::Ink),
    };
}
