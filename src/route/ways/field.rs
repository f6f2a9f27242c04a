//! Obstacles of one cable as boxes: a little larger than what they stand for, so that a
//! way that keeps clear of them keeps clear of the solids.

use super::gates::Gates;
use crate::geom::{Box3, Dir, Length, Solid, Vec3};
use crate::model::{Cutout, PartId, Plate, Space};
use crate::placement::{Placed, PlacedPart, PlacedPlate, Thing};
use crate::route::free::Block;
use std::collections::BTreeMap;

/// A way keeps so much more than half its thickness from everything, in millimetres: for
/// the rounding of corners to whole micrometres, and for the chords that arcs are judged by.
pub(super) const CLEAR: f64 = 0.05;
/// An outline with more distinct places along an axis stands for its bounding box.
const MOST_STRIPS: usize = 200;

/// The straight room of a plug and its lead, which its own part leaves free.
#[derive(Clone, Debug)]
pub(super) struct Corridor {
    /// Whose port it is.
    pub part: PartId,
    /// The room.
    pub room: Box3,
}

impl Corridor {
    /// From the face of a port this long straight out, so wide to each side.
    pub fn new(part: &PartId, face: Vec3, out: Dir, long: Length, half: Length) -> Corridor {
        let mut room = Box3::new(face, face + out.times(long)).grown(half);
        // Behind the face the part is as it is, but for the end of the cable itself.
        let (mut min, mut max) = (room.min(), room.max());
        let behind = (face - out.times(half)).along(out.axis());
        match out.is_positive() {
            true => min.set(out.axis(), behind),
            false => max.set(out.axis(), behind),
        }
        room = Box3::new(min, max);
        Corridor {
            part: part.clone(),
            room,
        }
    }
}

/// All obstacles of one cable, worked out when they are first asked for.
pub(super) struct Field<'a> {
    placed: &'a Placed,
    gates: &'a Gates,
    corridors: Vec<Corridor>,
    /// Rooms that are kept clear count as solid.
    keep_out: bool,
    /// Boxes that count besides what stands in the scene, then the gaps under boards.
    pub more: Vec<Block>,
    besides: usize,
    known: BTreeMap<Thing, Boxes>,
    /// What was in the way so far.
    pub met: Met,
}

/// The boxes of one thing; from here on they are rooms that are kept clear.
#[derive(Default)]
struct Boxes {
    all: Vec<Block>,
    kept: usize,
}

/// Which boxes that may be left out were in the way: where none was, a search without them
/// finds the same.
#[derive(Clone, Copy, Default)]
pub(super) struct Met {
    /// A room that is kept clear.
    pub kept: bool,
    /// The gap under a board.
    pub gap: bool,
}

