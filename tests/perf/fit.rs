//! Near pairs of scenes in the `peer-scene` format: what `geom::kernel` finds and how fast.
//!
//! `cargo bench --bench fit -- FILE...` prints one JSON object a line: every pair of parts with a
//! gap under 10 mm, `a` before `b` in the order of the file, and three times on one thread, each
//! the median of at least 31 runs, in microseconds:
//!
//! * `build_us`: from the parsed file to placed shapes with their bounds in a `World`;
//! * `full_check_us`: from placed shapes to the list. The columns that find near pairs are laid out
//!   anew inside this time, though the program keeps it between checks;
//! * `move_one_us`: the part with most near pairs is shifted by 1 mm along x, put in its new place
//!   and its pairs listed again; every other run shifts it back.
//!
//! Without a file it runs those in `tests/perf/inputs/fit`. A file that is not such a scene is
//! named on standard error and the exit status is 2.

use std::fs;
use std::hint::black_box;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::{Duration, Instant};

use closefit::geom::kernel::{NearPair, Shape, Vec3, World};
use serde_json::json;

#[path = "fit_scene.rs"]
mod scene;

use scene::Scene;

/// The gap under which pairs are listed, in millimetres.
const NEAR: f64 = 10.0;

/// Runs behind every median, and the time after which no more are made beyond those.
const RUNS: usize = 31;
const ENOUGH: Duration = Duration::from_millis(300);

fn main() -> ExitCode {
    // Cargo adds `--bench` to what the caller gives.
    let mut files: Vec<PathBuf> = std::env::args()
        .skip(1)
        .filter(|a| a != "--bench")
        .map(PathBuf::from)
        .collect();
    if files.is_empty() {
        files = match kept() {
            Ok(files) => files,
            Err(error) => return fail("tests/perf/inputs/fit", &error.to_string()),
        };
    }
    let mut code = ExitCode::SUCCESS;
    for file in files {
        let name = file.display().to_string();
        match Scene::read(&file) {
            Ok(scene) => {
                let line = run(&name, &scene);
                if writeln!(io::stdout(), "{line}").is_err() {
                    return ExitCode::from(2);
                }
            }
            Err(error) => code = fail(&name, &error),
        }
    }
    code
}

fn fail(name: &str, error: &str) -> ExitCode {
    eprintln!("{name}: {error}");
    ExitCode::from(2)
}

fn kept() -> io::Result<Vec<PathBuf>> {
    let folder = Path::new("tests/perf/inputs/fit");
    let mut files: Vec<PathBuf> = fs::read_dir(folder)?
        .map(|entry| entry.map(|e| e.path()))
        .collect::<io::Result<_>>()?;
    files.retain(|f| f.extension().is_some_and(|e| e == "json"));
    files.sort();
    Ok(files)
}

fn run(name: &str, scene: &Scene) -> serde_json::Value {
    let build = median(|| World::build(&scene.shapes(), NEAR));
    let bodies = scene.shapes();
    let mut world = World::build(&bodies, NEAR);
    let full = median(|| {
        world.reindex();
        world.near_pairs()
    });
    let pairs = world.near_pairs();
    let moved = busiest(&pairs).map_or(0.0, |part| {
        let mut at_home = true;
        let aside = Vec3::new(1.0, 0.0, 0.0);
        let mut shapes = bodies[part].clone();
        median(|| {
            let by = if at_home { aside } else { -aside };
            at_home = !at_home;
            shapes = shapes.iter().map(|s: &Shape| s.translated(by)).collect();
            world.set_body(part, &shapes);
            world.neighbours(part)
        })
    });
    let near: Vec<_> = pairs
        .iter()
        .map(|p| {
            json!({
                "a": scene.ids[p.a as usize],
                "b": scene.ids[p.b as usize],
                "gap_mm": p.distance(),
                "overlap": p.is_overlap(),
            })
        })
        .collect();
    json!({
        "input": name,
        "parts": bodies.len(),
        "near": near,
        "build_us": build,
        "full_check_us": full,
        "move_one_us": moved,
    })
}

/// The part with most near pairs, the first of them if there are several.
fn busiest(pairs: &[NearPair]) -> Option<usize> {
    let most = pairs.iter().flat_map(|p| [p.a, p.b]).max()? as usize;
    let mut count = vec![0_usize; most + 1];
    for p in pairs {
        count[p.a as usize] += 1;
        count[p.b as usize] += 1;
    }
    (0..count.len()).rev().max_by_key(|i| count[*i])
}

/// Median time in microseconds, after one run that is not counted.
fn median<T>(mut f: impl FnMut() -> T) -> f64 {
    black_box(f());
    let start = Instant::now();
    let mut times = Vec::new();
    while times.len() < RUNS || (start.elapsed() < ENOUGH && times.len() < 100 * RUNS) {
        let from = Instant::now();
        let made = black_box(f());
        times.push(from.elapsed());
        // Taking the result apart is not part of the work.
        drop(made);
    }
    times.sort_unstable();
    times[times.len() / 2].as_secs_f64() * 1e6
}
