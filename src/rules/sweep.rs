//! The ways of what moves when the build is used: a tray that is pulled out, and what swings with
//! a hinged panel. The rules on them judge these ways, and the views draw them.

use super::hinge::{OPEN, Swing, hinged};
use crate::geom::{Axis, Box3, Dir, Length, Solid, covering_strips};
use crate::model::{Plate, Space};
use crate::placement::{Placed, PlacedPart, PlacedPiece};

/// The way that something takes.
#[derive(Clone, PartialEq, Debug)]
pub enum Sweep {
    /// Straight out.
    Pull {
        /// From where it stands to where it is free, around all that comes along.
        space: Box3,
        /// The direction.
        way: Dir,
        /// How far.
        by: Length,
    },
    /// About a hinge.
    Swing {
        /// The line of the hinge runs along this axis.
        axis: Axis,
        /// What swings, as it stands when the panel is open.
        open: Vec<Box3>,
        /// The way of the point that gets farthest from the hinge, from rest to open, in
        /// millimetres; chords of 3 degrees.
        arc: Vec<[f64; 3]>,
        /// What swings, in words: "swings with front door", "front door swings open".
        words: String,
        /// How far it opens, in degrees.
        degrees: f64,
    },
}

/// The ways that a part takes: with its own solids and, where it is pulled out, with those of
/// what it carries. Each solid counts by its box.
pub fn sweeps(placed: &Placed, part: &PlacedPart) -> Vec<Sweep> {
    let mut found = Vec::new();
    let ways = pull_ways(placed, part);
    if let (Some((way, by)), Some(space)) = (pulled(part), Box3::around(&ways)) {
        found.push(Sweep::Pull { space, way, by });
    }
    if let Some((panel, swing)) = hinged(placed, part) {
        let boxes: Vec<Box3> = part.of(Space::Solid).map(|q| q.bounds).collect();
        found.push(swing.sweep(&boxes, format!("swings with {}", panel.name)));
    }
    found
}

/// The way of a hinged panel itself; `None` of any other plate.
pub fn panel_sweep(plate: &Plate) -> Option<Sweep> {
    let swing = Swing::of(plate)?;
    Some(swing.sweep(
        &[plate.solid.bounds()],
        format!("{} swings open", plate.name),
    ))
}

/// The hinged panel that a part swings with.
pub fn swings_with<'a>(placed: &'a Placed, part: &PlacedPart) -> Option<&'a Plate> {
    hinged(placed, part).map(|(plate, _)| plate)
}

/// Which way a part is pulled out as it stands, and how far.
pub(super) fn pulled(part: &PlacedPart) -> Option<(Dir, Length)> {
    let pull = part.kind.pulls?;
    Some((part.place.turn.dir(pull.way), pull.by))
}

/// The way of each solid of a part that is pulled out, and of what it carries, by its box.
pub(super) fn pull_ways(placed: &Placed, part: &PlacedPart) -> Vec<Box3> {
    let Some((way, by)) = pulled(part) else {
        return Vec::new();
    };
    let before = |q: &PlacedPiece| super::needs::before(&q.bounds, way, by);
    moving(placed, part).into_iter().map(before).collect()
}

/// What is pulled out with a part: its own solids, and those of all that it carries.
pub(super) fn moving<'a>(placed: &'a Placed, part: &'a PlacedPart) -> Vec<&'a PlacedPiece> {
    let carried = placed.carried(&part.id);
    let others = carried.iter().filter_map(|id| placed.part(id));
    let all = std::iter::once(part).chain(others);
    all.flat_map(|p| p.of(Space::Solid)).collect()
}

/// A piece of the room that a solid goes through when it is pulled out.
pub(super) struct Path {
    /// The room.
    pub(super) space: Solid,
    /// Where the front of what goes through it starts; `None` where it is round or slanted, and may
    /// miss what stands there.
    pub(super) from: Option<Length>,
}

