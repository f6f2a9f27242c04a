//! Which holes of a part lie on which holes of a zone.

use super::screw::twice_play;
use crate::geom::Length;
use crate::model::{Hole, HoleShape, Pattern, Zone};
use std::collections::BTreeMap;

/// How far a pattern's face may stand off the zone's face and still lie on it.
pub const FACE_PLAY: Length = Length::um(200);

/// How far the places of two seats with the same key may differ.
pub const SEAT_PLAY: Length = Length::um(200);

/// The outcome of laying a pattern on a zone.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct HoleMatch {
    /// Labels of the part's hole and of the zone's hole, in the pattern's order.
    pub pairs: Vec<(String, String)>,
    /// Labels of the part's holes that lie on no hole of the zone.
    pub unmatched: Vec<String>,
}

/// Lays a placed pattern on a placed zone.
///
/// A hole matches where the faces look at one another and lie within
/// [`FACE_PLAY`], and one screw can sit in both holes: out of line by no more
/// than the play that the screw leaves, measured exactly; along a slot
/// anywhere. Reaching the limit exactly still matches. Seats match by key
/// within [`SEAT_PLAY`]. Each hole is used once.
pub fn match_holes(pattern: &Pattern, zone: &Zone) -> HoleMatch {
    let pairs = match_indices(pattern, zone);
    let mut result = HoleMatch::default();
    for (i, hole) in pattern.holes.iter().enumerate() {
        match pairs.iter().find(|p| p.0 == i) {
            Some((_, j)) => result
                .pairs
                .push((hole.label.clone(), zone.holes[*j].label.clone())),
            None => result.unmatched.push(hole.label.clone()),
        }
    }
    result
}

/// The same by position in the two lists, in the pattern's order.
pub(crate) fn match_indices(pattern: &Pattern, zone: &Zone) -> Vec<(usize, usize)> {
    let mut pairs = Vec::new();
    if pattern.frame.normal != zone.frame.normal.opposite() {
        return pairs;
    }
    let (_, _, height) = zone.frame.coords(pattern.frame.origin);
    if height.abs() > FACE_PLAY {
        return pairs;
    }
    let mut used = vec![false; zone.holes.len()];
    let index = (pattern.holes.len() * zone.holes.len() > FEW).then(|| Index::new(zone));
    for (i, hole) in pattern.holes.iter().enumerate() {
        let line = part_line(pattern, hole, zone);
        let near = match &index {
            Some(index) => index.near(line),
            None => (0..zone.holes.len()).collect(),
        };
        let best = near
            .into_iter()
            .filter(|j| !used[*j] && joins(hole, line, &zone.holes[*j]))
            .min_by_key(|j| (line.distance2(Line::of(&zone.holes[*j])), *j));
        if let Some(j) = best {
            used[j] = true;
            pairs.push((i, j));
        }
    }
    pairs
}

/// Up to so many pairs of holes are compared one by one.
const FEW: usize = 10_000;

/// Zone holes by cells of their plane, for faces with very many holes. Holes that
/// crowd in one place, and slots much longer than a cell, are looked at in part:
/// no face of the trade has such.
struct Index {
    cells: BTreeMap<[i64; 2], Vec<usize>>,
    long: Vec<usize>,
}

impl Index {
    /// Wider than any play of a screw.
    const CELL: i64 = 16_000;
    /// Most cells of one hole, and most holes of one cell.
    const MOST: usize = 256;

    fn new(zone: &Zone) -> Index {
        let mut index = Index {
            cells: BTreeMap::new(),
            long: Vec::new(),
        };
        for (j, hole) in zone.holes.iter().enumerate() {
            match Index::cells(Line::of(hole)) {
                Some(cells) => {
                    for cell in cells {
                        let holes = index.cells.entry(cell).or_default();
                        if holes.len() < Index::MOST {
                            holes.push(j);
                        }
                    }
                }
                None if index.long.len() < Index::MOST => index.long.push(j),
                None => {}
            }
        }
        index
    }

