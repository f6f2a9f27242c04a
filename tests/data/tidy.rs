//! House rules that a compiler does not hold: layers, file lengths, the module
//! map, colours in one table, rules and their scenes, wording.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// Lines at which a file is too long. 500 needs a reason, 800 fails.
const LONGEST: usize = 800;

/// Which layers each layer may import (`use crate::...` and paths).
const LAYERS: &[(&str, &[&str])] = &[
    ("geom", &[]),
    ("model", &["geom"]),
    ("edit", &["geom", "model"]),
    ("placement", &["geom", "model", "edit"]),
    ("route", &["geom", "model", "edit", "placement"]),
    ("rules", &["geom", "model", "edit", "placement", "route"]),
    (
        "alternatives",
        &["geom", "model", "edit", "placement", "route", "rules"],
    ),
    (
        "compare",
        &["geom", "model", "edit", "placement", "route", "rules"],
    ),
    (
        "search",
        &["geom", "model", "edit", "placement", "route", "rules"],
    ),
    (
        "view",
        &[
            "geom",
            "model",
            "edit",
            "placement",
            "route",
            "rules",
            "compare",
            "search",
        ],
    ),
    (
        "editor",
        &[
            "geom",
            "model",
            "edit",
            "placement",
            "route",
            "rules",
            "alternatives",
            "compare",
            "search",
            "view",
        ],
    ),
    ("file", &["geom", "model"]),
    (
        "paper",
        &[
            "geom",
            "model",
            "edit",
            "placement",
            "route",
            "rules",
            "compare",
            "view",
        ],
    ),
    ("export", &["geom", "compare", "view", "paper"]),
    (
        "app",
        &[
            "geom",
            "model",
            "edit",
            "placement",
            "route",
            "rules",
            "alternatives",
            "compare",
            "search",
            "view",
            "editor",
            "file",
            "paper",
            "export",
        ],
    ),
    (
        "cli",
        &[
            "geom",
            "model",
            "edit",
            "placement",
            "route",
            "rules",
            "alternatives",
            "compare",
            "search",
            "view",
            "editor",
            "file",
            "paper",
            "export",
            "app",
        ],
    ),
];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn files(dir: &Path, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let Ok(entries) = fs::read_dir(dir) else {
        return found;
    };
    for entry in entries.flatten() {
        let path = entry.path();
        if path.is_dir() {
            found.extend(files(&path, ending));
        } else if path.to_string_lossy().ends_with(ending) {
            found.push(path);
        }
    }
    found.sort();
    found
}

