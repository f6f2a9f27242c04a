//! Chains through holes, screws and carriers.

use super::chain::{Broken, Face};
use super::{Chain, Source};
use crate::build::{Build, block, enclosure, frame, l, pattern, pid, settings, square, v, zone};
use crate::geom::Axis;
use crate::model::Deviation;
use crate::model::{Group, PartKind};
use crate::placement::Placed;

/// A block of 100 x 60 x 20 on four clear holes of 4.3, 80 x 80 apart about its
/// middle at (50, 50).
fn carried(id: &str) -> PartKind {
    let mut kind = block(id, Group::Drive, [100.0, 100.0, 20.0]);
    let foot = frame(v(50.0, 50.0, 0.0), "+x", "-y", "-z");
    kind.patterns = vec![pattern(
        "foot",
        foot,
        square(80.0, [0.0, 0.0], 4.3, None),
        4,
    )];
    kind
}

/// Two fields of M3 holes on the floor, 102 apart along x.
fn two(gap: f64) -> Build {
    two_with(gap, &carried("two"))
}

fn two_with(gap: f64, second: &PartKind) -> Build {
    let mut case = enclosure([400.0, 200.0, 100.0]);
    for (id, x) in [("left", 0.0), ("right", 100.0 + gap)] {
        let face = frame(v(x, 0.0, 0.0), "+x", "+y", "+z");
        let mut field = zone(id, face, [100.0, 100.0], 0.0, &[Group::Drive]);
        field.holes = square(80.0, [50.0, 50.0], 3.0, Some("M3"));
        case.zones.push(field);
    }
    Build::new(case)
        .with("a", &carried("one"), [0.0; 3])
        .with("b", second, [100.0 + gap, 0.0, 0.0])
}

fn chain(build: &Build, axis: Axis, from: f64, to: f64) -> Result<Chain, Broken> {
    let placed = Placed::build(&build.scene);
    let (a, b) = (pid("a"), pid("b"));
    let face = |part, at| Face {
        part: Some(part),
        at: l(at),
    };
    placed.chain(
        (&build.settings, &build.scene.measured),
        axis,
        face(&a, from),
        face(&b, to),
    )
}

#[test]
fn through_the_screws_of_two_parts_on_one_floor() {
    let chain = chain(&two(2.0), Axis::X, 100.0, 102.0).expect("both are held");
    let said: Vec<(&str, f64, f64)> = chain
        .links
        .iter()
        .map(|k| (k.what.as_str(), k.nominal.as_mm(), k.deviation.plus.as_mm()))
        .collect();
    // From face to hole 90 and back (hole 1 at 10), 102 between the holes; M3 in
    // 4.3 plays (4.3 - 3) / 2 = 0.65. ISO 2768-1 m: 90 and 102 are +-0.3, 10 is +-0.2.
    assert_eq!(
        said,
        [
            ("one, face to hole 1", -90.0, 0.3),
            ("play of one at hole 1", 0.0, 0.65),
            ("test box, hole 1 to hole 1", 102.0, 0.3),
            ("play of two at hole 1", 0.0, 0.65),
            ("two, hole 1 to face", -10.0, 0.2),
        ]
    );
    let spread = chain.spread();
    assert_eq!((spread.nominal, spread.least), (l(2.0), l(2.0 - 2.1)));
}

#[test]
fn a_part_out_of_line_has_its_play_on_the_other_side() {
    // 0.5 to the right in its holes: 0.15 farther, 1.15 back.
    let build = two(2.0).moved("a", [0.5, 0.0, 0.0]);
    let chain = chain(&build, Axis::X, 100.5, 102.0).expect("held");
    let play = &chain.links[1];
    assert_eq!(play.shares(), (l(1.15), l(0.15)));
    assert_eq!(chain.spread().nominal, l(1.5));
}

#[test]
fn along_the_screws_there_is_no_play_and_own_figures_come_first() {
    let mut kind = carried("two");
    kind.ratings.deviation[2] = Some(Deviation {
        plus: l(0.0),
        minus: l(0.5),
    });
    let chain = chain(&two_with(2.0, &kind), Axis::Z, 0.0, 20.0).expect("held");
    let links: Vec<_> = chain.links.iter().map(|k| (k.source, k.nominal)).collect();
    assert_eq!(links, [(Source::Given, l(20.0))]);
    assert_eq!(chain.spread().least, l(19.5));
}

#[test]
fn what_nothing_holds_has_no_chain() {
    let loose = two(2.0).moved("b", [0.0, 0.0, 5.0]);
    let why = chain(&loose, Axis::X, 100.0, 102.0).expect_err("b is loose");
    assert_eq!(why, Broken::Loose("two".into()));
}

