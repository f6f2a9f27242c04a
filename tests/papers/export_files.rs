//! Pictures read back by independent readers: resvg, usvg's text layout, an XML
//! parser, a PNG decoder.

use closefit::export::{Meta, Page, png, svg};
use closefit::view::list::*;
use closefit::view::palette::Palette;
use closefit::view::text;
use resvg::usvg;
use std::sync::Arc;

/// An invented sheet with a mark of every kind; `shift` moves one line of it.
fn sheet(shift: f64) -> DrawList {
    let mut list = DrawList::new();
    let mut pen = list.pen();
    for x in (0..=120).step_by(10) {
        pen.stroke(
            Path::line((f64::from(x), 0.0), (f64::from(x), 80.0)),
            Line::HAIR,
            Role::Grid(GridStep::Mm10),
        );
    }
    let tray = Path::rect(Rect::sized(8.0, 8.0, 100.0, 60.0))
        .with(&Path::rect(Rect::sized(10.0, 10.0, 96.0, 56.0)));
    pen.fork()
        .owner(Owner::Zone(1))
        .fill(tray, Role::Wall)
        .wash(Path::slot((70.0, 60.0), (95.0, 60.0), 8.0), Role::ZoneOpen);
    let mut fan = pen
        .fork()
        .owner(Owner::Part(2))
        .z(5)
        .place(Affine::turn(90.0).then(Affine::shift(50.0, 14.0)));
    fan.body(
        Path::rounded_rect(Rect::sized(0.0, 0.0, 40.0, 36.0), 3.0),
        System::Air,
    )
    .fill(
        Path::ring((20.0, 18.0), 15.0, 6.0),
        Role::Detail(System::Air),
    )
    .stroke(Path::cross((20.0, 18.0), 22.0), Line::CENTRE, Role::Centre)
    .hole((3.5, 3.5), 1.6)
    .text(
        Text::new((20.0, 18.0), "40 × 36")
            .size(TextSize::Small)
            .middle()
            .halo(),
        Role::Text,
    )
    .dimension(&Dimension::new((0.0, 36.0), (40.0, 36.0), "40.0").offset(-5.0));
    pen.stroke(
        Path::rounded_rect(Rect::sized(58.0, 14.0, 40.0, 22.0), 5.0),
        Line::HIDDEN,
        Role::Hidden,
    )
    .stroke(
        Path::arc((78.0, 48.0), 9.0, 200.0, 250.0),
        Line::PHANTOM,
        Role::Ghost,
    )
    .hatch(
        Hatch::new(Path::circle((90.0, 30.0), 9.0), 1.2),
        Role::Clash,
    )
    .stroke(
        Path::line((60.0, 44.0 + shift), (72.0, 44.0 + shift)),
        Line::THICK,
        Role::Ink,
    )
    .text(
        Text::new((8.0, 76.0), "Sheet: <side> & \"top\"").bold(),
        Role::Title,
    )
    .text(
        Text::new((112.0, 40.0), "reads from the right")
            .turned(-90.0)
            .middle(),
        Role::TextSoft,
    );
    for (i, line) in [Line::THIN, Line::THICK, Line::HAIR]
        .into_iter()
        .enumerate()
    {
        let x = 58.03 + 9.37 * i as f64;
        let tall = Path::rect(Rect::sized(x, 70.41, 6.3, 7.77));
        let slim = Path::rect(Rect::sized(x + 7.0, 71.0, 0.2, 5.0));
        pen.stroke(tall, line, Role::Ink)
            .stroke(slim, line, Role::Ink);
    }
    let way = Path::rounded_polyline(
        [(30.0, 50.0), (56.0, 50.0), (56.0, 58.0), (84.0, 58.0)],
        3.0,
    );
    list.pen().owner(Owner::Cable(3)).stroke(
        way,
        Line::true_width(2.5),
        Role::Cable(System::Power),
    );
    list
}

fn page() -> Page {
    Page::new(120.0, 80.0).unwrap()
}

fn meta() -> Meta {
    Meta {
        title: "Invented sheet".into(),
        description: "One fan in a tray".into(),
    }
}

