//! The three-dimensional view: shaded, from any of the eight corners, as a draw list.
//!
//! What shows is worked out exactly ([`seen`]), not painted over: each visible piece
//! of a face is an area of its own and each visible stretch of an edge a line, so the
//! view is as sharp in an SVG or a PDF as anything else on the page.

mod camera;
mod content;
mod decor;
mod explode;
mod grid;
mod mesh;
mod seen;
#[cfg(test)]
mod tests;
mod vector;

pub use camera::Corner;

use super::list::{DrawList, Layer, Line, LineType, Owner, Path, Point2, Role, Tone, Width};
use super::sheet::SheetInput;
use mesh::{EdgeKind, Mesh};
use seen::{P2, Seen};
use std::collections::BTreeMap;

/// What becomes of the outer walls between the eye and what is inside.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Walls {
    /// They are left out.
    #[default]
    CutAway,
    /// Only their edges are drawn, over a faint wash.
    Ghost,
    /// They are drawn like everything else.
    Whole,
}

/// How the three-dimensional view is drawn.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct SolidOptions {
    /// From where.
    pub corner: Corner,
    /// Mildly converging lines of sight; parallel (isometric) without.
    pub perspective: bool,
    /// The walls in the way.
    pub walls: Walls,
    /// Millimetres by which each part is lifted off what carries it, along the way
    /// in which it goes on; 0 for everything in its place. Cables are left out of an
    /// exploded view: they join what is taken apart. Not finite or negative counts as 0.
    pub explode: f64,
}

impl SolidOptions {
    pub(crate) fn sound_explode(&self) -> f64 {
        if self.explode.is_finite() {
            self.explode.clamp(0.0, 2000.0)
        } else {
            0.0
        }
    }
}

/// Above so many parts pages leave the three-dimensional view out: working out what
/// shows grows with the square of the faces, and nothing could be told apart.
pub const MOST_PARTS: usize = 1500;

/// Width of the rim in its own tone by which a piece of a face closes the seam to the
/// next, in page millimetres.
const RIM: f64 = 0.12;

/// The three-dimensional view of a scene, before it has a scale.
pub struct Solid3d {
    mesh: Mesh,
    seen: Seen,
    ghosts: Mesh,
    ghosts_seen: Seen,
    tones: Vec<Tone>,
    low: P2,
    high: P2,
}

impl Solid3d {
    /// Works out what shows of a scene.
    pub fn new(input: &SheetInput<'_>, options: &SolidOptions) -> Solid3d {
        let content = content::content(input, options);
        let camera = content::camera(&content, options);
        Solid3d::of(content.bodies, content.ghosts, &camera)
    }

    fn of(mesh: Mesh, ghosts: Mesh, camera: &camera::Camera) -> Solid3d {
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        let faces = mesh.faces.iter().chain(&ghosts.faces);
        for p in faces.flat_map(|f| f.rings.iter().flatten()) {
            let at = camera.see(*p);
            for k in 0..2 {
                low[k] = low[k].min(at[k]);
                high[k] = high[k].max(at[k]);
            }
        }
        if low[0] > high[0] {
            (low, high) = ([0.0; 2], [0.0; 2]);
        }
        let tone = |f: &mesh::Face| tone(camera.turned(f.normal), f.look.darker);
        Solid3d {
            tones: mesh.faces.iter().map(tone).collect(),
            seen: seen::seen(&mesh, camera),
            ghosts_seen: seen::seen(&ghosts, camera),
            mesh,
            ghosts,
            low,
            high,
        }
    }

    /// Width and height in scene millimetres.
    pub fn size(&self) -> (f64, f64) {
        (self.high[0] - self.low[0], self.high[1] - self.low[1])
    }

    /// The view at a scale (page millimetres for a scene millimetre); its upper left
    /// corner is the origin.
    pub fn draw(&self, scale: f64) -> DrawList {
        let mut list = DrawList::new();
        self.draw_faces(&mut list, scale);
        self.draw_edges(&mut list, scale, &self.mesh, &self.seen, false);
        for shown in &self.ghosts_seen.faces {
            let path = self.path(&shown.region, scale);
            list.pen().layer(Layer::Bodies).z(2).wash(path, Role::Ghost);
        }
        self.draw_edges(&mut list, scale, &self.ghosts, &self.ghosts_seen, true);
        list
    }

    fn point(&self, p: P2, scale: f64) -> Point2 {
        Point2::new((p[0] - self.low[0]) * scale, (self.high[1] - p[1]) * scale)
    }

    fn path(&self, regions: &[seen::Region], scale: f64) -> Path {
        regions.iter().flatten().fold(Path::new(), |path, ring| {
            path.with(&Path::polygon(ring.iter().map(|p| self.point(*p, scale))))
        })
    }

