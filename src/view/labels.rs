//! Lettering that keeps clear of other lettering: greedy, with candidates.

use super::list::{HAlign, Point2, Rect, Text, VAlign};

/// Air kept between two labels, in page millimetres.
const AIR: f64 = 0.4;

/// Rings of candidates around a point before a label is given up.
const RINGS: usize = 14;

/// The ground that lettering has taken.
#[derive(Clone, Debug, Default)]
pub(crate) struct Labels {
    taken: Vec<Rect>,
    page: Option<Rect>,
}

impl Labels {
    /// Nothing taken; lettering stays inside `page`, where one is given.
    pub fn new(page: Option<Rect>) -> Labels {
        Labels {
            taken: Vec::new(),
            page,
        }
    }

    /// True where nothing is taken and the page is not left.
    pub fn is_free(&self, rect: Rect) -> bool {
        let inside = |p: Rect| p.contains(rect.min) && p.contains(rect.max);
        self.page.is_none_or(inside) && !self.taken.iter().any(|t| overlap(*t, rect.grown(AIR)))
    }

    /// Marks ground as taken.
    pub fn take(&mut self, rect: Rect) {
        self.taken.push(rect);
    }

    /// Takes the ground of a text where it is free.
    pub fn put(&mut self, text: &Text) -> bool {
        let free = self.is_free(text.bounds());
        if free {
            self.take(text.bounds());
        }
        free
    }

    /// Puts a text near a point: above it first, then around it at growing
    /// distances, at least `gap` away. With a leader from the point where it ends
    /// up far off. `None` where there is no room anywhere near.
    pub fn near(&mut self, at: Point2, gap: f64, text: &Text) -> Option<(Text, Option<Point2>)> {
        let cap = text.size.cap_mm();
        for ring in 0..RINGS {
            let r = gap + ring as f64 * cap * 0.9;
            let slant = r * 0.7;
            let candidates = [
                (0.0, -r, HAlign::Middle, VAlign::Baseline),
                (0.0, r, HAlign::Middle, VAlign::Top),
                (r, 0.0, HAlign::Left, VAlign::Middle),
                (-r, 0.0, HAlign::Right, VAlign::Middle),
                (slant, -slant, HAlign::Left, VAlign::Baseline),
                (-slant, -slant, HAlign::Right, VAlign::Baseline),
                (slant, slant, HAlign::Left, VAlign::Top),
                (-slant, slant, HAlign::Right, VAlign::Top),
            ];
            for (x, y, h, v) in candidates {
                let mut moved = text.clone().anchored(h, v);
                moved.at = at + Point2::new(x, y);
                if self.put(&moved) {
                    let far = ring > 2;
                    return Some((moved.clone(), far.then_some(moved.at)));
                }
            }
        }
        None
    }
}

/// True where interiors meet.
pub(crate) fn overlap(a: Rect, b: Rect) -> bool {
    a.min.x < b.max.x && b.min.x < a.max.x && a.min.y < b.max.y && b.min.y < a.max.y
}

/// A text broken at its blanks into lines of at most `width` millimetres. A word
/// that is longer stays whole.
pub(crate) fn wrapped(text: &Text, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.text.split_whitespace() {
        let longer = lines.last().map(|l| format!("{l} {word}"));
        match (lines.last_mut(), longer) {
            (Some(line), Some(longer)) if fits(text, &longer, width) => *line = longer,
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// The text cut to `width`, where it is longer: before a comma, else with an
/// ellipsis.
pub(crate) fn shortened(text: &Text, width: f64) -> String {
    let mut short = text.text.as_str();
    loop {
        if fits(text, short, width) {
            return short.to_owned();
        }
        let Some((before, _)) = short.rsplit_once(',') else {
            break;
        };
        short = before;
    }
    let mut kept: String = short.to_owned();
    while kept.pop().is_some() {
        let cut = format!("{}…", kept.trim_end());
        if fits(text, &cut, width) {
            return cut;
        }
    }
    String::new()
}

fn fits(text: &Text, line: &str, width: f64) -> bool {
    super::text::width(line, text.size.em_mm(), text.weight) <= width
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::list::TextSize;

    #[test]
    fn labels_at_one_point_do_not_overlap() {
        let mut labels = Labels::new(None);
        let text = Text::new((0.0, 0.0), "-30.0").size(TextSize::Small);
        let mut boxes: Vec<Rect> = Vec::new();
        for _ in 0..20 {
            if let Some((t, _)) = labels.near(Point2::new(5.0, 5.0), 1.0, &text) {
                assert!(boxes.iter().all(|b| !overlap(*b, t.bounds())));
                boxes.push(t.bounds());
            }
        }
        assert!(boxes.len() > 10);
    }

    #[test]
    fn labels_stay_on_the_page() {
        let page = Rect::sized(0.0, 0.0, 30.0, 10.0);
        let mut labels = Labels::new(Some(page));
        let text = Text::new((0.0, 0.0), "8.0").size(TextSize::Small);
        let (t, _) = labels.near(Point2::new(29.0, 1.0), 1.0, &text).unwrap();
        assert!(page.contains(t.bounds().min) && page.contains(t.bounds().max));
    }

    #[test]
    fn lines_break_at_blanks_and_cut_texts_end_in_an_ellipsis() {
        let text =
            Text::new((0.0, 0.0), "needs 63 mm, 55 mm free: 8 mm short").size(TextSize::Small);
        let lines = wrapped(&text, 30.0);
        assert!(lines.len() >= 2);
        assert_eq!(lines.join(" "), text.text);
        assert!(lines.iter().all(|l| fits(&text, l, 30.0)));
        assert_eq!(shortened(&text, 25.0), "needs 63 mm");
        let cut = shortened(&text, 10.0);
        assert!(cut.ends_with('…') && fits(&text, &cut, 10.0));
        assert_eq!(shortened(&text, 500.0), text.text);
    }
}
