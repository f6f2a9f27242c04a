//! What stands before a fan's blades and takes their air.

use super::common::{mounted_on, names, part};
use super::fan_air_all;
use super::needs::{Need, Why};
use super::outside::VENT_REACH;
use super::shade::{Cover, taken};
use super::shade_open::{Opening, Share};
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::geom::{Box3, Dir, Length, Solid, Vec3, covering_boxes};
use crate::model::{Cutout, Group, Plate, Space};
use crate::placement::{PlacedPart, PlacedPlate};

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
         blades, against parts (seen by the boxes of their solids) and against what is closed of plates \
         (cut-outs and vents count as open, whatever their grille takes), one by one, and where none takes \
         too much alone, all of one side together, each part of the face counted for the nearest; of a fan without a \
         known direction it is said that it was not judged. What holds the fan or is held by it is excused, and so is \
         another fan on the same axis. The share is of area, an estimate: no source for the flow lost."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Part, Scope::Around, Scope::Pair, Scope::Wall]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        match anchor {
            Anchor::Part(p) if p.group == Group::Fan && p.kind.blows.is_none() => {
                let text = format!(
                    "which way {} blows is not known: neither what takes its air nor where that \
                     goes was judged",
                    p.name
                );
                let finding = Finding::unjudged(self.id(), vec![part(p)], text).at(p.outline);
                out.push(finding.hint("Look for the arrows on its frame, and note the way."));
            }
            Anchor::Around(fan) => out.extend(fan_air_all::together(facts, fan)),
            Anchor::Pair(a, b) => {
                let mut found = Vec::new();
                for (fan, guest) in [(a, b), (b, a)] {
                    let airs = || airs(facts, fan).filter(|(n, _)| n.space.overlaps(&guest.span));
                    if airs().next().is_none() || facts.placed.holds_each_other(&a.id, &b.id) {
                        continue;
                    }
                    let (x, y) = names(fan, guest);
                    for (need, dir) in airs().filter(|(_, dir)| !in_series(guest, *dir)) {
                        let boxes = guest.of(Space::Solid).map(|p| p.bounds);
                        let covers: Vec<Cover> = boxes
                            .filter_map(|b| Cover::of(&b, &need.space, dir))
                            .collect();
                        let at = guest.span.intersection(&need.space).unwrap_or(need.space);
                        let subjects = vec![part(fan), part(guest)];
                        found.extend(judge(facts, need, dir, (&covers, at), subjects, [&x, &y]));
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
                    let all = plate_covers(facts, plate, &need.space, dir);
                    let covers: Vec<Cover> = opened(&all).collect();
                    let at = plate.bounds.intersection(&need.space).unwrap_or(need.space);
                    let subjects = vec![part(fan), Subject::Plate(plate.id.clone())];
                    let names = [fan.name.as_str(), plate.name.as_str()];
                    found.extend(judge(facts, need, dir, (&covers, at), subjects, names));
                }
                out.extend(worst(found));
            }
            _ => {}
        }
    }
}

/// Another fan on the same axis passes the air on.
pub(super) fn in_series(guest: &PlacedPart, dir: Dir) -> bool {
    let blows = guest.kind.blows.map(|d| guest.place.turn.dir(d));
    guest.group == Group::Fan && blows.is_some_and(|d| d.axis() == dir.axis())
}

/// Two things are named once, for the side where most air is lost.
fn worst(found: Vec<(f64, Finding)>) -> Option<Finding> {
    let worst = found
        .into_iter()
        .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.available.cmp(&a.1.available)));
    worst.map(|w| w.1)
}

pub(super) fn airs<'a>(
    facts: &Facts<'a>,
    fan: &PlacedPart,
) -> impl Iterator<Item = (&'a Need, Dir)> {
    facts.needs.of(fan).iter().filter_map(|n| match n.why {
        Why::Air(dir) => Some((n, dir)),
        _ => None,
    })
}

/// Share of the free area taken, in percent, and the nearest of what takes it.
pub(super) fn loss(space: &Box3, dir: Dir, covers: &[Cover]) -> Option<(f64, Length)> {
    let (a, b) = dir.axis().others();
    let face = space.size().along(a).as_mm() * space.size().along(b).as_mm();
    let deep = space.size().along(dir.axis()).as_mm();
    let gap = covers.iter().map(|c| c.gap).min()?;
    let taken = taken(covers, &|gap| 1.0 - gap.as_mm() / deep);
    Some((taken / face * 100.0, gap))
}

/// A plate on edge that stands before a face in more pieces counts by the box around them: as if its
/// openings there were closed.
const MOST_PIECES: usize = 64;

