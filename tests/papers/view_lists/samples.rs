//! An invented enclosure and builds in it, in code.

pub use super::boards::*;
pub use super::kinds::*;
use closefit::geom::{Axis, Box3, Dir, Length, Turn};
use closefit::model::*;
use std::sync::Arc;

/// A shell of 1.5 mm, with a partition, a rear opening and vents.
pub fn enclosure(size: [f64; 3]) -> Enclosure {
    let [x, y, z] = size;
    let t = 1.5;
    let plate = |id: &str, at: [f64; 3], s: [f64; 3]| Plate {
        id: id.into(),
        name: id.into(),
        solid: bx(at, s),
        cutouts: vec![],
        panel: None,
    };
    let mut plates = vec![
        plate("floor", [0.0, 0.0, 0.0], [x, y, t]),
        plate("lid", [0.0, 0.0, z - t], [x, y, t]),
        plate("left", [0.0, 0.0, t], [t, y, z - 2.0 * t]),
        plate("right", [x - t, 0.0, t], [t, y, z - 2.0 * t]),
        plate("front", [t, 0.0, t], [x - 2.0 * t, t, z - 2.0 * t]),
        plate("rear", [t, y - t, t], [x - 2.0 * t, t, z - 2.0 * t]),
    ];
    plates[1].panel = Some(Panel {
        leaves: Dir::PosZ,
        hinge: None,
        opening: Box3::at(v(t, t, z - t), v(x - 2.0 * t, y - 2.0 * t, t)),
    });
    plates[5].cutouts.push(Cutout::Rect(Box3::at(
        v(20.0, y - t, 10.0),
        v(158.75, t, 44.45),
    )));
    plates[4].cutouts.push(Cutout::Round {
        centre: v(x / 2.0, t / 2.0, z / 2.0),
        diameter: mm(19.0),
    });
    Enclosure {
        id: EnclosureId::new("shell").unwrap(),
        name: "plain shell".into(),
        size: v(x, y, z),
        plates,
        zones: vec![
            Zone {
                id: "front-fans".into(),
                name: "front fans".into(),
                frame: frame([20.0, t, 12.0], Dir::PosX, Dir::PosZ, Dir::PosY),
                size: [mm(240.0), mm(120.0)],
                depth: mm(55.0),
                takes: vec![Group::Fan, Group::Radiator],
                holes: vec![
                    hole("a", 7.5, 7.5, 4.3),
                    hole("b", 112.5, 7.5, 4.3),
                    hole("c", 112.5, 112.5, 4.3),
                    hole("d", 7.5, 112.5, 4.3),
                ],
            },
            Zone {
                id: "tray".into(),
                name: "board tray".into(),
                frame: frame([14.0, y - 180.0, t], Dir::PosX, Dir::PosY, Dir::PosZ),
                size: [mm(172.0), mm(172.0)],
                depth: Length::ZERO,
                takes: vec![Group::Board],
                holes: vec![
                    hole("C", 170.18 - 6.35, 160.0, 3.5),
                    hole("F", 10.0, 140.0, 3.5),
                    hole("H", 163.0, 6.0, 3.5),
                    hole("J", 7.0, 6.0, 3.5),
                ],
            },
        ],
        passages: vec![Passage {
            id: "p1".into(),
            name: "grommet".into(),
            frame: frame([x - 40.0, y / 2.0, t], Dir::PosX, Dir::PosY, Dir::PosZ),
            clear: [mm(25.0), mm(50.0)],
        }],
        tucks: vec![],
        ties: vec![
            Tie {
                id: "t1".into(),
                at: v(x - 20.0, y / 3.0, 10.0),
                clear: None,
            },
            Tie {
                id: "t2".into(),
                at: v(x - 20.0, y * 0.7, 10.0),
                clear: None,
            },
        ],
        vents: vec![
            Vent {
                id: "v1".into(),
                frame: frame([20.0, 0.0, 12.0], Dir::PosX, Dir::PosZ, Dir::NegY),
                size: [mm(200.0), mm(100.0)],
                free: 0.6,
                filter: true,
                filter_outside: false,
            },
            Vent {
                id: "v2".into(),
                frame: frame([40.0, 60.0, z], Dir::PosX, Dir::PosY, Dir::PosZ),
                size: [mm(120.0), mm(120.0)],
                free: 0.6,
                filter: false,
                filter_outside: false,
            },
            Vent {
                id: "v3".into(),
                frame: frame([x, 60.0, 20.0], Dir::PosY, Dir::PosZ, Dir::PosX),
                size: [mm(120.0), mm(70.0)],
                free: 0.6,
                filter: false,
                filter_outside: false,
            },
        ],
        openings: vec![Opening {
            id: "io".into(),
            name: "board opening".into(),
            kind: "board-io".into(),
            frame: frame([20.0, y - t, 10.0], Dir::PosX, Dir::PosZ, Dir::PosY),
            size: [mm(158.75), mm(44.45)],
        }],
        dimensions: Default::default(),
        figures: vec![],
    }
}

