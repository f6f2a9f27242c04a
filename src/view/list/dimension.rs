//! Dimensions: dimension line, extension lines, terminators and figure.

use super::{Affine, HAlign, Line, Path, Pen, Point2, Role, Text, TextSize, VAlign, Width};

/// Which length a dimension measures.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Direction {
    /// Along the line through both points.
    #[default]
    Aligned,
    /// Across the page.
    Horizontal,
    /// Down the page.
    Vertical,
}

/// How a dimension line ends.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Terminator {
    /// A closed, filled arrowhead of 30 degrees.
    #[default]
    Arrow,
    /// An oblique stroke at 45 degrees.
    Oblique,
}

/// A linear dimension.
///
/// Habits as in ISO 129-1, from memory: extension lines start at a gap from what
/// they measure and reach past the dimension line, each by eight times their
/// width; the figure stands above the line, readable from below or from the right
/// of the page; where there is no room between the arrows they point from outside.
#[derive(Clone, Debug, PartialEq)]
pub struct Dimension {
    /// First measured point.
    pub from: Point2,
    /// Second measured point.
    pub to: Point2,
    /// Distance of the dimension line from the measured points, in millimetres: to
    /// the left of the way from `from` to `to` (above, for one that runs to the
    /// right), to the right where negative. Where the points are not level it
    /// counts from the one that is farther out.
    pub offset: f64,
    /// Which length is measured.
    pub direction: Direction,
    /// The figure, ready to show.
    pub figure: String,
    /// How the line ends.
    pub terminator: Terminator,
    /// Size of the figure.
    pub size: TextSize,
    /// What the marks are; [`Role::Dimension`] unless told otherwise.
    pub role: Role,
}

/// Gap and overshoot of extension lines in millimetres.
const REACH: f64 = 8.0 * Width::Thin.mm();
/// Distance of the figure from the dimension line, in heights of capitals.
const FIGURE_GAP: f64 = 0.4;

impl Dimension {
    /// An aligned dimension with arrows, 8 mm off the measured points.
    pub fn new(from: impl Into<Point2>, to: impl Into<Point2>, figure: impl Into<String>) -> Self {
        Self {
            from: from.into(),
            to: to.into(),
            offset: 8.0,
            direction: Direction::Aligned,
            figure: figure.into(),
            terminator: Terminator::Arrow,
            size: TextSize::Small,
            role: Role::Dimension,
        }
    }

    /// With the dimension line elsewhere; zero lays it through the points, without
    /// extension lines: for gaps.
    #[must_use]
    pub fn offset(mut self, mm: f64) -> Self {
        self.offset = mm;
        self
    }

    /// Measuring another length.
    #[must_use]
    pub fn direction(mut self, direction: Direction) -> Self {
        self.direction = direction;
        self
    }

    /// With oblique strokes instead of arrows.
    #[must_use]
    pub fn oblique(mut self) -> Self {
        self.terminator = Terminator::Oblique;
        self
    }

    /// As another role: a tight gap, a missing length.
    #[must_use]
    pub fn role(mut self, role: Role) -> Self {
        self.role = role;
        self
    }

    /// With a figure of another size.
    #[must_use]
    pub fn size(mut self, size: TextSize) -> Self {
        self.size = size;
        self
    }

    /// The ends of the dimension line, and the unit vector from first to second.
    fn ends(&self) -> (Point2, Point2, Point2) {
        let way = self.to - self.from;
        let along = match self.direction {
            Direction::Aligned => way.normalised().unwrap_or(Point2::new(1.0, 0.0)),
            Direction::Horizontal => Point2::new(1f64.copysign(way.x), 0.0),
            Direction::Vertical => Point2::new(0.0, 1f64.copysign(way.y)),
        };
        let out = along.left();
        let (near, far) = (out.dot(self.from), out.dot(self.to));
        let level = self.offset
            + if self.offset < 0.0 {
                near.min(far)
            } else {
                near.max(far)
            };
        (
            self.from + out * (level - near),
            self.to + out * (level - far),
            along,
        )
    }

