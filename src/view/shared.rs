//! What two solids share, as one sees it: where both are straight along one axis, as what is of
//! the box that both bounds share too much.

use super::list::{Path, Point2, Rect};
use super::projection::Projection;
use crate::geom::{Axis, Length, Ring, Solid};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;

/// Corners of a circle; at the size of a page nobody sees them.
const CORNERS: usize = 96;

/// Areas below this are no more than rounding, in square millimetres.
const SPECK: f64 = 1e-6;

type Flat = Vec<[f64; 2]>;

/// A solid as a section along an axis, from here to there.
fn section(solid: &Solid, along: Axis) -> Option<(Vec<Flat>, [f64; 2])> {
    let (p, q) = along.others();
    let flat = |ring: &Ring| -> Flat { ring.iter().map(|c| c.map(Length::as_mm)).collect() };
    match solid {
        Solid::Box(b) => {
            let ends = |x: Axis| [b.min().along(x).as_mm(), b.max().along(x).as_mm()];
            let ([a, c], [b, d]) = (ends(p), ends(q));
            let ring = vec![[a, b], [c, b], [c, d], [a, d]];
            Some((vec![ring], ends(along)))
        }
        Solid::Cylinder {
            axis,
            base,
            radius,
            height,
        } if *axis == along => {
            let (middle, r) = (
                [base.along(p).as_mm(), base.along(q).as_mm()],
                radius.as_mm(),
            );
            let at = |i: usize| {
                let (sin, cos) = (i as f64 / CORNERS as f64 * std::f64::consts::TAU).sin_cos();
                [middle[0] + r * cos, middle[1] + r * sin]
            };
            let low = base.along(along).as_mm();
            Some((
                vec![(0..CORNERS).map(at).collect()],
                [low, low + height.as_mm()],
            ))
        }
        Solid::Extrusion {
            axis,
            low,
            high,
            outline,
            holes,
        } if *axis == along => {
            let rings = std::iter::once(outline).chain(holes).map(flat).collect();
            Some((rings, [low.as_mm(), high.as_mm()]))
        }
        _ => None,
    }
}

/// What two solids share, as it looks in a view, with the rectangle around it: exact where both
/// are straight along one axis, circles as polygons of 96. `None` where they are not, or share
/// nothing.
pub(super) fn outline(projection: &Projection, solids: &[Solid; 2]) -> Option<(Path, Rect)> {
    let common = |axis: &Axis| {
        let [a, b] = solids.each_ref().map(|s| section(s, *axis));
        a.zip(b).map(|both| (*axis, both))
    };
    let (axis, ((mine, [a, b]), (theirs, [c, d]))) = Axis::ALL.iter().find_map(common)?;
    let (low, high) = (a.max(c), b.min(d));
    let shapes = mine.overlay(&theirs, OverlayRule::Intersect, FillRule::EvenOdd);
    let outer: Vec<Flat> = shapes.iter().filter_map(|s| s.first().cloned()).collect();
    let rings: Vec<Flat> = shapes.into_iter().flatten().collect();
    if high <= low || rings.iter().map(|r| area(r).abs()).sum::<f64>() < SPECK {
        return None;
    }
    let place = |c: &[f64; 2], along: f64| -> Point2 {
        let (p, q) = axis.others();
        let mut at = [0.0; 3];
        (at[p.index()], at[q.index()], at[axis.index()]) = (c[0], c[1], along);
        projection.mm_to_page(at)
    };
    let join = |a: Rect, b: Rect| Rect::spanning(least(a.min, b.min), most(a.max, b.max));
    let rect = |ring: &Flat| {
        let ends = ring.iter().flat_map(|c| [place(c, low), place(c, high)]);
        ends.map(|p| Rect::spanning(p, p)).reduce(join)
    };
    let pieces: Vec<Rect> = outer.iter().filter_map(rect).collect();
    let around = pieces.iter().copied().reduce(join)?;
    if axis != projection.kind.eye().axis() {
        // From the side a straight thing is a rectangle, for each piece of it its own.
        let all = pieces.iter().map(|r| Path::rect(*r));
        return Some((all.fold(Path::new(), |path, r| path.with(&r)), around));
    }
    let mut path = Path::new();
    for ring in &rings {
        for (i, corner) in ring.iter().enumerate() {
            let at = place(corner, low);
            match i {
                0 => path.move_to(at),
                _ => path.line_to(at),
            };
        }
        path.close();
    }
    Some((path, around))
}

fn least(a: Point2, b: Point2) -> Point2 {
    Point2::new(a.x.min(b.x), a.y.min(b.y))
}

