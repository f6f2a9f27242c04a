//! Small things that several rules need.

use super::{Facts, Finding, Subject};
use crate::edit::Edit;
use crate::geom::{Box3, Dir, Length, Solid, covering_boxes};
use crate::model::{PartId, PortRef, Space, Zone};
use crate::placement::{Body, Placed, PlacedPart, PlacedPlate, Support, travel};

/// A part as the subject of a finding.
pub(super) fn part(p: &PlacedPart) -> Subject {
    Subject::Part(p.id.clone())
}

/// Names a part so that two of one kind can be told apart: by name, and by id
/// where another placed part of the pair has the same name.
pub(super) fn names(a: &PlacedPart, b: &PlacedPart) -> (String, String) {
    if a.name == b.name {
        let name = |p: &PlacedPart| format!("{} ({})", p.name, p.id);
        (name(a), name(b))
    } else {
        (a.name.clone(), b.name.clone())
    }
}

/// The remark of a rule that meets a shape which cannot be judged.
pub(super) fn shape_unjudged(
    rule: &'static str,
    subjects: Vec<Subject>,
    question: &str,
    why: &str,
) -> Finding {
    let text = format!("whether {question} was not judged: {why}");
    Finding::unjudged(rule, subjects, text).hint("Look at the place in all views.")
}

/// Names a port by its part.
pub(super) fn port_name(facts: &Facts, port: &PortRef) -> String {
    match facts.scene.parts.get(&port.part) {
        Some(part) => match part.kind.port(&port.port) {
            Some(p) => format!("{} of {}", p.name, part.name),
            None => format!("port '{}' of {}", port.port, part.name),
        },
        None => format!("port '{port}'"),
    }
}

/// A small box round a port, to go to.
pub(super) fn port_place(placed: &Placed, port: &PortRef) -> Option<Box3> {
    let at = placed.port(port)?.at;
    Some(Box3::new(at, at).grown(Length::mm(5)))
}

/// How far behind the face of a zone its plate is looked for.
const BEHIND: Length = Length::um(500);

/// True where the part is mounted on this plate: the plate lies right behind the face of a
/// zone of the enclosure that holds it. One that stands before the face or through it, or only
/// touches its edge, does not carry it.
pub(super) fn mounted_on(placed: &Placed, id: &PartId, plate: &PlacedPlate) -> bool {
    placed.holds(id).iter().any(|hold| {
        hold.zone.part.is_none()
            && placed
                .zone(&hold.zone)
                .is_some_and(|zone| lies_behind(zone, plate))
    })
}

/// True where the plate lies right behind the face of a zone of the enclosure.
pub(super) fn lies_behind(zone: &Zone, plate: &PlacedPlate) -> bool {
    let back = zone.frame.normal.opposite().times(BEHIND);
    let behind = zone.frame.block(zone.size, BEHIND).moved(back);
    let front = zone.frame.origin.toward(zone.frame.normal) + BEHIND;
    plate.bodies().iter().any(|body| {
        let ends = |b: &Box3| b.face(zone.frame.normal) * zone.frame.normal.sign() <= front;
        behind.overlaps(body.bounds())
            && covering_boxes(body.solid())
                .iter()
                .any(|b| behind.overlaps(b) && ends(b))
    })
}

/// How far from its face that looks back along `dir` a space is free of a body that stands in it,
/// seen along `dir`: exact for boxes, for others short by less than a micrometre.
pub(super) fn free_before(space: &Box3, dir: Dir, body: &Body) -> Length {
    let start = space.face(dir.opposite());
    let boxes = (body.bounds().face(dir.opposite()) - start) * dir.sign();
    let (mut low, mut high) = (space.min(), space.max());
    low.set(dir.axis(), start);
    high.set(dir.axis(), start);
    // As thin as there is, and behind the face.
    let slab = Box3::new(low, high);
    let slab = slab.union(&slab.moved(dir.opposite().times(Length::um(1))));
    let free = travel(&Body::from(Solid::Box(slab)), body, dir);
    free.unwrap_or(boxes).max(boxes).max(Length::ZERO)
}

/// The edit that moves `mover` by the least straight way on which it no longer
/// overlaps the solid boxes of `fixed`, inside `room`. `None` where it is locked,
/// or there is no such way.
pub(super) fn move_clear(
    mover: &PlacedPart,
    fixed: &[Box3],
    room: &Box3,
) -> Option<(Length, Dir, Edit)> {
    if mover.place.locked {
        return None;
    }
    let own: Vec<Box3> = mover.of(Space::Solid).map(|p| p.bounds).collect();
    let mut best: Option<(Length, Dir)> = None;
    for dir in Dir::ALL {
        let by = clear_along(&own, fixed, dir);
        let fits = room.contains(&mover.outline.moved(dir.times(by)));
        if by > Length::ZERO && fits && best.is_none_or(|b| by < b.0) {
            best = Some((by, dir));
        }
    }
    let (by, dir) = best?;
    let mut place = mover.place;
    place.at += dir.times(by);
    Some((by, dir, Edit::SetPlace(mover.id.clone(), Some(place))))
}

