//! How what is mounted on a hinged panel moves when the panel is opened.

use super::common::lies_behind;
use crate::geom::{Axis, Box3, Dir, Length, Vec3};
use crate::model::Plate;
use crate::placement::{Placed, PlacedPart, PlacedPlate};

/// Panels open so far, in degrees.
pub(super) const OPEN: f64 = 90.0;

/// Deeper than this is a hit; the steps are no longer, so nothing deeper is missed.
const STEP: f64 = 0.02;

/// A turn about the hinge of a panel: from its rest, out of the enclosure.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Swing {
    /// On the line of the hinge: the outer edge of the panel on its side.
    at: Vec3,
    /// From the hinge along the panel at rest.
    along: Dir,
    /// The way the panel leaves.
    out: Dir,
}

/// A rectangle across the line of the hinge, in millimetres: along the panel at
/// rest, and out of the enclosure.
#[derive(Clone, Copy, Debug)]
struct Rect {
    low: [f64; 2],
    high: [f64; 2],
}

impl Swing {
    /// Of a plate that has a hinge.
    pub(super) fn of(plate: &Plate) -> Option<Swing> {
        let panel = plate.panel.as_ref()?;
        let (hinge, out) = (panel.hinge?, panel.leaves);
        let bounds = plate.solid.bounds();
        let mut at = bounds.min();
        at.set(hinge.axis(), bounds.face(hinge));
        at.set(out.axis(), bounds.face(out));
        Some(Swing {
            at,
            along: hinge.opposite(),
            out,
        })
    }

    /// A point of the line of the hinge.
    pub(super) fn at(&self) -> Vec3 {
        self.at
    }

    /// From the hinge along the panel at rest.
    pub(super) fn along(&self) -> Dir {
        self.along
    }

    /// The way the panel leaves.
    pub(super) fn out(&self) -> Dir {
        self.out
    }

    /// The corners of a box across the line of the hinge, in millimetres from it: along the
    /// panel at rest, and out of the enclosure.
    pub(super) fn corners(&self, b: &Box3) -> [[f64; 2]; 4] {
        self.rect(b).corners()
    }

    /// The line of the hinge runs along this.
    pub(super) fn axis(&self) -> Axis {
        let (a, b) = self.along.axis().others();
        if a == self.out.axis() { b } else { a }
    }

    fn rect(&self, b: &Box3) -> Rect {
        let flat = |p: Vec3| {
            let d = p - self.at;
            [d.toward(self.along).as_mm(), d.toward(self.out).as_mm()]
        };
        let (p, q) = (flat(b.min()), flat(b.max()));
        Rect {
            low: [p[0].min(q[0]), p[1].min(q[1])],
            high: [p[0].max(q[0]), p[1].max(q[1])],
        }
    }

    /// A box around all that a box may pass through.
    pub(super) fn around(&self, b: &Box3) -> Box3 {
        let reach = Length::from_mm(self.rect(b).radius())
            .unwrap_or(Length::ZERO)
            .max(Length::ZERO)
            + Length::um(1);
        let (mut min, mut max) = (b.min(), b.max());
        for axis in [self.along.axis(), self.out.axis()] {
            min.set(axis, self.at.along(axis) - reach);
            max.set(axis, self.at.along(axis) + reach);
        }
        Box3::new(min, max)
    }

    /// True where two boxes overlap at rest by more than a step, as they may around solids that do
    /// not.
    pub(super) fn rests_in(&self, moves: &Box3, stays: &Box3) -> bool {
        self.share(moves, stays) && self.rect(moves).gap(&self.rect(stays), 0.0) < -STEP
    }

    /// True where both are somewhere along the hinge.
    fn share(&self, a: &Box3, b: &Box3) -> bool {
        let axis = self.axis();
        a.max().along(axis) > b.min().along(axis) && b.max().along(axis) > a.min().along(axis)
    }

    /// The angle in degrees at which a box that swings meets one that does not, if
    /// that is before the panel is open. `None` also where they overlap at rest.
    ///
    /// What overlaps by no more than 0.02 mm on the way is missed.
    pub(super) fn meets(&self, moves: &Box3, stays: &Box3) -> Option<f64> {
        if !self.share(moves, stays) {
            return None;
        }
        let (p, q) = (self.rect(moves), self.rect(stays));
        let radius = p.radius();
        if radius <= 0.0 || p.gap(&q, 0.0) < -STEP {
            return None;
        }
        let (mut angle, end) = (0.0, OPEN.to_radians());
        while angle < end {
            let gap = p.gap(&q, angle);
            if gap < -STEP {
                return Some(angle.to_degrees());
            }
            // No point moves farther than the radius times the angle, so that this
            // cannot jump over a meeting that is deeper than a step.
            angle += gap.max(STEP) / radius;
        }
        None
    }
}

impl Rect {
    fn corners(&self) -> [[f64; 2]; 4] {
        let ([a, b], [c, d]) = (self.low, self.high);
        [[a, b], [c, b], [c, d], [a, d]]
    }

    fn radius(&self) -> f64 {
        let far = self.corners().into_iter().map(|[x, y]| x.hypot(y));
        far.fold(0.0, f64::max)
    }

