//! `closefit compare`.

use super::{Exit, Said};
use crate::compare::{Table, differences};
use crate::model::{Catalogue, Scene, Settings};
use std::path::PathBuf;
use std::sync::Arc;

/// What is compared and how it is written.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Compare {
    /// The scene.
    pub scene: PathBuf,
    /// Text, JSON or CSV.
    pub form: Form,
    /// Name of the arrangement that the others are measured against; the first one
    /// without.
    pub base: Option<String>,
}

/// How the table is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Form {
    /// For people.
    #[default]
    Text,
    /// For programs.
    Json,
    /// For spreadsheets.
    Csv,
}

/// Understands the words after `compare`.
pub fn parse(words: &[String]) -> Result<Compare, String> {
    let (mut scene, mut base, mut form) = (None, None, Form::Text);
    let mut left = words.iter();
    while let Some(word) = left.next() {
        match word.as_str() {
            "--json" | "--csv" if form != Form::Text => {
                return Err("compare writes either --json or --csv".to_owned());
            }
            "--json" => form = Form::Json,
            "--csv" => form = Form::Csv,
            "--base" => {
                let name = left
                    .next()
                    .ok_or("--base needs the name of an arrangement")?;
                base = Some(name.clone());
            }
            option if option.starts_with('-') => {
                return Err(format!("'{option}' is no option here"));
            }
            path if scene.is_none() => scene = Some(PathBuf::from(path)),
            extra => return Err(format!("'{extra}' is one word too many")),
        }
    }
    let scene = scene.ok_or("compare needs a scene file")?;
    Ok(Compare { scene, form, base })
}

/// Measures every arrangement and writes the table.
pub fn compare(
    scene: &Scene,
    catalogue: &Arc<Catalogue>,
    settings: &Arc<Settings>,
    wanted: &Compare,
) -> Said {
    let names: Vec<&str> = scene.arrangements.iter().map(|a| &*a.name).collect();
    let base = match &wanted.base {
        None => 0,
        Some(name) => match super::arrangement::index(scene, name) {
            Ok(at) => at,
            Err(words) => return Said::failed(words, Exit::Usage),
        },
    };
    let mut table = Table::of(scene, settings, catalogue);
    table.base = (names.len() > 1).then_some(base);
    let out = match wanted.form {
        Form::Json => {
            let mut json = table.json();
            for (i, row) in json["arrangements"]
                .as_array_mut()
                .into_iter()
                .flatten()
                .enumerate()
            {
                let all = differences(scene, base, i);
                row["differences"] = all.iter().map(ToString::to_string).collect();
            }
            format!("{json:#}\n")
        }
        Form::Csv => String::from_utf8_lossy(&crate::export::compared::csv(&table)).into_owned(),
        Form::Text => {
            let mut text = table.text();
            for (i, name) in names.iter().enumerate() {
                let all = differences(scene, base, i);
                if !all.is_empty() {
                    text += &format!("\n{name} against {}\n", names[base]);
                    all.iter().for_each(|d| text += &format!("  {d}\n"));
                }
            }
            text
        }
    };
    Said::sound(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(line: &str) -> Vec<String> {
        line.split_whitespace().map(str::to_owned).collect()
    }

    #[test]
    fn options_are_understood_or_named() {
        let c = parse(&words("a.json --csv --base second")).expect("sound");
        assert_eq!((c.form, c.base.as_deref()), (Form::Csv, Some("second")));
        for (line, with) in [
            ("", "needs a scene"),
            ("a b", "'b'"),
            ("a --json --csv", "either"),
            ("a --base", "needs the name"),
            ("a --frob", "'--frob'"),
        ] {
            let error = parse(&words(line)).expect_err(line);
            assert!(error.contains(with), "{line}: {error}");
        }
    }
}
