//! The corner of the sheet that no view needs: title, projection, key of marks.

use super::painter::{self, Screen};
use super::{App, theme};
use crate::view::list::{
    DrawList, Hatch, Line, Path, Pen, Point2, Rect as PageRect, Role, System, Text, TextSize,
};
use eframe::egui::{Rect, Ui};

/// Points of the window for a millimetre of the page.
const PPM: f32 = 96.0 / 25.4;
/// Width of a sample in the key, in page millimetres.
const SAMPLE: f64 = 10.0;

impl App {
    /// Draws title and key into the free corner.
    pub(super) fn key_ui(&self, ui: &Ui, area: Rect) {
        if area.width() < 140.0 || area.height() < 60.0 {
            return;
        }
        let screen = Screen {
            origin: area.min,
            ppm: PPM,
        };
        let page = PageRect::sized(
            0.0,
            0.0,
            f64::from(area.width() / PPM),
            f64::from(area.height() / PPM),
        );
        let mut list = DrawList::new();
        let down = self.title_block(&mut list, page);
        key(&mut list, page, down);
        let palette = self.palette();
        let colours = |role, wash| theme::role_colour(&palette, role, wash);
        let pixels = ui.ctx().pixels_per_point();
        let ready = painter::ready(&list, screen, page, pixels, &colours);
        painter::paint(&ui.painter().with_clip_rect(area), &ready, screen, PPM);
    }

    /// Returns how far a second line of the title pushes down what follows, in millimetres.
    fn title_block(&self, list: &mut DrawList, page: PageRect) -> f64 {
        let scene = self.editor.scene();
        let e = &scene.enclosure;
        let left = 8.0;
        // A narrow corner gives the symbol's place to the words.
        let narrow = page.width() < 100.0;
        let room = page.width() - left - if narrow { 4.0 } else { 34.0 };
        let mut pen = list.pen();
        // A long title takes a second line where the corner has the height for it.
        let size = TextSize::Cap(3.0);
        let (head, rest) = match page.height() > 36.0 {
            true => split(&scene.title, size, room),
            false => (scene.title.as_str(), ""),
        };
        let down = if rest.is_empty() { 0.0 } else { 5.6 };
        for (i, line) in [head, rest].into_iter().enumerate() {
            let title = fitted(line, size, room, true);
            pen.text(title.at_point(left, 12.0 + 5.6 * i as f64), Role::Title);
        }
        let litres = e.outline().volume_mm3() / 1e6;
        let lines = [
            e.name.clone(),
            format!(
                "{} x {} x {} mm, {litres:.1} litres",
                e.size.x, e.size.y, e.size.z
            ),
            "Planning figures: measure before ordering.".to_owned(),
        ];
        for (i, line) in lines.iter().enumerate() {
            let text = fitted(line, TextSize::Cap(2.2), room, false);
            let role = if i == 2 { Role::TextSoft } else { Role::Text };
            pen.text(text.at_point(left, 18.0 + down + 5.0 * i as f64), role);
        }
        if !narrow {
            third_angle(&mut pen, Point2::new(page.width() - 22.0, 12.0));
        }
        down
    }
}

/// The symbol of third-angle projection: a truncated cone seen from its small end
/// and from its side. Source: ISO 5456-2, from memory.
fn third_angle(pen: &mut Pen<'_>, at: Point2) {
    let cone = [(9.0, -1.6), (16.0, -3.2), (16.0, 3.2), (9.0, 1.6)];
    let corner = |(x, y): (f64, f64)| at + Point2::new(x, y);
    pen.stroke(Path::circle(at, 3.2), Line::THIN, Role::Ink)
        .stroke(Path::circle(at, 1.6), Line::THIN, Role::Ink)
        .stroke(Path::polygon(cone.map(corner)), Line::THIN, Role::Ink)
        .stroke(
            Path::line(at - Point2::new(4.6, 0.0), at + Point2::new(17.6, 0.0)),
            Line::CENTRE,
            Role::Centre,
        );
}

