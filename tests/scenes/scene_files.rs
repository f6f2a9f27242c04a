//! Scene files: what is written reads back the same, the schema agrees with the
//! reader, old files stay readable, saving is whole or not at all.

use crate::catalogue;
#[path = "files/saving.rs"]
mod saving;
#[path = "files/scenes.rs"]
mod scenes;

use catalogue::catalogue;
use closefit::file::{self, FileError};
use closefit::geom::{Dir, Length, Turn, Vec3};
use closefit::model::*;
use proptest::prelude::*;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn choices() -> impl Strategy<Value = Vec<u32>> {
    proptest::collection::vec(any::<u32>(), 0..700)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(200) })]

    #[test]
    fn what_is_written_reads_back_the_same(choices in choices()) {
        let catalogue = catalogue();
        let scene = scenes::scene(&choices, catalogue);
        let bytes = file::write_scene(&scene);
        let back = file::read_scene(&bytes, catalogue);
        prop_assert_eq!(back.as_ref(), Ok(&scene), "{}", String::from_utf8_lossy(&bytes));
        prop_assert_eq!(file::write_scene(&scene), bytes);
    }

    #[test]
    fn a_scene_that_carries_everything_reads_without_a_catalogue(choices in choices()) {
        let catalogue = catalogue();
        let mut scene = scenes::scene(&choices, catalogue);
        for cable in scene.arrangements.iter_mut().flat_map(|a| a.cables.values_mut()) {
            (cable.kind, cable.extension) = (None, None);
        }
        let nothing = Catalogue::default();
        let carried = file::carried(&scene, &nothing);
        let back = file::read_scene(&file::write_scene(&carried), &nothing);
        prop_assert_eq!(back.as_ref(), Ok(&carried));
        // It is the same scene but for what the file has to carry.
        prop_assert_eq!(&carried.parts, &scene.parts);
        prop_assert_eq!(&carried.arrangements, &scene.arrangements);
        // Over the catalogue that it came from nothing has to be added.
        prop_assert_eq!(file::carried(&scene, catalogue), scene);
    }

    #[test]
    fn what_the_reader_writes_the_schema_takes(choices in choices()) {
        let catalogue = catalogue();
        let bytes = file::write_scene(&scenes::scene(&choices, catalogue));
        let value: Value = serde_json::from_slice(&bytes).expect("it is JSON");
        prop_assert_eq!(faults(&value), Vec::<String>::new());
    }
}

#[test]
fn parts_and_enclosures_read_back_the_same() {
    let catalogue = catalogue();
    let kinds: Vec<PartKind> = catalogue.kinds.values().map(|k| (**k).clone()).collect();
    assert_eq!(kinds.len(), 3);
    assert_eq!(file::read_parts(&file::write_parts(&kinds)).unwrap(), kinds);
    let enclosure = catalogue.enclosures.values().next().unwrap();
    let back = file::read_enclosure(&file::write_enclosure(enclosure)).unwrap();
    assert_eq!(back, **enclosure);
    // The set of holes was turned by a quarter: hole 1 at (-50, -50) is at (50, -50).
    let holes = &kinds[1].patterns[1].holes;
    assert_eq!(holes[0].label, "1");
    assert_eq!((holes[0].u, holes[0].v), (Length::mm(50), Length::mm(-50)));
    assert_eq!(holes[1].label, "3");
}

/// A scene with all that a place, a cable and a way can say.
fn written() -> (Scene, String) {
    let catalogue = catalogue();
    let enclosure = catalogue.enclosures.values().next().unwrap();
    let mut scene = Scene::new("Two parts", enclosure.clone());
    let id = |text: &str| PartId::new(text).unwrap();
    for (part, kind) in [("block", "plain-block"), ("fan", "square-fan")] {
        let kind = catalogue.kinds[&KindId::new(kind).unwrap()].clone();
        let name = kind.name.clone();
        scene.parts.insert(id(part), Part { name, kind });
    }
    let all = &mut scene.arrangements[0];
    let turned = Place {
        turn: Turn::new(Dir::PosY, Dir::NegX).unwrap(),
        locked: true,
        ..Place::at(Vec3::mm(95, 145, 1) + Dir::PosZ.times(Length::um(200)))
    };
    all.places.insert(id("fan"), turned);
    all.places
        .insert(id("block"), Place::at(Vec3::mm(10, 10, 2)));
    let port = |part: &str, port: &str| PortRef {
        part: id(part),
        port: port.to_owned(),
    };
    let cable = Cable {
        name: "fan lead".to_owned(),
        kind: None,
        system: System::Air,
        from: port("fan", "lead"),
        plugs: vec![PlugEnd {
            to: port("block", "out"),
            length: Length::mm(500),
            via: vec![
                Via::Tie("t0".to_owned()),
                Via::Point(Vec3::mm(1, 2, 3)),
                Via::Chosen("t0".to_owned()),
            ],
        }],
        section: Section::Round(Length::mm(4)),
        bend: Length::mm(20),
        locked: false,
        extension: None,
        hangs: Some(Length::mm(150)),
        finds: false,
    };
    all.cables.insert(CableId::new("c1").unwrap(), cable);
    all.accepted.insert(
        "gap:block,fan".to_owned(),
        Acceptance {
            severity: Some(Severity::Caution),
            off: Some(Off::Length(Length::um(1500))),
            ..Acceptance::of("felt between")
        },
    );
    let text = String::from_utf8(file::write_scene(&scene)).unwrap();
    (scene, text)
}

