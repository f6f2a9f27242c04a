//! Whether a place is free of other solids, before anything is put there.

use super::gap::{Gap, between};
use super::part::PlacedPart;
use super::table::Placed;
use crate::geom::Length;
use crate::model::{Part, PartId, Place, Space};
use std::collections::BTreeSet;

impl Placed {
    /// True where the part would meet nothing solid at this place; touching is no
    /// meeting, and a shape that cannot be judged counts as met. Parts in `without`
    /// are looked through: the part itself, what moves along, the one it plugs into.
    pub fn vacant(
        &self,
        id: &PartId,
        part: &Part,
        place: &Place,
        without: &BTreeSet<PartId>,
    ) -> bool {
        let new = PlacedPart::new(id, part, place);
        new.of(Space::Solid).all(|piece| {
            let free = |other| {
                matches!(
                    between(&piece.body, other, Length::um(1)),
                    Gap::Beyond | Gap::Apart { .. }
                )
            };
            let parts = self.near(&piece.bounds, Length::ZERO);
            let mut parts = parts
                .into_iter()
                .filter(|p| p.id != *id && !without.contains(&p.id));
            let mut plates = self.plates_near(&piece.bounds, Length::ZERO).into_iter();
            parts.all(|p| p.of(Space::Solid).all(|o| free(&o.body)))
                && plates.all(|p| p.bodies().iter().all(free))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{self, Build, pid};
    use crate::geom::Vec3;
    use crate::model::Group;
    use std::sync::Arc;

    #[test]
    fn touching_is_free_and_a_micrometre_more_is_not() {
        let cube = build::block("cube", Group::Other, [10.0, 10.0, 10.0]);
        let placed = Placed::build(&Build::open().with("a", &cube, [20.0, 20.0, 20.0]).scene);
        let part = Part {
            name: "new".into(),
            kind: Arc::new(cube),
        };
        let free = |at: Vec3, without: &[&str]| {
            let without = without.iter().map(|w| pid(w)).collect();
            placed.vacant(&pid("new"), &part, &Place::at(at), &without)
        };
        assert!(free(Vec3::mm(30, 20, 20), &[]));
        let inside = Vec3::mm(30, 20, 20) - Vec3::new(Length::um(1), Length::ZERO, Length::ZERO);
        assert!(!free(inside, &[]));
        assert!(free(inside, &["a"]));
    }
}
