//! What shows of each face and each edge, exactly.
//!
//! Seen by the camera, depth is a linear function over each flat face, so where one
//! face lies in front of another is bounded by a straight line: what hides a face is
//! each nearer face, cut off at that line, and what shows is the face less all of
//! those. Bodies may run through one another, and no order of painting is needed.
//! Of an edge, what hides it is an interval along it for each nearer face.

use super::camera::Camera;
use super::grid::Cells;
use super::mesh::{EdgeKind, Mesh};
use super::vector::P3;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;

/// A point of the picture, in scene millimetres to the right and up.
pub(crate) type P2 = [f64; 2];

/// Rings of what shows, the outline of each piece first.
pub(crate) type Region = Vec<Vec<P2>>;

/// Depths closer than this count as one plane, in millimetres.
const FLUSH: f64 = 0.02;

/// Pieces smaller than this are not drawn, in square millimetres.
const SPECK: f64 = 1e-4;

/// Stretches shorter than this are not drawn, in millimetres.
const STUB: f64 = 0.02;

/// A face as the camera sees it.
pub(crate) struct Shown {
    /// Its place in the mesh.
    pub face: usize,
    /// Counter-clockwise outline, clockwise holes.
    rings: Vec<Vec<P2>>,
    /// Depth at (x, y): `plane[0] x + plane[1] y + plane[2]`.
    plane: P3,
    bounds: [P2; 2],
    body: u32,
    rank: u8,
    /// What shows of it.
    pub region: Vec<Region>,
}

/// A visible stretch of an edge.
pub(crate) struct Stretch {
    /// Its edge's place in the mesh.
    pub edge: usize,
    pub a: P2,
    pub b: P2,
}

/// What shows of a mesh.
pub(crate) struct Seen {
    pub faces: Vec<Shown>,
    pub stretches: Vec<Stretch>,
}

/// Works out what shows.
pub(crate) fn seen(mesh: &Mesh, camera: &Camera) -> Seen {
    let mut faces: Vec<Shown> = (0..mesh.faces.len())
        .filter_map(|i| facing(mesh, camera, i))
        .collect();
    let cells = Cells::new(faces.iter().map(|f| f.bounds));
    drop_covered(mesh, &mut faces, &cells);
    let cells = Cells::new(faces.iter().map(|f| f.bounds));
    let regions: Vec<Vec<Region>> = (0..faces.len())
        .map(|i| region(mesh, &faces, &cells, i))
        .collect();
    for (face, region) in faces.iter_mut().zip(regions) {
        face.region = region;
    }
    let mut stretches = Vec::new();
    for i in 0..mesh.edges.len() {
        edge(mesh, camera, &faces, &cells, i, &mut stretches);
    }
    Seen { faces, stretches }
}

/// The face, where it looks at the eye.
fn facing(mesh: &Mesh, camera: &Camera, index: usize) -> Option<Shown> {
    let face = &mesh.faces[index];
    let seen: Vec<Vec<P3>> = face
        .rings
        .iter()
        .map(|r| r.iter().map(|p| camera.see(*p)).collect())
        .collect();
    let outline = seen.first()?;
    let mut n = super::mesh::normal_of(outline);
    // The corners may run either way; the normal of the face tells which is out.
    let out = camera_normal(camera, face.rings[0][0], face.normal);
    if super::vector::dot(n, out) < 0.0 {
        n = super::vector::scaled(n, -1.0);
    }
    if n[2] < 1e-4 {
        return None;
    }
    let count = outline.len() as f64;
    let m = outline
        .iter()
        .fold([0.0; 3], |s, p| super::vector::add(s, *p));
    let m = super::vector::scaled(m, 1.0 / count);
    let (a, b) = (-n[0] / n[2], -n[1] / n[2]);
    let plane = [a, b, m[2] - a * m[0] - b * m[1]];
    let mut rings: Vec<Vec<P2>> = seen
        .iter()
        .map(|r| r.iter().map(|p| [p[0], p[1]]).collect())
        .collect();
    for (i, ring) in rings.iter_mut().enumerate() {
        if (area(ring) > 0.0) != (i == 0) {
            ring.reverse();
        }
    }
    if area(&rings[0]) < SPECK {
        return None;
    }
    let bounds = bounds(&rings[0]);
    Some(Shown {
        face: index,
        rings,
        plane,
        bounds,
        body: face.body,
        rank: face.look.rank,
        region: Vec::new(),
    })
}

/// A direction at a point as the camera sees it.
fn camera_normal(camera: &Camera, at: P3, normal: P3) -> P3 {
    let step = super::vector::scaled(normal, 0.01);
    super::vector::sub(camera.see(super::vector::add(at, step)), camera.see(at))
}

/// The signed area of a ring, positive counter-clockwise.
pub(crate) fn area(ring: &[P2]) -> f64 {
    let n = ring.len();
    let sum: f64 = (0..n)
        .map(|i| {
            let (p, q) = (ring[i], ring[(i + 1) % n]);
            p[0] * q[1] - p[1] * q[0]
        })
        .sum();
    sum / 2.0
}

