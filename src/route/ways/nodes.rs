//! The fixed places of a stretch, and the ways in which each may be left.

use super::field::CLEAR;
use crate::geom::{Dir, Length, Vec3};
use crate::model::{PortRef, Via};
use crate::placement::Placed;
use crate::route::bend::{Point, add, dot, norm, sub, unit};
use crate::route::run::Stretch;

/// A fixed place on a stretch, with the ways in which it may be left.
pub(super) struct Node {
    pub at: Point,
    /// Directions towards the goal, the likeliest first; of the goal itself the
    /// directions out of it.
    pub ways: Vec<Point>,
    /// How far it stays straight.
    pub stub: f64,
    /// A captive lead may bend right away; it gets by its own part more easily when it first
    /// goes on for so much.
    pub least: f64,
    pub name: String,
    /// Of a port: which way it looks.
    pub face: Option<Dir>,
}

impl Node {
    /// Which way the cable leaves a port, in words.
    pub fn side(&self) -> &'static str {
        match self.face {
            Some(Dir::PosX) => "to the right",
            Some(Dir::NegX) => "to the left",
            Some(Dir::PosY) => "to the back",
            Some(Dir::NegY) => "to the front",
            Some(Dir::PosZ) => "upwards",
            Some(Dir::NegZ) => "downwards",
            None => "",
        }
    }

    /// Where the cable may begin to bend.
    pub fn free(&self) -> Point {
        match self.ways.as_slice() {
            [only] => add(self.at, *only, self.stub.max(self.least)),
            _ => self.at,
        }
    }
}

/// Where a place on a way is.
pub(super) fn place(placed: &Placed, via: &Via) -> Option<Vec3> {
    let e = placed.enclosure();
    Some(match via {
        Via::Passage(id) => e.passage(id)?.frame.origin,
        Via::Tie(id) | Via::Chosen(id) => e.tie(id)?.at,
        Via::Point(p) | Via::Corner(p) => *p,
    })
}

/// Finds the fixed places of stretches.
pub(super) struct Nodes<'a> {
    /// Where everything stands.
    pub placed: &'a Placed,
    /// Half the cable's thickness, in millimetres.
    pub half: f64,
}

impl Nodes<'_> {
    /// Those of one stretch, from port to port.
    pub fn of(&self, stretch: &Stretch) -> Vec<Node> {
        let n = stretch.points.len();
        let ends = [
            (&stretch.from, stretch.points[0], stretch.points[1]),
            (&stretch.to, stretch.points[n - 1], stretch.points[n - 2]),
        ];
        let places: Vec<Point> = stretch
            .visits
            .iter()
            .filter_map(|v| place(self.placed, v).map(Vec3::as_mm))
            .collect();
        let beyond = |i: usize| places.get(i).copied();
        let [first, last] = ends;
        let mut nodes = vec![self.port(first, beyond(0).unwrap_or(last.1))];
        for (i, via) in stretch.visits.iter().enumerate() {
            let before = if i > 0 { places[i - 1] } else { first.2 };
            let after = beyond(i + 1).unwrap_or(last.2);
            nodes.push(self.pinned(via, places[i], before, after));
        }
        nodes.push(self.port(last, places.last().copied().unwrap_or(first.1)));
        nodes
    }

    /// An end: straight out of the port, or, where its plug is crimped across the run,
    /// any way that does not lead into the part, towards the other end first.
    fn port(&self, (port, face, free): (&PortRef, Point, Point), other: Point) -> Node {
        let placed = self.placed;
        let out = placed
            .port(port)
            .map_or([0.0, 0.0, 1.0], |p| p.leaves.times(Length::mm(1)).as_mm());
        let stub = norm(sub(free, face));
        let crimped = placed
            .port(port)
            .is_some_and(|p| norm(sub(face, p.at.as_mm())) > 1e-6);
        let towards = unit(sub(other, face));
        let ways = if crimped {
            let mut ways = Vec::new();
            if dot(towards, out) > -1e-9 && norm(towards) > 0.5 {
                ways.push(towards);
            }
            let across = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
                .into_iter()
                .filter(|a| dot(*a, out).abs() < 0.5)
                .flat_map(|a| [a, a.map(|x| -x)]);
            let mut across: Vec<Point> = across.chain([out]).collect();
            across.sort_by(|p, q| dot(*q, towards).total_cmp(&dot(*p, towards)));
            ways.extend(across);
            ways
        } else {
            vec![out]
        };
        let stub = if crimped { 0.0 } else { stub };
        let least = if crimped {
            0.0
        } else {
            self.half + 2.0 * CLEAR
        };
        let name = match placed.part(&port.part) {
            Some(part) => {
                let kind = part.kind.port(&port.port);
                format!("{} of {}", kind.map_or("a port", |p| &p.name), part.name)
            }
            None => port.to_string(),
        };
        Node {
            at: face,
            ways,
            stub,
            least,
            name,
            face: placed.port(port).map(|p| p.leaves),
        }
    }

    fn pinned(&self, via: &Via, at: Point, before: Point, after: Point) -> Node {
        let e = self.placed.enclosure();
        if let Via::Passage(id) = via
            && let Some(p) = e.passage(id)
        {
            let out = p.frame.normal.times(Length::mm(1)).as_mm();
            // Through it to the side on which it goes on.
            let through = dot(sub(after, at), out) - dot(sub(before, at), out);
            let way = if through < 0.0 { out.map(|x| -x) } else { out };
            // The middle of a passage is on a face of its plate or in it.
            return Node {
                at,
                ways: vec![way, way.map(|x| -x)],
                stub: 1.0,
                least: 0.0,
                name: p.name.clone(),
                face: None,
            };
        }
        let (a, b) = (unit(sub(at, before)), unit(sub(after, at)));
        let along = unit(add(a, b, 1.0));
        let along = if norm(along) > 0.5 { along } else { b };
        let name = match via {
            Via::Tie(id) | Via::Chosen(id) => format!("tie {id}"),
            _ => format!("point {:.0}, {:.0}, {:.0}", at[0], at[1], at[2]),
        };
        Node {
            at,
            ways: vec![along, b, a],
            stub: 0.0,
            least: 0.0,
            name,
            face: None,
        }
    }
}