fn read(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

fn short(path: &Path) -> String {
    path.strip_prefix(root())
        .unwrap_or(path)
        .to_string_lossy()
        .replace('\\', "/")
}

/// Code without line comments, so that prose may name other layers.
fn code(text: &str) -> String {
    text.lines()
        .map(|l| {
            let l = l.trim_start();
            if l.starts_with("//") { "" } else { l }
        })
        .collect::<Vec<_>>()
        .join("\n")
}

fn fail_if_any(what: &str, bad: &[String]) {
    assert!(bad.is_empty(), "{what}:\n  {}", bad.join("\n  "));
}

#[test]
fn lower_layers_never_import_higher_ones() {
    let mut bad = Vec::new();
    let names: BTreeSet<&str> = LAYERS.iter().map(|(n, _)| *n).collect();
    for (layer, allowed) in LAYERS {
        let mut sources = files(&root().join("src").join(layer), ".rs");
        sources.push(root().join("src").join(format!("{layer}.rs")));
        for path in sources.iter().filter(|p| p.exists()) {
            let text = code(&read(path));
            for other in &names {
                let named = text.contains(&format!("crate::{other}::"))
                    || text.contains(&format!("use crate::{other};"));
                if named && other != layer && !allowed.contains(other) {
                    bad.push(format!("{} imports {other}", short(path)));
                }
            }
        }
    }
    fail_if_any("imports against the layers", &bad);
}

#[test]
fn every_module_is_a_layer() {
    let lib = read(&root().join("src/lib.rs"));
    let bad: Vec<String> = lib
        .lines()
        .filter_map(|l| l.strip_prefix("pub mod "))
        .map(|l| l.trim_end_matches(';').to_owned())
        .filter(|m| LAYERS.iter().all(|(n, _)| n != m))
        .collect();
    fail_if_any("modules without a layer in tests/data/tidy.rs", &bad);
}

#[test]
fn egui_and_rfd_stay_in_the_window() {
    let mut bad = Vec::new();
    for path in files(&root().join("src"), ".rs") {
        let name = short(&path);
        if name.starts_with("src/app/") || name == "src/main.rs" {
            continue;
        }
        let text = code(&read(&path));
        for word in ["egui::", "eframe::", "rfd::", "use egui", "use eframe"] {
            if text.contains(word) {
                bad.push(format!("{name} uses {word}"));
            }
        }
    }
    fail_if_any("window libraries below the window", &bad);
}

#[test]
fn colours_stand_in_one_table() {
    let allowed = ["src/view/palette", "src/app/theme.rs", "src/export/"];
    let mut bad = Vec::new();
    for path in files(&root().join("src"), ".rs") {
        let name = short(&path);
        if allowed.iter().any(|a| name.starts_with(a)) {
            continue;
        }
        let text = code(&read(&path));
        for word in [
            "Color32::from_",
            "Color32::RED",
            "Color32::WHITE",
            "Color32::BLACK",
            "Rgba::rgb(",
        ] {
            if text.contains(word) {
                bad.push(format!("{name} names a colour: {word}"));
            }
        }
    }
    fail_if_any("colours outside the palette", &bad);
}

#[test]
fn files_stay_short() {
    let mut bad = Vec::new();
    for dir in ["src", "tests"] {
        for path in files(&root().join(dir), ".rs") {
            let lines = read(&path).lines().count();
            if lines > LONGEST {
                bad.push(format!("{} has {lines} lines", short(&path)));
            }
        }
    }
    fail_if_any("files over the limit", &bad);
}

#[test]
fn every_file_says_what_it_is_for() {
    let bad: Vec<String> = ["src", "tests"]
        .iter()
        .flat_map(|d| files(&root().join(d), ".rs"))
        .filter(|p| !read(p).starts_with("//!"))
        .map(|p| short(&p))
        .collect();
    fail_if_any("files without a module doc", &bad);
}

#[test]
fn the_map_names_every_module() {
    let map = read(&root().join("DEVELOPERS.md"));
    let mut bad = Vec::new();
    for entry in fs::read_dir(root().join("src"))
        .expect("src is there")
        .flatten()
    {
        let name = entry.file_name().to_string_lossy().replace(".rs", "");
        if !map.contains(&format!("`{name}`")) {
            bad.push(name);
        }
    }
    bad.sort();
    fail_if_any("modules that DEVELOPERS.md does not name", &bad);
}

#[test]
fn every_rule_is_listed_and_has_a_passing_and_a_failing_scene() {
    let list = read(&root().join("src/rules/mod.rs"));
    let mut bad = Vec::new();
    for rule in closefit::rules::RULES {
        let id = rule.id();
        for kind in ["pass", "fail"] {
            let scene = root().join(format!("scenes/checks/{id}_{kind}.json"));
            let findings = root().join(format!("scenes/checks/{id}_{kind}.findings.txt"));
            for path in [scene, findings] {
                if !path.exists() {
                    bad.push(format!("{} is missing", short(&path)));
                }
            }
        }
        let file = root().join(format!("src/rules/{}.rs", id.replace('-', "_")));
        if !file.exists() {
            bad.push(format!("rule '{id}' has no file {}", short(&file)));
        }
    }
    for path in files(&root().join("src/rules"), ".rs") {
        let text = read(&path);
        let stem = path
            .file_stem()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        if text.contains("impl Rule for") && !list.contains(&format!("&{stem}::")) {
            bad.push(format!("{} is not in the list RULES", short(&path)));
        }
    }
    fail_if_any("rules", &bad);
}

#[test]
fn nothing_is_left_open_in_code() {
    let mut bad = Vec::new();
    for path in files(&root().join("src"), ".rs") {
        let text = read(&path);
        for word in ["todo!(", "unimplemented!(", "#[ignore", "FIXME", "XXX"] {
            if text.contains(word) {
                bad.push(format!("{}: {word}", short(&path)));
            }
        }
    }
    fail_if_any("signs of unfinished work", &bad);
}

#[test]
fn every_dependency_says_why_it_is_there() {
    let text = read(&root().join("Cargo.toml"));
    let mut section = "";
    let mut last = "";
    let mut bad = Vec::new();
    for line in text.lines() {
        if line.starts_with('[') {
            section = line;
        } else if section.contains("dependencies]") && line.contains('=') && !last.starts_with('#')
        {
            bad.push(line.to_owned());
        }
        last = line;
    }
    fail_if_any("dependencies without a reason", &bad);
}

#[test]
fn the_top_of_the_project_holds_nothing_else() {
    let allowed = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "src",
        "assets",
        "tests",
        "scenes",
        "target",
    ];
    let mut bad: Vec<String> = fs::read_dir(root())
        .expect("the project is there")
        .flatten()
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .filter(|n| !n.starts_with('.') && !allowed.contains(&n.as_str()))
        .collect();
    bad.sort();
    fail_if_any("entries at the top", &bad);
}

#[test]
fn the_readme_has_exactly_two_set_up_commands() {
    let text = read(&root().join("README.md"));
    let set_up = text
        .split("## Set up")
        .nth(1)
        .and_then(|t| t.split("\n## ").next())
        .expect("README.md has a 'Set up' section");
    let mut commands = Vec::new();
    let mut inside = false;
    for line in set_up.lines() {
        if line.starts_with("```") {
            inside = !inside;
        } else if inside && !line.trim().is_empty() {
            commands.push(line.trim());
        }
    }
    assert_eq!(commands, ["cargo run --release", "cargo test"]);
    let ci = read(&root().join(".ci/run"));
    assert!(
        ci.contains("cargo test"),
        ".ci/run calls the README's test command"
    );
}
