//! Full check and one drag step, over scenes built in code.
//!
//! One JSON object a line for each scene: `parts`, `cables`, `findings`,
//! `full_check_us` (median of nine) and `full_check_min_us`, `drag_step_us` and `drag_step_max_us` (an
//! edit, the checker's update and the list of findings, while a part with two
//! leads is dragged through its neighbours), and `ratio` of the median step to
//! that of the 50-part scene. A last line has 50 parts over a floor with a round opening under
//! each fan (`openings`), where the air of a fan is judged by what is open of the plate:
//! `full_check_us` there, and `whole_floor_us` with the same floor without openings.

#[path = "../support/build.rs"]
mod build;

use build::{Build, at_port, block, cable, enclosure, fan, frame, port, square, v, zone};
use closefit::edit::{Edit, apply};
use closefit::geom::{Dir, Length};
use closefit::model::{Cutout, Group, PartId, PartKind, Place, Role, Via};
use serde_json::json;
use std::hint::black_box;
use std::time::Instant;

/// Edge of a place in the grid.
const PITCH: f64 = 150.0;
const STEPS: usize = 200;
const SIZES: [usize; 4] = [20, 50, 200, 1000];

/// A board of many pieces with fan headers.
fn board() -> PartKind {
    let mut kind = block("board", Group::Board, [120.0, 120.0, 30.0]);
    for i in 0..24 {
        let (x, y) = ((i % 6) as f64 * 20.0, (i / 6) as f64 * 30.0);
        let at = closefit::geom::Box3::at(v(x, y, 2.0), v(12.0, 20.0, 12.0 + i as f64 / 2.0));
        kind.body.push(build::solid(closefit::geom::Solid::Box(at)));
    }
    kind.body[0] = build::solid(closefit::geom::Solid::Box(closefit::geom::Box3::at(
        v(0.0, 0.0, 0.0),
        v(120.0, 120.0, 1.6),
    )));
    for i in 0..16 {
        let at = v(4.0 + 7.0 * i as f64, 118.0, 12.0);
        kind.ports
            .push(port(&format!("h{i}"), "fan-4pin", at, "+z", Role::Source));
    }
    kind
}

/// A fan with a second lead, so that two cables hang on the part that is dragged.
fn fan_with_two_leads() -> PartKind {
    let mut kind = fan(120.0, 105.0, 25.0);
    let mut second = kind.ports[0].clone();
    second.id = "lead-2".into();
    second.at = v(120.0, 40.0, 12.5);
    kind.ports.push(second);
    kind.blows = Some(Dir::PosZ);
    kind
}

/// `n` parts in a square grid, each on its own zone: nine fans to a board, every
/// seventh of them out of place so that it clashes with the next.
fn scene(n: usize) -> Build {
    over(n, false)
}

/// The same; with `open`, the floor has a round opening under each fan.
fn over(n: usize, open: bool) -> Build {
    let rows = (n as f64).sqrt().ceil() as usize;
    let edge = rows as f64 * PITCH + 200.0;
    let mut case = enclosure([edge, edge, 200.0]);
    case.plates = vec![
        build::plate("floor", [0.0, 0.0, 0.0], [edge, edge, 1.0]),
        build::plate("lid", [0.0, 0.0, 199.0], [edge, edge, 1.0]),
    ];
    let corner = |i: usize| {
        (
            (i % rows) as f64 * PITCH + 20.0,
            (i / rows) as f64 * PITCH + 20.0,
        )
    };
    for i in (0..n).filter(|i| open && i % 10 != 0) {
        let (x, y) = corner(i);
        case.plates[0].cutouts.push(Cutout::Round {
            centre: v(x + 60.0, y + 60.0, 0.5),
            diameter: Length::mm(110),
        });
    }
    for i in 0..n {
        let (x, y) = corner(i);
        let face = frame(v(x, y, 10.0), "+x", "+y", "+z");
        let mut place = zone(&format!("z{i}"), face, [120.0, 120.0], 60.0, &[Group::Fan]);
        place.holes = square(105.0, [60.0, 60.0], 4.5, None);
        case.zones.push(place);
    }
    let mut build = Build::new(case).gap(None, None, false, 3.0);
    build = build.gap(None, None, true, 1.0);
    let (fan, board) = (fan_with_two_leads(), board());
    let mut header = 0;
    for i in 0..n {
        let (x, y) = corner(i);
        let id = format!("p{i:04}");
        if i % 10 == 0 {
            build = build.with(&id, &board, [x, y, 10.0]);
            header = 0;
            continue;
        }
        let off = if i % 7 == 0 { 35.0 } else { 0.0 };
        build = build.with(&id, &fan, [x + off, y, 10.0]);
        let near = format!("p{:04}", i / 10 * 10);
        for lead in ["lead", "lead-2"]
            .into_iter()
            .take(if i % 10 == 1 { 2 } else { 1 })
        {
            let to = at_port(&near, &format!("h{header}"));
            let via = vec![Via::Point(v(x + 60.0, y + 60.0, 150.0))];
            let run = cable(None, at_port(&id, lead), to, 400.0, via);
            build = build.cable(&format!("c-{id}-{lead}"), run);
            header += 1;
        }
    }
    build
}

