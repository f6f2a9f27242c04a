//! The way finder against closed forms, and against a plain search that shares no code with it.

use closefit::route::free::{Block, NoWay, Point, Request, Way, shortest, shortest_until};
use proptest::prelude::*;

const CASE: Block = [[0.0; 3], [280.0, 220.0, 350.0]];

fn ask(bounds: Block, boxes: &[Block], start: Point, goal: Point) -> Result<Way, NoWay> {
    shortest(&Request {
        bounds,
        start,
        goal,
        boxes,
    })
}

fn distance(a: Point, b: Point) -> f64 {
    (0..3).map(|k| (a[k] - b[k]).powi(2)).sum::<f64>().sqrt()
}

/// Whether the segment runs inside the box for more than a ten-thousand-millionth of its length.
fn cuts(a: Point, b: Point, block: &Block) -> bool {
    let (mut enter, mut leave) = (0.0f64, 1.0f64);
    for k in 0..3 {
        let d = b[k] - a[k];
        if d == 0.0 {
            if a[k] <= block[0][k] || a[k] >= block[1][k] {
                return false;
            }
        } else {
            let (t, u) = ((block[0][k] - a[k]) / d, (block[1][k] - a[k]) / d);
            enter = enter.max(t.min(u));
            leave = leave.min(t.max(u));
        }
    }
    leave - enter > 1e-10
}

/// Ends, length and clearance of a way, and that it runs in no slit between things that touch:
/// next to every point of it there is a point clear of everything.
#[track_caller]
fn assert_good(bounds: Block, boxes: &[Block], start: Point, goal: Point, way: &Way) {
    assert_eq!(
        (way.points[0], way.points[way.points.len() - 1]),
        (start, goal)
    );
    let sum: f64 = way.points.windows(2).map(|w| distance(w[0], w[1])).sum();
    assert!((way.length - sum).abs() < 1e-9 * sum.max(1.0));
    let reach = bounds.iter().flatten().fold(0.0f64, |m, x| m.max(x.abs()));
    let step = 3e-8 * reach;
    for leg in way.points.windows(2) {
        for block in boxes {
            assert!(!cuts(leg[0], leg[1], block), "{leg:?} cuts {block:?}");
        }
        for i in 0..=40 {
            let p: Point =
                std::array::from_fn(|k| leg[0][k] + (leg[1][k] - leg[0][k]) * f64::from(i) / 40.0);
            let open = (0..27).any(|code| {
                let q: Point = std::array::from_fn(|k| {
                    p[k] + (f64::from(code / 3i32.pow(k as u32) % 3) - 1.0) * step
                });
                (0..3).all(|k| q[k] > bounds[0][k] && q[k] < bounds[1][k])
                    && boxes
                        .iter()
                        .all(|b| (0..3).any(|k| q[k] < b[0][k] || q[k] > b[1][k]))
            });
            assert!(open, "{p:?} lies in a slit");
        }
    }
}

#[track_caller]
fn assert_length(bounds: Block, boxes: &[Block], start: Point, goal: Point, expected: f64) -> Way {
    let way = ask(bounds, boxes, start, goal).expect("a way");
    assert_good(bounds, boxes, start, goal, &way);
    let error = (way.length - expected) / expected;
    assert!(error.abs() < 1e-6, "{} instead of {expected}", way.length);
    way
}

fn hypot(x: f64, y: f64) -> f64 {
    x.hypot(y)
}

// Plane geometry: each case unfolds to straight lines.

#[test]
fn over_a_full_depth_block() {
    let block = [[110.0, 0.0, 0.0], [170.0, 220.0, 240.0]];
    let expected = hypot(70.0, 180.0) + 60.0 + hypot(70.0, 150.0);
    assert_length(
        CASE,
        &[block],
        [40.0, 110.0, 60.0],
        [240.0, 110.0, 90.0],
        expected,
    );
}

#[test]
fn around_a_full_height_block_while_rising() {
    let block = [[110.0, 0.0, 0.0], [170.0, 160.0, 350.0]];
    let flat = hypot(70.0, 100.0) + 60.0 + hypot(70.0, 70.0);
    assert_length(
        CASE,
        &[block],
        [40.0, 60.0, 60.0],
        [240.0, 90.0, 260.0],
        hypot(flat, 200.0),
    );
}

