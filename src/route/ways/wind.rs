//! Ways for ends that lie too near to one another, or too askew, for the bend radius:
//! out to where there is room, and back.

use super::field::Field;
use super::lazy::{Found, Thread};
use crate::geom::{Box3, Length, Vec3};
use crate::placement::Thing;
use crate::route::free::{BendRequest, Bent, Block, End, Leg, Point, Wind, bend_route, too_near};

/// How far out such a way may swing, in bend radii beyond the box of both ends.
const OUT: f64 = 5.0;
/// So often the search among all boxes asks whether to stop.
const MOST_ASKED: usize = 300;

/// A way from one of the ends to one of the others by turns, with which of them; see
/// [`Wind`].
pub(super) fn wind(
    field: &mut Field,
    thread: Thread,
    [leave, arrive]: [&[End]; 2],
    far: bool,
    stop: &mut dyn FnMut() -> bool,
) -> Option<(usize, usize, Found)> {
    let room = room(field, thread, [leave, arrive])?;
    let corners = room.map(|p| Some(Vec3::new(length(p[0])?, length(p[1])?, length(p[2])?)));
    let around = Box3::new(corners[0]?, corners[1]?);
    let mut boxes: Vec<Block> = Vec::new();
    let mut whose: Vec<Option<Thing>> = Vec::new();
    for thing in field.near(&around) {
        for i in 0..field.boxes(&thing).len() {
            let b = field.boxes(&thing)[i];
            if overlap(&b, &room) {
                field.note(Some(&thing), i);
                boxes.push(b);
                whose.push(Some(thing.clone()));
            }
        }
    }
    for i in 0..field.more.len() {
        if overlap(&field.more[i], &room) {
            field.note(None, i);
            boxes.push(field.more[i]);
            whose.push(None);
        }
    }
    let search = Wind {
        bounds: room,
        boxes: &boxes,
        half: thread.half,
        radius: thread.radius,
    };
    let among = among(&search, [leave, arrive], stop);
    let near = search.near(leave, arrive, stop);
    let (from, to, bent) = match (among, near) {
        (Some(a), Some(b)) if b.2.length < a.2.length => b,
        (Some(a), _) => a,
        (None, Some(b)) => b,
        (None, None) if far => search.far(leave, arrive, stop)?,
        (None, None) => return None,
    };
    let direct = Leg::Straight {
        a: leave[from].at,
        b: arrive[to].at,
    };
    let past = whose.into_iter().zip(boxes);
    let past = past.filter(|(_, b)| too_near(&direct, b, thread.half).is_some());
    let past = past.collect();
    Some((from, to, Found { bent, past }))
}

/// The shortest way without winding, among all boxes of the room at once.
fn among(
    search: &Wind,
    [leave, arrive]: [&[End]; 2],
    stop: &mut dyn FnMut() -> bool,
) -> Option<(usize, usize, Bent)> {
    let mut best: Option<(usize, usize, Bent)> = None;
    for (i, from) in leave.iter().enumerate() {
        for (j, to) in arrive.iter().enumerate() {
            let mut asked = 0;
            let request = BendRequest {
                bounds: search.bounds,
                boxes: search.boxes,
                ends: [*from, *to],
                diameter: 2.0 * search.half,
                radius: search.radius,
            };
            let found = bend_route(&request, &mut || {
                asked += 1;
                asked > MOST_ASKED || stop()
            });
            if let Ok(bent) = found
                && best.as_ref().is_none_or(|b| bent.length < b.2.length)
            {
                best = Some((i, j, bent));
            }
        }
        if best.is_some() {
            break;
        }
    }
    best
}

/// The box of all ends and so much around it, within the enclosure.
fn room(field: &Field, thread: Thread, ends: [&[End]; 2]) -> Option<Block> {
    let walls = field.bounds();
    let all = || ends.iter().flat_map(|e| e.iter());
    let first = all().next()?.at;
    let by = OUT * thread.radius + thread.half;
    let lo: Point = std::array::from_fn(|k| {
        let least = all().map(|e| e.at[k]).fold(first[k], f64::min);
        (least - by).max(walls[0][k])
    });
    let hi: Point = std::array::from_fn(|k| {
        let most = all().map(|e| e.at[k]).fold(first[k], f64::max);
        (most + by).min(walls[1][k])
    });
    (0..3).all(|k| lo[k] < hi[k]).then_some([lo, hi])
}

fn overlap(a: &Block, b: &Block) -> bool {
    (0..3).all(|k| a[0][k] < b[1][k] && b[0][k] < a[1][k])
}

fn length(mm: f64) -> Option<Length> {
    Length::from_mm(mm)
}
