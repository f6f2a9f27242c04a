//! What lies under a point of the sheet.

use super::{DrawList, Fill, Mark, Owner, Point2, Polyline};

/// Owners of the marks within `tolerance` millimetres of `at`, topmost first,
/// each once.
///
/// A filled or hatched area is hit anywhere inside or on its border, an outline
/// without fill only near its stroke, lettering anywhere in its box. Marks
/// without owner hide nothing. A `tolerance` that is negative or not finite
/// counts as zero.
pub fn hit(list: &DrawList, at: impl Into<Point2>, tolerance: f64) -> Vec<Owner> {
    let at = at.into();
    let tolerance = if tolerance.is_finite() {
        tolerance.max(0.0)
    } else {
        0.0
    };
    let mut under: Vec<_> = list
        .items
        .iter()
        .filter_map(|item| item.owner.map(|owner| (item, owner)))
        .filter(|(item, _)| touches(&item.mark, at, tolerance))
        .collect();
    // The order of painting backwards; a stable sort of the reverse keeps the last drawn first.
    under.reverse();
    under.sort_by_key(|(item, _)| std::cmp::Reverse((item.layer, item.z)));
    let mut owners = Vec::new();
    for (_, owner) in under {
        if !owners.contains(&owner) {
            owners.push(owner);
        }
    }
    owners
}

fn touches(mark: &Mark, at: Point2, tolerance: f64) -> bool {
    // The box first: it rules out nearly everything without flattening a curve.
    if !mark.is_drawable()
        || !mark
            .bounds()
            .is_some_and(|b| b.grown(tolerance).contains(at))
    {
        return false;
    }
    match mark {
        Mark::Path { path, fill, stroke } => {
            let lines = path.flattened(0.05);
            let reach = tolerance + stroke.map_or(0.0, |line| line.width.mm() / 2.0);
            let filled = *fill != Fill::None;
            (filled && inside(&lines, at))
                || ((filled || stroke.is_some()) && near(&lines, at, reach, filled))
        }
        Mark::Text(text) => {
            let frame = [Polyline {
                points: text.corners().to_vec(),
                closed: true,
            }];
            inside(&frame, at) || near(&frame, at, tolerance, true)
        }
        Mark::Image(_) => true,
        Mark::Hatch(hatch) => {
            let lines = hatch.outline.flattened(0.05);
            inside(&lines, at) || near(&lines, at, tolerance, true)
        }
    }
}

/// Whether the point is inside by the even-odd rule; open lines count as closed.
pub(super) fn inside(rings: &[Polyline], at: Point2) -> bool {
    let mut odd = false;
    for ring in rings {
        let Some(&last) = ring.points.last() else {
            continue;
        };
        let mut from = last;
        for &to in &ring.points {
            if (from.y > at.y) != (to.y > at.y) {
                let x = from.x + (to.x - from.x) * (at.y - from.y) / (to.y - from.y);
                odd ^= at.x < x;
            }
            from = to;
        }
    }
    odd
}

/// Whether the point is within `reach` of an edge; with `closing` also of the edge
/// that would close an open line.
fn near(lines: &[Polyline], at: Point2, reach: f64, closing: bool) -> bool {
    let close = |a: Point2, b: Point2| {
        let along = b - a;
        let t = ((at - a).dot(along) / along.dot(along)).clamp(0.0, 1.0);
        // A point-like edge gives NaN above.
        let foot = if t.is_nan() { a } else { a.lerp(b, t) };
        (at - foot).length() <= reach
    };
    lines.iter().any(|line| {
        let ends = line
            .points
            .first()
            .zip(line.points.last())
            .filter(|_| closing || line.points.len() == 1);
        line.edges().any(|(a, b)| close(a, b))
            || ends.is_some_and(|(first, last)| close(*last, *first))
    })
}

#[cfg(test)]
mod tests {
    use super::super::{Affine, Hatch, Line, Path, Rect, Role, System, Text};
    use super::*;

    fn part(list: &mut DrawList, id: u32, z: i32, rect: Rect) {
        list.pen()
            .owner(Owner::Part(id))
            .z(z)
            .body(Path::rect(rect), System::Drives);
    }