#[test]
fn a_written_scene_is_laid_out_for_people() {
    let expected = r#"{
  "format": "closefit-scene",
  "version": 1,
  "title": "Two parts",
  "enclosure": "test-box",
  "parts": [
    {"id": "block", "kind": "plain-block"},
    {"id": "fan", "kind": "square-fan"}
  ],
  "arrangements": [
    {
      "name": "first",
      "places": [
        {"part": "block", "at": [10, 10, 2]},
        {"part": "fan", "at": [95, 145, 1.2], "turn": ["+y", "-x"], "locked": true}
      ],
      "cables": [
        {
          "id": "c1",
          "name": "fan lead",
          "system": "air",
          "from": "fan:lead",
          "plugs": [
            {
              "to": "block:out",
              "length": 500,
              "via": [
                "tie:t0",
                [1, 2, 3],
                {"chosen": "t0"}
              ]
            }
          ],
          "section": {"round": 4},
          "bend": 20,
          "hangs": 150
        }
      ],
      "accepted": [
        {"finding": "gap:block,fan", "reason": "felt between", "severity": "caution", "off": 1.5}
      ]
    }
  ]
}
"#;
    let (scene, text) = written();
    assert_eq!(text, expected);
    let back = file::read_scene(text.as_bytes(), catalogue());
    assert_eq!(back.unwrap(), scene);
}

#[test]
fn a_byte_order_mark_and_windows_lines_are_read() {
    let (scene, text) = written();
    let odd = format!("\u{feff}{}", text.replace('\n', "\r\n"));
    let back = file::read_scene(odd.as_bytes(), catalogue());
    assert_eq!(back.unwrap(), scene);
}

#[test]
fn a_kind_of_the_scene_goes_before_one_of_the_catalogue() {
    let catalogue = catalogue();
    let (mut scene, _) = written();
    let id = KindId::new("plain-block").unwrap();
    let mut other = (*catalogue.kinds[&id]).clone();
    other.name = "another block".to_owned();
    let other = std::sync::Arc::new(other);
    scene.own_kinds.insert(id, other.clone());
    scene
        .parts
        .get_mut(&PartId::new("block").unwrap())
        .unwrap()
        .kind = other;
    let back = file::read_scene(&file::write_scene(&scene), catalogue);
    assert_eq!(back.unwrap(), scene);
}

#[test]
fn the_built_in_files_are_sound() {
    let catalogue = file::assets::catalogue().unwrap_or_else(|e| panic!("{e}"));
    for example in file::examples() {
        let read = file::read_scene(example.text.as_bytes(), &catalogue);
        read.unwrap_or_else(|e| panic!("{e}, in {}", example.file));
    }
}

// --- the schema ---

/// What an independent validator says against a scene.
fn faults(value: &Value) -> Vec<String> {
    static VALIDATOR: OnceLock<jsonschema::Validator> = OnceLock::new();
    let validator = VALIDATOR.get_or_init(|| {
        let schema: Value = serde_json::from_str(&file::schema()).expect("it is JSON");
        jsonschema::validator_for(&schema).expect("it is a schema")
    });
    validator
        .iter_errors(value)
        .map(|e| format!("{}: {e}", e.instance_path()))
        .collect()
}

#[test]
fn the_schema_in_assets_is_the_one_of_the_types() {
    let path = root().join("assets/scene.schema.json");
    let schema = file::schema();
    if std::env::var_os("UPDATE_SCHEMA").is_some() {
        fs::write(&path, &schema).unwrap();
    }
    let stored = fs::read_to_string(&path).unwrap_or_default();
    assert!(
        stored == schema,
        "run `UPDATE_SCHEMA=1 cargo test --test scenes scene_files`"
    );
}

#[test]
fn the_schema_itself_is_a_sound_schema() {
    let schema: Value = serde_json::from_str(&file::schema()).unwrap();
    assert!(jsonschema::meta::is_valid(&schema));
}

