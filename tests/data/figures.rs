//! Plain reading of the data files for tests: no code of the library, so that a
//! fault in its reader cannot hide a fault in the data.
#![allow(dead_code)] // each test binary uses its own share

use serde_json::Value;
use std::path::{Path, PathBuf};

pub const IN: f64 = 25.4;
/// Files hold whole micrometres; half of one is rounding.
pub const EPS: f64 = 0.0006;

pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("assets")
}

pub fn read(path: &Path) -> Value {
    let text = std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    serde_json::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

pub fn asset(name: &str) -> Value {
    read(&folder().join(name))
}

pub fn list<'a>(v: &'a Value, key: &str) -> &'a [Value] {
    v[key].as_array().map_or(&[], Vec::as_slice)
}

pub fn text<'a>(v: &'a Value, key: &str) -> &'a str {
    v[key]
        .as_str()
        .unwrap_or_else(|| panic!("no text '{key}' in {v}"))
}

pub fn num(v: &Value) -> f64 {
    v.as_f64().unwrap_or_else(|| panic!("no number: {v}"))
}

pub fn point(v: &Value) -> [f64; 3] {
    [num(&v[0]), num(&v[1]), num(&v[2])]
}

/// All part kinds of all files, in the files' order.
pub fn kinds() -> Vec<Value> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder().join("parts"))
        .expect("the folder of the parts")
        .map(|e| e.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|x| x == "json"))
        .collect();
    files.sort();
    files
        .iter()
        .flat_map(|p| list(&read(p), "kinds").to_vec())
        .collect()
}

pub fn kind<'a>(kinds: &'a [Value], id: &str) -> &'a Value {
    by_id(kinds, id)
}

pub fn by_id<'a>(items: &'a [Value], id: &str) -> &'a Value {
    items
        .iter()
        .find(|k| k["id"] == id)
        .unwrap_or_else(|| panic!("no '{id}'"))
}

/// (axis 0..3, sign) of a direction word.
pub fn dir(v: &Value) -> (usize, f64) {
    let word = v.as_str().unwrap_or_else(|| panic!("no direction: {v}"));
    let sign = match &word[..1] {
        "+" => 1.0,
        "-" => -1.0,
        _ => panic!("no sign: {word}"),
    };
    let axis = ["x", "y", "z"].iter().position(|a| *a == &word[1..]);
    (axis.unwrap_or_else(|| panic!("no axis: {word}")), sign)
}

/// +1 for a right-handed frame, -1 for a left-handed one, `None` for one that is
/// not square.
pub fn hand(frame: &Value) -> Option<f64> {
    let (u, v, o) = (dir(&frame["u"]), dir(&frame["v"]), dir(&frame["out"]));
    if u.0 == v.0 || v.0 == o.0 || o.0 == u.0 {
        return None;
    }
    let even = (u.0 + 1) % 3 == v.0;
    Some(if even { 1.0 } else { -1.0 } * u.1 * v.1 * o.1)
}

/// The point at (u, v) of a frame.
pub fn at(frame: &Value, u: f64, v: f64) -> [f64; 3] {
    let mut p = point(&frame["at"]);
    let (a, b) = (dir(&frame["u"]), dir(&frame["v"]));
    p[a.0] += a.1 * u;
    p[b.0] += b.1 * v;
    p
}

#[derive(Clone, Debug)]
pub struct Hole {
    pub label: String,
    pub u: f64,
    pub v: f64,
    pub seat: Option<String>,
    pub thread: Option<String>,
}

fn hole(h: &Value) -> Hole {
    let word = |k: &str| h[k].as_str().map(str::to_owned);
    Hole {
        label: text(h, "label").to_owned(),
        u: num(&h["u"]),
        v: num(&h["v"]),
        seat: word("seat"),
        thread: word("thread"),
    }
}

/// Holes of one set.
pub fn set(sets: &[Value], id: &str) -> Vec<Hole> {
    list(by_id(sets, id), "holes").iter().map(hole).collect()
}

/// Holes of a pattern or zone: its own and those of the sets that it uses.
pub fn holes(sets: &[Value], owner: &Value) -> Vec<Hole> {
    let mut out: Vec<Hole> = list(owner, "holes").iter().map(hole).collect();
    for used in list(owner, "use") {
        let only: Vec<&str> = list(used, "only")
            .iter()
            .filter_map(Value::as_str)
            .collect();
        let all = set(sets, text(used, "set"));
        for label in &only {
            assert!(all.iter().any(|h| h.label == *label), "{used}: no {label}");
        }
        for mut h in all {
            if !only.is_empty() && !only.contains(&h.label.as_str()) {
                continue;
            }
            for _ in 0..used["turned"].as_u64().unwrap_or(0) {
                (h.u, h.v) = (-h.v, h.u);
            }
            h.u += num(&used["at"][0]);
            h.v += num(&used["at"][1]);
            if let Some(t) = used["thread"].as_str() {
                h.thread = (!t.is_empty()).then(|| t.to_owned());
            }
            out.push(h);
        }
    }
    out
}

/// Smallest box around a solid: (low, high).
pub fn bounds(solid: &Value) -> ([f64; 3], [f64; 3]) {
    if let Some(b) = solid.get("box") {
        let (a, s) = (point(&b["at"]), point(&b["size"]));
        return (a, [a[0] + s[0], a[1] + s[1], a[2] + s[2]]);
    }
    if let Some(c) = solid.get("cylinder") {
        let axis = dir(&Value::from(format!("+{}", text(c, "axis")))).0;
        let (mut a, r) = (point(&c["base"]), num(&c["diameter"]) / 2.0);
        let mut b = a;
        for i in 0..3 {
            let (down, up) = if i == axis {
                (0.0, num(&c["height"]))
            } else {
                (r, r)
            };
            b[i] += up;
            a[i] -= down;
        }
        return (a, b);
    }
    let e = solid
        .get("extrusion")
        .unwrap_or_else(|| panic!("no solid: {solid}"));
    let axis = dir(&Value::from(format!("+{}", text(e, "axis")))).0;
    let (mut a, mut b) = ([f64::MAX; 3], [f64::MIN; 3]);
    (a[axis], b[axis]) = (num(&e["low"]), num(&e["high"]));
    for p in list(e, "outline") {
        for (k, i) in [(0, (axis + 1) % 3), (1, (axis + 2) % 3)] {
            a[i] = a[i].min(num(&p[k]));
            b[i] = b[i].max(num(&p[k]));
        }
    }
    (a, b)
}

/// Boxes around the solid pieces of a kind's body.
pub fn solids(kind: &Value) -> Vec<([f64; 3], [f64; 3])> {
    if kind.get("body").is_none() {
        return vec![([0.0; 3], point(&kind["size"]))];
    }
    let solid = |p: &&Value| p.get("space").is_none_or(|s| s == "solid");
    list(kind, "body")
        .iter()
        .filter(solid)
        .map(|p| bounds(&p["solid"]))
        .collect()
}