#[test]
fn parts_on_one_carrier_meet_there_and_not_in_the_enclosure() {
    let mut tray = carried("tray");
    tray.size = v(300.0, 100.0, 20.0);
    for (id, x) in [("l", 0.0), ("r", 101.0)] {
        let face = frame(v(x, 0.0, 20.0), "+x", "+y", "+z");
        let mut field = zone(id, face, [100.0, 100.0], 0.0, &[Group::Drive]);
        field.holes = square(80.0, [50.0, 50.0], 3.0, Some("M3"));
        tray.zones.push(field);
    }
    let scene = two(200.0);
    let mut build = Build::new((*scene.scene.enclosure).clone())
        .with("tray", &tray, [0.0; 3])
        .with("a", &carried("one"), [0.0, 0.0, 20.0])
        .with("b", &carried("two"), [101.0, 0.0, 20.0]);
    build.settings = settings();
    let chain = chain(&build, Axis::X, 100.0, 101.0).expect("held");
    assert_eq!(chain.links[2].what, "tray, hole 1 to hole 1");
    assert_eq!(chain.links.len(), 5);
}

#[test]
fn what_hangs_on_the_screws_of_another_is_reached_through_it() {
    // A sheet under the floor, held by nothing but the screws of the first block.
    let mut sheet = block("sheet", Group::Other, [100.0, 100.0, 2.0]);
    let face = frame(v(0.0, 0.0, 2.0), "+x", "+y", "+z");
    let mut field = zone("top", face, [100.0, 100.0], 0.0, &[Group::Drive]);
    field.holes = square(80.0, [50.0, 50.0], 3.0, Some("M3"));
    sheet.zones.push(field);
    let build = two(2.0).with("c", &sheet, [0.0, 0.0, -2.0]);
    let placed = Placed::build(&build.scene);
    let (c, b) = (pid("c"), pid("b"));
    let face = |part, at| Face {
        part: Some(part),
        at: l(at),
    };
    let chain = placed
        .chain(
            (&build.settings, &build.scene.measured),
            Axis::X,
            face(&c, 100.0),
            face(&b, 102.0),
        )
        .expect("the sheet hangs on the block");
    let said: Vec<&str> = chain.links.iter().map(|k| k.what.as_str()).collect();
    assert_eq!(
        said,
        [
            "sheet, face to hole 1",
            "play of sheet at hole 1",
            "play of one at hole 1",
            "test box, hole 1 to hole 1",
            "play of two at hole 1",
            "two, hole 1 to face",
        ]
    );
    assert_eq!(chain.spread().nominal, l(2.0));
}

#[test]
fn a_dimension_beyond_the_table_is_said() {
    let mut build = two(2.0);
    build.settings.general.truncate(2);
    let why = chain(&build, Axis::X, 100.0, 102.0).expect_err("90 is beyond 30");
    assert_eq!(
        why.to_string(),
        "90 mm of one lie beyond the table of general tolerances"
    );
}

#[test]
fn what_was_measured_comes_first_and_moves_the_gap() {
    use crate::edit::Edit;
    use crate::model::{Measured, Span};
    // 'one' from its hole at 10 to its face at 100: a calliper says 90.3, so the gap of
    // 2 is 1.7. The kind of 'two' gives its hole at 10 +-0.02 of its own.
    let mut kind = carried("two");
    let own = Span::new(Axis::X, l(0.0), l(10.0)).expect("a span");
    let known = Measured::parse("10 ± 0.02").expect("a figure");
    kind.ratings.dimensions.insert(own, known);
    let mut build = two_with(2.0, &kind);
    let span = Span::new(Axis::X, l(10.0), l(100.0)).expect("a span");
    let found = |build: &Build| chain(build, Axis::X, 100.0, 102.0).expect("held");
    let links = found(&build).links;
    assert_eq!(links[0].dimension, Some((Some(pid("a")), span)));
    assert_eq!(links[4].source, Source::Given);
    assert_eq!(links[4].deviation.plus, l(0.02));
    assert_eq!(links[2].dimension.as_ref().map(|d| &d.0), Some(&None));
    let note = |is: &str| Edit::Measure {
        of: Some(pid("a")),
        span,
        is: Measured::parse(is).ok(),
    };
    build.edit(note("90.3 ± 0.1"));
    let links = found(&build).links;
    assert_eq!(
        (links[0].source, links[0].nominal),
        (Source::Measured, l(-90.3))
    );
    assert_eq!(found(&build).spread().nominal, l(1.7));
    // 0.1 + 0.65 + 0.3 + 0.65 + 0.02 off at worst.
    assert_eq!(found(&build).spread().least, l(1.7 - 1.72));
    build.edit(note(""));
    assert!(build.scene.measured.is_empty());
    assert_eq!(found(&build).spread().nominal, l(2.0));
}

#[test]
fn a_turned_part_keeps_its_own_dimension() {
    use crate::geom::{Dir, Turn};
    // Half a turn about z: what was its right face is its left one, and the hole that is
    // met first differs, but the dimension is named in the part's own frame.
    let mut build = two(2.0);
    let mut place = build.scene.arrangement().places[&pid("a")];
    place.turn = Turn::new(Dir::NegX, Dir::NegY).expect("a turn");
    build.edit(crate::edit::Edit::SetPlace(pid("a"), Some(place)));
    let links = chain(&build, Axis::X, 100.0, 102.0).expect("held").links;
    let (of, span) = links[0].dimension.clone().expect("a dimension");
    assert_eq!((of, span.axis), (Some(pid("a")), Axis::X));
    // Its face at world 100 is its own 0.
    assert_eq!(span.low, l(0.0));
    assert_eq!(span.nominal(), links[0].nominal.abs());
}

