//! The same scene built on the other hand.

use super::rebuilt;
use crate::build::Build;
use closefit::geom::{Axis, Box3, Dir, Length, Solid, Turn, Vec3};
use closefit::model::{Cutout, Frame, PartKind, Place};

/// Across the middle of `width` along x.
#[derive(Clone, Copy)]
struct Mirror {
    width: Length,
}

impl Mirror {
    fn point(self, p: Vec3) -> Vec3 {
        p.with(Axis::X, self.width - p.x)
    }

    fn dir(self, d: Dir) -> Dir {
        if d.axis() == Axis::X { d.opposite() } else { d }
    }

    fn boxed(self, b: &Box3) -> Box3 {
        Box3::new(self.point(b.min()), self.point(b.max()))
    }

    fn frame(self, f: &mut Frame) {
        f.origin = self.point(f.origin);
        f.u = self.dir(f.u);
        f.v = self.dir(f.v);
        f.normal = self.dir(f.normal);
    }

    fn solid(self, s: &Solid) -> Solid {
        match s {
            Solid::Box(b) => Solid::Box(self.boxed(b)),
            Solid::Cylinder {
                axis,
                base,
                radius,
                height,
            } => {
                let mut base = self.point(*base);
                if *axis == Axis::X {
                    base.x -= *height;
                }
                Solid::Cylinder {
                    axis: *axis,
                    base,
                    radius: *radius,
                    height: *height,
                }
            }
            Solid::Extrusion {
                axis,
                low,
                high,
                outline,
                holes,
            } => {
                let flip = |x: Length| self.width - x;
                let (a, _) = axis.others();
                let ring = |r: &Vec<[Length; 2]>| {
                    r.iter()
                        .map(|[p, q]| match (*axis, a) {
                            (Axis::X, _) => [*p, *q],
                            (_, Axis::X) => [flip(*p), *q],
                            _ => [*p, flip(*q)],
                        })
                        .collect()
                };
                let (low, high) = match axis {
                    Axis::X => (flip(*high), flip(*low)),
                    _ => (*low, *high),
                };
                Solid::Extrusion {
                    axis: *axis,
                    low,
                    high,
                    outline: ring(outline),
                    holes: holes.iter().map(ring).collect(),
                }
            }
        }
    }
}

/// The kind built on the other hand, across the middle of its own x.
fn mirrored_kind(kind: &PartKind) -> PartKind {
    let m = Mirror { width: kind.size.x };
    let mut kind = kind.clone();
    for p in &mut kind.body {
        p.solid = m.solid(&p.solid);
    }
    kind.patterns.iter_mut().for_each(|p| m.frame(&mut p.frame));
    kind.zones.iter_mut().for_each(|z| m.frame(&mut z.frame));
    for p in &mut kind.ports {
        p.at = m.point(p.at);
        p.leaves = m.dir(p.leaves);
    }
    kind.blows = kind.blows.map(|d| m.dir(d));
    kind.ratings.up.iter_mut().for_each(|d| *d = m.dir(*d));
    kind
}

pub fn mirrored(build: &Build) -> Build {
    let m = Mirror {
        width: build.scene.enclosure.size.x,
    };
    let mut case = (*build.scene.enclosure).clone();
    for p in &mut case.plates {
        p.solid = m.solid(&p.solid);
        for c in &mut p.cutouts {
            match c {
                Cutout::Rect(b) => *b = m.boxed(b),
                Cutout::Round { centre, .. } => *centre = m.point(*centre),
            }
        }
    }
    case.zones.iter_mut().for_each(|z| m.frame(&mut z.frame));
    case.vents.iter_mut().for_each(|v| m.frame(&mut v.frame));
    rebuilt(
        build,
        case,
        |k| Some(mirrored_kind(k)),
        |kind, place| {
            let [x, y, _] = place.turn.axes();
            let turn = Turn::new(m.dir(x).opposite(), m.dir(y)).expect("still square");
            let outline = m.boxed(&place.outline(kind));
            Place {
                at: outline.min(),
                turn,
                ..*place
            }
        },
        |p| m.point(p),
    )
}
