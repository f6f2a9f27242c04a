//! A small catalogue for tests, from files beside this one.

use closefit::file;
use closefit::model::Catalogue;
use std::sync::OnceLock;

/// An enclosure with a passage and a tie point, three part kinds with ports, a
/// cable kind.
pub fn catalogue() -> &'static Catalogue {
    static CATALOGUE: OnceLock<Catalogue> = OnceLock::new();
    CATALOGUE.get_or_init(made)
}

fn made() -> Catalogue {
    let texts = file::Texts {
        holes: &[("holes.json", include_str!("holes.json"))],
        parts: &[("parts.json", include_str!("parts.json"))],
        cables: &[("cables.json", include_str!("cables.json"))],
        enclosures: &[("box.json", include_str!("box.json"))],
    };
    file::catalogue_from(&texts).expect("the catalogue for tests is sound")
}
