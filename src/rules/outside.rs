//! Parts that stick out of the enclosure, or into its plates.

use super::common::{mounted_on, part, shape_unjudged, toward};
use super::overlaps::hatched;
use super::said::by_depth;
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::edit::Edit;
use crate::geom::{Box3, Dir, Length, Turn, union_um3};
use crate::model::{Plate, Space};
use crate::placement::{Body, Gap, PlacedPart, PlacedPlate, apart, between};

/// How far a vent may lie from the plate it is in, so that it counts as its own.
pub(super) const VENT_REACH: Length = Length::mm(3);

/// See [`Rule::about`].
pub(super) struct Outside;

impl Rule for Outside {
    fn id(&self) -> &'static str {
        "outside"
    }

    fn title(&self) -> &'static str {
        "Outside the enclosure"
    }

    fn about(&self) -> &'static str {
        "What is solid has to stay inside the outer box of the enclosure, and out of its plates: \
         through a plate only where it has a cut-out. Touching the outer face or a plate is fine. A \
         plate in the space that a part keeps clear is a caution, unless the part is mounted on that \
         plate or vents there leave at least half of it open (common practice, no source). Where a part would be clear if only its stack were no thicker than \
         its zone is deep, the rule on depths says it all, and this one is silent. Figures: the \
         enclosure's own."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Part, Scope::Wall]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        match anchor {
            Anchor::Part(p) => {
                let room = facts.placed.enclosure().outline();
                out.extend(beyond(p, &room).filter(|_| !said_beyond(facts, p)));
            }
            Anchor::Wall(p, plate) if p.span.overlaps(&plate.bounds) => {
                let found = in_plate(p, plate);
                if found.is_none() || !said_in_plate(facts, p, plate) {
                    out.extend(found.or_else(|| blocked(facts, p, plate)));
                }
            }
            _ => {}
        }
    }
}

/// How far a box reaches beyond the room on the worst side.
fn worst_side(own: &Box3, room: &Box3) -> Option<(Length, Dir)> {
    let sides = Dir::ALL.into_iter().map(|dir| {
        let over = (own.face(dir) - room.face(dir)) * dir.sign();
        (over, dir)
    });
    sides.max_by_key(|s| s.0).filter(|s| s.0 > Length::ZERO)
}

fn beyond(p: &PlacedPart, room: &Box3) -> Option<Finding> {
    let solid = Box3::around(p.of(Space::Solid).map(|q| &q.bounds))?;
    let (over, dir) = worst_side(&solid, room)?;
    let text = format!(
        "{} sticks out of the enclosure by {} mm {}",
        p.name,
        over.text1(),
        toward(dir)
    );
    let mut finding = Finding::new("outside", Severity::Stop, vec![part(p)], text)
        .figures(Length::ZERO, -over)
        .at(solid);
    for q in p.of(Space::Solid).filter(|q| !room.contains(&q.bounds)) {
        // What lies beyond: the slice past each face of the room.
        for dir in Dir::ALL {
            let past = (q.bounds.face(dir) - room.face(dir)) * dir.sign();
            if past > Length::ZERO {
                let far = q.bounds.size().along(dir.axis()).min(past);
                let slice = slice(&q.bounds, dir, far);
                finding = finding.mark(FindingMark::Overlap(slice));
            }
        }
    }
    let size = solid.size();
    let fits = crate::geom::Axis::ALL
        .into_iter()
        .all(|a| size.along(a) <= room.size().along(a));
    if !fits {
        return Some(finding.hint("It is larger than the enclosure: turn it or take another."));
    }
    if !p.place.locked {
        let back = (room.min() - solid.min()).max(crate::geom::Vec3::ZERO)
            - (solid.max() - room.max()).max(crate::geom::Vec3::ZERO);
        let mut place = p.place;
        place.at += back;
        finding.fix = Some(vec![Edit::SetPlace(p.id.clone(), Some(place))]);
    }
    Some(finding.hint(format!(
        "Move it {} mm {}.",
        over.text1(),
        toward(dir.opposite())
    )))
}

/// The last `far` of a box in this direction.
fn slice(b: &Box3, dir: Dir, far: Length) -> Box3 {
    let face = b.face(dir);
    let (mut min, mut max) = (b.min(), b.max());
    if dir.is_positive() {
        min.set(dir.axis(), face - far);
    } else {
        max.set(dir.axis(), face + far);
    }
    Box3::new(min, max)
}

