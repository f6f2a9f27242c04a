//! What can be wrong with a file, in words that say where and what to do.

use std::io;
use std::path::PathBuf;
use thiserror::Error;

/// Why a file could not be read or written.
///
/// The text is one sentence: what is wrong, what to do about it, and where, the
/// place last.
#[derive(Clone, PartialEq, Debug, Error)]
pub enum FileError {
    /// The disk said no.
    #[error("{what}: {reason}; {hint}: {}", path.display())]
    Io {
        /// What was tried: 'the file could not be saved' and so on.
        what: String,
        /// The system's class of error.
        kind: io::ErrorKind,
        /// The system's words.
        reason: String,
        /// What to do.
        hint: String,
        /// The file as the caller named it.
        path: PathBuf,
    },
    /// Larger than any scene can be.
    #[error("the file is larger than {} MiB, and no scene is; choose another file", limit >> 20)]
    TooLarge {
        /// Largest accepted size, bytes.
        limit: u64,
    },
    /// Not JSON.
    #[error("the file is not readable as JSON ({what}); correct it at line {line}, column {column}{}",
        field.as_ref().map(|f| format!(", in {f}")).unwrap_or_default())]
    Syntax {
        /// The reader's words.
        what: String,
        /// Counted from 1; 0 where the whole file is meant.
        line: usize,
        /// Counted from 1, in bytes.
        column: usize,
        /// The field that was being read, where one was.
        field: Option<String>,
    },
    /// JSON, but not the kind of file that is wanted here.
    #[error("the file {}, and '{wanted}' is wanted; choose another file",
        found.as_ref().map_or("does not say its \"format\"".to_owned(), |f| format!("has the format '{f}'")))]
    Format {
        /// What the file says it is.
        found: Option<String>,
        /// What it should say.
        wanted: &'static str,
    },
    /// Written by a later version of the program.
    #[error("the file has version {found} and this program reads up to version {known}; open it with a newer program{}",
        unknown.as_ref().map(|u| format!(" (the first field unknown here is {u})")).unwrap_or_default())]
    Newer {
        /// The file's version.
        found: u64,
        /// The latest version that this program reads.
        known: u64,
        /// The first field that version `known` does not have, where there is one.
        unknown: Option<String>,
    },
    /// One field is wrong.
    #[error("{what}; {hint}, at {}", if path.is_empty() { "the top of the file" } else { path })]
    Field {
        /// Its place: `arrangements[0].places[3].at[1]`; empty for the whole file.
        path: String,
        /// What is wrong.
        what: String,
        /// What to do.
        hint: String,
    },
    /// Any of these, in a file with a name.
    #[error("{error}, in {file}")]
    In {
        /// The file's name or path.
        file: String,
        /// What is wrong in it.
        error: Box<FileError>,
    },
}

impl FileError {
    /// The error without the name of its file.
    pub fn root(&self) -> &FileError {
        match self {
            FileError::In { error, .. } => error.root(),
            other => other,
        }
    }

    /// The place of the field that is wrong, where one field is.
    pub fn field(&self) -> Option<&str> {
        match self.root() {
            FileError::Field { path, .. } => Some(path),
            FileError::Syntax { field, .. } => field.as_deref(),
            FileError::Newer { unknown, .. } => unknown.as_deref(),
            _ => None,
        }
    }

    /// The same error with the name of the file that it was found in. An error of
    /// the disk names its file already.
    pub(super) fn in_file(self, file: impl Into<String>) -> FileError {
        match self {
            error @ FileError::Io { .. } => error,
            error => FileError::In {
                file: file.into(),
                error: Box::new(error),
            },
        }
    }
}

/// One step of the way to a field.
#[derive(Clone, Copy, Debug)]
enum Step {
    Field(&'static str),
    Item(usize),
}

/// A fault found while values are turned into the model. The way to the field is
/// gathered on the way out, so that a sound file pays nothing for it.
#[derive(Debug)]
pub(super) struct Fault {
    steps: Vec<Step>,
    what: String,
    hint: String,
}

/// The outcome of turning one value into the model.
pub(super) type Check<T> = Result<T, Fault>;

/// A fault as the outcome.
pub(super) fn fault<T>(what: impl Into<String>, hint: impl Into<String>) -> Check<T> {
    Err(Fault {
        steps: Vec::new(),
        what: what.into(),
        hint: hint.into(),
    })
}

/// Names the place of a fault, from the inside out.
pub(super) trait Place {
    /// In this field.
    fn at(self, field: &'static str) -> Self;
    /// In this item of a list.
    fn item(self, index: usize) -> Self;
}

impl<T> Place for Check<T> {
    fn at(self, field: &'static str) -> Self {
        self.map_err(|mut f| {
            f.steps.push(Step::Field(field));
            f
        })
    }

