//! The customer's page of every example scene, with all four views.

use super::real;
use super::support::*;
use closefit::file;
use closefit::geom::{Turn, Vec3};
use closefit::model::Scene;
use closefit::model::{Bitmap, PartId, Place, Shop};
use closefit::view::list::{Mark, Path, Role as R};
use closefit::view::picture::{Change, compare, differences};
use closefit::view::solid3d::{Corner, SolidOptions, Walls};
use closefit::view::*;
use std::sync::Arc;

fn examples() -> Vec<(String, Scene)> {
    let catalogue = real::catalogue();
    let mut paths: Vec<_> = std::fs::read_dir("scenes")
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "json"))
        .collect();
    paths.sort();
    assert!(paths.len() >= 8, "{paths:?}");
    paths
        .into_iter()
        .map(|p| (p.display().to_string(), file::open(&p, &catalogue).unwrap()))
        .collect()
}

fn radius_of(path: &Path) -> Option<f64> {
    let b = path.bounds()?;
    let round = path.flattened(0.05).first()?.points.len() > 12;
    (round && (b.width() - b.height()).abs() < 1e-6).then(|| b.width() / 2.0)
}

#[test]
fn on_every_example_numbers_are_clear_and_nothing_overlaps() {
    for (i, (name, scene)) in examples().into_iter().enumerate() {
        let checker = checked(&scene);
        let options = PictureOptions {
            date: "1 December 2026".to_owned(),
            front: true,
            findings: i % 2 == 0,
            solid: Some(SolidOptions {
                corner: Corner::ALL[i % 4],
                perspective: i % 2 == 1,
                ..SolidOptions::default()
            }),
            ..PictureOptions::default()
        };
        let (list, size) = picture(&scene, &checker, &options);
        no_text_meets_another(&list, &name);
        nothing_leaves_the_page(&list, size, &name);
        let lines = leaders(&list);
        assert!(lines.len() > 3, "{name}");
        for (i, a) in lines.iter().enumerate() {
            for b in &lines[i + 1..] {
                assert!(!cross(*a, *b), "{name}: leaders cross");
            }
        }
        // Balloons: round outlines as large as a number needs. None meets another.
        let balloons: Vec<_> = paths(&list, R::Callout)
            .filter(|(_, p)| radius_of(p).is_some_and(|r| r > 2.0))
            .filter_map(|(_, p)| p.bounds())
            .collect();
        assert!(balloons.len() > 3, "{name}");
        for (i, a) in balloons.iter().enumerate() {
            for b in &balloons[i + 1..] {
                let apart = (a.centre() - b.centre()).length();
                assert!(apart > a.width(), "{name}: balloons overlap");
            }
            for line in &lines {
                let mid = |t: f64| line.0.lerp(line.1, t) - a.centre();
                let through = (1..40).any(|k| mid(f64::from(k) / 40.0).length() < 2.8);
                assert!(!through, "{name}: a leader runs through a balloon");
            }
        }
        // Every placed part that is drawn has its number somewhere.
        let numbers: Vec<String> = texts(&list)
            .into_iter()
            .map(|(t, _)| t)
            .filter(|t| t.parse::<usize>().is_ok_and(|n| n <= scene.parts.len()))
            .collect();
        let kinds = numbers.iter().filter_map(|n| n.parse::<usize>().ok()).max();
        for n in 1..=kinds.unwrap_or(0) {
            let found = numbers.iter().filter(|t| **t == n.to_string()).count();
            assert!(found >= 2, "{name}: {n} stands in the legend only");
        }
        // The three-dimensional view is there, in more than one tone.
        let tones = list.items.iter().filter_map(|i| match i.role {
            R::Face(_, tone) => Some(tone),
            _ => None,
        });
        let tones: std::collections::BTreeSet<_> = tones.collect();
        assert!(tones.len() >= 3, "{name}");
    }
}

#[test]
fn one_view_alone_has_its_dimensions_and_numbers() {
    let (_, scene) = examples().swap_remove(3);
    let checker = checked(&scene);
    let size = scene.enclosure.size;
    for (kind, across, up) in [
        (ViewKind::Top, size.y, size.x),
        (ViewKind::Side, size.y, size.z),
        (ViewKind::Front, size.x, size.z),
    ] {
        for page in [(297.0, 210.0), (210.0, 297.0)] {
            let options = PictureOptions {
                views: Views::One(kind),
                page,
                ..PictureOptions::default()
            };
            let (list, size) = picture(&scene, &checker, &options);
            let what = format!("{kind:?} on {page:?}");
            no_text_meets_another(&list, &what);
            nothing_leaves_the_page(&list, size, &what);
            let said: Vec<String> = texts(&list).into_iter().map(|(t, _)| t).collect();
            for figure in [across, up] {
                assert!(said.contains(&figure.to_string()), "{what}: {figure}");
            }
            assert!(leaders(&list).len() > 2, "{what}");
        }
    }
}

