//! Mass and its centre, cost.

use super::super::{Better, Column, Facts, Figure, Value};
use super::not_known;
use crate::geom::Solid;
use crate::model::{PartKind, Space};
use crate::placement::PlacedPart;

/// Sum of a rating over the placed parts, and the names of those that lack it.
fn total<'a>(
    facts: Facts<'a>,
    rating: impl Fn(&PartKind) -> Option<f64>,
) -> (Option<f64>, Vec<&'a str>) {
    let (mut sum, mut lacking) = (None, Vec::new());
    for part in facts.checker.placed().parts() {
        match rating(&part.kind) {
            Some(value) => *sum.get_or_insert(0.0) += value,
            None => lacking.push(part.name.as_str()),
        }
    }
    (sum, lacking)
}

fn summed(value: Option<Value>, what: &str, lacking: &[&str]) -> Figure {
    let figure = Figure {
        value,
        ..Figure::default()
    };
    match (&figure.value, lacking) {
        (None, []) => figure.note("no part is placed"),
        _ => figure.missing(not_known(what, "part", lacking)),
    }
}

/// Mass of the placed parts.
pub(super) struct Mass;

impl Column for Mass {
    fn id(&self) -> &'static str {
        "mass"
    }

    fn title(&self) -> &'static str {
        "Mass"
    }

    fn unit(&self) -> &'static str {
        "g"
    }

    fn about(&self) -> &'static str {
        "Mass of the placed parts together. The enclosure, screws and loose cables are not in it."
    }

    fn better(&self) -> Better {
        Better::Less
    }

    fn figure(&self, facts: Facts<'_>) -> Figure {
        let (sum, lacking) = total(facts, |k| k.ratings.mass_g);
        summed(sum.map(Value::Grams), "mass", &lacking)
    }
}

/// Cost of the placed parts.
pub(super) struct Cost;

impl Column for Cost {
    fn id(&self) -> &'static str {
        "cost"
    }

    fn title(&self) -> &'static str {
        "Cost"
    }

    fn unit(&self) -> &'static str {
        ""
    }

    fn about(&self) -> &'static str {
        "Cost of the placed parts together, in your currency. The enclosure, screws and loose \
         cables are not in it."
    }

    fn better(&self) -> Better {
        Better::Less
    }

    fn figure(&self, facts: Facts<'_>) -> Figure {
        let (sum, lacking) = total(facts, |k| k.ratings.cost);
        summed(sum.map(Value::Money), "cost", &lacking)
    }
}

/// Centre of mass of the placed parts.
pub(super) struct Centre;

impl Column for Centre {
    fn id(&self) -> &'static str {
        "mass_centre"
    }

    fn title(&self) -> &'static str {
        "Mass centre"
    }

    fn unit(&self) -> &'static str {
        "mm"
    }

    fn about(&self) -> &'static str {
        "Centre of mass of the placed parts as x, y, z from the enclosure's lower front left \
         corner, each part's mass spread evenly over its solid pieces; parts whose mass is not \
         known are left out, and so is the enclosure. Sorted by height."
    }

    fn better(&self) -> Better {
        Better::Less
    }

    fn figure(&self, facts: Facts<'_>) -> Figure {
        let (mut mass, mut moment) = (0.0, [0.0; 3]);
        let mut lacking = Vec::new();
        for part in facts.checker.placed().parts() {
            match part.kind.ratings.mass_g {
                Some(g) => {
                    mass += g;
                    let c = centroid(part);
                    for i in 0..3 {
                        moment[i] += g * c[i];
                    }
                }
                None => lacking.push(part.name.as_str()),
            }
        }
        let value = (mass > 0.0).then(|| Value::Point(moment.map(|m| m / mass)));
        let figure = summed(value, "mass", &lacking);
        match (&figure.value, mass > 0.0) {
            (Some(Value::Point(c)), true) => {
                let size = facts.scene.enclosure.size.as_mm();
                let off = [0, 1, 2].map(|i| c[i] - size[i] / 2.0);
                let note = format!(
                    "{:+.0}, {:+.0}, {:+.0} mm from the middle of the enclosure",
                    off[0], off[1], off[2]
                );
                figure.note(note)
            }
            _ => figure,
        }
    }
}

/// Middle of a part's solid pieces, weighed by volume; of its outline where they have
/// none. Pieces that overlap count twice there.
fn centroid(part: &PlacedPart) -> [f64; 3] {
    let (mut volume, mut moment) = (0.0, [0.0; 3]);
    for piece in part.of(Space::Solid) {
        let (v, c) = of_solid(&piece.solid);
        volume += v;
        for i in 0..3 {
            moment[i] += v * c[i];
        }
    }
    match volume > 0.0 {
        true => moment.map(|m| m / volume),
        false => part.outline.centre().as_mm(),
    }
}

