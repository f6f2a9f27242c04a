//! The built-in enclosures against themselves and against the published places of
//! board openings, fan holes and drive holes. Read without the library's own reader.

use crate::figures as data;

use data::{EPS, asset, at, bounds, by_id, dir, folder, hand, holes, list, num, point, read, text};
use serde_json::Value;
use std::collections::BTreeSet;

fn enclosures() -> Vec<Value> {
    let mut paths: Vec<_> = std::fs::read_dir(folder().join("enclosures"))
        .expect("the folder of the enclosures")
        .map(|e| e.expect("an entry").path())
        .collect();
    paths.sort();
    let all: Vec<Value> = paths.iter().map(|p| read(p)["enclosure"].clone()).collect();
    assert!(all.len() >= 5);
    all
}

fn sets() -> Vec<Value> {
    list(&asset("holes.json"), "sets").to_vec()
}

/// Smallest box around a face, flat along its normal.
fn face(owner: &Value) -> ([f64; 3], [f64; 3]) {
    let size = &owner["size"];
    let (p, q) = (
        at(&owner["frame"], 0.0, 0.0),
        at(&owner["frame"], num(&size[0]), num(&size[1])),
    );
    let pick = |f: fn(f64, f64) -> f64| [0, 1, 2].map(|i| f(p[i], q[i]));
    (pick(f64::min), pick(f64::max))
}

#[test]
fn everything_lies_inside_the_outer_box() {
    for e in enclosures() {
        let (id, size) = (text(&e, "id"), point(&e["size"]));
        let inside = |what: &str, low: [f64; 3], high: [f64; 3]| {
            for i in 0..3 {
                assert!(low[i] >= -EPS && high[i] <= size[i] + EPS, "{id}: {what}");
            }
        };
        for p in list(&e, "plates") {
            let (low, high) = bounds(&p["solid"]);
            inside(text(p, "id"), low, high);
            // Sheet of 1 to 2 mm, panels of 3 (common practice, no source).
            let thin = (0..3).map(|i| high[i] - low[i]).fold(f64::MAX, f64::min);
            assert!(
                (1.0 - EPS..=3.0 + EPS).contains(&thin),
                "{id}: {}: {thin}",
                p["id"]
            );
        }
        for key in ["zones", "vents", "openings"] {
            for x in list(&e, key) {
                let (low, high) = face(x);
                inside(&format!("{key} {}", x["id"]), low, high);
            }
        }
        for t in list(&e, "ties") {
            inside(text(t, "id"), point(&t["at"]), point(&t["at"]));
        }
        let ids = |key: &str| -> Vec<String> {
            list(&e, key)
                .iter()
                .map(|x| text(x, "id").to_owned())
                .collect()
        };
        for key in ["plates", "zones", "passages", "ties", "vents", "openings"] {
            let distinct: BTreeSet<String> = ids(key).into_iter().collect();
            assert_eq!(distinct.len(), ids(key).len(), "{id}: {key}");
        }
    }
}

#[test]
fn zones_are_left_handed_and_say_whom_they_take() {
    for e in enclosures() {
        for z in list(&e, "zones") {
            let name = format!("{}: {}", e["id"], z["id"]);
            let holes = holes(&sets(), z);
            assert!(!holes.is_empty(), "{name} has no holes");
            // One hole alone has no sense of left and right, and the side holes of a
            // drive are measured from its connectors on both sides.
            let side = |u: &Value| text(u, "set").ends_with("-side");
            let either = holes.len() == 1 || list(z, "use").iter().any(side);
            assert!(either || hand(&z["frame"]) == Some(-1.0), "{name}");
            assert!(!list(z, "takes").is_empty(), "{name}");
        }
    }
}

#[test]
fn passages_and_openings_go_through_a_cut_out() {
    let cut = |e: &Value, low: [f64; 3], high: [f64; 3]| {
        list(e, "plates").iter().any(|p| {
            let (a, b) = bounds(&p["solid"]);
            let thin = (0..3).min_by(|i, j| (b[*i] - a[*i]).total_cmp(&(b[*j] - a[*j])));
            let thin = thin.expect("three axes");
            list(p, "cutouts").iter().any(|c| {
                let Some(r) = c.get("rect") else { return false };
                let (lo, size) = (point(&r["at"]), point(&r["size"]));
                (0..3).all(|i| {
                    let reach = if i == thin { 2.0 } else { 0.0 };
                    low[i] >= lo[i] - EPS - reach && high[i] <= lo[i] + size[i] + EPS + reach
                })
            })
        })
    };
    let mut through = 0;
    for e in enclosures() {
        for p in list(&e, "passages") {
            // Open on all sides where no plate is near, as before the foot of a card.
            let (u, v) = (num(&p["clear"][0]) / 2.0, num(&p["clear"][1]) / 2.0);
            let (a, b) = (at(&p["frame"], -u, -v), at(&p["frame"], u, v));
            let low = [0, 1, 2].map(|i| a[i].min(b[i]));
            let high = [0, 1, 2].map(|i| a[i].max(b[i]));
            let near = list(&e, "plates").iter().any(|q| {
                let (lo, hi) = bounds(&q["solid"]);
                (0..3).all(|i| low[i] < hi[i] && high[i] + 1.0 > lo[i])
            });
            assert!(!near || cut(&e, low, high), "{}: {}", e["id"], p["id"]);
            through += usize::from(near);
        }
        for o in list(&e, "openings") {
            let (low, high) = face(o);
            // A supply's face is larger than the window that leaves its screws metal.
            if o["kind"] != "supply-face" {
                assert!(cut(&e, low, high), "{}: {}", e["id"], o["id"]);
                through += 1;
            }
        }
    }
    assert!(through > 40);
}

