//! Bytes that are no scene: never a panic, a hang or a flood, always an error that
//! says what is wrong and, where there is one, which field.

use crate::catalogue;

use catalogue::catalogue;
use closefit::file::{self, FileError};
use closefit::model::{Catalogue, Scene};
use proptest::prelude::*;
use std::path::Path;
use std::sync::OnceLock;
use std::time::{Duration, Instant};

/// A small scene with one of everything.
const SMALL: &str = r#"{
  "format": "closefit-scene", "version": 1, "title": "small", "enclosure": "test-box",
  "kinds": [{"id": "own", "name": "own kind", "group": "other", "size": [10, 20, 30],
    "body": [{"solid": {"extrusion": {"axis": "z", "low": 0, "high": 5, "outline": [[0, 0], [10, 0], [0, 20]]}}},
      {"solid": {"cylinder": {"axis": "z", "base": [5, 5, 5], "diameter": 8, "height": 20}}}],
    "patterns": [{"id": "p", "frame": {"at": [0, 0, 0], "u": "+x", "v": "+y", "out": "-z"},
      "holes": [{"label": "A", "u": 1, "v": 2, "d": 3.4}], "needs": 1}],
    "ratings": {"mass_g": 5}}],
  "parts": [{"id": "block", "kind": "plain-block"}, {"id": "fan", "kind": "square-fan"}, {"id": "own", "kind": "own"}],
  "arrangements": [{"name": "first",
    "places": [{"part": "block", "at": [10, 20, 30.5]}, {"part": "fan", "at": [0, 0, 0], "turn": ["+y", "-x"]}],
    "cables": [{"id": "c", "name": "lead", "kind": "lead-1", "system": "data", "from": "block:out",
      "plugs": [{"to": "fan:lead", "length": 300, "via": ["tie:t0", "passage:p0", [1, 2, 3]]}],
      "section": {"flat": [8, 2]}, "bend": 30}],
    "accepted": [{"finding": "k", "reason": "r"}]}]
}
"#;

fn read(text: impl AsRef<[u8]>) -> Result<Scene, FileError> {
    file::read_scene(text.as_ref(), catalogue())
}

/// Every message is one short sentence without a full stop.
#[track_caller]
fn sentence(err: &FileError) -> String {
    let text = err.to_string();
    assert!(text.chars().count() < 1_000, "{text}");
    // A field of the file may itself be called so.
    let field_ends = err.field().is_some_and(|f| f.ends_with('.'));
    assert!(!text.ends_with('.') || field_ends, "{text}");
    assert!(!text.contains('\n'), "{text}");
    text
}

/// `SMALL` with one piece replaced is refused at this field with these words.
#[track_caller]
fn refused(old: &str, new: &str, field: &str, words: &str) {
    assert_eq!(SMALL.matches(old).count(), 1, "'{old}' is there once");
    let err = read(SMALL.replace(old, new)).expect_err(field);
    let text = sentence(&err);
    assert_eq!(err.field(), Some(field), "{text}");
    assert!(text.contains(words), "{text}");
}

#[test]
fn the_small_scene_itself_is_sound() {
    let scene = read(SMALL).unwrap();
    assert_eq!(read(file::write_scene(&scene)).unwrap(), scene);
}

