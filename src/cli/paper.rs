//! `closefit list`, `closefit template`, `closefit sheet`: reading their words and carrying them out.

use super::arrangement::shown;
use super::{Exit, Said};
use crate::export::paper::{
    ListFormat, TemplateFormat, is_html, list_bytes, sheet_bytes, template_bytes,
};
use crate::model::{Catalogue, Scene, Settings};
use crate::paper::template::{Grille, Options, Pattern, Subject};
use crate::paper::{Build, LISTS, List, Paper};
use crate::rules::Checker;
use std::path::PathBuf;
use std::sync::Arc;

/// What is asked for on paper or as a list, and of which arrangement.
#[derive(Clone, PartialEq, Debug)]
pub struct Wanted {
    /// The scene.
    pub scene: PathBuf,
    /// The arrangement, by number or name; the one at hand without.
    pub arrangement: Option<String>,
    /// What.
    pub what: What,
}

/// A list, a template or the build sheet.
#[derive(Clone, PartialEq, Debug)]
pub enum What {
    /// A list.
    List {
        /// Its name, as in [`LISTS`].
        list: &'static str,
        /// CSV, JSON or, for labels, pages.
        format: ListFormat,
        /// Sheets of a PDF.
        paper: Paper,
        /// The file; standard output without.
        out: Option<PathBuf>,
    },
    /// A drill and cut template.
    Template {
        /// Zone or plate.
        subject: Subject,
        /// Side and grille.
        options: Options,
        /// Sheets of a PDF.
        paper: Paper,
        /// The file; its ending decides the format.
        out: PathBuf,
    },
    /// The build sheet.
    Sheet {
        /// Sheets of a PDF.
        paper: Paper,
        /// The file: `.pdf` or `.html`.
        out: PathBuf,
    },
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

    /// What is wanted, of the scene and the arrangement that were named.
    fn wanted(&self, scene: &str, what: What) -> Wanted {
        Wanted {
            scene: scene.into(),
            arrangement: self.value("--arrangement").map(str::to_owned),
            what,
        }
    }

    fn value(&self, name: &str) -> Option<&str> {
        let found = self.values.iter().rev().find(|(n, _)| n == name);
        found.map(|(_, v)| v.as_str())
    }
}

/// Understands the words after `list`.
pub fn parse_list(words: &[String]) -> Result<Wanted, String> {
    let values = ["--out", "--paper", "--arrangement"];
    let found = sorted(words, &["--csv", "--json"], &values)?;
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
    let by_name = out.as_deref().and_then(ListFormat::of);
    let format = match (found.has("--csv"), found.has("--json")) {
        (true, _) => ListFormat::Csv,
        (_, true) => ListFormat::Json,
        _ => by_name.unwrap_or(ListFormat::Csv),
    };
    if format == ListFormat::Pages && list.id != "labels" {
        return Err(
            "of the lists only labels are printed as pages; `sheet` prints the others".to_owned(),
        );
    }
    let what = What::List {
        list: list.id,
        format,
        paper: paper(&found)?,
        out,
    };
    Ok(found.wanted(scene, what))
}

/// Understands the words after `template`.
pub fn parse_template(words: &[String]) -> Result<Wanted, String> {
    let values = [
        "--zone",
        "--plate",
        "--paper",
        "--out",
        "--grille",
        "--hole",
        "--bar",
        "--arrangement",
    ];
    let found = sorted(words, &["--other-side"], &values)?;
    let [scene] = found.plain.as_slice() else {
        return Err("template needs one scene file".to_owned());
    };
    let subject = match (found.value("--zone"), found.value("--plate")) {
        (Some(zone), None) => Subject::Zone(zone.to_owned()),
        (None, Some(plate)) => Subject::Plate(plate.to_owned()),
        _ => return Err("template needs --zone ZONE or --plate PLATE".to_owned()),
    };
    let figure = |name: &str, usual: f64| match found.value(name) {
        None => Ok(usual),
        Some(text) => text
            .parse::<f64>()
            .ok()
            .filter(|v| (0.5..=50.0).contains(v))
            .ok_or(format!("{name} takes 0.5 to 50 mm, not '{text}'")),
    };
    let (hole, bar) = (
        figure("--hole", Grille::USUAL.hole)?,
        figure("--bar", Grille::USUAL.bar)?,
    );
    let grille = match found.value("--grille") {
        None if found.value("--hole").is_some() || found.value("--bar").is_some() => {
            return Err("--hole and --bar go with --grille round, hex or slots".to_owned());
        }
        None => None,
        Some(word) => Some(Grille {
            pattern: Pattern::from_name(word)
                .ok_or(format!("a grille is round, hex or slots, not '{word}'"))?,
            hole,
            bar,
        }),
    };
    let out: PathBuf = found
        .value("--out")
        .ok_or("template needs --out FILE.pdf, FILE.svg or FILE.dxf")?
        .into();
    if TemplateFormat::of(&out).is_none() {
        return Err(format!(
            "'{}' has to end in .pdf, .svg or .dxf",
            out.display()
        ));
    }
    let what = What::Template {
        subject,
        options: Options {
            other_side: found.has("--other-side"),
            grille,
        },
        paper: paper(&found)?,
        out,
    };
    Ok(found.wanted(scene, what))
}

