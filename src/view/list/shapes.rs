//! Shapes that drawings are made of: lines, polygons, circles, slots, bends.

use super::{Affine, Path, Point2, Rect};

/// Control length of a cubic for a quarter circle of radius one. Its greatest
/// radial error is 2.7e-4 of the radius.
const QUARTER: f64 = 0.552_284_749_830_793_4;

impl Path {
    /// A straight line.
    pub fn line(from: impl Into<Point2>, to: impl Into<Point2>) -> Self {
        Self::polyline([from.into(), to.into()])
    }

    /// An open line through the points.
    pub fn polyline<P: Into<Point2>>(points: impl IntoIterator<Item = P>) -> Self {
        let mut path = Self::new();
        for point in points {
            path.line_to(point);
        }
        path
    }

    /// A closed ring through the points.
    pub fn polygon<P: Into<Point2>>(points: impl IntoIterator<Item = P>) -> Self {
        let mut path = Self::polyline(points);
        path.close();
        path
    }

    /// An open line through the points with its corners rounded to `radius`,
    /// less where an edge is too short for it (each corner takes at most half an
    /// edge): a bent cable.
    pub fn rounded_polyline<P: Into<Point2>>(
        points: impl IntoIterator<Item = P>,
        radius: f64,
    ) -> Self {
        let points: Vec<Point2> = points.into_iter().map(Into::into).collect();
        let mut path = Self::new();
        for (i, &at) in points.iter().enumerate() {
            if i == 0 || i + 1 == points.len() {
                path.line_to(at);
                continue;
            }
            let (back, on) = (points[i - 1] - at, points[i + 1] - at);
            let (Some(u), Some(v)) = (back.normalised(), on.normalised()) else {
                path.line_to(at);
                continue;
            };
            // Half of the angle between the edges; the tangent length is r / tan of it.
            let half = u.dot(v).clamp(-1.0, 1.0).acos() / 2.0;
            let room = back.length().min(on.length()) / 2.0;
            let tangent = (radius / half.tan()).min(room);
            if !(tangent > 0.0 && half > 1e-6 && half < std::f64::consts::FRAC_PI_2 - 1e-6) {
                path.line_to(at);
                continue;
            }
            let arc = std::f64::consts::PI - 2.0 * half;
            let handle = 4.0 / 3.0 * (arc / 4.0).tan() * tangent * half.tan();
            let (start, end) = (at + u * tangent, at + v * tangent);
            path.line_to(start)
                .cubic_to(start - u * handle, end - v * handle, end);
        }
        path
    }

    /// An upright rectangle, clockwise from its upper left corner.
    pub fn rect(rect: Rect) -> Self {
        Self::polygon(rect.corners())
    }

    /// A rectangle with corners rounded to `radius`, at most half the shorter side.
    pub fn rounded_rect(rect: Rect, radius: f64) -> Self {
        let r = radius.min(rect.width() / 2.0).min(rect.height() / 2.0);
        if r <= 0.0 {
            return Self::rect(rect);
        }
        let mut path = Self::new();
        for (corner, start) in rect.corners().into_iter().zip([180.0, 270.0, 0.0, 90.0]) {
            let inward = rect.centre() - corner;
            let centre = corner + Point2::new(r.copysign(inward.x), r.copysign(inward.y));
            path.arc_to(centre, r, start, 90.0);
        }
        path.close();
        path
    }

    /// A full circle; it starts at three o'clock and runs clockwise.
    pub fn circle(centre: impl Into<Point2>, radius: f64) -> Self {
        let mut path = Self::arc(centre, radius, 0.0, 360.0);
        path.close();
        path
    }

    /// A ring between two circles, hollow by the even-odd rule.
    pub fn ring(centre: impl Into<Point2>, outer: f64, inner: f64) -> Self {
        let centre = centre.into();
        Self::circle(centre, outer).with(&Self::circle(centre, inner))
    }

    /// A slot of the given width: two half circles about the ends, joined.
    pub fn slot(from: impl Into<Point2>, to: impl Into<Point2>, width: f64) -> Self {
        let (from, to) = (from.into(), to.into());
        let along = (to - from).normalised().unwrap_or(Point2::new(1.0, 0.0));
        let angle = along.y.atan2(along.x).to_degrees();
        let mut path = Self::new();
        path.arc_to(to, width / 2.0, angle - 90.0, 180.0);
        path.arc_to(from, width / 2.0, angle + 90.0, 180.0);
        path.close();
        path
    }

