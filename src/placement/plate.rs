//! Plates of the enclosure with their cut-outs taken out.

use super::gap::Body;
use super::plate_cut::{cut_box, cut_extrusion};
use crate::geom::{Box3, Solid};
use crate::model::{Cutout, Enclosure, Idle, Plate};
use std::sync::Arc;

/// A plate as others meet it.
#[derive(Clone, PartialEq, Debug)]
pub struct PlacedPlate {
    /// Its position in the enclosure's list.
    pub index: u32,
    /// Its id.
    pub id: String,
    /// For people.
    pub name: String,
    /// The smallest box around the whole plate.
    pub bounds: Box3,
    /// What is left of it, in pieces that do not overlap.
    ///
    /// A rectangular opening is exact. A round one is a polygon inside the circle
    /// that leaves a few micrometres (of very many corners up to 0.13 % of the radius) less
    /// free than there is: a part that is said to pass does pass. What goes straight through
    /// it is measured against the circle itself.
    pub solids: Vec<Solid>,
    /// Its openings that take nothing out of it, by their position in its list.
    pub idle: Vec<(usize, Idle)>,
    /// Set where an opening could not be taken out; the plate is then whole there.
    pub uncut: Option<String>,
    /// The solids, ready to be measured.
    bodies: Vec<Body>,
}

impl PlacedPlate {
    /// All of an enclosure.
    pub(super) fn all(enclosure: &Enclosure) -> Arc<[PlacedPlate]> {
        let plates = enclosure.plates.iter().enumerate();
        plates.map(|(i, p)| PlacedPlate::new(i, p)).collect()
    }

    /// The plate with its openings.
    pub fn new(index: usize, plate: &Plate) -> PlacedPlate {
        let mut placed = PlacedPlate {
            index: u32::try_from(index).unwrap_or(u32::MAX),
            id: plate.id.clone(),
            name: plate.name.clone(),
            bounds: plate.solid.bounds(),
            solids: vec![plate.solid.clone()],
            idle: plate.idle().collect(),
            uncut: None,
            bodies: vec![plate.solid.clone().into()],
        };
        let cutouts: Vec<Cutout> = plate.open().map(|(_, c)| c.clone()).collect();
        if cutouts.is_empty() {
            return placed;
        }
        let (pieces, why) = match &plate.solid {
            Solid::Box(b) => cut_box(*b, plate.across(), &cutouts),
            Solid::Extrusion { .. } => cut_extrusion(&plate.solid, &cutouts),
            Solid::Cylinder { .. } => {
                let whole = vec![Body::from(plate.solid.clone())];
                (whole, Some("it is a cylinder"))
            }
        };
        placed.uncut = why.map(|why| {
            format!(
                "not every opening of {} could be taken out: {why}",
                plate.name
            )
        });
        placed.solids = pieces.iter().map(|b| b.solid().clone()).collect();
        placed.bodies = pieces;
        placed
    }

    /// The solids, ready to be measured.
    pub fn bodies(&self) -> &[Body] {
        &self.bodies
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Axis, Length, Vec3};
    use crate::model::Cutout;

    fn wall(cutouts: Vec<Cutout>) -> PlacedPlate {
        PlacedPlate::new(
            0,
            &Plate {
                id: "rear".into(),
                name: "rear wall".into(),
                solid: Solid::Box(Box3::at(Vec3::ZERO, Vec3::mm(100, 1, 50))),
                cutouts,
                panel: None,
            },
        )
    }

    fn volume(p: &PlacedPlate) -> f64 {
        p.solids
            .iter()
            .map(|s| match s {
                Solid::Box(b) => b.volume_mm3(),
                Solid::Extrusion {
                    low,
                    high,
                    outline,
                    holes,
                    ..
                } => {
                    let mm = |l: Length| l.as_mm();
                    let area = |ring: &crate::geom::Ring| -> f64 {
                        let twice: f64 = ring
                            .iter()
                            .zip(ring.iter().cycle().skip(1))
                            .map(|(p, q)| mm(p[0]) * mm(q[1]) - mm(q[0]) * mm(p[1]))
                            .sum();
                        (twice / 2.0).abs()
                    };
                    (area(outline) - holes.iter().map(area).sum::<f64>()) * mm(*high - *low)
                }
                Solid::Cylinder { .. } => 0.0,
            })
            .sum()
    }

