//! Ways of a cable: against shortest ways in the plane, and walked along in small steps.

use super::bend::{BendRequest, End, NoBend, bend_route};
use super::fillet::{Bent, Leg};
use super::vector::{cross, dist, norm, sub, unit};
use super::{Block, Point};
use proptest::prelude::*;

const ROOM: Block = [[-500.0; 3], [500.0; 3]];

fn planar(p: [f64; 3]) -> (Point, Point) {
    let (sin, cos) = p[2].to_radians().sin_cos();
    ([p[0], p[1], 0.0], [cos, sin, 0.0])
}

// Shortest ways of bounded curvature in the plane, in unit of the radius' length; computed with
// own code and with the C library of the PyPI package dubins 1.0.1 (after Shkel and Lumelsky).
const PLANE: [([f64; 3], [f64; 3], f64, f64); 8] = [
    ([0.0, 0.0, 90.0], [4.0, 0.0, -90.0], 1.0, 5.141592653589793),
    ([0.0, 0.0, 0.0], [10.0, 0.0, 0.0], 2.0, 10.0),
    (
        [0.0, 0.0, 0.0],
        [100.0, 60.0, 90.0],
        20.0,
        120.8586456358895,
    ),
    ([0.0, 0.0, 0.0], [0.0, 0.0, 180.0], 10.0, 73.30382858376183),
    ([0.0, 0.0, 0.0], [50.0, 50.0, 0.0], 15.0, 73.86273336772929),
    (
        [0.0, 0.0, 45.0],
        [-30.0, 10.0, -120.0],
        12.0,
        52.833445522278176,
    ),
    ([0.0, 0.0, 0.0], [0.0, 2.0, 0.0], 1.0, 8.283185307179586),
    ([0.0, 0.0, 0.0], [0.0, 40.0, 180.0], 20.0, 62.83185307179586),
];

#[test]
fn ways_in_the_plane_are_no_shorter_than_the_shortest_there() {
    let mut found = 0;
    for (start, goal, radius, least) in PLANE {
        let ((a, da), (b, db)) = (planar(start), planar(goal));
        let ends = [
            End {
                at: a,
                direction: da,
                stub: 0.0,
            },
            End {
                at: b,
                direction: db.map(|x| -x),
                stub: 0.0,
            },
        ];
        let request = BendRequest {
            bounds: ROOM,
            boxes: &[],
            ends,
            diameter: 0.0,
            radius,
        };
        let Ok(bent) = bend_route(&request, &mut || false) else {
            continue;
        };
        assert_keeps(&request, &bent);
        if bent.legs.iter().all(|l| l.point(0.5)[2].abs() < 1e-9) {
            assert!(bent.length >= least - 1e-6, "{} under {least}", bent.length);
            assert!(
                bent.length <= 1.6 * least,
                "{} far over {least}",
                bent.length
            );
            found += 1;
        }
    }
    assert!(found >= 5, "{found}");
}

fn gap(p: Point, b: &Block) -> f64 {
    let off: Point = std::array::from_fn(|k| (b[0][k] - p[k]).max(p[k] - b[1][k]).max(0.0));
    norm(off)
}

/// A walk along the way in small steps.
#[track_caller]
fn assert_keeps(request: &BendRequest, bent: &Bent) {
    let half = 0.5 * request.diameter;
    let mut walked: Vec<Point> = Vec::new();
    for leg in &bent.legs {
        if let Leg::Arc { radius, angle, .. } = leg {
            assert!(*radius >= request.radius - 1e-9 && *angle < std::f64::consts::PI);
        }
        let steps = (leg.length() / 0.05).ceil().max(1.0) as usize;
        walked.extend((0..=steps).map(|i| leg.point(i as f64 / steps as f64)));
    }
    walked.dedup_by(|b, a| dist(*a, *b) < 1e-6);
    let [start, goal] = request.ends;
    assert!(dist(walked[0], start.at) < 1e-6 && dist(walked[walked.len() - 1], goal.at) < 1e-6);
    let sum: f64 = walked.windows(2).map(|w| dist(w[0], w[1])).sum();
    assert!(
        (sum - bent.length).abs() < 1e-3 * bent.length,
        "{sum} is not {}",
        bent.length
    );
    let mut passed = 0.0;
    for (i, p) in walked.iter().enumerate() {
        passed += if i > 0 { dist(walked[i - 1], *p) } else { 0.0 };
        let in_stub = passed < start.stub || sum - passed < goal.stub;
        for (k, x) in p.iter().enumerate() {
            assert!(*x >= request.bounds[0][k] - 1e-6 && *x <= request.bounds[1][k] + 1e-6);
        }
        for b in request.boxes {
            let gap = gap(*p, b);
            assert!(gap >= half - 1e-3 || in_stub, "{gap} from {b:?} at {p:?}");
        }
    }
    // No kink: three points in a row lie on a circle no smaller than the radius.
    for w in walked.windows(3) {
        let (a, b) = (sub(w[1], w[0]), sub(w[2], w[1]));
        let turn = norm(cross(unit(a), unit(b)));
        assert!(
            turn <= 1.05 * (norm(a) + norm(b)) * 0.5 / request.radius.max(1e-9) + 1e-4,
            "turns {turn} at {:?}",
            w[1]
        );
    }
    for (end, from, to) in [(start, 0, 1), (goal, walked.len() - 1, walked.len() - 2)] {
        let off = norm(sub(
            unit(sub(walked[to], walked[from])),
            unit(end.direction),
        ));
        assert!(off < 0.06, "leaves askew by {off}");
    }
}