fn in_plate(p: &PlacedPart, plate: &PlacedPlate) -> Option<Finding> {
    let (mut worst, mut unjudged) = (None::<Length>, None);
    let (mut regions, mut marks) = (Vec::new(), Vec::new());
    for body in plate
        .bodies()
        .iter()
        .filter(|b| b.bounds().overlaps(&p.outline))
    {
        for q in p
            .of(Space::Solid)
            .filter(|q| q.bounds.overlaps(body.bounds()))
        {
            match between(&q.body, body, Length::ZERO) {
                Gap::Overlap { depth, region, .. } => {
                    worst = worst.max(Some(depth));
                    regions.push(region);
                    marks.push(hatched(region, [&q.body, body]));
                }
                Gap::Unjudged(why) => unjudged = Some(why),
                Gap::Apart { .. } | Gap::Beyond => {}
            }
        }
    }
    let subjects = vec![part(p), Subject::Plate(plate.id.clone())];
    let name = &p.name;
    let place = Box3::around(&regions);
    // Material that may have been cut away cannot be held against a part.
    let why = if worst.is_some() {
        plate.uncut.clone()
    } else {
        unjudged
    };
    if let Some(why) = why {
        let text = format!(
            "whether {name} stands in {} was not judged: {why}",
            plate.name
        );
        let finding = Finding::unjudged("outside", subjects, text)
            .hint("Look at the plate there in all views.");
        return Some(finding.at(place.unwrap_or(p.outline)));
    }
    let solids = p.of(Space::Solid);
    let pairs: Vec<(&Body, &Body)> = solids
        .flat_map(|q| plate.bodies().iter().map(move |b| (b, &q.body)))
        .collect();
    let whole = worst.and_then(|_| apart(&pairs));
    let depth = whole.map(|out| out.depth).or(worst)?;
    let most = match whole {
        Some(out) if !out.is_least => "at most ",
        _ => "",
    };
    let text = format!(
        "{name} stands {most}{} mm deep in {}",
        depth.text1(),
        plate.name
    );
    let mut finding = Finding::new("outside", Severity::Stop, subjects, text)
        .figures(Length::ZERO, -depth)
        .hint(format!(
            "Move it clear of {}, or cut an opening.",
            plate.name
        ));
    finding.place = place;
    Some(marks.into_iter().take(16).fold(finding, Finding::mark))
}

/// True where the rule on depths says that the part sticks out.
fn said_beyond(facts: &Facts, p: &PlacedPart) -> bool {
    let room = facts.placed.enclosure().outline();
    let solids = || p.of(Space::Solid).map(|q| &q.bounds);
    by_depth(facts, p, |by| solids().all(|b| room.contains(&b.moved(by))))
}

/// True where the rule on depths says that the part stands in the plate.
fn said_in_plate(facts: &Facts, p: &PlacedPart, plate: &PlacedPlate) -> bool {
    by_depth(facts, p, |by| {
        p.of(Space::Solid).all(|q| {
            let moved: Body = q.solid.placed(Turn::NONE, by).into();
            let near = plate.bodies().iter();
            near.filter(|b| b.bounds().overlaps(moved.bounds()))
                .all(|b| {
                    matches!(
                        between(&moved, b, Length::ZERO),
                        Gap::Apart { .. } | Gap::Beyond
                    )
                })
        })
    })
}

/// What is not found here as the rule on depths says it: how far the parts of a stack
/// stand out of the enclosure and in its plates.
pub(super) fn said_of(facts: &Facts, p: &PlacedPart) -> Vec<(Option<String>, Finding)> {
    let room = facts.placed.enclosure().outline();
    let mut said = Vec::new();
    if let Some(found) = beyond(p, &room).filter(|_| said_beyond(facts, p)) {
        said.push((None, found));
    }
    for plate in facts.placed.plates_near(&p.span, Length::ZERO) {
        if let Some(found) = in_plate(p, plate).filter(|_| said_in_plate(facts, p, plate)) {
            said.push((Some(plate.name.clone()), found));
        }
    }
    said
}