    fn draw_faces(&self, list: &mut DrawList, scale: f64) {
        let mut areas: BTreeMap<(Option<Owner>, Role), Path> = BTreeMap::new();
        for shown in &self.seen.faces {
            let look = self.mesh.faces[shown.face].look;
            let role = Role::Face(look.system, self.tones[shown.face]);
            let path = self.path(&shown.region, scale);
            if path.segments().is_empty() {
                continue;
            }
            let area = areas.entry((look.owner, role)).or_default();
            *area = std::mem::take(area).with(&path);
        }
        for ((owner, role), path) in areas {
            let mut pen = list.pen().layer(Layer::Bodies);
            if let Some(owner) = owner {
                pen = pen.owner(owner);
            }
            pen.fill(path.clone(), role)
                .stroke(path, Line::true_width(RIM), role);
        }
    }

    fn draw_edges(&self, list: &mut DrawList, scale: f64, mesh: &Mesh, seen: &Seen, ghost: bool) {
        let mut lines: BTreeMap<(Option<Owner>, bool), Path> = BTreeMap::new();
        let mut last: Option<(P2, (Option<Owner>, bool))> = None;
        for stretch in &seen.stretches {
            let edge = &mesh.edges[stretch.edge];
            let fine = edge.kind == EdgeKind::Detail || edge.look.rank > 1;
            let key = (edge.look.owner, fine);
            let path = lines.entry(key).or_default();
            if last != Some((stretch.a, key)) {
                path.move_to(self.point(stretch.a, scale));
            }
            path.line_to(self.point(stretch.b, scale));
            last = Some((stretch.b, key));
        }
        for ((owner, fine), path) in lines {
            let mut pen = list.pen().layer(Layer::Bodies).z(if ghost { 3 } else { 1 });
            if let Some(owner) = owner {
                pen = pen.owner(owner);
            }
            let (line, role) = match (ghost, fine) {
                (true, _) => (Line::new(Width::Hair, LineType::Phantom), Role::Ghost),
                (false, true) => (Line::HAIR, Role::InkSoft),
                (false, false) => (Line::THIN, Role::Ink),
            };
            pen.stroke(path, line, role);
        }
    }

    /// A point well inside the largest visible piece of what belongs to `owner`, and
    /// how much of it shows in square scene millimetres; the point as drawn at `scale`.
    pub fn spot(&self, owner: Owner, scale: f64) -> Option<(Point2, f64)> {
        let mut whole = 0.0;
        let mut best: Option<(f64, &seen::Region)> = None;
        for shown in &self.seen.faces {
            if self.mesh.faces[shown.face].look.owner != Some(owner) {
                continue;
            }
            for region in &shown.region {
                let area: f64 = region.iter().map(|r| seen::area(r)).sum();
                whole += area.abs();
                if best.as_ref().is_none_or(|(a, _)| area.abs() > *a) {
                    best = Some((area.abs(), region));
                }
            }
        }
        let at = inner_point(best?.1)?;
        Some((self.point(at, scale), whole))
    }

    /// What shows at a point of the view as drawn at scale 1: the face's owner.
    #[cfg(test)]
    fn face_at(&self, p: P2) -> Option<usize> {
        let mut at = self
            .seen
            .faces
            .iter()
            .filter(|f| f.region.iter().any(|r| seen::within(r, p)));
        at.next().map(|f| f.face)
    }
}

/// A point inside a region, as far from its edges as level cuts tell.
fn inner_point(region: &seen::Region) -> Option<P2> {
    let ys = region.iter().flatten().map(|p| p[1]);
    let (low, high) = ys.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), y| {
        (a.min(y), b.max(y))
    });
    let mut best: Option<(f64, P2)> = None;
    for i in 1..10 {
        let share = f64::from(i) / 10.0;
        let y = low + (high - low) * share;
        let mut xs: Vec<f64> = Vec::new();
        for ring in region {
            for (k, a) in ring.iter().enumerate() {
                let b = ring[(k + 1) % ring.len()];
                if (a[1] > y) != (b[1] > y) {
                    xs.push(a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]));
                }
            }
        }
        xs.sort_by(f64::total_cmp);
        for w in xs.chunks_exact(2) {
            let room = (w[1] - w[0]).min(2.0 * (high - low) * share.min(1.0 - share));
            if best.is_none_or(|(r, _)| room > r + 1e-9) {
                best = Some((room, [(w[0] + w[1]) / 2.0, y]));
            }
        }
    }
    best.map(|(_, p)| p)
}

/// The tone of a face that looks along `normal` (right, up, towards the eye): the
/// light comes over the reader's left shoulder.
fn tone(normal: vector::P3, darker: u8) -> Tone {
    let light = vector::unit([-0.45, 0.85, 0.45]);
    let share = (1.0 - vector::dot(normal, light)) / 1.45;
    let step = (share * f64::from(Tone::DARKEST)).round().clamp(0.0, 7.0) as u8;
    Tone::new(step.saturating_add(darker))
}
