//! What is on a template: gathered from the enclosure and the zones.

use super::face::{Face, Shape};
use super::fans;
use super::grille::Grille;
use super::{Drill, Element, Kind, Template};
use crate::geom::{Box3, Dir, Length, Vec3};
use crate::model::{Cutout, HoleShape, PartId, Plate, Zone, ZoneRef};
use crate::paper::Build;
use crate::placement::FACE_PLAY;
use std::collections::BTreeSet;

/// What a template is made of.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Subject {
    /// A zone of the enclosure (`channel`) or of a part (`radiator/fans-b`).
    Zone(String),
    /// A plate of the enclosure.
    Plate(String),
}

/// How it is made.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Options {
    /// From the other side than usual (zones: from where the part goes; plates: from
    /// outside).
    pub other_side: bool,
    /// Fills vents and fan openings with a grille.
    pub grille: Option<Grille>,
}

/// The template of a zone or plate.
///
/// # Errors
///
/// In words, where there is no such zone or plate (with the names that there are), or
/// where a grille is too fine or out of range.
pub fn template(
    build: &Build<'_>,
    subject: &Subject,
    options: Options,
) -> Result<Template, String> {
    if options.grille.is_some_and(|g| !g.is_sound()) {
        return Err("a grille takes openings and bars of 0.5 to 50 mm".to_owned());
    }
    let made = match subject {
        Subject::Zone(name) => of_zone(build, name, options)?,
        Subject::Plate(name) => of_plate(build, name, options)?,
    };
    made.finish(options.grille)
}

/// A template on the way, in the face's own coordinates.
struct Draft {
    title: String,
    notes: Vec<String>,
    face: Face,
    origin: [f64; 2],
    elements: Vec<Element>,
    drills: Vec<Drill>,
    /// True where fan openings get a grille.
    grilled: bool,
    /// Fields that a grille may fill, with the free share that the scene plans.
    fields: Vec<(Shape, Option<f64>, String)>,
}

fn of_zone(build: &Build<'_>, name: &str, options: Options) -> Result<Draft, String> {
    let (zone, words) = find_zone(build, name)?;
    let normal = zone.frame.normal;
    let eye = if options.other_side {
        normal.opposite()
    } else {
        normal
    };
    let face = Face::seen_from(eye);
    let edge = face.box_outline(&zone.frame.block(zone.size, Length::ZERO));
    let origin = edge.bounds()[0];
    let mut draft = Draft::new(format!("Template of zone '{words}'"), face, origin, options);
    draft.side(if options.other_side {
        "from behind the mounting face"
    } else {
        "from the side where the part goes"
    });
    let own = name.contains('/');
    let plate = if own { None } else { carrier(build, zone) };
    if let Some(plate) = plate {
        let corner = face.outline(&plate.solid).0[0].bounds()[0];
        let off = [origin[0] - corner[0], origin[1] - corner[1]];
        draft.notes.push(format!(
            "Its lower left corner lies {:.1} to the right of and {:.1} above that of the plate '{}' ({} mm thick).",
            off[0],
            off[1],
            plate.name,
            thickness(plate, eye)
        ));
    }
    if own {
        draft.notes.push(
            "These are holes of the part itself: do not drill it. A plate that goes over a thread takes a \
             clearance hole (ISO 273, medium, from memory: 3.4 mm for M3, 4.5 mm for M4)."
                .to_owned(),
        );
    }
    draft.add(Kind::Extent, edge, "");
    draft.holes(zone, &words);
    let limits = draft.limits();
    if let Some(plate) = plate {
        for (shape, label) in cuts(build, face, plate) {
            let b = shape.moved([-origin[0], -origin[1]]).bounds();
            let meets = (0..2).all(|i| b[0][i] <= limits[1][i] && b[1][i] >= limits[0][i]);
            if meets {
                draft.add(Kind::Cut, shape, &label);
            }
        }
    }
    draft.fans(zone);
    Ok(draft)
}

