//! Words, ids, names and notes as files hold them.

use crate::geom::{Axis, Dir};
use crate::model::id::{self, MAX_ID};
use crate::model::{Confidence, FeatureKind, Group, Purpose, Role, Severity, Space, System, Unit};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::borrow::Cow;

/// A list of words of the model, of which a file names one.
pub trait Words: Copy + PartialEq + 'static {
    /// Name in the schema.
    const NAME: &'static str;
    /// All words, in order.
    const ALL: &'static [Self];
    /// The word in files.
    fn word(self) -> &'static str;
}

macro_rules! word_list {
    ($($kind:ident: $all:expr, $word:path;)+) => {
        $(impl Words for $kind {
            const NAME: &'static str = stringify!($kind);
            const ALL: &'static [$kind] = $all;
            fn word(self) -> &'static str {
                $word(self)
            }
        })+
    };
}

word_list! {
    Group: Group::ALL, Group::name;
    Space: Space::ALL, Space::name;
    FeatureKind: FeatureKind::ALL, FeatureKind::name;
    Role: Role::ALL, Role::name;
    Purpose: Purpose::ALL, Purpose::name;
    System: System::ALL, System::name;
    Severity: &Severity::ALL, Severity::name;
    Unit: Unit::ALL, Unit::name;
    Confidence: &Confidence::ALL, Confidence::name;
    Dir: &Dir::ALL, Dir::name;
    Axis: &Axis::ALL, Axis::name;
}

/// One word of a list.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Word<T>(pub T);

impl<T: Words> Word<T> {
    fn choice() -> Vec<&'static str> {
        T::ALL.iter().map(|w| w.word()).collect()
    }
}

impl<'de, T: Words> Deserialize<'de> for Word<T> {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Word<T>, D::Error> {
        let text = String::deserialize(d)?;
        let found = T::ALL.iter().find(|w| w.word() == text);
        found.map(|w| Word(*w)).ok_or_else(|| {
            let choice = Word::<T>::choice().join(", ");
            let text = crate::file::error::short(&text, 40);
            D::Error::custom(format!("'{text}' is no word for this; use one of {choice}"))
        })
    }
}

impl<T: Words> Serialize for Word<T> {
    fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        out.serialize_str(self.0.word())
    }
}

impl<T: Words> JsonSchema for Word<T> {
    fn schema_name() -> Cow<'static, str> {
        T::NAME.into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "string", "enum": Word::<T>::choice() })
    }
}

/// Longest name, in characters.
pub const MAX_NAME: usize = 200;
/// Longest note, in characters.
pub const MAX_NOTE: usize = 20_000;

macro_rules! text {
    ($(#[$doc:meta])* $name:ident, $fault:expr, $schema:tt) => {
        $(#[$doc])*
        #[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Default, Debug, Serialize)]
        pub struct $name(pub String);

        impl $name {
            /// Holds this text; whether it is sound is asked when it is read.
            pub fn of(text: impl ToString) -> $name {
                $name(text.to_string())
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(d: D) -> Result<$name, D::Error> {
                let text = String::deserialize(d)?;
                let fault: fn(&str) -> Option<String> = $fault;
                match fault(&text) {
                    Some(why) => Err(D::Error::custom(why)),
                    None => Ok($name(text)),
                }
            }
        }

        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!($schema)
            }
        }
    };
}

fn too_long(text: &str, most: usize) -> Option<String> {
    let count = text.chars().count();
    (count > most).then(|| format!("the text has {count} characters; use at most {most}"))
}

text!(
    /// The id of a thing: `a-z`, `0-9`, `-`, `_`, `.`; 1 to 64 characters.
    Id,
    |t| id::fault(t).map(|why| format!("{why}; correct the id")),
    {
        "description": "An id: 1 to 64 of a-z, 0-9, '-', '_' and '.'.",
        "type": "string", "pattern": "^[a-z0-9_.-]+$", "minLength": 1, "maxLength": MAX_ID
    }
);
text!(
    /// A name for people, on one line.
    Name,
    |t| match t.chars().find(|c| c.is_control()) {
        Some(c) => Some(format!("'{}' cannot stand in a name; take it out", c.escape_default())),
        None => too_long(t, MAX_NAME),
    },
    {
        "description": "A name for people, on one line.",
        "type": "string", "maxLength": MAX_NAME
    }
);
text!(
    /// Free text, on any number of lines.
    Note,
    |t| too_long(t, MAX_NOTE),
    { "description": "Free text.", "type": "string", "maxLength": MAX_NOTE }
);

impl Name {
    /// True for a name that is left out of files.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl Note {
    /// True for a note that is left out of files.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

/// The source of one figure or group of figures.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Figure {
    /// Which figure.
    pub what: Note,
    /// Publisher and document, or a short remark.
    pub source: Note,
    /// How well it is founded.
    pub confidence: Word<Confidence>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_leads_back_to_its_value() {
        fn all<T: Words + std::fmt::Debug>() {
            for word in T::ALL {
                let text = serde_json::to_string(&Word(*word)).unwrap();
                assert_eq!(serde_json::from_str::<Word<T>>(&text).unwrap().0, *word);
            }
        }
        all::<Group>();
        all::<Space>();
        all::<FeatureKind>();
        all::<Role>();
        all::<System>();
        all::<Severity>();
        all::<Unit>();
        all::<Confidence>();
        all::<Dir>();
        all::<Axis>();
    }

    #[test]
    fn an_unknown_word_is_told_the_known_ones() {
        let err = serde_json::from_str::<Word<Role>>("\"drain\"").unwrap_err();
        let text = err.to_string();
        assert!(
            text.contains("'drain'") && text.contains("source, sink, both"),
            "{text}"
        );
    }

    #[test]
    fn names_stand_on_one_line() {
        assert!(serde_json::from_str::<Name>("\"a\\nb\"").is_err());
        assert!(serde_json::from_str::<Note>("\"a\\nb\"").is_ok());
        assert!(serde_json::from_str::<Id>("\"Größe\"").is_err());
        let long = format!("\"{}\"", "é".repeat(MAX_NAME));
        assert!(serde_json::from_str::<Name>(&long).is_ok());
    }
}
