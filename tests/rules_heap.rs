//! Scenes that are no builds: heaps of parts, holes and cut-outs. Checking them
//! ends soon, with findings that say what was not judged.

#[path = "support/build.rs"]
mod build;

use build::{Build, block, enclosure, fan, frame, hole, pattern, plate, v, zone};
use closefit::edit::{Edit, Touched};
use closefit::geom::Box3;
use closefit::model::{Cutout, Group, Part, PartId, Place};
use closefit::placement::offers;
use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::Instant;

/// Generous: a debug build on a busy machine.
const SOON: u64 = 60;

#[test]
fn a_heap_of_parts_in_one_place_is_judged_in_part_and_says_so() {
    let from = Instant::now();
    let mut build = Build::open().gap(None, None, false, 5.0);
    let kind = Arc::new(fan(120.0, 105.0, 25.0));
    for i in 0..1500 {
        let id = PartId::new(&format!("p{i}")).expect("a sound id");
        let part = Part {
            name: "fan".into(),
            kind: kind.clone(),
        };
        let place = Some(Place::at(v(100.0, 100.0, 100.0 + 25.0 * (i % 2) as f64)));
        build.edit(Edit::AddPart { id, part, place });
    }
    let mut checker = build.checked();
    let rest = |checker: &closefit::rules::Checker| {
        let found = checker.findings();
        (
            found.iter().any(|f| f.key_str() == "clash" && f.unjudged),
            found.len(),
        )
    };
    let (said, found) = rest(&checker);
    assert!(said && (10_000..60_000).contains(&found), "{found}");
    // Once the heap is gone, nothing of it is left.
    let mut touched = Touched::default();
    for i in 2..1500 {
        let id = PartId::new(&format!("p{i}")).expect("a sound id");
        touched.merge(build.edit(Edit::RemovePart(id)));
    }
    checker.update(&build.scene, &touched);
    assert!(!rest(&checker).0);
    assert_eq!(checker.findings(), build.checked().findings());
    assert!(from.elapsed().as_secs() < SOON, "{:?}", from.elapsed());
}

#[test]
fn a_face_full_of_holes_and_a_plate_full_of_openings_end_soon() {
    let from = Instant::now();
    let mut case = enclosure([2000.0, 2000.0, 200.0]);
    let mut floor = zone(
        "floor",
        frame(v(0.0, 0.0, 10.0), "+x", "+y", "+z"),
        [2000.0; 2],
        0.0,
        &[],
    );
    let field = |n: usize, d: f64| {
        (0..n).map(move |i| {
            hole(
                &format!("{i}"),
                (i % 140) as f64 * 10.0,
                (i / 140) as f64 * 10.0,
                d,
                None,
            )
        })
    };
    floor.holes = field(19_000, 4.5).collect();
    case.zones = vec![floor];
    let mut sheet = plate("sheet", [0.0, 0.0, 0.0], [2000.0, 2000.0, 1.0]);
    sheet.cutouts = (0..20_000)
        .map(|i| {
            Cutout::Rect(Box3::at(
                v((i % 140) as f64 * 10.0, (i / 140) as f64 * 10.0, 0.0),
                v(5.0, 5.0, 1.0),
            ))
        })
        .collect();
    case.plates = vec![sheet];
    let mut kind = block("field", Group::Board, [1400.0, 1400.0, 20.0]);
    let under = frame(v(0.0, 0.0, 0.0), "+x", "+y", "-z");
    kind.patterns = vec![pattern("p", under, field(19_000, 4.3).collect(), 19_000)];
    let build =
        Build::new(case)
            .with("a", &kind, [0.0, 0.0, 10.0])
            .with("b", &kind, [0.0, 0.0, 0.5]);
    build.expect("unheld", &["unheld:b"]);
    assert!(build.found("outside").iter().any(|f| f.unjudged));
    let checker = build.checked();
    // 19 000 of 19 000 leave one hole to start from; one fewer leaves many ways.
    kind.patterns[0].needs = 4;
    let all = offers(&build.scene, checker.placed(), &kind, &BTreeSet::new());
    assert!(!all.is_empty());
    assert!(from.elapsed().as_secs() < SOON, "{:?}", from.elapsed());
}
