//! How far apart two solids are, or how deep in one another.
//!
//! The one place that knows which pairs of shapes are judged exactly. Whoever
//! asks gets an answer that holds, or [`Gap::Unjudged`]; a bounding box never
//! stands in for a rounder shape.

use crate::geom::{Axis, Box3, Length, Solid, Vec3};

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
        /// The shortest straight move that ends it.
        depth: Length,
        /// The box in which they meet.
        region: Box3,
    },
    /// This pair of shapes cannot be judged.
    Unjudged(String),
}

/// The gap between two solids, as far as it is below `limit`. A solid without
/// thickness has no interior: it overlaps nothing.
pub fn between(a: &Solid, b: &Solid, limit: Length) -> Gap {
    let (p, q) = (a.bounds(), b.bounds());
    let apart = p.distance_mm(&q);
    if apart > 0.0 && apart >= limit.as_mm() {
        return Gap::Beyond;
    }
    match (a, b) {
        (Solid::Box(a), Solid::Box(b)) => boxes(a, b),
        (Solid::Cylinder { .. }, Solid::Box(b)) => match Round::of(a) {
            Some(a) => a.with_box(b),
            None => boxes(&p, &q),
        },
        (Solid::Box(_), Solid::Cylinder { .. }) => swapped(between(b, a, limit)),
        (Solid::Cylinder { .. }, Solid::Cylinder { .. }) => match (Round::of(a), Round::of(b)) {
            (Some(a), Some(b)) if a.axis == b.axis => a.with_round(&b),
            _ => unjudged("cylinders across one another"),
        },
        _ => unjudged("an outlined shape"),
    }
}

fn unjudged(what: &str) -> Gap {
    Gap::Unjudged(format!("the distance of {what} is not worked out"))
}

fn swapped(gap: Gap) -> Gap {
    match gap {
        Gap::Apart { distance, from, to } => Gap::Apart {
            distance,
            from: to,
            to: from,
        },
        same => same,
    }
}

fn boxes(a: &Box3, b: &Box3) -> Gap {
    if let Some((depth, _)) = a.depth(b) {
        let region = a.intersection(b).expect("overlapping boxes intersect");
        return Gap::Overlap { depth, region };
    }
    let (mut from, mut to) = (Vec3::ZERO, Vec3::ZERO);
    for axis in Axis::ALL {
        let (x, y) = nearest(
            [a.min().along(axis), a.max().along(axis)],
            [b.min().along(axis), b.max().along(axis)],
        );
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

/// To whole micrometres, but never to zero.
fn rounded(um: f64) -> Length {
    let whole = um.round() as i64;
    Length::um(if um > 0.0 { whole.max(1) } else { 0 })
}

/// A cylinder by its circle and its extent along the axis.
struct Round {
    axis: Axis,
    centre: [Length; 2],
    radius: Length,
    ends: [Length; 2],
    bounds: Box3,
}

impl Round {
    fn of(solid: &Solid) -> Option<Round> {
        let Solid::Cylinder {
            axis,
            base,
            radius,
            height,
        } = solid
        else {
            return None;
        };
        let (p, q) = axis.others();
        let low = base.along(*axis);
        Some(Round {
            axis: *axis,
            centre: [base.along(p), base.along(q)],
            radius: *radius,
            ends: [low, low + *height],
            bounds: solid.bounds(),
        })
    }

    fn point(&self, flat: [f64; 2], along: Length) -> Vec3 {
        let (p, q) = self.axis.others();
        let um = |v: f64| Length::um(v.round() as i64);
        Vec3::ZERO
            .with(p, um(flat[0]))
            .with(q, um(flat[1]))
            .with(self.axis, along)
    }

    fn with_box(&self, b: &Box3) -> Gap {
        let (p, q) = self.axis.others();
        let low = [b.min().along(p), b.min().along(q)];
        let high = [b.max().along(p), b.max().along(q)];
        let near = [0, 1].map(|i| self.centre[i].max(low[i]).min(high[i]));
        let to_edge = [0, 1].map(|i| (self.centre[i] - low[i]).min(high[i] - self.centre[i]));
        let inside = to_edge.iter().all(|e| *e > Length::ZERO);
        let ends = [b.min().along(self.axis), b.max().along(self.axis)];
        let flat = low[0] == high[0] || low[1] == high[1];
        // From the circle's middle, or from the nearest edge where that is inside.
        let deepest = if inside {
            (self.radius + to_edge[0].min(to_edge[1])).as_um() as f64
        } else {
            self.radius.as_um() as f64 - hypot(self.centre, near)
        };
        self.judge(near, Length::ZERO, ends, (deepest, flat), b)
    }

    fn with_round(&self, o: &Round) -> Gap {
        let deepest = (self.radius + o.radius).as_um() as f64 - hypot(self.centre, o.centre);
        let flat = o.radius == Length::ZERO;
        self.judge(o.centre, o.radius, o.ends, (deepest, flat), &o.bounds)
    }

    /// Against a shape that has the same section all along `ends`: nearest to the
    /// circle is the disc of radius `other` about `near`.
    fn judge(
        &self,
        near: [Length; 2],
        other: Length,
        ends: [Length; 2],
        (deepest, flat): (f64, bool),
        bounds: &Box3,
    ) -> Gap {
        let reach = i128::from((self.radius + other).as_um());
        let d = [0, 1].map(|i| i128::from((near[i] - self.centre[i]).as_um()));
        let square = d[0] * d[0] + d[1] * d[1];
        let along = (ends[1].min(self.ends[1]) - ends[0].max(self.ends[0])).as_um();
        let solid = !flat && self.radius > Length::ZERO && self.thick() && ends[0] < ends[1];
        if solid && along > 0 && square < reach * reach {
            let slide = (self.ends[1] - ends[0]).min(ends[1] - self.ends[0]);
            let across = Length::um(deepest.round() as i64).max(Length::um(1));
            let region = self.bounds.intersection(bounds);
            return Gap::Overlap {
                depth: slide.min(across),
                region: region.expect("solids that meet have bounds that meet"),
            };
        }
        let across = ((square as f64).sqrt() - reach as f64).max(0.0);
        let (x, y) = nearest(self.ends, ends);
        let gap = ((y - x).as_um() as f64).hypot(across);
        let apart = square > reach * reach || x != y;
        let way = [d[0] as f64, d[1] as f64];
        let length = (way[0] * way[0] + way[1] * way[1]).sqrt().max(1.0);
        let c = self.centre.map(|l| l.as_um() as f64);
        let mine = (self.radius.as_um() as f64).min(length);
        let theirs = (length - other.as_um() as f64).max(mine);
        let theirs = if across > 0.0 { theirs } else { mine };
        let at = |r: f64| [c[0] + way[0] / length * r, c[1] + way[1] / length * r];
        Gap::Apart {
            distance: if apart {
                rounded(gap).max(Length::um(1))
            } else {
                Length::ZERO
            },
            from: self.point(at(mine), x),
            to: self.point(at(theirs), y),
        }
    }

    fn thick(&self) -> bool {
        self.ends[0] < self.ends[1]
    }
}

fn hypot(a: [Length; 2], b: [Length; 2]) -> f64 {
    let d = [0, 1].map(|i| (a[i] - b[i]).as_um() as f64);
    d[0].hypot(d[1])
}
