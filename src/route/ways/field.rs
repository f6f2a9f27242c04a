//! Obstacles of one cable as boxes: a little larger than what they stand for, so that a
//! way that keeps clear of them keeps clear of the solids.

use super::gates::Gates;
use crate::geom::{Box3, Dir, Length, Solid, Vec3, covering_boxes};
use crate::model::{Cutout, PartId, Plate, Space};
use crate::placement::{Placed, PlacedPart, PlacedPlate, Thing};
use crate::route::free::Block;
use std::collections::BTreeMap;

/// A way keeps so much more than half its thickness from everything, in millimetres: for
/// the rounding of corners to whole micrometres, and for the chords that arcs are judged by.
pub(super) const CLEAR: f64 = 0.05;

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
            .flat_map(|q| covering_boxes(&q.solid))
            .collect();
        for room in &own {
            all = all.iter().flat_map(|b| without(b, room)).collect();
        }
        let solid = all.len();
        // What an end keeps clear is kept clear for its own plug.
        if self.keep_out && own.is_empty() {
            all.extend(
                part.of(Space::KeepOut)
                    .flat_map(|q| covering_boxes(&q.solid)),
            );
        }
        (all, solid)
    }

    fn of_plate(&self, plate: &PlacedPlate) -> Vec<Box3> {
        let Some(own) = self.placed.enclosure().plates.get(plate.index as usize) else {
            return Vec::new();
        };
        let mut all = match &own.solid {
            Solid::Cylinder { .. } => vec![plate.bounds],
            solid => covering_boxes(solid),
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
