//! Reading the command line.

pub use super::arrange::Arrange;
pub use super::ask::Ask;
use super::compare::Compare;
pub use super::route::Route;
use crate::export::Format;
use crate::view::solid3d::{Corner, Walls};
use crate::view::{ViewKind, Views};
use std::path::{Path, PathBuf};

/// What the program can be asked for.
pub const USAGE: &str = "\
closefit: what goes into a compact computer enclosure, and what reaches what

  closefit [SCENE]                      opens the window, on an example without SCENE
  closefit check SCENE [--json]         lists the findings [--arrangement NAME]
  closefit picture SCENE --out FILE     writes a picture, FILE ends in .png, .svg or .pdf
      [--findings] [--dark] [--width PIXELS] [--shop FILE.json]
      [--view page|flat|top|side|front|iso]   page: all four, flat: without iso
      [--arrangement NAME]                    not the one that was saved at hand
      [--compare ARRANGEMENT ARRANGEMENT]     before and after, by number or name
      [--paper a4|letter]
      [--corner 1..8] [--explode MM] [--walls cut|ghost|whole] [--perspective]
  closefit compare SCENE [--base NAME]  measures the arrangements side by side
      [--json | --csv]
  closefit sheet SCENE --out FILE.pdf|.html [--paper a4|letter] [--arrangement NAME]
                                        writes the build sheet; the HTML ticks off, offline
  closefit list SCENE LIST [--csv|--json] [--out FILE] [--arrangement NAME]
      parts, screws, screw-totals, leads, stretches, sockets or labels;
      labels as FILE.pdf are pages to cut [--paper a4|letter]
  closefit template SCENE --zone ZONE|--plate PLATE --out FILE.pdf|.svg|.dxf
      [--other-side] [--paper a4|letter] [--grille round|hex|slots [--hole MM] [--bar MM]]
      [--arrangement NAME]
  closefit arrange SCENE --out SCENE2   looks for arrangements without a stop and adds them
      [--top N] [--time SECONDS] [--move PART,PART…] [--gap MM]
      [--zone PART=ZONE,PART/ZONE…]… [--turn PART=keep|+x+y,…]…
      [--weight AIM=N]… [--threads N] [--seed N] [--json]
                                        nothing is written where nothing new is found
  closefit ask SCENE QUESTION           answers one of the questions of the trade
      [--time SECONDS] [--json]
  closefit route SCENE --out SCENE2     lays the cables along free ways
      [--cable NAME]… [--json]
  closefit schema                       prints the JSON Schema of scene files
  closefit help                         prints this
  closefit version                      prints which version this is

Exit status: 0 no 'stop' finding, 1 some, 2 wrong use, 3 a file cannot be read or
written, or there is no display.
For 'arrange' 0 means that some arrangement without a 'stop' finding was found, 1 that
none was; for 'route' 1 means that some cable was not laid or does not reach; for 'ask' 0 is a yes, 1 a no. Without a question 'ask' names all of them.
All figures are planning figures: measure before ordering.
";

/// A command line that was understood.
#[derive(Clone, PartialEq, Debug)]
pub enum Command {
    /// Opens the window.
    Window {
        /// The scene to open; an example without.
        scene: Option<PathBuf>,
    },
    /// Lists the findings.
    Check {
        /// The scene; the first example without (only from inside the program).
        scene: Option<PathBuf>,
        /// Which arrangement, by name or number; the one at hand without.
        arrangement: Option<String>,
        /// As JSON.
        json: bool,
    },
    /// Writes a picture.
    Picture(Picture),
    /// Looks for arrangements.
    Arrange(Arrange),
    /// Answers a question.
    Ask(Ask),
    /// Lays cables.
    Route(Route),
    /// Measures the arrangements side by side.
    Compare(Compare),
    /// Writes a list, a template or the build sheet.
    Paper(super::paper::Wanted),
    /// Prints the JSON Schema.
    Schema,
    /// Prints the usage.
    Help,
    /// Prints the version.
    Version,
}

/// What picture is written.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Picture {
    /// The scene.
    pub scene: PathBuf,
    /// The file; its ending decides the format.
    pub out: PathBuf,
    /// With findings.
    pub findings: bool,
    /// Which views.
    pub views: Views,
    /// With the three-dimensional view, where there are several.
    pub iso: bool,
    /// How the three-dimensional view is drawn.
    pub solid: Solid,
    /// In the dark palette.
    pub dark: bool,
    /// The file of the shop's name, logo and colour.
    pub shop: Option<PathBuf>,
    /// The arrangement, by number or name; the one at hand without.
    pub arrangement: Option<String>,
    /// On Letter rather than A4.
    pub letter: bool,
    /// Two arrangements, by number or name, in place of the views.
    pub compare: Option<[String; 2]>,
    /// Width in pixels of a PNG.
    pub width: u32,
}

