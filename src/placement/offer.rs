//! Where a part could go: for each zone the places at which its holes match, or
//! why it does not go there.

use super::holes::{Line, joins, match_indices, part_line};
use super::part::PlacedPart;
use super::refuse;
use super::support::{over, reach};
use super::table::{Placed, ZoneKey};
use crate::geom::{Box3, Length, Turn, Vec3};
use crate::model::{Hole, PartId, PartKind, Pattern, Place, Scene, Zone, ZoneRef};
use std::collections::{BTreeMap, BTreeSet};

/// Places of one turn closer together than this are one place: the better match
/// of them.
const SAME_PLACE: Length = Length::mm(1);

/// Pairs of holes compared for one pattern and turn, at most: patterns of the trade
/// have a dozen holes and need some ten thousand.
const MOST_COMPARED: usize = 20_000_000;

/// What a zone says to a kind of part.
#[derive(Clone, PartialEq, Debug)]
pub struct Offer {
    /// The zone.
    pub zone: ZoneRef,
    /// The zone in the enclosure's frame.
    pub zone_world: Zone,
    /// Size of the part's own box, to draw and to measure the place.
    pub size: Vec3,
    /// A place, or why there is none. A zone with several places has several
    /// offers; a zone without one has exactly one refusal.
    pub outcome: Outcome,
}

/// A place in a zone, or none.
#[derive(Clone, PartialEq, Debug)]
pub enum Outcome {
    /// The part sits on enough holes here, and the depth suffices.
    Fits {
        /// Where.
        place: Place,
        /// On which of its patterns.
        pattern: String,
        /// How many holes match.
        matched: usize,
        /// How many the pattern has.
        of: usize,
        /// How many it needs.
        needs: usize,
    },
    /// It does not go in.
    Refused(Refusal),
}

/// Why a part does not go into a zone.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Refusal {
    /// One sentence, with the figures.
    pub text: String,
    /// What it would need.
    pub needed: Option<Length>,
    /// What there is.
    pub free: Option<Length>,
    /// The zone is meant for something else altogether: another group, another kind
    /// of seat. Said when asked, not shown all over the sheet.
    pub foreign: bool,
}

/// All zones of the enclosure and of placed parts, in that order, with what they
/// say to a part of this kind. Parts of `without` (the part itself while it is
/// dragged, and what it carries) neither offer zones nor stand in the way.
///
/// Zones that are meant for other groups come last, refused, with their reason.
/// What stands elsewhere in the enclosure is not looked at: that is for the rules.
pub fn offers(
    _scene: &Scene,
    placed: &Placed,
    kind: &PartKind,
    without: &BTreeSet<PartId>,
) -> Vec<Offer> {
    let own = placed.enclosure().zones.iter();
    let own = own.enumerate().map(|(i, zone)| (None, i, zone));
    let parts = placed.parts().filter(|p| !without.contains(&p.id));
    let others = parts.flat_map(|part| {
        let zones = part.zones.iter().enumerate();
        zones.map(move |(i, zone)| (Some(part), i, zone))
    });
    let (mut found, mut foreign) = (Vec::new(), Vec::new());
    for (owner, index, zone) in own.chain(others) {
        let key = ZoneKey {
            owner: owner.map(|p| p.slot),
            zone: u32::try_from(index).unwrap_or(u32::MAX),
        };
        let offer = |outcome| Offer {
            zone: ZoneRef {
                part: owner.map(|p| p.id.clone()),
                zone: zone.id.clone(),
            },
            zone_world: zone.clone(),
            size: kind.size,
            outcome,
        };
        if !zone.takes.is_empty() && !zone.takes.contains(&kind.group) {
            foreign.push(offer(Outcome::Refused(refuse::group(&zone.takes))));
            continue;
        }
        let looked = look(placed, kind, zone, key, without);
        match looked {
            Ok(fits) => found.extend(fits.into_iter().map(offer)),
            Err(refusal) => found.push(offer(Outcome::Refused(refusal))),
        }
    }
    found.append(&mut foreign);
    found
}

/// A place at which a kind's holes lie on enough holes of a zone.
#[derive(Clone, PartialEq, Debug)]
pub struct Lay {
    /// Where.
    pub place: Place,
    /// On which of the kind's patterns.
    pub pattern: String,
    /// How many holes match.
    pub matched: usize,
}

/// All places in a zone, in any turn, at which enough holes of a kind match: one a
/// millimetre and turn, the best match first within a turn. What stands there, and how
/// deep the zone is, is not looked at, nor which groups the zone is meant for.
pub fn lays(kind: &PartKind, zone: &Zone) -> Vec<Lay> {
    let lay = |c: Candidate| Lay {
        place: Place {
            at: kind.outline().turned(c.turn).moved(c.by).min(),
            turn: c.turn,
            ..Place::default()
        },
        pattern: c.pattern.id.clone(),
        matched: c.matched,
    };
    candidates(kind, zone).0.into_iter().map(lay).collect()
}

