//! The questions of the trade, each against what trying or adding up gives.

use crate::search_desk::{Desk, id, ids, places};
use closefit::edit::{self, Edit};
use closefit::geom::Length;
use closefit::model::Scene;
use closefit::placement::lays;
use closefit::search::questions::{Asker, Reply, question};
use closefit::search::scene::Run;

fn asked(desk: &Desk, scene: &Scene, id: &str) -> Reply {
    question(id).unwrap().ask(&Asker {
        scene,
        settings: &desk.settings,
        catalogue: &desk.catalogue,
        run: Run::default(),
    })
}

fn carried_out(scene: &Scene, reply: &Reply) -> Scene {
    let mut after = scene.clone();
    for e in &reply.edits {
        edit::apply(&mut after, e).unwrap();
    }
    after
}

#[test]
fn the_longest_card_is_the_longest_of_those_that_go_in_one_by_one() {
    let desk = Desk::new();
    let scene = desk.example("cube-microatx");
    let card = id("card");
    let longest = |kind: &closefit::model::PartKind| {
        let s = kind.size;
        s.x.max(s.y).max(s.z)
    };
    let mut best = Length::ZERO;
    for kind in desk.catalogue.kinds.values() {
        let own = &scene.parts[&card].kind;
        // A kind without a port that has a cable is no answer.
        let cables = scene.arrangement().cables.values();
        let mut ports = cables.flat_map(|c| c.ports()).filter(|p| p.part == card);
        let connector =
            |k: &closefit::model::PartKind, p: &str| k.port(p).map(|p| p.connector.clone());
        if !ports.all(|p| connector(kind, &p.port) == connector(own, &p.port)) {
            continue;
        }
        if kind.group != own.group || kind.outlets.is_empty() != own.outlets.is_empty() {
            continue;
        }
        let mut with = scene.clone();
        edit::apply(&mut with, &Edit::SetKind(card.clone(), kind.clone())).unwrap();
        let moving = ids(&["card"]);
        let goes = places(&with, &moving, &card).into_iter().any(|place| {
            let mut at = with.clone();
            edit::apply(&mut at, &Edit::SetPlace(card.clone(), Some(place))).unwrap();
            desk.stops(&at) == 0
        });
        if goes {
            best = best.max(longest(kind));
        }
    }
    let reply = asked(&desk, &scene, "longest-card");
    assert!(reply.yes, "{:?}", reply.lines);
    let after = carried_out(&scene, &reply);
    assert_eq!(longest(&after.parts[&card].kind), best, "{:?}", reply.lines);
    assert_eq!(desk.stops(&after), 0);
}

#[test]
fn what_works_needs_no_change() {
    let desk = Desk::new();
    let works = asked(&desk, &desk.example("cube-microatx"), "cheapest-change");
    assert!(works.edits.is_empty(), "{:?}", works.lines);
}

#[test]
fn the_other_questions_are_answered() {
    let desk = Desk::new();
    let full = desk.example("storage-box");
    let drive = asked(&desk, &full, "one-more-drive");
    let mut spare = full.clone();
    edit::apply(&mut spare, &Edit::RemovePart(id("drive-2"))).unwrap();
    let reply = asked(&desk, &spare, "one-more-drive");
    assert!(reply.yes, "{:?}", reply.lines);
    let after = carried_out(&spare, &reply);
    assert_eq!(after.parts.len(), full.parts.len());
    assert_eq!(desk.stops(&after), 0);
    assert!(
        drive.lines[0].contains("number 6") || drive.lines[0].contains("number 5"),
        "{:?}",
        drive.lines
    );
    let fans = asked(&desk, &desk.example("cube-microatx"), "front-fans");
    assert!(
        fans.yes && fans.lines[0].contains("140 mm"),
        "{:?}",
        fans.lines
    );
    let cooler = asked(&desk, &desk.example("cube-microatx"), "tallest-cooler");
    assert!(cooler.yes, "{:?}", cooler.lines);
    let radiator = asked(&desk, &desk.example("channel-short"), "thickest-radiator");
    // 55 deep less a fan of 25 leaves 30.
    assert!(
        radiator.yes && radiator.lines[0].contains("27"),
        "{:?}",
        radiator.lines
    );
}

/// Thickness of a kind: its shortest side.
fn thickness(scene: &Scene, part: &str) -> Length {
    let s = scene.parts[&id(part)].kind.size;
    s.x.min(s.y).min(s.z)
}

/// Parts of another kind than before.
fn swapped(before: &Scene, after: &Scene) -> Vec<String> {
    let other =
        |id: &&closefit::model::PartId| before.parts[*id].kind.id != after.parts[*id].kind.id;
    let ids = before.parts.keys().filter(other);
    ids.map(ToString::to_string).collect()
}

