//! Warm air that is drawn in again.

use super::common::{names, part};
use super::exhaust_warmed;
use super::needs::{Need, Why};
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity};
use crate::geom::{Box3, Dir, Length};
use crate::model::{Group, Space};
use crate::placement::PlacedPart;

/// See [`Rule::about`].
pub(super) struct ExhaustIntake;

impl Rule for ExhaustIntake {
    fn id(&self) -> &'static str {
        "exhaust-intake"
    }

    fn title(&self) -> &'static str {
        "Warm air drawn in"
    }

    fn about(&self) -> &'static str {
        "Warm air that leaves close to where air is drawn in goes round. Inside: the air of a cooler, \
         card or supply with a known way of blowing, against the intake of another of these: the space \
         it keeps clear for air, or the side that a cooler draws from when it blows the same way. \
         Outside: a fan that blows out of one side of the enclosure beside one that draws in through \
         the same side. Nearer than the distance set (assets/rules.json; common practice, no source) \
         is a caution; exactly that far is not. A fan behind a cooler that takes its air on is meant \
         to. Parts that hold each other are excused. A fan at a radiator, before it or behind it, blows \
         warm air where that leaves the two of them; a second fan or radiator takes that on where it covers \
         at least half of it (common practice, no source). \
         Of a cooler, card or supply whose way of blowing is not known, that is said, unless its sound \
         is 0 dB: then it has no fan."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Part, Scope::Around, Scope::Pair, Scope::Scene]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        if matches!(anchor, Anchor::Scene) && facts.settings.limits.exhaust_reach.is_none() {
            let mut parts = facts.placed.parts();
            if parts.any(|p| p.kind.blows.is_some()) {
                let text = "whether warm air meets an intake was not judged: no reach is set";
                let finding = Finding::unjudged(self.id(), Vec::new(), text.to_owned());
                out.push(finding.hint("Give it in the file of rules."));
            }
        }
        if let Anchor::Part(p) = anchor
            && is_warm(p)
            && p.kind.blows.is_none()
            && p.kind.ratings.sound_db != Some(0.0)
        {
            let text = format!(
                "which way the air of {} leaves is not known: whether another part draws it in was \
                 not judged",
                p.name
            );
            let finding = Finding::unjudged(self.id(), vec![part(p)], text).at(p.outline);
            out.push(finding.hint("Note the way in its kind, or 0 dB where it has no fan."));
        }
        if let Anchor::Around(radiator) = anchor {
            exhaust_warmed::judge(facts, radiator, out);
        }
        let Anchor::Pair(a, b) = anchor else {
            return;
        };
        let mut least: Option<Finding> = None;
        for (from, to) in [(a, b), (b, a)] {
            for need in facts.needs.of(from) {
                let Why::Exhaust(dir) = need.why else {
                    continue;
                };
                if facts.placed.holds_each_other(&a.id, &b.id) {
                    return;
                }
                let room = facts.placed.enclosure().outline();
                let found = match (from.group, to.group) {
                    (Group::Fan, Group::Fan) => outside(need, dir, from, to, &room),
                    (Group::Fan, _) => None,
                    _ => inside(&need.space, dir, from.outline.face(dir), to),
                };
                if let Some((gap, ends)) = found {
                    // Two parts are named once, for the smaller distance.
                    if least.as_ref().is_none_or(|f| Some(gap) < f.available) {
                        least = Some(report(facts, from, to, gap, ends));
                    }
                }
            }
        }
        out.extend(least);
    }
}

/// Warms the air that it blows.
fn is_warm(p: &PlacedPart) -> bool {
    matches!(p.group, Group::Cooler | Group::Card | Group::Supply)
}

pub(super) type Found = Option<(Length, (crate::geom::Vec3, crate::geom::Vec3))>;

/// The intake of `to` in the air that leaves `from`.
pub(super) fn inside(space: &Box3, dir: Dir, start: Length, to: &PlacedPart) -> Found {
    if !is_warm(to) {
        return None;
    }
    let kept = to.of(Space::KeepOut).map(|p| p.bounds);
    let draws = to.kind.blows.map(|d| to.place.turn.dir(d)) == Some(dir);
    let face = (to.group == Group::Cooler && draws).then_some(to.outline);
    let hits = kept.chain(face).filter(|b| b.overlaps(space));
    let gap = |b: &Box3| ((b.face(dir.opposite()) - start) * dir.sign()).max(Length::ZERO);
    let hit = hits.min_by_key(|b| (gap(b), b.min().x, b.min().y, b.min().z))?;
    let shared = hit.intersection(space)?;
    let at = shared.centre().with(dir.axis(), start);
    Some((gap(&hit), (at, at + dir.times(gap(&hit)))))
}

/// A fan that draws in through the side that another blows out of.
fn outside(need: &Need, dir: Dir, from: &PlacedPart, to: &PlacedPart, room: &Box3) -> Found {
    let blows = to.kind.blows.map(|d| to.place.turn.dir(d))?;
    if blows != dir.opposite() || !at_side(to, dir, room) || !need.space.overlaps(&to.outline) {
        return None;
    }
    let apart = from
        .outline
        .separation(&to.outline)
        .with(dir.axis(), Length::ZERO);
    let gap = Length::from_mm(apart.distance_mm(crate::geom::Vec3::ZERO))?;
    let reach = need.space.size().along(dir.axis().others().0)
        - from.outline.size().along(dir.axis().others().0);
    // The space is a box; across a corner the straight distance counts.
    if gap >= reach.half() {
        return None;
    }
    Some((gap, (from.outline.centre(), to.outline.centre())))
}

