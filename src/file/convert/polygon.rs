//! Is an outline a simple polygon, and do its holes lie apart inside it?

use crate::file::error::{Check, Place, fault};
use crate::geom::{Length, Ring};
use std::cmp::Ordering;

/// Most corners of an outline and its holes together. It bounds the time that the
/// checks below take, which grows with the square.
pub const MAX_CORNERS: usize = crate::geom::kernel::MAX_CORNERS;

type Point = [Length; 2];

/// Twice the signed area of the triangle: positive where `c` lies to the left of
/// the way from `a` to `b`. Accepted lengths are at most 1e8 micrometres, so the
/// products stay far inside `i64`.
fn turn(a: Point, b: Point, c: Point) -> i64 {
    let along = |p: Point, q: Point, i: usize| (q[i] - p[i]).as_um();
    along(a, b, 0) * along(a, c, 1) - along(a, b, 1) * along(a, c, 0)
}

/// A side of an outline.
#[derive(Clone, Copy)]
struct Side {
    ring: usize,
    index: usize,
    from: Point,
    to: Point,
}

impl Side {
    fn low(&self, i: usize) -> Length {
        self.from[i].min(self.to[i])
    }

    fn high(&self, i: usize) -> Length {
        self.from[i].max(self.to[i])
    }

    fn boxes_meet(&self, o: &Side) -> bool {
        (0..2).all(|i| self.low(i) <= o.high(i) && o.low(i) <= self.high(i))
    }

    /// True where the closed sides have a point in common.
    fn meets(&self, o: &Side) -> bool {
        let straddles = |s: &Side, t: &Side| {
            let (a, b) = (turn(s.from, s.to, t.from), turn(s.from, s.to, t.to));
            a.signum() * b.signum() <= 0
        };
        self.boxes_meet(o) && straddles(self, o) && straddles(o, self)
    }
}

fn sides(ring: usize, corners: &Ring) -> impl Iterator<Item = Side> + '_ {
    (0..corners.len()).map(move |index| Side {
        ring,
        index,
        from: corners[index],
        to: corners[(index + 1) % corners.len()],
    })
}

/// True where both are sides of one outline and share a corner by design.
fn are_neighbours(a: &Side, b: &Side, rings: &[&Ring]) -> bool {
    let n = rings[a.ring].len();
    a.ring == b.ring && ((a.index + 1) % n == b.index || (b.index + 1) % n == a.index)
}

/// True where the point lies inside the outline; a point on it may go either way.
fn inside(p: Point, ring: &Ring) -> bool {
    let crossed = |s: &Side| match (s.from[1] > p[1]).cmp(&(s.to[1] > p[1])) {
        Ordering::Equal => false,
        Ordering::Less => turn(s.from, s.to, p) > 0,
        Ordering::Greater => turn(s.from, s.to, p) < 0,
    };
    sides(0, ring).filter(crossed).count() % 2 == 1
}

fn place<T>(check: Check<T>, ring: usize, index: usize) -> Check<T> {
    match ring {
        0 => check.item(index).at("outline"),
        hole => check.item(index).item(hole - 1).at("holes"),
    }
}

/// Every outline is simple (no corner twice, no side folded back or crossing or
/// touching another), every hole lies inside the outer one, and holes lie apart.
pub fn check(outline: &Ring, holes: &[Ring]) -> Check<()> {
    let rings: Vec<&Ring> = std::iter::once(outline).chain(holes).collect();
    if rings.iter().map(|r| r.len()).sum::<usize>() > MAX_CORNERS {
        return fault(
            format!("the outline and its holes have more than {MAX_CORNERS} corners"),
            "leave corners out, or make several solids",
        )
        .at("outline");
    }
    for (r, ring) in rings.iter().enumerate() {
        corners(r, ring)?;
    }
    crossings(&rings)?;
    for (h, hole) in holes.iter().enumerate() {
        let corner = hole[0];
        let elsewhere = !inside(corner, outline)
            || (0..holes.len()).any(|o| o != h && inside(corner, &holes[o]));
        if elsewhere {
            return fault(
                "the hole does not lie inside the outline and apart from the other holes",
                "move it, or leave it out",
            )
            .item(h)
            .at("holes");
        }
    }
    Ok(())
}

