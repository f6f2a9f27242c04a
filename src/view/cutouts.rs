//! Openings in plates, vents, passages and tie points.

use super::enclosure::{Shown, is_flat, level, shown};
use super::list::{DrawList, Layer, Line, LineType, Path, Point2, Rect, Role, Width};
use super::parts::pattern;
use super::projection::Projection;
use crate::geom::{Box3, Length};
use crate::model::{Cutout, Enclosure, Frame, Passage, Plate, Vent};

/// Thickness drawn for something in a wall where no plate is found, in millimetres.
const SHEET: Length = Length::mm(1);

/// Outlines of the openings of a plate that is seen flat.
pub(crate) fn flat(plate: &Plate, projection: &Projection) -> Path {
    let axis = projection.kind.eye().axis();
    plate
        .open()
        .fold(Path::new(), |path, (_, cutout)| match cutout {
            Cutout::Rect(b) => path.with(&Path::rect(projection.box_to_page(b))),
            Cutout::Round { centre, diameter } if is_flat(&plate.solid.bounds(), axis) => {
                let radius = diameter.as_mm() / 2.0 * projection.scale;
                path.with(&Path::circle(projection.to_page(*centre), radius))
            }
            Cutout::Round { .. } => path,
        })
}

/// The box of an opening through its plate; `None` where it misses the plate.
fn through(plate: &Plate, cutout: &Cutout) -> Option<Box3> {
    let bounds = plate.solid.bounds();
    match cutout {
        Cutout::Rect(b) => bounds.intersection(b),
        Cutout::Round { centre, diameter } => {
            let half = diameter.half();
            let b = Box3::new(*centre, *centre).grown(half);
            bounds.intersection(&b)
        }
    }
}

/// Draws openings in walls on edge, vents, passages and tie points.
pub(crate) fn draw(
    list: &mut DrawList,
    projection: &Projection,
    enclosure: &Enclosure,
    cut: Option<Length>,
) {
    for plate in &enclosure.plates {
        if shown(enclosure, plate, projection, cut) != Shown::Section {
            continue;
        }
        for opening in plate.open().filter_map(|(_, c)| through(plate, c)) {
            let (far, near) = projection.kind.reach(&opening);
            if cut.is_none_or(|d| far < d && d <= near) {
                gap(list, projection.box_to_page(&opening), Role::Opening, false);
            }
        }
    }
    for vent in &enclosure.vents {
        vent_in(list, projection, enclosure, vent, cut);
    }
    for passage in &enclosure.passages {
        passage_in(list, projection, passage, cut);
    }
    for tie in &enclosure.ties {
        if cut.is_none_or(|d| projection.kind.depth(tie.at) < d) {
            loop_at(list, projection.to_page(tie.at));
        }
    }
}

/// A break in a wall on edge: paper, its two ends, and the far edges beyond; a
/// comb of strokes where air goes through.
fn gap(list: &mut DrawList, rect: Rect, role: Role, comb: bool) {
    let upright = rect.height() >= rect.width();
    if rect.width().max(rect.height()) < 0.8 {
        return;
    }
    let wide = 0.25;
    let cover = if upright {
        Rect::spanning(
            rect.min - Point2::new(wide, 0.0),
            rect.max + Point2::new(wide, 0.0),
        )
    } else {
        Rect::spanning(
            rect.min - Point2::new(0.0, wide),
            rect.max + Point2::new(0.0, wide),
        )
    };
    let mut pen = list.pen().layer(Layer::Enclosure).z(2);
    pen.fill(Path::rect(cover), Role::Paper)
        .stroke(Path::rect(rect), Line::HAIR, role);
    let c = cover.grown(0.35).corners();
    let ends = if upright {
        let at = |y: f64| Path::line((c[0].x, y), (c[1].x, y));
        at(rect.min.y).with(&at(rect.max.y))
    } else {
        let at = |x: f64| Path::line((x, c[0].y), (x, c[2].y));
        at(rect.min.x).with(&at(rect.max.x))
    };
    pen.stroke(ends, Line::THIN, role);
    if comb {
        pen.stroke(pattern::fins(cover, 1.4, !upright), Line::THIN, role);
    }
}

