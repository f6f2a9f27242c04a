//! Invented boards and what sits on them.

use super::kinds::*;
use closefit::geom::{Axis, Dir};
use closefit::model::*;

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
        draws_mw: None,
        passes: false,
        purpose: None,
    });
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
