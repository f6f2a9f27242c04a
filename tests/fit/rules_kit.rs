//! What holds for all rules together: an update finds what a full check finds, and
//! a place that a zone offers is one at which it holds.

use crate::build;
use crate::busy;

use build::{Build, at_port, cable, cid, pid, v};
use busy::{all, kinds, start};
use closefit::edit::{Edit, Touched, apply};
use closefit::geom::Turn;
use closefit::model::{Part, PartId, PartKind, Place, Scene, Via, ZoneRef};
use closefit::placement::{Outcome, Placed, offers};
use closefit::rules::{Checker, Finding};
use proptest::prelude::*;
use std::collections::BTreeSet;
use std::sync::Arc;

fn config() -> ProptestConfig {
    ProptestConfig {
        cases: 150,
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

/// Places that matter: on holes, beside one another, a little off, anywhere.
const STOPS: [f64; 12] = [
    -30.0, 0.0, 0.2, 20.0, 53.5, 60.0, 120.0, 120.5, 148.0, 173.0, 240.0, 340.0,
];

#[derive(Clone, Debug)]
enum Step {
    Place(usize, [usize; 3], usize, bool),
    /// Onto one of the places that the zones offer.
    Onto(usize, usize),
    Lift(usize),
    Add(usize, usize),
    Remove(usize),
    Rename(usize),
    Kind(usize, usize),
    Cable(usize, usize, usize, usize),
    Cut(usize),
}

fn a_step() -> impl Strategy<Value = Step> {
    let stop = || 0..STOPS.len();
    prop_oneof![
        6 => (0..12usize, [stop(), stop(), stop()], 0..6usize, any::<bool>())
            .prop_map(|(p, at, turn, lock)| Step::Place(p, at, turn, lock)),
        6 => (0..12usize, any::<usize>()).prop_map(|(p, which)| Step::Onto(p, which)),
        1 => (0..12usize).prop_map(Step::Lift),
        3 => (0..12usize, 0..8usize).prop_map(|(p, k)| Step::Add(p, k)),
        1 => (0..12usize).prop_map(Step::Remove),
        1 => (0..12usize).prop_map(Step::Rename),
        1 => (0..12usize, 0..8usize).prop_map(|(p, k)| Step::Kind(p, k)),
        3 => (0..6usize, 0..12usize, 0..12usize, 0..3usize)
            .prop_map(|(c, a, b, n)| Step::Cable(c, a, b, n)),
        1 => (0..6usize).prop_map(Step::Cut),
    ]
}

fn turns() -> Vec<Turn> {
    let mut turns = Turn::all();
    turns.truncate(6);
    turns
}

fn part_id(n: usize) -> PartId {
    // Ids whose order is not the order of numbers.
    pid(["m", "c", "x", "a", "k", "z", "b", "y", "f", "q", "d", "w"][n])
}

/// One of the places that zones offer to a part, and the zone.
fn offered(scene: &Scene, id: &PartId, which: usize) -> Option<(Place, ZoneRef, usize)> {
    let kind = &scene.parts.get(id)?.kind;
    let placed = Placed::build(scene);
    let all = offers(scene, &placed, kind, &BTreeSet::from([id.clone()]));
    let fits: Vec<(Place, ZoneRef, usize)> = all
        .into_iter()
        .filter_map(|o| match o.outcome {
            Outcome::Fits { place, matched, .. } => Some((place, o.zone, matched)),
            Outcome::Refused(_) => None,
        })
        .collect();
    fits.get(which % fits.len().max(1)).cloned()
}

fn edit(scene: &Scene, kinds: &[Arc<PartKind>], step: &Step) -> Option<Edit> {
    let first_port = |n: usize, which: usize| {
        let id = part_id(n);
        scene.arrangement().places.get(&id)?;
        let ports = &scene.parts.get(&id)?.kind.ports;
        let port = ports.get(which % ports.len().max(1))?;
        Some((at_port(id.as_str(), &port.id), port.lead.is_some()))
    };
    Some(match step {
        Step::Place(n, at, turn, locked) => Edit::SetPlace(
            part_id(*n),
            Some(Place {
                at: v(500.0, 500.0, 500.0) + v(STOPS[at[0]], STOPS[at[1]], STOPS[at[2]]),
                turn: turns()[*turn],
                locked: *locked,
                hidden: false,
            }),
        ),
        Step::Onto(n, which) => {
            let (place, ..) = offered(scene, &part_id(*n), *which)?;
            Edit::SetPlace(part_id(*n), Some(place))
        }
        Step::Lift(n) => Edit::SetPlace(part_id(*n), None),
        Step::Add(n, kind) => Edit::AddPart {
            id: part_id(*n),
            part: Part {
                name: kinds[*kind].name.clone(),
                kind: kinds[*kind].clone(),
            },
            place: Some(Place::at(v(500.0, 500.0, 500.0 + 25.0 * *n as f64))),
        },
        Step::Remove(n) => Edit::RemovePart(part_id(*n)),
        Step::Rename(n) => Edit::Rename(part_id(*n), "another".into()),
        Step::Kind(n, kind) => Edit::SetKind(part_id(*n), kinds[*kind].clone()),
        Step::Cable(c, a, b, which) => {
            let (from, captive) = first_port(*a, *which)?;
            let (to, _) = first_port(*b, *which)?;
            let via = vec![Via::Point(v(700.0, 700.0, 600.0)); which % 2];
            let kind = if captive { None } else { Some("data") };
            Edit::SetCable(
                cid(&format!("c{c}")),
                Some(cable(kind, from, to, 300.0, via)),
            )
        }
        Step::Cut(c) => Edit::SetCable(cid(&format!("c{c}")), None),
    })
}

fn same_everywhere(build: &Build, scene: &Scene, live: &Checker) -> Result<(), TestCaseError> {
    let mut fresh = build.checker();
    fresh.check_all(scene);
    prop_assert_eq!(all(live), all(&fresh));
    prop_assert_eq!(live.runs(), fresh.runs());
    let (a, b) = (live.placed(), fresh.placed());
    prop_assert_eq!(a.unplaced(), b.unplaced());
    prop_assert_eq!(a.len(), b.len());
    for (p, q) in a.parts().zip(b.parts()) {
        prop_assert_eq!((&p.id, p.index, p.span), (&q.id, q.index, q.span));
        prop_assert_eq!(a.support(&p.id), b.support(&p.id));
        prop_assert_eq!(a.carried(&p.id), b.carried(&p.id));
        let zones = |placed: &closefit::placement::Placed| -> Vec<_> {
            let holds = placed.holds(&p.id).iter();
            holds
                .map(|h| (h.zone.clone(), h.pairs.clone(), h.seated))
                .collect()
        };
        prop_assert_eq!(zones(a), zones(b));
    }
    Ok(())
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn at_an_offered_place_the_zone_holds_the_part(
        steps in prop::collection::vec(a_step(), 1..20), part in 0..12usize, which: usize,
    ) {
        let kinds: Vec<Arc<PartKind>> = kinds().into_iter().map(Arc::new).collect();
        let mut scene = start().scene;
        for step in &steps {
            if let Some(edit) = edit(&scene, &kinds, step) {
                // A part that is not there is no use here; the scene stays.
                let _ = apply(&mut scene, &edit);
            }
        }
        let id = part_id(part);
        if let Some((place, zone, matched)) = offered(&scene, &id, which) {
            apply(&mut scene, &Edit::SetPlace(id.clone(), Some(place))).expect("it is there");
            let placed = Placed::build(&scene);
            let hold = placed.holds(&id).iter().find(|h| h.zone == zone);
            prop_assert_eq!(hold.map(|h| (h.matched, h.suffices())), Some((matched, true)));
        }
    }
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn an_update_finds_what_a_full_check_finds(steps in prop::collection::vec(a_step(), 1..40)) {
        let build = start();
        let kinds: Vec<Arc<PartKind>> = kinds().into_iter().map(Arc::new).collect();
        let mut scene = build.scene.clone();
        let mut live = build.checker();
        live.check_all(&scene);
        for step in &steps {
            let Some(edit) = edit(&scene, &kinds, step) else { continue };
            if let Ok(touched) = apply(&mut scene, &edit) {
                live.update(&scene, &touched);
            }
        }
        same_everywhere(&build, &scene, &live)?;
    }

    #[test]
    fn several_changes_at_once_are_one_update(steps in prop::collection::vec(a_step(), 1..40)) {
        let build = start();
        let kinds: Vec<Arc<PartKind>> = kinds().into_iter().map(Arc::new).collect();
        let mut scene = build.scene.clone();
        let mut live = build.checker();
        live.check_all(&scene);
        for batch in steps.chunks(7) {
            let mut touched = Touched::default();
            for step in batch {
                let Some(edit) = edit(&scene, &kinds, step) else { continue };
                if let Ok(t) = apply(&mut scene, &edit) {
                    touched.merge(t);
                }
            }
            live.update(&scene, &touched);
        }
        same_everywhere(&build, &scene, &live)?;
    }
}

/// Applies edits one by one, each with an update, and compares with a full check
/// every time. Returns the keys found after each.
fn live(build: &Build, edits: &[Edit]) -> Vec<Vec<String>> {
    let mut scene = build.scene.clone();
    let mut checker = build.checker();
    checker.check_all(&scene);
    let mut keys = vec![all(&checker).iter().map(Finding::key).collect()];
    for edit in edits {
        let touched = apply(&mut scene, edit).expect("a sound edit");
        checker.update(&scene, &touched);
        same_everywhere(build, &scene, &checker).expect("the same as a full check");
        keys.push(all(&checker).iter().map(Finding::key).collect());
    }
    keys
}

fn away(build: &Build, id: &str) -> Edit {
    let mut place = build.scene.arrangement().places[&pid(id)];
    place.at += v(0.0, 200.0, 0.0);
    Edit::SetPlace(pid(id), Some(place))
}

#[test]
fn what_hangs_further_up_loses_its_hold_as_well() {
    let k = kinds();
    let build = start()
        .with("fan-1", &k[0], [500.0, 500.0, 500.0])
        .with("rad", &k[1], [480.0, 500.0, 525.0])
        .with("fan-2", &k[0], [500.0, 500.0, 552.0]);
    let unheld = |keys: &[String]| -> Vec<String> {
        keys.iter()
            .filter(|k| k.starts_with("unheld"))
            .cloned()
            .collect()
    };
    let keys = live(&build, &[away(&build, "fan-1")]);
    assert_eq!(unheld(&keys[0]), [] as [&str; 0]);
    // The fan on top was not touched, nor was anything that it holds to.
    assert_eq!(
        unheld(&keys[1]),
        ["unheld:fan-1", "unheld:fan-2", "unheld:rad"]
    );
}

#[test]
fn taking_the_top_off_a_stack_makes_it_fit() {
    let k = kinds();
    let hanging = build::turn("+x", "-y");
    // The board's holes 1 to 4 lie 105 apart about (60, 60) from its corner.
    let build = start()
        .turned("board", &k[3], [520.0, 460.0, 680.0], hanging)
        .turned("card", &k[4], [573.5, 460.0, 595.0], hanging);
    let short = |keys: &[String]| keys.iter().any(|k| k.starts_with("depth-short"));
    assert!(
        build
            .checked()
            .placed()
            .holds_each_other(&pid("board"), &pid("card"))
    );
    let keys = live(
        &build,
        &[away(&build, "card"), Edit::RemovePart(pid("card"))],
    );
    assert!(short(&keys[0]), "{keys:?}");
    assert!(!short(&keys[1]) && !short(&keys[2]), "{keys:?}");
}

#[test]
fn a_new_name_of_the_carrier_reaches_what_it_carries() {
    let k = kinds();
    let mut picky = k[0].clone();
    for pattern in &mut picky.patterns {
        pattern.needs = 5;
    }
    let build = start().with("rad", &k[1], [900.0, 900.0, 900.0]).with(
        "fan",
        &picky,
        [920.0, 900.0, 927.0],
    );
    let mut scene = build.scene.clone();
    let mut checker = build.checker();
    checker.check_all(&scene);
    let touched = apply(&mut scene, &Edit::Rename(pid("rad"), "heavy".into())).expect("there");
    checker.update(&scene, &touched);
    same_everywhere(&build, &scene, &checker).expect("the same as a full check");
    let texts: Vec<String> = all(&checker).into_iter().map(|f| f.text).collect();
    assert!(
        texts.iter().any(|t| t.contains("fans b of heavy")),
        "{texts:?}"
    );
}
