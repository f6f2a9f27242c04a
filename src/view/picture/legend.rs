//! Legend and list of findings.

use super::PictureOptions;
use super::items::Item;
use super::layout::Plan;
use crate::rules::Severity;
use crate::view::labels::{shortened, wrapped};
use crate::view::list::{
    DrawList, HAlign, Layer, Line, Path, Pen, Point2, Rect, Role, Text, TextSize, VAlign,
};
use crate::view::sheet::SheetInput;

/// Distance between lines, in page millimetres.
pub(super) const ROW: f64 = 4.4;
/// Lettering of the legend.
const SIZE: TextSize = TextSize::Small;

/// Draws the legend, and below it the findings where they are wanted.
pub(super) fn draw(
    list: &mut DrawList,
    input: &SheetInput<'_>,
    options: &PictureOptions,
    plan: &Plan,
    items: &[Item],
) {
    let room = plan.legend.grown(-3.0);
    let mut pen = list.pen().layer(Layer::Notes);
    pen.stroke(Path::rect(plan.legend), Line::THIN, Role::Ruler);
    let wanted = options.findings && !input.findings.is_empty();
    // Findings get at least a third of the room.
    let share = if wanted {
        room.height() * 0.66
    } else {
        room.height()
    };
    let end = parts(
        &mut pen,
        Rect::sized(room.min.x, room.min.y, room.width(), share),
        items,
    );
    if wanted {
        let rest = Rect::spanning((room.min.x, end + 3.0), room.max);
        findings(&mut pen, rest, input);
    } else if options.plain_words {
        let rest = Rect::spanning((room.min.x, end + 3.0), room.max);
        plain_words(&mut pen, rest, input);
    }
}

/// The parts; gives back where they end.
fn parts(pen: &mut Pen<'_>, room: Rect, items: &[Item]) -> f64 {
    let mut y = heading(pen, room, "parts");
    let weak = items.iter().any(|i| i.weak);
    let beside = items.iter().any(|i| i.beside > 0);
    let notes = usize::from(weak) + usize::from(beside);
    let rows = ((room.max.y - y) / ROW).floor().max(0.0) as usize;
    let rows = rows.saturating_sub(notes);
    let shown = if items.len() > rows {
        rows.saturating_sub(1)
    } else {
        items.len()
    };
    for item in &items[..shown] {
        row(pen, room, y, item);
        y += ROW;
    }
    let mut note = |text: String| {
        let text = Text::new((room.min.x, y + 2.4), text).size(SIZE);
        let short = shortened(&text, room.width());
        pen.text(
            Text {
                text: short,
                ..text
            },
            Role::TextSoft,
        );
        y += ROW;
    };
    if shown < items.len() {
        note(format!("and {} more kinds of part", items.len() - shown));
    }
    if weak {
        note("* not all figures are certain: measure".to_owned());
    }
    if beside {
        note("– not placed in this arrangement".to_owned());
    }
    y
}

pub(super) fn heading(pen: &mut Pen<'_>, room: Rect, text: &str) -> f64 {
    let text = Text::new((room.min.x, room.min.y + 2.6), text)
        .size(TextSize::Body)
        .bold();
    pen.text(text, Role::Title);
    let y = room.min.y + 4.4;
    pen.stroke(
        Path::line((room.min.x, y), (room.max.x, y)),
        Line::HAIR,
        Role::Ruler,
    );
    y + 1.4
}

