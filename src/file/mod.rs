//! Files: the only place that knows JSON and the disk.
//!
//! Everything that comes in ends in a sound value of the model or in a
//! [`FileError`] that says what is wrong, what to do, and which field it is about;
//! never in a panic, a hang or memory beyond a small multiple of the file's size.
//! The same value always gives the same bytes.
//!
//! Inside, `v1` holds the file types, `convert` leads between them and the model,
//! `parse` reads JSON, `migrate` chooses the version, `layout` sets JSON for people,
//! `disk` reads and safely replaces files, and [`assets`] holds what is built in.

pub mod assets;
mod catalogue;
mod convert;
mod disk;
mod error;
mod layout;
mod migrate;
mod parse;
mod reword;
mod schema;
mod shop;
mod strict;
mod v1;

use crate::model::{Catalogue, Enclosure, PartKind, Scene};
use convert::mount::Reader;
use convert::scene::References;
use std::path::Path;
use std::sync::Arc;

pub use assets::{Example, examples};
pub use catalogue::{Texts, catalogue_from, settings_from};
pub use convert::mount::HoleSets;
pub use error::FileError;
pub use parse::MAX_BYTES;
pub use schema::schema;
pub use shop::{ShopError, ShopText, read_shop, read_shop_text, write_shop};
pub use strict::MAX_LIST;

const SCENE_FORMAT: &str = "closefit-scene";
const PARTS_FORMAT: &str = "closefit-parts";
const ENCLOSURE_FORMAT: &str = "closefit-enclosure";
const HOLES_FORMAT: &str = "closefit-holes";
const CABLES_FORMAT: &str = "closefit-cables";
const RULES_FORMAT: &str = "closefit-rules";

/// The scene that these bytes of a scene file describe. Kinds and enclosure that
/// the scene names are looked up in its own kinds first, then in the catalogue;
/// hole sets are those of [`assets::hole_sets`].
pub fn read_scene(bytes: &[u8], catalogue: &Catalogue) -> Result<Scene, FileError> {
    scene_with(bytes, catalogue, assets::hole_sets()?, true)
}

fn scene_with(
    bytes: &[u8],
    catalogue: &Catalogue,
    sets: &HoleSets,
    cable_kinds: bool,
) -> Result<Scene, FileError> {
    let file: v1::Scene = parse::document(bytes, SCENE_FORMAT)?;
    let references = References {
        reader: Reader::new(sets),
        catalogue,
        cable_kinds,
    };
    Ok(convert::scene::read(&references, file)?)
}

/// The scene in the file at `path`. An error names the file.
pub fn open(path: &Path, catalogue: &Catalogue) -> Result<Scene, FileError> {
    let bytes = read_bytes(path)?;
    read_scene(&bytes, catalogue).map_err(|e| e.in_file(path.display().to_string()))
}

/// The bytes of the file at `path`, for [`read_parts`] and [`read_enclosure`]. A
/// file larger than [`MAX_BYTES`] is refused without being read, and so is anything
/// that is not a plain file.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, FileError> {
    disk::read(path)
}

/// The bytes of the scene's file: JSON with a line for each part, place and point
/// of a way, in the order of their ids, and a new line at the end.
///
/// A part whose kind is among the scene's own kinds or in the catalogue at hand is
/// written by the kind's id. See [`carried`] for scenes that go elsewhere.
pub fn write_scene(scene: &Scene) -> Vec<u8> {
    layout::json(&convert::scene::write(scene)).into_bytes()
}

/// A copy of the scene that itself carries the enclosure and every part kind that
/// `catalogue` does not have, or has otherwise. Over an empty catalogue the scene
/// carries everything and can be read anywhere.
pub fn carried(scene: &Scene, catalogue: &Catalogue) -> Scene {
    let mut scene = scene.clone();
    let known = catalogue.enclosures.get(&scene.enclosure.id);
    scene.own_enclosure |= known.is_none_or(|e| **e != *scene.enclosure);
    let used: Vec<_> = scene.kinds_used().cloned().collect();
    for kind in used {
        let known = catalogue.kinds.get(&kind.id);
        if known.is_none_or(|k| **k != *kind) {
            scene.own_kinds.insert(kind.id.clone(), kind);
        }
    }
    scene
}

