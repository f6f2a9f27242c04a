//! The views of a picture with headings, outer dimensions and rulers.

use super::layout::{Placed, PlacedSolid, Plan};
use super::{PictureOptions, Views};
use crate::view::labels::{Labels, shortened};
use crate::view::list::{
    Affine, Dimension, DrawList, HAlign, Layer, Point2, Rect, Role, Text, TextSize, VAlign,
};
use crate::view::projection::ViewKind;
use crate::view::sheet::{SheetInput, draw_with};
use crate::view::solid3d::MOST_PARTS;
use crate::view::{RULER, RulerEdge, ruler};

/// Draws the views of a plan.
pub(super) fn draw(
    list: &mut DrawList,
    input: &SheetInput<'_>,
    options: &PictureOptions,
    plan: &Plan,
) {
    for view in &plan.views {
        let back = Point2::default() - view.origin;
        let room = Rect {
            min: view.content.min + back,
            max: view.content.max + back,
        };
        let mut labels = Labels::new(Some(room));
        let drawn = draw_with(view.projection.kind, plan.scale, input, &mut labels);
        list.append(drawn.mapped(Affine::shift(view.origin.x, view.origin.y)));
        heading(list, options, plan, view);
        if options.rulers {
            rulers(list, view);
        }
    }
    if let Some(solid) = &plan.solid {
        let at = solid.content.min;
        let drawn = solid.view.draw(solid.scale);
        list.append(drawn.mapped(Affine::shift(at.x, at.y)));
        solid_heading(list, options, solid);
    } else if input.placed.len() > MOST_PARTS && wants_solid(options) {
        let words = format!(
            "No three-dimensional view of more than {} parts.",
            MOST_PARTS
        );
        let at = plan.drawing.min + Point2::new(2.0, 6.0);
        let text = Text::new(at, words).size(TextSize::Small).halo();
        list.pen().layer(Layer::Notes).text(text, Role::TextSoft);
    }
    if options.dimensions {
        dimensions(list, input, options, plan);
    }
}

fn wants_solid(options: &PictureOptions) -> bool {
    match options.views {
        Views::Page => options.solid.is_some(),
        Views::One(_) => false,
        Views::Solid => true,
    }
}

/// The name of a view, over its balloons.
fn heading(list: &mut DrawList, options: &PictureOptions, plan: &Plan, view: &Placed) {
    let over = match view.projection.kind {
        _ if plan.rail_over(view) => {
            let rail = if options.legend {
                super::layout::RAIL
            } else {
                2.0
            };
            rail + if options.rulers { RULER + 1.0 } else { 0.0 }
        }
        _ => 2.0,
    };
    let at = Point2::new(view.outline.min.x, view.content.min.y - over);
    let text = Text::new(at, view.projection.kind.name())
        .size(TextSize::Small)
        .anchored(HAlign::Left, VAlign::Baseline);
    list.pen().layer(Layer::Notes).text(text, Role::TextSoft);
}

/// From where the three-dimensional view is taken, over its balloons.
fn solid_heading(list: &mut DrawList, options: &PictureOptions, solid: &PlacedSolid) {
    let wanted = options.solid.unwrap_or_default();
    let rail = if options.legend {
        super::layout::RAIL
    } else {
        2.0
    };
    let mut name = format!("view {}", wanted.corner.name());
    if wanted.explode > 0.0 {
        name.push_str(", taken apart");
    }
    name.push_str(", not to scale");
    let room = solid.content.width() + super::layout::RAIL;
    let at = Point2::new(solid.content.centre().x, solid.content.min.y - rail);
    let text = Text::new(at, name)
        .size(TextSize::Small)
        .anchored(HAlign::Middle, VAlign::Baseline);
    let short = shortened(&text, room.max(40.0));
    list.pen().layer(Layer::Notes).text(
        Text {
            text: short,
            ..text
        },
        Role::TextSoft,
    );
}

fn rulers(list: &mut DrawList, view: &Placed) {
    let back = Point2::default() - view.origin;
    let own = Rect {
        min: view.outline.min + back,
        max: view.outline.max + back,
    };
    let left = view.content.min.x + back.x - RULER - 0.5;
    let over = view.content.min.y + back.y - RULER - 0.5;
    let upright = Rect::spanning((left, own.min.y), (left + RULER, own.max.y));
    let mut drawn = ruler(&view.projection, upright, RulerEdge::Left);
    if view.projection.kind == ViewKind::Top {
        let level = Rect::spanning((own.min.x, over), (own.max.x, over + RULER));
        drawn.append(ruler(&view.projection, level, RulerEdge::Upper));
    }
    list.append(drawn.mapped(Affine::shift(view.origin.x, view.origin.y)));
}

/// Outer dimensions: width at the top view, depth under it, height at the side view.
fn dimensions(list: &mut DrawList, input: &SheetInput<'_>, options: &PictureOptions, plan: &Plan) {
    let size = input.scene.enclosure.size;
    let ruler = if options.rulers { RULER + 1.0 } else { 0.0 };
    let mut pen = list.pen().layer(Layer::Notes);
    for view in &plan.views {
        let r = view.outline;
        let beside = r.min.x - view.content.min.x + 7.0 + ruler;
        let low = Point2::new(r.min.x, r.max.y);
        match view.projection.kind {
            ViewKind::Top => {
                let width = Dimension::new(low, r.min, size.x.to_string()).offset(beside);
                let under = view.content.max.y - r.max.y + 7.0;
                let depth = Dimension::new(low, r.max, size.y.to_string()).offset(-under);
                pen.dimension(&width).dimension(&depth);
            }
            ViewKind::Side | ViewKind::Front if plan.single => {
                let across = match view.projection.kind {
                    ViewKind::Front => size.x,
                    _ => size.y,
                };
                let height = Dimension::new(low, r.min, size.z.to_string()).offset(beside);
                let under = view.content.max.y - r.max.y + 7.0;
                let across = Dimension::new(low, r.max, across.to_string()).offset(-under);
                pen.dimension(&height).dimension(&across);
            }
            ViewKind::Side => {
                let height = Dimension::new(low, r.min, size.z.to_string()).offset(beside);
                pen.dimension(&height);
            }
            ViewKind::Front => {}
        }
    }
}
