//! Laying the cables of the examples along free ways, on one core.
//!
//! One JSON object a line for each example: `cables` that were laid and that were not,
//! `all_ms` (all of them one after another, the least of three rounds), `median_ms` and
//! `worst_ms` of a single cable, `straight_ms` (the same with every cable unpinned first,
//! so that each has to be searched for), and how many of those were not laid.

use closefit::file;
use closefit::model::{Cable, CableId, Scene};
use closefit::placement::Placed;
use closefit::route::ways::{Desk, NotLaid, Wish, lay, lay_all};
use closefit::rules::Checker;
use serde_json::json;
use std::sync::Arc;
use std::time::Instant;

fn ms(from: Instant) -> f64 {
    from.elapsed().as_secs_f64() * 1e3
}

fn round(x: f64) -> f64 {
    (x * 100.0).round() / 100.0
}

/// All cables without anything that they are led along.
fn unpinned(scene: &Scene) -> Scene {
    let mut scene = scene.clone();
    for (id, cable) in scene.arrangement().cables.clone() {
        let mut cable = cable;
        for plug in &mut cable.plugs {
            plug.via.clear();
        }
        let edit = closefit::edit::Edit::SetCable(id, Some(cable));
        closefit::edit::apply(&mut scene, &edit).expect("a sound edit");
    }
    scene
}

#[allow(clippy::print_stdout)]
fn main() {
    let catalogue = Arc::new(file::assets::catalogue().expect("sound assets"));
    let settings = Arc::new(file::assets::settings().expect("sound assets"));
    for example in file::examples() {
        let scene = file::read_scene(example.text.as_bytes(), &catalogue).expect("it reads");
        // As the window asks for them.
        let wish = |cable: &Cable| Wish {
            hangs: settings.may_hang(cable),
            ..Wish::default()
        };
        let look = |scene: &Scene| {
            let mut checker = Checker::new(settings.clone()).with_catalogue(catalogue.clone());
            checker.check_all(scene);
            let placed = Placed::build(scene);
            let ids: Vec<CableId> = scene.arrangement().cables.keys().cloned().collect();
            let mut least = f64::INFINITY;
            let mut laid = 0;
            for _ in 0..3 {
                let from = Instant::now();
                let all = lay_all(
                    scene,
                    &placed,
                    &catalogue,
                    checker.runs(),
                    &ids,
                    Some(&settings),
                    &|| false,
                );
                least = least.min(ms(from));
                laid = all.iter().filter(|o| o.1.is_ok()).count();
            }
            let hoses = |id: &&CableId| {
                let desk = Desk {
                    scene,
                    placed: &placed,
                    catalogue: &catalogue,
                    runs: checker.runs(),
                };
                let cable = &scene.arrangement().cables[*id];
                !matches!(
                    lay(&desk, id, cable, &wish(cable), &|| false),
                    Err(NotLaid::Hose)
                )
            };
            let cables = ids.iter().filter(hoses).count();
            let mut single: Vec<f64> = ids
                .iter()
                .map(|id| {
                    let desk = Desk {
                        scene,
                        placed: &placed,
                        catalogue: &catalogue,
                        runs: checker.runs(),
                    };
                    let cable = &scene.arrangement().cables[id];
                    let from = Instant::now();
                    let _ = lay(&desk, id, cable, &wish(cable), &|| false);
                    ms(from)
                })
                .collect();
            single.sort_by(f64::total_cmp);
            (least, laid, cables, single)
        };
        let (all, laid, cables, single) = look(&scene);
        let (straight, straight_laid, _, worst) = look(&unpinned(&scene));
        println!(
            "{}",
            json!({
                "example": example.file,
                "parts": scene.parts.len(),
                "cables": cables,
                "not_laid": cables - laid,
                "all_ms": round(all),
                "median_ms": round(single[single.len() / 2]),
                "worst_ms": round(single[single.len() - 1]),
                "straight_ms": round(straight),
                "straight_median_ms": round(worst[worst.len() / 2]),
                "straight_worst_ms": round(worst[worst.len() - 1]),
                "straight_not_laid": cables.saturating_sub(straight_laid),
            })
        );
    }
}
