//! Which arrangement of a scene is meant: by its name, or by number from 1.

use crate::model::Scene;

/// The index of an arrangement; a name goes before a number.
///
/// # Errors
///
/// In words, with the names that there are.
pub(super) fn index(scene: &Scene, wanted: &str) -> Result<usize, String> {
    let all = &scene.arrangements;
    let numbered = wanted.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
    all.iter()
        .position(|a| a.name == wanted)
        .or(numbered.filter(|n| *n < all.len()))
        .ok_or_else(|| {
            let names: Vec<&str> = all.iter().map(|a| a.name.as_str()).collect();
            format!(
                "there is no arrangement '{wanted}'; there are '{}'",
                names.join("', '")
            )
        })
}

/// The scene with the wanted arrangement at hand; as it is without a wish.
///
/// # Errors
///
/// As [`index`].
pub(super) fn shown(scene: &Scene, wanted: Option<&str>) -> Result<Scene, String> {
    let Some(wanted) = wanted else {
        return Ok(scene.clone());
    };
    let index = index(scene, wanted)?;
    Ok(scene
        .showing(index)
        .expect("the index is one of the scene's"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file;

    #[test]
    fn arrangements_go_by_name_before_number() {
        let catalogue = file::assets::catalogue().expect("built-in data");
        let cube = file::examples()
            .iter()
            .find(|e| e.text.contains("grille down"))
            .expect("an example with several arrangements");
        let mut scene = file::read_scene(cube.text.as_bytes(), &catalogue).expect("an example");
        assert_eq!(index(&scene, "grille down"), Ok(0));
        assert_eq!(index(&scene, "2"), Ok(1));
        scene.arrangements[0].name = "2".to_owned();
        assert_eq!(index(&scene, "2"), Ok(0));
        let error = index(&scene, "0").expect_err("numbers start at 1");
        assert!(error.contains("'grille up'"), "{error}");
        let shown = shown(&scene, Some("grille up")).expect("there is one");
        assert_eq!(shown.arrangement().name, "grille up");
    }
}