fn parse(svg: &str) -> usvg::Tree {
    let mut fonts = usvg::fontdb::Database::new();
    for weight in [Weight::Regular, Weight::Bold] {
        fonts.load_font_data(text::font_file(weight).to_vec());
    }
    let options = usvg::Options {
        fontdb: Arc::new(fonts),
        ..usvg::Options::default()
    };
    usvg::Tree::from_str(svg, &options).expect("a reader accepts the file")
}

/// RGB rows of the SVG as resvg paints it.
fn painted_by_resvg(list: &DrawList, palette: &Palette, width: u32, height: u32) -> Vec<u8> {
    let tree = parse(&svg::write(
        list,
        page(),
        palette,
        &meta(),
        svg::Font::Named,
    ));
    let mut pixmap = resvg::tiny_skia::Pixmap::new(width, height).unwrap();
    let scale = |pixels: u32, size: f32| pixels as f32 / size;
    let map = resvg::tiny_skia::Transform::from_scale(
        scale(width, tree.size().width()),
        scale(height, tree.size().height()),
    );
    resvg::render(&tree, map, &mut pixmap.as_mut());
    pixmap
        .data()
        .as_chunks::<4>()
        .0
        .iter()
        .flat_map(|p| [p[0], p[1], p[2]])
        .collect()
}

struct Decoded {
    width: u32,
    height: u32,
    rgb: Vec<u8>,
    texts: Vec<(String, String)>,
}

fn decode(bytes: &[u8]) -> Decoded {
    let mut reader = ::png::Decoder::new(std::io::Cursor::new(bytes))
        .read_info()
        .unwrap();
    let mut rgb = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut rgb).unwrap();
    let info = reader.info();
    let texts = info
        .utf8_text
        .iter()
        .map(|t| (t.keyword.clone(), t.get_text().unwrap()))
        .collect();
    Decoded {
        width: info.width,
        height: info.height,
        texts,
        rgb,
    }
}

/// Mean absolute difference a channel: of the whole, and of the worst 20 x 20 tile.
fn differences(a: &[u8], b: &[u8], width: usize) -> (f64, f64) {
    const TILE: usize = 20;
    assert_eq!(a.len(), b.len());
    let across = width.div_ceil(TILE);
    let mut tiles = vec![0u64; across * (a.len() / 3 / width).div_ceil(TILE)];
    for (i, (a, b)) in a.iter().zip(b).enumerate() {
        let (x, y) = (i / 3 % width, i / 3 / width);
        tiles[y / TILE * across + x / TILE] += u64::from(a.abs_diff(*b));
    }
    let worst = tiles.iter().max().copied().unwrap_or(0) as f64 / (3 * TILE * TILE) as f64;
    (tiles.iter().sum::<u64>() as f64 / a.len() as f64, worst)
}

fn picture(list: &DrawList, palette: &Palette) -> Decoded {
    decode(&png::write(list, page(), palette, &meta(), png::Resolution::Width(960)).unwrap())
}

#[test]
fn the_two_files_show_the_same_sheet() {
    for palette in Palette::ALL {
        let ours = picture(&sheet(0.0), &palette);
        let theirs = painted_by_resvg(&sheet(0.0), &palette, ours.width, ours.height);
        let (mean, worst) = differences(&ours.rgb, &theirs, 960);
        assert!(
            mean < MEAN_LIMIT && worst < WORST_LIMIT,
            "{}: mean {mean:.3}, worst {worst:.2}",
            palette.name
        );
    }
}

/// Measured: mean 0.07, worst 4.4, most of it at the edges of upright rectangles: the
/// PNG covers their border pixels exactly, the reader by sampling (a mean of 10 of 255
/// off the exact area on 2000 random rectangles).
const MEAN_LIMIT: f64 = 0.12;
const WORST_LIMIT: f64 = 6.0;

#[test]
fn the_comparison_notices_a_line_that_moved_by_its_width() {
    let ours = picture(&sheet(0.5), &Palette::LIGHT);
    let theirs = painted_by_resvg(&sheet(0.0), &Palette::LIGHT, ours.width, ours.height);
    let (_, worst) = differences(&ours.rgb, &theirs, 960);
    assert!(worst > 2.0 * WORST_LIMIT, "{worst:.2}");
}

