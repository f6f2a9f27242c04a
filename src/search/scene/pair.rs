//! What two parts at given places do to one another: the same questions that the rules on
//! clashes, gaps and depths ask, without a scene around them.

use super::wish::WIDE_GAP;
use crate::geom::Length;
use crate::model::{Acceptance, Settings, Space, Zone};
use crate::placement::{Gap, Joint, PlacedPart, between, too_deep};
use std::collections::BTreeMap;

/// What two parts do to one another.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Meeting {
    /// How deep they overlap where they must not.
    pub(super) clash: Option<Length>,
    /// Their gap in micrometres, at most [`WIDE_GAP`]; that too where they hold each other.
    pub(super) gap: i64,
    /// Cautions between them.
    pub(super) cautions: u32,
}

impl Meeting {
    /// Far from one another.
    pub(super) const FAR: Meeting = Meeting {
        clash: None,
        gap: WIDE_GAP.as_um(),
        cautions: 0,
    };
}

/// How pairs are judged.
pub(super) struct Judge<'a> {
    pub(super) settings: &'a Settings,
    /// Findings that the user accepted, by key. What got worse since is left to the checker.
    pub(super) accepted: &'a BTreeMap<String, Acceptance>,
    /// Gaps are wanted as far as this, at least.
    pub(super) look: Length,
}

impl Judge<'_> {
    fn is_accepted(&self, rule: &str, a: &PlacedPart, b: &PlacedPart) -> bool {
        if self.accepted.is_empty() {
            return false;
        }
        let (x, y) = (a.id.as_str(), b.id.as_str());
        self.accepted
            .contains_key(&format!("{rule}:{}+{}", x.min(y), x.max(y)))
    }

    /// Looks at a pair.
    pub(super) fn meet(&self, a: &PlacedPart, b: &PlacedPart) -> Meeting {
        let class = self.settings.pair(a.group, b.group).map(|c| c.gap);
        let reach = class.unwrap_or(Length::ZERO).max(self.look);
        if !a.span.grown(reach).overlaps(&b.span) {
            return Meeting::FAR;
        }
        let joint = Joint::of(a, b);
        let (mut deepest, mut nearest) = (None::<Length>, reach);
        for p in a.of(Space::Solid) {
            for q in b.of(Space::Solid) {
                match between(&p.body, &q.body, nearest) {
                    Gap::Overlap { depth, region, .. } => {
                        if !joint.seats.iter().any(|s| s.contains(&region)) {
                            deepest = Some(deepest.map_or(depth, |d| d.max(depth)));
                        }
                        nearest = Length::ZERO;
                    }
                    Gap::Apart { distance, .. } => nearest = nearest.min(distance),
                    Gap::Unjudged(_) | Gap::Beyond => {}
                }
            }
        }
        if deepest.is_some() && !self.is_accepted("clash", a, b) {
            return Meeting {
                clash: deepest,
                ..Meeting::FAR
            };
        }
        let mut met = Meeting::FAR;
        if joint.touches || deepest.is_some() {
            return met;
        }
        met.gap = nearest.as_um().min(met.gap);
        let tight = class.is_some_and(|gap| nearest < gap);
        met.cautions += u32::from(tight && !self.is_accepted("tight-gap", a, b));
        let kept = in_kept_space(a, b) || in_kept_space(b, a);
        met.cautions += u32::from(kept && !self.is_accepted("clash", a, b));
        met
    }
}

/// Whether a solid of `guest` stands in the space that `owner` keeps clear.
fn in_kept_space(guest: &PlacedPart, owner: &PlacedPart) -> bool {
    owner.of(Space::KeepOut).any(|q| {
        guest
            .of(Space::Solid)
            .filter(|p| p.bounds.overlaps(&q.bounds))
            .any(|p| matches!(between(&p.body, &q.body, Length::ZERO), Gap::Overlap { .. }))
    })
}

/// By how much `upper`, which is held by `lower`, stands too high over the zone that `lower`
/// stands on, with the sentence for it.
pub(super) fn too_high(
    upper: &PlacedPart,
    lower: &PlacedPart,
    zone: Option<&Zone>,
) -> Option<(Length, String)> {
    let zone = zone?;
    let (needed, free) = too_deep(zone, &upper.outline)?;
    let text = format!(
        "{} on {} needs {} mm, {} is {} mm deep: {} mm short",
        upper.name,
        lower.name,
        needed.text1(),
        zone.name,
        free.text1(),
        (needed - free).text1()
    );
    Some((needed - free, text))
}
