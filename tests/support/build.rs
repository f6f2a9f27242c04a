//! Kinds, enclosures and scenes built in code, for tests and benches. All figures
//! are invented for the purpose unless a source stands beside them.
#![allow(dead_code)]

use closefit::edit::{Edit, apply};
use closefit::geom::{Box3, Dir, Length, Solid, Turn, Vec3};
use closefit::model::kind::Ratings;
use closefit::model::{
    Cable, CableId, CableKind, CableKindId, CaptiveLead, Catalogue, Connector, Enclosure,
    EnclosureId, Frame, Group, Hole, HoleShape, KindId, Limits, PairClass, Part, PartId, PartKind,
    Pattern, Piece, Place, Plate, PlugEnd, Port, PortRef, Role, Scene, Section, Settings, Space,
    Step, System, Via, Zone,
};
use closefit::rules::{Checker, Finding};
use std::sync::Arc;

pub fn l(mm: f64) -> Length {
    Length::from_mm(mm).expect("a sound length")
}

pub fn v(x: f64, y: f64, z: f64) -> Vec3 {
    Vec3::new(l(x), l(y), l(z))
}

pub fn pid(id: &str) -> PartId {
    PartId::new(id).expect("a sound id")
}

pub fn cid(id: &str) -> CableId {
    CableId::new(id).expect("a sound id")
}

pub fn at_port(part: &str, port: &str) -> PortRef {
    PortRef {
        part: pid(part),
        port: port.into(),
    }
}

pub fn frame(at: Vec3, u: &str, v: &str, out: &str) -> Frame {
    let dir = |n| Dir::from_name(n).expect("a direction");
    Frame::new(at, dir(u), dir(v), dir(out)).expect("three axes")
}

pub fn turn(x: &str, y: &str) -> Turn {
    let dir = |n| Dir::from_name(n).expect("a direction");
    Turn::new(dir(x), dir(y)).expect("two axes")
}

pub fn hole(label: &str, u: f64, v: f64, d: f64, thread: Option<&str>) -> Hole {
    Hole {
        label: label.into(),
        u: l(u),
        v: l(v),
        diameter: l(d),
        shape: HoleShape::Round,
        thread: thread.map(str::to_owned),
    }
}

pub fn slot(label: &str, from: [f64; 2], by: [f64; 2], d: f64) -> Hole {
    Hole {
        shape: HoleShape::Slot {
            du: l(by[0]),
            dv: l(by[1]),
        },
        ..hole(label, from[0], from[1], d, None)
    }
}

pub fn seat(label: &str, key: &str, u: f64, v: f64) -> Hole {
    Hole {
        shape: HoleShape::Seat { key: key.into() },
        ..hole(label, u, v, 0.0, None)
    }
}

/// Four holes of a fan about a middle.
pub fn square(pitch: f64, middle: [f64; 2], d: f64, thread: Option<&str>) -> Vec<Hole> {
    let h = pitch / 2.0;
    [(-h, -h), (h, -h), (h, h), (-h, h)]
        .iter()
        .zip(["1", "2", "3", "4"])
        .map(|((u, w), label)| hole(label, middle[0] + u, middle[1] + w, d, thread))
        .collect()
}

/// A solid box without anything on it.
pub fn block(id: &str, group: Group, size: [f64; 3]) -> PartKind {
    let size = v(size[0], size[1], size[2]);
    PartKind {
        id: KindId::new(id).expect("a sound id"),
        name: id.replace('-', " "),
        group,
        size,
        body: vec![solid(Solid::Box(Box3::at(Vec3::ZERO, size)))],
        patterns: vec![],
        zones: vec![],
        ports: vec![],
        outlets: vec![],
        features: vec![],
        blows: None,
        pulls: None,
        heights: vec![],
        // Nothing in it moves.
        ratings: Ratings {
            sound_db: Some(0.0),
            ..Ratings::default()
        },
        figures: vec![],
    }
}

