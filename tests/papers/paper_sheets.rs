//! Build sheets of the examples: everything once, no text over another or off the
//! page, readable without colour; the HTML works alone and no name becomes markup.

use crate::checked;

use checked::{check, read};
use closefit::export::html;
use closefit::file;
use closefit::model::Scene;
use closefit::paper::joint::joints;
use closefit::paper::sheet::{Block, BuildSheet, Rows, build_sheet, pages};
use closefit::paper::template::PrintPage;
use closefit::paper::{Build, Paper, label_pages};
use closefit::view::list::{Mark, Rect, Role};
use closefit::view::palette::Palette;
use std::collections::BTreeSet;

fn each_example(mut test: impl FnMut(&str, &Scene, &Build<'_>, &BuildSheet)) {
    for example in file::examples() {
        let scene = read(example.title, example.text);
        let checker = check(&scene);
        let build = Build::of(&scene, &checker);
        test(example.title, &scene, &build, &build_sheet(&build));
    }
}

/// Overlap of the interiors by more than a hair.
fn overlap(a: Rect, b: Rect) -> bool {
    let eps = 0.01;
    a.min.x + eps < b.max.x
        && b.min.x + eps < a.max.x
        && a.min.y + eps < b.max.y
        && b.min.y + eps < a.max.y
}

fn no_text_overlaps_or_leaves(name: &str, page: &PrintPage) {
    let sheet = Rect::sized(0.0, 0.0, page.size[0], page.size[1]).grown(-6.0);
    let texts: Vec<(Rect, &str)> = page
        .list
        .items
        .iter()
        .filter_map(|i| match &i.mark {
            Mark::Text(t) => Some((t.bounds(), t.text.as_str())),
            _ => None,
        })
        .collect();
    for (i, (a, text)) in texts.iter().enumerate() {
        assert!(
            sheet.contains(a.min) && sheet.contains(a.max),
            "{name}, {}: '{text}' leaves the page: {a:?}",
            page.name
        );
        for (b, other) in &texts[i + 1..] {
            assert!(!overlap(*a, *b), "{name}: '{text}' lies over '{other}'");
        }
    }
}

#[test]
fn no_text_overlaps_another_or_leaves_the_page_on_either_paper() {
    each_example(|name, _, _, sheet| {
        for paper in [Paper::A4, Paper::LETTER] {
            let made = pages(sheet, paper);
            assert!(!made.is_empty());
            for page in &made {
                assert_eq!(page.size, [paper.width, paper.height]);
                assert_eq!(page.list.undrawable(), 0, "{name}");
                no_text_overlaps_or_leaves(name, page);
            }
        }
    });
}

fn rows<'a>(sheet: &'a BuildSheet, section: &str) -> Vec<&'a Rows> {
    let section = sheet.sections.iter().find(|s| s.id == section);
    let blocks = section.map_or(&[][..], |s| s.blocks.as_slice());
    let rows = blocks.iter().filter_map(|b| match b {
        Block::Rows(rows) => Some(rows),
        _ => None,
    });
    rows.collect()
}

fn column(rows: &Rows, title: &str) -> Vec<String> {
    let i = rows.heads.iter().position(|h| h.title == title).unwrap();
    rows.rows.iter().map(|r| r[i].clone()).collect()
}

#[test]
fn every_part_lead_and_screw_is_on_the_sheet_once() {
    each_example(|name, scene, build, sheet| {
        let sorted = |mut v: Vec<String>| {
            v.sort();
            v
        };
        let parts = column(rows(sheet, "parts")[0], "id");
        let wanted: Vec<String> = scene.parts.keys().map(ToString::to_string).collect();
        assert_eq!(sorted(parts), wanted, "{name}");
        let leads = column(rows(sheet, "leads")[0], "lead");
        let id = |words: &String| words.split(": ").next().unwrap_or_default().to_owned();
        let leads: Vec<String> = leads.iter().map(id).collect();
        let cables = scene.arrangement().cables.keys();
        let wanted: Vec<String> = cables.map(ToString::to_string).collect();
        assert_eq!(sorted(leads), wanted, "{name}");
        let pieces = |rows: &Rows| -> usize {
            let counts = column(rows, "pieces");
            counts.iter().map(|c| c.parse::<usize>().unwrap()).sum()
        };
        let screws = rows(sheet, "screws");
        assert_eq!(pieces(screws[0]), joints(build).len(), "{name}");
        assert_eq!(pieces(screws[1]), joints(build).len(), "{name}");
        // The words of each part's row reach the paper.
        let text: String = pages(sheet, Paper::A4)
            .iter()
            .flat_map(|p| &p.list.items)
            .filter_map(|i| match &i.mark {
                Mark::Text(t) => Some(format!("{}\n", t.text)),
                _ => None,
            })
            .collect();
        for id in scene.parts.keys() {
            assert!(text.contains(id.as_str()), "{name}: {id}");
        }
    });
}

