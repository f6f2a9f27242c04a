//! PDF files read back by an independent reader.

use closefit::export::pdf::{MAX_SIDE_MM, PdfPage, write};
use closefit::export::{ExportError, Meta, Page, png, svg};
use closefit::view::list::*;
use closefit::view::palette::Palette;
use lopdf::content::Content;
use lopdf::{Document, Object, ObjectId};

fn meta() -> Meta {
    Meta {
        title: "Invented sheet".into(),
        description: "One fan in a tray".into(),
    }
}

fn one(list: &DrawList, page: Page, palette: &Palette) -> Vec<u8> {
    let name = "";
    write(&[PdfPage { list, page, name }], palette, &meta()).unwrap()
}

/// An invented sheet with a mark of every kind.
fn sheet() -> DrawList {
    let mut list = DrawList::new();
    list.pen()
        .stroke(
            Path::line((20.0, 40.0), (120.0, 40.0)),
            Line::THIN,
            Role::Ink,
        )
        .stroke(Path::circle((90.0, 90.0), 20.0), Line::CENTRE, Role::Centre)
        .wash(
            Path::rect(Rect::sized(5.0, 5.0, 30.0, 20.0)),
            Role::ZoneOpen,
        )
        .hatch(
            Hatch::new(Path::circle((90.0, 30.0), 9.0), 1.2),
            Role::Clash,
        )
        .text(Text::new((20.0, 60.0), "Fan 120 × 25 mm, (M4)"), Role::Text)
        .text(
            Text::new((20.0, 70.0), "Bold heading").bold().halo(),
            Role::Title,
        )
        .text(
            Text::new((150.0, 90.0), "reads from the right")
                .turned(-90.0)
                .middle(),
            Role::TextSoft,
        );
    list
}

type Matrix = [f64; 6];

fn then(a: Matrix, b: Matrix) -> Matrix {
    [
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    ]
}

/// Straight strokes of a page in points from its lower left corner, by walking the
/// page's operators.
fn lines(document: &Document, page: ObjectId) -> Vec<[(f64, f64); 2]> {
    let content = Content::decode(&document.get_page_content(page)).unwrap();
    let mut map: Matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
    let (mut kept, mut path, mut found) = (Vec::new(), Vec::new(), Vec::new());
    for op in content.operations {
        let figures: Vec<f64> = op
            .operands
            .iter()
            .filter_map(|o| o.as_float().ok())
            .map(f64::from)
            .collect();
        match op.operator.as_str() {
            "q" => kept.push(map),
            "Q" => map = kept.pop().unwrap(),
            "cm" => map = then(<[f64; 6]>::try_from(figures).unwrap(), map),
            "m" => path = vec![(figures[0], figures[1])],
            "l" => path.push((figures[0], figures[1])),
            "S" if path.len() == 2 => {
                let on = |(x, y): (f64, f64)| {
                    (
                        x * map[0] + y * map[2] + map[4],
                        x * map[1] + y * map[3] + map[5],
                    )
                };
                found.push([on(path[0]), on(path[1])]);
            }
            _ => {}
        }
    }
    found
}

fn media_box(document: &Document, page: ObjectId) -> [f64; 4] {
    let page = document.get_dictionary(page).unwrap();
    let sides = page.get(b"MediaBox").unwrap().as_array().unwrap();
    let sides: Vec<f64> = sides
        .iter()
        .map(|o| f64::from(o.as_float().unwrap()))
        .collect();
    <[f64; 4]>::try_from(sides).unwrap()
}

#[test]
fn a_millimetre_is_a_millimetre_on_paper() {
    // 1 inch = 25.4 mm = 72 points, ISO 32000-1 8.3.2.3: the default unit is 1/72 inch.
    let document = Document::load_mem(&one(&sheet(), Page::A4, &Palette::LIGHT)).unwrap();
    let page = document.get_pages()[&1];
    let [_, _, width, height] = media_box(&document, page);
    assert!((width * 25.4 / 72.0 - 210.0).abs() < 0.001, "{width}");
    assert!((height * 25.4 / 72.0 - 297.0).abs() < 0.001, "{height}");
    let mm = |points: f64| points * 25.4 / 72.0;
    let check = |line: &&[(f64, f64); 2]| {
        let [a, b] = **line;
        (mm(b.0 - a.0) - 100.0).abs() < 0.01
            && (mm(a.0) - 20.0).abs() < 0.01
            && (mm(height - a.1) - 40.0).abs() < 0.01
            && a.1 == b.1
    };
    let found = lines(&document, page);
    assert_eq!(found.iter().filter(check).count(), 1, "{found:?}");
}