pub fn solid(solid: Solid) -> Piece {
    piece(solid, Space::Solid, "")
}

pub fn piece(solid: Solid, space: Space, name: &str) -> Piece {
    Piece {
        solid,
        space,
        name: name.into(),
    }
}

pub fn pattern(id: &str, frame: Frame, holes: Vec<Hole>, needs: usize) -> Pattern {
    Pattern {
        id: id.into(),
        frame,
        holes,
        needs,
    }
}

pub fn zone(id: &str, frame: Frame, size: [f64; 2], depth: f64, takes: &[Group]) -> Zone {
    Zone {
        id: id.into(),
        name: id.replace('-', " "),
        frame,
        size: [l(size[0]), l(size[1])],
        depth: l(depth),
        takes: takes.to_vec(),
        holes: vec![],
    }
}

/// A fan with clear holes through both faces; radiators go before either face.
pub fn fan(edge: f64, pitch: f64, thick: f64) -> PartKind {
    let id = format!("fan-{edge}x{thick}");
    let mut kind = block(&id, Group::Fan, [edge, edge, thick]);
    let m = edge / 2.0;
    let holes = || square(pitch, [0.0, 0.0], 4.3, None);
    let face = |z, v, out| frame(self::v(m, m, z), "+x", v, out);
    kind.patterns = vec![
        pattern("face-a", face(0.0, "-y", "-z"), holes(), 4),
        pattern("face-b", face(thick, "+y", "+z"), holes(), 4),
    ];
    let takes = [Group::Radiator];
    let mut zones = vec![
        zone(
            "stack-a",
            frame(Vec3::ZERO, "+x", "+y", "-z"),
            [edge; 2],
            0.0,
            &takes,
        ),
        zone(
            "stack-b",
            frame(v(0.0, edge, thick), "+x", "-y", "+z"),
            [edge; 2],
            0.0,
            &takes,
        ),
    ];
    for z in &mut zones {
        z.holes = square(pitch, [m, m], 4.3, None);
    }
    kind.zones = zones;
    kind.ports = vec![Port {
        lead: Some(CaptiveLead {
            length: l(400.0),
            section: Section::Round(l(4.0)),
            bend: l(20.0),
        }),
        ..port(
            "lead",
            "fan-4pin",
            v(edge, m, thick / 2.0),
            "+x",
            Role::Sink,
        )
    }];
    kind
}

/// A radiator of 120 mm sections, threaded M3 on both faces.
pub fn radiator(sections: usize, thick: f64) -> PartKind {
    let n = sections as f64;
    let long = 120.0 * n + 35.0;
    let id = format!("radiator-{sections}x120-{thick}");
    let mut kind = block(&id, Group::Radiator, [long, 120.0, thick]);
    let holes = |labels: &str| -> Vec<Hole> {
        (0..sections)
            .flat_map(|s| square(105.0, [60.0 + 120.0 * s as f64, 60.0], 2.5, Some("M3")))
            .enumerate()
            .map(|(i, h)| Hole {
                label: format!("{labels}{}", i + 1),
                ..h
            })
            .collect()
    };
    let a = frame(v(20.0, 0.0, 0.0), "+x", "+y", "-z");
    let b = frame(v(20.0, 120.0, thick), "+x", "-y", "+z");
    kind.patterns = vec![
        pattern("face-a", a, holes("a"), 4),
        pattern("face-b", b, holes("b"), 4),
    ];
    for (id, f) in [("fans-a", a), ("fans-b", b)] {
        let mut z = zone(id, f, [120.0 * n, 120.0], 0.0, &[Group::Fan]);
        z.holes = holes("f");
        kind.zones.push(z);
    }
    kind
}

pub fn port(id: &str, connector: &str, at: Vec3, leaves: &str, role: Role) -> Port {
    Port {
        id: id.into(),
        name: id.replace('-', " "),
        connector: connector.into(),
        at,
        leaves: Dir::from_name(leaves).expect("a direction"),
        role,
        lead: None,
        required: false,
        draws_mw: None,
        passes: false,
        purpose: None,
    }
}

