//! What the views and the picture put on the page, asked of the draw list.

#[path = "view_lists/real.rs"]
mod real;
#[path = "view_lists/samples.rs"]
mod samples;

use closefit::geom::{Axis, Box3, Turn};
use closefit::model::*;
use closefit::placement::{Placed, offers};
use closefit::route::{CableRun, Leg, Stretch};
use closefit::rules::Checker;
use closefit::view::list::{
    DrawList, Item, LineType, Mark, Owner, Path, Point2, Rect, Role as R, hit,
};
use closefit::view::*;
use samples::*;
use std::collections::BTreeMap;
use std::sync::Arc;

fn checked(scene: &Scene) -> Checker {
    let mut checker =
        Checker::new(Arc::new(real::settings())).with_catalogue(Arc::new(real::catalogue()));
    checker.check_all(scene);
    checker
}

/// A view of a scene, with its findings.
fn view(scene: &Scene, kind: ViewKind, scale: f64, options: ViewOptions) -> DrawList {
    let checker = checked(scene);
    let findings = checker.findings();
    let mut input = SheetInput::of(scene, checker.placed(), checker.runs());
    input.findings = &findings;
    input.options = options;
    draw(kind, scale, &input)
}

fn texts(list: &DrawList) -> Vec<(String, Rect)> {
    let text = |i: &Item| match &i.mark {
        Mark::Text(t) => Some((t.text.clone(), t.bounds())),
        _ => None,
    };
    list.items.iter().filter_map(text).collect()
}

fn paths(list: &DrawList, role: R) -> impl Iterator<Item = (&Item, &Path)> {
    list.items.iter().filter_map(move |i| match &i.mark {
        Mark::Path { path, .. } if i.role == role => Some((i, path)),
        _ => None,
    })
}

fn meet(a: Rect, b: Rect) -> bool {
    a.min.x < b.max.x && b.min.x < a.max.x && a.min.y < b.max.y && b.min.y < a.max.y
}

#[track_caller]
fn no_text_meets_another(list: &DrawList, what: &str) {
    let all = texts(list);
    for (i, (a, ra)) in all.iter().enumerate() {
        for (b, rb) in &all[i + 1..] {
            assert!(!meet(*ra, *rb), "{what}: '{a}' and '{b}' overlap");
        }
    }
}

#[track_caller]
fn nothing_leaves_the_page(list: &DrawList, page: (f64, f64), what: &str) {
    let page = Rect::sized(0.0, 0.0, page.0, page.1);
    for item in &list.items {
        if let Some(b) = item.mark.bounds() {
            let inside = page.contains(b.min) && page.contains(b.max);
            assert!(inside, "{what}: {:?} at {b:?}", item.role);
        }
    }
    assert_eq!(list.undrawable(), 0, "{what}");
}

/// Leaders: straight callout lines of two points.
fn leaders(list: &DrawList) -> Vec<(Point2, Point2)> {
    let lines = paths(list, R::Callout).flat_map(|(_, p)| p.flattened(0.05));
    let straight = lines.filter(|l| !l.closed && l.points.len() == 2);
    straight.map(|l| (l.points[0], l.points[1])).collect()
}

fn cross(a: (Point2, Point2), b: (Point2, Point2)) -> bool {
    let side = |p: (Point2, Point2), q: Point2| (p.1 - p.0).left().dot(q - p.0);
    side(a, b.0) * side(a, b.1) < -1e-9 && side(b, a.0) * side(b, a.1) < -1e-9
}

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
fn a_part_stands_in_the_same_columns_in_top_and_side_view() {
    let scene = compact();
    let [top, side] =
        [ViewKind::Top, ViewKind::Side].map(|k| view(&scene, k, 0.4, ViewOptions::default()));
    let columns = |list: &DrawList, owner: Owner| {
        let own = list.items.iter().filter(|i| i.owner == Some(owner));
        let fills = own.filter(|i| matches!(i.role, R::Fill(_)));
        let b = fills.filter_map(|i| i.mark.bounds()).reduce(Rect::union);
        b.map(|b| [b.min.x, b.max.x])
    };
    for i in 0..scene.parts.len() as u32 {
        let (a, b) = (
            columns(&top, Owner::Part(i)),
            columns(&side, Owner::Part(i)),
        );
        let (a, b) = (a.expect("drawn"), b.expect("drawn"));
        assert!(
            (a[0] - b[0]).abs() < 1e-6 && (a[1] - b[1]).abs() < 1e-6,
            "part {i}"
        );
    }
}