#[test]
fn every_truncation_is_an_error() {
    let whole = SMALL.trim_end();
    for end in 0..whole.len() {
        let err = read(&whole[..end]).expect_err("a part of a scene is no scene");
        let is_syntax = matches!(
            err,
            FileError::Syntax {
                line: 1..,
                column: 1..,
                ..
            }
        );
        assert!(is_syntax || end == 0, "{end}: {err:?}");
        sentence(&err);
    }
    let err = read(&whole[..whole.len() / 2]).unwrap_err();
    assert!(err.field().is_some(), "{err}");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(600) })]

    #[test]
    fn flipped_bytes_end_in_a_scene_or_an_error(
        flips in proptest::collection::vec((0..SMALL.len(), any::<u8>()), 1..4)
    ) {
        let mut bytes = SMALL.as_bytes().to_vec();
        for (at, byte) in flips {
            bytes[at] = byte;
        }
        match read(&bytes) {
            Ok(scene) => prop_assert_eq!(read(file::write_scene(&scene)), Ok(scene)),
            Err(err) => { sentence(&err); }
        }
    }

    #[test]
    fn any_json_in_any_place_ends_in_a_scene_or_an_error(
        at in 0usize..400, junk in "(null|true|-?(0|[1-9][0-9]{0,3})(\\.[0-9]{1,5})?|\"[a-z:+]{0,6}\"|\\[\\]|\\{\\}|\\[1,2,3\\])"
    ) {
        let mut value: serde_json::Value = serde_json::from_str(SMALL).expect("it is JSON");
        let mut left = at;
        replace_nth(&mut value, &mut left, &junk);
        match read(value.to_string()) {
            Ok(scene) => {
                prop_assert!(schema().is_valid(&value), "the reader takes what the schema does not");
                prop_assert_eq!(read(file::write_scene(&scene)), Ok(scene));
            }
            // All of it is JSON, so what is wrong is a field, or the head.
            Err(err) => prop_assert!(
                err.field().is_some() || matches!(err, FileError::Format { .. } | FileError::Newer { .. }), "{:?}", err
            ),
        }
    }
}

/// An independent validator over the schema of scenes.
fn schema() -> &'static jsonschema::Validator {
    static SCHEMA: OnceLock<jsonschema::Validator> = OnceLock::new();
    SCHEMA.get_or_init(|| {
        let schema = serde_json::from_str(&file::schema()).expect("it is JSON");
        jsonschema::validator_for(&schema).expect("it is a schema")
    })
}

/// Replaces the value that is met as number `left` on a walk through all of them.
fn replace_nth(value: &mut serde_json::Value, left: &mut usize, junk: &str) {
    use serde_json::Value;
    if *left == 0 {
        *value = serde_json::from_str(junk).expect("it is JSON");
    }
    *left = left.wrapping_sub(1);
    match value {
        Value::Array(items) => items.iter_mut().for_each(|v| replace_nth(v, left, junk)),
        Value::Object(fields) => fields.values_mut().for_each(|v| replace_nth(v, left, junk)),
        _ => {}
    }
}

#[test]
fn numbers_that_are_no_lengths_are_named() {
    let at = "arrangements[0].places[0].at[2]";
    refused("30.5", "1e999", at, "out of range");
    refused("30.5", "1e9", at, "at most 100000 mm");
    refused("30.5", "30.1234", at, "round it to 30.123");
    refused(
        "30.5",
        "\"NaN\"",
        at,
        "string \"NaN\" is not what belongs here",
    );
    refused("30.5", "null", at, "give a length in millimetres");
    for word in ["NaN", "Infinity", "-", "0x10", "01", ".5", "+1"] {
        let err = read(SMALL.replace("30.5", word)).unwrap_err();
        assert!(matches!(err, FileError::Syntax { .. }), "{word}: {err:?}");
    }
    let size = "kinds[0].size[1]";
    refused(
        "[10, 20, 30],",
        "[10, -20, 30],",
        size,
        "give a size above zero",
    );
    refused(
        "[10, 20, 30],",
        "[10, 0, 30],",
        size,
        "give a size above zero",
    );
    refused("[10, 20, 30],", "[10, 20],", "kinds[0].size", "a list of 2");
    refused(
        "\"mass_g\": 5",
        "\"mass_g\": -5",
        "kinds[0].ratings.mass_g",
        "out of range",
    );
    refused(
        "\"bend\": 30",
        "\"bend\": -1",
        "arrangements[0].cables[0].bend",
        "zero or more",
    );
}