fn most(a: Point2, b: Point2) -> Point2 {
    Point2::new(a.x.max(b.x), a.y.max(b.y))
}

fn area(ring: &Flat) -> f64 {
    let next = ring.iter().cycle().skip(1);
    let twice: f64 = ring
        .iter()
        .zip(next)
        .map(|(a, b)| a[0] * b[1] - b[0] * a[1])
        .sum();
    twice / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{l, v};
    use crate::geom::Box3;
    use crate::view::ViewKind;
    use crate::view::list::Segment;

    fn rod(at: [f64; 2]) -> Solid {
        Solid::Cylinder {
            axis: Axis::Z,
            base: v(at[0], at[1], 0.0),
            radius: l(30.0),
            height: l(80.0),
        }
    }

    fn seen(kind: ViewKind, solids: &[Solid; 2]) -> Option<(Path, Rect)> {
        let room = Box3::at(
            crate::geom::Vec3::ZERO,
            crate::geom::Vec3::mm(500, 500, 500),
        );
        let projection = Projection::new(kind, 1.0, &room);
        outline(&projection, solids)
    }

    fn size(r: &Rect) -> [f64; 2] {
        [r.width(), r.height()]
    }

    #[test]
    fn a_rod_in_the_corner_of_a_box_by_hand() {
        // The box ends at 15 both ways, the rod of 30 stands about (20, 20).
        let corner = Solid::Box(Box3::at(v(-100.0, -100.0, 10.0), v(115.0, 115.0, 40.0)));
        let (path, rect) = seen(ViewKind::Top, &[corner.clone(), rod([20.0, 20.0])]).expect("both");
        // The rod's point farthest to the left in the box is that at y = 15.
        let low = 20.0 - 875f64.sqrt();
        let [a, b] = size(&rect);
        assert!(
            (a - (15.0 - low)).abs() < 0.05 && (b - (15.0 - low)).abs() < 0.05,
            "{a} {b}"
        );
        assert!(path.segments().len() > 10);
        // From the side: 40 high, as wide as it is from above.
        let (path, rect) = seen(ViewKind::Side, &[corner, rod([20.0, 20.0])]).expect("both");
        let [a, b] = size(&rect);
        assert!(
            (a - (15.0 - low)).abs() < 0.05 && (b - 40.0).abs() < 1e-9,
            "{a} {b}"
        );
        assert!(path.segments().iter().any(|s| matches!(s, Segment::Close)));
    }

    #[test]
    fn crosswise_rods_and_what_is_apart_have_none() {
        let across = Solid::Cylinder {
            axis: Axis::X,
            base: v(0.0, 0.0, 10.0),
            radius: l(5.0),
            height: l(80.0),
        };
        assert_eq!(seen(ViewKind::Top, &[rod([0.0, 0.0]), across]), None);
        // The box in the notch of an L meets its bounds, not itself.
        let ell = Solid::Extrusion {
            axis: Axis::Z,
            low: l(0.0),
            high: l(10.0),
            outline: [[0, 0], [100, 0], [100, 30], [30, 30], [30, 100], [0, 100]]
                .map(|p| p.map(Length::mm))
                .to_vec(),
            holes: vec![],
        };
        let notch = Solid::Box(Box3::at(v(30.0, 30.0, 0.0), v(50.0, 50.0, 10.0)));
        assert_eq!(seen(ViewKind::Top, &[ell, notch]), None);
    }

    #[test]
    fn two_pieces_are_two_rectangles_from_the_side() {
        // A bar across the two legs of a U: 10 to 30 and 70 to 90 of its width.
        let legs = [
            [0, 0],
            [90, 0],
            [90, 90],
            [70, 90],
            [70, 20],
            [30, 20],
            [30, 90],
            [10, 90],
            [10, 20],
            [0, 20],
        ];
        let (p, _) = Axis::Z.others();
        let flat = |[x, y]: [i64; 2]| if p == Axis::X { [x, y] } else { [y, x] };
        let fork = Solid::Extrusion {
            axis: Axis::Z,
            low: l(0.0),
            high: l(10.0),
            outline: legs.map(|c| flat(c).map(Length::mm)).to_vec(),
            holes: vec![],
        };
        let bar = Solid::Box(Box3::at(v(0.0, 50.0, 5.0), v(100.0, 10.0, 20.0)));
        for (kind, rects) in [(ViewKind::Top, 2), (ViewKind::Side, 2)] {
            let (path, _) = seen(kind, &[fork.clone(), bar.clone()]).expect("both");
            let closed = path
                .segments()
                .iter()
                .filter(|s| matches!(s, Segment::Close));
            assert_eq!(closed.count(), rects, "{kind:?}");
        }
    }
}
