//! How near a part comes to another, or to a plate.

use crate::geom::{Axis, Box3, Length, Solid, Vec3};
use crate::model::Space;
use crate::placement::{Body, Gap, PlacedPart, between};

/// How near two bodies come.
pub(super) enum Near {
    /// Not nearer than the limit, or overlapping.
    Fine,
    /// This near, between these points; whether both lie on boxes.
    At(Length, [Vec3; 2], bool),
    /// Not known.
    Unjudged(String),
}

/// How near the solid pieces of a part come to other bodies, as far as that is
/// below a limit; `around` is a box around the others.
pub(super) fn nearest<'a>(
    p: &PlacedPart,
    others: impl Iterator<Item = &'a Body>,
    around: &Box3,
    gap: Length,
) -> Near {
    nearest_of(p, others, around, gap, &|_, _| true)
}

/// The same among those gaps that run along one axis: one across an edge may be smaller and less
/// likely to close.
pub(super) fn nearest_straight<'a>(
    p: &PlacedPart,
    others: impl Iterator<Item = &'a Body>,
    around: &Box3,
    gap: Length,
) -> Near {
    let straight = |from: Vec3, to: Vec3| {
        let apart = |a: &Axis| from.along(*a) != to.along(*a);
        Axis::ALL.iter().filter(|a| apart(a)).count() == 1
    };
    nearest_of(p, others, around, gap, &straight)
}

fn nearest_of<'a>(
    p: &PlacedPart,
    others: impl Iterator<Item = &'a Body>,
    around: &Box3,
    gap: Length,
    counts: &dyn Fn(Vec3, Vec3) -> bool,
) -> Near {
    let mut reach = gap;
    let mut found = Near::Fine;
    let around = around.grown(gap);
    let own: Vec<_> = p
        .of(Space::Solid)
        .filter(|q| q.bounds.overlaps(&around))
        .collect();
    for body in others {
        let wide = body.bounds().grown(gap);
        for piece in own.iter().filter(|q| q.bounds.overlaps(&wide)) {
            match between(&piece.body, body, reach) {
                Gap::Overlap { .. } => return Near::Fine,
                Gap::Apart { distance, from, to } if distance < reach && counts(from, to) => {
                    reach = distance;
                    let boxes = [&piece.body, body].map(|b| matches!(b.solid(), Solid::Box(_)));
                    found = Near::At(distance, [from, to], boxes == [true, true]);
                }
                Gap::Unjudged(why) => {
                    if matches!(found, Near::Fine) {
                        found = Near::Unjudged(why);
                    }
                }
                Gap::Apart { .. } | Gap::Beyond => {}
            }
        }
    }
    found
}