    /// An open arc from `start` degrees over `sweep` degrees, clockwise on the page
    /// (counter-clockwise where `sweep` is negative; at most one full turn).
    pub fn arc(centre: impl Into<Point2>, radius: f64, start: f64, sweep: f64) -> Self {
        let mut path = Self::new();
        path.arc_to(centre, radius, start, sweep);
        path
    }

    /// An upright cross with arms of `half` length, for centre marks.
    pub fn cross(centre: impl Into<Point2>, half: f64) -> Self {
        let c = centre.into();
        let (x, y) = (Point2::new(half, 0.0), Point2::new(0.0, half));
        Self::line(c - x, c + x).with(&Self::line(c - y, c + y))
    }

    /// Continues with an arc as in [`Path::arc`]; a straight edge leads to its start.
    pub fn arc_to(
        &mut self,
        centre: impl Into<Point2>,
        radius: f64,
        start: f64,
        sweep: f64,
    ) -> &mut Self {
        let centre = centre.into();
        let sweep = sweep.clamp(-360.0, 360.0);
        let pieces = (sweep.abs() / 90.0).ceil().max(1.0);
        let step = sweep / pieces;
        let handle = if step.abs() == 90.0 {
            QUARTER.copysign(step)
        } else {
            4.0 / 3.0 * (step.to_radians() / 4.0).tan()
        };
        let mut from = Affine::turn(start).vector(Point2::new(radius, 0.0));
        self.line_to(centre + from);
        for i in 1..=pieces as usize {
            let to = Affine::turn(start + step * i as f64).vector(Point2::new(radius, 0.0));
            // Tangents run clockwise: minus left.
            self.cubic_to(
                centre + from - from.left() * handle,
                centre + to + to.left() * handle,
                centre + to,
            );
            from = to;
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::super::Segment;
    use super::*;

    #[test]
    fn circle_keeps_its_radius_and_its_box() {
        let path = Path::circle((10.0, 20.0), 60.0);
        for line in path.flattened(0.001) {
            assert!(line.closed);
            for p in &line.points {
                // The known error of four cubics: 2.73e-4 of the radius.
                assert!(((*p - Point2::new(10.0, 20.0)).length() / 60.0 - 1.0).abs() < 2.8e-4);
            }
        }
        let b = path.bounds().unwrap();
        assert!((b.width() - 120.0).abs() < 1e-9 && (b.min.y + 40.0).abs() < 1e-9);
    }

    #[test]
    fn arcs_run_clockwise_on_the_page() {
        let path = Path::arc((0.0, 0.0), 1.0, 0.0, 90.0);
        let points = &path.flattened(0.01)[0].points;
        assert_eq!(
            (points[0], points[points.len() - 1]),
            (Point2::new(1.0, 0.0), Point2::new(0.0, 1.0))
        );
        assert!(points.iter().all(|p| p.y >= 0.0));
        let back = Path::arc((0.0, 0.0), 1.0, 0.0, -90.0).bounds().unwrap();
        assert!(back.max.y <= 1e-12 && (back.min.y + 1.0).abs() < 1e-12);
    }

    #[test]
    fn rounded_shapes_fill_their_frame() {
        let frame = Rect::sized(5.0, 6.0, 40.0, 20.0);
        assert_eq!(Path::rounded_rect(frame, 3.0).bounds(), Some(frame));
        assert_eq!(
            Path::rounded_rect(frame, 99.0).bounds().map(|b| b.height()),
            Some(20.0)
        );
        assert_eq!(Path::rounded_rect(frame, 0.0), Path::rect(frame));
        let slot = Path::slot((0.0, 0.0), (10.0, 0.0), 4.0).bounds().unwrap();
        assert!((slot.width() - 14.0).abs() < 1e-9 && (slot.height() - 4.0).abs() < 1e-9);
    }

    #[test]
    fn bend_keeps_its_radius_and_gives_way_on_short_edges() {
        let bend = Path::rounded_polyline([(0.0, 0.0), (30.0, 0.0), (30.0, 30.0)], 10.0);
        for p in &bend.flattened(0.001)[0].points[1..] {
            let r = (*p - Point2::new(20.0, 10.0)).length();
            assert!(p.y > 10.0 || (r - 10.0).abs() < 0.003, "{p:?} {r}");
        }
        let short = Path::rounded_polyline([(0.0, 0.0), (4.0, 0.0), (4.0, 30.0)], 10.0);
        assert_eq!(short.segments()[1], Segment::Line(Point2::new(2.0, 0.0)));
        let straight =
            Path::rounded_polyline([(0.0, 0.0), (4.0, 0.0), (4.0, 0.0), (9.0, 0.0)], 10.0);
        assert!(straight.is_drawable());
    }
}
