//! Axis-aligned boxes: the fast exact path for nearly everything.

use super::{Axis, Dir, Length, Turn, Vec3};

/// A closed axis-aligned box. `min` is never above `max` on any axis; a box may
/// be flat (no extent on an axis), and then it has no interior.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Default, Debug)]
pub struct Box3 {
    min: Vec3,
    max: Vec3,
}

impl Box3 {
    /// The box with these two opposite corners, in any order.
    pub fn new(a: Vec3, b: Vec3) -> Box3 {
        Box3 {
            min: a.min(b),
            max: a.max(b),
        }
    }

    /// The box at `min` with this size. Negative sizes reach to the other side.
    pub fn at(min: Vec3, size: Vec3) -> Box3 {
        Box3::new(min, min + size)
    }

    /// Lower front left corner.
    pub const fn min(&self) -> Vec3 {
        self.min
    }

    /// Upper back right corner.
    pub const fn max(&self) -> Vec3 {
        self.max
    }

    /// Extent on each axis, never negative.
    pub fn size(&self) -> Vec3 {
        self.max - self.min
    }

    /// The middle, rounded down to whole micrometres.
    pub fn centre(&self) -> Vec3 {
        (self.min + self.max).half()
    }

    /// The coordinate of the face that looks in direction `dir`.
    pub fn face(&self, dir: Dir) -> Length {
        let corner = if dir.is_positive() {
            self.max
        } else {
            self.min
        };
        corner.along(dir.axis())
    }

    /// True where interiors meet. Touching boxes do not overlap, and a flat box
    /// overlaps nothing.
    pub fn overlaps(&self, o: &Box3) -> bool {
        Axis::ALL.into_iter().all(|a| {
            let low = self.min.along(a).max(o.min.along(a));
            let high = self.max.along(a).min(o.max.along(a));
            low < high
        })
    }

    /// True where the closed boxes meet but their interiors do not.
    pub fn touches(&self, o: &Box3) -> bool {
        self.intersection(o).is_some() && !self.overlaps(o)
    }

    /// The common part of both closed boxes: flat where they only touch, `None`
    /// where they are apart.
    pub fn intersection(&self, o: &Box3) -> Option<Box3> {
        let min = self.min.max(o.min);
        let max = self.max.min(o.max);
        (min.x <= max.x && min.y <= max.y && min.z <= max.z).then_some(Box3 { min, max })
    }

    /// The smallest box around both.
    pub fn union(&self, o: &Box3) -> Box3 {
        Box3 {
            min: self.min.min(o.min),
            max: self.max.max(o.max),
        }
    }

