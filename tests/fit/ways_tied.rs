//! Ties that are chosen so that nothing hangs free for too long: worked by hand, in the open.

use crate::build::{Build, cid, enclosure, l};
use crate::ways::{joined, lay};
use closefit::geom::Length;
use closefit::model::{Cable, Tie, Via};
use closefit::route::ways::{Laid, Wish, longest_free};
use std::sync::Arc;

/// A thread that leaves straight, this far apart at y 200 and z 200, with ties beside its
/// line: how far along, how far off, and what fits in.
fn thread(apart: f64, ties: &[(&str, f64, f64, Option<f64>)]) -> Build {
    let ends = [
        ([100.0, 200.0, 200.0], "+x"),
        ([100.0 + apart, 200.0, 200.0], "-x"),
    ];
    let mut case = enclosure([apart + 200.0, 400.0, 400.0]);
    case.ties = ties
        .iter()
        .map(|(id, along, off, clear)| Tie {
            id: (*id).to_owned(),
            at: crate::build::v(100.0 + along, 200.0 + off, 200.0),
            clear: clear.map(l),
        })
        .collect();
    joined(case, ends, 0.1, 0.0)
}

fn laid(build: &Build, most: Option<f64>) -> Laid {
    let wish = Wish {
        hangs: most.map(l),
        ..Wish::default()
    };
    lay(build, &wish).expect("a way")
}

fn ties(cable: &Cable) -> Vec<Via> {
    let mut all = cable.plugs[0].via.clone();
    all.retain(|v| v.tie().is_some());
    all
}

fn chosen(ids: &[&str]) -> Vec<Via> {
    ids.iter().map(|id| Via::Chosen((*id).to_owned())).collect()
}

#[track_caller]
fn assert_long(laid: &Laid, best: f64) {
    let long = laid.run.needed.as_mm();
    assert!(
        long >= best - 2e-3 && long <= best * 1.005,
        "{long}, best {best}"
    );
}

#[test]
fn the_tie_with_the_least_way_round_is_chosen() {
    // 600 apart, 350 at most: one tie in the middle. The nearest of all leaves 500.
    let build = thread(
        600.0,
        &[
            ("far", 300.0, 40.0, None),
            ("near", 300.0, 25.0, None),
            ("early", 100.0, 5.0, None),
        ],
    );
    let found = laid(&build, Some(350.0));
    assert_eq!(ties(&found.cable), chosen(&["near"]));
    assert_long(&found, 2.0 * 300f64.hypot(25.0));
    let free = longest_free(
        &closefit::placement::Placed::build(&build.scene),
        &found.cable,
        &found.run,
    );
    assert!(free <= l(350.0), "{free:?}");
    // As long as allowed, or nobody asks: straight on.
    for most in [Some(600.0), None] {
        let plain = laid(&build, most);
        assert_eq!(ties(&plain.cable), []);
        assert_long(&plain, 600.0);
    }
}

#[test]
fn two_ties_are_taken_where_one_does_not_do() {
    let build = thread(
        900.0,
        &[
            ("half", 450.0, 5.0, None),
            ("second", 600.0, 20.0, None),
            ("first", 300.0, 20.0, None),
            ("wide", 310.0, 90.0, None),
        ],
    );
    let found = laid(&build, Some(320.0));
    assert_eq!(ties(&found.cable), chosen(&["first", "second"]));
    assert_long(&found, 2.0 * 300f64.hypot(20.0) + 300.0);
}

#[test]
fn what_was_chosen_stays_while_it_does_and_what_is_pinned_in_any_case() {
    let mut build = thread(600.0, &[("a", 300.0, 40.0, None), ("b", 300.0, 25.0, None)]);
    let put = |build: &mut Build, via: Vec<Via>| {
        let cables = &mut build.scene.arrangements[0].cables;
        cables.get_mut(&cid("c")).expect("the lead").plugs[0].via = via;
    };
    put(&mut build, chosen(&["a"]));
    assert_eq!(ties(&laid(&build, Some(350.0)).cable), chosen(&["a"]));
    // Not asked for any more it goes; where it is not enough, or gone, it is chosen anew.
    assert_eq!(ties(&laid(&build, None).cable), []);
    let mut late = thread(600.0, &[("a", 100.0, 5.0, None), ("b", 300.0, 25.0, None)]);
    put(&mut late, chosen(&["a"]));
    assert_eq!(ties(&laid(&late, Some(350.0)).cable), chosen(&["b"]));
    put(&mut build, vec![Via::Tie("a".to_owned())]);
    let pinned = laid(&build, Some(350.0));
    assert_eq!(ties(&pinned.cable), [Via::Tie("a".to_owned())]);
    assert_long(&pinned, 2.0 * 300f64.hypot(40.0));
}

#[test]
fn nothing_is_led_where_it_does_not_fit_or_no_longer_reaches() {
    // A clamp of less than the thread's 0.1.
    let narrow = thread(600.0, &[("clamp", 300.0, 25.0, Some(0.05))]);
    assert_eq!(ties(&laid(&narrow, Some(350.0)).cable), []);
    // 601 is enough straight on, and by the tie it takes 602.08.
    let mut short = thread(600.0, &[("near", 300.0, 25.0, None)]);
    let case = Arc::clone(&short.scene.enclosure);
    let cables = &mut short.scene.arrangements[0].cables;
    cables.get_mut(&cid("c")).expect("the lead").plugs[0].length = Length::mm(601);
    let found = laid(&short, Some(350.0));
    assert_eq!((ties(&found.cable), case.ties.len()), (vec![], 1));
    assert!(found.reaches());
    // Where ties help and are not enough, the one that helps most is taken.
    let some = thread(
        900.0,
        &[("half", 450.0, 5.0, None), ("early", 200.0, 5.0, None)],
    );
    let found = laid(&some, Some(300.0));
    assert_eq!(ties(&found.cable), chosen(&["early", "half"]));
}
