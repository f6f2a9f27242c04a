//! Labels to print and to cut: one for each end of each lead, one for each part.
//!
//! A lead's label is a flag: it goes round the lead and its two halves, which read the
//! same, are stuck on one another. Texts that are too long for a label are shortened;
//! the list of labels has them whole.

use super::flow::{MARGIN, Paper, broken};
use super::template::PrintPage;
use super::{Build, lists};
use crate::view::labels::shortened;
use crate::view::list::{
    DrawList, HAlign, Layer, Line, LineType, Path, Pen, Point2, Rect, Role, Text, TextSize, VAlign,
    Width,
};

/// Width and height of a label in millimetres (common practice, no source).
const LABEL: [f64; 2] = [62.0, 18.0];
/// Room for the title over the labels.
const HEAD: f64 = 16.0;
/// Room for the foot.
const FOOT: f64 = 7.0;
/// Height of capitals: the first line, the others.
const FIRST: TextSize = TextSize::Cap(2.2);
const OTHER: TextSize = TextSize::Cap(1.5);
/// Capitals of the first line are no lower than this.
const LEAST: f64 = 1.4;
/// Between lines of the smaller lettering.
const STEP: f64 = 2.9;

/// One label.
#[derive(Clone, PartialEq, Debug)]
struct Label {
    first: String,
    others: Vec<String>,
    /// Folded round a lead: both halves carry the text.
    flag: bool,
}

/// All labels of a build: leads, then parts.
fn labels(build: &Build<'_>) -> Vec<Label> {
    let list = lists::List::of("labels").expect("it is in the list of lists");
    let table = (list.make)(build);
    let [label, here, there] = ["label", "here", "there"].map(|key| table.texts(key));
    let ends = label.into_iter().zip(here.into_iter().zip(there));
    let mut found: Vec<Label> = ends
        .map(|(first, (here, there))| Label {
            first,
            others: vec![format!("in {here}"), format!("other end: {there}")],
            flag: true,
        })
        .collect();
    found.extend(build.parts_in_order().into_iter().map(|id| Label {
        first: id.to_string(),
        others: vec![build.part_name(id)],
        flag: false,
    }));
    found
}

/// The pages of labels, upright; one page that says so where there is none.
pub fn label_pages(build: &Build<'_>, paper: Paper) -> Vec<PrintPage> {
    let labels = labels(build);
    let columns = ((paper.width - 2.0 * MARGIN) / LABEL[0]).floor().max(1.0) as usize;
    let high = paper.height - 2.0 * MARGIN - HEAD - FOOT;
    let rows = (high / LABEL[1]).floor().max(1.0) as usize;
    let count = labels.len().div_ceil(columns * rows).max(1);
    let mut pages = Vec::new();
    for page in 0..count {
        let mut list = DrawList::new();
        let mut pen = list.pen().layer(Layer::Notes);
        head(&mut pen, build, paper, labels.is_empty());
        let from = page * columns * rows;
        for (i, label) in labels.iter().skip(from).take(columns * rows).enumerate() {
            let at = Point2::new(
                MARGIN + (i % columns) as f64 * LABEL[0],
                MARGIN + HEAD + (i / columns) as f64 * LABEL[1],
            );
            one(&mut pen, label, Rect::sized(at.x, at.y, LABEL[0], LABEL[1]));
        }
        let foot = Text::new(
            (paper.width - MARGIN, paper.height - MARGIN),
            format!("page {} of {count}", page + 1),
        )
        .size(OTHER)
        .anchored(HAlign::Right, VAlign::Baseline);
        pen.text(foot, Role::TextSoft);
        pages.push(PrintPage {
            list,
            size: [paper.width, paper.height],
            name: format!("labels {}", page + 1),
        });
    }
    pages
}

