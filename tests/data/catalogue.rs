//! The catalogue's data files agree with themselves: names, places, frames,
//! connectors, sources. Read without the library's own reader.

use crate::figures as data;

use data::{EPS, asset, at, bounds, dir, hand, holes, kinds, list, num, point, solids, text};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// The words of the file format, typed in from its description.
const GROUPS: [&str; 12] = [
    "board", "supply", "fan", "radiator", "drive", "card", "cooler", "block", "memory", "adapter",
    "bracket", "other",
];
const CONFIDENCE: [&str; 6] = [
    "published",
    "derived",
    "secondary",
    "practice",
    "memory",
    "invented",
];
const SYSTEMS: [&str; 7] = [
    "structure",
    "boards",
    "drives",
    "air",
    "power",
    "data",
    "liquid",
];

fn sets() -> Vec<Value> {
    list(&asset("holes.json"), "sets").to_vec()
}

fn files() -> Vec<Value> {
    let mut all: Vec<Value> = ["holes.json", "cables.json", "rules.json"]
        .map(asset)
        .to_vec();
    all.extend(kinds());
    all
}

/// Calls `f` with every object below `v`.
fn each(v: &Value, f: &mut impl FnMut(&Value)) {
    match v {
        Value::Object(map) => {
            f(v);
            map.values().for_each(|x| each(x, f));
        }
        Value::Array(items) => items.iter().for_each(|x| each(x, f)),
        _ => {}
    }
}

fn unique<'a>(what: &str, ids: impl Iterator<Item = &'a str>) {
    let mut seen = BTreeSet::new();
    for id in ids {
        assert!(seen.insert(id.to_owned()), "{what}: '{id}' twice");
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || "-_.".contains(c);
        assert!(
            (1..=64).contains(&id.len()) && id.chars().all(plain),
            "{what}: '{id}'"
        );
    }
}

fn ids(v: &[Value]) -> impl Iterator<Item = &str> {
    v.iter().map(|x| text(x, "id"))
}

#[test]
fn ids_are_unique_and_there_are_enough_kinds_of_every_group() {
    let (all, cables) = (kinds(), asset("cables.json"));
    assert!(all.len() >= 90, "{} kinds", all.len());
    unique("kinds", ids(&all));
    unique("hole sets", ids(&sets()));
    unique("connectors", ids(list(&cables, "connectors")));
    unique("cables", ids(list(&cables, "cables")));
    for k in &all {
        for part in ["patterns", "zones", "ports", "outlets"] {
            unique(&format!("{} {part}", k["id"]), ids(list(k, part)));
        }
    }
    for group in GROUPS {
        assert!(all.iter().any(|k| k["group"] == group), "no {group}");
    }
    let mut names: Vec<&str> = all.iter().map(|k| text(k, "name")).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), all.len(), "two kinds of one name");
}

#[test]
fn every_figure_has_a_source_and_a_known_confidence() {
    for file in files() {
        each(&file, &mut |o| {
            for f in list(o, "figures") {
                assert!(
                    !text(f, "what").is_empty() && !text(f, "source").is_empty(),
                    "{f}"
                );
                assert!(CONFIDENCE.contains(&text(f, "confidence")), "{f}");
                let weak = text(f, "source").contains("from memory");
                let said = ["memory", "secondary"].contains(&text(f, "confidence"));
                assert!(!weak || said, "better said than founded: {f}");
            }
        });
    }
    let cables = asset("cables.json");
    let all = [
        kinds(),
        sets(),
        list(&cables, "connectors").to_vec(),
        list(&cables, "cables").to_vec(),
    ];
    for owner in all.iter().flatten() {
        assert!(
            !list(owner, "figures").is_empty(),
            "{} has no source",
            owner["id"]
        );
    }
}