fn corners(r: usize, ring: &Ring) -> Check<()> {
    let n = ring.len();
    if n < 3 {
        let few = fault(
            format!("{n} corners make no area"),
            "give at least three corners",
        );
        return match r {
            0 => few.at("outline"),
            hole => few.item(hole - 1).at("holes"),
        };
    }
    for i in 0..n {
        let (a, b, c) = (ring[i], ring[(i + 1) % n], ring[(i + 2) % n]);
        if a == b {
            let twice = fault(
                "the corner is there twice, one after the other",
                "leave one out (an outline closes by itself)",
            );
            return place(twice, r, (i + 1) % n);
        }
        let back = |i: usize| ((b[i] - a[i]).as_um()).signum() * ((c[i] - b[i]).as_um()).signum();
        if turn(a, b, c) == 0 && (back(0) < 0 || back(1) < 0) {
            let folded = fault("the outline folds back on itself", "move the corner");
            return place(folded, r, (i + 1) % n);
        }
    }
    Ok(())
}

/// Sides that meet where they should not. Only sides whose extents along the first
/// coordinate overlap are compared.
fn crossings(rings: &[&Ring]) -> Check<()> {
    let mut all: Vec<Side> = rings
        .iter()
        .enumerate()
        .flat_map(|(r, ring)| sides(r, ring))
        .collect();
    all.sort_by_key(|s| s.low(0));
    for (i, a) in all.iter().enumerate() {
        let near = all[i + 1..].iter().take_while(|b| b.low(0) <= a.high(0));
        for b in near {
            if !are_neighbours(a, b, rings) && a.meets(b) {
                let cross = fault(
                    "two sides of the outline cross or touch here",
                    "move the corner so that they do not",
                );
                let (ring, index) = (a.ring, a.index).max((b.ring, b.index));
                return place(cross, ring, index);
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::FileError;

    fn ring(points: &[[i64; 2]]) -> Ring {
        points.iter().map(|p| p.map(Length::mm)).collect()
    }

    fn square(low: i64, high: i64) -> Ring {
        ring(&[[low, low], [high, low], [high, high], [low, high]])
    }

    #[track_caller]
    fn refused(outline: &Ring, holes: &[Ring], at: &str) {
        let err = FileError::from(check(outline, holes).unwrap_err());
        assert_eq!(err.field(), Some(at), "{err}");
    }

    #[test]
    fn both_senses_and_straight_corners_are_simple() {
        let mut back = square(0, 10);
        back.reverse();
        assert!(check(&back, &[]).is_ok());
        let straight = ring(&[[0, 0], [5, 0], [10, 0], [10, 10], [0, 10]]);
        assert!(check(&straight, &[square(2, 4), square(5, 7)]).is_ok());
        assert!(check(&ring(&[[0, 0], [9, 0], [0, 9]]), &[]).is_ok());
    }

    #[test]
    fn what_is_no_simple_outline_is_refused_at_its_corner() {
        refused(&ring(&[[0, 0], [1, 1]]), &[], "outline");
        refused(&ring(&[[0, 0], [9, 0], [9, 0], [0, 9]]), &[], "outline[2]");
        refused(&ring(&[[0, 0], [9, 0], [0, 9], [0, 0]]), &[], "outline[0]");
        refused(&ring(&[[0, 0], [9, 0], [4, 0]]), &[], "outline[1]");
        // A bow tie, and an outline that touches itself in one corner.
        let bow = ring(&[[0, 0], [9, 9], [9, 0], [0, 9]]);
        refused(&bow, &[], "outline[2]");
        let pinched = ring(&[[0, 0], [4, 0], [2, 2], [4, 4], [0, 4], [2, 2]]);
        assert!(check(&pinched, &[]).is_err());
    }

    #[test]
    fn holes_lie_inside_and_apart() {
        let outer = square(0, 10);
        refused(&outer, &[square(2, 4), square(11, 12)], "holes[1]");
        refused(&outer, &[square(2, 8), square(4, 6)], "holes[1]");
        refused(&outer, &[square(2, 12)], "holes[0][3]");
        assert!(
            check(&outer, &[square(0, 4)]).is_err(),
            "touches the outline"
        );
        refused(&outer, &[ring(&[[1, 1]])], "holes[0]");
        assert!(check(&square(2, 4), &[square(0, 10)]).is_err());
    }

    #[test]
    fn a_comb_with_most_corners_is_checked_and_one_more_is_not() {
        let teeth = (MAX_CORNERS as i64 - 2) / 2;
        let mut comb: Vec<[i64; 2]> = (0..teeth).flat_map(|i| [[i, 1], [i, 9]]).collect();
        comb.extend([[teeth, 9], [teeth, 0]]);
        // Teeth must not fall on one another: tilt every second corner.
        for (i, p) in comb.iter_mut().enumerate() {
            p[0] = p[0] * 2 + (i as i64 % 2);
        }
        assert!(check(&ring(&comb), &[]).is_ok());
        comb.push([-1, 0]);
        refused(&ring(&comb), &[], "outline");
    }
}