    #[test]
    fn topmost_comes_first_and_each_owner_once() {
        let mut list = DrawList::new();
        part(&mut list, 1, 50, Rect::sized(0.0, 0.0, 20.0, 20.0));
        part(&mut list, 2, 10, Rect::sized(10.0, 0.0, 20.0, 20.0));
        let cable = Path::line((0.0, 10.0), (30.0, 10.0));
        list.pen().owner(Owner::Cable(7)).stroke(
            cable,
            Line::true_width(2.0),
            Role::Cable(System::Power),
        );
        let (p1, p2, c) = (Owner::Part(1), Owner::Part(2), Owner::Cable(7));
        assert_eq!(hit(&list, (15.0, 10.5), 0.0), [c, p1, p2]);
        assert_eq!(hit(&list, (15.0, 15.0), 0.0), [p1, p2]);
        assert_eq!(hit(&list, (25.0, 15.0), 0.0), [p2]);
        assert_eq!(hit(&list, (50.0, 50.0), 1.0), []);
    }

    #[test]
    fn outlines_are_hit_near_their_stroke_only() {
        let mut list = DrawList::new();
        let mut pen = list.pen().owner(Owner::Zone(4));
        pen.stroke(Path::circle((0.0, 0.0), 10.0), Line::THICK, Role::Zone);
        assert_eq!(hit(&list, (0.0, 0.0), 1.0), []);
        assert_eq!(hit(&list, (10.2, 0.0), 0.0), [Owner::Zone(4)]);
        assert_eq!(hit(&list, (10.3, 0.0), 0.0), []);
        assert_eq!(hit(&list, (11.2, 0.0), 1.0), [Owner::Zone(4)]);
    }

    #[test]
    fn holes_and_open_lines() {
        let mut list = DrawList::new();
        list.pen()
            .owner(Owner::Part(1))
            .fill(Path::ring((0.0, 0.0), 10.0, 5.0), Role::Wall);
        let corner = Path::polyline([(20.0, 0.0), (30.0, 0.0), (30.0, 10.0)]);
        list.pen()
            .owner(Owner::Cable(2))
            .stroke(corner, Line::THIN, Role::Ink);
        assert_eq!(hit(&list, (0.0, 0.0), 1.0), []);
        assert_eq!(hit(&list, (7.0, 0.0), 0.0), [Owner::Part(1)]);
        // On the line that would close the open one there is nothing.
        assert_eq!(hit(&list, (25.0, 5.0), 0.5), []);
        assert_eq!(hit(&list, (30.0, 5.0), 0.5), [Owner::Cable(2)]);
    }

    #[test]
    fn turned_text_and_hatches_are_hit_in_their_area() {
        let mut list = DrawList::new();
        let text = Text::new((0.0, 0.0), "mmmmm").mapped(Affine::turn(45.0));
        let along = Point2::unit(45.0) * (text.width() / 2.0);
        list.pen().owner(Owner::Other(1)).text(text, Role::Text);
        let area = Path::rect(Rect::sized(50.0, 0.0, 10.0, 10.0));
        list.pen()
            .owner(Owner::Finding(2))
            .hatch(Hatch::new(area, 3.0), Role::Clash);
        assert_eq!(hit(&list, along, 0.0), [Owner::Other(1)]);
        assert_eq!(hit(&list, (along.x, 0.0), 0.0), []);
        assert_eq!(hit(&list, (51.3, 7.7), 0.0), [Owner::Finding(2)]);
    }

    #[test]
    fn what_cannot_be_drawn_cannot_be_hit() {
        let mut list = DrawList::new();
        part(&mut list, 1, 0, Rect::spanning((f64::NAN, 0.0), (5.0, 5.0)));
        part(&mut list, 2, 0, Rect::sized(0.0, 0.0, 5.0, 5.0));
        assert_eq!(hit(&list, (1.0, 1.0), f64::NAN), [Owner::Part(2)]);
        assert_eq!(hit(&list, (f64::NAN, 1.0), 1.0), []);
    }
}
