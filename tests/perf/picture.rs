//! Pictures and papers: how long they take.
//!
//! `cargo bench --bench picture` prints one JSON object a line, times in milliseconds,
//! median and least of several runs, encoding included:
//!
//! * `shapes`: 1000 rectangles, 400 circles, 400 polygons, 200 polylines and 60 labels as
//!   a PNG of 3000 x 2000 px; beside it the same list as SVG, read, painted and encoded
//!   by resvg in this process (`resvg`);
//! * each example: its customer's page as a draw list (`list`) and as a PNG 3000 px wide
//!   (`png`), its build sheet as PDF (`sheet`) and as HTML (`html`).

#![allow(clippy::print_stdout, reason = "benches print their figures")]

use closefit::export::{Meta, Page, paper, png, svg};
use closefit::file;
use closefit::paper::{Build, Paper};
use closefit::rules::Checker;
use closefit::view::list::{DrawList, Layer, Line, Path, Point2, Rect, Role, Text, TextSize};
use closefit::view::list::{System, Weight};
use closefit::view::palette::Palette;
use closefit::view::picture::{PictureOptions, picture};
use closefit::view::solid3d::SolidOptions;
use closefit::view::text;
use resvg::usvg;
use serde_json::json;
use std::hint::black_box;
use std::sync::Arc;
use std::time::Instant;

/// Runs behind every median.
const RUNS: usize = 9;
/// The page in millimetres: ten pixels each.
const SIZE: (f64, f64) = (300.0, 200.0);
const WIDTH: u32 = 3000;

/// Median and least, in milliseconds.
fn timed<T>(mut work: impl FnMut() -> T) -> [f64; 2] {
    let mut times: Vec<f64> = (0..RUNS)
        .map(|_| {
            let start = Instant::now();
            black_box(work());
            start.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    times.sort_by(f64::total_cmp);
    let short = |ms: f64| (ms * 10.0).round() / 10.0;
    [short(times[RUNS / 2]), short(times[0])]
}

/// Even numbers in a range, the same each time (splitmix64).
struct Numbers(u64);

impl Numbers {
    fn in_range(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^= z >> 31;
        low + (high - low) * (z >> 11) as f64 / (1u64 << 53) as f64
    }

    fn points(&mut self, at: Point2, count: usize) -> Vec<Point2> {
        (0..count)
            .map(|_| at + Point2::new(self.in_range(0.0, 16.0), self.in_range(0.0, 16.0)))
            .collect()
    }
}

fn shapes() -> DrawList {
    let mut list = DrawList::new();
    let mut numbers = Numbers(20_251);
    let systems = [System::Boards, System::Air, System::Power, System::Data];
    let mut pen = list.pen().layer(Layer::Bodies);
    for (kind, count) in [1000, 400, 400, 200, 60].into_iter().enumerate() {
        for i in 0..count {
            let at = Point2::new(
                numbers.in_range(0.0, SIZE.0 - 20.0),
                numbers.in_range(0.0, SIZE.1 - 16.0),
            );
            let path = match kind {
                0 => {
                    let (w, h) = (numbers.in_range(1.0, 16.0), numbers.in_range(1.0, 16.0));
                    Path::rect(Rect::sized(at.x, at.y, w, h))
                }
                1 => Path::circle(at, numbers.in_range(0.5, 7.0)),
                2 => Path::polygon(numbers.points(at, 6)),
                3 => {
                    let points = numbers.points(at, 12);
                    let lines = points.windows(2).map(|p| Path::line(p[0], p[1]));
                    lines.fold(Path::new(), |path, line| path.with(&line))
                }
                _ => {
                    let label = Text::new(at, format!("part {i}")).size(TextSize::Body);
                    pen.text(label, Role::Text);
                    continue;
                }
            };
            if kind < 3 {
                pen.fill(path.clone(), Role::Fill(systems[i % systems.len()]));
            }
            pen.stroke(path, Line::THIN, Role::Ink);
        }
    }
    list
}

fn by_resvg(svg: &str, options: &usvg::Options<'_>) -> Vec<u8> {
    let tree = usvg::Tree::from_str(svg, options).expect("our own SVG is read");
    let (width, height) = (WIDTH, WIDTH * 2 / 3);
    let mut pixmap = resvg::tiny_skia::Pixmap::new(width, height).expect("a sound size");
    let scale = width as f32 / tree.size().width();
    let map = resvg::tiny_skia::Transform::from_scale(scale, scale);
    resvg::render(&tree, map, &mut pixmap.as_mut());
    pixmap.encode_png().expect("pixels are always a PNG")
}

fn main() {
    let meta = Meta {
        title: "bench".to_owned(),
        description: String::new(),
    };
    let palette = Palette::choose(false, false);
    let list = shapes();
    let page = Page::new(SIZE.0, SIZE.1).expect("a sound page");
    let width = png::Resolution::Width(WIDTH);
    let ours = timed(|| png::write(&list, page, &palette, &meta, width).expect("a picture"));
    let mut fonts = usvg::fontdb::Database::new();
    for weight in [Weight::Regular, Weight::Bold] {
        fonts.load_font_data(text::font_file(weight).to_vec());
    }
    let options = usvg::Options {
        fontdb: Arc::new(fonts),
        ..usvg::Options::default()
    };
    let svg = svg::write(&list, page, &palette, &meta, svg::Font::Named);
    let resvg = timed(|| by_resvg(&svg, &options));
    println!(
        "{}",
        json!({"what": "shapes", "png_ms": ours, "resvg_ms": resvg})
    );

    let catalogue = Arc::new(file::assets::catalogue().expect("built-in data"));
    let settings = Arc::new(file::assets::settings().expect("built-in data"));
    for example in file::examples() {
        let scene = file::read_scene(example.text.as_bytes(), &catalogue).expect("an example");
        let mut checker = Checker::new(settings.clone()).with_catalogue(catalogue.clone());
        checker.check_all(&scene);
        let options = PictureOptions {
            front: true,
            solid: Some(SolidOptions::default()),
            ..PictureOptions::default()
        };
        let list = timed(|| picture(&scene, &checker, &options));
        let (drawn, (w, h)) = picture(&scene, &checker, &options);
        let page = Page::new(w, h).expect("a sound page");
        let png = timed(|| png::write(&drawn, page, &palette, &meta, width).expect("a picture"));
        let build = Build::of(&scene, &checker);
        let sheet = |html| paper::sheet_bytes(&build, Paper::A4, html).expect("a sheet");
        println!(
            "{}",
            json!({
                "what": scene.title, "parts": scene.parts.len(), "list_ms": list,
                "png_ms": png, "sheet_ms": timed(|| sheet(false)), "html_ms": timed(|| sheet(true)),
            })
        );
    }
}