    /// How far the other is from this one turned by an angle, along the best of the
    /// four directions of their edges; negative where they overlap.
    fn gap(&self, other: &Rect, angle: f64) -> f64 {
        let (sin, cos) = angle.sin_cos();
        let turned = self
            .corners()
            .map(|[x, y]| [x * cos - y * sin, x * sin + y * cos]);
        let back = other
            .corners()
            .map(|[x, y]| [x * cos + y * sin, y * cos - x * sin]);
        let off = |corners: &[[f64; 2]; 4], rect: &Rect, i: usize| {
            let values = corners.iter().map(|c| c[i]);
            let low = values.clone().fold(f64::INFINITY, f64::min);
            let high = values.fold(f64::NEG_INFINITY, f64::max);
            (rect.low[i] - high).max(low - rect.high[i])
        };
        let gaps = [
            off(&turned, other, 0),
            off(&turned, other, 1),
            off(&back, self, 0),
            off(&back, self, 1),
        ];
        gaps.into_iter().fold(f64::NEG_INFINITY, f64::max)
    }
}

/// The hinged panel that a part is mounted on, itself or through the parts that
/// carry it, by the best hold of each.
pub(super) fn hinged<'a>(placed: &'a Placed, part: &PlacedPart) -> Option<(&'a Plate, Swing)> {
    let mut id = part.id.clone();
    // Parts may hold one another in a ring.
    for _ in 0..64 {
        let hold = placed.holds(&id).iter().find(|h| h.suffices())?;
        match &hold.zone.part {
            Some(carrier) => id = carrier.clone(),
            None => {
                let zone = placed.zone(&hold.zone)?;
                let all = &placed.enclosure().plates;
                let behind = |p: &&PlacedPlate| lies_behind(zone, p);
                let on = placed.plates().iter().filter(behind);
                let mut on = on.filter_map(|p| all.get(p.index as usize));
                return on.find_map(|p| Some((p, Swing::of(p)?)));
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::v;

    /// A lid 2 thick that opens upward about its edge at x = 0.
    fn lid() -> Swing {
        Swing {
            at: v(0.0, 0.0, 100.0),
            along: Dir::PosX,
            out: Dir::PosZ,
        }
    }

    fn cuboid(at: [f64; 3], size: [f64; 3]) -> Box3 {
        Box3::at(v(at[0], at[1], at[2]), v(size[0], size[1], size[2]))
    }

    #[test]
    fn a_corner_meets_a_wall_where_the_circle_says() {
        // From x 30 to 40, 30 below the hinge line. Its lower left corner (30, -30)
        // stays right of x = 30; the lower right one (40, -30) has the radius 50 and
        // gets to x = 50 when it is level: a wall from x = 45 on, between z 60 and
        // 140, is met where 50 cos(a) = 45 below the line: at -25.84 degrees, from
        // -36.87 at rest.
        let box_ = cuboid([30.0, 0.0, 70.0], [10.0, 10.0, 30.0]);
        let wall = cuboid([45.0, 0.0, 60.0], [5.0, 10.0, 80.0]);
        let angle = lid().meets(&box_, &wall).expect("they meet");
        let expected = (30f64 / 40.0).atan().to_degrees() - (0.9f64).acos().to_degrees();
        assert!((angle - expected).abs() < 0.2, "{angle} {expected}");
        // Beyond the radius it passes.
        let far = cuboid([50.0, 0.0, 60.0], [5.0, 10.0, 80.0]);
        assert_eq!(lid().meets(&box_, &far), None);
        // Beside it along the hinge as well.
        let beside = cuboid([45.0, 10.0, 60.0], [5.0, 10.0, 80.0]);
        assert_eq!(lid().meets(&box_, &beside), None);
    }

    #[test]
    fn against_many_small_turns() {
        // The same by brute force: corner and edge points of the mover at a thousand
        // angles, looked up in the other box.
        let swing = lid();
        for x in [10.0, 25.0, 60.0] {
            for deep in [5.0, 40.0] {
                let moves = cuboid([x, 0.0, 100.0 - deep], [30.0, 10.0, deep]);
                for at in [[95.0, 0.0, 80.0], [x + 31.0, 0.0, 20.0], [0.0, 0.0, 120.0]] {
                    let stays = cuboid(at, [20.0, 10.0, 15.0]);
                    let (p, q) = (swing.rect(&moves), swing.rect(&stays));
                    let hit = (0..=1000).find(|i| {
                        let a = f64::from(*i) / 1000.0 * OPEN.to_radians();
                        inside(&p, &q, a)
                    });
                    let brute = hit.map(|i| f64::from(i) / 1000.0 * OPEN);
                    match (swing.meets(&moves, &stays), brute) {
                        (None, None) => {}
                        (Some(a), Some(b)) => assert!((a - b).abs() < 1.5, "{a} {b}"),
                        other => panic!("{x} {deep} {at:?}: {other:?}"),
                    }
                }
            }
        }
    }

    /// True where one of many points of the turned rectangle lies well inside the
    /// other.
    fn inside(p: &Rect, q: &Rect, angle: f64) -> bool {
        let (sin, cos) = angle.sin_cos();
        let n = 60;
        (0..=n).any(|i| {
            (0..=n).any(|j| {
                let x = p.low[0] + (p.high[0] - p.low[0]) * f64::from(i) / f64::from(n);
                let y = p.low[1] + (p.high[1] - p.low[1]) * f64::from(j) / f64::from(n);
                let t = [x * cos - y * sin, x * sin + y * cos];
                (0..2).all(|k| t[k] > q.low[k] + 0.02 && t[k] < q.high[k] - 0.02)
            })
        })
    }
}
