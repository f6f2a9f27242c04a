//! Outlines of straight and cubic segments: building, bounds, flattening.

use super::{Affine, Point2, Rect};

/// One step of an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Segment {
    /// Starts a new ring or open line.
    Move(Point2),
    /// A straight edge to the point.
    Line(Point2),
    /// A cubic Bezier edge: two control points and the end.
    Cubic(Point2, Point2, Point2),
    /// A straight edge back to the start of the ring.
    Close,
}

/// A flattened ring or open line.
#[derive(Clone, Debug, PartialEq)]
pub struct Polyline {
    /// Corners in order; the first is not repeated at the end of a closed one.
    pub points: Vec<Point2>,
    /// Whether an edge leads from the last corner to the first.
    pub closed: bool,
}

impl Polyline {
    /// Edges in order, the closing one included.
    pub fn edges(&self) -> impl Iterator<Item = (Point2, Point2)> + '_ {
        let closing = self.closed.then(|| {
            self.points
                .last()
                .copied()
                .zip(self.points.first().copied())
        });
        self.points
            .windows(2)
            .map(|w| (w[0], w[1]))
            .chain(closing.flatten())
    }
}

/// An outline of any number of rings and open lines, in page millimetres.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Path {
    segments: Vec<Segment>,
}

impl Path {
    /// An empty path.
    pub const fn new() -> Self {
        Self {
            segments: Vec::new(),
        }
    }

    /// The steps in order. The first, and any after a [`Segment::Close`], is a move.
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }

    /// Starts a new ring or open line.
    pub fn move_to(&mut self, to: impl Into<Point2>) -> &mut Self {
        self.segments.push(Segment::Move(to.into()));
        self
    }

    /// A straight edge. With nothing to start from it is a move.
    pub fn line_to(&mut self, to: impl Into<Point2>) -> &mut Self {
        let to = to.into();
        let open = self.segments.last().is_some_and(|s| *s != Segment::Close);
        self.segments.push(if open {
            Segment::Line(to)
        } else {
            Segment::Move(to)
        });
        self
    }

    /// A cubic Bezier edge. With nothing to start from it starts at `c1`.
    pub fn cubic_to(
        &mut self,
        c1: impl Into<Point2>,
        c2: impl Into<Point2>,
        to: impl Into<Point2>,
    ) -> &mut Self {
        let c1 = c1.into();
        if self.segments.last().is_none_or(|s| *s == Segment::Close) {
            self.segments.push(Segment::Move(c1));
        }
        self.segments.push(Segment::Cubic(c1, c2.into(), to.into()));
        self
    }

    /// Closes the ring; nothing where none is open.
    pub fn close(&mut self) -> &mut Self {
        if self.segments.last().is_some_and(|s| *s != Segment::Close) {
            self.segments.push(Segment::Close);
        }
        self
    }

    /// Both paths as one, so that inner rings become holes of outer ones.
    #[must_use]
    pub fn with(mut self, other: &Self) -> Self {
        self.segments.extend_from_slice(&other.segments);
        self
    }

    /// The path under a map.
    #[must_use]
    pub fn mapped(&self, map: Affine) -> Self {
        let p = |q| map.point(q);
        let segments = self.segments.iter().map(|segment| match *segment {
            Segment::Move(to) => Segment::Move(p(to)),
            Segment::Line(to) => Segment::Line(p(to)),
            Segment::Cubic(c1, c2, to) => Segment::Cubic(p(c1), p(c2), p(to)),
            Segment::Close => Segment::Close,
        });
        Self {
            segments: segments.collect(),
        }
    }

    /// Whether there is something to draw and every point is drawable.
    pub fn is_drawable(&self) -> bool {
        self.segments.iter().all(|segment| match *segment {
            Segment::Move(to) | Segment::Line(to) => to.is_drawable(),
            Segment::Cubic(c1, c2, to) => c1.is_drawable() && c2.is_drawable() && to.is_drawable(),
            Segment::Close => true,
        })
    }

    /// The smallest upright rectangle around the outline itself (not its control
    /// points, and without stroke); `None` for an empty path.
    pub fn bounds(&self) -> Option<Rect> {
        let mut at = Point2::default();
        let mut bounds: Option<Rect> = None;
        let mut take = |p: Point2| {
            let point = Rect { min: p, max: p };
            bounds = Some(bounds.map_or(point, |b| b.union(point)));
        };
        for segment in &self.segments {
            match *segment {
                Segment::Move(to) | Segment::Line(to) => {
                    take(to);
                    at = to;
                }
                Segment::Cubic(c1, c2, to) => {
                    take(to);
                    for t in
                        extremes(at.x, c1.x, c2.x, to.x).chain(extremes(at.y, c1.y, c2.y, to.y))
                    {
                        take(cubic_at(at, c1, c2, to, t));
                    }
                    at = to;
                }
                Segment::Close => {}
            }
        }
        bounds
    }

    /// Rings and open lines with their curves cut into chords that stay within
    /// `tolerance` millimetres of the curve (at most 256 chords a segment).
    pub fn flattened(&self, tolerance: f64) -> Vec<Polyline> {
        let mut lines: Vec<Polyline> = Vec::new();
        for segment in &self.segments {
            if let Segment::Move(to) = *segment {
                lines.push(Polyline {
                    points: vec![to],
                    closed: false,
                });
                continue;
            }
            let Some(line) = lines.last_mut() else {
                continue;
            };
            let Some(&from) = line.points.last() else {
                continue;
            };
            match *segment {
                Segment::Line(to) => line.points.push(to),
                Segment::Cubic(c1, c2, to) => {
                    let bend = (from - c1 * 2.0 + c2)
                        .length()
                        .max((c1 - c2 * 2.0 + to).length());
                    // Wang's bound on the distance between a cubic and its chords.
                    let chords = (0.75 * bend / tolerance.max(1e-6))
                        .sqrt()
                        .ceil()
                        .clamp(1.0, 256.0) as usize;
                    let inner =
                        (1..chords).map(|i| cubic_at(from, c1, c2, to, i as f64 / chords as f64));
                    line.points.extend(inner);
                    line.points.push(to);
                }
                _ => {
                    line.closed = true;
                    if line.points.len() > 1 && line.points.first() == Some(&from) {
                        line.points.pop();
                    }
                }
            }
        }
        lines
    }
}