pub fn plate(id: &str, at: [f64; 3], size: [f64; 3]) -> Plate {
    Plate {
        id: id.into(),
        name: id.replace('-', " "),
        solid: Solid::Box(Box3::at(
            v(at[0], at[1], at[2]),
            v(size[0], size[1], size[2]),
        )),
        cutouts: vec![],
        panel: None,
    }
}

/// An empty enclosure without plates.
pub fn enclosure(size: [f64; 3]) -> Enclosure {
    Enclosure {
        id: EnclosureId::new("test-box").expect("a sound id"),
        name: "test box".into(),
        size: v(size[0], size[1], size[2]),
        plates: vec![],
        zones: vec![],
        passages: vec![],
        ties: vec![],
        tucks: vec![],
        vents: vec![],
        openings: vec![],
        dimensions: Default::default(),
        figures: vec![],
    }
}

/// No gaps wanted, play 0.5, depth 3, ten percent for service.
pub fn settings() -> Settings {
    Settings {
        pairs: vec![],
        opening_play: l(0.5),
        opening_depth: l(3.0),
        service_percent: 10,
        general: general(),
        limits: Limits {
            fan_loss_percent: Some(10),
            card_mass_g: Some(900),
            cooler_mass_g: Some(700),
            exhaust_reach: Some(l(40.0)),
            memory_height: Some(l(31.3)),
            free_span: Some(l(2000.0)),
            slot_set: None,
        },
    }
}

/// ISO 2768-1 class m, linear dimensions, as transcribed in the DIN edition (two
/// transcriptions agree).
fn general() -> Vec<Step> {
    let steps = [
        (6.0, 0.1),
        (30.0, 0.2),
        (120.0, 0.3),
        (400.0, 0.5),
        (1000.0, 0.8),
        (2000.0, 1.2),
        (4000.0, 2.0),
    ];
    let step = |(to, by)| Step {
        to: l(to),
        by: l(by),
    };
    steps.map(step).to_vec()
}

pub fn class(a: Option<Group>, b: Option<Group>, wall: bool, gap: f64) -> PairClass {
    PairClass {
        a,
        b,
        wall,
        gap: l(gap),
        reason: "as wanted".into(),
    }
}

/// Fan headers and one data lead.
pub fn catalogue() -> Catalogue {
    let mut catalogue = Catalogue::default();
    for (id, out, straight) in [
        ("fan-4pin", 5.0, 6.0),
        ("host", 14.0, 8.0),
        ("drive", 16.0, 8.0),
    ] {
        let connector = Connector {
            id: id.into(),
            name: id.into(),
            plug: [l(6.0), l(12.0), l(out)],
            straight: l(straight),
            carries_mw: None,
            splits_to: vec![],
            figures: vec![],
        };
        catalogue.connectors.insert(id.into(), connector);
    }
    let id = CableKindId::new("data").expect("a sound id");
    let kind = CableKind {
        id: id.clone(),
        name: "data lead".into(),
        system: System::Data,
        from: "host".into(),
        to: "drive".into(),
        lengths: vec![l(300.0), l(450.0), l(600.0)],
        section: Section::Flat(l(8.0), l(2.0)),
        bend: l(30.0),
        plugs: 1,
        pitch: Length::ZERO,
        extends: false,
        carries_mw: None,
        figures: vec![],
    };
    catalogue.cables.insert(id, Arc::new(kind));
    catalogue
}

/// A cable with one plug.
pub fn cable(kind: Option<&str>, from: PortRef, to: PortRef, length: f64, via: Vec<Via>) -> Cable {
    Cable {
        name: "lead".into(),
        kind: kind.map(|k| CableKindId::new(k).expect("a sound id")),
        system: System::Data,
        from,
        plugs: vec![PlugEnd {
            to,
            length: l(length),
            via,
        }],
        section: Section::Round(l(4.0)),
        bend: l(20.0),
        locked: false,
        extension: None,
        hangs: None,
        finds: false,
    }
}

