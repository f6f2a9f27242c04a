//! `closefit arrange`.

use super::args::unknown;
use super::{Exit, Said};
use crate::edit;
use crate::file;
use crate::geom::{Length, Turn};
use crate::model::{Catalogue, PartId, Scene, Settings};
use crate::rules::Checker;
use crate::search::scene::{
    Aim, Answer, End, Figures, Found, MOST_WEIGHT, Run, Wish, few, seek, turn_from, zone_from,
};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

/// Most arrangements looked for.
const MOST_TOP: usize = 50;

/// What is looked for, and where it goes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Arrange {
    /// The scene.
    pub scene: PathBuf,
    /// The file that gets the scene with what was found.
    pub out: PathBuf,
    /// How many arrangements.
    pub top: usize,
    /// Ends the search.
    pub time: Duration,
    /// Parts that may move; all that are not locked without.
    pub moving: Option<BTreeSet<PartId>>,
    /// Zones that a part may take, as words.
    pub zones: Vec<(PartId, Vec<String>)>,
    /// Turns that a part may take; none for the one that it has.
    pub turns: Vec<(PartId, Vec<Turn>)>,
    /// The least gap between parts.
    pub gap: Option<Length>,
    /// What counts, where it is not as usual.
    pub weights: Vec<(Aim, u32)>,
    /// Searching threads; as many as the machine has without.
    pub threads: Option<usize>,
    /// Another order of trying.
    pub seed: u64,
    /// The report as JSON.
    pub json: bool,
}

/// Understands the words after `arrange`.
pub(super) fn parse(words: &[String]) -> Result<Arrange, String> {
    let (mut scene, mut out) = (None, None);
    let mut wanted = Arrange {
        scene: PathBuf::new(),
        out: PathBuf::new(),
        top: 3,
        time: Duration::from_secs(60),
        moving: None,
        zones: Vec::new(),
        turns: Vec::new(),
        gap: None,
        weights: Vec::new(),
        threads: None,
        seed: 0,
        json: false,
    };
    let mut left = words.iter();
    while let Some(word) = left.next() {
        let mut value = || left.next().ok_or(format!("{word} needs a value"));
        match word.as_str() {
            "--json" => wanted.json = true,
            "--out" => out = Some(PathBuf::from(value()?)),
            "--top" => wanted.top = number(word, value()?, 1, MOST_TOP as u64)? as usize,
            "--time" => wanted.time = seconds(value()?)?,
            "--threads" => wanted.threads = Some(number(word, value()?, 1, 256)? as usize),
            "--seed" => wanted.seed = number(word, value()?, 0, u64::MAX)?,
            "--gap" => {
                let text = value()?;
                let gap = text.parse().ok().and_then(Length::from_mm);
                let gap = gap.filter(|g| (Length::ZERO..=Length::mm(100)).contains(g));
                wanted.gap =
                    Some(gap.ok_or_else(|| format!("--gap takes 0 to 100 mm, not '{text}'"))?);
            }
            "--move" => {
                let ids = value()?
                    .split(',')
                    .map(|id| PartId::new(id).map_err(|why| format!("'{id}' is no part: {why}")));
                wanted.moving = Some(ids.collect::<Result<_, _>>()?);
            }
            "--zone" => {
                let (part, zones) = of_part(word, value()?)?;
                let zones = zones.split(',').map(str::to_owned).collect();
                wanted.zones.push((part, zones));
            }
            "--turn" => wanted.turns.push(turns(value()?)?),
            "--weight" => wanted.weights.push(weight(value()?)?),
            option if option.starts_with('-') => return Err(unknown(option)),
            path if scene.is_none() => scene = Some(PathBuf::from(path)),
            extra => return Err(format!("'{extra}' is one word too many")),
        }
    }
    wanted.scene = scene.ok_or("arrange needs a scene file")?;
    wanted.out = out.ok_or("arrange needs --out SCENE2")?;
    Ok(wanted)
}

