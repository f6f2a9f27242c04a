//! Templates: true size by independent readers, true places by published figures,
//! no mirror images, tiles that cover everything.

use crate::checked;

use checked::{check, read};
use closefit::export::dxf;
use closefit::export::paper::{TemplateFormat, template_bytes};
use closefit::file;
use closefit::model::{HoleShape, Scene};
use closefit::paper::template::{
    Grille, Kind, Options, Pattern, Shape, Subject, Template, Tiles, page, template, tiles,
};
use closefit::paper::{Build, Paper};
use closefit::view::list::Weight;
use closefit::view::list::{Mark, Path, Rect};
use closefit::view::text;
use resvg::usvg;
use std::sync::Arc;

fn with_build<T>(name: usize, test: impl FnOnce(&Scene, &Build<'_>) -> T) -> T {
    let example = &file::examples()[name];
    let scene = read(example.title, example.text);
    let checker = check(&scene);
    test(&scene, &Build::of(&scene, &checker))
}

fn all_subjects(scene: &Scene) -> Vec<Subject> {
    let e = &scene.enclosure;
    let plates = e.plates.iter().map(|p| Subject::Plate(p.id.clone()));
    let zones = e.zones.iter().map(|z| Subject::Zone(z.id.clone()));
    let of_parts = scene.parts.iter().flat_map(|(id, p)| {
        let name = move |z: &closefit::model::Zone| Subject::Zone(format!("{id}/{}", z.id));
        p.kind.zones.iter().map(name)
    });
    plates.chain(zones).chain(of_parts).collect()
}

fn each(mut test: impl FnMut(&str, &Build<'_>, &Subject, &Template)) {
    for i in 0..file::examples().len() {
        with_build(i, |scene, build| {
            for subject in all_subjects(scene) {
                let Ok(made) = template(build, &subject, Options::default()) else {
                    let beside = matches!(&subject, Subject::Zone(z) if z.contains('/'));
                    assert!(beside, "{subject:?}");
                    continue;
                };
                test(&scene.title, build, &subject, &made);
            }
        });
    }
}

/// Group codes and values of a DXF file: two lines each, by the format's description.
fn groups(bytes: &[u8]) -> Vec<(i32, String)> {
    let text = std::str::from_utf8(bytes).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len() % 2, 0);
    let pairs = lines.chunks(2);
    pairs
        .map(|p| (p[0].trim().parse().unwrap(), p[1].trim().to_owned()))
        .collect()
}

/// Entities as their groups, the type first.
fn entities(bytes: &[u8]) -> Vec<Vec<(i32, String)>> {
    let all = groups(bytes);
    let start = all.iter().position(|g| g.1 == "ENTITIES").unwrap();
    let mut found: Vec<Vec<(i32, String)>> = Vec::new();
    for group in &all[start + 1..] {
        if group.0 == 0 {
            if group.1 == "ENDSEC" {
                break;
            }
            found.push(Vec::new());
        }
        found.last_mut().unwrap().push(group.clone());
    }
    found
}

fn value(entity: &[(i32, String)], code: i32) -> f64 {
    entity
        .iter()
        .find(|g| g.0 == code)
        .unwrap()
        .1
        .parse()
        .unwrap()
}

fn on_layer<'a>(
    all: &'a [Vec<(i32, String)>],
    layer: &'a str,
) -> impl Iterator<Item = &'a Vec<(i32, String)>> {
    all.iter()
        .filter(move |e| e.iter().any(|g| g.0 == 8 && g.1 == layer))
}

#[test]
fn the_dxf_is_in_millimetres_and_its_check_line_is_100_long() {
    each(|name, _, subject, made| {
        let bytes = dxf::write(made).unwrap();
        assert_eq!(bytes, dxf::write(made).unwrap(), "{name}");
        let head = groups(&bytes);
        let units = head.iter().position(|g| g.1 == "$INSUNITS").unwrap();
        assert_eq!(head[units + 1], (70, "4".to_owned()));
        let all = entities(&bytes);
        let check: Vec<_> = on_layer(&all, "CHECK").collect();
        assert_eq!(check.len(), 1);
        let x = value(check[0], 11) - value(check[0], 10);
        assert!((x - 100.0).abs() < 0.1 && value(check[0], 21) == value(check[0], 20));
        // Every hole is there with its place and size.
        let drills: Vec<_> = on_layer(&all, "DRILL").collect();
        assert_eq!(drills.len(), made.drills.len(), "{name} {subject:?}");
        for drill in made.drills.iter().filter(|d| d.slot.is_none()) {
            let there = drills.iter().any(|e| {
                e[0].1 == "CIRCLE"
                    && (value(e, 10) - drill.at[0]).abs() < 1e-6
                    && (value(e, 20) - drill.at[1]).abs() < 1e-6
                    && (value(e, 40) * 2.0 - drill.diameter.as_mm()).abs() < 1e-6
            });
            assert!(there, "{name} {subject:?} {}", drill.mark);
        }
    });
}