/// A scene on the way, with what it is checked by.
#[derive(Clone)]
pub struct Build {
    pub scene: Scene,
    pub settings: Settings,
    pub catalogue: Catalogue,
}

impl Build {
    pub fn new(enclosure: Enclosure) -> Build {
        Build {
            scene: Scene::new("test", Arc::new(enclosure)),
            settings: settings(),
            catalogue: catalogue(),
        }
    }

    /// A large empty box.
    pub fn open() -> Build {
        Build::new(enclosure([1000.0, 1000.0, 1000.0]))
    }

    pub fn edit(&mut self, edit: Edit) -> closefit::edit::Touched {
        apply(&mut self.scene, &edit).expect("a sound edit")
    }

    pub fn with(self, id: &str, kind: &PartKind, at: [f64; 3]) -> Build {
        self.turned(id, kind, at, Turn::NONE)
    }

    pub fn turned(mut self, id: &str, kind: &PartKind, at: [f64; 3], turn: Turn) -> Build {
        let place = Place {
            turn,
            ..Place::at(v(at[0], at[1], at[2]))
        };
        self.edit(Edit::AddPart {
            id: pid(id),
            part: Part {
                name: kind.name.clone(),
                kind: Arc::new(kind.clone()),
            },
            place: Some(place),
        });
        self
    }

    pub fn beside(mut self, id: &str, kind: &PartKind) -> Build {
        self.edit(Edit::AddPart {
            id: pid(id),
            part: Part {
                name: kind.name.clone(),
                kind: Arc::new(kind.clone()),
            },
            place: None,
        });
        self
    }

    pub fn cable(mut self, id: &str, cable: Cable) -> Build {
        self.edit(Edit::SetCable(cid(id), Some(cable)));
        self
    }

    /// With a pair class.
    pub fn gap(mut self, a: Option<Group>, b: Option<Group>, wall: bool, gap: f64) -> Build {
        self.settings.pairs.push(class(a, b, wall, gap));
        self
    }

    pub fn moved(mut self, id: &str, by: [f64; 3]) -> Build {
        let mut place = self.scene.arrangement().places[&pid(id)];
        place.at += v(by[0], by[1], by[2]);
        self.edit(Edit::SetPlace(pid(id), Some(place)));
        self
    }

    pub fn checker(&self) -> Checker {
        Checker::new(Arc::new(self.settings.clone()))
            .with_catalogue(Arc::new(self.catalogue.clone()))
    }

    pub fn checked(&self) -> Checker {
        let mut checker = self.checker();
        checker.check_all(&self.scene);
        checker
    }

    /// Findings of one rule.
    pub fn found(&self, rule: &str) -> Vec<Finding> {
        let checker = self.checked();
        let of_rule = checker.findings().into_iter().filter(|f| f.rule == rule);
        of_rule.cloned().collect()
    }

    /// Exactly these keys are found by this rule.
    #[track_caller]
    pub fn expect(&self, rule: &str, keys: &[&str]) {
        let found = self.found(rule);
        let found: Vec<&str> = found.iter().map(Finding::key_str).collect();
        assert_eq!(found, keys);
    }

    /// The one finding of this rule.
    #[track_caller]
    pub fn only(&self, rule: &str) -> Finding {
        let mut found = self.found(rule);
        assert_eq!(found.len(), 1, "{found:#?}");
        found.remove(0)
    }

    /// The fix of the one finding of this rule ends it.
    #[track_caller]
    pub fn fixed(&self, rule: &str) -> Build {
        let fix = self.only(rule).fix.expect("a fix");
        let mut after = self.clone();
        for edit in fix {
            after.edit(edit);
        }
        after.expect(rule, &[]);
        after
    }
}