fn number(word: &str, text: &str, least: u64, most: u64) -> Result<u64, String> {
    let read = text.parse().ok().filter(|n| (least..=most).contains(n));
    read.ok_or_else(|| format!("{word} takes {least} to {most}, not '{text}'"))
}

pub(super) fn seconds(text: &str) -> Result<Duration, String> {
    let read = text.parse().ok().filter(|s| (0.0..=86_400.0).contains(s));
    read.map(Duration::from_secs_f64)
        .ok_or_else(|| format!("--time takes 0 to 86400 seconds, not '{text}'"))
}

/// 'cable-length=3'.
fn weight(text: &str) -> Result<(Aim, u32), String> {
    let names: Vec<&str> = Aim::ALL.into_iter().map(Aim::name).collect();
    let wrong = || {
        format!(
            "--weight takes AIM=N with 0 to {MOST_WEIGHT}, AIM one of {}; not '{text}'",
            names.join(", ")
        )
    };
    let (name, number) = text.split_once('=').ok_or_else(wrong)?;
    let aim = Aim::ALL.into_iter().find(|a| a.name() == name);
    let number = number.parse().ok().filter(|n| *n <= MOST_WEIGHT);
    aim.zip(number).ok_or_else(wrong)
}

/// 'fan=front-zone': a part and what is said of it.
fn of_part<'a>(word: &str, text: &'a str) -> Result<(PartId, &'a str), String> {
    let wrong = || format!("{word} takes PART=…, not '{text}'");
    let (part, rest) = text.split_once('=').ok_or_else(wrong)?;
    let part = PartId::new(part).map_err(|why| format!("'{part}' is no part: {why}"))?;
    Ok((part, rest))
}

/// 'drive=keep' or 'drive=+x+y,+z+y'.
fn turns(text: &str) -> Result<(PartId, Vec<Turn>), String> {
    let (part, rest) = of_part("--turn", text)?;
    if rest == "keep" {
        return Ok((part, Vec::new()));
    }
    let read = |t: &str| {
        turn_from(t).ok_or_else(|| {
            format!("--turn takes PART=keep or where its own x and y point, +x+y, not '{t}'")
        })
    };
    let turns: Result<_, _> = rest.split(',').map(read).collect();
    Ok((part, turns?))
}

/// As many threads as the machine has.
pub(super) fn all_threads() -> usize {
    std::thread::available_parallelism().map_or(1, std::num::NonZero::get)
}

/// Looks for arrangements and writes the scene with those found.
pub(super) fn arrange(
    mut scene: Scene,
    catalogue: Arc<Catalogue>,
    settings: Arc<Settings>,
    wanted: &Arrange,
) -> Said {
    let mut wish = Wish::of(&scene);
    if let Some(moving) = &wanted.moving {
        if let Some(id) = moving.iter().find(|id| !scene.parts.contains_key(*id)) {
            return Said::failed(format!("--move: there is no part '{id}'"), Exit::Usage);
        }
        wish.movable.clone_from(moving);
    }
    if let Err(why) = narrow(&mut wish, &scene, wanted) {
        return Said::failed(why, Exit::Usage);
    }
    let few = match wanted.moving {
        Some(_) => None,
        None => {
            let mut checker = Checker::new(settings.clone()).with_catalogue(catalogue.clone());
            checker.check_all(&scene);
            few(&scene, &checker)
        }
    };
    if let Some(few) = &few {
        wish.movable.clone_from(&few.parts);
    }
    wish.top = wanted.top;
    wish.gap = wanted.gap;
    wish.seed = wanted.seed;
    for (aim, weight) in &wanted.weights {
        wish.weights.set(*aim, *weight);
    }
    let run = Run {
        threads: wanted.threads.unwrap_or_else(all_threads),
        time_limit: Some(wanted.time),
        keep_on: true,
        ..Run::default()
    };
    let mut answer = seek(&scene, &wish, &settings, &catalogue, &run);
    if let Some(few) = few {
        let names: Vec<&str> = few.parts.iter().map(PartId::as_str).collect();
        let words = format!("{} with --move; here {}", few.words, names.join(","));
        answer.notes.insert(0, words);
    }
    let base = scene.current;
    for found in answer.found.iter().filter(|f| !f.stands) {
        for e in found.as_new(&scene) {
            if let Err(e) = edit::apply(&mut scene, &e) {
                return Said::failed(e.to_string(), Exit::Unreadable);
            }
        }
    }
    scene.current = base;
    // Where nothing new was found, a file that is there already is left alone.
    let none = answer.found.is_empty();
    if added(&answer) > 0
        && let Err(e) = file::save(&wanted.out, &scene)
    {
        return Said::failed(e.to_string(), Exit::Unreadable);
    }
    Said {
        out: match wanted.json {
            true => format!("{:#}\n", as_json(&answer)),
            false => as_text(&answer) + &wrote(&answer, &wanted.out),
        },
        err: String::new(),
        exit: match none {
            true => Exit::Stops,
            false => Exit::Sound,
        },
    }
}

