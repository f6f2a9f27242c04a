//! A part at one end moved, along each axis as little as makes the cable reach; or to
//! another place on its holes.

use super::desk::{Desk, Idea};
use super::{How, hoses};
use crate::edit::{Edit, Touched, apply};
use crate::geom::{Dir, Length};
use crate::model::{PartId, Place, Severity};
use crate::placement::{Outcome, offers};
use crate::route::{self, ways};
use std::collections::BTreeSet;

/// Rounds in which the least distance is approached.
const ROUNDS: usize = 24;

/// Distances are rounded up to this.
const STEP: Length = Length::um(100);

/// So many places on holes are looked at, the nearest first.
const MOST_SEATS: usize = 16;

/// Moves of the part at either end of the short stretch.
pub(super) fn ideas(desk: &Desk) -> Vec<Idea> {
    let ends: BTreeSet<&PartId> = BTreeSet::from([&desk.from().part, &desk.to().part]);
    let mut ideas = Vec::new();
    for id in ends {
        let Some((part, place)) = desk.scene.placed(id) else {
            continue;
        };
        if place.locked {
            continue;
        }
        for dir in Dir::ALL {
            if desk.is_cancelled() {
                return ideas;
            }
            if let Some((by, edits)) = least(desk, id, dir) {
                ideas.push(Idea {
                    how: How::Move,
                    words: format!("Move {} by {} mm {}.", part.name, by.text1(), toward(dir)),
                    edits,
                    moved: by,
                });
            }
        }
        ideas.extend(seats(desk, id));
    }
    ideas
}

/// A direction in a sentence: 'to the left', 'up'.
fn toward(dir: Dir) -> String {
    match dir {
        Dir::PosZ | Dir::NegZ => dir.words().to_owned(),
        _ => format!("to the {}", dir.words()),
    }
}

/// The part at another place, with what it carries.
fn to(desk: &Desk, id: &PartId, place: Place) -> Option<Vec<Edit>> {
    let (_, was) = desk.scene.placed(id)?;
    let by = place.at - was.at;
    let mut edits = vec![Edit::SetPlace(id.clone(), Some(place))];
    if place.turn != was.turn {
        return Some(edits);
    }
    for other in desk.placed().carried(id) {
        if let Some((_, p)) = desk.scene.placed(&other).filter(|(_, p)| !p.locked) {
            let place = Place {
                at: p.at + by,
                ..*p
            };
            edits.push(Edit::SetPlace(other, Some(place)));
        }
    }
    Some(edits)
}

/// What the worst stretch of the cable lacks then: its bare way, and with the share
/// for service; of a hose nothing where it lies. Corners mean nothing where an end has moved: a cable that had some is led
/// anew where it would reach straight, and `edits` then lay it.
fn lacks(desk: &Desk, edits: &mut Vec<Edit>) -> Option<[Length; 2]> {
    let mut scene = desk.scene.clone();
    let mut touched = Touched::default();
    for edit in edits.iter() {
        touched.merge(apply(&mut scene, edit).ok()?);
    }
    let mut placed = desk.placed().clone();
    placed.update(&scene, &touched);
    let id = &desk.short.cable;
    if desk.is_hose() {
        let lack = hoses::lack(desk, &scene, &placed, desk.cable)?;
        return Some([Length::from_mm(lack)?; 2]);
    }
    let mut cable = desk.cable.clone();
    cable.straighten();
    let run = route::run(&scene, &placed, desk.catalogue(), id, &cable);
    let straight = desk.lacks(&run);
    if !(desk.cable.has_corners() || desk.cable.finds)
        || straight.is_none_or(|[bare, _]| bare > Length::ZERO)
    {
        return straight;
    }
    let search = ways::Desk {
        scene: &scene,
        placed: &placed,
        catalogue: desk.catalogue(),
        runs: desk.checker.runs(),
    };
    let wish = ways::Wish::default();
    let laid = ways::lay(&search, id, &cable, &wish, &|| desk.is_cancelled()).ok()?;
    edits.extend(desk.set(laid.cable));
    desk.lacks(&laid.run)
}

