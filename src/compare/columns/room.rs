//! Free room.

use super::super::{Better, Column, Facts, Figure, Value};
use crate::geom::{Solid, free_mm3};
use crate::model::Space;

/// Volume inside the enclosure that nothing fills.
pub(super) struct FreeRoom;

impl Column for FreeRoom {
    fn id(&self) -> &'static str {
        "free_room"
    }

    fn title(&self) -> &'static str {
        "Free room"
    }

    fn unit(&self) -> &'static str {
        "l"
    }

    fn about(&self) -> &'static str {
        "The enclosure's outer box less everything solid in it: plates and parts, each place \
         counted once. Exact for boxes; round and slanted solids are cut into strips of their own \
         area. Cables and hoses are not taken off."
    }

    fn better(&self) -> Better {
        Better::More
    }

    fn figure(&self, facts: Facts<'_>) -> Figure {
        let placed = facts.checker.placed();
        let parts = placed.parts().flat_map(|p| p.of(Space::Solid));
        let parts = parts.map(|p| p.solid.clone());
        let plates = placed
            .plates()
            .iter()
            .flat_map(|p| p.solids.iter().cloned());
        let solids: Vec<Solid> = plates.chain(parts).collect();
        let room = placed.enclosure().outline();
        match free_mm3(&room, &solids) {
            Some(free) => {
                let share = 100.0 * free / room.volume_mm3().max(1.0);
                Figure::of(Value::Litres(free / 1e6)).note(format!("{share:.0} % of the outer box"))
            }
            None => Figure::default().missing(Some("too many solids to add up".to_owned())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block, enclosure, plate};
    use crate::model::Group;

    #[test]
    fn plates_and_parts_are_taken_off_once_and_only_inside() {
        // 100 x 100 x 100 with a floor of 100 x 100 x 2 and two blocks of 20 x 20 x 20:
        // one stands 5 deep in the floor... by 2, one half outside.
        let mut case = enclosure([100.0, 100.0, 100.0]);
        case.plates = vec![plate("floor", [0.0; 3], [100.0, 100.0, 2.0])];
        let cube = block("cube", Group::Drive, [20.0; 3]);
        let b = Build::new(case).with("a", &cube, [10.0, 10.0, 0.0]).with(
            "b",
            &cube,
            [90.0, 50.0, 50.0],
        );
        let checker = b.checked();
        let facts = Facts {
            scene: &b.scene,
            checker: &checker,
        };
        let free = 1_000_000.0 - 20_000.0 - (8000.0 - 800.0) - 4000.0;
        assert_eq!(
            FreeRoom.figure(facts).value,
            Some(Value::Litres(free / 1e6))
        );
    }
}
