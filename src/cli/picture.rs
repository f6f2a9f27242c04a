//! `closefit picture`.

use super::args::Picture;
use super::{Exit, Said};
use crate::app::{picture_bytes, today};
use crate::export::Format;
use crate::file;
use crate::model::{Catalogue, Scene, Settings};
use crate::rules::Checker;
use crate::view::palette::Palette;
use crate::view::picture::PictureOptions;
use crate::view::solid3d::SolidOptions;
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
        views: wanted.views,
        front: true,
        solid: wanted.iso.then_some(SolidOptions {
            corner: wanted.solid.corner,
            perspective: wanted.solid.perspective,
            walls: wanted.solid.walls,
            explode: f64::from(wanted.solid.explode_mm),
        }),
        date: today(),
        ..PictureOptions::default()
    };
    let palette = Palette::choose(wanted.dark, false);
    let Some(format) = Format::of(&wanted.out, wanted.width) else {
        return Said::failed("a picture file ends in .png, .svg or .pdf", Exit::Usage);
    };
    let bytes = match picture_bytes(scene, &checker, &options, &palette, format) {
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
