//! The numbered items of a picture: equal parts share a number, as in ISO 6433
//! (from memory).

use crate::model::{Figure, PartId};
use crate::view::list::System;
use crate::view::parts;
use crate::view::sheet::SheetInput;

/// One line of the legend.
#[derive(Clone, Debug)]
pub(super) struct Item {
    /// Its number, from 1.
    pub number: usize,
    /// Name of the parts.
    pub name: String,
    /// Outer size.
    pub size: String,
    /// Tint.
    pub system: System,
    /// True where one of its figures should be measured before it is relied on.
    pub weak: bool,
    /// The placed and drawn parts, by index.
    pub parts: Vec<u32>,
    /// How many stand beside the enclosure.
    pub beside: usize,
}

/// The items of a scene, in the order of the shelf's groups and then by name.
pub(super) fn items(input: &SheetInput<'_>) -> Vec<Item> {
    let mut keyed: Vec<(crate::model::Group, String, &PartId)> = input
        .scene
        .parts
        .iter()
        .map(|(id, part)| (part.kind.group, part.name.clone(), id))
        .collect();
    keyed.sort();
    let mut items: Vec<Item> = Vec::new();
    let mut last: Option<crate::model::KindId> = None;
    for (group, name, id) in keyed {
        let part = &input.scene.parts[id];
        let same = last.as_ref() == Some(&part.kind.id);
        if !(same && items.last().is_some_and(|i| i.name == name)) {
            items.push(Item {
                number: items.len() + 1,
                name,
                size: part.kind.size_text(),
                system: parts::system(group),
                weak: part.kind.figures.iter().any(weak),
                parts: Vec::new(),
                beside: 0,
            });
            last = Some(part.kind.id.clone());
        }
        let Some(item) = items.last_mut() else {
            continue;
        };
        match input.placed.part(id) {
            Some(placed) if !placed.place.hidden => item.parts.push(placed.index),
            Some(_) => {}
            None => item.beside += 1,
        }
    }
    items.retain(|i| !i.parts.is_empty() || i.beside > 0);
    for (i, item) in items.iter_mut().enumerate() {
        item.number = i + 1;
    }
    items
}

fn weak(figure: &Figure) -> bool {
    figure.confidence.is_weak()
}