/// What a plate covers of a face that looks along `dir`, with what is open in it there. One that is
/// seen on its edge covers by the boxes around its pieces, and vents do not open it.
pub(super) fn plate_covers<'a>(
    facts: &Facts<'a>,
    plate: &PlacedPlate,
    space: &Box3,
    dir: Dir,
) -> Vec<(Cover<'static>, Vec<Opening<'a>>)> {
    let all = &facts.placed.enclosure().plates;
    let flat = |p: &Plate| p.across() == dir.axis();
    if !all.get(plate.index as usize).is_some_and(flat) {
        let near = plate.bodies().iter().filter(|b| b.bounds().overlaps(space));
        let boxes = near.flat_map(|b| covering_boxes(b.solid()));
        let mut boxes: Vec<Box3> = boxes.filter(|b| b.overlaps(space)).collect();
        if boxes.len() > MOST_PIECES {
            let clipped: Vec<Box3> = (boxes.iter().filter_map(|b| b.intersection(space))).collect();
            boxes = Box3::around(&clipped).into_iter().collect();
        }
        let covers = boxes.iter().filter_map(|b| Cover::of(b, space, dir));
        return covers.map(|c| (c, Vec::new())).collect();
    }
    let Some(cover) = Cover::of(&plate.bounds, space, dir) else {
        return Vec::new();
    };
    let mut open = open_in(facts, plate, dir);
    open.retain(|o| o.share(cover.low, cover.high) != Share::None);
    vec![(cover, open)]
}

/// Covers with their openings.
pub(super) fn opened<'a>(
    all: &'a [(Cover<'static>, Vec<Opening<'a>>)],
) -> impl Iterator<Item = Cover<'a>> {
    all.iter().map(|(c, open)| Cover { open, ..*c })
}

/// What is open in a plate: its cut-outs, vents that lie in it, and what lies beyond
/// its outline, across `dir`.
fn open_in<'a>(facts: &Facts<'a>, plate: &PlacedPlate, dir: Dir) -> Vec<Opening<'a>> {
    let (p, q) = dir.axis().others();
    let flat = |v: Vec3| [v.along(p).as_mm(), v.along(q).as_mm()];
    let rect = |b: &Box3| Opening::Rect {
        low: flat(b.min()),
        high: flat(b.max()),
    };
    let enclosure = facts.placed.enclosure();
    let Some(own) = enclosure.plates.get(plate.index as usize) else {
        return Vec::new();
    };
    let cut = own.open().map(|(_, c)| match c {
        Cutout::Rect(b) => rect(b),
        Cutout::Round { centre, diameter } => Opening::Disc {
            at: flat(*centre),
            radius: diameter.as_mm() / 2.0,
        },
    });
    let beyond = match &own.solid {
        Solid::Extrusion {
            axis,
            outline,
            holes,
            ..
        } if *axis == dir.axis() => Some(Opening::Beyond { outline, holes }),
        // A cover reaches no further than the bounds of its plate.
        _ => None,
    };
    let faces = enclosure.vents.iter();
    let faces = faces.map(|v| v.frame.block(v.size, Length::ZERO));
    let vents = faces.filter(|f| f.grown(VENT_REACH).overlaps(&plate.bounds));
    cut.chain(beyond).chain(vents.map(|f| rect(&f))).collect()
}