fn find_texts<'a>(group: &'a usvg::Group, found: &mut Vec<&'a usvg::Text>) {
    for node in group.children() {
        match node {
            usvg::Node::Group(group) => find_texts(group, found),
            usvg::Node::Text(text) => found.push(text),
            _ => {}
        }
    }
}

#[test]
fn text_is_as_long_as_another_layout_engine_sets_it() {
    let samples = [
        "0123456789",
        "267.0 mm",
        "AV Te fi ffl",
        "Wärme  Ø 120 °C",
        "Boards & cards",
    ];
    let mut list = DrawList::new();
    for (i, sample) in samples.iter().enumerate() {
        let text = Text::new((5.0, 10.0 + 10.0 * i as f64), sample);
        list.pen()
            .text(if i % 2 == 0 { text } else { text.bold() }, Role::Text);
    }
    let tree = parse(&svg::write(
        &list,
        page(),
        &Palette::LIGHT,
        &meta(),
        svg::Font::Named,
    ));
    let mut laid_out = Vec::new();
    find_texts(tree.root(), &mut laid_out);
    assert_eq!(laid_out.len(), samples.len());
    // The tree is in CSS pixels, 96 an inch.
    let mm = 25.4 / 96.0;
    for (laid_out, item) in laid_out.into_iter().zip(&list.items) {
        let Mark::Text(text) = &item.mark else {
            panic!("lettering")
        };
        let width = f64::from(laid_out.abs_bounding_box().width()) * mm;
        assert!(
            (width - text.width()).abs() < 0.01,
            "{}: {width} {}",
            text.text,
            text.width()
        );
    }
}

#[test]
fn anchors_and_turns_mean_the_same_in_both_files() {
    let mut list = DrawList::new();
    for (i, h) in [HAlign::Left, HAlign::Middle, HAlign::Right]
        .into_iter()
        .enumerate()
    {
        for (j, v) in [VAlign::Baseline, VAlign::Middle, VAlign::Top]
            .into_iter()
            .enumerate()
        {
            let at = (25.0 + 35.0 * i as f64, 15.0 + 25.0 * j as f64);
            list.pen().text(
                Text::new(at, "HE12")
                    .anchored(h, v)
                    .turned(-30.0 * j as f64),
                Role::Text,
            );
        }
    }
    let ours = picture(&list, &Palette::LIGHT);
    let theirs = painted_by_resvg(&list, &Palette::LIGHT, ours.width, ours.height);
    let (mean, worst) = differences(&ours.rgb, &theirs, 960);
    assert!(
        mean < MEAN_LIMIT && worst < WORST_LIMIT,
        "mean {mean:.3}, worst {worst:.2}"
    );
}

#[test]
fn the_same_sheet_gives_the_same_bytes() {
    let files = || {
        let svg = svg::write(
            &sheet(0.0),
            page(),
            &Palette::DARK,
            &meta(),
            svg::Font::Embedded,
        );
        let png = png::write(
            &sheet(0.0),
            page(),
            &Palette::DARK,
            &meta(),
            png::Resolution::Dpi(200.0),
        )
        .unwrap();
        (svg, png)
    };
    assert_eq!(files(), files());
}

#[test]
fn hostile_text_comes_back_from_an_xml_parser() {
    let hostile = "<script>&amp;]]>\"'\0\u{1}\u{7}\u{ffff}\u{1f600} e\u{301} --";
    let mut list = DrawList::new();
    // Past the constructor that cleans, straight into the public field.
    let text = Text {
        text: hostile.into(),
        ..Text::new((5.0, 5.0), "").halo()
    };
    list.pen().text(text, Role::Text);
    let meta = Meta {
        title: hostile.into(),
        description: hostile.into(),
    };
    let file = svg::write(&list, page(), &Palette::LIGHT, &meta, svg::Font::Named);
    let xml = usvg::roxmltree::Document::parse(&file).unwrap();
    let shown = hostile.replace(['\0', '\u{1}', '\u{7}', '\u{ffff}'], "\u{fffd}");
    for tag in ["title", "desc", "text"] {
        let node = xml
            .descendants()
            .find(|n| n.has_tag_name(("http://www.w3.org/2000/svg", tag)))
            .unwrap();
        assert_eq!(node.text(), Some(&*shown), "{tag}");
    }
    assert!(!file.contains("<script>"));
    let png = png::write(
        &list,
        page(),
        &Palette::LIGHT,
        &meta,
        png::Resolution::Width(300),
    )
    .unwrap();
    assert_eq!(
        decode(&png).texts[0],
        ("Title".to_owned(), hostile.replace('\0', "\u{fffd}"))
    );
}

