//! Where a part is drawn: its own frame, seen from one of its own directions.
//!
//! Orientations are quarter turns and views are true views, so a part is always
//! seen along one of its own axes. A drawing routine therefore works with the
//! part's own millimetres and asks [`Canvas::eye`] which way it is looked at; it
//! never meets turns, views or mirrored pictures.

use crate::geom::{Dir, Length, Solid, Vec3};
use crate::model::{PartKind, Place, Space};
use crate::view::list::{Line, Path, Pen, Point2, Rect, Role, System};
use crate::view::projection::Projection;

/// Details smaller than this on paper are left out, in millimetres.
pub(super) const LEAST: f64 = 0.9;

/// A rectangle with rounded corners, square where nobody would see the difference.
pub(super) fn soft(rect: Rect, radius: f64) -> Path {
    if radius < 0.2 {
        Path::rect(rect)
    } else {
        Path::rounded_rect(rect, radius)
    }
}

/// What a solid covers on the page.
#[derive(Clone, Debug)]
pub(super) enum Shape {
    /// A box, or a cylinder or an extrusion seen from its side.
    Rect(Rect),
    /// A cylinder seen along its axis.
    Circle(Point2, f64),
    /// An extrusion seen along its axis; the first ring is the outer one.
    Rings(Vec<Vec<Point2>>, Rect),
}

impl Shape {
    /// The rectangle around it.
    pub fn rect(&self) -> Rect {
        match self {
            Shape::Rect(r) | Shape::Rings(_, r) => *r,
            Shape::Circle(c, r) => Rect::sized(c.x - r, c.y - r, 2.0 * r, 2.0 * r),
        }
    }

    /// Its outline.
    pub fn path(&self) -> Path {
        self.rounded(0.0)
    }

    /// Its outline, with corners rounded to `radius` where it is a rectangle.
    pub fn rounded(&self, radius: f64) -> Path {
        match self {
            Shape::Rect(r) => soft(*r, radius),
            Shape::Circle(c, r) => Path::circle(*c, *r),
            Shape::Rings(rings, _) => rings.iter().fold(Path::new(), |all, ring| {
                all.with(&Path::polygon(ring.iter().copied()))
            }),
        }
    }

    /// Middle and radius, of a circle only.
    pub fn circle(&self) -> Option<(Point2, f64)> {
        match self {
            Shape::Circle(c, r) => Some((*c, *r)),
            _ => None,
        }
    }
}

/// A solid piece of the part as the view sees it.
#[derive(Clone, Debug)]
pub(super) struct Seen {
    /// What it covers.
    pub shape: Shape,
    /// Depth of its far face in micrometres; larger is nearer to the eye.
    pub far: i64,
    /// Depth of its near face.
    pub near: i64,
}

/// The place where one part is drawn in one view.
pub(crate) struct Canvas<'a> {
    /// What is drawn.
    pub kind: &'a PartKind,
    /// Tint.
    pub system: System,
    /// The part's own direction that points at the eye.
    pub eye: Dir,
    /// Page millimetres for a millimetre of the part.
    pub scale: f64,
    /// The solid pieces, farthest first, without what the cut takes away.
    pub(super) pieces: Vec<Seen>,
    /// Rectangle around the pieces on the page.
    pub(super) rect: Rect,
    pen: Pen<'a>,
    origin: Point2,
    axes: [Point2; 3],
    base: i64,
    cut: Option<i64>,
}

