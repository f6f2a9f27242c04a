//! Solids that stand somewhere: boxes, cylinders and straight extrusions.

use std::sync::Arc;

use super::hull::{BoxHull, CylinderHull, PrismHull};
use super::{Aabb, Turn, Vec3, polygon};

/// Coordinates and sizes beyond this magnitude, and sizes under its inverse, are refused:
/// their squares would leave the range of floating point.
const RANGE: f64 = 1e30;

/// Why a shape cannot be built.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ShapeError {
    /// A coordinate is not a number, infinite, or beyond 1e30.
    #[error("a coordinate is not a usable number")]
    NotFinite,
    /// A size, radius or length is zero, negative, not a number, or out of range.
    #[error("a size is not greater than zero")]
    NoSize,
    /// The axis of a cylinder has no direction.
    #[error("the axis has no direction")]
    NoDirection,
    /// The matrix neither turns nor mirrors: its columns are not unit vectors at right angles.
    #[error("the matrix is not a turn")]
    NotATurn,
    /// An outline has fewer than three corners, crosses or touches itself or a hole,
    /// a hole lies outside, or the area is zero.
    #[error("the outline is not a simple polygon with holes inside")]
    NotSimple,
    /// Outline and holes together have more than [`MAX_CORNERS`] corners.
    #[error("the outline has too many corners")]
    TooManyCorners,
}

pub use super::polygon::MAX_CORNERS;

/// A placed solid, in the unit of the caller, with a small tag that says what it stands for.
///
/// Boxes and cylinders are one convex piece; an extrusion is cut into convex prisms once, here.
/// Moving a shape ([`Shape::translated`]) keeps the cut.
#[derive(Clone, Debug)]
pub struct Shape {
    pub(super) pieces: Vec<Piece>,
    bounds: Aabb,
    tag: u32,
}

/// One convex piece with its bounds.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    pub bounds: Aabb,
    pub solid: Solid,
}

/// A convex piece wherever it is kept.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seen<'a> {
    pub bounds: &'a Aabb,
    pub solid: &'a Solid,
}

/// What a convex piece is.
#[derive(Clone, Debug)]
pub(super) enum Solid {
    /// The box that the bounds are: nothing else to know.
    Aligned,
    /// A box in any other position.
    Turned(BoxHull),
    /// A cylinder with flat ends.
    Cylinder(CylinderHull),
    /// A prism over a convex polygon.
    Prism(PrismHull),
}

impl Shape {
    /// A box with half sizes `half` along its own axes, turned by `turn` about its centre.
    ///
    /// # Errors
    /// [`ShapeError::NotFinite`] and [`ShapeError::NoSize`].
    pub fn cuboid(centre: Vec3, half: Vec3, turn: &Turn) -> Result<Self, ShapeError> {
        position(centre)?;
        half.0.iter().try_for_each(|h| size(*h))?;
        let bounds = Aabb::around(centre, turn.spread(half));
        let solid = if turn.is_aligned() {
            Solid::Aligned
        } else {
            Solid::Turned(BoxHull {
                centre,
                half,
                axes: turn.axes,
            })
        };
        Ok(Self::of(vec![Piece { bounds, solid }]))
    }

    /// A box along the coordinate axes between two corners.
    ///
    /// # Errors
    /// [`ShapeError::NotFinite`]; [`ShapeError::NoSize`] unless `lo` is under `hi` on every axis.
    pub fn aligned(lo: Vec3, hi: Vec3) -> Result<Self, ShapeError> {
        position(lo)?;
        position(hi)?;
        (hi - lo).0.iter().try_for_each(|s| size(*s))?;
        Ok(Self::of(vec![Piece {
            bounds: Aabb { lo, hi },
            solid: Solid::Aligned,
        }]))
    }

    /// A cylinder with flat ends: `axis` gives the direction (any length), `half` half the length.
    ///
    /// # Errors
    /// [`ShapeError::NotFinite`], [`ShapeError::NoSize`] and [`ShapeError::NoDirection`].
    pub fn cylinder(centre: Vec3, axis: Vec3, radius: f64, half: f64) -> Result<Self, ShapeError> {
        position(centre)?;
        size(radius)?;
        size(half)?;
        let axis = axis.normalized().ok_or(ShapeError::NoDirection)?;
        let hull = CylinderHull::new(centre, axis, radius, half);
        Ok(Self::of(vec![Piece {
            bounds: hull.bounds(),
            solid: Solid::Cylinder(hull),
        }]))
    }

