//! `closefit check`.

use super::{Exit, Said};
use crate::model::{Scene, Settings};
use crate::rules::{Checker, Severity, report};
use std::sync::Arc;

/// Checks a scene and reports in text or JSON.
pub fn check(scene: &Scene, settings: Arc<Settings>, json: bool) -> Said {
    let mut checker = Checker::new(settings);
    checker.check_all(scene);
    let stops = checker
        .findings()
        .into_iter()
        .any(|f| f.severity == Severity::Stop && checker.is_accepted(scene, f).is_none());
    let mut out = match json {
        true => report::json(scene, &checker),
        false => report::text(scene, &checker),
    };
    if !out.ends_with('\n') {
        out.push('\n');
    }
    Said {
        out,
        err: String::new(),
        exit: if stops { Exit::Stops } else { Exit::Sound },
    }
}