fn of_plate(build: &Build<'_>, name: &str, options: Options) -> Result<Draft, String> {
    let enclosure = &build.scene.enclosure;
    let plate = enclosure.plates.iter().find(|p| p.id == name);
    let plate = plate.ok_or_else(|| {
        let names: Vec<&str> = enclosure.plates.iter().map(|p| p.id.as_str()).collect();
        format!("there is no plate '{name}'; there are {}", names.join(", "))
    })?;
    let bounds = plate.solid.bounds();
    let size = bounds.size();
    let axis = crate::geom::Axis::ALL
        .into_iter()
        .min_by_key(|a| size.along(*a))
        .expect("there are three axes");
    let outside = bounds.centre().along(axis) >= enclosure.outline().centre().along(axis);
    let eye = Dir::new(axis, outside != options.other_side);
    let face = Face::seen_from(eye);
    let (rings, exact) = face.outline(&plate.solid);
    let origin = rings[0].bounds()[0];
    let mut draft = Draft::new(
        format!("Template of plate '{}'", plate.name),
        face,
        origin,
        options,
    );
    draft.side(if options.other_side {
        "from inside"
    } else {
        "from outside"
    });
    draft
        .notes
        .push(format!("The plate is {} mm thick.", thickness(plate, eye)));
    if !exact {
        draft.notes.push(
            "Only the outer box of the plate is drawn: its outline runs another way.".to_owned(),
        );
    }
    for ring in rings {
        draft.add(Kind::Edge, ring, "");
    }
    for (shape, label) in cuts(build, face, plate) {
        draft.add(Kind::Cut, shape, &label);
    }
    for zone in &enclosure.zones {
        if lies_on(zone, &bounds) {
            draft.holes(zone, &zone.name);
            draft.fans(zone);
        }
    }
    for vent in &enclosure.vents {
        let block = vent.frame.block(vent.size, Length::ZERO);
        if vent.frame.normal.axis() == axis
            && bounds.grown(FACE_PLAY).contains_point(block.centre())
        {
            let shape = face.box_outline(&block);
            let label = format!("vent {}", vent.id);
            draft.fields.push((shape, Some(vent.free), label));
        }
    }
    Ok(draft)
}

/// A zone by its name, with the words for it.
fn find_zone<'b>(build: &'b Build<'_>, name: &str) -> Result<(&'b Zone, String), String> {
    let (part, id) = match name.split_once('/') {
        Some((part, zone)) => (PartId::new(part).ok(), zone),
        None => (None, name),
    };
    let wanted = ZoneRef {
        part,
        zone: id.to_owned(),
    };
    let found = match wanted.part.is_none() && name.contains('/') {
        true => None,
        false => build.placed.zone(&wanted),
    };
    found
        .map(|z| (z, build.zone_words(&wanted)))
        .ok_or_else(|| {
            let own = build.scene.enclosure.zones.iter().map(|z| z.id.clone());
            let of_parts = build
                .placed
                .parts()
                .flat_map(|p| p.zones.iter().map(move |z| format!("{}/{}", p.id, z.id)));
            let names: Vec<String> = own.chain(of_parts).take(60).collect();
            format!("there is no zone '{name}'; there are {}", names.join(", "))
        })
}

/// The plate on which a zone of the enclosure lies.
fn carrier<'b>(build: &'b Build<'_>, zone: &Zone) -> Option<&'b Plate> {
    let plates = build.scene.enclosure.plates.iter();
    plates
        .filter(|p| lies_on(zone, &p.solid.bounds()))
        .max_by_key(|p| {
            let b = p.solid.bounds();
            let inside = |h: &&crate::model::Hole| {
                b.grown(FACE_PLAY)
                    .contains_point(zone.frame.point(h.u, h.v))
            };
            zone.holes.iter().filter(inside).count()
        })
}

/// True where the zone's face is a face of the plate, and a hole of it lies there.
fn lies_on(zone: &Zone, plate: &Box3) -> bool {
    let axis = zone.frame.normal.axis();
    let at = |b: &Box3| (b.min().along(axis), b.max().along(axis));
    let (low, high) = at(&plate.grown(FACE_PLAY));
    let plane = zone.frame.origin.along(axis);
    let thin = plate.size().along(axis);
    let grown = plate.grown(FACE_PLAY);
    low <= plane
        && plane <= high
        && thin <= Length::mm(12)
        && zone
            .holes
            .iter()
            .any(|h| grown.contains_point(zone.frame.point(h.u, h.v)))
}

fn thickness(plate: &Plate, eye: Dir) -> String {
    plate.solid.bounds().size().along(eye.axis()).to_string()
}

/// Openings of a plate: its cut-outs, and what else the enclosure says is open there
/// where no cut-out holds it.
fn cuts(build: &Build<'_>, face: Face, plate: &Plate) -> Vec<(Shape, String)> {
    let bounds = plate.solid.bounds();
    let axis = face.eye.axis();
    let mut found: Vec<(Shape, String)> = Vec::new();
    for (_, cutout) in plate.open() {
        let shape = match cutout {
            Cutout::Rect(b) => face.box_outline(b),
            Cutout::Round { centre, diameter } => Shape::Circle {
                at: face.point(*centre),
                diameter: diameter.as_mm(),
            },
        };
        found.push((shape, String::new()));
    }
    let grown = bounds.grown(Length::mm(1));
    let enclosure = &build.scene.enclosure;
    let openings = enclosure.openings.iter().map(|o| {
        let block = o.frame.block(o.size, Length::ZERO);
        (block, o.frame.normal, &o.name)
    });
    let passages = enclosure.passages.iter().map(|p| {
        let [u, v] = p.clear.map(Length::half);
        let corner = p.frame.point(Length::ZERO - u, Length::ZERO - v);
        let block = Box3::new(corner, p.frame.point(u, v));
        (block, p.frame.normal, &p.name)
    });
    for (block, normal, name) in openings.chain(passages) {
        if normal.axis() != axis || !grown.contains_point(middle(&block)) {
            continue;
        }
        let shape = face.box_outline(&block);
        match found.iter_mut().find(|(s, _)| s.contains(shape.middle())) {
            Some((_, label)) if label.is_empty() => label.push_str(name),
            Some(_) => {}
            None => found.push((shape, name.clone())),
        }
    }
    found
}

