//! Versions of files: which types read a file, and how an older one becomes the
//! current one.
//!
//! There is one version so far. When version 2 comes, its types stand beside those
//! of version 1, which stay as they are; the arm of version 1 below reads them and
//! turns them into version 2 by hand; and a scene of version 1 stays in
//! `scenes/old/`, where `tests/scenes/scene_files.rs` opens every file for ever.

use super::parse;
use super::v1;
use super::{FileError, error::short};
use serde::de::DeserializeOwned;

/// The contents of a file that says it has this version, in the current types.
pub(super) fn read<T: DeserializeOwned>(version: u64, text: &str) -> Result<T, FileError> {
    match version {
        0 => Err(FileError::Field {
            path: "version".to_owned(),
            what: "there is no version 0".to_owned(),
            hint: format!("give {}", v1::VERSION),
        }),
        1 => parse::typed(text),
        newer => Err(FileError::Newer {
            found: newer,
            known: v1::VERSION,
            unknown: unknown_field::<T>(text),
        }),
    }
}

/// The first field of a newer file that the current types do not have.
fn unknown_field<T: DeserializeOwned>(text: &str) -> Option<String> {
    let error = parse::tracked::<T>(text).err()?;
    let unknown = error.inner().to_string().starts_with("unknown field");
    unknown.then(|| short(&error.path().to_string(), 200))
}
