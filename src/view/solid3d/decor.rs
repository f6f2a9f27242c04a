//! Lines on faces by which a part is known: blades, fins, rings of a grille.

use super::mesh::{Look, Mesh};
use super::vector::{P3, add};
use crate::geom::{Axis, Box3, Dir, Solid};
use crate::model::FeatureKind;
use crate::view::list::{Path, Point2};
use crate::view::parts::pattern;

/// Chords stay this near to curves, in millimetres.
const NEAR: f64 = 0.3;

/// Most lines of a field of fins; a closer pitch is widened.
const MOST: f64 = 40.0;

/// Adds the lines of a detail. `pushes` is the way in which a fan blows.
pub(super) fn on(
    mesh: &mut Mesh,
    kind: FeatureKind,
    solid: &Solid,
    by: P3,
    pushes: Option<Dir>,
    look: Look,
) {
    match (kind, solid) {
        (FeatureKind::Blades, Solid::Cylinder { axis, radius, .. }) => {
            let r = radius.as_mm();
            rotor(mesh, &solid.bounds(), *axis, r, by, pushes, look);
        }
        (FeatureKind::Grille, Solid::Cylinder { axis, radius, .. }) => {
            let r = radius.as_mm();
            let pitch = (r * 0.13).max(6.0);
            let at = Point2::default();
            let lines = pattern::rings(at, r * 0.22, r * 0.96, pitch).with(&pattern::spokes(
                at,
                r * 0.22,
                r,
                8,
                22.5,
            ));
            for up in [false, true] {
                on_end(mesh, &lines, &solid.bounds(), Dir::new(*axis, up), by, look);
            }
        }
        (FeatureKind::Fins | FeatureKind::Heatsink | FeatureKind::Grille, _) => {
            fins(mesh, &solid.bounds(), by, look);
        }
        _ => {}
    }
}

fn rotor(
    mesh: &mut Mesh,
    bounds: &Box3,
    axis: Axis,
    radius: f64,
    by: P3,
    pushes: Option<Dir>,
    look: Look,
) {
    // The hub is a detail of its own.
    let hub = radius * 0.36;
    let count = if radius > 80.0 { 9 } else { 7 };
    for up in [false, true] {
        let face = Dir::new(axis, up);
        let at = Point2::default();
        let inlet = pushes != Some(face);
        let lines =
            pattern::blades(at, hub, radius * 0.96, count, inlet).with(&Path::circle(at, hub));
        on_end(mesh, &lines, bounds, face, by, look);
    }
}

/// Lines about the middle of one side of a box.
fn on_end(mesh: &mut Mesh, lines: &Path, bounds: &Box3, face: Dir, by: P3, look: Look) {
    let axis = face.axis();
    let (u, v) = axis.others();
    let mut middle = add(
        super::vector::scaled(add(bounds.min().as_mm(), bounds.max().as_mm()), 0.5),
        by,
    );
    let level = bounds.face(face).as_mm();
    middle[axis.index()] = level + by[axis.index()];
    let mut normal = [0.0; 3];
    normal[axis.index()] = face.sign() as f64;
    for line in lines.flattened(NEAR) {
        let at = |p: &Point2| {
            let mut q = middle;
            q[u.index()] += p.x;
            q[v.index()] += p.y;
            q
        };
        let mut points: Vec<P3> = line.points.iter().map(at).collect();
        if line.closed {
            points.extend(points.first().copied());
        }
        mesh.line(&points, normal, look);
    }
}

/// Edges of sheets that stand in a row along the longest side of a box.
fn fins(mesh: &mut Mesh, bounds: &Box3, by: P3, look: Look) {
    let (min, size) = (add(bounds.min().as_mm(), by), bounds.size().as_mm());
    let row = (0..3).fold(0, |m, k| if size[k] > size[m] { k } else { m });
    let count = (size[row] / 4.0).floor().min(MOST);
    if count < 2.0 {
        return;
    }
    for k in (0..3).filter(|k| *k != row) {
        let other = 3 - row - k;
        for up in [false, true] {
            let mut normal = [0.0; 3];
            normal[k] = if up { 1.0 } else { -1.0 };
            let mut i = 1.0;
            while i < count {
                let mut a = min;
                a[row] += size[row] * i / count;
                if up {
                    a[k] += size[k];
                }
                let mut b = a;
                b[other] += size[other];
                mesh.line(&[a, b], normal, look);
                i += 1.0;
            }
        }
    }
}