fn middle(b: &Box3) -> Vec3 {
    b.centre()
}

impl Draft {
    fn new(title: String, face: Face, origin: [f64; 2], options: Options) -> Draft {
        Draft {
            title,
            notes: Vec::new(),
            face,
            origin,
            grilled: options.grille.is_some(),
            elements: Vec::new(),
            drills: Vec::new(),
            fields: Vec::new(),
        }
    }

    fn side(&mut self, which: &str) {
        let from = match self.face.eye {
            Dir::NegX => "the left",
            Dir::PosX => "the right",
            Dir::NegY => "the front",
            Dir::PosY => "the back",
            Dir::NegZ => "below",
            Dir::PosZ => "above",
        };
        self.notes.push(format!(
            "Seen from {from} of the enclosure: {which}. Not mirrored."
        ));
    }

    fn add(&mut self, kind: Kind, shape: Shape, label: &str) {
        self.elements.push(Element {
            kind,
            shape: shape.moved([-self.origin[0], -self.origin[1]]),
            label: label.to_owned(),
        });
    }

    fn limits(&self) -> [[f64; 2]; 2] {
        bounds(&self.elements)
    }

    /// The holes of a zone; one that is there already is not drilled twice.
    fn holes(&mut self, zone: &Zone, words: &str) {
        let mut seats = 0;
        for hole in &zone.holes {
            if matches!(hole.shape, HoleShape::Seat { .. }) {
                seats += 1;
                continue;
            }
            let shape = self.face.hole(&zone.frame, hole);
            let moved = shape.moved([-self.origin[0], -self.origin[1]]);
            if self
                .elements
                .iter()
                .any(|e| e.kind == Kind::Drill && e.shape == moved)
            {
                continue;
            }
            let (at, slot) = match &moved {
                Shape::Slot { from, to, .. } => {
                    (*from, Some((to[0] - from[0]).hypot(to[1] - from[1])))
                }
                other => (other.middle(), None),
            };
            self.drills.push(Drill {
                mark: String::new(),
                at,
                diameter: hole.diameter,
                slot,
                thread: hole.thread.clone(),
                zone: words.to_owned(),
            });
            self.add(Kind::Drill, shape, "");
        }
        if seats > 0 {
            self.notes.push(format!(
                "{seats} seats of '{words}' (edge connectors, sockets, clips) are not drilled."
            ));
        }
    }

    /// Openings that the fans of a zone want and the plate does not have.
    fn fans(&mut self, zone: &Zone) {
        let cut: Vec<Shape> = self
            .elements
            .iter()
            .filter(|e| e.kind == Kind::Cut)
            .map(|e| e.shape.clone())
            .collect();
        // A grille takes the place of a round opening; otherwise that is left as it is.
        if self.grilled {
            for (at, _) in fans::openings(zone) {
                let p = zone.frame.point(Length::um(at[0]), Length::um(at[1]));
                let at = self.face.point(p);
                let at = [at[0] - self.origin[0], at[1] - self.origin[1]];
                let round = |e: &Element| {
                    e.kind == Kind::Cut
                        && matches!(e.shape, Shape::Circle { .. })
                        && e.shape.contains(at)
                };
                if let Some(i) = self.elements.iter().position(round) {
                    let cut = self.elements.remove(i).shape.moved(self.origin);
                    self.fields.push((cut, None, "fan opening".to_owned()));
                }
            }
        }
        for (at, diameter) in fans::openings(zone) {
            let p = zone.frame.point(Length::um(at[0]), Length::um(at[1]));
            let shape = Shape::Circle {
                at: self.face.point(p),
                diameter,
            };
            let moved = shape.moved([-self.origin[0], -self.origin[1]]);
            let known = self
                .fields
                .iter()
                .any(|(s, _, _)| s.contains(shape.middle()));
            if !known && !fans::is_open(moved.middle(), &cut) {
                self.fields
                    .push((shape, None, format!("fan opening {diameter}")));
            }
        }
    }

