//! Round openings as they are: what stands straight in one is measured against its circle, where
//! the pieces around it have corners in place of an arc.

use super::gap::{Body, Gap, rounded, whole};
use crate::geom::kernel;
use crate::geom::{Axis, Dir, Length, Solid, Vec3};

/// Floating point is good to so many micrometres here.
const TOUCH: f64 = 1e-6;

/// A round opening through a plate. No piece of the plate that carries it reaches into it.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Bore {
    axis: Axis,
    /// Across the axis, in micrometres.
    centre: [f64; 2],
    radius: f64,
    /// Both faces of the plate, in micrometres.
    faces: [f64; 2],
}

/// How something straight stands in an opening.
struct Stands {
    /// From what of it comes nearest to the circle, outwards to there.
    room: f64,
    /// That point, from the middle of the opening.
    far: [f64; 2],
    /// Its ends along the axis.
    ends: [f64; 2],
}

impl Bore {
    pub(super) fn new(axis: Axis, centre: Vec3, diameter: Length, faces: [Length; 2]) -> Bore {
        let (a, b) = axis.others();
        Bore {
            axis,
            centre: [um(centre.along(a)), um(centre.along(b))],
            radius: um(diameter) / 2.0,
            faces: faces.map(um),
        }
    }

    /// Where a solid that is straight along the opening's axis stands within its circle.
    fn stands(&self, solid: &Solid) -> Option<Stands> {
        let (a, b) = self.axis.others();
        let off = |p: [f64; 2]| [p[0] - self.centre[0], p[1] - self.centre[1]];
        let farthest = |points: &mut dyn Iterator<Item = [f64; 2]>| {
            points.max_by(|p, q| p[0].hypot(p[1]).total_cmp(&q[0].hypot(q[1])))
        };
        let (far, ends) = match solid {
            Solid::Box(s) => {
                let ends = |x: Axis| [um(s.min().along(x)), um(s.max().along(x))];
                let (us, vs) = (ends(a), ends(b));
                let mut corners = us.into_iter().flat_map(|u| vs.map(|v| off([u, v])));
                (farthest(&mut corners)?, ends(self.axis))
            }
            Solid::Cylinder {
                axis,
                base,
                radius,
                height,
            } if *axis == self.axis => {
                let at = off([um(base.along(a)), um(base.along(b))]);
                let (d, r) = (at[0].hypot(at[1]), um(*radius));
                let way = if d > 0.0 {
                    at.map(|c| c / d)
                } else {
                    [1.0, 0.0]
                };
                let low = um(base.along(self.axis));
                (way.map(|w| w * (d + r)), [low, low + um(*height)])
            }
            Solid::Extrusion {
                axis,
                low,
                high,
                outline,
                ..
            } if *axis == self.axis => {
                let mut corners = outline.iter().map(|p| off(p.map(um)));
                (farthest(&mut corners)?, [um(*low), um(*high)])
            }
            _ => return None,
        };
        let room = self.radius - far[0].hypot(far[1]);
        (room >= -TOUCH).then_some(Stands {
            room: room.max(0.0),
            far,
            ends,
        })
    }

