//! How far apart two solids are, or how deep in one another.
//!
//! Boxes are judged here in whole micrometres; everything rounder by the kernel
//! of `geom`, in the same unit. A bounding box never stands in for another shape:
//! what the kernel does not take is [`Gap::Unjudged`].

use super::bore::{Bore, in_the_round};
use super::sides::box_travel;
use crate::geom::kernel::{self, Shape, ShapeError};
use crate::geom::{Axis, Box3, Dir, Length, Solid, Vec3};
use std::sync::OnceLock;

/// How two solids stand to one another.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Gap {
    /// At least as far apart as the limit asked for; how far was not worked out.
    Beyond,
    /// Apart, or touching where the distance is zero.
    Apart {
        /// Shortest distance to the nearest micrometre, never zero where they do
        /// not touch.
        distance: Length,
        /// A point of the first solid at that distance.
        from: Vec3,
        /// The point of the second nearest to it.
        to: Vec3,
    },
    /// Interiors meet.
    Overlap {
        /// The shortest straight move that ends it, to the nearest micrometre,
        /// never zero.
        depth: Length,
        /// The box that both bounds share.
        region: Box3,
        /// That move, made by the second solid: along an axis for two boxes, in
        /// any direction for rounder ones, each coordinate to the micrometre.
        away: Vec3,
        /// Whether no shorter move does; see [`super::Apart::is_least`].
        is_least: bool,
    },
    /// This pair of shapes cannot be judged.
    Unjudged(String),
}

impl Gap {
    /// Two points to draw a dimension between: the nearest points of both solids
    /// where they are apart, and the ends of the way out of one another, through
    /// the middle of what they share, where they overlap.
    pub fn points(&self) -> Option<(Vec3, Vec3)> {
        match self {
            Gap::Apart { from, to, .. } => Some((*from, *to)),
            Gap::Overlap { region, away, .. } => {
                let from = region.centre() - away.half();
                Some((from, from + *away))
            }
            Gap::Beyond | Gap::Unjudged(_) => None,
        }
    }
}

/// A solid with what the kernel needs to know about it, worked out when it is
/// first asked for.
#[derive(Clone, Debug)]
pub struct Body {
    solid: Solid,
    bounds: Box3,
    shape: OnceLock<Result<Shape, ShapeError>>,
    /// Round openings of its plate, none of which it reaches into.
    bores: Option<std::sync::Arc<[Bore]>>,
}

impl PartialEq for Body {
    fn eq(&self, o: &Body) -> bool {
        self.solid == o.solid
    }
}

impl From<Solid> for Body {
    fn from(solid: Solid) -> Body {
        Body {
            bounds: solid.bounds(),
            solid,
            shape: OnceLock::new(),
            bores: None,
        }
    }
}

impl Body {
    /// The solid.
    pub fn solid(&self) -> &Solid {
        &self.solid
    }

    /// The smallest box around it.
    pub fn bounds(&self) -> &Box3 {
        &self.bounds
    }

    /// A piece of a plate about these round openings.
    pub(super) fn bored(mut self, bores: Vec<Bore>) -> Body {
        self.bores = (!bores.is_empty()).then(|| bores.into());
        self
    }

    pub(super) fn bores(&self) -> &[Bore] {
        self.bores.as_deref().unwrap_or_default()
    }

    /// Takes over what was worked out for the same solid `by` away.
    pub(super) fn remember(&mut self, before: &Body, by: Vec3) {
        if let Some(Ok(shape)) = before.shape.get() {
            // A fresh body has nothing worked out yet, so this cannot fail.
            let _ = self.shape.set(Ok(shape.translated(point(by))));
        }
    }

    pub(super) fn shape(&self) -> &Result<Shape, ShapeError> {
        self.shape.get_or_init(|| shape(&self.solid))
    }
}

/// The gap between two solids, as far as it is below `limit`. Touching is
/// [`Gap::Apart`] with a distance of zero, whatever the limit. A box without
/// thickness has no interior: it overlaps nothing.
pub fn between(a: &Body, b: &Body, limit: Length) -> Gap {
    let apart = a.bounds.separation(&b.bounds);
    if apart != Vec3::ZERO && apart.distance_mm(Vec3::ZERO) >= limit.as_mm() {
        return Gap::Beyond;
    }
    if let (Solid::Box(p), Solid::Box(q)) = (&a.solid, &b.solid) {
        return boxes(p, q);
    }
    match (a.shape(), b.shape()) {
        (Ok(p), Ok(q)) => {
            let gap = shapes(p, q, limit, a.bounds.intersection(&b.bounds));
            in_the_round(gap, a, b, limit)
        }
        (Err(why), _) | (_, Err(why)) => Gap::Unjudged(format!("{why}")),
    }
}