fn baffles() -> [Block; 2] {
    [
        [[80.0, 0.0, 0.0], [100.0, 170.0, 350.0]],
        [[180.0, 50.0, 0.0], [200.0, 220.0, 350.0]],
    ]
}

const BAFFLES: [Point; 2] = [[20.0, 40.0, 40.0], [260.0, 180.0, 310.0]];

fn baffles_length() -> f64 {
    let flat = hypot(60.0, 130.0) + 20.0 + hypot(80.0, 120.0) + 20.0 + hypot(60.0, 130.0);
    hypot(flat, 270.0)
}

#[test]
fn through_two_staggered_walls_that_touch_the_enclosure() {
    assert!((baffles_length() - 542.5348823598579).abs() < 1e-9);
    let [start, goal] = BAFFLES;
    let way = assert_length(CASE, &baffles(), start, goal, baffles_length());
    assert_eq!(way.points.len(), 6);
}

#[test]
fn the_size_and_the_place_of_the_enclosure_do_not_matter() {
    let [start, goal] = BAFFLES;
    for (scale, shift) in [(1e-3, 0.0), (1e4, 0.0), (1.0, 1e4), (1.0, -1e5)] {
        let moved = |p: Point| p.map(|x| x * scale + shift);
        let boxes = baffles().map(|b| b.map(moved));
        let expected = baffles_length() * scale;
        assert_length(CASE.map(moved), &boxes, moved(start), moved(goal), expected);
    }
}

// Convex minimisation over edge sequences of at most three edges of one box, computed apart from the
// project; the same values come from unfolding.
#[test]
fn around_one_box() {
    let unit = [[0.0; 3], [1.0; 3]];
    let slab = [[0.0; 3], [100.0, 60.0, 40.0]];
    for (block, start, goal, expected) in [
        (unit, [-1.0, 0.5, 0.5], [2.0, 0.5, 0.5], 3.23606797749979),
        (unit, [-1.0, 0.2, 0.9], [2.0, 0.5, 0.5], 3.1373975851250337),
        (
            slab,
            [-20.0, 30.0, 20.0],
            [130.0, 30.0, 20.0],
            164.3397840021018,
        ),
        (
            slab,
            [50.0, -10.0, 20.0],
            [130.0, 50.0, 10.0],
            109.07953812548058,
        ),
    ] {
        let bounds = [[-200.0; 3], [300.0; 3]];
        assert_length(bounds, &[block], start, goal, expected);
        assert_length(bounds, &[block], goal, start, expected);
    }
}

// Geodesics on a box by unfolding its faces; the first is Dudeney's spider and fly, 1903.
#[test]
fn between_points_on_the_surface_of_a_box() {
    for (size, start, goal, expected) in [
        ([30.0, 12.0, 12.0], [0.0, 6.0, 11.0], [30.0, 6.0, 1.0], 40.0),
        ([1.0, 1.0, 1.0], [0.0; 3], [1.0; 3], 5f64.sqrt()),
        ([1.0, 2.0, 3.0], [0.0; 3], [1.0, 2.0, 3.0], 18f64.sqrt()),
        (
            [200.0, 120.0, 60.0],
            [0.0, 30.0, 20.0],
            [200.0, 90.0, 40.0],
            266.8332812825267,
        ),
        (
            [200.0, 120.0, 60.0],
            [50.0, 120.0, 10.0],
            [150.0, 20.0, 60.0],
            180.27756377319946,
        ),
        ([10.0, 10.0, 10.0], [0.0, 2.0, 3.0], [0.0, 5.0, 7.0], 5.0),
    ] {
        let bounds = [[-300.0; 3], [500.0; 3]];
        assert_length(bounds, &[[[0.0; 3], size]], start, goal, expected);
    }
}

