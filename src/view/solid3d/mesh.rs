//! Bodies as flat faces and straight edges.

use super::vector::{P3, add, cross, scaled, sub, unit};
use crate::geom::{Axis, Ring, Solid};
use crate::view::list::{Owner, System};

/// What the faces and edges of a body have in common.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Look {
    /// What it belongs to.
    pub owner: Option<Owner>,
    /// Its tint.
    pub system: System,
    /// Tones darker than the light alone makes it.
    pub darker: u8,
    /// Of two faces in one plane that of the higher rank shows.
    pub rank: u8,
}

/// A flat face: an outline and its holes.
#[derive(Clone, Debug)]
pub(crate) struct Face {
    /// The outline first, then holes; corners in order, in either sense.
    pub rings: Vec<Vec<P3>>,
    /// Out of the body.
    pub normal: P3,
    /// The body; faces of one convex body do not hide one another.
    pub body: u32,
    /// Owner, tint and rank.
    pub look: Look,
}

/// When an edge is drawn.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum EdgeKind {
    /// Where at least one of its faces looks at the eye.
    Sharp,
    /// Where one of its faces looks at the eye and the other away: the outline of
    /// something round.
    Smooth,
    /// A line on its first face, where that looks at the eye.
    Detail,
}

/// A straight edge.
#[derive(Clone, Debug)]
pub(crate) struct Edge {
    pub a: P3,
    pub b: P3,
    pub kind: EdgeKind,
    /// Normals of the faces at its sides.
    pub normals: [P3; 2],
    pub body: u32,
    pub look: Look,
}

/// Faces and edges of everything that is drawn.
#[derive(Clone, Debug, Default)]
pub(crate) struct Mesh {
    pub faces: Vec<Face>,
    pub edges: Vec<Edge>,
    /// By body: whether it is convex.
    pub convex: Vec<bool>,
}

/// Where the corners and the ends of a prism lie.
struct Prism<'a> {
    rings: &'a [Vec<P3>],
    along: P3,
    convex: bool,
    /// Sides are facets of something round.
    round: bool,
}

impl Mesh {
    /// Adds a solid, moved by `by`.
    pub fn solid(&mut self, solid: &Solid, by: P3, look: Look) {
        match solid {
            Solid::Box(b) => {
                let (min, size) = (add(b.min().as_mm(), by), b.size().as_mm());
                let at = |x: f64, y: f64| add(min, [x * size[0], y * size[1], 0.0]);
                let ring = vec![at(0.0, 0.0), at(1.0, 0.0), at(1.0, 1.0), at(0.0, 1.0)];
                self.prism(
                    &Prism {
                        rings: &[ring],
                        along: [0.0, 0.0, size[2]],
                        convex: true,
                        round: false,
                    },
                    look,
                );
            }
            Solid::Cylinder {
                axis,
                base,
                radius,
                height,
            } => {
                let r = radius.as_mm();
                let sides = corners_of(r);
                let (u, v) = axis.others();
                let ring = (0..sides).map(|i| {
                    let (sin, cos) = (std::f64::consts::TAU * i as f64 / sides as f64).sin_cos();
                    let mut p = add(base.as_mm(), by);
                    p[u.index()] += r * cos;
                    p[v.index()] += r * sin;
                    p
                });
                let mut along = [0.0; 3];
                along[axis.index()] = height.as_mm();
                self.prism(
                    &Prism {
                        rings: &[ring.collect()],
                        along,
                        convex: true,
                        round: true,
                    },
                    look,
                );
            }
            Solid::Extrusion {
                axis,
                low,
                high,
                outline,
                holes,
            } => {
                let lift = |ring: &Ring| lifted(ring, *axis, low.as_mm(), by);
                let rings: Vec<Vec<P3>> = std::iter::once(outline).chain(holes).map(lift).collect();
                let mut along = [0.0; 3];
                along[axis.index()] = (*high - *low).as_mm();
                self.prism(
                    &Prism {
                        rings: &rings,
                        along,
                        convex: false,
                        round: false,
                    },
                    look,
                );
            }
        }
    }

