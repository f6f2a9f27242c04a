//! Swapping a part for another of its kind: what can be kept is kept, and what cannot
//! is said.

use super::Editor;
use crate::edit::{Edit, apply};
use crate::geom::{Axis, Vec3};
use crate::model::{Cable, CableId, PartId, PartKind, Place, Port, PortRef, Scene};
use crate::placement::{Offer, Outcome, Placed, offers};
use crate::rules::{Finding, Subject};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// What a swap kept and what it could not.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Swapped {
    /// 'its place on front fans: 4 holes', 'fan lead'.
    pub kept: Vec<String>,
    /// The same for what is gone or stands where nothing holds it, with the reason.
    pub lost: Vec<String>,
}

/// A kind that a part could be swapped for.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// The kind.
    pub kind: Arc<PartKind>,
    /// How it would sit in the zone that holds the part now, or why it would not.
    /// `Ok(None)` where nothing holds the part now.
    pub seat: Result<Option<usize>, String>,
}

impl Editor {
    /// The kinds of the same group that a part could be swapped for, those that sit in
    /// the same zone first, then the nearest in size.
    pub fn swaps(&self, id: &PartId) -> Vec<Candidate> {
        let scene = self.scene();
        let Some(part) = scene.parts.get(id) else {
            return Vec::new();
        };
        let own = scene.own_kinds.values();
        let known: BTreeMap<_, _> = self
            .catalogue()
            .kinds
            .values()
            .chain(own)
            .filter(|k| k.group == part.kind.group && k.id != part.kind.id)
            .map(|k| (k.id.clone(), k.clone()))
            .collect();
        let placed = self.checker().placed();
        let mut all: Vec<Candidate> = known
            .into_values()
            .map(|kind| Candidate {
                seat: match seat(scene, placed, id, &kind) {
                    Seat::Found { matched, .. } => Ok(Some(matched)),
                    Seat::Nowhere => Ok(None),
                    Seat::Refused { why, .. } => Err(why),
                },
                kind,
            })
            .collect();
        let unlike = |k: &PartKind| {
            let (a, b) = (k.size.as_mm(), part.kind.size.as_mm());
            let off: f64 = a.iter().zip(b).map(|(a, b)| (a - b).abs()).sum();
            (off * 1000.0).round() as i64
        };
        all.sort_by_key(|c| (c.seat.is_err(), unlike(&c.kind), c.kind.name.clone()));
        all
    }

    /// Swaps a part for one of another kind as one step, in the arrangement at hand or
    /// in all of them: it keeps its zone and turn where its holes allow it, what is
    /// mounted on it is seated anew, cables go to ports of the same connector, and
    /// accepted findings stay accepted. `None` where the part is not there, is locked,
    /// or is of that kind already.
    pub fn swap(&mut self, id: &PartId, kind: &Arc<PartKind>, everywhere: bool) -> Option<Swapped> {
        self.cancel_gesture();
        let scene = self.scene();
        let part = scene.parts.get(id)?;
        let locked = scene.placed(id).is_some_and(|(_, p)| p.locked);
        if locked || (part.kind.id == kind.id && !everywhere) {
            return None;
        }
        let now = scene.current;
        let others = (0..scene.arrangements.len()).filter(|i| everywhere && *i != now);
        let mut edits = Vec::new();
        let mut all = Swapped::default();
        for index in std::iter::once(now).chain(others) {
            let there = scene.showing(index)?;
            let placed = Placed::build(&there);
            let (own, report) = plan(&there, &placed, id, kind);
            if index != now {
                edits.push(Edit::Choose(index));
            }
            edits.extend(own);
            let name = match index == now {
                true => String::new(),
                false => format!("in '{}': ", there.arrangement().name),
            };
            let named = |t: String| format!("{name}{t}");
            all.kept.extend(report.kept.into_iter().map(named));
            all.lost.extend(report.lost.into_iter().map(named));
        }
        if everywhere && scene.arrangements.len() > 1 {
            edits.push(Edit::Choose(now));
        }
        let stale = |e: &Editor| -> BTreeSet<String> {
            let keys = e.checker().stale_accepted(e.scene());
            keys.into_iter().map(str::to_owned).collect()
        };
        let before = stale(self);
        self.apply(&format!("swap for {}", kind.name), &edits)
            .ok()?;
        let after = stale(self);
        let accepted = &self.scene().arrangement().accepted;
        let about = |f: &&&Finding| {
            accepted.contains_key(f.key_str())
                && f.subjects.iter().any(|s| match s {
                    Subject::Part(part) => part == id,
                    Subject::Port(port) => port.part == *id,
                    _ => false,
                })
        };
        let findings = self.checker().findings();
        let (kept, worse): (Vec<&Finding>, Vec<&Finding>) = findings
            .iter()
            .filter(about)
            .partition(|f| self.checker().is_accepted(self.scene(), f).is_some());
        if !kept.is_empty() {
            let plural = if kept.len() == 1 { "" } else { "s" };
            all.kept
                .push(format!("{} accepted finding{plural}", kept.len()));
        }
        for f in worse {
            let words = "accepted before, and worse now";
            all.lost.push(format!("{}: {words}", f.text));
        }
        for key in after.difference(&before) {
            all.lost
                .push(format!("accepted finding '{key}': not found any more"));
        }
        Some(all)
    }
}

