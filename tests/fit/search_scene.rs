//! The search over scenes: against trying all places with the full checker, on the examples,
//! and from the command line.

use crate::search_desk::{Desk, id, ids, places};
use closefit::cli;
use closefit::edit::{self, Edit};
use closefit::file;
use closefit::model::{CableId, PartId, Place, Scene, System};
use closefit::route::ways::lay_all;
use closefit::rules::{Checker, Severity, Subject};
use closefit::search::scene::{Aim, End, News, Run, Weights, Wish, choices, seek};
use std::collections::BTreeSet;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

fn cables_only() -> Weights {
    Weights::none().with(Aim::CableLength, 1)
}

/// The shortest sum of cable lengths, each counted in whole millimetres, over all
/// combinations of places that the checker finds no stop in.
fn by_trying_all(desk: &Desk, scene: &Scene, moving: &BTreeSet<PartId>) -> Option<i64> {
    let parts: Vec<&PartId> = moving.iter().collect();
    let choices: Vec<Vec<Place>> = parts.iter().map(|p| places(scene, moving, p)).collect();
    let mut best = None;
    let mut at = vec![0; parts.len()];
    let mut scene = scene.clone();
    let mut checker = desk.checked(&scene);
    loop {
        for (k, part) in parts.iter().enumerate() {
            let edit = Edit::SetPlace((*part).clone(), Some(choices[k][at[k]]));
            let touched = edit::apply(&mut scene, &edit).unwrap();
            checker.update(&scene, &touched);
        }
        let sound = |checker: &Checker| {
            let findings = checker.findings();
            findings.iter().all(|f| f.severity != Severity::Stop)
        };
        let checker = match sound(&checker) {
            true => desk.checked(&led(desk, &scene, &checker)),
            false => checker.clone(),
        };
        if sound(&checker) {
            let runs = checker.runs().values().flat_map(|r| &r.stretches);
            let of_moving =
                runs.filter(|s| moving.contains(&s.from.part) || moving.contains(&s.to.part));
            let sum: i64 = of_moving.map(|s| s.needed.as_um() / 1000).sum();
            best = Some(best.map_or(sum, |b: i64| b.min(sum)));
        }
        let mut k = 0;
        loop {
            if k == parts.len() {
                return best;
            }
            at[k] += 1;
            if at[k] < choices[k].len() {
                break;
            }
            at[k] = 0;
            k += 1;
        }
    }
}

/// The scene with each cable that runs through something led on a way of its own.
fn led(desk: &Desk, scene: &Scene, checker: &Checker) -> Scene {
    let ways = checker.findings().into_iter();
    let ways = ways.filter(|f| f.wants_way());
    let ids: BTreeSet<CableId> = ways
        .filter_map(|f| match f.subjects.first() {
            Some(Subject::Cable(id)) => Some(id.clone()),
            _ => None,
        })
        .filter(|id| scene.arrangement().cables[id].system != System::Liquid)
        .collect();
    let ids: Vec<CableId> = ids.into_iter().collect();
    let (placed, runs) = (checker.placed(), checker.runs());
    let mut scene = scene.clone();
    for (id, laid) in lay_all(
        &scene.clone(),
        placed,
        &desk.catalogue,
        runs,
        &ids,
        None,
        &|| false,
    ) {
        if let Ok(laid) = laid {
            edit::apply(&mut scene, &Edit::SetCable(id, Some(laid.cable))).unwrap();
        }
    }
    scene
}

fn best_of(desk: &Desk, scene: &Scene, moving: &BTreeSet<PartId>) -> Option<i64> {
    let mut wish = Wish::of(scene).only(moving.iter().cloned());
    wish.weights = cables_only();
    wish.keep_air = false;
    wish.top = 1;
    let answer = seek(
        scene,
        &wish,
        &desk.settings,
        &desk.catalogue,
        &Run::default(),
    );
    match answer.found.first() {
        Some(found) => {
            assert!(found.proved, "{}", answer.words());
            Some((found.points * 10.0).round() as i64)
        }
        None => {
            assert!(
                matches!(answer.end, End::Impossible(_)),
                "{}",
                answer.words()
            );
            None
        }
    }
}