/// The least distance along `dir` after which the cable reaches with the share for
/// service, or, where there is none, reaches at all.
///
/// An end that moves by d changes its way by d at most, so what is lacking (less the
/// share that goes with it) is a step that never goes too far; the steps are repeated until nothing lacks. Where the bends
/// make it change by a little more, what is found may lie that little beyond the least.
fn least(desk: &Desk, id: &PartId, dir: Dir) -> Option<(Length, Vec<Edit>)> {
    if desk.is_hose() {
        let (_, place) = desk.scene.placed(id)?;
        return hoses::least(desk, id, dir, |by| {
            let at = place.at + dir.times(by);
            let mut edits = to(desk, id, Place { at, ..*place })?;
            let lacks = lacks(desk, &mut edits)?;
            Some((edits, lacks[0].as_mm()))
        });
    }
    let goals: &[usize] = match desk.short.severity {
        Severity::Stop => &[1, 0],
        _ => &[1],
    };
    goals.iter().find_map(|goal| approach(desk, id, dir, *goal))
}

fn approach(desk: &Desk, id: &PartId, dir: Dir, goal: usize) -> Option<(Length, Vec<Edit>)> {
    let (part, place) = desk.scene.placed(id)?;
    let room = desk.scene.enclosure.outline();
    let outline = place.outline(&part.kind);
    let within = room.contains(&outline);
    // Led anew from where it stands; where that is enough, nothing need move.
    let at_first = lacks(desk, &mut Vec::new())?[goal];
    if at_first <= Length::ZERO {
        return None;
    }
    // With the share for service, a millimetre less of way is so much less lacking.
    let percent = desk.checker.settings().service_percent.max(0);
    let per_cent = if goal == 1 { 100 + percent } else { 100 };
    let mut by = Length::ZERO;
    let mut lack = at_first;
    for round in 0..ROUNDS {
        if desk.is_cancelled() {
            return None;
        }
        let step = Length::um(lack.as_um().saturating_mul(100) / per_cent);
        by = up(by + step.max(STEP));
        if within && !room.contains(&outline.moved(dir.times(by))) {
            return None;
        }
        let place = Place {
            at: place.at + dir.times(by),
            ..*place
        };
        let mut edits = to(desk, id, place)?;
        lack = lacks(desk, &mut edits)?[goal];
        if lack <= Length::ZERO {
            return Some((by, edits));
        }
        // The first steps tell whether it gets nearer that way at all.
        let gained = at_first - lack;
        if round >= 2 && gained.as_um() * 8 < by.as_um() {
            return None;
        }
    }
    None
}

fn up(l: Length) -> Length {
    let step = STEP.as_um();
    let um = l.as_um();
    Length::um(um + (step - um.rem_euclid(step)) % step)
}

/// Other places on its holes from where the cable reaches, the nearest first.
fn seats(desk: &Desk, id: &PartId) -> Vec<Idea> {
    let Some((part, was)) = desk.scene.placed(id) else {
        return Vec::new();
    };
    let mut without: BTreeSet<PartId> = desk.placed().carried(id).into_iter().collect();
    without.insert(id.clone());
    let mut places: Vec<(Length, Place, String)> =
        offers(desk.scene, desk.placed(), &part.kind, &without)
            .into_iter()
            .filter_map(|offer| {
                let Outcome::Fits { place, .. } = offer.outcome else {
                    return None;
                };
                let far = |d: crate::geom::Vec3| {
                    let [x, y, z] = d.as_mm();
                    Length::from_mm((x * x + y * y + z * z).sqrt())
                };
                let by = far(place.at - was.at)?;
                let zone = desk.placed().zone_words(&offer.zone);
                let turned = place.turn != was.turn;
                (by > Length::ZERO || turned).then_some((by, place, zone))
            })
            .collect();
    places.sort_by_key(|(by, place, zone)| (place.turn != was.turn, *by, zone.clone()));
    let mut ideas = Vec::new();
    for (by, place, zone) in places.into_iter().take(MOST_SEATS) {
        if ideas.len() == 3 || desk.is_cancelled() {
            break;
        }
        let place = Place {
            locked: was.locked,
            hidden: was.hidden,
            ..place
        };
        let Some(mut edits) = to(desk, id, place) else {
            continue;
        };
        let goal = usize::from(desk.short.severity != Severity::Stop);
        if lacks(desk, &mut edits).is_none_or(|l| l[goal] > Length::ZERO) {
            continue;
        }
        let turned = if place.turn == was.turn {
            ""
        } else {
            ", turned"
        };
        ideas.push(Idea {
            how: How::Move,
            words: format!(
                "Move {} to another place on {zone}, {} mm away{turned}.",
                part.name,
                by.text1()
            ),
            edits,
            moved: by,
        });
    }
    ideas
}
