//! Bench of the free-space way finder: `cargo bench --bench route -- FILE...`.
//!
//! A file (`peer-route`) holds the enclosure's `size`, `start`, `goal` and obstacle `boxes` as
//! `[low, high]`, millimetres. One line of JSON a file goes to standard output: the length and the
//! points of the way, and in microseconds, on one thread, the median time to prepare the space
//! (`build_us`) and to find the way in it (`solve_us`). Without a file the kept inputs are run.
//! A file that cannot be read, or has no way, is reported on standard error; the exit code is then 2.

use std::hint::black_box;
use std::io::Write;
use std::path::Path;
use std::process::ExitCode;
use std::time::{Duration, Instant};

use closefit::route::free::{Block, Point, Space, Way};
use serde::Deserialize;
use serde_json::json;

/// Runs of each file: at least, and at most while the time for a file lasts.
const RUNS: std::ops::Range<usize> = 31..1001;
const TIME_PER_FILE: Duration = Duration::from_millis(400);

#[derive(Deserialize)]
struct Scene {
    format: String,
    size: Point,
    start: Point,
    goal: Point,
    boxes: Vec<Block>,
}

fn main() -> ExitCode {
    // Cargo adds `--bench`.
    let mut files: Vec<String> = std::env::args()
        .skip(1)
        .filter(|a| a != "--bench")
        .collect();
    if let Some(flag) = files.iter().find(|f| f.starts_with('-')) {
        eprintln!("unknown option {flag}; usage: cargo bench --bench route -- FILE...");
        return ExitCode::from(2);
    }
    if files.is_empty() {
        match kept_inputs() {
            Ok(kept) => files = kept,
            Err(error) => {
                eprintln!("tests/perf/inputs/route: {error}");
                return ExitCode::from(2);
            }
        }
    }
    let mut code = ExitCode::SUCCESS;
    for file in files {
        match run(&file) {
            Ok(line) => {
                if writeln!(std::io::stdout(), "{line}").is_err() {
                    return ExitCode::from(2);
                }
            }
            Err(error) => {
                eprintln!("{file}: {error}");
                code = ExitCode::from(2);
            }
        }
    }
    code
}

/// The files kept with the bench; cargo runs it in the package's folder.
fn kept_inputs() -> std::io::Result<Vec<String>> {
    let folder = Path::new("tests/perf/inputs/route");
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.extension().is_some_and(|e| e == "json") {
            files.push(path.to_string_lossy().into_owned());
        }
    }
    files.sort();
    Ok(files)
}

fn run(file: &str) -> Result<serde_json::Value, Box<dyn std::error::Error>> {
    let scene: Scene = serde_json::from_slice(&std::fs::read(file)?)?;
    if scene.format != "peer-route" {
        return Err(format!("format is {:?}, not \"peer-route\"", scene.format).into());
    }
    let bounds = [[0.0; 3], scene.size];
    let (mut build, mut solve) = (Vec::new(), Vec::new());
    let mut found: Option<Way> = None;
    let begin = Instant::now();
    while build.len() < RUNS.start || (build.len() < RUNS.end && begin.elapsed() < TIME_PER_FILE) {
        let clock = Instant::now();
        let space = Space::new(black_box(bounds), black_box(&scene.boxes))?;
        build.push(clock.elapsed());
        let clock = Instant::now();
        let way = space.shortest(black_box(scene.start), black_box(scene.goal), &mut || false)?;
        solve.push(clock.elapsed());
        found = Some(black_box(way));
    }
    let way = found.ok_or("no run")?;
    Ok(json!({
        "input": file,
        "length_mm": way.length,
        "points": way.points,
        "build_us": median_us(&mut build),
        "solve_us": median_us(&mut solve),
    }))
}

fn median_us(times: &mut [Duration]) -> f64 {
    times.sort_unstable();
    times[times.len() / 2].as_nanos() as f64 / 1e3
}
