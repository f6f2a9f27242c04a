//! Hole matching against the published hole tables. Coordinates are typed in here
//! from the standards, in inches where they give inches; the source stands beside
//! each table. 'Secondary' marks what is only known through transcriptions.

use crate::build;

use build::{
    Build, block, enclosure, fan, frame, hole, pattern, pid, radiator, slot, square, v, zone,
};
use closefit::geom::{Length, Turn};
use closefit::model::{Group, Hole, PartKind, Zone};
use closefit::placement::{Offer, Outcome, match_holes, offers, snap};
use std::collections::BTreeSet;

const IN: f64 = 25.4;

/// Letter, inches from the right edge and from the rear edge of the board. ATX
/// 2.x and microATX 1.2 hole figures (secondary, five transcriptions agree).
const GRID: [(&str, f64, f64); 12] = [
    ("A", 11.35, 0.40),
    ("B", 8.25, 0.40),
    ("C", 6.45, 0.40),
    ("F", 0.25, 1.30),
    ("G", 11.35, 6.50),
    ("H", 6.45, 6.50),
    ("J", 0.25, 6.50),
    ("K", 11.35, 9.35),
    ("L", 6.45, 9.35),
    ("M", 0.25, 9.35),
    ("R", 9.05, 6.50),
    ("S", 8.25, 6.50),
];

/// Form, letters, and size in inches. microATX 1.2 Fig. 2 table (ATX, microATX)
/// and Table 3; FlexATX Addendum 1.0 and Mini-ITX Addendum 1.1 (letters secondary).
const FORMS: [(&str, &str, f64, f64); 4] = [
    ("atx", "ACFGHJKLM", 12.0, 9.6),
    ("microatx", "BCFHJLMRS", 9.6, 9.6),
    ("flexatx", "BCFHJS", 9.0, 7.5),
    ("mini-itx", "CFHJ", 6.7, 6.7),
];

fn letters(of: &str, d: f64, thread: Option<&str>) -> Vec<Hole> {
    let grid = GRID.iter().filter(|(label, ..)| of.contains(label));
    // u to the left of the right edge, v to the front of the rear edge.
    grid.map(|(label, u, w)| hole(label, u * IN, w * IN, d, thread))
        .collect()
}

/// A board with its clear holes of 0.156 in, seen from below: u from its right
/// edge to the left, v from its rear edge to the front.
fn board(form: usize) -> PartKind {
    let (name, of, wide, deep) = FORMS[form];
    let mut kind = block(name, Group::Board, [wide * IN, deep * IN, 30.0]);
    let under = frame(v(wide * IN, deep * IN, 0.0), "-x", "-y", "-z");
    kind.patterns = vec![pattern("bottom", under, letters(of, 3.96, None), 4)];
    kind
}

/// A plate with #6-32 standoffs (major diameter 0.1380 in) at these letters; the
/// right rear corner of every board comes to (400, 300).
fn tray(of: &str) -> Zone {
    let face = frame(v(400.0, 300.0, 8.0), "-x", "-y", "+z");
    let mut tray = zone("tray", face, [310.0, 250.0], 0.0, &[Group::Board]);
    tray.holes = letters(of, 3.505, Some("#6-32"));
    tray
}

fn case(zones: Vec<Zone>) -> Build {
    let mut case = enclosure([500.0, 500.0, 300.0]);
    case.zones = zones;
    Build::new(case)
}

fn fits(build: &Build, kind: &PartKind) -> Vec<Offer> {
    let checker = build.checked();
    let all = offers(&build.scene, checker.placed(), kind, &BTreeSet::new());
    let fits = |o: &Offer| matches!(o.outcome, Outcome::Fits { .. });
    all.into_iter().filter(fits).collect()
}

/// How many places there are at which every hole matches.
fn whole(build: &Build, kind: &PartKind) -> usize {
    let all = |o: &Offer| matches!(o.outcome, Outcome::Fits { matched, of, .. } if matched == of);
    fits(build, kind).iter().filter(|o| all(o)).count()
}

#[track_caller]
fn refusal(build: &Build, kind: &PartKind) -> String {
    let checker = build.checked();
    let all = offers(&build.scene, checker.placed(), kind, &BTreeSet::new());
    let texts: Vec<String> = all
        .into_iter()
        .map(|o| match o.outcome {
            Outcome::Refused(r) => r.text,
            Outcome::Fits { place, .. } => panic!("fits at {:?}", place.at),
        })
        .collect();
    assert_eq!(texts.len(), 1, "{texts:?}");
    texts.into_iter().next().expect("one")
}

