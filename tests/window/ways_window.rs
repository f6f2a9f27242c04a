//! Ways that cables find, in the window: asked for, kept while things move, led by hand;
//! without a display (egui_kittest).

use crate::desk;

use closefit::app::{Action, App, Tab};
use closefit::model::{Cable, CableId, Via};
use desk::assets;
use eframe::egui::{self, Vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use std::time::{Duration, Instant};

/// The storage box, some of whose leads were laid by the program.
fn window() -> Harness<'static, App> {
    let (catalogue, settings) = assets();
    let path = format!("{}/scenes/storage-box.json", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read(path).expect("an example");
    let scene = closefit::file::read_scene(&text, &catalogue).expect("an example");
    let mut h = Harness::builder()
        .with_size(Vec2::new(1280.0, 800.0))
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

fn id() -> CableId {
    CableId::new("drive-power-low").expect("an id")
}

fn lead(h: &Harness<'static, App>) -> Cable {
    h.state().editor.scene().arrangement().cables[&id()].clone()
}

fn corners(h: &Harness<'static, App>) -> Vec<Via> {
    let plugs = lead(h).plugs;
    let all = plugs.into_iter().flat_map(|p| p.via);
    all.filter(|v| !v.is_pinned()).collect()
}

/// Steps until nothing is looked for any more; no step waits for it.
fn found(h: &mut Harness<'static, App>) {
    for _ in 0..2400 {
        let at = Instant::now();
        h.run_steps(1);
        assert!(at.elapsed() < Duration::from_secs(5), "a frame waited");
        let app = h.state();
        if !app.finds_ways() && app.editor.stale_ways().is_empty() {
            return;
        }
        std::thread::sleep(Duration::from_millis(20));
    }
    panic!("no way came");
}

#[test]
fn a_cable_goes_back_to_straight_and_finds_its_way_again() {
    let mut h = window();
    let before = h.state().editor.scene().clone();
    h.state_mut().editor.select_cable(Some(id()));
    h.run_steps(1);
    assert!(!corners(&h).is_empty());
    h.get_by_label("Back to straight").click_accesskit();
    h.run_steps(2);
    assert!(corners(&h).is_empty() && !lead(&h).finds);
    h.get_by_label("Find its way").click_accesskit();
    h.run_steps(1);
    found(&mut h);
    assert!(!corners(&h).is_empty() && lead(&h).finds);
    assert_eq!(
        h.state().editor.history().undo_label(),
        Some("find its way")
    );
    Action::Undo.run(h.state_mut());
    Action::Undo.run(h.state_mut());
    assert_eq!(*h.state().editor.scene(), before);
}

#[test]
fn what_moves_a_port_has_its_lead_laid_anew_in_the_same_step() {
    let mut h = window();
    let before = h.state().editor.scene().clone();
    let was = corners(&h);
    let supply = lead(&h).from.part;
    h.state_mut().editor.select([supply]);
    let up = closefit::geom::Dir::PosZ;
    assert!(
        h.state_mut()
            .editor
            .nudge(up, closefit::geom::Length::mm(2))
    );
    h.run_steps(1);
    found(&mut h);
    assert_ne!(corners(&h), was);
    Action::Undo.run(h.state_mut());
    h.run_steps(1);
    found(&mut h);
    assert_eq!(*h.state().editor.scene(), before);
    Action::Redo.run(h.state_mut());
    h.run_steps(1);
    found(&mut h);
    assert_ne!(corners(&h), was);
}

#[test]
fn a_scene_that_is_replaced_while_ways_are_found_takes_none() {
    let mut h = window();
    Action::FindAllWays.run(h.state_mut());
    assert!(h.state().finds_ways());
    let enclosure = h.state().editor.scene().enclosure.clone();
    let empty = closefit::model::Scene::new("empty", enclosure);
    h.state_mut().editor.replace(empty.clone());
    h.run_steps(1);
    found(&mut h);
    assert_eq!(*h.state().editor.scene(), empty);
}

#[test]
fn a_corner_that_was_chosen_is_taken_out_with_delete() {
    let mut h = window();
    h.state_mut().editor.select_cable(Some(id()));
    h.run_steps(2);
    let count = corners(&h).len();
    let grips = h.state().editor.grips();
    assert!(grips.len() > count, "middles as well");
    let corner = grips.iter().find_map(|(g, _)| match g {
        closefit::editor::tool::Grip::Corner(c) => Some(c.clone()),
        closefit::editor::tool::Grip::Middle(_) => None,
    });
    h.state_mut()
        .editor
        .choose_corner(corner.expect("a corner"));
    h.key_press(egui::Key::Delete);
    h.run_steps(2);
    assert_eq!(corners(&h).len(), count - 1);
    assert!(
        h.state()
            .editor
            .scene()
            .arrangement()
            .cables
            .contains_key(&id())
    );
}
