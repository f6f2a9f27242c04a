//! Marks of measuring: a gap with its direction, and how far a held part could go
//! on each side.

use super::list::{Dimension, DrawList, Layer, Line, Path, Pen, Point2, Role, TextSize};
use super::projection::{Projection, ViewKind};
use super::sheet::SheetInput;
use crate::geom::{Box3, Length, Vec3};

/// Ends nearer than this on the page are one point: the gap runs along the eye.
const POINT: f64 = 0.4;

/// Something that was measured.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Measured {
    from: Vec3,
    to: Vec3,
    figure: String,
    region: Option<Box3>,
    only: Option<ViewKind>,
}

impl Measured {
    /// The smallest gap between two things.
    pub fn gap(from: Vec3, to: Vec3, distance: Length) -> Measured {
        Measured::line(from, to, distance, None)
    }

    /// From point to point; `only` in one view where the depth means nothing.
    pub fn line(from: Vec3, to: Vec3, length: Length, only: Option<ViewKind>) -> Measured {
        Measured {
            from,
            to,
            figure: length.text2(),
            region: None,
            only,
        }
    }

    /// Two things that overlap, and the shortest way apart: a move of the second, drawn
    /// through the middle of where they meet.
    pub fn overlap(region: Box3, away: Vec3, depth: Length) -> Measured {
        let from = region.centre() - away.half();
        Measured {
            from,
            to: from + away,
            figure: format!("-{}", depth.text2()),
            region: Some(region),
            only: None,
        }
    }

    /// The figure as it is shown, in millimetres; with a minus for an overlap.
    pub fn figure(&self) -> &str {
        &self.figure
    }
}

/// Draws what was measured and the read-out of the held part.
pub(crate) fn draw(list: &mut DrawList, projection: &Projection, input: &SheetInput<'_>) {
    for side in input.sides.iter().flatten() {
        let (from, to) = (projection.to_page(side.from), projection.to_page(side.to));
        // The two sides along the eye show in the other views.
        if side.dir.axis() == projection.kind.eye().axis() {
            continue;
        }
        let mut pen = list.pen().layer(Layer::Notes).z(40);
        figure(&mut pen, from, to, &side.distance.text1(), Role::Dimension);
    }
    let Some(m) = input.measured else { return };
    if m.only.is_some_and(|v| v != projection.kind) {
        return;
    }
    let mut pen = list.pen().layer(Layer::Notes).z(50);
    if let Some(region) = &m.region {
        let rect = projection.box_to_page(region);
        pen.stroke(Path::rect(rect), Line::PHANTOM, Role::Clash);
    }
    let role = match m.region {
        Some(_) => Role::Clash,
        None => Role::Selected,
    };
    let (from, to) = (projection.to_page(m.from), projection.to_page(m.to));
    figure(&mut pen, from, to, &m.figure, role);
}

fn figure(pen: &mut Pen<'_>, from: Point2, to: Point2, figure: &str, role: Role) {
    if (to - from).length() < POINT {
        pen.stroke(Path::circle(from, 1.2), Line::THICK, role);
        let text = super::list::Text::new(from + Point2::new(2.0, -1.6), figure)
            .size(TextSize::Small)
            .halo();
        pen.text(text, role);
        return;
    }
    Dimension::new(from, to, figure)
        .offset(0.0)
        .role(role)
        .draw(pen);
}