fn bounds(ring: &[P2]) -> [P2; 2] {
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for p in ring {
        for k in 0..2 {
            low[k] = low[k].min(p[k]);
            high[k] = high[k].max(p[k]);
        }
    }
    [low, high]
}

/// How much nearer one face is than another at (x, y).
fn ahead(near: &P3, far: &P3) -> P3 {
    [near[0] - far[0], near[1] - far[1], near[2] - far[2]]
}

fn at(plane: &P3, p: P2) -> f64 {
    plane[0] * p[0] + plane[1] * p[1] + plane[2]
}

/// How a face stands to another where both are seen.
enum Side {
    /// Nowhere in front.
    Behind,
    /// In front wherever it is seen.
    Before,
    /// In front where this is above nought.
    Partly(P3),
}

fn side(mesh: &Mesh, faces: &[Shown], g: usize, f: usize) -> Side {
    let (near, far) = (&faces[g], &faces[f]);
    if near.body == far.body && mesh.convex[near.body as usize] {
        return Side::Behind;
    }
    let low = [0, 1].map(|k| near.bounds[0][k].max(far.bounds[0][k]));
    let high = [0, 1].map(|k| near.bounds[1][k].min(far.bounds[1][k]));
    if low[0] >= high[0] || low[1] >= high[1] {
        return Side::Behind;
    }
    let flat = |f: &Shown| f.rings.len() == 1 && mesh.convex[f.body as usize];
    if (flat(near) && apart(&near.rings[0], &far.rings[0]))
        || (flat(far) && apart(&far.rings[0], &near.rings[0]))
    {
        return Side::Behind;
    }
    let d = ahead(&near.plane, &far.plane);
    let corners = [low, [low[0], high[1]], high, [high[0], low[1]]].map(|p| at(&d, p));
    let least = corners.into_iter().fold(f64::INFINITY, f64::min);
    let most = corners.into_iter().fold(f64::NEG_INFINITY, f64::max);
    match () {
        () if most <= FLUSH && least >= -FLUSH => {
            let wins = (near.rank, g) > (far.rank, f);
            if wins { Side::Before } else { Side::Behind }
        }
        () if most <= FLUSH => Side::Behind,
        () if least >= -FLUSH => Side::Before,
        () => Side::Partly(d),
    }
}

/// Whether one edge of a convex ring has all of another ring on its outer side.
fn apart(convex: &[P2], other: &[P2]) -> bool {
    let n = convex.len();
    (0..n).any(|i| {
        let (a, b) = (convex[i], convex[(i + 1) % n]);
        let way = [b[0] - a[0], b[1] - a[1]];
        let reach = 1e-7 * (way[0].abs() + way[1].abs());
        let out = |p: &P2| way[0] * (p[1] - a[1]) - way[1] * (p[0] - a[0]) <= reach;
        other.iter().all(out)
    })
}

/// Leaves out faces that one other hides wholly: they show nothing, and what they
/// hide is hidden by that other as well.
fn drop_covered(mesh: &Mesh, faces: &mut Vec<Shown>, cells: &Cells) {
    let hidden: Vec<bool> = (0..faces.len())
        .map(|f| {
            let [low, high] = faces[f].bounds;
            let corners = &faces[f].rings[0];
            cells.near(faces[f].bounds).into_iter().any(|g| {
                let g = g as usize;
                let over = &faces[g];
                g != f
                    && over.bounds[0][0] <= low[0]
                    && over.bounds[0][1] <= low[1]
                    && over.bounds[1][0] >= high[0]
                    && over.bounds[1][1] >= high[1]
                    && over.rings.len() == 1
                    && mesh.convex[over.body as usize]
                    && corners.iter().all(|c| strictly_inside(&over.rings[0], *c))
                    && matches!(side(mesh, faces, g, f), Side::Before)
            })
        })
        .collect();
    let mut hidden = hidden.into_iter();
    faces.retain(|_| !hidden.next().unwrap_or(false));
}

/// Inside a convex ring that runs counter-clockwise, off its edges.
fn strictly_inside(ring: &[P2], p: P2) -> bool {
    let n = ring.len();
    (0..n).all(|i| {
        let (a, b) = (ring[i], ring[(i + 1) % n]);
        (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) > 1e-9
    })
}

fn region(mesh: &Mesh, faces: &[Shown], cells: &Cells, f: usize) -> Vec<Region> {
    let face = &faces[f];
    let mut over: Vec<Vec<P2>> = Vec::new();
    for g in cells.near(face.bounds) {
        let g = g as usize;
        if g == f {
            continue;
        }
        match side(mesh, faces, g, f) {
            Side::Behind => {}
            Side::Before => over.extend(faces[g].rings.iter().cloned()),
            Side::Partly(d) => over.extend(faces[g].rings.iter().filter_map(|r| cut(r, &d))),
        }
    }
    if over.is_empty() {
        return vec![face.rings.clone()];
    }
    let left = face
        .rings
        .overlay(&over, OverlayRule::Difference, FillRule::NonZero);
    left.into_iter()
        .filter(|shape| shape.first().is_some_and(|r| area(r).abs() > SPECK))
        .collect()
}