    /// Adds a plate with openings: rings across an axis, the outline first.
    pub fn plate(&mut self, rings: &[Vec<P3>], along: P3, look: Look) {
        let prism = Prism {
            rings,
            along,
            convex: false,
            round: false,
        };
        self.prism(&prism, look);
    }

    /// Adds a tube of this radius along a line; `sides` at least 3.
    pub fn tube(&mut self, line: &[P3], half: [f64; 2], sides: usize, look: Look) {
        let frames = frames(line);
        let ring = |i: usize| -> Vec<P3> {
            let (at, u, v) = frames[i];
            (0..sides)
                .map(|k| {
                    let turn = std::f64::consts::TAU * (k as f64 + 0.5) / sides as f64;
                    let (sin, cos) = turn.sin_cos();
                    add(at, add(scaled(u, half[0] * cos), scaled(v, half[1] * sin)))
                })
                .collect()
        };
        let mut last: Option<Vec<P3>> = None;
        for i in 0..frames.len().saturating_sub(1) {
            let (from, to) = (ring(i), ring(i + 1));
            let body = self.new_body(true);
            let next = |k: usize| (k + 1) % sides;
            let normals: Vec<P3> = (0..sides)
                .map(|k| unit(cross(sub(from[next(k)], from[k]), sub(to[k], from[k]))))
                .collect();
            for k in 0..sides {
                let corners = vec![from[k], from[next(k)], to[next(k)], to[k]];
                self.face(vec![corners], normals[k], body, look);
                let before = normals[(k + sides - 1) % sides];
                let kind = EdgeKind::Smooth;
                self.edge((from[k], to[k]), kind, [before, normals[k]], body, look);
                if let Some(others) = &last {
                    let ends = (from[k], from[next(k)]);
                    self.edge(ends, kind, [others[k], normals[k]], body, look);
                }
            }
            let way = unit(sub(frames[i + 1].0, frames[i].0));
            if i == 0 {
                self.end(&from, scaled(way, -1.0), &normals, body, look);
            }
            if i + 2 == frames.len() {
                self.end(&to, way, &normals, body, look);
            }
            last = Some(normals);
        }
    }

    /// The flat end of a tube.
    fn end(&mut self, ring: &[P3], out: P3, sides: &[P3], body: u32, look: Look) {
        self.face(vec![ring.to_vec()], out, body, look);
        for (k, side) in sides.iter().enumerate() {
            let ends = (ring[k], ring[(k + 1) % ring.len()]);
            self.edge(ends, EdgeKind::Sharp, [out, *side], body, look);
        }
    }

    /// Adds a line on a face that looks along `normal`.
    pub fn line(&mut self, line: &[P3], normal: P3, look: Look) {
        for w in line.windows(2) {
            let normals = [normal, normal];
            self.edge((w[0], w[1]), EdgeKind::Detail, normals, u32::MAX, look);
        }
    }

    fn new_body(&mut self, convex: bool) -> u32 {
        self.convex.push(convex);
        u32::try_from(self.convex.len() - 1).unwrap_or(u32::MAX)
    }

    fn face(&mut self, rings: Vec<Vec<P3>>, normal: P3, body: u32, look: Look) {
        self.faces.push(Face {
            rings,
            normal,
            body,
            look,
        });
    }

    fn edge(&mut self, (a, b): (P3, P3), kind: EdgeKind, normals: [P3; 2], body: u32, look: Look) {
        self.edges.push(Edge {
            a,
            b,
            kind,
            normals,
            body,
            look,
        });
    }

