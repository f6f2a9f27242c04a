//! Every rule has a scene that just passes and one that just fails, in
//! `scenes/checks/<rule>_pass.json` and `_fail.json`, with the keys of all findings
//! beside it, one a line. `UPDATE_FINDINGS=1` writes the lists anew.

use crate::checked;

use checked::{check, keys, open, root};
use closefit::file;
use closefit::rules::{RULES, rule};
use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

/// The scenes of the folder, with rule and outcome as their names say.
fn scenes() -> Vec<(PathBuf, String, bool)> {
    let folder = root().join("scenes/checks");
    let mut found = Vec::new();
    for entry in fs::read_dir(&folder).expect("the folder of the check scenes") {
        let path = entry.expect("an entry").path();
        if path.extension().is_none_or(|x| x != "json") {
            continue;
        }
        let stem = path.file_stem().expect("a name").to_string_lossy();
        let (id, outcome) = stem.rsplit_once('_').unwrap_or((&stem, ""));
        assert!(rule(id).is_some(), "{stem}: there is no rule '{id}'");
        assert!(["pass", "fail"].contains(&outcome), "{stem}: pass or fail?");
        found.push((path.clone(), id.to_owned(), outcome == "pass"));
    }
    found.sort();
    found
}

#[test]
fn every_rule_has_a_scene_that_passes_and_one_that_fails() {
    let there: BTreeSet<(String, bool)> = scenes().into_iter().map(|s| (s.1, s.2)).collect();
    for rule in RULES {
        for passes in [true, false] {
            let key = (rule.id().to_owned(), passes);
            assert!(there.contains(&key), "{} has no scene that {passes}", key.0);
        }
    }
    assert_eq!(there.len(), 2 * RULES.len());
}

#[test]
fn each_scene_has_the_findings_beside_it() {
    let update = std::env::var_os("UPDATE_FINDINGS").is_some();
    let mut wrong = Vec::new();
    for (path, id, passes) in scenes() {
        let name = path.file_stem().expect("a name").to_string_lossy();
        let checker = check(&open(&path));
        let mut found = keys(checker.findings());
        found.sort();
        let distinct: BTreeSet<&String> = found.iter().collect();
        assert_eq!(
            distinct.len(),
            found.len(),
            "{name}: a key twice: {found:?}"
        );
        let of_rule = checker.findings().iter().any(|f| f.rule == id);
        assert_eq!(of_rule, !passes, "{name}: {found:?}");
        let list = path.with_extension("findings.txt");
        let text: String = found.iter().map(|k| format!("{k}\n")).collect();
        if update {
            fs::write(&list, &text).expect("the list can be written");
        }
        let stored = fs::read_to_string(&list)
            .unwrap_or_else(|e| panic!("{}: {e}; set UPDATE_FINDINGS=1", list.display()));
        if stored != text {
            wrong.push(format!("{name}: found\n{text}listed\n{stored}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_pair_of_scenes_differs_in_little_and_each_is_written_as_the_program_writes_it() {
    let all = scenes();
    for (path, _, _) in &all {
        let bytes = fs::read(path).expect("it is there");
        let scene = open(path);
        assert!(scene.own_enclosure, "{}", path.display());
        let written = file::write_scene(&scene);
        assert!(written == bytes, "{} is laid out otherwise", path.display());
    }
    // Just enough and just not: the same parts and kinds on both sides.
    for pair in all.chunks(2) {
        let (fail, pass) = (open(&pair[0].0), open(&pair[1].0));
        assert!(pair[0].1 == pair[1].1 && !pair[0].2 && pair[1].2);
        assert_eq!(fail.own_kinds, pass.own_kinds, "{}", pair[0].1);
        let more = fail.parts.len().abs_diff(pass.parts.len());
        assert!(more <= 1, "{}", pair[0].1);
    }
}

#[test]
fn what_a_failing_scene_lacks_is_said_with_its_figure() {
    // Typed from the scenes' notes: rule, needed, available.
    let figures = [
        ("clash", 0.0, -0.1),
        ("tight-gap", 3.0, 2.9),
        ("outside", 0.0, -0.1),
        ("depth-short", 52.0, 51.9),
        ("opening-missed", 0.5, 0.6),
        ("cable-short", 330.0, 299.9),
    ];
    for (id, needed, available) in figures {
        let checker = check(&open(&root().join(format!("scenes/checks/{id}_fail.json"))));
        let found = checker.findings();
        let [finding] = found.as_slice() else {
            panic!("{id}: {found:#?}");
        };
        assert_eq!(
            (finding.needed, finding.available),
            (checked::mm(needed), checked::mm(available)),
            "{id}"
        );
    }
}
