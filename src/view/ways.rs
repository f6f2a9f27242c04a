//! The middle lines of cables: their points, where they are cut, what covers them.

use super::covers::Covers;
use super::list::Path;
use super::projection::Projection;
use crate::route::{Leg, Point, Stretch};

/// Steps in which a way is asked for what covers it, in page millimetres.
const STEP: f64 = 2.0;

/// The middle line of a stretch in scene millimetres, arcs in steps of at most
/// 8 degrees.
pub(crate) fn line_of(stretch: &Stretch) -> Vec<Point> {
    let mut line: Vec<Point> = Vec::new();
    for leg in &stretch.legs {
        match leg {
            Leg::Straight { from, to } => {
                if line.is_empty() {
                    line.push(*from);
                }
                line.push(*to);
            }
            Leg::Arc {
                from,
                to,
                centre,
                angle,
                ..
            } => {
                let steps = (angle.to_degrees() / 8.0).ceil().clamp(1.0, 23.0) as usize;
                let part = |p: &Point, k: usize| p[k] - centre[k];
                for i in 0..=steps {
                    let t = i as f64 / steps as f64;
                    let (a, b) = if angle.sin().abs() > 1e-6 {
                        (
                            ((1.0 - t) * angle).sin() / angle.sin(),
                            (t * angle).sin() / angle.sin(),
                        )
                    } else {
                        (1.0 - t, t)
                    };
                    let at = |k: usize| centre[k] + a * part(from, k) + b * part(to, k);
                    line.push([at(0), at(1), at(2)]);
                }
            }
        }
    }
    line
}

fn distance(a: Point, b: Point) -> f64 {
    let d = |k: usize| b[k] - a[k];
    (d(0) * d(0) + d(1) * d(1) + d(2) * d(2)).sqrt()
}

/// The line cut in two at this length from its start.
pub(crate) fn cut_at(line: &[Point], length: f64) -> (Vec<Point>, Vec<Point>) {
    let mut left = length.max(0.0);
    let mut first: Vec<Point> = line.iter().take(1).copied().collect();
    for (i, w) in line.windows(2).enumerate() {
        let d = distance(w[0], w[1]);
        if d >= left && d > 0.0 {
            let t = left / d;
            let at = |k: usize| w[0][k] + t * (w[1][k] - w[0][k]);
            let end = [at(0), at(1), at(2)];
            first.push(end);
            let rest = std::iter::once(end).chain(line[i + 1..].iter().copied());
            return (first, rest.collect());
        }
        left -= d;
        first.push(w[1]);
    }
    (first, Vec::new())
}

/// The stretches of a line that lie below a cut at this depth, cut off there.
pub(crate) fn below(projection: &Projection, line: &[Point], cut: f64) -> Vec<Vec<Point>> {
    let mut runs: Vec<Vec<Point>> = Vec::new();
    let depth = |p: &Point| depth_of(projection, p);
    for w in line.windows(2) {
        let (a, b) = (depth(&w[0]), depth(&w[1]));
        let (a_in, b_in) = (a < cut, b < cut);
        let t = if a_in == b_in {
            0.0
        } else {
            (cut - a) / (b - a)
        };
        let at = |k: usize| w[0][k] + t * (w[1][k] - w[0][k]);
        let edge = [at(0), at(1), at(2)];
        match (a_in, b_in) {
            (false, false) => continue,
            (false, true) => runs.push(vec![edge]),
            (true, _) if runs.is_empty() => runs.push(vec![w[0]]),
            (true, _) => {}
        }
        if let Some(run) = runs.last_mut() {
            run.push(if b_in { w[1] } else { edge });
        }
    }
    runs
}

/// How near a point is to the eye, in millimetres.
pub(crate) fn depth_of(projection: &Projection, p: &Point) -> f64 {
    let eye = projection.kind.eye();
    p[eye.axis().index()] * eye.sign() as f64
}

