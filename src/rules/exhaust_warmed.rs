//! The air that a fan blows or draws through a radiator, where it leaves the two of them.

use super::exhaust_intake::{SIDE, at_side, inside, report};
use super::needs::before;
use super::{Facts, Finding};
use crate::geom::{Box3, Dir, Length, Vec3};
use crate::model::Group;
use crate::placement::PlacedPart;

/// A fan at a radiator.
struct Blows<'a> {
    fan: &'a PlacedPart,
    dir: Dir,
    /// Where its air leaves, over its own face: behind the fan that draws through the radiator,
    /// behind the radiator that a fan blows into.
    leaves: Box3,
}

/// What draws in the warm air of a radiator.
pub(super) fn judge(facts: &Facts, radiator: &PlacedPart, out: &mut Vec<Finding>) {
    let Some(reach) = facts.settings.limits.exhaust_reach else {
        return;
    };
    if radiator.group != Group::Radiator {
        return;
    }
    let room = facts.placed.enclosure().outline();
    let fans = fans(facts, radiator);
    for fan in &fans {
        let around = before(&fan.leaves, fan.dir, reach);
        let beside = around.union(&fan.leaves.grown(reach));
        let mut near = facts.placed.near(&beside, Length::ZERO);
        near.retain(|to| to.slot != fan.fan.slot && to.slot != radiator.slot);
        near.sort_by(|a, b| a.id.cmp(&b.id));
        for to in near {
            let holds = facts.placed.holds_each_other(&fan.fan.id, &to.id)
                || facts.placed.holds_each_other(&radiator.id, &to.id);
            if holds {
                continue;
            }
            let found = match to.group {
                Group::Fan => outside(facts, fan, to, reach, &room),
                _ => inside(&around, fan.dir, fan.leaves.face(fan.dir), to),
            };
            if let Some((gap, ends)) = found {
                out.push(report(facts, fan.fan, to, gap, ends));
            }
        }
    }
}

/// The fans of a radiator by which its air leaves: of two in a row the last one.
fn fans<'a>(facts: &Facts<'a>, radiator: &PlacedPart) -> Vec<Blows<'a>> {
    let axis = radiator.outline.thin_axis();
    let mut all = Vec::new();
    for side in [Dir::new(axis, false), Dir::new(axis, true)] {
        let face = before(&radiator.outline, side, SIDE);
        for fan in facts.placed.near(&face, Length::ZERO) {
            let dir = fan.kind.blows.map(|d| fan.place.turn.dir(d));
            let Some(dir) = dir.filter(|d| d.axis() == axis) else {
                continue;
            };
            if fan.group != Group::Fan || !fan.outline.overlaps(&face) {
                continue;
            }
            let leaves = match dir == side {
                true => fan.outline,
                // Through the radiator: as much of its far face as the fan covers.
                false => {
                    let far = radiator.outline.face(dir);
                    let (mut low, mut high) = (fan.outline.min(), fan.outline.max());
                    low.set(axis, far);
                    high.set(axis, far);
                    Box3::new(low, high)
                }
            };
            all.push(Blows { fan, dir, leaves });
        }
    }
    // What a fan blows into the radiator, another one behind it takes on.
    let taken = |b: &Blows, all: &[Blows]| {
        let behind = before(&b.leaves, b.dir, SIDE);
        all.iter()
            .any(|o| o.dir == b.dir && o.fan.slot != b.fan.slot && o.fan.outline.overlaps(&behind))
    };
    let kept: Vec<bool> = all.iter().map(|b| !taken(b, &all)).collect();
    let mut kept = kept.into_iter();
    all.retain(|_| kept.next().unwrap_or(true));
    all.sort_by(|a, b| a.fan.id.cmp(&b.fan.id));
    all
}

