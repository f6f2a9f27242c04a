//! The three views and the way from the enclosure's frame to the page and back.
//!
//! Views are true views as in ISO 5456-2: what the eye sees, never mirrored. The
//! top view stands above the side view and shares its columns, the front view
//! stands at the right of the side view (third-angle arrangement, with the side
//! view as the principal one).

use super::list::{Point2, Rect};
use crate::geom::{Box3, Dir, LIMIT_MM, Length, Vec3};

/// From where the enclosure is looked at.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum ViewKind {
    /// From above, the front of the enclosure at the right.
    Top,
    /// From the left, the front of the enclosure at the right.
    Side,
    /// From the front, the left of the enclosure at the left.
    Front,
}

impl ViewKind {
    /// All three.
    pub const ALL: [ViewKind; 3] = [ViewKind::Top, ViewKind::Side, ViewKind::Front];

    /// 0, 1 or 2, for tables with one entry a view.
    pub const fn index(self) -> usize {
        self as usize
    }

    /// The heading of the view.
    pub const fn name(self) -> &'static str {
        match self {
            ViewKind::Top => "top view",
            ViewKind::Side => "side view from the left",
            ViewKind::Front => "front view",
        }
    }

    /// The direction in the enclosure that runs to the right of the page.
    pub const fn right(self) -> Dir {
        match self {
            ViewKind::Top | ViewKind::Side => Dir::NegY,
            ViewKind::Front => Dir::PosX,
        }
    }

    /// The direction in the enclosure that runs up the page.
    pub const fn up(self) -> Dir {
        match self {
            ViewKind::Top => Dir::PosX,
            ViewKind::Side | ViewKind::Front => Dir::PosZ,
        }
    }

    /// The direction from the enclosure to the eye.
    pub const fn eye(self) -> Dir {
        match self {
            ViewKind::Top => Dir::PosZ,
            ViewKind::Side => Dir::NegX,
            ViewKind::Front => Dir::NegY,
        }
    }

    /// How near a point is to the eye: larger is nearer.
    pub fn depth(self, p: Vec3) -> Length {
        p.toward(self.eye())
    }

    /// The far and the near depth of a box.
    pub fn reach(self, b: &Box3) -> (Length, Length) {
        let (a, b) = (self.depth(b.min()), self.depth(b.max()));
        (a.min(b), a.max(b))
    }
}

/// One view at one scale. Page coordinates are millimetres, y down; the upper
/// left corner of the enclosure's outline on the page is the origin.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Projection {
    /// The view.
    pub kind: ViewKind,
    /// Millimetres on the page for a millimetre of the scene.
    pub scale: f64,
    /// Scene millimetres along right and up of the point drawn at the origin.
    anchor: [f64; 2],
}

impl Projection {
    /// The view of an enclosure with this outline. A scale that is not a positive
    /// number counts as 1.
    pub fn new(kind: ViewKind, scale: f64, outline: &Box3) -> Projection {
        let sound = scale.is_finite() && scale > 0.0;
        let least = |d: Dir| outline.min().toward(d).min(outline.max().toward(d));
        let most = |d: Dir| outline.min().toward(d).max(outline.max().toward(d));
        Projection {
            kind,
            scale: if sound { scale } else { 1.0 },
            anchor: [least(kind.right()).as_mm(), most(kind.up()).as_mm()],
        }
    }

    /// A point of the scene on the page.
    pub fn to_page(&self, p: Vec3) -> Point2 {
        self.mm_to_page(p.as_mm())
    }

    /// A point given in scene millimetres on the page.
    pub fn mm_to_page(&self, p: [f64; 3]) -> Point2 {
        let along = |d: Dir| p[d.axis().index()] * d.sign() as f64;
        self.plane_to_page(along(self.kind.right()), along(self.kind.up()))
    }

    /// A point given in scene millimetres to the right and up of the view.
    pub fn plane_to_page(&self, right: f64, up: f64) -> Point2 {
        Point2::new(
            (right - self.anchor[0]) * self.scale,
            (self.anchor[1] - up) * self.scale,
        )
    }

