//! Text and tables down the pages of a document: the layout of build sheet and
//! template overview. Nothing overlaps and nothing leaves the page, whatever the
//! texts are: words that are too long are broken, rows go on over the page.

use crate::view::list::{
    Affine, DrawList, HAlign, Layer, Line, Path, Pen, Point2, Rect, Role, Text, TextSize, VAlign,
    Weight,
};
use crate::view::text;

/// Size of a sheet of paper in millimetres.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Paper {
    /// Width, upright.
    pub width: f64,
    /// Height, upright.
    pub height: f64,
}

impl Paper {
    /// A4: ISO 216, from memory.
    pub const A4: Paper = Paper {
        width: 210.0,
        height: 297.0,
    };
    /// Letter: 8.5 by 11 in.
    pub const LETTER: Paper = Paper {
        width: 215.9,
        height: 279.4,
    };

    /// By its word on the command line.
    pub fn from_name(word: &str) -> Option<Paper> {
        match word {
            "a4" => Some(Paper::A4),
            "letter" => Some(Paper::LETTER),
            _ => None,
        }
    }

    /// Lying.
    pub const fn lying(self) -> Paper {
        Paper {
            width: self.height,
            height: self.width,
        }
    }
}

/// Printers leave less than this blank (common practice, no source).
pub(super) const MARGIN: f64 = 12.0;
/// Room for the foot.
const FOOT: f64 = 8.0;
/// Between lines, in ems; lettering is 1.215 high from ascender to descender.
const LEADING: f64 = 1.3;
/// Air in a cell, left and right.
const PAD: f64 = 1.1;
/// A word wider than this may be broken to save its neighbours.
const WORD: f64 = 26.0;
/// Lettering of tables, notes and headings: height of capitals.
const TABLE: TextSize = TextSize::Cap(1.9);
const NOTE: TextSize = TextSize::Cap(2.1);

/// Columns of a table.
#[derive(Clone, Copy, Debug)]
pub(super) struct Head<'a> {
    /// Over the column.
    pub title: &'a str,
    /// Figures stand at the right.
    pub figure: bool,
    /// At least so wide: room to write in.
    pub least: f64,
}

impl<'a> Head<'a> {
    pub const fn words(title: &'a str) -> Head<'a> {
        Head {
            title,
            figure: false,
            least: 0.0,
        }
    }
}

/// A document on the way.
pub(super) struct Flow {
    paper: Paper,
    foot: String,
    pages: Vec<DrawList>,
    names: Vec<String>,
    y: f64,
}

impl Flow {
    /// With one empty page; `foot` stands at the lower left of each.
    pub fn new(paper: Paper, foot: &str) -> Flow {
        Flow {
            paper,
            foot: foot.to_owned(),
            pages: vec![DrawList::new()],
            names: vec![String::new()],
            y: MARGIN,
        }
    }

    fn width(&self) -> f64 {
        self.paper.width - 2.0 * MARGIN
    }

    fn bottom(&self) -> f64 {
        self.paper.height - MARGIN - FOOT
    }

    fn full(&self) -> f64 {
        self.bottom() - MARGIN
    }

    /// A fresh page.
    pub fn next_page(&mut self) {
        self.pages.push(DrawList::new());
        self.names.push(String::new());
        self.y = MARGIN;
    }

    /// A fresh page where less than this is left.
    pub fn need(&mut self, height: f64) {
        if self.y > MARGIN && self.y + height > self.bottom() {
            self.next_page();
        }
    }

    pub fn gap(&mut self, height: f64) {
        self.y += height;
    }

    fn pen(&mut self) -> Pen<'_> {
        let page = self.pages.last_mut().expect("there is a page");
        page.pen().layer(Layer::Notes)
    }

    /// One line at a place on the page, from the top of its box; gives its height.
    fn line(
        &mut self,
        at: Point2,
        h: HAlign,
        words: &str,
        size: TextSize,
        weight: Weight,
        role: Role,
    ) {
        let em = size.em_mm();
        let base = at.y + (LEADING - 1.0 - text::DESCENT + text::ASCENT) * em / 2.0 + em * 0.36;
        let mut mark = Text::new((at.x, base), words)
            .size(size)
            .anchored(h, VAlign::Baseline);
        mark.weight = weight;
        self.pen().text(mark, role);
    }