#[test]
fn every_board_in_every_plate_matches_exactly_the_letters_they_share() {
    for (b, (name, own, wide, deep)) in FORMS.iter().enumerate() {
        for (plate, drilled, ..) in FORMS {
            let at = [400.0 - wide * IN, 300.0 - deep * IN, 8.0];
            let build = case(vec![tray(drilled)]).with("board", &board(b), at);
            let checker = build.checked();
            let placed = checker.placed();
            let part = placed.part(&pid("board")).expect("placed");
            let met = match_holes(&part.patterns[0], &placed.enclosure().zones[0]);
            let shared: Vec<(String, String)> = GRID
                .iter()
                .filter(|(l, ..)| own.contains(l) && drilled.contains(l))
                .map(|(l, ..)| (l.to_string(), l.to_string()))
                .collect();
            assert_eq!(met.pairs, shared, "{name} in a plate for {plate}");
            assert_eq!(met.pairs.len() + met.unmatched.len(), own.len());
        }
    }
}

#[test]
fn a_smaller_board_goes_into_the_plate_of_a_larger_one_in_one_place_only() {
    // Mini-ITX in an ATX plate: C F H J (Mini-ITX Addendum 1.1). A quarter turn
    // must not match by chance.
    let build = case(vec![tray("ACFGHJKLM")]);
    let found = fits(&build, &board(3));
    assert_eq!(found.len(), 1);
    let Outcome::Fits {
        place, matched, of, ..
    } = &found[0].outcome
    else {
        panic!("fits only");
    };
    assert_eq!((*matched, *of, place.turn), (4, 4, Turn::NONE));
    assert_eq!(place.at, v(400.0 - 6.7 * IN, 300.0 - 6.7 * IN, 8.0));
    // The ATX board goes into a Mini-ITX plate by four of its nine holes.
    let mut atx = board(0);
    assert_eq!(fits(&case(vec![tray("CFHJ")]), &atx).len(), 1);
    atx.patterns[0].needs = 6;
    let text = refusal(&case(vec![tray("CFHJ")]), &atx);
    assert_eq!(text, "only 4 of the 6 holes it needs match");
}

#[test]
fn r_and_s_hold_only_where_they_are_drilled() {
    // microATX 1.2: a plate drilled for ATX alone has neither B, R nor S.
    let at = [400.0 - 9.6 * IN, 300.0 - 9.6 * IN, 8.0];
    let held = |drilled: &str| {
        let build = case(vec![tray(drilled)]).with("board", &board(1), at);
        build.checked().placed().holds(&pid("board"))[0].pairs.len()
    };
    assert_eq!(held("ACFGHJKLM"), 6);
    assert_eq!(held("ACFGHJKLMR"), 7);
    assert_eq!(held("ABCFGHJKLMRS"), 9);
}

/// Frame and pitch of fans (catalogues of fan makers; secondary).
const FANS: [(f64, f64); 6] = [
    (40.0, 32.0),
    (60.0, 50.0),
    (80.0, 71.5),
    (92.0, 82.5),
    (120.0, 105.0),
    (140.0, 124.5),
];

/// A panel drilled 4.5 for these pitches about one middle.
fn panel(pitches: &[f64]) -> Zone {
    let face = frame(v(100.0, 100.0, 10.0), "+x", "+y", "+z");
    let takes = [Group::Fan, Group::Radiator];
    let mut panel = zone("front", face, [150.0, 150.0], 0.0, &takes);
    for pitch in pitches {
        for h in square(*pitch, [75.0, 75.0], 4.5, None) {
            let label = format!("{pitch}/{}", h.label);
            panel.holes.push(Hole { label, ..h });
        }
    }
    panel
}

#[test]
fn a_fan_goes_on_its_own_pitch_and_on_no_other() {
    for (edge, pitch) in FANS {
        for (_, drilled) in FANS {
            let build = case(vec![panel(&[drilled])]);
            let found = fits(&build, &fan(edge, pitch, 25.0)).len();
            // Two faces, four quarter turns each.
            assert_eq!(
                found,
                if pitch == drilled { 8 } else { 0 },
                "{edge} on {drilled}"
            );
        }
    }
    let text = refusal(&case(vec![panel(&[105.0])]), &fan(140.0, 124.5, 25.0));
    assert_eq!(text, "holes 124.5 mm apart, plate has 105 mm");
}

