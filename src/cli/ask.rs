//! `closefit ask`.

use super::args::unknown;
use super::arrange::{all_threads, seconds};
use super::{Exit, Said};
use crate::model::{Catalogue, Scene, Settings};
use crate::search::questions::{Asker, QUESTIONS, question};
use crate::search::scene::Run;
use serde_json::json;
use std::fmt::Write as _;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

/// A question about a scene.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Ask {
    /// The scene.
    pub scene: PathBuf,
    /// The question's id.
    pub question: String,
    /// Ends each of its searches.
    pub time: Duration,
    /// The answer as JSON.
    pub json: bool,
}

/// Understands the words after `ask`.
pub(super) fn parse(words: &[String]) -> Result<Ask, String> {
    let mut plain = Vec::new();
    let (mut time, mut json) = (Duration::from_secs(60), false);
    let mut left = words.iter();
    while let Some(word) = left.next() {
        match word.as_str() {
            "--json" => json = true,
            "--time" => time = seconds(left.next().ok_or("--time needs a value")?)?,
            option if option.starts_with('-') => return Err(unknown(option)),
            _ => plain.push(word.clone()),
        }
    }
    let ids: Vec<&str> = QUESTIONS.iter().map(|q| q.id).collect();
    match plain.as_slice() {
        [scene, id] if question(id).is_some() => Ok(Ask {
            scene: scene.into(),
            question: id.clone(),
            time,
            json,
        }),
        [_, id] => Err(format!(
            "'{id}' is no question; there are {}",
            ids.join(", ")
        )),
        [] | [_] => Err(format!(
            "ask needs a scene file and a question: {}",
            ids.join(", ")
        )),
        [_, _, extra, ..] => Err(format!("'{extra}' is one word too many")),
    }
}

/// Answers a question; exit 1 where the answer is no.
pub(super) fn ask(
    scene: &Scene,
    catalogue: &Arc<Catalogue>,
    settings: &Arc<Settings>,
    wanted: &Ask,
) -> Said {
    let Some(question) = question(&wanted.question) else {
        return Said::failed(format!("'{}' is no question", wanted.question), Exit::Usage);
    };
    let reply = question.ask(&Asker {
        scene,
        settings,
        catalogue,
        run: Run {
            threads: all_threads(),
            time_limit: Some(wanted.time),
            ..Run::default()
        },
    });
    let mut out = String::new();
    if wanted.json {
        let json = json!({"question": question.id, "yes": reply.yes, "lines": reply.lines});
        _ = writeln!(out, "{json:#}");
    } else {
        for line in &reply.lines {
            _ = writeln!(out, "{line}");
        }
    }
    Said {
        out,
        err: String::new(),
        exit: if reply.yes { Exit::Sound } else { Exit::Stops },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_question_is_named_by_its_id() {
        let words = |line: &str| -> Vec<String> { line.split(' ').map(str::to_owned).collect() };
        let read = parse(&words("a.json longest-card --time 5")).unwrap();
        assert_eq!(
            (read.question.as_str(), read.time.as_secs()),
            ("longest-card", 5)
        );
        let wrong = parse(&words("a.json meaning-of-life")).unwrap_err();
        assert!(wrong.contains("longest-card"), "{wrong}");
        assert!(parse(&words("a.json")).unwrap_err().contains("needs"));
    }
}
