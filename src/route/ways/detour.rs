//! Ways for ends that lie too near to one another, or too askew, for the bend radius:
//! out to a place with room, and back.

use super::field::Field;
use super::lazy::{Found, Thread, clear, reach};
use crate::route::bend::{Point, add, dot};
use crate::route::free::{End, NoBend};

/// How far out such a place is looked for, in bend radii.
const OUT: [f64; 4] = [2.0, 3.0, 4.5, 7.0];
/// So many places and directions are tried, the nearest first.
const MOST_TRIED: usize = 96;

const AXES: [Point; 6] = [
    [0.0, 0.0, 1.0],
    [1.0, 0.0, 0.0],
    [-1.0, 0.0, 0.0],
    [0.0, 1.0, 0.0],
    [0.0, -1.0, 0.0],
    [0.0, 0.0, -1.0],
];

/// A way as [`reach`] finds it, or, where that would bend too tightly, one by a place
/// apart: the first that is found, the nearest places first.
pub(super) fn go(
    field: &mut Field,
    thread: Thread,
    ends: [End; 2],
    stop: &mut dyn FnMut() -> bool,
) -> Result<Found, NoBend> {
    let why = match reach(field, thread, ends, stop) {
        Err(why @ NoBend::TooTight { .. }) => why,
        other => return other,
    };
    let middle: Point = std::array::from_fn(|k| (ends[0].at[k] + ends[1].at[k]) / 2.0);
    let mut tried = 0;
    for share in OUT {
        for out in AXES {
            let place = add(middle, out, share * thread.radius.max(1.0));
            if !clear(field, place, place, thread.half) {
                continue;
            }
            for way in AXES.into_iter().filter(|w| dot(*w, out).abs() < 0.5) {
                tried += 1;
                if tried > MOST_TRIED || stop() {
                    return Err(why);
                }
                let at = |direction| End {
                    at: place,
                    direction,
                    stub: 0.0,
                };
                let there = reach(field, thread, [ends[0], at(way.map(|x| -x))], stop);
                let Ok(mut there) = there else { continue };
                let Ok(back) = reach(field, thread, [at(way), ends[1]], stop) else {
                    continue;
                };
                there.bent.length += back.bent.length;
                there.bent.legs.extend(back.bent.legs);
                there.past.extend(back.past);
                return Ok(there);
            }
        }
    }
    Err(why)
}
