//! `closefit picture`.

use super::args::Picture;
use super::arrangement::shown;
use super::{Exit, Said};
use crate::app::{compare_bytes, picture_bytes, today};
use crate::export::Format;
use crate::file;
use crate::model::{Catalogue, Scene, Settings};
use crate::rules::{Checker, Severity};
use crate::view::palette::{Palette, Rgba};
use crate::view::picture::{A4, LETTER, PictureOptions};
use crate::view::solid3d::SolidOptions;
use std::cell::Cell;
use std::sync::Arc;

/// Writes a picture; the ending of the file decides the format.
pub fn picture(
    scene: &Scene,
    catalogue: Arc<Catalogue>,
    settings: Arc<Settings>,
    wanted: &Picture,
) -> Said {
    let shop = match wanted.shop.as_deref().map(file::read_shop).transpose() {
        Ok(shop) => shop,
        Err(e) => return Said::failed(e.to_string(), Exit::Unreadable),
    };
    let accent = shop.as_ref().and_then(|s| s.accent);
    let options = PictureOptions {
        shop,
        findings: wanted.findings,
        views: wanted.views,
        front: true,
        solid: wanted.iso.then_some(SolidOptions {
            corner: wanted.solid.corner,
            perspective: wanted.solid.perspective,
            walls: wanted.solid.walls,
            explode: f64::from(wanted.solid.explode_mm),
        }),
        page: if wanted.letter { LETTER } else { A4 },
        date: today(),
        ..PictureOptions::default()
    };
    let palette = Palette::choose(wanted.dark, false).with_accent(accent.map(Rgba::rgb));
    let Some(format) = Format::of(&wanted.out, wanted.width) else {
        return Said::failed("a picture file ends in .png, .svg or .pdf", Exit::Usage);
    };
    // Of the arrangement with the most.
    let stops = Cell::new(0);
    let judged = |scene: &Scene| {
        let mut checker = Checker::new(settings.clone()).with_catalogue(catalogue.clone());
        checker.check_all(scene);
        let open = checker
            .findings()
            .into_iter()
            .filter(|f| f.severity == Severity::Stop && checker.is_accepted(scene, f).is_none());
        stops.set(stops.get().max(open.count()));
        checker
    };
    let bytes = match &wanted.compare {
        None => match shown(scene, wanted.arrangement.as_deref()) {
            Ok(scene) => picture_bytes(&scene, &judged(&scene), &options, &palette, format),
            Err(e) => return Said::failed(e, Exit::Usage),
        },
        Some(names) => {
            let mut two = Vec::new();
            for name in names {
                match shown(scene, Some(name)) {
                    Ok(scene) => two.push((judged(&scene), scene)),
                    Err(e) => return Said::failed(e, Exit::Usage),
                }
            }
            let [(a, before), (b, after)] = &two[..] else {
                return Said::failed("--compare needs two arrangements", Exit::Usage);
            };
            compare_bytes((before, a), (after, b), &options, &palette, format)
        }
    };
    let bytes = match bytes {
        Ok(bytes) => bytes,
        Err(e) => return Said::failed(e.to_string(), Exit::Unreadable),
    };
    let mut said = Said::written(&wanted.out, &bytes);
    if said.exit == Exit::Sound && stops.get() > 0 {
        let findings = match stops.get() {
            1 => "a finding that stops it".to_owned(),
            n => format!("{n} findings that stop it"),
        };
        said.err =
            format!("the picture is written; the build has {findings}, see closefit check\n");
    }
    said
}
