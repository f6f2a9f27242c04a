//! Scenes from files, checked with the built-in catalogue and figures.
#![allow(dead_code)] // each test binary uses its own share

use closefit::file;
use closefit::geom::Length;
use closefit::model::{Catalogue, Scene, Settings};
use closefit::rules::{Checker, Finding};
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

pub fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

pub fn catalogue() -> &'static Arc<Catalogue> {
    static ONCE: OnceLock<Arc<Catalogue>> = OnceLock::new();
    ONCE.get_or_init(|| Arc::new(file::assets::catalogue().unwrap_or_else(|e| panic!("{e}"))))
}

pub fn settings() -> &'static Arc<Settings> {
    static ONCE: OnceLock<Arc<Settings>> = OnceLock::new();
    ONCE.get_or_init(|| Arc::new(file::assets::settings().unwrap_or_else(|e| panic!("{e}"))))
}

pub fn open(path: &Path) -> Scene {
    file::open(path, catalogue()).unwrap_or_else(|e| panic!("{e}"))
}

pub fn read(name: &str, text: &str) -> Scene {
    file::read_scene(text.as_bytes(), catalogue()).unwrap_or_else(|e| panic!("{name}: {e}"))
}

pub fn check(scene: &Scene) -> Checker {
    let mut checker = Checker::new(settings().clone()).with_catalogue(catalogue().clone());
    checker.check_all(scene);
    checker
}

/// Keys of findings, in the order they are shown.
pub fn keys<'a>(findings: impl IntoIterator<Item = &'a Finding>) -> Vec<String> {
    findings.into_iter().map(Finding::key).collect()
}

pub fn mm(length: f64) -> Option<Length> {
    Length::from_mm(length)
}
