//! One view of a scene as a draw list.

use super::list::{DrawList, Line, Owner, Path, Role};
use super::projection::{Projection, ViewKind};
use super::{enclosure, parts, zones};
use crate::geom::Length;
use crate::model::{PartId, PartKind, Place, Scene};
use std::collections::BTreeSet;

/// What a view shows.
#[derive(Clone, PartialEq, Debug)]
pub struct ViewOptions {
    /// Cut heights by [`ViewKind::index`]: the coordinate along the view's depth
    /// axis (z for the top view, x for the side view, y for the front view) beyond
    /// which nothing is drawn.
    pub cut: [Option<Length>; 3],
    /// Edges behind nearer parts, dashed.
    pub hidden_edges: bool,
    /// Marks of findings.
    pub findings: bool,
    /// Names on the parts.
    pub labels: bool,
    /// Mounting zones of the enclosure.
    pub zones: bool,
    /// Cables and hoses.
    pub cables: bool,
    /// Connectors as points to draw cables from.
    pub ports: bool,
    /// Keep-outs and reach spaces of the selected parts.
    pub clearances: bool,
}

impl Default for ViewOptions {
    fn default() -> ViewOptions {
        ViewOptions {
            cut: [None; 3],
            hidden_edges: true,
            findings: true,
            labels: false,
            zones: true,
            cables: true,
            ports: false,
            clearances: true,
        }
    }
}

/// Everything that a view is drawn from.
#[derive(Clone)]
pub struct SheetInput<'a> {
    /// The scene.
    pub scene: &'a Scene,
    /// Selected parts.
    pub selection: &'a BTreeSet<PartId>,
    /// What is under the pointer.
    pub hover: Option<Owner>,
    /// The part in hand, where it would be put.
    pub ghost: Option<(&'a PartKind, Place)>,
    /// What is shown.
    pub options: ViewOptions,
}

/// One view at a scale (page millimetres for a scene millimetre). The upper left
/// corner of the enclosure's outline is the origin; y runs down.
pub fn draw(view: ViewKind, scale: f64, input: &SheetInput<'_>) -> DrawList {
    let scene = input.scene;
    let projection = Projection::new(view, scale, &scene.enclosure.outline());
    let mut list = DrawList::new();
    enclosure::draw(&mut list, &projection, input);
    if input.options.zones {
        for (i, zone) in scene.enclosure.zones.iter().enumerate() {
            let owner = Some(Owner::Zone(i as u32));
            zones::draw(&mut list, &projection, zone, owner, Role::Zone);
        }
    }
    bodies(&mut list, &projection, input);
    list
}

/// The parts, farthest first.
fn bodies(list: &mut DrawList, projection: &Projection, input: &SheetInput<'_>) {
    let cut = enclosure::cut_depth(input, projection);
    let places = &input.scene.arrangement().places;
    let mut order: Vec<(Length, u32, &PartKind, &Place)> = input
        .scene
        .parts
        .iter()
        .enumerate()
        .filter_map(|(i, (id, part))| {
            let place = places.get(id).filter(|p| !p.hidden)?;
            let (far, _) = projection.kind.reach(&place.outline(&part.kind));
            Some((far, i as u32, &*part.kind, place))
        })
        .collect();
    order.sort_by_key(|(far, index, ..)| (*far, *index));
    for (_, index, kind, place) in order {
        let pen = list.pen().owner(Owner::Part(index));
        parts::draw(kind, place, projection, cut, pen);
    }
    for (i, (id, part)) in input.scene.parts.iter().enumerate() {
        let role = match () {
            () if input.selection.contains(id) => Role::Selected,
            () if input.hover == Some(Owner::Part(i as u32)) => Role::Hover,
            () => continue,
        };
        if let Some(place) = places.get(id) {
            let rect = projection.box_to_page(&place.outline(&part.kind));
            list.pen()
                .stroke(Path::rect(rect.grown(0.4)), Line::THICK, role);
        }
    }
    if let Some((kind, place)) = &input.ghost {
        let rect = projection.box_to_page(&place.outline(kind));
        list.pen()
            .stroke_and_wash(Path::rect(rect), Line::PHANTOM, Role::Ghost);
    }
}
