//! Where everything of a picture stands.

use super::items::Item;
use super::{PictureOptions, Views};
use crate::geom::Box3;
use crate::view::list::{Point2, Rect};
use crate::view::projection::{Projection, ViewKind};
use crate::view::sheet::SheetInput;
use crate::view::solid3d::{MOST_PARTS, Solid3d};
use crate::view::{grid, ways};

/// Margin between the page's edge and the frame.
pub(super) const MARGIN: f64 = 8.0;
/// Room for a heading.
const HEADING: f64 = 6.5;
/// Room for a row of balloons.
pub(super) const RAIL: f64 = 13.0;
/// Room for a dimension.
const DIMENSION: f64 = 13.0;
/// Room for the scale bar, under the legend.
const BAR: f64 = 11.0;
/// Air between views, and around them.
const AIR: f64 = 4.0;
/// Height of the shop's strip.
const SHOP: f64 = 14.0;
/// Height of the title block.
pub(super) const BLOCK: f64 = 43.0;

/// Share of the drawing's width that is kept for the three-dimensional view.
const SOLID_SHARE: f64 = 0.35;
/// Narrower than this it is left out, in page millimetres.
const LEAST_SOLID: f64 = 25.0;

/// Scales that a picture is drawn at, largest first. Those of ISO 5455 (from
/// memory) and steps between them, so that the page is used well.
pub(super) const SCALES: [f64; 21] = [
    2.0,
    1.0,
    0.75,
    0.5,
    0.4,
    1.0 / 3.0,
    0.25,
    0.2,
    1.0 / 6.0,
    0.125,
    0.1,
    1.0 / 12.0,
    1.0 / 15.0,
    0.05,
    0.04,
    1.0 / 30.0,
    0.025,
    0.02,
    0.01,
    0.005,
    0.001,
];

/// One view on the page.
#[derive(Clone, Debug)]
pub(super) struct Placed {
    /// Which.
    pub projection: Projection,
    /// From the view's own frame to the page.
    pub origin: Point2,
    /// The enclosure's outline on the page.
    pub outline: Rect,
    /// All that is drawn of it on the page.
    pub content: Rect,
}

/// The three-dimensional view on the page.
pub(super) struct PlacedSolid {
    /// What it shows.
    pub view: Solid3d,
    /// Page millimetres for a scene millimetre; it follows the room.
    pub scale: f64,
    /// What it covers on the page.
    pub content: Rect,
}

/// The layout of a page.
pub(super) struct Plan {
    /// The frame about everything.
    pub frame: Rect,
    /// Room for views.
    pub drawing: Rect,
    /// Legend and findings.
    pub legend: Rect,
    /// Title block.
    pub block: Rect,
    /// Room for the shop's name and logo, over the title block.
    pub shop: Option<Rect>,
    /// The views, the top view first.
    pub views: Vec<Placed>,
    /// The three-dimensional view, where it is wanted and has room.
    pub solid: Option<PlacedSolid>,
    /// One view alone: its balloons stand over it, its dimensions under it.
    pub single: bool,
    /// The title block names the arrangement, where there are several.
    pub named: bool,
    /// Page millimetres for a scene millimetre.
    pub scale: f64,
    /// Where the scale bar stands.
    pub bar: Rect,
    /// Room that a ruler takes over the top view.
    pub ruler: f64,
}

/// Rooms on the four sides of a view beside its content.
#[derive(Clone, Copy)]
struct Rooms {
    left: f64,
    right: f64,
    over: f64,
    between: f64,
    under: f64,
}

/// The layout of a page with nothing on it yet but legend, title and shop.
pub(super) fn bare(options: &PictureOptions, page: Rect) -> Plan {
    let frame = page.grown(-MARGIN);
    let (drawing, mut legend, block) = split(frame, options, 12);
    let shop = shop_over(options, block, &mut legend);
    Plan {
        frame,
        drawing,
        bar: Rect::sized(legend.min.x, legend.max.y, legend.width(), BAR),
        legend,
        block,
        shop,
        views: Vec::new(),
        solid: None,
        single: false,
        named: false,
        scale: 1.0,
        ruler: 0.0,
    }
}

/// The shop stands over its title block, which leaves less room for the legend.
fn shop_over(options: &PictureOptions, block: Rect, legend: &mut Rect) -> Option<Rect> {
    options.shop.as_ref()?;
    if legend.max.x > block.min.x {
        legend.max.y -= SHOP;
    }
    let top = block.min.y - SHOP;
    Some(Rect::sized(block.min.x, top, block.width(), SHOP))
}

