//! The built-in data loads as a whole and hangs together.

use closefit::file;

#[test]
fn the_built_in_catalogue_loads() {
    let catalogue = file::assets::catalogue().unwrap_or_else(|e| panic!("{e}"));
    assert!(catalogue.kinds.len() >= 90, "{}", catalogue.kinds.len());
    assert!(catalogue.cables.len() >= 10);
    file::assets::settings().unwrap_or_else(|e| panic!("{e}"));
}

#[test]
fn every_example_loads() {
    let catalogue = file::assets::catalogue().unwrap_or_else(|e| panic!("{e}"));
    for example in file::examples() {
        file::read_scene(example.text.as_bytes(), &catalogue)
            .unwrap_or_else(|e| panic!("{}: {e}", example.file));
    }
}