    /// The cells that the box around a line meets; `None` where they are many.
    fn cells(line: Line) -> Option<Vec<[i64; 2]>> {
        let range = [0, 1].map(|i| {
            let cell = |um: i64| um.div_euclid(Index::CELL);
            (
                cell(line.a[i].min(line.b[i])),
                cell(line.a[i].max(line.b[i])),
            )
        });
        let [(l, h), (b, t)] = range;
        let count = usize::try_from(h - l + 1)
            .ok()?
            .checked_mul(usize::try_from(t - b + 1).ok()?)?;
        let cells = |l, h, b, t| (l..=h).flat_map(move |x| (b..=t).map(move |y| [x, y]));
        (count <= Index::MOST).then(|| cells(l, h, b, t).collect())
    }

    /// Holes that may join with one on this line, in order.
    fn near(&self, line: Line) -> Vec<usize> {
        let grown = |l: Line| {
            let low = [0, 1].map(|i| l.a[i].min(l.b[i]) - Index::CELL / 2);
            let high = [0, 1].map(|i| l.a[i].max(l.b[i]) + Index::CELL / 2);
            Line { a: low, b: high }
        };
        let mut found = self.long.clone();
        for cell in Index::cells(grown(line)).unwrap_or_default() {
            found.extend(self.cells.get(&cell).into_iter().flatten());
        }
        found.sort_unstable();
        found.dedup();
        found
    }
}

/// Where a hole of the part lies in the zone's frame.
pub(crate) fn part_line(pattern: &Pattern, hole: &Hole, zone: &Zone) -> Line {
    let place = |u, v| {
        let (u, v, _) = zone.frame.coords(pattern.frame.point(u, v));
        [u.as_um(), v.as_um()]
    };
    let (du, dv) = reach(hole);
    Line {
        a: place(hole.u, hole.v),
        b: place(hole.u + du, hole.v + dv),
    }
}

/// True where one screw (or the seat) sits in both holes.
pub(crate) fn joins(hole: &Hole, line: Line, other: &Hole) -> bool {
    let twice = match (&hole.shape, &other.shape) {
        (HoleShape::Seat { key: a }, HoleShape::Seat { key: b }) => {
            if a != b {
                return false;
            }
            SEAT_PLAY * 2
        }
        (HoleShape::Seat { .. }, _) | (_, HoleShape::Seat { .. }) => return false,
        _ => match twice_play(hole, other) {
            Ok(twice) => twice,
            Err(_) => return false,
        },
    };
    line.within(Line::of(other), twice)
}

fn reach(hole: &Hole) -> (Length, Length) {
    match hole.shape {
        HoleShape::Slot { du, dv } => (du, dv),
        _ => (Length::ZERO, Length::ZERO),
    }
}

/// Where a screw's middle may be: a point, or the middle line of a slot, in whole
/// micrometres of the zone's plane.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Line {
    pub a: [i64; 2],
    pub b: [i64; 2],
}

/// A square of a distance as a fraction, so that nothing is rounded.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ratio {
    over: i128,
    under: i128,
}

impl Ratio {
    /// The distance itself, to the nearest micrometre.
    pub fn root_um(self) -> i64 {
        (self.over as f64 / self.under as f64).sqrt().round() as i64
    }
}

impl PartialEq for Ratio {
    fn eq(&self, o: &Ratio) -> bool {
        self.cmp(o).is_eq()
    }
}
impl Eq for Ratio {}
impl PartialOrd for Ratio {
    fn partial_cmp(&self, o: &Ratio) -> Option<std::cmp::Ordering> {
        Some(self.cmp(o))
    }
}
impl Ord for Ratio {
    fn cmp(&self, o: &Ratio) -> std::cmp::Ordering {
        // Only ranks candidates that are all within the play, so rounding in
        // the last place of a float cannot change what matches.
        let value = |r: &Ratio| r.over as f64 / r.under as f64;
        value(self).total_cmp(&value(o))
    }
}

impl Line {
    /// Of a hole in its own plane.
    pub fn of(hole: &Hole) -> Line {
        let (du, dv) = reach(hole);
        Line {
            a: [hole.u.as_um(), hole.v.as_um()],
            b: [(hole.u + du).as_um(), (hole.v + dv).as_um()],
        }
    }

    /// Square of the distance between two lines.
    pub fn distance2(self, o: Line) -> Ratio {
        if crosses(self, o) {
            return Ratio { over: 0, under: 1 };
        }
        [
            point_to(self.a, o),
            point_to(self.b, o),
            point_to(o.a, self),
            point_to(o.b, self),
        ]
        .into_iter()
        .min()
        .expect("four candidates")
    }

