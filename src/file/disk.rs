//! Reading files without surprises and replacing them whole or not at all.

use super::error::FileError;
use super::parse::MAX_BYTES;
use std::ffi::OsString;
use std::fs::{self, File, Metadata, OpenOptions};
use std::io::{self, ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

/// Most links of a chain that are followed, as many systems have it.
const MAX_LINKS: usize = 40;

/// The bytes of a plain file of at most [`MAX_BYTES`].
pub(super) fn read(path: &Path) -> Result<Vec<u8>, FileError> {
    let fail = |e: io::Error| {
        let hint = match e.kind() {
            ErrorKind::NotFound => "check the name, or choose another file",
            ErrorKind::PermissionDenied => "allow reading it, or choose another file",
            _ => "choose another file",
        };
        io_error("the file could not be read", &e, hint, path)
    };
    // Opening a pipe would wait for its other end, so what it is is asked first.
    let meta = fs::metadata(path).map_err(fail)?;
    plain(&meta).map_err(fail)?;
    if meta.len() > MAX_BYTES {
        return Err(too_large(path));
    }
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(fail)?;
    file.take(MAX_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(fail)?;
    if bytes.len() as u64 > MAX_BYTES {
        return Err(too_large(path));
    }
    Ok(bytes)
}

fn too_large(path: &Path) -> FileError {
    FileError::TooLarge { limit: MAX_BYTES }.in_file(path.display().to_string())
}

fn io_error(what: &str, e: &io::Error, hint: &str, path: &Path) -> FileError {
    FileError::Io {
        what: what.to_owned(),
        kind: e.kind(),
        reason: e.to_string(),
        hint: hint.to_owned(),
        path: path.to_owned(),
    }
}

fn plain(meta: &Metadata) -> io::Result<()> {
    if meta.is_dir() {
        return Err(io::Error::new(ErrorKind::IsADirectory, "it is a folder"));
    }
    if !meta.is_file() {
        return Err(io::Error::new(
            ErrorKind::InvalidInput,
            "it is no plain file",
        ));
    }
    Ok(())
}

/// Puts the bytes at `path`: into a new file in the same folder first, which is
/// flushed to the disk and then takes the old one's name in one step.
pub(super) fn replace(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    replace_with(path, |file| file.write_all(bytes)).map_err(|e| {
        let hint = match e.kind() {
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded => {
                "free some space or save to another place; nothing was changed"
            }
            ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
                "save to a place that may be written; nothing was changed"
            }
            ErrorKind::NotFound => "make the folder or save to another place",
            _ => "save to another place; nothing was changed",
        };
        io_error("the file could not be saved", &e, hint, path)
    })
}

fn replace_with(path: &Path, fill: impl FnOnce(&mut File) -> io::Result<()>) -> io::Result<()> {
    let target = followed(path)?;
    let old = match fs::metadata(&target) {
        Ok(meta) => Some(meta),
        Err(e) if e.kind() == ErrorKind::NotFound => None,
        Err(e) => return Err(e),
    };
    if let Some(meta) = &old {
        plain(meta)?;
        // The folder decides whether a file may be replaced, but whoever took the
        // file's write permission away wants it to stay.
        if meta.permissions().readonly() {
            return Err(io::Error::new(
                ErrorKind::PermissionDenied,
                "it is write-protected",
            ));
        }
    }
    let (mut file, draft) = draft(&target, old.as_ref())?;
    let filled = fill(&mut file).and_then(|()| {
        if let Some(meta) = &old {
            file.set_permissions(meta.permissions())?;
        }
        file.sync_all()
    });
    drop(file);
    let done = filled.and_then(|()| fs::rename(&draft, &target));
    match done {
        Ok(()) => {
            flush_folder(&target);
            sweep(&target);
            Ok(())
        }
        Err(e) => {
            // The first error is the one to tell; a draft that cannot be removed
            // either is left behind and harms nothing.
            let _ = fs::remove_file(&draft);
            Err(e)
        }
    }
}

/// Where a chain of symbolic links ends, whether or not something is there.
fn followed(path: &Path) -> io::Result<PathBuf> {
    let mut at = path.to_owned();
    for _ in 0..MAX_LINKS {
        match fs::symlink_metadata(&at) {
            Ok(meta) if meta.is_symlink() => {
                let to = fs::read_link(&at)?;
                at = at.parent().unwrap_or(Path::new("")).join(to);
            }
            _ => return Ok(at),
        }
    }
    Err(io::Error::new(
        ErrorKind::InvalidInput,
        "the links lead in a circle",
    ))
}

/// A new, empty, hidden file beside the target. A draft that a killed program left
/// behind keeps its name until a later save takes it away; another one is taken.
fn draft(target: &Path, old: Option<&Metadata>) -> io::Result<(File, PathBuf)> {
    let Some(name) = target.file_name() else {
        return Err(io::Error::new(
            ErrorKind::InvalidInput,
            "it is no file name",
        ));
    };
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    keep_private(&mut options, old);
    let mut n = 1;
    loop {
        let mut draft = OsString::from(".");
        draft.push(name);
        draft.push(format!(".{}-{n}.draft", std::process::id()));
        let draft = target.with_file_name(draft);
        match options.open(&draft) {
            Err(e) if e.kind() == ErrorKind::AlreadyExists && n < 1000 => n += 1,
            opened => {
                let file = opened?;
                // Says that somebody writes it, for as long as this process lives. Where the
                // file system has no locks, the draft of a kill stays.
                _ = file.try_lock();
                return Ok((file, draft));
            }
        }
    }
}

/// Takes away the drafts of this file that killed programs left: nobody holds their
/// lock, and they are not so young that their writer may be about to take it.
fn sweep(target: &Path) {
    let (Some(name), Some(folder)) = (target.file_name(), target.parent()) else {
        return;
    };
    let here = if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    };
    let start = format!(".{}.", name.to_string_lossy());
    for entry in fs::read_dir(here).into_iter().flatten().flatten() {
        let text = entry.file_name().to_string_lossy().into_owned();
        let middle = text
            .strip_prefix(&start)
            .and_then(|t| t.strip_suffix(".draft"));
        let ours = middle.is_some_and(|m| m.chars().all(|c| c.is_ascii_digit() || c == '-'));
        let age = entry.metadata().and_then(|m| m.modified());
        let old = age.is_ok_and(|t| t.elapsed().is_ok_and(|d| d.as_secs() >= 60));
        if !ours || !old {
            continue;
        }
        let free = OpenOptions::new().write(true).open(entry.path());
        if free.is_ok_and(|f| f.try_lock().is_ok()) {
            _ = fs::remove_file(entry.path());
        }
    }
}

/// A draft of a private file is never open to others, not even for a moment.
#[cfg(unix)]
fn keep_private(options: &mut OpenOptions, old: Option<&Metadata>) {
    use std::os::unix::fs::{OpenOptionsExt, PermissionsExt};
    if let Some(meta) = old {
        options.mode(meta.permissions().mode() & 0o777);
    }
}

#[cfg(not(unix))]
fn keep_private(_: &mut OpenOptions, _: Option<&Metadata>) {}

/// Makes the new name last over a power cut, where the system can. The file itself
/// is safe either way, so this may fail in silence.
fn flush_folder(target: &Path) {
    let folder = target.parent().filter(|p| !p.as_os_str().is_empty());
    if let Ok(folder) = File::open(folder.unwrap_or(Path::new("."))) {
        let _ = folder.sync_all();
    }
}
