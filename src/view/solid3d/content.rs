//! What the three-dimensional view shows: walls, parts with their details, cables.

use super::camera::{Camera, Corner};
use super::decor;
use super::explode::shifts;
use super::mesh::{Look, Mesh, lifted};
use super::vector::{P3, add, scaled};
use super::{SolidOptions, Walls};
use crate::geom::{Axis, Box3, Length, Ring, Solid};
use crate::model::{Cutout, FeatureKind, Plate, Section, Space};
use crate::placement::PlacedPart;
use crate::view::list::{Owner, System};
use crate::view::sheet::SheetInput;
use crate::view::ways::line_of;
use crate::view::{cables, parts};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;

/// Rank of walls, parts, and the first detail on a part.
const WALL: u8 = 0;
const PART: u8 = 1;
const DETAIL: u8 = 2;

/// Details smaller than this in two directions are left out, in millimetres.
const SMALL: f64 = 1.5;

/// What lies at most so far behind a face and shows through it, in millimetres.
const BEHIND: f64 = 8.0;

/// Above so many parts details are left out: they would be too small to see.
const MANY: usize = 120;

/// How far a cable's line may be off its true one, in millimetres.
const CHORD: f64 = 0.45;

/// The cosine of the largest turn at one point of a cable's line.
const TURN: f64 = 0.96;

/// Bodies in full, and walls that are shown as ghosts.
pub(crate) struct Content {
    pub bodies: Mesh,
    pub ghosts: Mesh,
}

/// Everything that is shown, in the enclosure's frame.
pub(crate) fn content(input: &SheetInput<'_>, options: &SolidOptions) -> Content {
    let mut content = Content {
        bodies: Mesh::default(),
        ghosts: Mesh::default(),
    };
    let explode = options.sound_explode();
    let outline = input.scene.enclosure.outline();
    let nearer = |plate: &Plate| faces_eye(plate, &outline, options.corner);
    let plates = &input.scene.enclosure.plates;
    let shifts = shifts(input, explode, |i| {
        options.walls == Walls::Whole || !nearer(&plates[i])
    });
    for (i, plate) in plates.iter().enumerate() {
        let look = Look {
            owner: None,
            system: System::Structure,
            darker: 0,
            rank: WALL,
        };
        let by = shifts.plate(i);
        let mesh = match options.walls {
            Walls::CutAway if nearer(plate) => continue,
            Walls::Ghost if nearer(plate) => &mut content.ghosts,
            _ => &mut content.bodies,
        };
        wall(mesh, plate, by, look);
    }
    let drawn: Vec<&PlacedPart> = input.placed.parts().filter(|p| !p.place.hidden).collect();
    let detailed = drawn.len() <= MANY;
    for part in &drawn {
        let by = shifts.part(&part.id);
        add_part(&mut content.bodies, part, by, detailed);
    }
    // A cable joins what an exploded view has taken apart.
    if input.options.cables && explode == 0.0 {
        add_cables(&mut content.bodies, input);
    }
    content
}

/// Whether a plate is one of the outer walls between the eye and what is inside.
fn faces_eye(plate: &Plate, outline: &Box3, corner: Corner) -> bool {
    let bounds = plate.solid.bounds();
    let (size, whole) = (bounds.size().as_mm(), outline.size().as_mm());
    let Some(axis) = (0..3).min_by(|a, b| size[*a].total_cmp(&size[*b])) else {
        return false;
    };
    let middle = (bounds.min().as_mm()[axis] + bounds.max().as_mm()[axis]) / 2.0;
    let share = (middle - outline.min().as_mm()[axis]) / whole[axis].max(1e-9);
    if corner.signs()[axis] > 0.0 {
        share > 0.8
    } else {
        share < 0.2
    }
}