#[test]
fn fields_that_are_unknown_missing_or_twice_are_named() {
    let place = "{\"part\": \"block\", \"at\"";
    let tilted = "{\"part\": \"block\", \"tilt\": 3, \"at\"";
    refused(
        place,
        tilted,
        "arrangements[0].places[0].tilt",
        "use one of part, at, turn",
    );
    let at = "arrangements[0].places[0].at";
    refused("\"at\": [10, 20, 30.5]", "\"locked\": true", at, "missing");
    let twice = "\"title\": \"small\", \"title\": \"small\"";
    refused("\"title\": \"small\"", twice, "title", "there twice");
    refused(
        "\"title\": \"small\"",
        "\"name\": \"small\"",
        "name",
        "no field of this name",
    );
    refused(
        "\"version\": 1",
        "\"version\": 1, \"version\": 1",
        "version",
        "there twice",
    );
    refused(
        "{\"flat\": [8, 2]}",
        "{}",
        "arrangements[0].cables[0].section",
        "exactly one form",
    );
    let both = "{\"flat\": [8, 2], \"round\": 3}";
    refused(
        "{\"flat\": [8, 2]}",
        both,
        "arrangements[0].cables[0].section",
        "exactly one form",
    );
    let oval = "arrangements[0].cables[0].section.oval";
    refused(
        "{\"flat\": [8, 2]}",
        "{\"oval\": 3}",
        oval,
        "use one of round or flat",
    );
}

#[test]
fn ids_that_are_unsound_or_twice_are_named() {
    refused(
        "{\"id\": \"fan\"",
        "{\"id\": \"block\"",
        "parts[1].id",
        "'block' is there twice",
    );
    refused(
        "{\"id\": \"fan\"",
        "{\"id\": \"Fan\"",
        "parts[1].id",
        "'F' cannot stand in an id",
    );
    refused(
        "{\"id\": \"fan\"",
        "{\"id\": \"\"",
        "parts[1].id",
        "1 to 64 characters",
    );
    let twice = "{\"part\": \"block\", \"at\": [0, 0, 0], \"turn\"";
    let place = "{\"part\": \"fan\", \"at\": [0, 0, 0], \"turn\"";
    refused(
        place,
        twice,
        "arrangements[0].places[1].part",
        "'block' is there twice",
    );
}

#[test]
fn references_that_lead_nowhere_name_what_there_is() {
    refused(
        "\"enclosure\": \"test-box\"",
        "\"enclosure\": \"tower\"",
        "enclosure",
        "there is test-box",
    );
    refused(
        "\"kind\": \"square-fan\"",
        "\"kind\": \"square\"",
        "parts[1].kind",
        "there is square-fan",
    );
    let part = "arrangements[0].places[1].part";
    refused(
        "{\"part\": \"fan\"",
        "{\"part\": \"fun\"",
        part,
        "there is fan, block, own",
    );
    let cable = "arrangements[0].cables[0]";
    refused(
        "block:out",
        "block:in",
        &format!("{cable}.from"),
        "'block' has no port 'in'; there is out",
    );
    refused(
        "fan:lead",
        "fun:lead",
        &format!("{cable}.plugs[0].to"),
        "no part 'fun'",
    );
    refused(
        "fan:lead",
        "fan",
        &format!("{cable}.plugs[0].to"),
        "write 'PART:PORT'",
    );
    refused(
        "\"lead-1\"",
        "\"lead-9\"",
        &format!("{cable}.kind"),
        "there is lead-1, chain-1",
    );
    refused(
        "tie:t0",
        "tie:t9",
        &format!("{cable}.plugs[0].via[0]"),
        "there is t0",
    );
    refused(
        "passage:p0",
        "passage:p9",
        &format!("{cable}.plugs[0].via[1]"),
        "there is p0",
    );
    refused(
        "[1, 2, 3]]",
        "[1, 2]]",
        &format!("{cable}.plugs[0].via[2]"),
        "a list of 2",
    );
    refused(
        "\"needs\": 1",
        "\"needs\": 2",
        "kinds[0].patterns[0].needs",
        "the pattern has 1",
    );
    let used = "\"use\": [{\"set\": \"nothing\", \"at\": [0, 0]}], \"needs\": 1";
    refused(
        "\"needs\": 1",
        used,
        "kinds[0].patterns[0].use[0].set",
        "no hole set 'nothing'",
    );
}

