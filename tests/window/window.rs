//! The window used with mouse and keys, without a display (egui_kittest).

use crate::desk;

use closefit::app::{Action, App, Dialog, Purpose};
use closefit::editor::tool::Tool;
use closefit::geom::Length;
use closefit::model::PartId;
use desk::{BOX, assets, scene};
use eframe::egui::{Key, Modifiers, Pos2, Role, Vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;

const SIZE: Vec2 = Vec2::new(1280.0, 720.0);

fn window(text: &str) -> Harness<'static, App> {
    let (catalogue, settings) = assets();
    let scene = scene(text, &catalogue);
    let mut h = Harness::builder()
        .with_size(SIZE)
        .with_max_steps(24)
        .build_eframe(move |_cc| {
            let mut app = App::new(catalogue, settings, scene, None);
            app.native_dialogs = false;
            app
        });
    h.run();
    h
}

/// A box with two drives that stand apart.
fn two_drives() -> String {
    BOX.replace(
        r#""arrangements": [{"name": "first"}]"#,
        r#""parts": [{"id": "a", "kind": "drive-35x26", "name": "first drive"},
                   {"id": "b", "kind": "drive-35x26", "name": "second drive"}],
        "arrangements": [{"name": "first", "places": [
           {"part": "a", "at": [20, 100, 2]}, {"part": "b", "at": [160, 100, 2]}]}]"#,
    )
}

fn id(text: &str) -> PartId {
    PartId::new(text).expect("an id")
}

fn x_of(h: &Harness<'static, App>, part: &str) -> Length {
    h.state()
        .editor
        .scene()
        .placed(&id(part))
        .expect("placed")
        .1
        .at
        .x
}

fn drag(h: &mut Harness<'static, App>, from: Pos2, to: Pos2) {
    h.hover_at(from);
    h.run();
    h.drag_at(from);
    h.run();
    for i in 1..=4 {
        h.hover_at(from + (to - from) * (i as f32 / 4.0));
        h.run();
    }
    h.drop_at(to);
    h.run();
}

fn stops(h: &Harness<'static, App>) -> usize {
    desk::keys(&h.state().editor)
        .iter()
        .filter(|k| k.starts_with("clash:"))
        .count()
}

#[test]
fn an_empty_enclosure_says_what_to_do_next() {
    let h = window(BOX);
    // The hint is painted; the list says the same in words that can be found.
    h.get_by_label("Nothing to judge yet: drag a part from the shelf onto a view.");
    h.get_by_label("The enclosure is empty. Drag a part from the shelf onto a view.");
}

#[test]
fn what_is_let_go_beside_the_views_is_put_back() {
    let mut h = window(&two_drives());
    let from = h.get_by_label("second drive, top view").rect().center();
    let before = x_of(&h, "b");
    // Over the details, and out of the window.
    for to in [Pos2::new(1200.0, 300.0), Pos2::new(-300.0, -200.0)] {
        drag(&mut h, from, to);
        assert_eq!(x_of(&h, "b"), before);
        assert!(h.state().editor.history().is_clean(), "nothing was done");
        h.get_by_label("Put back: it was let go beside the views.");
    }
    // From the shelf the same; a click on the shelf still takes a part in hand.
    h.get_by_role_and_label(Role::TextInput, "Search the shelf")
        .click();
    h.run();
    h.get_by_role_and_label(Role::TextInput, "Search the shelf")
        .type_text("fan, 120 mm, 25 thick");
    h.run();
    let name = "fan, 120 mm, 25 thick (120 x 120 x 25)";
    let from = h.get_by_label(name).rect().center();
    drag(&mut h, from, Pos2::new(1200.0, 300.0));
    assert!(matches!(h.state().editor.tool(), Tool::Idle));
    h.get_by_label(name).click();
    h.run();
    assert!(matches!(h.state().editor.tool(), Tool::Placing(_)));
}

#[test]
fn dragging_a_part_into_another_lists_the_clash_and_undo_takes_it_back() {
    let mut h = window(&two_drives());
    assert_eq!(stops(&h), 0);
    let from = h.get_by_label("second drive, top view").rect().center();
    let to = h.get_by_label("first drive, top view").rect().center();
    let before = x_of(&h, "b");
    drag(&mut h, from, to);
    assert_ne!(x_of(&h, "b"), before);
    assert_eq!(stops(&h), 1);
    assert!(h.query_all_by_label_contains("overlap by").count() >= 1);
    h.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    h.run();
    assert_eq!(x_of(&h, "b"), before);
    assert_eq!(stops(&h), 0);
    h.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    h.run();
    assert_eq!(stops(&h), 1);
}