fn parse(svg: &[u8]) -> usvg::Tree {
    let mut fonts = usvg::fontdb::Database::new();
    for weight in [Weight::Regular, Weight::Bold] {
        fonts.load_font_data(text::font_file(weight).to_vec());
    }
    let options = usvg::Options {
        fontdb: Arc::new(fonts),
        ..usvg::Options::default()
    };
    usvg::Tree::from_data(svg, &options).expect("a reader accepts the file")
}

fn widths_of_level_lines(group: &usvg::Group, found: &mut Vec<f64>) {
    for node in group.children() {
        match node {
            usvg::Node::Group(group) => widths_of_level_lines(group, found),
            usvg::Node::Path(path) => {
                let b = path.abs_bounding_box();
                if b.height() == 0.0 {
                    // A CSS pixel is 1/96 in.
                    found.push(f64::from(b.width()) * 25.4 / 96.0);
                }
            }
            _ => {}
        }
    }
}

#[test]
fn the_svg_is_at_full_size_by_another_reader() {
    with_build(0, |_, build| {
        for subject in [Subject::Zone("board".into()), Subject::Plate("rear".into())] {
            let options = Options::default();
            let format = TemplateFormat::Svg;
            let svg = template_bytes(build, &subject, options, Paper::A4, format).unwrap();
            let tree = parse(&svg);
            let mut found = Vec::new();
            widths_of_level_lines(tree.root(), &mut found);
            assert!(found.iter().any(|w| (w - 100.0).abs() < 0.1), "{found:?}");
            let made = template(build, &subject, options).unwrap();
            let (_, [width, _]) = page(&made);
            let mm = f64::from(tree.size().width()) * 25.4 / 96.0;
            assert!((mm - width).abs() < 0.1, "{mm} {width}");
        }
    });
}

#[test]
fn the_board_zone_has_the_hole_steps_of_the_standard() {
    // Mini-ITX: holes F and C 6.2 in apart across and 0.9 in down, H and J 6.2 in apart,
    // 6.1 in below C (microATX 1.2 and its Mini-ITX addendum).
    with_build(0, |_, build| {
        let made = template(build, &Subject::Zone("board".into()), Options::default()).unwrap();
        let steps = |dx: f64, dy: f64| {
            made.drills.iter().any(|a| {
                made.drills.iter().any(|b| {
                    ((b.at[0] - a.at[0]).abs() - dx * 25.4).abs() < 0.01
                        && ((b.at[1] - a.at[1]).abs() - dy * 25.4).abs() < 0.01
                })
            })
        };
        assert!(steps(6.2, 0.9) && steps(6.2, 0.0) && steps(0.0, 6.1));
    });
}

#[test]
fn the_other_side_is_the_mirror_image_of_this_one() {
    each(|name, build, subject, made| {
        let turned = Options {
            other_side: true,
            ..Options::default()
        };
        let other = template(build, subject, turned).unwrap();
        let edge = |t: &Template| {
            let kind = |e: &&closefit::paper::template::Element| {
                matches!(e.kind, Kind::Edge | Kind::Extent)
            };
            t.elements.iter().find(kind).unwrap().shape.bounds()[1]
        };
        let [width, height] = edge(made);
        assert_eq!(made.drills.len(), other.drills.len(), "{name}");
        let level = matches!(subject, Subject::Zone(_) | Subject::Plate(_));
        assert!(level && (edge(&other)[1] - height).abs() < 1e-9);
        for drill in made.drills.iter().filter(|d| d.slot.is_none()) {
            let mirrored = other.drills.iter().any(|o| {
                (o.at[0] - (width - drill.at[0])).abs() < 1e-6
                    && (o.at[1] - drill.at[1]).abs() < 1e-6
            });
            assert!(mirrored, "{name} {subject:?} {}", drill.mark);
        }
    });
}

#[test]
fn every_hole_of_a_zone_is_drilled_and_no_seat_is() {
    each(|name, build, subject, made| {
        let Subject::Zone(zone) = subject else {
            return;
        };
        let zones = build.scene.enclosure.zones.iter();
        let Some(zone) = zones.into_iter().find(|z| z.id == *zone) else {
            return;
        };
        let seat = |h: &&closefit::model::Hole| matches!(h.shape, HoleShape::Seat { .. });
        let holes = zone.holes.len() - zone.holes.iter().filter(seat).count();
        assert_eq!(made.drills.len(), holes, "{name} {}", zone.id);
    });
}

fn overlap(a: Rect, b: Rect) -> bool {
    let eps = 0.01;
    a.min.x + eps < b.max.x
        && b.min.x + eps < a.max.x
        && a.min.y + eps < b.max.y
        && b.min.y + eps < a.max.y
}