    #[test]
    fn a_rectangle_leaves_exactly_the_rest() {
        let rect = Cutout::Rect(Box3::at(Vec3::mm(10, 0, 10), Vec3::mm(20, 1, 30)));
        let plate = wall(vec![rect]);
        assert_eq!(plate.solids.len(), 4);
        assert_eq!(volume(&plate), 5000.0 - 600.0);
        assert_eq!(plate.uncut, None);
    }

    #[test]
    fn openings_that_meet_are_taken_out_once() {
        let rect = |x| Cutout::Rect(Box3::at(Vec3::mm(x, 0, 10), Vec3::mm(20, 1, 10)));
        assert_eq!(volume(&wall(vec![rect(10), rect(20)])), 5000.0 - 300.0);
    }

    #[test]
    fn a_round_opening_leaves_at_least_the_material_that_is_there() {
        let round = Cutout::Round {
            centre: Vec3::mm(50, 0, 25),
            diameter: Length::mm(40),
        };
        let plate = wall(vec![round]);
        let left = volume(&plate);
        // Area of the circle: pi/4 d^2.
        let exact = 5000.0 - std::f64::consts::PI / 4.0 * 1600.0;
        assert!(left >= exact && left < exact * 1.002, "{left} {exact}");
        // Nothing of the plate lies in the middle of the opening.
        let middle = Box3::at(Vec3::mm(37, 0, 12), Vec3::mm(26, 1, 26));
        let boxes = plate.solids.iter().filter_map(|s| match s {
            Solid::Box(b) => Some(*b),
            _ => None,
        });
        assert!(boxes.into_iter().all(|b| !b.overlaps(&middle)));
    }

    /// The least gap of a rod along y from the plate, or how deep it stands in it.
    fn rod_gap(plate: &PlacedPlate, x: Length, z: Length, radius: Length) -> Option<Length> {
        let rod: Body = Solid::Cylinder {
            axis: Axis::Y,
            base: Vec3::new(x, Length::mm(-20), z),
            radius,
            height: Length::mm(60),
        }
        .into();
        let gaps =
            plate
                .bodies()
                .iter()
                .map(|b| match super::super::between(&rod, b, Length::mm(90)) {
                    super::super::Gap::Apart { distance, .. } => Some(distance),
                    super::super::Gap::Beyond => Some(Length::mm(90)),
                    _ => None,
                });
        gaps.collect::<Option<Vec<_>>>()?.into_iter().min()
    }

    #[test]
    fn a_rod_passes_a_round_opening_and_one_that_is_too_thick_never_does() {
        let (x, z) = (Length::um(50_137), Length::um(25_003));
        let opening = Cutout::Round {
            centre: Vec3::new(x, Length::ZERO, z),
            diameter: Length::mm(40),
        };
        let plain = wall(vec![opening.clone()]);
        let p = |x, y| [Length::mm(x), Length::mm(y)];
        // The same wall as an outline: its opening is a hole of it.
        let outlined = PlacedPlate::new(
            0,
            &Plate {
                id: "rear".into(),
                name: "rear wall".into(),
                solid: Solid::Extrusion {
                    axis: Axis::Y,
                    low: Length::ZERO,
                    high: Length::mm(1),
                    outline: vec![p(0, 0), p(50, 0), p(50, 100), p(0, 100)],
                    holes: vec![],
                },
                cutouts: vec![opening],
                panel: None,
            },
        );
        // The rod is straight along the opening: it is measured against the circle.
        for plate in [&plain, &outlined] {
            assert_eq!(plate.uncut, None);
            let gap = rod_gap(plate, x, z, Length::um(19_900)).expect("passes");
            assert_eq!(gap, Length::um(100));
            assert_eq!(rod_gap(plate, x, z, Length::mm(20)), Some(Length::ZERO));
            assert!(rod_gap(plate, x, z, Length::um(20_001)).is_none());
            // Off the middle by a known way: the gap shrinks by it.
            let off = rod_gap(plate, x + Length::mm(5), z, Length::mm(10)).expect("passes");
            assert_eq!(off, Length::mm(5));
        }
    }