/// True where vents of a plate lie before the space that is kept clear, and what is closed there is
/// no more than half of it, seen through the plate.
fn vented(facts: &Facts, plate: &PlacedPlate, kept: &Box3, regions: &[Box3]) -> bool {
    let enclosure = facts.placed.enclosure();
    let own = enclosure.plates.get(plate.index as usize);
    let (Some(axis), Some(whole)) = (own.map(Plate::across), kept.intersection(&plate.bounds))
    else {
        return false;
    };
    let flat = |b: &Box3| {
        let end = Length::um(1);
        Box3::new(b.min().with(axis, Length::ZERO), b.max().with(axis, end))
    };
    let area = |boxes: Vec<Box3>| union_um3(&boxes).unwrap_or(0);
    let across = enclosure.vents.iter();
    let across = across.filter(|v| v.frame.normal.axis() == axis);
    let faces = across.map(|v| v.frame.block(v.size, Length::ZERO));
    let near = faces.filter(|f| {
        let f = f.grown(VENT_REACH);
        f.overlaps(&plate.bounds) && f.overlaps(&whole)
    });
    let vents: Vec<Box3> = near.map(|f| flat(&f)).collect();
    let closed: Vec<Box3> = regions.iter().map(flat).collect();
    let open = vents
        .iter()
        .flat_map(|v| closed.iter().filter_map(|r| r.intersection(v)));
    let open = area(open.collect());
    !vents.is_empty() && 2 * (area(closed) - open) <= area(vec![flat(&whole)])
}

