//! Ways that cables find by themselves, as the window has them found.

use crate::build::{Build, at_port, block, cable, cid, l, pid, port, v};
use closefit::editor::Editor;
use closefit::editor::snap::Pointer;
use closefit::editor::tool::{Event, Grip, Target};
use closefit::editor::ways::Task;
use closefit::geom::Vec3;
use closefit::model::{Cable, Group, Place, Role, Via};
use closefit::view::ViewKind;
use std::sync::Arc;

/// A lead along x past a block that stands in its way.
fn editor() -> Editor {
    let mut host = block("host", Group::Board, [10.0, 10.0, 10.0]);
    host.ports = vec![port("p", "host", v(10.0, 5.0, 5.0), "+x", Role::Source)];
    let mut drive = block("drive", Group::Drive, [10.0, 10.0, 10.0]);
    drive.ports = vec![port("p", "drive", v(0.0, 5.0, 5.0), "-x", Role::Sink)];
    let wall = block("wall", Group::Other, [20.0, 60.0, 200.0]);
    let lead = cable(
        Some("data"),
        at_port("host", "p"),
        at_port("drive", "p"),
        450.0,
        vec![],
    );
    let build = Build::open()
        .with("host", &host, [100.0, 100.0, 100.0])
        .with("drive", &drive, [410.0, 100.0, 100.0])
        .with("wall", &wall, [250.0, 80.0, 0.0])
        .cable("c", lead);
    let mut editor = Editor::new(
        Arc::new(build.catalogue.clone()),
        Arc::new(build.settings.clone()),
        build.scene.clone(),
    );
    editor.snapping.zones = false;
    editor
}

fn lead(e: &Editor) -> Cable {
    e.scene().arrangement().cables[&cid("c")].clone()
}

fn steps(e: &Editor) -> usize {
    e.history().labels().count()
}

fn blocked(e: &Editor) -> bool {
    e.checker()
        .findings()
        .iter()
        .any(|f| f.rule == "way-blocked")
}

/// Finds the ways at once that the window would find on a thread.
fn find(e: &mut Editor, task: Task) -> bool {
    let ids: Vec<_> = match task {
        Task::Keep => e.stale_ways().iter().cloned().collect(),
        _ => vec![cid("c")],
    };
    let job = e.way_job(task, ids).expect("a cable");
    let found = job.run(&|| false);
    e.take_ways(&job, found).is_some()
}

fn at(p: Vec3) -> Pointer {
    Pointer {
        at: p,
        view: ViewKind::Top,
        near: l(2.0),
    }
}

fn drag_to(e: &mut Editor, to: Vec3) {
    e.handle(Event::Move {
        pointer: at(to),
        target: Target::Sheet,
        free: true,
    });
}

#[test]
fn a_way_that_was_asked_for_is_one_step() {
    let mut e = editor();
    assert!(blocked(&e));
    let before = e.scene().clone();
    assert!(find(&mut e, Task::Find));
    assert!(!blocked(&e) && lead(&e).finds && lead(&e).has_corners());
    assert_eq!(
        (steps(&e), e.history().undo_label()),
        (1, Some("find its way"))
    );
    e.undo();
    assert_eq!(*e.scene(), before);
    // What is asked for without a change is no step.
    e.redo();
    assert!(find(&mut e, Task::Find));
    assert_eq!(steps(&e), 1);
    assert!(e.straighten(&cid("c")));
    assert!(!lead(&e).finds && !lead(&e).has_corners() && blocked(&e));
}

#[test]
fn while_a_part_is_dragged_the_way_is_straight_then_laid_and_all_is_one_step() {
    let mut e = editor();
    assert!(find(&mut e, Task::Find));
    let before = e.scene().clone();
    e.handle(Event::Press {
        pointer: at(v(415.0, 105.0, 0.0)),
        target: Target::Part(pid("drive")),
        add: false,
    });
    drag_to(&mut e, v(430.0, 125.0, 0.0));
    // At once the straight one, whatever stands there.
    assert!(!lead(&e).has_corners() && lead(&e).finds);
    let early = e
        .way_job(Task::Keep, e.stale_ways().clone())
        .expect("stale");
    drag_to(&mut e, v(435.0, 145.0, 0.0));
    // What was found for the place before is dropped.
    let found = early.run(&|| false);
    assert_eq!(e.take_ways(&early, found), None);
    assert!(!e.stale_ways().is_empty());
    assert!(find(&mut e, Task::Keep));
    assert!(lead(&e).has_corners() && !blocked(&e) && e.history().is_open());
    drag_to(&mut e, v(440.0, 150.0, 0.0));
    e.handle(Event::Release);
    assert!(!lead(&e).has_corners());
    let state = e.history().state();
    assert!(find(&mut e, Task::Keep));
    assert!(lead(&e).has_corners() && !blocked(&e));
    assert!(e.stale_ways().is_empty());
    // In the same step, and unsaved again.
    assert_eq!((steps(&e), e.history().undo_label()), (2, Some("move")));
    assert_ne!(e.history().state(), state);
    e.undo();
    assert_eq!(*e.scene(), before);
}