/// Puts the zones and turns asked for into the wish.
fn narrow(wish: &mut Wish, scene: &Scene, wanted: &Arrange) -> Result<(), String> {
    let known = |word: &str, id: &PartId| match scene.parts.contains_key(id) {
        true => Ok(()),
        false => Err(format!("{word}: there is no part '{id}'")),
    };
    let stays = |id: &PartId| {
        let locked = scene.placed(id).is_some_and(|(_, p)| p.locked);
        locked || wanted.moving.as_ref().is_some_and(|m| !m.contains(id))
    };
    let limited = wanted.zones.iter().map(|z| &z.0);
    let limited = limited.chain(wanted.turns.iter().map(|t| &t.0));
    if let Some(id) = limited
        .into_iter()
        .find(|id| scene.parts.contains_key(*id) && stays(id))
    {
        return Err(format!(
            "--zone and --turn: '{id}' stays where it is, for it is locked or not named by --move"
        ));
    }
    for (id, words) in &wanted.zones {
        known("--zone", id)?;
        for text in words {
            let zone = zone_from(scene, text).ok_or_else(|| {
                let all: Vec<&str> = scene.enclosure.zones.iter().map(|z| z.id.as_str()).collect();
                let all = all.join(", ");
                format!("--zone: there is no zone '{text}'; the enclosure has {all}; those of a part are PART/ZONE")
            })?;
            wish.zones.entry(id.clone()).or_default().insert(zone);
        }
    }
    for (id, turns) in &wanted.turns {
        known("--turn", id)?;
        let now = scene.placed(id).map(|(_, p)| p.turn);
        if turns.is_empty() && now.is_none() {
            return Err(format!(
                "--turn: '{id}' lies beside the enclosure and has no turn to keep"
            ));
        }
        let keep = turns.is_empty().then_some(now).flatten();
        let all = wish.turns.entry(id.clone()).or_default();
        all.extend(turns.iter().copied().chain(keep));
    }
    Ok(())
}

fn as_text(answer: &Answer) -> String {
    let mut text = String::new();
    if let Some(at_hand) = &answer.at_hand {
        let (points, figures) = (at_hand.words(), &at_hand.figures);
        _ = writeln!(text, "at hand: {points}; {}", in_words(figures));
    }
    for found in &answer.found {
        let (name, figures) = (found.title(), &found.figures);
        let points = found.points;
        _ = writeln!(text, "{name}: {points:.1} points; {}", in_words(figures));
    }
    _ = writeln!(text, "{}", answer.words());
    for note in &answer.notes {
        _ = writeln!(text, "{note}.");
    }
    text
}

/// How many were found that are not what stands there already.
fn added(answer: &Answer) -> usize {
    answer.found.iter().filter(|f| !f.stands).count()
}

fn wrote(answer: &Answer, out: &Path) -> String {
    match added(answer) {
        0 if !answer.found.is_empty() => {
            "Nothing was written, for nothing else was found than what stands there.\n".to_owned()
        }
        0 => "Nothing was written.\n".to_owned(),
        n => format!("Wrote the scene with {n} more to {}.\n", out.display()),
    }
}