/// The room that a solid goes through, from its front to where it is free: of one that is
/// straight along the way its own section, of a lying cylinder the room before its middle, of an
/// outline across the way the rooms before the boxes that cover it.
pub(super) fn paths(solid: &Solid, way: Dir, by: Length) -> Vec<Path> {
    let axis = way.axis();
    let before = |b: &Box3| Path {
        space: Solid::Box(super::needs::before(b, way, by)),
        from: Some(b.face(way)),
    };
    let bounds = solid.bounds();
    let around = super::needs::before(&bounds, way, by);
    let (low, high) = (around.min().along(axis), around.max().along(axis));
    let straight = |space: Solid| {
        vec![Path {
            space,
            from: Some(bounds.face(way)),
        }]
    };
    match solid {
        Solid::Cylinder {
            axis: own,
            base,
            radius,
            height,
        } => {
            if *own == axis {
                return straight(Solid::Cylinder {
                    axis,
                    base: base.with(axis, low),
                    radius: *radius,
                    height: high - low,
                });
            }
            let middle = Box3::new(
                bounds.min().with(axis, base.along(axis)),
                bounds.max().with(axis, base.along(axis)),
            );
            let there = Solid::Cylinder {
                axis: *own,
                base: *base + way.times(by),
                radius: *radius,
                height: *height,
            };
            let round = |space: Solid| Path { space, from: None };
            let room = Solid::Box(super::needs::before(&middle, way, by));
            vec![round(room), round(there)]
        }
        Solid::Extrusion {
            axis: own,
            outline,
            holes,
            ..
        } => match *own == axis {
            true => straight(Solid::Extrusion {
                axis,
                low,
                high,
                outline: outline.clone(),
                holes: holes.clone(),
            }),
            false => covering_strips(solid)
                .iter()
                .map(|(b, fills)| match fills {
                    true => before(b),
                    // From its back: something may stand beside its slanted edge.
                    false => Path {
                        space: Solid::Box(super::needs::before(b, way, by).union(b)),
                        from: None,
                    },
                })
                .collect(),
        },
        Solid::Box(b) => vec![before(b)],
    }
}

impl Swing {
    fn sweep(&self, boxes: &[Box3], words: String) -> Sweep {
        let around = Box3::around(boxes).map(|all| self.arc(&all));
        Sweep::Swing {
            axis: self.axis(),
            open: boxes.iter().map(|b| self.opened(b)).collect(),
            arc: around.unwrap_or_default(),
            words,
            degrees: OPEN,
        }
    }

    /// A box after the panel has been opened by a quarter turn: what lay along the panel stands
    /// out of the enclosure, what stood out lies behind the hinge.
    fn opened(&self, b: &Box3) -> Box3 {
        let turned = |p: crate::geom::Vec3| {
            let d = p - self.at();
            let (along, out) = (d.toward(self.along()), d.toward(self.out()));
            let back = self.along().times(Length::ZERO - out);
            let mut to = self.at() + back + self.out().times(along);
            to.set(self.axis(), p.along(self.axis()));
            to
        };
        Box3::new(turned(b.min()), turned(b.max()))
    }