#[test]
fn what_needs_two_values_is_checked() {
    refused(
        "[\"+y\", \"-x\"]",
        "[\"+y\", \"-y\"]",
        "arrangements[0].places[1].turn",
        "turn one",
    );
    refused(
        "\"out\": \"-z\"",
        "\"out\": \"-x\"",
        "kinds[0].patterns[0].frame",
        "three different axes",
    );
    let solid = "kinds[0].body[0].solid.extrusion";
    refused(
        "[0, 20]]",
        "[20, 0]]",
        &format!("{solid}.outline[2]"),
        "folds back",
    );
    refused(
        "\"high\": 5",
        "\"high\": 0",
        &format!("{solid}.high"),
        "larger end",
    );
    refused(
        "\"height\": 20",
        "\"height\": 30",
        "kinds[0].body[1].solid",
        "sticks out",
    );
    let end = "\"accepted\": [{\"finding\": \"k\", \"reason\": \"r\"}]}]";
    refused(
        end,
        &format!("{end}, \"current\": 1"),
        "current",
        "give 0 to 0",
    );
    let err = read(
        r#"{"format":"closefit-scene","version":1,"title":"","enclosure":"test-box","arrangements":[]}"#,
    );
    assert_eq!(err.unwrap_err().field(), Some("arrangements"));
}

#[test]
fn what_is_no_scene_at_all_says_so() {
    let syntax = |bytes: &[u8], line: usize, column: usize| match read(bytes) {
        Err(FileError::Syntax {
            line: l, column: c, ..
        }) => assert_eq!((l, c), (line, column)),
        other => panic!("{other:?}"),
    };
    syntax(b"", 1, 1);
    syntax(b" \n ", 1, 1);
    syntax(b"\x89PNG\r\n", 1, 1);
    syntax(b"{\n \"title\": \"a\xff\"}", 2, 13);
    syntax(b"hello", 1, 1);
    syntax(b"{\"format\": \"closefit-scene\",}", 1, 29);
    let err = read(format!("{SMALL}{SMALL}")).unwrap_err();
    assert!(matches!(err, FileError::Syntax { .. }), "{err:?}");
    for text in [
        "[]",
        "42",
        "null",
        "\"closefit-scene\"",
        "{}",
        "{\"format\": 1}",
        "[\"closefit-scene\", 1]",
    ] {
        let err = read(text).unwrap_err();
        assert!(
            matches!(err, FileError::Format { found: None, .. }),
            "{text}: {err:?}"
        );
        assert!(
            sentence(&err).contains("does not say its \"format\""),
            "{err}"
        );
    }
    let err = read(SMALL.replace("closefit-scene", "closefit-parts")).unwrap_err();
    assert!(
        sentence(&err).contains("has the format 'closefit-parts'"),
        "{err}"
    );
    assert!(matches!(
        file::read_parts(SMALL.as_bytes()),
        Err(FileError::Format { .. })
    ));
}

#[test]
fn versions_are_told_apart() {
    let version = |to: &str| read(SMALL.replace("\"version\": 1", to)).unwrap_err();
    let err = version("\"version\": 2");
    assert_eq!(
        err,
        FileError::Newer {
            found: 2,
            known: 1,
            unknown: None
        }
    );
    let err = version("\"version\": 7, \"layers\": []");
    assert_eq!(err.field(), Some("layers"));
    let text = sentence(&err);
    assert!(
        text.contains("version 7") && text.contains("up to version 1"),
        "{text}"
    );
    assert!(text.contains("layers"), "{text}");
    for odd in [
        "\"version\": 0",
        "\"version\": 1.5",
        "\"version\": -1",
        "\"version\": \"1\"",
        "\"notes\": \"\"",
    ] {
        assert_eq!(version(odd).field(), Some("version"), "{odd}");
    }
    // A part of a newer file may be unknown deep inside.
    let newer = SMALL
        .replace("\"version\": 1", "\"version\": 2")
        .replace("\"needs\": 1", "\"needs\": 1, \"torque\": 3");
    assert_eq!(
        read(newer).unwrap_err().field(),
        Some("kinds[0].patterns[0].torque")
    );
}

#[track_caller]
fn within<T>(most: Duration, work: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let done = work();
    assert!(start.elapsed() < most, "it took {:?}", start.elapsed());
    done
}

/// Bound for work that takes a small part of it, so that a busy machine does not
/// fail a test but a hang does.
const PATIENCE: Duration = Duration::from_secs(60);

#[test]
fn deep_nesting_is_refused() {
    for (open, close) in [("[", "]"), ("{\"a\":", "}")] {
        let deep = format!("{}1{}", open.repeat(1_000_000), close.repeat(1_000_000));
        for text in [
            deep.clone(),
            SMALL.replace("30.5", &deep),
            SMALL.replace("\"small\"", &deep),
        ] {
            sentence(&within(PATIENCE, || read(text)).unwrap_err());
        }
    }
}

