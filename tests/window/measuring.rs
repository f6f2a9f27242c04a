//! Measuring by clicks and drags, and the read-out while a part is held.

use crate::desk;

use closefit::editor::Editor;
use closefit::editor::tool::{Event, Target};
use closefit::geom::{Dir, Length, Vec3};
use closefit::model::PartId;
use closefit::placement::Thing;
use closefit::view::ViewKind::Top;
use desk::*;

/// Two drives on the floor, their facing sides 20.4 mm apart along x.
fn two_drives() -> (Editor, PartId, PartId) {
    let mut e = desk();
    let a = drop_part(&mut e, "drive-25x7", at(Top, 60, 100, 0), true);
    let b = drop_part(&mut e, "drive-25x7", at(Top, 60, 100, 0), true);
    let first = e.scene().placed(&a).expect("placed").1.at;
    let width = e.scene().parts[&a].kind.size.x;
    let mut place = *e.scene().placed(&b).expect("placed").1;
    place.at = first + Vec3::new(width + Length::um(20_400), Length::ZERO, Length::ZERO);
    let edit = closefit::edit::Edit::SetPlace(b.clone(), Some(place));
    e.apply("move", &[edit]).expect("a sound edit");
    (e, a, b)
}

fn click(e: &mut Editor, target: Target) {
    let pointer = at(Top, 60, 100, 0);
    e.handle(Event::Press {
        pointer,
        target,
        add: false,
    });
    e.handle(Event::Release);
}

fn words(e: &Editor) -> String {
    e.measuring().expect("on").hint()
}

#[test]
fn two_clicks_give_the_gap_in_space_and_change_nothing() {
    let (mut e, a, b) = two_drives();
    let before = e.scene().clone();
    e.toggle_measuring();
    click(&mut e, Target::Part(a.clone()));
    assert!(words(&e).contains("second part"), "{}", words(&e));
    click(&mut e, Target::Part(b));
    assert!(
        words(&e).contains("20.40 mm apart (x 20.40, y 0.00, z 0.00)"),
        "{}",
        words(&e)
    );
    let measured = e.measuring().and_then(|m| m.result.clone());
    assert_eq!(
        measured.map(|m| m.figure().to_owned()).as_deref(),
        Some("20.40")
    );
    // The same one twice is said to be so; bare sheet as well.
    click(&mut e, Target::Part(a.clone()));
    click(&mut e, Target::Part(a));
    assert!(words(&e).contains("one and the same"), "{}", words(&e));
    assert_eq!(*e.scene(), before);
    assert!(e.history().undo_label().is_none_or(|l| l != "measure"));
}

#[test]
fn a_drag_measures_from_corner_to_corner_in_space_and_else_in_the_view() {
    let (mut e, a, b) = two_drives();
    let corner = |e: &Editor, id: &PartId| e.scene().placed(id).expect("placed").1.at;
    let (from, to) = (corner(&e, &a), corner(&e, &b));
    e.toggle_measuring();
    let drag = |e: &mut Editor, from: Vec3, to: Vec3| {
        let pointer = |p: Vec3| closefit::editor::snap::Pointer {
            view: Top,
            at: p.with(closefit::geom::Axis::Z, Length::ZERO),
            near: Length::mm(2),
        };
        e.handle(Event::Press {
            pointer: pointer(from),
            target: Target::Sheet,
            add: false,
        });
        e.handle(Event::Move {
            pointer: pointer(to),
            target: Target::Sheet,
            free: false,
        });
        e.handle(Event::Release);
    };
    drag(&mut e, from, to);
    let width = e.scene().parts[&a].kind.size.x + Length::um(20_400);
    assert!(
        words(&e).contains(&format!(": {} mm", width.text2())),
        "{}",
        words(&e)
    );
    assert!(words(&e).contains("z 0.00"), "{}", words(&e));
    // 3, 4, 5 over the bare sheet: no depth is known, so none is claimed.
    drag(&mut e, Vec3::mm(200, 200, 0), Vec3::mm(230, 240, 0));
    assert!(
        words(&e).contains("50.00 mm (x 30.00, y 40.00), as seen in the top view"),
        "{}",
        words(&e)
    );
}

#[test]
fn escape_lets_go_step_by_step() {
    let (mut e, a, _) = two_drives();
    e.toggle_measuring();
    click(&mut e, Target::Part(a));
    e.handle(Event::Cancel);
    assert!(e.measuring().is_some_and(|m| m.first.is_none()));
    e.handle(Event::Cancel);
    assert!(e.measuring().is_none());
}

#[test]
fn a_wall_seen_edge_on_can_be_measured_to() {
    let (mut e, a, _) = two_drives();
    let y = e.scene().placed(&a).expect("placed").1.at.y;
    let plates = e.checker().placed().plates();
    let wall = plates
        .iter()
        .find(|p| p.bounds.min().y == Length::ZERO && p.bounds.max().y < Length::mm(10))
        .expect("the front wall");
    let (inner, name) = (wall.bounds.max().y, wall.name.clone());
    e.toggle_measuring();
    click(&mut e, Target::Part(a));
    let on_wall = closefit::editor::snap::Pointer {
        view: Top,
        at: Vec3::new(Length::mm(100), inner.half(), Length::ZERO),
        near: Length::mm(1),
    };
    e.handle(Event::Press {
        pointer: on_wall,
        target: Target::Sheet,
        add: false,
    });
    e.handle(Event::Release);
    let expected = format!("{name}: {} mm apart", (y - inner).text2());
    assert!(words(&e).contains(&expected), "{} / {expected}", words(&e));
}

#[test]
fn a_held_part_reads_its_neighbours_on_six_sides() {
    let (mut e, a, b) = two_drives();
    assert!(e.held_sides().is_none());
    let place = *e.scene().placed(&a).expect("placed").1;
    let middle = place.outline(&e.scene().parts[&a].kind).centre();
    let grip = |view, by: i64| closefit::editor::snap::Pointer {
        view,
        at: closefit::editor::snap::in_plane(view, middle) + Vec3::mm(by, 0, 0),
        near: Length::mm(2),
    };
    e.handle(Event::Press {
        pointer: grip(Top, 0),
        target: Target::Part(a.clone()),
        add: false,
    });
    e.handle(moved(grip(Top, -3), true));
    let sides = e.held_sides().expect("held");
    let right = sides
        .iter()
        .flatten()
        .find(|s| s.dir == Dir::PosX)
        .expect("a neighbour");
    assert_eq!(right.to_what, Thing::Part(b));
    assert_eq!(right.distance, Length::um(23_400));
    let down = sides
        .iter()
        .flatten()
        .find(|s| s.dir == Dir::NegZ)
        .expect("the floor");
    assert_eq!(down.distance, Length::ZERO);
    e.handle(Event::Cancel);
    assert!(e.held_sides().is_none());
}
