//! Times the search over scenes: ten or more movable parts in the largest example enclosure.
//!
//! `cargo bench --bench search` prints one JSON object for each case: how many parts move,
//! how many places they have, time to the first sound arrangement and to the end (medians,
//! one thread, tables included), how it ended, and the most memory that the process has had
//! so far. Aims: first in 0.3 s, proof in 10 s, 500 MB.

use closefit::edit::{Edit, apply};
use closefit::file;
use closefit::model::{Catalogue, PartId, Scene, Settings};
use closefit::rules::Checker;
use closefit::search::scene::{End, News, Run, Wish, few, seek};
use serde_json::json;
use std::collections::BTreeSet;
use std::sync::{Arc, Mutex};
use std::time::Instant;

const REPEATS: usize = 5;

/// Parts of nodes of the test field, by the first letters of their ids.
fn of(scene: &Scene, starts: &[&str]) -> BTreeSet<PartId> {
    let ids = scene.parts.keys();
    ids.filter(|id| starts.iter().any(|s| id.as_str().starts_with(s)))
        .cloned()
        .collect()
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2].round()
}

fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"))?;
    let kb: f64 = line.split_whitespace().next()?.parse().ok()?;
    Some(kb / 1024.0)
}

#[allow(clippy::print_stdout, reason = "a bench answers on standard output")]
fn main() {
    let catalogue: Arc<Catalogue> = Arc::new(file::assets::catalogue().expect("sound assets"));
    let settings: Arc<Settings> = Arc::new(file::assets::settings().expect("sound assets"));
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/scenes/test-field.json");
    let text = std::fs::read(path).expect("the example is there");
    let scene = file::read_scene(&text, &catalogue).expect("a sound example");
    let mut checker = Checker::new(settings.clone()).with_catalogue(catalogue.clone());
    checker.check_all(&scene);
    let chosen = few(&scene, &checker).expect("it has many parts").parts;
    let mut half = scene.clone();
    for id in of(&scene, &["c", "d", "e", "f", "g"]) {
        apply(&mut half, &Edit::RemovePart(id)).expect("it is there");
    }
    let fans = ["a1-fan", "a2-fan", "a3-fan", "a4-fan", "b1-fan"];
    let drives = ["a1-drive", "a2-drive", "a3-drive", "a4-drive", "b1-drive"];
    let cases = [
        ("those chosen where nobody says", &scene, chosen),
        ("a whole node", &scene, of(&scene, &["a1-"])),
        ("ten drives", &scene, of(&scene, &drives)),
        ("ten fans", &scene, of(&scene, &fans)),
        ("ten fans, half the field free", &half, of(&scene, &fans)),
        ("two whole nodes", &scene, of(&scene, &["a1-", "a2-"])),
    ];
    for (name, scene, moving) in cases {
        let mut wish = Wish::of(scene).only(moving);
        wish.top = 1;
        let (mut first, mut total) = (Vec::new(), Vec::new());
        let mut last = None;
        for _ in 0..REPEATS {
            let from = Instant::now();
            let found: Mutex<Option<f64>> = Mutex::default();
            let told = |news: News| {
                if let (News::Found(..), Ok(mut found)) = (news, found.lock()) {
                    found.get_or_insert(from.elapsed().as_secs_f64() * 1e6);
                }
            };
            let run = Run {
                told: Some(&told),
                ..Run::default()
            };
            let answer = seek(scene, &wish, &settings, &catalogue, &run);
            total.push(from.elapsed().as_secs_f64() * 1e6);
            first.extend(found.into_inner().ok().flatten());
            last = Some(answer);
        }
        let answer = last.expect("it ran at least once");
        let line = json!({
            "case": name,
            "parts": scene.parts.len(),
            "moving": wish.movable.len(),
            "places": answer.places,
            "first_us": (!first.is_empty()).then(|| median(first)),
            "total_us": median(total),
            "proved": answer.end == End::Proved,
            "points": answer.found.first().map(|f| f.points),
            "peak_mb": peak_mb(),
        });
        println!("{line}");
    }
}
