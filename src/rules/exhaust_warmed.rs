//! The air that a fan blows or draws through a radiator, where it leaves the two of them.

use super::exhaust_intake::{SIDE, at_side, inside, report};
use super::needs::before;
use super::{Facts, Finding};
use crate::geom::{Box3, Dir, Length, Vec3};
use crate::model::{Group, PartId};
use crate::placement::PlacedPart;
use std::collections::BTreeMap;

/// A fan at a radiator.
struct Blows<'a> {
    fan: &'a PlacedPart,
    dir: Dir,
    /// Where its warm air leaves, over what the fan and the radiator share: behind the fan that
    /// draws through the radiator, behind the radiator that a fan blows into.
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
    let mut all: BTreeMap<(&PartId, &PartId), Finding> = BTreeMap::new();
    for fan in &fans(facts, radiator) {
        let around = before(&fan.leaves, fan.dir, reach);
        let beside = around.union(&fan.leaves.grown(reach));
        for to in facts.placed.near(&beside, Length::ZERO) {
            if to.slot == fan.fan.slot || to.slot == radiator.slot {
                continue;
            }
            let holds = facts.placed.holds_each_other(&fan.fan.id, &to.id)
                || facts.placed.holds_each_other(&radiator.id, &to.id);
            if holds {
                continue;
            }
            let found = match to.group {
                Group::Fan => outside(facts, fan, to, reach, &room),
                _ => inside(&around, fan.dir, fan.leaves.face(fan.dir), to),
            };
            let Some((gap, ends)) = found else { continue };
            // Two things are named once, for the smaller distance.
            let before = all.get(&(&fan.fan.id, &to.id));
            if before.is_none_or(|f| Some(gap) < f.available) {
                let found = report(facts, fan.fan, to, gap, ends);
                all.insert((&fan.fan.id, &to.id), found);
            }
        }
    }
    out.extend(all.into_values());
}

/// The fans of a radiator by which its air leaves: of two in a row the last one. A fan that
/// covers several radiators on one side belongs to the first of them, with what it blows through
/// each.
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
            let others = radiators(facts, fan, side.opposite());
            if others.iter().any(|r| r.id < radiator.id) {
                continue;
            }
            let through = others.iter().map(|r| Blows {
                fan,
                dir,
                leaves: leaves(fan, r, dir, dir == side),
            });
            // What it blows for the most part into another radiator leaves behind that one; and
            // what it has drawn through one, beside a sliver of another.
            let before = radiators(facts, fan, dir);
            let back = radiators(facts, fan, dir.opposite());
            let goes_on = before.iter().any(|r| most(&fan.outline, &r.outline, dir));
            if (dir == side && goes_on) || (dir != side && !back.is_empty() && !goes_on) {
                continue;
            }
            all.extend(through);
        }
    }
    // What a fan blows into the radiator, another one behind it takes on.
    let taken = |b: &Blows, all: &[Blows]| {
        let behind = before(&b.leaves, b.dir, SIDE);
        all.iter().any(|o| {
            let follows = o.dir == b.dir && o.fan.slot != b.fan.slot;
            follows && o.fan.outline.overlaps(&behind) && most(&b.leaves, &o.fan.outline, b.dir)
        })
    };
    let kept: Vec<bool> = all.iter().map(|b| !taken(b, &all)).collect();
    let mut kept = kept.into_iter();
    all.retain(|_| kept.next().unwrap_or(true));
    all
}

/// True where the second covers at least half of the first, seen along this way.
fn most(of: &Box3, by: &Box3, dir: Dir) -> bool {
    let (a, b) = dir.axis().others();
    let size = |low: Length, high: Length| (high - low).max(Length::ZERO).as_mm();
    let shared = [a, b].map(|x| {
        let low = of.min().along(x).max(by.min().along(x));
        size(low, of.max().along(x).min(by.max().along(x)))
    });
    let whole = [a, b].map(|x| size(of.min().along(x), of.max().along(x)));
    2.0 * shared[0] * shared[1] >= whole[0] * whole[1]
}

/// The radiators right at the side of a fan that looks this way.
fn radiators<'a>(facts: &Facts<'a>, fan: &PlacedPart, dir: Dir) -> Vec<&'a PlacedPart> {
    let near = facts
        .placed
        .near(&before(&fan.outline, dir, SIDE), Length::ZERO);
    let meets = |r: &&PlacedPart| {
        r.group == Group::Radiator
            && r.outline.thin_axis() == dir.axis()
            && fan
                .outline
                .overlaps(&before(&r.outline, dir.opposite(), SIDE))
    };
    near.into_iter().filter(meets).collect()
}