fn in_words(f: &Figures) -> String {
    format!(
        "cables {} mm, cautions {}{}, gap of movable parts {}, parts moved {}",
        f.cables.text1(),
        f.cautions,
        f.ways_words(),
        f.gap_words(),
        f.moved
    )
}

fn as_json(answer: &Answer) -> Value {
    let (end, share) = match &answer.end {
        End::Proved => ("proved", None),
        End::Within(share) => ("within", Some(*share)),
        End::SoFar => ("so-far", None),
        End::BestLooked => ("best-looked", None),
        End::Impossible(_) => ("impossible", None),
        End::NoneLooked(..) => ("none-looked", None),
        End::Stays(_) => ("stays", None),
        End::NothingMoves => ("nothing-moves", None),
        End::Stopped => ("stopped", None),
    };
    let demands = match &answer.end {
        End::Impossible(clash) | End::NoneLooked(clash, _) => Some(&clash.words),
        _ => None,
    };
    json!({
        "end": end,
        "within": share,
        "demands": demands,
        "words": answer.words(),
        "places": answer.places,
        "notes": answer.notes,
        "at_hand": answer.at_hand.map(|at_hand| {
            let mut value = figures(&at_hand.figures);
            value["points"] = json!(at_hand.points);
            value["stops"] = json!(at_hand.stops);
            value
        }),
        "found": answer.found.iter().map(one).collect::<Vec<_>>(),
    })
}

fn one(found: &Found) -> Value {
    let kinds = found.kinds.iter();
    let kinds = kinds.map(|(id, k)| json!({"part": id.as_str(), "kind": k.id.as_str()}));
    let mut value = figures(&found.figures);
    value["name"] = json!(found.arrangement.name);
    value["points"] = json!(found.points);
    value["proved"] = json!(found.proved);
    value["as_it_stands"] = json!(found.stands);
    value["kinds"] = kinds.collect();
    value
}

fn figures(f: &Figures) -> Value {
    json!({
        "cables_mm": f.cables.as_mm(),
        "cautions": f.cautions,
        "without_free_way": f.blocked,
        "movable_gap_mm": f.movable_gap.map(Length::as_mm),
        "moved": f.moved,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(line: &str) -> Vec<String> {
        line.split_whitespace().map(str::to_owned).collect()
    }

    #[test]
    fn wishes_are_understood() {
        let line = "a.json --out b.json --top 7 --time 2.5 --move fan,drive-1 --weight cautions=0 --gap 1.5";
        let read = parse(&words(line)).unwrap();
        assert_eq!((read.top, read.time), (7, Duration::from_millis(2500)));
        assert_eq!(read.moving.map(|m| m.len()), Some(2));
        assert_eq!(read.weights, [(Aim::Cautions, 0)]);
        assert_eq!(read.gap, Some(Length::um(1500)));
        let line =
            "a.json --out b.json --zone fan=front,cage/bay --turn drive=keep --turn fan=+z+y";
        let read = parse(&words(line)).unwrap();
        let fan = PartId::new("fan").unwrap();
        assert_eq!(read.zones, [(fan.clone(), words("front cage/bay"))]);
        assert_eq!((&read.turns[0].1, &read.turns[1].0), (&Vec::new(), &fan));
    }

    #[test]
    fn wrong_wishes_are_named() {
        for (line, with) in [
            ("", "scene file"),
            ("a.json", "--out"),
            ("a.json --out b --top 0", "'0'"),
            ("a.json --out b --time -1", "'-1'"),
            ("a.json --out b --time NaN", "'NaN'"),
            ("a.json --out b --gap inf", "'inf'"),
            ("a.json --out b --weight beauty=3", "cable-length"),
            ("a.json --out b --weight cautions=999", "999"),
            ("a.json --out b --move Fan", "'Fan'"),
            ("a.json --out b --zone fan", "PART="),
            ("a.json --out b --turn fan=+x+x", "'+x+x'"),
        ] {
            let error = parse(&words(line)).unwrap_err();
            assert!(error.contains(with), "{line}: {error}");
        }
    }
}
