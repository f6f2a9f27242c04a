//! What the search claims where not all places could be looked at.

use crate::search_desk::{Desk, ids};
use closefit::edit::{self, Edit};
use closefit::model::{PartId, Scene};
use closefit::search::scene::{Answer, End, News, Run, Wish, seek};
use std::collections::BTreeSet;
use std::sync::atomic::{AtomicBool, Ordering};

fn ask(desk: &Desk, scene: &Scene, moving: BTreeSet<PartId>, run: &Run) -> Answer {
    let mut wish = Wish::of(scene).only(moving);
    wish.top = 1;
    seek(scene, &wish, &desk.settings, &desk.catalogue, run)
}

/// Two fans beside an enclosure in which both of them found a place.
fn two_fans(desk: &Desk) -> (Scene, BTreeSet<PartId>) {
    let mut scene = desk.example("test-field");
    let places = &scene.arrangement().places;
    let fan = |id: &&PartId| scene.parts[*id].kind.blows.is_some();
    let fans: BTreeSet<PartId> = places.keys().filter(fan).take(2).cloned().collect();
    assert_eq!(fans.len(), 2, "the example has fans");
    for id in &fans {
        edit::apply(&mut scene, &Edit::SetPlace(id.clone(), None)).unwrap();
    }
    (scene, fans)
}

#[test]
fn a_no_of_some_places_only_says_how_many_were_left_out() {
    let desk = Desk::new();
    let (scene, fans) = two_fans(&desk);
    let all = ask(&desk, &scene, fans.clone(), &Run::default());
    assert!(!all.found.is_empty(), "both go in: {}", all.words());
    // One place each, the same for both.
    let one = Run {
        most_places: 1,
        ..Run::default()
    };
    let some = ask(&desk, &scene, fans, &one);
    let End::NoneLooked(_, left_out) = &some.end else {
        panic!("{:?}: {}", some.end, some.words());
    };
    assert!(some.found.is_empty() && *left_out > 0);
    assert!(
        some.words()
            .contains(&format!("at least {left_out} were left out")),
        "{}",
        some.words()
    );
}

#[test]
fn a_search_that_was_ended_promises_no_share_of_places_it_left_out() {
    let desk = Desk::new();
    let scene = desk.example("cube-microatx");
    for (most_places, whole) in [(Run::default().most_places, true), (12, false)] {
        let cancel = AtomicBool::new(false);
        let hear = |news: News| {
            if matches!(news, News::Found(..)) {
                cancel.store(true, Ordering::Relaxed);
            }
        };
        let run = Run {
            cancel: Some(&cancel),
            told: Some(&hear),
            most_places,
            ..Run::default()
        };
        let answer = ask(&desk, &scene, ids(&["drive", "fan", "network"]), &run);
        assert_eq!(answer.found.len(), 1, "{}", answer.words());
        assert!(!answer.found[0].proved);
        match whole {
            true => assert!(matches!(answer.end, End::Within(_)), "{:?}", answer.end),
            false => assert_eq!(answer.end, End::SoFar),
        }
    }
}