impl<'a> Field<'a> {
    pub fn new(placed: &'a Placed, gates: &'a Gates, corridors: Vec<Corridor>) -> Field<'a> {
        Field {
            placed,
            gates,
            corridors,
            keep_out: true,
            more: Vec::new(),
            besides: 0,
            known: BTreeMap::new(),
            met: Met::default(),
        }
    }

    /// Rooms that are kept clear, boxes besides and gaps under boards, as asked from here on.
    pub fn with(&mut self, keep_out: bool, more: &[Block], gaps: &[Block]) {
        if self.keep_out != keep_out {
            self.known.clear();
        }
        self.keep_out = keep_out;
        self.more = [more, gaps].concat();
        self.besides = more.len();
        self.met = Met::default();
    }

    /// The boxes that count besides what stands in the scene, without the gaps.
    pub fn besides(&self) -> &[Block] {
        &self.more[..self.besides]
    }

    /// The gaps under boards that are closed.
    pub fn gaps(&self) -> &[Block] {
        &self.more[self.besides..]
    }

    /// Notes that a box is in the way.
    pub fn note(&mut self, thing: Option<&Thing>, i: usize) {
        match thing {
            None => self.met.gap |= i >= self.besides,
            Some(thing) => {
                let kept = self.known.get(thing).is_some_and(|b| i >= b.kept);
                self.met.kept |= kept;
            }
        }
    }

    /// The inside of the enclosure.
    pub fn bounds(&self) -> Block {
        let room = self.placed.enclosure().outline();
        [room.min().as_mm(), room.max().as_mm()]
    }

    /// What may stand in a box.
    pub fn near(&self, around: &Box3) -> Vec<Thing> {
        let parts = self.placed.near(around, Length::ZERO).into_iter();
        let plates = self.placed.plates_near(around, Length::ZERO).into_iter();
        parts
            .map(|p| Thing::Part(p.id.clone()))
            .chain(plates.map(|p| Thing::Plate(p.index)))
            .collect()
    }

    /// The boxes of one thing.
    pub fn boxes(&mut self, thing: &Thing) -> &[Block] {
        if !self.known.contains_key(thing) {
            let boxes = match thing {
                Thing::Part(id) => self.placed.part(id).map(|p| self.of_part(p)),
                Thing::Plate(i) => self.placed.plates().get(*i as usize).map(|p| {
                    let all = self.of_plate(p);
                    let kept = all.len();
                    (all, kept)
                }),
            };
            let (all, kept) = boxes.unwrap_or_default();
            let all = all.iter().map(grown).collect();
            self.known.insert(thing.clone(), Boxes { all, kept });
        }
        self.known.get(thing).map_or(&[], |b| b.all.as_slice())
    }

    /// The boxes of a part, and from which on they are rooms that are kept clear.
    fn of_part(&self, part: &PlacedPart) -> (Vec<Box3>, usize) {
        let own: Vec<&Box3> = self
            .corridors
            .iter()
            .filter(|c| c.part == part.id)
            .map(|c| &c.room)
            .collect();
        let mut all: Vec<Box3> = part
            .of(Space::Solid)
            .flat_map(|q| boxes_of(&q.solid))
            .collect();
        for room in &own {
            all = all.iter().flat_map(|b| without(b, room)).collect();
        }
        let solid = all.len();
        // What an end keeps clear is kept clear for its own plug.
        if self.keep_out && own.is_empty() {
            all.extend(part.of(Space::KeepOut).flat_map(|q| boxes_of(&q.solid)));
        }
        (all, solid)
    }

    fn of_plate(&self, plate: &PlacedPlate) -> Vec<Box3> {
        let Some(own) = self.placed.enclosure().plates.get(plate.index as usize) else {
            return Vec::new();
        };
        let mut all = match &own.solid {
            Solid::Cylinder { .. } => vec![plate.bounds],
            solid => boxes_of(solid),
        };
        for (i, cutout) in own.open() {
            if !self.gates.is_open(plate.index, i) {
                continue;
            }
            let hole = through(cutout, own);
            all = all.iter().flat_map(|b| without(b, &hole)).collect();
        }
        all
    }
}

/// A box in millimetres, larger by what ways keep off.
pub(super) fn grown(b: &Box3) -> Block {
    [
        b.min().as_mm().map(|x| x - CLEAR),
        b.max().as_mm().map(|x| x + CLEAR),
    ]
}

/// What a cut-out takes out of its plate, right through: of a round one the square in it.
pub(super) fn through(cutout: &Cutout, plate: &Plate) -> Box3 {
    let (axis, plate) = (plate.across(), plate.solid.bounds());
    let hole = match cutout {
        Cutout::Rect(b) => *b,
        Cutout::Round { centre, diameter } => {
            let half = Length::um((diameter.as_um() as f64 / 8f64.sqrt()) as i64);
            Box3::new(*centre, *centre).grown(half)
        }
    };
    Box3::new(
        hole.min().with(axis, plate.min().along(axis)),
        hole.max().with(axis, plate.max().along(axis)),
    )
}