    /// The page vector of one millimetre in direction `d`; zero along the eye's axis.
    pub fn vector(&self, d: Dir) -> Point2 {
        let part = |of: Dir| match () {
            () if d == of => self.scale,
            () if d == of.opposite() => -self.scale,
            () => 0.0,
        };
        Point2::new(part(self.kind.right()), -part(self.kind.up()))
    }

    /// The outline of a box on the page.
    pub fn box_to_page(&self, b: &Box3) -> Rect {
        Rect::spanning(self.to_page(b.min()), self.to_page(b.max()))
    }

    /// The point of the scene under a point of the page, at the given depth
    /// towards the eye, rounded to micrometres and kept within the accepted range.
    pub fn from_page(&self, at: Point2, depth: Length) -> Vec3 {
        let length = |mm: f64| {
            let kept = if mm.is_nan() {
                0.0
            } else {
                mm.clamp(-LIMIT_MM, LIMIT_MM)
            };
            Length::from_mm(kept).unwrap_or(Length::ZERO)
        };
        self.kind
            .right()
            .times(length(at.x / self.scale + self.anchor[0]))
            + self
                .kind
                .up()
                .times(length(self.anchor[1] - at.y / self.scale))
            + self.kind.eye().times(depth)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outline() -> Box3 {
        Box3::at(Vec3::ZERO, Vec3::mm(300, 400, 150))
    }

    #[test]
    fn no_view_is_mirrored() {
        // ISO 5456-2: true views. Right and up of the page and the direction to
        // the eye are a right-handed triple in the scene, as they are for the reader.
        for kind in ViewKind::ALL {
            assert_eq!(kind.right().cross(kind.up()), Some(kind.eye()), "{kind:?}");
            // And drawn: the three axes of the scene, as far as they show, turn
            // counter-clockwise in their order as seen from the eye.
            let p = Projection::new(kind, 2.0, &outline());
            let (a, b) = kind.eye().axis().others();
            let (u, v) = (p.vector(Dir::new(a, true)), p.vector(Dir::new(b, true)));
            // Page y runs down, so a counter-clockwise turn has a negative product.
            let turn = -(u.x * v.y - u.y * v.x) * kind.eye().sign() as f64;
            assert!(turn > 0.0, "{kind:?}");
        }
    }

    #[test]
    fn the_front_is_at_the_right_and_columns_are_shared() {
        let (top, side) = (
            Projection::new(ViewKind::Top, 0.5, &outline()),
            Projection::new(ViewKind::Side, 0.5, &outline()),
        );
        let front = Vec3::mm(10, 0, 20);
        let back = Vec3::mm(10, 400, 20);
        assert!(top.to_page(front).x > top.to_page(back).x);
        assert_eq!(top.to_page(front).x, side.to_page(front).x);
        assert_eq!(side.to_page(front), Point2::new(200.0, 65.0));
        assert_eq!(top.to_page(front), Point2::new(200.0, 145.0));
    }

    #[test]
    fn the_outline_starts_at_the_origin_in_every_view() {
        for kind in ViewKind::ALL {
            let p = Projection::new(kind, 0.25, &outline());
            assert_eq!(p.box_to_page(&outline()).min, Point2::new(0.0, 0.0));
        }
    }

    #[test]
    fn the_page_leads_back_to_the_scene() {
        let q = Vec3::new(Length::um(12_345), Length::um(67_890), Length::um(111));
        for kind in ViewKind::ALL {
            let p = Projection::new(kind, 0.37, &outline());
            assert_eq!(p.from_page(p.to_page(q), kind.depth(q)), q, "{kind:?}");
        }
    }

    #[test]
    fn odd_numbers_give_a_sound_projection() {
        let p = Projection::new(ViewKind::Top, f64::NAN, &outline());
        assert_eq!(p.scale, 1.0);
        let far = p.from_page(Point2::new(f64::INFINITY, f64::NAN), Length::ZERO);
        assert!(far.as_mm().iter().all(|c| c.abs() <= LIMIT_MM));
    }
}