#[test]
fn the_best_is_what_trying_all_places_gives() {
    let desk = Desk::new();
    for (name, moving) in [
        ("cube-microatx", ids(&["drive", "fan-rear"])),
        ("cube-microatx", ids(&["drive-25-1", "drive-25-2"])),
        ("slim-upright", ids(&["drive", "fan"])),
        ("storage-box", ids(&["drive-1"])),
        ("first-build", ids(&["drive-front", "drive-rear"])),
        ("supply-clash", ids(&["drive", "fan-front"])),
    ] {
        let scene = desk.example(name);
        // All cables start straight, so that trying all and searching lead the same ones.
        let scene = scene.without_laid_ways().unwrap_or(scene);
        let expected = by_trying_all(&desk, &scene, &moving);
        assert_eq!(
            best_of(&desk, &scene, &moving),
            expected,
            "{name} {moving:?}"
        );
    }
}

/// What an arrangement costs with the usual weights of length and cautions: whole millimetres
/// of the stretches that a movable part has an end of, 20 points for a caution; cables that run
/// through something count once each.
fn cost(scene: &Scene, checker: &Checker, moving: &BTreeSet<PartId>) -> f64 {
    let runs = checker.runs().values().flat_map(|r| &r.stretches);
    let of = runs.filter(|s| moving.contains(&s.from.part) || moving.contains(&s.to.part));
    let length: i64 = of.map(|s| s.needed.as_um() / 1000).sum();
    let mut cautions = BTreeSet::new();
    for f in checker.findings() {
        let counts = f.severity == Severity::Caution && checker.is_accepted(scene, f).is_none();
        if counts {
            cautions.insert(match f.rule {
                "way-blocked" => format!("{:?}", f.subjects.first()),
                _ => f.key(),
            });
        }
    }
    length as f64 / 10.0 + 20.0 * cautions.len() as f64
}

#[test]
fn with_cautions_counted_nothing_that_is_proved_is_beaten_by_trying_all() {
    let desk = Desk::new();
    for (name, moving) in [
        ("cube-microatx", ids(&["drive", "fan-rear"])),
        ("slim-upright", ids(&["drive", "fan"])),
        ("first-build", ids(&["drive-front", "fan-front"])),
    ] {
        let scene = desk.example(name);
        let scene = scene.without_laid_ways().unwrap_or(scene);
        let parts: Vec<&PartId> = moving.iter().collect();
        let all = parts.iter().map(|p| places(&scene, &moving, p));
        let choices: Vec<Vec<Place>> = all.collect();
        let mut least = f64::INFINITY;
        for a in &choices[0] {
            for b in &choices[1] {
                let mut tried = scene.clone();
                for (part, place) in parts.iter().zip([a, b]) {
                    let edit = Edit::SetPlace((*part).clone(), Some(*place));
                    edit::apply(&mut tried, &edit).unwrap();
                }
                if desk.stops(&tried) > 0 {
                    continue;
                }
                let tried = led(&desk, &tried, &desk.checked(&tried));
                if desk.stops(&tried) == 0 {
                    least = least.min(cost(&tried, &desk.checked(&tried), &moving));
                }
            }
        }
        let mut wish = Wish::of(&scene).only(moving.iter().cloned());
        let weights = Weights::none().with(Aim::CableLength, 1);
        wish.weights = weights.with(Aim::Cautions, 20);
        wish.keep_air = false;
        wish.top = 1;
        let run = Run::default();
        let answer = seek(&scene, &wish, &desk.settings, &desk.catalogue, &run);
        let found = answer.found.first().expect("it stands as it is");
        assert!(found.proved, "{name}: {}", answer.words());
        let mut with = scene.clone();
        for e in found.in_place(&scene) {
            edit::apply(&mut with, &e).unwrap();
        }
        let is = cost(&with, &desk.checked(&with), &moving);
        assert!(
            (is - least).abs() < 0.05,
            "{name}: {is} found, {least} by trying all"
        );
    }
}