#[test]
fn text_stays_text_and_each_line_is_found_once() {
    let list = sheet();
    let document = Document::load_mem(&one(&list, Page::A4, &Palette::DARK)).unwrap();
    let read = document.extract_text(&[1]).unwrap();
    let squeezed: String = read.split_whitespace().collect();
    for item in &list.items {
        let Mark::Text(text) = &item.mark else {
            continue;
        };
        let wanted: String = text.text.split_whitespace().collect();
        assert_eq!(squeezed.matches(&wanted).count(), 1, "{wanted} in {read}");
    }
}

#[test]
fn every_typeface_used_is_embedded() {
    let document = Document::load_mem(&one(&sheet(), Page::A4, &Palette::LIGHT)).unwrap();
    let mut names = Vec::new();
    for object in document.objects.values() {
        let Ok(font) = object.as_dict() else { continue };
        if font.get(b"Type").and_then(Object::as_name).ok() == Some(b"FontDescriptor") {
            let name = font.get(b"FontName").unwrap().as_name().unwrap();
            names.push(String::from_utf8_lossy(name).into_owned());
            let file = font.get(b"FontFile3").or(font.get(b"FontFile2")).unwrap();
            let (_, file) = document.dereference(file).unwrap();
            assert!(file.as_stream().unwrap().content.len() > 500);
        }
    }
    names.sort();
    assert_eq!(names.len(), 2, "{names:?}");
    assert!(names.iter().all(|n| n.contains("B612")), "{names:?}");
}

#[test]
fn pages_keep_their_order_size_and_name() {
    let letter = Page::new(215.9, 279.4).unwrap();
    let (first, second) = (sheet(), DrawList::new());
    let pages = [
        PdfPage {
            list: &first,
            page: Page::A4,
            name: "Views",
        },
        PdfPage {
            list: &second,
            page: letter.turned(),
            name: "Parts",
        },
    ];
    let bytes = write(&pages, &Palette::LIGHT, &meta()).unwrap();
    let document = Document::load_mem(&bytes).unwrap();
    let read = document.get_pages();
    assert_eq!(read.len(), 2);
    // US Letter is 8.5 by 11 inches, ANSI/ASME Y14.1, from memory.
    let [_, _, width, height] = media_box(&document, read[&2]);
    assert!((width - 792.0).abs() < 0.01 && (height - 612.0).abs() < 0.01);
    let contents = document.get_toc().unwrap();
    let entries: Vec<(&str, usize)> = contents
        .toc
        .iter()
        .map(|e| (e.title.as_str(), e.page))
        .collect();
    assert_eq!(entries, [("Views", 1), ("Parts", 2)]);
    let nothing = Document::load_mem(&write(&[], &Palette::LIGHT, &meta()).unwrap()).unwrap();
    assert_eq!(nothing.get_pages().len(), 1);
}

#[test]
fn the_same_pages_give_the_same_bytes_without_a_date() {
    let bytes = one(&sheet(), Page::A4, &Palette::LIGHT);
    assert_eq!(bytes, one(&sheet(), Page::A4, &Palette::LIGHT));
    let document = Document::load_mem(&bytes).unwrap();
    let info = document.trailer.get(b"Info").unwrap();
    let (_, info) = document.dereference(info).unwrap();
    let info = info.as_dict().unwrap();
    assert!(info.has(b"Title") && !info.has(b"CreationDate") && !info.has(b"ModDate"));
}