impl<'a> Canvas<'a> {
    /// The canvas of a part at a place in a view. `cut` is the depth beyond which
    /// nothing is drawn. `None` where the cut takes the whole part away.
    pub fn new(
        kind: &'a PartKind,
        place: &Place,
        projection: &Projection,
        cut: Option<Length>,
        pen: Pen<'a>,
    ) -> Option<Canvas<'a>> {
        let back = place.turn.inverse();
        let shift = place.shift(kind);
        let axes = place.turn.axes().map(|d| projection.vector(d));
        let mut canvas = Canvas {
            kind,
            system: super::system(kind.group),
            eye: back.dir(projection.kind.eye()),
            scale: projection.scale,
            pieces: Vec::new(),
            rect: projection.box_to_page(&place.outline(kind)),
            pen,
            origin: projection.to_page(shift),
            axes,
            base: projection.kind.depth(shift).as_um(),
            cut: cut.map(Length::as_um),
        };
        let solid = |p: &&crate::model::Piece| p.space == Space::Solid;
        let mut pieces: Vec<Seen> = if kind.body.is_empty() {
            vec![canvas.seen(&Solid::Box(kind.outline()))]
        } else {
            let body = kind.body.iter().filter(solid);
            body.map(|p| canvas.seen(&p.solid)).collect()
        };
        pieces.retain(|p| canvas.cut.is_none_or(|c| p.far < c));
        pieces.sort_by_key(|p| (p.far, p.near));
        let around = pieces.iter().map(|p| p.shape.rect()).reduce(Rect::union);
        canvas.rect = around?;
        canvas.pieces = pieces;
        Some(canvas)
    }

    /// A point of the part's frame, in millimetres, on the page.
    pub fn at(&self, p: [f64; 3]) -> Point2 {
        self.origin + self.axes[0] * p[0] + self.axes[1] * p[1] + self.axes[2] * p[2]
    }

    /// A point of the part's frame on the page.
    pub fn point(&self, p: Vec3) -> Point2 {
        self.at(p.as_mm())
    }

    /// The unit vector on the page of one of the part's directions; zero along the
    /// eye's axis.
    pub fn way(&self, d: Dir) -> Point2 {
        self.axes[d.axis().index()] * (d.sign() as f64 / self.scale)
    }

    /// The depth of a point of the part, in micrometres towards the eye.
    pub fn depth(&self, p: Vec3) -> i64 {
        self.base + p.toward(self.eye).as_um()
    }

    /// True where the part is looked at along the axis of `d`, from either side.
    pub fn along(&self, d: Dir) -> bool {
        self.eye.axis() == d.axis()
    }

    /// True where so many millimetres of the part are worth a detail on paper.
    pub fn shows(&self, mm: f64) -> bool {
        mm * self.scale >= LEAST
    }

    /// True where the whole part is so small that only its outline is drawn.
    pub fn is_tiny(&self) -> bool {
        self.rect.width().min(self.rect.height()) < 1.2
            || self.rect.width().max(self.rect.height()) < 3.0
    }

    /// A solid of the part's frame as the view sees it.
    pub(super) fn seen(&self, solid: &Solid) -> Seen {
        let b = solid.bounds();
        let (p, q) = (self.depth(b.min()), self.depth(b.max()));
        let flat = || Shape::Rect(Rect::spanning(self.point(b.min()), self.point(b.max())));
        let shape = match solid {
            Solid::Cylinder {
                axis, base, radius, ..
            } if *axis == self.eye.axis() => {
                Shape::Circle(self.point(*base), radius.as_mm() * self.scale)
            }
            Solid::Extrusion {
                axis,
                outline,
                holes,
                ..
            } if *axis == self.eye.axis() => {
                let (a, b) = axis.others();
                let ring = |r: &Vec<[Length; 2]>| -> Vec<Point2> {
                    r.iter()
                        .map(|p| self.point(Vec3::ZERO.with(a, p[0]).with(b, p[1])))
                        .collect()
                };
                let rings = std::iter::once(outline).chain(holes).map(ring).collect();
                Shape::Rings(rings, flat().rect())
            }
            _ => flat(),
        };
        Seen {
            shape,
            far: p.min(q),
            near: p.max(q),
        }
    }

    /// True where a detail that ends at depth `near` and covers `rect` shows: it is
    /// not cut away and no piece of the part lies before it. Recesses of up to
    /// 4 mm still show.
    pub fn is_open(&self, rect: Rect, near: i64, far: i64) -> bool {
        let c = rect.centre();
        self.cut.is_none_or(|cut| far < cut)
            && !self
                .pieces
                .iter()
                .any(|p| p.near > near + 4000 && p.shape.rect().contains(c))
    }

    /// The height in the painting order for a detail whose far face lies at depth
    /// `far`: that of the piece it is let into, or its own where it stands free.
    pub fn level(&self, rect: Rect, far: i64) -> i64 {
        let c = rect.centre();
        let host = self
            .pieces
            .iter()
            .filter(|p| p.far <= far && far < p.near && p.shape.rect().contains(c));
        host.map(|p| p.far).max().unwrap_or(far)
    }

    /// The pen at a height of the painting order.
    pub fn pen(&mut self, level: i64) -> Pen<'_> {
        let z = level.clamp(i64::from(i32::MIN), i64::from(i32::MAX));
        self.pen.fork().z(z as i32)
    }

    /// The faint ground of the part's system.
    pub fn ground(&mut self, level: i64, path: Path) {
        let role = Role::Fill(self.system);
        self.pen(level).fill(path, role);
    }

    /// A stronger tint on top of what is there.
    pub fn tone(&mut self, level: i64, path: Path) {
        let role = Role::Detail(self.system);
        self.pen(level).wash(path, role);
    }

    /// An outer edge: thick where the part is large enough on paper.
    pub fn edge(&mut self, level: i64, path: Path) {
        let large = self.rect.width().min(self.rect.height()) >= 5.0;
        let line = if large { Line::THICK } else { Line::THIN };
        self.pen(level).stroke(path, line, Role::Ink);
    }

    /// An inner edge.
    pub fn line(&mut self, level: i64, path: Path) {
        self.pen(level).stroke(path, Line::THIN, Role::Ink);
    }

    /// Inner detail, thin and soft.
    pub fn fine(&mut self, level: i64, path: Path) {
        self.pen(level).stroke(path, Line::HAIR, Role::InkSoft);
    }

    /// A lighter body inside the part: ground and inner edge.
    pub fn block(&mut self, level: i64, path: Path) {
        self.ground(level, path.clone());
        self.line(level, path);
    }

    /// A darker body inside the part: ground, tone and inner edge.
    pub fn inset(&mut self, level: i64, path: Path) {
        let small = path
            .bounds()
            .is_none_or(|b| b.width().min(b.height()) < 1.5);
        if small {
            // Too small for three layers: a tone with a soft edge.
            self.tone(level, path.clone());
            return self.fine(level, path);
        }
        self.ground(level, path.clone());
        self.tone(level, path.clone());
        self.line(level, path);
    }

    /// Paper, for what is cut through.
    pub fn void(&mut self, level: i64, path: Path) {
        let layer = Role::Ink.layer();
        self.pen(level).layer(layer).fill(path, Role::Paper);
    }
}
