//! What the kernel says in situations that can be worked out by hand or were worked out elsewhere.

use super::*;

mod boxes;
mod curved;
mod worlds;

fn v(x: f64, y: f64, z: f64) -> Vec3 {
    Vec3::new(x, y, z)
}

fn aligned(lo: [f64; 3], hi: [f64; 3]) -> Shape {
    Shape::aligned(Vec3(lo), Vec3(hi)).unwrap()
}

fn cylinder(centre: [f64; 3], k: usize, radius: f64, half: f64) -> Shape {
    Shape::cylinder(Vec3(centre), Vec3::unit(k), radius, half).unwrap()
}

/// A turn from a unit quaternion w, x, y, z.
fn turn([w, x, y, z]: [f64; 4]) -> Turn {
    Turn::from_rows([
        [
            1.0 - 2.0 * (y * y + z * z),
            2.0 * (x * y - w * z),
            2.0 * (x * z + w * y),
        ],
        [
            2.0 * (x * y + w * z),
            1.0 - 2.0 * (x * x + z * z),
            2.0 * (y * z - w * x),
        ],
        [
            2.0 * (x * z - w * y),
            2.0 * (y * z + w * x),
            1.0 - 2.0 * (x * x + y * y),
        ],
    ])
    .unwrap()
}

/// Distance and points in both orders, and nothing to be found under a smaller limit.
#[track_caller]
fn check_apart(a: &Shape, b: &Shape, want: f64) {
    let exact = CONTACT * a.bounds().longest().max(b.bounds().longest());
    for (a, b) in [(a, b), (b, a)] {
        match gap(a, b, 1e9) {
            Gap::Apart {
                distance,
                on_a,
                on_b,
            } => {
                assert!((distance - want).abs() <= exact, "{distance} for {want}");
                assert!(((on_b - on_a).norm() - distance).abs() <= exact);
            }
            other => panic!("{other:?}"),
        }
    }
    assert_eq!(gap(a, b, want * 0.999), Gap::Beyond);
}

#[track_caller]
fn check_touching(a: &Shape, b: &Shape) {
    for (a, b) in [(a, b), (b, a)] {
        assert!(
            matches!(gap(a, b, 1.0), Gap::Touching { .. }),
            "{:?}",
            gap(a, b, 1.0)
        );
    }
}

/// The depth, and that shifting the second by it leaves the two touching.
#[track_caller]
fn check_overlap(a: &Shape, b: &Shape, want: f64) {
    for (a, b) in [(a, b), (b, a)] {
        let Gap::Overlap {
            depth, direction, ..
        } = gap(a, b, 1.0)
        else {
            panic!("{:?}", gap(a, b, 1.0));
        };
        assert!((depth - want).abs() <= 1e-6 * want, "{depth} for {want}");
        assert!((direction.norm() - 1.0).abs() < 1e-12);
        check_touching(a, &b.translated(direction * depth));
    }
}
