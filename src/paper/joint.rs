//! Screws: where holes lie on holes, what one screw goes through, which thread it
//! has and how long it is at least.
//!
//! One screw joins everything that stands in one line with clearance holes: a wall,
//! a fan and the radiator behind it take one long screw, not two short ones.

use super::Build;
use super::stock;
use crate::geom::{Axis, Box3, Dir, Length, Vec3};
use crate::model::{Group, Hole, HoleShape, PartId, Space};
use crate::placement::{FACE_PLAY, major, match_indices, thickest_through};
use std::collections::BTreeMap;

/// Two holes are the same hole, or in one line, up to this distance across.
const IN_LINE: Length = Length::um(1_000);

/// A clamped thickness above this is a body, not a flange.
const THICKEST: Length = Length::mm(60);

/// A thread wider than this is a bush with a nut of its own, no screw (from memory).
const BUSH: Length = Length::mm(8);

/// So many contacts near one line are compared.
const MOST_IN_LINE: usize = 256;

/// What holds a joint together.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Fastener {
    /// A screw into a thread of this name.
    Screw(String),
    /// No hole has a thread: a bolt of at most this thread with a nut, or, in a fan,
    /// a self-tapping screw.
    Bolt(String),
    /// The nut of a threaded bush.
    Nut(String),
    /// Several threads in one line: what is meant is not known.
    Unclear,
}

impl Fastener {
    /// The thread, where there is one.
    pub fn thread(&self) -> Option<&str> {
        match self {
            Fastener::Screw(t) | Fastener::Bolt(t) | Fastener::Nut(t) => Some(t),
            Fastener::Unclear => None,
        }
    }

    /// In words for lists.
    pub const fn words(&self) -> &'static str {
        match self {
            Fastener::Screw(_) => "screw",
            Fastener::Bolt(_) => "bolt and nut",
            Fastener::Nut(_) => "nut on bush",
            Fastener::Unclear => "not clear",
        }
    }
}

/// Something that a screw goes through or into.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Member {
    /// The part; `None` for the enclosure.
    pub part: Option<PartId>,
    /// For people: the part, the plate or the zone.
    pub name: String,
    /// Its thickness under the head; `None` where it is not known.
    pub thickness: Option<Length>,
    /// The thread in it.
    pub thread: Option<String>,
}

/// One screw.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Joint {
    /// Along which it is driven.
    pub axis: Axis,
    /// Where, on the first face that it goes through.
    pub at: Vec3,
    /// What it joins, from the head on; a thread comes last.
    pub members: Vec<Member>,
    /// Label of the part's hole.
    pub label: String,
    /// The part that is held: the first that is no part of the enclosure.
    pub part: PartId,
    /// What holds it together.
    pub fastener: Fastener,
    /// How the zone is called, and how many of the holes that the part needs meet there.
    pub zone: String,
    /// Set where fewer holes meet than the part needs.
    pub lacks: Option<(usize, usize)>,
}

impl Joint {
    /// What lies between head and thread (or nut); `None` where a piece of it is
    /// not known.
    pub fn clamped(&self) -> Option<Length> {
        let through = self.members.iter().filter(|m| m.thread.is_none());
        let mut sum = Length::ZERO;
        for member in through {
            sum += member.thickness?;
        }
        Some(sum)
    }

    /// The next stock length: what is clamped and one diameter in the thread, or
    /// one diameter and a fifth for a nut and the end that stands out (nut height
    /// about 0.8 diameters by ISO 4032; all from memory). In words and as a length.
    pub fn length(&self) -> Option<(Length, String)> {
        let thread = self.fastener.thread()?;
        let diameter = major(thread)?;
        let grip = match &self.fastener {
            Fastener::Screw(_) => diameter,
            Fastener::Bolt(_) => Length::um(diameter.as_um() * 6 / 5),
            _ => return None,
        };
        let found = stock::at_least(thread, self.clamped()? + grip)?;
        Some((found.length, found.name.to_owned()))
    }
}

/// Where two holes meet.
#[derive(Clone, Debug)]
struct Contact {
    axis: Axis,
    at: Vec3,
    ends: [End; 2],
    part: PartId,
    label: String,
    zone: String,
    lacks: Option<(usize, usize)>,
}

/// One side of it.
#[derive(Clone, PartialEq, Debug)]
struct End {
    owner: Option<PartId>,
    /// Into its material.
    into: Dir,
    thread: Option<String>,
    diameter: Length,
    zone: String,
}

impl Contact {
    fn plane(&self) -> Length {
        self.at.along(self.axis)
    }

    fn in_line(&self, o: &Contact) -> bool {
        let (u, v) = self.axis.others();
        let near = |a: Axis| (self.at.along(a) - o.at.along(a)).abs() <= IN_LINE;
        self.axis == o.axis && near(u) && near(v)
    }

