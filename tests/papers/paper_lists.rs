//! Lists of the examples: everything once, read back by a reader of RFC 4180 that
//! knows nothing of the writer; screws against counts by hand.

use crate::build;
use crate::checked;

use build::{enclosure, fan, frame, l, pid, plate, radiator, square, turn, v, zone};
use checked::{check, read};
use closefit::export::lists::{csv, json};
use closefit::file;
use closefit::model::{Group, HoleShape, Scene};
use closefit::paper::joint::joints;
use closefit::paper::{Build, Cell, LISTS, List, Table};
use closefit::rules::Checker;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

fn each_example(mut test: impl FnMut(&str, &Scene, &Checker)) {
    for example in file::examples() {
        let scene = read(example.title, example.text);
        test(example.title, &scene, &check(&scene));
    }
}

fn table(list: &str, build: &Build) -> Table {
    (List::of(list).expect("a list").make)(build)
}

/// Records of a CSV text by the grammar of RFC 4180, section 2.
fn records(bytes: &[u8]) -> Vec<Vec<String>> {
    let text = std::str::from_utf8(bytes).expect("UTF-8");
    let mut records = vec![vec![String::new()]];
    let mut chars = text.chars().peekable();
    let mut quoted = false;
    while let Some(c) = chars.next() {
        let field = records.last_mut().unwrap().last_mut().unwrap();
        match (quoted, c) {
            (true, '"') if chars.peek() == Some(&'"') => {
                chars.next();
                field.push('"');
            }
            (_, '"') => quoted = !quoted,
            (false, ',') => records.last_mut().unwrap().push(String::new()),
            (false, '\r') => {
                assert_eq!(chars.next(), Some('\n'), "a line ends with CR LF");
                records.push(vec![String::new()]);
            }
            (false, '\n') => panic!("a bare line feed outside quotes"),
            _ => field.push(c),
        }
    }
    assert!(!quoted, "a quote is left open");
    assert_eq!(
        records.pop(),
        Some(vec![String::new()]),
        "the last line ends"
    );
    records
}

#[test]
fn every_part_lead_stretch_socket_and_end_stands_in_its_list_once() {
    each_example(|name, scene, checker| {
        let build = Build::of(scene, checker);
        let sorted = |list: &str, key: &str| {
            let mut ids = table(list, &build).texts(key);
            ids.sort();
            ids
        };
        let parts: Vec<String> = scene.parts.keys().map(ToString::to_string).collect();
        assert_eq!(sorted("parts", "part"), parts, "{name}");
        let cables = &scene.arrangement().cables;
        let leads: Vec<String> = cables.keys().map(ToString::to_string).collect();
        assert_eq!(sorted("leads", "lead"), leads, "{name}");
        let plugs: usize = cables.values().map(|c| c.plugs.len()).sum();
        assert_eq!(table("stretches", &build).rows.len(), plugs, "{name}");
        let ports: usize = scene.parts.values().map(|p| p.kind.ports.len()).sum();
        assert_eq!(table("sockets", &build).rows.len(), ports, "{name}");
        let loose = cables.values().filter(|c| c.kind.is_some()).count();
        let labels = sorted("labels", "label");
        assert_eq!(labels.len(), plugs + loose, "{name}");
        assert_eq!(labels.iter().collect::<BTreeSet<_>>().len(), labels.len());
    });
}

#[test]
fn each_row_has_a_cell_a_column_and_both_files_say_the_same() {
    each_example(|name, scene, checker| {
        let build = Build::of(scene, checker);
        for list in LISTS {
            let table = (list.make)(&build);
            assert_eq!(table.id, list.id);
            let records = records(&csv(&table));
            let heads: Vec<&str> = table.columns.iter().map(|c| c.key).collect();
            assert_eq!(records[0], heads, "{name}");
            assert_eq!(records.len(), table.rows.len() + 1, "{name}");
            let text = json(&table, "s", "a");
            let value: serde_json::Value = serde_json::from_str(&text).unwrap();
            for (i, record) in records[1..].iter().enumerate() {
                assert_eq!(record.len(), heads.len(), "{name} {}", list.id);
                for (key, field) in heads.iter().zip(record) {
                    let same = match &value["rows"][i][key] {
                        serde_json::Value::Null => field.is_empty(),
                        serde_json::Value::Number(n) => {
                            field.parse::<f64>().unwrap() == n.as_f64().unwrap()
                        }
                        serde_json::Value::String(s) => {
                            field == s || field.strip_prefix('\'') == Some(s)
                        }
                        other => panic!("{other}"),
                    };
                    assert!(same, "{name} {} {key}: {field}", list.id);
                }
            }
        }
    });
}

/// Pairs of holes that meet, by part; seats left out. Counted from the checker's own
/// account of what holds what.
fn meetings(scene: &Scene, checker: &Checker) -> usize {
    let mut count = 0;
    for id in scene.parts.keys() {
        for hold in checker.placed().holds(id) {
            let kind = &scene.parts[id].kind;
            let pattern = kind.patterns.iter().find(|p| p.id == hold.pattern).unwrap();
            let seat = |label: &str| {
                let hole = pattern.holes.iter().find(|h| h.label == label).unwrap();
                matches!(hole.shape, HoleShape::Seat { .. })
            };
            count += hold.pairs.iter().filter(|(mine, _)| !seat(mine)).count();
        }
    }
    count
}

