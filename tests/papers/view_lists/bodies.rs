//! Parts in the views: where, how deep, cut and hidden.

use super::real;
use super::samples::*;
use super::support::*;
use closefit::geom::{Box3, Turn};
use closefit::model::*;
use closefit::placement::Placed;
use closefit::view::list::{DrawList, Item, LineType, Mark, Owner, Rect, Role as R, hit};
use closefit::view::*;
use std::collections::BTreeMap;

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
