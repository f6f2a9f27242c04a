//! One cause is named once: what the rule on depths says already.

use super::Facts;
use crate::geom::{Dir, Length, Vec3};
use crate::placement::PlacedPart;

/// True where a part would be clear if only the stack that it stands in were as
/// thin as its zone is deep: `clear` is asked about the part moved by so much. The
/// rule on depths then names the stack and what it runs into.
pub(super) fn by_depth(facts: &Facts, p: &PlacedPart, clear: impl Fn(Vec3) -> bool) -> bool {
    let back = |(out, over): (Dir, Length)| out.opposite().times(over);
    too_thick(facts, p).into_iter().map(back).any(clear)
}

/// The stacks of this part that are thicker than their zones are deep: the way out
/// of the zone, and by how much.
fn too_thick(facts: &Facts, p: &PlacedPart) -> Vec<(Dir, Length)> {
    let placed = facts.placed;
    let over = |key| {
        let (zone, stack) = (placed.zone_at(key)?, placed.stack(key)?);
        let over = stack.height - zone.depth;
        let named = over > Length::ZERO && stack.parts.contains(&p.id);
        named.then_some((zone.frame.normal, over))
    };
    placed.zones_below(p).into_iter().filter_map(over).collect()
}
