//! Lettering: one line of text with its anchor, size and angle.

use super::{Affine, Anchor, HAlign, Point2, Rect, TextSize, VAlign, Weight};
use crate::view::text;

/// One line of lettering.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Where the anchor stands.
    pub at: Point2,
    /// Which point of the text is the anchor.
    pub anchor: Anchor,
    /// Size of the letters.
    pub size: TextSize,
    /// What is written. Control characters show as a replacement box.
    pub text: String,
    /// Direction of reading in degrees, clockwise from x.
    pub angle: f64,
    /// Weight of the typeface.
    pub weight: Weight,
    /// Whether a rim of paper keeps lines off the letters.
    pub halo: bool,
}

impl Text {
    /// Upright regular text of body size that starts at `at`, on its baseline.
    ///
    /// Line breaks and tabs become spaces, other control characters U+FFFD: a
    /// mark is one line, and files may not hold them.
    pub fn new(at: impl Into<Point2>, text: impl AsRef<str>) -> Self {
        Self {
            at: at.into(),
            anchor: Anchor::default(),
            size: TextSize::Body,
            text: printable(text.as_ref()),
            angle: 0.0,
            weight: Weight::Regular,
            halo: false,
        }
    }

    /// Anchored at the middle both ways.
    #[must_use]
    pub fn middle(self) -> Self {
        self.anchored(HAlign::Middle, VAlign::Middle)
    }

    /// Anchored as told.
    #[must_use]
    pub fn anchored(mut self, h: HAlign, v: VAlign) -> Self {
        self.anchor = Anchor { h, v };
        self
    }

    /// In another size.
    #[must_use]
    pub fn size(mut self, size: TextSize) -> Self {
        self.size = size;
        self
    }

    /// In the bold weight.
    #[must_use]
    pub fn bold(mut self) -> Self {
        self.weight = Weight::Bold;
        self
    }

    /// With a rim of paper around the letters.
    #[must_use]
    pub fn halo(mut self) -> Self {
        self.halo = true;
        self
    }

    /// Turned about the anchor, in degrees clockwise.
    #[must_use]
    pub fn turned(mut self, degrees: f64) -> Self {
        self.angle = degrees;
        self
    }

    /// Length of the text in millimetres.
    pub fn width(&self) -> f64 {
        text::width(&self.text, self.size.em_mm(), self.weight)
    }

    /// Where the baseline starts, before the turn: relative to the anchor.
    pub fn baseline_shift(&self) -> Point2 {
        let x = match self.anchor.h {
            HAlign::Left => 0.0,
            HAlign::Middle => -self.width() / 2.0,
            HAlign::Right => -self.width(),
        };
        Point2::new(x, self.baseline_drop())
    }

    /// Where the baseline starts, turned about the anchor.
    pub fn baseline_start(&self) -> Point2 {
        let (shift, along) = (self.baseline_shift(), Point2::unit(self.angle));
        let down = Point2::new(-along.y, along.x);
        self.at + along * shift.x + down * shift.y
    }

    /// How far the baseline lies below the anchor, before the turn.
    pub fn baseline_drop(&self) -> f64 {
        match self.anchor.v {
            VAlign::Baseline => 0.0,
            VAlign::Middle => self.size.cap_mm() / 2.0,
            VAlign::Top => self.size.cap_mm(),
        }
    }

    /// Width of the rim of paper on each side of a letter's edge, in millimetres.
    pub fn halo_mm(&self) -> f64 {
        0.2 * self.size.cap_mm()
    }

    /// Corners of the box around the text, turned with it: upper left first, then
    /// clockwise. It reaches from ascender to descender.
    pub fn corners(&self) -> [Point2; 4] {
        let em = self.size.em_mm();
        let start = self.baseline_shift();
        let frame = Rect::spanning(
            (start.x, start.y - text::ASCENT * em),
            (start.x + self.width(), start.y + text::DESCENT * em),
        );
        let map = Affine::turn(self.angle);
        frame.corners().map(|corner| map.vector(corner) + self.at)
    }

    /// The smallest upright rectangle around [`Text::corners`].
    pub fn bounds(&self) -> Rect {
        let [a, b, c, d] = self.corners();
        Rect::spanning(a, b).union(Rect::spanning(c, d))
    }

    /// Whether position and angle are finite and the size is positive.
    pub fn is_drawable(&self) -> bool {
        let cap = self.size.cap_mm();
        self.at.is_drawable() && self.angle.is_finite() && cap > 0.0 && cap <= 1000.0
    }