fn head(pen: &mut Pen<'_>, build: &Build<'_>, paper: Paper, empty: bool) {
    let width = paper.width - 2.0 * MARGIN;
    let title = format!("Labels: {}", build.scene.title);
    put(
        pen,
        [MARGIN, MARGIN + 3.4],
        &title,
        TextSize::Cap(3.2),
        width,
        true,
    );
    let about = if empty {
        "There is no part and no lead to label.".to_owned()
    } else {
        format!(
            "Arrangement '{}'. Cut along the lines. With a dashed middle: fold there round the lead, stick the halves \
             on one another.",
            build.scene.arrangement().name
        )
    };
    let lines = broken(
        &about,
        width,
        TextSize::Cap(1.8),
        crate::view::list::Weight::Regular,
    );
    for (i, line) in lines.iter().take(2).enumerate() {
        let y = MARGIN + 8.2 + 3.4 * i as f64;
        put(pen, [MARGIN, y], line, TextSize::Cap(1.8), width, false);
    }
}

/// A label in its frame.
fn one(pen: &mut Pen<'_>, label: &Label, frame: Rect) {
    pen.stroke(Path::rect(frame), Line::HAIR, Role::InkSoft);
    let halves = if label.flag { 2 } else { 1 };
    let width = frame.width() / halves as f64;
    for half in 0..halves {
        let x = frame.min.x + half as f64 * width + 1.6;
        let room = width - 3.2;
        let (first, size) = one_line(&label.first, room);
        put(pen, [x, frame.min.y + 4.4], &first, size, room, true);
        let mut y = frame.min.y + 8.0;
        let least = label.others.len();
        for (i, words) in label.others.iter().enumerate() {
            let left = ((frame.max.y - 0.6 - y) / STEP).floor().max(0.0) as usize + 1;
            // Two lines each where there is room; the last takes what is left.
            let most = if i + 1 == least { left } else { 2 };
            for line in fitted(words, room, most.min(left)) {
                put(pen, [x, y], &line, OTHER, room, false);
                y += STEP;
            }
        }
    }
    if label.flag {
        let x = frame.centre().x;
        let fold = Path::line((x, frame.min.y), (x, frame.max.y));
        pen.stroke(
            fold,
            Line::new(Width::Hair, LineType::Dashed),
            Role::InkSoft,
        );
    }
}

/// The first line, smaller where it is long; of one that is too long even so the middle
/// is left out, for its end says which end of the lead it is.
fn one_line(words: &str, room: f64) -> (String, TextSize) {
    let wide = |text: &str, size: TextSize| Text::new((0.0, 0.0), text).size(size).bold().width();
    let full = wide(words, FIRST);
    let size = TextSize::Cap((2.2 * (room - 0.1) / full.max(1e-9)).clamp(LEAST, 2.2));
    if wide(words, size) <= room {
        return (words.to_owned(), size);
    }
    let (id, end) = words.rsplit_once('/').unwrap_or((words, ""));
    let tail = if end.is_empty() {
        String::new()
    } else {
        format!("/{end}")
    };
    let left = room - wide(&tail, size);
    let id = Text::new((0.0, 0.0), id).size(size).bold();
    (format!("{}{tail}", shortened(&id, left)), size)
}

/// A text in at most so many lines, the last of them shortened.
fn fitted(words: &str, room: f64, most: usize) -> Vec<String> {
    let mut lines = broken(words, room, OTHER, crate::view::list::Weight::Regular);
    if lines.len() > most && most > 0 {
        let rest = lines.split_off(most - 1).join(" ");
        lines.push(rest);
    }
    lines.truncate(most);
    lines
}

fn put(pen: &mut Pen<'_>, [x, y]: [f64; 2], words: &str, size: TextSize, room: f64, bold: bool) {
    let mut text = Text::new((x, y), words)
        .size(size)
        .anchored(HAlign::Left, VAlign::Baseline);
    if bold {
        text = text.bold();
    }
    let short = shortened(&text, room);
    pen.text(
        Text {
            text: short,
            ..text
        },
        Role::Text,
    );
}
