//! The smallest gap.

use super::super::{Better, Column, Facts, Figure, Value};
use crate::geom::{Box3, Length, Vec3};
use crate::model::Space;
use crate::placement::{AllNear, Body, Gap, Placed, PlacedPart, PlacedPlate, Thing, between};

/// Pairs whose bounds come near, at most.
const MOST: usize = 400_000;

/// Smallest gap and where.
pub(super) struct SmallestGap;

impl Column for SmallestGap {
    fn id(&self) -> &'static str {
        "smallest_gap"
    }

    fn title(&self) -> &'static str {
        "Smallest gap"
    }

    fn unit(&self) -> &'static str {
        "mm"
    }

    fn about(&self) -> &'static str {
        "The shortest distance between two parts, or a part and a plate, that neither touch nor \
         overlap: what overlaps is among the findings. Parts that hold one another, a part and the \
         plate that it is mounted on, and a part and the plate whose opening it belongs to are left \
         out."
    }

    fn better(&self) -> Better {
        Better::More
    }

    fn figure(&self, facts: Facts<'_>) -> Figure {
        let placed = facts.checker.placed();
        let size = placed.enclosure().size;
        let end = (size.x + size.y + size.z).max(Length::mm(1));
        let mut search = Search::default();
        // Most builds have something within a few millimetres: look there first.
        let mut reach = Length::mm(4);
        let mut missing = None;
        loop {
            let Some(all) = placed.all_near(reach, MOST) else {
                missing = Some("too many parts stand together to measure every gap".to_owned());
                break;
            };
            if all.unjudged > 0 {
                let n = all.unjudged;
                missing = Some(format!("the gaps of {n} solids could not be measured"));
            }
            search.look(placed, &all);
            if search.nearest.is_some() || reach >= end {
                break;
            }
            reach = reach * 4;
        }
        match search.nearest {
            Some((gap, place, words)) => Figure::of(Value::Length(gap)).note(words).at(place),
            None => Figure::none("no two parts stand apart from one another"),
        }
        .missing(missing)
    }
}

#[derive(Default)]
struct Search {
    nearest: Option<(Length, Box3, String)>,
}

impl Search {
    /// Looks for the first of the pairs, the nearest first, that counts.
    fn look(&mut self, placed: &Placed, all: &AllNear) {
        for near in &all.pairs {
            let least = self.nearest.as_ref().map(|n| n.0.as_um() as f64);
            if least.is_some_and(|least| near.um > least + 1.0) {
                return;
            }
            let Thing::Part(id) = &near.a else { continue };
            let Some(part) = placed.part(id) else {
                continue;
            };
            match &near.b {
                Thing::Part(other) if !placed.holds_each_other(id, other) => {
                    if let Some(other) = placed.part(other) {
                        let theirs = other.of(Space::Solid).map(|p| &p.body);
                        self.pair(part, theirs, near.um, || words(&part.name, &other.name));
                    }
                }
                Thing::Part(_) => {}
                Thing::Plate(index) => {
                    let plate = placed.plates().get(*index as usize);
                    if let Some(plate) = plate.filter(|p| !belongs(placed, part, p)) {
                        let theirs = plate.bodies().iter();
                        self.pair(part, theirs, near.um, || words(&part.name, &plate.name));
                    }
                }
            }
        }
    }

    /// The place of a gap that is known, to the micrometre.
    fn pair<'a>(
        &mut self,
        part: &PlacedPart,
        others: impl Iterator<Item = &'a Body>,
        um: f64,
        words: impl Fn() -> String,
    ) {
        let mut found: Option<(Length, Vec3, Vec3)> = None;
        let least = self.nearest.as_ref().map(|n| n.0);
        let mut limit = least.unwrap_or(Length::um(um.ceil() as i64 + 2));
        let own: Vec<&Body> = part.of(Space::Solid).map(|p| &p.body).collect();
        for other in others {
            for body in &own {
                match between(body, other, limit) {
                    // A pair that touches anywhere has no gap.
                    Gap::Overlap { .. } => return,
                    Gap::Apart { distance, .. } if distance <= Length::ZERO => return,
                    Gap::Apart { distance, from, to } if distance < limit => {
                        limit = distance;
                        found = Some((distance, from, to));
                    }
                    Gap::Apart { .. } | Gap::Beyond | Gap::Unjudged(_) => {}
                }
            }
        }
        if let Some((gap, from, to)) = found {
            self.nearest = Some((gap, Box3::new(from, to), words()));
        }
    }
}

fn words(a: &str, b: &str) -> String {
    format!("between {a} and {b}")
}

/// True where a part is mounted on a plate, or has a face that belongs to one of its
/// openings.
fn belongs(placed: &Placed, part: &PlacedPart, plate: &PlacedPlate) -> bool {
    let mounted = placed.holds(&part.id).iter().any(|hold| {
        hold.zone.part.is_none()
            && placed.zone(&hold.zone).is_some_and(|zone| {
                let face = zone.frame.block(zone.size, Length::ZERO);
                face.intersection(&plate.bounds).is_some()
            })
    });
    let opening = || {
        let openings = &placed.enclosure().openings;
        openings.iter().any(|o| {
            let hole = o.frame.block(o.size, Length::ZERO);
            part.outlets.iter().any(|outlet| outlet.kind == o.kind)
                && hole.intersection(&plate.bounds).is_some()
        })
    };
    mounted || opening()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block, enclosure};
    use crate::model::Group;

    fn figure(b: &Build) -> Figure {
        let checker = b.checked();
        let facts = Facts {
            scene: &b.scene,
            checker: &checker,
        };
        SmallestGap.figure(facts)
    }

    #[test]
    fn the_nearest_pair_is_found_near_and_far_and_touching_is_no_gap() {
        let cube = block("cube", Group::Drive, [10.0; 3]);
        let b = Build::new(enclosure([400.0, 400.0, 400.0]))
            .with("a", &cube, [100.0, 100.0, 100.0])
            .with("b", &cube, [110.0, 100.0, 100.0])
            .with("c", &cube, [103.0, 114.0, 100.0]);
        // c is 4 to the back of both a and b; a and b touch.
        let f = figure(&b);
        assert_eq!(f.value, Some(Value::Length(Length::mm(4))));
        assert!(f.note.starts_with("between cube"), "{}", f.note);
        // 3-4-5: from the corner of one to the corner of the other.
        let far = Build::new(enclosure([4000.0, 4000.0, 4000.0]))
            .with("a", &cube, [1000.0, 1000.0, 1000.0])
            .with("b", &cube, [1310.0, 1410.0, 1000.0]);
        assert_eq!(figure(&far).value, Some(Value::Length(Length::mm(500))));
    }

    #[test]
    fn alone_in_the_open_there_is_no_gap() {
        let cube = block("cube", Group::Drive, [10.0; 3]);
        let b = Build::open().with("a", &cube, [10.0, 10.0, 10.0]);
        let f = figure(&b);
        assert_eq!((f.value, f.missing, f.place), (None, None, None));
    }
}