    /// The text under a map: its place follows, its size does not, and it is turned
    /// so that it reads from below or from the right of the page, never mirrored
    /// (ISO 129-1, figures, from memory). It keeps covering the same side of its anchor.
    #[must_use]
    pub fn mapped(&self, map: Affine) -> Self {
        let along = map.vector(Point2::unit(self.angle));
        let up = map.vector(Point2::unit(self.angle).left());
        let mut angle = along.y.atan2(along.x).to_degrees();
        let mut anchor = self.anchor;
        // Slack, so that rounding does not throw upward text on its head.
        let on_its_head = !(-90.0 - 1e-6..90.0 - 1e-6).contains(&angle);
        if on_its_head {
            angle += if angle > 0.0 { -180.0 } else { 180.0 };
            anchor.h = match anchor.h {
                HAlign::Left => HAlign::Right,
                HAlign::Middle => HAlign::Middle,
                HAlign::Right => HAlign::Left,
            };
        }
        if up.dot(Point2::unit(angle).left()) < 0.0 {
            anchor.v = match anchor.v {
                VAlign::Baseline => VAlign::Top,
                VAlign::Middle => VAlign::Middle,
                VAlign::Top => VAlign::Baseline,
            };
        }
        Self {
            at: map.point(self.at),
            angle,
            anchor,
            ..self.clone()
        }
    }
}

/// `text` on one line, with control characters made visible.
fn printable(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\n' | '\r' | '\t' => ' ',
            // Noncharacters are no XML characters either.
            '\u{fffe}' | '\u{ffff}' => char::REPLACEMENT_CHARACTER,
            c if c.is_control() => char::REPLACEMENT_CHARACTER,
            c => c,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn assert_reads(text: &Text, angle: f64, h: HAlign, v: VAlign) {
        assert!((text.angle - angle).abs() < 1e-9, "{}", text.angle);
        assert_eq!(text.anchor, Anchor { h, v });
    }

    #[test]
    fn text_stays_readable_under_turns_and_mirrors() {
        let text = Text::new((1.0, 0.0), "fan");
        let (left, right) = (HAlign::Left, HAlign::Right);
        let (base, top) = (VAlign::Baseline, VAlign::Top);
        assert_reads(&text.mapped(Affine::turn(90.0)), -90.0, right, top);
        assert_reads(&text.mapped(Affine::turn(180.0)), 0.0, right, top);
        assert_reads(&text.mapped(Affine::turn(270.0)), -90.0, left, base);
        assert_reads(&text.mapped(Affine::scale(-1.0, 1.0)), 0.0, right, base);
        assert_reads(&text.mapped(Affine::scale(1.0, -1.0)), 0.0, left, top);
        // Any angle: from the slack below minus 90 up to 90.
        for degrees in (-720..=720).step_by(7) {
            let angle = text.mapped(Affine::turn(f64::from(degrees))).angle;
            assert!((-90.001..90.0).contains(&angle), "{degrees} {angle}");
        }
    }

    #[test]
    fn mapped_text_covers_the_same_ground() {
        let text = Text::new((3.0, 4.0), "fan 120").anchored(HAlign::Left, VAlign::Top);
        let caps = |t: &Text| {
            let start = t.baseline_shift();
            let frame = Rect::spanning(start, (start.x + t.width(), start.y - t.size.cap_mm()));
            let turn = Affine::turn(t.angle);
            Rect::around(frame.corners().map(|c| turn.vector(c) + t.at)).unwrap()
        };
        let before = caps(&text);
        for map in [
            Affine::turn(90.0),
            Affine::turn(180.0),
            Affine::scale(-1.0, 1.0),
            Affine::scale(1.0, -1.0),
        ] {
            let after = caps(&text.mapped(map));
            let expected = Rect::around(before.corners().map(|c| map.point(c))).unwrap();
            assert!(
                (after.min - expected.min).length() < 1e-9
                    && (after.max - expected.max).length() < 1e-9
            );
        }
    }

    #[test]
    fn one_line_without_control_characters() {
        assert_eq!(
            Text::new((0.0, 0.0), "a\tb\nc\0\u{1b}").text,
            "a b c\u{fffd}\u{fffd}"
        );
    }

    #[test]
    fn anchors_move_the_box_not_the_size() {
        let text = Text::new((10.0, 10.0), "8").size(TextSize::Cap(3.0));
        let b = text
            .clone()
            .anchored(HAlign::Right, VAlign::Baseline)
            .bounds();
        assert_eq!(b.max.x, 10.0);
        // A figure is 1300/2000 em wide (hmtx of the file), an em is cap / 0.75.
        assert!((b.width() - 3.0 / 0.75 * 0.65).abs() < 1e-9);
        assert_eq!(text.middle().baseline_drop(), 1.5);
    }
}
