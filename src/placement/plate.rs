//! Plates of the enclosure with their cut-outs taken out.

use super::gap::Body;
use crate::geom::{Axis, Box3, Length, Ring, Solid, Vec3};
use crate::model::{Cutout, Plate};

/// Most pieces a plate is cut into. A plate with more openings than that is left
/// whole, and says so.
const MOST_PIECES: usize = 4096;

/// Corners of the polygon that stands for a round opening in an outlined plate, whose openings
/// share what corners an outline may have.
const CORNERS: usize = 64;

/// Corners of a quarter of a round opening in any other plate, at least and at most.
const QUARTER: [usize; 2] = [4, 62];

/// So many corners a quarter that the polygon lies within a micrometre of the circle; from a
/// diameter of 25 mm on there are no more, and it lies within 5 micrometres at 120 mm.
fn quarter_of(radius_um: f64) -> usize {
    let turn = (1.0 - 1.0 / radius_um.max(1.0)).clamp(-1.0, 1.0).acos();
    let corners = std::f64::consts::FRAC_PI_2 / (2.0 * turn);
    (corners.ceil() as usize).clamp(QUARTER[0], QUARTER[1])
}

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
    /// that leaves up to 0.13 % of the radius (and a micrometre of rounding) less
    /// free than there is: a part that is said to pass does pass.
    pub solids: Vec<Solid>,
    /// Set where an opening could not be taken out; the plate is then whole there.
    pub uncut: Option<String>,
    /// The solids, ready to be measured.
    bodies: Vec<Body>,
}

impl PlacedPlate {
    /// The plate with its openings.
    pub fn new(index: usize, plate: &Plate) -> PlacedPlate {
        let mut placed = PlacedPlate {
            index: u32::try_from(index).unwrap_or(u32::MAX),
            id: plate.id.clone(),
            name: plate.name.clone(),
            bounds: plate.solid.bounds(),
            solids: vec![plate.solid.clone()],
            uncut: None,
            bodies: vec![plate.solid.clone().into()],
        };
        let why = match &plate.solid {
            _ if plate.cutouts.is_empty() => return placed,
            _ if plate.cutouts.len() > MOST_PIECES => Some("there are too many"),
            Solid::Box(b) => cut_box(*b, &plate.cutouts, &mut placed.solids),
            Solid::Extrusion { .. } => {
                cut_extrusion(&plate.solid, &plate.cutouts, &mut placed.solids)
            }
            Solid::Cylinder { .. } => Some("it is a cylinder"),
        };
        placed.uncut = why.map(|why| {
            format!(
                "not every opening of {} could be taken out: {why}",
                plate.name
            )
        });
        placed.bodies = placed.solids.iter().cloned().map(Body::from).collect();
        placed
    }

    /// The solids, ready to be measured.
    pub fn bodies(&self) -> &[Body] {
        &self.bodies
    }
}

/// The axis a plate is thin along.
pub(crate) fn thin_axis(b: &Box3) -> Axis {
    let size = b.size();
    Axis::ALL
        .into_iter()
        .min_by_key(|a| size.along(*a))
        .expect("three axes")
}

type Uncut = Option<&'static str>;

fn cut_box(whole: Box3, cutouts: &[Cutout], solids: &mut Vec<Solid>) -> Uncut {
    let axis = thin_axis(&whole);
    let holes: Vec<Box3> = cutouts.iter().map(|c| hole_box(c, axis, &whole)).collect();
    let mut boxes = vec![whole];
    let mut corners = Vec::new();
    let mut uncut = None;
    for (i, (cutout, hole)) in cutouts.iter().zip(&holes).enumerate() {
        if let Cutout::Round { centre, diameter } = cutout {
            let alone = holes
                .iter()
                .enumerate()
                .all(|(j, other)| i == j || !other.overlaps(hole));
            if !alone || !whole.contains(hole) {
                uncut = Some("a round one meets another one or the plate's edge");
                continue;
            }
            corners.extend(square_corners(hole, axis, *centre, *diameter));
        }
        if boxes.len() + corners.len() > MOST_PIECES {
            uncut = Some("there are too many");
            break;
        }
        boxes = boxes.iter().flat_map(|b| without(b, hole)).collect();
    }
    *solids = boxes.into_iter().map(Solid::Box).chain(corners).collect();
    uncut
}

