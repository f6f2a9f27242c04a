//! One view of a scene as a draw list.

use super::labels::Labels;
use super::list::{DrawList, Owner};
use super::measure::{self, Measured};
use super::projection::{Projection, ViewKind};
use super::{bodies, cables, enclosure, marks, offers, plugs, sweeps, together, zones};
use crate::geom::Length;
use crate::model::{CableId, Catalogue, PartId, PartKind, Place, Scene};
use crate::placement::{Offer, Placed, Side};
use crate::route::CableRun;
use crate::rules::Finding;
use std::collections::{BTreeMap, BTreeSet};

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
    /// Keep-outs and reach spaces of the selected parts, and the ways that they take when
    /// they are pulled out or swing with a panel.
    pub clearances: bool,
    /// The ways of what is pulled out or swings in every finding that is shown; else only in
    /// the one in hand.
    pub judged_ways: bool,
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
            judged_ways: false,
        }
    }
}

/// Everything that a view is drawn from.
#[derive(Clone)]
pub struct SheetInput<'a> {
    /// The scene.
    pub scene: &'a Scene,
    /// Where everything stands.
    pub placed: &'a Placed,
    /// Findings to mark.
    pub findings: &'a [&'a Finding],
    /// The ways of the cables.
    pub runs: &'a BTreeMap<CableId, CableRun>,
    /// Sizes of plugs; without it none are drawn.
    pub catalogue: Option<&'a Catalogue>,
    /// Selected parts.
    pub selection: &'a BTreeSet<PartId>,
    /// What is under the pointer.
    pub hover: Option<Owner>,
    /// The cable or the finding in hand.
    pub chosen: Option<Owner>,
    /// What zones say to the part in hand; empty while none is.
    pub offers: &'a [Offer],
    /// The part in hand, where it would be put.
    pub ghost: Option<(&'a PartKind, Place)>,
    /// How far the part in hand could go on its six sides.
    pub sides: &'a [Option<Side>],
    /// The hinged panel whose way is asked for, by the index of its plate.
    pub panel: Option<usize>,
    /// What was measured.
    pub measured: Option<&'a Measured>,
    /// What is shown.
    pub options: ViewOptions,
}

impl<'a> SheetInput<'a> {
    /// A selection of nothing.
    pub fn nothing() -> &'static BTreeSet<PartId> {
        static NONE: BTreeSet<PartId> = BTreeSet::new();
        &NONE
    }

    /// Everything of a scene, nothing selected, nothing in hand, no findings.
    pub fn of(
        scene: &'a Scene,
        placed: &'a Placed,
        runs: &'a BTreeMap<CableId, CableRun>,
    ) -> SheetInput<'a> {
        SheetInput {
            scene,
            placed,
            findings: &[],
            runs,
            catalogue: None,
            selection: SheetInput::nothing(),
            hover: None,
            chosen: None,
            offers: &[],
            ghost: None,
            sides: &[],
            panel: None,
            measured: None,
            options: ViewOptions::default(),
        }
    }
}

/// One view at a scale (page millimetres for a scene millimetre). The upper left
/// corner of the enclosure's outline is the origin; y runs down.
///
/// Owners count as follows: parts by [`PlacedPart::index`](crate::placement::PlacedPart),
/// cables in the order of `runs`, zones and findings in the order of their lists.
pub fn draw(view: ViewKind, scale: f64, input: &SheetInput<'_>) -> DrawList {
    let mut labels = Labels::new(None);
    draw_with(view, scale, input, &mut labels)
}

/// What is under the pointer ([`SheetInput::hover`]), to be drawn over the view: the
/// outline of a part, the whole way of a cable with its lengths, covered or not. A mark
/// of its own, so that the view need not be drawn anew when the pointer moves on.
pub fn pointed(view: ViewKind, scale: f64, input: &SheetInput<'_>) -> DrawList {
    let projection = Projection::new(view, scale, &input.scene.enclosure.outline());
    let mut list = DrawList::new();
    match input.hover {
        Some(Owner::Part(_)) => bodies::pointed(&mut list, &projection, input),
        Some(Owner::Cable(index)) => cables::pointed(&mut list, &projection, input, index),
        _ => {}
    }
    list
}

/// The same with lettering that keeps clear of what is taken already.
pub(crate) fn draw_with(
    view: ViewKind,
    scale: f64,
    input: &SheetInput<'_>,
    labels: &mut Labels,
) -> DrawList {
    let projection = Projection::new(view, scale, &input.scene.enclosure.outline());
    let mut list = DrawList::new();
    enclosure::draw(&mut list, &projection, input);
    let covers = bodies::draw(&mut list, &projection, input);
    if input.options.zones && input.offers.is_empty() {
        zones::empty(&mut list, &projection, input);
    }
    if input.options.zones && input.options.cables {
        together::rooms(&mut list, &projection, input, labels);
    }
    if input.options.ports {
        plugs::ports(&mut list, &projection, input);
    }
    bodies::highlight(&mut list, &projection, input);
    sweeps::draw(&mut list, &projection, input, labels);
    offers::draw(&mut list, &projection, input, labels);
    if input.options.findings {
        marks::draw(&mut list, &projection, input, labels);
    }
    if input.options.cables {
        cables::draw(&mut list, &projection, input, &covers, labels);
        together::draw(&mut list, &projection, input, labels);
    }
    if input.options.labels {
        bodies::names(&mut list, &projection, input, labels);
    }
    measure::draw(&mut list, &projection, input);
    list
}
