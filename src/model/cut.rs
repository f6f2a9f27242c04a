//! Which openings of a plate go right through it, and which way.

use super::enclosure::{Cutout, Plate};
use crate::geom::{Axis, Box3, Length, Solid, Vec3};

/// Why an opening takes nothing out of its plate.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Idle {
    /// It lies beside the plate, or only touches it.
    Beside,
    /// It goes so deep into a plate that is thicker than that.
    Half(Length),
}

impl Plate {
    /// The axis along which its openings go through: of a straight plate with an outline its
    /// own, of a box the thinnest. Where another axis of a box is at most twice as thick and
    /// more openings go through along that, it is that one: a rail may be square.
    pub fn across(&self) -> Axis {
        match &self.solid {
            Solid::Cylinder { axis, .. } | Solid::Extrusion { axis, .. } => *axis,
            Solid::Box(b) => {
                let size = b.size();
                let thin = b.thin_axis();
                let through = |axis: Axis| {
                    let all = self.cutouts.iter();
                    all.filter(|c| self.idle_along(c, axis).is_none()).count()
                };
                let thick = |a: &Axis| *a == thin || size.along(*a) <= size.along(thin) * 2;
                let others = Axis::ALL.into_iter().filter(|a| thick(a) && *a != thin);
                others.fold(thin, |best, axis| match through(axis) > through(best) {
                    true => axis,
                    false => best,
                })
            }
        }
    }

    /// Its openings that go through, with their positions in the list.
    pub fn open(&self) -> impl Iterator<Item = (usize, &Cutout)> {
        let axis = self.across();
        let all = self.cutouts.iter().enumerate();
        all.filter(move |(_, c)| self.idle_along(c, axis).is_none())
    }

    /// Its openings that take nothing out of it, with their positions in the list: there it is
    /// whole.
    pub fn idle(&self) -> impl Iterator<Item = (usize, Idle)> {
        let axis = self.across();
        let all = self.cutouts.iter().enumerate();
        all.filter_map(move |(i, c)| Some((i, self.idle_along(c, axis)?)))
    }

    fn idle_along(&self, cutout: &Cutout, axis: Axis) -> Option<Idle> {
        let bounds = self.solid.bounds();
        let [low, high] = [bounds.min().along(axis), bounds.max().along(axis)];
        let taken = match cutout {
            Cutout::Rect(b) => *b,
            Cutout::Round { centre, diameter } => {
                let r = diameter.half().max(Length::um(1));
                let half = Vec3::new(r, r, r);
                let around = Box3::new(*centre - half, *centre + half);
                // Its middle may lie anywhere along the plate's thickness, or beside it.
                Box3::new(around.min().with(axis, low), around.max().with(axis, high))
            }
        };
        if !taken.overlaps(&bounds) {
            return Some(Idle::Beside);
        }
        let deep = taken.max().along(axis).min(high) - taken.min().along(axis).max(low);
        (deep < high - low).then_some(Idle::Half(deep))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plate(size: [i64; 3], cutouts: &[Cutout]) -> Plate {
        Plate {
            id: "p".into(),
            name: "p".into(),
            solid: Solid::Box(Box3::at(Vec3::ZERO, Vec3::mm(size[0], size[1], size[2]))),
            cutouts: cutouts.to_vec(),
            panel: None,
        }
    }

    fn rect(at: [i64; 3], size: [i64; 3]) -> Cutout {
        let [at, size] = [at, size].map(|v| Vec3::mm(v[0], v[1], v[2]));
        Cutout::Rect(Box3::at(at, size))
    }

    #[test]
    fn half_through_and_beside_take_nothing() {
        let all = [
            rect([10, 10, 0], [10, 10, 2]),
            rect([30, 10, -5], [10, 10, 50]),
            rect([50, 10, 1], [10, 10, 1]),
            rect([70, 10, 2], [10, 10, 5]),
            rect([-10, 10, 0], [10, 10, 2]),
        ];
        let plate = plate([100, 100, 2], &all);
        let open: Vec<usize> = plate.open().map(|o| o.0).collect();
        assert_eq!(open, [0, 1]);
        let idle: Vec<(usize, Idle)> = plate.idle().collect();
        let half = Idle::Half(Length::mm(1));
        assert_eq!(idle, [(2, half), (3, Idle::Beside), (4, Idle::Beside)]);
    }

    #[test]
    fn a_round_one_meets_its_plate_wherever_its_middle_is_along_it() {
        let round = |x: i64, z: i64| Cutout::Round {
            centre: Vec3::mm(x, 50, z),
            diameter: Length::mm(10),
        };
        // Over its edge is fine; at 5 beside it only touches.
        let plate = plate([100, 100, 2], &[round(50, 90), round(-4, 0), round(-5, 0)]);
        let idle: Vec<(usize, Idle)> = plate.idle().collect();
        assert_eq!(idle, [(2, Idle::Beside)]);
    }

    #[test]
    fn a_rail_is_cut_the_way_its_openings_go() {
        let along_y = rect([5, 0, 100], [10, 20, 10]);
        assert_eq!(plate([20, 20, 200], &[]).across(), Axis::X);
        assert_eq!(
            plate([20, 20, 200], std::slice::from_ref(&along_y)).across(),
            Axis::Y
        );
        // A groove over the whole of a sheet is none the less half through it.
        let groove = rect([10, 0, 1], [10, 100, 1]);
        let sheet = plate([100, 100, 2], &[groove]);
        assert_eq!((sheet.across(), sheet.open().count()), (Axis::Z, 0));
    }
}