#[test]
fn lengths_are_whole_micrometres_within_range() {
    fn walk(v: &Value, path: &str) {
        match v {
            // Watts, grams and decibels are no lengths.
            Value::Object(map) => map
                .iter()
                .filter(|(k, _)| *k != "ratings")
                .for_each(|(k, x)| walk(x, &format!("{path}.{k}"))),
            Value::Array(items) => items.iter().for_each(|x| walk(x, path)),
            Value::Number(n) => {
                let um = num(v) * 1000.0;
                assert!((um - um.round()).abs() < 1e-6, "{path}: {n}");
                assert!(um.abs() <= 1e8, "{path}: {n}");
            }
            _ => {}
        }
    }
    for file in files() {
        each(&file, &mut |o| {
            let d = o["diameter"].as_f64().unwrap_or(0.0) * 500.0;
            assert!((d - d.round()).abs() < 1e-6, "half of the diameter: {o}");
        });
        walk(&file, file["id"].as_str().unwrap_or("file"));
    }
}

#[test]
fn bodies_lie_inside_their_boxes_and_fill_them() {
    for k in kinds() {
        let (id, size) = (text(&k, "id"), point(&k["size"]));
        let pieces = solids(&k);
        assert!(!pieces.is_empty(), "{id}: nothing solid");
        for (a, b) in &pieces {
            for i in 0..3 {
                assert!(
                    a[i] >= -EPS && b[i] <= size[i] + EPS && b[i] > a[i],
                    "{id}: {a:?} {b:?}"
                );
            }
        }
        for (i, side) in size.iter().enumerate() {
            let top = pieces.iter().map(|p| p.1[i]).fold(0.0, f64::max);
            let low = pieces.iter().map(|p| p.0[i]).fold(f64::MAX, f64::min);
            // A cooler's box starts at the board, its material at the processor.
            let under = i == 2 && ["cooler", "block"].contains(&text(&k, "group"));
            assert!(
                low <= EPS || under,
                "{id}: nothing at the low end of axis {i}"
            );
            // A card's box goes back to its bracket's plate, which is drawn only.
            let slack = if k["group"] == "card" && i == 1 {
                1.9
            } else {
                0.0
            };
            assert!(
                top + slack >= side - EPS,
                "{id}: box is larger than the body, axis {i}"
            );
        }
        for p in list(&k, "body") {
            let space = p["space"].as_str().unwrap_or("solid");
            assert!(
                ["solid", "keep-out", "reach"].contains(&space),
                "{id}: {space}"
            );
        }
    }
}

#[test]
fn frames_are_square_and_holes_lie_on_the_faces() {
    let sets = sets();
    for k in kinds() {
        let id = text(&k, "id");
        let mut faces = vec![([0.0; 3], point(&k["size"]))];
        faces.extend(solids(&k));
        faces.extend(list(&k, "features").iter().map(|f| bounds(&f["solid"])));
        for p in list(&k, "patterns") {
            let (name, frame) = (text(p, "id"), &p["frame"]);
            // A hole set is drawn as its face is seen from outside; only the two sides of a
            // drive, which mirror one another, share one set.
            let side = ["left", "right"].contains(&name);
            assert!(
                hand(frame) == Some(1.0) || side && hand(frame).is_some(),
                "{id} {name}"
            );
            let found = holes(&sets, p);
            let needs = p["needs"].as_u64().expect("a number of holes") as usize;
            assert!(
                (1..=found.len()).contains(&needs),
                "{id} {name}: needs {needs}"
            );
            let (axis, sign) = dir(&frame["out"]);
            for h in found {
                let q = at(frame, h.u, h.v);
                let on = |(a, b): &([f64; 3], [f64; 3])| {
                    let face = if sign > 0.0 { b[axis] } else { a[axis] };
                    let within = |i: usize| q[i] >= a[i] - EPS && q[i] <= b[i] + EPS;
                    (q[axis] - face).abs() <= EPS && (0..3).all(|i| i == axis || within(i))
                };
                // A cooler's posts may stand out past its body, but not past the keep-in of
                // 95.0 x 95.0: Thermal/Mechanical Specifications and Design Guidelines, Fig. B-1.
                let posts = name == "base" && q[2] == 0.0 && h.u.abs().max(h.v.abs()) <= 95.0 / 2.0;
                assert!(
                    posts || faces.iter().any(on),
                    "{id} {name} {}: {q:?}",
                    h.label
                );
            }
        }
        for z in list(&k, "zones") {
            let name = text(z, "id");
            // Seen from the same side as the pattern that it takes, and facing it.
            assert_eq!(hand(&z["frame"]), Some(-1.0), "{id} {name}");
            let (w, d) = (num(&z["size"][0]), num(&z["size"][1]));
            for h in holes(&sets, z) {
                assert!(
                    (0.0..=w).contains(&h.u) && (0.0..=d).contains(&h.v),
                    "{id} {name}"
                );
            }
            assert!(
                list(z, "takes")
                    .iter()
                    .all(|g| GROUPS.contains(&g.as_str().expect("a group")))
            );
            assert!(!list(z, "takes").is_empty(), "{id} {name} takes nothing");
        }
        for o in list(&k, "outlets") {
            assert_eq!(hand(&o["frame"]), Some(1.0), "{id} {}", o["id"]);
        }
    }
}

