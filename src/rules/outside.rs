//! Parts that stick out of the enclosure, or into its plates.

use super::common::{mounted_on, part, toward};
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::edit::Edit;
use crate::geom::{Box3, Dir, Length};
use crate::model::Space;
use crate::placement::{Gap, PlacedPart, PlacedPlate, between};

/// How far a vent may lie from the plate it is in, so that it counts as its own.
const VENT_REACH: Length = Length::mm(3);

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
         plate or a vent lies there. Figures: the enclosure's own."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Part, Scope::Wall]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        match anchor {
            Anchor::Part(p) => out.extend(beyond(p, &facts.placed.enclosure().outline())),
            Anchor::Wall(p, plate) if p.span.overlaps(&plate.bounds) => {
                out.extend(in_plate(p, plate).or_else(|| blocked(facts, p, plate)));
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
    let mut regions = Vec::new();
    for (solid, bounds) in plate.pieces().filter(|(_, b)| b.overlaps(&p.outline)) {
        for q in p.of(Space::Solid).filter(|q| q.bounds.overlaps(&bounds)) {
            match between(&q.solid, solid, Length::ZERO) {
                Gap::Overlap { depth, region } => {
                    worst = Some(worst.map_or(depth, |w| w.max(depth)));
                    regions.push(region);
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
    let depth = worst?;
    let text = format!("{name} stands {} mm deep in {}", depth.text1(), plate.name);
    let mut finding = Finding::new("outside", Severity::Stop, subjects, text)
        .figures(Length::ZERO, -depth)
        .hint(format!(
            "Move it clear of {}, or cut an opening.",
            plate.name
        ));
    finding.place = place;
    for region in regions.into_iter().take(16) {
        finding = finding.mark(FindingMark::Overlap(region));
    }
    Some(finding)
}

fn blocked(facts: &Facts, p: &PlacedPart, plate: &PlacedPlate) -> Option<Finding> {
    let mut worst: Option<(Length, Box3, &str)> = None;
    for q in p
        .of(Space::KeepOut)
        .filter(|q| q.bounds.overlaps(&plate.bounds))
    {
        for (solid, bounds) in plate.pieces().filter(|(_, b)| b.overlaps(&q.bounds)) {
            let Gap::Overlap { depth, region } = between(&q.solid, solid, Length::ZERO) else {
                continue;
            };
            let vented = facts.placed.enclosure().vents.iter().any(|v| {
                let face = v.frame.block(v.size, Length::ZERO).grown(VENT_REACH);
                face.overlaps(&bounds) && face.overlaps(&region)
            });
            if !vented && worst.is_none_or(|w| w.0 < depth) {
                worst = Some((depth, region, q.name.as_str()));
            }
        }
    }
    let (depth, region, piece) = worst?;
    if mounted_on(facts.placed, &p.id, plate) {
        return None;
    }
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
    let subjects = vec![part(p), Subject::Plate(plate.id.clone())];
    Some(
        Finding::new("outside", Severity::Caution, subjects, text)
            .figures(Length::ZERO, -depth)
            .at(region)
            .mark(FindingMark::Overlap(region))
            .hint("Move it away from the plate, or give the plate a vent there."),
    )
}
