//! Cutting an outline into its dashes.

use super::{Path, Point2, Rect};

/// Most dashes cut from one path; what comes after is left out.
const MAX_DASHES: usize = 100_000;

impl Path {
    /// The dashes of the outline as open lines; curves are cut into chords within
    /// `tolerance` millimetres.
    ///
    /// `pattern` alternates dash and gap lengths, as [`super::Line::dashes`] gives
    /// them; each ring and open line starts with a dash, and dashes run on around
    /// corners. Only what may show in `clip` is cut, with the pattern in the same
    /// place as without it, so that the work follows what shows and not how far a
    /// line runs. Grow `clip` by half a line's width. A pattern that is empty, or
    /// holds a length that is negative, not finite or below a hundredth of a
    /// millimetre in sum, leaves the outline whole.
    #[must_use]
    pub fn dashed(&self, pattern: &[f64], clip: Rect, tolerance: f64) -> Self {
        let period: f64 = pattern.iter().sum();
        let sound =
            pattern.iter().all(|length| *length >= 0.0) && period.is_finite() && period > 0.01;
        if !sound || !pattern.len().is_multiple_of(2) {
            return self.clone();
        }
        let mut cutter = Cutter {
            pattern,
            period,
            clip,
            dashes: Self::new(),
            count: 0,
        };
        for line in self.flattened(tolerance) {
            cutter.cut(line.edges());
        }
        cutter.dashes
    }
}

struct Cutter<'a> {
    pattern: &'a [f64],
    period: f64,
    clip: Rect,
    dashes: Path,
    count: usize,
}

impl Cutter<'_> {
    fn cut(&mut self, edges: impl Iterator<Item = (Point2, Point2)>) {
        let mut run = 0.0;
        // Where the last dash ended, so that one that turns a corner stays one line.
        let mut pen = None;
        for (a, b) in edges {
            let length = (b - a).length();
            if let Some((from, to)) = shown(a, b, self.clip) {
                // Ends of edges exactly, so that a dash can go on from the next edge.
                let at = |d: f64| match d - run {
                    d if d <= 0.0 => a,
                    d if d >= length => b,
                    d => a.lerp(b, d / length),
                };
                let (first, last) = (run + from * length, run + to * length);
                let mut start = (first / self.period).floor() * self.period;
                'edge: loop {
                    for pair in self.pattern.chunks_exact(2) {
                        if start >= last || self.count >= MAX_DASHES {
                            break 'edge;
                        }
                        let (on, off) = (start.max(run), start + pair[0]);
                        if off > on {
                            self.dash(at(on), at(off), &mut pen);
                        }
                        start += pair[0] + pair[1];
                    }
                }
            }
            run += length;
        }
    }

    fn dash(&mut self, from: Point2, to: Point2, pen: &mut Option<Point2>) {
        if *pen != Some(from) {
            self.dashes.move_to(from);
            self.count += 1;
        }
        self.dashes.line_to(to);
        *pen = Some(to);
    }
}

/// The part of an edge that may show in the rectangle, as fractions of its length
/// (Liang and Barsky's clipping).
fn shown(a: Point2, b: Point2, clip: Rect) -> Option<(f64, f64)> {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    let way = b - a;
    for (along, low, high) in [
        (way.x, clip.min.x - a.x, clip.max.x - a.x),
        (way.y, clip.min.y - a.y, clip.max.y - a.y),
    ] {
        if along == 0.0 {
            if low > 0.0 || high < 0.0 {
                return None;
            }
            continue;
        }
        let (enter, leave) = if along > 0.0 {
            (low / along, high / along)
        } else {
            (high / along, low / along)
        };
        from = from.max(enter);
        to = to.min(leave);
    }
    (from <= to).then_some((from, to))
}

#[cfg(test)]
mod tests {
    use super::super::Line;
    use super::*;

    const ALL: Rect = Rect {
        min: Point2::new(-1e6, -1e6),
        max: Point2::new(1e6, 1e6),
    };

    fn lengths(path: &Path) -> Vec<f64> {
        let length =
            |line: super::super::Polyline| line.edges().map(|(a, b)| (b - a).length()).sum::<f64>();
        path.flattened(0.1).into_iter().map(length).collect()
    }

    #[track_caller]
    fn assert_close(found: &[f64], expected: &[f64]) {
        assert_eq!(found.len(), expected.len(), "{found:?}");
        assert!(
            found
                .iter()
                .zip(expected)
                .all(|(a, b)| (a - b).abs() < 1e-9),
            "{found:?}"
        );
    }

    #[test]
    fn dashes_have_the_lengths_of_the_pattern() {
        // Hidden edge: dash 12 d and gap 3 d at d = 0.25 mm (ISO 128-2, from memory).
        let line = Path::line((5.0, 5.0), (5.0, 17.0));
        let dashes = line.dashed(&Line::HIDDEN.dashes(), ALL, 0.1);
        assert_close(&lengths(&dashes), &[3.0, 3.0, 3.0, 0.75]);
        let centre = Path::line((0.0, 0.0), (15.0, 0.0)).dashed(&Line::CENTRE.dashes(), ALL, 0.1);
        assert_close(&lengths(&centre), &[6.0, 0.25, 6.0, 0.25]);
    }

    #[test]
    fn dashes_run_on_around_corners() {
        let corner = Path::polyline([(0.0, 0.0), (2.0, 0.0), (2.0, 9.0)]);
        let dashes = corner.dashed(&[3.0, 1.0], ALL, 0.1);
        assert_close(&lengths(&dashes), &[3.0, 3.0, 3.0]);
        assert_eq!(dashes.flattened(0.1)[0].points.len(), 3);
        // A circle of radius 10 takes 2 pi r / 4 periods.
        let round = Path::circle((0.0, 0.0), 10.0).dashed(&[3.0, 1.0], ALL, 0.001);
        assert_eq!(lengths(&round).len(), 16);
    }

    #[test]
    fn clipping_leaves_the_pattern_in_place() {
        let line = Path::line((-99_000.0, 4.0), (99_000.0, 4.0));
        let clip = Rect::sized(0.0, 0.0, 40.0, 10.0);
        let few = line.dashed(&[3.0, 1.0], clip, 0.1);
        assert!(lengths(&few).len() <= 12);
        for dash in few.flattened(0.1) {
            // 99 000 is a multiple of the period: dashes start at multiples of four.
            let x = dash.points[0].x;
            assert!((x - (x / 4.0).round() * 4.0).abs() < 1e-6, "{x}");
        }
        assert_eq!(
            line.dashed(&[3.0, 1.0], Rect::sized(0.0, 5.0, 40.0, 10.0), 0.1),
            Path::new()
        );
    }

    #[test]
    fn unsound_patterns_leave_the_line_whole() {
        let line = Path::line((0.0, 0.0), (9.0, 0.0));
        for pattern in [
            &[][..],
            &[1.0],
            &[0.0, 0.0],
            &[1.0, -0.5],
            &[f64::NAN, 1.0],
            &[1e-9, 1e-9],
        ] {
            assert_eq!(line.dashed(pattern, ALL, 0.1), line);
        }
        let long = Path::line((0.0, 0.0), (90_000.0, 0.0)).dashed(&[0.01, 0.01], ALL, 0.1);
        assert!(lengths(&long).len() <= MAX_DASHES);
    }
}
