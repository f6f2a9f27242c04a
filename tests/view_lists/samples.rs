//! Invented kinds and enclosures, built in code, for looking at and for tests.
#![allow(dead_code)]

use closefit::geom::{Axis, Box3, Dir, Length, Solid, Turn, Vec3};
use closefit::model::*;
use std::collections::BTreeMap;
use std::sync::Arc;

pub fn mm(v: f64) -> Length {
    Length::from_mm(v).unwrap()
}

pub fn v(x: f64, y: f64, z: f64) -> Vec3 {
    Vec3::new(mm(x), mm(y), mm(z))
}

pub fn bx(at: [f64; 3], size: [f64; 3]) -> Solid {
    Solid::Box(Box3::at(
        v(at[0], at[1], at[2]),
        v(size[0], size[1], size[2]),
    ))
}

pub fn cyl(axis: Axis, base: [f64; 3], d: f64, h: f64) -> Solid {
    Solid::Cylinder {
        axis,
        base: v(base[0], base[1], base[2]),
        radius: mm(d / 2.0),
        height: mm(h),
    }
}

fn piece(solid: Solid, name: &str) -> Piece {
    Piece {
        solid,
        space: Space::Solid,
        name: name.to_owned(),
    }
}

fn feature(kind: FeatureKind, solid: Solid) -> Feature {
    Feature {
        kind,
        solid,
        name: String::new(),
    }
}

fn hole(label: &str, u: f64, w: f64, d: f64) -> Hole {
    Hole {
        label: label.to_owned(),
        u: mm(u),
        v: mm(w),
        diameter: mm(d),
        shape: HoleShape::Round,
        thread: None,
    }
}

pub fn frame(at: [f64; 3], u: Dir, w: Dir, n: Dir) -> Frame {
    Frame::new(v(at[0], at[1], at[2]), u, w, n).unwrap()
}

fn pattern(id: &str, frame: Frame, holes: Vec<Hole>) -> Pattern {
    let needs = holes.len();
    Pattern {
        id: id.to_owned(),
        frame,
        holes,
        needs,
    }
}

fn kind(id: &str, name: &str, group: Group, size: [f64; 3]) -> PartKind {
    PartKind {
        id: KindId::new(id).unwrap(),
        name: name.to_owned(),
        group,
        size: v(size[0], size[1], size[2]),
        body: vec![piece(bx([0.0; 3], size), "body")],
        patterns: vec![],
        zones: vec![],
        ports: vec![],
        outlets: vec![],
        features: vec![],
        blows: None,
        ratings: Default::default(),
        figures: vec![Figure {
            what: "all".into(),
            source: "invented for the test".into(),
            confidence: Confidence::Invented,
        }],
    }
}

fn square(pitch: f64, mid: f64, d: f64) -> Vec<Hole> {
    let p = pitch / 2.0;
    vec![
        hole("1", mid - p, mid - p, d),
        hole("2", mid + p, mid - p, d),
        hole("3", mid + p, mid + p, d),
        hole("4", mid - p, mid + p, d),
    ]
}

pub fn fan(size: f64, thick: f64, pitch: f64) -> PartKind {
    let mut k = kind(
        &format!("fan-{size}x{thick}"),
        &format!("fan, {size} mm, {thick} thick"),
        Group::Fan,
        [size, size, thick],
    );
    let m = size / 2.0;
    for (id, z, out) in [("face-a", 0.0, Dir::NegZ), ("face-b", thick, Dir::PosZ)] {
        k.patterns.push(pattern(
            id,
            frame([0.0, 0.0, z], Dir::PosX, Dir::PosY, out),
            square(pitch, m, 4.3),
        ));
    }
    k.features = vec![
        feature(
            FeatureKind::Blades,
            cyl(Axis::Z, [m, m, 2.0], size * 0.93, thick - 4.0),
        ),
        feature(
            FeatureKind::Hub,
            cyl(Axis::Z, [m, m, 1.0], size * 0.34, thick - 2.0),
        ),
    ];
    k.blows = Some(Dir::PosZ);
    k
}

