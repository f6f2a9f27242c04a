//! Unsaved work after a window that ended without a word.

use crate::desk::{self, BOX, assets};
use closefit::app::{Action, App};
use closefit::file;
use eframe::egui::Vec2;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

fn window(drafts: &Path) -> Harness<'static, App> {
    let (catalogue, settings) = assets();
    let scene = desk::scene(BOX, &catalogue);
    let drafts = drafts.to_owned();
    let mut h = Harness::builder()
        .with_size(Vec2::new(1280.0, 720.0))
        .with_max_steps(24)
        .build_eframe(move |_cc| {
            let mut app = App::new(catalogue, settings, scene, None);
            app.native_dialogs = false;
            app.with_drafts(Some(drafts))
        });
    h.run_ok();
    h
}

fn copies(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Vec::new();
    };
    entries
        .flatten()
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|e| e == "json"))
        .collect()
}

/// Steps the window until something is so; work runs beside it.
fn wait(h: &mut Harness<'static, App>, so: impl Fn(&App) -> bool) {
    let start = Instant::now();
    while !so(h.state()) {
        assert!(
            start.elapsed() < Duration::from_secs(30),
            "nothing happened"
        );
        std::thread::sleep(Duration::from_millis(5));
        h.step();
    }
}

#[test]
fn work_that_was_never_saved_is_offered_and_taken_up() {
    let folder = std::env::temp_dir().join(format!("closefit-left-{}", std::process::id()));
    _ = std::fs::remove_dir_all(&folder);
    let mut first = window(&folder);
    assert_eq!(
        copies(&folder),
        [] as [PathBuf; 0],
        "nothing is unsaved yet"
    );
    let scene = &mut first.state_mut().editor;
    let at = desk::at(closefit::view::ViewKind::Top, 150, 150, 100);
    desk::drop_part(scene, "fan-120x25", at, true);
    let left = scene.scene().clone();
    let there = folder.clone();
    wait(&mut first, |_| !copies(&there).is_empty());
    // Writing is renaming: what is there is whole.
    let (catalogue, _) = assets();
    assert_eq!(file::open(&copies(&folder)[0], &catalogue).unwrap(), left);
    // The window is gone without asking: as by a kill, its lock goes with it.
    drop(first);

    let mut second = window(&folder);
    second.get_by_label("Unsaved work was left");
    second.get_by_label("Take it up").click();
    second.step();
    wait(&mut second, |app| *app.editor.scene() == left);
    assert!(!second.state().editor.history().is_clean());
    // It is this window's now: a third is not asked.
    let third = window(&folder);
    assert!(third.query_by_label("Unsaved work was left").is_none());
    drop(third);
    // Saving it ends the matter.
    let saved = folder.join("saved.json");
    second.state_mut().path = Some(saved.clone());
    Action::Save.run(second.state_mut());
    second.step();
    wait(&mut second, |app| app.editor.history().is_clean());
    second.step();
    assert_eq!(copies(&folder), [saved]);
    std::fs::remove_dir_all(&folder).unwrap();
}