fn row(pen: &mut Pen<'_>, room: Rect, y: f64, item: &Item) {
    let base = y + 2.4;
    let put = |x: f64, h: HAlign, text: &str| {
        Text::new((x, base), text)
            .size(SIZE)
            .anchored(h, VAlign::Baseline)
    };
    let swatch = Path::rect(Rect::sized(room.min.x, y + 0.4, 2.2, 2.2));
    pen.fill(swatch.clone(), Role::Fill(item.system))
        .stroke(swatch, Line::HAIR, Role::InkSoft);
    pen.text(
        put(room.min.x + 7.6, HAlign::Right, &item.number.to_string()),
        Role::Text,
    );
    let count = item.parts.len() + item.beside;
    let mut name = if count > 1 {
        format!("{count} x {}", item.name)
    } else {
        item.name.clone()
    };
    if item.beside > 0 {
        name = format!("– {name}");
    }
    let mut size = item.size.clone();
    if item.weak {
        size.push_str(" *");
    }
    let size = put(room.max.x, HAlign::Right, &size);
    let start = room.min.x + 9.4;
    let name = put(start, HAlign::Left, &name);
    let short = shortened(&name, room.max.x - size.width() - 2.0 - start);
    pen.text(size, Role::TextSoft);
    pen.text(
        Text {
            text: short,
            ..name
        },
        Role::Text,
    );
}

fn findings(pen: &mut Pen<'_>, room: Rect, input: &SheetInput<'_>) {
    if room.height() < 3.0 * ROW {
        return;
    }
    let mut y = heading(pen, room, "findings");
    let indent = 4.0;
    for (i, finding) in input.findings.iter().enumerate() {
        let probe = Text::new((0.0, 0.0), finding.sentence()).size(SIZE);
        let lines = wrapped(&probe, room.width() - indent);
        let last = i + 1 == input.findings.len();
        let tail = if last { 0.0 } else { ROW };
        if y + lines.len() as f64 * ROW + tail > room.max.y {
            let left = input.findings.len() - i;
            let text = format!("and {left} more");
            pen.text(
                Text::new((room.min.x + indent, y + 2.4), text).size(SIZE),
                Role::TextSoft,
            );
            return;
        }
        bullet(
            pen,
            Point2::new(room.min.x + 1.4, y + 1.5),
            finding.severity,
        );
        for line in lines {
            let line = shortened(
                &Text {
                    text: line,
                    ..probe.clone()
                },
                room.width() - indent,
            );
            pen.text(
                Text::new((room.min.x + indent, y + 2.4), line).size(SIZE),
                Role::Text,
            );
            y += ROW;
        }
    }
}

/// The main choices in sentences: as many whole ones as have room.
fn plain_words(pen: &mut Pen<'_>, room: Rect, input: &SheetInput<'_>) {
    let probe = Text::new((0.0, 0.0), "").size(SIZE);
    let lines_of = |sentence: &String| {
        let text = Text {
            text: sentence.clone(),
            ..probe.clone()
        };
        wrapped(&text, room.width())
    };
    let first = super::plain::sentences(input);
    let Some(least) = first.first().map(|s| lines_of(s).len()) else {
        return;
    };
    if room.height() < 7.0 + least as f64 * ROW {
        return;
    }
    let mut y = heading(pen, room, "in plain words");
    for sentence in &first {
        let lines = lines_of(sentence);
        if y + lines.len() as f64 * ROW > room.max.y {
            return;
        }
        for line in lines {
            let whole = Text::new((room.min.x, y + 2.4), line).size(SIZE);
            let short = shortened(&whole, room.width());
            pen.text(
                Text {
                    text: short,
                    ..whole
                },
                Role::Text,
            );
            y += ROW;
        }
        y += 0.8;
    }
}

/// The sign of a severity: a filled square, a triangle, a ring.
fn bullet(pen: &mut Pen<'_>, at: Point2, severity: Severity) {
    match severity {
        Severity::Stop => {
            pen.fill(Path::rect(Rect::spanning(at, at).grown(1.0)), Role::Clash);
        }
        Severity::Caution => {
            let corner = |d: f64| at + Point2::unit(d) * 1.3;
            let path = Path::polygon([corner(-90.0), corner(30.0), corner(150.0)]);
            pen.fill(path, Role::Caution);
        }
        Severity::Remark => {
            pen.stroke(Path::circle(at, 0.9), Line::THIN, Role::Remark);
        }
    }
}