    /// True for the same pair of faces seen from the other side.
    fn is_same(&self, o: &Contact) -> bool {
        let owners = |c: &Contact| [c.ends[0].owner.clone(), c.ends[1].owner.clone()];
        let (a, b) = (owners(self), owners(o));
        (a == b || (a[0] == b[1] && a[1] == b[0]))
            && self.in_line(o)
            && (self.plane() - o.plane()).abs() <= FACE_PLAY
    }

    fn end_of(&self, owner: Option<&PartId>) -> Option<&End> {
        self.ends.iter().find(|e| e.owner.as_ref() == owner)
    }
}

/// All screws of a build, by part and place. Seats (slots, sockets) are none.
pub fn joints(build: &Build<'_>) -> Vec<Joint> {
    let contacts = contacts(build);
    let mut group: Vec<usize> = (0..contacts.len()).collect();
    // Only contacts in one line can share a screw, so they are compared by line.
    let mut order: Vec<usize> = (0..contacts.len()).collect();
    let line = |c: &Contact| {
        let (u, v) = c.axis.others();
        (c.axis, c.at.along(u), c.at.along(v), c.plane())
    };
    order.sort_by_key(|i| line(&contacts[*i]));
    for (n, i) in order.iter().enumerate() {
        let a = &contacts[*i];
        let (u, _) = a.axis.others();
        // A heap of parts in one line is no build; its screws are joined in part.
        for j in order[n + 1..].iter().take(MOST_IN_LINE) {
            let b = &contacts[*j];
            if b.axis != a.axis || b.at.along(u) - a.at.along(u) > IN_LINE {
                break;
            }
            if a.in_line(b) && (a.is_same(b) || goes_through(build, a, b)) {
                join(&mut group, *i, *j);
            }
        }
    }
    let mut lines: BTreeMap<usize, Vec<&Contact>> = BTreeMap::new();
    for (i, contact) in contacts.iter().enumerate() {
        lines.entry(root(&group, i)).or_default().push(contact);
    }
    let mut joints: Vec<Joint> = lines.into_values().map(|line| joint(build, line)).collect();
    joints.sort_by(|a, b| (&a.part, &a.zone, a.axis, a.at).cmp(&(&b.part, &b.zone, b.axis, b.at)));
    joints
}

fn root(group: &[usize], mut i: usize) -> usize {
    while group[i] != i {
        i = group[i];
    }
    i
}

fn join(group: &mut [usize], i: usize, j: usize) {
    let (a, b) = (root(group, i), root(group, j));
    group[a.max(b)] = a.min(b);
}

fn contacts(build: &Build<'_>) -> Vec<Contact> {
    let mut found: Vec<Contact> = Vec::new();
    for part in build.placed.parts() {
        for hold in build.placed.holds(&part.id) {
            let pattern = part.patterns.iter().find(|p| p.id == hold.pattern);
            let (Some(pattern), Some(zone)) = (pattern, build.placed.zone(&hold.zone)) else {
                continue;
            };
            for (i, j) in match_indices(pattern, zone) {
                let (mine, other) = (&pattern.holes[i], &zone.holes[j]);
                let at = match (&mine.shape, &other.shape) {
                    (HoleShape::Seat { .. }, _) | (_, HoleShape::Seat { .. }) => continue,
                    (HoleShape::Slot { .. }, HoleShape::Round) => {
                        zone.frame.point(other.u, other.v)
                    }
                    _ => pattern.frame.point(mine.u, mine.v),
                };
                let end = |owner: Option<&PartId>, hole: &Hole, into: Dir, zone: &str| End {
                    owner: owner.cloned(),
                    into,
                    thread: hole.thread.clone(),
                    diameter: hole.diameter,
                    zone: zone.to_owned(),
                };
                let contact = Contact {
                    axis: zone.frame.normal.axis(),
                    at,
                    ends: [
                        end(Some(&part.id), mine, pattern.frame.normal.opposite(), ""),
                        end(
                            hold.zone.part.as_ref(),
                            other,
                            zone.frame.normal.opposite(),
                            &zone.name,
                        ),
                    ],
                    part: part.id.clone(),
                    label: mine.label.clone(),
                    zone: build.zone_words(&hold.zone),
                    lacks: (!hold.suffices()).then_some((hold.matched, hold.needs)),
                };
                found.push(contact);
            }
        }
    }
    found
}

/// True where one screw passes both contacts: what lies between has a clearance
/// hole on both faces.
fn goes_through(build: &Build<'_>, a: &Contact, b: &Contact) -> bool {
    if (a.plane() - b.plane()).abs() <= FACE_PLAY {
        return false;
    }
    a.ends.iter().any(|end| {
        let owner = end.owner.as_ref();
        let Some(other) = b.end_of(owner) else {
            return false;
        };
        // Facing one another across its material.
        let clear = end.thread.is_none() && other.thread.is_none();
        if !clear || other.into != end.into.opposite() {
            return false;
        }
        let across = (b.plane() - a.plane()).toward_sign(end.into);
        match owner {
            Some(_) => across,
            None => across && plate_at(build, a).is_some_and(|p| p.0.contains_point(b.at)),
        }
    })
}