#[test]
fn taken_apart_the_parts_lie_apart_and_ghosts_leave_walls_out_of_the_way() {
    let (_, scene) = examples().swap_remove(3);
    let checker = checked(&scene);
    let draw = |solid: SolidOptions| {
        let options = PictureOptions {
            views: Views::Solid,
            solid: Some(solid),
            ..PictureOptions::default()
        };
        let (list, size) = picture(&scene, &checker, &options);
        no_text_meets_another(&list, "solid");
        nothing_leaves_the_page(&list, size, "solid");
        list
    };
    let input = SheetInput::of(&scene, checker.placed(), checker.runs());
    let size = |explode| {
        let options = SolidOptions {
            explode,
            ..SolidOptions::default()
        };
        solid3d::Solid3d::new(&input, &options).size()
    };
    assert!(size(80.0).1 > size(0.0).1 + 40.0);
    assert_eq!(size(f64::NAN), size(0.0));
    let ghosts = |walls| {
        let options = SolidOptions {
            walls,
            ..SolidOptions::default()
        };
        paths(&draw(options), R::Ghost).count()
    };
    assert_eq!(ghosts(Walls::CutAway), 0);
    assert!(ghosts(Walls::Ghost) > 2);
    assert_eq!(ghosts(Walls::Whole), 0);
}

#[test]
fn before_and_after_mark_and_name_what_differs() {
    for (name, scene) in examples() {
        let mut after = scene.clone();
        let places: Vec<_> = after.arrangement().places.keys().cloned().collect();
        let [moved, turned, gone] = &places[..3] else {
            panic!("{name} has three parts")
        };
        let now = &mut after.arrangements[after.current];
        let by = Vec3::mm(-12, 30, 5);
        let place = now.places.get_mut(moved).unwrap();
        place.at += by;
        let place = now.places.get_mut(turned).unwrap();
        *place = Place {
            turn: place.turn.then(Turn::all()[5]),
            ..*place
        };
        now.places.remove(gone);
        let found = differences(&scene, &after);
        assert_eq!(found.len(), 3, "{name}: {found:?}");
        let of = |id: &PartId| &found.iter().find(|d| d.part == *id).unwrap().change;
        assert_eq!(of(moved), &Change::Moved { by, turned: false });
        assert!(matches!(of(turned), Change::Moved { turned: true, .. }));
        assert_eq!(of(gone), &Change::Removed);
        let checkers = [&scene, &after].map(checked);
        let options = PictureOptions::default();
        let (list, size) = compare((&scene, &checkers[0]), (&after, &checkers[1]), &options);
        no_text_meets_another(&list, &name);
        nothing_leaves_the_page(&list, size, &name);
        let said: Vec<String> = texts(&list).into_iter().map(|(t, _)| t).collect();
        let all = said.join(" ");
        for words in [
            "12 mm to the left, 30 mm to the rear",
            "5 mm up",
            "only before",
        ] {
            assert!(all.contains(words), "{name}: '{words}' in {all}");
        }
        for letter in ["A", "B", "C"] {
            // In the list, and at least in one view.
            let count = said.iter().filter(|t| *t == letter).count();
            assert!(count >= 2, "{name}: {letter} stands {count} times");
        }
    }
}

#[test]
fn the_same_arrangement_twice_differs_in_nothing() {
    let (name, scene) = examples().swap_remove(0);
    let checker = checked(&scene);
    let both = (&scene, &checker);
    let (list, _) = compare(both, both, &PictureOptions::default());
    assert!(differences(&scene, &scene).is_empty());
    assert_eq!(paths(&list, R::Selected).count(), 0, "{name}");
    let said = texts(&list);
    assert!(said.iter().any(|(t, _)| t.starts_with("nothing:")));
}

#[test]
fn the_shop_stands_in_the_title_block() {
    let (name, scene) = examples().swap_remove(1);
    let checker = checked(&scene);
    let logo = Bitmap::new(200, 50, vec![200; 40_000]).unwrap();
    let shop = Shop {
        name: "Example workshop with a name that is far too long for its strip".to_owned(),
        lines: vec!["1 Invented Street".to_owned(); 4],
        logo: Some(Arc::new(logo)),
        accent: Some([10, 20, 30]),
    };
    for page in [(297.0, 210.0), (210.0, 297.0), (200.0, 140.0)] {
        let options = PictureOptions {
            page,
            shop: Some(shop.clone()),
            ..PictureOptions::default()
        };
        let (list, size) = picture(&scene, &checker, &options);
        no_text_meets_another(&list, &name);
        nothing_leaves_the_page(&list, size, &name);
        let said = texts(&list);
        assert!(said.iter().any(|(t, _)| t.starts_with("Example workshop")));
        let logos = list.items.iter().filter_map(|i| match &i.mark {
            Mark::Image(image) => Some(image.rect),
            _ => None,
        });
        let logos: Vec<_> = logos.collect();
        let [logo] = logos[..] else {
            panic!("one logo on {page:?}")
        };
        assert!((logo.width() / logo.height() - 4.0).abs() < 1e-9);
        assert!(said.iter().all(|(t, r)| !meet(*r, logo) || t.is_empty()));
        assert_eq!(paths(&list, R::Accent).count(), 1);
    }
}