/// Saves the scene at `path`, whole or not at all: what was there stays as it is
/// until the new file is complete on the disk. The new file keeps the permissions
/// of the old one; a symbolic link stays and what it leads to is replaced.
///
/// The bytes are read back before anything is written. A scene that could not be
/// opened again, for instance with a place beyond the accepted range, is an error
/// that names the field, and the disk is left alone.
pub fn save(path: &Path, scene: &Scene) -> Result<(), FileError> {
    let bytes = write_scene(scene);
    reads_back(scene, &bytes)?;
    disk::replace(path, &bytes)
}

/// Writes bytes at `path` in the same safe way: a picture, parts, an enclosure.
pub fn write_bytes(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    disk::replace(path, bytes)
}

fn reads_back(scene: &Scene, bytes: &[u8]) -> Result<(), FileError> {
    let mut catalogue = Catalogue::default();
    let enclosure = Arc::clone(&scene.enclosure);
    catalogue.enclosures.insert(enclosure.id.clone(), enclosure);
    for kind in scene.kinds_used() {
        catalogue.kinds.insert(kind.id.clone(), Arc::clone(kind));
    }
    let back = scene_with(bytes, &catalogue, &HoleSets::default(), false)?;
    if back == *scene {
        return Ok(());
    }
    let odd = scene
        .parts
        .values()
        .position(|p| back.parts.values().all(|b| b.kind != p.kind));
    Err(FileError::Field {
        path: odd.map_or(String::new(), |i| format!("parts[{i}].kind")),
        what: "the scene would not read back as it is".to_owned(),
        hint: "let parts of one kind share that kind".to_owned(),
    })
}

/// The part kinds of a parts file, in the order of the file, for instance to add
/// them to a catalogue.
pub fn read_parts(bytes: &[u8]) -> Result<Vec<PartKind>, FileError> {
    parts_with(bytes, assets::hole_sets()?)
}

fn parts_with(bytes: &[u8], sets: &HoleSets) -> Result<Vec<PartKind>, FileError> {
    let file: v1::Parts = parse::document(bytes, PARTS_FORMAT)?;
    let reader = Reader::new(sets);
    Ok(convert::parts(&reader, file)?)
}

/// The bytes of a parts file with these kinds, in this order, holes written out.
pub fn write_parts<'a>(kinds: impl IntoIterator<Item = &'a PartKind>) -> Vec<u8> {
    let file = v1::Parts {
        format: PARTS_FORMAT.to_owned(),
        version: v1::VERSION,
        kinds: kinds.into_iter().map(convert::kind::write).collect(),
    };
    layout::json(&file).into_bytes()
}

/// The enclosure of an enclosure file.
pub fn read_enclosure(bytes: &[u8]) -> Result<Enclosure, FileError> {
    enclosure_with(bytes, assets::hole_sets()?)
}

fn enclosure_with(bytes: &[u8], sets: &HoleSets) -> Result<Enclosure, FileError> {
    use error::Place as _;
    let file: v1::EnclosureFile = parse::document(bytes, ENCLOSURE_FORMAT)?;
    let read = convert::enclosure::read(&Reader::new(sets), file.enclosure);
    Ok(read.at("enclosure")?)
}

/// The bytes of an enclosure file, holes written out.
pub fn write_enclosure(enclosure: &Enclosure) -> Vec<u8> {
    let file = v1::EnclosureFile {
        format: ENCLOSURE_FORMAT.to_owned(),
        version: v1::VERSION,
        enclosure: convert::enclosure::write(enclosure),
    };
    layout::json(&file).into_bytes()
}
