//! The command line: the same library without a window.

mod args;
mod arrange;
mod arrangement;
mod ask;
mod check;
mod compare;
pub(crate) mod paper;
mod picture;
mod route;

pub use args::{Command, USAGE, parse};
pub use compare::{Compare, Form};
pub use paper::{Wanted, What};

use crate::file::{self, FileError};
use crate::model::{Catalogue, Scene, Settings};
use std::path::PathBuf;
use std::sync::Arc;

/// How a command ended, as the exit status says it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Exit {
    /// 0: done, and no `stop` finding.
    Sound,
    /// 1: done, with at least one open `stop` finding, or nothing found.
    Stops,
    /// 2: the command line is wrong.
    Usage,
    /// 3: a file could not be read or written, or there is no display.
    Unreadable,
}

impl Exit {
    /// The number.
    pub const fn code(self) -> u8 {
        match self {
            Exit::Sound => 0,
            Exit::Stops => 1,
            Exit::Usage => 2,
            Exit::Unreadable => 3,
        }
    }
}

/// What a command says: text for standard output, text for standard error.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Said {
    /// For standard output.
    pub out: String,
    /// For standard error.
    pub err: String,
    /// How it ended.
    pub exit: Exit,
}

impl Said {
    /// A failure with a message.
    pub fn failed(err: impl Into<String>, exit: Exit) -> Said {
        Said {
            out: String::new(),
            err: err.into(),
            exit,
        }
    }
}

impl Said {
    /// Done, with this on standard output.
    pub fn sound(out: impl Into<String>) -> Said {
        Said {
            out: out.into(),
            err: String::new(),
            exit: Exit::Sound,
        }
    }

    /// Writes a file and says so, or why not.
    pub fn written(path: &std::path::Path, bytes: &[u8]) -> Said {
        match file::write_bytes(path, bytes) {
            Ok(()) => Said::sound(format!("wrote {}\n", path.display())),
            Err(e) => Said::failed(e.to_string(), Exit::Unreadable),
        }
    }
}

/// The built-in catalogue and figures of the rules.
pub fn assets() -> Result<(Arc<Catalogue>, Arc<Settings>), FileError> {
    Ok((
        Arc::new(file::assets::catalogue()?),
        Arc::new(file::assets::settings()?),
    ))
}

/// The scene of a path, or the first example without one.
pub fn scene(path: Option<&PathBuf>, catalogue: &Catalogue) -> Result<Scene, FileError> {
    match path {
        Some(path) => file::open(path, catalogue),
        None => {
            let example = file::examples().first().map_or("", |e| e.text);
            file::read_scene(example.as_bytes(), catalogue)
        }
    }
}

/// Carries out a command that needs no window.
pub fn run(command: &Command) -> Said {
    let (catalogue, settings) = match assets() {
        Ok(both) => both,
        Err(e) => {
            return Said::failed(format!("built-in data: {e}"), Exit::Unreadable);
        }
    };
    match command {
        Command::Window { .. } => Said::failed("", Exit::Usage),
        Command::Help => Said::sound(USAGE),
        Command::Version => Said::sound(concat!("closefit ", env!("CARGO_PKG_VERSION"), "\n")),
        Command::Schema => Said::sound(file::schema()),
        Command::Check {
            scene: path,
            arrangement,
            json,
        } => match scene(path.as_ref(), &catalogue) {
            Ok(scene) => match arrangement::shown(&scene, arrangement.as_deref()) {
                Ok(scene) => check::check(&scene, catalogue, settings, *json),
                Err(e) => Said::failed(e, Exit::Usage),
            },
            Err(e) => Said::failed(e.to_string(), Exit::Unreadable),
        },
        Command::Ask(wanted) => match file::open(&wanted.scene, &catalogue) {
            Ok(scene) => ask::ask(&scene, &catalogue, &settings, wanted),
            Err(e) => Said::failed(e.to_string(), Exit::Unreadable),
        },
        Command::Arrange(wanted) => match file::open(&wanted.scene, &catalogue) {
            Ok(scene) => arrange::arrange(scene, catalogue, settings, wanted),
            Err(e) => Said::failed(e.to_string(), Exit::Unreadable),
        },
        Command::Route(wanted) => match file::open(&wanted.scene, &catalogue) {
            Ok(scene) => route::route(scene, catalogue, settings, wanted),
            Err(e) => Said::failed(e.to_string(), Exit::Unreadable),
        },
        Command::Compare(wanted) => match file::open(&wanted.scene, &catalogue) {
            Ok(scene) => compare::compare(&scene, &catalogue, &settings, wanted),
            Err(e) => Said::failed(e.to_string(), Exit::Unreadable),
        },
        Command::Picture(options) => match file::open(&options.scene, &catalogue) {
            Ok(scene) => picture::picture(&scene, catalogue, settings, options),
            Err(e) => Said::failed(e.to_string(), Exit::Unreadable),
        },
        Command::Paper(wanted) => match file::open(&wanted.scene, &catalogue) {
            Ok(scene) => paper::run(&scene, catalogue, settings, wanted),
            Err(e) => Said::failed(e.to_string(), Exit::Unreadable),
        },
    }
}