/// The least distance along `dir` after which no box of `own` overlaps one of
/// `fixed`, without passing through free space in between and back into another.
fn clear_along(own: &[Box3], fixed: &[Box3], dir: Dir) -> Length {
    let mut by = Length::ZERO;
    // Each round gets past at least one more pair.
    for _ in 0..=own.len().saturating_mul(fixed.len()) {
        let mut step = Length::ZERO;
        for a in own {
            let a = a.moved(dir.times(by));
            for b in fixed.iter().filter(|b| a.overlaps(b)) {
                let out = if dir.is_positive() {
                    b.face(dir) - a.face(dir.opposite())
                } else {
                    a.face(dir.opposite()) - b.face(dir)
                };
                step = step.max(out);
            }
        }
        if step == Length::ZERO {
            break;
        }
        by += step;
    }
    by
}

/// Which of two parts to move: the one that is not locked, then the one that
/// nothing holds, then the smaller, then the later id.
pub(super) fn mover<'a>(
    placed: &Placed,
    a: &'a PlacedPart,
    b: &'a PlacedPart,
) -> (&'a PlacedPart, &'a PlacedPart) {
    let rank = |p: &PlacedPart| {
        (
            p.place.locked,
            placed.support(&p.id) == Some(Support::Held),
            p.outline.volume_mm3(),
        )
    };
    let (x, y) = (rank(a), rank(b));
    if (x.0, x.1) < (y.0, y.1) || ((x.0, x.1) == (y.0, y.1) && x.2 < y.2) {
        (a, b)
    } else {
        (b, a)
    }
}

/// A direction in a sentence: 'to the left', 'up'.
pub(super) fn toward(dir: Dir) -> String {
    match dir {
        Dir::PosZ | Dir::NegZ => dir.words().to_owned(),
        _ => format!("to the {}", dir.words()),
    }
}

/// A figure above a limit, with as many decimals as tell the two apart; of a hair's breadth that
/// it is one.
pub(super) fn above(value: f64, limit: f64) -> String {
    (0..=4)
        .map(|n| format!("{value:.n$}"))
        .find(|said| said.parse::<f64>().is_ok_and(|v| v > limit))
        .unwrap_or_else(|| format!("a hair over {limit}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block, enclosure, frame, pattern, pid, plate, square, v, zone};
    use crate::model::Group;

    #[test]
    fn a_plate_carries_from_behind_the_face_and_not_beside_it_or_through_it() {
        let mut drive = block("drive", Group::Drive, [100.0, 100.0, 20.0]);
        let foot = frame(v(50.0, 50.0, 0.0), "+x", "-y", "-z");
        let holes = square(80.0, [0.0, 0.0], 4.3, None);
        drive.patterns = vec![pattern("foot", foot, holes, 4)];
        let mut case = enclosure([400.0, 200.0, 100.0]);
        case.plates = vec![
            plate("floor", [0.0, 0.0, 0.0], [400.0, 200.0, 2.0]),
            plate("on", [101.0, 0.0, 2.0], [2.0, 200.0, 90.0]),
            plate("through", [104.0, 0.0, 0.0], [2.0, 200.0, 90.0]),
            plate("edge", [400.0, 0.0, 0.0], [2.0, 200.0, 90.0]),
        ];
        let face = frame(v(0.0, 0.0, 2.0), "+x", "+y", "+z");
        let mut field = zone("floor", face, [400.0, 200.0], 0.0, &[Group::Drive]);
        field.holes = square(80.0, [50.0, 50.0], 3.0, Some("M3"));
        case.zones = vec![field];
        let build = Build::new(case).with("drive", &drive, [0.0, 0.0, 2.0]);
        let placed = Placed::build(&build.scene);
        let mounted: Vec<&str> = (placed.plates().iter())
            .filter(|p| mounted_on(&placed, &pid("drive"), p))
            .map(|p| p.name.as_str())
            .collect();
        assert_eq!(mounted, ["floor"]);
    }

    #[test]
    fn a_figure_above_its_limit_is_said_so_that_one_sees_it() {
        assert_eq!(above(901.2, 900.0), "901");
        assert_eq!(above(900.4, 900.0), "900.4");
        assert_eq!(above(700.0001, 700.0), "700.0001");
        assert_eq!(above(700.000_000_1, 700.0), "a hair over 700");
    }
}
