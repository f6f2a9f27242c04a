//! The picture for the customer: views, dimensions, numbers, legend, title.
//!
//! Top view above side view on one depth axis, the front view at the right of the
//! side view where wanted (third angle, ISO 5456-2). Everything is laid out in
//! page millimetres before anything is drawn, so that nothing overlaps and nothing
//! is cut off.

mod balloons;
mod compare;
mod items;
mod layout;
mod legend;
mod plain;
mod probe;
mod title;
mod views;

pub use compare::{Change, Difference, compare, differences};

use super::list::{DrawList, Rect};
use super::projection::ViewKind;
use super::sheet::{SheetInput, ViewOptions};
use super::solid3d::SolidOptions;
use crate::model::{Scene, Shop};
use crate::rules::Checker;

/// Smallest page in millimetres: below this title and legend have no room.
pub const LEAST_PAGE: (f64, f64) = (200.0, 140.0);

/// A4 lying, in millimetres: ISO 216, from memory.
pub const A4: (f64, f64) = (297.0, 210.0);

/// Letter lying, in millimetres: 11 by 8.5 in.
pub const LETTER: (f64, f64) = (279.4, 215.9);

/// Which views a picture has.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Views {
    /// Top and side view, with the front and the three-dimensional view where wanted.
    #[default]
    Page,
    /// One view alone.
    One(ViewKind),
    /// The three-dimensional view alone.
    Solid,
}

/// What a picture shows.
#[derive(Clone, PartialEq, Debug)]
pub struct PictureOptions {
    /// Which views.
    pub views: Views,
    /// Page size in millimetres; enlarged to [`LEAST_PAGE`] where smaller.
    pub page: (f64, f64),
    /// Title; the scene's own where not given.
    pub title: Option<String>,
    /// The date as it is to be printed; the program's clock is the caller's matter.
    pub date: String,
    /// Page millimetres for a scene millimetre; the largest usual scale that fits
    /// where not given.
    pub scale: Option<f64>,
    /// The front view beside the side view.
    pub front: bool,
    /// The three-dimensional view, and how it is drawn.
    pub solid: Option<SolidOptions>,
    /// Findings: marked in the views and listed.
    pub findings: bool,
    /// Numbers by the parts, and the legend that explains them.
    pub legend: bool,
    /// Who makes the build, for the title block.
    pub shop: Option<Shop>,
    /// The main choices in plain sentences, where the legend leaves room.
    pub plain_words: bool,
    /// Outer dimensions of the enclosure.
    pub dimensions: bool,
    /// Rulers along the views.
    pub rulers: bool,
    /// What else the views show. Findings follow the field above.
    pub view: ViewOptions,
}

impl Default for PictureOptions {
    /// A4 lying, with legend and dimensions, without findings.
    fn default() -> PictureOptions {
        PictureOptions {
            views: Views::Page,
            page: A4,
            title: None,
            date: String::new(),
            scale: None,
            front: false,
            solid: None,
            findings: false,
            legend: true,
            shop: None,
            plain_words: true,
            dimensions: true,
            rulers: false,
            view: ViewOptions {
                zones: false,
                ..ViewOptions::default()
            },
        }
    }
}

/// The picture of a scene, and its page size in millimetres.
pub fn picture(
    scene: &Scene,
    checker: &Checker,
    options: &PictureOptions,
) -> (DrawList, (f64, f64)) {
    let findings = checker.findings();
    let mut input = SheetInput::of(scene, checker.placed(), checker.runs());
    input.findings = &findings;
    input.catalogue = Some(checker.catalogue());
    picture_of(&input, options)
}

/// The picture of what a sheet shows, and its page size in millimetres. Selection,
/// pointer and offers are left out.
pub fn picture_of(input: &SheetInput<'_>, options: &PictureOptions) -> (DrawList, (f64, f64)) {
    let page = page_of(options);
    let clean = clean(input, options);
    let mut list = DrawList::new();
    let items = items::items(&clean);
    let plan = layout::plan(
        &clean,
        options,
        Rect::sized(0.0, 0.0, page.0, page.1),
        &items,
    );
    views::draw(&mut list, &clean, options, &plan);
    if options.legend {
        balloons::draw(&mut list, &clean, &plan, &items);
        legend::draw(&mut list, &clean, options, &plan, &items);
    }
    title::draw(&mut list, &clean, options, &plan);
    (list, page)
}

/// The page size that is drawn.
fn page_of(options: &PictureOptions) -> (f64, f64) {
    let side = |wanted: f64, least: f64| {
        let sound = wanted.is_finite() && wanted > least;
        if sound { wanted } else { least }
    };
    (
        side(options.page.0, LEAST_PAGE.0),
        side(options.page.1, LEAST_PAGE.1),
    )
}

/// The input without what belongs to the window only.
fn clean<'a>(input: &SheetInput<'a>, options: &PictureOptions) -> SheetInput<'a> {
    SheetInput {
        selection: SheetInput::nothing(),
        hover: None,
        chosen: None,
        offers: &[],
        ghost: None,
        sides: &[],
        measured: None,
        findings: if options.findings {
            input.findings
        } else {
            &[]
        },
        options: ViewOptions {
            findings: options.findings,
            ports: false,
            // Nothing is in hand on paper.
            judged_ways: options.findings,
            ..options.view.clone()
        },
        ..input.clone()
    }
}