/// The extent of a frame through the plate that it lies in.
fn in_wall(enclosure: &Enclosure, frame: &Frame, size: [Length; 2]) -> Box3 {
    let face = frame.block(size, Length::ZERO);
    let plate = enclosure
        .plates
        .iter()
        .map(|p| p.solid.bounds())
        .filter(|b| is_flat(b, frame.normal.axis()))
        .find(|b| b.contains_point(face.centre()));
    match plate {
        Some(b) => {
            face.union(&face.moved(
                frame.normal.times(
                    b.face(frame.normal).toward_of(frame) - frame.origin.toward(frame.normal),
                ),
            ))
        }
        None => face.union(&face.moved(frame.normal.opposite().times(SHEET))),
    }
}

/// Signed coordinate of a face along a frame's normal.
trait Toward {
    fn toward_of(self, frame: &Frame) -> Length;
}

impl Toward for Length {
    fn toward_of(self, frame: &Frame) -> Length {
        self * frame.normal.sign()
    }
}

fn vent_in(
    list: &mut DrawList,
    projection: &Projection,
    enclosure: &Enclosure,
    vent: &Vent,
    cut: Option<Length>,
) {
    let block = in_wall(enclosure, &vent.frame, vent.size);
    let rect = projection.box_to_page(&block);
    let (far, near) = projection.kind.reach(&block);
    if vent.frame.normal.axis() != projection.kind.eye().axis() {
        if cut.is_none_or(|d| far < d) {
            gap(list, rect, Role::Vent, true);
        }
        return;
    }
    let before = match cut {
        Some(d) => far >= d,
        None => vent.frame.normal == projection.kind.eye(),
    };
    if before {
        let line = Line::new(Width::Hair, LineType::Phantom);
        list.pen()
            .layer(Layer::Enclosure)
            .z(4)
            .stroke(Path::rect(rect), line, Role::Vent);
        return;
    }
    let (back, _) = projection.kind.reach(&enclosure.outline());
    let mut pen = if far <= back + Length::mm(15) {
        list.pen().layer(Layer::Enclosure).z(-5)
    } else {
        list.pen().layer(Layer::Bodies).z(level(near.as_um()))
    };
    let mut holes = pattern::honeycomb(rect, 6.0 * projection.scale);
    if vent.filter {
        holes = holes.with(&Path::rect(rect.grown(-0.6)));
    }
    pen.stroke(Path::rect(rect).with(&holes), Line::HAIR, Role::Vent);
}

/// A passage: a rounded slot seen flat, a bush through the wall on edge.
fn passage_in(
    list: &mut DrawList,
    projection: &Projection,
    passage: &Passage,
    cut: Option<Length>,
) {
    let frame = &passage.frame;
    let half = |l: Length| l.half();
    let low = frame.point(-half(passage.clear[0]), -half(passage.clear[1]));
    let high = frame.point(half(passage.clear[0]), half(passage.clear[1]));
    let face = Box3::new(low, high);
    let (far, _) = projection.kind.reach(&face);
    if cut.is_some_and(|d| far >= d) {
        return;
    }
    let flat = frame.normal.axis() == projection.kind.eye().axis();
    let block = if flat {
        face
    } else {
        face.union(&face.moved(frame.normal.times(Length::mm(3))))
            .union(&face.moved(frame.normal.times(Length::mm(-3))))
    };
    let rect = projection.box_to_page(&block);
    let short = rect.width().min(rect.height());
    if rect.width().max(rect.height()) < 1.0 {
        return;
    }
    let mut pen = list.pen().layer(Layer::Enclosure).z(5);
    if !flat {
        let path = Path::rounded_rect(rect, short * 0.3);
        pen.fill(path.clone(), Role::Paper)
            .stroke(path, Line::THIN, Role::Passage);
        return;
    }
    pen.stroke(
        Path::rounded_rect(rect, short / 2.0),
        Line::THIN,
        Role::Passage,
    );
    if short >= 2.5 {
        let inner = rect.grown(-short * 0.16);
        let radius = inner.width().min(inner.height()) / 2.0;
        pen.stroke(Path::rounded_rect(inner, radius), Line::HAIR, Role::Passage);
    }
}

/// A tie point: a small loop with its foot.
fn loop_at(list: &mut DrawList, at: Point2) {
    let foot = Path::line((at.x - 0.9, at.y + 1.15), (at.x + 0.9, at.y + 1.15));
    list.pen().layer(Layer::Enclosure).z(5).stroke(
        Path::circle(at, 0.8).with(&foot),
        Line::THIN,
        Role::Tie,
    );
}
