//! Shortfalls with known ways out, in code; what was said is what is found then.

use super::*;
use crate::build::{Build, at_port, block, cable, catalogue, cid, fan, l, pid, port, v};
use crate::model::{CableKind, CableKindId, Group, PartKind, Role, Section, System};
use std::sync::Arc;

fn with_port(id: &str, connector: &str, role: Role, leaves: &str) -> PartKind {
    let mut kind = block(id, Group::Board, [10.0, 10.0, 10.0]);
    let x = if leaves == "+x" { 10.0 } else { 0.0 };
    kind.ports = vec![port("p", connector, v(x, 5.0, 5.0), leaves, role)];
    kind
}

/// Two ports that look at one another, `apart` from face to face.
fn facing(apart: f64, length: f64) -> Build {
    let host = with_port("host", "host", Role::Source, "+x");
    let drive = with_port("drive", "drive", Role::Sink, "-x");
    Build::open()
        .with("host", &host, [100.0, 100.0, 100.0])
        .with("drive", &drive, [110.0 + apart, 100.0, 100.0])
        .cable(
            "c",
            cable(
                Some("data"),
                at_port("host", "p"),
                at_port("drive", "p"),
                length,
                vec![],
            ),
        )
}

fn of(build: &Build) -> Vec<Alternative> {
    let checker = build.checked();
    let short = Shortfall::all(&checker, Some(&cid("c")));
    assert_eq!(short.len(), 1, "one stretch is short");
    find(&build.scene, &checker, &short[0], MOST_TRIALS, &|| false)
}

/// Each one, carried out, ends the shortfall and finds what it said it would.
fn honest(build: &Build, all: &[Alternative]) {
    let before: Vec<String> = build.checked().findings().iter().map(|f| f.key()).collect();
    for a in all {
        let mut then = build.clone();
        for edit in &a.edits {
            then.edit(edit.clone());
        }
        let checker = then.checked();
        let stops = Shortfall::all(&checker, Some(&cid("c")));
        assert!(
            stops.iter().all(|s| s.severity > Severity::Stop),
            "{}",
            a.words
        );
        let mut new: Vec<String> = checker.findings().iter().map(|f| f.key()).collect();
        new.retain(|k| !before.contains(k));
        let mut said: Vec<String> = a
            .costs
            .iter()
            .filter(|c| !c.worse)
            .map(|c| c.key.clone())
            .collect();
        new.sort();
        said.sort();
        assert_eq!(said, new, "{}", a.words);
    }
}

fn words(all: &[Alternative]) -> Vec<&str> {
    all.iter().map(|a| a.words.as_str()).collect()
}

#[test]
fn a_part_that_moves_leaves_the_corners_of_its_lead_behind() {
    // As below, led 150 aside by the program: nothing stands in between, so the lead of a
    // part that moves runs straight, and the least move is that of a straight lead.
    let mut scene = facing(400.0, 300.0);
    let mut lead = scene.scene.arrangement().cables[&cid("c")].clone();
    lead.plugs[0].via = vec![crate::model::Via::Corner(v(310.0, 255.0, 105.0))];
    lead.finds = true;
    scene.edit(Edit::SetCable(cid("c"), Some(lead)));
    let all = of(&scene);
    honest(&scene, &all);
    let said = words(&all);
    let moves: Vec<_> = said.iter().filter(|w| w.starts_with("Move ")).collect();
    assert!(moves.iter().any(|w| w.contains("by 127.3 mm")), "{said:?}");
}

#[test]
fn a_longer_cable_and_moves_straight_towards_one_another() {
    // Needs 400 and 440 with 10 % for service, has 300: the lead of 450; or nearer by
    // as much as 1.1 (400 - d) <= 300 asks for: d = 127.3 (rounded up to 0.1).
    let scene = facing(400.0, 300.0);
    let all = of(&scene);
    honest(&scene, &all);
    assert_eq!(all[0].words, "Take the one of 450 mm.");
    assert_eq!((all[0].more, all[0].costs.len()), (l(150.0), 0));
    let moves: Vec<&Alternative> = all.iter().filter(|a| a.how == How::Move).collect();
    assert_eq!(moves.len(), 2, "{:?}", words(&all));
    for m in moves {
        assert_eq!(m.moved, l(127.3), "{}", m.words);
        assert!(m.service && m.costs.is_empty());
    }
    assert!(words(&all).contains(&"Move host by 127.3 mm to the right."));
}