#[test]
fn what_is_shown_has_no_stop_comes_best_first_and_differs() {
    let desk = Desk::new();
    for name in ["cube-microatx", "rack-shallow"] {
        let scene = desk.example(name);
        let mut wish = Wish::of(&scene);
        wish.top = 3;
        let answer = seek(
            &scene,
            &wish,
            &desk.settings,
            &desk.catalogue,
            &Run::default(),
        );
        // Where a part has very many places, not all are looked at, and that is said; where led
        // cables leave a rest, it says how much.
        let close = match answer.end {
            End::Proved | End::BestLooked => true,
            End::Within(share) => share < 0.25,
            _ => false,
        };
        assert!(close, "{name}: {:?}", answer.end);
        assert!(answer.found.len() > 1, "{name}");
        let mut seen: Vec<Vec<(PartId, Place)>> = Vec::new();
        for pair in answer.found.windows(2) {
            assert!(pair[0].points <= pair[1].points, "{name}");
        }
        for found in &answer.found {
            let mut with = scene.clone();
            for e in found.as_new(&scene) {
                edit::apply(&mut with, &e).unwrap();
            }
            assert_eq!(desk.stops(&with), 0, "{name} {}", found.arrangement.name);
            assert_eq!(desk.cables(&with), found.figures.cables, "{name}");
            let places: Vec<_> = with.arrangement().places.clone().into_iter().collect();
            for other in &seen {
                assert_ne!(*other, places, "{name}");
            }
            seen.push(places);
            let mut in_place = scene.clone();
            for e in found.in_place(&scene) {
                edit::apply(&mut in_place, &e).unwrap();
            }
            assert_eq!(in_place.arrangements.len(), scene.arrangements.len());
            assert_eq!(in_place.arrangement().places, with.arrangement().places);
        }
    }
}

#[test]
fn the_same_wish_gives_the_same_answer_and_another_seed_the_same_points() {
    let desk = Desk::new();
    let scene = desk.example("slim-upright");
    let mut wish = Wish::of(&scene).only(ids(&["drive", "fan"]));
    wish.top = 2;
    let ask = |wish: &Wish, threads| {
        let run = Run {
            threads,
            ..Run::default()
        };
        seek(&scene, wish, &desk.settings, &desk.catalogue, &run)
    };
    let first = ask(&wish, 1);
    assert_eq!(first, ask(&wish, 1));
    let both = ask(&wish, 2);
    assert_eq!(both, ask(&wish, 2));
    assert_eq!(both.found[0].points, first.found[0].points);
    wish.seed = 7;
    assert_eq!(ask(&wish, 1).found[0].points, first.found[0].points);
}

#[test]
fn a_radiator_too_thick_is_proved_not_to_go_in_with_its_fans() {
    let desk = Desk::new();
    let scene = desk.example("channel-short");
    let answer = seek(
        &scene,
        &Wish::of(&scene),
        &desk.settings,
        &desk.catalogue,
        &Run::default(),
    );
    let End::Impossible(clash) = &answer.end else {
        panic!("{}", answer.words());
    };
    assert!(clash.smallest && answer.found.is_empty());
    assert_eq!(clash.demands.len(), 2, "{}", clash.sentence());
    assert!(
        clash.words.iter().any(|w| w.contains("38 thick")),
        "{}",
        clash.sentence()
    );
    // 38 + 25 = 63 in a channel of 55.
    assert!(clash.sentence().contains("8.0 mm"), "{}", clash.sentence());
}

#[test]
fn a_lead_too_short_is_named() {
    let desk = Desk::new();
    let scene = desk.example("pump-lead-short");
    let answer = seek(
        &scene,
        &Wish::of(&scene),
        &desk.settings,
        &desk.catalogue,
        &Run::default(),
    );
    let End::Impossible(clash) = &answer.end else {
        panic!("{}", answer.words());
    };
    assert!(
        clash.words.iter().any(|w| w.ends_with("reaches")),
        "{}",
        clash.sentence()
    );
}

#[test]
fn a_part_beside_the_enclosure_is_put_in() {
    let desk = Desk::new();
    let mut scene = desk.example("cube-microatx");
    edit::apply(&mut scene, &Edit::SetPlace(id("network"), None)).unwrap();
    let mut wish = Wish::of(&scene).only([id("network")]);
    wish.top = 1;
    let answer = seek(
        &scene,
        &wish,
        &desk.settings,
        &desk.catalogue,
        &Run::default(),
    );
    assert_eq!(answer.found.len(), 1, "{}", answer.words());
    assert!(
        answer.found[0]
            .arrangement
            .places
            .contains_key(&id("network"))
    );
}

