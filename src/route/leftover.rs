//! What is left over of cables, the room that it takes, and where it goes.

use super::bend::{Leg, Point};
use super::bundle;
use super::run::CableRun;
use super::together::places;
use crate::geom::{Axis, Box3, Length};
use crate::model::{Cable, CableId, Catalogue, PortRef, Scene, Section, Settings, System, Tuck};
use std::collections::BTreeMap;

/// Less than this is taken up by the way itself. Common practice, no source.
pub const LEAST: Length = Length::mm(80);

/// Ways are looked at in such steps for the nearest room, millimetres.
const STEP: f64 = 10.0;

/// So many ways to give out rooms are looked at before the first one found counts.
const MOST_TRIED: usize = 20_000;

/// What kind of leftover it is.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum What {
    /// What a stretch has beyond its way and the share for service, by its number.
    Spare(usize),
    /// So many plugs at the end of a run that nothing is plugged on.
    Plugs(usize),
    /// The piece of a plug that splits off at this socket.
    Tail(PortRef),
}

/// Something that has to be tucked away.
#[derive(Clone, PartialEq, Debug)]
pub struct Leftover {
    /// Of which cable.
    pub cable: CableId,
    /// What it is.
    pub what: What,
    /// How long it is.
    pub length: Length,
    /// The box that it takes, coiled or folded.
    pub size: [Length; 3],
    /// How far from its way it can be tucked.
    pub reach: Length,
    /// Where it may leave its way: this stretch, or only its end.
    from: From,
}

/// A stretch of a cable, by its number.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum From {
    Stretch(usize),
    End(usize),
}

impl From {
    fn legs(self, run: &CableRun) -> &[Leg] {
        let (From::Stretch(index) | From::End(index)) = self;
        let legs = run.stretches.get(index).map_or(&[][..], |s| &s.legs);
        match self {
            From::Stretch(_) => legs,
            From::End(_) => legs.get(legs.len().saturating_sub(1)..).unwrap_or(&[]),
        }
    }
}

impl Leftover {
    /// What it takes, in cubic millimetres: the volume of its box.
    pub fn volume(&self) -> f64 {
        self.size.iter().map(|l| l.as_mm()).product()
    }
}

/// The box that a length takes, coiled as tight as its middle line may bend.
///
/// From a full turn on (2 pi r) it is a ring of so many strands as turns are begun: as
/// thick as a bundle of them, its outside that much more than 2 r across. A flat cable
/// is wound on its flat: each turn adds its thickness on both sides. Less than a turn is
/// folded once: half of what a bend of radius r leaves to each leg. The corners of the
/// box count, since nothing else is put there. Arithmetic; that leftovers are coiled at
/// the least radius is an assumption, no source.
pub fn coil(length: Length, section: Section, bend: Length) -> [Length; 3] {
    let (l, r) = (
        length.as_mm(),
        bend.as_mm().max(section.thickness().as_mm() / 2.0),
    );
    let turn = std::f64::consts::TAU * r;
    let (width, thick) = (section.width().as_mm(), section.thickness().as_mm());
    let size = if l >= turn {
        let turns = ((l / turn) - 1e-5).ceil().clamp(1.0, 10_000.0) as usize;
        match section {
            Section::Round(_) => {
                let strands = std::iter::repeat_n(section, turns);
                let ring = bundle::diameter(strands).as_mm();
                [2.0 * r + ring, 2.0 * r + ring, ring]
            }
            Section::Flat(..) => {
                let outside = 2.0 * r + (2 * turns - 1) as f64 * thick;
                [outside, outside, width]
            }
        }
    } else {
        let leg = ((l - turn / 2.0) / 2.0).max(0.0);
        let across = (2.0 * r).min(l) + thick;
        [leg + r.min(l / 2.0) + thick / 2.0, across, width]
    };
    size.map(|mm| Length::from_mm(mm).unwrap_or(Length::mm(100_000)))
}

/// All leftovers of a scene, by cable; see [`of_cable`].
pub fn leftovers(
    scene: &Scene,
    catalogue: &Catalogue,
    settings: &Settings,
    runs: &BTreeMap<CableId, CableRun>,
) -> Vec<Leftover> {
    let cables = scene.arrangement().cables.iter();
    cables
        .filter_map(|(id, cable)| Some((id, cable, runs.get(id)?)))
        .flat_map(|(id, cable, run)| of_cable(scene, catalogue, settings, id, cable, run))
        .collect()
}

