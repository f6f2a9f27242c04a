//! An enclosure and kinds that have to do with one another, and a scene of them in
//! which much is wrong. For tests of all rules together.
#![allow(dead_code)]

use crate::build::{
    self, Build, at_port, block, cable, enclosure, fan, frame, l, piece, plate, port, radiator,
    seat, solid, square, v, zone,
};
use closefit::geom::{Axis, Box3, Solid, Vec3};
use closefit::model::{
    Cutout, Enclosure, Group, Opening, Outlet, PartKind, Pattern, Role, Space, Via,
};
use closefit::rules::{Checker, Finding};

/// A box in the middle of a larger one, so that it can be moved about: floor zone,
/// a channel of 55 under the lid, a rear wall with an opening, a passage wall.
pub fn case() -> Enclosure {
    let mut case = enclosure([2000.0, 2000.0, 2000.0]);
    let at = |x: f64, y: f64, z: f64| v(500.0 + x, 500.0 + y, 500.0 + z);
    let sheet = |id: &str, a: [f64; 3], s: [f64; 3]| plate(id, a.map(|c| c + 500.0), s);
    let mut rear = sheet("rear", [0.0, 400.0, 0.0], [400.0, 1.0, 200.0]);
    rear.cutouts = vec![
        Cutout::Rect(Box3::at(at(40.0, 400.0, 20.0), v(158.75, 1.0, 44.45))),
        Cutout::Round {
            centre: at(300.0, 400.0, 100.0),
            diameter: l(80.0),
        },
    ];
    case.plates = vec![
        sheet("floor", [0.0, 0.0, -1.0], [400.0, 401.0, 1.0]),
        sheet("lid", [0.0, 0.0, 200.0], [400.0, 401.0, 1.0]),
        rear,
    ];
    let mut floor = zone(
        "floor",
        frame(at(0.0, 0.0, 0.0), "+x", "+y", "+z"),
        [400.0, 400.0],
        0.0,
        &[],
    );
    for x in [60.0, 180.0, 300.0] {
        floor.holes.extend(square(105.0, [x, 60.0], 4.5, None));
    }
    let mut channel = zone(
        "channel",
        frame(at(0.0, 0.0, 200.0), "+x", "+y", "-z"),
        [400.0, 150.0],
        55.0,
        &[],
    );
    channel.holes = square(105.0, [80.0, 60.0], 4.0, None);
    case.zones = vec![floor, channel];
    case.openings = vec![Opening {
        id: "io".into(),
        name: "board opening".into(),
        kind: "board-io".into(),
        frame: frame(at(40.0, 400.0, 20.0), "+x", "+z", "+y"),
        size: [l(158.75), l(44.45)],
    }];
    case
}