    /// The title of the document.
    pub fn title(&mut self, words: &str) {
        self.lines(words, TextSize::Cap(4.2), Weight::Bold, Role::Title, 0.0);
        self.gap(1.5);
    }

    /// A heading, which keeps some room under it; the first of a page names the page.
    pub fn heading(&mut self, words: &str, keep: f64) {
        let size = TextSize::Cap(3.0);
        self.gap(if self.y > MARGIN { 3.0 } else { 0.0 });
        self.need(size.em_mm() * LEADING + keep.max(12.0));
        let name = self.names.last_mut().expect("there is a page");
        if name.is_empty() {
            words.clone_into(name);
        }
        self.lines(words, size, Weight::Bold, Role::Title, 0.0);
        let y = self.y + 0.4;
        let line = Path::line((MARGIN, y), (MARGIN + self.width(), y));
        self.pen().stroke(line, Line::THICK, Role::Ink);
        self.gap(2.0);
    }

    /// A smaller heading.
    pub fn sub_heading(&mut self, words: &str, keep: f64) {
        let size = TextSize::Cap(2.3);
        self.gap(1.5);
        self.need(size.em_mm() * LEADING + keep.max(8.0));
        self.lines(words, size, Weight::Bold, Role::Text, 0.0);
        self.gap(0.6);
    }

    /// A paragraph.
    pub fn note(&mut self, words: &str) {
        self.lines(words, NOTE, Weight::Regular, Role::Text, 0.0);
        self.gap(1.0);
    }

    /// A paragraph with a warning triangle before it, in a frame.
    pub fn caution(&mut self, words: &str) {
        let em = NOTE.em_mm();
        let width = self.width() - 10.0;
        let lines = broken(words, width, NOTE, Weight::Regular);
        let height = (lines.len() as f64 * em * LEADING + 1.6).max(6.0);
        self.need(height.min(self.full()));
        let top = self.y;
        if height <= self.full() {
            let frame = Rect::sized(MARGIN, top, self.width(), height);
            self.pen().stroke(Path::rect(frame), Line::THIN, Role::Ink);
            let c = Point2::new(MARGIN + 4.2, top + 3.3);
            let corner = |d: f64| c + Point2::unit(d) * 2.4;
            let triangle = Path::polygon([corner(-90.0), corner(30.0), corner(150.0)]);
            self.pen().stroke(triangle, Line::THIN, Role::Ink);
            let stem = Path::line(c + Point2::new(0.0, -1.1), c + Point2::new(0.0, 0.25));
            let dot = Path::line(c + Point2::new(0.0, 0.7), c + Point2::new(0.0, 0.8));
            self.pen().stroke(stem.with(&dot), Line::THICK, Role::Ink);
        }
        self.gap(0.8);
        let step = em * LEADING;
        for line in lines {
            self.need(step);
            let at = Point2::new(MARGIN + 8.4, self.y);
            self.line(at, HAlign::Left, &line, NOTE, Weight::Regular, Role::Text);
            self.gap(step);
        }
        if height <= self.full() {
            self.y = top + height;
        }
        self.gap(1.2);
    }

    /// A line with a box to tick.
    pub fn tick(&mut self, words: &str) {
        let em = NOTE.em_mm();
        self.need(em * LEADING);
        let rect = Rect::sized(MARGIN + 0.4, self.y + 0.3, 2.8, 2.8);
        self.pen().stroke(Path::rect(rect), Line::THIN, Role::Ink);
        self.lines(words, NOTE, Weight::Regular, Role::Text, 5.0);
        self.gap(0.9);
    }

    /// Lines down the page, indented.
    fn lines(&mut self, words: &str, size: TextSize, weight: Weight, role: Role, indent: f64) {
        let step = size.em_mm() * LEADING;
        for line in broken(words, self.width() - indent, size, weight) {
            self.need(step);
            let at = Point2::new(MARGIN + indent, self.y);
            self.line(at, HAlign::Left, &line, size, weight, role);
            self.gap(step);
        }
    }

