//! Grid and rulers of the sheet, in scene millimetres.

use super::list::{
    DrawList, GridStep, HAlign, Layer, Line, Path, Pen, Point2, Rect, Role, Text, TextSize, VAlign,
    Width,
};
use super::projection::Projection;
use crate::geom::Dir;

/// Grid lines closer together than this on paper are not drawn, in millimetres.
const CLOSEST: f64 = 1.2;

/// From this distance on paper grid lines stand at full strength.
const FULL: f64 = 6.0;

/// Most lines of one step across one page.
const MOST: i64 = 4000;

/// The lines of one grid step.
#[derive(Clone, PartialEq, Debug)]
pub struct GridLines {
    /// Which step.
    pub step: GridStep,
    /// How strongly they show: 0 not at all, 1 in full. It grows with the zoom.
    pub strength: f64,
    /// The lines.
    pub path: Path,
}

/// The grid lines that cross `visible` (page millimetres of the view), coarse
/// steps first. Lines of a coarser step are left out of the finer ones; steps that
/// would run together are left out altogether.
pub fn grid_lines(projection: &Projection, visible: Rect) -> Vec<GridLines> {
    let mut out = Vec::new();
    for (step, mm) in [
        (GridStep::Mm100, 100i64),
        (GridStep::Mm10, 10),
        (GridStep::Mm1, 1),
    ] {
        let pitch = mm as f64 * projection.scale;
        if pitch < CLOSEST {
            break;
        }
        let strength = ((pitch - CLOSEST) / (FULL - CLOSEST)).clamp(0.15, 1.0);
        let mut path = Path::new();
        let coarser = |n: i64| step != GridStep::Mm100 && (n * mm) % (mm * 10) == 0;
        for (n, x) in stations(projection, visible, true, mm) {
            if !coarser(n) {
                path.move_to((x, visible.min.y)).line_to((x, visible.max.y));
            }
        }
        for (n, y) in stations(projection, visible, false, mm) {
            if !coarser(n) {
                path.move_to((visible.min.x, y)).line_to((visible.max.x, y));
            }
        }
        out.push(GridLines {
            step,
            strength,
            path,
        });
    }
    out
}

/// The grid as a draw list; steps fainter than a quarter are left out.
pub fn grid(projection: &Projection, visible: Rect) -> DrawList {
    let mut list = DrawList::new();
    for lines in grid_lines(projection, visible) {
        if lines.strength >= 0.25 {
            list.pen()
                .stroke(lines.path, Line::HAIR, Role::Grid(lines.step));
        }
    }
    list
}

/// Multiples of `mm` of the scene's own coordinate that lie in view, each with its
/// place on the page: columns where `across`, else rows.
fn stations(projection: &Projection, visible: Rect, across: bool, mm: i64) -> Vec<(i64, f64)> {
    let dir = axis_of(projection, across);
    // The own coordinate runs with or against the page.
    let page = |value: f64| {
        let signed = value * dir.sign() as f64;
        if across {
            projection.plane_to_page(signed, 0.0).x
        } else {
            projection.plane_to_page(0.0, signed).y
        }
    };
    let (low, high) = if across {
        (visible.min.x, visible.max.x)
    } else {
        (visible.min.y, visible.max.y)
    };
    let slope = page(1.0) - page(0.0);
    let (a, b) = ((low - page(0.0)) / slope, (high - page(0.0)) / slope);
    let first = (a.min(b) / mm as f64).ceil();
    let last = (a.max(b) / mm as f64).floor();
    if !(first.is_finite() && last.is_finite()) || last - first > MOST as f64 {
        return Vec::new();
    }
    (first as i64..=last as i64)
        .map(|n| (n, page((n * mm) as f64)))
        .collect()
}

fn axis_of(projection: &Projection, across: bool) -> Dir {
    if across {
        projection.kind.right()
    } else {
        projection.kind.up()
    }
}

/// The edge along which a ruler lies.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum RulerEdge {
    /// Along the upper edge, inside.
    Upper,
    /// Along the left edge, inside.
    Left,
}

/// Depth of a ruler's band in page millimetres.
pub const RULER: f64 = 5.5;

/// A ruler along an edge of `visible`, in the scene's own coordinates: millimetres
/// from the front, from the left or from the floor.
pub fn ruler(projection: &Projection, visible: Rect, edge: RulerEdge) -> DrawList {
    let mut list = DrawList::new();
    let across = edge == RulerEdge::Upper;
    let band = if across {
        Rect::sized(visible.min.x, visible.min.y, visible.width(), RULER)
    } else {
        Rect::sized(visible.min.x, visible.min.y, RULER, visible.height())
    };
    let mut pen = list.pen().layer(Layer::Notes);
    pen.fill(Path::rect(band), Role::Paper);
    let rim = if across {
        Path::line((band.min.x, band.max.y), band.max)
    } else {
        Path::line((band.max.x, band.min.y), band.max)
    };
    pen.stroke(rim, Line::THIN, Role::Ruler);
    let (fine, figures) = steps(projection.scale);
    let mut ticks = Path::new();
    for (n, at) in stations(projection, visible, across, fine) {
        let value = n * fine;
        let long = if value % figures == 0 {
            0.75
        } else if value % (figures / 2).max(1) == 0 {
            0.45
        } else {
            0.25
        };
        if across {
            ticks
                .move_to((at, band.max.y))
                .line_to((at, band.max.y - RULER * long));
        } else {
            ticks
                .move_to((band.max.x, at))
                .line_to((band.max.x - RULER * long, at));
        }
        if value % figures == 0 {
            figure(&mut pen, visible, band, across, at, value);
        }
    }
    let line = Line::new(Width::Hair, super::list::LineType::Continuous);
    pen.stroke(ticks, line, Role::Ruler);
    list
}