    /// True where twice the distance is at most `twice`.
    pub fn within(self, o: Line, twice: Length) -> bool {
        if twice < Length::ZERO {
            return false;
        }
        let limit = i128::from(twice.as_um()).pow(2);
        let near = |r: Ratio| r.over * 4 <= limit * r.under;
        crosses(self, o)
            || [
                point_to(self.a, o),
                point_to(self.b, o),
                point_to(o.a, self),
                point_to(o.b, self),
            ]
            .into_iter()
            .any(near)
    }
}

fn sub(a: [i64; 2], b: [i64; 2]) -> [i128; 2] {
    [i128::from(a[0] - b[0]), i128::from(a[1] - b[1])]
}

fn dot(a: [i128; 2], b: [i128; 2]) -> i128 {
    a[0] * b[0] + a[1] * b[1]
}

fn cross(a: [i128; 2], b: [i128; 2]) -> i128 {
    a[0] * b[1] - a[1] * b[0]
}

fn point_to(p: [i64; 2], line: Line) -> Ratio {
    let along = sub(line.b, line.a);
    let from = sub(p, line.a);
    let length2 = dot(along, along);
    let t = dot(from, along);
    if length2 == 0 || t <= 0 {
        return Ratio {
            over: dot(from, from),
            under: 1,
        };
    }
    if t >= length2 {
        let end = sub(p, line.b);
        return Ratio {
            over: dot(end, end),
            under: 1,
        };
    }
    Ratio {
        over: cross(along, from).pow(2),
        under: length2,
    }
}