/// The part of a ring where `d` is above nought. Where the ring is not convex the
/// cut runs along the line more than once, which encloses no area.
fn cut(ring: &[P2], d: &P3) -> Option<Vec<P2>> {
    let n = ring.len();
    let mut kept = Vec::with_capacity(n + 4);
    for i in 0..n {
        let (p, q) = (ring[i], ring[(i + 1) % n]);
        let (a, b) = (at(d, p), at(d, q));
        if a > 0.0 {
            kept.push(p);
        }
        if (a > 0.0) != (b > 0.0) {
            let t = a / (a - b);
            kept.push([p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])]);
        }
    }
    (kept.len() > 2).then_some(kept)
}

fn edge(
    mesh: &Mesh,
    camera: &Camera,
    faces: &[Shown],
    cells: &Cells,
    index: usize,
    found: &mut Vec<Stretch>,
) {
    let edge = &mesh.edges[index];
    let looks = edge
        .normals
        .map(|n| camera_normal(camera, edge.a, n)[2] > 1e-9);
    let drawn = match edge.kind {
        EdgeKind::Sharp => looks[0] || looks[1],
        EdgeKind::Smooth => looks[0] != looks[1],
        EdgeKind::Detail => looks[0],
    };
    if !drawn {
        return;
    }
    let (a, b) = (camera.see(edge.a), camera.see(edge.b));
    let (p, q) = ([a[0], a[1]], [b[0], b[1]]);
    let length = (q[0] - p[0]).hypot(q[1] - p[1]);
    if length < STUB {
        return;
    }
    let mut hidden: Vec<(f64, f64)> = Vec::new();
    for g in cells.near(bounds(&[p, q])) {
        let face = &faces[g as usize];
        if face.body == edge.body && mesh.convex[face.body as usize] {
            continue;
        }
        let (d0, d1) = (at(&face.plane, p) - a[2], at(&face.plane, q) - b[2]);
        let (from, to) = match () {
            () if d0.abs() <= FLUSH && d1.abs() <= FLUSH => {
                if face.rank <= edge.look.rank {
                    continue;
                }
                (0.0, 1.0)
            }
            () if d0 <= FLUSH && d1 <= FLUSH => continue,
            () if d0 >= FLUSH && d1 >= FLUSH => (0.0, 1.0),
            // From where the face is nearer by more than what counts as flush.
            () if d0 > d1 => (0.0, (d0 - FLUSH) / (d0 - d1)),
            () => ((FLUSH - d0) / (d1 - d0), 1.0),
        };
        inside(&face.rings, p, q, (from, to), &mut hidden);
    }
    hidden.sort_by(|x, y| x.0.total_cmp(&y.0));
    let mut start = 0.0;
    let point = |t: f64| [p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])];
    let mut show = |from: f64, to: f64| {
        if (to - from) * length > STUB {
            let (a, b) = (point(from), point(to));
            found.push(Stretch { edge: index, a, b });
        }
    };
    for (from, to) in hidden {
        show(start, from);
        start = f64::max(start, to);
    }
    show(start, 1.0);
}

/// The stretches of p to q inside the rings and between two shares of the way.
fn inside(rings: &[Vec<P2>], p: P2, q: P2, (from, to): (f64, f64), found: &mut Vec<(f64, f64)>) {
    if to - from <= 0.0 {
        return;
    }
    let way = [q[0] - p[0], q[1] - p[1]];
    let mut at: Vec<f64> = vec![from, to];
    for ring in rings {
        let n = ring.len();
        for i in 0..n {
            let (a, b) = (ring[i], ring[(i + 1) % n]);
            let side = |c: P2| way[0] * (c[1] - p[1]) - way[1] * (c[0] - p[0]);
            let (sa, sb) = (side(a), side(b));
            if (sa > 0.0) == (sb > 0.0) {
                continue;
            }
            let s = sa / (sa - sb);
            let c = [a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1])];
            let t = ((c[0] - p[0]) * way[0] + (c[1] - p[1]) * way[1])
                / (way[0] * way[0] + way[1] * way[1]);
            if t > from && t < to {
                at.push(t);
            }
        }
    }
    at.sort_by(f64::total_cmp);
    for w in at.windows(2).filter(|w| w[1] > w[0]) {
        let m = (w[0] + w[1]) / 2.0;
        if within(rings, [p[0] + m * way[0], p[1] + m * way[1]]) {
            found.push((w[0], w[1]));
        }
    }
}

/// Inside the rings by the even-odd rule.
pub(crate) fn within(rings: &[Vec<P2>], p: P2) -> bool {
    let mut odd = false;
    for ring in rings {
        let n = ring.len();
        for i in 0..n {
            let (a, b) = (ring[i], ring[(i + 1) % n]);
            if (a[1] > p[1]) != (b[1] > p[1])
                && p[0] < a[0] + (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1])
            {
                odd = !odd;
            }
        }
    }
    odd
}
