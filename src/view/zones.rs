//! Mounting zones: a thin dashed frame with empty rings where its holes are.

use super::list::{DrawList, Layer, Line, LineType, Owner, Path, Role, Width};
use super::projection::Projection;
use crate::geom::Length;
use crate::model::{HoleShape, Zone};

/// Height of the brackets that mark a zone seen on edge, in page millimetres.
const BRACKET: f64 = 1.6;

/// Dashed and very thin, as a zone is drawn.
pub(crate) const FRAME: Line = Line::new(Width::Hair, LineType::Dashed);

/// Draws a zone that stands in the enclosure's frame.
pub(crate) fn draw(
    list: &mut DrawList,
    projection: &Projection,
    zone: &Zone,
    owner: Option<Owner>,
    role: Role,
) {
    let mut pen = list.pen().layer(Layer::Marks).z(-10);
    if let Some(owner) = owner {
        pen = pen.owner(owner);
    }
    let face = zone.frame.block(zone.size, Length::ZERO);
    let rect = projection.box_to_page(&face);
    if zone.frame.normal.axis() == projection.kind.eye().axis() {
        pen.stroke(Path::rect(rect), FRAME, role);
        pen.stroke(holes(projection, zone), Line::HAIR, role);
        return;
    }
    // On edge: the mounting face, and a bracket at each end on the free side.
    let out = projection.vector(zone.frame.normal).normalised();
    let Some(out) = out else {
        return;
    };
    let reach = match zone.depth {
        Length::ZERO => BRACKET,
        d => BRACKET.min(d.as_mm() * projection.scale),
    };
    let (a, b) = (rect.min, rect.max);
    let mut path = Path::line(a + out * reach, a);
    path.line_to(b).line_to(b + out * reach);
    pen.stroke(path, FRAME, role);
}

/// Empty rings at the holes of a zone that is seen flat.
fn holes(projection: &Projection, zone: &Zone) -> Path {
    let mut path = Path::new();
    for hole in &zone.holes {
        let at = projection.to_page(zone.frame.point(hole.u, hole.v));
        let radius = hole.diameter.as_mm() / 2.0 * projection.scale;
        match &hole.shape {
            HoleShape::Seat { .. } => {}
            HoleShape::Slot { du, dv } => {
                let to = projection.to_page(zone.frame.point(hole.u + *du, hole.v + *dv));
                path = path.with(&Path::slot(at, to, (2.0 * radius).max(0.6)));
            }
            HoleShape::Round => path = path.with(&Path::circle(at, radius.max(0.3))),
        }
    }
    path
}