/// How the three-dimensional view is drawn, in whole numbers.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Solid {
    /// From where.
    pub corner: Corner,
    /// Millimetres by which parts are lifted off.
    pub explode_mm: u32,
    /// What becomes of the walls in the way.
    pub walls: Walls,
    /// Mildly converging.
    pub perspective: bool,
}

/// Understands the words after the program's name, or says what is wrong.
pub fn parse(words: &[String]) -> Result<Command, String> {
    let Some(first) = words.first() else {
        return Ok(Command::Window { scene: None });
    };
    let rest = &words[1..];
    // Asked of a command, help is help as well.
    if is_word(first) && rest.iter().any(|w| w == "--help" || w == "-h") {
        return Ok(Command::Help);
    }
    match first.as_str() {
        "check" => check(rest),
        "picture" => picture(rest),
        "ask" => super::ask::parse(rest).map(Command::Ask),
        "route" => super::route::parse(rest).map(Command::Route),
        "arrange" => super::arrange::parse(rest).map(Command::Arrange),
        "compare" => super::compare::parse(rest).map(Command::Compare),
        "list" => super::paper::parse_list(rest).map(Command::Paper),
        "sheet" => super::paper::parse_sheet(rest).map(Command::Paper),
        "template" => super::paper::parse_template(rest).map(Command::Paper),
        "schema" => none_left(rest, Command::Schema),
        "help" | "--help" | "-h" => Ok(Command::Help),
        "version" | "--version" | "-V" => none_left(rest, Command::Version),
        option if option.starts_with('-') => Err(unknown(option)),
        word if is_word(word) => Err(format!("there is no command '{word}', and no such file")),
        path => none_left(
            rest,
            Command::Window {
                scene: Some(PathBuf::from(path)),
            },
        ),
    }
}

/// A bare word, and not the name of a file that is there.
fn is_word(text: &str) -> bool {
    let bare = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
    !text.is_empty() && text.chars().all(bare) && !Path::new(text).exists()
}

fn none_left(rest: &[String], command: Command) -> Result<Command, String> {
    match rest.first() {
        Some(extra) => Err(format!("'{extra}' is one word too many")),
        None => Ok(command),
    }
}

pub(super) fn unknown(option: &str) -> String {
    format!("'{option}' is no option here")
}

fn check(words: &[String]) -> Result<Command, String> {
    let mut scene = None;
    let (mut json, mut arrangement) = (false, None);
    let mut left = words.iter();
    while let Some(word) = left.next() {
        match word.as_str() {
            "--json" => json = true,
            "--arrangement" => {
                let name = left.next().ok_or("--arrangement needs a name")?;
                arrangement = Some(name.clone());
            }
            option if option.starts_with('-') => return Err(unknown(option)),
            path if scene.is_none() => scene = Some(PathBuf::from(path)),
            extra => return Err(format!("'{extra}' is one word too many")),
        }
    }
    match scene {
        Some(_) => Ok(Command::Check {
            scene,
            arrangement,
            json,
        }),
        None => Err("check needs a scene file".to_owned()),
    }
}

fn picture(words: &[String]) -> Result<Command, String> {
    let mut scene = None;
    let mut out = None;
    let (mut findings, mut dark) = (false, false);
    let (mut views, mut iso, mut solid) = (Views::Page, true, Solid::default());
    let (mut shop, mut compare) = (None, None);
    let (mut arrangement, mut letter) = (None, false);
    let mut width = 2400;
    let mut left = words.iter();
    while let Some(word) = left.next() {
        match word.as_str() {
            "--findings" => findings = true,
            "--dark" => dark = true,
            "--shop" => {
                let file = left.next().ok_or("--shop needs a file name")?;
                shop = Some(PathBuf::from(file));
            }
            "--compare" => {
                let two = left.next().cloned().zip(left.next().cloned());
                let (a, b) = two.ok_or("--compare needs two arrangements")?;
                compare = Some([a, b]);
            }
            "--arrangement" => {
                let name = left.next().ok_or("--arrangement needs a name")?;
                arrangement = Some(name.clone());
            }
            "--paper" => {
                let name = left.next().ok_or("--paper needs a4 or letter")?;
                letter = match name.as_str() {
                    "a4" => false,
                    "letter" => true,
                    _ => return Err(format!("--paper takes a4 or letter, not '{name}'")),
                };
            }
            "--perspective" => solid.perspective = true,
            "--view" => {
                let name = left.next().ok_or("--view needs the name of a view")?;
                (views, iso) = view(name)?;
            }
            "--corner" => {
                let number = left.next().ok_or("--corner needs a number")?;
                solid.corner = number
                    .parse()
                    .ok()
                    .and_then(Corner::numbered)
                    .ok_or_else(|| format!("--corner takes 1 to 8, not '{number}'"))?;
            }
            "--explode" => {
                let number = left
                    .next()
                    .ok_or("--explode needs a number of millimetres")?;
                solid.explode_mm = number
                    .parse()
                    .ok()
                    .filter(|mm| *mm <= 500)
                    .ok_or_else(|| format!("--explode takes 0 to 500 mm, not '{number}'"))?;
            }
            "--walls" => {
                let name = left.next().ok_or("--walls needs cut, ghost or whole")?;
                solid.walls = match name.as_str() {
                    "cut" => Walls::CutAway,
                    "ghost" => Walls::Ghost,
                    "whole" => Walls::Whole,
                    _ => return Err(format!("--walls takes cut, ghost or whole, not '{name}'")),
                };
            }
            "--out" => {
                let file = left.next().ok_or("--out needs a file name")?;
                out = Some(PathBuf::from(file));
            }
            "--width" => {
                let number = left.next().ok_or("--width needs a number of pixels")?;
                width = number
                    .parse()
                    .ok()
                    .filter(|w| (100..=16_000).contains(w))
                    .ok_or_else(|| format!("--width takes 100 to 16000 pixels, not '{number}'"))?;
            }
            option if option.starts_with('-') => return Err(unknown(option)),
            path if scene.is_none() => scene = Some(PathBuf::from(path)),
            extra => return Err(format!("'{extra}' is one word too many")),
        }
    }
    let scene = scene.ok_or("picture needs a scene file")?;
    let out: PathBuf = out.ok_or("picture needs --out FILE.png, FILE.svg or FILE.pdf")?;
    if Format::of(&out, width).is_none() {
        return Err(format!(
            "'{}' has to end in .png, .svg or .pdf",
            out.display()
        ));
    }
    if arrangement.is_some() && compare.is_some() {
        return Err("--arrangement or --compare, not both".to_owned());
    }
    Ok(Command::Picture(Picture {
        scene,
        arrangement,
        letter,
        out,
        findings,
        views,
        iso,
        solid,
        dark,
        shop,
        compare,
        width,
    }))
}