/// Where a part of another kind sits in the zone that holds the part now.
enum Seat {
    /// Here.
    Found {
        place: Place,
        matched: usize,
        zone: String,
    },
    /// Nothing holds the part now.
    Nowhere,
    /// Not on its holes; where it would be put instead.
    Refused { place: Place, why: String },
}

fn seat(scene: &Scene, placed: &Placed, id: &PartId, kind: &PartKind) -> Seat {
    let Some((part, old)) = scene.placed(id) else {
        return Seat::Nowhere;
    };
    let mut without: BTreeSet<PartId> = placed.carried(id).into_iter().collect();
    without.insert(id.clone());
    // What it carries is screwed to it, and does not hold it.
    let holds: Vec<_> = placed
        .holds(id)
        .iter()
        .filter(|h| h.suffices() && h.zone.part.as_ref().is_none_or(|p| !without.contains(p)))
        .collect();
    let Some(first) = holds.first() else {
        return Seat::Nowhere;
    };
    let all = offers(scene, placed, kind, &without);
    let middle = old.outline(&part.kind).centre();
    for hold in &holds {
        let here = all.iter().filter(|o| o.zone == hold.zone);
        if let Some((place, matched)) = nearest(here, old, kind, middle) {
            let zone = placed.zone_words(&hold.zone);
            return Seat::Found {
                place,
                matched,
                zone,
            };
        }
    }
    let refused = all.iter().find_map(|o| match &o.outcome {
        Outcome::Refused(no) if o.zone == first.zone => Some(no.text.clone()),
        _ => None,
    });
    let words = placed.zone_words(&first.zone);
    let why = refused.unwrap_or_else(|| format!("{words} does not take it"));
    // Its face stays where the zone is, its middle over the same place.
    let outline = kind.outline().turned(old.turn);
    let mut at = outline.moved(middle - outline.centre()).min();
    if let Some(zone) = placed.zone(&first.zone) {
        let out = zone.frame.normal;
        let face = old.outline(&part.kind).face(out.opposite());
        let now = outline.moved(at - outline.min()).face(out.opposite());
        at.set(out.axis(), at.along(out.axis()) + (face - now));
    }
    Seat::Refused {
        place: Place { at, ..*old },
        why,
    }
}

/// Where a part that nothing holds would stand with another size: the face that is nearer
/// to a wall of the enclosure stays where it is, along each axis.
fn beside_the_wall(scene: &Scene, was: &PartKind, kind: &PartKind, old: &Place) -> Place {
    let (walls, now) = (scene.enclosure.outline(), old.outline(was));
    let size = kind.outline().turned(old.turn).size();
    let mut at = old.at;
    for axis in Axis::ALL {
        let low = (now.min().along(axis) - walls.min().along(axis)).abs();
        let high = (walls.max().along(axis) - now.max().along(axis)).abs();
        if high < low {
            at.set(axis, now.max().along(axis) - size.along(axis));
        }
    }
    Place { at, ..*old }
}

/// The place among these offers with the same turn, then the nearest one.
fn nearest<'a>(
    offers: impl Iterator<Item = &'a Offer>,
    old: &Place,
    kind: &PartKind,
    middle: Vec3,
) -> Option<(Place, usize)> {
    let fits = offers.filter_map(|o| match &o.outcome {
        Outcome::Fits { place, matched, .. } => {
            let place = Place {
                at: place.at,
                turn: place.turn,
                ..*old
            };
            let away = place.outline(kind).centre().distance_mm(middle);
            Some((place.turn != old.turn, away, place, *matched))
        }
        Outcome::Refused(_) => None,
    });
    fits.min_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)))
        .map(|best| (best.2, best.3))
}