/// How far `a` can go in a direction until it touches `b`: see [`travel_to`]. `None` where it
/// passes by.
pub fn travel(a: &Body, b: &Body, dir: Dir) -> Option<Length> {
    travel_to(a, b, dir, None).map(|(by, _)| by)
}

/// How far `a` can go in a direction until it touches `b`, and the point of `a`
/// that does. `None` where it passes by, and beyond `limit`.
///
/// Exact for boxes. Others are moved by no more than the gap that is left, so that
/// the answer is never too much, and short by less than a micrometre unless they
/// come within a hair of passing by.
pub(super) fn travel_to(
    a: &Body,
    b: &Body,
    dir: Dir,
    limit: Option<Length>,
) -> Option<(Length, Vec3)> {
    let (least, at) = box_travel(&a.bounds, &b.bounds, dir)?;
    if limit.is_some_and(|l| least >= l) {
        return None;
    }
    if let (Solid::Box(_), Solid::Box(_)) = (&a.solid, &b.solid) {
        return Some((least, at));
    }
    let (Ok(p), Ok(q)) = (a.shape(), b.shape()) else {
        // What cannot be measured ends where its box does.
        return Some((least, at));
    };
    let way = point(dir.times(Length::um(1)));
    let past = (b.bounds.face(dir) - a.bounds.face(dir.opposite())).as_um() * dir.sign();
    let mut gone = least.as_um() as f64;
    let mut on = point(at);
    for _ in 0..1000 {
        if gone > past as f64 {
            return None;
        }
        match kernel::gap(&p.translated(way * gone), q, past as f64 + 1.0) {
            kernel::Gap::Beyond => return None,
            kernel::Gap::Apart { distance, on_a, .. } => {
                on = on_a - way * gone;
                if distance < 0.25 {
                    break;
                }
                gone += distance;
            }
            kernel::Gap::Touching { at } => {
                on = at - way * gone;
                break;
            }
            kernel::Gap::Overlap { .. } => break,
        }
    }
    // In a round opening it is the circle that ends it, not corners in its place.
    let round = b
        .bores()
        .iter()
        .filter_map(|bore| bore.travel(&a.solid, dir));
    let gone = round.fold(gone, f64::max);
    let gone = Length::um(gone.floor() as i64);
    limit.is_none_or(|l| gone < l).then(|| (gone, whole(on)))
}

fn boxes(a: &Box3, b: &Box3) -> Gap {
    if let Some((depth, dir)) = a.depth(b) {
        let region = a.intersection(b).expect("overlapping boxes intersect");
        let away = dir.opposite().times(depth);
        return Gap::Overlap {
            depth,
            region,
            away,
            is_least: true,
        };
    }
    let (mut from, mut to) = (Vec3::ZERO, Vec3::ZERO);
    for axis in Axis::ALL {
        let side = |c: &Box3| [c.min().along(axis), c.max().along(axis)];
        let (x, y) = nearest(side(a), side(b));
        from.set(axis, x);
        to.set(axis, y);
    }
    Gap::Apart {
        distance: rounded(a.distance_mm(b) * 1000.0),
        from,
        to,
    }
}

/// The nearest points of two intervals; the middle of what they share.
fn nearest(a: [Length; 2], b: [Length; 2]) -> (Length, Length) {
    if a[1] < b[0] {
        (a[1], b[0])
    } else if b[1] < a[0] {
        (a[0], b[1])
    } else {
        let middle = (a[0].max(b[0]) + a[1].min(b[1])).half();
        (middle, middle)
    }
}

/// To whole micrometres, but never to zero unless it is.
pub(super) fn rounded(um: f64) -> Length {
    let whole = um.round() as i64;
    Length::um(if um > 0.0 { whole.max(1) } else { 0 })
}

fn shapes(a: &Shape, b: &Shape, limit: Length, shared: Option<Box3>) -> Gap {
    match kernel::gap(a, b, limit.as_um() as f64) {
        kernel::Gap::Beyond => Gap::Beyond,
        kernel::Gap::Apart {
            distance,
            on_a,
            on_b,
        } => Gap::Apart {
            distance: rounded(distance),
            from: whole(on_a),
            to: whole(on_b),
        },
        kernel::Gap::Touching { at } => Gap::Apart {
            distance: Length::ZERO,
            from: whole(at),
            to: whole(at),
        },
        kernel::Gap::Overlap {
            depth,
            at,
            direction,
        } => {
            let out = kernel::way_out(&[(a, b)]);
            let (depth, direction) = out.map_or((depth, direction), |w| (w.depth, w.way));
            Gap::Overlap {
                depth: rounded(depth),
                region: shared.unwrap_or_else(|| Box3::new(whole(at), whole(at))),
                away: whole(direction * depth),
                is_least: out.is_none_or(|w| w.is_least),
            }
        }
    }
}

