//! Random scenes, sound by construction, over the small catalogue for tests.
//!
//! A scene is built from a list of numbers that stand for choices. Where the list
//! ends every choice is the simplest one, so proptest shrinks a failing scene by
//! shortening the list.

use closefit::edit::{Edit, apply};
use closefit::geom::{Axis, Box3, Dir, Length, Solid, Turn, Vec3};
use closefit::model::kind::Ratings;
use closefit::model::*;
use std::slice::Iter;
use std::sync::Arc;

/// The scene that a list of choices stands for.
pub fn scene(choices: &[u32], catalogue: &Catalogue) -> Scene {
    let c = &mut Choices(choices.iter());
    let known = Arc::clone(catalogue.enclosures.values().next().expect("there is one"));
    let own_enclosure = c.flag();
    let enclosure = if own_enclosure {
        Arc::new(c.enclosure())
    } else {
        known
    };
    let mut scene = Scene::new(&c.text(), enclosure);
    scene.own_enclosure = own_enclosure;
    scene.notes = c.text();
    for i in 0..c.below(3) {
        let kind = c.kind(&format!("own-{i}"));
        scene.own_kinds.insert(kind.id.clone(), Arc::new(kind));
    }
    let kinds: Vec<Arc<PartKind>> = scene
        .own_kinds
        .values()
        .chain(catalogue.kinds.values())
        .cloned()
        .collect();
    for i in 0..c.below(6) {
        let kind = Arc::clone(c.pick(&kinds));
        let name = if c.flag() {
            c.text()
        } else {
            kind.name.clone()
        };
        let id = PartId::new(&format!("part-{i}")).expect("it is sound");
        scene.parts.insert(id, Part { name, kind });
    }
    let owners: Vec<_> = std::iter::once(None)
        .chain(scene.parts.keys().take(2).cloned().map(Some))
        .collect();
    for of in owners {
        let known = c.dimensions();
        if !known.is_empty() {
            scene.measured.insert(of, known);
        }
    }
    scene.arrangements = (0..1 + c.below(3))
        .map(|_| c.arrangement(&scene, catalogue))
        .collect();
    scene.current = c.below(scene.arrangements.len());
    // Some part is of another kind in the arrangement at hand.
    let swapped = scene.parts.keys().nth(c.below(6)).cloned();
    if let Some(id) = swapped {
        let edit = Edit::SetKind(id, Arc::clone(c.pick(&kinds)));
        apply(&mut scene, &edit).expect("the part is there");
    }
    scene
}

struct Choices<'a>(Iter<'a, u32>);