fn figure(pen: &mut Pen<'_>, visible: Rect, band: Rect, across: bool, at: f64, value: i64) {
    let size = TextSize::Cap(1.6);
    let text = Text::new((0.0, 0.0), value.to_string()).size(size);
    let text = if across {
        let at = Point2::new(at + 0.5, band.min.y + 0.7);
        Text {
            at,
            ..text.anchored(HAlign::Left, VAlign::Top)
        }
    } else {
        let at = Point2::new(band.min.x + 0.7, at - 0.5);
        Text {
            at,
            ..text.anchored(HAlign::Left, VAlign::Top).turned(-90.0)
        }
    };
    let b = text.bounds();
    let inside = if across {
        b.max.x <= visible.max.x
    } else {
        b.min.y >= visible.min.y
    };
    if inside {
        pen.text(text, Role::Ruler);
    }
}

/// Scene millimetres between ticks and between figures at a scale.
fn steps(scale: f64) -> (i64, i64) {
    let choose = |least: f64| {
        let mut step = 1i64;
        let mut factors = [2, 5, 10].into_iter().cycle();
        let mut decade = 1i64;
        while (step as f64) * scale < least && step < 1_000_000 {
            let factor = factors.next().unwrap_or(10);
            step = decade * factor;
            if factor == 10 {
                decade = step;
            }
        }
        step
    };
    let figures = choose(14.0);
    // Ten ticks to a figure, or five where they would run together.
    let fine = [10, 5, 2]
        .into_iter()
        .map(|parts| figures / parts)
        .find(|step| *step >= 1 && figures % step == 0 && *step as f64 * scale >= 1.1)
        .unwrap_or(figures);
    (fine, figures)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Box3, Vec3};
    use crate::view::projection::ViewKind;

    fn top(scale: f64) -> Projection {
        let outline = Box3::at(Vec3::ZERO, Vec3::mm(300, 400, 150));
        Projection::new(ViewKind::Top, scale, &outline)
    }

    #[test]
    fn finer_steps_appear_with_the_zoom() {
        let page = Rect::sized(0.0, 0.0, 100.0, 80.0);
        let shown = |scale| grid_lines(&top(scale), page).len();
        assert_eq!(shown(0.005), 0);
        assert_eq!(shown(0.05), 1);
        assert_eq!(shown(0.5), 2);
        assert_eq!(shown(2.0), 3);
    }

    #[test]
    fn grid_lines_stand_at_whole_coordinates_of_the_scene() {
        // The front edge (y = 0) is the right edge of the top view, 200 mm wide.
        let page = Rect::sized(0.0, 0.0, 200.0, 150.0);
        let lines = grid_lines(&top(0.5), page);
        let ends = lines[0].path.bounds().unwrap();
        assert_eq!((ends.min.x, ends.max.x), (0.0, 200.0));
        assert_eq!(lines[0].path.segments().len(), 2 * (5 + 4));
    }

    #[test]
    fn ruler_figures_do_not_overlap_at_any_scale() {
        for scale in [0.02, 0.1, 0.25, 0.7, 1.0, 3.3, 20.0] {
            for edge in [RulerEdge::Upper, RulerEdge::Left] {
                let list = ruler(&top(scale), Rect::sized(0.0, 0.0, 150.0, 150.0), edge);
                let boxes: Vec<Rect> = list
                    .items
                    .iter()
                    .filter_map(|i| match &i.mark {
                        super::super::list::Mark::Text(t) => Some(t.bounds()),
                        _ => None,
                    })
                    .collect();
                assert!(boxes.len() >= 2, "{scale} {edge:?}");
                for (i, a) in boxes.iter().enumerate() {
                    let free = |b: &Rect| !super::super::labels::overlap(*a, *b);
                    assert!(boxes[i + 1..].iter().all(free), "{scale} {edge:?}");
                }
            }
        }
    }

    #[test]
    fn absurd_views_stay_cheap() {
        let far = Rect::sized(-1e9, -1e9, 2e9, 2e9);
        let lines: usize = grid_lines(&top(50.0), far)
            .iter()
            .map(|l| l.path.segments().len())
            .sum();
        assert!(lines < 4 * MOST as usize);
    }
}
