//! The smallest gap between two things, with the place where it is.

use super::apart::apart;
use super::gap::{Body, Gap, between};
use super::sides::Thing;
use super::table::Placed;
use crate::geom::{Box3, Length, Solid, Vec3};
use crate::model::Space;

/// How two things stand to one another.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Closest {
    /// Apart; touching where the distance is zero.
    Apart {
        /// The smallest gap, to the nearest micrometre, never zero unless they touch.
        distance: Length,
        /// On the first.
        from: Vec3,
        /// On the second.
        to: Vec3,
        /// Whether both points lie on boxes.
        boxes: bool,
    },
    /// Their insides meet.
    Overlap {
        /// The shortest straight move that takes all of the one out of all of the other.
        depth: Length,
        /// That move, made by the second.
        away: Vec3,
        /// Whether it is the shortest for sure: see [`super::Apart`].
        is_least: bool,
        /// Where.
        region: Box3,
    },
}

impl Placed {
    /// The smallest gap between the solids of two things. `Err` says why there is
    /// none: one of them has no place or nothing solid, both are the same, or a
    /// shape cannot be measured.
    pub fn closest(&self, a: &Thing, b: &Thing) -> Result<Closest, String> {
        if a == b {
            return Err("that is one and the same thing".to_owned());
        }
        let (first, second) = (self.bodies(a)?, self.bodies(b)?);
        let mut best: Option<Closest> = None;
        for p in &first {
            for q in &second {
                // A little more than the best so far, so that equal ones do not
                // come out as 'beyond' before there is any.
                let limit = match &best {
                    Some(Closest::Apart { distance, .. }) => *distance,
                    Some(Closest::Overlap { .. }) => Length::um(1),
                    None => Length::um(i64::from(u32::MAX)),
                };
                match between(p, q, limit) {
                    Gap::Beyond => {}
                    Gap::Unjudged(why) => return Err(why),
                    Gap::Apart { distance, from, to } => {
                        let nearer = match &best {
                            Some(Closest::Apart { distance: d, .. }) => distance < *d,
                            Some(Closest::Overlap { .. }) => false,
                            None => true,
                        };
                        if nearer {
                            let solids = [p, q].map(|b| matches!(b.solid(), Solid::Box(_)));
                            best = Some(Closest::Apart {
                                distance,
                                from,
                                to,
                                boxes: solids == [true, true],
                            });
                        }
                    }
                    Gap::Overlap {
                        depth,
                        region,
                        away,
                        is_least,
                    } => {
                        let deeper = match &best {
                            Some(Closest::Overlap { depth: d, .. }) => depth > *d,
                            _ => true,
                        };
                        if deeper {
                            best = Some(Closest::Overlap {
                                depth,
                                away,
                                is_least,
                                region,
                            });
                        }
                    }
                }
            }
        }
        if let Some(Closest::Overlap {
            depth,
            away,
            is_least,
            ..
        }) = &mut best
        {
            let pairs: Vec<_> = pairs(&first, &second).collect();
            if let Some(out) = apart(&pairs) {
                (*depth, *away, *is_least) = (out.depth, out.away, out.is_least);
            }
        }
        best.ok_or_else(|| "they are too far apart to be measured".to_owned())
    }

    fn bodies(&self, thing: &Thing) -> Result<Vec<&Body>, String> {
        let bodies: Vec<&Body> = match thing {
            Thing::Part(id) => {
                let part = self
                    .part(id)
                    .ok_or_else(|| format!("'{id}' lies beside the enclosure"))?;
                part.of(Space::Solid).map(|p| &p.body).collect()
            }
            Thing::Plate(index) => {
                let plate = self.plates().iter().find(|p| p.index == *index);
                let plate = plate.ok_or("this enclosure has no such plate")?;
                plate.bodies().iter().collect()
            }
        };
        match bodies.is_empty() {
            true => Err(format!("{} has nothing solid", self.thing_words(thing))),
            false => Ok(bodies),
        }
    }

    /// A thing's name for people.
    pub fn thing_words(&self, thing: &Thing) -> String {
        match thing {
            Thing::Part(id) => self.part(id).map_or(id.to_string(), |p| p.name.clone()),
            Thing::Plate(index) => {
                let plate = self.plates().iter().find(|p| p.index == *index);
                plate.map_or_else(|| "a plate".to_owned(), |p| p.name.clone())
            }
        }
    }
}

fn pairs<'a>(a: &'a [&'a Body], b: &'a [&'a Body]) -> impl Iterator<Item = (&'a Body, &'a Body)> {
    a.iter().flat_map(move |p| b.iter().map(move |q| (*p, *q)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{self, Build, pid};
    use crate::model::Group;

    #[test]
    fn the_gap_is_taken_in_space_between_the_nearest_pieces() {
        let cube = build::block("cube", Group::Other, [10.0, 10.0, 10.0]);
        let scene = Build::open()
            .with("a", &cube, [20.0, 20.0, 20.0])
            // 2, 3 and 6 mm apart along the axes: a diagonal of 7 (4 + 9 + 36 = 49).
            .with("b", &cube, [32.0, 33.0, 36.0])
            .with("deep", &cube, [28.0, 22.0, 21.0])
            .with("next", &cube, [20.0, 10.0, 20.0])
            .scene;
        let placed = Placed::build(&scene);
        let part = |s: &str| Thing::Part(pid(s));
        let gap = |a: &str, b: &str| placed.closest(&part(a), &part(b));
        assert_eq!(
            gap("a", "b"),
            Ok(Closest::Apart {
                distance: Length::mm(7),
                from: Vec3::mm(30, 30, 30),
                to: Vec3::mm(32, 33, 36),
                boxes: true,
            })
        );
        assert!(
            matches!(gap("a", "next"), Ok(Closest::Apart { distance, .. }) if distance == Length::ZERO)
        );
        assert!(
            matches!(gap("a", "deep"), Ok(Closest::Overlap { depth, .. }) if depth == Length::mm(2))
        );
        assert!(gap("a", "a").is_err());
        assert!(gap("a", "nobody").is_err());
    }
}