pub fn board() -> PartKind {
    let mut k = kind(
        "board-mini-itx",
        "board, Mini-ITX",
        Group::Board,
        [170.18, 170.18, 45.0],
    );
    // Own frame: x to the right, y from the front edge to the rear, z up.
    k.body = vec![
        piece(bx([0.0, 0.0, 0.0], [170.18, 170.18, 1.57]), "sheet"),
        piece(bx([8.0, 150.0, 1.57], [120.0, 20.0, 38.0]), "rear block"),
    ];
    let holes = [
        (6.35, 10.16),
        (163.83, 33.02),
        (6.35, 165.1),
        (163.83, 165.1),
    ];
    let holes = holes
        .iter()
        .enumerate()
        .map(|(i, (x, y))| hole(&i.to_string(), 170.18 - x, 170.18 - y, 3.96))
        .collect();
    k.patterns.push(pattern(
        "back",
        frame([0.0; 3], Dir::PosX, Dir::PosY, Dir::NegZ),
        holes,
    ));
    use FeatureKind::*;
    k.features = vec![
        feature(RearBlock, bx([8.0, 150.0, 1.57], [120.0, 20.0, 38.0])),
        feature(Processor, bx([60.0, 75.0, 1.57], [45.0, 45.0, 7.0])),
        feature(Slot, bx([140.0, 20.0, 1.57], [6.5, 133.0, 12.0])),
        feature(Slot, bx([149.0, 20.0, 1.57], [6.5, 133.0, 12.0])),
        feature(Slot, bx([30.0, 8.0, 1.57], [89.0, 7.5, 11.25])),
        feature(Socket, bx([158.0, 60.0, 1.57], [9.0, 51.6, 12.0])),
        feature(Socket, bx([10.0, 130.0, 1.57], [18.0, 9.0, 12.0])),
        feature(Connector, bx([158.0, 120.0, 1.57], [8.0, 14.0, 9.0])),
        feature(Connector, bx([100.0, 20.0, 1.57], [16.0, 7.0, 9.0])),
        feature(Chip, bx([60.0, 28.0, 1.57], [18.0, 18.0, 2.0])),
        feature(Heatsink, bx([86.0, 30.0, 1.57], [30.0, 30.0, 14.0])),
        feature(Heatsink, bx([36.0, 70.0, 1.57], [14.0, 60.0, 22.0])),
    ];
    k.ports.push(Port {
        id: "fan1".into(),
        name: "fan header".into(),
        connector: "fan-4pin".into(),
        at: v(162.0, 140.0, 12.0),
        leaves: Dir::PosZ,
        role: Role::Source,
        lead: None,
        required: false,
    });
    k
}

pub fn radiator(sections: usize) -> PartKind {
    let n = sections as f64;
    let len = 120.0 * n + 35.0;
    let mut k = kind(
        &format!("radiator-{}", 120 * sections),
        &format!("radiator, {}, 27 thick", 120 * sections),
        Group::Radiator,
        [len, 120.0, 27.0],
    );
    k.features = vec![
        feature(
            FeatureKind::Fins,
            bx([16.0, 5.0, 1.0], [120.0 * n - 4.0, 110.0, 25.0]),
        ),
        feature(
            FeatureKind::HoseEnd,
            cyl(Axis::X, [len - 12.0, 30.0, 13.0], 12.0, 12.0),
        ),
        feature(
            FeatureKind::HoseEnd,
            cyl(Axis::X, [len - 12.0, 90.0, 13.0], 12.0, 12.0),
        ),
    ];
    k.body = vec![
        piece(bx([0.0; 3], [len - 12.0, 120.0, 27.0]), "core"),
        piece(
            cyl(Axis::X, [len - 12.0, 30.0, 13.0], 12.0, 12.0),
            "hose end",
        ),
        piece(
            cyl(Axis::X, [len - 12.0, 90.0, 13.0], 12.0, 12.0),
            "hose end",
        ),
    ];
    for (id, z, out) in [("face-a", 0.0, Dir::NegZ), ("face-b", 27.0, Dir::PosZ)] {
        let mut holes = vec![];
        for s in 0..sections {
            for (j, h) in square(105.0, 0.0, 3.4).into_iter().enumerate() {
                let mut h = h;
                h.label = format!("{s}{j}");
                h.u = h.u + mm(14.0 + 60.0 + 120.0 * s as f64);
                h.v = h.v + mm(60.0);
                holes.push(h);
            }
        }
        k.patterns.push(pattern(
            id,
            frame([0.0, 0.0, z], Dir::PosX, Dir::PosY, out),
            holes,
        ));
    }
    k
}