#[test]
fn ports_lie_on_a_face_and_nothing_of_the_part_stands_before_them() {
    for k in kinds() {
        let pieces = solids(&k);
        let mut faces = vec![([0.0; 3], point(&k["size"]))];
        faces.extend(pieces.iter().copied());
        faces.extend(list(&k, "features").iter().map(|f| bounds(&f["solid"])));
        for p in list(&k, "ports") {
            let (q, (axis, sign)) = (point(&p["at"]), dir(&p["leaves"]));
            let beside = |a: &[f64; 3], b: &[f64; 3], slack: f64| {
                (0..3).all(|i| i == axis || (a[i] - slack..=b[i] + slack).contains(&q[i]))
            };
            let on = |(a, b): &([f64; 3], [f64; 3])| {
                let face = if sign > 0.0 { b[axis] } else { a[axis] };
                (q[axis] - face).abs() <= EPS && beside(a, b, EPS)
            };
            assert!(faces.iter().any(on), "{} {}: {q:?}", k["id"], p["id"]);
            let behind = |(a, b): &([f64; 3], [f64; 3])| {
                let far = if sign > 0.0 { b[axis] } else { a[axis] };
                (q[axis] - far) * sign >= -EPS || !beside(a, b, -EPS)
            };
            assert!(
                pieces.iter().all(behind),
                "{} {}: no way out",
                k["id"],
                p["id"]
            );
        }
    }
}

#[test]
fn every_connector_exists_and_everything_can_be_plugged_in() {
    let (all, cables) = (kinds(), asset("cables.json"));
    let known: BTreeMap<&str, &Value> = list(&cables, "connectors")
        .iter()
        .map(|c| (text(c, "id"), c))
        .collect();
    let mut sockets: BTreeSet<(&str, bool)> = BTreeSet::new(); // (connector, gives)
    let ports: Vec<(&str, &Value)> = all
        .iter()
        .flat_map(|k| list(k, "ports").iter().map(|p| (text(k, "id"), p)))
        .collect();
    for (id, p) in &ports {
        let connector = text(p, "connector");
        assert!(
            known.contains_key(connector),
            "{id}: no connector '{connector}'"
        );
        assert!(["source", "sink", "both"].contains(&text(p, "role")));
        if p.get("lead").is_none() {
            for (gives, other) in [(true, "sink"), (false, "source")] {
                if text(p, "role") != other {
                    sockets.insert((connector, gives));
                }
            }
        }
    }
    for c in list(&cables, "cables") {
        assert!(SYSTEMS.contains(&text(c, "system")), "{c}");
        // An extension takes a plug, not a socket.
        let extends = c.get("extends").is_some_and(|e| e == true);
        assert!(
            extends || sockets.contains(&(text(c, "from"), true)),
            "nothing gives at {}",
            c["id"]
        );
        assert!(
            sockets.contains(&(text(c, "to"), false)),
            "nothing takes at {}",
            c["id"]
        );
        let lengths: Vec<f64> = list(c, "lengths").iter().map(num).collect();
        assert!(
            !lengths.is_empty() && lengths.is_sorted(),
            "{}: {lengths:?}",
            c["id"]
        );
        let (plugs, pitch) = (
            c["plugs"].as_u64().unwrap_or(1),
            c["pitch"].as_f64().unwrap_or(0.0),
        );
        assert_eq!(plugs > 1, pitch > 0.0, "{}", c["id"]);
    }
    for (id, p) in &ports {
        let connector = text(p, "connector");
        let gives = text(p, "role") != "sink";
        let reached = if p.get("lead").is_some() {
            sockets.contains(&(connector, !gives))
                || text(p, "role") == "both" && sockets.contains(&(connector, true))
        } else {
            let end = if gives { "from" } else { "to" };
            list(&cables, "cables")
                .iter()
                .any(|c| text(c, end) == connector)
                || ports
                    .iter()
                    .any(|(_, q)| q.get("lead").is_some() && text(q, "connector") == connector)
        };
        assert!(
            reached,
            "{id} {}: nothing plugs into '{connector}'",
            p["id"]
        );
    }
}