/// The open and the covered stretches of a line.
pub(crate) fn split(projection: &Projection, covers: &Covers, line: &[Point]) -> (Path, Path) {
    let (right, up) = (projection.kind.right(), projection.kind.up());
    let plane = |p: &Point| {
        let um = |d: crate::geom::Dir| p[d.axis().index()] * d.sign() as f64 * 1000.0;
        [um(right), um(up)]
    };
    let (mut open, mut hidden) = (Path::new(), Path::new());
    let mut last: Option<bool> = None;
    for w in line.windows(2) {
        let (a, b) = (projection.mm_to_page(w[0]), projection.mm_to_page(w[1]));
        let steps = if covers.outlines().is_empty() {
            1
        } else {
            (((b - a).length() / STEP).ceil() as usize).clamp(1, 200)
        };
        let mix = |t: f64| {
            let at = |k: usize| w[0][k] + t * (w[1][k] - w[0][k]);
            [at(0), at(1), at(2)]
        };
        for i in 0..steps {
            let t = |i: usize| i as f64 / steps as f64;
            let middle = mix((i as f64 + 0.5) / steps as f64);
            let depth = depth_of(projection, &middle) * 1000.0;
            let covered = covers.hides(plane(&middle), depth);
            let path = if covered { &mut hidden } else { &mut open };
            if last != Some(covered) {
                path.move_to(a.lerp(b, t(i)));
            }
            // Steps on the way are left out where nothing changes.
            if i + 1 == steps {
                path.line_to(b);
            } else {
                let next = mix((i as f64 + 1.5) / steps as f64);
                let same = covers.hides(plane(&next), depth_of(projection, &next) * 1000.0);
                if same != covered {
                    path.line_to(a.lerp(b, t(i + 1)));
                }
            }
            last = Some(covered);
        }
    }
    (open, hidden)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_cut_at_its_length() {
        let line = [[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [10.0, 20.0, 0.0]];
        let (a, b) = cut_at(&line, 15.0);
        assert_eq!(a, vec![[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [10.0, 5.0, 0.0]]);
        assert_eq!(b, vec![[10.0, 5.0, 0.0], [10.0, 20.0, 0.0]]);
        let (all, none) = cut_at(&line, 99.0);
        assert_eq!((all.len(), none.len()), (3, 0));
    }

    #[test]
    fn what_lies_above_a_cut_is_left_out() {
        let outline = crate::geom::Box3::default();
        let top = Projection::new(crate::view::ViewKind::Top, 1.0, &outline);
        // Up from 0 to 20, along, and down again; cut at 10.
        let line = [
            [0.0, 0.0, 0.0],
            [0.0, 0.0, 20.0],
            [30.0, 0.0, 20.0],
            [30.0, 0.0, 5.0],
        ];
        let runs = below(&top, &line, 10.0);
        assert_eq!(runs.len(), 2);
        assert_eq!(runs[0], [[0.0, 0.0, 0.0], [0.0, 0.0, 10.0]]);
        assert_eq!(runs[1], [[30.0, 0.0, 10.0], [30.0, 0.0, 5.0]]);
    }

    #[test]
    fn arcs_stay_on_their_circle() {
        let stretch = Stretch {
            legs: vec![Leg::Arc {
                from: [10.0, 0.0, 0.0],
                to: [0.0, 10.0, 0.0],
                centre: [0.0, 0.0, 0.0],
                radius: 10.0,
                angle: std::f64::consts::FRAC_PI_2,
            }],
            ..empty()
        };
        for p in line_of(&stretch) {
            assert!((p[0].hypot(p[1]) - 10.0).abs() < 1e-9);
        }
    }

    fn empty() -> Stretch {
        let port = crate::model::PortRef {
            part: crate::model::PartId::new("p").unwrap(),
            port: "x".to_owned(),
        };
        Stretch {
            from: port.clone(),
            to: port,
            legs: Vec::new(),
            points: Vec::new(),
            needed: crate::geom::Length::ZERO,
            available: crate::geom::Length::ZERO,
            judged: Ok(()),
            tightest_bend: None,
            visits: Vec::new(),
        }
    }
}
