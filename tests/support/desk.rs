//! A small invented scene and an editor over it, spoken to in the editor's words.

#![allow(dead_code)]

use closefit::editor::Editor;
use closefit::editor::snap::Pointer;
use closefit::editor::tool::{Event, Target};
use closefit::file;
use closefit::geom::{Length, Vec3};
use closefit::model::{Catalogue, KindId, PartId, PartKind, PortRef, Scene, Settings};
use closefit::view::ViewKind;
use std::sync::Arc;

/// A box of 300 x 300 x 200 with a front plate drilled for fans of 120 and 140 and
/// 60 mm free behind it. Invented.
pub const BOX: &str = r#"{
  "format": "closefit-scene", "version": 1, "title": "Test box",
  "enclosure": {
    "id": "test-box", "name": "test box", "size": [300, 300, 200],
    "plates": [
      {"id": "floor", "name": "floor", "solid": {"box": {"at": [0, 0, 0], "size": [300, 300, 2]}}},
      {"id": "front", "name": "front wall", "solid": {"box": {"at": [0, 0, 2], "size": [300, 2, 198]}}}
    ],
    "zones": [
      {"id": "front-fan", "name": "front fan place",
       "frame": {"at": [70, 2, 20], "u": "+x", "v": "+z", "out": "+y"},
       "size": [160, 160], "depth": 60, "takes": ["fan", "radiator"],
       "use": [{"set": "fan-120", "at": [80, 80], "d": 5}, {"set": "fan-140", "at": [80, 80], "d": 5}]}
    ],
    "passages": [
      {"id": "gap", "name": "grommet", "frame": {"at": [150, 200, 100], "u": "+x", "v": "+z", "out": "+y"}, "clear": [40, 20]}
    ],
    "ties": [{"id": "t1", "at": [20, 150, 20]}]
  },
  "arrangements": [{"name": "first"}],
  "current": 0
}"#;

/// The built-in catalogue and settings.
pub fn assets() -> (Arc<Catalogue>, Arc<Settings>) {
    (
        Arc::new(file::assets::catalogue().expect("built-in data")),
        Arc::new(file::assets::settings().expect("built-in data")),
    )
}

/// A scene from text.
pub fn scene(text: &str, catalogue: &Catalogue) -> Scene {
    file::read_scene(text.as_bytes(), catalogue).unwrap_or_else(|e| panic!("{e}"))
}

/// An editor over the test box.
pub fn desk() -> Editor {
    let (catalogue, settings) = assets();
    let scene = scene(BOX, &catalogue);
    Editor::new(catalogue, settings, scene)
}

/// A kind of the catalogue.
pub fn kind(editor: &Editor, id: &str) -> Arc<PartKind> {
    let id = KindId::new(id).expect("an id");
    editor
        .catalogue()
        .kinds
        .get(&id)
        .expect("in the catalogue")
        .clone()
}

/// A pointer at whole millimetres, near within 10.
pub fn at(view: ViewKind, x: i64, y: i64, z: i64) -> Pointer {
    Pointer {
        view,
        at: Vec3::mm(x, y, z),
        near: Length::mm(10),
    }
}

/// The pointer moves over bare sheet.
pub fn moved(pointer: Pointer, free: bool) -> Event {
    Event::Move {
        pointer,
        target: Target::Sheet,
        free,
    }
}

/// The pointer goes down on a part.
pub fn pressed(pointer: Pointer, id: &PartId, add: bool) -> Event {
    Event::Press {
        pointer,
        target: Target::Part(id.clone()),
        add,
    }
}

/// Drags a kind from the shelf to a point and lets go; the new part's id.
pub fn drop_part(editor: &mut Editor, id: &str, to: Pointer, free: bool) -> PartId {
    let kind = kind(editor, id);
    editor.handle(Event::Take(kind));
    editor.handle(moved(to, free));
    editor.handle(Event::Release);
    editor
        .selection()
        .only()
        .expect("the new part is selected")
        .clone()
}

/// Drags a part from one point to another.
pub fn drag(editor: &mut Editor, id: &PartId, from: Pointer, to: Pointer, free: bool) {
    editor.handle(pressed(from, id, false));
    editor.handle(moved(to, free));
    editor.handle(Event::Release);
}

/// A port.
pub fn port(part: &PartId, port: &str) -> PortRef {
    PortRef {
        part: part.clone(),
        port: port.to_owned(),
    }
}

/// Keys of the open findings.
pub fn keys(editor: &Editor) -> Vec<String> {
    let checker = editor.checker();
    checker
        .findings()
        .into_iter()
        .filter(|f| checker.is_accepted(editor.scene(), f).is_none())
        .map(|f| f.key())
        .collect()
}