/// The edits of a swap in the arrangement at hand of `scene`.
fn plan(scene: &Scene, placed: &Placed, id: &PartId, kind: &Arc<PartKind>) -> (Vec<Edit>, Swapped) {
    let mut report = Swapped::default();
    let mut edits = vec![Edit::SetKind(id.clone(), kind.clone())];
    match seat(scene, placed, id, kind) {
        Seat::Found {
            place,
            matched,
            zone,
        } => {
            let plural = if matched == 1 { "" } else { "s" };
            report
                .kept
                .push(format!("its place on {zone}: {matched} hole{plural}"));
            edits.push(Edit::SetPlace(id.clone(), Some(place)));
        }
        Seat::Refused { place, why } => {
            report.lost.push(format!("its screw holes: {why}"));
            edits.push(Edit::SetPlace(id.clone(), Some(place)));
        }
        Seat::Nowhere => {
            if let Some((part, old)) = scene.placed(id) {
                let place = beside_the_wall(scene, &part.kind, kind, old);
                edits.push(Edit::SetPlace(id.clone(), Some(place)));
            }
        }
    }
    let ports = ports(scene, id, kind);
    edits.extend(cables(scene, id, kind, &ports, &mut report));
    edits.extend(accepted(scene, id, &ports));
    // What was mounted on the part is seated on it as it is now.
    let mut after = scene.clone();
    if edits.iter().all(|e| apply(&mut after, e).is_ok()) {
        edits.extend(mounted(scene, placed, after, id, &mut report));
    }
    (edits, report)
}

/// The port of the new kind for each port that has a cable now: of the same id and
/// connector, else the next free one of that connector.
fn ports(scene: &Scene, id: &PartId, kind: &PartKind) -> BTreeMap<String, Option<String>> {
    let Some(part) = scene.parts.get(id) else {
        return BTreeMap::new();
    };
    let cables = scene.arrangement().cables.values();
    let plugged: BTreeSet<&str> = cables
        .flat_map(Cable::ports)
        .filter(|p| p.part == *id)
        .map(|p| p.port.as_str())
        .collect();
    let alike = |a: &Port, b: &Port| {
        a.connector == b.connector && a.role == b.role && a.lead.is_some() == b.lead.is_some()
    };
    let old: Vec<&Port> = part
        .kind
        .ports
        .iter()
        .filter(|p| plugged.contains(p.id.as_str()))
        .collect();
    let same = |p: &Port| kind.port(&p.id).filter(|n| alike(p, n));
    let mut used: BTreeSet<&str> = old.iter().filter_map(|p| same(p)).map(|n| &*n.id).collect();
    let mut map = BTreeMap::new();
    for port in old {
        let next = same(port).or_else(|| {
            let free = kind
                .ports
                .iter()
                .find(|n| alike(port, n) && !used.contains(&*n.id));
            free.inspect(|n| _ = used.insert(&n.id))
        });
        map.insert(port.id.clone(), next.map(|n| n.id.clone()));
    }
    map
}

fn cables(
    scene: &Scene,
    id: &PartId,
    kind: &PartKind,
    ports: &BTreeMap<String, Option<String>>,
    report: &mut Swapped,
) -> Vec<Edit> {
    let mut edits = Vec::new();
    let here = |p: &PortRef| p.part == *id;
    let all = scene.arrangement().cables.iter();
    for (cable_id, cable) in all.filter(|(_, c)| c.ports().any(here)) {
        let lost: Vec<&PortRef> = cable
            .ports()
            .filter(|p| here(p) && ports.get(&p.port).is_none_or(Option::is_none))
            .collect();
        if let Some(port) = lost.first() {
            let kept_ends = cable.ports().count() - lost.len();
            let off = lost.contains(&&cable.from) || kept_ends < 2;
            let what = if off {
                "taken off"
            } else {
                "one plug taken off"
            };
            report.lost.push(format!(
                "{}: {what}, {} has no free port like '{}'",
                cable.name, kind.name, port.port
            ));
        } else {
            report.kept.push(cable.name.clone());
        }
        let new = led_on(cable, id, kind, ports);
        if new.as_ref() != Some(cable) {
            edits.push(Edit::SetCable(CableId::clone(cable_id), new));
        }
    }
    edits
}

