//! Mounting zones: a thin dashed frame with empty rings where its holes are.

use super::list::{DrawList, Layer, Line, LineType, Owner, Path, Rect, Role, Width};
use super::projection::Projection;
use super::sheet::SheetInput;
use crate::geom::Length;
use crate::model::{HoleShape, Zone};

/// Height of the brackets that mark a zone seen on edge, in page millimetres.
const BRACKET: f64 = 1.6;

/// Dashed and very thin, as a zone is drawn.
pub(crate) const FRAME: Line = Line::new(Width::Hair, LineType::Dashed);

/// Draws the zones of the enclosure that nothing is mounted in.
pub(crate) fn empty(list: &mut DrawList, projection: &Projection, input: &SheetInput<'_>) {
    let mut used: Vec<&str> = Vec::new();
    for part in input.placed.parts() {
        let holds = input.placed.holds(&part.id).iter();
        let own = holds.filter(|h| h.zone.part.is_none() && h.suffices());
        used.extend(own.map(|h| h.zone.zone.as_str()));
    }
    for (i, zone) in input.scene.enclosure.zones.iter().enumerate() {
        if !used.contains(&zone.id.as_str()) {
            let owner = Some(Owner::Zone(i as u32));
            draw(list, projection, zone, owner, Role::Zone);
        }
    }
}

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

/// What a zone covers on the page: its face, or its free space seen from the side.
pub(crate) fn outline(projection: &Projection, zone: &Zone) -> Rect {
    projection.box_to_page(&zone.space())
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