/// One way to lay a pattern on the zone's holes.
struct Candidate<'a> {
    pattern: &'a Pattern,
    turn: Turn,
    by: Vec3,
    matched: usize,
    /// How far the holes are out of line, summed up, in micrometres.
    out: i64,
}

fn look(
    placed: &Placed,
    kind: &PartKind,
    zone: &Zone,
    key: ZoneKey,
    without: &BTreeSet<PartId>,
) -> Result<Vec<Outcome>, Refusal> {
    let (candidates, best) = candidates(kind, zone);
    if candidates.is_empty() {
        return Err(match best {
            Some(best) => refuse::holes(kind, zone, best),
            None => refuse::too_many(),
        });
    }
    let mut fits = Vec::new();
    let mut refusal: Option<(u8, Length, Refusal)> = None;
    for c in candidates {
        let own = kind.outline().turned(c.turn).moved(c.by);
        match room(placed, zone, key, &own, without) {
            Ok(()) => fits.push(Outcome::Fits {
                place: Place {
                    at: own.min(),
                    turn: c.turn,
                    ..Place::default()
                },
                pattern: c.pattern.id.clone(),
                matched: c.matched,
                of: c.pattern.holes.len(),
                needs: c.pattern.needs.max(1),
            }),
            Err(no) => {
                if refusal.as_ref().is_none_or(|r| (no.0, no.1) < (r.0, r.1)) {
                    refusal = Some(no);
                }
            }
        }
    }
    match (fits.is_empty(), refusal) {
        (true, Some((_, _, refusal))) => Err(refusal),
        _ => Ok(fits),
    }
}

/// All ways to lay the kind's patterns on the zone with enough matches, one a
/// place, and the most holes that match anywhere with how many are needed; that is
/// `None` where there are too many holes to try all ways.
fn candidates<'a>(kind: &'a PartKind, zone: &Zone) -> (Vec<Candidate<'a>>, Option<(usize, usize)>) {
    let mut found = Vec::new();
    let mut all = true;
    let mut best = (0, usize::MAX);
    for pattern in &kind.patterns {
        let needs = pattern.needs.max(1);
        best.1 = best.1.min(needs);
        for turn in Turn::all() {
            if turn.dir(pattern.frame.normal) != zone.frame.normal.opposite() {
                continue;
            }
            let mut lying = Pattern {
                frame: pattern.frame.placed(turn, Vec3::ZERO),
                ..pattern.clone()
            };
            let start = lying.frame.origin;
            for by in shifts(&lying, zone, needs, &mut all) {
                lying.frame.origin = start + by;
                let pairs = match_indices(&lying, zone);
                if pairs.len() > best.0 {
                    best = (pairs.len(), needs);
                }
                if pairs.len() >= needs {
                    found.push(Candidate {
                        pattern,
                        turn,
                        by,
                        matched: pairs.len(),
                        out: out_of_line(&lying, zone, &pairs),
                    });
                }
            }
        }
    }
    found.sort_by_key(|c| (c.turn, std::cmp::Reverse(c.matched), c.out, c.by));
    let mut kept: Vec<Candidate> = Vec::new();
    let mut places: BTreeMap<Turn, Vec<Vec3>> = BTreeMap::new();
    for c in found {
        let known = places.entry(c.turn).or_default();
        if known
            .iter()
            .all(|p| p.distance_mm(c.by) >= SAME_PLACE.as_mm())
        {
            known.push(c.by);
            kept.push(c);
        }
    }
    (kept, all.then_some(best))
}

fn out_of_line(pattern: &Pattern, zone: &Zone, pairs: &[(usize, usize)]) -> i64 {
    let one = |(i, j): &(usize, usize)| {
        let line = part_line(pattern, &pattern.holes[*i], zone);
        line.distance2(Line::of(&zone.holes[*j])).root_um()
    };
    pairs.iter().map(one).sum()
}

/// The moves that lay one hole of the pattern on one hole of the zone. With
/// `needs` of n holes to match, one of the first n - needs + 1 has to. Where there
/// are too many moves, `all` turns false.
fn shifts(pattern: &Pattern, zone: &Zone, needs: usize, all: &mut bool) -> BTreeSet<Vec3> {
    let mut shifts = BTreeSet::new();
    let Some(spare) = pattern.holes.len().checked_sub(needs) else {
        return shifts;
    };
    let (_, _, height) = zone.frame.coords(pattern.frame.origin);
    let each = pattern.holes.len() * zone.holes.len().max(1);
    let most = MOST_COMPARED / each.max(1);
    for hole in &pattern.holes[..=spare] {
        let line = part_line(pattern, hole, zone);
        for other in &zone.holes {
            // Only whether they can join at all: laid on one another.
            let target = Line::of(other);
            if !joins(hole, target, other) {
                continue;
            }
            if shifts.len() > most {
                *all = false;
                return shifts;
            }
            for from in stops(line) {
                for to in stops(target) {
                    let (du, dv) = (Length::um(to[0] - from[0]), Length::um(to[1] - from[1]));
                    let along = zone.frame.u.times(du) + zone.frame.v.times(dv);
                    shifts.insert(along + zone.frame.normal.times(-height));
                }
            }
        }
    }
    shifts
}