    /// The smallest box around all; `None` where there is none.
    pub fn around<'a>(boxes: impl IntoIterator<Item = &'a Box3>) -> Option<Box3> {
        boxes.into_iter().copied().reduce(|a, b| a.union(&b))
    }

    /// Larger by `by` on all six sides; with a negative amount smaller, down to
    /// its middle.
    pub fn grown(&self, by: Length) -> Box3 {
        let d = Vec3::new(by, by, by);
        let (min, max) = (self.min - d, self.max + d);
        if min.x <= max.x && min.y <= max.y && min.z <= max.z {
            return Box3 { min, max };
        }
        let c = self.centre();
        Box3 {
            min: min.min(c),
            max: max.max(c),
        }
    }

    /// True where `o` lies inside or on the faces of this box.
    pub fn contains(&self, o: &Box3) -> bool {
        self.min.max(o.min) == o.min && self.max.min(o.max) == o.max
    }

    /// True where the point lies inside or on a face.
    pub fn contains_point(&self, p: Vec3) -> bool {
        self.contains(&Box3::new(p, p))
    }

    /// The free distance on each axis, zero where the extents meet or overlap.
    pub fn separation(&self, o: &Box3) -> Vec3 {
        (self.min - o.max).max(o.min - self.max).max(Vec3::ZERO)
    }

    /// Straight distance in millimetres; 0 where they touch or overlap.
    pub fn distance_mm(&self, o: &Box3) -> f64 {
        self.separation(o).distance_mm(Vec3::ZERO)
    }

    /// Penetration depth: the shortest move along an axis that ends an overlap,
    /// with the direction in which `self` has to move. `None` without overlap.
    pub fn depth(&self, o: &Box3) -> Option<(Length, Dir)> {
        if !self.overlaps(o) {
            return None;
        }
        Dir::ALL
            .into_iter()
            .map(|d| {
                let move_by = if d.is_positive() {
                    o.face(d) - self.face(d.opposite())
                } else {
                    self.face(d.opposite()) - o.face(d)
                };
                (move_by, d)
            })
            .min()
    }

    /// The box of the turned box, about the origin.
    pub fn turned(&self, turn: Turn) -> Box3 {
        Box3::new(turn.apply(self.min), turn.apply(self.max))
    }

    /// The box moved by `by`.
    pub fn moved(&self, by: Vec3) -> Box3 {
        Box3 {
            min: self.min + by,
            max: self.max + by,
        }
    }

    /// The axis along which it is thinnest, the first of several.
    pub fn thin_axis(&self) -> Axis {
        let size = self.size();
        let thinner = |a: Axis, b: Axis| if size.along(b) < size.along(a) { b } else { a };
        Axis::ALL.into_iter().fold(Axis::X, thinner)
    }

    /// Volume in cubic millimetres.
    pub fn volume_mm3(&self) -> f64 {
        let s = self.size().as_mm();
        s[0] * s[1] * s[2]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(a: [i64; 3], b: [i64; 3]) -> Box3 {
        Box3::new(Vec3::mm(a[0], a[1], a[2]), Vec3::mm(b[0], b[1], b[2]))
    }

    #[test]
    fn sharing_a_face_touches_and_does_not_overlap() {
        let (a, b) = (mm([0, 0, 0], [10, 10, 10]), mm([10, 0, 0], [20, 10, 10]));
        assert!(a.touches(&b) && !a.overlaps(&b));
        assert_eq!(a.depth(&b), None);
        assert_eq!(a.distance_mm(&b), 0.0);
    }

    #[test]
    fn one_micrometre_decides() {
        let a = mm([0, 0, 0], [10, 10, 10]);
        let b = mm([10, 0, 0], [20, 10, 10]).moved(Dir::NegX.times(Length::um(1)));
        assert!(a.overlaps(&b));
        assert_eq!(a.depth(&b), Some((Length::um(1), Dir::NegX)));
    }

    #[test]
    fn a_contained_box_overlaps_and_has_to_leave_by_the_nearest_face() {
        let a = mm([40, 1, 40], [60, 21, 60]);
        let b = mm([0, 0, 0], [100, 100, 100]);
        assert_eq!(a.depth(&b), Some((Length::mm(21), Dir::NegY)));
    }

    #[test]
    fn a_flat_box_overlaps_nothing() {
        let flat = mm([0, 0, 5], [10, 10, 5]);
        assert!(!flat.overlaps(&mm([0, 0, 0], [10, 10, 10])));
    }

    #[test]
    fn parallel_boxes_have_the_shared_reference_distance() {
        // Pair 'bb7 parallel': unit cubes centred at 0 and (3, 4, 0); distance
        // sqrt(2^2 + 3^2) = 3.60555127546 by python-fcl 0.7.0.11 and closed form.
        let a = mm([0, 0, 0], [1000, 1000, 1000]);
        let b = a.moved(Vec3::mm(3000, 4000, 0));
        assert!((a.distance_mm(&b) / 1000.0 - 3.605_551_275_46).abs() < 1e-9);
    }

    #[test]
    fn shrinking_stops_at_the_middle() {
        let a = mm([0, 0, 0], [10, 10, 2]).grown(Length::mm(-2));
        assert_eq!(a, mm([2, 2, 1], [8, 8, 1]));
    }
}