    /// How far something straight that stands in the opening can go across it before it meets the
    /// rim, in micrometres; `None` along the opening, and of what does not stand in it.
    pub(super) fn travel(&self, solid: &Solid, dir: Dir) -> Option<f64> {
        self.stands(solid)?;
        let (a, b) = self.axis.others();
        let way = match dir.axis() {
            x if x == a => [dir.sign() as f64, 0.0],
            x if x == b => [0.0, dir.sign() as f64],
            _ => return None,
        };
        // A point gets to the circle about the middle; a rod's middle to one that is less by its
        // own radius.
        let to = |p: [f64; 2], radius: f64| {
            let off = [p[0] - self.centre[0], p[1] - self.centre[1]];
            let along = off[0] * way[0] + off[1] * way[1];
            let short = off[0] * off[0] + off[1] * off[1] - radius * radius;
            (along * along - short).max(0.0).sqrt() - along
        };
        let least = |all: &mut dyn Iterator<Item = [f64; 2]>| {
            all.map(|p| to(p, self.radius)).min_by(f64::total_cmp)
        };
        let by = match solid {
            Solid::Box(s) => {
                let ends = |x: Axis| [um(s.min().along(x)), um(s.max().along(x))];
                let (us, vs) = (ends(a), ends(b));
                least(&mut us.into_iter().flat_map(|u| vs.map(|v| [u, v])))?
            }
            Solid::Cylinder { base, radius, .. } => {
                to([a, b].map(|x| um(base.along(x))), self.radius - um(*radius))
            }
            Solid::Extrusion { outline, .. } => least(&mut outline.iter().map(|p| p.map(um)))?,
        };
        Some(by.max(0.0))
    }

    /// The least move across the opening that takes a rod along its axis off its rim, with its
    /// length in micrometres; `None` where it stands clear of the rim, or is too thick. The move is
    /// rounded inwards.
    pub(super) fn back(&self, solid: &Solid) -> Option<(f64, Vec3)> {
        let Solid::Cylinder {
            axis, base, radius, ..
        } = solid
        else {
            return None;
        };
        let (a, b) = self.axis.others();
        let off = [a, b].map(|x| um(base.along(x)));
        let off = [off[0] - self.centre[0], off[1] - self.centre[1]];
        let (d, r) = (off[0].hypot(off[1]), um(*radius));
        let by = d + r - self.radius;
        if *axis != self.axis || r > self.radius || by <= TOUCH {
            return None;
        }
        let inwards = |c: f64| {
            let way = c / d * by;
            Length::um(-(way.abs().ceil() * way.signum()) as i64)
        };
        let away = Vec3::ZERO.with(a, inwards(off[0])).with(b, inwards(off[1]));
        Some((by, away))
    }

    /// What stands in the opening is at least so far from the plate; with the nearest points.
    fn apart(&self, solid: &Solid) -> Option<(f64, Vec3, Vec3)> {
        let at = self.stands(solid)?;
        let [low, high] = self.faces;
        let beyond = (low - at.ends[1]).max(at.ends[0] - high).max(0.0);
        // Level with one another, or at the faces that look at one another.
        let (here, there) = match () {
            () if at.ends[1] <= low => (at.ends[1], low),
            () if at.ends[0] >= high => (at.ends[0], high),
            () => {
                let level = (at.ends[0].max(low) + at.ends[1].min(high)) / 2.0;
                (level, level)
            }
        };
        let d = at.far[0].hypot(at.far[1]);
        let rim = at
            .far
            .map(|c| if d > 0.0 { c / d * self.radius } else { 0.0 });
        let point = |p: [f64; 2], along: f64| {
            let (a, b) = self.axis.others();
            let mut rows = [0.0; 3];
            rows[a.index()] = self.centre[0] + p[0];
            rows[b.index()] = self.centre[1] + p[1];
            rows[self.axis.index()] = along;
            whole(kernel::Vec3(rows))
        };
        let distance = at.room.hypot(beyond);
        Some((distance, point(at.far, here), point(rim, there)))
    }
}

/// The gap of two solids where one of them carries round openings and the other may stand in one:
/// never less than it is to the circle.
pub(super) fn in_the_round(gap: Gap, a: &Body, b: &Body, limit: Length) -> Gap {
    let mut gap = gap;
    for (holder, other, flipped) in [(a, b, true), (b, a, false)] {
        for bore in holder.bores() {
            let Some((distance, on, rim)) = bore.apart(other.solid()) else {
                continue;
            };
            let nearer = match &gap {
                Gap::Overlap { .. } => true,
                Gap::Apart { distance: d, .. } => um(*d) < distance,
                Gap::Beyond | Gap::Unjudged(_) => false,
            };
            if !nearer {
                continue;
            }
            let distance = match distance {
                d if d <= TOUCH => Length::ZERO,
                d => rounded(d),
            };
            let (from, to) = if flipped { (rim, on) } else { (on, rim) };
            gap = if distance >= limit && distance > Length::ZERO {
                Gap::Beyond
            } else {
                Gap::Apart { distance, from, to }
            };
        }
    }
    gap
}

