//! Cutting openings out of plates.

use super::bore::Bore;
use super::gap::Body;
use super::plate_holes::with_holes;
use crate::geom::{Axis, Box3, Length, Ring, Solid, Vec3};
use crate::model::Cutout;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::core::single::SingleIntOverlay;
use i_overlay::i_float::int::point::IntPoint;

/// Most pieces a plate is cut into. A plate with more openings than that is left
/// whole, and says so.
const MOST_PIECES: usize = 4096;

/// Corners of a quarter of a round opening, at least and at most.
pub(super) const QUARTER: [usize; 2] = [4, 62];

/// Most corners of one piece, below what the kernel takes.
pub(super) const MOST_CORNERS: usize = 240;

/// A region with more corners is halved so often at most.
const MOST_HALVED: usize = 10;

/// Why not every opening could be taken out.
pub(super) type Uncut = Option<&'static str>;

const MANY: &str = "there are too many";

/// So many corners a quarter that the polygon lies within a micrometre of the circle; from a
/// diameter of 25 mm on there are no more, and it lies within 5 micrometres at 120 mm.
fn quarter_of(radius_um: f64) -> usize {
    let turn = (1.0 - 1.0 / radius_um.max(1.0)).clamp(-1.0, 1.0).acos();
    let corners = std::f64::consts::FRAC_PI_2 / (2.0 * turn);
    (corners.ceil() as usize).clamp(QUARTER[0], QUARTER[1])
}

/// A plate across an axis.
pub(super) struct Slab {
    pub(super) axis: Axis,
    pub(super) low: Length,
    pub(super) high: Length,
}

