//! Parts of different kinds in different arrangements.

use crate::build::{Build, block, pid};
use crate::edit::Edit;
use crate::model::{Arrangement, Group};
use std::sync::Arc;

fn kind(id: &str) -> crate::model::PartKind {
    block(id, Group::Radiator, [240.0, 120.0, 27.0])
}

/// A radiator, with a second arrangement that is a copy of the first.
fn two() -> Build {
    let mut b = Build::open().with("rad", &kind("short"), [0.0, 0.0, 0.0]);
    let copy = Arrangement {
        name: "second".into(),
        ..b.scene.arrangement().clone()
    };
    b.edit(Edit::AddArrangement(copy));
    b
}

fn names(b: &Build) -> [String; 2] {
    [0, 1].map(|i| {
        let kind = b.scene.kind_in(i, &pid("rad")).expect("it is there");
        kind.id.to_string()
    })
}

#[test]
fn a_swap_stays_in_its_arrangement() {
    let mut b = two();
    b.edit(Edit::SetKind(pid("rad"), Arc::new(kind("long"))));
    assert_eq!(names(&b), ["short", "long"]);
    assert_eq!(b.scene.parts[&pid("rad")].kind.id.as_str(), "long");
    b.edit(Edit::Choose(0));
    assert_eq!(b.scene.parts[&pid("rad")].kind.id.as_str(), "short");
    assert_eq!(b.scene.parts[&pid("rad")].name, "short");
    let other = b.scene.showing(1).expect("it is there");
    assert_eq!(other.parts[&pid("rad")].name, "long");
    assert_eq!(b.scene.showing(2), None);
    assert_eq!(b.scene.kinds_used().count(), 2);
}

#[test]
fn of_one_kind_throughout_nothing_is_written_down() {
    let mut b = two();
    let before = b.scene.clone();
    b.edit(Edit::SetKind(pid("rad"), Arc::new(kind("long"))));
    assert!(b.scene.arrangements.iter().all(|a| a.kinds.len() == 1));
    b.edit(Edit::SetKind(pid("rad"), Arc::new(kind("short"))));
    assert_eq!(b.scene, before);
    b.edit(Edit::SetKind(pid("rad"), Arc::new(kind("long"))));
    b.edit(Edit::RemoveArrangement(0));
    assert!(b.scene.arrangement().kinds.is_empty());
    assert_eq!(b.scene.parts[&pid("rad")].kind.id.as_str(), "long");
}

#[test]
fn a_new_arrangement_takes_the_kinds_at_hand_and_removal_leaves_nothing() {
    let mut b = two();
    b.edit(Edit::SetKind(pid("rad"), Arc::new(kind("long"))));
    b.edit(Edit::AddArrangement(Arrangement {
        name: "third".into(),
        ..Arrangement::default()
    }));
    let third = b.scene.kind_in(2, &pid("rad")).expect("it is there");
    assert_eq!(third.id.as_str(), "long");
    b.edit(Edit::MoveArrangement(2, 0));
    assert_eq!(
        (b.scene.current, names(&b)),
        (0, ["long", "short"].map(String::from))
    );
    b.edit(Edit::RemovePart(pid("rad")));
    assert!(b.scene.arrangements.iter().all(|a| a.kinds.is_empty()));
}