#[test]
fn a_channel_too_short_is_mended_by_the_thinner_radiator_alone() {
    let desk = Desk::new();
    let scene = desk.example("channel-short");
    let reply = asked(&desk, &scene, "cheapest-change");
    assert!(reply.yes, "{:?}", reply.lines);
    let after = carried_out(&scene, &reply);
    assert_eq!(desk.stops(&after), 0, "{:?}", reply.lines);
    // 38 + 25 = 63 does not go into 55; 27 + 25 = 52 does.
    assert_eq!(swapped(&scene, &after), ["radiator"]);
    assert_eq!(thickness(&after, "radiator"), Length::mm(27));
    // One kind in place of another is the least; the fans on it follow, and nothing else moves.
    let moved = |id: &&closefit::model::PartId| {
        let place = |s: &Scene| s.arrangement().places[*id];
        place(&scene) != place(&after)
    };
    let moved: Vec<_> = scene.parts.keys().filter(moved).collect();
    assert!(moved.len() <= 3, "{moved:?}");
}

#[test]
fn a_supply_that_clashes_is_mended_by_a_shorter_one_that_gives_enough() {
    let desk = Desk::new();
    let scene = desk.example("supply-clash");
    let reply = asked(&desk, &scene, "cheapest-change");
    assert!(reply.yes, "{:?}", reply.lines);
    let after = carried_out(&scene, &reply);
    assert_eq!(desk.stops(&after), 0, "{:?}", reply.lines);
    assert_eq!(swapped(&scene, &after), ["supply"]);
    let kind = &after.parts[&id("supply")].kind;
    let deepest = |k: &closefit::model::PartKind| k.size.x.max(k.size.y).max(k.size.z);
    assert!(deepest(kind) < Length::mm(180));
    let draws = scene.parts.values().filter_map(|p| p.kind.ratings.draws_w);
    let drawn: f64 = draws.sum();
    assert!(kind.ratings.gives_w.unwrap() >= 1.5 * drawn, "{drawn}");
}

#[test]
fn a_lead_that_is_led_too_far_round_is_led_the_short_way() {
    let desk = Desk::new();
    let scene = desk.example("pump-lead-short");
    let reply = asked(&desk, &scene, "cheapest-change");
    assert!(reply.yes, "{:?}", reply.lines);
    let after = carried_out(&scene, &reply);
    assert_eq!(desk.stops(&after), 0, "{:?}", reply.lines);
    assert_eq!(after.parts, scene.parts);
    assert_eq!(after.arrangement().places, scene.arrangement().places);
}

#[test]
fn the_smallest_enclosure_is_the_first_by_volume_that_nothing_speaks_against() {
    let desk = Desk::new();
    let volume = |e: &closefit::model::Enclosure| {
        let s = e.outline().size();
        s.x.as_mm() * s.y.as_mm() * s.z.as_mm()
    };
    let scene = desk.example("storage-box");
    let reply = asked(&desk, &scene, "smallest-enclosure");
    assert!(reply.yes, "{:?}", reply.lines);
    let after = carried_out(&scene, &reply);
    assert_eq!(desk.stops(&after), 0, "{:?}", reply.lines);
    // No zone of a smaller enclosure has holes for the supply.
    let supply = &scene.parts[&id("supply")].kind;
    for e in desk.catalogue.enclosures.values() {
        if volume(e) < volume(&after.enclosure) {
            let zones = e.zones.iter();
            let mut meant = zones.filter(|z| z.takes.is_empty() || z.takes.contains(&supply.group));
            assert!(meant.all(|z| lays(supply, z).is_empty()), "{}", e.id);
        }
    }
    // 4000 supplies more fill more than any enclosure of the catalogue has.
    let mut full = scene.clone();
    for n in 0..4000 {
        let part = scene.parts[&id("supply")].clone();
        full.parts.insert(id(&format!("supply-{n}")), part);
    }
    let reply = asked(&desk, &full, "smallest-enclosure");
    assert!(!reply.yes);
    let size = supply.size;
    let litres = 4001.0 * size.x.as_mm() * size.y.as_mm() * size.z.as_mm() / 1e6;
    for e in desk.catalogue.enclosures.values() {
        assert!(volume(e) / 1e6 < 0.8 * litres, "{}", e.id);
        let line = reply.lines.iter().find(|l| l.starts_with(&e.name));
        assert!(
            line.is_some_and(|l| l.contains("the parts of this build alone fill")),
            "{line:?}"
        );
    }
    // The card needs 116.1 mm over the board; the two smaller boxes leave 65.2 and 70.2 mm there.
    let scene = desk.example("first-build");
    let reply = asked(&desk, &scene, "smallest-enclosure");
    let after = carried_out(&scene, &reply);
    assert_eq!(
        after.enclosure.id.as_str(),
        "two-chamber",
        "{:?}",
        reply.lines
    );
    for short in ["51.0 mm short", "46.0 mm short"] {
        let told = reply.lines.iter().any(|l| l.contains(short));
        assert!(told, "{short}: {:?}", reply.lines);
    }
}