#[test]
fn escape_during_a_drag_puts_the_part_back() {
    let mut h = window(&two_drives());
    let from = h
        .get_by_label("second drive, side view from the left")
        .rect()
        .center();
    let before = h.state().editor.scene().clone();
    h.hover_at(from);
    h.run();
    h.drag_at(from);
    h.run();
    h.hover_at(from - Vec2::new(60.0, 50.0));
    h.run();
    assert_ne!(*h.state().editor.scene(), before);
    h.key_press(Key::Escape);
    h.run();
    assert_eq!(*h.state().editor.scene(), before);
    assert!(h.state().editor.history().is_clean());
}

#[test]
fn a_part_dragged_from_the_shelf_lands_on_its_holes() {
    let mut h = window(BOX);
    h.get_by_role_and_label(Role::TextInput, "Search the shelf")
        .click();
    h.run();
    h.get_by_role_and_label(Role::TextInput, "Search the shelf")
        .type_text("fan, 120 mm, 25 thick");
    h.run();
    let from = h
        .get_by_label("fan, 120 mm, 25 thick (120 x 120 x 25)")
        .rect()
        .center();
    // The middle of the front view is the middle of the enclosure: x 150, z 100.
    let to = h
        .get_by_role_and_label(Role::Canvas, "front view")
        .rect()
        .center();
    drag(&mut h, from, to);
    let editor = &h.state().editor;
    let part = editor.selection().only().expect("placed and selected");
    assert_eq!(editor.checker().placed().holds(part)[0].matched, 4);
    assert!(
        editor
            .history()
            .undo_label()
            .is_some_and(|l| l.starts_with("add fan"))
    );
}

#[test]
fn keys_turn_nudge_and_remove() {
    let mut h = window(&two_drives());
    h.get_by_label("first drive, top view").click();
    h.run();
    assert_eq!(h.state().editor.selection().only(), Some(&id("a")));
    let x = x_of(&h, "a");
    h.key_press(Key::ArrowUp);
    h.run();
    assert_eq!(x_of(&h, "a"), x + Length::mm(1));
    h.key_press_modifiers(Modifiers::SHIFT, Key::ArrowUp);
    h.run();
    assert_eq!(x_of(&h, "a"), x + Length::mm(11));
    h.key_press_modifiers(Modifiers::COMMAND, Key::ArrowDown);
    h.run();
    assert_eq!(x_of(&h, "a"), x + Length::um(10_900));
    let turn = h
        .state()
        .editor
        .scene()
        .placed(&id("a"))
        .expect("placed")
        .1
        .turn;
    h.key_press(Key::Z);
    h.run();
    assert_ne!(
        h.state()
            .editor
            .scene()
            .placed(&id("a"))
            .expect("placed")
            .1
            .turn,
        turn
    );
    h.key_press_modifiers(Modifiers::SHIFT, Key::Z);
    h.run();
    assert_eq!(
        h.state()
            .editor
            .scene()
            .placed(&id("a"))
            .expect("placed")
            .1
            .turn,
        turn
    );
    h.key_press(Key::Delete);
    h.run();
    assert_eq!(h.state().editor.scene().parts.len(), 1);
}

#[test]
fn keys_typed_into_a_field_do_not_move_parts() {
    let mut h = window(&two_drives());
    h.get_by_label("first drive, top view").click();
    h.run();
    let x = x_of(&h, "a");
    h.get_by_role_and_label(Role::TextInput, "Name").click();
    h.run();
    h.get_by_role_and_label(Role::TextInput, "Name")
        .type_text("xyz");
    h.key_press(Key::ArrowUp);
    h.run();
    assert_eq!(x_of(&h, "a"), x);
    assert!(
        h.state().editor.scene().parts[&id("a")]
            .name
            .contains("xyz")
    );
}

#[test]
fn a_typed_coordinate_moves_the_part() {
    let mut h = window(&two_drives());
    h.get_by_label("first drive, top view").click();
    h.run();
    h.get_by_role_and_label(Role::SpinButton, "x, to the right")
        .click();
    h.run();
    h.key_press_modifiers(Modifiers::COMMAND, Key::A);
    h.run();
    h.event(eframe::egui::Event::Text("33.3".to_owned()));
    h.run();
    h.key_press(Key::Enter);
    h.run();
    assert_eq!(x_of(&h, "a"), Length::um(33_300));
    assert_eq!(h.state().editor.history().undo_label(), Some("move"));
}

