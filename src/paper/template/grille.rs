//! Grilles: patterns of openings in a field, and the share of it that is free.

use super::face::Shape;

/// Most openings of one grille; a finer pattern is refused.
const MOST: usize = 20_000;

/// A pattern of openings.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Pattern {
    /// Round holes, each row shifted by half a step (60 degrees).
    Round,
    /// Hexagons with bars of one width between them.
    Hex,
    /// Upright round-ended slots, four times as long as wide.
    Slots,
}

impl Pattern {
    /// By its word on the command line.
    pub fn from_name(word: &str) -> Option<Pattern> {
        match word {
            "round" => Some(Pattern::Round),
            "hex" => Some(Pattern::Hex),
            "slots" => Some(Pattern::Slots),
            _ => None,
        }
    }

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Pattern::Round => "round holes in rows at 60 degrees",
            Pattern::Hex => "hexagons, across flats",
            Pattern::Slots => "slots",
        }
    }
}

/// A grille as it is asked for.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Grille {
    /// The pattern.
    pub pattern: Pattern,
    /// Width of an opening in millimetres: diameter, across flats, width of a slot.
    pub hole: f64,
    /// Least material between openings, in millimetres.
    pub bar: f64,
}

impl Grille {
    /// Round holes of 5 with bars of 1.5 (common practice, no source).
    pub const USUAL: Grille = Grille {
        pattern: Pattern::Round,
        hole: 5.0,
        bar: 1.5,
    };

    /// True for figures that can be made: 0.5 to 50 mm each.
    pub fn is_sound(&self) -> bool {
        let sound = |mm: f64| (0.5..=50.0).contains(&mm);
        sound(self.hole) && sound(self.bar)
    }

    /// Free share of an endless field, 0 to 1.
    ///
    /// Closed forms. Round holes at 60 degrees: pi / (2 sqrt 3) (d / pitch)^2;
    /// hexagons: (a / (a + bar))^2; slots: their area over that of one step.
    pub fn endless(&self) -> f64 {
        use std::f64::consts::PI;
        let (d, pitch) = (self.hole, self.hole + self.bar);
        match self.pattern {
            Pattern::Round => PI / (2.0 * 3f64.sqrt()) * (d / pitch).powi(2),
            Pattern::Hex => (d / pitch).powi(2),
            Pattern::Slots => {
                let slot = 3.0 * d * d + PI * d * d / 4.0;
                slot / (pitch * (4.0 * d + self.bar))
            }
        }
    }

    /// The openings that lie wholly inside the field, from its middle outwards in
    /// even rows, and their free share of it; `None` where there are too many.
    pub fn fill(&self, field: &Shape) -> Option<(Vec<Shape>, f64)> {
        let [low, high] = field.bounds();
        let middle = field.middle();
        let (step, row) = match self.pattern {
            Pattern::Slots => (self.hole + self.bar, 4.0 * self.hole + self.bar),
            _ => {
                let pitch = self.hole + self.bar;
                (pitch, pitch * 3f64.sqrt() / 2.0)
            }
        };
        let count = |span: f64, step: f64| (span / step / 2.0).ceil() as i64 + 1;
        let (across, up) = (count(high[0] - low[0], step), count(high[1] - low[1], row));
        if across.saturating_mul(up) > MOST as i64 {
            return None;
        }
        let mut openings = Vec::new();
        for j in -up..=up {
            let odd = j.rem_euclid(2) == 1 && self.pattern != Pattern::Slots;
            for i in -across..=across {
                let x = middle[0] + (i as f64 + if odd { 0.5 } else { 0.0 }) * step;
                let opening = self.opening([x, middle[1] + j as f64 * row]);
                if inside(&opening, field) {
                    openings.push(opening);
                }
            }
        }
        let free: f64 = openings.iter().map(Shape::area).sum();
        Some((openings, free / field.area()))
    }

    fn opening(&self, at: [f64; 2]) -> Shape {
        let d = self.hole;
        match self.pattern {
            Pattern::Round => Shape::Circle { at, diameter: d },
            Pattern::Hex => {
                // Flats to the left and right, so that rows at 60 degrees interlock.
                let r = d / 3f64.sqrt();
                let corner = |k: i32| {
                    let angle = f64::from(60 * k + 30).to_radians();
                    [at[0] + r * angle.cos(), at[1] + r * angle.sin()]
                };
                Shape::Polygon((0..6).map(corner).collect())
            }
            Pattern::Slots => Shape::Slot {
                from: [at[0], at[1] - 1.5 * d],
                to: [at[0], at[1] + 1.5 * d],
                width: d,
            },
        }
    }
}

fn inside(opening: &Shape, field: &Shape) -> bool {
    let [a, b] = opening.bounds();
    match field {
        Shape::Circle { at, diameter } => {
            let reach = |p: [f64; 2]| (p[0] - at[0]).hypot(p[1] - at[1]);
            match opening {
                Shape::Circle { at, diameter: d } => reach(*at) + d / 2.0 <= diameter / 2.0,
                Shape::Polygon(points) => points.iter().all(|p| reach(*p) <= diameter / 2.0),
                Shape::Slot { from, to, width } => [from, to]
                    .iter()
                    .all(|p| reach(**p) + width / 2.0 <= diameter / 2.0),
            }
        }
        _ => field.contains(a) && field.contains(b),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grille(pattern: Pattern) -> Grille {
        Grille {
            pattern,
            hole: 5.0,
            bar: 1.5,
        }
    }

    #[test]
    fn a_large_field_comes_near_the_closed_form() {
        // A field of 600: the rim that stays closed is about a step wide.
        let field = Shape::rect([0.0, 0.0], [600.0, 600.0]);
        for pattern in [Pattern::Round, Pattern::Hex, Pattern::Slots] {
            let g = grille(pattern);
            let (openings, free) = g.fill(&field).unwrap();
            // A slot takes the place of several round openings.
            let least = if pattern == Pattern::Slots {
                1000
            } else {
                3000
            };
            assert!(openings.len() > least, "{pattern:?} {}", openings.len());
            assert!(
                free < g.endless() && free > g.endless() * 0.93,
                "{pattern:?} {free}"
            );
        }
        // Perforated sheet R5 T6.5 has 53.7 % open area (makers' formula 90.69 D^2 / P^2).
        assert!((grille(Pattern::Round).endless() - 0.9069 * 25.0 / 42.25).abs() < 1e-4);
    }

    #[test]
    fn no_opening_leaves_a_round_field_and_none_is_nearer_than_the_bar() {
        let field = Shape::Circle {
            at: [50.0, 50.0],
            diameter: 116.0,
        };
        for pattern in [Pattern::Round, Pattern::Hex, Pattern::Slots] {
            let (openings, free) = grille(pattern).fill(&field).unwrap();
            assert!(free > 0.3 && free < 1.0);
            for o in &openings {
                assert!(inside(o, &field));
            }
            let mid: Vec<[f64; 2]> = openings.iter().map(Shape::middle).collect();
            for (i, a) in mid.iter().enumerate() {
                for b in &mid[i + 1..] {
                    assert!((a[0] - b[0]).hypot(a[1] - b[1]) >= 6.5 - 1e-9);
                }
            }
        }
    }

    #[test]
    fn too_fine_a_grille_is_refused() {
        let field = Shape::rect([0.0, 0.0], [2000.0, 2000.0]);
        let fine = Grille {
            hole: 0.5,
            bar: 0.5,
            ..Grille::USUAL
        };
        assert_eq!(fine.fill(&field), None);
        assert!(
            !Grille {
                hole: f64::NAN,
                ..fine
            }
            .is_sound()
        );
    }
}
