//! The program: a thin shell over the library.

use closefit::app::{self, Launch};
use closefit::cli::{self, Command, Exit, Said};
use std::io::{IsTerminal as _, Write as _};
use std::process::ExitCode;
use std::sync::Mutex;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args_os()
        .skip(1)
        .map(|w| w.to_string_lossy().into_owned())
        .collect();
    let said = match cli::parse(&words) {
        Ok(Command::Window { scene }) => window(scene),
        Ok(command) => cli::run(&command),
        Err(why) => Said::failed(
            format!("{why}; 'closefit help' lists the commands"),
            Exit::Usage,
        ),
    };
    // A reader that hung up (a closed pipe) is no reason to fail.
    _ = std::io::stdout().write_all(said.out.as_bytes());
    if !said.err.is_empty() {
        _ = writeln!(std::io::stderr(), "closefit: {}", said.err.trim_end());
    }
    ExitCode::from(said.exit.code())
}

/// Opens the window; without a display says so, checks the same scene in text and
/// names the picture command.
fn window(path: Option<std::path::PathBuf>) -> Said {
    let (catalogue, settings) = match cli::assets() {
        Ok(both) => both,
        Err(e) => return Said::failed(format!("built-in data: {e}"), Exit::Unreadable),
    };
    let (scene, trouble) = match cli::scene(path.as_ref(), &catalogue) {
        Ok(scene) => (scene, None),
        // Opened from a file manager there is no terminal to read this in.
        Err(e) if !std::io::stderr().is_terminal() => match cli::scene(None, &catalogue) {
            Ok(scene) => (scene, Some(e.to_string())),
            Err(_) => return Said::failed(e.to_string(), Exit::Unreadable),
        },
        Err(e) => return Said::failed(e.to_string(), Exit::Unreadable),
    };
    quiet_panics();
    let launch = Launch {
        catalogue,
        settings,
        scene,
        path: path.clone().filter(|_| trouble.is_none()),
        trouble: trouble
            .as_ref()
            .map(|why| format!("{why}\n\nThe first example is shown instead.")),
    };
    let opened = std::panic::catch_unwind(|| app::run(launch));
    let why = match opened {
        Ok(Ok(())) => {
            return Said {
                out: String::new(),
                err: String::new(),
                exit: Exit::Sound,
            };
        }
        Ok(Err(why)) => why,
        // The windowing library panics where one of its own libraries is missing.
        Err(_) if last_words().contains("could not be loaded") => "the window could not be opened: a windowing library is missing (on Debian: libxkbcommon-x11-0, libxcursor1, libxi6)".to_owned(),
        Err(_) => {
            return Said::failed(
                format!(
                    "the window closed on a fault of the program itself: {}; the last saved file is whole",
                    last_words()
                ),
                Exit::Unreadable,
            );
        }
    };
    if let Some(trouble) = trouble {
        return Said::failed(trouble, Exit::Unreadable);
    }
    let mut said = cli::run(&Command::Check {
        scene: path.clone(),
        arrangement: None,
        json: false,
    });
    let name = path.map_or_else(
        || "scenes/first-build.json".to_owned(),
        |p| p.display().to_string(),
    );
    said.err = format!(
        "{why}; the findings are listed instead. A picture: closefit picture {name} --out picture.png"
    );
    said.exit = Exit::Unreadable;
    said
}

/// What the last panic said.
static LAST_WORDS: Mutex<String> = Mutex::new(String::new());

fn last_words() -> String {
    LAST_WORDS
        .lock()
        .map_or_else(|_| String::new(), |w| w.clone())
}

/// A panic's own report is for developers: it is kept for one sentence, unless a
/// backtrace is asked for.
fn quiet_panics() {
    if std::env::var_os("RUST_BACKTRACE").is_some() {
        return;
    }
    std::panic::set_hook(Box::new(|info| {
        let text = info.payload_as_str().unwrap_or("without a word").to_owned();
        if let Ok(mut words) = LAST_WORDS.lock() {
            *words = text;
        }
    }));
}