#[test]
fn every_end_and_every_part_has_its_label_and_no_words_meet() {
    each_example(|name, scene, build, _| {
        for paper in [Paper::A4, Paper::LETTER] {
            let made = label_pages(build, paper);
            let mut texts: Vec<&str> = Vec::new();
            for page in &made {
                assert_eq!(page.size, [paper.width, paper.height]);
                no_text_overlaps_or_leaves(name, page);
                texts.extend(page.list.items.iter().filter_map(|i| match &i.mark {
                    Mark::Text(t) => Some(t.text.as_str()),
                    _ => None,
                }));
            }
            let count = |words: &str| texts.iter().filter(|t| **t == words).count();
            for id in scene.parts.keys() {
                assert!(count(id.as_str()) >= 1, "{name}: part {id}");
            }
            for (id, cable) in &scene.arrangement().cables {
                for (i, _) in cable.ports().enumerate() {
                    let fixed = i == 0 && cable.kind.is_none();
                    let label = format!("{id}/{}", i + 1);
                    // Both halves of a flag say it; an end fixed to its part has none.
                    assert_eq!(count(&label), if fixed { 0 } else { 2 }, "{name}: {label}");
                }
            }
        }
    });
}

/// Relative luminance of sRGB: WCAG 2.2, definition of relative luminance.
fn luminance(rgb: [u8; 3]) -> f64 {
    let [r, g, b] = rgb.map(|c| {
        let c = f64::from(c) / 255.0;
        if c <= 0.04045 {
            c / 12.92
        } else {
            ((c + 0.055) / 1.055).powf(2.4)
        }
    });
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

#[test]
fn a_black_and_white_printer_shows_all_of_it() {
    each_example(|name, _, _, sheet| {
        for page in pages(sheet, Paper::A4) {
            for item in page.list.items.iter().filter(|i| i.role != Role::Paper) {
                let c = Palette::LIGHT_HIGH_CONTRAST.colour(item.role);
                // WCAG 2.2, 1.4.3: text and its ground at least 4.5 to 1.
                let contrast = 1.05 / (luminance([c.r, c.g, c.b]) + 0.05);
                assert!(contrast >= 4.5, "{name}: {} has {contrast:.1}", item.role);
            }
        }
    });
}

#[test]
fn the_html_stands_alone_and_each_field_has_its_own_name() {
    each_example(|name, _, _, sheet| {
        let text = html::write(sheet, &Palette::LIGHT_HIGH_CONTRAST);
        assert_eq!(text, html::write(sheet, &Palette::LIGHT_HIGH_CONTRAST));
        let mut ids = BTreeSet::new();
        for part in text.split(" id=\"").skip(1) {
            let id = part.split('"').next().unwrap();
            assert!(ids.insert(id.to_owned()), "{name}: id {id} twice");
        }
        assert_eq!(text.matches("<script>").count(), 1);
        for word in ["src=", "href=\"http", "@import", "url(", "fetch("] {
            assert!(!text.contains(word), "{name}: {word}");
        }
        let ticks: usize = sheet
            .sections
            .iter()
            .flat_map(|s| &s.blocks)
            .map(|b| match b {
                Block::Rows(rows) if rows.tick => rows.rows.len(),
                Block::Ticks(lines) => lines.len(),
                _ => 0,
            })
            .sum();
        assert_eq!(text.matches("type=\"checkbox\"").count(), ticks, "{name}");
    });
}

#[test]
fn no_name_of_a_scene_becomes_markup_or_breaks_the_page() {
    let example = &file::examples()[0];
    let mut scene = read(example.title, example.text);
    let hostile = "\"><img src=x onerror=alert(1)></script><script>alert(2)</script>";
    scene.title = hostile.repeat(20);
    scene.notes = format!("{hostile} {}", "long".repeat(2000));
    for part in scene.parts.values_mut() {
        part.name = format!("{hostile}{}", "W".repeat(300));
    }
    for cable in scene.arrangements[0].cables.values_mut() {
        cable.name = format!("{hostile} {}", "m ".repeat(3000));
    }
    let checker = check(&scene);
    let build = Build::of(&scene, &checker);
    let sheet = build_sheet(&build);
    let text = html::write(&sheet, &Palette::LIGHT_HIGH_CONTRAST);
    assert!(!text.contains("<img"));
    assert_eq!(text.matches("<script>").count(), 1);
    assert_eq!(text.matches("</script>").count(), 1);
    for page in pages(&sheet, Paper::A4) {
        no_text_overlaps_or_leaves("hostile", &page);
    }
}

#[test]
fn cautions_stand_where_they_belong_and_only_there() {
    let example = &file::examples()[0];
    let scene = read(example.title, example.text);
    let cautions = |scene: &Scene, section: &str| -> String {
        let checker = check(scene);
        let sheet = build_sheet(&Build::of(scene, &checker));
        let found = sheet.sections.into_iter().find(|s| s.id == section);
        let blocks = found.map(|s| s.blocks).unwrap_or_default();
        let words = blocks.into_iter().filter_map(|b| match b {
            Block::Caution(words) => Some(words),
            _ => None,
        });
        words.collect::<Vec<_>>().join("\n")
    };
    let leads = cautions(&scene, "leads");
    for word in ["mains", "another modular supply", "Liquid", "licensed"] {
        assert!(leads.contains(word), "{word}");
    }
    assert!(cautions(&scene, "parts").contains("static"));
    // Without radiator and block there is no liquid, and the sheet does not speak of it.
    let mut dry = scene.clone();
    dry.parts
        .retain(|id, _| !["radiator", "block"].contains(&id.as_str()));
    let arrangement = &mut dry.arrangements[0];
    arrangement
        .places
        .retain(|id, _| dry.parts.contains_key(id));
    arrangement
        .cables
        .retain(|_, c| c.ports().all(|p| dry.parts.contains_key(&p.part)));
    assert!(!cautions(&dry, "leads").contains("Liquid"));
}