fn blocked(facts: &Facts, p: &PlacedPart, plate: &PlacedPlate) -> Option<Finding> {
    let mut worst: Option<(Length, Box3, &str)> = None;
    let mut why = None;
    for q in p
        .of(Space::KeepOut)
        .filter(|q| q.bounds.overlaps(&plate.bounds))
    {
        // A vent lets air through, so what lies before one is not held against the space.
        let mut pairs: Vec<(&Body, &Body)> = Vec::new();
        let mut met: Vec<(Length, Box3)> = Vec::new();
        for body in plate.bodies() {
            if !body.bounds().overlaps(&q.bounds) {
                pairs.push((body, &q.body));
                continue;
            }
            let (depth, region) = match between(&q.body, body, Length::ZERO) {
                Gap::Overlap { depth, region, .. } => (depth, region),
                Gap::Unjudged(unknown) => {
                    why = Some(unknown);
                    continue;
                }
                Gap::Apart { .. } | Gap::Beyond => {
                    pairs.push((body, &q.body));
                    continue;
                }
            };
            pairs.push((body, &q.body));
            met.push((depth, region));
        }
        let regions: Vec<Box3> = met.iter().map(|m| m.1).collect();
        if vented(facts, plate, &q.bounds, &regions) {
            continue;
        }
        let deepest = met.into_iter().reduce(|a, b| if a.0 < b.0 { b } else { a });
        if let Some((deepest, region)) = deepest {
            let depth = apart(&pairs).map_or(deepest, |out| out.depth);
            if worst.is_none_or(|w| w.0 < depth) {
                worst = Some((depth, region, q.name.as_str()));
            }
        }
    }
    if mounted_on(facts.placed, &p.id, plate) {
        return None;
    }
    let subjects = vec![part(p), Subject::Plate(plate.id.clone())];
    let Some((depth, region, piece)) = worst else {
        let question = format!("{} stands in a space of {}", plate.name, p.name);
        return why.map(|why| shape_unjudged("outside", subjects, &question, &why));
    };
    let what = if piece.is_empty() {
        String::new()
    } else {
        format!(" ({piece})")
    };
    let text = format!(
        "{} stands {} mm deep in the space kept clear by {}{what}",
        plate.name,
        depth.text1(),
        p.name
    );
    Some(
        Finding::new("outside", Severity::Caution, subjects, text)
            .figures(Length::ZERO, -depth)
            .at(region)
            .mark(FindingMark::Overlap(region))
            .hint("Move it away from the plate, or give the plate a vent there."),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block, enclosure, frame, l, piece, plate, v};
    use crate::geom::{Axis, Solid};
    use crate::model::{Cutout, Group, Vent};

    fn case() -> crate::model::Enclosure {
        let mut case = enclosure([200.0, 200.0, 200.0]);
        case.plates = vec![plate("rear", [0.0, 199.0, 0.0], [200.0, 1.0, 200.0])];
        case
    }

    fn disk() -> crate::model::PartKind {
        block("disk", Group::Drive, [50.0, 50.0, 20.0])
    }

    #[test]
    fn touching_the_outer_face_is_inside() {
        let at = |x| Build::new(case()).with("disk", &disk(), [x, 10.0, 0.0]);
        at(0.0).expect("outside", &[]);
        at(150.0).expect("outside", &[]);
        at(150.001).expect("outside", &["outside:disk"]);
    }

    #[test]
    fn how_far_and_where_it_sticks_out_and_the_way_back() {
        let scene = Build::new(case()).with("disk", &disk(), [-5.0, 10.0, 190.0]);
        let found = scene.only("outside");
        assert_eq!(found.text, "disk sticks out of the enclosure by 10.0 mm up");
        assert_eq!(found.available, Some(-l(10.0)));
        let back = scene.fixed("outside");
        let place = back.scene.arrangement().places[&crate::build::pid("disk")];
        assert_eq!(place.at, v(0.0, 10.0, 180.0));
    }

    #[test]
    fn a_part_larger_than_the_enclosure_has_no_way_back() {
        let long = block("long", Group::Card, [20.0, 300.0, 20.0]);
        let found = Build::new(case()).with("long", &long, [0.0, 0.0, 0.0]);
        let found = found.found("outside");
        assert!(found.iter().all(|f| f.fix.is_none()) && !found.is_empty());
    }

    #[test]
    fn touching_a_plate_is_fine_and_reaching_into_it_is_not() {
        let at = |y| Build::new(case()).with("disk", &disk(), [10.0, y, 10.0]);
        at(149.0).expect("outside", &[]);
        let found = at(149.4).only("outside");
        assert_eq!(found.text, "disk stands 0.4 mm deep in rear");
        assert_eq!(found.key(), "outside:disk+plate:rear");
    }

    #[test]
    fn through_a_cutout_is_fine_and_past_its_edge_is_not() {
        let mut case = case();
        let hole = Box3::at(v(20.0, 199.0, 20.0), v(60.0, 1.0, 30.0));
        case.plates[0].cutouts = vec![Cutout::Rect(hole)];
        let at = |x| Build::new(case.clone()).with("disk", &disk(), [x, 150.0, 25.0]);
        at(20.0).expect("outside", &[]);
        at(30.0).expect("outside", &[]);
        at(30.1).expect("outside", &["outside:disk+plate:rear"]);
    }

    fn breathing() -> crate::model::PartKind {
        let mut supply = block("supply", Group::Supply, [50.0, 50.0, 50.0]);
        let air = Solid::Box(Box3::at(v(0.0, 50.0, 0.0), v(50.0, 12.7, 50.0)));
        supply
            .body
            .push(piece(air, crate::model::Space::KeepOut, "air"));
        supply
    }

    #[test]
    fn a_plate_in_kept_space_is_a_caution_but_a_vent_is_not() {
        let scene = Build::new(case()).with("psu", &breathing(), [10.0, 140.0, 10.0]);
        let found = scene.only("outside");
        assert_eq!(found.severity, Severity::Caution);
        // Back by 202.7 - 199.
        assert_eq!(found.available, Some(-l(3.7)));
        let vented = |high: f64| {
            let mut vented = case();
            vented.vents = vec![Vent {
                id: "v".into(),
                frame: frame(v(0.0, 200.0, 0.0), "+x", "+z", "+y"),
                size: [l(100.0), l(high)],
                free: 0.6,
                filter: false,
                filter_outside: false,
            }];
            Build::new(vented).with("psu", &breathing(), [10.0, 140.0, 10.0])
        };
        vented(100.0).expect("outside", &[]);
        // Of the 50 x 50 from 10 up, half is enough, and a crack is not.
        vented(35.0).expect("outside", &[]);
        vented(34.999).expect("outside", &["outside:plate:rear+psu"]);
        vented(11.0).expect("outside", &["outside:plate:rear+psu"]);
        // What is cut away is open too: 30 of the 50, with a vent before it.
        let mut cut = vented(100.0);
        let case = std::sync::Arc::make_mut(&mut cut.scene.enclosure);
        case.vents[0].frame = frame(v(0.0, 200.0, 10.0), "+x", "+z", "+y");
        case.vents[0].size = [l(100.0), l(30.0)];
        let hole = Box3::at(v(0.0, 199.0, 10.0), v(100.0, 1.0, 30.0));
        case.plates[0].cutouts = vec![Cutout::Rect(hole)];
        cut.expect("outside", &[]);
    }

    #[test]
    fn an_opening_that_could_not_be_cut_is_said() {
        let mut case = case();
        case.plates[0].solid = Solid::Cylinder {
            axis: Axis::Y,
            base: v(50.0, 199.0, 50.0),
            radius: l(50.0),
            height: l(1.0),
        };
        case.plates[0].cutouts = vec![Cutout::Round {
            centre: v(5.0, 199.0, 20.0),
            diameter: l(40.0),
        }];
        let scene = Build::new(case).with("disk", &disk(), [0.0, 150.0, 10.0]);
        let found = scene.only("outside");
        assert!(found.unjudged, "{found:?}");
    }
}