fn micros(from: Instant) -> f64 {
    from.elapsed().as_secs_f64() * 1e6
}

fn median(mut times: Vec<f64>) -> (f64, f64) {
    times.sort_by(f64::total_cmp);
    (times[times.len() / 2], times[times.len() - 1])
}

/// Times of the full check.
fn full(build: &Build) -> Vec<f64> {
    let once = |_| {
        let mut checker = build.checker();
        let from = Instant::now();
        checker.check_all(&build.scene);
        black_box(checker.findings().len());
        micros(from)
    };
    (0..9).map(once).collect()
}

/// Drags a fan through its row and back; returns the times of the steps.
fn drag(build: &Build) -> (Vec<f64>, usize) {
    let mut scene = build.scene.clone();
    let mut checker = build.checker();
    checker.check_all(&scene);
    let middle = scene.parts.len() / 2 / 10 * 10 + 1;
    let id = PartId::new(&format!("p{middle:04}")).expect("a sound id");
    let start = scene.arrangement().places[&id];
    let mut findings = 0;
    let mut times = Vec::with_capacity(STEPS);
    for step in 0..STEPS {
        let out = step.min(STEPS - step) as i64;
        let place = Place {
            at: start.at
                + Dir::PosX.times(Length::um(out * 3_700))
                + Dir::PosZ.times(Length::mm(step as i64 % 5)),
            ..start
        };
        let from = Instant::now();
        let touched = apply(&mut scene, &Edit::SetPlace(id.clone(), Some(place))).expect("sound");
        checker.update(&scene, &touched);
        findings = black_box(checker.findings()).len();
        times.push(micros(from));
    }
    (times, findings)
}

#[allow(clippy::print_stdout)]
fn main() {
    let mut base = None;
    for n in SIZES {
        let build = scene(n);
        let full = full(&build);
        let least = full.iter().copied().fold(f64::INFINITY, f64::min);
        let full = (median(full).0, least);
        let mut steps = Vec::new();
        let mut findings = 0;
        // The least of several rounds per step: other work on the machine only adds.
        for round in 0..5 {
            let (times, found) = drag(&build);
            findings = found;
            if round == 0 {
                steps = times;
            } else {
                steps.iter_mut().zip(times).for_each(|(s, t)| *s = s.min(t));
            }
        }
        let (step, worst) = median(steps);
        if n == 50 {
            base = Some(step);
        }
        let line = json!({
            "parts": n,
            "cables": build.scene.arrangement().cables.len(),
            "findings": findings,
            "full_check_us": full.0.round(),
            "full_check_min_us": full.1.round(),
            "drag_step_us": (step * 10.0).round() / 10.0,
            "drag_step_max_us": (worst * 10.0).round() / 10.0,
            "ratio_to_50": base.map(|b| (step / b * 100.0).round() / 100.0),
        });
        println!("{line}");
    }
    let [whole, open] = [false, true].map(|open| over(50, open));
    let line = json!({
        "openings": open.scene.enclosure.plates[0].cutouts.len(),
        "full_check_us": median(full(&open)).0.round(),
        "whole_floor_us": median(full(&whole)).0.round(),
    });
    println!("{line}");
}