#[test]
fn a_plate_drilled_for_two_sizes_takes_both() {
    let build = case(vec![panel(&[105.0, 124.5])]);
    assert_eq!(fits(&build, &fan(120.0, 105.0, 25.0)).len(), 8);
    assert_eq!(fits(&build, &fan(140.0, 124.5, 25.0)).len(), 8);
    assert_eq!(fits(&build, &fan(92.0, 82.5, 25.0)).len(), 0);
}

#[test]
fn a_plate_with_slots_takes_every_size_between_their_ends() {
    // Four slots along the diagonals, from pitch 105 to pitch 124.5.
    let mut slotted = panel(&[]);
    let (a, by) = (105.0 / 2.0, (124.5 - 105.0) / 2.0);
    for (i, (x, y)) in [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
        .into_iter()
        .enumerate()
    {
        let from = [75.0 + x * a, 75.0 + y * a];
        slotted
            .holes
            .push(slot(&format!("s{i}"), from, [x * by, y * by], 4.5));
    }
    let on = |pitch: f64| {
        // The middle of the fan over the middle of the zone.
        let at = [175.0 - 70.0, 175.0 - 70.0, 10.0];
        let build = case(vec![slotted.clone()]).with("fan", &fan(140.0, pitch, 25.0), at);
        build
            .checked()
            .placed()
            .holds(&pid("fan"))
            .first()
            .map_or(0, |h| h.matched)
    };
    for pitch in [105.0, 112.0, 120.0, 124.5] {
        assert_eq!(on(pitch), 4, "{pitch}");
    }
    assert_eq!(on(98.0), 0);
    assert_eq!(on(128.0), 0);
}

/// Rear holes of supplies from the lower left corner of their face, seen from
/// outside: ATX12V / PS2 and SFX design guides (secondary, three transcriptions).
const ATX12V: [(f64, f64); 4] = [(6.0, 16.0), (6.0, 80.0), (120.0, 6.0), (144.0, 80.0)];
const SFX: [(f64, f64); 6] = [
    (6.0, 6.0),
    (6.0, 31.75),
    (6.0, 57.5),
    (119.0, 6.0),
    (119.0, 31.75),
    (119.0, 57.5),
];

fn supply(wide: f64, high: f64, holes: &[(f64, f64)]) -> PartKind {
    let mut kind = block("supply", Group::Supply, [wide, 140.0, high]);
    let rear = frame(v(wide, 140.0, 0.0), "-x", "+z", "+y");
    let holes = holes.iter().enumerate();
    let holes = holes.map(|(i, (x, y))| hole(&format!("{i}"), *x, *y, 3.505, Some("#6-32")));
    kind.patterns = vec![pattern("rear", rear, holes.collect(), 4)];
    kind
}

/// The rear wall from inside, with clear holes for the supply upright or turned.
fn rear(wide: f64, high: f64, holes: &[(f64, f64)], ways: &[bool]) -> Zone {
    let face = frame(v(400.0, 490.0, 50.0), "-x", "+z", "-y");
    let mut wall = zone("rear", face, [wide, high], 0.0, &[Group::Supply]);
    for turned in ways {
        for (i, (x, y)) in holes.iter().enumerate() {
            let (x, y) = if *turned {
                (wide - x, high - y)
            } else {
                (*x, *y)
            };
            wall.holes
                .push(hole(&format!("{turned}{i}"), x, y, 4.0, None));
        }
    }
    wall
}

#[test]
fn a_supply_fits_both_ways_up_only_where_the_plate_has_both_sets() {
    let turns = |ways: &[bool]| -> Vec<Turn> {
        let build = case(vec![rear(150.0, 86.0, &ATX12V, ways)]);
        let mut turns: Vec<Turn> = fits(&build, &supply(150.0, 86.0, &ATX12V))
            .into_iter()
            .map(|o| match o.outcome {
                Outcome::Fits { place, .. } => place.turn,
                Outcome::Refused(_) => unreachable!("fits only"),
            })
            .collect();
        turns.sort();
        turns
    };
    let upside_down = build::turn("-x", "+y");
    assert_eq!(turns(&[false]), [Turn::NONE]);
    assert_eq!(turns(&[true]), [upside_down]);
    let mut both = vec![Turn::NONE, upside_down];
    both.sort();
    assert_eq!(turns(&[false, true]), both);
}

#[test]
fn an_sfx_supply_fits_both_ways_up_on_one_set() {
    // Its six holes are the same turned by half a turn (arithmetic: 125 - 6 = 119,
    // 63.5 - 6 = 57.5).
    let build = case(vec![rear(125.0, 63.5, &SFX, &[false])]);
    assert_eq!(whole(&build, &supply(125.0, 63.5, &SFX)), 2);
}

#[test]
fn a_cooler_for_one_socket_does_not_go_on_the_next() {
    // 75.00 x 75.00 (drawing E21319 rev L, published) against 78 x 78 (secondary).
    let mut cooler = block("cooler", Group::Cooler, [95.0, 95.0, 60.0]);
    let under = frame(v(47.5, 47.5, 0.0), "+x", "-y", "-z");
    cooler.patterns = vec![pattern(
        "base",
        under,
        square(75.0, [0.0, 0.0], 3.0, Some("M3")),
        4,
    )];
    let socket = |pitch: f64| {
        let face = frame(v(100.0, 100.0, 10.0), "+x", "+y", "+z");
        let mut socket = zone("socket", face, [95.0, 95.0], 0.0, &[Group::Cooler]);
        socket.holes = square(pitch, [47.5, 47.5], 4.03, None);
        case(vec![socket])
    };
    assert_eq!(fits(&socket(75.0), &cooler).len(), 4);
    assert_eq!(
        refusal(&socket(78.0), &cooler),
        "holes 75 mm apart, plate has 78 mm"
    );
}

#[test]
fn drives_by_their_bottom_holes() {
    // SFF-8201 (2.5 in: 76.60 x 61.72) and SFF-8301 (3.5 in: 41.28, 85.73, 117.48
    // from the connector end, 3.18 and 98.43 across), secondary.
    let drive = |wide: f64, long: f64, xs: &[f64], ys: [f64; 2], thread: &str, d: f64| {
        let mut kind = block("drive", Group::Drive, [wide, long, 15.0]);
        let under = frame(v(wide, long, 0.0), "-y", "-x", "-z");
        let holes = xs.iter().flat_map(|x| ys.map(|y| (*x, y)));
        let holes = holes.map(|(x, y)| hole(&format!("{x}/{y}"), x, y, d, Some(thread)));
        kind.patterns = vec![pattern("bottom", under, holes.collect(), 4)];
        kind
    };
    let small = drive(69.85, 100.45, &[14.0, 90.6], [4.07, 65.79], "M3", 3.0);
    let large = drive(
        101.6,
        147.0,
        &[41.28, 85.73, 117.48],
        [3.18, 98.43],
        "#6-32",
        3.505,
    );
    let floor = |kind: &PartKind, d: f64| {
        let face = frame(v(250.0, 250.0, 10.0), "-y", "-x", "+z");
        let mut floor = zone("bay", face, [150.0, 110.0], 0.0, &[Group::Drive]);
        let clear = |h: &Hole| Hole {
            diameter: build::l(d),
            thread: None,
            ..h.clone()
        };
        floor.holes = kind.patterns[0].holes.iter().map(clear).collect();
        case(vec![floor])
    };
    // The 2.5 in pattern is the same turned by half a turn about its middle.
    assert_eq!(whole(&floor(&small, 3.4), &small), 2);
    // The three pairs of the 3.5 in pattern stand 44.45 and 31.75 apart, so only
    // one way round do all six match; the other way round four of them do.
    assert_eq!(whole(&floor(&large, 4.0), &large), 1);
    let other_way = fits(&floor(&large, 4.0), &large);
    assert!(other_way.len() > 1);
    assert_eq!(fits(&floor(&large, 4.0), &small).len(), 0);
    assert_eq!(fits(&floor(&small, 3.4), &large).len(), 0);
}

/// A channel under a lid, `depth` deep, drilled for one section.
fn channel(depth: f64) -> Build {
    let face = frame(v(0.0, 0.0, 200.0), "+x", "+y", "-z");
    let takes = [Group::Fan, Group::Radiator];
    let mut channel = zone("channel", face, [400.0, 150.0], depth, &takes);
    channel.holes = square(105.0, [100.0, 75.0], 4.0, None);
    case(vec![channel])
}

#[test]
fn fans_on_a_radiator_in_a_channel_count_with_what_stands_there() {
    // Common practice, no source: 27 + 25 <= 55, 38 + 25 - 55 = 8.
    let with =
        |thick: f64| channel(55.0).with("rad", &radiator(1, thick), [20.0, 15.0, 200.0 - thick]);
    let below = |o: &&Offer| match &o.outcome {
        Outcome::Fits { place, .. } => place.at.z == build::l(200.0 - 27.0 - 25.0),
        Outcome::Refused(_) => false,
    };
    let found = fits(&with(27.0), &fan(120.0, 105.0, 25.0));
    assert_eq!(found.iter().filter(below).count(), 8);
    let build = with(38.0);
    let checker = build.checked();
    let all = offers(
        &build.scene,
        checker.placed(),
        &fan(120.0, 105.0, 25.0),
        &BTreeSet::new(),
    );
    let short: Vec<(&str, Option<Length>, Option<Length>)> = all
        .iter()
        .filter_map(|o| match &o.outcome {
            Outcome::Refused(r) => Some((r.text.as_str(), r.needed, r.free)),
            Outcome::Fits { .. } => None,
        })
        .collect();
    let want = (
        "needs 63 mm, 55 mm free: 8 mm short",
        Some(build::l(63.0)),
        Some(build::l(55.0)),
    );
    // By the channel's own holes and by the radiator's lower face. Its upper face
    // lies against the lid.
    assert!(
        short.iter().filter(|s| **s == want).count() >= 2,
        "{short:?}"
    );
}

#[test]
fn a_zone_says_whom_it_is_for_and_who_is_in_it() {
    let build = channel(55.0);
    let disk = block("disk", Group::Drive, [10.0; 3]);
    assert_eq!(refusal(&build, &disk), "zone is for fans and radiators");
    let taken = build.with("fan", &fan(120.0, 105.0, 25.0), [40.0, 15.0, 175.0]);
    let checker = taken.checked();
    let ask = |without: &BTreeSet<_>| {
        let all = offers(
            &taken.scene,
            checker.placed(),
            &fan(120.0, 105.0, 25.0),
            without,
        );
        all.into_iter().next().expect("the channel").outcome
    };
    match ask(&BTreeSet::new()) {
        Outcome::Refused(r) => assert_eq!(r.text, "taken by fan 120x25"),
        Outcome::Fits { .. } => panic!("taken"),
    }
    // The part that is dragged does not stand in its own way.
    assert!(matches!(
        ask(&BTreeSet::from([pid("fan")])),
        Outcome::Fits { .. }
    ));
}

#[test]
fn it_snaps_to_the_nearest_place_of_its_turn_first() {
    let mut row = panel(&[]);
    for x in [75.0, 195.0, 315.0] {
        row.holes.extend(square(105.0, [x, 75.0], 4.5, None));
    }
    let build = case(vec![row]);
    let found = fits(&build, &fan(120.0, 105.0, 25.0));
    let want = |x: f64, turn| closefit::model::Place {
        turn,
        ..closefit::model::Place::at(v(x, 118.0, 10.0))
    };
    let at = |x: f64, turn| {
        let offer = snap(&found, &want(x, turn), build::l(30.0))?;
        match &offer.outcome {
            Outcome::Fits { place, .. } => Some((place.at.x, place.turn)),
            Outcome::Refused(_) => None,
        }
    };
    let upright = Turn::NONE;
    assert_eq!(at(120.0, upright), Some((build::l(115.0), upright)));
    assert_eq!(at(230.0, upright), Some((build::l(235.0), upright)));
    let quarter = build::turn("+y", "-x");
    assert_eq!(at(120.0, quarter), Some((build::l(115.0), quarter)));
    // On its side no place has its turn: any turn, by the middle of the part. It
    // stands 25 deep about y = 130.5, the place's middle is at y = 175.
    let on_side = build::turn("+x", "+z");
    assert_eq!(at(120.0, on_side), None);
    let far = snap(&found, &want(120.0, on_side), build::l(90.0));
    assert!(far.is_some());
    assert_eq!(at(500.0, upright), None);
}