/// A fan that draws in through the side of the enclosure through which this air leaves. Two fans
/// that both stand at that side are judged without the radiator.
fn outside(
    facts: &Facts,
    fan: &Blows,
    to: &PlacedPart,
    reach: Length,
    room: &Box3,
) -> super::exhaust_intake::Found {
    let dir = fan.dir;
    let blows = to.kind.blows.map(|d| to.place.turn.dir(d))?;
    let to_wall = |face: Length| (room.face(dir) - face) * dir.sign() <= SIDE;
    let both = at_side(fan.fan, dir, room) && at_side(to, dir, room);
    if blows != dir.opposite() || both || !to_wall(fan.leaves.face(dir)) {
        return None;
    }
    // It draws through a radiator that stands at the wall, or stands there itself.
    let before_it = before(&to.outline, dir, SIDE);
    let through = facts
        .placed
        .near(&before_it, Length::ZERO)
        .into_iter()
        .any(|p| p.group == Group::Radiator && at_side(p, dir, room));
    if !(through || at_side(to, dir, room)) {
        return None;
    }
    let apart = fan
        .leaves
        .separation(&to.outline)
        .with(dir.axis(), Length::ZERO);
    let gap = Length::from_mm(apart.distance_mm(Vec3::ZERO))?;
    (gap < reach).then(|| (gap, (fan.leaves.centre(), to.outline.centre())))
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, block, enclosure, fan, l, v};
    use crate::geom::Dir;
    use crate::model::{Group, PartKind};

    fn blowing(dir: Dir) -> PartKind {
        let mut kind = fan(120.0, 105.0, 25.0);
        kind.blows = Some(dir);
        kind
    }

    fn cooler() -> PartKind {
        let mut kind = block("tower", Group::Cooler, [100.0, 100.0, 60.0]);
        kind.blows = Some(Dir::PosZ);
        kind
    }

    /// A radiator on the floor of the room, and a cooler that draws from below, `gap` above what
    /// stands on the radiator.
    fn over(fan_at: f64, dir: Dir, top: f64, gap: f64) -> Build {
        let radiator = block("radiator", Group::Radiator, [120.0, 120.0, 27.0]);
        Build::open()
            .with("r", &radiator, [100.0, 100.0, 100.0])
            .with("f", &blowing(dir), [100.0, 100.0, fan_at])
            .with("tower", &cooler(), [110.0, 110.0, top + gap])
    }

    #[test]
    fn a_fan_that_draws_through_a_radiator_blows_warm_air() {
        // From the fan's upper face at 152.
        over(127.0, Dir::PosZ, 152.0, 40.0).expect("exhaust-intake", &[]);
        let found = over(127.0, Dir::PosZ, 152.0, 39.9).only("exhaust-intake");
        assert_eq!(found.key(), "exhaust-intake:f+tower");
        assert_eq!(
            (found.needed, found.available),
            (Some(l(40.0)), Some(l(39.9)))
        );
        // Blowing the other way it cools the radiator with what comes from there.
        over(127.0, Dir::NegZ, 152.0, 10.0).expect("exhaust-intake", &[]);
    }

    #[test]
    fn what_a_fan_blows_into_a_radiator_leaves_behind_that() {
        // The fan below, from the radiator's upper face at 127.
        let found = over(75.0, Dir::PosZ, 127.0, 12.0).only("exhaust-intake");
        assert_eq!(found.available, Some(l(12.0)));
        over(75.0, Dir::PosZ, 127.0, 40.0).expect("exhaust-intake", &[]);
        // A second one on top takes it on: from there it is 12 - 25 less, so it is moved up.
        let two = over(75.0, Dir::PosZ, 127.0, 45.0);
        let two = two.with("g", &blowing(Dir::PosZ), [100.0, 100.0, 127.0]);
        let found = two.only("exhaust-intake");
        assert_eq!(found.key(), "exhaust-intake:g+tower");
        assert_eq!(found.available, Some(l(20.0)));
    }

    #[test]
    fn a_fan_that_comes_to_the_radiator_is_noticed() {
        let mut scene = over(400.0, Dir::PosZ, 152.0, 10.0);
        let mut checker = scene.checked();
        let count = |c: &crate::rules::Checker| {
            let found = c.findings();
            found.iter().filter(|f| f.rule == "exhaust-intake").count()
        };
        assert_eq!(count(&checker), 0);
        let id = crate::build::pid("f");
        let (_, place) = scene.scene.placed(&id).expect("it is placed");
        let away = *place;
        let mut there = away;
        there.at = v(100.0, 100.0, 127.0);
        for (place, found) in [(there, 1), (away, 0)] {
            let touched = scene.edit(crate::edit::Edit::SetPlace(id.clone(), Some(place)));
            checker.update(&scene.scene, &touched);
            assert_eq!(count(&checker), found);
        }
    }

    #[test]
    fn outside_a_radiator_at_the_wall_warms_what_is_drawn_in_beside_it() {
        // Both blow through the upper side at 200: the one out through a radiator, the other in.
        let scene = |gap: f64| {
            let radiator = block("radiator", Group::Radiator, [120.0, 120.0, 27.0]);
            Build::new(enclosure([400.0, 200.0, 200.0]))
                .with("r", &radiator, [10.0, 10.0, 173.0])
                .with("out", &blowing(Dir::PosZ), [10.0, 10.0, 148.0])
                .with("in", &blowing(Dir::NegZ), [130.0 + gap, 10.0, 175.0])
        };
        scene(40.0).expect("exhaust-intake", &[]);
        let found = scene(39.9).only("exhaust-intake");
        assert_eq!(found.key(), "exhaust-intake:in+out");
        assert_eq!(found.available, Some(l(39.9)));
    }
}
