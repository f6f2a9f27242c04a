//! How far a part could go straight on each of its six sides before it meets
//! something.

use super::gap::{Body, travel_to};
use super::table::Placed;
use crate::geom::{Axis, Box3, Dir, Length, Vec3};
use crate::model::{PartId, Space};
use std::collections::BTreeSet;

/// What a measurement ends at.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Thing {
    /// A placed part.
    Part(PartId),
    /// A plate of the enclosure, by its position in [`Placed::plates`].
    Plate(u32),
}

/// What lies next to a part in one direction.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Side {
    /// The direction looked in.
    pub dir: Dir,
    /// How far the part could move that way until solids touch: exact between
    /// boxes, within a micrometre and never too much for other shapes. Zero where
    /// they touch already or overlap.
    pub distance: Length,
    /// On the part's side.
    pub from: Vec3,
    /// Where it would meet the neighbour, straight ahead of `from`.
    pub to: Vec3,
    /// The neighbour.
    pub to_what: Thing,
}

impl Placed {
    /// The neighbours of a part on its six sides, in the order of [`Dir::ALL`];
    /// `None` where nothing solid stands in the way. Parts in `without` are looked
    /// through: those that move along. `None` in all where the part has no place.
    pub fn sides(&self, id: &PartId, without: &BTreeSet<PartId>) -> [Option<Side>; 6] {
        Dir::ALL.map(|dir| self.side(id, dir, without))
    }

    /// As [`Self::sides`], for a part and all that moves along with it: on each side the least
    /// room of any of them, and what that one would meet.
    pub fn sides_together(&self, moving: &BTreeSet<PartId>) -> [Option<Side>; 6] {
        Dir::ALL.map(|dir| {
            let sides = moving.iter().filter_map(|id| self.side(id, dir, moving));
            sides.min_by_key(|s| s.distance)
        })
    }

    fn side(&self, id: &PartId, dir: Dir, without: &BTreeSet<PartId>) -> Option<Side> {
        let part = self.part(id)?;
        let own: Vec<&Body> = part.of(Space::Solid).map(|p| &p.body).collect();
        let bounds = Box3::around(own.iter().map(|b| b.bounds()))?;
        let swept = self.swept(bounds, dir)?;
        let mut best: Option<(Length, Vec3, Thing)> = None;
        let mut meet = |bodies: &mut dyn Iterator<Item = &Body>, thing: &dyn Fn() -> Thing| {
            for other in bodies.filter(|o| o.bounds().overlaps(&swept)) {
                for body in &own {
                    let limit = best.as_ref().map(|b| b.0);
                    let Some((way, at)) = travel_to(body, other, dir, limit) else {
                        continue;
                    };
                    if limit.is_none_or(|l| way < l) {
                        best = Some((way, at, thing()));
                    }
                }
            }
        };
        for other in self.near(&swept, Length::ZERO) {
            if other.id != *id && !without.contains(&other.id) {
                let mut bodies = other.of(Space::Solid).map(|p| &p.body);
                meet(&mut bodies, &|| Thing::Part(other.id.clone()));
            }
        }
        for plate in self.plates_near(&swept, Length::ZERO) {
            meet(&mut plate.bodies().iter(), &|| Thing::Plate(plate.index));
        }
        let (distance, at, to_what) = best?;
        Some(Side {
            dir,
            distance,
            from: at,
            to: at + dir.times(distance),
            to_what,
        })
    }

    /// What a box passes over on its way out of everything there is.
    fn swept(&self, b: Box3, dir: Dir) -> Option<Box3> {
        let plates = self.plates().iter().map(|p| &p.bounds);
        let parts = self.parts().map(|p| &p.span);
        let all = Box3::around(plates.chain(parts))?;
        let axis = dir.axis();
        let end = match dir.is_positive() {
            true => all.max().along(axis).max(b.max().along(axis)),
            false => all.min().along(axis).min(b.min().along(axis)),
        };
        Some(Box3::new(
            b.min().with(axis, b.min().along(axis).min(end)),
            b.max().with(axis, b.max().along(axis).max(end)),
        ))
    }
}