#[test]
fn what_is_another_matter_is_set_aside_and_said() {
    let desk = Desk::new();
    // A lead of the pump is too short; that has nothing to do with the card, which stands
    // as it does in the sound build.
    let (short, sound) = (desk.example("pump-lead-short"), desk.example("first-build"));
    assert!(desk.stops(&short) > 0 && desk.stops(&sound) == 0);
    let (a, b) = (
        asked(&desk, &short, "longest-card"),
        asked(&desk, &sound, "longest-card"),
    );
    assert!(a.yes && b.yes);
    assert_eq!(a.lines[0], b.lines[0]);
    let aside = |r: &Reply| r.lines.iter().any(|l| l.starts_with("Set aside"));
    assert!(aside(&a) && !aside(&b), "{:?}", a.lines);
}

#[test]
fn what_keeps_out_even_the_thinnest_radiator_is_told_not_what_a_thick_one_lacks() {
    let desk = Desk::new();
    let reply = asked(&desk, &desk.example("cube-microatx"), "thickest-radiator");
    assert!(!reply.yes, "{:?}", reply.lines);
    let told = reply.lines.join(" ");
    // The fan of 25 stays in front, which is 38 deep: 27 + 25 = 52.
    assert!(told.contains("thinnest, 27 mm"), "{told}");
    assert!(
        told.contains("52.0 mm") && told.contains("14.0 mm short"),
        "{told}"
    );
    assert!(!told.contains("45"), "{told}");
}

#[test]
fn where_liquid_cools_the_air_cooler_is_tried_in_place_of_it_and_a_low_one_is_no_tower() {
    let desk = Desk::new();
    let scene = desk.example("first-build");
    let reply = asked(&desk, &scene, "tallest-cooler");
    assert!(!reply.yes, "{:?}", reply.lines);
    let after = carried_out(&scene, &reply);
    for gone in ["block", "radiator", "fan-front", "fan-rear"] {
        assert!(after.placed(&id(gone)).is_none(), "{gone}");
    }
    let cooler = after.parts.keys().find(|p| !scene.parts.contains_key(*p));
    let cooler = cooler.expect("a cooler came in").clone();
    let height = |k: &closefit::model::PartKind| k.size.z;
    let tallest = height(&after.parts[&cooler].kind);
    let group = after.parts[&cooler].kind.group;
    let moving = std::collections::BTreeSet::from([cooler.clone()]);
    // Of all kinds the tallest for which some place adds no stop is the answer.
    let without = {
        let mut s = after.clone();
        edit::apply(&mut s, &Edit::SetPlace(cooler.clone(), None)).unwrap();
        desk.stops(&s)
    };
    for kind in desk.catalogue.kinds.values().filter(|k| k.group == group) {
        let mut with = after.clone();
        edit::apply(&mut with, &Edit::SetKind(cooler.clone(), kind.clone())).unwrap();
        let goes = places(&with, &moving, &cooler).into_iter().any(|place| {
            let mut at = with.clone();
            edit::apply(&mut at, &Edit::SetPlace(cooler.clone(), Some(place))).unwrap();
            desk.stops(&at) <= without
        });
        assert_eq!(goes, height(kind) <= tallest, "{}", kind.id);
    }
}

#[test]
fn one_more_drive_is_not_refused_for_a_stop_that_is_there_already() {
    let desk = Desk::new();
    let mut scene = desk.example("channel-short");
    edit::apply(&mut scene, &Edit::RemovePart(id("m2"))).unwrap();
    let reply = asked(&desk, &scene, "one-more-drive");
    assert!(!reply.yes, "{:?}", reply.lines);
    for line in &reply.lines {
        assert!(
            line.contains("drive") || line.starts_with("Set aside"),
            "{line}"
        );
        assert!(
            !line.contains("radiator") || line.starts_with("Set aside"),
            "{line}"
        );
    }
    // A module that screws to the board needs no lead.
    let with = desk.example("channel-short");
    let reply = asked(&desk, &with, "one-more-drive");
    assert!(reply.yes, "{:?}", reply.lines);
    assert_eq!(desk.stops(&carried_out(&with, &reply)), desk.stops(&with));
    assert!(
        !reply.lines.join(" ").contains("cables"),
        "{:?}",
        reply.lines
    );
}

#[test]
fn fans_for_the_front_are_told_by_size_with_what_keeps_the_others_out() {
    let desk = Desk::new();
    let fans = asked(&desk, &desk.example("cube-microatx"), "front-fans");
    assert!(fans.lines[0].contains("140 mm: 25, 38 thick"), "{fans:?}");
    // 51 thick, 38 deep.
    let deep = fans.lines.iter().find(|l| l.contains("51 thick"));
    assert!(
        deep.is_some_and(|l| l.contains("13.0 mm short")),
        "{fans:?}"
    );
}

#[test]
fn what_stands_soundly_in_its_enclosure_is_not_said_to_go_into_none() {
    let desk = Desk::new();
    // A drive there is held by fewer screws than its holes ask for, so no zone offers it.
    let scene = desk.example("drive-few-screws");
    assert_eq!(desk.stops(&scene), 0);
    let reply = asked(&desk, &scene, "smallest-enclosure");
    assert!(reply.yes && reply.edits.is_empty(), "{:?}", reply.lines);
    assert!(
        reply.lines[0].contains("shallow rack box"),
        "{:?}",
        reply.lines
    );
}
