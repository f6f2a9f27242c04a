//! The cheapest change after which no stop finding is left.

use super::sizes::same_face;
use super::{Asker, Reply, changes, serves};
use crate::model::{Group, PartId, PartKind};
use crate::rules::{Checker, Severity};
use crate::search::scene::{Aim, Answer, Demand, End, Weights, Wish};
use std::sync::Arc;

/// Points for taking another kind; a moved part costs one.
const SWAP: u64 = 10;
/// So many rounds of further parts that may be swapped.
const ROUNDS: usize = 4;

pub(super) fn cheapest(asker: &Asker) -> Reply {
    let mut checker = Checker::new(asker.settings.clone()).with_catalogue(asker.catalogue.clone());
    checker.check_all(asker.scene);
    let open = checker
        .findings()
        .into_iter()
        .filter(|f| f.severity == Severity::Stop && checker.is_accepted(asker.scene, f).is_none());
    if open.count() == 0 {
        return Reply {
            lines: vec!["It works as it is: no stop finding is open.".to_owned()],
            edits: Vec::new(),
            yes: true,
        };
    }
    let mut wish = Wish::of(asker.scene);
    wish.weights = Weights::none().with(Aim::PartsMoved, 1);
    wish.top = 1;
    let mut answer = asker.seek(asker.scene, &wish);
    if answer.found.is_empty() {
        wish.longer_cables = true;
        answer = asker.seek(asker.scene, &wish);
    }
    for _ in 0..ROUNDS {
        let End::Impossible(clash) = &answer.end else {
            break;
        };
        let mut more = false;
        for demand in &clash.demands {
            for id in at_stake(asker, demand) {
                more |= free(asker, &mut wish, &id);
            }
        }
        if !more {
            break;
        }
        answer = asker.seek(asker.scene, &wish);
    }
    reply(asker, &answer)
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
    let mut kinds: Vec<Arc<PartKind>> = asker.kinds(part.kind.group);
    kinds.retain(|k| k.id != part.kind.id && same_work(&part.kind, k));
    kinds.retain(|k| serves(asker.scene, id, k));
    if kinds.is_empty() {
        return false;
    }
    let points = std::iter::once(0)
        .chain(kinds.iter().map(|_| SWAP))
        .collect();
    kinds.insert(0, part.kind.clone());
    wish.kinds.insert(id.clone(), kinds);
    wish.kind_points.insert(id.clone(), points);
    true
}

/// Whether a kind has every port of the other that has to be connected, and gives no less
/// power.
fn same_work(own: &PartKind, other: &PartKind) -> bool {
    let ports = own.ports.iter().filter(|p| p.required);
    let connected = |p: &crate::model::Port| {
        other
            .port(&p.id)
            .is_some_and(|o| o.connector == p.connector)
    };
    let power = match (own.ratings.gives_w, other.ratings.gives_w) {
        (Some(own), Some(other)) => other >= own,
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
    if !found.proved {
        lines.push("A smaller change was not ruled out.".to_owned());
    }
    Reply {
        lines,
        edits: found.in_place(asker.scene),
        yes: true,
    }
}
