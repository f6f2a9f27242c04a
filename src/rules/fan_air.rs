//! What stands before a fan's blades and takes their air.

use super::common::{mounted_on, names, part};
use super::needs::{Need, Why};
use super::outside::vented;
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::geom::{Box3, Dir, Length};
use crate::model::Space;
use crate::placement::PlacedPart;

/// See [`Rule::about`].
pub(super) struct FanAir;

impl Rule for FanAir {
    fn id(&self) -> &'static str {
        "fan-air"
    }

    fn title(&self) -> &'static str {
        "Fan without air"
    }

    fn about(&self) -> &'static str {
        "Air gets to a fan past what stands before it. Over a gap g the way in from the sides has the \
         area of the fan's face once g is a quarter of its edge (arithmetic: 4 x edge x edge/4), so what \
         stands nearer takes the share (1 - 4g/edge) of the part of the face that it covers: the loss \
         grows as the gap closes. More than the share allowed (assets/rules.json; common practice, no \
         source) is a caution with the figure; exactly that share is not. Judged before and behind the \
         blades, against parts and against plates without a vent there, one by one; fans without a \
         known direction are not. What holds the fan or is held by it is excused. The share is of area, \
         an estimate: no source for the flow lost."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Pair, Scope::Wall]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        match anchor {
            Anchor::Pair(a, b) => {
                let mut found = Vec::new();
                for (fan, guest) in [(a, b), (b, a)] {
                    let airs = || airs(facts, fan).filter(|(n, _)| n.space.overlaps(&guest.span));
                    if airs().next().is_none() || facts.placed.holds_each_other(&a.id, &b.id) {
                        continue;
                    }
                    let solids: Vec<Box3> = guest.of(Space::Solid).map(|p| p.bounds).collect();
                    let (x, y) = names(fan, guest);
                    for (need, dir) in airs() {
                        let subjects = vec![part(fan), part(guest)];
                        found.extend(judge(facts, need, dir, &solids, subjects, [&x, &y]));
                    }
                }
                out.extend(worst(found));
            }
            Anchor::Wall(fan, plate) => {
                let airs = || airs(facts, fan).filter(|(n, _)| n.space.overlaps(&plate.bounds));
                if airs().next().is_none() || mounted_on(facts.placed, &fan.id, plate) {
                    return;
                }
                let mut found = Vec::new();
                for (need, dir) in airs() {
                    let solids: Vec<Box3> = plate
                        .bodies()
                        .iter()
                        .map(|b| *b.bounds())
                        .filter(|b| !vented(facts, b, &need.space))
                        .collect();
                    let subjects = vec![part(fan), Subject::Plate(plate.id.clone())];
                    let names = [fan.name.as_str(), plate.name.as_str()];
                    found.extend(judge(facts, need, dir, &solids, subjects, names));
                }
                out.extend(worst(found));
            }
            _ => {}
        }
    }
}

/// Two things are named once, for the side where most air is lost.
fn worst(found: Vec<(f64, Finding)>) -> Option<Finding> {
    let worst = found
        .into_iter()
        .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.available.cmp(&a.1.available)));
    worst.map(|w| w.1)
}

fn airs<'a>(facts: &Facts<'a>, fan: &PlacedPart) -> impl Iterator<Item = (&'a Need, Dir)> {
    facts.needs.of(fan).iter().filter_map(|n| match n.why {
        Why::Air(dir) => Some((n, dir)),
        _ => None,
    })
}

/// Share of the free area taken, in percent, and the nearest of what takes it.
/// Solids are seen by their boxes, one behind the other only once.
fn loss(space: &Box3, dir: Dir, solids: &[Box3]) -> Option<(f64, Length, Box3)> {
    let (a, b) = dir.axis().others();
    let area = |x: &Box3| x.size().along(a).as_mm() * x.size().along(b).as_mm();
    let deep = space.size().along(dir.axis()).as_mm();
    let face = space.face(dir.opposite());
    let mut hits: Vec<(Length, Box3)> = solids
        .iter()
        .filter(|s| s.overlaps(space))
        .filter_map(|s| s.intersection(space))
        .map(|s| ((s.face(dir.opposite()) - face) * dir.sign(), s))
        .collect();
    hits.sort_by_key(|(gap, s)| (*gap, s.min().x, s.min().y, s.min().z));
    let (gap, _) = *hits.first()?;
    let mut taken = 0.0;
    let mut counted: Vec<Box3> = Vec::new();
    for (gap, hit) in &hits {
        let shade = |x: &Box3| {
            let (mut min, mut max) = (x.min(), x.max());
            min.set(dir.axis(), Length::ZERO);
            max.set(dir.axis(), Length::mm(1));
            Box3::new(min, max)
        };
        let flat = shade(hit);
        let hidden: f64 = counted
            .iter()
            .filter_map(|c| c.intersection(&flat))
            .map(|x| area(&x))
            .sum();
        let free = (area(&flat) - hidden).max(0.0);
        taken += free / area(space) * (1.0 - gap.as_mm() / deep);
        counted.push(flat);
    }
    let around = Box3::around(hits.iter().map(|h| &h.1))?;
    Some((taken * 100.0, gap, around))
}

