//! The built-in catalogue, and a build out of it.
use super::samples::{Builder, enclosure, mm};
use closefit::geom::{Axis, Turn};
use closefit::model::*;

pub fn catalogue() -> Catalogue {
    closefit::file::assets::catalogue().expect("the built-in catalogue is sound")
}

pub fn settings() -> Settings {
    closefit::file::assets::settings().expect("the built-in figures are sound")
}

fn port(s: &str) -> PortRef {
    let (part, port) = s.split_once(':').unwrap();
    PortRef {
        part: PartId::new(part).unwrap(),
        port: port.to_owned(),
    }
}

/// A build with cables and with some findings on purpose.
pub fn desk() -> Scene {
    let cat = catalogue();
    let kind = |id: &str| {
        cat.kinds
            .get(&KindId::new(id).unwrap())
            .unwrap_or_else(|| panic!("{id}"))
            .clone()
    };
    let mut b = Builder::new(
        "Compact build, cables and findings",
        enclosure([330.0, 400.0, 160.0]),
    );
    let up = Turn::NONE;
    let face = Turn::about(Axis::X, -1);
    b.part("board", &kind("board-mini-itx-78"), [16.0, 226.0, 8.0], up)
        .part("cooler", &kind("cooler-low-67"), [50.0, 270.0, 17.0], up)
        .part("mem-1", &kind("memory-31"), [31.0, 262.0, 13.0], up)
        .part("supply", &kind("supply-sfx-100"), [195.0, 298.0, 2.0], up)
        .part("fan-1", &kind("fan-120x25"), [20.0, 1.5, 12.0], face)
        .part("fan-2", &kind("fan-120x25"), [142.0, 1.5, 12.0], face)
        .part(
            "radiator",
            &kind("radiator-2x120-27"),
            [24.0, 27.0, 14.0],
            face,
        )
        .part("disk-1", &kind("drive-35x26"), [213.0, 130.0, 4.0], up)
        .part("disk-2", &kind("drive-35x26"), [213.0, 130.0, 32.0], up)
        .part("ssd", &kind("drive-25x7"), [100.0, 110.0, 2.0], up)
        .part("pump", &kind("block-pump-52"), [40.0, 120.0, 2.0], up);
    for (id, from, to, kind_id, system, len, section, bend) in [
        (
            "c1",
            "board:sata1",
            "disk-1:data",
            "sata-data",
            System::Data,
            300.0,
            Section::Flat(mm(8.0), mm(2.0)),
            20.0,
        ),
        (
            "c2",
            "supply:main",
            "board:main",
            "main",
            System::Power,
            150.0,
            Section::Flat(mm(25.0), mm(6.0)),
            25.0,
        ),
        (
            "c3",
            "pump:hose-1",
            "radiator:hose-1",
            "hose",
            System::Liquid,
            400.0,
            Section::Round(mm(12.0)),
            35.0,
        ),
        (
            "c4",
            "fan-1:lead",
            "board:fan1",
            "fan",
            System::Air,
            500.0,
            Section::Round(mm(4.0)),
            15.0,
        ),
    ] {
        let _ = kind_id;
        b.scene.arrangements[0].cables.insert(
            CableId::new(id).unwrap(),
            Cable {
                name: id.to_owned(),
                kind: None,
                system,
                from: port(from),
                plugs: vec![PlugEnd {
                    to: port(to),
                    length: mm(len),
                    via: vec![],
                }],
                section,
                bend: mm(bend),
                locked: false,
                extension: None,
                hangs: None,
                finds: false,
            },
        );
    }
    b.scene
}