#[test]
fn a_finding_is_chosen_accepted_with_a_reason_and_reopened() {
    let mut h = window(&two_drives());
    let open = desk::keys(&h.state().editor).len();
    assert!(open > 0, "no screw holds the drives");
    h.get_all_by_label("Accept…")
        .next()
        .expect("a finding")
        .click();
    h.run();
    assert!(matches!(h.state().dialog, Some(Dialog::Reason { .. })));
    h.get_by_role_and_label(Role::TextInput, "Reason, saved with the scene:")
        .type_text("held by tape on the test bench");
    h.run();
    h.get_by_label("Accept").click();
    h.run();
    assert_eq!(desk::keys(&h.state().editor).len(), open - 1);
    let accepted = &h.state().editor.scene().arrangement().accepted;
    assert!(accepted.values().any(|r| r.reason.contains("tape")));
}

#[test]
fn paper_for_the_bench_is_chosen_and_written() {
    let mut h = window(&two_drives());
    h.state_mut().ask_paper();
    h.run();
    h.get_by_label("Drill and cut template").click();
    h.run();
    h.get_by_label("DXF").click();
    h.run();
    h.get_by_label("List").click();
    h.run();
    h.get_by_label("Choose a file…").click();
    h.run();
    let Some(Dialog::Path(Purpose::Paper, path)) = &h.state().dialog else {
        panic!("a path is asked for");
    };
    assert!(path.ends_with("-parts.csv"), "{path}");
    let folder = std::env::temp_dir().join(format!("closefit-paper-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let file = folder.join("parts.csv");
    h.state_mut().dialog = Some(Dialog::Path(Purpose::Paper, file.display().to_string()));
    h.run();
    h.get_by_label("Write").click();
    for _ in 0..200 {
        h.step();
        if file.exists() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(20));
    }
    let text = std::fs::read_to_string(&file).expect("the list was written");
    assert_eq!(
        text.lines().count(),
        3,
        "two drives under the heads: {text}"
    );
    std::fs::remove_dir_all(&folder).expect("the folder goes");
}

#[test]
fn closing_with_changes_asks_first() {
    let mut h = window(&two_drives());
    h.get_by_label("first drive, top view").click();
    h.run();
    h.key_press(Key::ArrowUp);
    h.run();
    h.key_press_modifiers(Modifiers::COMMAND, Key::Q);
    h.run();
    assert!(matches!(h.state().dialog, Some(Dialog::Unsaved(_))));
    h.get_by_label("Stay").click();
    h.run();
    assert!(h.state().dialog.is_none());
}

#[test]
fn saving_without_a_dialog_service_offers_a_path_field_and_the_file_reads_back() {
    let folder = std::env::temp_dir().join(format!("closefit-window-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let path = folder.join("saved.json");
    let mut h = window(&two_drives());
    h.get_by_label("first drive, top view").click();
    h.run();
    h.key_press(Key::ArrowUp);
    h.run();
    h.key_press_modifiers(Modifiers::COMMAND, Key::S);
    h.run();
    assert!(matches!(
        h.state().dialog,
        Some(Dialog::Path(Purpose::Save, _))
    ));
    h.state_mut().dialog = Some(Dialog::Path(Purpose::Save, path.display().to_string()));
    h.run();
    h.get_by_label("Write").click();
    for _ in 0..100 {
        h.run_steps(1);
        if path.exists() && h.state().editor.history().is_clean() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
    let (catalogue, _) = assets();
    let read = closefit::file::open(&path, &catalogue).expect("it reads back");
    assert_eq!(read, *h.state().editor.scene());
    assert!(h.state().editor.history().is_clean());
    std::fs::remove_dir_all(&folder).expect("cleaned up");
}

#[test]
fn every_action_runs_in_both_themes_without_harm() {
    for dark in [false, true] {
        let mut h = window(&two_drives());
        h.state_mut().look.dark = dark;
        h.run();
        for action in Action::ALL {
            if matches!(action, Action::Quit) {
                continue;
            }
            let app = h.state_mut();
            app.editor.select_all();
            action.run(app);
            h.run_steps(3);
            h.state_mut().dialog = None;
            h.run_steps(2);
        }
    }
}

#[test]
fn views_share_the_depth_axis() {
    let h = window(&two_drives());
    for name in ["first drive", "second drive"] {
        let top = h.get_by_label(&format!("{name}, top view")).rect();
        let side = h
            .get_by_label(&format!("{name}, side view from the left"))
            .rect();
        assert!((top.left() - side.left()).abs() < 0.5);
        assert!((top.right() - side.right()).abs() < 0.5);
    }
}