/// Samples of the marks with their meaning, in as many columns as fit.
fn key(list: &mut DrawList, page: PageRect, down: f64) {
    type Sample = fn(&mut Pen<'_>, PageRect);
    let samples: [(&str, Sample); 10] = [
        ("visible edge", |pen, r| {
            pen.body(Path::rect(r), System::Boards);
        }),
        ("hidden edge", |pen, r| {
            pen.stroke(middle(r), Line::HIDDEN, Role::Hidden);
        }),
        ("clash, depth", |pen, r| {
            pen.wash(Path::rect(r), Role::Clash)
                .hatch(Hatch::new(Path::rect(r), 1.1).line(Line::THIN), Role::Clash)
                .stroke(Path::rect(r), Line::THICK, Role::Clash);
        }),
        ("tight gap", |pen, r| {
            let c = r.centre();
            for s in [-1.0, 1.0] {
                let tip = Point2::new(c.x + s, c.y);
                let neck = Point2::new(c.x + s * 2.5, c.y);
                let half = Point2::new(0.0, 0.6);
                pen.fill(Path::polygon([tip, neck + half, neck - half]), Role::Tight)
                    .stroke(
                        Path::line(neck, Point2::new(c.x + s * 4.5, c.y)),
                        Line::THIN,
                        Role::Tight,
                    )
                    .stroke(
                        Path::line(tip - Point2::new(0.0, 1.3), tip + Point2::new(0.0, 1.3)),
                        Line::THIN,
                        Role::Tight,
                    );
            }
        }),
        ("empty hole", |pen, r| {
            pen.stroke(Path::circle(r.centre(), 1.4), Line::THICK, Role::Unheld);
        }),
        ("outside", |pen, r| {
            pen.stroke(Path::rect(r.grown(-0.2)), Line::THICK, Role::Clash)
                .stroke(Path::rect(r.grown(0.6)), Line::THIN, Role::Clash);
        }),
        ("cable", |pen, r| {
            pen.stroke(middle(r), Line::true_width(1.2), Role::Cable(System::Data));
        }),
        ("missing piece", |pen, r| {
            pen.stroke(middle(r), Line::PHANTOM, Role::Short);
        }),
        ("mounting zone", |pen, r| {
            pen.stroke(Path::rect(r), Line::HIDDEN, Role::Zone);
        }),
        ("passage", |pen, r| {
            let c = r.centre();
            let half = Point2::new(2.4, 0.0);
            pen.stroke(
                Path::slot(c - half, c + half, 2.0),
                Line::THIN,
                Role::Passage,
            );
        }),
    ];
    let (top, step) = (38.0 + down, 5.4);
    let rows = (((page.height() - top - 4.0) / step).floor() as usize).max(1);
    // Columns narrower than this would cut the words; what has no room is left out.
    let room = page.width() - 16.0;
    let columns = samples.len().div_ceil(rows).min((room / 33.0) as usize);
    // A few samples would look like all of them.
    if columns == 0 || rows * columns < 4 {
        return;
    }
    let width = room / columns as f64;
    for (i, (text, sample)) in samples.iter().take(rows * columns).enumerate() {
        let x = 8.0 + (i / rows) as f64 * width;
        let y = top + (i % rows) as f64 * step;
        let mut pen = list.pen();
        sample(&mut pen, PageRect::sized(x, y - 1.9, SAMPLE, 3.6));
        let words = fitted(text, TextSize::Cap(2.0), width - SAMPLE - 6.0, false);
        pen.text(words.at_point(x + SAMPLE + 3.0, y + 1.0), Role::Text);
    }
}

fn middle(r: PageRect) -> Path {
    let y = r.centre().y;
    Path::line((r.min.x, y), (r.max.x, y))
}

/// Breaks a bold text at the last space that leaves the first part within a width.
fn split(text: &str, size: TextSize, room: f64) -> (&str, &str) {
    let fits = |t: &str| Text::new((0.0, 0.0), t).size(size).bold().width() <= room;
    if fits(text) {
        return (text, "");
    }
    let spaces = text.char_indices().rev().filter(|(_, c)| *c == ' ');
    spaces
        .map(|(i, _)| (&text[..i], &text[i + 1..]))
        .find(|(head, _)| fits(head))
        .unwrap_or((text, ""))
}

/// A text cut to a width, with an ellipsis where it was cut.
fn fitted(text: &str, size: TextSize, room: f64, bold: bool) -> Fitted {
    let make = |t: &str| {
        let text = Text::new((0.0, 0.0), t).size(size);
        if bold { text.bold() } else { text }
    };
    let whole = make(text);
    if whole.width() <= room {
        return Fitted(whole);
    }
    let mut cut: Vec<char> = text.chars().collect();
    while cut.len() > 1 {
        cut.pop();
        let t = make(&format!("{}…", cut.iter().collect::<String>().trim_end()));
        if t.width() <= room {
            return Fitted(t);
        }
    }
    Fitted(make("…"))
}

struct Fitted(Text);

impl Fitted {
    fn at_point(mut self, x: f64, y: f64) -> Text {
        self.0.at = Point2::new(x, y);
        self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_title_is_cut_to_its_room() {
        let t = fitted(&"very long ".repeat(30), TextSize::Head, 60.0, true);
        assert!(t.0.width() <= 60.0);
        assert!(t.0.text.ends_with('…'));
        assert_eq!(
            &*fitted("short", TextSize::Head, 60.0, true).0.text,
            "short"
        );
    }

    #[test]
    fn a_title_breaks_between_words() {
        let size = TextSize::Cap(3.0);
        let (head, rest) = split("Two-chamber build with liquid cooling", size, 60.0);
        assert!(!rest.is_empty() && !head.ends_with(' '), "{head}|{rest}");
        assert_eq!(
            format!("{head} {rest}"),
            "Two-chamber build with liquid cooling"
        );
        assert_eq!(split("short", size, 60.0), ("short", ""));
        assert_eq!(split("Unbreakable", size, 5.0), ("Unbreakable", ""));
    }

    #[test]
    fn the_key_stays_in_its_corner() {
        for (w, h) in [(70.0, 60.0), (140.0, 110.0), (90.0, 110.0), (200.0, 50.0)] {
            let page = PageRect::sized(0.0, 0.0, w, h);
            let mut list = DrawList::new();
            key(&mut list, page, 0.0);
            if let Some(b) = list.bounds() {
                assert!(b.max.x <= w && b.max.y <= h, "{w} x {h}: {b:?}");
            }
        }
    }
}