/// Volume in cubic millimetres and centroid in millimetres.
fn of_solid(solid: &Solid) -> (f64, [f64; 3]) {
    let bounds = solid.bounds();
    let mut centre = [0, 1, 2].map(|i| (bounds.min().as_mm()[i] + bounds.max().as_mm()[i]) / 2.0);
    match solid {
        Solid::Box(b) => (b.volume_mm3(), centre),
        Solid::Cylinder { radius, height, .. } => {
            let r = radius.as_mm();
            (std::f64::consts::PI * r * r * height.as_mm(), centre)
        }
        Solid::Extrusion {
            axis,
            low,
            high,
            outline,
            holes,
        } => {
            let (u, v) = axis.others();
            let (mut area, mut moment) = (0.0, [0.0; 2]);
            for (i, ring) in std::iter::once(outline).chain(holes).enumerate() {
                let (a, c) = of_ring(ring);
                let sign = if i == 0 { 1.0 } else { -1.0 };
                area += sign * a;
                moment[0] += sign * a * c[0];
                moment[1] += sign * a * c[1];
            }
            if area > 0.0 {
                centre[u.index()] = moment[0] / area;
                centre[v.index()] = moment[1] / area;
            }
            (area.max(0.0) * (*high - *low).as_mm(), centre)
        }
    }
}

/// Area and centroid of a simple polygon (the shoelace formula), either sense.
fn of_ring(ring: &[[crate::geom::Length; 2]]) -> (f64, [f64; 2]) {
    let points: Vec<[f64; 2]> = ring.iter().map(|p| p.map(|l| l.as_mm())).collect();
    let (mut twice, mut moment) = (0.0, [0.0; 2]);
    for (p, q) in points.iter().zip(points.iter().cycle().skip(1)) {
        let cross = p[0] * q[1] - q[0] * p[1];
        twice += cross;
        moment[0] += (p[0] + q[0]) * cross;
        moment[1] += (p[1] + q[1]) * cross;
    }
    match twice == 0.0 {
        true => (0.0, [0.0; 2]),
        false => ((twice / 2.0).abs(), moment.map(|m| m / (3.0 * twice))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block, l, solid};
    use crate::geom::Axis;
    use crate::model::Group;

    fn weighing(id: &str, size: [f64; 3], grams: Option<f64>) -> PartKind {
        let mut kind = block(id, Group::Drive, size);
        kind.ratings.mass_g = grams;
        kind
    }

    fn figures(b: &Build) -> [Figure; 3] {
        let checker = b.checked();
        let facts = Facts {
            scene: &b.scene,
            checker: &checker,
        };
        [Mass.figure(facts), Centre.figure(facts), Cost.figure(facts)]
    }

    #[test]
    fn the_centre_follows_the_lever() {
        // 300 g at (5, 5, 5) and 100 g at (105, 5, 45): x = 30, z = 15.
        let b = Build::open()
            .with("a", &weighing("a", [10.0; 3], Some(300.0)), [0.0; 3])
            .with(
                "b",
                &weighing("b", [10.0; 3], Some(100.0)),
                [100.0, 0.0, 40.0],
            );
        let [mass, centre, cost] = figures(&b);
        assert_eq!(
            (mass.value, mass.missing),
            (Some(Value::Grams(400.0)), None)
        );
        assert_eq!(centre.value, Some(Value::Point([30.0, 5.0, 15.0])));
        assert_eq!(cost.text(), "not known");
        assert!(
            cost.missing
                .is_some_and(|m| m.starts_with("cost of 2 parts"))
        );
    }

    #[test]
    fn a_mass_that_is_not_known_is_named() {
        let b = Build::open()
            .with("a", &weighing("a", [10.0; 3], Some(300.0)), [0.0; 3])
            .with("b", &weighing("b", [10.0; 3], None), [100.0, 0.0, 0.0]);
        let [mass, centre, _] = figures(&b);
        assert_eq!(mass.text(), "300 +?");
        assert_eq!(
            mass.missing.as_deref(),
            Some("mass of 1 part not known (b)")
        );
        assert_eq!(centre.value, Some(Value::Point([5.0, 5.0, 5.0])));
        let nothing = figures(&Build::open());
        assert!(nothing.iter().all(|f| f.text() == "-"));
    }

    #[test]
    fn a_triangle_balances_at_a_third_of_its_height() {
        let p = |x: f64, y: f64| [l(x), l(y)];
        let mut kind = weighing("wedge", [60.0, 30.0, 10.0], Some(10.0));
        kind.body = vec![solid(Solid::Extrusion {
            axis: Axis::Z,
            low: l(0.0),
            high: l(10.0),
            outline: vec![p(0.0, 0.0), p(0.0, 30.0), p(60.0, 0.0)],
            holes: vec![],
        })];
        let b = Build::open().with("a", &kind, [0.0; 3]);
        let [_, centre, _] = figures(&b);
        let Some(Value::Point(c)) = centre.value else {
            panic!("a centre");
        };
        for (a, b) in c.iter().zip([20.0, 10.0, 5.0]) {
            assert!((a - b).abs() < 1e-9, "{c:?}");
        }
    }
}