    /// A straight extrusion: the outline with its holes in the own x and y, `half` to either side
    /// along the own z, turned by `turn` about the own origin, which stands at `origin`.
    ///
    /// The sense of outline and holes does not matter and the last corner joins the first.
    /// Repeated corners and corners on a straight edge are dropped.
    ///
    /// # Errors
    /// All of [`ShapeError`] but `NoDirection` and `NotATurn`.
    pub fn extrusion(
        outline: &[[f64; 2]],
        holes: &[Vec<[f64; 2]>],
        half: f64,
        origin: Vec3,
        turn: &Turn,
    ) -> Result<Self, ShapeError> {
        position(origin)?;
        size(half)?;
        let mut pieces = Vec::new();
        for corners in polygon::convex_parts(outline, holes)? {
            pieces.push(prism(&corners, half, origin, turn));
        }
        Ok(Self::of(pieces))
    }

    fn of(pieces: Vec<Piece>) -> Self {
        let bounds = pieces
            .iter()
            .fold(Aabb::EMPTY, |all, p| all.union(&p.bounds));
        Self {
            pieces,
            bounds,
            tag: 0,
        }
    }

    /// The same shape under another tag. Tags start as 0.
    #[must_use]
    pub fn with_tag(mut self, tag: u32) -> Self {
        self.tag = tag;
        self
    }

    /// What the shape stands for.
    pub fn tag(&self) -> u32 {
        self.tag
    }

    /// The box around the shape; exact for every kind but for rounding.
    pub fn bounds(&self) -> &Aabb {
        &self.bounds
    }

    /// The shape moved by `by`, which has to be finite.
    #[must_use]
    pub fn translated(&self, by: Vec3) -> Self {
        Self {
            pieces: self.pieces.iter().map(|p| p.translated(by)).collect(),
            bounds: self.bounds.translated(by),
            tag: self.tag,
        }
    }
}

impl Piece {
    #[inline]
    pub fn seen(&self) -> Seen<'_> {
        Seen {
            bounds: &self.bounds,
            solid: &self.solid,
        }
    }

    pub fn translated(&self, by: Vec3) -> Self {
        let mut solid = self.solid.clone();
        match &mut solid {
            Solid::Aligned => {}
            Solid::Turned(hull) => hull.centre += by,
            Solid::Cylinder(hull) => hull.centre += by,
            Solid::Prism(hull) => hull.centre += by,
        }
        Self {
            bounds: self.bounds.translated(by),
            solid,
        }
    }

    /// The bounds as a box in any position: the solid itself if it is [`Solid::Aligned`].
    pub fn aligned_hull(&self) -> BoxHull {
        self.seen().aligned_hull()
    }
}

impl Seen<'_> {
    /// The same of a piece that is kept in parts.
    pub fn aligned_hull(&self) -> BoxHull {
        BoxHull {
            centre: self.bounds.centre(),
            half: self.bounds.half(),
            axes: Turn::IDENTITY.axes,
        }
    }
}

/// A convex prism; a rectangle along the own axes becomes a box, the fastest kind.
fn prism(corners: &[[f64; 2]], half: f64, origin: Vec3, turn: &Turn) -> Piece {
    let mut flat = Aabb::EMPTY;
    for c in corners {
        let p = Vec3::new(c[0], c[1], 0.0);
        flat = flat.union(&Aabb { lo: p, hi: p });
    }
    let middle = flat.centre();
    let centre = origin + turn.apply(middle);
    let on_rim = |c: &[f64; 2]| (0..2).all(|k| c[k] == flat.lo[k] || c[k] == flat.hi[k]);
    if corners.len() == 4 && corners.iter().all(on_rim) {
        let half = Vec3::new(flat.half()[0], flat.half()[1], half);
        let bounds = Aabb::around(centre, turn.spread(half));
        let axes = turn.axes;
        let solid = if turn.is_aligned() {
            Solid::Aligned
        } else {
            Solid::Turned(BoxHull { centre, half, axes })
        };
        return Piece { bounds, solid };
    }
    let corners: Arc<[[f64; 2]]> = corners
        .iter()
        .map(|c| [c[0] - middle[0], c[1] - middle[1]])
        .collect();
    let hull = PrismHull {
        centre,
        axes: turn.axes,
        half,
        corners,
    };
    Piece {
        bounds: hull.bounds(),
        solid: Solid::Prism(hull),
    }
}

fn position(p: Vec3) -> Result<(), ShapeError> {
    let fits = p.0.iter().all(|c| c.abs() <= RANGE);
    fits.then_some(()).ok_or(ShapeError::NotFinite)
}

fn size(s: f64) -> Result<(), ShapeError> {
    let fits = (1.0 / RANGE..=RANGE).contains(&s);
    fits.then_some(()).ok_or(ShapeError::NoSize)
}