#[test]
fn long_lists_and_long_texts_are_refused_in_short_words() {
    let list = |item: &str, n: usize| vec![item; n].join(", ");
    let points = format!("[{}]", list("[0, 0]", 200_000));
    let field = "kinds[0].body[0].solid.extrusion.outline";
    refused(
        "[[0, 0], [10, 0], [0, 20]]",
        &points,
        field,
        "more than 20000 items",
    );
    let points = format!("[{}]", list("[0, 0]", 600));
    refused(
        "[[0, 0], [10, 0], [0, 20]]",
        &points,
        field,
        "more than 512 corners",
    );
    let part = "{\"id\": \"own\", \"kind\": \"own\"}";
    refused(part, &list(part, 200_000), "parts", "more than 20000 items");
    let name = "x".repeat(1_000_000);
    refused(
        "\"small\"",
        &format!("\"{name}\""),
        "title",
        "use at most 200",
    );
    refused(
        "\"square-fan\"",
        &format!("\"{name}\""),
        "parts[1].kind",
        "1 to 64 characters",
    );
    refused(
        "\"+y\", \"-x\"",
        &format!("\"{name}\", \"-x\""),
        "arrangements[0].places[1].turn[0]",
        "use one of -x",
    );
    let err = read(SMALL.replace("\"title\"", &format!("\"{name}\""))).unwrap_err();
    sentence(&err);
    let err = read(SMALL.replace("closefit-scene", &name)).unwrap_err();
    sentence(&err);
}

#[test]
fn twenty_thousand_parts_are_read() {
    let parts: Vec<String> = (0..20_000 - 3)
        .map(|i| format!("{{\"id\": \"p{i}\", \"kind\": \"plain-block\"}}"))
        .collect();
    let places: Vec<String> = (0..20_000 - 3)
        .map(|i| format!("{{\"part\": \"p{i}\", \"at\": [{i}, 0.5, -{i}]}}"))
        .collect();
    let text = SMALL
        .replace(
            "\"parts\": [",
            &format!("\"parts\": [{}, ", parts.join(", ")),
        )
        .replace(
            "\"places\": [",
            &format!("\"places\": [{}, ", places.join(", ")),
        );
    let scene = within(PATIENCE, || read(text)).unwrap();
    assert_eq!(scene.parts.len(), 20_000);
    let back = within(PATIENCE, || read(file::write_scene(&scene)));
    assert_eq!(back.unwrap(), scene);
}

#[test]
fn a_file_beyond_the_limit_is_refused_unread() {
    let mut bytes = SMALL.as_bytes().to_vec();
    bytes.resize(file::MAX_BYTES as usize, b' ');
    assert!(read(&bytes).is_ok(), "the limit itself is read");
    bytes.push(b' ');
    let err = read(&bytes).unwrap_err();
    assert!(matches!(err, FileError::TooLarge { .. }));
    assert!(sentence(&err).contains("64 MiB"), "{err}");
    // The same on the disk; a file with a hole takes no space there.
    let path =
        Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("large-{}.json", std::process::id()));
    let hole = std::fs::File::create(&path).and_then(|f| f.set_len(1 << 40));
    let err = within(PATIENCE, || file::open(&path, &Catalogue::default())).unwrap_err();
    std::fs::remove_file(&path).unwrap();
    if hole.is_ok() {
        assert!(matches!(err.root(), FileError::TooLarge { .. }), "{err:?}");
    }
}

#[test]
fn folders_and_missing_files_are_errors_that_say_what_to_do() {
    use std::io::ErrorKind;
    let open = |path: &str| match file::open(Path::new(path), &Catalogue::default()) {
        Err(FileError::Io { kind, hint, .. }) => (kind, hint),
        other => panic!("{other:?}"),
    };
    assert_eq!(open(env!("CARGO_TARGET_TMPDIR")).0, ErrorKind::IsADirectory);
    let (kind, hint) = open("no/such/scene.json");
    assert_eq!(kind, ErrorKind::NotFound);
    assert!(hint.contains("check the name"), "{hint}");
    assert_eq!(open("").0, ErrorKind::NotFound);
}
