//! All solids of a scene in one world of the kernel: every near pair at once.
//!
//! What follows a change asks [`Placed::near`] for the few around one part; who wants the
//! whole scene, as the comparison does, asks here.

use super::Placed;
use super::gap::Body;
use super::sides::Thing;
use crate::geom::Length;
use crate::geom::kernel::{Shape, World};
use crate::model::Space;

/// Two things that stand apart, by less than was asked for.
#[derive(Clone, PartialEq, Debug)]
pub struct Near {
    /// A part.
    pub a: Thing,
    /// Another part or a plate.
    pub b: Thing,
    /// Their distance in micrometres, more than nothing.
    pub um: f64,
}

/// Near pairs of a scene.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct AllNear {
    /// The nearest first; what touches or overlaps is not among them.
    pub pairs: Vec<Near>,
    /// Solids that the kernel cannot take; they are in no pair.
    pub unjudged: usize,
}

impl Placed {
    /// All pairs of parts, and of a part and a plate, with a gap under `reach`; `None` where the
    /// bounds of more than `most` pairs come that near.
    pub fn all_near(&self, reach: Length, most: usize) -> Option<AllNear> {
        let mut all = AllNear::default();
        let mut things = Vec::new();
        let mut bodies: Vec<Vec<Shape>> = Vec::new();
        let mut take = |thing: Thing, solids: &mut dyn Iterator<Item = &Body>| {
            let shapes = solids.filter_map(|body| match body.shape() {
                Ok(shape) => Some(shape.clone()),
                Err(_) => {
                    all.unjudged += 1;
                    None
                }
            });
            bodies.push(shapes.collect());
            things.push(thing);
        };
        for part in self.parts() {
            let mut solids = part.of(Space::Solid).map(|p| &p.body);
            take(Thing::Part(part.id.clone()), &mut solids);
        }
        let parts = self.parts().count() as u32;
        for plate in self.plates() {
            take(Thing::Plate(plate.index), &mut plate.bodies().iter());
        }
        let world = World::build(&bodies, reach.as_um() as f64);
        if world.is_crowded(most) {
            return None;
        }
        let near = world.near_pairs().into_iter();
        all.pairs = near
            .filter(|p| p.a < parts && p.distance() > 0.0)
            .map(|p| Near {
                a: things[p.a as usize].clone(),
                b: things[p.b as usize].clone(),
                um: p.distance(),
            })
            .collect();
        // Pairs of one distance stay in the order of the scene.
        all.pairs.sort_by(|p, q| p.um.total_cmp(&q.um));
        Some(all)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block, enclosure, pid};
    use crate::model::Group;

    #[test]
    fn pairs_come_by_distance_and_touching_is_none() {
        let cube = block("cube", Group::Drive, [10.0; 3]);
        let b = Build::new(enclosure([400.0, 400.0, 400.0]))
            .with("a", &cube, [100.0, 100.0, 100.0])
            .with("b", &cube, [110.0, 100.0, 100.0])
            .with("c", &cube, [113.0, 114.0, 100.0])
            .with("d", &cube, [200.0, 200.0, 200.0]);
        let placed = Placed::build(&b.scene);
        let all = placed.all_near(Length::mm(6), 100).expect("few");
        let said: Vec<_> = all.pairs.iter().map(|n| (&n.a, &n.b, n.um)).collect();
        let part = |id: &str| Thing::Part(pid(id));
        // b and c are 4 apart, a and c 3-4-5; a and b touch; d is far from all.
        let (a, b, c) = (part("a"), part("b"), part("c"));
        assert_eq!(said, [(&b, &c, 4000.0), (&a, &c, 5000.0)]);
        assert_eq!(all.unjudged, 0);
        assert_eq!(
            placed.all_near(Length::mm(6), 1),
            None,
            "more pairs than wanted"
        );
    }
}