/// How far a box can go until it meets another, and a point of its face that
/// meets it: the middle of what both share. `None` where it passes by, where it
/// only grazes, and where the other one is behind.
pub(super) fn box_travel(a: &Box3, b: &Box3, dir: Dir) -> Option<(Length, Vec3)> {
    let along = dir.axis();
    let mut at = Vec3::ZERO;
    for axis in Axis::ALL.into_iter().filter(|x| *x != along) {
        let low = a.min().along(axis).max(b.min().along(axis));
        let high = a.max().along(axis).min(b.max().along(axis));
        if low >= high {
            return None;
        }
        at.set(axis, (low + high).half());
    }
    at.set(along, a.face(dir));
    let ahead = (b.face(dir.opposite()) - a.face(dir)).as_um() * dir.sign();
    if ahead >= 0 {
        return Some((Length::um(ahead), at));
    }
    a.overlaps(b).then_some((Length::ZERO, at))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{self, Build, pid};
    use crate::geom::Solid;
    use crate::model::{Group, PartKind};

    fn placed(parts: &[(&str, PartKind, [f64; 3])]) -> Placed {
        let with = |b: Build, (id, kind, at): &(&str, PartKind, [f64; 3])| b.with(id, kind, *at);
        Placed::build(&parts.iter().fold(Build::open(), with).scene)
    }

    fn cube(id: &str, size: [f64; 3]) -> PartKind {
        build::block(id, Group::Other, size)
    }

    fn way(placed: &Placed, of: &str, dir: Dir, without: &[&str]) -> Option<(Length, Thing)> {
        let without = without.iter().map(|w| pid(w)).collect();
        let sides = placed.sides(&pid(of), &without);
        let side = sides.into_iter().flatten().find(|s| s.dir == dir)?;
        assert_eq!(side.to, side.from + dir.times(side.distance));
        Some((side.distance, side.to_what))
    }

    #[test]
    fn each_side_names_what_is_next_and_how_far() {
        let placed = placed(&[
            ("a", cube("k", [20.0, 20.0, 20.0]), [50.0, 50.0, 10.0]),
            ("b", cube("k", [20.0, 20.0, 20.0]), [82.0, 60.0, 10.0]),
            ("behind", cube("k2", [5.0, 5.0, 5.0]), [110.0, 60.0, 15.0]),
            ("grazing", cube("k", [20.0, 20.0, 20.0]), [10.0, 70.0, 10.0]),
            (
                "touching",
                cube("k3", [20.0, 20.0, 5.0]),
                [50.0, 50.0, 30.0],
            ),
        ]);
        let part = |s: &str| Thing::Part(pid(s));
        let right = |without: &[&str]| way(&placed, "a", Dir::PosX, without);
        assert_eq!(right(&[]), Some((Length::mm(12), part("b"))));
        // Parts that move along are looked through.
        assert_eq!(right(&["b"]), Some((Length::mm(40), part("behind"))));
        let up = way(&placed, "a", Dir::PosZ, &[]);
        assert_eq!(up, Some((Length::ZERO, part("touching"))));
        // 'grazing' begins in y where 'a' ends: they would slide past one another.
        assert_eq!(way(&placed, "a", Dir::NegX, &[]), None);
        // Nothing above: there is no lid. An overlap counts as no room at all.
        assert_eq!(way(&placed, "touching", Dir::PosZ, &[]), None);
        assert_eq!(way(&placed, "nobody", Dir::PosZ, &[]), None);
        // Together they have the room of the one that has least: 110 - (82 + 20).
        let both = placed.sides_together(&[pid("a"), pid("b")].into());
        let right = both.into_iter().flatten().find(|s| s.dir == Dir::PosX);
        let right = right.expect("there is something at the right");
        assert_eq!(
            (right.distance, right.to_what),
            (Length::mm(8), part("behind"))
        );
    }

    #[test]
    fn a_cylinder_is_met_where_it_is_and_not_at_its_box() {
        let round = Solid::Cylinder {
            axis: Axis::Z,
            base: Vec3::mm(10, 10, 0),
            radius: Length::mm(10),
            height: Length::mm(20),
        };
        let mut post = cube("post", [20.0, 20.0, 20.0]);
        post.body = vec![build::solid(round)];
        let placed = placed(&[
            ("a", cube("k", [20.0, 20.0, 20.0]), [50.0, 50.0, 10.0]),
            ("c", post, [90.0, 65.0, 10.0]),
        ]);
        // The block's edge meets the circle 5 mm off its middle line, where its
        // chord lies 10 - sqrt(100 - 25) mm behind its box (closed form).
        let expected = 20.0 + 10.0 - 75f64.sqrt();
        let (got, _) = way(&placed, "a", Dir::PosX, &[]).expect("it is in the way");
        assert!((got.as_mm() - expected).abs() <= 0.001, "{got} {expected}");
        assert!(got.as_mm() <= expected + 0.0005);
    }
}