fn um(l: Length) -> f64 {
    l.as_um() as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{l, plate, v};
    use crate::model::Cutout;
    use crate::placement::{PlacedPlate, apart};

    #[test]
    fn a_rod_on_the_rim_is_as_deep_as_the_circles_say() {
        // Two circles, one in the other: the inner one reaches over the outer one's edge by the
        // distance of their middles less the difference of their radii.
        let depth = |hole: f64, [dy, dz]: [f64; 2]| {
            let mut wall = plate("wall", [50.0, 0.0, 0.0], [2.0, 100.0, 100.0]);
            wall.cutouts = vec![Cutout::Round {
                centre: v(51.0, 50.0, 50.0),
                diameter: l(hole),
            }];
            let wall = PlacedPlate::new(0, &wall);
            let rod = Body::from(Solid::Cylinder {
                axis: Axis::X,
                base: v(20.0, 50.0 + dy, 50.0 + dz),
                radius: l(10.0),
                height: l(80.0),
            });
            let pairs: Vec<_> = wall.bodies().iter().map(|b| (b, &rod)).collect();
            apart(&pairs).map(|out| out.depth.as_mm())
        };
        for (hole, off) in [
            (22.0, 3.0),
            (24.0, 5.0),
            (20.5, 2.0),
            (20.1, 0.5),
            (20.2, 1.0),
        ] {
            let exact = off - (hole - 20.0) / 2.0;
            for way in [[off, 0.0], [0.0, -off], [0.6 * off, 0.8 * off]] {
                let found = depth(hole, way).expect("it meets the rim");
                assert!(
                    (found - exact).abs() < 0.002,
                    "{hole} {way:?} {found} {exact}"
                );
            }
        }
        // A rod that is too thick comes out along its axis.
        assert!(depth(19.0, [0.0, 0.0]).is_some_and(|d| d > 9.0));
    }

    #[test]
    fn what_stands_in_an_opening_goes_as_far_as_its_circle() {
        // An opening of 120; by hand, for a rod of 20 that is 30 off the middle sideways, the
        // chord of a circle of 50: root of (50^2 - 30^2) = 40. For a bar of 20 x 40 about the
        // middle, along its length, root of (60^2 - 10^2) less 20.
        let mut wall = plate("wall", [50.0, 0.0, 0.0], [2.0, 200.0, 200.0]);
        wall.cutouts = vec![Cutout::Round {
            centre: v(51.0, 100.0, 100.0),
            diameter: l(120.0),
        }];
        let wall = PlacedPlate::new(0, &wall);
        let rod = Solid::Cylinder {
            axis: Axis::X,
            base: v(20.0, 100.0, 130.0),
            radius: l(10.0),
            height: l(80.0),
        };
        let bar = Solid::Box(crate::geom::Box3::at(
            v(20.0, 80.0, 90.0),
            v(80.0, 40.0, 20.0),
        ));
        let bar_goes = 3500f64.sqrt() - 20.0;
        for (solid, exact) in [(rod, 40.0), (bar, bar_goes)] {
            for dir in [Dir::PosY, Dir::NegY] {
                let body = Body::from(solid.clone());
                let all = wall.bodies().iter();
                let least = all
                    .filter_map(|b| crate::placement::travel(&body, b, dir))
                    .min();
                let off = exact - least.expect("it meets the rim").as_mm();
                assert!((0.0..0.0015).contains(&off), "{off}");
            }
        }
    }
}
