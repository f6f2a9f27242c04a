//! Squares into squares and rectangles: placements known from books.

use closefit::search::exact::{Options, Problem, Status, solve};

/// Squares of the sides given into a rectangle, candidates being all positions.
fn squares(sides: &[usize], width: usize, height: usize) -> Problem {
    let mut p = Problem::new();
    let columns = |s: usize| width + 1 - s;
    for &s in sides {
        p.add_part(if s <= width && s <= height {
            columns(s) * (height + 1 - s)
        } else {
            0
        })
        .unwrap();
    }
    let apart = |i: usize, s: usize, j: usize, t: usize| i + s <= j || j + t <= i;
    for (b, &t) in sides.iter().enumerate() {
        for (a, &s) in sides[..b].iter().enumerate() {
            p.add_clash(a, b, None, |i, j| {
                let (x, y) = (i % columns(s), i / columns(s));
                let (u, v) = (j % columns(t), j / columns(t));
                !apart(x, s, u, t) && !apart(y, s, v, t)
            })
            .unwrap();
        }
    }
    p
}

fn fits(sides: &[usize], width: usize, height: usize) -> bool {
    let p = squares(sides, width, height);
    let o = solve(&p, &Options::default());
    match o.status {
        Status::Optimal => {
            assert!(p.cost_of(&o.choice.unwrap()).is_some());
            true
        }
        Status::Infeasible => false,
        other => panic!("{other:?} without a limit"),
    }
}

/// Least square that holds squares of sides 1 to n: OEIS A005842.
#[test]
fn consecutive_squares_need_the_known_square() {
    let least = [1, 3, 5, 7, 9, 11, 13, 15, 18];
    for (n, side) in (1..).zip(least) {
        let sides: Vec<usize> = (1..=n).rev().collect();
        assert!(fits(&sides, side, side), "{n} squares, side {side}");
        let area: usize = sides.iter().map(|s| s * s).sum();
        if n <= 7 || area > (side - 1).pow(2) {
            assert!(
                !fits(&sides, side - 1, side - 1),
                "{n} squares, side {}",
                side - 1
            );
        }
    }
}

/// Sides of the least rectangle, by area, that holds squares of sides 1 to n: OEIS A081287 (area:
/// A038666). For 7 there is 7 x 22 of the same area.
#[test]
fn consecutive_squares_need_the_known_rectangle() {
    for (n, width, height) in [(6, 9, 11), (7, 11, 14), (7, 7, 22), (8, 14, 15)] {
        let sides: Vec<usize> = (1..=n).rev().collect();
        assert!(fits(&sides, width, height), "{n} squares");
    }
    // No rectangle of a smaller area, of any sides.
    let sides = [6, 5, 4, 3, 2, 1];
    for width in 6..10 {
        assert!(!fits(&sides, width, 98 / width), "{width} wide");
    }
}

/// The smallest perfect squared rectangle, 33 x 32 in nine squares (Moroń 1925), from memory;
/// its areas add up to the rectangle's.
#[test]
fn the_smallest_perfect_rectangle_closes() {
    let sides = [18, 15, 14, 10, 9, 8, 7, 4, 1];
    assert_eq!(sides.iter().map(|s| s * s).sum::<usize>(), 33 * 32);
    assert!(fits(&sides, 33, 32));
}

/// A squared rectangle as published: low corner and side of every square.
struct Squared {
    width: usize,
    height: usize,
    squares: &'static [[usize; 3]],
}

/// 69 x 61 in nine squares (squaring.net).
const RECTANGLE: Squared = Squared {
    width: 69,
    height: 61,
    squares: &[
        [0, 0, 36],
        [36, 0, 33],
        [36, 33, 5],
        [41, 33, 28],
        [0, 36, 25],
        [25, 36, 9],
        [34, 36, 2],
        [34, 38, 7],
        [25, 45, 16],
    ],
};

/// The perfect squared square of the lowest order, 112 x 112 in 21 squares (Duijvestijn 1978),
/// decoded from its Bouwkamp code in OEIS A014530.
const SQUARE: Squared = Squared {
    width: 112,
    height: 112,
    squares: &[
        [0, 0, 50],
        [50, 0, 35],
        [85, 0, 27],
        [85, 27, 8],
        [93, 27, 19],
        [50, 35, 15],
        [65, 35, 17],
        [82, 35, 11],
        [82, 46, 6],
        [88, 46, 24],
        [0, 50, 29],
        [29, 50, 25],
        [54, 50, 9],
        [63, 50, 2],
        [63, 52, 7],
        [70, 52, 18],
        [54, 59, 16],
        [70, 70, 42],
        [29, 75, 4],
        [33, 75, 37],
        [0, 79, 33],
    ],
};

impl Squared {
    /// Squares of the sides given, each to take one of the published low corners.
    fn corners(&self, sides: &[usize]) -> Problem {
        let mut p = Problem::new();
        let at = |c: usize| (self.squares[c][0], self.squares[c][1]);
        for &s in sides {
            let part = p.add_part(self.squares.len()).unwrap();
            let within = |c: usize| at(c).0 + s <= self.width && at(c).1 + s <= self.height;
            p.add_cost(part, None, |c| within(c).then_some(0)).unwrap();
        }
        let apart = |i: usize, s: usize, j: usize, t: usize| i + s <= j || j + t <= i;
        for (b, &t) in sides.iter().enumerate() {
            for (a, &s) in sides[..b].iter().enumerate() {
                p.add_clash(a, b, None, |i, j| {
                    let ((x, y), (u, v)) = (at(i), at(j));
                    !apart(x, s, u, t) && !apart(y, s, v, t)
                })
                .unwrap();
            }
        }
        p
    }

    fn check(&self) {
        let sides: Vec<usize> = self.squares.iter().map(|s| s[2]).collect();
        let area: usize = sides.iter().map(|s| s * s).sum();
        assert_eq!(area, self.width * self.height);
        // As published: a placement that breaks nothing, so that it covers all.
        let p = self.corners(&sides);
        let published: Vec<usize> = (0..sides.len()).collect();
        assert_eq!(p.cost_of(&published), Some(0));
        let o = solve(&p, &Options::default());
        assert_eq!(o.status, Status::Optimal);
        assert!(p.cost_of(&o.choice.unwrap()).is_some());
        // There is no room left: whichever square grows, nothing fits.
        for k in 0..sides.len() {
            let mut sides = sides.clone();
            sides[k] += 1;
            let o = solve(&self.corners(&sides), &Options::default());
            assert_eq!(o.status, Status::Infeasible, "square {k}");
        }
    }
}

#[test]
fn perfect_squared_squares_close_without_room_to_spare() {
    RECTANGLE.check();
    SQUARE.check();
}