/// A plate with its openings.
fn wall(mesh: &mut Mesh, plate: &Plate, by: P3, look: Look) {
    let bounds = plate.solid.bounds();
    let (axis, outline, holes) = match &plate.solid {
        Solid::Extrusion {
            axis,
            outline,
            holes,
            ..
        } => (*axis, outline.clone(), holes.clone()),
        Solid::Box(b) => {
            let axis = plate.across();
            (axis, rectangle(b, axis), Vec::new())
        }
        Solid::Cylinder { .. } => return mesh.solid(&plate.solid, by, look),
    };
    let (low, high) = (bounds.min().along(axis), bounds.max().along(axis));
    let mut along = [0.0; 3];
    along[axis.index()] = (high - low).as_mm();
    let cuts: Vec<Vec<[f64; 2]>> = plate.open().map(|(_, c)| opening(c, axis)).collect();
    let mm = |ring: &Ring| -> Vec<[f64; 2]> { ring.iter().map(|p| p.map(Length::as_mm)).collect() };
    let whole: Vec<Vec<[f64; 2]>> = std::iter::once(&outline).chain(&holes).map(mm).collect();
    if cuts.is_empty() {
        let lift = |r: &Ring| lifted(r, axis, low.as_mm(), by);
        let rings: Vec<Vec<P3>> = std::iter::once(&outline).chain(&holes).map(lift).collect();
        return mesh.plate(&rings, along, look);
    }
    // Outline and holes by the even-odd rule first, then less everything cut out.
    let whole = whole.overlay(
        &Vec::<Vec<[f64; 2]>>::new(),
        OverlayRule::Subject,
        FillRule::EvenOdd,
    );
    for shape in whole.overlay(&cuts, OverlayRule::Difference, FillRule::NonZero) {
        let (u, v) = axis.others();
        let lift = |ring: &Vec<[f64; 2]>| -> Vec<P3> {
            let point = |p: &[f64; 2]| {
                let mut q = by;
                q[u.index()] += p[0];
                q[v.index()] += p[1];
                q[axis.index()] += low.as_mm();
                q
            };
            ring.iter().map(point).collect()
        };
        let rings: Vec<Vec<P3>> = shape.iter().map(lift).collect();
        if rings.first().is_some_and(|r| r.len() > 2) {
            mesh.plate(&rings, along, look);
        }
    }
}

fn rectangle(b: &Box3, axis: Axis) -> Ring {
    let (u, v) = axis.others();
    let (min, max) = (b.min(), b.max());
    let at = |p: crate::geom::Vec3, q: crate::geom::Vec3| [p.along(u), q.along(v)];
    vec![at(min, min), at(max, min), at(max, max), at(min, max)]
}

/// The ring that an opening cuts, counter-clockwise.
fn opening(cutout: &Cutout, axis: Axis) -> Vec<[f64; 2]> {
    match cutout {
        Cutout::Rect(b) => {
            let ring = rectangle(b, axis);
            ring.iter().map(|p| p.map(Length::as_mm)).collect()
        }
        Cutout::Round { centre, diameter } => {
            let (u, v) = axis.others();
            let c = centre.as_mm();
            let r = diameter.as_mm() / 2.0;
            let sides = if r < 5.0 { 12 } else { 32 };
            let at = |i: usize| {
                let (sin, cos) = (std::f64::consts::TAU * i as f64 / sides as f64).sin_cos();
                [c[u.index()] + r * cos, c[v.index()] + r * sin]
            };
            (0..sides).map(at).collect()
        }
    }
}

fn add_part(mesh: &mut Mesh, part: &PlacedPart, by: P3, detailed: bool) {
    let look = Look {
        owner: Some(Owner::Part(part.index)),
        system: parts::system(part.group),
        darker: 0,
        rank: PART,
    };
    for piece in part.of(Space::Solid) {
        mesh.solid(&piece.solid, by, look);
    }
    if !detailed {
        return;
    }
    let shift = part.place.shift(&part.kind);
    let pushes = part.kind.blows.map(|d| part.place.turn.dir(d));
    for (i, feature) in part.kind.features.iter().enumerate() {
        let solid = feature.solid.placed(part.place.turn, shift);
        let size = solid.bounds().size().as_mm();
        if size.iter().filter(|s| **s >= SMALL).count() < 2 {
            continue;
        }
        let look = Look {
            darker: darker(feature.kind),
            rank: DETAIL.saturating_add(u8::try_from(i).unwrap_or(u8::MAX)),
            ..look
        };
        let solid = match feature.kind {
            FeatureKind::Blades | FeatureKind::Hub | FeatureKind::Fins | FeatureKind::Grille => {
                through(solid, &part.outline)
            }
            _ => solid,
        };
        mesh.solid(&solid, by, look);
        decor::on(mesh, feature.kind, &solid, by, pushes, look);
    }
}