impl Choices<'_> {
    fn below(&mut self, n: usize) -> usize {
        self.0.next().map_or(0, |v| *v as usize % n)
    }

    fn flag(&mut self) -> bool {
        self.below(2) == 1
    }

    fn pick<'b, T>(&mut self, from: &'b [T]) -> &'b T {
        &from[self.below(from.len())]
    }

    fn between(&mut self, low: i64, high: i64) -> Length {
        Length::um(low + self.below((high - low) as usize + 1) as i64)
    }

    /// Any coordinate that files accept, to the ends of the range.
    fn coordinate(&mut self) -> Length {
        match self.below(8) {
            0 => Length::ZERO,
            1 => Length::mm(100_000),
            2 => Length::mm(-100_000),
            _ => self.between(-2_000_000, 2_000_000),
        }
    }

    fn length(&mut self) -> Length {
        self.between(1, 900_000)
    }

    fn not_negative(&mut self) -> Length {
        self.between(0, 90_000)
    }

    fn dimensions(&mut self) -> closefit::model::Dimensions {
        let mut known = closefit::model::Dimensions::new();
        for _ in 0..self.below(3) {
            let axis = closefit::geom::Axis::ALL[self.below(3)];
            let low = self.between(-50_000, 50_000);
            let span = closefit::model::Span::new(axis, low, low + self.length());
            let deviation = closefit::model::Deviation {
                plus: self.not_negative(),
                minus: self.not_negative(),
            };
            let is = self.length();
            let is = closefit::model::Measured { is, deviation };
            known.insert(span.expect("a length is more than nothing"), is);
        }
        known
    }

    fn extent(&mut self) -> [Length; 2] {
        [self.length(), self.length()]
    }

    fn point(&mut self) -> Vec3 {
        Vec3::new(self.coordinate(), self.coordinate(), self.coordinate())
    }

    fn text(&mut self) -> String {
        let words = [
            "",
            "plain",
            "größe \"12\"",
            "back\\slash",
            "{[:,]}",
            "数",
            "e\u{301}",
            "😀",
        ];
        (*self.pick(&words)).to_owned()
    }

    fn amount(&mut self) -> Option<f64> {
        let values = [
            None,
            Some(0.0),
            Some(0.1),
            Some(1.0 / 3.0),
            Some(1e9),
            Some(5e-324),
        ];
        *self.pick(&values)
    }

    fn dir(&mut self) -> Dir {
        *self.pick(&Dir::ALL)
    }

    fn turn(&mut self) -> Turn {
        *self.pick(&Turn::all())
    }

    fn list<T>(&mut self, most: usize, mut one: impl FnMut(&mut Self, usize) -> T) -> Vec<T> {
        (0..self.below(most + 1)).map(|i| one(self, i)).collect()
    }

    fn frame(&mut self) -> Frame {
        let [u, v, w] = self.turn().axes();
        let normal = if self.flag() { w.opposite() } else { w };
        Frame::new(self.point(), u, v, normal).expect("a turn has three axes")
    }

    fn figures(&mut self) -> Vec<Figure> {
        self.list(2, |c, _| Figure {
            what: c.text(),
            source: c.text(),
            confidence: *c.pick(&Confidence::ALL),
        })
    }

    fn hole(&mut self) -> Hole {
        let shape = match self.below(3) {
            0 => HoleShape::Round,
            1 => HoleShape::Slot {
                du: self.length(),
                dv: -self.not_negative(),
            },
            _ => HoleShape::Seat {
                key: "seat-1".to_owned(),
            },
        };
        let seat = matches!(shape, HoleShape::Seat { .. });
        Hole {
            label: self.text(),
            u: self.coordinate(),
            v: self.coordinate(),
            diameter: if seat { Length::ZERO } else { self.length() },
            thread: (!seat && self.flag()).then(|| "#6-32".to_owned()),
            shape,
        }
    }

    /// A solid inside the box from the origin to `size`, at least 1 mm wide.
    fn solid(&mut self, size: Vec3) -> Solid {
        let axis = *self.pick(&Axis::ALL);
        let (p, q) = axis.others();
        let part = |c: &mut Self, whole: Length| {
            let low = c.below(500) as i64;
            let high = low + 1 + c.below(500) as i64;
            (whole * low / 1000, whole * high / 1000)
        };
        let (low, high) = part(self, size.along(axis));
        let (p0, p1) = part(self, size.along(p));
        let (q0, q1) = part(self, size.along(q));
        let corner = |c, a, b| Vec3::ZERO.with(axis, c).with(p, a).with(q, b);
        match self.below(4) {
            0 => Solid::Box(Box3::new(corner(low, p0, q0), corner(high, p1, q1))),
            1 if (p1 - p0).min(q1 - q0) > Length::um(2) => {
                let radius = (p1 - p0).min(q1 - q0).half();
                Solid::Cylinder {
                    axis,
                    base: corner(low, p0 + radius, q0 + radius),
                    radius,
                    height: high - low,
                }
            }
            n => Solid::Extrusion {
                axis,
                low,
                high,
                outline: match n {
                    2 => vec![[p0, q0], [p1, q0], [p0, q1]],
                    _ => vec![[p0, q0], [p1, q0], [p1, q1], [p0, q1]],
                },
                holes: match (p1 - p0).min(q1 - q0) > Length::um(40) {
                    true => vec![hole_in(p0, q0, p1 - p0, q1 - q0)],
                    false => vec![],
                },
            },
        }
    }

    fn zone(&mut self, i: usize) -> Zone {
        Zone {
            id: format!("zone-{i}"),
            name: self.text(),
            frame: self.frame(),
            size: self.extent(),
            depth: self.not_negative(),
            takes: vec![*self.pick(Group::ALL), *self.pick(Group::ALL)],
            holes: self.list(2, |c, _| c.hole()),
        }
    }

    fn section(&mut self) -> Section {
        let (w, t) = (self.length(), self.length());
        match self.flag() {
            true => Section::Flat(w.max(t), w.min(t)),
            false => Section::Round(w),
        }
    }

    fn port(&mut self, i: usize) -> Port {
        Port {
            id: format!("port-{i}"),
            name: self.text(),
            connector: "plug-1".to_owned(),
            at: self.point(),
            leaves: self.dir(),
            role: *self.pick(Role::ALL),
            lead: self.flag().then(|| CaptiveLead {
                length: self.length(),
                section: self.section(),
                bend: self.not_negative(),
            }),
            required: self.flag(),
            draws_mw: self.flag().then(|| self.below(1_000_000) as u32),
            passes: self.flag(),
            purpose: self.flag().then(|| *self.pick(Purpose::ALL)),
        }
    }

    fn pattern(&mut self, i: usize) -> Pattern {
        let holes = self.list(3, |c, _| c.hole());
        Pattern {
            id: format!("face-{i}"),
            frame: self.frame(),
            needs: self.below(holes.len() + 1),
            holes,
        }
    }

    fn kind(&mut self, id: &str) -> PartKind {
        let mut side = || self.between(1_000, 400_000);
        let size = Vec3::new(side(), side(), side());
        let mut body = self.list(2, |c, _| Piece {
            solid: c.solid(size),
            space: *c.pick(Space::ALL),
            name: c.text(),
        });
        if body.iter().all(|p| p.space != Space::Solid) {
            body.push(Piece {
                solid: Solid::Box(Box3::at(Vec3::ZERO, size)),
                space: Space::Solid,
                name: String::new(),
            });
        }
        PartKind {
            id: KindId::new(id).expect("it is sound"),
            name: self.text(),
            group: *self.pick(Group::ALL),
            size,
            body,
            patterns: self.list(2, Choices::pattern),
            zones: self.list(2, Choices::zone),
            ports: self.list(3, Choices::port),
            outlets: self.list(1, |c, i| Outlet {
                id: format!("outlet-{i}"),
                kind: "board-io".to_owned(),
                frame: c.frame(),
                size: c.extent(),
            }),
            features: self.list(2, |c, _| Feature {
                kind: *c.pick(FeatureKind::ALL),
                solid: c.solid(size),
                name: c.text(),
            }),
            blows: self.flag().then(|| self.dir()),
            pulls: self.flag().then(|| Pull {
                way: self.dir(),
                by: self.length(),
            }),
            heights: self.list(2, |c, _| {
                let size = Vec3::new(c.length(), c.length(), c.length());
                Box3::at(c.point(), size)
            }),
            ratings: Ratings {
                dimensions: self.dimensions(),
                mass_g: self.amount(),
                draws_w: self.amount(),
                gives_w: self.amount(),
                cost: self.amount(),
                flow_m3h: self.amount(),
                sound_db: self.amount(),
                up: self.list(2, |c, _| c.dir()),
                deviation: [(); 3].map(|()| {
                    self.flag().then(|| Deviation {
                        plus: self.length(),
                        minus: self.length(),
                    })
                }),
            },
            figures: self.figures(),
        }
    }

    fn plate(&mut self, i: usize, size: Vec3) -> Plate {
        let solid = self.solid(size);
        let bounds = solid.bounds();
        Plate {
            id: format!("plate-{i}"),
            name: self.text(),
            // Openings go right through their plate, and over its corner as they like.
            cutouts: self.list(2, |c, i| match i {
                0 => Cutout::Round {
                    centre: bounds.centre(),
                    diameter: c.length(),
                },
                _ => {
                    let more = Vec3::new(c.length(), c.length(), c.length());
                    let low = bounds.min() - more;
                    Cutout::Rect(Box3::new(low, bounds.max() + more))
                }
            }),
            solid,
            panel: self.flag().then(|| Panel {
                leaves: Dir::PosY,
                hinge: self.flag().then_some(Dir::NegX),
                opening: Box3::at(
                    Vec3::ZERO,
                    Vec3::new(self.length(), self.length(), self.not_negative()),
                ),
            }),
        }
    }

    fn enclosure(&mut self) -> Enclosure {
        let mut side = || self.between(1_000, 900_000);
        let size = Vec3::new(side(), side(), side());
        Enclosure {
            id: EnclosureId::new("own-box").expect("it is sound"),
            name: self.text(),
            size,
            plates: self.list(3, |c, i| c.plate(i, size)),
            zones: self.list(2, Choices::zone),
            passages: self.list(2, |c, i| Passage {
                id: format!("p{i}"),
                name: c.text(),
                frame: c.frame(),
                clear: c.extent(),
            }),
            ties: self.list(2, |c, i| Tie {
                id: format!("t{i}"),
                at: c.point(),
                clear: c.flag().then(|| c.length()),
            }),
            tucks: self.list(2, |c, i| Tuck {
                id: format!("k{i}"),
                name: c.text(),
                room: Box3::at(Vec3::ZERO, size),
            }),
            vents: self.list(2, |c, i| Vent {
                id: format!("v{i}"),
                frame: c.frame(),
                size: c.extent(),
                free: c.below(1001) as f64 / 1000.0,
                filter: c.flag(),
                filter_outside: c.flag(),
            }),
            openings: self.list(1, |c, i| Opening {
                id: format!("o{i}"),
                name: c.text(),
                kind: "board-io".to_owned(),
                frame: c.frame(),
                size: c.extent(),
            }),
            dimensions: self.dimensions(),
            figures: self.figures(),
        }
    }

    fn via(&mut self, enclosure: &Enclosure) -> Via {
        match self.below(5) {
            0 if !enclosure.passages.is_empty() => {
                Via::Passage(self.pick(&enclosure.passages).id.clone())
            }
            1 if !enclosure.ties.is_empty() => Via::Tie(self.pick(&enclosure.ties).id.clone()),
            2 => Via::Corner(self.point()),
            3 if !enclosure.ties.is_empty() => Via::Chosen(self.pick(&enclosure.ties).id.clone()),
            _ => Via::Point(self.point()),
        }
    }

    fn arrangement(&mut self, scene: &Scene, catalogue: &Catalogue) -> Arrangement {
        let mut all = Arrangement {
            name: self.text(),
            ..Arrangement::default()
        };
        for id in scene.parts.keys() {
            if self.below(4) > 0 {
                let place = Place {
                    at: self.point(),
                    turn: self.turn(),
                    locked: self.flag(),
                    hidden: self.flag(),
                };
                all.places.insert(id.clone(), place);
            }
        }
        let ports: Vec<PortRef> = scene
            .parts
            .iter()
            .flat_map(|(id, part)| part.kind.ports.iter().map(move |p| (id, p)))
            .map(|(id, port)| PortRef {
                part: id.clone(),
                port: port.id.clone(),
            })
            .collect();
        let kinds: Vec<CableKindId> = catalogue.cables.keys().cloned().collect();
        let cables = if ports.is_empty() { 0 } else { self.below(4) };
        for i in 0..cables {
            let plugs = (0..1 + self.below(3))
                .map(|_| PlugEnd {
                    to: self.pick(&ports).clone(),
                    length: self.length(),
                    via: self.list(3, |c, _| c.via(&scene.enclosure)),
                })
                .collect();
            let cable = Cable {
                name: self.text(),
                kind: self.flag().then(|| self.pick(&kinds).clone()),
                system: *self.pick(System::ALL),
                from: self.pick(&ports).clone(),
                plugs,
                section: self.section(),
                bend: self.not_negative(),
                finds: self.flag(),
                locked: self.flag(),
                hangs: self.flag().then(|| self.length()),
                extension: self.flag().then(|| Extension {
                    kind: self.pick(&kinds).clone(),
                    length: self.length(),
                }),
            };
            all.cables
                .insert(CableId::new(&format!("c{i}")).expect("it is sound"), cable);
        }
        for i in 0..self.below(3) {
            let mut accepted = closefit::model::Acceptance::of(&self.text());
            accepted.off = match i {
                0 => None,
                1 => Some(closefit::model::Off::Length(self.not_negative())),
                _ => {
                    let grams = self.below(5000) as f64 / 8.0;
                    let by = closefit::model::Amount::new(closefit::model::Unit::Gram, grams);
                    Some(closefit::model::Off::Amount(by))
                }
            };
            all.accepted.insert(format!("gap: a, b ({i})"), accepted);
        }
        all
    }
}

/// A square hole in the lower left quarter of a field, clear of a diagonal.
fn hole_in(p: Length, q: Length, width: Length, height: Length) -> Vec<[Length; 2]> {
    let at = |n: i64, m: i64| [p + width * n / 10, q + height * m / 10];
    vec![at(1, 1), at(3, 1), at(3, 3), at(1, 3)]
}