fn judge(
    facts: &Facts,
    need: &Need,
    dir: Dir,
    (covers, around): (&[Cover], Box3),
    subjects: Vec<Subject>,
    [fan, other]: [&str; 2],
) -> Option<(f64, Finding)> {
    let (percent, gap) = loss(&need.space, dir, covers)?;
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
    // The gap that would take as much over the whole face: it shrinks as the loss grows.
    let free = deep.as_mm() * (1.0 - percent.min(100.0) / 100.0);
    // Rounded up from a tie, whichever way floating point summed it.
    let free = Length::from_mm(free + 1e-6).unwrap_or(gap);
    let text = format!(
        "{other} {} mm before {fan} takes {percent:.0} % of its free area, {most} % at most",
        gap.text1()
    );
    let middle = need.space.centre();
    let from = middle.with(dir.axis(), need.space.face(dir.opposite()));
    let finding = Finding::new("fan-air", Severity::Caution, subjects, text)
        .figures(deep, free)
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
    fn behind_the_blades_it_counts_as_well_and_without_a_direction_that_is_said() {
        let behind = over(30.0, 1.0).moved("slab", [0.0, 0.0, 70.0]);
        behind.expect("fan-air", &["fan-air:fan+slab"]);
        let still = block("still", Group::Fan, [120.0, 120.0, 25.0]);
        let slab = block("slab", Group::Drive, [120.0, 120.0, 10.0]);
        let scene =
            Build::open()
                .with("fan", &still, [0.0; 3])
                .with("slab", &slab, [0.0, 0.0, 30.0]);
        let found = scene.only("fan-air");
        assert!(found.unjudged);
        assert_eq!(found.key(), "fan-air:fan");
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
    fn an_opening_as_large_as_the_fan_takes_little_and_a_vent_beside_it_excuses_nothing() {
        let scene = |diameter: f64, vent: [f64; 2]| {
            let mut case = enclosure([400.0, 400.0, 200.0]);
            let mut floor = plate("floor", [0.0, 0.0, 0.0], [400.0, 400.0, 1.0]);
            floor.cutouts = vec![crate::model::Cutout::Round {
                centre: v(160.0, 160.0, 0.5),
                diameter: l(diameter),
            }];
            case.plates = vec![floor];
            case.vents = vec![Vent {
                id: "v".into(),
                frame: crate::build::frame(v(vent[0], vent[1], 0.0), "+x", "+y", "-z"),
                size: [l(20.0), l(20.0)],
                free: 0.6,
                filter: false,
                filter_outside: false,
            }];
            Build::new(case).with("fan", &blowing(), [100.0, 100.0, 16.0])
        };
        // 1 - pi 116^2 / 4 / 120^2 = 26.6 % is closed; at half the depth it takes 13 %.
        let found = scene(116.0, [300.0, 300.0]).only("fan-air");
        assert!(found.text.contains("takes 13 %"), "{}", found.text);
        // Corners beyond 138 mm: 4 % closed, 2 % taken.
        scene(138.0, [300.0, 300.0]).expect("fan-air", &[]);
        scene(20.0, [90.0, 90.0]).expect("fan-air", &["fan-air:fan+plate:floor"]);
    }

    /// Sixteen slits of 1 mm across the face leave 120 - 16 = 104 of its 120 mm closed: at 25.8
    /// of 30 mm that takes 104/120 x (1 - 25.8/30) = 12.1 %, over the 10 % allowed. Looked at in
    /// points 120/48 = 2.5 mm apart, as it once was, every slit would count as 2.5 mm, for they
    /// lie under such points: 80/120 x 14 % = 9.3 %, and nothing would be said.
    #[test]
    fn slits_count_by_their_area_and_not_by_points() {
        let mut case = enclosure([400.0, 400.0, 200.0]);
        let mut floor = plate("floor", [0.0, 0.0, 0.0], [400.0, 400.0, 1.0]);
        floor.cutouts = (0..16)
            .map(|i| {
                let x = 100.0 + 1.25 + 7.5 * f64::from(i) - 0.5;
                crate::model::Cutout::Rect(Box3::at(v(x, 100.0, 0.0), v(1.0, 120.0, 1.0)))
            })
            .collect();
        case.plates = vec![floor];
        let found = Build::new(case)
            .with("fan", &blowing(), [100.0, 100.0, 26.8])
            .only("fan-air");
        assert!(found.text.contains("takes 12 %"), "{}", found.text);
    }

    #[test]
    fn fans_on_both_faces_of_a_radiator_do_not_accuse_one_another() {
        Build::open()
            .with("near", &blowing(), [100.0, 100.0, 100.0])
            .with("far", &blowing(), [100.0, 100.0, 140.0])
            .expect("fan-air", &[]);
    }

    #[test]
    fn a_shelf_seen_on_its_edge_is_open_only_where_it_is_cut() {
        // Under a fan of 40 that draws from below, a shelf of 8 mm on edge: 8 of 40 are 20 %.
        let shelf = |hole: Option<[f64; 2]>| {
            let mut case = crate::build::enclosure([400.0; 3]);
            let mut shelf = plate("shelf", [100.0, 116.0, 0.0], [200.0, 8.0, 100.0]);
            shelf.cutouts = hole
                .map(|[at, long]| Cutout::Rect(Box3::at(v(at, 116.0, 60.0), v(long, 8.0, 40.0))))
                .into_iter()
                .collect();
            case.plates = vec![shelf];
            let mut kind = fan(40.0, 32.0, 20.0);
            kind.blows = Some(Dir::PosZ);
            Build::new(case).with("fan", &kind, [100.0, 100.0, 100.0])
        };
        for elsewhere in [None, Some([250.0, 20.0])] {
            let found = shelf(elsewhere).only("fan-air");
            assert!(found.text.contains("takes 20 %"), "{}", found.text);
        }
        // Cut away before all of it, or all but 5 of the 40: 8 x 5 of 40 x 40 are 2.5 %.
        shelf(Some([100.0, 45.0])).expect("fan-air", &[]);
        shelf(Some([100.0, 35.0])).expect("fan-air", &[]);
        let half = shelf(Some([100.0, 15.0])).only("fan-air");
        assert!(half.text.contains("takes 12 %"), "{}", half.text);
    }
}
