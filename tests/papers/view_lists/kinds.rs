//! Invented part kinds, built in code.

use closefit::geom::{Axis, Box3, Dir, Length, Solid, Vec3};
use closefit::model::*;

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

pub fn piece(solid: Solid, name: &str) -> Piece {
    Piece {
        solid,
        space: Space::Solid,
        name: name.to_owned(),
    }
}

pub fn feature(kind: FeatureKind, solid: Solid) -> Feature {
    Feature {
        kind,
        solid,
        name: String::new(),
    }
}

pub fn hole(label: &str, u: f64, w: f64, d: f64) -> Hole {
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

pub fn pattern(id: &str, frame: Frame, holes: Vec<Hole>) -> Pattern {
    let needs = holes.len();
    Pattern {
        id: id.to_owned(),
        frame,
        holes,
        needs,
    }
}

pub fn kind(id: &str, name: &str, group: Group, size: [f64; 3]) -> PartKind {
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
        pulls: None,
        heights: vec![],
        ratings: Default::default(),
        figures: vec![Figure {
            what: "all".into(),
            source: "invented for the test".into(),
            confidence: Confidence::Invented,
        }],
    }
}

pub fn square(pitch: f64, mid: f64, d: f64) -> Vec<Hole> {
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
                h.u += mm(14.0 + 60.0 + 120.0 * s as f64);
                h.v += mm(60.0);
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