/// `b` without the inside of `hole`.
fn without(b: &Box3, hole: &Box3) -> Vec<Box3> {
    crate::placement::without(b, hole)
}

/// Boxes that a solid lies within: of an outline along the axes exactly those it is made
/// of, of others the strips that cover it, of a cylinder the box around it.
pub(super) fn boxes_of(solid: &Solid) -> Vec<Box3> {
    let Solid::Extrusion {
        axis,
        low,
        high,
        outline,
        holes,
    } = solid
    else {
        return vec![solid.bounds()];
    };
    let edges: Vec<[[Length; 2]; 2]> = std::iter::once(outline)
        .chain(holes)
        .flat_map(|ring| (0..ring.len()).map(|i| [ring[i], ring[(i + 1) % ring.len()]]))
        .collect();
    let mut cuts: Vec<Length> = edges.iter().map(|e| e[0][0]).collect();
    cuts.sort_unstable();
    cuts.dedup();
    if cuts.len() > MOST_STRIPS {
        return vec![solid.bounds()];
    }
    let (a, b) = axis.others();
    let mut all = Vec::new();
    for strip in cuts.windows(2) {
        // Edges that cross the whole strip, by their height in its middle; the strip
        // between two of them counts as far as they reach.
        let mut crossing: Vec<(Length, Length, Length)> = edges
            .iter()
            .filter(|e| {
                let (lo, hi) = (e[0][0].min(e[1][0]), e[0][0].max(e[1][0]));
                lo <= strip[0] && strip[1] <= hi && lo < hi
            })
            .map(|e| {
                let at = |u: Length| height(e, u);
                let (s, t) = (at(strip[0]), at(strip[1]));
                ((s + t) / 2, s.min(t), s.max(t))
            })
            .collect();
        crossing.sort_unstable();
        for pair in crossing.chunks_exact(2) {
            let corner =
                |u: Length, v: Length, w: Length| Vec3::ZERO.with(a, u).with(b, v).with(*axis, w);
            all.push(Box3::new(
                corner(strip[0], pair[0].1, *low),
                corner(strip[1], pair[1].2, *high),
            ));
        }
    }
    all
}

fn height(edge: &[[Length; 2]; 2], u: Length) -> Length {
    let [[u0, v0], [u1, v1]] = edge.map(|p| p.map(|l| l.as_um() as f64));
    let t = (u.as_um() as f64 - u0) / (u1 - u0);
    Length::um((v0 + (v1 - v0) * t).round() as i64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Axis;

    #[test]
    fn an_outline_along_the_axes_is_cut_into_its_boxes() {
        let p = |x, y| [Length::mm(x), Length::mm(y)];
        let angle = Solid::Extrusion {
            axis: Axis::Z,
            low: Length::ZERO,
            high: Length::mm(5),
            outline: vec![p(0, 0), p(30, 0), p(30, 2), p(2, 2), p(2, 20), p(0, 20)],
            holes: vec![],
        };
        let boxes = boxes_of(&angle);
        let volume: f64 = boxes.iter().map(Box3::volume_mm3).sum();
        // By hand: 30 x 2 and 2 x 18, 5 high.
        assert_eq!(volume, (60.0 + 36.0) * 5.0);
        assert!(boxes.iter().all(|b| !b.contains_point(Vec3::mm(15, 10, 2))));
    }

    #[test]
    fn a_slanted_outline_is_covered() {
        let p = |x, y| [Length::mm(x), Length::mm(y)];
        let roof = Solid::Extrusion {
            axis: Axis::Z,
            low: Length::ZERO,
            high: Length::mm(5),
            outline: vec![p(0, 0), p(20, 0), p(10, 10)],
            holes: vec![],
        };
        let boxes = boxes_of(&roof);
        for (x, y) in [(1, 1), (10, 9), (10, 10), (19, 1), (5, 5)] {
            assert!(boxes.iter().any(|b| b.contains_point(Vec3::mm(x, y, 2))));
        }
    }
}
