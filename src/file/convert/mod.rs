//! Between file types and the model, both ways.
//!
//! `read` functions check what one value alone cannot say (corners of outlines,
//! references, ids that must differ) and name the field that is wrong. `write`
//! functions cannot fail: what they are given is the model.

pub(super) mod cable;
mod dimension;
pub(super) mod enclosure;
pub(super) mod kind;
pub(super) mod mount;
mod polygon;
pub(super) mod scene;
pub(super) mod settings;
pub(super) mod solid;

use super::error::{Check, Place, each, unique};
use super::v1;
use crate::geom::{Length, Vec3};
use crate::model::Figure;

fn point(p: v1::Point) -> Vec3 {
    Vec3::new(p[0].0, p[1].0, p[2].0)
}

fn to_point(p: Vec3) -> v1::Point {
    [v1::Mm(p.x), v1::Mm(p.y), v1::Mm(p.z)]
}

fn size(s: [v1::Positive; 3]) -> Vec3 {
    Vec3::new(s[0].0, s[1].0, s[2].0)
}

fn to_size(s: Vec3) -> [v1::Positive; 3] {
    [v1::Positive(s.x), v1::Positive(s.y), v1::Positive(s.z)]
}

fn extent(s: [v1::Positive; 2]) -> [Length; 2] {
    s.map(|l| l.0)
}

fn to_extent(s: [Length; 2]) -> [v1::Positive; 2] {
    s.map(v1::Positive)
}

/// An id that its type has found sound already; a fault names `field`.
fn id<T>(text: &v1::Id, field: &'static str, new: fn(&str) -> Result<T, String>) -> Check<T> {
    match new(&text.0) {
        Ok(id) => Ok(id),
        Err(why) => super::error::fault(why, "correct the id").at(field),
    }
}

fn figures(list: Vec<v1::Figure>) -> Vec<Figure> {
    let one = |f: v1::Figure| Figure {
        what: f.what.0,
        source: f.source.0,
        confidence: f.confidence.0,
    };
    list.into_iter().map(one).collect()
}

fn to_figures(list: &[Figure]) -> Vec<v1::Figure> {
    let one = |f: &Figure| v1::Figure {
        what: v1::Note::of(&f.what),
        source: v1::Note::of(&f.source),
        confidence: v1::Word(f.confidence),
    };
    list.iter().map(one).collect()
}

/// The kinds of a parts file.
pub(super) fn parts(r: &mount::Reader, file: v1::Parts) -> Check<Vec<crate::model::PartKind>> {
    unique("kinds", "id", file.kinds.iter().map(|k| k.id.0.as_str()))?;
    each("kinds", file.kinds, |k| kind::read(r, k))
}
