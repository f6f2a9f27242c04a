//! Times the exact arrangement search on files of the `peer-arrange` format.
//!
//! `cargo bench --bench arrange -- [FILE...] [--time SECONDS] [--threads N]` prints one JSON
//! object a file. Times run from the parsed instance, model building included.

use std::process::ExitCode;
use std::time::{Duration, Instant};

use closefit::search::exact::{Options, Outcome, Problem, ProblemError, Status, solve};
use serde::Deserialize;
use serde_json::json;

/// Largest coordinate, length or weight accepted.
const LARGEST: i64 = 1_000_000_000;

#[derive(Deserialize)]
struct Instance {
    format: String,
    version: u32,
    clearance: i64,
    parts: Vec<Part>,
    cables: Vec<Cable>,
}

#[derive(Deserialize)]
struct Part {
    candidates: Vec<Candidate>,
}

#[derive(Deserialize)]
struct Candidate {
    lo: [i64; 3],
    size: [i64; 3],
    port: [i64; 3],
}

#[derive(Deserialize)]
struct Cable {
    a: usize,
    b: usize,
    weight: i64,
    max: i64,
}

impl Instance {
    fn read(path: &str) -> Result<Self, String> {
        let text = std::fs::read(path).map_err(|e| format!("{path}: {e}"))?;
        let read: Self = serde_json::from_slice(&text).map_err(|e| format!("{path}: {e}"))?;
        read.check().map_err(|e| format!("{path}: {e}"))?;
        Ok(read)
    }

    fn check(&self) -> Result<(), String> {
        if self.format != "peer-arrange" || self.version != 1 {
            return Err("not a peer-arrange file of version 1".to_owned());
        }
        let n = self.parts.len();
        if let Some(c) = self.cables.iter().find(|c| c.a >= n || c.b >= n) {
            return Err(format!("a cable joins parts {} and {} of {n}", c.a, c.b));
        }
        let places = self.parts.iter().flat_map(|p| &p.candidates);
        let own = places.flat_map(|c| c.lo.iter().chain(&c.size).chain(&c.port));
        let limits = self.cables.iter().flat_map(|c| [&c.weight, &c.max]);
        let mut all = own.chain(limits).chain([&self.clearance]);
        match all.find(|v| v.unsigned_abs() > LARGEST.unsigned_abs()) {
            Some(v) => Err(format!("{v} is too large")),
            None if self.cables.iter().any(|c| c.weight < 0) => Err("a weight is negative".into()),
            None => Ok(()),
        }
    }

    fn problem(&self) -> Result<Problem, ProblemError> {
        let mut problem = Problem::new();
        for part in &self.parts {
            problem.add_part(part.candidates.len())?;
        }
        for c in &self.cables {
            let (a, b) = (&self.parts[c.a].candidates, &self.parts[c.b].candidates);
            problem.add_pair_cost(c.a, c.b, None, |i, j| {
                let length = a[i].cable_length(&b[j]);
                (length <= c.max).then(|| (c.weight * length).unsigned_abs())
            })?;
        }
        // After the costs: candidates that no cable reaches need not be looked at.
        for (b, part) in self.parts.iter().enumerate() {
            for (a, other) in self.parts[..b].iter().enumerate() {
                problem.add_clash(a, b, None, |i, j| {
                    other.candidates[i].clashes(&part.candidates[j], self.clearance)
                })?;
            }
        }
        Ok(problem)
    }
}

impl Candidate {
    /// Whether two boxes keep the clearance along no axis.
    fn clashes(&self, other: &Self, clearance: i64) -> bool {
        (0..3).all(|k| {
            self.lo[k] < other.lo[k] + other.size[k] + clearance
                && other.lo[k] < self.lo[k] + self.size[k] + clearance
        })
    }

    fn cable_length(&self, other: &Self) -> i64 {
        (0..3).map(|k| (self.port[k] - other.port[k]).abs()).sum()
    }
}

struct Arguments {
    files: Vec<String>,
    time: Duration,
    threads: usize,
}

impl Arguments {
    fn read(mut words: impl Iterator<Item = String>) -> Result<Self, String> {
        let mut read = Self {
            files: Vec::new(),
            time: Duration::from_secs(60),
            threads: 1,
        };
        while let Some(word) = words.next() {
            let mut value = || words.next().ok_or(format!("{word} needs a value"));
            match word.as_str() {
                "--bench" => {}
                "--time" => {
                    let text = value()?;
                    let seconds = text.parse().map_err(|_| format!("bad time {text}"))?;
                    read.time = Duration::try_from_secs_f64(seconds)
                        .map_err(|_| format!("bad time {text}"))?;
                }
                "--threads" => {
                    let text = value()?;
                    read.threads = (text.parse().ok())
                        .filter(|n| (1..=256).contains(n))
                        .ok_or(format!("bad number of threads {text}"))?;
                }
                _ if word.starts_with("--") => return Err(format!("unknown option {word}")),
                _ => read.files.push(word),
            }
        }
        if read.files.is_empty() {
            read.files = kept_inputs()?;
        }
        Ok(read)
    }
}

/// The inputs kept with the bench, by name.
fn kept_inputs() -> Result<Vec<String>, String> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/perf/inputs/arrange");
    let entries = std::fs::read_dir(folder).map_err(|e| format!("{folder}: {e}"))?;
    let mut files: Vec<String> = (entries.flatten())
        .map(|e| e.path().to_string_lossy().into_owned())
        .filter(|p| p.ends_with(".json"))
        .collect();
    files.sort();
    Ok(files)
}

/// Most memory the process has had so far, where the system tells.
fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"))?;
    let kb: f64 = line.split_whitespace().next()?.parse().ok()?;
    Some(kb / 1024.0)
}

#[allow(clippy::print_stdout, reason = "a bench answers on standard output")]
fn answer(path: &str, arguments: &Arguments) -> Result<(), String> {
    let instance = Instance::read(path)?;
    let start = Instant::now();
    let problem = instance.problem().map_err(|e| format!("{path}: {e}"))?;
    let build = start.elapsed();
    let options = Options {
        time_limit: Some(arguments.time.saturating_sub(build)),
        threads: arguments.threads,
        ..Options::default()
    };
    let outcome: Outcome = solve(&problem, &options);
    let total = start.elapsed();
    if let Some(choice) = &outcome.choice
        && problem.cost_of(choice) != outcome.cost
    {
        return Err(format!(
            "{path}: the arrangement found does not cost what it should"
        ));
    }
    let build_us = build.as_micros() as u64;
    let status = match outcome.status {
        Status::Optimal => "optimal",
        Status::Feasible => "feasible",
        Status::Infeasible => "infeasible",
        Status::Unknown => "unknown",
    };
    let line = json!({
        "input": path,
        "status": status,
        "cost": outcome.cost,
        "bound": outcome.bound,
        "choice": outcome.choice,
        "first_us": outcome.first_us.map(|t| t + build_us),
        "best_us": outcome.best_us.map(|t| t + build_us),
        "total_us": total.as_micros() as u64,
        "peak_mb": peak_mb(),
        "threads": arguments.threads,
    });
    println!("{line}");
    Ok(())
}

fn main() -> ExitCode {
    let done = Arguments::read(std::env::args().skip(1)).and_then(|arguments| {
        let mut files = arguments.files.iter();
        files.try_for_each(|path| answer(path, &arguments))
    });
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("{message}");
            ExitCode::from(2)
        }
    }
}
