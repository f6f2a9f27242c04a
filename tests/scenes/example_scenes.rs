//! The built-in example scenes: each reads, is laid out as the program writes it,
//! and has exactly the findings that it is there to show.

use crate::checked;

use checked::{catalogue, check, mm, read, root};
use closefit::file::{self, Example};
use closefit::geom::{Box3, Dir, Solid, Turn, Vec3};
use closefit::model::{EnclosureId, KindId, Part, PartId, PartKind, Place, Scene};
use closefit::placement::{Offer, Outcome, Placed, Refusal, offers};
use closefit::rules::{Severity, Subject};
use std::collections::BTreeSet;
use std::sync::Arc;

/// Key of a finding with the figures needed and available in mm, where it has any,
/// to the tenth that is shown.
type Known = (&'static str, Option<(f64, f64)>);

/// A supply stands 0.5 mm over the floor; the rule names the worst case, 0.8.
const LOW_SUPPLY: Known = ("gap-uncertain:plate:floor+supply", Some((0.8, 0.5)));

/// The gaps of the two-chamber box that tolerances may close.
const FANS: [Known; 3] = [
    ("gap-uncertain:fan-front+plate:right", Some((2.0, 1.5))),
    ("gap-uncertain:fan-rear+plate:right", Some((1.8, 1.5))),
    ("gap-uncertain:plate:left+supply", Some((0.8, 0.5))),
];

/// The cube's supply stands 1.0 mm from the left panel.
const SUPPLY_LEFT: Known = ("gap-uncertain:plate:left+supply", Some((1.2, 1.0)));

/// The fins of the cube's tower reach out of the socket's square 44.4 over the board.
const TOWER: Known = ("keep-in:cooler+zone:board/processor", Some((76.2, 44.4)));

/// The rack's front plate stays on, and a filter lies behind its vents.
const FILTERS: [Known; 2] = [
    ("filter-reach:fan-1+plate:front", None),
    ("filter-reach:fan-2+plate:front", None),
];

/// What each example shows, worst first; typed from what it was made for.
const KNOWN: &[(&str, &[Known])] = &[
    ("first-build.json", &FANS),
    ("slim-upright.json", &[LOW_SUPPLY]),
    ("storage-box.json", &[]),
    ("rack-shallow.json", &[LOW_SUPPLY, FILTERS[0], FILTERS[1]]),
    (
        "cube-microatx.json",
        &[
            SUPPLY_LEFT,
            // The cage ends 44.2 before the sockets; 22 straight and a bend of 22.3.
            ("plug-space:cage+supply:per2", Some((44.3, 44.2))),
            ("plug-space:cage+supply:per3", Some((44.3, 44.2))),
            TOWER,
        ],
    ),
    (
        "channel-short.json",
        &[
            // 38 + 25 = 63 in a channel of 55: 8.0 short. The lid is 3 thick, so the fans
            // stand 8.0 in it and stick out by 5.0: one cause, one finding.
            (
                "depth-short:fan-front+fan-rear+radiator+zone:channel",
                Some((63.0, 55.0)),
            ),
            FANS[0],
            FANS[1],
            FANS[2],
        ],
    ),
    (
        "pump-lead-short.json",
        &[
            (
                "cable-short:board:usb2+cable:pump-usb",
                Some((553.2, 400.0)),
            ),
            FANS[0],
            FANS[1],
            FANS[2],
            ("hangs-free:cable:pump-usb", Some((231.9, 200.0))),
        ],
    ),
    (
        "supply-clash.json",
        &[
            // The supply's front is at 307.8 - 180 = 127.8. The rear wall of the cage
            // ends at 48 + 101.6 - 14 = 135.6, the drives' side 1.5 before that.
            ("clash:cage+supply", Some((0.0, -7.8))),
            ("clash:drive-25-1+supply", Some((0.0, -6.3))),
            ("clash:drive-25-2+supply", Some((0.0, -6.3))),
            ("plug-space:drive-25-2+supply:per2", Some((0.0, -6.0))),
            ("plug-space:drive-25-2+supply:per3", Some((0.0, -6.0))),
            SUPPLY_LEFT,
            // Both drive power leads are led 1.8 too near the drives that were pushed here.
            ("way-blocked:cable:cage-power+drive-25-2", Some((1.8, 0.0))),
            ("way-blocked:cable:drive-power+drive-25-2", Some((1.8, 0.0))),
            TOWER,
        ],
    ),
    (
        "drive-few-screws.json",
        &[
            LOW_SUPPLY,
            ("unheld:drive-low+zone:drive-low", None),
            FILTERS[0],
            FILTERS[1],
        ],
    ),
    ("test-field.json", &[]),
];

fn example(file: &str) -> (&'static Example, Scene) {
    let found = file::examples().iter().find(|e| e.file == file);
    let example = found.unwrap_or_else(|| panic!("no example {file}"));
    (example, read(example.file, example.text))
}

#[test]
fn each_example_is_valid_and_written_as_the_program_writes_it() {
    let schema = serde_json::from_str(&file::schema()).expect("it is JSON");
    let validator = jsonschema::validator_for(&schema).expect("it is a schema");
    let mut enclosures = BTreeSet::new();
    for example in file::examples() {
        let scene = read(example.file, example.text);
        let json = serde_json::from_str(example.text).expect("it is JSON");
        assert!(validator.is_valid(&json), "{}", example.file);
        assert!(
            file::write_scene(&scene) == example.text.as_bytes(),
            "{} is laid out otherwise",
            example.file
        );
        let path = root().join("scenes").join(example.file);
        assert!(file::open(&path, catalogue()).as_ref() == Ok(&scene));
        assert_eq!(scene.title, example.title);
        assert!(scene.notes.contains("invented"), "{}", example.file);
        enclosures.insert(scene.enclosure.id.to_string());
    }
    let built_in: BTreeSet<String> = catalogue()
        .enclosures
        .keys()
        .map(ToString::to_string)
        .collect();
    assert_eq!(enclosures, built_in, "each enclosure has its example");
    assert!(built_in.len() >= 4);
}

#[test]
fn leads_of_parts_are_as_long_in_the_examples_as_the_parts_say() {
    let mut seen = 0;
    for example in file::examples() {
        let scene = read(example.file, example.text);
        for cable in scene.arrangements.iter().flat_map(|a| a.cables.values()) {
            let port = scene.parts[&cable.from.part].kind.port(&cable.from.port);
            let lead = port.and_then(|p| p.lead.as_ref());
            if let (None, Some(lead), [plug]) = (&cable.kind, lead, cable.plugs.as_slice()) {
                let which = format!("{}: {}", example.file, cable.from);
                assert_eq!(plug.length, lead.length, "{which}");
                seen += 1;
            }
        }
    }
    assert!(seen > 100, "{seen} leads");
}

#[test]
fn the_tray_of_the_storage_box_comes_out_and_its_door_opens_and_not_everywhere() {
    let keys = |scene: &Scene| -> Vec<String> {
        let checker = check(scene);
        let ways = ["pull-blocked", "swing-blocked"];
        let found = checker.findings().into_iter();
        found
            .filter(|f| ways.contains(&f.rule))
            .map(|f| f.key())
            .collect()
    };
    let scene = example("storage-box.json").1;
    assert_eq!(keys(&scene), [""; 0]);
    // End for end it would come out to the rear, through the fan and the wall.
    let mut turned = scene.clone();
    let tray = PartId::new("tray").expect("sound");
    let place = Place {
        turn: Turn::new(Dir::NegX, Dir::NegY).expect("a half turn"),
        ..turned.arrangement().places[&tray]
    };
    turned.arrangements[0].places.insert(tray, place);
    assert_eq!(
        keys(&turned),
        ["pull-blocked:fan+tray", "pull-blocked:plate:rear+tray"]
    );
    // The switch's body ends at x = 167.9, 28 behind the hinge line at x = 1.5: on its
    // way out it comes to 1.5 + root(166.4^2 + 28^2) = 170.2. A post at 169 is in the way.
    let mut post = scene.clone();
    let mut case = (*post.enclosure).clone();
    let mut extra = case.plates[0].clone();
    extra.id = "post".into();
    let point = |v: [f64; 3]| {
        let [x, y, z] = v.map(|c| mm(c).expect("a length"));
        Vec3::new(x, y, z)
    };
    let bar = Box3::at(point([169.0, 6.0, 1.5]), point([2.0, 20.0, 60.0]));
    extra.solid = Solid::Box(bar);
    case.plates.push(extra);
    post.enclosure = Arc::new(case);
    assert_eq!(keys(&post), ["swing-blocked:plate:post+switch"]);
}

#[test]
fn each_example_has_exactly_the_findings_that_it_shows() {
    let files: Vec<&str> = file::examples().iter().map(|e| e.file).collect();
    assert_eq!(files, KNOWN.iter().map(|k| k.0).collect::<Vec<_>>());
    for (name, known) in KNOWN {
        let checker = check(&example(name).1);
        let found: Vec<_> = checker
            .findings()
            .iter()
            .map(|f| {
                let figures = f.needed.zip(f.available);
                (f.key(), figures.map(|(n, a)| (n.text1(), a.text1())))
            })
            .collect();
        let known: Vec<_> = known
            .iter()
            .map(|(key, figures)| {
                let shown = figures.map(|(n, a)| (format!("{n:.1}"), format!("{a:.1}")));
                ((*key).to_owned(), shown)
            })
            .collect();
        assert_eq!(found, known, "{name}");
    }
}

#[test]
fn the_sound_ones_can_be_built() {
    for name in [
        "first-build.json",
        "slim-upright.json",
        "storage-box.json",
        "rack-shallow.json",
        "cube-microatx.json",
        "test-field.json",
    ] {
        let scene = example(name).1;
        let checker = check(&scene);
        let bad = checker
            .findings()
            .into_iter()
            .find(|f| f.severity == Severity::Stop || f.unjudged);
        assert!(bad.is_none(), "{name}: {bad:?}");
        assert!(!scene.arrangement().cables.is_empty());
        for (id, run) in checker.runs() {
            assert!(run.spare().is_some(), "{name}: {id}");
            assert!(
                run.stretches.iter().all(|s| s.judged.is_ok()),
                "{name}: {id}"
            );
        }
        for part in checker.placed().parts() {
            let held = checker
                .placed()
                .holds(&part.id)
                .iter()
                .any(|h| h.suffices());
            assert!(held, "{name}: {} hangs in the air", part.id);
        }
    }
}

#[test]
fn a_radiator_that_is_too_thick_is_named_once_with_all_that_it_runs_into() {
    let checker = check(&example("channel-short.json").1);
    let stops: Vec<_> = checker
        .findings()
        .into_iter()
        .filter(|f| f.severity == Severity::Stop)
        .collect();
    assert_eq!(stops.len(), 1);
    assert!(
        stops[0]
            .text
            .ends_with("; it sticks out of the enclosure by 5.0 mm, it stands 8.0 mm deep in lid"),
        "{}",
        stops[0].text
    );
}

#[test]
fn the_other_way_up_the_supply_of_the_cube_is_held_and_lacks_air() {
    let mut scene = example("cube-microatx.json").1;
    assert_eq!(scene.arrangements.len(), 2);
    scene.current = 1;
    let checker = check(&scene);
    let supply = PartId::new("supply").expect("an id");
    assert!(checker.placed().holds(&supply)[0].suffices());
    let air = checker
        .findings()
        .into_iter()
        .find(|f| f.key_str() == "outside:plate:tray+supply")
        .expect("the tray stands in the air before the grille");
    // The supply's top is at 2.5 + 86 = 88.5, the tray from 91 to 92.5: 4.0 of the
    // 12.7 that have to be clear (ATX Power Supply Design Guide 0.9, s.4.3) are taken.
    assert!(
        air.severity == Severity::Caution && air.text.contains("4.0 mm"),
        "{}",
        air.text
    );
}

#[test]
fn the_large_one_is_large() {
    let scene = example("test-field.json").1;
    assert!(scene.parts.len() >= 300, "{} parts", scene.parts.len());
    assert!(scene.arrangement().cables.len() >= 200);
    let checker = check(&scene);
    assert_eq!(checker.placed().len(), scene.parts.len());
    assert_eq!(checker.runs().len(), scene.arrangement().cables.len());
}

#[test]
fn a_drive_with_its_rear_holes_elsewhere_names_two_of_four() {
    // SFF-8301, transcribed by others: rows at 41.28, 85.73 and 117.48; the floor has
    // the first two, the drive the first and the last.
    let checker = check(&example("drive-few-screws.json").1);
    let found = checker.findings();
    let finding = found.iter().find(|f| f.rule == "unheld").expect("found");
    assert!(
        finding.text.contains("2 of 4 holes match"),
        "{}",
        finding.text
    );
    assert!(
        finding
            .subjects
            .iter()
            .any(|s| matches!(s, Subject::Zone(z) if z.zone == "drive-low"))
    );
    assert_eq!(
        finding.marks.len(),
        2,
        "a ring at each hole without a screw"
    );
}

// ---- common practice, through the data of the built-in enclosures ----

fn kind(id: &str) -> Arc<PartKind> {
    catalogue().kinds[&KindId::new(id).expect("an id")].clone()
}

fn empty(enclosure: &str) -> Scene {
    let id = EnclosureId::new(enclosure).expect("an id");
    Scene::new("test", catalogue().enclosures[&id].clone())
}

fn add(scene: &mut Scene, id: &str, kind: &Arc<PartKind>, place: Place) {
    let id = PartId::new(id).expect("an id");
    let (name, kind) = (kind.name.clone(), kind.clone());
    scene.parts.insert(id.clone(), Part { name, kind });
    scene.arrangements[0].places.insert(id, place);
}

/// What a zone of the enclosure or of part `a` says to a kind.
fn says(scene: &Scene, zone: &str, kind: &PartKind) -> Vec<Offer> {
    let placed = Placed::build(scene);
    let mut all = offers(scene, &placed, kind, &BTreeSet::new());
    all.retain(|o| match zone.split_once('/') {
        Some((part, z)) => {
            o.zone.zone == z && o.zone.part.as_ref().is_some_and(|p| p.as_str() == part)
        }
        None => o.zone.zone == zone && o.zone.part.is_none(),
    });
    all
}

fn places(offers: &[Offer]) -> Vec<(Place, usize, usize)> {
    let place = |o: &Offer| match &o.outcome {
        Outcome::Fits {
            place, matched, of, ..
        } => Some((*place, *matched, *of)),
        Outcome::Refused(_) => None,
    };
    offers.iter().filter_map(place).collect()
}

fn refusal(offers: &[Offer]) -> &Refusal {
    match offers {
        [
            Offer {
                outcome: Outcome::Refused(refusal),
                ..
            },
        ] => refusal,
        _ => panic!("{offers:?}"),
    }
}

#[test]
fn the_channel_of_55_takes_27_and_25_but_not_38_and_25() {
    let fan = kind("fan-120x25");
    for (radiator, fits) in [("radiator-2x120-27", true), ("radiator-2x120-38", false)] {
        let mut scene = empty("two-chamber");
        let radiator = kind(radiator);
        let there = places(&says(&scene, "channel", &radiator));
        let middle = there
            .iter()
            .find(|p| p.1 == 8)
            .expect("all eight holes match somewhere");
        add(&mut scene, "a", &radiator, middle.0);
        // One face lies on the plate, the other takes the fans.
        let on: Vec<Offer> = ["a/fans-a", "a/fans-b"]
            .into_iter()
            .map(|z| says(&scene, z, &fan))
            .find(|o| !o.is_empty() && o[0].zone_world.frame.normal == closefit::geom::Dir::PosZ)
            .expect("one face looks up");
        if fits {
            assert!(places(&on).iter().all(|p| p.1 == 4) && !places(&on).is_empty());
        } else {
            let no = refusal(&on);
            assert_eq!((no.needed, no.free), (mm(63.0), mm(55.0)));
            assert_eq!(no.text, "needs 63 mm, 55 mm free: 8 mm short");
        }
    }
}

#[test]
fn one_front_plate_takes_fans_of_120_and_140() {
    let cube = empty("cube-microatx");
    for fan in ["fan-120x25", "fan-140x25"] {
        let there = places(&says(&cube, "front-fan", &kind(fan)));
        assert!(!there.is_empty() && there.iter().all(|p| p.1 == 4), "{fan}");
    }
    let other = empty("two-chamber");
    let no = says(&other, "channel", &kind("fan-140x25"));
    assert_eq!(refusal(&no).text, "holes 124.5 mm apart, plate has 105 mm");
}

#[test]
fn a_supply_goes_in_both_ways_up_only_where_the_wall_is_drilled_so() {
    // Turned by half, the four holes of an ATX supply lie elsewhere; the six of an
    // SFX supply fall on one another; those of a Flex supply do not.
    for (enclosure, supply, ways) in [
        ("cube-microatx", "supply-atx-140", 2),
        ("storage-box", "supply-sfx-100", 2),
        ("rack-shallow", "supply-sfx-130", 2),
        ("two-chamber", "supply-flex-150", 1),
    ] {
        let there = places(&says(&empty(enclosure), "supply", &kind(supply)));
        let turns: BTreeSet<_> = there
            .iter()
            .filter(|p| p.1 == p.2)
            .map(|p| p.0.turn)
            .collect();
        assert_eq!(turns.len(), ways, "{enclosure}: {there:?}");
    }
}

#[test]
fn a_tray_drilled_for_the_larger_board_takes_the_smaller_ones() {
    // Required letters by microATX 1.2: Mini-ITX and Mini-DTX C F H J, FlexATX
    // B C F H J S, microATX B C F H J L M R S.
    for (enclosure, board, matched) in [
        ("two-chamber", "board-mini-itx-90", Some(4)),
        ("two-chamber", "board-mini-dtx-78", Some(4)),
        ("two-chamber", "board-microatx-78", None),
        ("cube-microatx", "board-microatx-78", Some(9)),
        ("cube-microatx", "board-flexatx-75", Some(6)),
        ("cube-microatx", "board-mini-dtx-78", Some(4)),
        ("rack-shallow", "board-mini-itx-75", Some(4)),
    ] {
        let there = places(&says(&empty(enclosure), "board", &kind(board)));
        let best = there.iter().map(|p| p.1).max();
        assert_eq!(best, matched, "{board} in {enclosure}");
    }
}