/// True where the two lines properly cross one another; where they merely touch,
/// an end lies on the other line.
fn crosses(p: Line, q: Line) -> bool {
    let side = |l: Line, x: [i64; 2]| cross(sub(l.b, l.a), sub(x, l.a)).signum();
    side(p, q.a) * side(p, q.b) < 0 && side(q, p.a) * side(q, p.b) < 0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{frame, hole, l, pattern, seat, slot, v, zone};

    /// One hole over one hole of a face at z = 10, `off` to the side, `up` above.
    fn lies(own: Hole, other: Hole, off: f64, up: f64) -> bool {
        let mut face = zone(
            "z",
            frame(v(0.0, 0.0, 10.0), "+x", "+y", "+z"),
            [9.0; 2],
            0.0,
            &[],
        );
        face.holes = vec![other];
        let under = frame(v(off, 0.0, 10.0 + up), "+x", "-y", "-z");
        !match_holes(&pattern("p", under, vec![own], 1), &face)
            .pairs
            .is_empty()
    }

    fn clear() -> Hole {
        hole("own", 0.0, 0.0, 3.4, None)
    }

    #[test]
    fn the_play_of_the_screw_is_the_limit_to_the_micrometre() {
        // Hole 3.4 over thread M3: (3.4 - 3.0) / 2 = 0.2.
        let thread = || hole("z", 0.0, 0.0, 2.5, Some("M3"));
        assert!(lies(clear(), thread(), 0.2, 0.0));
        assert!(!lies(clear(), thread(), 0.201, 0.0));
        assert!(lies(clear(), thread(), 0.0, 0.2));
        assert!(!lies(clear(), thread(), 0.0, 0.201));
    }

    #[test]
    fn faces_have_to_look_at_one_another() {
        let mut face = zone(
            "z",
            frame(v(0.0, 0.0, 0.0), "+x", "+y", "+z"),
            [9.0; 2],
            0.0,
            &[],
        );
        face.holes = vec![hole("z", 0.0, 0.0, 3.4, None)];
        for (out, expected) in [("-z", 1), ("+z", 0)] {
            let own = pattern(
                "p",
                frame(v(0.0, 0.0, 0.0), "+x", "+y", out),
                vec![clear()],
                1,
            );
            let met = match_holes(&own, &face);
            assert_eq!(
                (met.pairs.len(), met.unmatched.len()),
                (expected, 1 - expected)
            );
        }
    }

    #[test]
    fn along_a_slot_anywhere_and_past_its_end_by_the_play() {
        // Slot of width 3.4, 10 long, and a thread M3: play 0.2 at either end.
        let thread = |u| hole("own", u, 0.0, 2.5, Some("M3"));
        let long = || slot("z", [0.0, 0.0], [10.0, 0.0], 3.4);
        for u in [-0.2, 0.0, 5.0, 10.0, 10.2] {
            assert!(lies(thread(u), long(), 0.0, 0.0), "{u}");
        }
        assert!(!lies(thread(-0.201), long(), 0.0, 0.0));
        assert!(!lies(thread(10.201), long(), 0.0, 0.0));
    }

    #[test]
    fn crossing_slots_meet_and_parallel_ones_by_their_distance() {
        let own = || slot("own", [0.0, -5.0], [0.0, 10.0], 3.4);
        assert!(lies(
            own(),
            slot("z", [-5.0, 0.0], [10.0, 0.0], 3.4),
            0.0,
            0.0
        ));
        // Two holes of 3.4 with an M3 bolt: 0.4 + 0.4 in diameter, 0.4 out of line.
        assert!(lies(
            own(),
            slot("z", [0.4, -5.0], [0.0, 10.0], 3.4),
            0.0,
            0.0
        ));
        assert!(!lies(
            own(),
            slot("z", [0.401, -5.0], [0.0, 10.0], 3.4),
            0.0,
            0.0
        ));
    }

    #[test]
    fn a_slanted_slot_is_measured_square_to_its_line() {
        // The line from (0, 0) to (30, 40): the point (15 + 4d, 20 - 3d) is 5d off.
        let long = || slot("z", [0.0, 0.0], [30.0, 40.0], 3.4);
        let at = |d: f64| hole("own", 15.0 + 4.0 * d, -(20.0 - 3.0 * d), 2.5, Some("M3"));
        assert!(lies(at(0.04), long(), 0.0, 0.0));
        assert!(!lies(at(0.041), long(), 0.0, 0.0));
    }

    #[test]
    fn seats_match_by_key_within_their_play_and_never_a_screw() {
        let own = || seat("own", "dimm", 0.0, 0.0);
        assert!(lies(own(), seat("z", "dimm", 0.0, 0.0), 0.2, 0.0));
        assert!(!lies(own(), seat("z", "dimm", 0.0, 0.0), 0.201, 0.0));
        assert!(!lies(own(), seat("z", "pcie-x16", 0.0, 0.0), 0.0, 0.0));
        assert!(!lies(own(), clear(), 0.0, 0.0));
    }

    #[test]
    fn many_holes_match_as_few_do() {
        let mut face = zone(
            "z",
            frame(v(0.0, 0.0, 0.0), "+x", "+y", "+z"),
            [9.0; 2],
            0.0,
            &[],
        );
        let row = |n: usize| {
            (0..n).map(|i| {
                hole(
                    &i.to_string(),
                    7.0 * (i % 40) as f64,
                    7.0 * (i / 40) as f64,
                    3.4,
                    None,
                )
            })
        };
        face.holes = row(800).collect();
        let mut own = pattern(
            "p",
            frame(v(0.0, 0.0, 0.0), "+x", "+y", "-z"),
            row(12).collect(),
            1,
        );
        let few = match_holes(&own, &face).pairs;
        own.holes = row(800).collect();
        let many = match_holes(&own, &face).pairs;
        assert_eq!(many.len(), 800);
        assert_eq!(many[..12], few);
        // Twenty thousand holes in one place end soon.
        own.holes = vec![clear(); 20_000];
        face.holes = vec![clear(); 20_000];
        assert_eq!(match_holes(&own, &face).pairs.len(), 256);
    }

    #[test]
    fn each_hole_is_used_once() {
        let mut face = zone(
            "z",
            frame(v(0.0, 0.0, 0.0), "+x", "+y", "+z"),
            [9.0; 2],
            0.0,
            &[],
        );
        face.holes = vec![clear()];
        let two = vec![clear(), hole("next", 0.1, 0.0, 3.4, None)];
        let own = pattern("p", frame(v(0.0, 0.0, 0.0), "+x", "+y", "-z"), two, 1);
        let met = match_holes(&own, &face);
        assert_eq!(met.pairs, [("own".to_owned(), "own".to_owned())]);
        assert_eq!(met.unmatched, ["next"]);
        assert_eq!(FACE_PLAY, l(0.2));
    }
}