pub fn drive35() -> PartKind {
    let mut k = kind(
        "drive-35",
        "drive, 3.5 in",
        Group::Drive,
        [101.6, 147.0, 26.1],
    );
    k.features = vec![
        feature(
            FeatureKind::Label,
            bx([12.0, 25.0, 26.0], [78.0, 95.0, 0.1]),
        ),
        feature(
            FeatureKind::Connector,
            bx([10.0, 0.0, 1.0], [42.0, 6.0, 7.0]),
        ),
    ];
    k
}

pub fn drive25() -> PartKind {
    let mut k = kind(
        "drive-25",
        "drive, 2.5 in, 7 high",
        Group::Drive,
        [69.85, 100.0, 7.0],
    );
    k.features = vec![
        feature(FeatureKind::Label, bx([8.0, 20.0, 6.9], [54.0, 65.0, 0.1])),
        feature(
            FeatureKind::Connector,
            bx([13.0, 0.0, 1.0], [33.4, 5.0, 5.0]),
        ),
    ];
    k
}

pub fn supply() -> PartKind {
    // Outer face at the rear (y high).
    let mut k = kind(
        "supply-sfx",
        "supply, SFX",
        Group::Supply,
        [125.0, 100.0, 63.5],
    );
    use FeatureKind::*;
    k.features = vec![
        feature(Grille, bx([8.0, 99.0, 8.0], [62.0, 1.0, 48.0])),
        feature(Connector, bx([80.0, 99.0, 30.0], [30.0, 1.0, 24.0])),
        feature(Switch, bx([88.0, 99.0, 9.0], [13.0, 1.0, 19.0])),
        feature(Grille, cyl(Axis::Z, [62.0, 52.0, 62.5], 92.0, 1.0)),
        feature(Connector, bx([10.0, 0.0, 10.0], [50.0, 2.0, 16.0])),
    ];
    k.outlets.push(Outlet {
        id: "face".into(),
        kind: "supply-face".into(),
        frame: frame([0.0, 100.0, 0.0], Dir::PosX, Dir::PosZ, Dir::PosY),
        size: [mm(125.0), mm(63.5)],
    });
    k.patterns.push(pattern(
        "face",
        frame([0.0, 100.0, 0.0], Dir::PosX, Dir::PosZ, Dir::PosY),
        vec![
            hole("1", 6.0, 6.0, 3.5),
            hole("2", 119.0, 6.0, 3.5),
            hole("3", 6.0, 57.5, 3.5),
            hole("4", 119.0, 57.5, 3.5),
        ],
    ));
    k
}

pub fn card(length: f64) -> PartKind {
    // Thickness along x (two slots), length along y to the front, height z.
    let mut k = kind(
        &format!("card-{length}"),
        &format!("graphics card, two slots, {length} mm"),
        Group::Card,
        [39.0, length, 125.0],
    );
    use FeatureKind::*;
    k.body = vec![
        piece(bx([1.0, 0.0, 9.0], [38.0, length - 1.0, 110.0]), "card"),
        piece(bx([0.0, length - 1.0, 5.0], [39.0, 1.0, 120.0]), "bracket"),
        piece(bx([3.0, length - 145.0, 0.0], [1.6, 86.0, 9.0]), "contacts"),
    ];
    let r = 88.0;
    k.features = vec![
        feature(Blades, cyl(Axis::X, [37.0, length * 0.26, 64.0], r, 2.0)),
        feature(Blades, cyl(Axis::X, [37.0, length * 0.70, 64.0], r, 2.0)),
        feature(Connector, bx([3.0, length - 145.0, 0.0], [1.6, 86.0, 9.0])),
        feature(Socket, bx([12.0, 60.0, 117.0], [10.0, 18.0, 2.0])),
        feature(Grille, bx([4.0, length - 1.0, 30.0], [31.0, 1.0, 80.0])),
    ];
    k
}

