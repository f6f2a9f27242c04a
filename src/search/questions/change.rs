//! The cheapest change after which no stop finding is left.

use super::sizes::same_face;
use super::{Asker, Reply, changes, serves};
use crate::model::{CableId, Group, PartId, PartKind, Scene};
use crate::search::scene::{Aim, Answer, Demand, End, Found, MOST_WEIGHT, Weights, Wish};
use std::sync::Arc;

/// Points for taking another kind; a moved part costs [`MOST_WEIGHT`].
const SWAP: u64 = 10 * MOST_WEIGHT as u64;
/// Points for a caution: few beside a moved part, so that of changes of as many parts mostly the
/// one with the fewest is taken.
const CAUTION: u32 = 4;
/// So many rounds of further parts that may be swapped.
const ROUNDS: usize = 4;
/// A supply gives so much more than the parts draw together: common practice, no source.
const RESERVE: f64 = 1.5;

pub(super) fn cheapest(asker: &Asker) -> Reply {
    if asker.is_sound() {
        return Reply {
            lines: vec!["It works as it is: no stop finding is open.".to_owned()],
            edits: Vec::new(),
            yes: true,
        };
    }
    let mut scene = asker.scene.clone();
    let (mut wish, few) = asker.wish(&scene);
    wish.weights = Weights::none()
        .with(Aim::PartsMoved, MOST_WEIGHT)
        .with(Aim::Cautions, CAUTION);
    wish.gently = true;
    wish.top = 1;
    let mut answer = asker.seek(&scene, &wish);
    if answer.found.is_empty() {
        wish.longer_cables = true;
        answer = asker.seek(&scene, &wish);
    }
    for _ in 0..ROUNDS {
        let End::Impossible(clash) = &answer.end else {
            break;
        };
        let mut more = false;
        for demand in &clash.demands {
            if let Demand::Reaches(id) = demand {
                more |= unlead(&mut scene, id);
            }
            for id in at_stake(asker, demand) {
                more |= free(asker, &mut wish, &id);
            }
        }
        if !more {
            break;
        }
        answer = asker.seek(&scene, &wish);
    }
    let mut reply = reply(asker, &answer);
    reply.lines.extend(few);
    reply
}

/// Leaves out what a cable is led along; false where it is led along nothing.
fn unlead(scene: &mut Scene, id: &CableId) -> bool {
    let Some(cable) = scene.arrangement_mut().cables.get_mut(id) else {
        return false;
    };
    let led = cable.plugs.iter().any(|p| !p.via.is_empty());
    for plug in &mut cable.plugs {
        plug.via.clear();
    }
    led
}

/// Parts that another kind of may meet a demand.
fn at_stake(asker: &Asker, demand: &Demand) -> Vec<PartId> {
    match demand {
        Demand::GoesIn(id) => vec![id.clone()],
        Demand::Reaches(id) => {
            let cable = asker.scene.arrangement().cables.get(id);
            let ends = cable.into_iter().flat_map(|c| c.ports());
            ends.map(|p| p.part.clone()).collect()
        }
        Demand::Gap => Vec::new(),
    }
}

/// Lets a part be of any kind that does the same work; true where there is one.
fn free(asker: &Asker, wish: &mut Wish, id: &PartId) -> bool {
    let Some(part) = asker.scene.parts.get(id) else {
        return false;
    };
    // Another board or enclosure is another build.
    if wish.kinds.contains_key(id) || part.kind.group == Group::Board {
        return false;
    }
    let drawn = drawn(asker.scene);
    let mut kinds: Vec<Arc<PartKind>> = asker.kinds(part.kind.group);
    kinds.retain(|k| k.id != part.kind.id && same_work(&part.kind, k, drawn));
    kinds.retain(|k| serves(asker.scene, id, k));
    if kinds.is_empty() {
        return false;
    }
    let own = part.kind.ratings.gives_w;
    let points = |k: &Arc<PartKind>| SWAP + less_power(own, k);
    let points = std::iter::once(0).chain(kinds.iter().map(points)).collect();
    kinds.insert(0, part.kind.clone());
    wish.kinds.insert(id.clone(), kinds);
    wish.kind_points.insert(id.clone(), points);
    true
}

/// Of supplies that go in, the one that gives most is the smallest change: up to a point for
/// each hundred watts.
fn less_power(own: Option<f64>, kind: &PartKind) -> u64 {
    let less = own.zip(kind.ratings.gives_w).map_or(0.0, |(a, b)| a - b);
    (less.max(0.0) / 100.0).ceil() as u64
}

/// What all parts draw together, in watts; `None` where that is not known of one that has
/// to be fed.
fn drawn(scene: &Scene) -> Option<f64> {
    let fed = |k: &PartKind| {
        matches!(
            k.group,
            Group::Board | Group::Card | Group::Drive | Group::Memory | Group::Fan
        )
    };
    let parts = scene.parts.values().map(|p| &p.kind);
    let each = parts.map(|k| k.ratings.draws_w.or((!fed(k)).then_some(0.0)));
    each.sum()
}

/// Whether a kind has every port of the other that has to be connected, and gives enough
/// power: no less than the other, or what the parts draw with [`RESERVE`].
fn same_work(own: &PartKind, other: &PartKind, drawn: Option<f64>) -> bool {
    let ports = own.ports.iter().filter(|p| p.required);
    let connected = |p: &crate::model::Port| {
        other
            .port(&p.id)
            .is_some_and(|o| o.connector == p.connector)
    };
    let enough = |w: f64| drawn.is_some_and(|d| w >= d * RESERVE);
    let power = match (own.ratings.gives_w, other.ratings.gives_w) {
        (Some(own), Some(other)) => other >= own || enough(other),
        (Some(_), None) => false,
        _ => true,
    };
    let flat = matches!(own.group, Group::Radiator | Group::Fan | Group::Drive);
    let faces = !flat || same_face(own, other);
    ports.into_iter().all(connected) && power && faces
}

fn reply(asker: &Asker, answer: &Answer) -> Reply {
    let Some(found) = answer.found.first() else {
        return Reply {
            lines: vec![
                "No change that was tried makes it work.".to_owned(),
                answer.words(),
            ],
            ..Reply::default()
        };
    };
    let changes = changes(asker.scene, found);
    let mut lines = vec![match changes.as_slice() {
        [one] => format!("One change makes it work: {one}."),
        many => format!("{} changes make it work:", many.len()),
    }];
    if changes.len() > 1 {
        lines.extend(changes.into_iter().map(|c| format!("{c}.")));
    }
    lines.extend(weaker(asker.scene, found));
    if !found.proved {
        lines.push("A smaller change was not ruled out.".to_owned());
    }
    Reply {
        lines,
        edits: found.in_place(asker.scene),
        yes: true,
    }
}

/// Says what a weaker supply still gives.
fn weaker(scene: &Scene, found: &Found) -> Option<String> {
    let drawn = drawn(scene)?;
    found.kinds.iter().find_map(|(id, kind)| {
        let was = scene.parts.get(id)?.kind.ratings.gives_w?;
        let gives = kind.ratings.gives_w.filter(|g| *g < was)?;
        Some(format!(
            "That supply gives {gives:.0} W, not {was:.0} W; the parts draw {drawn:.0} W together."
        ))
    })
}