fn point(v: Vec3) -> kernel::Vec3 {
    let um = |l: Length| l.as_um() as f64;
    kernel::Vec3::new(um(v.x), um(v.y), um(v.z))
}

pub(super) fn whole(v: kernel::Vec3) -> Vec3 {
    let um = |x: f64| Length::um(x.round() as i64);
    Vec3::new(um(v.0[0]), um(v.0[1]), um(v.0[2]))
}

fn shape(solid: &Solid) -> Result<Shape, ShapeError> {
    match solid {
        Solid::Box(b) => Shape::aligned(point(b.min()), point(b.max())),
        Solid::Cylinder {
            axis,
            base,
            radius,
            height,
        } => {
            let half = height.as_um() as f64 / 2.0;
            let way = point(Dir::new(*axis, true).times(Length::um(1)));
            Shape::cylinder(point(*base) + way * half, way, radius.as_um() as f64, half)
        }
        Solid::Extrusion {
            axis,
            low,
            high,
            outline,
            holes,
        } => {
            let ring = |r: &Vec<[Length; 2]>| -> Vec<[f64; 2]> {
                r.iter().map(|p| p.map(|l| l.as_um() as f64)).collect()
            };
            let holes: Vec<Vec<[f64; 2]>> = holes.iter().map(ring).collect();
            let (p, q) = axis.others();
            let mut rows = [[0.0; 3]; 3];
            for (own, world) in [p, q, *axis].into_iter().enumerate() {
                rows[world.index()][own] = 1.0;
            }
            let middle = Vec3::ZERO.with(*axis, *low + *high);
            let turn = kernel::Turn::from_rows(rows)?;
            let half = (*high - *low).as_um() as f64 / 2.0;
            Shape::extrusion(&ring(outline), &holes, half, point(middle) * 0.5, &turn)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{l, v};

    fn cuboid(at: Vec3, size: Vec3) -> Body {
        Solid::Box(Box3::at(at, size)).into()
    }

    fn rod(axis: Axis, base: Vec3, radius: f64, height: f64) -> Body {
        Solid::Cylinder {
            axis,
            base,
            radius: l(radius),
            height: l(height),
        }
        .into()
    }

    fn wedge() -> Body {
        let p = |x, y| [l(x), l(y)];
        Solid::Extrusion {
            axis: Axis::X,
            low: l(0.0),
            high: l(10.0),
            outline: vec![p(0.0, 0.0), p(30.0, 0.0), p(0.0, 40.0)],
            holes: vec![],
        }
        .into()
    }

    #[track_caller]
    fn apart(a: &Body, b: &Body, mm: f64) {
        match between(a, b, l(1000.0)) {
            Gap::Apart { distance, from, to } => {
                assert!((distance.as_mm() - mm).abs() <= 0.0005, "{distance:?} {mm}");
                assert!((from.distance_mm(to) - mm).abs() < 0.002);
            }
            other => panic!("{other:?}"),
        }
    }

    #[track_caller]
    fn deep(a: &Body, b: &Body, mm: f64) {
        match between(a, b, Length::ZERO) {
            Gap::Overlap { depth, region, .. } => {
                assert!((depth.as_mm() - mm).abs() <= 0.0005, "{depth:?} {mm}");
                assert!(a.bounds().contains(&region) && b.bounds().contains(&region));
            }
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn closed_forms_of_boxes_and_cylinders() {
        let cube = cuboid(Vec3::ZERO, v(10.0, 10.0, 10.0));
        // Beside: 25 - 5 - 10; over the corner: sqrt(3^2 + 4^2); on top of both.
        apart(&cube, &rod(Axis::Z, v(25.0, 5.0, 0.0), 5.0, 10.0), 10.0);
        apart(&cube, &cuboid(v(13.0, 14.0, 0.0), v(1.0, 1.0, 1.0)), 5.0);
        apart(&cube, &rod(Axis::Z, v(5.0, 5.0, 12.0), 5.0, 10.0), 2.0);
        let (a, b) = (v(0.0, 0.0, 0.0), v(30.0, 40.0, 0.0));
        apart(
            &rod(Axis::Z, a, 20.0, 5.0),
            &rod(Axis::Z, b, 20.0, 5.0),
            10.0,
        );
        // Crossed rods: the distance of their axes less both radii.
        apart(
            &rod(Axis::X, v(-50.0, 0.0, 0.0), 3.0, 100.0),
            &rod(Axis::Y, v(0.0, -50.0, 20.0), 4.0, 100.0),
            13.0,
        );
        deep(&cube, &rod(Axis::Z, v(14.0, 5.0, 0.0), 5.0, 10.0), 1.0);
        deep(
            &rod(Axis::Z, a, 20.0, 50.0),
            &rod(Axis::Z, v(30.0, 0.0, 0.0), 20.0, 50.0),
            10.0,
        );
    }

    #[test]
    fn closed_forms_of_an_outlined_shape() {
        // The hypotenuse of a 3-4-5 triangle passes the point (30, 40) of its
        // rectangle at 30 * 40 / 50 = 24.
        let far = cuboid(v(0.0, 30.0, 40.0), v(10.0, 5.0, 5.0));
        apart(&wedge(), &far, 24.0);
        deep(
            &wedge(),
            &cuboid(v(-5.0, -5.0, 5.0), v(20.0, 6.0, 3.0)),
            1.0,
        );
    }

    #[test]
    fn touching_is_a_distance_of_zero_for_every_pair() {
        let cube = cuboid(Vec3::ZERO, v(10.0, 10.0, 10.0));
        let beside = rod(Axis::Z, v(15.0, 5.0, 0.0), 5.0, 10.0);
        apart(&cube, &beside, 0.0);
        apart(&beside, &rod(Axis::Z, v(25.0, 5.0, 0.0), 5.0, 10.0), 0.0);
        apart(&beside, &rod(Axis::X, v(0.0, 5.0, 12.0), 2.0, 50.0), 0.0);
        apart(&wedge(), &cuboid(v(10.0, 0.0, 0.0), v(5.0, 5.0, 5.0)), 0.0);
    }

    #[test]
    fn moving_by_the_way_out_leaves_them_touching() {
        let cube = cuboid(Vec3::ZERO, v(10.0, 10.0, 10.0));
        let flat = cuboid(v(8.0, -5.0, -5.0), v(40.0, 20.0, 20.0));
        let post = rod(Axis::Z, v(14.0, 5.0, 0.0), 5.0, 10.0);
        let corner = rod(Axis::Z, v(12.0, 13.0, 0.0), 5.0, 10.0);
        for (a, b) in [
            (&cube, &flat),
            (&flat, &cube),
            (&cube, &post),
            (&post, &cube),
            (&cube, &corner),
            (&wedge(), &cuboid(v(-5.0, -5.0, 5.0), v(20.0, 6.0, 3.0))),
        ] {
            let gap = between(a, b, l(99.0));
            let Gap::Overlap { depth, away, .. } = gap else {
                panic!("{gap:?}");
            };
            let (from, to) = gap.points().expect("overlaps have a way out");
            assert_eq!(to - from, away);
            assert!((away.distance_mm(Vec3::ZERO) - depth.as_mm()).abs() < 0.002);
            let moved: Body = b.solid().placed(crate::geom::Turn::NONE, away).into();
            match between(a, &moved, l(99.0)) {
                Gap::Apart { distance, .. } => assert!(distance <= Length::um(2)),
                Gap::Overlap { depth, .. } => assert!(depth <= Length::um(2)),
                other => panic!("{other:?}"),
            }
        }
    }

    #[test]
    fn what_was_worked_out_moves_along() {
        let before = wedge();
        assert!(before.shape().is_ok());
        let by = v(7.0, -3.0, 2.5);
        let moved: Body = before.solid().placed(crate::geom::Turn::NONE, by).into();
        let mut remembered = moved.clone();
        remembered.remember(&before, by);
        assert!(remembered.shape.get().is_some());
        let other = rod(Axis::Y, v(3.0, 20.0, 40.0), 2.0, 30.0);
        assert_eq!(
            between(&moved, &other, l(99.0)),
            between(&remembered, &other, l(99.0))
        );
    }

    #[test]
    fn a_shape_that_is_none_is_not_judged() {
        let p = |x, y| [l(x), l(y)];
        let bow: Body = Solid::Extrusion {
            axis: Axis::Z,
            low: l(0.0),
            high: l(10.0),
            outline: vec![p(0.0, 0.0), p(30.0, 40.0), p(30.0, 0.0), p(0.0, 40.0)],
            holes: vec![],
        }
        .into();
        let cube = cuboid(Vec3::ZERO, v(10.0, 10.0, 10.0));
        assert!(matches!(between(&bow, &cube, l(1.0)), Gap::Unjudged(_)));
        // Beyond the limit by its bounds no shape is needed.
        let far = cuboid(v(90.0, 0.0, 0.0), v(1.0, 1.0, 1.0));
        assert_eq!(between(&bow, &far, l(1.0)), Gap::Beyond);
    }
}