/// How far from the outside of the enclosure a fan counts as part of its side:
/// sheet, filter and grille (common practice, no source).
pub(super) const SIDE: Length = Length::mm(10);

/// True where the part stands at that side of the enclosure.
pub(super) fn at_side(p: &PlacedPart, dir: Dir, room: &Box3) -> bool {
    let inside = (room.face(dir) - p.outline.face(dir)) * dir.sign();
    inside <= SIDE
}

pub(super) fn report(
    facts: &Facts,
    from: &PlacedPart,
    to: &PlacedPart,
    gap: Length,
    (start, end): (crate::geom::Vec3, crate::geom::Vec3),
) -> Finding {
    let (x, y) = names(from, to);
    let least = facts.settings.limits.exhaust_reach.unwrap_or(Length::ZERO);
    let text = format!(
        "{y} draws in air {} mm from where {x} blows it out, {} mm at least",
        gap.text1(),
        least.text1()
    );
    Finding::new(
        "exhaust-intake",
        Severity::Caution,
        vec![part(from), part(to)],
        text,
    )
    .figures(least, gap)
    .at(Box3::new(start, end))
    .mark(FindingMark::Gap {
        from: start,
        to: end,
    })
    .hint("Turn one of them, lead the air on with a fan, or set them farther apart.")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block, enclosure, fan, l, piece, v};
    use crate::geom::Solid;
    use crate::model::PartKind;

    fn cooler(id: &str) -> PartKind {
        let mut kind = block(id, Group::Cooler, [100.0, 60.0, 100.0]);
        kind.blows = Some(Dir::PosY);
        kind
    }

    fn coolers(gap: f64) -> Build {
        Build::open().with("a", &cooler("first"), [0.0; 3]).with(
            "b",
            &cooler("second"),
            [0.0, 60.0 + gap, 0.0],
        )
    }

    #[test]
    fn a_cooler_that_draws_the_air_of_another_is_named_and_far_enough_is_not() {
        coolers(40.0).expect("exhaust-intake", &[]);
        let found = coolers(39.9).only("exhaust-intake");
        assert_eq!(found.key(), "exhaust-intake:a+b");
        assert_eq!(
            (found.needed, found.available),
            (Some(l(40.0)), Some(l(39.9)))
        );
        assert!(found.text.starts_with("second draws in air 39.9 mm"));
        // Beside the stream, touching it, nothing is drawn.
        coolers(10.0)
            .moved("b", [100.0, 0.0, 0.0])
            .expect("exhaust-intake", &[]);
    }

    #[test]
    fn where_the_way_is_not_known_that_is_said_once_and_without_a_fan_there_is_none() {
        let scene = |sound: Option<f64>| {
            let mut kind = cooler("first");
            (kind.blows, kind.ratings.sound_db) = (None, sound);
            Build::open().with("a", &kind, [0.0; 3])
        };
        for sound in [None, Some(25.0)] {
            let found = scene(sound).only("exhaust-intake");
            assert!(found.unjudged);
            assert_eq!(found.key(), "exhaust-intake:a");
        }
        scene(Some(0.0)).expect("exhaust-intake", &[]);
    }

    #[test]
    fn a_fan_that_takes_the_air_on_is_meant_to() {
        let mut behind = fan(120.0, 105.0, 25.0);
        behind.blows = Some(Dir::PosZ);
        let scene = Build::open().with("a", &cooler("first"), [0.0; 3]).turned(
            "f",
            &behind,
            [0.0, 65.0, 0.0],
            crate::build::turn("+x", "-z"),
        );
        scene.expect("exhaust-intake", &[]);
    }

    #[test]
    fn the_air_before_a_grille_is_an_intake() {
        let mut supply = block("supply", Group::Supply, [100.0, 100.0, 50.0]);
        let air = Solid::Box(Box3::at(v(0.0, -12.7, 0.0), v(100.0, 12.7, 50.0)));
        supply
            .body
            .push(piece(air, Space::KeepOut, "air before the grille"));
        let scene = |y: f64| {
            Build::open()
                .with("a", &cooler("first"), [0.0; 3])
                .with("s", &supply, [0.0, y, 0.0])
        };
        // 60 + 40 + 12.7.
        scene(112.7).expect("exhaust-intake", &[]);
        scene(112.6).expect("exhaust-intake", &["exhaust-intake:a+s"]);
    }

    #[test]
    fn two_fans_in_one_side_that_blow_against_one_another() {
        let mut kind = fan(120.0, 105.0, 25.0);
        kind.blows = Some(Dir::PosZ);
        let scene = |x: f64, over: bool| {
            let turned = if over {
                crate::geom::Turn::NONE
            } else {
                crate::build::turn("+x", "-y")
            };
            Build::new(enclosure([500.0, 200.0, 100.0]))
                .with("out", &kind, [0.0, 0.0, 70.0])
                .turned("in", &kind, [x, 0.0, 70.0], turned)
        };
        scene(160.0, false).expect("exhaust-intake", &[]);
        scene(159.0, false).expect("exhaust-intake", &["exhaust-intake:in+out"]);
        // Both blow out.
        scene(130.0, true).expect("exhaust-intake", &[]);
        // Deeper inside it does not draw through that side.
        scene(159.0, false)
            .moved("in", [0.0, 0.0, -30.0])
            .expect("exhaust-intake", &[]);
    }
}