/// The cable with its ends on the new ports; `None` where nothing of it is left.
fn led_on(
    cable: &Cable,
    id: &PartId,
    kind: &PartKind,
    ports: &BTreeMap<String, Option<String>>,
) -> Option<Cable> {
    let to = |p: &PortRef| -> Option<PortRef> {
        match p.part == *id {
            true => Some(PortRef {
                part: id.clone(),
                port: ports.get(&p.port)?.clone()?,
            }),
            false => Some(p.clone()),
        }
    };
    let mut new = cable.clone();
    new.from = to(&cable.from)?;
    new.plugs.clear();
    // A plug that goes leaves its stretch to the next one, as `edit` does it.
    let mut carried: Option<crate::model::PlugEnd> = None;
    for plug in &cable.plugs {
        let mut plug = plug.clone();
        if let Some(before) = carried.take() {
            plug.length += before.length;
            plug.via.splice(0..0, before.via);
        }
        match to(&plug.to) {
            Some(port) => {
                plug.to = port;
                new.plugs.push(plug);
            }
            None => carried = Some(plug),
        }
    }
    // A lead that belongs to the part is the new part's lead.
    let lead = match new.from.part == *id && new.kind.is_none() {
        true => kind.port(&new.from.port).and_then(|p| p.lead.as_ref()),
        false => None,
    };
    if let Some(lead) = lead {
        (new.section, new.bend) = (lead.section, lead.bend);
        if let [plug] = new.plugs.as_mut_slice() {
            plug.length = lead.length;
        }
    }
    (!new.plugs.is_empty()).then_some(new)
}

/// Accepted findings about a port go with the cable to the new port.
fn accepted(scene: &Scene, id: &PartId, ports: &BTreeMap<String, Option<String>>) -> Vec<Edit> {
    let mut edits = Vec::new();
    for (key, reason) in &scene.arrangement().accepted {
        let Some((rule, names)) = key.split_once(':') else {
            continue;
        };
        let mut names: Vec<String> = names.split('+').map(str::to_owned).collect();
        for name in &mut names {
            let port = name.strip_prefix(&format!("{id}:"));
            if let Some(Some(new)) = port.and_then(|p| ports.get(p)) {
                *name = format!("{id}:{new}");
            }
        }
        names.sort();
        let new = format!("{rule}:{}", names.join("+"));
        if new != *key {
            edits.push(Edit::Accept(key.clone(), None));
            edits.push(Edit::Accept(new, Some(reason.clone())));
        }
    }
    edits
}

/// Seats what was mounted on the part on the zones that it has now.
fn mounted(
    before: &Scene,
    placed: &Placed,
    mut after: Scene,
    id: &PartId,
    report: &mut Swapped,
) -> Vec<Edit> {
    let on_it = |c: &PartId| {
        let holds = placed.holds(c).iter().filter(|h| h.suffices());
        holds
            .filter(|h| h.zone.part.as_ref() == Some(id))
            .map(|h| h.zone.zone.clone())
            .next()
    };
    let carried = placed.carried(id);
    let children = carried.iter().filter_map(|c| Some((c, on_it(c)?)));
    let mut edits = Vec::new();
    for (child, zone) in children {
        let Some((part, old)) = before.placed(child) else {
            continue;
        };
        let mut with: BTreeSet<PartId> = placed.carried(child).into_iter().collect();
        // A loose part may hang on what it carries; then each goes by itself.
        if with.contains(id) {
            with.clear();
        }
        with.insert(child.clone());
        let now = Placed::build(&after);
        let all = offers(&after, &now, &part.kind, &with);
        let middle = old.outline(&part.kind).centre();
        let here = |same: bool| {
            all.iter()
                .filter(move |o| o.zone.part.as_ref() == Some(id) && (o.zone.zone == zone) == same)
                .collect::<Vec<_>>()
        };
        let (same, other) = (here.clone()(true), here(false));
        // A zone of the same name that has no room is no reason to change sides.
        let other = if same.is_empty() { other } else { Vec::new() };
        let found = nearest(same.into_iter(), old, &part.kind, middle)
            .or_else(|| nearest(other.into_iter(), old, &part.kind, middle));
        let Some((place, _)) = found else {
            let words = "no holes for it, it stays where it was";
            report.lost.push(format!("{} on it: {words}", part.name));
            continue;
        };
        report.kept.push(format!("{} on it", part.name));
        let by = place.at - old.at;
        for id in &with {
            let Some((_, own)) = before.placed(id) else {
                continue;
            };
            let new = match id == child {
                true => place,
                false => Place {
                    at: own.at + by,
                    ..*own
                },
            };
            let edit = Edit::SetPlace(id.clone(), Some(new));
            if new != *own && apply(&mut after, &edit).is_ok() {
                edits.push(edit);
            }
        }
    }
    edits
}