// Best known: searches of this program with samples four times as dense. A roadmap over exact edge
// points (scipy 1.17, points 10 mm apart) gives 448.388 and 452.883; the others are closed forms.
#[test]
fn the_inputs_of_the_bench_have_their_best_known_lengths() {
    for (name, best) in [
        ("free", 384.3175770115127),
        ("over", 418.66153273074815),
        ("around", 344.95653025431966),
        ("baffles", 542.5348823598579),
        ("clutter20", 448.352819634),
        ("clutter80", 452.789131730),
    ] {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/perf/inputs/route");
        let text = std::fs::read_to_string(format!("{folder}/{name}.json")).expect("kept");
        let scene: serde_json::Value = serde_json::from_str(&text).expect("JSON");
        let point = |v: &serde_json::Value| -> Point {
            serde_json::from_value(v.clone()).expect("three numbers")
        };
        let boxes: Vec<Block> = serde_json::from_value(scene["boxes"].clone()).expect("boxes");
        let bounds = [[0.0; 3], point(&scene["size"])];
        let (start, goal) = (point(&scene["start"]), point(&scene["goal"]));
        let way = ask(bounds, &boxes, start, goal).expect("a way");
        assert_good(bounds, &boxes, start, goal, &way);
        assert!(way.complete);
        assert!(
            (way.length - best).abs() < 1e-6,
            "{name}: {} instead of {best}",
            way.length
        );
    }
}

/// A box cut into pieces that touch face to face.
fn pieces(block: Block, cuts: [usize; 3]) -> Vec<Block> {
    let at =
        |k: usize, i: usize| block[0][k] + (block[1][k] - block[0][k]) * i as f64 / cuts[k] as f64;
    let mut out = Vec::new();
    for x in 0..cuts[0] {
        for y in 0..cuts[1] {
            for z in 0..cuts[2] {
                let i = [x, y, z];
                out.push([
                    std::array::from_fn(|k| at(k, i[k])),
                    std::array::from_fn(|k| at(k, i[k] + 1)),
                ]);
            }
        }
    }
    out
}

#[test]
fn seams_between_touching_boxes_are_sealed() {
    let [start, goal] = BAFFLES;
    for cuts in [[1, 2, 1], [2, 3, 5], [1, 7, 7]] {
        let boxes: Vec<Block> = baffles()
            .into_iter()
            .flat_map(|b| pieces(b, cuts))
            .collect();
        assert_length(CASE, &boxes, start, goal, baffles_length());
    }
}

#[test]
fn a_gap_of_a_hundredth_is_a_way_and_a_gap_of_nothing_is_none() {
    let wall = |gap: f64| {
        [
            [[100.0, 0.0, 0.0], [120.0, 110.0, 350.0]],
            [[100.0, 110.0 + gap, 0.0], [120.0, 220.0, 350.0]],
        ]
    };
    let (start, goal) = ([20.0, 110.0, 100.0], [260.0, 110.0, 100.0]);
    assert_length(CASE, &wall(0.01), start, goal, 240.0);
    assert_eq!(ask(CASE, &wall(0.0), start, goal), Err(NoWay::SealedOff));
}

#[test]
fn boxes_that_meet_along_an_edge_only_leave_no_way_through_it() {
    let boxes = [
        [[0.0, 0.0, 0.0], [140.0, 110.0, 350.0]],
        [[140.0, 110.0, 0.0], [280.0, 220.0, 350.0]],
    ];
    assert_eq!(
        ask(CASE, &boxes, [10.0, 200.0, 50.0], [270.0, 20.0, 50.0]),
        Err(NoWay::SealedOff)
    );
}

#[test]
fn a_closed_shell_seals_off_and_a_small_hole_opens_it() {
    let (lo, hi) = (100.0, 200.0);
    let mut shell = vec![
        [[lo, lo, lo], [hi, hi, lo + 5.0]],
        [[lo, lo, hi - 5.0], [hi, hi, hi]],
        [[lo, lo, lo], [lo + 5.0, hi, hi]],
        [[hi - 5.0, lo, lo], [hi, hi, hi]],
        [[lo, lo, lo], [hi, lo + 5.0, hi]],
        [[lo, hi - 5.0, lo], [hi, hi, hi]],
    ];
    let bounds = [[0.0; 3], [300.0; 3]];
    let (start, goal) = ([150.0; 3], [20.0; 3]);
    assert_eq!(ask(bounds, &shell, start, goal), Err(NoWay::SealedOff));
    // The far side with a hole of half a millimetre square at its middle.
    shell.pop();
    let (a, b) = (149.75, 150.25);
    shell.push([[lo, hi - 5.0, lo], [a, hi, hi]]);
    shell.push([[b, hi - 5.0, lo], [hi, hi, hi]]);
    shell.push([[a, hi - 5.0, lo], [b, hi, a]]);
    shell.push([[a, hi - 5.0, b], [b, hi, hi]]);
    let way = ask(bounds, &shell, start, goal).expect("through the hole");
    assert_good(bounds, &shell, start, goal, &way);
    let least = distance(start, [150.0, hi, 150.0]) + distance([150.0, hi, 150.0], [lo, hi, lo]);
    assert!(
        way.length > least && way.length < least + 220.0,
        "{}",
        way.length
    );
}