    /// The way of the corner of a box that lies farthest from the hinge.
    fn arc(&self, b: &Box3) -> Vec<[f64; 3]> {
        let far = |p: &[f64; 2]| p[0].hypot(p[1]);
        let corners = self.corners(b);
        let Some([x, y]) = (corners.into_iter()).max_by(|a, b| far(a).total_cmp(&far(b))) else {
            return Vec::new();
        };
        let middle = b.centre().along(self.axis()).as_mm();
        let steps = 30;
        (0..=steps)
            .map(|i| {
                let (s, c) = (OPEN * f64::from(i) / f64::from(steps))
                    .to_radians()
                    .sin_cos();
                let mut at = self.at().as_mm();
                at[self.axis().index()] = middle;
                for (dir, far) in [(self.along(), x * c - y * s), (self.out(), x * s + y * c)] {
                    at[dir.axis().index()] += far * dir.sign() as f64;
                }
                at
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block, enclosure, fan, frame, pid, plate, square, v, zone};
    use crate::model::{Group, Panel, Pull};

    #[test]
    fn a_tray_takes_its_load_along() {
        let mut tray = block("tray", Group::Drive, [100.0, 60.0, 10.0]);
        tray.pulls = Some(Pull {
            way: Dir::NegY,
            by: Length::mm(80),
        });
        let scene = Build::open().with("tray", &tray, [10.0, 200.0, 5.0]).scene;
        let placed = Placed::build(&scene);
        let part = placed.part(&pid("tray")).expect("placed");
        let want = Sweep::Pull {
            space: Box3::new(v(10.0, 120.0, 5.0), v(110.0, 200.0, 15.0)),
            way: Dir::NegY,
            by: Length::mm(80),
        };
        assert_eq!(sweeps(&placed, part), [want]);
        let still = Build::open().with("a", &block("a", Group::Drive, [9.0; 3]), [0.0; 3]);
        let placed = Placed::build(&still.scene);
        assert_eq!(sweeps(&placed, placed.part(&pid("a")).expect("placed")), []);
    }

    #[test]
    fn a_fan_on_a_lid_stands_upright_when_it_is_open() {
        let mut case = enclosure([400.0, 200.0, 102.0]);
        case.plates = vec![plate("lid", [0.0, 0.0, 100.0], [400.0, 200.0, 2.0])];
        case.plates[0].panel = Some(Panel {
            leaves: Dir::PosZ,
            hinge: Some(Dir::NegX),
            opening: Box3::at(v(0.0, 0.0, 100.0), v(400.0, 200.0, 2.0)),
        });
        let face = frame(v(0.0, 0.0, 100.0), "+x", "+y", "-z");
        let mut field = zone("lid", face, [400.0, 200.0], 0.0, &[Group::Fan]);
        field.holes = square(105.0, [100.0, 100.0], 4.3, None);
        case.zones = vec![field];
        let scene = Build::new(case)
            .with("fan", &fan(120.0, 105.0, 25.0), [40.0, 40.0, 75.0])
            .scene;
        let placed = Placed::build(&scene);
        let found = sweeps(&placed, placed.part(&pid("fan")).expect("placed"));
        let [
            Sweep::Swing {
                axis, open, arc, ..
            },
        ] = found.as_slice()
        else {
            panic!("{found:?}");
        };
        // The hinge runs along y at x = 0, z = 102. The fan at x 40..160 and z 75..100 hangs 2 to
        // 27 under that; opened, it stands 2 to 27 behind it and reaches 40 to 160 over it.
        assert_eq!(*axis, Axis::Y);
        assert!(
            open.contains(&Box3::new(v(2.0, 40.0, 142.0), v(27.0, 160.0, 262.0))),
            "{open:?}"
        );
        let lid = &placed.enclosure().plates[0];
        let part = placed.part(&pid("fan")).expect("placed");
        assert_eq!(swings_with(&placed, part).map(|p| &p.id), Some(&lid.id));
        let Some(Sweep::Swing { open, .. }) = panel_sweep(lid) else {
            panic!("a lid with a hinge swings");
        };
        // The lid, 400 wide and 2 thick, stands up on its hinge.
        assert_eq!(open, [Box3::new(v(0.0, 0.0, 102.0), v(2.0, 200.0, 502.0))]);
        let radius = |p: &[f64; 3]| p[0].hypot(p[2] - 102.0);
        assert!(
            arc.iter()
                .all(|p| (radius(p) - 160f64.hypot(27.0)).abs() < 1e-9)
        );
        let (first, last) = (arc[0], arc[arc.len() - 1]);
        assert_eq!((first[0], first[2]), (160.0, 75.0));
        assert!((last[0] - 27.0).abs() < 1e-9 && (last[2] - 262.0).abs() < 1e-9);
    }
}