trait Sign {
    fn toward_sign(self, dir: Dir) -> bool;
}

impl Sign for Length {
    /// True where a step of this length along the direction's axis goes its way.
    fn toward_sign(self, dir: Dir) -> bool {
        (self > Length::ZERO) == dir.is_positive()
    }
}

/// The plate that a contact with the enclosure lies on, a little grown, with its name.
fn plate_at<'b>(build: &'b Build<'_>, c: &Contact) -> Option<(Box3, &'b str, Length)> {
    let plates = build.placed.plates().iter();
    plates
        .map(|p| (p.bounds.grown(FACE_PLAY), p.name.as_str(), p.bounds.size()))
        .filter(|(grown, _, _)| grown.contains_point(c.at))
        .map(|(grown, name, size)| (grown, name, size.along(c.axis)))
        .filter(|(_, _, thickness)| *thickness <= Length::mm(12))
        .min_by_key(|(_, _, thickness)| *thickness)
}

fn joint(build: &Build<'_>, mut line: Vec<&Contact>) -> Joint {
    line.sort_by_key(|c| (c.plane(), c.part.clone()));
    let mut members: Vec<Member> = Vec::new();
    let mut narrowest = Length::mm(1000);
    for contact in &line {
        let mut ends: Vec<&End> = contact.ends.iter().collect();
        // The end whose material lies before the face comes first.
        ends.sort_by_key(|e| e.into.is_positive());
        for end in ends {
            narrowest = narrowest.min(end.diameter);
            let member = member(build, contact, end);
            let known = |m: &&mut Member| m.part == member.part && m.name == member.name;
            match members.iter_mut().find(known) {
                Some(known) => known.thread = known.thread.take().or(member.thread),
                None => members.push(member),
            }
        }
    }
    between(&line, &mut members);
    let threads: Vec<String> = members.iter().filter_map(|m| m.thread.clone()).collect();
    let fastener = match threads.as_slice() {
        [] => match thickest_through(narrowest) {
            Some((name, _)) => Fastener::Bolt(name.to_owned()),
            None => Fastener::Unclear,
        },
        [t] if major(t).is_some_and(|d| d > BUSH) => Fastener::Nut(t.clone()),
        [t] => Fastener::Screw(t.clone()),
        _ => Fastener::Unclear,
    };
    if members.first().is_some_and(|m| m.thread.is_some()) {
        members.reverse();
    }
    let first = line
        .iter()
        .find(|c| c.ends.iter().any(|e| e.owner.is_none()));
    let first = first.or(line.first()).expect("a joint has a contact");
    Joint {
        axis: first.axis,
        at: first.at,
        members,
        label: first.label.clone(),
        part: first.part.clone(),
        fastener,
        zone: first.zone.clone(),
        lacks: match line.iter().all(|c| c.lacks.is_some()) {
            true => first.lacks,
            false => None,
        },
    }
}

/// What a screw goes right through is as thick as its two faces are apart.
fn between(line: &[&Contact], members: &mut [Member]) {
    for member in members.iter_mut().filter(|m| m.part.is_some()) {
        let faces = line
            .iter()
            .filter(|c| c.end_of(member.part.as_ref()).is_some());
        let planes: Vec<Length> = faces.map(|c| c.plane()).collect();
        if let (Some(low), Some(high)) = (planes.iter().min(), planes.iter().max())
            && high > low
        {
            member.thickness = Some(*high - *low);
        }
    }
}

fn member(build: &Build<'_>, contact: &Contact, end: &End) -> Member {
    let thickness;
    let name;
    match &end.owner {
        None => {
            let plate = plate_at(build, contact);
            thickness = plate.map(|p| p.2);
            name = plate.map_or_else(|| end.zone.clone(), |p| p.1.to_owned());
        }
        Some(id) => {
            name = id.to_string();
            thickness = build.placed.part(id).and_then(|part| {
                let solid = part.of(Space::Solid);
                let extents = solid
                    .filter(|p| p.bounds.grown(FACE_PLAY).contains_point(contact.at))
                    .map(|p| (p.bounds.face(end.into) - contact.plane()).abs());
                extents.filter(|t| *t > FACE_PLAY).min()
            });
        }
    }
    Member {
        part: end.owner.clone(),
        name,
        thickness: thickness.filter(|t| *t <= THICKEST),
        thread: end.thread.clone(),
    }
}

/// True where a fan is among what a bolt joins: there a self-tapping screw serves too.
pub(super) fn joins_fan(build: &Build<'_>, joint: &Joint) -> bool {
    joint.members.iter().any(|m| {
        let part = m.part.as_ref().and_then(|id| build.scene.parts.get(id));
        part.is_some_and(|p| p.kind.group == Group::Fan)
    })
}