/// A view by name, and whether the three-dimensional one goes with it.
fn view(name: &str) -> Result<(Views, bool), String> {
    Ok(match name {
        "page" => (Views::Page, true),
        "flat" => (Views::Page, false),
        "top" => (Views::One(ViewKind::Top), false),
        "side" => (Views::One(ViewKind::Side), false),
        "front" => (Views::One(ViewKind::Front), false),
        "iso" => (Views::Solid, true),
        _ => {
            return Err(format!(
                "--view takes page, flat, top, side, front or iso, not '{name}'"
            ));
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(line: &str) -> Vec<String> {
        line.split_whitespace().map(str::to_owned).collect()
    }

    #[track_caller]
    fn refused(line: &str, with: &str) {
        let error = parse(&words(line)).expect_err(line);
        assert!(error.contains(with), "{line}: {error}");
    }

    #[test]
    fn commands_are_understood() {
        assert_eq!(parse(&[]), Ok(Command::Window { scene: None }));
        assert_eq!(parse(&words("--version")), Ok(Command::Version));
        for line in ["help", "--help", "picture --help", "check a.json -h"] {
            assert_eq!(parse(&words(line)), Ok(Command::Help), "{line}");
        }
        assert_eq!(
            parse(&words("check a.json --json")),
            Ok(Command::Check {
                scene: Some("a.json".into()),
                arrangement: None,
                json: true
            })
        );
        assert_eq!(
            parse(&words("check a.json --arrangement found1")),
            Ok(Command::Check {
                scene: Some("a.json".into()),
                arrangement: Some("found1".to_owned()),
                json: false
            })
        );
        let Ok(Command::Picture(p)) = parse(&words("picture a.json --out b.SVG --width 900"))
        else {
            panic!("a picture");
        };
        assert_eq!((p.width, p.out), (900, "b.SVG".into()));
        let line = "picture a.json --out b.pdf --view iso --corner 3 --explode 40 --walls ghost";
        let Ok(Command::Picture(p)) = parse(&words(line)) else {
            panic!("a picture");
        };
        assert_eq!((p.views, p.solid.corner.number()), (Views::Solid, 3));
        assert_eq!((p.solid.explode_mm, p.solid.walls), (40, Walls::Ghost));
    }

    #[test]
    fn wrong_use_is_named() {
        refused("check", "needs a scene");
        refused("check a b", "'b'");
        refused("picture a.json", "--out");
        refused("picture a.json --out b.gif", ".png, .svg or .pdf");
        refused("picture a.json --out b.png --width -5", "'-5'");
        refused("picture a.json --out b.png --width 99999999999999", "16000");
        refused("picture a.json --out b.png --corner 9", "1 to 8, not '9'");
        refused("picture a.json --out b.png --view frob", "'frob'");
        refused("picture a.json --out b.png --explode -1", "'-1'");
        refused("picture a.json --out b.png --compare 1", "two arrangements");
        refused("picture a.json --out b.png --walls", "cut, ghost or whole");
        refused("picture a.json --out b.png --paper a5", "not 'a5'");
        refused(
            "picture a.json --out b.png --compare 1 2 --arrangement 1",
            "not both",
        );
        refused("--frob", "'--frob'");
    }
}