    /// Draws the dimension with the pen's owner, height and place. The map of the
    /// pen applies to the measured points; sizes on paper stay.
    pub fn draw(&self, pen: &mut Pen<'_>) {
        let placed = self.mapped(pen.map());
        placed.draw_unmapped(&mut pen.fork().unplaced());
    }

    /// The dimension under a map: the points move, sizes on paper and the side on
    /// which the dimension line lies stay.
    fn mapped(&self, map: Affine) -> Self {
        let mut mapped = Self {
            from: map.point(self.from),
            to: map.point(self.to),
            ..self.clone()
        };
        let (start, _, along) = self.ends();
        let out = map.vector(start - self.from);
        mapped.offset = self.offset.abs();
        let line = map.vector(along);
        if self.direction != Direction::Aligned {
            mapped.direction = if line.x.abs() >= line.y.abs() {
                Direction::Horizontal
            } else {
                Direction::Vertical
            };
        }
        let (_, _, turned) = mapped.ends();
        if out.dot(turned.left()) < 0.0 {
            mapped.offset = -mapped.offset;
        }
        mapped
    }

    fn draw_unmapped(&self, pen: &mut Pen<'_>) {
        let (a, b, along) = self.ends();
        let length = (b - a).length();
        let cap = self.size.cap_mm();
        let text = Text::new(a, &self.figure).size(self.size).halo();
        let head = cap.max(1.0) * 1.2;
        let outside = length < 2.5 * head;
        // Tails of arrows that point from outside, and the shelf under a figure that does not fit.
        let tail = if outside { 2.0 * head } else { 0.0 };
        let beside =
            text.width() > length - if outside { 0.0 } else { 2.0 * head } && text.width() > length;
        let reading = reading_direction(along);
        let forward = reading.dot(along) > 0.0;
        let shelf = if beside {
            tail + cap + text.width()
        } else {
            tail
        };
        let (before, after) = if forward {
            (tail, shelf)
        } else {
            (shelf, tail)
        };

        for (point, end) in [(self.from, a), (self.to, b)] {
            if let Some(out) = (end - point).normalised() {
                let reach = (end - point).length();
                let gap = REACH.min(reach / 2.0);
                pen.stroke(
                    Path::line(point + out * gap, end + out * REACH),
                    Line::THIN,
                    self.role,
                );
            }
        }
        pen.stroke(
            Path::line(a - along * before, b + along * after),
            Line::THIN,
            self.role,
        );
        for (tip, inward) in [(a, along), (b, -along)] {
            self.terminate(pen, tip, if outside { -inward } else { inward }, head);
        }

        let angle = reading.y.atan2(reading.x).to_degrees();
        let (at, h) = if beside {
            let last = if forward { b } else { a };
            (last + reading * (tail + cap), HAlign::Left)
        } else {
            (a.lerp(b, 0.5), HAlign::Middle)
        };
        let at = at + reading.left() * (FIGURE_GAP * cap);
        pen.text(
            Text {
                at,
                angle,
                ..text.anchored(h, VAlign::Baseline)
            },
            self.role,
        );
    }

    /// One end: `body` points from the tip to the terminator's body.
    fn terminate(&self, pen: &mut Pen<'_>, tip: Point2, body: Point2, head: f64) {
        match self.terminator {
            Terminator::Arrow => {
                let half = body.left() * (head * 15f64.to_radians().tan());
                pen.fill(
                    Path::polygon([tip, tip + body * head + half, tip + body * head - half]),
                    self.role,
                );
            }
            Terminator::Oblique => {
                let reading = reading_direction(body);
                let arm = (reading + reading.left()) * (head / 3.0);
                pen.stroke(Path::line(tip - arm, tip + arm), Line::THICK, self.role);
            }
        }
    }
}

/// The direction along a line in which text is readable from below or from the right.
fn reading_direction(along: Point2) -> Point2 {
    // Slack, so that a line upright but for rounding reads from the right.
    if along.x > 1e-9 || (along.x > -1e-9 && along.y < 0.0) {
        along
    } else {
        -along
    }
}

#[cfg(test)]
mod tests {
    use super::super::{DrawList, Fill, Mark, Rect};
    use super::*;