#[test]
fn bends_follow_the_rules_that_their_figures_state() {
    // NASA-STD-8739.4, 7.3.21: a multi-conductor cable at least 6 x its diameter.
    fn check(owner: &Value, figures: &Value) {
        let d = owner["section"]["round"].as_f64();
        for f in list(figures, "figures") {
            if let (Some(d), true) = (d, text(f, "what").starts_with("bend radius 6 x")) {
                assert!((num(&owner["bend"]) - 6.0 * d).abs() < EPS, "{owner}");
            }
        }
    }
    for c in list(&asset("cables.json"), "cables") {
        check(c, c);
        // A bend within the cable's own half thickness would fold it.
        let thin = c["section"]["round"]
            .as_f64()
            .unwrap_or_else(|| num(&c["section"]["flat"][1]));
        assert!(num(&c["bend"]) > thin / 2.0, "{}", c["id"]);
    }
    for k in kinds() {
        for p in list(&k, "ports").iter().filter(|p| p.get("lead").is_some()) {
            check(&p["lead"], &k);
            // At least 150 from the case to the plug: ATX Version 3 guide, doc. 336521.
            let supply = k["group"] == "supply";
            assert!(
                !supply || num(&p["lead"]["length"]) >= 150.0,
                "{} {}",
                k["id"],
                p["id"]
            );
        }
    }
    // SATA data lead 30 (a maker's service guide), at most 1000 long (serial ATA controller
    // design guide s.8.1.1).
    let cables = asset("cables.json");
    let sata = data::by_id(list(&cables, "cables"), "sata-data");
    assert_eq!(num(&sata["bend"]), 30.0);
    assert!(list(sata, "lengths").iter().all(|l| num(l) <= 1000.0));
}

#[test]
fn gap_rules_are_reasoned_and_leave_the_usual_stack_in_its_channel() {
    let rules = asset("rules.json");
    let pairs = list(&rules, "pairs");
    let fits = |p: &Value, key: &str, g: &str| p.get(key).is_none_or(|x| x == g);
    for p in pairs {
        assert!(
            !text(p, "reason").is_empty() && num(&p["gap"]) >= 0.0,
            "{p}"
        );
        for key in ["a", "b"] {
            assert!(
                p.get(key)
                    .is_none_or(|g| GROUPS.contains(&g.as_str().expect("a group"))),
                "{p}"
            );
        }
    }
    let wall = |g: &str| {
        let class = pairs.iter().find(|p| p["wall"] == true && fits(p, "a", g));
        num(&class.expect("a class for every group")["gap"])
    };
    let between = |a: &str, b: &str| {
        let class = pairs.iter().find(|p| {
            p.get("wall").is_none()
                && (fits(p, "a", a) && fits(p, "b", b) || fits(p, "a", b) && fits(p, "b", a))
        });
        num(&class.expect("a class for every pair")["gap"])
    };
    for a in GROUPS {
        wall(a);
        for b in GROUPS {
            assert_eq!(between(a, b), between(b, a));
        }
    }
    // Radiator 27, fans 25, channel 55 (common practice of the trade): both stand clear of
    // the plates by what the rules want.
    assert!(27.0 + 25.0 + wall("radiator") + wall("fan") <= 55.0);
    // Fans at the pitch of their frames touch.
    assert_eq!(between("fan", "fan"), 0.0);
    // Cards of full thickness at the slot pitch of 20.32 leave 20.32 - 14.47 - 1.57 - 2.67
    // (Card Electromechanical Specification, from memory).
    assert!(between("card", "card") <= 20.32 - 14.47 - 1.57 - 2.67);
    // Rear connectors stop 12.27 - 11.30 before the wall (microATX 1.2 Figs 3 to 5).
    assert!(wall("board") <= 12.27 - 11.30);
}
