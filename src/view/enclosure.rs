//! The enclosure: walls where the view cuts them, plates behind, what comes off.
//!
//! A plate is seen **flat** where it is thinnest along the eye's axis, else **on
//! edge**. Plates on edge are drawn as sections; flat ones are the ground on which
//! the parts behind which nothing lies are drawn. Without a cut height the flat
//! plates next to the eye count as taken off and show as long-dashed double-dotted
//! outlines, as ISO 128-3 draws what lies before a cutting plane (from memory).

use super::cutouts;
use super::list::{
    DrawList, Hatch, Layer, Line, LineType, Path, Pen, Point2, Rect, Role, System, Width,
};
use super::projection::Projection;
use super::sheet::SheetInput;
use crate::geom::{Axis, Box3, Length, Solid, Vec3};
use crate::model::{Enclosure, Plate};

/// A flat plate whose near face lies within this of the face that is taken off is
/// taken off as well.
const LID: Length = Length::mm(15);

/// How a plate shows in a view.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Shown {
    /// Before the cut, or taken off: in outline, before everything.
    Off,
    /// Flat, at the back of everything.
    Back,
    /// Flat, between the parts: its painting height.
    Ground(i64),
    /// On edge and cut through.
    Section,
    /// On edge and below the cut.
    Below(i64),
}

/// The depth of the cut in a view, towards the eye.
pub(crate) fn cut_depth(input: &SheetInput<'_>, projection: &Projection) -> Option<Length> {
    let eye = projection.kind.eye();
    input.options.cut[projection.kind.index()].map(|at| at * eye.sign())
}

/// A depth in micrometres as a height of the painting order.
pub(crate) fn level(depth: i64) -> i32 {
    depth.clamp(i64::from(i32::MIN), i64::from(i32::MAX)) as i32
}

/// True where a box is thinnest along the eye's axis.
pub(crate) fn is_flat(b: &Box3, eye: Axis) -> bool {
    let size = b.size();
    Axis::ALL
        .into_iter()
        .all(|a| size.along(eye) <= size.along(a))
}

/// The depth of the face that is taken off where no cut height is set: that of the
/// nearest large flat plate in the nearer third, or the outside.
fn front(enclosure: &Enclosure, projection: &Projection) -> Length {
    let outline = enclosure.outline();
    let (back, outer) = projection.kind.reach(&outline);
    let area = |b: &Box3| {
        let r = projection.box_to_page(b);
        r.width() * r.height()
    };
    let whole = area(&outline);
    let large = enclosure
        .plates
        .iter()
        .map(|p| p.solid.bounds())
        .filter(|b| is_flat(b, projection.kind.eye().axis()) && area(b) > 0.3 * whole)
        .map(|b| projection.kind.reach(&b).1)
        .filter(|near| (outer - *near) * 3 < outer - back);
    large.max().unwrap_or(outer)
}

/// How a plate shows.
pub(crate) fn shown(
    enclosure: &Enclosure,
    plate: &Plate,
    projection: &Projection,
    cut: Option<Length>,
) -> Shown {
    let bounds = plate.solid.bounds();
    let (far, near) = projection.kind.reach(&bounds);
    if is_flat(&bounds, projection.kind.eye().axis()) {
        let (back, _) = projection.kind.reach(&enclosure.outline());
        let off = match cut {
            Some(cut) => far >= cut,
            None => near + LID >= front(enclosure, projection),
        };
        return match cut {
            _ if off => Shown::Off,
            Some(cut) if near > cut => Shown::Section,
            _ if far <= back + LID => Shown::Back,
            _ => Shown::Ground(far.as_um()),
        };
    }
    match cut {
        Some(cut) if far >= cut => Shown::Off,
        Some(cut) if near <= cut => Shown::Below(far.as_um()),
        _ => Shown::Section,
    }
}