#[test]
fn around_a_wall_with_room_to_bend() {
    let wall = [[-10.0, -500.0, -500.0], [10.0, 500.0, 100.0]];
    let ends = [
        End {
            at: [-80.0, 0.0, 0.0],
            direction: [0.0, 0.0, 1.0],
            stub: 10.0,
        },
        End {
            at: [80.0, 0.0, 0.0],
            direction: [0.0, 0.0, 1.0],
            stub: 10.0,
        },
    ];
    let request = BendRequest {
        bounds: ROOM,
        boxes: &[wall],
        ends,
        diameter: 6.0,
        radius: 25.0,
    };
    let bent = bend_route(&request, &mut || false).expect("a way over the wall");
    assert_keeps(&request, &bent);
    // A thread pulled taut over the wall's rounded edges is shorter.
    let taut = 10.0
        + (67f64.powi(2) + 93f64.powi(2)).sqrt()
        + 26.0
        + (67f64.powi(2) + 93f64.powi(2)).sqrt()
        + 10.0;
    assert!(
        bent.length > taut - 6.0 && bent.length < 1.15 * taut,
        "{} and {taut}",
        bent.length
    );
}

#[test]
fn straight_through_and_not_at_all() {
    let ends = [
        End {
            at: [0.0; 3],
            direction: [2.0, 0.0, 0.0],
            stub: 10.0,
        },
        End {
            at: [50.0, 0.0, 0.0],
            direction: [-1.0, 0.0, 0.0],
            stub: 10.0,
        },
    ];
    let mut request = BendRequest {
        bounds: ROOM,
        boxes: &[],
        ends,
        diameter: 6.0,
        radius: 25.0,
    };
    assert_eq!(
        bend_route(&request, &mut || false).map(|b| b.length),
        Ok(50.0)
    );
    // A hole too small to bend in.
    let cell = [[-2.0, -4.0, -4.0], [52.0, 4.0, 4.0]];
    request.bounds = cell;
    request.ends[1].direction = [0.0, 1.0, 0.0];
    assert!(bend_route(&request, &mut || false).is_err());
    request.radius = f64::NAN;
    assert_eq!(bend_route(&request, &mut || false), Err(NoBend::BadCable));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]
    #[test]
    fn every_way_keeps_clear_and_bends_no_tighter(
        lows in prop::collection::vec([20.0..150.0f64, 0.0..170.0f64, 0.0..170.0f64], 0..12),
        sizes in prop::collection::vec([10.0..60.0f64, 10.0..60.0f64, 10.0..60.0f64], 12),
        directions in [0usize..6, 0usize..6], radius in 2.0..25.0, diameter in 0.0..10.0,
    ) {
        let bounds = [[0.0; 3], [220.0; 3]];
        let ends = [([8.0, 110.0, 110.0], directions[0]), ([212.0, 100.0, 120.0], directions[1])].map(|(at, d)| {
            let mut direction = [0.0; 3];
            direction[d % 3] = if d < 3 { 1.0 } else { -1.0 };
            End { at, direction, stub: 4.0 }
        });
        let boxes: Vec<Block> = lows.iter().zip(&sizes).map(|(lo, size)| {
            [*lo, std::array::from_fn(|k| (lo[k] + size[k]).min(if k == 0 { 190.0 } else { 210.0 }))]
        }).collect();
        let request = BendRequest { bounds, boxes: &boxes, ends, diameter, radius };
        if let Ok(bent) = bend_route(&request, &mut || false) {
            assert_keeps(&request, &bent);
        }
    }
}