pub struct Builder {
    pub scene: Scene,
}

impl Builder {
    pub fn new(title: &str, enclosure: Enclosure) -> Builder {
        Builder {
            scene: Scene::new(title, Arc::new(enclosure)),
        }
    }

    pub fn part(&mut self, id: &str, kind: &Arc<PartKind>, at: [f64; 3], turn: Turn) -> &mut Self {
        let id = PartId::new(id).unwrap();
        self.scene.parts.insert(
            id.clone(),
            Part {
                name: kind.name.clone(),
                kind: kind.clone(),
            },
        );
        let place = Place {
            turn,
            ..Place::at(v(at[0], at[1], at[2]))
        };
        self.scene.arrangements[0].places.insert(id, place);
        self
    }
}

/// A compact build with one of each.
pub fn compact() -> Scene {
    let mut b = Builder::new(
        "Compact build with one of each",
        enclosure([330.0, 400.0, 160.0]),
    );
    let a = |k: PartKind| Arc::new(k);
    let up = Turn::NONE;
    let y_up = Turn::about(Axis::X, -1);
    b.part("board", &a(board()), [16.0, 225.0, 8.0], up)
        .part("cooler", &a(cooler()), [50.0, 275.0, 17.0], up)
        .part("mem-1", &a(memory()), [157.0, 245.0, 12.0], up)
        .part("mem-2", &a(memory()), [166.0, 245.0, 12.0], up)
        .part("supply", &a(supply()), [195.0, 298.0, 2.0], up)
        .part(
            "fan-1",
            &a(fan(120.0, 25.0, 105.0)),
            [20.0, 1.5, 12.0],
            y_up,
        )
        .part(
            "fan-2",
            &a(fan(120.0, 25.0, 105.0)),
            [142.0, 1.5, 12.0],
            y_up,
        )
        .part("disk-1", &a(drive35()), [205.0, 120.0, 4.0], up)
        .part("disk-2", &a(drive35()), [205.0, 120.0, 34.0], up)
        .part("ssd", &a(drive25()), [100.0, 110.0, 2.0], up)
        .part("card", &a(card(180.0)), [16.0, 45.0, 14.0], up);
    b.scene
}

/// `n` parts on a square raster, for load.
pub fn many(n: usize) -> Scene {
    let side = (n as f64 / 4.0).sqrt().ceil().max(1.0);
    let pitch = 190.0;
    let mut b = Builder::new(
        "Many parts",
        enclosure([side * pitch + 20.0, side * pitch + 20.0, 420.0]),
    );
    let kinds: Vec<Arc<PartKind>> = [
        fan(120.0, 25.0, 105.0),
        board(),
        radiator(1),
        drive35(),
        supply(),
        drive25(),
        cooler(),
        block(),
        memory(),
    ]
    .into_iter()
    .map(Arc::new)
    .collect();
    let turns = Turn::all();
    for i in 0..n {
        let cell = i / 4;
        let (cx, cy) = (cell % side as usize, cell / side as usize);
        b.part(
            &format!("p{i:04}"),
            &kinds[i % kinds.len()],
            [
                10.0 + cx as f64 * pitch,
                10.0 + cy as f64 * pitch,
                5.0 + 100.0 * (i % 4) as f64,
            ],
            turns[if i % 5 == 0 { i % 24 } else { 0 }],
        );
    }
    b.scene
}
