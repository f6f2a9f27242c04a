//! A catalogue from the texts of its files.

use super::convert::mount::{self, HoleSets};
use super::convert::{cable, settings};
use super::error::{Check, Place, each, fault, offer};
use super::{CABLES_FORMAT, FileError, HOLES_FORMAT, RULES_FORMAT, parse, v1};
use super::{enclosure_with, parts_with};
use crate::model::{Catalogue, Settings};
use std::sync::Arc;

/// The files of a catalogue: name (for messages) and text of each.
#[derive(Clone, Copy, Debug, Default)]
pub struct Texts<'a> {
    /// Sets of holes.
    pub holes: &'a [(&'a str, &'a str)],
    /// Part kinds.
    pub parts: &'a [(&'a str, &'a str)],
    /// Connectors and cable kinds.
    pub cables: &'a [(&'a str, &'a str)],
    /// Enclosures.
    pub enclosures: &'a [(&'a str, &'a str)],
}

/// The sets of holes of several files together.
pub(super) fn hole_sets(texts: &[(&str, &str)]) -> Result<HoleSets, FileError> {
    let mut sets = HoleSets::default();
    for (name, text) in texts {
        let read = parse::document(text.as_bytes(), HOLES_FORMAT)
            .and_then(|file| Ok(mount::add_sets(&mut sets, file)?));
        read.map_err(|e| e.in_file(*name))?;
    }
    Ok(sets)
}

/// The catalogue that these files make up together. Ids differ over all files of a
/// sort, and every connector that a port or cable names is there. An error names
/// the file.
pub fn catalogue_from(texts: &Texts) -> Result<Catalogue, FileError> {
    catalogue_over(&hole_sets(texts.holes)?, texts)
}

/// The same over sets of holes that have been read already.
pub(super) fn catalogue_over(sets: &HoleSets, texts: &Texts) -> Result<Catalogue, FileError> {
    let mut all = Catalogue::default();
    for (name, text) in texts.cables {
        let read = parse::document(text.as_bytes(), CABLES_FORMAT)
            .and_then(|file| Ok(add_cables(&mut all, file)?));
        read.map_err(|e| e.in_file(*name))?;
    }
    for (name, text) in texts.parts {
        let read =
            parts_with(text.as_bytes(), sets).and_then(|kinds| Ok(add_kinds(&mut all, kinds)?));
        read.map_err(|e| e.in_file(*name))?;
    }
    for (name, text) in texts.enclosures {
        let read = enclosure_with(text.as_bytes(), sets)
            .and_then(|enclosure| Ok(add_enclosure(&mut all, enclosure).at("enclosure")?));
        read.map_err(|e| e.in_file(*name))?;
    }
    Ok(all)
}

fn twice<T>(id: &impl std::fmt::Display) -> Check<T> {
    fault(
        format!("'{id}' is in another file too"),
        "give each its own",
    )
    .at("id")
}

fn connector(all: &Catalogue, id: &str) -> Check<()> {
    if all.connectors.contains_key(id) {
        return Ok(());
    }
    let there = offer(id, all.connectors.keys().map(String::as_str));
    fault(format!("no connector '{id}' in the catalogue"), there)
}

fn add_cables(all: &mut Catalogue, file: v1::Cables) -> Check<()> {
    each("connectors", file.connectors, |c| {
        let c = cable::connector(c);
        match all.connectors.contains_key(&c.id) {
            true => twice(&c.id),
            false => Ok(all.connectors.insert(c.id.clone(), c)),
        }
    })?;
    each("cables", file.cables, |c| {
        let kind = cable::kind(c)?;
        connector(all, &kind.from).at("from")?;
        connector(all, &kind.to).at("to")?;
        match all.cables.contains_key(&kind.id) {
            true => twice(&kind.id),
            false => Ok(all.cables.insert(kind.id.clone(), Arc::new(kind))),
        }
    })?;
    Ok(())
}

fn add_kinds(all: &mut Catalogue, kinds: Vec<crate::model::PartKind>) -> Check<()> {
    each("kinds", kinds, |kind| {
        for (i, port) in kind.ports.iter().enumerate() {
            connector(all, &port.connector)
                .at("connector")
                .item(i)
                .at("ports")?;
        }
        match all.kinds.contains_key(&kind.id) {
            true => twice(&kind.id),
            false => Ok(all.kinds.insert(kind.id.clone(), Arc::new(kind))),
        }
    })?;
    Ok(())
}

fn add_enclosure(all: &mut Catalogue, enclosure: crate::model::Enclosure) -> Check<()> {
    match all.enclosures.contains_key(&enclosure.id) {
        true => twice(&enclosure.id),
        false => {
            let id = enclosure.id.clone();
            all.enclosures.insert(id, Arc::new(enclosure));
            Ok(())
        }
    }
}

/// The figures that the rules judge by, from the text of a rules file.
pub fn settings_from(text: &str) -> Result<Settings, FileError> {
    let file: v1::Rules = parse::document(text.as_bytes(), RULES_FORMAT)?;
    Ok(settings::read(file)?)
}
