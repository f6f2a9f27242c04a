//! Fields of repeated strokes: fins, perforations, rings, blades.

use super::canvas::LEAST;
use crate::view::list::{Path, Point2, Rect};

/// Most strokes in one field, so that odd data stays cheap.
const MOST: usize = 160;

/// Lines across `rect` at about `pitch` page millimetres, wider where they would
/// run together. They run down the page where `upright`.
pub fn fins(rect: Rect, pitch: f64, upright: bool) -> Path {
    let across = if upright { rect.width() } else { rect.height() };
    let count = fields(across, pitch);
    let mut path = Path::new();
    for i in 1..count {
        let t = i as f64 / count as f64;
        if upright {
            let x = rect.min.x + t * rect.width();
            path.move_to((x, rect.min.y)).line_to((x, rect.max.y));
        } else {
            let y = rect.min.y + t * rect.height();
            path.move_to((rect.min.x, y)).line_to((rect.max.x, y));
        }
    }
    path
}

/// Into how many equal fields of about `pitch` an extent is divided, at least 1;
/// the pitch is doubled until the fields are wide enough to be told apart.
pub fn fields(extent: f64, pitch: f64) -> usize {
    if !(extent.is_finite() && pitch > 0.0 && extent > 0.0) {
        return 1;
    }
    let mut pitch = pitch;
    while pitch < LEAST {
        pitch *= 2.0;
    }
    ((extent / pitch).round().max(1.0) as usize).min(MOST)
}

/// A field of hexagonal holes inside `rect`, at about `pitch` page millimetres;
/// empty where they would be too small to tell apart.
pub fn honeycomb(rect: Rect, pitch: f64) -> Path {
    let mut path = Path::new();
    // At most about 40 x 40 cells, and never so fine that they run together.
    let pitch = pitch.max(rect.width().max(rect.height()) / 40.0).max(1.3);
    let room = rect.width().min(rect.height()) / 2.0;
    if pitch.is_nan() || pitch > room {
        return path;
    }
    let row = pitch * 0.866;
    let rows = (rect.height() / row) as i32 / 2 + 1;
    let columns = (rect.width() / pitch) as i32 / 2 + 1;
    let corner = |k: f64| Point2::unit(30.0 + 60.0 * k) * (pitch * 0.42);
    let corners = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0].map(corner);
    for j in -rows..=rows {
        let odd = if j % 2 == 0 { 0.0 } else { 0.5 };
        for i in -columns..=columns {
            let at = rect.centre() + Point2::new((f64::from(i) + odd) * pitch, f64::from(j) * row);
            if rect.grown(-pitch * 0.45).contains(at) {
                path = path.with(&Path::polygon(corners.map(|c| at + c)));
            }
        }
    }
    path
}

/// Rings about a centre from `inner` to `outer`, both drawn.
pub fn rings(centre: Point2, inner: f64, outer: f64, pitch: f64) -> Path {
    let count = fields(outer - inner, pitch).min(24);
    let mut path = Path::new();
    for i in 0..=count {
        let r = inner + (outer - inner) * i as f64 / count as f64;
        path = path.with(&Path::circle(centre, r));
    }
    path
}

/// Straight spokes from `inner` to `outer`, the first at `start` degrees.
pub fn spokes(centre: Point2, inner: f64, outer: f64, count: usize, start: f64) -> Path {
    let mut path = Path::new();
    for i in 0..count {
        let way = Point2::unit(start + 360.0 * i as f64 / count as f64);
        path.move_to(centre + way * inner)
            .line_to(centre + way * outer);
    }
    path
}

/// Curved fan blades between two radii; they lean clockwise on the page where
/// `clockwise`.
pub fn blades(centre: Point2, hub: f64, tip: f64, count: usize, clockwise: bool) -> Path {
    let sign = if clockwise { 1.0 } else { -1.0 };
    let step = 360.0 / count as f64;
    let (lean, root, end) = (0.62 * step, 0.52 * step, 0.80 * step);
    let p = |r: f64, a: f64| centre + Point2::unit(sign * a) * r;
    let mix = |t: f64| hub + (tip - hub) * t;
    let mut path = Path::new();
    for k in 0..count {
        let a = step * k as f64 - 100.0;
        path.move_to(p(hub, a)).cubic_to(
            p(mix(0.40), a - 0.02 * step),
            p(mix(0.75), a + 0.30 * lean),
            p(tip, a + lean),
        );
        path.arc_to(centre, tip, sign * (a + lean), sign * end);
        path.cubic_to(
            p(mix(0.72), a + 0.40 * lean + end),
            p(mix(0.35), a + root + 0.10 * step),
            p(hub, a + root),
        );
        path.arc_to(centre, hub, sign * (a + root), -sign * root);
        path.close();
    }
    path
}

/// A zigzag along the longer way of `rect`: folded fins between two tubes.
pub fn zigzag(rect: Rect, pitch: f64) -> Path {
    let wide = rect.width() >= rect.height();
    let extent = rect.width().max(rect.height());
    let count = fields(extent, pitch) * 2;
    let point = |i: usize| {
        let t = i as f64 / count as f64;
        let odd = i % 2 == 1;
        if wide {
            let y = if odd { rect.min.y } else { rect.max.y };
            Point2::new(rect.min.x + t * extent, y)
        } else {
            let x = if odd { rect.min.x } else { rect.max.x };
            Point2::new(x, rect.min.y + t * extent)
        }
    };
    Path::polyline((0..=count).map(point))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_never_run_together_and_never_explode() {
        assert_eq!(fields(10.0, 2.0), 5);
        assert!(fields(10.0, 1e-9) <= MOST);
        assert_eq!(fields(f64::NAN, 1.0), 1);
        assert_eq!(fields(10.0, 0.0), 1);
        assert!(10.0 / fields(10.0, 0.01) as f64 > LEAST * 0.6);
    }

    #[test]
    fn perforations_stay_inside() {
        let rect = Rect::sized(0.0, 0.0, 40.0, 25.0);
        let field = honeycomb(rect, 3.0).bounds().expect("there is room");
        assert!(rect.contains(field.min) && rect.contains(field.max));
        assert!(honeycomb(rect, 0.0001).segments().len() < 40 * 60 * 8);
        assert!(honeycomb(rect, f64::NAN).bounds().is_some());
        assert_eq!(
            honeycomb(Rect::sized(0.0, 0.0, 2.0, 9.0), 1.0).bounds(),
            None
        );
    }

    #[test]
    fn blades_stay_between_hub_and_tip() {
        let c = Point2::new(5.0, 5.0);
        let path = blades(c, 10.0, 30.0, 7, true);
        for line in path.flattened(0.1) {
            for p in line.points {
                let r = (p - c).length();
                assert!((9.9..=30.1).contains(&r), "{r}");
            }
        }
    }
}