#[test]
fn a_part_that_is_put_into_the_way_has_it_laid_anew() {
    let mut e = editor();
    assert!(find(&mut e, Task::Find));
    // In the middle of the way, where there is room to go round.
    let via = lead(&e).plugs[0].via.clone();
    let Some(Via::Corner(corner)) = via.get(via.len() / 2).cloned() else {
        panic!("it has corners: {via:?}");
    };
    let post = block("post", Group::Other, [10.0; 3]);
    let id = e.add_part(&Arc::new(post), Some(Place::at(corner - v(5.0, 5.0, 5.0))));
    assert!(blocked(&e), "{id:?}");
    assert!(e.stale_ways().contains(&cid("c")));
    assert!(find(&mut e, Task::Keep));
    assert!(!blocked(&e));
}

#[test]
fn the_next_best_way_is_longer_and_the_last_one_is_followed_by_the_first() {
    let mut e = editor();
    assert!(find(&mut e, Task::Next));
    let needed = |e: &Editor| e.checker().runs()[&cid("c")].needed;
    let first = needed(&e);
    assert!(find(&mut e, Task::Next));
    assert!(needed(&e) > first + l(1.0) && !lead(&e).finds && !blocked(&e));
    for _ in 0..10 {
        let before = needed(&e);
        assert!(find(&mut e, Task::Next));
        if needed(&e) <= before {
            assert!((needed(&e) - first).max(first - needed(&e)) <= l(0.01));
            return;
        }
    }
    panic!("it never comes back to the first");
}

#[test]
fn a_refusal_is_told_and_changes_nothing() {
    let mut e = editor();
    let cage = block("cage", Group::Other, [60.0, 60.0, 60.0]);
    // All around the free end of the lead but for its straight part.
    e.add_part(&Arc::new(cage), Some(Place::at(v(350.0, 75.0, 75.0))));
    let before = e.scene().clone();
    let job = e.way_job(Task::Find, [cid("c")]).expect("a cable");
    let found = job.run(&|| false);
    let taken = e.take_ways(&job, found).expect("the scene is the same");
    assert_eq!((taken.laid, taken.not.len()), (0, 1));
    assert_eq!(*e.scene(), before);
}

/// The grip of the selected lead's way at this position of the list, and its place.
fn grip(e: &Editor, index: usize) -> (Grip, Vec3) {
    e.grips()[index].clone()
}

fn press(e: &mut Editor, grip: &(Grip, Vec3)) {
    e.handle(Event::Press {
        pointer: at(grip.1),
        target: Target::Grip(grip.0.clone()),
        add: false,
    });
}

#[test]
fn a_corner_is_put_in_dragged_pinned_and_taken_out_each_as_one_step() {
    let mut e = editor();
    e.select_cable(Some(cid("c")));
    // One leg, so one middle.
    assert_eq!(e.grips().len(), 1);
    let middle = grip(&e, 0);
    press(&mut e, &middle);
    drag_to(&mut e, middle.1 + v(0.0, 100.4, 0.0));
    drag_to(&mut e, middle.1 + v(0.0, 120.4, 0.0));
    e.handle(Event::Release);
    let corner = |e: &Editor| lead(e).plugs[0].via.clone();
    // To the grid along y, as it was along x and z.
    let there = Vec3::new(middle.1.x, l(225.0), middle.1.z);
    assert_eq!(corner(&e), [Via::Corner(there)]);
    assert_eq!(
        (steps(&e), e.history().undo_label()),
        (1, Some("add corner"))
    );

    let all = e.grips();
    assert_eq!(all.len(), 3);
    let at_corner = all
        .into_iter()
        .find(|(g, _)| matches!(g, Grip::Corner(_)))
        .expect("a corner");
    press(&mut e, &at_corner);
    drag_to(&mut e, at_corner.1 + v(10.0, 0.0, 0.0));
    e.handle(Event::Cancel);
    assert_eq!((steps(&e), corner(&e)), (1, vec![Via::Corner(there)]));
    press(&mut e, &at_corner);
    drag_to(&mut e, at_corner.1 + v(10.0, 0.0, 0.0));
    e.handle(Event::Release);
    assert_eq!(steps(&e), 2);

    let chosen = e.chosen_corner().cloned().expect("the one dragged");
    assert!(e.pin_corner(&chosen));
    assert!(matches!(corner(&e)[0], Via::Point(_)));
    assert!(e.pin_corner(&chosen));
    assert!(matches!(corner(&e)[0], Via::Corner(_)));
    // Delete takes the corner, and only then the cable.
    assert!(e.delete());
    assert_eq!(corner(&e), []);
    assert!(e.scene().arrangement().cables.contains_key(&cid("c")));
    for _ in 0..5 {
        e.undo();
    }
    assert!(!lead(&e).has_corners() && steps(&e) == 0);
}

#[test]
fn a_way_that_was_led_by_hand_is_not_laid_anew() {
    let mut e = editor();
    e.select_cable(Some(cid("c")));
    assert!(find(&mut e, Task::Find));
    let first = grip(&e, 0);
    press(&mut e, &first);
    // A click without a drag changes nothing, and chooses the corner.
    e.handle(Event::Release);
    assert!(lead(&e).finds && e.chosen_corner().is_some());
    press(&mut e, &first);
    drag_to(&mut e, first.1 + v(0.0, 7.0, 0.0));
    e.handle(Event::Release);
    assert!(!lead(&e).finds && e.stale_ways().is_empty());
    // With another thing chosen, Delete takes that.
    e.select([pid("wall")]);
    assert_eq!(e.chosen_corner(), None);
}
