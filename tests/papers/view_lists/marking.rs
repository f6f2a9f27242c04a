//! Findings, cables, offers and ports in the views.

use super::real;
use super::samples::*;
use super::support::*;
use closefit::geom::Turn;
use closefit::model::*;
use closefit::placement::{Placed, offers};
use closefit::route::{CableRun, Leg, Stretch};
use closefit::view::list::{DrawList, Item, LineType, Mark, Owner, Point2, Rect, Role as R};
use closefit::view::*;
use std::collections::BTreeMap;
use std::sync::Arc;

#[test]
fn every_finding_has_a_mark_and_a_clash_its_depth() {
    // Two drives pushed 8 mm into one another.
    let mut b = Builder::new("clash", enclosure([300.0, 300.0, 120.0]));
    let drive = Arc::new(drive35());
    b.part("a", &drive, [50.0, 50.0, 10.0], Turn::NONE).part(
        "b",
        &drive,
        [143.6, 50.0, 10.0],
        Turn::NONE,
    );
    let checker = checked(&b.scene);
    let findings = checker.findings();
    let mut input = SheetInput::of(&b.scene, checker.placed(), checker.runs());
    input.findings = &findings;
    let clash = findings
        .iter()
        .position(|f| f.rule == "clash")
        .expect("they clash");
    for kind in ViewKind::ALL {
        let list = draw(kind, 1.0, &input);
        let own = |i: &&Item| i.owner == Some(Owner::Finding(clash as u32));
        let marks: Vec<&Item> = list.items.iter().filter(own).collect();
        assert!(
            marks.iter().any(|i| matches!(i.mark, Mark::Hatch(_))),
            "{kind:?}"
        );
        let figure = |i: &&&Item| matches!(&i.mark, Mark::Text(t) if t.text == "8.0");
        assert_eq!(marks.iter().filter(figure).count(), 1, "{kind:?}");
        for (i, finding) in findings.iter().enumerate() {
            let owner = Some(Owner::Finding(i as u32));
            let count = list.items.iter().filter(|item| item.owner == owner).count();
            let placed = !finding.marks.is_empty() || finding.place.is_some();
            assert_eq!(count > 0, placed, "{}", finding.key());
        }
    }
}

#[test]
fn labels_of_findings_do_not_overlap() {
    let scene = real::desk();
    for kind in ViewKind::ALL {
        for scale in [0.15, 0.4, 1.0] {
            let list = view(
                &scene,
                kind,
                scale,
                ViewOptions {
                    labels: true,
                    ..ViewOptions::default()
                },
            );
            no_text_meets_another(&list, &format!("{kind:?} at {scale}"));
        }
    }
}

