//! A cable that is too short: what would end it is listed, taken by one click and taken
//! back by undo; without a display (egui_kittest).

use crate::desk;

use closefit::alternatives::Shortfall;
use closefit::app::{Action, App, Tab};
use closefit::model::{CableId, Severity};
use desk::assets;
use eframe::egui::Vec2;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use std::time::{Duration, Instant};

fn window() -> Harness<'static, App> {
    let (catalogue, settings) = assets();
    let path = format!("{}/scenes/pump-lead-short.json", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read(path).expect("an example");
    let scene = closefit::file::read_scene(&text, &catalogue).expect("an example");
    let mut h = Harness::builder()
        .with_size(Vec2::new(1280.0, 720.0))
        .with_max_steps(24)
        .build_eframe(move |_cc| {
            let mut app = App::new(catalogue, settings, scene, None);
            app.native_dialogs = false;
            app.look.tab = Tab::Cables;
            app
        });
    h.run_steps(2);
    h
}

fn short(h: &Harness<'static, App>) -> Shortfall {
    let all = Shortfall::all(h.state().editor.checker(), None);
    let stops = all.into_iter().find(|s| s.severity == Severity::Stop);
    stops.expect("the example has a lead that is too short")
}

/// Steps until the answer is there; no step waits for it.
fn answered(h: &mut Harness<'static, App>) {
    for _ in 0..2400 {
        let at = Instant::now();
        h.run_steps(1);
        assert!(at.elapsed() < Duration::from_secs(5), "a frame waited");
        if !h.state().seeks_alternatives() {
            return;
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    panic!("no answer came");
}

#[test]
fn what_ends_a_shortfall_is_taken_by_a_click_and_taken_back_by_undo() {
    let mut h = window();
    let before = h.state().editor.scene().clone();
    let short = short(&h);
    h.state_mut().editor.select_cable(Some(short.cable.clone()));
    h.run_steps(1);
    answered(&mut h);
    h.run_steps(2);
    assert!(h.query_by_label("What would end it").is_some());
    let (scene, checker) = (before.clone(), h.state().editor.checker().clone());
    let most = closefit::alternatives::MOST_TRIALS;
    let all = closefit::alternatives::find(&scene, &checker, &short, most, &|| false);
    assert!(!all.is_empty());
    h.get_by_label(&all[0].words).click_accesskit();
    h.run_steps(3);
    let id: CableId = short.cable.clone();
    let left = Shortfall::all(h.state().editor.checker(), Some(&id));
    assert!(left.iter().all(|s| s.severity > Severity::Stop), "{left:?}");
    assert_ne!(*h.state().editor.scene(), before);
    Action::Undo.run(h.state_mut());
    assert_eq!(*h.state().editor.scene(), before);
}

#[test]
fn a_finding_in_hand_shows_them_too() {
    let mut h = window();
    h.state_mut().look.details = false;
    h.state_mut().look.tab = Tab::Findings;
    let cable = short(&h).cable;
    let found = h.state().editor.checker().findings();
    let key = found
        .into_iter()
        .find(|f| Shortfall::of(f).is_some_and(|s| s.cable == cable))
        .map(|f| f.key());
    h.state_mut().focus = key;
    h.run_steps(1);
    answered(&mut h);
    h.run_steps(2);
    assert!(h.query_by_label("What would end it").is_some());
}