/// The leftovers of one cable: spare of each stretch beyond its way with the
/// share for service, from 80 mm on; plugs of runs that nothing is plugged on; pieces of
/// plugs that split off. Hoses leave nothing: their spare is their shape. A stretch
/// whose way was not found is left out; another rule says so.
pub fn of_cable(
    scene: &Scene,
    catalogue: &Catalogue,
    settings: &Settings,
    id: &CableId,
    cable: &Cable,
    run: &CableRun,
) -> Vec<Leftover> {
    let mut all = Vec::new();
    if cable.system == System::Liquid {
        return all;
    }
    for (index, stretch) in run.stretches.iter().enumerate() {
        if stretch.judged.is_err() || stretch.legs.is_empty() {
            continue;
        }
        let length = stretch.available - settings.with_service(stretch.needed);
        if length >= LEAST {
            all.push(Leftover {
                cable: id.clone(),
                what: What::Spare(index),
                length,
                size: coil(length, cable.section, cable.bend),
                // A loop goes there and comes back.
                reach: length.half(),
                from: From::Stretch(index),
            });
        }
    }
    all.extend(unused(catalogue, id, cable, run));
    all.extend(tails(scene, catalogue, id, cable, run));
    all
}

fn unused(catalogue: &Catalogue, id: &CableId, cable: &Cable, run: &CableRun) -> Option<Leftover> {
    let kind = catalogue.cables.get(cable.kind.as_ref()?)?;
    let free = kind
        .plugs
        .checked_sub(cable.plugs.len())
        .filter(|n| *n > 0)?;
    let length = Length::um(kind.pitch.as_um().saturating_mul(free as i64));
    let from = end(run, run.stretches.len().checked_sub(1)?)?;
    Some(Leftover {
        cable: id.clone(),
        what: What::Plugs(free),
        length,
        size: coil(length, cable.section, cable.bend),
        reach: length,
        from,
    })
}

/// The leg of a stretch that ends in the socket, where it has one.
fn end(run: &CableRun, index: usize) -> Option<From> {
    let legs = &run.stretches.get(index)?.legs;
    (!legs.is_empty()).then_some(From::End(index))
}

/// The piece is as long as the plug with the straight lead behind it, and as wide as the
/// plug is wider than the socket.
fn tails(
    scene: &Scene,
    catalogue: &Catalogue,
    id: &CableId,
    cable: &Cable,
    run: &CableRun,
) -> Vec<Leftover> {
    let port = |p: &PortRef| scene.parts.get(&p.part)?.kind.port(&p.port);
    let plug = match &cable.kind {
        Some(kind) => catalogue.cables.get(kind).map(|k| k.to.as_str()),
        None => port(&cable.from).map(|p| p.connector.as_str()),
    };
    let Some(plug) = plug.and_then(|p| catalogue.connectors.get(p)) else {
        return Vec::new();
    };
    let mut all = Vec::new();
    for (index, stretch) in run.stretches.iter().enumerate() {
        let socket =
            port(&stretch.to).filter(|s| s.connector != plug.id && plug.fits(&s.connector));
        let socket = socket.and_then(|s| catalogue.connectors.get(&s.connector));
        let (Some(socket), Some(from)) = (socket, end(run, index)) else {
            continue;
        };
        let length = plug.plug[2] + plug.straight;
        let piece = (plug.plug[1] - socket.plug[1]).max(Length::mm(1));
        all.push(Leftover {
            cable: id.clone(),
            what: What::Tail(stretch.to.clone()),
            length,
            size: [length, plug.plug[0], piece],
            reach: length,
            from,
        });
    }
    all
}

