//! `closefit check`.

use super::{Exit, Said};
use crate::alternatives::{self, Alternative, MOST_TRIALS, Shortfall};
use crate::model::{Catalogue, Scene, Settings};
use crate::rules::{Checker, report};
use serde_json::Value;
use std::collections::BTreeMap;
use std::sync::Arc;

/// So many alternatives are tried for all shortfalls of a scene together.
const MOST_IN_ALL: usize = 240;

/// Checks a scene and reports in text or JSON. The JSON lists with each cable that is
/// too short what would end that, and what it costs elsewhere.
pub fn check(
    scene: &Scene,
    catalogue: Arc<Catalogue>,
    settings: Arc<Settings>,
    json: bool,
) -> Said {
    let mut checker = Checker::new(settings).with_catalogue(catalogue);
    checker.check_all(scene);
    let mut report = report(scene, &checker);
    let mut out = match json {
        true => {
            let found = found(scene, &checker);
            for list in ["findings", "accepted"] {
                add(&mut report.json[list], &found);
            }
            format!("{:#}", report.json)
        }
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

/// Alternatives by key of the finding. Shortfalls for which no trial was left are not
/// listed.
fn found(scene: &Scene, checker: &Checker) -> BTreeMap<String, Vec<Alternative>> {
    let mut all = BTreeMap::new();
    let mut left = MOST_IN_ALL;
    for finding in checker.findings() {
        let Some(short) = Shortfall::of(finding).filter(|_| left > 0) else {
            continue;
        };
        let most = left.min(MOST_TRIALS);
        left -= most;
        let found = alternatives::find(scene, checker, &short, most, &|| false);
        all.insert(finding.key(), found);
    }
    all
}

fn add(findings: &mut Value, found: &BTreeMap<String, Vec<Alternative>>) {
    for entry in findings.as_array_mut().into_iter().flatten() {
        let key = entry["key"].as_str().unwrap_or_default();
        if let Some(found) = found.get(key) {
            entry["alternatives"] = alternatives::json(found);
        }
    }
}
