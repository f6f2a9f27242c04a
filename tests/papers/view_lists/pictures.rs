//! What a whole picture shows: nothing overlaps, nothing is cut off, nothing is missing.

use super::real;
use super::samples::*;
use super::support::*;
use closefit::geom::{Axis, Turn};
use closefit::model::*;
use closefit::view::list::Role as R;
use closefit::view::*;
use std::sync::Arc;

#[test]
fn in_pictures_nothing_overlaps_and_nothing_is_cut_off() {
    let scenes = [
        ("one of each", compact()),
        ("cables and findings", real::desk()),
        ("twenty", many(20)),
        ("sixty", many(60)),
        ("three hundred", many(300)),
    ];
    for (name, scene) in &scenes {
        let checker = checked(scene);
        for page in [(297.0, 210.0), (420.0, 297.0), (210.0, 297.0), (10.0, 10.0)] {
            for (front, findings, rulers) in [(false, false, false), (true, true, true)] {
                let options = PictureOptions {
                    page,
                    date: "1 December 2026".to_owned(),
                    front,
                    findings,
                    rulers,
                    ..PictureOptions::default()
                };
                let (list, size) = picture(scene, &checker, &options);
                let what = format!("{name} on {size:?}, front {front}");
                no_text_meets_another(&list, &what);
                nothing_leaves_the_page(&list, size, &what);
                let lines = leaders(&list);
                assert!(!lines.is_empty(), "{what}");
                for (i, a) in lines.iter().enumerate() {
                    for b in &lines[i + 1..] {
                        assert!(!cross(*a, *b), "{what}: leaders cross");
                    }
                }
            }
        }
    }
}

#[test]
fn the_picture_says_what_it_is() {
    let scene = compact();
    let options = PictureOptions {
        date: "1 December 2026".to_owned(),
        ..PictureOptions::default()
    };
    let (list, _) = picture(&scene, &checked(&scene), &options);
    let said: Vec<String> = texts(&list).into_iter().map(|(t, _)| t).collect();
    let says = |what: &str| said.iter().any(|t| t.contains(what));
    for what in [
        "Compact build",
        "1 December 2026",
        "1:4",
        "planning figures: measure before ordering",
        // Outer dimensions of the enclosure.
        "330",
        "400",
        "160",
        // Equal parts share a line: two fans, two drives.
        "2 x fan, 120 mm, 25 thick",
        "2 x drive, 3.5 in",
        "120 x 120 x 25 *",
    ] {
        assert!(says(what), "'{what}' in {said:?}");
    }
    // Eight kinds of part, numbered from 1.
    for n in 1..=8 {
        assert!(said.contains(&n.to_string()), "number {n}");
    }
}

#[test]
fn an_enclosure_is_dimensioned_at_its_true_size_on_paper() {
    // 1:4: the level dimension line under the top view is 400 / 4 = 100 mm long.
    let scene = compact();
    let (list, _) = picture(&scene, &checked(&scene), &PictureOptions::default());
    let level = paths(&list, R::Dimension)
        .flat_map(|(_, p)| p.flattened(0.1))
        .filter(|l| !l.closed && l.points.len() == 2)
        .map(|l| (l.points[1] - l.points[0]).length());
    assert!(level.into_iter().any(|l| (l - 100.0).abs() < 1e-9));
}

#[test]
fn the_same_scene_gives_the_same_list() {
    let scene = real::desk();
    let checker = checked(&scene);
    let options = PictureOptions {
        findings: true,
        ..PictureOptions::default()
    };
    let (a, b) = (
        picture(&scene, &checker, &options),
        picture(&scene, &checked(&scene), &options),
    );
    assert!(a == b);
}

#[test]
fn odd_scenes_are_drawn_without_a_panic() {
    // Parts far outside, a hidden one, an enclosure without walls.
    let mut e = enclosure([1.0, 1.0, 1.0]);
    e.plates.clear();
    e.vents[0].size = [mm(0.0), mm(0.0)];
    let mut b = Builder::new("", e);
    let k = Arc::new(board());
    b.part(
        "far",
        &k,
        [90_000.0, -90_000.0, 0.0],
        Turn::about(Axis::Y, 1),
    )
    .part("hidden", &k, [0.0, 0.0, 0.0], Turn::NONE);
    let hidden = PartId::new("hidden").unwrap();
    b.scene.arrangements[0]
        .places
        .get_mut(&hidden)
        .unwrap()
        .hidden = true;
    let checker = checked(&b.scene);
    for front in [false, true] {
        let options = PictureOptions {
            front,
            findings: true,
            ..PictureOptions::default()
        };
        let (list, size) = picture(&b.scene, &checker, &options);
        assert_eq!(list.undrawable(), 0);
        nothing_leaves_the_page(&list, size, "odd");
    }
    for scale in [0.0, f64::NAN, f64::INFINITY, 1e-12, 1e9] {
        let input = SheetInput::of(&b.scene, checker.placed(), checker.runs());
        draw(ViewKind::Top, scale, &input);
    }
}
