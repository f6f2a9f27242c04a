//! Where the pieces of two parts overlap.

use super::{Finding, FindingMark};
use crate::geom::{Box3, Length, Solid};
use crate::model::Space;
use crate::placement::{Body, Gap, PlacedPart, apart, between};
use std::ptr;
use std::sync::Arc;

/// Most marks of one finding.
const MOST_MARKS: usize = 16;

/// Where pieces of two parts overlap.
#[derive(Default)]
pub(super) struct Overlaps {
    /// The shortest straight move that takes the one out of the other.
    pub depth: Option<Length>,
    /// Whether a shorter move may do: of so many solids that it was not worked out.
    pub at_most: bool,
    /// The boxes around what they share, and how that is to be hatched.
    pub regions: Vec<(Box3, FindingMark)>,
    /// Name of the piece of the second part where it is deepest.
    pub piece: String,
    /// Why a pair of pieces could not be judged.
    pub unjudged: Option<String>,
}

impl Overlaps {
    /// Looks at all pieces of one space of `a` against all of one space of `b`. What
    /// lies wholly in one of `seats` does not count.
    pub fn look(&mut self, a: &PlacedPart, x: Space, b: &PlacedPart, y: Space, seats: &[Box3]) {
        // A reach space may lie outside the span.
        let close = |p: &Box3| y == Space::Reach || p.overlaps(&b.span);
        let mut let_be: Vec<(&Body, &Body)> = Vec::new();
        let mut met = false;
        for p in a.of(x).filter(|p| close(&p.bounds)) {
            for q in b.of(y).filter(|q| q.bounds.overlaps(&p.bounds)) {
                match between(&p.body, &q.body, Length::ZERO) {
                    Gap::Overlap {
                        depth,
                        region,
                        is_least,
                        ..
                    } => {
                        if seats.iter().any(|s| s.contains(&region)) {
                            let_be.push((&p.body, &q.body));
                            continue;
                        }
                        met = true;
                        self.regions
                            .push((region, hatched(region, [&p.body, &q.body])));
                        if self.depth.is_none_or(|d| d < depth) {
                            (self.depth, self.at_most) = (Some(depth), !is_least);
                            self.piece.clone_from(&q.name);
                        }
                    }
                    Gap::Unjudged(why) => self.unjudged = Some(why),
                    Gap::Apart { .. } | Gap::Beyond => {}
                }
            }
        }
        let many = a.of(x).nth(1).is_some() || b.of(y).nth(1).is_some();
        if met && many {
            let pairs: Vec<(&Body, &Body)> = a
                .of(x)
                .flat_map(|p| b.of(y).map(move |q| (&p.body, &q.body)))
                .filter(|(p, q)| {
                    !let_be
                        .iter()
                        .any(|(r, s)| ptr::eq(*p, *r) && ptr::eq(*q, *s))
                })
                .collect();
            if let Some(out) = apart(&pairs)
                && self.depth.is_none_or(|d| d <= out.depth)
            {
                (self.depth, self.at_most) = (Some(out.depth), !out.is_least);
            }
        }
    }

    /// What to say behind the depth.
    pub fn limit_words(&self) -> &'static str {
        match self.at_most {
            true => " at most (of so many pieces less was not looked for)",
            false => "",
        }
    }

    /// A finding with its place and what is to be hatched.
    pub fn mark(self, finding: Finding) -> Finding {
        let place = Box3::around(self.regions.iter().map(|r| &r.0)).unwrap_or_default();
        let marks = self.regions.into_iter().map(|r| r.1).take(MOST_MARKS);
        let marked = marks.fold(finding, Finding::mark);
        marked.at(place)
    }
}

/// The mark of what two solids share: of two boxes a box.
pub(super) fn hatched(region: Box3, bodies: [&Body; 2]) -> FindingMark {
    match bodies.map(Body::solid) {
        [Solid::Box(_), Solid::Box(_)] => FindingMark::Overlap(region),
        solids => FindingMark::Shared {
            region,
            solids: Arc::new(solids.map(Solid::clone)),
        },
    }
}