/// Lays a picture out.
pub(super) fn plan(
    input: &SheetInput<'_>,
    options: &PictureOptions,
    page: Rect,
    items: &[Item],
) -> Plan {
    let frame = page.grown(-MARGIN);
    let (drawing, mut legend, block) = split(frame, options, items.len());
    let shop = shop_over(options, block, &mut legend);
    let rail = if options.legend { RAIL } else { AIR };
    let ruler = if options.rulers {
        grid::RULER + 1.0
    } else {
        0.0
    };
    let dimension = if options.dimensions { DIMENSION } else { AIR };
    let rooms = Rooms {
        left: dimension + ruler,
        right: rail,
        over: HEADING + rail + ruler,
        between: dimension + HEADING + 2.0,
        under: rail,
    };
    let kinds: &[ViewKind] = match options.views {
        Views::Page if options.front => &[ViewKind::Top, ViewKind::Side, ViewKind::Front],
        Views::Page => &[ViewKind::Top, ViewKind::Side],
        Views::One(ViewKind::Top) => &[ViewKind::Top],
        Views::One(ViewKind::Side) => &[ViewKind::Side],
        Views::One(ViewKind::Front) => &[ViewKind::Front],
        Views::Solid => &[],
    };
    let solid = match options.views {
        Views::Page => options.solid,
        Views::One(_) => None,
        Views::Solid => Some(options.solid.unwrap_or_default()),
    };
    let beside = if solid.is_some() && !kinds.is_empty() {
        drawing.width() * SOLID_SHARE
    } else {
        0.0
    };
    let fits = |scale: f64| {
        let size = needed(input, kinds, scale, rooms, beside);
        size[0] <= drawing.width() && size[1] <= drawing.height()
    };
    let wanted = options.scale.filter(|s| s.is_finite() && *s > 0.0);
    let scale = match wanted {
        Some(scale) if fits(scale) => scale,
        _ => SCALES.into_iter().find(|s| fits(*s)).unwrap_or(0.001),
    };
    let views = place(input, kinds, scale, rooms, drawing, beside);
    let many = input.placed.len() > MOST_PARTS;
    let solid = solid.filter(|_| !many).and_then(|wanted| {
        let view = Solid3d::new(input, &wanted);
        let rooms = solid_rooms(&views, drawing, rooms);
        fitted(view, &rooms)
    });
    let bar = Rect::sized(legend.min.x, legend.max.y, legend.width(), BAR);
    Plan {
        frame,
        drawing,
        legend,
        block,
        shop,
        single: kinds.len() == 1,
        named: true,
        views,
        solid,
        scale,
        bar,
        ruler,
    }
}

/// What is left for the three-dimensional view: beside the first view and over the
/// front view, or beside all of them; everything where it stands alone.
fn solid_rooms(views: &[Placed], drawing: Rect, rooms: Rooms) -> Vec<Rect> {
    let Some(top) = views.first() else {
        return vec![drawing];
    };
    let beside = |edge: f64, lower: f64| {
        let left = (edge + rooms.right + AIR).min(drawing.max.x);
        Rect::spanning((left, drawing.min.y), (drawing.max.x, lower))
    };
    let widest = views
        .iter()
        .map(|v| v.content.max.x)
        .fold(top.content.max.x, f64::max);
    let mut found = vec![beside(widest, drawing.max.y)];
    if let Some(front) = views.get(2) {
        found.push(beside(top.content.max.x, front.content.min.y - HEADING));
    }
    found
}

/// The view in the middle of the room in which it is largest, with rails for balloons
/// about it; `None` where that leaves nothing.
fn fitted(view: Solid3d, rooms: &[Rect]) -> Option<PlacedSolid> {
    let (width, height) = view.size();
    let inner = rooms.iter().map(|room| Rect {
        min: room.min + Point2::new(RAIL, RAIL + HEADING),
        max: room.max - Point2::new(RAIL, RAIL),
    });
    let scaled = inner
        .filter(|r| r.width() >= LEAST_SOLID)
        .map(|r| ((r.width() / width).min(r.height() / height), r));
    let (scale, inner) = scaled
        .filter(|(scale, _)| scale.is_finite() && *scale > 0.0)
        .max_by(|a, b| a.0.total_cmp(&b.0))?;
    let half = Point2::new(width * scale / 2.0, height * scale / 2.0);
    let content = Rect::spanning(inner.centre() - half, inner.centre() + half);
    Some(PlacedSolid {
        view,
        scale,
        content,
    })
}

