//! Bytes to file types: size, text, format and version first, then the fields.

use super::error::{FileError, short};
use super::migrate;
use super::reword::{self, reword};
use super::strict::Strict;
use serde::de::{
    Deserialize, DeserializeOwned, Deserializer, IgnoredAny, MapAccess, SeqAccess, Visitor,
};
use serde_json::error::Category;
use std::fmt;

/// Largest file that is read: 64 MiB, many times the largest sensible scene.
pub const MAX_BYTES: u64 = 64 << 20;

/// The contents of a file of this format, in the current types.
pub(super) fn document<T: DeserializeOwned>(
    bytes: &[u8],
    wanted: &'static str,
) -> Result<T, FileError> {
    let text = text(bytes)?;
    let version = version::<T>(text, wanted)?;
    migrate::read(version, text)
}

/// The text of a file that is neither too large nor something else than text. A
/// byte order mark, which some editors leave, is no part of it.
fn text(bytes: &[u8]) -> Result<&str, FileError> {
    if bytes.len() as u64 > MAX_BYTES {
        return Err(FileError::TooLarge { limit: MAX_BYTES });
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let text = std::str::from_utf8(bytes).map_err(|e| {
        let before = &bytes[..e.valid_up_to()];
        let start = before
            .iter()
            .rposition(|b| *b == b'\n')
            .map_or(0, |i| i + 1);
        FileError::Syntax {
            what: "a byte that is no UTF-8 text".to_owned(),
            line: before.iter().filter(|b| **b == b'\n').count() + 1,
            column: before.len() - start + 1,
            field: None,
        }
    })?;
    if text.trim().is_empty() {
        return Err(FileError::Syntax {
            what: "the file is empty".to_owned(),
            line: 1,
            column: 1,
            field: None,
        });
    }
    Ok(text)
}

/// What stands in a field of the head, as far as it matters.
enum Head {
    Text(String),
    Number(u64),
    Other,
}

impl<'de> Deserialize<'de> for Head {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Head, D::Error> {
        struct Any;
        impl<'de> Visitor<'de> for Any {
            type Value = Head;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("anything")
            }

            fn visit_str<E>(self, text: &str) -> Result<Head, E> {
                Ok(Head::Text(text.to_owned()))
            }

            fn visit_u64<E>(self, number: u64) -> Result<Head, E> {
                Ok(Head::Number(number))
            }

            fn visit_i64<E>(self, _: i64) -> Result<Head, E> {
                Ok(Head::Other)
            }

            fn visit_f64<E>(self, _: f64) -> Result<Head, E> {
                Ok(Head::Other)
            }

            fn visit_bool<E>(self, _: bool) -> Result<Head, E> {
                Ok(Head::Other)
            }

            fn visit_unit<E>(self) -> Result<Head, E> {
                Ok(Head::Other)
            }

            fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Head, A::Error> {
                while list.next_element::<IgnoredAny>()?.is_some() {}
                Ok(Head::Other)
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Head, A::Error> {
                while map.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
                Ok(Head::Other)
            }
        }
        d.deserialize_any(Any)
    }
}

/// The head of a file; all else is skipped.
#[derive(serde::Deserialize)]
struct Header {
    #[serde(default)]
    format: Option<Head>,
    #[serde(default)]
    version: Option<Head>,
}

fn version<T: DeserializeOwned>(text: &str, wanted: &'static str) -> Result<u64, FileError> {
    let mut reader = serde_json::Deserializer::from_str(text);
    let read = Header::deserialize(Strict(&mut reader)).and_then(|h| reader.end().map(|()| h));
    let header = match read {
        Ok(header) => header,
        Err(e) if e.classify() == Category::Data && e.to_string().starts_with("invalid type") => {
            return Err(FileError::Format {
                found: None,
                wanted,
            });
        }
        Err(e) if e.classify() == Category::Data => return Err(reword("", &e)),
        Err(e) => return Err(syntax::<T>(text, &e)),
    };
    match header.format {
        Some(Head::Text(found)) if found == wanted => {}
        found => {
            let found = match found {
                Some(Head::Text(found)) => Some(short(&found, 60)),
                _ => None,
            };
            return Err(FileError::Format { found, wanted });
        }
    }
    match header.version {
        Some(Head::Number(version)) => Ok(version),
        other => Err(FileError::Field {
            path: "version".to_owned(),
            what: match other {
                None => "the version is missing".to_owned(),
                Some(_) => "the version is no whole number".to_owned(),
            },
            hint: format!("give {}", super::v1::VERSION),
        }),
    }
}

/// An error of JSON itself, with the field where the types get as far as that.
fn syntax<T: DeserializeOwned>(text: &str, error: &serde_json::Error) -> FileError {
    let place = |e: &serde_json::Error| (e.line(), e.column());
    let field = tracked::<T>(text)
        .err()
        .filter(|e| place(e.inner()) == place(error))
        .and_then(|e| named(&e.path().to_string()));
    FileError::Syntax {
        what: reword::syntax(error),
        line: error.line(),
        // The reader counts the end of a line as column 0 of the next one.
        column: error.column().max(1),
        field,
    }
}

/// Reads the types and keeps track of the field at hand.
pub(super) fn tracked<T: DeserializeOwned>(
    text: &str,
) -> Result<T, serde_path_to_error::Error<serde_json::Error>> {
    let mut reader = serde_json::Deserializer::from_str(text);
    serde_path_to_error::deserialize(Strict(&mut reader))
}

/// The types of a text that is known to be JSON.
pub(super) fn typed<T: DeserializeOwned>(text: &str) -> Result<T, FileError> {
    tracked(text).map_err(|e| {
        let path = named(&e.path().to_string()).unwrap_or_default();
        reword(&path, e.inner())
    })
}

/// A path for people, up to the last field with a name; `None` for the whole file.
fn named(path: &str) -> Option<String> {
    let known = path.trim_end_matches(['?', '.']);
    (!known.is_empty()).then(|| short(known, 200))
}