#[test]
fn screws_are_as_many_as_counted_by_hand() {
    // First build: board 4 (Mini-ITX: holes C F H J), Flex supply 4, two fans 8 into
    // the radiator, radiator 8, two drives of 4, M.2 1, card bracket 2, block 4 (one of
    // three patterns), front sockets 2, switch 1 (nut).
    let example = &file::examples()[0];
    let scene = read(example.title, example.text);
    let checker = check(&scene);
    let build = Build::of(&scene, &checker);
    assert_eq!(joints(&build).len(), 4 + 4 + 8 + 8 + 8 + 1 + 2 + 4 + 2 + 1);
    let by_part = table("screws", &build);
    let pieces = |part: &str| -> usize {
        let rows = by_part
            .texts("part")
            .into_iter()
            .zip(by_part.column("count"));
        rows.filter(|(p, _)| p == part)
            .map(|(_, c)| match c {
                Cell::Count(n) => *n,
                other => panic!("{other:?}"),
            })
            .sum()
    };
    assert_eq!(
        [pieces("board"), pieces("radiator"), pieces("m2")],
        [4, 8, 1]
    );
}

#[test]
fn all_screws_of_the_examples_are_listed_and_summed() {
    each_example(|name, scene, checker| {
        let build = Build::of(scene, checker);
        let count = |list: &str| -> usize {
            let counts = table(list, &build);
            let counts = counts.column("count");
            counts
                .iter()
                .map(|c| match c {
                    Cell::Count(n) => *n,
                    other => panic!("{other:?}"),
                })
                .sum()
        };
        let joints = joints(&build);
        assert_eq!(count("screws"), joints.len(), "{name}");
        assert_eq!(count("screw-totals"), joints.len(), "{name}");
        // A line of holes may take one screw for several meetings, never more screws.
        let meet = meetings(scene, checker);
        assert!(joints.len() <= meet && joints.len() * 4 >= meet, "{name}");
        // No two screws in one place.
        let mut places: BTreeMap<_, usize> = BTreeMap::new();
        for joint in &joints {
            *places
                .entry((joint.axis, joint.at, joint.members.clone()))
                .or_default() += 1;
        }
        assert!(places.values().all(|n| *n == 1), "{name}");
    });
}

/// A wall of 1.2 with four holes of 4.3, before it a fan, before that a radiator.
fn stack(threaded_wall: bool) -> Scene {
    let mut e = enclosure([200.0, 200.0, 200.0]);
    e.plates
        .push(plate("wall", [0.0, 198.8, 0.0], [200.0, 1.2, 200.0]));
    let f = frame(v(10.0, 198.8, 10.0), "+x", "+z", "-y");
    let mut z = zone("rear", f, [120.0; 2], 0.0, &[Group::Fan]);
    let (d, thread) = if threaded_wall {
        (3.3, Some("M4"))
    } else {
        (4.3, None)
    };
    z.holes = square(105.0, [60.0, 60.0], d, thread);
    e.zones.push(z);
    // Their z to the back: a fan of 25 stands from 173.8 to 198.8.
    let back = turn("+x", "-z");
    let built = build::Build::new(e)
        .turned("fan", &fan(120.0, 105.0, 25.0), [10.0, 173.8, 10.0], back)
        .turned("radiator", &radiator(1, 27.0), [-10.0, 146.8, 10.0], back);
    built.scene
}

#[test]
fn one_long_screw_goes_through_wall_and_fan_into_the_radiator() {
    let scene = stack(false);
    let mut checker = Checker::new(Arc::new(build::settings()));
    checker.check_all(&scene);
    let build = Build::of(&scene, &checker);
    let joints = joints(&build);
    assert_eq!(joints.len(), 4, "{joints:#?}");
    for joint in &joints {
        let names: Vec<&str> = joint.members.iter().map(|m| m.name.as_str()).collect();
        assert_eq!(names, ["wall", "fan", "radiator"]);
        assert_eq!(joint.fastener.thread(), Some("M3"));
        assert_eq!(joint.clamped(), Some(l(26.2)));
        // 26.2 and one diameter of 3 make 29.2; ISO 888 has 30.
        assert_eq!(joint.length().unwrap().0, l(30.0));
    }
}

#[test]
fn a_thread_in_the_wall_parts_the_screws() {
    let scene = stack(true);
    let mut checker = Checker::new(Arc::new(build::settings()));
    checker.check_all(&scene);
    let build = Build::of(&scene, &checker);
    let joints = joints(&build);
    // Threads at both ends of the fan: no one screw serves both.
    assert!(joints.iter().all(|j| j.length().is_none()), "{joints:#?}");
    assert!(!joints.is_empty());
}

#[test]
fn a_part_beside_the_enclosure_is_listed_and_said_to_lie_there() {
    let mut scene = stack(false);
    let id = pid("radiator");
    scene.arrangements[0].places.remove(&id);
    let mut checker = Checker::new(Arc::new(build::settings()));
    checker.check_all(&scene);
    let build = Build::of(&scene, &checker);
    let parts = table("parts", &build);
    let i = parts
        .texts("part")
        .iter()
        .position(|p| p == "radiator")
        .unwrap();
    assert_eq!(parts.texts("zone")[i], "beside the enclosure");
    assert_eq!(parts.texts("at_x_mm")[i], "");
    // Wall and fan alone: no thread anywhere, so a bolt and a nut.
    assert!(
        joints(&build)
            .iter()
            .all(|j| j.fastener.words() == "bolt and nut")
    );
}