/// Splits the frame: views at the left or above, legend and title block beside or
/// below them.
fn split(frame: Rect, options: &PictureOptions, lines: usize) -> (Rect, Rect, Rect) {
    let wide = frame.width() >= frame.height() * 1.1;
    if wide {
        let column = (frame.width() * 0.3).clamp(74.0, 96.0);
        let at = frame.max.x - column;
        let drawing = Rect::spanning(frame.min, (at, frame.max.y));
        let block = Rect::spanning((at, frame.max.y - BLOCK), frame.max);
        let legend = Rect::spanning((at, frame.min.y), (frame.max.x, block.min.y - BAR));
        return (drawing, legend, block);
    }
    let column = (frame.width() * 0.45).clamp(74.0, 96.0);
    let wanted = if options.legend {
        17.0 + BAR + super::legend::ROW * (lines + 2) as f64
    } else {
        0.0
    };
    let height = wanted.clamp(BLOCK, (frame.height() * 0.4).max(BLOCK));
    let top = frame.max.y - height;
    let at = frame.max.x - column;
    let drawing = Rect::spanning(frame.min, (frame.max.x, top));
    let block = Rect::spanning((at, frame.max.y - BLOCK), frame.max);
    let legend = Rect::spanning((frame.min.x, top), (at, frame.max.y - BAR));
    (drawing, legend, block)
}

/// What a view draws, relative to its own origin: the enclosure, the parts and the
/// cables, wherever they stand.
pub(super) fn content(input: &SheetInput<'_>, projection: &Projection) -> Rect {
    let outline = input.scene.enclosure.outline();
    let mut rect = projection.box_to_page(&outline).grown(1.6);
    let parts = input.placed.parts().filter(|p| !p.place.hidden);
    let boxes: Vec<Box3> = parts.map(|p| p.outline).collect();
    for b in &boxes {
        rect = rect.union(projection.box_to_page(b).grown(0.4));
    }
    if input.options.cables {
        for run in input.runs.values() {
            for p in run.stretches.iter().flat_map(ways::line_of) {
                let at = projection.mm_to_page(p);
                if at.is_drawable() {
                    rect = rect.union(Rect::spanning(at, at).grown(2.0));
                }
            }
        }
    }
    rect
}

struct Extents {
    /// Shared by top and side view.
    left: f64,
    right: f64,
    rects: Vec<Rect>,
}

fn extents(input: &SheetInput<'_>, kinds: &[ViewKind], scale: f64) -> Extents {
    let outline = input.scene.enclosure.outline();
    let rects: Vec<Rect> = kinds
        .iter()
        .map(|k| content(input, &Projection::new(*k, scale, &outline)))
        .collect();
    let column = || rects.iter().take(2);
    Extents {
        left: column().map(|r| r.min.x).fold(0.0, f64::min),
        right: column().map(|r| r.max.x).fold(0.0, f64::max),
        rects,
    }
}

fn needed(
    input: &SheetInput<'_>,
    kinds: &[ViewKind],
    scale: f64,
    rooms: Rooms,
    beside: f64,
) -> [f64; 2] {
    let e = extents(input, kinds, scale);
    let lower = e
        .rects
        .iter()
        .skip(1)
        .map(|r| r.height())
        .fold(0.0, f64::max);
    let mut width = rooms.left + (e.right - e.left) + rooms.right;
    let front = e
        .rects
        .get(2)
        .map_or(0.0, |front| AIR + front.width() + rooms.right);
    width += front.max(beside);
    let first = e.rects.first().map_or(0.0, |r| r.height());
    let height = rooms.over + first + rooms.between + lower + rooms.under;
    [width + AIR, height]
}

fn place(
    input: &SheetInput<'_>,
    kinds: &[ViewKind],
    scale: f64,
    rooms: Rooms,
    drawing: Rect,
    beside: f64,
) -> Vec<Placed> {
    let outline = input.scene.enclosure.outline();
    let e = extents(input, kinds, scale);
    let size = needed(input, kinds, scale, rooms, beside);
    let spare = Point2::new(
        ((drawing.width() - size[0]) / 2.0).max(0.0),
        ((drawing.height() - size[1]) / 2.0).max(0.0),
    );
    // Room that is left over goes to the three-dimensional view.
    let aside = if beside > 0.0 { 0.0 } else { spare.x };
    let x = drawing.min.x + aside + rooms.left - e.left;
    let Some(first) = e.rects.first() else {
        return Vec::new();
    };
    let top_y = drawing.min.y + spare.y * 0.7 + rooms.over - first.min.y;
    // Lower views stand on one line: they share the height axis.
    let over = e.rects[1..].iter().map(|r| r.min.y).fold(0.0, f64::min);
    let side_y = top_y + first.max.y + rooms.between - over;
    let mut views = Vec::new();
    for (i, kind) in kinds.iter().enumerate() {
        let projection = Projection::new(*kind, scale, &outline);
        let origin = match i {
            0 => Point2::new(x, top_y),
            1 => Point2::new(x, side_y),
            _ => {
                let left = x + e.right + rooms.right + AIR;
                Point2::new(left - e.rects[2].min.x, side_y)
            }
        };
        let shift = |r: Rect| Rect {
            min: r.min + origin,
            max: r.max + origin,
        };
        views.push(Placed {
            projection,
            origin,
            outline: shift(projection.box_to_page(&outline)),
            content: shift(e.rects[i]),
        });
    }
    views
}
