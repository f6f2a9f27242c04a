//! `closefit list`: reading its words and carrying it out.

use super::{Exit, Said};
use crate::export::lists;
use crate::file;
use crate::model::{Catalogue, Scene, Settings};
use crate::paper::{Build, LISTS, List};
use crate::rules::Checker;
use std::path::PathBuf;
use std::sync::Arc;

/// What is asked for on paper or as a list.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Paper {
    /// A list.
    List {
        /// The scene.
        scene: PathBuf,
        /// Its name, as in [`LISTS`].
        list: &'static str,
        /// As JSON rather than CSV.
        json: bool,
        /// The file; standard output without.
        out: Option<PathBuf>,
    },
}

impl Paper {
    /// The scene it is about.
    pub fn scene(&self) -> &PathBuf {
        match self {
            Paper::List { scene, .. } => scene,
        }
    }
}

/// Options with or without a value, and what is left.
struct Words {
    plain: Vec<String>,
    flags: Vec<String>,
    values: Vec<(String, String)>,
}

fn sorted(words: &[String], flags: &[&str], values: &[&str]) -> Result<Words, String> {
    let mut found = Words {
        plain: Vec::new(),
        flags: Vec::new(),
        values: Vec::new(),
    };
    let mut left = words.iter();
    while let Some(word) = left.next() {
        if flags.contains(&word.as_str()) {
            found.flags.push(word.clone());
        } else if values.contains(&word.as_str()) {
            let value = left.next().ok_or(format!("{word} needs a value"))?;
            found.values.push((word.clone(), value.clone()));
        } else if word.starts_with('-') {
            return Err(format!("'{word}' is no option here"));
        } else {
            found.plain.push(word.clone());
        }
    }
    Ok(found)
}

impl Words {
    fn has(&self, flag: &str) -> bool {
        self.flags.iter().any(|f| f == flag)
    }

    fn value(&self, name: &str) -> Option<&str> {
        let found = self.values.iter().rev().find(|(n, _)| n == name);
        found.map(|(_, v)| v.as_str())
    }
}

/// Understands the words after `list`.
pub fn parse_list(words: &[String]) -> Result<Paper, String> {
    let found = sorted(words, &["--csv", "--json"], &["--out"])?;
    let names: Vec<&str> = LISTS.iter().map(|l| l.id).collect();
    let [scene, list] = found.plain.as_slice() else {
        return Err(format!(
            "list needs a scene file and one of {}",
            names.join(", ")
        ));
    };
    let list = List::of(list)
        .ok_or_else(|| format!("there is no list '{list}'; there are {}", names.join(", ")))?;
    if found.has("--csv") && found.has("--json") {
        return Err("--csv or --json, not both".to_owned());
    }
    let out = found.value("--out").map(PathBuf::from);
    let ending = out.as_ref().and_then(|o| o.extension());
    let by_name = ending.is_some_and(|e| e.eq_ignore_ascii_case("json"));
    Ok(Paper::List {
        scene: scene.into(),
        list: list.id,
        json: found.has("--json") || (by_name && !found.has("--csv")),
        out,
    })
}

/// Carries it out.
pub fn run(
    scene: &Scene,
    catalogue: Arc<Catalogue>,
    settings: Arc<Settings>,
    wanted: &Paper,
) -> Said {
    let mut checker = Checker::new(settings).with_catalogue(catalogue);
    checker.check_all(scene);
    let build = Build::of(scene, &checker);
    match wanted {
        Paper::List {
            list, json, out, ..
        } => {
            let bytes = list_bytes(&build, list, *json);
            match out {
                Some(path) => write(path, &bytes),
                None => said(String::from_utf8_lossy(&bytes).into_owned()),
            }
        }
    }
}

/// A list as a file.
pub(crate) fn list_bytes(build: &Build<'_>, list: &str, json: bool) -> Vec<u8> {
    let Some(list) = List::of(list) else {
        return Vec::new();
    };
    let table = (list.make)(build);
    match json {
        true => {
            let arrangement = &build.scene.arrangement().name;
            lists::json(&table, &build.scene.title, arrangement).into_bytes()
        }
        false => lists::csv(&table),
    }
}

fn write(path: &std::path::Path, bytes: &[u8]) -> Said {
    match file::write_bytes(path, bytes) {
        Ok(()) => said(format!("wrote {}\n", path.display())),
        Err(e) => Said::failed(e.to_string(), Exit::Unreadable),
    }
}

fn said(out: String) -> Said {
    Said {
        out,
        err: String::new(),
        exit: Exit::Sound,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(line: &str) -> Vec<String> {
        line.split_whitespace().map(str::to_owned).collect()
    }

    #[test]
    fn a_list_is_asked_for_by_name() {
        let Ok(Paper::List {
            list, json, out, ..
        }) = parse_list(&words("s.json leads --out leads.JSON"))
        else {
            panic!("understood");
        };
        assert_eq!((list, json), ("leads", true));
        assert_eq!(out, Some(PathBuf::from("leads.JSON")));
        for wrong in [
            "",
            "s.json",
            "s.json nails",
            "s.json parts --csv --json",
            "s.json parts --x",
        ] {
            assert!(parse_list(&words(wrong)).is_err(), "{wrong}");
        }
        assert!(
            parse_list(&words("s.json nails"))
                .unwrap_err()
                .contains("screws")
        );
    }
}