/// Where the air of a fan at a radiator leaves: at the fan where it `draws` through it, else at
/// the radiator's far face, as far as they cover one another.
fn leaves(fan: &PlacedPart, radiator: &PlacedPart, dir: Dir, draws: bool) -> Box3 {
    let axis = dir.axis();
    let (mut low, mut high) = (fan.outline.min(), fan.outline.max());
    let (a, b) = axis.others();
    for side in [a, b] {
        let (least, most) = (radiator.outline.min(), radiator.outline.max());
        low.set(side, low.along(side).max(least.along(side)));
        high.set(side, high.along(side).min(most.along(side)));
    }
    if !draws {
        low.set(axis, radiator.outline.face(dir));
        high.set(axis, radiator.outline.face(dir));
    }
    Box3::new(low, high)
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

    #[test]
    fn only_what_goes_through_the_radiator_is_warm() {
        // A fan that overhangs its radiator by 110 of its 120, and a cooler over the overhang: by
        // hand, the 10 that they share blow beside it. Over those it is named; and as it comes
        // and goes, like in a check from anew.
        let radiator = block("radiator", Group::Radiator, [120.0, 120.0, 27.0]);
        let mut narrow = block("tower", Group::Cooler, [20.0, 100.0, 60.0]);
        narrow.blows = Some(Dir::PosZ);
        let scene = |x: f64| {
            Build::open()
                .with("r", &radiator, [100.0, 100.0, 100.0])
                .with("f", &blowing(Dir::PosZ), [210.0, 100.0, 127.0])
                .with("tower", &narrow, [x, 110.0, 170.0])
        };
        scene(275.0).expect("exhaust-intake", &[]);
        scene(200.0).expect("exhaust-intake", &["exhaust-intake:f+tower"]);
        let mut moving = scene(275.0);
        let mut checker = moving.checked();
        let id = crate::build::pid("tower");
        for (x, found) in [(200.0, 1), (300.0, 0), (219.9, 1), (220.0, 0)] {
            let mut place = moving.scene.arrangement().places[&id];
            place.at = v(x, 110.0, 170.0);
            let touched = moving.edit(crate::edit::Edit::SetPlace(id.clone(), Some(place)));
            checker.update(&moving.scene, &touched);
            let all = checker.findings();
            let count = all.iter().filter(|f| f.rule == "exhaust-intake").count();
            assert_eq!(count, found, "{x}");
        }
    }

    #[test]
    fn between_two_radiators_the_air_leaves_behind_the_second() {
        // Radiator, fan, radiator to 179, and 10 to the cooler.
        let radiator = block("radiator", Group::Radiator, [120.0, 120.0, 27.0]);
        let scene = Build::open()
            .with("r1", &radiator, [100.0, 100.0, 100.0])
            .with("f", &blowing(Dir::PosZ), [100.0, 100.0, 127.0])
            .with("r2", &radiator, [100.0, 100.0, 152.0])
            .with("tower", &cooler(), [110.0, 110.0, 189.0]);
        let found = scene.only("exhaust-intake");
        assert_eq!(found.available, Some(l(10.0)));
        // One over two side by side is named once.
        let half = block("half", Group::Radiator, [60.0, 120.0, 27.0]);
        let scene = Build::open()
            .with("r1", &half, [100.0, 100.0, 100.0])
            .with("r2", &half, [160.0, 100.0, 100.0])
            .with("f", &blowing(Dir::PosZ), [100.0, 100.0, 127.0])
            .with("tower", &cooler(), [110.0, 110.0, 162.0]);
        assert_eq!(scene.only("exhaust-intake").available, Some(l(10.0)));
    }

    #[test]
    fn a_sliver_of_something_else_takes_no_air() {
        // Radiator, fan, cooler 10 above it; and beyond the fan's edge another radiator that
        // covers 10 of its 120.
        let radiator = block("radiator", Group::Radiator, [120.0, 120.0, 27.0]);
        let scene = over(127.0, Dir::PosZ, 152.0, 10.0);
        let scene = scene.with("r2", &radiator, [210.0, 100.0, 152.0]);
        let found = scene.only("exhaust-intake");
        assert_eq!(found.available, Some(l(10.0)));
    }
}
