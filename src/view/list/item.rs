//! The list, its items and their marks.

use super::{Affine, Hatch, Image, Layer, Line, Path, Pen, Rect, Role, Text, Width};
use std::fmt;

/// What a mark belongs to, for finding the thing under the pointer.
///
/// The numbers are opaque here; the caller gives them meaning.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Owner {
    /// A placed part.
    Part(u32),
    /// A cable or hose.
    Cable(u32),
    /// A mounting zone.
    Zone(u32),
    /// A finding.
    Finding(u32),
    /// Anything else that can be pointed at.
    Other(u32),
}

/// Lower-case with a dash: `part-3`.
impl fmt::Display for Owner {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Part(id) => write!(f, "part-{id}"),
            Self::Cable(id) => write!(f, "cable-{id}"),
            Self::Zone(id) => write!(f, "zone-{id}"),
            Self::Finding(id) => write!(f, "finding-{id}"),
            Self::Other(id) => write!(f, "other-{id}"),
        }
    }
}

/// How the inside of a path is painted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Fill {
    /// Not at all; the inside cannot be hit either.
    #[default]
    None,
    /// In the colour of the role.
    Solid,
    /// In the colour of the role, see-through: a zone that lights up, a reach space.
    Wash,
}

/// One thing to paint, in page millimetres.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// An outline, an area or both in one colour.
    Path {
        /// The outline; may hold several rings, filled by the even-odd rule.
        path: Path,
        /// The inside.
        fill: Fill,
        /// The outline's stroke, centred on the outline.
        stroke: Option<Line>,
    },
    /// One line of lettering.
    Text(Text),
    /// Parallel lines inside an outline.
    Hatch(Hatch),
    /// A picture of pixels. Pages have them, views have none.
    Image(Image),
}

impl Mark {
    /// Whether every figure is finite and within [`super::MAX_COORDINATE`], and
    /// every size positive. Back ends leave out and count what is not.
    pub fn is_drawable(&self) -> bool {
        match self {
            Self::Path { path, stroke, .. } => {
                path.is_drawable()
                    && stroke.is_none_or(|line| match line.width {
                        Width::True(mm) => mm > 0.0 && mm <= super::MAX_COORDINATE,
                        _ => true,
                    })
            }
            Self::Text(text) => text.is_drawable(),
            Self::Hatch(hatch) => hatch.is_drawable(),
            Self::Image(image) => image.is_drawable(),
        }
    }

    /// The smallest upright rectangle around what is painted, stroke included;
    /// `None` for an empty path.
    pub fn bounds(&self) -> Option<Rect> {
        match self {
            Self::Path { path, stroke, .. } => {
                let margin = stroke.map_or(0.0, |line| line.width.mm() / 2.0);
                path.bounds().map(|b| b.grown(margin))
            }
            Self::Text(text) => Some(text.bounds()),
            Self::Hatch(hatch) => hatch.outline.bounds(),
            Self::Image(image) => Some(image.rect),
        }
    }

    /// The mark under a map. Geometry and true widths scale; lettering, width
    /// classes and hatch spacing keep their size on paper; lettering never ends
    /// up mirrored or upside down.
    pub fn mapped(&self, map: Affine) -> Self {
        match self {
            Self::Path { path, fill, stroke } => Self::Path {
                path: path.mapped(map),
                fill: *fill,
                stroke: stroke.map(|line| match line.width {
                    Width::True(mm) => Line::new(Width::True(mm * map.mean_scale()), line.kind),
                    _ => line,
                }),
            },
            Self::Text(text) => Self::Text(text.mapped(map)),
            Self::Hatch(hatch) => Self::Hatch(hatch.mapped(map)),
            Self::Image(image) => Self::Image(image.mapped(map)),
        }
    }
}

/// A mark with what it is, what it belongs to and when it is painted.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What to paint.
    pub mark: Mark,
    /// What it is.
    pub role: Role,
    /// What it belongs to; `None` cannot be pointed at.
    pub owner: Option<Owner>,
    /// The layer it is painted in.
    pub layer: Layer,
    /// Order within the layer: higher is painted later, on top.
    pub z: i32,
}

/// Everything on one sheet, in the order in which it was drawn.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DrawList {
    /// The items; painted in the order of [`DrawList::in_paint_order`].
    pub items: Vec<Item>,
}

impl DrawList {
    /// An empty list.
    pub fn new() -> Self {
        Self::default()
    }

    /// A pen that adds to the list, without owner, at z 0.
    pub fn pen(&mut self) -> Pen<'_> {
        Pen::new(self)
    }

    /// Items from the ground up: by layer, then z, then order of drawing.
    pub fn in_paint_order(&self) -> Vec<&Item> {
        let mut order: Vec<&Item> = self.items.iter().collect();
        order.sort_by_key(|item| (item.layer, item.z));
        order
    }

    /// The smallest upright rectangle around every drawable mark.
    pub fn bounds(&self) -> Option<Rect> {
        self.items
            .iter()
            .filter(|item| item.mark.is_drawable())
            .filter_map(|item| item.mark.bounds())
            .reduce(Rect::union)
    }

    /// How many items a back end leaves out because they are not drawable.
    pub fn undrawable(&self) -> usize {
        self.items
            .iter()
            .filter(|item| !item.mark.is_drawable())
            .count()
    }

    /// The whole list under a map, as [`Mark::mapped`]: for placing a drawing on a page.
    pub fn mapped(&self, map: Affine) -> Self {
        let items = self
            .items
            .iter()
            .map(|item| Item {
                mark: item.mark.mapped(map),
                ..*item
            })
            .collect();
        Self { items }
    }

    /// Adds the items of another list after the own ones.
    pub fn append(&mut self, mut other: Self) {
        self.items.append(&mut other.items);
    }
}