#[test]
fn broken_scenes_fail_at_the_schema_and_at_the_reader() {
    let catalogue = catalogue();
    let (_, text) = written();
    let sound: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(faults(&sound), Vec::<String>::new());
    let place = "/arrangements/0/places/1";
    let broken = [
        ("/format", "\"closefit-parts\""),
        ("/version", "2"),
        ("/title", "7"),
        ("/title", "\"two\\nlines\""),
        ("/enclosure", "[]"),
        ("/parts/0/id", "\"Fan\""),
        ("/parts/0", "[\"block\", \"plain-block\"]"),
        ("/parts", "{}"),
        ("/arrangements", "[]"),
        ("/arrangements/0/places/1/at", "[1, 2]"),
        ("/arrangements/0/places/1/at/2", "100000.001"),
        ("/arrangements/0/places/1/turn", "null"),
        ("/arrangements/0/places/1/turn/0", "\"x\""),
        ("/arrangements/0/places/1/locked", "1"),
        ("/arrangements/0/cables/0/system", "\"steam\""),
        ("/arrangements/0/cables/0/from", "\"fan\""),
        ("/arrangements/0/cables/0/plugs", "[]"),
        ("/arrangements/0/cables/0/plugs/0/length", "0"),
        ("/arrangements/0/cables/0/plugs/0/via/0", "\"hook:t0\""),
        (
            "/arrangements/0/cables/0/section",
            "{\"round\": 4, \"flat\": [8, 2]}",
        ),
        ("/arrangements/0/cables/0/bend", "-1"),
    ];
    // Its type says that a name stands on one line; a schema cannot say that well.
    let beyond_schema = ["\"two\\nlines\""];
    for (at, wrong) in broken {
        let mut scene = sound.clone();
        let field = scene.pointer_mut(at).unwrap_or_else(|| panic!("{at}"));
        *field = serde_json::from_str(wrong).unwrap();
        let read = file::read_scene(scene.to_string().as_bytes(), catalogue);
        assert!(read.is_err(), "{at} {wrong} is read");
        let refused = !faults(&scene).is_empty();
        assert_eq!(refused, !beyond_schema.contains(&wrong), "{at} {wrong}");
    }
    let mut scene = sound.clone();
    scene.pointer_mut(place).unwrap()["tilt"] = Value::from(3);
    assert!(!faults(&scene).is_empty());
    assert!(file::read_scene(scene.to_string().as_bytes(), catalogue).is_err());
}

fn json_files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() {
            json_files(&path, found);
        } else if path.extension().is_some_and(|e| e == "json") {
            found.push(path);
        }
    }
}

#[test]
fn every_scene_at_hand_reads_and_passes_the_schema() {
    let catalogue = file::assets::catalogue().unwrap();
    let mut found = Vec::new();
    json_files(&root().join("scenes"), &mut found);
    found.sort();
    assert!(!found.is_empty(), "there are scenes");
    for path in found {
        let scene = file::open(&path, &catalogue).unwrap_or_else(|e| panic!("{e}"));
        let bytes = file::write_scene(&scene);
        let again = file::read_scene(&bytes, &catalogue).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(again, scene, "{}", path.display());
        assert_eq!(file::write_scene(&again), bytes, "{}", path.display());
        let value: Value = serde_json::from_slice(&fs::read(&path).unwrap()).unwrap();
        assert_eq!(faults(&value), Vec::<String>::new(), "{}", path.display());
    }
}

#[test]
fn scenes_of_every_version_stay_readable() {
    let mut found = Vec::new();
    json_files(&root().join("scenes/old"), &mut found);
    let mut versions = Vec::new();
    for path in found {
        // Old scenes carry all they need, so no change of the catalogue breaks them.
        let scene = file::open(&path, &Catalogue::default()).unwrap_or_else(|e| panic!("{e}"));
        assert!(!scene.parts.is_empty(), "{} has parts", path.display());
        let value: Value = serde_json::from_slice(&fs::read(&path).unwrap()).unwrap();
        versions.extend(value["version"].as_u64());
    }
    versions.sort_unstable();
    versions.dedup();
    assert_eq!(versions, [1], "one old scene at least of every version");
}

#[test]
fn the_old_scene_of_version_1_still_means_the_same() {
    let path = root().join("scenes/old/version-1-shelf-player.json");
    let scene = file::open(&path, &Catalogue::default()).unwrap();
    let (disk, place) = scene.placed(&PartId::new("disk").unwrap()).unwrap();
    assert_eq!(disk.name, "music disk");
    // Its own x points to -y, its own y to +x: 100 wide and 70 deep.
    assert_eq!(place.outline(&disk.kind).size(), Vec3::mm(100, 70, 7));
    let cable = &scene.arrangement().cables[&CableId::new("music").unwrap()];
    let last = Vec3::new(Length::mm(160), Length::mm(190), Length::um(20_125));
    assert_eq!(cable.plugs[0].via[1], Via::Point(last));
    assert_eq!(cable.plugs[0].length, Length::um(450_500));
    let board = &scene.own_kinds[&KindId::new("shelf-board").unwrap()];
    // An extrusion along x has its points along (y, z).
    let sink = board.body[2].solid.bounds();
    assert_eq!(
        sink.min(),
        Vec3::mm(40, 40, 1) + Dir::PosZ.times(Length::um(600))
    );
    assert_eq!(sink.max(), Vec3::mm(80, 80, 30));
    assert_eq!(
        scene.own_kinds[&KindId::new("shelf-disk").unwrap()]
            .ratings
            .gives_w,
        Some(0.0)
    );
    assert!(scene.enclosure.vents[0].filter);
}

#[test]
fn the_error_of_an_opened_file_names_the_file_last() {
    let path = root().join("src/lib.rs");
    let err = file::open(&path, &Catalogue::default()).unwrap_err();
    assert!(
        matches!(err.root(), FileError::Syntax { line: 1, .. }),
        "{err:?}"
    );
    assert!(err.to_string().ends_with("lib.rs"), "{err}");
}