pub fn cooler() -> PartKind {
    let mut k = kind(
        "cooler-low",
        "air cooler, low, 66 high",
        Group::Cooler,
        [92.0, 92.0, 66.0],
    );
    use FeatureKind::*;
    k.body = vec![
        piece(bx([26.0, 26.0, 0.0], [40.0, 40.0, 14.0]), "base"),
        piece(bx([0.0, 0.0, 24.0], [92.0, 92.0, 27.0]), "fins"),
        piece(bx([0.0, 0.0, 51.0], [92.0, 92.0, 15.0]), "fan"),
    ];
    k.features = vec![
        feature(Fins, bx([0.0, 0.0, 24.0], [92.0, 92.0, 27.0])),
        feature(Blades, cyl(Axis::Z, [46.0, 46.0, 52.0], 86.0, 14.0)),
        feature(Pipe, bx([20.0, 2.0, 6.0], [6.0, 88.0, 6.0])),
        feature(Pipe, bx([66.0, 2.0, 6.0], [6.0, 88.0, 6.0])),
    ];
    k
}

pub fn block() -> PartKind {
    let mut k = kind(
        "block",
        "liquid block with pump",
        Group::Block,
        [72.0, 72.0, 53.0],
    );
    use FeatureKind::*;
    k.body = vec![
        piece(bx([6.0, 6.0, 0.0], [60.0, 60.0, 14.0]), "plate"),
        piece(cyl(Axis::Z, [36.0, 36.0, 14.0], 66.0, 39.0), "pump"),
        piece(cyl(Axis::Y, [24.0, 0.0, 40.0], 12.0, 8.0), "hose end"),
        piece(cyl(Axis::Y, [48.0, 0.0, 40.0], 12.0, 8.0), "hose end"),
    ];
    k.features = vec![
        feature(Hub, cyl(Axis::Z, [36.0, 36.0, 52.0], 48.0, 1.0)),
        feature(HoseEnd, cyl(Axis::Y, [24.0, 0.0, 40.0], 12.0, 8.0)),
        feature(HoseEnd, cyl(Axis::Y, [48.0, 0.0, 40.0], 12.0, 8.0)),
    ];
    k
}

pub fn memory() -> PartKind {
    let mut k = kind(
        "memory",
        "memory module, 31 high",
        Group::Memory,
        [5.0, 133.35, 31.25],
    );
    k.features = vec![feature(
        FeatureKind::Connector,
        bx([0.0, 3.0, 0.0], [5.0, 127.0, 4.0]),
    )];
    for i in 0..8 {
        k.features.push(feature(
            FeatureKind::Chip,
            bx([0.0, 8.0 + 15.0 * f64::from(i), 12.0], [5.0, 11.0, 9.0]),
        ));
    }
    k
}

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
        ties: vec![
            Tie {
                id: "t1".into(),
                at: v(x - 20.0, y / 3.0, 10.0),
            },
            Tie {
                id: "t2".into(),
                at: v(x - 20.0, y * 0.7, 10.0),
            },
        ],
        vents: vec![
            Vent {
                id: "v1".into(),
                frame: frame([20.0, 0.0, 12.0], Dir::PosX, Dir::PosZ, Dir::NegY),
                size: [mm(200.0), mm(100.0)],
                free: 0.6,
                filter: true,
            },
            Vent {
                id: "v2".into(),
                frame: frame([40.0, 60.0, z], Dir::PosX, Dir::PosY, Dir::PosZ),
                size: [mm(120.0), mm(120.0)],
                free: 0.6,
                filter: false,
            },
            Vent {
                id: "v3".into(),
                frame: frame([x, 60.0, 20.0], Dir::PosY, Dir::PosZ, Dir::PosX),
                size: [mm(120.0), mm(70.0)],
                free: 0.6,
                filter: false,
            },
        ],
        openings: vec![Opening {
            id: "io".into(),
            name: "board opening".into(),
            kind: "board-io".into(),
            frame: frame([20.0, y - t, 10.0], Dir::PosX, Dir::PosZ, Dir::PosY),
            size: [mm(158.75), mm(44.45)],
        }],
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

pub type Counts = BTreeMap<String, usize>;