/// Where each leftover goes: the number of its room, or `None` where it goes into none.
///
/// A leftover goes into a room that is within its reach, that its box fits into in some
/// turn, and that has so much volume left; boxes are not laid out beside one another.
/// All are placed where that is possible (looked for exactly, up to 20 000 tries), the
/// bulkiest first, each in the nearest room that will do.
pub fn tuck(
    leftovers: &[&Leftover],
    runs: &BTreeMap<CableId, CableRun>,
    rooms: &[Tuck],
) -> Vec<Option<usize>> {
    let legs = |of: &Leftover| runs.get(&of.cable).map_or(&[][..], |r| of.from.legs(r));
    let ways: Vec<(&Leftover, &[Leg])> = leftovers.iter().map(|l| (*l, legs(l))).collect();
    give(&ways, rooms)
}

fn give(leftovers: &[(&Leftover, &[Leg])], rooms: &[Tuck]) -> Vec<Option<usize>> {
    let mut order: Vec<usize> = (0..leftovers.len()).collect();
    order.sort_by(|a, b| {
        let (x, y) = (leftovers[*a].0.volume(), leftovers[*b].0.volume());
        y.total_cmp(&x).then(a.cmp(b))
    });
    let choices: Vec<Vec<usize>> = order.iter().map(|i| near(leftovers[*i], rooms)).collect();
    let volume = |r: &Tuck| r.room.volume_mm3();
    let mut search = Search {
        volumes: order.iter().map(|i| leftovers[*i].0.volume()).collect(),
        choices,
        left: rooms.iter().map(volume).collect(),
        now: Vec::with_capacity(order.len()),
        best: None,
        tried: 0,
    };
    search.go(0);
    let mut found = vec![None; leftovers.len()];
    for (i, room) in order.iter().zip(search.best.map_or(Vec::new(), |b| b.1)) {
        found[*i] = room;
    }
    found
}

/// Rooms that a leftover fits into and reaches, the nearest first.
fn near((of, legs): (&Leftover, &[Leg]), rooms: &[Tuck]) -> Vec<usize> {
    let sorted = |mut s: [Length; 3]| {
        s.sort();
        s
    };
    let between: Vec<Point> = places(legs, STEP).into_iter().map(|p| p.0).collect();
    let ends: Vec<Point> = legs.iter().map(Leg::end).collect();
    let mut all: Vec<(f64, usize)> = rooms
        .iter()
        .enumerate()
        .filter(|(_, r)| {
            let size = r.room.size();
            let room = sorted([size.x, size.y, size.z]);
            sorted(of.size).iter().zip(room).all(|(a, b)| *a <= b)
        })
        .filter_map(|(i, r)| {
            let points = ends.iter().chain(&between);
            let off = points.map(|p| distance(&r.room, *p));
            let off = off.fold(f64::INFINITY, f64::min);
            (off <= of.reach.as_mm()).then_some((off, i))
        })
        .collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    all.into_iter().map(|(_, i)| i).collect()
}

fn distance(room: &Box3, p: Point) -> f64 {
    let off = |a: Axis| {
        let (low, high) = (room.min().along(a).as_mm(), room.max().along(a).as_mm());
        let x = p[a.index()];
        (low - x).max(x - high).max(0.0)
    };
    Axis::ALL
        .iter()
        .map(|a| off(*a).powi(2))
        .sum::<f64>()
        .sqrt()
}

struct Search {
    volumes: Vec<f64>,
    choices: Vec<Vec<usize>>,
    left: Vec<f64>,
    now: Vec<Option<usize>>,
    /// How many lie nowhere, and where the others do.
    best: Option<(usize, Vec<Option<usize>>)>,
    tried: usize,
}