/// The box that an opening takes out, right through the plate.
fn hole_box(cutout: &Cutout, axis: Axis, whole: &Box3) -> Box3 {
    let through = |b: Box3| {
        Box3::new(
            b.min().with(axis, whole.min().along(axis)),
            b.max().with(axis, whole.max().along(axis)),
        )
    };
    match cutout {
        Cutout::Rect(b) => through(*b),
        Cutout::Round { centre, diameter } => {
            let r = diameter.half();
            let half = Vec3::new(r, r, r);
            through(Box3::new(*centre - half, *centre + half))
        }
    }
}

/// `b` without the inside of `hole`, in up to six boxes.
pub(crate) fn without(b: &Box3, hole: &Box3) -> Vec<Box3> {
    if !b.overlaps(hole) {
        return vec![*b];
    }
    let mut rest = *b;
    let mut pieces = Vec::new();
    for axis in Axis::ALL {
        let (low, high) = (hole.min().along(axis), hole.max().along(axis));
        let (min, max) = (rest.min(), rest.max());
        if min.along(axis) < low {
            pieces.push(Box3::new(min, max.with(axis, low)));
            rest = Box3::new(min.with(axis, low), max);
        }
        let min = rest.min();
        if high < max.along(axis) {
            pieces.push(Box3::new(min.with(axis, high), max));
            rest = Box3::new(min, max.with(axis, high));
        }
    }
    pieces
}

/// The four corner pieces of the square around a round opening.
fn square_corners(square: &Box3, axis: Axis, centre: Vec3, diameter: Length) -> Vec<Solid> {
    let (a, b) = axis.others();
    let (ca, cb) = (
        centre.along(a).as_um() as f64,
        centre.along(b).as_um() as f64,
    );
    let r = diameter.half().as_um() as f64;
    let quarter = quarter_of(r);
    (0..4)
        .map(|q| {
            // The arc from one side of the square to the next, then the corner.
            let mut outline: Ring = (0..=quarter)
                .map(|i| {
                    let t =
                        ((q * quarter + i) as f64 / (4 * quarter) as f64) * std::f64::consts::TAU;
                    // Towards the middle, so that no material is lost.
                    let inside = |c: f64, d: f64| {
                        let v = c + d;
                        Length::um(if d < 0.0 { v.ceil() } else { v.floor() } as i64)
                    };
                    [inside(ca, r * t.cos()), inside(cb, r * t.sin())]
                })
                .collect();
            let side = |positive: bool, axis: Axis| {
                let corner = if positive { square.max() } else { square.min() };
                corner.along(axis)
            };
            outline.push([side(q == 0 || q == 3, a), side(q < 2, b)]);
            outline.dedup();
            Solid::Extrusion {
                axis,
                low: square.min().along(axis),
                high: square.max().along(axis),
                outline,
                holes: Vec::new(),
            }
        })
        .collect()
}

fn cut_extrusion(plate: &Solid, cutouts: &[Cutout], solids: &mut Vec<Solid>) -> Uncut {
    let Solid::Extrusion {
        axis,
        low,
        high,
        outline,
        holes,
    } = plate
    else {
        return Some("it is no straight plate");
    };
    let (a, b) = axis.others();
    let whole = plate.bounds();
    let mut rings = holes.clone();
    let mut taken: Vec<Rect> = holes.iter().filter_map(ring_rect).collect();
    let mut uncut = None;
    for cutout in cutouts {
        let hole = hole_box(cutout, *axis, &whole);
        let rect = Rect {
            low: [hole.min().along(a), hole.min().along(b)],
            high: [hole.max().along(a), hole.max().along(b)],
        };
        let apart = taken.iter().all(|t| !t.meets(&rect));
        if !apart || !ring_holds(outline, &rect) || rings.len() >= MOST_PIECES {
            uncut = Some("one meets another one or the plate's edge");
            continue;
        }
        taken.push(rect);
        rings.push(match cutout {
            Cutout::Rect(_) => vec![
                rect.low,
                [rect.high[0], rect.low[1]],
                rect.high,
                [rect.low[0], rect.high[1]],
            ],
            Cutout::Round { centre, diameter } => round_ring(*centre, *diameter, a, b),
        });
    }
    *solids = vec![Solid::Extrusion {
        axis: *axis,
        low: *low,
        high: *high,
        outline: outline.clone(),
        holes: rings,
    }];
    uncut
}