#[test]
fn a_move_says_what_it_runs_into() {
    // Something stands between them, so that the move overlaps it.
    let wall = block("wall", Group::Other, [10.0, 60.0, 60.0]);
    let scene = facing(400.0, 300.0).with("wall", &wall, [385.0, 111.0, 80.0]);
    let scene = scene.moved("wall", [0.0, -11.0, 0.0]);
    let all = of(&scene);
    honest(&scene, &all);
    let into = all.iter().find(|a| a.words.starts_with("Move drive"));
    let into = into.expect("the drive may move");
    assert!(
        into.costs.iter().any(|c| c.key == "clash:drive+wall"),
        "{into:?}"
    );
    assert!(into.price().contains("1 stop"), "{}", into.price());
    // What costs a stop comes after what costs none.
    let rank = |w: &str| all.iter().position(|a| a.words.starts_with(w));
    assert!(rank("Move host") < rank("Move drive"));
}

#[test]
fn sideways_the_least_move_is_the_one_that_geometry_gives() {
    // The goal looks up and lies aside; straight legs without a bend radius: the way is
    // out of the host by 22, into the drive by 24 and the hypotenuse between.
    let host = with_port("host", "host", Role::Source, "+x");
    let mut drive = with_port("drive", "drive", Role::Sink, "-x");
    drive.ports[0].at = v(0.0, 5.0, 5.0);
    let mut lead = cable(
        Some("data"),
        at_port("host", "p"),
        at_port("drive", "p"),
        360.0,
        vec![],
    );
    lead.bend = Length::ZERO;
    let scene = Build::open()
        .with("host", &host, [100.0, 100.0, 100.0])
        .with("drive", &drive, [356.0, 400.0, 100.0])
        .cable("c", lead);
    let all = of(&scene);
    honest(&scene, &all);
    let m = all
        .iter()
        .find(|a| a.words.starts_with("Move drive") && a.words.ends_with("front."));
    let m = m.expect("towards the host");
    // 200 along after the straight ends; 360 / 1.1 = 327.27 in all, so the slant may be
    // 281.27, which is 197.77 aside of 300: a move of 102.2.
    let aside = ((360.0f64 / 1.1 - 46.0).powi(2) - 200.0f64.powi(2)).sqrt();
    let exact = 300.0 - aside;
    let off = m.moved.as_mm() - exact;
    assert!((0.0..0.2).contains(&off), "{} {exact}", m.moved);
}

#[test]
fn an_extension_counts_where_its_plugs_fit() {
    let header = with_port("header", "fan-4pin", Role::Source, "-x");
    let mut scene = Build::open()
        .with("fan", &fan(120.0, 105.0, 25.0), [0.0, 0.0, 0.0])
        .with("hub", &header, [620.0, 55.0, 7.5])
        .cable(
            "c",
            cable(
                None,
                at_port("fan", "lead"),
                at_port("hub", "p"),
                400.0,
                vec![],
            ),
        );
    assert!(of(&scene).iter().all(|a| a.how != How::Extension));
    let mut kinds = catalogue();
    let id = CableKindId::new("more").unwrap();
    kinds.cables.insert(
        id.clone(),
        Arc::new(CableKind {
            id: id.clone(),
            name: "fan extension".into(),
            system: System::Air,
            from: "fan-4pin".into(),
            to: "fan-4pin".into(),
            lengths: vec![l(100.0), l(300.0)],
            section: Section::Round(l(4.0)),
            bend: l(20.0),
            plugs: 1,
            pitch: Length::ZERO,
            extends: true,
            carries_mw: None,
            figures: vec![],
        }),
    );
    scene.catalogue = kinds;
    let all = of(&scene);
    honest(&scene, &all);
    // 500 and a tenth: 550 of 400; 100 more leaves less than the share, 300 does not.
    assert_eq!(all[0].words, "Put 'fan extension' of 300 mm at its end.");
    assert_eq!(all[0].more, l(300.0));
}

#[test]
fn another_port_and_an_exchange_of_two_leads() {
    let mut board = block("board", Group::Board, [10.0, 400.0, 10.0]);
    let at = |y: f64| v(0.0, y, 5.0);
    board.ports = vec![
        port("far", "fan-4pin", at(390.0), "-x", Role::Source),
        port("near", "fan-4pin", at(60.0), "-x", Role::Source),
    ];
    let scene = Build::open()
        .with("fan", &fan(120.0, 105.0, 25.0), [0.0, 0.0, 0.0])
        .with("board", &board, [400.0, 0.0, 7.5])
        .cable(
            "c",
            cable(
                None,
                at_port("fan", "lead"),
                at_port("board", "far"),
                400.0,
                vec![],
            ),
        );
    let all = of(&scene);
    honest(&scene, &all);
    assert_eq!(
        all[0].words,
        "Plug it into near of board.",
        "{:?}",
        words(&all)
    );
    // Taken by a second fan that may stand anywhere near: they change places.
    let scene = scene
        .with("fan2", &fan(120.0, 105.0, 25.0), [0.0, 300.0, 0.0])
        .cable(
            "d",
            cable(
                None,
                at_port("fan2", "lead"),
                at_port("board", "near"),
                400.0,
                vec![],
            ),
        );
    let all = of(&scene);
    honest(&scene, &all);
    let swap = all.iter().find(|a| a.words.starts_with("Change places"));
    let swap = swap.unwrap_or_else(|| panic!("{:?}", words(&all)));
    assert!(
        swap.brings(Severity::Caution) == 0 && swap.more == Length::ZERO,
        "{swap:?}"
    );
}

