//! `closefit route`.

use super::args::unknown;
use super::{Exit, Said};
use crate::edit::{self, Edit};
use crate::file;
use crate::geom::Length;
use crate::model::{Cable, CableId, Catalogue, Passage, Scene, Settings};
use crate::placement::Placed;
use crate::route::bundle;
use crate::route::ways::{self, NotLaid, Outcome};
use crate::rules::Checker;
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::path::PathBuf;
use std::sync::Arc;

/// What is laid, and where it goes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Route {
    /// The scene.
    pub scene: PathBuf,
    /// The file that gets the scene with the ways.
    pub out: PathBuf,
    /// Ids or names of cables; all without.
    pub cables: Vec<String>,
    /// The report as JSON.
    pub json: bool,
}

/// Understands the words after `route`.
pub(super) fn parse(words: &[String]) -> Result<Route, String> {
    let (mut scene, mut out) = (None, None);
    let (mut cables, mut json) = (Vec::new(), false);
    let mut left = words.iter();
    while let Some(word) = left.next() {
        let mut value = || left.next().ok_or(format!("{word} needs a value"));
        match word.as_str() {
            "--json" => json = true,
            "--out" => out = Some(PathBuf::from(value()?)),
            "--cable" => cables.push(value()?.clone()),
            option if option.starts_with('-') => return Err(unknown(option)),
            path if scene.is_none() => scene = Some(PathBuf::from(path)),
            extra => return Err(format!("'{extra}' is one word too many")),
        }
    }
    Ok(Route {
        scene: scene.ok_or("route needs a scene file")?,
        out: out.ok_or("route needs --out SCENE2")?,
        cables,
        json,
    })
}

/// Lays the cables of the arrangement at hand and writes the scene.
pub(super) fn route(
    mut scene: Scene,
    catalogue: Arc<Catalogue>,
    settings: Arc<Settings>,
    wanted: &Route,
) -> Said {
    let ids = match chosen(&scene, &wanted.cables) {
        Ok(ids) => ids,
        Err(why) => return Said::failed(why, Exit::Usage),
    };
    let mut checker = Checker::new(settings.clone()).with_catalogue(catalogue.clone());
    checker.check_all(&scene);
    let (placed, runs) = (checker.placed(), checker.runs());
    let hangs = Some(&*settings);
    let laid = ways::lay_all(&scene, placed, &catalogue, runs, &ids, hangs, &|| false);
    for (id, result) in &laid {
        if let Ok(found) = result {
            let set = Edit::SetCable(id.clone(), Some(found.cable.clone()));
            if let Err(e) = edit::apply(&mut scene, &set) {
                return Said::failed(e.to_string(), Exit::Unreadable);
            }
        }
    }
    if let Err(e) = file::save(&wanted.out, &scene) {
        return Said::failed(e.to_string(), Exit::Unreadable);
    }
    checker.check_all(&scene);
    let rows: Vec<Row> = laid
        .iter()
        .filter_map(|o| row(&scene, &checker, o))
        .collect();
    // A hose is not led, so that it was not is no fault.
    let sound = |r: &Row| r.hose || r.not_laid.is_none() && r.short.is_none();
    Said {
        out: match wanted.json {
            true => format!(
                "{:#}\n",
                json!({ "cables": rows.iter().map(Row::json).collect::<Vec<_>>() })
            ),
            false => {
                let rows: String = rows.iter().map(Row::text).collect();
                format!("{rows}Wrote the scene to {}.\n", wanted.out.display())
            }
        },
        err: String::new(),
        exit: match rows.iter().all(sound) {
            true => Exit::Sound,
            false => Exit::Stops,
        },
    }
}

/// The cables by id or name; all without a word.
fn chosen(scene: &Scene, words: &[String]) -> Result<Vec<CableId>, String> {
    let cables = &scene.arrangement().cables;
    if words.is_empty() {
        return Ok(cables.keys().cloned().collect());
    }
    let mut ids = Vec::new();
    for word in words {
        let named = |(id, c): &(&CableId, &Cable)| id.as_str() == word || c.name == *word;
        let found: Vec<CableId> = cables
            .iter()
            .filter(named)
            .map(|(id, _)| id.clone())
            .collect();
        if found.is_empty() {
            return Err(format!("--cable: there is no cable '{word}'"));
        }
        ids.extend(
            found
                .into_iter()
                .filter(|id| !ids.contains(id))
                .collect::<Vec<_>>(),
        );
    }
    Ok(ids)
}

