//! Plugs at the ends of cables, and ports to draw cables from.

use super::cables::system;
use super::covers::Covers;
use super::enclosure;
use super::list::{DrawList, Layer, Line, LineType, Owner, Path, Point2, Role, Width};
use super::projection::{Projection, ViewKind};
use super::sheet::SheetInput;
use crate::geom::{Axis, Box3, Length, Vec3};
use crate::model::{Cable, PortRef};
use crate::placement::{PlacedPart, PlacedPort};

/// Draws the plugs of a cable as small blocks.
pub(crate) fn draw(
    list: &mut DrawList,
    projection: &Projection,
    input: &SheetInput<'_>,
    covers: &Covers,
    cable: &Cable,
    owner: Owner,
) {
    let cut = enclosure::cut_depth(input, projection);
    let of = system(cable.system);
    for (i, port) in cable.ports().enumerate() {
        let (Some(part), Some(at)) = (input.placed.part(&port.part), input.placed.port(port))
        else {
            continue;
        };
        let port = &part.kind.ports[at.index];
        // A captive lead comes out of its part without a plug.
        if part.place.hidden || (i == 0 && port.lead.is_some()) {
            continue;
        }
        let size = input
            .catalogue
            .and_then(|c| c.connectors.get(&port.connector))
            .map(|c| c.plug);
        let Some(size) = size else {
            continue;
        };
        let block = block(part, &at, size);
        let (far, near) = projection.kind.reach(&block);
        let rect = projection.box_to_page(&block);
        if rect.width().max(rect.height()) < 0.8 || cut.is_some_and(|c| far >= c) {
            continue;
        }
        let path = Path::rounded_rect(rect, 0.3);
        let mut pen = list.pen().owner(owner).layer(Layer::Cables).z(i32::MAX);
        let middle = block.centre();
        let plane = [projection.kind.right(), projection.kind.up()];
        let plane = plane.map(|d| middle.toward(d).as_um() as f64);
        if covers.hides(plane, near.as_um() as f64) {
            let dashed = Line::new(Width::Hair, LineType::Dashed);
            pen.stroke(path, dashed, Role::Cable(of));
            continue;
        }
        pen.fill(path.clone(), Role::Fill(of))
            .stroke(path, Line::THIN, Role::Cable(of));
    }
}

/// The box of a plug in its port: across, along and out of the socket. It lies the
/// longer way of the socket that is drawn there.
fn block(part: &PlacedPart, at: &PlacedPort, [across, along, out]: [Length; 3]) -> Box3 {
    let (a, b) = at.leaves.axis().others();
    let (long, wide) = match longer(part, at) {
        Some(axis) if axis == b => (b, a),
        _ => (a, b),
    };
    let half = Vec3::ZERO
        .with(long, along.half())
        .with(wide, across.half());
    Box3::new(at.at - half, at.at + half + at.leaves.times(out))
}

/// The axis across the port along which its socket is longer.
fn longer(part: &PlacedPart, at: &PlacedPort) -> Option<Axis> {
    let own = part.kind.ports[at.index].at;
    let near = |b: &Box3| b.grown(Length::mm(1)).contains_point(own);
    let boxes = part.kind.features.iter().map(|f| f.solid.bounds());
    let socket = boxes
        .filter(near)
        .min_by_key(|b| b.size().x + b.size().y + b.size().z)?;
    let size = socket.turned(part.place.turn).size();
    let (a, b) = at.leaves.axis().others();
    Some(if size.along(b) > size.along(a) { b } else { a })
}

/// Rings at the ports of all parts, solid where something is plugged in.
pub(crate) fn ports(list: &mut DrawList, projection: &Projection, input: &SheetInput<'_>) {
    for part in input.placed.parts().filter(|p| !p.place.hidden) {
        let mut free = Path::new();
        let mut used = Path::new();
        for port in &part.ports {
            let at = projection.to_page(port.at);
            let name = PortRef {
                part: part.id.clone(),
                port: part.kind.ports[port.index].id.clone(),
            };
            let taken = !input.placed.plugged(&name).is_empty();
            let path = if taken { &mut used } else { &mut free };
            *path = std::mem::take(path).with(&Path::circle(at, 0.9));
        }
        let mut pen = list.pen().layer(Layer::Marks).z(10);
        if !free.segments().is_empty() {
            pen.fork()
                .layer(Layer::Marks)
                .fill(free.clone(), Role::Paper);
            pen.stroke(free, Line::THIN, Role::Selected);
        }
        if !used.segments().is_empty() {
            pen.fill(used, Role::Selected);
        }
    }
}

/// The port nearest to a point of a view, within `reach` page millimetres; of
/// several at one place the one nearest to the eye.
pub fn port_at(
    view: ViewKind,
    scale: f64,
    input: &SheetInput<'_>,
    at: Point2,
    reach: f64,
) -> Option<PortRef> {
    let projection = Projection::new(view, scale, &input.scene.enclosure.outline());
    let mut best: Option<(i64, Length, PortRef)> = None;
    for part in input.placed.parts().filter(|p| !p.place.hidden) {
        for port in &part.ports {
            let away = (projection.to_page(port.at) - at).length();
            if away > reach {
                continue;
            }
            // Distances that cannot be told apart by eye count as one.
            let rank = ((away * 2.0).round() as i64, -view.depth(port.at));
            if best.as_ref().is_none_or(|b| rank < (b.0, b.1)) {
                let id = part.kind.ports[port.index].id.clone();
                let port = PortRef {
                    part: part.id.clone(),
                    port: id,
                };
                best = Some((rank.0, rank.1, port));
            }
        }
    }
    best.map(|b| b.2)
}