fn judge(
    facts: &Facts,
    need: &Need,
    dir: Dir,
    solids: &[Box3],
    subjects: Vec<Subject>,
    [fan, other]: [&str; 2],
) -> Option<(f64, Finding)> {
    let (percent, gap, around) = loss(&need.space, dir, solids)?;
    let Some(most) = facts.settings.limits.fan_loss_percent else {
        let text = format!("{other} stands before {fan}: no limit is set for the air it may take");
        let finding = Finding::unjudged("fan-air", subjects, text).at(around);
        return Some((percent, finding));
    };
    // The share comes from floating point; a millionth more is no finding.
    if percent <= most as f64 + 1e-6 {
        return None;
    }
    let deep = need.space.size().along(dir.axis());
    let text = format!(
        "{other} {} mm before {fan} takes {percent:.0} % of its free area, {most} % at most",
        gap.text1()
    );
    let middle = need.space.centre();
    let from = middle.with(dir.axis(), need.space.face(dir.opposite()));
    let finding = Finding::new("fan-air", Severity::Caution, subjects, text)
        .figures(deep, gap)
        .at(around)
        .mark(FindingMark::Gap {
            from,
            to: from + dir.times(gap),
        })
        .hint(format!(
            "Leave {} mm there, or take another place for one of them.",
            deep.text1()
        ));
    Some((percent, finding))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block, enclosure, fan, l, plate, v};
    use crate::model::{Group, PartKind, Vent};

    fn blowing() -> PartKind {
        let mut kind = fan(120.0, 105.0, 25.0);
        kind.blows = Some(Dir::PosZ);
        kind
    }

    /// A fan that draws from below, over a slab that covers `share` of its face.
    fn over(gap: f64, share: f64) -> Build {
        let slab = block("slab", Group::Drive, [120.0 * share, 120.0, 10.0]);
        Build::open()
            .with("fan", &blowing(), [100.0, 100.0, 100.0])
            .with("slab", &slab, [100.0, 100.0, 90.0 - gap])
    }

    #[test]
    fn a_quarter_of_the_edge_is_enough_and_the_loss_grows_as_the_gap_closes() {
        over(30.0, 1.0).expect("fan-air", &[]);
        // 1 - 4 g / 120 (the rule's own closed form): 10 % at 27, allowed.
        over(27.0, 1.0).expect("fan-air", &[]);
        let found = over(26.9, 1.0).only("fan-air");
        assert_eq!(found.severity, Severity::Caution);
        assert_eq!(
            (found.needed, found.available),
            (Some(l(30.0)), Some(l(26.9)))
        );
        let half = over(15.0, 1.0).only("fan-air").text;
        assert!(
            half.contains("15.0 mm before fan 120x25 takes 50 %"),
            "{half}"
        );
        assert!(over(0.0, 1.0).only("fan-air").text.contains("100 %"));
    }

    #[test]
    fn what_covers_little_takes_little() {
        over(0.0, 0.1).expect("fan-air", &[]);
        over(0.0, 0.11).expect("fan-air", &["fan-air:fan+slab"]);
        // Beside the face, touching its edge, it takes nothing.
        over(5.0, 1.0)
            .moved("slab", [120.0, 0.0, 0.0])
            .expect("fan-air", &[]);
    }

    #[test]
    fn behind_the_blades_it_counts_as_well_and_without_a_direction_nothing_does() {
        let behind = over(30.0, 1.0).moved("slab", [0.0, 0.0, 70.0]);
        behind.expect("fan-air", &["fan-air:fan+slab"]);
        let still = block("still", Group::Fan, [120.0, 120.0, 25.0]);
        let slab = block("slab", Group::Drive, [120.0, 120.0, 10.0]);
        Build::open()
            .with("fan", &still, [0.0; 3])
            .with("slab", &slab, [0.0, 0.0, 30.0])
            .expect("fan-air", &[]);
    }

    #[test]
    fn a_plate_takes_air_where_it_has_no_vent() {
        let scene = |vent: bool| {
            let mut case = enclosure([400.0, 400.0, 200.0]);
            case.plates = vec![plate("floor", [0.0, 0.0, 0.0], [400.0, 400.0, 1.0])];
            if vent {
                case.vents = vec![Vent {
                    id: "v".into(),
                    frame: crate::build::frame(v(50.0, 50.0, 0.0), "+x", "+y", "-z"),
                    size: [l(300.0), l(300.0)],
                    free: 0.6,
                    filter: false,
                    filter_outside: false,
                }];
            }
            Build::new(case).with("fan", &blowing(), [100.0, 100.0, 11.0])
        };
        scene(false).expect("fan-air", &["fan-air:fan+plate:floor"]);
        scene(true).expect("fan-air", &[]);
    }

    #[test]
    fn one_thing_behind_another_counts_once() {
        let space = Box3::at(v(0.0, 0.0, 0.0), v(100.0, 100.0, 25.0));
        let near = Box3::at(v(0.0, 0.0, 5.0), v(50.0, 100.0, 1.0));
        let behind = Box3::at(v(0.0, 0.0, 10.0), v(50.0, 100.0, 1.0));
        let one = loss(&space, Dir::PosZ, &[near]).map(|l| l.0);
        assert_eq!(one, Some(40.0));
        assert_eq!(loss(&space, Dir::PosZ, &[behind, near]).map(|l| l.0), one);
    }
}