#[test]
fn tiles_cover_all_carry_the_check_line_and_keep_their_words_apart() {
    each(|name, _, subject, made| {
        for paper in [Paper::A4, Paper::LETTER] {
            let plan = Tiles::of(made, paper);
            let Ok(pages) = tiles(made, paper, "foot") else {
                panic!("{name} {subject:?}: {} sheets", plan.sheets());
            };
            // Windows that overlap by 10 reach over the whole drawing.
            for i in 0..2 {
                let reach = plan.count[i] as f64 * (plan.window[i] - 10.0) + 10.0;
                assert!(reach >= made.bounds[1][i] - made.bounds[0][i], "{name}");
            }
            let drawn = &pages[pages.len() - plan.sheets()..];
            for sheet in drawn {
                let line = |i: &&closefit::view::list::Item| match &i.mark {
                    Mark::Path {
                        path,
                        stroke: Some(_),
                        ..
                    } => is_check(path),
                    _ => false,
                };
                assert!(sheet.list.items.iter().any(|i| line(&i)), "{name}");
            }
            for sheet in &pages {
                let page = Rect::sized(0.0, 0.0, sheet.size[0], sheet.size[1]).grown(-6.0);
                let texts: Vec<Rect> = sheet
                    .list
                    .items
                    .iter()
                    .filter(|i| matches!(i.mark, Mark::Text(_)))
                    .filter_map(|i| i.mark.bounds())
                    .collect();
                for (i, a) in texts.iter().enumerate() {
                    assert!(
                        page.contains(a.min) && page.contains(a.max),
                        "{name} {subject:?}"
                    );
                    for b in &texts[i + 1..] {
                        assert!(
                            !overlap(*a, *b),
                            "{name} {subject:?} {} {a:?} {b:?}",
                            sheet.name
                        );
                    }
                }
            }
        }
    });
}

fn is_check(path: &Path) -> bool {
    let b = path.bounds();
    b.is_some_and(|b| b.height() == 0.0 && (b.width() - 100.0).abs() < 1e-9)
}

#[test]
fn a_grille_takes_the_place_of_the_fan_opening_and_says_its_free_area() {
    let cube = file::examples()
        .iter()
        .position(|e| e.title.contains("icroATX") || e.text.contains("cube-microatx"));
    with_build(cube.unwrap(), |_, build| {
        let subject = Subject::Zone("rear-fan".into());
        let plain = template(build, &subject, Options::default()).unwrap();
        assert!(plain.of(Kind::Grille).next().is_none());
        let grille = Grille {
            pattern: Pattern::Hex,
            hole: 5.0,
            bar: 1.5,
        };
        let options = Options {
            grille: Some(grille),
            ..Options::default()
        };
        let made = template(build, &subject, options).unwrap();
        let holes = made.of(Kind::Grille).count();
        assert!(holes > 50, "{holes}");
        let round = made
            .of(Kind::Cut)
            .filter(|e| matches!(e.shape, Shape::Circle { .. }));
        assert_eq!(round.count(), 0);
        assert!(
            made.notes.iter().any(|n| n.contains("% of it free")),
            "{:?}",
            made.notes
        );
    });
}

#[test]
fn a_radiator_in_slots_gets_its_grilles_and_a_zone_without_fans_says_so() {
    with_build(0, |_, build| {
        let options = Options {
            grille: Some(Grille::USUAL),
            ..Options::default()
        };
        let of = |zone: &str| template(build, &Subject::Zone(zone.into()), options).unwrap();
        let channel = of("channel");
        // By hand: round holes of 5 mm in an opening of 116 mm give n * 25 / 13456.
        let per_opening = channel.of(Kind::Grille).count() / 2;
        let free = per_opening as f64 * 25.0 / (116.0 * 116.0) * 100.0;
        let said = format!("give {free:.1} % of it free");
        let notes = channel.notes.iter().filter(|n| n.contains(&said));
        assert_eq!(notes.count(), 2, "{said}: {:?}", channel.notes);
        let drive = of("drive-front");
        assert!(drive.of(Kind::Grille).next().is_none());
        assert!(drive.notes.iter().any(|n| n.starts_with("No grille")));
    });
}

#[test]
fn what_is_not_there_is_said_with_what_there_is() {
    with_build(0, |_, build| {
        for (subject, word) in [
            (Subject::Zone("nope".into()), "channel"),
            (Subject::Zone("radiator/nope".into()), "radiator/fans-b"),
            (Subject::Zone("NOPE!/x".into()), "channel"),
            (Subject::Plate("nope".into()), "rear"),
        ] {
            let why = template(build, &subject, Options::default()).unwrap_err();
            assert!(why.contains(word), "{why}");
        }
    });
}