/// The ends and the middle of a slot; the one point of a round hole.
fn stops(line: Line) -> Vec<[i64; 2]> {
    if line.a == line.b {
        return vec![line.a];
    }
    let middle = [0, 1].map(|i| (line.a[i] + line.b[i]).div_euclid(2));
    vec![line.a, middle, line.b]
}

/// Whether the part can be there: `Err` with how bad it is, short by, and the words.
fn room(
    placed: &Placed,
    zone: &Zone,
    key: ZoneKey,
    own: &Box3,
    without: &BTreeSet<PartId>,
) -> Result<(), (u8, Length, Refusal)> {
    let in_the_way = |p: &&PlacedPart| {
        !without.contains(&p.id)
            && columns_meet(zone, own, &p.outline)
            && reach(zone, &p.outline).1 > Length::ZERO
    };
    let Some(first) = placed.users_of(key).find(in_the_way) else {
        return match placed.too_deep(zone, key, own) {
            Some((needed, free)) => Err(short(needed, free)),
            None => Ok(()),
        };
    };
    // Where it would have to stand on top of what is there, say first whether
    // the depth would allow that at all.
    let stack = placed.stack(key);
    let stacked = stack.iter().flat_map(|s| &s.parts);
    let top = stacked
        .filter_map(|id| placed.part(id))
        .filter(in_the_way)
        .map(|p| reach(zone, &p.outline).1)
        .max()
        .unwrap_or(Length::ZERO);
    let needed = top + reach(zone, own).1;
    if zone.depth > Length::ZERO && needed > zone.depth {
        return Err(short(needed, zone.depth));
    }
    Err((1, Length::ZERO, refuse::taken(&first.name)))
}

fn short(needed: Length, free: Length) -> (u8, Length, Refusal) {
    (0, needed - free, refuse::depth(needed, free))
}

/// True where two outlines stand over one another, seen along the zone's normal.
fn columns_meet(zone: &Zone, a: &Box3, b: &Box3) -> bool {
    let axis = zone.frame.normal.axis();
    let flat = |x: &Box3| {
        Box3::new(
            x.min().with(axis, Length::ZERO),
            x.max().with(axis, Length::mm(1)),
        )
    };
    flat(a).overlaps(&flat(b))
}

impl Placed {
    fn users_of(&self, key: ZoneKey) -> impl Iterator<Item = &PlacedPart> {
        let users = self.users.get(&key).into_iter().flatten();
        let mut parts: Vec<&PlacedPart> = users.filter_map(|s| self.at(*s)).collect();
        parts.sort_unstable_by_key(|p| p.index);
        parts.into_iter()
    }

    /// Needed and free depth of the first zone that an outline would be too deep
    /// for: the zone itself, or one that its carrier stands on.
    fn too_deep(&self, zone: &Zone, key: ZoneKey, outline: &Box3) -> Option<(Length, Length)> {
        let check = |zone: &Zone| {
            let needed = reach(zone, outline).1;
            (zone.depth > Length::ZERO && needed > zone.depth && over(zone, outline))
                .then_some((needed, zone.depth))
        };
        if let Some(no) = check(zone) {
            return Some(no);
        }
        let mut seen = BTreeSet::new();
        let mut open: Vec<u32> = key.owner.into_iter().collect();
        while let Some(slot) = open.pop() {
            if !seen.insert(slot) {
                continue;
            }
            for hold in self.holds[slot as usize].iter().filter(|h| h.suffices()) {
                if let Some(no) = self.zone_at(hold.key).and_then(check) {
                    return Some(no);
                }
                open.extend(hold.key.owner);
            }
        }
        None
    }
}

/// The offer whose place is nearest to the wanted one and within `within` of it,
/// middle to middle; the wanted turn first, then any. `None` where none is near.
pub fn snap<'a>(offers: &'a [Offer], want: &Place, within: Length) -> Option<&'a Offer> {
    let middle = |size: Vec3, place: &Place| {
        let turned = Box3::at(Vec3::ZERO, size).turned(place.turn);
        turned.moved(place.at - turned.min()).centre()
    };
    let mut best: Option<(bool, f64, &Offer)> = None;
    for offer in offers {
        let Outcome::Fits { place, .. } = &offer.outcome else {
            continue;
        };
        let away = middle(offer.size, place).distance_mm(middle(offer.size, want));
        let rank = (place.turn != want.turn, away);
        if away <= within.as_mm() && best.is_none_or(|b| rank < (b.0, b.1)) {
            best = Some((rank.0, rank.1, offer));
        }
    }
    best.map(|b| b.2)
}

/// True where two holes could ever be joined by a screw or seat.
pub(super) fn could_join(hole: &Hole, other: &Hole) -> bool {
    joins(hole, Line::of(other), other)
}