#[test]
fn svg_says_its_size_its_roles_and_its_owners() {
    let file = svg::write(
        &sheet(0.0),
        page(),
        &Palette::LIGHT,
        &meta(),
        svg::Font::Embedded,
    );
    let xml = usvg::roxmltree::Document::parse(&file).unwrap();
    let root = xml.root_element();
    assert_eq!(root.attribute("width"), Some("120mm"));
    assert_eq!(root.attribute("viewBox"), Some("0 0 120 80"));
    let layers: Vec<_> = root
        .children()
        .filter_map(|n| n.attribute("class"))
        .collect();
    let expected = [
        "paper",
        "layer sheet",
        "layer enclosure",
        "layer bodies",
        "layer cables",
        "layer marks",
        "layer notes",
    ];
    assert_eq!(layers, expected);
    let cable = xml
        .descendants()
        .find(|n| n.attribute("data-owner") == Some("cable-3"))
        .unwrap();
    assert_eq!(cable.attribute("class"), Some("cable-power"));
    for node in xml.descendants() {
        for attribute in node.attributes().filter(|a| a.name() != "xmlns") {
            for number in attribute
                .value()
                .split(|c: char| !c.is_ascii_digit() && c != '.')
            {
                let decimals = number.split_once('.').map_or(0, |(_, rest)| rest.len());
                assert!(decimals <= 3, "{}", attribute.value());
            }
        }
    }
    // The embedded file is the bundled one.
    let style = xml
        .descendants()
        .find(|n| n.has_tag_name(("http://www.w3.org/2000/svg", "style")))
        .unwrap();
    let start = style.text().unwrap().split_once("base64,").unwrap().1;
    let encoded = start.split_once(')').unwrap().0;
    use base64::Engine;
    let font = base64::prelude::BASE64_STANDARD.decode(encoded).unwrap();
    assert_eq!(font, text::font_file(Weight::Regular));
}

#[test]
fn what_cannot_be_drawn_is_left_out_and_counted() {
    let plain = sheet(0.0);
    let mut list = plain.clone();
    let mut pen = list.pen();
    for bad in [f64::NAN, f64::INFINITY, 1e300, -1e12] {
        pen.fill(Path::circle((bad, 10.0), 5.0), Role::Ink)
            .stroke(
                Path::rect(Rect::spanning((0.0, bad), (5.0, 5.0))),
                Line::HIDDEN,
                Role::Ink,
            )
            .text(Text::new((5.0, bad), "x"), Role::Text)
            .text(
                Text::new((5.0, 5.0), "x")
                    .turned(f64::NAN)
                    .size(TextSize::Cap(bad)),
                Role::Text,
            )
            .hatch(Hatch::new(Path::circle((0.0, bad), 5.0), 1.0), Role::Clash)
            .stroke(
                Path::line((0.0, 0.0), (5.0, 5.0)),
                Line::true_width(bad),
                Role::Ink,
            );
    }
    assert_eq!(list.undrawable(), 24);
    let svg = |list| svg::write(list, page(), &Palette::LIGHT, &meta(), svg::Font::Named);
    let png = |list| {
        png::write(
            list,
            page(),
            &Palette::LIGHT,
            &meta(),
            png::Resolution::Width(300),
        )
        .unwrap()
    };
    assert_eq!(svg(&list), svg(&plain));
    assert_eq!(png(&list), png(&plain));
}