    #[test]
    fn no_point_of_the_plate_is_lost_beside_a_round_opening() {
        // Points just outside the circle, all around: a thin rod there always
        // meets material, so a pass is never claimed falsely.
        let centre = (Length::um(50_137), Length::um(25_003));
        let plate = wall(vec![Cutout::Round {
            centre: Vec3::new(centre.0, Length::ZERO, centre.1),
            diameter: Length::um(33_331),
        }]);
        for i in 0..720 {
            let t = f64::from(i).to_radians() / 2.0;
            let at = |c: Length, d: f64| c + Length::um((16_670.0 * d).round() as i64);
            let (x, z) = (at(centre.0, t.cos()), at(centre.1, t.sin()));
            assert!(rod_gap(&plate, x, z, Length::um(2)).is_none(), "{i}");
        }
    }

    #[test]
    fn what_cannot_be_cut_is_said() {
        let plate = PlacedPlate::new(
            0,
            &Plate {
                id: "disc".into(),
                name: "disc".into(),
                solid: Solid::Cylinder {
                    axis: Axis::Y,
                    base: Vec3::mm(50, 0, 25),
                    radius: Length::mm(20),
                    height: Length::mm(1),
                },
                cutouts: vec![round(50.0, 25.0, 10.0)],
                panel: None,
            },
        );
        assert!(plate.uncut.is_some_and(|why| why.contains("cylinder")));
        assert_eq!(plate.solids.len(), 1);
    }

    fn round(x: f64, z: f64, diameter: f64) -> Cutout {
        let mm = |v: f64| Length::from_mm(v).expect("in range");
        Cutout::Round {
            centre: Vec3::new(mm(x), Length::ZERO, mm(z)),
            diameter: mm(diameter),
        }
    }

    #[test]
    fn round_openings_over_an_edge_and_over_one_another_are_taken_out() {
        use std::f64::consts::PI;
        // Polygons of 248 corners in the circle leave 1 - sin(a)/a, a = 2 pi/248, of the disc
        // too much, 0.13 at most here, and rounding inwards half a micrometre along the rim.
        let polygon = |plate: &PlacedPlate, exact: f64| {
            let over = volume(plate) - exact;
            assert!((0.0..0.25).contains(&over), "{over}");
        };
        // Half a disc of 40 over the lower edge: pi 20^2 / 2.
        let edge = wall(vec![round(50.0, 0.0, 40.0)]);
        assert_eq!(edge.uncut, None);
        let exact = 5000.0 - PI * 200.0;
        polygon(&edge, exact);
        // Two of 20 with middles 10 apart share a lens of 2 r^2 acos(1/2) - (d/2) sqrt(4 r^2 - d^2)
        // (closed form of two equal circles).
        let two = wall(vec![round(45.0, 25.0, 20.0), round(55.0, 25.0, 20.0)]);
        let lens = 2.0 * 100.0 * (0.5_f64).acos() - 5.0 * 300f64.sqrt();
        let exact = 5000.0 - (2.0 * PI * 100.0 - lens);
        assert_eq!(two.uncut, None);
        polygon(&two, exact);
        // A keyhole: a round one with a slot that begins in it and ends at 40.
        let slot = Cutout::Rect(Box3::at(Vec3::mm(48, 0, 25), Vec3::mm(4, 1, 15)));
        let key = wall(vec![round(50.0, 25.0, 20.0), slot]);
        // The slot above the disc: 4 x 15 less what lies in the disc, the integral of
        // sqrt(100 - x^2) from -2 to 2.
        let within = 2.0 * 96f64.sqrt() + 100.0 * (0.2_f64).asin();
        let exact = 5000.0 - (PI * 100.0 + 60.0 - within);
        assert_eq!(key.uncut, None);
        polygon(&key, exact);
        // A rod through the slot's middle: 2 from either side of it.
        let (x, z) = (Length::mm(50), Length::mm(37));
        assert_eq!(rod_gap(&key, x, z, Length::mm(1)), Some(Length::mm(1)));
        assert_eq!(rod_gap(&key, x, z, Length::mm(2)), Some(Length::ZERO));
        assert!(rod_gap(&key, x, z, Length::um(2001)).is_none());
    }