/// A detail that shows through its part, such as the blades in a fan's frame: drawn
/// to the outer faces, where it lies just behind them.
fn through(solid: Solid, outline: &Box3) -> Solid {
    let bounds = solid.bounds();
    let size = outline.size();
    let thin = Axis::ALL.into_iter().min_by_key(|a| size.along(*a));
    let axis = match (&solid, thin) {
        (Solid::Cylinder { axis, .. } | Solid::Extrusion { axis, .. }, _) => *axis,
        (Solid::Box(_), Some(axis)) => axis,
        (Solid::Box(_), None) => return solid,
    };
    let reach = |from: Length, to: Length| {
        let gap = from - to;
        if gap.as_mm().abs() <= BEHIND {
            to
        } else {
            from
        }
    };
    let low = reach(bounds.min().along(axis), outline.min().along(axis));
    let high = reach(bounds.max().along(axis), outline.max().along(axis));
    match solid {
        Solid::Box(b) => Solid::Box(Box3::new(b.min().with(axis, low), b.max().with(axis, high))),
        Solid::Cylinder {
            axis, base, radius, ..
        } => Solid::Cylinder {
            axis,
            base: base.with(axis, low),
            radius,
            height: high - low,
        },
        Solid::Extrusion {
            axis,
            outline,
            holes,
            ..
        } => Solid::Extrusion {
            axis,
            low,
            high,
            outline,
            holes,
        },
    }
}

/// How much darker a detail is than the body that it is on.
const fn darker(kind: FeatureKind) -> u8 {
    match kind {
        FeatureKind::Blades | FeatureKind::Fins | FeatureKind::Grille => 2,
        FeatureKind::Label | FeatureKind::Bracket => 0,
        _ => 1,
    }
}

fn add_cables(mesh: &mut Mesh, input: &SheetInput<'_>) {
    let known = &input.scene.arrangement().cables;
    for (i, (id, run)) in input.runs.iter().enumerate() {
        let Some(cable) = known.get(id) else { continue };
        let look = Look {
            owner: Some(Owner::Cable(i as u32)),
            system: cables::system(cable.system),
            darker: 1,
            rank: PART,
        };
        for stretch in &run.stretches {
            let line = coarser(line_of(stretch));
            let sound = |p: &P3| p.iter().all(|c| c.abs() < 1e5);
            if line.len() < 2 || !line.iter().all(sound) {
                continue;
            }
            let half = |l: Length| (l.as_mm() / 2.0).max(0.4);
            match cable.section {
                Section::Round(d) => {
                    let sides = match d.as_mm() {
                        d if d > 8.0 => 9,
                        d if d > 4.0 => 7,
                        _ => 5,
                    };
                    mesh.tube(&line, [half(d); 2], sides, look);
                }
                Section::Flat(w, t) => {
                    // A square turned by an eighth reaches its sides by its corners.
                    let to = std::f64::consts::SQRT_2;
                    mesh.tube(&line, [half(w) * to, half(t) * to], 4, look);
                }
            }
        }
    }
}

/// The line without points that hardly matter: less than [`CHORD`] beside the chord
/// over them, and no turn that would show.
fn coarser(line: Vec<P3>) -> Vec<P3> {
    use super::vector::{dot, length, sub, unit};
    let mut kept: Vec<P3> = Vec::new();
    for (i, p) in line.iter().enumerate() {
        if let (Some(last), Some(next)) = (kept.last(), line.get(i + 1)) {
            let (to, over) = (sub(*p, *last), unit(sub(*next, *last)));
            let beside = length(sub(to, scaled(over, dot(to, over))));
            if beside < CHORD && dot(unit(to), unit(sub(*next, *p))) > TURN {
                continue;
            }
        }
        kept.push(*p);
    }
    kept
}

/// The middle of everything and the diagonal around it.
pub(crate) fn extent(content: &Content) -> (P3, f64) {
    let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    let faces = content.bodies.faces.iter().chain(&content.ghosts.faces);
    for p in faces.flat_map(|f| f.rings.iter().flatten()) {
        for k in 0..3 {
            low[k] = low[k].min(p[k]);
            high[k] = high[k].max(p[k]);
        }
    }
    if low[0] > high[0] {
        return ([0.0; 3], 1.0);
    }
    let middle = scaled(add(low, high), 0.5);
    let across = super::vector::sub(high, low);
    (middle, super::vector::length(across))
}

/// The camera that looks at all of it.
pub(crate) fn camera(content: &Content, options: &SolidOptions) -> Camera {
    let (centre, diagonal) = extent(content);
    Camera::new(options.corner, centre, diagonal, options.perspective)
}