#[test]
fn the_measured_size_across_says_what_is_left_to_the_face() {
    use crate::model::{Dimensions, Measured, Span};
    let mut build = two(2.0);
    let across = Span::new(Axis::X, l(0.0), l(100.0)).expect("it has a length");
    let exact = |is: f64| Measured {
        is: l(is),
        deviation: Deviation::default(),
    };
    let mut first = |is: f64| {
        let own = Dimensions::from([(across, exact(is))]);
        build.scene.measured.insert(Some(pid("a")), own);
        let chain = chain(&build, Axis::X, 100.0, 102.0).expect("both are held");
        let link = chain.links[0].clone();
        (link.nominal, link.deviation.plus, link.source)
    };
    // 90 +-0.3 to the hole and 10 +-0.2 behind it, together 100.4: 90.2 to 90.3.
    assert_eq!(first(100.4), (l(-90.25), l(0.05), Source::Derived));
    // 101 is more than both allow: 89.7 at least, where all of it is behind the hole, and 101 less
    // 9.8 at most.
    assert_eq!(first(101.0), (l(-90.45), l(0.75), Source::Derived));
}

#[test]
fn across_a_slot_a_part_has_the_play_that_is_left_where_it_is_drawn() {
    use crate::model::HoleShape;
    // Slots of 4.0 along y for M3: 0.5 either way across them. The first part is drawn 0.4 to the
    // right of their middle: 0.1 is left to the right, 0.9 to the left.
    let play = |off: f64, along: f64| {
        let mut case = (*two(2.0).scene.enclosure).clone();
        for hole in &mut case.zones[0].holes {
            (hole.diameter, hole.thread) = (l(4.0), None);
            hole.shape = HoleShape::Slot {
                du: l(0.0),
                dv: l(20.0),
            };
        }
        let mut kind = carried("one");
        for hole in &mut kind.patterns[0].holes {
            (hole.diameter, hole.thread) = (l(2.5), Some("M3".into()));
        }
        let build = Build::new(case).with("a", &kind, [off, along, 0.0]).with(
            "b",
            &carried("two"),
            [102.0, 0.0, 0.0],
        );
        let links = chain(&build, Axis::X, 100.0 + off, 102.0);
        let links = links.expect("both are held").links;
        let of = |l: &&super::Link| l.source == Source::Play && l.what.contains("one");
        let link = links.iter().find(of).expect("its play");
        // On the near side, moving up takes from the gap.
        (link.deviation.minus, link.deviation.plus)
    };
    assert_eq!(play(0.0, 10.0), (l(0.5), l(0.5)));
    assert_eq!(play(0.4, 10.0), (l(0.1), l(0.9)));
    // Wherever along the slot it is drawn, its ends included.
    assert_eq!(play(-0.4, 0.0), (l(0.9), l(0.1)));
    assert_eq!(play(-0.4, 20.0), (l(0.9), l(0.1)));
}

#[test]
fn of_two_slots_that_cross_the_one_along_the_axis_is_set_along() {
    use crate::model::HoleShape;
    // The part's own slots run along x, those under it along y; both 3.4 for M3, 0.2 either way.
    let mut build = two(2.0);
    build.settings.limits.slot_set = Some(l(0.5));
    let slot = |hole: &mut crate::model::Hole, du: f64, dv: f64| {
        (hole.diameter, hole.thread) = (l(3.4), None);
        let (du, dv) = (l(du), l(dv));
        hole.shape = HoleShape::Slot { du, dv };
    };
    let mut case = (*build.scene.enclosure).clone();
    case.zones[0]
        .holes
        .iter_mut()
        .for_each(|h| slot(h, 0.0, 5.0));
    let mut kind = carried("one");
    kind.patterns[0]
        .holes
        .iter_mut()
        .for_each(|h| slot(h, 5.0, 0.0));
    build.scene = Build::new(case)
        .with("a", &kind, [0.0; 3])
        .with("b", &carried("two"), [102.0, 0.0, 0.0])
        .scene;
    for (axis, from, to) in [(Axis::X, 100.0, 102.0), (Axis::Y, 0.0, 100.0)] {
        let links = chain(&build, axis, from, to).expect("both are held").links;
        let of = |l: &&super::Link| l.source == Source::Play && l.what.contains("one");
        let link = links.iter().find(of).expect("its play");
        assert!(link.what.contains("along slot"), "{axis:?} {}", link.what);
        assert_eq!(
            (link.deviation.minus, link.deviation.plus),
            (l(0.5), l(0.5))
        );
    }
}