#[test]
fn ends_that_touch_things_are_fine_and_ends_inside_things_are_not() {
    let block = [[100.0; 3], [150.0; 3]];
    let boxes = [block, [[150.0, 100.0, 100.0], [180.0, 150.0, 150.0]]];
    let corner = [0.0; 3];
    // On a face, and on the outer end of a seam.
    for start in [
        [100.0, 120.0, 120.0],
        [150.0, 100.0, 120.0],
        [150.0, 150.0, 150.0],
    ] {
        let way = ask(CASE, &boxes, start, corner).expect("touching");
        assert_good(CASE, &boxes, start, corner, &way);
        assert!(ask(CASE, &boxes, corner, start).is_ok());
    }
    for (start, error) in [
        ([120.0, 120.0, 120.0], NoWay::StartBlocked),
        ([150.0, 120.0, 120.0], NoWay::StartBlocked),
        ([-1.0, 0.0, 0.0], NoWay::StartBlocked),
        ([f64::NAN, 0.0, 0.0], NoWay::BadPoint),
    ] {
        assert_eq!(ask(CASE, &boxes, start, corner), Err(error));
    }
    assert_eq!(
        ask(CASE, &boxes, corner, [120.0; 3]),
        Err(NoWay::GoalBlocked)
    );
    // Where an obstacle stands on the wall, its foot is covered.
    let standing = [[[100.0, 100.0, 0.0], [150.0, 150.0, 60.0]]];
    assert_eq!(
        ask(CASE, &standing, [120.0, 120.0, 0.0], corner),
        Err(NoWay::StartBlocked)
    );
    let same = ask(CASE, &boxes, corner, corner).expect("nowhere to go");
    assert_eq!((same.length, same.points.len()), (0.0, 2));
}

#[test]
fn bad_boxes_are_named() {
    let good = [[10.0; 3], [20.0; 3]];
    let (a, b) = ([0.0; 3], [100.0; 3]);
    assert_eq!(
        ask(CASE, &[good, [[5.0; 3], [1.0; 3]]], a, b),
        Err(NoWay::BadBox(1))
    );
    assert_eq!(
        ask(CASE, &[[[f64::NEG_INFINITY; 3], [1.0; 3]]], a, b),
        Err(NoWay::BadBox(0))
    );
    assert_eq!(
        ask([[0.0; 3], [1.0, 1.0, 0.0]], &[], a, a),
        Err(NoWay::BadBounds)
    );
    // A plate without thickness has no inside.
    let flat = [[0.0, 0.0, 50.0], [280.0, 220.0, 50.0]];
    assert_length(CASE, &[flat], a, [0.0, 0.0, 100.0], 100.0);
}

#[test]
fn a_search_that_is_stopped_says_so() {
    let [start, goal] = BAFFLES;
    let boxes = baffles();
    let request = Request {
        bounds: CASE,
        start,
        goal,
        boxes: &boxes,
    };
    assert_eq!(shortest_until(&request, &mut || true), Err(NoWay::Stopped));
    let mut asked = 0;
    let way = shortest_until(&request, &mut || {
        asked += 1;
        asked > 3
    });
    if let Ok(way) = way {
        assert!(!way.complete);
        assert_good(CASE, &boxes, start, goal, &way);
    }
    assert!(shortest(&request).expect("a way").complete);
}

