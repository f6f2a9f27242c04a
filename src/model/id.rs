//! Names of things: short, stable, readable in files and messages.

use std::fmt;
use std::sync::Arc;

/// Longest accepted id, in bytes.
pub const MAX_ID: usize = 64;

/// Why a text is no id.
pub(crate) fn fault(text: &str) -> Option<String> {
    if text.is_empty() || text.len() > MAX_ID {
        return Some(format!("an id has 1 to {MAX_ID} characters"));
    }
    let bad = text
        .chars()
        .find(|c| !(c.is_ascii_lowercase() || c.is_ascii_digit() || "-_.".contains(*c)));
    bad.map(|c| {
        format!(
            "'{}' cannot stand in an id: use a-z, 0-9, '-', '_' and '.'",
            c.escape_default()
        )
    })
}

macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(Arc<str>);

        impl $name {
            /// The id with this text, or what is wrong with the text.
            pub fn new(text: &str) -> Result<$name, String> {
                match fault(text) {
                    Some(why) => Err(why),
                    None => Ok($name(text.into())),
                }
            }

            /// Its text.
            pub fn as_str(&self) -> &str {
                &self.0
            }

            /// The first free one of `base`, `base-2`, `base-3` and so on.
            pub fn fresh(base: &str, taken: impl Fn(&$name) -> bool) -> $name {
                let clean: String = base
                    .chars()
                    .map(|c| c.to_ascii_lowercase())
                    .map(|c| if fault(c.encode_utf8(&mut [0; 4])).is_none() { c } else { '-' })
                    .take(MAX_ID - 12)
                    .collect();
                let clean = if clean.is_empty() { "x".to_owned() } else { clean };
                let first = $name(clean.as_str().into());
                if !taken(&first) {
                    return first;
                }
                (2u64..)
                    .map(|n| $name(format!("{clean}-{n}").into()))
                    .find(|id| !taken(id))
                    .expect("there are more numbers than ids")
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}

id!(
    /// A part of a scene.
    PartId
);
id!(
    /// A part kind of the catalogue or of a scene.
    KindId
);
id!(
    /// An enclosure.
    EnclosureId
);
id!(
    /// A cable or hose of an arrangement.
    CableId
);
id!(
    /// A cable kind of the catalogue.
    CableKindId
);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_are_plain_and_bounded() {
        assert!(PartId::new("fan-120.2").is_ok());
        assert!(PartId::new("").is_err());
        assert!(PartId::new("Fan").unwrap_err().contains("'F'"));
        assert!(PartId::new(&"x".repeat(65)).is_err());
    }

    #[test]
    fn a_fresh_id_is_free_and_sound() {
        let taken = ["fan", "fan-2"];
        let id = PartId::fresh("fan", |i| taken.contains(&i.as_str()));
        assert_eq!(id.as_str(), "fan-3");
        let odd = PartId::fresh("Größe 120", |_| false);
        assert!(PartId::new(odd.as_str()).is_ok());
    }
}