impl Slab {
    /// The box that an opening takes out, right through the plate.
    pub(super) fn hole(&self, cutout: &Cutout) -> Box3 {
        let through = |b: Box3| {
            Box3::new(
                b.min().with(self.axis, self.low),
                b.max().with(self.axis, self.high),
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

    pub(super) fn bores<'a>(&self, cutouts: impl IntoIterator<Item = &'a Cutout>) -> Vec<Bore> {
        let bore = |c: &Cutout| match c {
            Cutout::Rect(_) => None,
            Cutout::Round { centre, diameter } => Some(Bore::new(
                self.axis,
                *centre,
                *diameter,
                [self.low, self.high],
            )),
        };
        cutouts.into_iter().filter_map(bore).collect()
    }

    fn ring(&self, b: &Box3) -> Ring {
        let (p, q) = self.axis.others();
        let (low, high) = (b.min(), b.max());
        vec![
            [low.along(p), low.along(q)],
            [high.along(p), low.along(q)],
            [high.along(p), high.along(q)],
            [low.along(p), high.along(q)],
        ]
    }

    pub(super) fn outline(&self, cutout: &Cutout, corners: usize) -> Ring {
        match cutout {
            Cutout::Rect(_) => self.ring(&self.hole(cutout)),
            Cutout::Round { centre, diameter } => {
                let (p, q) = self.axis.others();
                let centre = [centre.along(p), centre.along(q)];
                round_ring(centre, diameter.half(), corners)
            }
        }
    }
}

/// A polygon in a circle: corners towards the middle, so that no material is lost.
fn round_ring(centre: [Length; 2], radius: Length, corners: usize) -> Ring {
    let r = radius.as_um() as f64;
    let at = |i: usize| {
        let t = (i as f64 / corners as f64) * std::f64::consts::TAU;
        [
            centre[0] + Length::um((r * t.cos()).trunc() as i64),
            centre[1] + Length::um((r * t.sin()).trunc() as i64),
        ]
    };
    let mut ring: Ring = (0..corners).map(at).collect();
    ring.dedup();
    if ring.len() > 1 && ring.first() == ring.last() {
        ring.pop();
    }
    ring
}

/// A box without its openings, which go through it along an axis.
pub(super) fn cut_box(whole: Box3, axis: Axis, cutouts: &[Cutout]) -> (Vec<Body>, Uncut) {
    let slab = Slab {
        axis,
        low: whole.min().along(axis),
        high: whole.max().along(axis),
    };
    if cutouts.len() > MOST_PIECES {
        return (vec![Solid::Box(whole).into()], Some(MANY));
    }
    let mut boxes = vec![whole];
    let mut bodies: Vec<Body> = Vec::new();
    let mut uncut = None;
    for (region, group) in groups(&slab, cutouts) {
        let Some(region) = region.intersection(&whole).filter(|r| r.overlaps(&whole)) else {
            continue;
        };
        if boxes.len() + bodies.len() > MOST_PIECES {
            uncut = Some(MANY);
            break;
        }
        let round = group.iter().any(|c| matches!(c, Cutout::Round { .. }));
        if !round {
            for cutout in group {
                let hole = slab.hole(cutout);
                boxes = boxes.iter().flat_map(|b| without(b, &hole)).collect();
            }
            continue;
        }
        if let [cutout @ Cutout::Round { centre, diameter }] = group[..]
            && whole.contains(&slab.hole(cutout))
        {
            let bores = slab.bores([cutout]);
            boxes = boxes.iter().flat_map(|b| without(b, &region)).collect();
            let corners = square_corners(&region, axis, *centre, *diameter).into_iter();
            bodies.extend(corners.map(|s| Body::from(s).bored(bores.clone())));
            continue;
        }
        let outline = [slab.ring(&region)];
        match cut_region(&slab, &outline, &region, &group, 0) {
            Some(pieces) => {
                boxes = boxes.iter().flat_map(|b| without(b, &region)).collect();
                bodies.extend(pieces);
            }
            None => uncut = Some("their outline has too many corners"),
        }
    }
    let boxes = boxes.into_iter().map(|b| Solid::Box(b).into());
    (boxes.chain(bodies).collect(), uncut)
}

/// Openings that have to be cut together, each group with the box around it: those with round
/// ones lie apart from all others.
fn groups<'a>(slab: &Slab, cutouts: &'a [Cutout]) -> Vec<(Box3, Vec<&'a Cutout>)> {
    let mut groups: Vec<(Box3, Vec<&Cutout>)> = Vec::new();
    for cutout in cutouts {
        let mut own = (slab.hole(cutout), vec![cutout]);
        let round =
            |g: &(Box3, Vec<&Cutout>)| g.1.iter().any(|c| matches!(c, Cutout::Round { .. }));
        // What joins may grow to meet others.
        while let Some(i) = groups
            .iter()
            .position(|g| g.0.overlaps(&own.0) && (round(g) || round(&own)))
        {
            let other = groups.swap_remove(i);
            own.0 = own.0.union(&other.0);
            own.1.extend(other.1);
        }
        groups.push(own);
    }
    groups
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

/// A straight plate with an outline, without its openings.
pub(super) fn cut_extrusion(plate: &Solid, cutouts: &[Cutout]) -> (Vec<Body>, Uncut) {
    let Solid::Extrusion {
        axis,
        low,
        high,
        outline,
        holes,
    } = plate
    else {
        return (vec![plate.clone().into()], Some("it is no straight plate"));
    };
    let slab = Slab {
        axis: *axis,
        low: *low,
        high: *high,
    };
    if cutouts.len() > MOST_PIECES {
        return (vec![plate.clone().into()], Some(MANY));
    }
    if let Some(plain) = with_holes(&slab, outline, holes, cutouts) {
        return (vec![plain], None);
    }
    let rings: Vec<Ring> = std::iter::once(outline).chain(holes).cloned().collect();
    let all: Vec<&Cutout> = cutouts.iter().collect();
    match cut_region(&slab, &rings, &plate.bounds(), &all, 0) {
        Some(pieces) => (pieces, None),
        None => {
            let why = "their outline has too many corners";
            (vec![plate.clone().into()], Some(why))
        }
    }
}

/// What of an outline (with its holes) lies in a region and outside of all openings, in pieces
/// that have few enough corners. `None` where that takes too many.
fn cut_region(
    slab: &Slab,
    rings: &[Ring],
    region: &Box3,
    cutouts: &[&Cutout],
    halved: usize,
) -> Option<Vec<Body>> {
    let near: Vec<&Cutout> = cutouts
        .iter()
        .copied()
        .filter(|c| slab.hole(c).overlaps(region))
        .collect();
    // Coordinates from the region's corner, so that they stay small.
    let (p, q) = slab.axis.others();
    let origin = [region.min().along(p), region.min().along(q)];
    let flat = |ring: &Ring, outer: bool| -> Vec<IntPoint<i64>> {
        let point =
            |c: &[Length; 2]| IntPoint::new((c[0] - origin[0]).as_um(), (c[1] - origin[1]).as_um());
        let mut points: Vec<IntPoint<i64>> = ring.iter().map(point).collect();
        if (area(&points) > 0) != outer {
            points.reverse();
        }
        points
    };
    let own: Vec<Vec<IntPoint<i64>>> = rings
        .iter()
        .enumerate()
        .map(|(i, ring)| flat(ring, i == 0))
        .collect();
    let frame = vec![flat(&slab.ring(region), true)];
    let openings: Vec<Vec<IntPoint<i64>>> = near
        .iter()
        .map(|c| {
            let corners = match c {
                Cutout::Rect(_) => 4,
                Cutout::Round { diameter, .. } => 4 * quarter_of(diameter.half().as_um() as f64),
            };
            flat(&slab.outline(c, corners), true)
        })
        .collect();
    let rule = FillRule::NonZero;
    let inside = own.overlay(&frame, OverlayRule::Intersect, rule);
    let left = inside.overlay(&openings, OverlayRule::Difference, rule);
    let corners = |shape: &Vec<Vec<IntPoint<i64>>>| shape.iter().map(Vec::len).sum::<usize>();
    if left.iter().any(|s| corners(s) > MOST_CORNERS) {
        if halved == MOST_HALVED {
            return None;
        }
        let size = region.size();
        let along = if size.along(p) >= size.along(q) { p } else { q };
        let middle = region.centre().along(along);
        let parts = [
            Box3::new(region.min(), region.max().with(along, middle)),
            Box3::new(region.min().with(along, middle), region.max()),
        ];
        let mut all = Vec::new();
        for part in &parts {
            all.extend(cut_region(slab, rings, part, &near, halved + 1)?);
        }
        return (all.len() <= MOST_PIECES).then_some(all);
    }
    let bores = slab.bores(near);
    let back = |ring: &Vec<IntPoint<i64>>| -> Ring {
        let at = |c: &IntPoint<i64>| [origin[0] + Length::um(c.x), origin[1] + Length::um(c.y)];
        ring.iter().map(at).collect()
    };
    let pieces = left.iter().filter_map(|shape| {
        let (outline, holes) = shape.split_first()?;
        let solid = piece(slab, back(outline), holes.iter().map(back).collect());
        Some(Body::from(solid).bored(bores.clone()))
    });
    Some(pieces.collect())
}

/// A rectangle as a box, anything else as an outline.
fn piece(slab: &Slab, outline: Ring, holes: Vec<Ring>) -> Solid {
    let solid = Solid::Extrusion {
        axis: slab.axis,
        low: slab.low,
        high: slab.high,
        outline,
        holes,
    };
    let bounds = solid.bounds();
    match &solid {
        Solid::Extrusion { outline, holes, .. }
            if outline.len() == 4 && holes.is_empty() && is_rect(outline, &slab.ring(&bounds)) =>
        {
            Solid::Box(bounds)
        }
        _ => solid,
    }
}

fn is_rect(outline: &Ring, bounds: &Ring) -> bool {
    bounds.iter().all(|corner| outline.contains(corner))
}

/// Twice the signed area.
fn area(ring: &[IntPoint<i64>]) -> i128 {
    let next = ring.iter().cycle().skip(1);
    let cross = |(a, b): (&IntPoint<i64>, &IntPoint<i64>)| {
        i128::from(a.x) * i128::from(b.y) - i128::from(b.x) * i128::from(a.y)
    };
    ring.iter().zip(next).map(cross).sum()
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