fn round_ring(centre: Vec3, diameter: Length, a: Axis, b: Axis) -> Ring {
    let r = diameter.half().as_um() as f64;
    let mut ring: Ring = (0..CORNERS)
        .map(|i| {
            let t = (i as f64 / CORNERS as f64) * std::f64::consts::TAU;
            [
                centre.along(a) + Length::um((r * t.cos()).trunc() as i64),
                centre.along(b) + Length::um((r * t.sin()).trunc() as i64),
            ]
        })
        .collect();
    ring.dedup();
    ring
}

/// A rectangle in the plane of an outlined plate.
#[derive(Clone, Copy)]
struct Rect {
    low: [Length; 2],
    high: [Length; 2],
}

impl Rect {
    /// True where they meet, touching included: outlines of holes stay apart.
    fn meets(&self, o: &Rect) -> bool {
        (0..2).all(|i| self.low[i] <= o.high[i] && o.low[i] <= self.high[i])
    }
}

fn ring_rect(ring: &Ring) -> Option<Rect> {
    ring.iter()
        .map(|p| Rect { low: *p, high: *p })
        .reduce(|r, p| Rect {
            low: [r.low[0].min(p.low[0]), r.low[1].min(p.low[1])],
            high: [r.high[0].max(p.high[0]), r.high[1].max(p.high[1])],
        })
}

/// True where the rectangle lies inside the outline: a corner of it does, and no
/// edge of the outline gets near it. An edge that passes a corner at a slant may
/// be refused although it misses.
fn ring_holds(outline: &Ring, rect: &Rect) -> bool {
    let mut inside = false;
    let (x, y) = (
        rect.low[0].as_um() as f64 + 0.5,
        rect.low[1].as_um() as f64 + 0.5,
    );
    for (p, q) in outline.iter().zip(outline.iter().cycle().skip(1)) {
        let clear = (0..2).any(|i| p[i].max(q[i]) <= rect.low[i] || p[i].min(q[i]) >= rect.high[i]);
        if !clear {
            return false;
        }
        let (px, py) = (p[0].as_um() as f64, p[1].as_um() as f64);
        let (qx, qy) = (q[0].as_um() as f64, q[1].as_um() as f64);
        if (py > y) != (qy > y) && x < (qx - px) * (y - py) / (qy - py) + px {
            inside = !inside;
        }
    }
    inside
}

#[cfg(test)]
mod tests {
    use super::*;

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
                    low, high, outline, ..
                } => {
                    let mm = |l: Length| l.as_mm();
                    let twice: f64 = outline
                        .iter()
                        .zip(outline.iter().cycle().skip(1))
                        .map(|(p, q)| mm(p[0]) * mm(q[1]) - mm(q[0]) * mm(p[1]))
                        .sum();
                    (twice / 2.0).abs() * mm(*high - *low)
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
        // 20 less the sagitta of a 64-gon, 20 (1 - cos(pi/64)) = 0.0241; of one of 248 it is
        // 0.0016, and its corners are rounded to the micrometre.
        for (plate, least) in [(&plain, 0.096), (&outlined, 0.074)] {
            assert_eq!(plate.uncut, None);
            let gap = rod_gap(plate, x, z, Length::um(19_900)).expect("passes");
            assert!((least..=0.1).contains(&gap.as_mm()), "{gap}");
            assert!(rod_gap(plate, x, z, Length::um(20_001)).is_none());
            // Off the middle by a known way: the gap shrinks by it.
            let off = rod_gap(plate, x + Length::mm(5), z, Length::mm(10)).expect("passes");
            assert!((4.974..=5.0).contains(&off.as_mm()), "{off}");
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
        let round = Cutout::Round {
            centre: Vec3::mm(5, 0, 25),
            diameter: Length::mm(40),
        };
        let plate = wall(vec![round]);
        assert!(plate.uncut.is_some_and(|why| why.contains("edge")));
        assert_eq!(plate.solids.len(), 1);
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
        assert!(PlacedPlate::new(0, &plate).uncut.is_some());
    }
}