    fn drawn(dimension: &Dimension, map: Affine) -> DrawList {
        let mut list = DrawList::new();
        dimension.draw(&mut list.pen().place(map));
        list
    }

    fn text(list: &DrawList) -> &Text {
        let text = list.items.iter().find_map(|item| match &item.mark {
            Mark::Text(text) => Some(text),
            _ => None,
        });
        text.expect("a figure")
    }

    fn strokes(list: &DrawList) -> Vec<Rect> {
        let line = |item: &super::super::Item| match &item.mark {
            Mark::Path {
                path,
                stroke: Some(_),
                ..
            } => path.bounds(),
            _ => None,
        };
        list.items.iter().filter_map(line).collect()
    }

    #[test]
    fn figure_stands_above_and_extension_lines_keep_their_gap() {
        let list = drawn(
            &Dimension::new((10.0, 50.0), (90.0, 50.0), "80.0"),
            Affine::IDENTITY,
        );
        let t = text(&list);
        assert!(
            t.at.y < 42.0 && (t.at.x - 50.0).abs() < 1e-9 && t.angle == 0.0,
            "{t:?}"
        );
        // Gap and overshoot: eight widths of 0.25 mm, ISO 129-1 from memory.
        let [left, _, line] = strokes(&list)[..] else {
            panic!("two extension lines and one line")
        };
        assert_eq!((left.max.y, left.min.y), (48.0, 40.0));
        assert_eq!(
            (line.min, line.max),
            (Point2::new(10.0, 42.0), Point2::new(90.0, 42.0))
        );
        let heads = list.items.iter().filter(|i| {
            matches!(
                &i.mark,
                Mark::Path {
                    fill: Fill::Solid,
                    ..
                }
            )
        });
        assert_eq!(heads.count(), 2);
    }

    #[test]
    fn upright_figures_read_from_the_right() {
        for (from, to) in [((0.0, 0.0), (0.0, 60.0)), ((0.0, 60.0), (0.0, 0.0))] {
            let list = drawn(&Dimension::new(from, to, "60.0"), Affine::IDENTITY);
            let t = text(&list);
            assert_eq!(t.angle, -90.0);
            // Above the line when read: to its left on the page.
            let line = strokes(&list)[2];
            assert!(t.at.x < line.min.x);
        }
    }

    #[test]
    fn small_lengths_put_arrows_and_figure_outside() {
        let list = drawn(
            &Dimension::new((10.0, 50.0), (11.0, 50.0), "1.0"),
            Affine::IDENTITY,
        );
        let line = strokes(&list)[2];
        assert!(line.min.x < 8.0 && line.max.x > 13.0 + text(&list).width());
        assert!(text(&list).bounds().min.x > 11.0);
        let none = drawn(
            &Dimension::new((1.0, 1.0), (1.0, 1.0), "0.0").offset(0.0),
            Affine::IDENTITY,
        );
        assert_eq!(none.undrawable(), 0);
    }

    #[test]
    fn horizontal_measures_across_and_starts_at_the_outer_point() {
        let slanted = Dimension::new((0.0, 20.0), (30.0, 10.0), "30")
            .direction(Direction::Horizontal)
            .offset(5.0);
        let line = strokes(&drawn(&slanted, Affine::IDENTITY))[2];
        assert_eq!(
            (line.min, line.max),
            (Point2::new(0.0, 5.0), Point2::new(30.0, 5.0))
        );
    }

    #[test]
    fn placed_dimensions_keep_their_side_and_their_sizes() {
        let above = Dimension::new((0.0, 0.0), (40.0, 0.0), "40").direction(Direction::Horizontal);
        let maps = [
            Affine::IDENTITY,
            Affine::turn(90.0),
            Affine::turn(180.0),
            Affine::scale(-1.0, 1.0),
            Affine::scale(0.5, 0.5),
        ];
        for map in maps {
            let outside = map.point(Point2::new(20.0, -8.0));
            let line = strokes(&drawn(&above, map))[2];
            let away = (line.centre() - map.point(Point2::new(20.0, 0.0))).length();
            assert!((away - 8.0).abs() < 1e-9, "{map:?} {away}");
            assert!((line.centre() - outside).length() < 4.1, "{map:?}");
        }
    }
}
