//! `closefit picture`.

use super::args::Picture;
use super::{Exit, Said};
use crate::app::today;
use crate::model::{Catalogue, Scene, Settings};
use crate::rules::Checker;
use crate::view::palette::Palette;
use crate::view::picture::{self, PictureOptions};
use crate::{export, file};
use std::sync::Arc;

/// Writes a picture; the ending of the file decides the format.
pub fn picture(
    scene: &Scene,
    catalogue: Arc<Catalogue>,
    settings: Arc<Settings>,
    wanted: &Picture,
) -> Said {
    let mut checker = Checker::new(settings).with_catalogue(catalogue);
    checker.check_all(scene);
    let options = PictureOptions {
        findings: wanted.findings,
        front: wanted.front,
        date: today(),
        ..PictureOptions::default()
    };
    let page = picture::picture(scene, &checker, &options);
    let palette = Palette::choose(wanted.dark, false);
    let svg = wanted
        .out
        .extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("svg"));
    let made = match svg {
        true => Ok(export::svg(&page, &palette, &scene.title).into_bytes()),
        false => export::png(&page, &palette, wanted.width),
    };
    let bytes = match made {
        Ok(bytes) => bytes,
        Err(e) => return Said::failed(e.to_string(), Exit::Unreadable),
    };
    match file::write_bytes(&wanted.out, &bytes) {
        Ok(()) => Said {
            out: format!("wrote {}\n", wanted.out.display()),
            err: String::new(),
            exit: Exit::Sound,
        },
        Err(e) => Said::failed(e.to_string(), Exit::Unreadable),
    }
}