/// A way along points on the edges of slightly grown boxes, by plain Dijkstra; no cleverness.
fn plain(bounds: Block, boxes: &[Block], start: Point, goal: Point, step: f64) -> f64 {
    let grown: Vec<Block> = boxes
        .iter()
        .map(|b| [b[0].map(|x| x - 1e-6), b[1].map(|x| x + 1e-6)])
        .collect();
    let mut points = vec![start, goal];
    for b in &grown {
        for axis in 0..3 {
            let count = ((b[1][axis] - b[0][axis]) / step).ceil().max(1.0) as usize;
            for corner in 0..4 {
                for i in 0..=count {
                    let mut p = [0.0; 3];
                    p[axis] = b[0][axis] + (b[1][axis] - b[0][axis]) * i as f64 / count as f64;
                    p[(axis + 1) % 3] = b[corner % 2][(axis + 1) % 3];
                    p[(axis + 2) % 3] = b[corner / 2][(axis + 2) % 3];
                    let inside = |b: &Block| (0..3).all(|k| p[k] > b[0][k] && p[k] < b[1][k]);
                    if inside(&bounds) && !grown.iter().any(inside) {
                        points.push(p);
                    }
                }
            }
        }
    }
    let mut cost = vec![f64::INFINITY; points.len()];
    let mut done = vec![false; points.len()];
    cost[0] = 0.0;
    loop {
        let next = (0..points.len())
            .filter(|&i| !done[i])
            .min_by(|&i, &j| cost[i].total_cmp(&cost[j]));
        let Some(i) = next.filter(|&i| cost[i].is_finite()) else {
            return f64::INFINITY;
        };
        if i == 1 {
            return cost[1];
        }
        done[i] = true;
        for j in 0..points.len() {
            let through = cost[i] + distance(points[i], points[j]);
            // A way over this point that is no help to the best way to the goal is not tested.
            if done[j] || through >= cost[j] || through + distance(points[j], goal) >= cost[1] {
                continue;
            }
            if !grown.iter().any(|b| cuts(points[i], points[j], b)) {
                cost[j] = through;
            }
        }
    }
}

/// Whole-millimetre boxes, so that many touch one another or the walls.
fn scattered() -> impl Strategy<Value = Vec<Block>> {
    let block =
        ([0i32..9, 0i32..9, 0i32..9], [1i32..6, 1i32..6, 1i32..6]).prop_map(|(lo, size)| {
            let lo = lo.map(|x| f64::from(x) * 10.0);
            [
                lo,
                std::array::from_fn(|k| (lo[k] + f64::from(size[k]) * 10.0).min(100.0)),
            ]
        });
    prop::collection::vec(block, 1..9)
}

const CUBE: Block = [[0.0; 3], [100.0; 3]];
const ENDS: [Point; 2] = [[3.0, 4.0, 5.0], [97.0, 95.0, 96.0]];

fn away_from_ends(boxes: Vec<Block>) -> Vec<Block> {
    let keeps = |b: &Block| {
        ENDS.iter()
            .all(|p| (0..3).any(|k| p[k] < b[0][k] || p[k] > b[1][k]))
    };
    boxes.into_iter().filter(keeps).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn never_longer_than_a_plain_search_and_never_through_anything(boxes in scattered()) {
        let boxes = away_from_ends(boxes);
        let [start, goal] = ENDS;
        let expected = plain(CUBE, &boxes, start, goal, 6.0);
        match ask(CUBE, &boxes, start, goal) {
            Ok(way) => {
                assert_good(CUBE, &boxes, start, goal, &way);
                prop_assert!(way.length <= expected + 1e-4, "{} after {expected}", way.length);
            }
            Err(error) => {
                prop_assert_eq!(error, NoWay::SealedOff);
                prop_assert!(expected.is_infinite());
            }
        }
    }

    #[test]
    fn cutting_boxes_in_pieces_and_turning_the_scene_change_nothing(boxes in scattered()) {
        let boxes = away_from_ends(boxes);
        let [start, goal] = ENDS;
        let Ok(way) = ask(CUBE, &boxes, start, goal) else { return Ok(()) };
        let cut: Vec<Block> = boxes.iter().flat_map(|b| pieces(*b, [2, 1, 2])).collect();
        let turn = |p: Point| [p[1], p[2], 100.0 - p[0]];
        let turned: Vec<Block> = boxes.iter().map(|b| {
            let (p, q) = (turn(b[0]), turn(b[1]));
            [std::array::from_fn(|k| p[k].min(q[k])), std::array::from_fn(|k| p[k].max(q[k]))]
        }).collect();
        for (what, other) in [
            ("back", ask(CUBE, &boxes, goal, start)),
            ("cut", ask(CUBE, &cut, start, goal)),
            ("turned", ask(CUBE, &turned, turn(start), turn(goal))),
        ] {
            let other = other.expect("the same way").length;
            prop_assert!((other / way.length - 1.0).abs() < 2e-3, "{what}: {other} instead of {}", way.length);
        }
    }
}