    fn finish(mut self, grille: Option<Grille>) -> Result<Template, String> {
        for (field, planned, label) in std::mem::take(&mut self.fields) {
            let kind = match planned {
                Some(_) => Kind::Vent,
                None => Kind::Suggested,
            };
            // What is open already, or gets a grille as a fan's, is no field of its own.
            let [low, high] = field.bounds();
            let inside = |p: [f64; 2]| (0..2).all(|i| low[i] <= p[i] && p[i] <= high[i]);
            let o = self.origin;
            let open = self.elements.iter().any(|e| {
                let m = e.shape.middle();
                matches!(e.kind, Kind::Cut | Kind::Grille) && inside([m[0] + o[0], m[1] + o[1]])
            });
            let fills = grille.filter(|_| planned.is_none() || !open);
            let mut note = match planned {
                Some(free) => format!("{label}: the scene plans {:.0} % free", free * 100.0),
                None if label == "fan opening" => format!("{label}: round in the scene"),
                None => format!("{label}: not in the scene, usual for the fan (frame less 4 mm)"),
            };
            if let Some(grille) = fills {
                let (openings, free) = grille.fill(&field).ok_or_else(|| {
                    format!("the grille is too fine for {label}: choose larger openings")
                })?;
                note.push_str(&format!(
                    "; {} {} of {} mm with bars of {} mm give {:.1} % of it free",
                    openings.len(),
                    grille.pattern.words(),
                    grille.hole,
                    grille.bar,
                    free * 100.0
                ));
                for opening in openings {
                    self.add(Kind::Grille, opening, "");
                }
            }
            self.notes.push(format!("{note}."));
            self.add(kind, field, &label);
        }
        if grille.is_some() && !self.elements.iter().any(|e| e.kind == Kind::Grille) {
            self.notes.push(
                "No grille: there is no vent here, and no four holes are those of a fan."
                    .to_owned(),
            );
        }
        self.mark();
        self.notes.push(
            "All figures are planning figures: measure the part before metal is cut.".to_owned(),
        );
        Ok(Template {
            bounds: bounds(&self.elements),
            title: self.title,
            notes: self.notes,
            elements: self.elements,
            drills: self.drills,
        })
    }

    /// A letter for each size, in the order of size, and a number in reading order.
    fn mark(&mut self) {
        let key = |d: &Drill| {
            (
                d.diameter,
                d.thread.clone(),
                d.slot.map(|s| (s * 1000.0).round() as i64),
            )
        };
        let sizes: BTreeSet<_> = self.drills.iter().map(key).collect();
        let sizes: Vec<_> = sizes.into_iter().collect();
        let mut order: Vec<usize> = (0..self.drills.len()).collect();
        order.sort_by(|a, b| {
            let (a, b) = (&self.drills[*a], &self.drills[*b]);
            let rows = b.at[1].total_cmp(&a.at[1]);
            key(a)
                .cmp(&key(b))
                .then(rows)
                .then(a.at[0].total_cmp(&b.at[0]))
        });
        let drawn: Vec<usize> = (0..self.elements.len())
            .filter(|i| self.elements[*i].kind == Kind::Drill)
            .collect();
        let mut last = None;
        let mut number = 0;
        for i in order {
            let size = sizes
                .binary_search(&key(&self.drills[i]))
                .unwrap_or_default();
            number = if last == Some(size) { number + 1 } else { 1 };
            last = Some(size);
            let mark = format!("{}{number}", letters(size));
            self.elements[drawn[i]].label.clone_from(&mark);
            self.drills[i].mark = mark;
        }
        let marked: Vec<Drill> = std::mem::take(&mut self.drills);
        let mut sorted = marked;
        sorted.sort_by_key(|d| {
            let split = d.mark.find(|c: char| c.is_ascii_digit()).unwrap_or(0);
            let (letters, digits) = d.mark.split_at(split);
            (
                letters.len(),
                letters.to_owned(),
                digits.parse::<usize>().unwrap_or(0),
            )
        });
        self.drills = sorted;
    }
}

/// A, B … Z, AA, AB …
fn letters(mut index: usize) -> String {
    let mut text = String::new();
    loop {
        text.insert(0, char::from(b'A' + (index % 26) as u8));
        if index < 26 {
            return text;
        }
        index = index / 26 - 1;
    }
}

fn bounds(elements: &[Element]) -> [[f64; 2]; 2] {
    let mut all = [[0.0; 2], [0.0; 2]];
    for [low, high] in elements.iter().map(|e| e.shape.bounds()) {
        for i in 0..2 {
            all[0][i] = f64::min(all[0][i], low[i]);
            all[1][i] = f64::max(all[1][i], high[i]);
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_after_z() {
        let names: Vec<String> = [0, 25, 26, 27, 701, 702].map(letters).to_vec();
        assert_eq!(names, ["A", "Z", "AA", "AB", "ZZ", "AAA"]);
    }
}
