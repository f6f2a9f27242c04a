//! `closefit check`.

use super::{Exit, Said};
use crate::model::{Catalogue, Scene, Settings};
use crate::rules::{Checker, report};
use std::sync::Arc;

/// Checks a scene and reports in text or JSON.
pub fn check(
    scene: &Scene,
    catalogue: Arc<Catalogue>,
    settings: Arc<Settings>,
    json: bool,
) -> Said {
    let mut checker = Checker::new(settings).with_catalogue(catalogue);
    checker.check_all(scene);
    let report = report(scene, &checker);
    let mut out = match json {
        true => format!("{:#}", report.json),
        false => report.text,
    };
    if !out.ends_with('\n') {
        out.push('\n');
    }
    Said {
        out,
        err: String::new(),
        exit: if report.stops > 0 {
            Exit::Stops
        } else {
            Exit::Sound
        },
    }
}