/// Kinds that have to do with one another.
pub fn kinds() -> Vec<PartKind> {
    let mut board = block("board", Group::Board, [160.0, 160.0, 20.0]);
    board.body[0] = solid(Solid::Box(Box3::at(Vec3::ZERO, v(160.0, 160.0, 2.0))));
    board.body.push(solid(Solid::Box(Box3::at(
        v(60.0, 10.0, 2.0),
        v(7.0, 89.0, 11.0),
    ))));
    let mut slot = zone(
        "slot",
        frame(v(53.5, 10.0, 5.0), "+x", "+y", "+z"),
        [20.0, 89.0],
        0.0,
        &[Group::Card],
    );
    slot.holes = vec![seat("key", "edge", 10.0, 20.0)];
    board.zones = vec![slot];
    board.outlets = vec![Outlet {
        id: "io".into(),
        kind: "board-io".into(),
        frame: frame(v(0.0, 160.0, 0.0), "+x", "+z", "+y"),
        size: [l(158.75), l(44.45)],
    }];
    board.ports = vec![
        port("h1", "fan-4pin", v(10.0, 5.0, 12.0), "+z", Role::Source),
        port("h2", "fan-4pin", v(30.0, 5.0, 12.0), "+z", Role::Source),
        port("d", "host", v(150.0, 40.0, 8.0), "+x", Role::Source),
    ];
    let under = frame(Vec3::ZERO, "+x", "+y", "-z");
    board.patterns = vec![Pattern {
        id: "bottom".into(),
        frame: under,
        holes: square(105.0, [60.0, 60.0], 4.2, None),
        needs: 3,
    }];
    let mut card = block("card", Group::Card, [20.0, 150.0, 100.0]);
    card.body[0] = solid(Solid::Box(Box3::at(v(9.2, 0.0, 0.0), v(1.6, 89.0, 10.0))));
    card.body.push(solid(Solid::Box(Box3::at(
        v(0.0, 0.0, 10.0),
        v(20.0, 150.0, 90.0),
    ))));
    let air = Solid::Box(Box3::at(v(-8.0, 20.0, 20.0), v(8.0, 100.0, 60.0)));
    card.body.push(piece(air, Space::KeepOut, "air"));
    card.patterns = vec![Pattern {
        id: "edge".into(),
        frame: frame(v(10.0, 20.0, 0.0), "+x", "+y", "-z"),
        holes: vec![seat("key", "edge", 0.0, 0.0)],
        needs: 1,
    }];
    let mut drive = block("drive", Group::Drive, [70.0, 100.0, 15.0]);
    drive.ports = vec![port("d", "drive", v(35.0, 100.0, 7.0), "+y", Role::Sink)];
    drive.ports[0].required = true;
    let mut tank = block("tank", Group::Other, [60.0, 60.0, 120.0]);
    tank.body = vec![solid(Solid::Cylinder {
        axis: Axis::Z,
        base: v(30.0, 30.0, 0.0),
        radius: l(30.0),
        height: l(120.0),
    })];
    let mut bent = block("bent", Group::Bracket, [80.0, 60.0, 40.0]);
    let p = |x: f64, y: f64| [l(x), l(y)];
    bent.body = vec![solid(Solid::Extrusion {
        axis: Axis::X,
        low: l(0.0),
        high: l(80.0),
        outline: vec![
            p(0.0, 0.0),
            p(60.0, 0.0),
            p(60.0, 3.0),
            p(3.0, 3.0),
            p(3.0, 40.0),
            p(0.0, 40.0),
        ],
        holes: vec![],
    })];
    vec![
        fan(120.0, 105.0, 25.0),
        radiator(1, 27.0),
        radiator(1, 38.0),
        board,
        card,
        drive,
        tank,
        bent,
    ]
}

pub fn start() -> Build {
    Build::new(case())
        .gap(Some(Group::Fan), Some(Group::Fan), false, 0.0)
        .gap(None, None, true, 2.0)
        .gap(None, None, false, 3.0)
}

/// Some twenty parts, of which many clash, hang or miss.
pub fn busy() -> Build {
    let k = kinds();
    let at = |x: f64, y: f64, z: f64| [500.0 + x, 500.0 + y, 500.0 + z];
    let lying = build::turn("+y", "-x");
    start()
        .with("fan-1", &k[0], at(0.0, 0.0, 0.0))
        .with("fan-2", &k[0], at(120.0, 0.0, 0.0))
        .with("fan-3", &k[0], at(230.0, 3.0, 0.0))
        .with("rad-low", &k[1], at(-20.0, 0.0, 162.0))
        .with("rad-top", &k[2], at(0.0, 0.0, 162.0))
        .with("fan-top", &k[0], at(20.0, 0.0, 137.0))
        .with("board", &k[3], at(40.0, 239.0, 20.0))
        .with("card", &k[4], at(93.5, 249.0, 25.0))
        .with("card-off", &k[4], at(200.0, 200.0, 25.0))
        .with("disk", &k[5], at(205.0, 190.0, 40.0))
        .turned("disk-2", &k[5], at(300.0, 190.0, 40.0), lying)
        .with("tank", &k[6], at(330.0, 250.0, 0.5))
        .with("bent", &k[7], at(300.0, 330.0, 60.0))
        .with("bent-2", &k[7], at(310.0, 345.0, 70.0))
        .with("tank-2", &k[6], at(320.0, 372.0, 80.0))
        .cable(
            "c1",
            cable(
                None,
                at_port("fan-1", "lead"),
                at_port("board", "h1"),
                400.0,
                vec![],
            ),
        )
        .cable(
            "c2",
            cable(
                None,
                at_port("fan-2", "lead"),
                at_port("board", "h1"),
                400.0,
                vec![],
            ),
        )
        .cable(
            "c3",
            cable(
                Some("data"),
                at_port("board", "d"),
                at_port("disk", "d"),
                300.0,
                vec![],
            ),
        )
        .cable(
            "c4",
            cable(
                Some("data"),
                at_port("board", "d"),
                at_port("disk-2", "d"),
                300.0,
                vec![Via::Point(v(900.0, 800.0, 600.0))],
            ),
        )
        .beside("spare", &k[5])
}

/// All findings, as they are shown.
pub fn all(checker: &Checker) -> Vec<Finding> {
    checker.findings().into_iter().cloned().collect()
}