#[test]
fn another_way_leaves_a_place_out() {
    use crate::model::Via;
    let mut scene = facing(200.0, 300.0);
    let mut lead = scene.scene.arrangement().cables[&cid("c")].clone();
    lead.plugs[0].via = vec![Via::Point(v(210.0, 300.0, 105.0))];
    scene = scene.cable("c", lead);
    let all = of(&scene);
    honest(&scene, &all);
    let way = all
        .iter()
        .find(|a| a.how == How::Way)
        .expect("without the point");
    assert!(
        way.words.starts_with("Leave out point 210"),
        "{}",
        way.words
    );
    assert!(way.detour < Length::ZERO);
}

#[test]
fn a_free_way_past_what_stands_there_costs_nothing_and_a_straight_one_does() {
    use crate::model::Via;
    let mut scene = facing(200.0, 300.0);
    let mut lead = scene.scene.arrangement().cables[&cid("c")].clone();
    lead.plugs[0].via = vec![Via::Point(v(210.0, 300.0, 105.0))];
    scene = scene.cable("c", lead);
    let wall = block("wall", Group::Other, [4.0, 40.0, 130.0]);
    scene = scene.with("wall", &wall, [207.0, 85.0, 0.0]);
    let all = of(&scene);
    honest(&scene, &all);
    let ways: Vec<&Alternative> = all.iter().filter(|a| a.how == How::Way).collect();
    assert!(ways[0].words.starts_with("Lay it along a free way"));
    assert_eq!(ways[0].costs, []);
    let straight = ways.iter().find(|a| a.words.starts_with("Leave out"));
    let costs = &straight.expect("without the point").costs;
    assert!(costs.iter().any(|c| c.key.starts_with("way-blocked")));
}

#[test]
fn a_run_offers_its_next_plug_and_another_order() {
    let mut kinds = catalogue();
    let mut run = (*kinds.cables[&CableKindId::new("data").unwrap()]).clone();
    (run.plugs, run.pitch, run.lengths) = (3, l(120.0), vec![l(300.0)]);
    kinds.cables.insert(run.id.clone(), Arc::new(run));
    let mut scene = facing(350.0, 300.0);
    scene.catalogue = kinds;
    let all = of(&scene);
    honest(&scene, &all);
    let next = all
        .iter()
        .find(|a| a.how == How::Plug)
        .expect("two plugs are free");
    assert!(next.words.contains("120 mm further on"), "{}", next.words);
    assert_eq!(next.more, l(120.0));
    // A second device further off first: the other order reaches both.
    let drive = with_port("drive", "drive", Role::Sink, "-x");
    let mut scene = facing(250.0, 300.0).with("second", &drive, [360.0, 100.0, 200.0]);
    scene.catalogue = {
        let mut kinds = catalogue();
        let mut run = (*kinds.cables[&CableKindId::new("data").unwrap()]).clone();
        (run.plugs, run.pitch, run.lengths) = (2, l(120.0), vec![l(300.0)]);
        kinds.cables.insert(run.id.clone(), Arc::new(run));
        kinds
    };
    let mut lead = scene.scene.arrangement().cables[&cid("c")].clone();
    let mut other = lead.plugs[0].clone();
    other.length = l(120.0);
    lead.plugs[0].to = at_port("second", "p");
    lead.plugs[0].length = l(265.0);
    lead.plugs.push(other);
    let scene = scene.cable("c", lead);
    let all = of(&scene);
    honest(&scene, &all);
    let order = all
        .iter()
        .find(|a| a.words.starts_with("Plug it in this order"));
    assert!(order.is_some(), "{:?}", words(&all));
}

#[test]
fn locked_parts_stay_and_a_cancelled_search_ends() {
    let mut scene = facing(700.0, 300.0);
    for id in ["host", "drive"] {
        let mut place = scene.scene.arrangement().places[&pid(id)];
        place.locked = true;
        scene.edit(Edit::SetPlace(pid(id), Some(place)));
    }
    // 600 is the longest at hand, and nothing else is known.
    assert!(of(&scene).is_empty());
    let scene = facing(400.0, 300.0);
    let checker = scene.checked();
    let short = &Shortfall::all(&checker, None)[0];
    assert!(find(&scene.scene, &checker, short, MOST_TRIALS, &|| true).is_empty());
    assert_eq!(find(&scene.scene, &checker, short, 1, &|| false).len(), 1);
}
