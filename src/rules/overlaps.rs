//! Where the pieces of two parts overlap.

use super::{Finding, FindingMark};
use crate::geom::{Box3, Length};
use crate::model::Space;
use crate::placement::{Gap, PlacedPart, between};

/// Most marks of one finding.
const MOST_MARKS: usize = 16;

/// Where pieces of two parts overlap.
#[derive(Default)]
pub(super) struct Overlaps {
    /// The largest depth.
    pub depth: Option<Length>,
    /// The boxes around what they share.
    pub regions: Vec<Box3>,
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
        for p in a.of(x).filter(|p| close(&p.bounds)) {
            for q in b.of(y).filter(|q| q.bounds.overlaps(&p.bounds)) {
                match between(&p.body, &q.body, Length::ZERO) {
                    Gap::Overlap { depth, region, .. } => {
                        if seats.iter().any(|s| s.contains(&region)) {
                            continue;
                        }
                        self.regions.push(region);
                        if self.depth.is_none_or(|d| d < depth) {
                            self.depth = Some(depth);
                            self.piece.clone_from(&q.name);
                        }
                    }
                    Gap::Unjudged(why) => self.unjudged = Some(why),
                    Gap::Apart { .. } | Gap::Beyond => {}
                }
            }
        }
    }

    /// A finding with its place and what is to be hatched.
    pub fn mark(self, finding: Finding) -> Finding {
        let place = Box3::around(&self.regions).unwrap_or_default();
        let regions = self.regions.into_iter().take(MOST_MARKS);
        let marked = regions.fold(finding, |f, r| f.mark(FindingMark::Overlap(r)));
        marked.at(place)
    }
}