#[test]
fn zones_and_turns_can_be_narrowed_down_and_the_best_of_all_is_among_them() {
    let desk = Desk::new();
    let scene = desk.example("cube-microatx");
    let (drive, checker) = (id("drive-25-1"), desk.checked(&scene));
    let all = choices(&scene, checker.placed(), &drive);
    assert!(all.zones.len() > 1, "{all:?}");
    assert_eq!(
        Some(all.turns[0]),
        scene.placed(&drive).map(|(_, p)| p.turn)
    );
    let best = |wish: &Wish| {
        let run = Run::default();
        let answer = seek(&scene, wish, &desk.settings, &desk.catalogue, &run);
        answer.found.first().cloned()
    };
    let mut open = Wish::of(&scene).only([drive.clone()]);
    open.top = 1;
    let free = best(&open).expect("it stands there").points;
    let mut each = Vec::new();
    for zone in &all.zones {
        for turn in &all.turns {
            let mut wish = open.clone();
            wish.zones
                .insert(drive.clone(), BTreeSet::from([zone.clone()]));
            wish.turns.insert(drive.clone(), BTreeSet::from([*turn]));
            let Some(found) = best(&wish) else { continue };
            let place = found.arrangement.places[&drive];
            assert_eq!(place.turn, *turn);
            let mut with = scene.clone();
            edit::apply(&mut with, &Edit::SetPlace(drive.clone(), Some(place))).unwrap();
            let checked = desk.checked(&with);
            let held = checked.placed().holds(&drive);
            assert!(held.iter().any(|h| h.zone == *zone), "{zone:?}");
            each.push(found.points);
        }
    }
    assert!(each.len() > 1, "{each:?}");
    assert_eq!(each.into_iter().min_by(f64::total_cmp), Some(free));
}

#[test]
fn cancelling_ends_it_with_what_there_is() {
    let desk = Desk::new();
    let scene = desk.example("cube-microatx");
    let cancel = AtomicBool::new(false);
    let told: Mutex<usize> = Mutex::new(0);
    let hear = |news: News| {
        if matches!(news, News::Found(..)) {
            *told.lock().unwrap() += 1;
            cancel.store(true, Ordering::Relaxed);
        }
    };
    let run = Run {
        cancel: Some(&cancel),
        told: Some(&hear),
        ..Run::default()
    };
    let answer = seek(
        &scene,
        &Wish::of(&scene),
        &desk.settings,
        &desk.catalogue,
        &run,
    );
    assert!(*told.lock().unwrap() >= 1);
    assert!(answer.found.len() <= 1);
    assert!(
        matches!(answer.end, End::Within(_) | End::Stopped),
        "{:?}",
        answer.end
    );
}

#[test]
fn locked_parts_stay_and_nothing_to_move_is_said() {
    let desk = Desk::new();
    let mut scene = desk.example("cube-microatx");
    let all: Vec<_> = scene.arrangement().places.clone().into_iter().collect();
    for (id, place) in all {
        let locked = Place {
            locked: true,
            ..place
        };
        edit::apply(&mut scene, &Edit::SetPlace(id, Some(locked))).unwrap();
    }
    let mut wish = Wish::of(&scene);
    assert!(wish.movable.is_empty());
    wish.movable = scene.parts.keys().cloned().collect();
    let answer = seek(
        &scene,
        &wish,
        &desk.settings,
        &desk.catalogue,
        &Run::default(),
    );
    assert_eq!(answer.end, End::NothingMoves);
}

fn said(line: &str) -> cli::Said {
    let words: Vec<String> = line.split_whitespace().map(str::to_owned).collect();
    cli::run(&cli::parse(&words).unwrap())
}