fn cubic_at(p0: Point2, p1: Point2, p2: Point2, p3: Point2, t: f64) -> Point2 {
    let s = 1.0 - t;
    p0 * (s * s * s) + p1 * (3.0 * s * s * t) + p2 * (3.0 * s * t * t) + p3 * (t * t * t)
}

/// Parameters inside (0, 1) at which one coordinate of a cubic turns back.
fn extremes(p0: f64, p1: f64, p2: f64, p3: f64) -> impl Iterator<Item = f64> {
    // The derivative is a t² + b t + c, up to a factor.
    let a = p3 - p0 + 3.0 * (p1 - p2);
    let b = 2.0 * (p0 - 2.0 * p1 + p2);
    let c = p1 - p0;
    let root = (b * b - 4.0 * a * c).sqrt();
    // The form that does not cancel; NaN and infinities drop out below.
    let q = -0.5 * (b + root.copysign(b));
    [q / a, c / q].into_iter().filter(|t| *t > 0.0 && *t < 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bounds_follow_the_curve_not_its_control_points() {
        let mut path = Path::new();
        path.move_to((0.0, 0.0))
            .cubic_to((0.0, 4.0), (4.0, 4.0), (4.0, 0.0));
        // Closed form: the cubic is highest at t = 1/2, at 3/4 of the control height.
        assert_eq!(path.bounds(), Some(Rect::sized(0.0, 0.0, 4.0, 3.0)));
        assert_eq!(Path::new().bounds(), None);
    }

    #[test]
    fn chords_stay_within_the_tolerance() {
        let exact = Path::circle((0.0, 0.0), 100.0);
        for tolerance in [1.0, 0.1, 0.01] {
            let rough = &exact.flattened(tolerance)[0];
            let sag = rough
                .edges()
                .map(|(a, b)| 100.0 - a.lerp(b, 0.5).length())
                .fold(0.0, f64::max);
            assert!(sag < tolerance + 0.03 && sag > 0.0, "{tolerance} {sag}");
        }
    }

    #[test]
    fn steps_out_of_order_make_a_sound_path() {
        let mut path = Path::new();
        path.close()
            .line_to((1.0, 1.0))
            .close()
            .close()
            .line_to((2.0, 2.0));
        let p = Point2::new;
        let expected = [
            Segment::Move(p(1.0, 1.0)),
            Segment::Close,
            Segment::Move(p(2.0, 2.0)),
        ];
        assert_eq!(path.segments(), expected);
    }
}