/// The outline of a solid on the page.
pub(crate) fn silhouette(solid: &Solid, projection: &Projection) -> Path {
    let eye = projection.kind.eye().axis();
    match solid {
        Solid::Cylinder {
            axis, base, radius, ..
        } if *axis == eye => {
            Path::circle(projection.to_page(*base), radius.as_mm() * projection.scale)
        }
        Solid::Extrusion {
            axis,
            outline,
            holes,
            ..
        } if *axis == eye => {
            let (a, b) = axis.others();
            let ring = |r: &Vec<[Length; 2]>| {
                Path::polygon(
                    r.iter()
                        .map(|p| projection.to_page(Vec3::ZERO.with(a, p[0]).with(b, p[1]))),
                )
            };
            holes
                .iter()
                .fold(ring(outline), |path, hole| path.with(&ring(hole)))
        }
        _ => Path::rect(projection.box_to_page(&solid.bounds())),
    }
}

/// Draws plates, openings, vents, passages and tie points.
pub(crate) fn draw(list: &mut DrawList, projection: &Projection, input: &SheetInput<'_>) {
    let enclosure = &*input.scene.enclosure;
    let cut = cut_depth(input, projection);
    for plate in &enclosure.plates {
        plate_in(list, enclosure, plate, projection, cut);
    }
    cutouts::draw(list, projection, enclosure, cut);
    let outline = Path::rect(projection.box_to_page(&enclosure.outline()));
    list.pen()
        .layer(Layer::Enclosure)
        .z(3)
        .stroke(outline, Line::HAIR, Role::InkSoft);
}

fn plate_in(
    list: &mut DrawList,
    enclosure: &Enclosure,
    plate: &Plate,
    projection: &Projection,
    cut: Option<Length>,
) {
    let outline = silhouette(&plate.solid, projection);
    let rect = projection.box_to_page(&plate.solid.bounds());
    match shown(enclosure, plate, projection, cut) {
        Shown::Off => {
            if plate.panel.is_some() {
                let pen = list.pen().layer(Layer::Enclosure).z(4);
                panel(pen, Path::rect(rect.grown(1.1)));
            }
        }
        state @ (Shown::Back | Shown::Ground(_)) => {
            let mut pen = match state {
                Shown::Ground(far) => list.pen().layer(Layer::Bodies).z(level(far)),
                _ => list.pen().layer(Layer::Enclosure).z(-10),
            };
            let holes = cutouts::flat(plate, projection);
            pen.fill(outline.with(&holes), Role::Fill(System::Structure))
                .stroke(
                    silhouette(&plate.solid, projection),
                    Line::THIN,
                    Role::InkSoft,
                )
                .stroke(holes, Line::THIN, Role::Opening);
        }
        Shown::Below(far) => {
            list.pen()
                .layer(Layer::Bodies)
                .z(level(far))
                .fill(outline.clone(), Role::Fill(System::Structure))
                .stroke(outline, Line::THIN, Role::Ink);
        }
        Shown::Section => {
            section(list.pen().layer(Layer::Enclosure).z(1), outline, rect);
            if let Some(off) = &plate.panel {
                // Beside the wall, on the side to which it leaves.
                let out = projection.vector(off.leaves).normalised();
                let out = out.unwrap_or(Point2::new(0.0, -1.0));
                let along = out.left();
                let half = |by: Point2| {
                    (by.x * rect.width()).abs() / 2.0 + (by.y * rect.height()).abs() / 2.0
                };
                let (a, b) = (out * (half(out) + 1.1), along * half(along));
                let m = rect.centre();
                let tick = out * 0.8;
                let line =
                    Path::polyline([m + a - b - tick, m + a - b, m + a + b, m + a + b - tick]);
                panel(list.pen().layer(Layer::Enclosure).z(4), line);
            }
        }
    }
}

/// A cut wall: filled where it is thin on paper, hatched where there is room.
fn section(mut pen: Pen<'_>, outline: Path, rect: Rect) {
    if rect.width().min(rect.height()) >= 2.2 {
        pen.fork()
            .layer(Layer::Enclosure)
            .fill(outline.clone(), Role::Paper)
            .hatch(Hatch::new(outline.clone(), 1.2), Role::Wall);
        pen.stroke(outline, Line::THICK, Role::Wall);
        return;
    }
    pen.fill(outline.clone(), Role::Wall)
        .stroke(outline, Line::THIN, Role::Wall);
}

/// What comes off: long-dashed double-dotted, for its outline.
fn panel(mut pen: Pen<'_>, path: Path) {
    let line = Line::new(Width::Thin, LineType::Phantom);
    pen.stroke(path, line, Role::Wall);
}
