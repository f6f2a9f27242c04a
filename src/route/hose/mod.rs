//! Hoses: a springy tube of one length between two fixed ends. A cable is led and
//! its slack tucked away; a hose takes the shape that it takes.

mod elastica;
#[cfg(test)]
mod elastica_tests;

pub use elastica::{Shape, shape, shapes};

use super::bend::{Leg, Point, norm, sub};
use super::run::CableRun;
use crate::geom::{Box3, Length};
use crate::model::{Cable, Catalogue, PortRef, System};
use crate::placement::Placed;

/// Connector of the ends of hoses, as the assets call it.
pub const HOSE_END: &str = "hose-end";

/// A shape is a chain of pieces; its radius is good to so much, and a hose that
/// misses its least radius by no more counts as bent well.
const PLAY: f64 = 0.005;

/// How a hose lies between its ends.
#[derive(Clone, PartialEq, Debug)]
pub struct Hose {
    /// Its length from face to face.
    pub length: Length,
    /// How it fits.
    pub fit: Fit,
    /// How far it bulges out of the enclosure, its own thickness counted; zero where
    /// it does not.
    pub outside: Length,
}

/// How a hose fits.
#[derive(Clone, PartialEq, Debug)]
pub enum Fit {
    /// It lies, with this smallest radius in millimetres (`None`: straight).
    Lies(Option<f64>),
    /// It would have to bend with this radius, in millimetres, which is less than it
    /// may.
    Kinks(f64),
    /// Its ends are so much further apart than it is long.
    TooFar(Length),
    /// No shape was found, or it was not looked for, for this reason.
    Unknown(String),
}

/// One end: where it leaves its port, where it may begin to bend, and which way.
struct End {
    face: Point,
    free: Point,
    way: Point,
    stub: f64,
}

/// The hoses of a cable, one a stretch; empty where the cable is no hose, or is led
/// along a place: then it lies as it is tied, like a cable. Where a hose has a shape,
/// the stretch of the run gets it in place of its way, at its true length. What the
/// run says it needs stays.
pub fn lay(placed: &Placed, catalogue: &Catalogue, cable: &Cable, run: &mut CableRun) -> Vec<Hose> {
    let tied = cable.plugs.iter().any(|p| !p.via.is_empty());
    if cable.system != System::Liquid || tied {
        return Vec::new();
    }
    let mut hoses = Vec::with_capacity(run.stretches.len());
    for stretch in &mut run.stretches {
        let length = stretch.available;
        let ends = end(placed, catalogue, cable, &stretch.from).zip(end(
            placed,
            catalogue,
            cable,
            &stretch.to,
        ));
        let (hose, legs) = match ends {
            None => (unknown(length, "one of its ends is not placed"), Vec::new()),
            Some((a, b)) => rest(placed, cable, length, &a, &b),
        };
        if !legs.is_empty() {
            stretch.legs = legs;
        }
        hoses.push(hose);
    }
    hoses
}

/// The smallest radius of a hose between these ports at another length, in
/// millimetres: infinite where it is straight, `None` where it has no shape.
pub fn radius_at(
    placed: &Placed,
    catalogue: &Catalogue,
    cable: &Cable,
    ends: (&PortRef, &PortRef),
    length: Length,
) -> Option<f64> {
    let a = end(placed, catalogue, cable, ends.0)?;
    let b = end(placed, catalogue, cable, ends.1)?;
    let free = length.as_mm() - a.stub - b.stub;
    let shape = shape(a.free, a.way, b.free, b.way.map(|v| -v), free)?;
    Some(shape.tightest.unwrap_or(f64::INFINITY))
}

/// True where a radius is as large as it has to be.
pub fn is_wide(radius: f64, bend: Length) -> bool {
    radius >= bend.as_mm() * (1.0 - PLAY)
}

fn unknown(length: Length, why: &str) -> Hose {
    Hose {
        length,
        fit: Fit::Unknown(why.to_owned()),
        outside: Length::ZERO,
    }
}

fn end(placed: &Placed, catalogue: &Catalogue, cable: &Cable, at: &PortRef) -> Option<End> {
    let port = placed.port(at)?;
    let kind = placed.port_kind(at)?;
    let captive = *at == cable.from && cable.kind.is_none() && kind.lead.is_some();
    let connector = catalogue.connectors.get(&kind.connector);
    let stub = match connector {
        Some(c) if !captive => c.plug[2] + c.straight,
        _ => Length::ZERO,
    };
    Some(End {
        face: port.at.as_mm(),
        free: (port.at + port.leaves.times(stub)).as_mm(),
        way: port.leaves.times(Length::mm(1)).as_mm(),
        stub: stub.as_mm(),
    })
}

/// The shape in which a hose rests: of those that bend wide enough the one that
/// bends least, one inside the enclosure before one that bulges out.
fn rest(placed: &Placed, cable: &Cable, length: Length, a: &End, b: &End) -> (Hose, Vec<Leg>) {
    let apart = norm(sub(b.free, a.free));
    let free = length.as_mm() - a.stub - b.stub;
    if free < apart {
        let by = Length::from_mm(apart - free).unwrap_or(Length::ZERO);
        let fit = Fit::TooFar(by.max(Length::um(1)));
        let outside = Length::ZERO;
        return (
            Hose {
                length,
                fit,
                outside,
            },
            Vec::new(),
        );
    }
    let found = shapes(a.free, a.way, b.free, b.way.map(|v| -v), free);
    let room = placed.enclosure().outline();
    let half = cable.section.width().as_mm() / 2.0;
    let rank = |s: &Shape| {
        let kinks = s.tightest.is_some_and(|r| !is_wide(r, cable.bend));
        (kinks, outside(&room, &s.points, half))
    };
    // Of equals the first, which bends least.
    let Some(shape) = found.iter().min_by_key(|s| rank(s)) else {
        return (unknown(length, "no shape was found for it"), Vec::new());
    };
    let (kinks, outside) = rank(shape);
    let fit = match shape.tightest {
        Some(radius) if kinks => Fit::Kinks(radius),
        tightest => Fit::Lies(tightest),
    };
    let mut points = vec![a.face];
    points.extend(&shape.points);
    points.push(b.face);
    let pairs = points.windows(2).filter(|w| norm(sub(w[1], w[0])) > 0.0);
    let legs = pairs.map(|w| Leg::Straight {
        from: w[0],
        to: w[1],
    });
    (
        Hose {
            length,
            fit,
            outside,
        },
        legs.collect(),
    )
}

/// How far a tube of this half thickness stands out of a box.
fn outside(room: &Box3, points: &[Point], half: f64) -> Length {
    let (low, high) = (room.min().as_mm(), room.max().as_mm());
    let mut most: f64 = 0.0;
    for p in points {
        for ((low, high), at) in low.iter().zip(&high).zip(p) {
            most = most.max(low - at + half).max(at + half - high);
        }
    }
    Length::from_mm(most).unwrap_or(Length::ZERO)
}
