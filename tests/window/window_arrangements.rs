//! Arrangements in the window: branched, switched, compared, differences taken back,
//! without a display (egui_kittest).

use crate::desk;

use closefit::app::{Action, App, Dialog, Purpose, Tab};
use closefit::geom::{Length, Vec3};
use closefit::model::PartId;
use desk::{BOX, assets, scene};
use eframe::egui::{Key, Vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use std::time::{Duration, Instant};

fn window() -> Harness<'static, App> {
    let text = BOX.replace(
        r#""arrangements": [{"name": "first"}]"#,
        r#""parts": [{"id": "a", "kind": "drive-35x26", "name": "first drive"},
                   {"id": "fan", "kind": "fan-120x25"}],
        "arrangements": [{"name": "first", "places": [{"part": "a", "at": [20, 100, 2]}]}]"#,
    );
    let (catalogue, settings) = assets();
    let scene = scene(&text, &catalogue);
    let mut h = Harness::builder()
        .with_size(Vec2::new(1280.0, 720.0))
        .with_max_steps(24)
        .build_eframe(move |_cc| {
            let mut app = App::new(catalogue, settings, scene, None);
            app.native_dialogs = false;
            app
        });
    h.run();
    h
}

fn act(h: &mut Harness<'static, App>, action: Action) {
    action.run(h.state_mut());
    h.run();
}

/// Runs until a label is there: arrangements are measured beside the window.
fn wait_for(h: &mut Harness<'static, App>, label: &str) {
    let end = Instant::now() + Duration::from_secs(60);
    while h.query_all_by_label_contains(label).next().is_none() {
        assert!(Instant::now() < end, "'{label}' did not come");
        std::thread::sleep(Duration::from_millis(20));
        h.run();
    }
}

fn names(h: &Harness<'static, App>) -> Vec<String> {
    let all = &h.state().editor.scene().arrangements;
    all.iter().map(|a| a.name.clone()).collect()
}

fn id(text: &str) -> PartId {
    PartId::new(text).expect("an id")
}

#[test]
fn branch_switch_rename_and_remove_by_card_and_key() {
    let mut h = window();
    h.key_press(Key::F9);
    h.run();
    assert_eq!(h.state().look.tab, Tab::Arrangements);
    h.get_by_label("arrangement first");
    h.get_by_label("Branch").click();
    h.run();
    assert_eq!(names(&h), ["first", "first 2"]);
    assert_eq!(h.state().editor.scene().current, 1);
    h.get_by_label("arrangement first").click();
    h.run();
    assert_eq!(h.state().editor.scene().current, 0);
    h.key_press(Key::Period);
    h.run();
    assert_eq!(h.state().editor.scene().current, 1);
    act(&mut h, Action::RenameArrangement);
    let Some(Dialog::Rename(1, name)) = &mut h.state_mut().dialog else {
        panic!("a question");
    };
    *name = "tight".to_owned();
    h.run();
    h.get_by_label("Rename").click();
    h.run();
    assert_eq!(names(&h), ["first", "tight"]);
    act(&mut h, Action::RemoveArrangement);
    assert_eq!(names(&h), ["first"]);
    assert!(!Action::RemoveArrangement.enabled(h.state()));
    act(&mut h, Action::Undo);
    assert_eq!(names(&h), ["first", "tight"]);
}

#[test]
fn a_move_is_listed_against_the_base_and_taken_back() {
    let mut h = window();
    act(&mut h, Action::Branch);
    act(&mut h, Action::Arrangements);
    h.state_mut().editor.select([id("a")]);
    h.state_mut().editor.move_by(Vec3::mm(12, 0, 0));
    h.run();
    h.get_by_label("Choose a base to see what differs from it.");
    h.get_by_label("arrangement first").click_secondary();
    h.run();
    h.get_by_label("Measure against it").click();
    h.run();
    h.get_by_label("first drive: moved 12.0 mm to the right");
    h.get_by_label("Take first drive from the base").click();
    h.run();
    h.get_by_label("Nothing differs from the base.");
    let x = h.state().editor.scene().placed(&id("a")).unwrap().1.at.x;
    assert_eq!(x, Length::mm(20));
}

#[test]
fn the_table_shows_every_arrangement_and_is_written() {
    let mut h = window();
    act(&mut h, Action::Branch);
    // Into the floor: a stop in the second arrangement only.
    h.state_mut().editor.select([id("a")]);
    h.state_mut().editor.move_by(Vec3::mm(0, 0, -1));
    act(&mut h, Action::Comparison);
    wait_for(&mut h, "Smallest gap");
    h.get_by_label("show arrangement first 2");
    h.get_by_label("measure against first").click();
    h.run();
    assert!(h.query_all_by_label_contains("(+1 !)").count() >= 1);
    let order = |h: &Harness<'static, App>| {
        let x = |name: &str| h.get_by_label(name).rect().left();
        x("show arrangement first") < x("show arrangement first 2")
    };
    assert!(order(&h));
    h.get_by_label("Stops").click();
    h.run();
    assert!(order(&h));
    h.get_by_label("Stops  ▲").click();
    h.run();
    assert!(!order(&h), "the most stops first");
    let path = std::env::temp_dir().join(format!("closefit-table-{}.csv", std::process::id()));
    h.get_by_label("Export table…").click();
    h.run();
    let Some(Dialog::Path(Purpose::Table, text)) = &mut h.state_mut().dialog else {
        panic!("a path");
    };
    *text = path.display().to_string();
    h.run();
    h.key_press(Key::Enter);
    let end = Instant::now() + Duration::from_secs(30);
    while !path.exists() && Instant::now() < end {
        std::thread::sleep(Duration::from_millis(20));
        h.run();
    }
    let csv = std::fs::read_to_string(&path).expect("it is written");
    std::fs::remove_file(&path).expect("it was there");
    assert!(csv.starts_with("arrangement,base,stop,"), "{csv}");
    assert_eq!(csv.lines().count(), 3);
}
