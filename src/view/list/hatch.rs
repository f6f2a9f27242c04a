//! Hatching: parallel lines clipped to an outline.

use super::{Affine, Line, Path, Point2};

/// Parallel lines inside an outline, by the even-odd rule.
///
/// The lines lie on one family that passes through the page's origin, so that the
/// hatches of neighbouring areas line up and do not swim while an area moves.
#[derive(Clone, Debug, PartialEq)]
pub struct Hatch {
    /// The area; open lines count as closed.
    pub outline: Path,
    /// Distance between the lines in millimetres on paper.
    pub spacing: f64,
    /// Direction of the lines in degrees, clockwise from x.
    pub angle: f64,
    /// How each line is stroked.
    pub line: Line,
}

/// Most lines in one hatch; a closer spacing is widened to that.
const MAX_LINES: f64 = 2000.0;

impl Hatch {
    /// Continuous hair lines that rise to the right at 45 degrees.
    pub fn new(outline: Path, spacing: f64) -> Self {
        Self {
            outline,
            spacing,
            angle: -45.0,
            line: Line::HAIR,
        }
    }

    /// In another direction.
    #[must_use]
    pub fn angle(mut self, degrees: f64) -> Self {
        self.angle = degrees;
        self
    }

    /// In other lines.
    #[must_use]
    pub fn line(mut self, line: Line) -> Self {
        self.line = line;
        self
    }

    /// Whether the outline is drawable and the spacing positive.
    pub fn is_drawable(&self) -> bool {
        self.outline.is_drawable()
            && self.angle.is_finite()
            && self.spacing.is_finite()
            && self.spacing > 0.0
    }

    /// The hatch under a map; spacing and direction belong to the paper and stay.
    #[must_use]
    pub fn mapped(&self, map: Affine) -> Self {
        Self {
            outline: self.outline.mapped(map),
            ..self.clone()
        }
    }

    /// The hatch lines as pairs of ends, line by line; none for a hatch that is
    /// not drawable. The outline is not part of it.
    pub fn segments(&self) -> Vec<(Point2, Point2)> {
        if !self.is_drawable() {
            return Vec::new();
        }
        // In the turned frame the hatch lines are level at multiples of the spacing.
        let level = Affine::turn(-self.angle);
        let back = Affine::turn(self.angle);
        let mut rings = self.outline.flattened(0.05);
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for ring in &mut rings {
            ring.closed = true;
            for p in &mut ring.points {
                *p = level.point(*p);
                low = low.min(p.y);
                high = high.max(p.y);
            }
        }
        if low > high {
            return Vec::new();
        }
        let spacing = self.spacing.max((high - low) / MAX_LINES);
        let first = (low / spacing).ceil();
        let count = ((high / spacing).floor() - first + 1.0).max(0.0) as usize;
        let mut crossings: Vec<Vec<f64>> = vec![Vec::new(); count];
        for (a, b) in rings.iter().flat_map(|ring| ring.edges()) {
            let (top, bottom) = if a.y < b.y { (a, b) } else { (b, a) };
            // Half open: a line through a corner meets one of its two edges, or both or none.
            let from = ((top.y / spacing).ceil() - first).max(0.0) as usize;
            for (k, row) in crossings.iter_mut().enumerate().skip(from) {
                let y = (first + k as f64) * spacing;
                if y >= bottom.y {
                    break;
                }
                if y >= top.y {
                    row.push(top.x + (bottom.x - top.x) * (y - top.y) / (bottom.y - top.y));
                }
            }
        }
        let mut segments = Vec::new();
        for (k, mut row) in crossings.into_iter().enumerate() {
            let y = (first + k as f64) * spacing;
            row.sort_by(f64::total_cmp);
            for pair in row.chunks_exact(2).filter(|pair| pair[1] > pair[0]) {
                let end = |x| back.point(Point2::new(x, y));
                segments.push((end(pair[0]), end(pair[1])));
            }
        }
        segments
    }

    /// The hatch lines as one path.
    pub fn path(&self) -> Path {
        let mut path = Path::new();
        for (from, to) in self.segments() {
            path.move_to(from).line_to(to);
        }
        path
    }
}

#[cfg(test)]
mod tests {
    use super::super::Rect;
    use super::super::hit::inside;
    use super::*;

    fn star() -> Path {
        Path::polygon((0..10).map(|i| {
            let r = if i % 2 == 0 { 20.0 } else { 8.0 };
            Point2::unit(36.0 * f64::from(i)) * r + Point2::new(50.0, 40.0)
        }))
    }

    #[test]
    fn lines_stay_inside_the_polygon() {
        for angle in [-45.0, 0.0, 17.0, 90.0] {
            let segments = Hatch::new(star(), 1.3).angle(angle).segments();
            assert!(segments.len() > 20, "{angle} {}", segments.len());
            let rings = star().flattened(0.1);
            for (a, b) in segments {
                for t in [0.001, 0.3, 0.5, 0.8, 0.999] {
                    assert!(inside(&rings, a.lerp(b, t)), "{angle} {a:?} {b:?}");
                }
            }
        }
    }

    #[test]
    fn hatch_lines_measure_the_area() {
        // The sum of lengths times the spacing is the area, here pi (r1² - r2²).
        let ring = Path::ring((31.0, 17.0), 30.0, 12.0);
        let hatch = Hatch::new(ring, 0.05).angle(33.0);
        let length: f64 = hatch
            .segments()
            .iter()
            .map(|(a, b)| (*b - *a).length())
            .sum();
        let area = std::f64::consts::PI * (900.0 - 144.0);
        assert!(
            (length * 0.05 / area - 1.0).abs() < 2e-3,
            "{} {area}",
            length * 0.05
        );
    }

    #[test]
    fn neighbours_line_up_across_a_shared_edge() {
        let hatch = |x| {
            Hatch::new(Path::rect(Rect::sized(x, 0.0, 10.0, 10.0)), 2.0)
                .angle(0.0)
                .segments()
        };
        let rows = |x| hatch(x).iter().map(|(a, _)| a.y).collect::<Vec<_>>();
        assert_eq!(rows(0.0), [0.0, 2.0, 4.0, 6.0, 8.0]);
        assert_eq!(rows(0.0), rows(10.0));
    }

    #[test]
    fn absurd_spacings_stay_bounded() {
        let area = || Path::rect(Rect::sized(0.0, 0.0, 100.0, 100.0));
        assert!(Hatch::new(area(), 1e-12).segments().len() <= MAX_LINES as usize + 1);
        for spacing in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(Hatch::new(area(), spacing).segments().is_empty());
        }
        assert!(Hatch::new(Path::new(), 1.0).segments().is_empty());
    }
}
