//! The JSON reader's words about a field, for people.

use super::error::{FileError, short};
use serde_json::error::Category;

/// What is wrong and what to do.
type Words = (String, String);

/// The reader's words without the place, which is told by itself.
fn message(error: &serde_json::Error) -> String {
    let text = error.to_string();
    let place = format!(" at line {} column {}", error.line(), error.column());
    text.strip_suffix(&place).unwrap_or(&text).to_owned()
}

/// The words of an error of JSON itself.
pub(super) fn syntax(error: &serde_json::Error) -> String {
    short(&message(error), 200)
}

/// An error about the field at `path` of a text that is JSON, for people.
pub(super) fn reword(path: &str, error: &serde_json::Error) -> FileError {
    let text = message(error);
    let inner = |name: &str| match path.is_empty() {
        true => short(name, 60),
        false => format!("{path}.{}", short(name, 60)),
    };
    let (path, (what, hint)) = if let Some((name, words)) = named(&text) {
        // Of an unknown field the path is known already.
        let at = name.map_or_else(|| path.to_owned(), inner);
        (at, words)
    } else if let Some(words) = unfit(&text) {
        (path.to_owned(), words)
    } else {
        (path.to_owned(), other(&text, error.classify()))
    };
    FileError::Field {
        path,
        what: short(&what, 300),
        hint: short(&hint, 300),
    }
}

/// Errors that quote the name of a field, with that name where it belongs to the path.
fn named(text: &str) -> Option<(Option<&str>, Words)> {
    let (kind, rest) = text.split_once(" `")?;
    let (name, rest) = rest.split_once('`')?;
    let choice = || {
        let known = rest.strip_prefix(", expected ").unwrap_or(rest);
        let known = known.strip_prefix("one of ").unwrap_or(known);
        format!("use one of {}", known.replace('`', ""))
    };
    let words = |what: &str, hint: String| (what.to_owned(), hint);
    Some(match kind {
        "missing field" => (
            Some(name),
            words("the field is missing", "add it".to_owned()),
        ),
        "duplicate field" => {
            let hint = "leave one out".to_owned();
            (Some(name), words("the field is there twice", hint))
        }
        "unknown field" => (None, words("no field of this name is known here", choice())),
        "unknown variant" => {
            let what = "no form of this name is known here";
            (Some(name), words(what, choice()))
        }
        _ => return None,
    })
}

/// Errors about a value of the wrong sort.
fn unfit(text: &str) -> Option<Words> {
    let (rest, is_list) = match text.strip_prefix("invalid length ") {
        Some(rest) => (rest, true),
        None => {
            let rest = text.strip_prefix("invalid type: ");
            (
                rest.or_else(|| text.strip_prefix("invalid value: "))?,
                false,
            )
        }
    };
    let (found, expected) = rest.rsplit_once(", expected ")?;
    let found = match is_list {
        true => format!("a list of {found}"),
        false => short(&found.replace('`', "'"), 100),
    };
    let expected = match expected {
        "map" => "an object".to_owned(),
        "a sequence" => "a list".to_owned(),
        e if e.starts_with("struct ") => "an object".to_owned(),
        e if e.starts_with("enum ") || e.contains("variant") => {
            "an object with one field".to_owned()
        }
        e => e.replace("an array of length", "a list of"),
    };
    Some((
        format!("{found} is not what belongs here"),
        format!("give {expected}"),
    ))
}

/// The rest: what the file types say themselves, and forms that JSON has and the
/// types do not.
fn other(text: &str, category: Category) -> Words {
    let (what, hint) = match text {
        "number out of range" => ("the number is out of range", "give a smaller one"),
        "recursion limit exceeded" => (
            "the fields are nested too deeply",
            "leave out the inner ones",
        ),
        _ if category != Category::Data => (
            "there is not exactly one form here",
            "leave out what is too much",
        ),
        _ => text.split_once("; ").unwrap_or((text, "correct it")),
    };
    (what.to_owned(), hint.to_owned())
}

#[cfg(test)]
mod tests {
    use crate::file::parse::typed;
    use crate::file::v1;

    #[track_caller]
    fn words(json: &str) -> String {
        typed::<v1::Solid>(json).expect_err(json).to_string()
    }

    #[test]
    fn the_words_are_ours() {
        let block = |size: &str| format!(r#"{{"box":{{"at":[0,0,0],"size":{size}}}}}"#);
        assert_eq!(
            words(r#"{"box":{"at":[0,0,0]}}"#),
            "the field is missing; add it, at box.size"
        );
        assert_eq!(
            words(&block("7")),
            "integer '7' is not what belongs here; give a list of 3, at box.size"
        );
        assert_eq!(
            words(&block("[1,2]")),
            "a list of 2 is not what belongs here; give a list of 3, at box.size"
        );
        assert_eq!(
            words(&block("[1,2,1e400]")),
            "the number is out of range; give a smaller one, at box.size[2]"
        );
        assert_eq!(
            words(r#"{"ball":3}"#),
            "no form of this name is known here; use one of box, cylinder, extrusion, at ball"
        );
        assert_eq!(
            words(r#"{"box":[[0,0,0],[1,1,1]]}"#),
            "sequence is not what belongs here; give an object, at box"
        );
    }

    #[test]
    fn long_values_do_not_flood_the_words() {
        let text = words(&format!(
            r#"{{"box":{{"at":"{}"}}}}"#,
            "x, expected `".repeat(9_999)
        ));
        assert!(text.len() < 300, "{text}");
        assert!(text.ends_with("give a list of 3, at box.at"), "{text}");
    }
}