    fn item(self, index: usize) -> Self {
        self.map_err(|mut f| {
            f.steps.push(Step::Item(index));
            f
        })
    }
}

impl From<Fault> for FileError {
    fn from(fault: Fault) -> FileError {
        let mut path = String::new();
        for step in fault.steps.iter().rev() {
            match step {
                Step::Field(name) if path.is_empty() => path.push_str(name),
                Step::Field(name) => path.push_str(&format!(".{name}")),
                Step::Item(index) => path.push_str(&format!("[{index}]")),
            }
        }
        FileError::Field {
            path,
            what: short(&fault.what, 300),
            hint: short(&fault.hint, 300),
        }
    }
}

/// Converts all items of the list in `field`.
pub(super) fn each<T, U>(
    field: &'static str,
    list: Vec<T>,
    mut convert: impl FnMut(T) -> Check<U>,
) -> Check<Vec<U>> {
    list.into_iter()
        .enumerate()
        .map(|(i, t)| convert(t).item(i))
        .collect::<Check<_>>()
        .at(field)
}

/// No two items of the list in `field` have the same text in their field `key`.
pub(super) fn unique<'a>(
    field: &'static str,
    key: &'static str,
    texts: impl Iterator<Item = &'a str>,
) -> Check<()> {
    let mut seen = std::collections::BTreeSet::new();
    for (i, text) in texts.enumerate() {
        if !seen.insert(text) {
            return fault(
                format!("'{}' is there twice", short(text, 64)),
                "give each its own",
            )
            .at(key)
            .item(i)
            .at(field);
        }
    }
    Ok(())
}

/// What there is to choose from, the most alike first, in one line.
pub(super) fn offer<'a>(wanted: &str, there: impl Iterator<Item = &'a str>) -> String {
    const SHOWN: usize = 8;
    let alike = |s: &str| {
        s.chars()
            .zip(wanted.chars())
            .take_while(|(a, b)| a == b)
            .count()
    };
    let mut all: Vec<&str> = there.collect();
    if all.is_empty() {
        return "there is none".to_owned();
    }
    all.sort_by_key(|s| (std::cmp::Reverse(alike(s)), *s));
    let more = all.len().saturating_sub(SHOWN);
    all.truncate(SHOWN);
    let shown = all.join(", ");
    match more {
        0 => format!("there is {shown}"),
        n => format!("there is {shown} and {n} more"),
    }
}

/// The text without control characters and not longer than `most` characters, so
/// that a hostile file cannot flood a message.
pub(super) fn short(text: &str, most: usize) -> String {
    let mut out = String::new();
    for (i, c) in text.chars().enumerate() {
        if i == most {
            out.push('…');
            break;
        }
        if c.is_control() {
            out.extend(c.escape_default());
        } else {
            out.push(c);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_tells_its_whole_way() {
        let inner: Check<()> = fault("it is zero", "make it larger");
        let err = FileError::from(inner.item(1).at("at").item(3).at("places").unwrap_err());
        assert_eq!(err.field(), Some("places[3].at[1]"));
        assert_eq!(
            err.to_string(),
            "it is zero; make it larger, at places[3].at[1]"
        );
    }

    #[test]
    fn the_name_of_the_file_comes_last() {
        let err = FileError::TooLarge { limit: 64 << 20 }.in_file("a.json");
        assert!(err.to_string().ends_with(", in a.json"), "{err}");
        assert!(matches!(err.root(), FileError::TooLarge { .. }));
    }

    #[test]
    fn long_and_odd_texts_are_cut() {
        assert_eq!(short("a\nb", 9), "a\\nb");
        assert_eq!(short(&"x".repeat(1000), 3), "xxx…");
    }

    #[test]
    fn what_is_most_alike_is_offered_first() {
        let there = ["card", "fan-120", "fan-92"];
        assert_eq!(
            offer("fan-140", there.into_iter()),
            "there is fan-120, fan-92, card"
        );
        assert_eq!(offer("a", std::iter::empty()), "there is none");
    }
}