    /// A table with its heads on each page; `tick` puts a box before each row.
    pub fn table(&mut self, heads: &[Head<'_>], rows: &[Vec<String>], tick: bool) {
        let indent = if tick { 5.0 } else { 0.0 };
        let widths = widths(heads, rows, self.width() - indent);
        let step = TABLE.em_mm() * LEADING;
        // Room for a hand where something is to be written.
        let written = heads.iter().any(|h| h.least > 0.0);
        let least = if written { 6.5 } else { 0.0 };
        let most = ((self.full() - 4.0 * step) / step).floor().max(1.0) as usize;
        self.need(step * 3.0);
        self.heads(heads, &widths, indent);
        for row in rows {
            let cells: Vec<Vec<String>> = row
                .iter()
                .zip(&widths)
                .map(|(cell, w)| broken(cell, w - 2.0 * PAD, TABLE, Weight::Regular))
                .collect();
            let tall = cells.iter().map(Vec::len).max().unwrap_or(0).max(1);
            for first in (0..tall).step_by(most) {
                let count = most.min(tall - first);
                let height = (count as f64 * step + 0.9).max(least);
                if self.y + height > self.bottom() {
                    self.next_page();
                    self.heads(heads, &widths, indent);
                }
                self.row(&cells, heads, &widths, [first, count], indent);
                if tick && first == 0 {
                    let rect = Rect::sized(MARGIN + 0.6, self.y + 0.6, 2.6, 2.6);
                    self.pen().stroke(Path::rect(rect), Line::THIN, Role::Ink);
                }
                self.gap(height);
                let rule = Path::line((MARGIN, self.y), (MARGIN + self.width(), self.y));
                self.pen().stroke(rule, Line::HAIR, Role::InkSoft);
            }
        }
        self.gap(2.0);
    }

    fn row(
        &mut self,
        cells: &[Vec<String>],
        heads: &[Head<'_>],
        widths: &[f64],
        [first, count]: [usize; 2],
        indent: f64,
    ) {
        let step = TABLE.em_mm() * LEADING;
        let mut x = MARGIN + indent;
        for ((cell, head), width) in cells.iter().zip(heads).zip(widths) {
            for (i, line) in cell.iter().skip(first).take(count).enumerate() {
                let y = self.y + 0.8 + i as f64 * step;
                let (at, h) = match head.figure {
                    true => (x + width - PAD, HAlign::Right),
                    false => (x + PAD, HAlign::Left),
                };
                self.line(
                    Point2::new(at, y),
                    h,
                    line,
                    TABLE,
                    Weight::Regular,
                    Role::Text,
                );
            }
            x += width;
        }
    }

    fn heads(&mut self, heads: &[Head<'_>], widths: &[f64], indent: f64) {
        let step = TABLE.em_mm() * LEADING;
        let titles: Vec<Vec<String>> = heads
            .iter()
            .zip(widths)
            .map(|(h, w)| broken(h.title, w - 2.0 * PAD, TABLE, Weight::Bold))
            .collect();
        let tall = titles.iter().map(Vec::len).max().unwrap_or(1).min(4);
        let mut x = MARGIN + indent;
        for ((title, head), width) in titles.iter().zip(heads).zip(widths) {
            for (i, line) in title.iter().take(tall).enumerate() {
                let y = self.y + i as f64 * step;
                let (at, h) = match head.figure {
                    true => (x + width - PAD, HAlign::Right),
                    false => (x + PAD, HAlign::Left),
                };
                self.line(Point2::new(at, y), h, line, TABLE, Weight::Bold, Role::Text);
            }
            x += width;
        }
        self.gap(tall as f64 * step + 0.4);
        let rule = Path::line((MARGIN, self.y), (MARGIN + self.width(), self.y));
        self.pen().stroke(rule, Line::THIN, Role::Ink);
    }

    /// Pictures in a row, each under its caption; they keep their own size.
    pub fn pictures(&mut self, pictures: &[(String, DrawList, [f64; 2])]) {
        let step = TABLE.em_mm() * LEADING;
        let mut x = MARGIN;
        let mut tallest = 0.0;
        for (caption, list, [width, height]) in pictures {
            let lines = broken(caption, width.max(30.0), TABLE, Weight::Bold);
            let need = [width.max(30.0), lines.len() as f64 * step + height + 2.0];
            let full = x > MARGIN && x + need[0] > MARGIN + self.width();
            if full
                || (x == MARGIN && self.y + need[1] > self.bottom())
                || (self.y + need[1] > self.bottom())
            {
                self.gap(tallest);
                x = MARGIN;
                tallest = 0.0;
                self.need(need[1]);
            }
            let mut y = self.y;
            for line in &lines {
                self.line(
                    Point2::new(x, y),
                    HAlign::Left,
                    line,
                    TABLE,
                    Weight::Bold,
                    Role::Text,
                );
                y += step;
            }
            let placed = list.mapped(Affine::shift(x, y + 1.0));
            self.pages
                .last_mut()
                .expect("there is a page")
                .append(placed);
            tallest = f64::max(tallest, need[1] + 2.0);
            x += need[0] + 6.0;
        }
        self.gap(tallest);
    }

    /// The pages with their names, each with its foot.
    pub fn finish(mut self) -> Vec<(DrawList, String)> {
        let count = self.pages.len();
        let size = TextSize::Cap(1.8);
        let width = self.paper.width - 2.0 * MARGIN;
        let foot = broken(&self.foot, width - 30.0, size, Weight::Regular);
        let foot = foot.first().cloned().unwrap_or_default();
        let mut done = Vec::new();
        for (i, (mut page, name)) in self.pages.drain(..).zip(self.names.drain(..)).enumerate() {
            let y = self.paper.height - MARGIN - 0.8;
            let mut pen = page.pen().layer(Layer::Notes);
            let left = Text::new((MARGIN, y), &foot).size(size);
            pen.text(left, Role::TextSoft);
            let right = Text::new((MARGIN + width, y), format!("page {} of {count}", i + 1))
                .size(size)
                .anchored(HAlign::Right, VAlign::Baseline);
            pen.text(right, Role::TextSoft);
            done.push((page, name));
        }
        done
    }
}

/// Widths of columns that use the room: as wide as their texts where that fits, else
/// cut in proportion to what can be cut.
fn widths(heads: &[Head<'_>], rows: &[Vec<String>], room: f64) -> Vec<f64> {
    let em = TABLE.em_mm();
    let wide = |t: &str| text::width(t, em, Weight::Regular);
    let mut natural = Vec::new();
    let mut least = Vec::new();
    for (i, head) in heads.iter().enumerate() {
        let bold = |t: &str| text::width(t, em, Weight::Bold);
        let cells = || rows.iter().filter_map(|r| r.get(i));
        let whole = cells().map(|c| wide(c)).fold(bold(head.title), f64::max);
        let words = cells().flat_map(|c| c.split_whitespace());
        let title = head.title.split_whitespace().map(bold);
        let word = words.map(wide).chain(title).fold(0.0, f64::max);
        let floor = word.min(WORD) + 2.0 * PAD + 0.2;
        least.push(floor.max(head.least));
        natural.push((whole + 2.0 * PAD + 0.2).max(floor).max(head.least));
    }
    let (all, floor): (f64, f64) = (natural.iter().sum(), least.iter().sum());
    if all <= room {
        let spare = (room - all) / heads.len().max(1) as f64;
        return natural.iter().map(|w| w + spare.min(6.0)).collect();
    }
    if floor >= room {
        return least.iter().map(|w| w * room / floor).collect();
    }
    let share = (room - floor) / (all - floor);
    natural
        .iter()
        .zip(&least)
        .map(|(n, l)| l + (n - l) * share)
        .collect()
}

/// A text in lines of at most `width`; a longer word is broken.
pub(super) fn broken(words: &str, width: f64, size: TextSize, weight: Weight) -> Vec<String> {
    let em = size.em_mm();
    let mut lines: Vec<String> = Vec::new();
    let mut used = 0.0;
    let blank = text::width(" ", em, weight);
    for word in words.split_whitespace() {
        let wide = text::width(word, em, weight);
        if let Some(line) = lines.last_mut()
            && used + blank + wide <= width
        {
            line.push(' ');
            line.push_str(word);
            used += blank + wide;
            continue;
        }
        lines.push(String::new());
        used = 0.0;
        if wide <= width {
            word.clone_into(lines.last_mut().expect("just pushed"));
            used = wide;
            continue;
        }
        for c in word.chars() {
            let step = text::width(c.encode_utf8(&mut [0; 4]), em, weight);
            if used > 0.0 && used + step > width {
                lines.push(String::new());
                used = 0.0;
            }
            lines.last_mut().expect("just pushed").push(c);
            used += step;
        }
    }
    lines
}