/// What is said of one cable.
struct Row {
    id: CableId,
    name: String,
    hose: bool,
    not_laid: Option<String>,
    needed: Length,
    available: Length,
    short: Option<Length>,
    tightest: Option<f64>,
    bend: Length,
    free: Length,
    /// The boards that it leads under, by name.
    under: Vec<String>,
    /// Name and filled share of the passages used.
    passages: Vec<(String, f64)>,
}

fn row(scene: &Scene, checker: &Checker, (id, result): &Outcome) -> Option<Row> {
    let cable = scene.arrangement().cables.get(id)?;
    let run = checker.runs().get(id)?;
    let placed = checker.placed();
    let used = |p: &&Passage| ways::uses(run, p);
    let tightest = run.stretches.iter().filter_map(|s| s.tightest_bend);
    Some(Row {
        id: id.clone(),
        name: cable.name.clone(),
        hose: matches!(result, Err(NotLaid::Hose)),
        not_laid: result.as_ref().err().map(NotLaid::to_string),
        needed: run.needed,
        available: run.available,
        short: run.short_by(),
        tightest: tightest.min_by(f64::total_cmp),
        bend: cable.bend,
        free: ways::longest_free(placed, cable, run),
        under: ways::leads_under(placed, &run.stretches)
            .iter()
            .filter_map(|id| Some(placed.part(id)?.name.clone()))
            .collect(),
        passages: placed
            .enclosure()
            .passages
            .iter()
            .filter(used)
            .map(|p| (p.name.clone(), fill(scene, checker, placed, p)))
            .collect(),
    })
}

/// The share of a passage's opening that is cable.
fn fill(scene: &Scene, checker: &Checker, _: &Placed, passage: &Passage) -> f64 {
    let users = ways::users(scene, checker.runs(), passage, None);
    let opening = passage.clear[0].as_mm() * passage.clear[1].as_mm();
    bundle::area(users) / opening.max(1e-9)
}

impl Row {
    fn text(&self) -> String {
        let mut text = format!("{}: ", self.name);
        if let Some(why) = &self.not_laid {
            _ = write!(text, "not laid, {why}; ");
        }
        _ = write!(
            text,
            "needs {} mm, has {}",
            self.needed.text1(),
            self.available.text1()
        );
        _ = match self.short {
            Some(short) => write!(text, ", {} short", short.text1()),
            None => write!(text, ", {} spare", (self.available - self.needed).text1()),
        };
        if let Some(tightest) = self.tightest {
            _ = write!(
                text,
                "; bends to {}, may to {}",
                Length::mm1(tightest),
                self.bend.text1()
            );
        }
        _ = write!(text, "; hangs free for {:.0} mm at most", self.free.as_mm());
        for name in &self.under {
            _ = write!(text, "; thread it before {name} is screwed down");
        }
        for (name, share) in &self.passages {
            _ = write!(
                text,
                "; through {name}, {:.0} % full",
                (100.0 * share).max(0.0)
            );
        }
        text.push('\n');
        text
    }

    fn json(&self) -> Value {
        json!({
            "cable": self.id.as_str(),
            "name": self.name,
            "laid": self.not_laid.is_none(),
            "why_not": self.not_laid,
            "needed_mm": self.needed.as_mm(),
            "at_hand_mm": self.available.as_mm(),
            "spare_mm": (self.available - self.needed).as_mm(),
            "short_mm": self.short.map(Length::as_mm),
            "tightest_bend_mm": self.tightest,
            "least_bend_mm": self.bend.as_mm(),
            "longest_free_span_mm": self.free.as_mm(),
            "thread_before_screwing_down": self.under,
            "passages": self.passages.iter().map(|(name, share)| json!({"name": name, "filled": share})).collect::<Vec<_>>(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(line: &str) -> Vec<String> {
        line.split_whitespace().map(str::to_owned).collect()
    }

    #[test]
    fn wishes_are_understood_and_wrong_ones_named() {
        let read = parse(&words(
            "a.json --cable main --out b.json --cable cpu --json",
        ))
        .unwrap();
        assert_eq!((read.cables.len(), read.json), (2, true));
        for (line, with) in [
            ("", "scene file"),
            ("a.json", "--out"),
            ("a.json --out b --cable", "--cable needs"),
            ("a.json b.json --out c", "b.json"),
            ("a.json --out b --all", "--all"),
        ] {
            let error = parse(&words(line)).unwrap_err();
            assert!(error.contains(with), "{line}: {error}");
        }
    }
}