impl Search {
    fn go(&mut self, index: usize) {
        let out = self.now.iter().filter(|r| r.is_none()).count();
        let done = self.best.as_ref().is_some_and(|b| b.0 == 0 || b.0 <= out);
        if done || (self.tried > MOST_TRIED && self.best.is_some()) {
            return;
        }
        self.tried += 1;
        if index == self.volumes.len() {
            self.best = Some((out, self.now.clone()));
            return;
        }
        let volume = self.volumes[index];
        for i in 0..self.choices[index].len() {
            let room = self.choices[index][i];
            // A thousandth of a cubic millimetre: sums come from floating point.
            if self.left[room] + 1e-3 >= volume {
                self.left[room] -= volume;
                self.now.push(Some(room));
                self.go(index + 1);
                self.now.pop();
                self.left[room] += volume;
            }
        }
        self.now.push(None);
        self.go(index + 1);
        self.now.pop();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{cid, l, v};
    use std::f64::consts::PI;

    fn size(length: f64, section: Section, bend: f64) -> [f64; 3] {
        coil(l(length), section, l(bend)).map(Length::as_mm)
    }

    #[test]
    fn a_coil_is_as_large_as_its_turns() {
        let round = Section::Round(l(4.0));
        // One turn of radius 20 is 125.66: a single strand, 44 across and 4 thick.
        assert_eq!(size(2.0 * PI * 20.0, round, 20.0), [44.0, 44.0, 4.0]);
        // Three turns begun: three circles in one are 1 + 2/sqrt 3 times as wide.
        let [a, _, c] = size(300.0, round, 20.0);
        let ring = 4.0 * (1.0 + 2.0 / 3.0f64.sqrt());
        assert!((c - ring).abs() < 2e-3 && (a - 40.0 - ring).abs() < 2e-3);
        // Flat, 8 x 2, radius 30: 188.5 a turn, two begun: 60 + 3 x 2 across, 8 high.
        assert_eq!(
            size(300.0, Section::Flat(l(8.0), l(2.0)), 30.0),
            [66.0, 66.0, 8.0]
        );
    }

    #[test]
    fn less_than_a_turn_is_folded_once() {
        // 100 mm at radius 20: 62.83 go into the bend, 18.58 into each leg.
        let [long, across, thick] = size(100.0, Section::Round(l(4.0)), 20.0);
        let leg = (100.0 - PI * 20.0) / 2.0;
        assert!((long - (leg + 22.0)).abs() < 1e-3, "{long}");
        assert_eq!((across, thick), (44.0, 4.0));
    }

    fn leftover(side: f64, reach: f64) -> Leftover {
        Leftover {
            cable: cid("c"),
            what: What::Spare(0),
            length: l(2.0 * reach),
            size: [l(side); 3],
            reach: l(reach),
            from: From::Stretch(0),
        }
    }

    fn ways<'a>(all: &'a [Leftover], at: &'a [Leg]) -> Vec<(&'a Leftover, &'a [Leg])> {
        all.iter().map(|l| (l, at)).collect()
    }

    /// A leg without length: where the way is.
    fn at(p: Point) -> Leg {
        Leg::Straight { from: p, to: p }
    }

    fn room(id: &str, at: [f64; 3], size: [f64; 3]) -> Tuck {
        Tuck {
            id: id.into(),
            name: id.into(),
            room: Box3::at(v(at[0], at[1], at[2]), v(size[0], size[1], size[2])),
        }
    }

    #[test]
    fn each_goes_into_the_nearest_room_that_it_reaches_and_fits() {
        let rooms = [
            room("near", [10.0, 0.0, 0.0], [20.0; 3]),
            room("far", [60.0, 0.0, 0.0], [40.0; 3]),
        ];
        let at = &[at([0.0, 10.0, 10.0])];
        assert_eq!(give(&[(&leftover(20.0, 10.0), at)], &rooms), [Some(0)]);
        assert_eq!(give(&[(&leftover(20.0, 9.999), at)], &rooms), [None]);
        // Too large for the near one; the far one is 60 off.
        assert_eq!(give(&[(&leftover(20.001, 60.0), at)], &rooms), [Some(1)]);
        assert_eq!(give(&[(&leftover(41.0, 500.0), at)], &rooms), [None]);
    }

    #[test]
    fn rooms_are_given_out_so_that_all_find_one() {
        // Both like the near room best; one of them reaches no other.
        let rooms = [
            room("near", [10.0, 0.0, 0.0], [20.0; 3]),
            room("far", [60.0, 0.0, 0.0], [20.0; 3]),
        ];
        let at = &[at([0.0, 10.0, 10.0])];
        let all = [leftover(20.0, 100.0), leftover(19.0, 15.0)];
        assert_eq!(give(&ways(&all, at), &rooms), [Some(1), Some(0)]);
        // A third finds none: what fits stays.
        let all = [all[0].clone(), all[1].clone(), leftover(18.0, 100.0)];
        let found = give(&ways(&all, at), &rooms);
        assert_eq!(found.iter().filter(|r| r.is_none()).count(), 1);
    }
}