#[test]
fn the_command_writes_further_arrangements() {
    let folder = std::env::temp_dir().join(format!("closefit-arrange-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let out = folder.join("out.json");
    let scenes = concat!(env!("CARGO_MANIFEST_DIR"), "/scenes");
    let done = said(&format!(
        "arrange {scenes}/cube-microatx.json --out {} --top 2 --move m2,fan-front --json",
        out.display()
    ));
    assert_eq!(done.exit.code(), 0, "{}", done.err);
    let report: serde_json::Value = serde_json::from_str(&done.out).unwrap();
    let all = report["found"].as_array().unwrap();
    let stands = |f: &&serde_json::Value| f["as_it_stands"].as_bool().unwrap();
    let found = all.iter().filter(|f| !stands(f)).count();
    assert!(found >= 1);
    // At most one is what stands there, and that moves nothing.
    let as_it_stands: Vec<_> = all.iter().filter(stands).collect();
    assert_eq!(as_it_stands.len(), 1, "{report:#}");
    assert_eq!(as_it_stands[0]["moved"], 0);
    assert_eq!(as_it_stands[0]["points"], report["at_hand"]["points"]);
    // The arrangement at hand has no stop, so it has points, and the best has no more.
    let at_hand = report["at_hand"]["points"].as_f64().unwrap();
    assert!(report["found"][0]["points"].as_f64().unwrap() <= at_hand);
    let desk = Desk::new();
    let was = desk.example("cube-microatx");
    let scene = file::open(&out, &desk.catalogue).unwrap();
    assert_eq!(scene.arrangements.len(), was.arrangements.len() + found);
    assert_eq!(scene.current, was.current);
    let names = scene.arrangements.iter().skip(was.arrangements.len());
    let names: Vec<&str> = names.map(|a| a.name.as_str()).collect();
    assert_eq!(names[0], "found 1");
    let before = std::fs::read(&out).unwrap();
    // What stands there already is no new arrangement.
    let same = said(&format!(
        "arrange {scenes}/cube-microatx.json --out {} --top 1 --move switch",
        out.display()
    ));
    assert_eq!(same.exit.code(), 0, "{}", same.err);
    assert!(same.out.contains("as it stands: "), "{}", same.out);
    assert!(same.out.contains("Nothing was written"), "{}", same.out);
    assert_eq!(std::fs::read(&out).unwrap(), before);
    let none = said(&format!(
        "arrange {scenes}/channel-short.json --out {}",
        out.display()
    ));
    assert_eq!(none.exit.code(), 1);
    assert!(none.out.ends_with("Nothing was written.\n"), "{}", none.out);
    assert_eq!(std::fs::read(&out).unwrap(), before);
    assert!(none.out.contains("Proved impossible"), "{}", none.out);
    let missing = said(&format!(
        "arrange {scenes}/none.json --out {}",
        out.display()
    ));
    assert_eq!(missing.exit.code(), 3);
    std::fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn of_a_large_scene_a_few_parts_move_and_the_best_is_proved() {
    let desk = Desk::new();
    let scene = desk.example("test-field");
    let few = closefit::search::scene::few(&scene, &desk.checked(&scene)).unwrap();
    assert_eq!(few.parts.len(), 10);
    assert!(few.words.starts_with("308 parts"), "{}", few.words);
    let small = desk.example("cube-microatx");
    assert_eq!(
        closefit::search::scene::few(&small, &desk.checked(&small)),
        None
    );
    let mut wish = Wish::of(&scene).only(few.parts);
    wish.top = 1;
    let ask = |threads| {
        let run = Run {
            threads,
            ..Run::default()
        };
        seek(&scene, &wish, &desk.settings, &desk.catalogue, &run)
    };
    let answer = ask(1);
    assert_eq!(answer.end, End::Proved, "{}", answer.words());
    assert!(answer.found[0].proved);
    assert_eq!(answer.found[0].points, ask(2).found[0].points);
}

#[test]
fn results_differ_in_more_than_which_of_like_parts_stands_where() {
    let desk = Desk::new();
    // Two sticks of one kind and four slots: which stick is in which slot comes to the same.
    let scene = desk.example("cube-microatx");
    let mut wish = Wish::of(&scene).only(ids(&["memory-2", "memory-4"]));
    wish.top = 4;
    let found = |scene: &Scene, wish: &Wish| {
        let run = Run::default();
        seek(scene, wish, &desk.settings, &desk.catalogue, &run).found
    };
    let sticks = found(&scene, &wish);
    assert!(sticks.len() > 1, "there is something to compare");
    for (i, a) in sticks.iter().enumerate() {
        for b in &sticks[i + 1..] {
            let same = a.points.to_bits() == b.points.to_bits() && a.figures == b.figures;
            assert!(!same, "{} and {}: {:?}", a.title(), b.title(), a.figures);
        }
    }
    // A drive held from the other side of its bay, 0.2 mm further, is no other arrangement.
    let mut scene = desk.example("storage-box");
    edit::apply(&mut scene, &Edit::RemovePart(id("drive-3"))).unwrap();
    let mut wish = Wish::of(&scene).only(ids(&["drive-2"]));
    wish.top = 4;
    let drives = found(&scene, &wish);
    assert!(drives.len() > 1, "the bay of the third drive is free");
    for (i, a) in drives.iter().enumerate() {
        for b in &drives[i + 1..] {
            let at = |f: &closefit::search::scene::Found| f.arrangement.places[&id("drive-2")].at;
            assert!(at(a).distance_mm(at(b)) > 1.0, "{:?} {:?}", at(a), at(b));
        }
    }
}
