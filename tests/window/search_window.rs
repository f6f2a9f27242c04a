//! The search panel used with mouse and keys, without a display (egui_kittest).

use crate::desk;

use closefit::app::{Action, App, Tab};
use desk::assets;
use eframe::egui::{Role, Vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;

fn window(name: &str) -> Harness<'static, App> {
    let (catalogue, settings) = assets();
    let path = format!("{}/scenes/{name}.json", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read(path).expect("an example");
    let scene = closefit::file::read_scene(&text, &catalogue).expect("an example");
    let mut h = Harness::builder()
        .with_size(Vec2::new(1280.0, 720.0))
        .with_max_steps(24)
        .build_eframe(move |_cc| {
            let mut app = App::new(catalogue, settings, scene, None);
            app.native_dialogs = false;
            app.look.tab = Tab::Search;
            app
        });
    h.run_steps(2);
    h
}

/// Lets the window run until a label is there.
fn wait_for(h: &mut Harness<'static, App>, label: &str) {
    for _ in 0..2400 {
        h.run_steps(1);
        if h.query_by_label(label).is_some() {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    panic!("'{label}' never came");
}

#[test]
fn a_search_is_started_watched_taken_over_and_undone() {
    let mut h = window("rack-shallow");
    let before = h.state().editor.scene().clone();
    h.get_by_label("None").click();
    h.run_steps(2);
    let drive = "M.2 drive 2280, parts on both sides";
    h.get_by_role_and_label(Role::CheckBox, drive)
        .scroll_to_me();
    h.run_steps(4);
    h.get_by_role_and_label(Role::CheckBox, drive).click();
    h.run_steps(2);
    h.get_by_label("Start search").click();
    wait_for(&mut h, "Add found 1");
    wait_for(&mut h, "Start search");
    assert!(h.query_by_label("at hand").is_some());
    // What stands there is shown as that, and is not offered as a new arrangement.
    assert!(h.query_by_label("as it stands").is_some());
    h.get_by_label("Add found 1").scroll_to_me();
    h.run_steps(4);
    h.get_by_label("Add found 1").click();
    h.run_steps(3);
    // The row of what the search started from says that the sheet shows another one now.
    assert!(h.query_by_label("at hand").is_none());
    assert!(h.query_by_label("started from").is_some());
    assert!(h.query_by_label("as it stood").is_some());
    assert!(h.query_by_label("on the sheet").is_some());
    let after = h.state().editor.scene();
    assert_eq!(after.arrangements.len(), before.arrangements.len() + 1);
    assert_eq!(after.current, before.arrangements.len());
    Action::Undo.run(h.state_mut());
    assert_eq!(*h.state().editor.scene(), before);
    h.run_steps(2);
    assert!(h.query_by_label("at hand").is_some());
    assert!(h.query_by_label("on the sheet").is_none());
}

#[test]
fn a_search_can_be_cancelled() {
    let mut h = window("cube-microatx");
    h.get_by_label("Start search").click();
    wait_for(&mut h, "Cancel search");
    h.get_by_label("Cancel search").click();
    wait_for(&mut h, "Start search");
}

#[test]
fn a_question_is_asked_from_the_menu_and_its_answer_carried_out() {
    let mut h = window("channel-short");
    let before = h.state().editor.scene().clone();
    h.get_by_label("Ask").click();
    h.run_steps(3);
    h.get_by_label("Thickest radiator?").click();
    wait_for(&mut h, "Carry it out");
    h.get_by_label("Carry it out").click();
    h.run_steps(3);
    let after = h.state().editor.scene();
    let radiator = closefit::model::PartId::new("radiator").expect("an id");
    assert_ne!(
        after.parts[&radiator].kind.id,
        before.parts[&radiator].kind.id
    );
    Action::Undo.run(h.state_mut());
    assert_eq!(*h.state().editor.scene(), before);
}