#[test]
fn a_short_cable_is_drawn_at_its_true_length() {
    // Needs 100 mm, has 70: drawn for 70, the ghost for 30, the figure -30.0.
    let mut scene = stack();
    let port = |p: &str| PortRef {
        part: PartId::new(p).unwrap(),
        port: "x".to_owned(),
    };
    let id = CableId::new("c").unwrap();
    let (from, to) = ([80.0, 250.0, 100.0], [180.0, 250.0, 100.0]);
    scene.arrangements[0].cables.insert(
        id.clone(),
        Cable {
            name: "c".to_owned(),
            kind: None,
            system: System::Data,
            from: port("drive"),
            plugs: vec![PlugEnd {
                to: port("fan"),
                length: mm(70.0),
                via: vec![],
            }],
            section: Section::Round(mm(4.0)),
            bend: mm(10.0),
            locked: false,
            extension: None,
            hangs: None,
            finds: false,
        },
    );
    let stretch = Stretch {
        from: port("drive"),
        to: port("fan"),
        legs: vec![Leg::Straight { from, to }],
        points: vec![from, to],
        needed: mm(100.0),
        available: mm(70.0),
        judged: Ok(()),
        tightest_bend: None,
        visits: vec![],
    };
    let run = CableRun {
        cable: id.clone(),
        needed: stretch.needed,
        available: stretch.available,
        stretches: vec![stretch],
    };
    let runs = BTreeMap::from([(id, run)]);
    let placed = Placed::build(&scene);
    let mut input = SheetInput::of(&scene, &placed, &runs);
    let extent = |list: &DrawList, role: R| {
        let b = paths(list, role)
            .filter_map(|(_, p)| p.bounds())
            .reduce(Rect::union);
        b.map_or(0.0, |b| b.height())
    };
    use closefit::view::list::System as S;
    let list = draw(ViewKind::Top, 2.0, &input);
    // The way runs along x, which is up the page in the top view.
    assert!((extent(&list, R::Cable(S::Data)) - 140.0).abs() < 1e-6);
    let dotted = paths(&list, R::Short).find(|(i, _)| {
        matches!(&i.mark, Mark::Path { stroke: Some(l), .. } if l.kind == LineType::Dotted)
    });
    let ghost = dotted.and_then(|(_, p)| p.bounds()).expect("a ghost");
    assert!((ghost.height() - 60.0).abs() < 1e-6);
    assert!(texts(&list).iter().any(|(t, _)| t == "-30.0"));
    // A picture without findings shows the way as it should be.
    input.options.findings = false;
    let list = draw(ViewKind::Top, 2.0, &input);
    assert!((extent(&list, R::Cable(S::Data)) - 200.0).abs() < 1e-6);
    assert!(texts(&list).is_empty());
}

#[test]
fn a_zone_that_cannot_take_a_part_says_why() {
    let scene = Builder::new("empty", enclosure([330.0, 400.0, 160.0])).scene;
    let placed = Placed::build(&scene);
    let runs = BTreeMap::new();
    let catalogue = real::catalogue();
    let kind = &catalogue.kinds[&KindId::new("fan-140x25").unwrap()];
    let offers = offers(&scene, &placed, kind, &Default::default());
    let mut input = SheetInput::of(&scene, &placed, &runs);
    input.offers = &offers;
    let list = draw(ViewKind::Side, 0.5, &input);
    let said: Vec<String> = texts(&list).into_iter().map(|(t, _)| t).collect();
    assert!(said.join(" ").contains("124.5 mm"), "{said:?}");
    no_text_meets_another(&list, "reasons");
    assert!(paths(&list, R::ZoneNo).count() > 0);
    // And one that can shows where.
    let kind = &catalogue.kinds[&KindId::new("fan-120x25").unwrap()];
    let offers = closefit::placement::offers(&scene, &placed, kind, &Default::default());
    input.offers = &offers;
    input.ghost = Some((kind, Place::at(v(100.0, 100.0, 20.0))));
    let list = draw(ViewKind::Front, 0.5, &input);
    assert!(paths(&list, R::ZoneOpen).count() > 1);
    assert_eq!(paths(&list, R::Ghost).count(), 1);
}

#[test]
fn the_port_under_the_pointer_is_found_in_every_view() {
    let scene = real::desk();
    let placed = Placed::build(&scene);
    let runs = BTreeMap::new();
    let input = SheetInput::of(&scene, &placed, &runs);
    let name = PortRef {
        part: PartId::new("disk-2").unwrap(),
        port: "data".to_owned(),
    };
    let port = placed.port(&name).expect("a drive has a data port");
    for kind in ViewKind::ALL {
        let at = Projection::new(kind, 0.8, &scene.enclosure.outline()).to_page(port.at);
        // Of ports behind one another the one nearest to the eye is meant.
        let found = port_at(kind, 0.8, &input, at, 0.4).expect("there is one");
        let there = placed.port(&found).expect("it exists").at;
        let away = Projection::new(kind, 0.8, &scene.enclosure.outline()).to_page(there) - at;
        assert!(away.length() < 0.4 && kind.depth(there) >= kind.depth(port.at));
        assert_eq!(found == name, kind != ViewKind::Side, "{kind:?}");
        let far = at + Point2::new(4000.0, 0.0);
        assert_eq!(port_at(kind, 0.8, &input, far, 0.4), None);
    }
}