    #[test]
    fn what_is_as_large_as_its_round_opening_touches_it() {
        let plates = [
            wall(vec![round(50.0, 25.0, 40.0)]),
            // Over the edge as well, where the kernel sees other pieces.
            wall(vec![round(50.0, 25.0, 40.0), round(20.0, 25.0, 30.0)]),
        ];
        for plate in &plates {
            let (x, z) = (Length::mm(50), Length::mm(25));
            assert_eq!(rod_gap(plate, x, z, Length::mm(20)), Some(Length::ZERO));
            assert!(rod_gap(plate, x, z, Length::um(20_005)).is_none());
            assert_eq!(
                rod_gap(plate, x, z, Length::um(19_999)),
                Some(Length::um(1))
            );
            // A box of 32 x 24 has its corners on the circle: 16, 12, 20.
            let post: Body =
                Solid::Box(Box3::at(Vec3::mm(34, -9, 13), Vec3::mm(32, 20, 24))).into();
            for body in plate.bodies() {
                let gap = super::super::between(&post, body, Length::mm(1));
                let apart = matches!(
                    gap,
                    super::super::Gap::Apart { .. } | super::super::Gap::Beyond
                );
                assert!(apart, "{gap:?}");
            }
        }
    }

    #[test]
    fn an_opening_in_an_outlined_plate_becomes_a_hole_of_it() {
        let p = |x, y| [Length::mm(x), Length::mm(y)];
        let mut plate = Plate {
            id: "tray".into(),
            name: "tray".into(),
            solid: Solid::Extrusion {
                axis: Axis::Z,
                low: Length::ZERO,
                high: Length::mm(1),
                outline: vec![
                    p(0, 0),
                    p(100, 0),
                    p(100, 40),
                    p(40, 40),
                    p(40, 80),
                    p(0, 80),
                ],
                holes: vec![],
            },
            cutouts: vec![Cutout::Rect(Box3::at(
                Vec3::mm(5, 5, 0),
                Vec3::mm(20, 60, 1),
            ))],
            panel: None,
        };
        let placed = PlacedPlate::new(0, &plate);
        assert!(placed.uncut.is_none());
        assert!(matches!(&placed.solids[0], Solid::Extrusion { holes, .. } if holes.len() == 1));
        plate.cutouts = vec![Cutout::Rect(Box3::at(
            Vec3::mm(30, 30, 0),
            Vec3::mm(30, 30, 1),
        ))];
        // Flush with the left edge: a notch, which no outline has as a hole.
        plate.cutouts = vec![Cutout::Rect(Box3::at(
            Vec3::mm(0, 20, 0),
            Vec3::mm(10, 20, 1),
        ))];
        let flush = PlacedPlate::new(0, &plate);
        assert_eq!(flush.uncut, None);
        assert_eq!(volume(&flush), 100.0 * 40.0 + 40.0 * 40.0 - 200.0);
        let bar: Body = Solid::Box(Box3::at(Vec3::mm(60, 10, -5), Vec3::mm(10, 10, 20))).into();
        let clash = flush.bodies().iter().any(|b| {
            let gap = super::super::between(&bar, b, Length::mm(1));
            matches!(gap, super::super::Gap::Overlap { .. })
        });
        assert!(clash, "what stands in the plate elsewhere is judged");
        plate.cutouts = vec![Cutout::Rect(Box3::at(
            Vec3::mm(30, 30, 0),
            Vec3::mm(30, 30, 1),
        ))];
        // Over the edge, from 30 to 60 in both ways: the L has 10 x 30 of it below 40, 30 x 10 left
        // of 40, and 10 x 10 of both.
        let over = PlacedPlate::new(0, &plate);
        assert_eq!(over.uncut, None);
        assert_eq!(
            volume(&over),
            100.0 * 40.0 + 40.0 * 40.0 - (300.0 + 300.0 - 100.0)
        );
    }
}