    fn prism(&mut self, prism: &Prism<'_>, look: Look) {
        let body = self.new_body(prism.convex);
        let out = unit(prism.along);
        let flat = out == [0.0; 3];
        // A body without thickness still has a face to each side.
        let axis = if flat {
            normal_of(&prism.rings[0])
        } else {
            out
        };
        let far = |ring: &Vec<P3>| ring.iter().map(|p| add(*p, prism.along)).collect();
        let ends: Vec<Vec<P3>> = prism.rings.iter().map(far).collect();
        self.face(prism.rings.to_vec(), scaled(axis, -1.0), body, look);
        self.face(ends, axis, body, look);
        for (which, ring) in prism.rings.iter().enumerate() {
            let n = ring.len();
            // Seen along the axis: to the left of an edge of a ring that runs
            // counter-clockwise is the inside.
            let turns = along(normal_of(ring), axis) > 0.0;
            let outward = turns == (which == 0);
            let side = |i: usize| {
                let way = unit(sub(ring[(i + 1) % n], ring[i]));
                let right = cross(way, axis);
                if outward { right } else { scaled(right, -1.0) }
            };
            for i in 0..n {
                let (p, q) = (ring[i], ring[(i + 1) % n]);
                let (up, uq) = (add(p, prism.along), add(q, prism.along));
                let normal = side(i);
                if !flat {
                    self.face(vec![vec![p, q, uq, up]], normal, body, look);
                    let before = side((i + n - 1) % n);
                    let kind = if prism.round {
                        EdgeKind::Smooth
                    } else {
                        EdgeKind::Sharp
                    };
                    self.edge((p, up), kind, [before, normal], body, look);
                }
                let lower = [scaled(axis, -1.0), normal];
                self.edge((p, q), EdgeKind::Sharp, lower, body, look);
                if !flat {
                    self.edge((up, uq), EdgeKind::Sharp, [axis, normal], body, look);
                }
            }
        }
    }
}

fn along(a: P3, b: P3) -> f64 {
    super::vector::dot(a, b)
}

/// How many corners stand for a circle of this radius in millimetres.
fn corners_of(radius: f64) -> usize {
    match radius {
        r if r < 3.0 => 12,
        r if r < 12.0 => 20,
        _ => 40,
    }
}

/// The normal of a ring by its area, at length one.
pub(crate) fn normal_of(ring: &[P3]) -> P3 {
    let mut sum = [0.0; 3];
    for i in 1..ring.len().saturating_sub(1) {
        let c = cross(sub(ring[i], ring[0]), sub(ring[i + 1], ring[0]));
        sum = add(sum, c);
    }
    unit(sum)
}

/// A ring across an axis at a height along it.
pub(crate) fn lifted(ring: &Ring, axis: Axis, at: f64, by: P3) -> Vec<P3> {
    let (u, v) = axis.others();
    let point = |p: &[crate::geom::Length; 2]| {
        let mut q = by;
        q[u.index()] += p[0].as_mm();
        q[v.index()] += p[1].as_mm();
        q[axis.index()] += at;
        q
    };
    ring.iter().map(point).collect()
}

/// At each point of a line two directions square to it that do not twist.
fn frames(line: &[P3]) -> Vec<(P3, P3, P3)> {
    let mut points: Vec<P3> = Vec::new();
    for p in line {
        if points
            .last()
            .is_none_or(|q| super::vector::length(sub(*p, *q)) > 1e-6)
        {
            points.push(*p);
        }
    }
    let mut found: Vec<(P3, P3, P3)> = Vec::new();
    for (i, at) in points.iter().enumerate() {
        let before = points[i.saturating_sub(1)];
        let after = points[(i + 1).min(points.len() - 1)];
        let way = unit(sub(after, before));
        let hint = match found.last() {
            Some((_, u, _)) => *u,
            // Flat cables leave their plugs lying; most plugs are wider than high.
            None if way[2].abs() < 0.9 => cross(way, [0.0, 0.0, 1.0]),
            None => cross(way, [0.0, 1.0, 0.0]),
        };
        let v = unit(cross(way, hint));
        found.push((*at, cross(v, way), v));
    }
    found
}