#[test]
fn board_openings_stand_where_the_standard_has_them() {
    // microATX 1.2 Fig. 4: 158.75 x 44.45, lower edge 3.81 below the board's top
    // (published); left edge 7.52 right of column C and 12.27 behind the row of holes
    // A-B-C (transcribed by others). The board is 1.57 thick.
    let mut seen = 0;
    for e in enclosures() {
        let boards = |z: &&Value| list(z, "takes").contains(&Value::from("board"));
        for z in list(&e, "zones").iter().filter(boards) {
            let all = holes(&sets(), z);
            let c = all.iter().find(|h| h.label == "C").expect("hole C");
            let place = at(&z["frame"], c.u, c.v);
            let (right, out) = (dir(&z["frame"]["u"]), dir(&z["frame"]["out"]));
            let near = |o: &&Value| o["kind"] == "board-io";
            let distance = |o: &Value| {
                let (low, high) = face(o);
                let edge = |axis: (usize, f64), near: bool| {
                    let x = if (axis.1 > 0.0) == near { low } else { high };
                    (x[axis.0] - place[axis.0]) * axis.1
                };
                [
                    edge(right, true),
                    edge(right, false),
                    edge(out, true),
                    edge(out, false),
                    low[1] - place[1],
                ]
            };
            let opening = list(&e, "openings")
                .iter()
                .filter(near)
                .min_by(|a, b| {
                    distance(a)[0]
                        .abs()
                        .total_cmp(&distance(b)[0].abs())
                        .then(distance(a)[2].abs().total_cmp(&distance(b)[2].abs()))
                })
                .expect("an opening for boards");
            let expected = [7.52, 7.52 + 158.75, 1.57 - 3.81, 1.57 - 3.81 + 44.45, 12.27];
            for (found, wanted) in distance(opening).iter().zip(expected) {
                assert!(
                    (found - wanted).abs() < 0.011,
                    "{}: {}: {found} {wanted}",
                    e["id"],
                    z["id"]
                );
            }
            seen += 1;
        }
    }
    assert!(seen >= 5);
}

#[test]
fn the_channel_and_the_drilled_plates_have_their_figures() {
    let all = enclosures();
    let two = by_id(&all, "two-chamber");
    let zones = list(two, "zones");
    let channel = by_id(zones, "channel");
    // From the plate's upper face to the lid's lower one.
    let lid = bounds(&by_id(list(two, "plates"), "lid")["solid"]).0[2];
    let plate = bounds(&by_id(list(two, "plates"), "channel")["solid"]).1[2];
    assert!((lid - plate - 55.0).abs() < EPS && num(&channel["depth"]) == 55.0);
    assert!(
        list(channel, "holes")
            .iter()
            .all(|h| h.get("slot").is_some())
    );
    let cube = by_id(&all, "cube-microatx");
    let front = holes(&sets(), by_id(list(cube, "zones"), "front-fan"));
    // Fan pitches 105 and 124.5 about one middle (catalogues of fans, by others).
    for pitch in [105.0, 124.5] {
        let square = front.iter().filter(|h| {
            ((h.u - 70.0).abs() - pitch / 2.0).abs() < EPS
                && ((h.v - 70.0).abs() - pitch / 2.0).abs() < EPS
        });
        assert_eq!(square.count(), 4, "{pitch}");
    }
    // Rails: side holes of a 3.5 in drive at 28.50 and 130.10, 6.35 up (SFF-8301, by others).
    let store = by_id(&all, "storage-box");
    let bay = |n: usize| by_id(list(store, "zones"), &format!("bay-{n}")).clone();
    for n in 1..=4 {
        let h = holes(&sets(), &bay(n));
        let found: Vec<(f64, f64)> = h.iter().map(|h| (h.u, h.v)).collect();
        assert_eq!(found, [(28.5, 6.35), (130.1, 6.35)]);
    }
    // Rack: 19 in = 482.6 wide, two units of 1.75 in less 0.8 high (from memory).
    let rack = point(&by_id(&all, "rack-shallow")["size"]);
    assert!((rack[0] - 19.0 * 25.4).abs() < EPS && (rack[2] - (2.0 * 44.45 - 0.8)).abs() < EPS);
}

#[test]
fn figures_are_sourced_and_the_boxes_are_compact() {
    // Litres that a builder would call compact (common practice, no source); the
    // test field is a wall of shelves.
    let most = [
        ("cube-microatx", 23.0),
        ("rack-shallow", 15.0),
        ("slim-upright", 7.0),
        ("storage-box", 10.0),
        ("two-chamber", 14.0),
    ];
    for e in enclosures() {
        let figures = list(&e, "figures");
        assert!(
            figures.iter().any(|f| f["confidence"] == "invented"),
            "{}",
            e["id"]
        );
        for f in figures {
            let weak = text(f, "source").contains("from memory");
            let said = ["memory", "secondary"].contains(&text(f, "confidence"));
            assert!(!weak || said, "better said than founded: {f}");
        }
        let Some((_, limit)) = most.iter().find(|m| e["id"] == m.0) else {
            assert_eq!(e["id"], "test-field");
            continue;
        };
        let size = point(&e["size"]);
        let litres = size.iter().product::<f64>() / 1e6;
        assert!(litres <= *limit, "{}: {litres} l", e["id"]);
    }
}