/// Understands the words after `sheet`.
pub fn parse_sheet(words: &[String]) -> Result<Wanted, String> {
    let found = sorted(words, &[], &["--paper", "--out", "--arrangement"])?;
    let [scene] = found.plain.as_slice() else {
        return Err("sheet needs one scene file".to_owned());
    };
    let out = found.value("--out");
    let out: PathBuf = out.ok_or("sheet needs --out FILE.pdf or FILE.html")?.into();
    if is_html(&out).is_none() {
        return Err(format!("'{}' has to end in .pdf or .html", out.display()));
    }
    let what = What::Sheet {
        paper: paper(&found)?,
        out,
    };
    Ok(found.wanted(scene, what))
}

fn paper(found: &Words) -> Result<Paper, String> {
    let word = found.value("--paper").unwrap_or("a4");
    Paper::from_name(word).ok_or(format!("--paper takes a4 or letter, not '{word}'"))
}

/// Carries it out.
pub fn run(
    scene: &Scene,
    catalogue: Arc<Catalogue>,
    settings: Arc<Settings>,
    wanted: &Wanted,
) -> Said {
    let scene = &match shown(scene, wanted.arrangement.as_deref()) {
        Ok(scene) => scene,
        Err(e) => return Said::failed(e, Exit::Usage),
    };
    let mut checker = Checker::new(settings).with_catalogue(catalogue);
    checker.check_all(scene);
    let build = Build::of(scene, &checker);
    match &wanted.what {
        What::List {
            list,
            format,
            paper,
            out,
        } => match (list_bytes(&build, list, *format, *paper), out) {
            (Ok(bytes), Some(path)) => Said::written(path, &bytes),
            (Ok(bytes), None) => Said::sound(String::from_utf8_lossy(&bytes)),
            (Err(why), _) => Said::failed(why, Exit::Usage),
        },
        What::Template {
            subject,
            options,
            paper,
            out,
        } => {
            let Some(format) = TemplateFormat::of(out) else {
                return Said::failed("a template file ends in .pdf, .svg or .dxf", Exit::Usage);
            };
            match template_bytes(&build, subject, *options, *paper, format) {
                Ok(bytes) => Said::written(out, &bytes),
                Err(why) => Said::failed(why, Exit::Usage),
            }
        }
        What::Sheet { paper, out } => {
            let html = is_html(out).unwrap_or(false);
            match sheet_bytes(&build, *paper, html) {
                Ok(bytes) => Said::written(out, &bytes),
                Err(why) => Said::failed(why, Exit::Unreadable),
            }
        }
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
        let line = "s.json leads --out leads.JSON --arrangement second";
        let wanted = parse_list(&words(line)).expect("understood");
        assert_eq!(wanted.arrangement.as_deref(), Some("second"));
        let What::List {
            list, format, out, ..
        } = wanted.what
        else {
            panic!("a list");
        };
        assert_eq!((list, format), ("leads", ListFormat::Json));
        assert_eq!(out, Some(PathBuf::from("leads.JSON")));
        for wrong in [
            "",
            "s.json",
            "s.json nails",
            "s.json parts --csv --json",
            "s.json parts --x",
            "s.json parts --out parts.pdf",
        ] {
            assert!(parse_list(&words(wrong)).is_err(), "{wrong}");
        }
        assert!(
            parse_list(&words("s.json nails"))
                .unwrap_err()
                .contains("screws")
        );
    }

    #[test]
    fn a_template_names_its_zone_or_plate_and_its_file() {
        let line = "s.json --zone radiator/fans-b --grille hex --hole 4 --out t.dxf";
        let Ok(Wanted {
            what: What::Template {
                subject, options, ..
            },
            ..
        }) = parse_template(&words(line))
        else {
            panic!("understood");
        };
        assert_eq!(subject, Subject::Zone("radiator/fans-b".to_owned()));
        let grille = options.grille.unwrap();
        assert_eq!(
            (grille.pattern, grille.hole, grille.bar),
            (Pattern::Hex, 4.0, 1.5)
        );
        for wrong in [
            "s.json --zone a --plate b --out t.svg",
            "s.json --out t.svg",
            "s.json --zone a --out t.png",
            "s.json --zone a",
            "s.json --zone a --hole 4 --out t.svg",
            "s.json --zone a --grille hex --hole nan --out t.svg",
            "s.json --zone a --paper a5 --out t.pdf",
        ] {
            assert!(parse_template(&words(wrong)).is_err(), "{wrong}");
        }
    }
}