#[test]
fn hostile_marks_and_texts_make_a_readable_file() {
    let far = MAX_COORDINATE;
    let hostile = "<&]]>\0\u{1}\u{ffff}\u{1f600} e\u{301} ) \\ (";
    let mut list = sheet();
    list.pen()
        .fill(
            Path::polygon([(-far, -far), (far, 0.0), (0.0, far)]),
            Role::Ink,
        )
        .stroke(
            Path::line((f64::NAN, 0.0), (1.0, 1.0)),
            Line::THIN,
            Role::Ink,
        )
        .stroke(Path::line((5.0, 5.0), (5.0, 5.0)), Line::THIN, Role::Ink)
        .stroke(Path::new(), Line::THIN, Role::Ink)
        .text(Text::new((20.0, 120.0), hostile), Role::Text)
        .text(Text::new((20.0, 130.0), ""), Role::Text);
    let meta = Meta {
        title: hostile.into(),
        description: hostile.into(),
    };
    let page = PdfPage {
        list: &list,
        page: Page::A4,
        name: hostile,
    };
    let bytes = write(&[page], &Palette::LIGHT, &meta).unwrap();
    let document = Document::load_mem(&bytes).unwrap();
    assert_eq!(document.get_pages().len(), 1);
    let xmp = document
        .objects
        .values()
        .filter_map(|o| o.as_stream().ok())
        .find(|s| s.dict.get(b"Subtype").and_then(Object::as_name).ok() == Some(b"XML"))
        .unwrap();
    let text = String::from_utf8(xmp.content.clone()).unwrap();
    resvg::usvg::roxmltree::Document::parse(&text).unwrap();
}

#[test]
fn a_page_that_readers_do_not_take_is_refused() {
    let list = DrawList::new();
    let write = |side: f64| {
        let page = Page::new(100.0, side).unwrap();
        let name = "";
        let list = &list;
        write(&[PdfPage { list, page, name }], &Palette::LIGHT, &meta())
    };
    assert!(write(MAX_SIDE_MM).is_ok());
    let refused = write(MAX_SIDE_MM + 1.0).unwrap_err();
    assert!(matches!(refused, ExportError::PdfPageSize { .. }));
    assert!(refused.to_string().contains("5080 mm a side"), "{refused}");
}

#[test]
fn a_logo_is_embedded_and_shows_alike_in_pixels() {
    let mut list = DrawList::new();
    let bitmap = Bitmap::new(2, 1, vec![255, 0, 0, 255, 0, 0, 255, 255]).unwrap();
    let image = Image {
        rect: Rect::sized(10.0, 20.0, 40.0, 20.0),
        bitmap: bitmap.into(),
    };
    list.pen().mark(Mark::Image(image), Role::Accent);
    let bytes = one(&list, Page::A4, &Palette::LIGHT);
    assert_eq!(bytes, one(&list, Page::A4, &Palette::LIGHT));
    let document = Document::load_mem(&bytes).unwrap();
    let images = document.get_page_images(document.get_pages()[&1]).unwrap();
    let [image] = &images[..] else {
        panic!("one image, not {}", images.len())
    };
    assert_eq!((image.width, image.height), (2, 1));
    let page = Page::new(60.0, 60.0).unwrap();
    let resolution = png::Resolution::Width(60);
    let bytes = png::write(&list, page, &Palette::LIGHT, &meta(), resolution).unwrap();
    let mut reader = ::png::Decoder::new(std::io::Cursor::new(bytes))
        .read_info()
        .unwrap();
    let mut rgb = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut rgb).unwrap();
    let at = |x: usize, y: usize| &rgb[3 * (y * 60 + x)..][..3];
    assert_eq!(
        (at(12, 22), at(48, 38)),
        (&[255, 0, 0][..], &[0, 0, 255][..])
    );
    let paper = Palette::LIGHT.colour(Role::Paper);
    assert_eq!(at(8, 22), [paper.r, paper.g, paper.b]);
    let svg = svg::write(&list, page, &Palette::LIGHT, &meta(), svg::Font::Named);
    let read = resvg::usvg::roxmltree::Document::parse(&svg).unwrap();
    let image = read
        .descendants()
        .find(|n| n.has_tag_name("image"))
        .unwrap();
    let number = |name| image.attribute(name).unwrap().parse::<f64>().unwrap();
    assert_eq!((number("x"), number("y")), (10.0, 20.0));
    assert_eq!((number("width"), number("height")), (40.0, 20.0));
}