#[test]
fn every_kind_is_drawn_in_every_orientation_inside_its_outline() {
    let catalogue = real::catalogue();
    assert!(catalogue.kinds.len() > 100);
    for (n, kind) in catalogue.kinds.values().enumerate() {
        // Details may stick out of the body, as the posts of a cooler do.
        let solids = kind.body.iter().filter(|p| p.space == Space::Solid);
        let bodies = solids.map(|p| p.solid.bounds());
        let details = kind.features.iter().map(|f| f.solid.bounds());
        // Holes at an edge reach past it, their centre marks and pads further.
        let rims = kind.patterns.iter().flat_map(|p| {
            let rim = |h: &Hole| {
                let at = p.frame.point(h.u, h.v);
                Box3::new(at, at).grown(h.diameter)
            };
            p.holes.iter().map(rim)
        });
        let all: Vec<Box3> = bodies
            .chain(details)
            .chain(rims)
            .chain([kind.outline()])
            .collect();
        let whole = Box3::around(&all).expect("a kind has an outline");
        // A turn for each kind, other ones for the next: all 24 many times over.
        for turn in Turn::all().into_iter().skip(n % 4).step_by(4) {
            let mut b = Builder::new("one", enclosure([500.0, 500.0, 500.0]));
            b.part("p", kind, [100.0, 100.0, 100.0], turn);
            let placed = Placed::build(&b.scene);
            let runs = BTreeMap::new();
            let input = SheetInput::of(&b.scene, &placed, &runs);
            let place = b.scene.arrangement().places[&PartId::new("p").unwrap()];
            let world = whole.turned(turn).moved(place.shift(kind));
            for view in ViewKind::ALL {
                for scale in [0.05, 0.4, 2.0] {
                    let list = draw(view, scale, &input);
                    assert_eq!(list.undrawable(), 0, "{} {turn:?}", kind.id);
                    let projection = Projection::new(view, scale, &b.scene.enclosure.outline());
                    let room = projection.box_to_page(&world).grown(1.6);
                    let own = list
                        .items
                        .iter()
                        .filter(|i| i.owner == Some(Owner::Part(0)));
                    let mut count = 0;
                    for bounds in own.filter_map(|i| i.mark.bounds()) {
                        count += 1;
                        let inside = room.contains(bounds.min) && room.contains(bounds.max);
                        assert!(inside, "{} {turn:?} {view:?} {scale}: {bounds:?}", kind.id);
                    }
                    assert!(count >= 2, "{} {turn:?} {view:?} {scale}", kind.id);
                }
            }
        }
    }
}

#[test]
fn small_parts_cost_few_marks() {
    let scene = many(100);
    let marks = |scale| {
        let list = view(
            &scene,
            ViewKind::Top,
            scale,
            ViewOptions {
                findings: false,
                ..ViewOptions::default()
            },
        );
        let of_parts = |i: &&Item| matches!(i.owner, Some(Owner::Part(_)));
        list.items.iter().filter(of_parts).count() as f64 / 100.0
    };
    assert!(marks(0.01) <= 4.0);
    assert!(marks(1.0) > 3.0 * marks(0.01));
}

fn stack() -> Scene {
    // A drive of 26.1 on the floor, a fan lying over half of it.
    let mut b = Builder::new("stack", enclosure([300.0, 300.0, 120.0]));
    b.part("drive", &Arc::new(drive35()), [50.0, 50.0, 2.0], Turn::NONE)
        .part(
            "fan",
            &Arc::new(fan(120.0, 25.0, 105.0)),
            [100.0, 60.0, 60.0],
            Turn::NONE,
        );
    b.scene
}

/// The page point of the top view above a point of the floor.
fn above(x: f64, y: f64) -> (f64, f64) {
    // Outline 300 x 300 at scale 1: the front edge is at the right, the left wall below.
    (300.0 - y, 300.0 - x)
}

#[test]
fn the_nearer_part_lies_on_top() {
    let list = view(
        &stack(),
        ViewKind::Top,
        1.0,
        ViewOptions {
            findings: false,
            ..ViewOptions::default()
        },
    );
    // Parts count in the order of their ids: drive, fan.
    let (drive, fan) = (Owner::Part(0), Owner::Part(1));
    assert_eq!(hit(&list, above(125.0, 100.0), 0.1), [fan, drive]);
    assert_eq!(hit(&list, above(60.0, 100.0), 0.1), [drive]);
    // From below the order would be the other one; from the left the drive, which
    // starts further left, is the nearer.
    let side = view(&stack(), ViewKind::Side, 1.0, ViewOptions::default());
    assert_eq!(hit(&side, (300.0 - 100.0, 120.0 - 70.0), 0.1)[0], fan);
}

#[test]
fn edges_behind_a_nearer_part_are_dashed() {
    let shown = |hidden_edges| {
        let list = view(
            &stack(),
            ViewKind::Top,
            1.0,
            ViewOptions {
                hidden_edges,
                findings: false,
                zones: false,
                ..ViewOptions::default()
            },
        );
        let mut length = 0.0;
        for (item, path) in paths(&list, R::Hidden) {
            let Mark::Path {
                stroke: Some(line), ..
            } = &item.mark
            else {
                panic!("stroked");
            };
            assert_eq!(line.kind, LineType::Dashed);
            for line in path.flattened(0.01) {
                length += line.edges().map(|(a, b)| (b - a).length()).sum::<f64>();
            }
        }
        length
    };
    // The drive covers x 50 to 151.6, y 50 to 197; the fan x 100 to 220, y 60 to 180.
    // Hidden: the drive's right edge for the fan's 120; its front and rear edges lie
    // outside the fan.
    assert!((shown(true) - 120.0).abs() < 1e-6);
    assert_eq!(shown(false), 0.0);
}

#[test]
fn a_cut_takes_away_what_lies_nearer() {
    let mut options = ViewOptions {
        findings: false,
        ..ViewOptions::default()
    };
    let owners = |options: &ViewOptions| {
        let list = view(&stack(), ViewKind::Top, 1.0, options.clone());
        hit(&list, above(125.0, 100.0), 0.1)
    };
    options.cut[ViewKind::Top.index()] = Some(mm(50.0));
    assert_eq!(owners(&options), [Owner::Part(0)]);
    // A cut through a part leaves it in; a cut at its lower face takes it away.
    options.cut[ViewKind::Top.index()] = Some(mm(70.0));
    assert_eq!(owners(&options), [Owner::Part(1), Owner::Part(0)]);
    options.cut[ViewKind::Top.index()] = Some(mm(60.0));
    assert_eq!(owners(&options), [Owner::Part(0)]);
    // Other views keep their own cut.
    assert_eq!(options.cut[ViewKind::Side.index()], None);
}

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
