//! Ways of cables in scenes whose shortest length is known: closed forms and worked
//! examples, each with its source. Never shorter, and within half a percent.

use crate::build::{Build, block, enclosure, plate, v};
use crate::ways::{DIRS, joined, lay};
use closefit::geom::Box3;
use closefit::model::{Cutout, Enclosure, Group};
use closefit::route::ways::Wish;

/// What a found way may be longer by than the shortest.
const WITHIN: f64 = 1.005;

#[track_caller]
fn assert_near(name: &str, found: f64, best: f64) {
    // A micrometre for the rounding of each end.
    assert!(found >= best - 2e-3, "{name}: {found} is under {best}");
    assert!(found <= WITHIN * best, "{name}: {found}, best {best}");
}

/// The shortest laid way of a thread between two places, over all ways of leaving and
/// arriving: what a point finds.
fn thread(e: &Enclosure, ends: [[f64; 3]; 2], add: impl Fn(Build) -> Build) -> f64 {
    let mut shortest = f64::INFINITY;
    for from in DIRS {
        for to in DIRS {
            let scene = joined(e.clone(), [(ends[0], from), (ends[1], to)], 0.1, 0.0);
            if let Ok(laid) = lay(&add(scene), &Wish::default()) {
                shortest = shortest.min(laid.run.needed.as_mm());
            }
        }
    }
    shortest
}

#[test]
fn straight_on_is_the_distance() {
    let ends = [([100.0, 200.0, 200.0], "+x"), ([400.0, 200.0, 200.0], "-x")];
    let laid = lay(
        &joined(enclosure([500.0; 3]), ends, 4.0, 30.0),
        &Wish::default(),
    );
    assert_near("straight", laid.expect("a way").run.needed.as_mm(), 300.0);
}

#[test]
fn around_one_edge_is_the_unfolded_straight_line() {
    // The edge at x 100 and z 150: 40 and 100 off it on one side, 30 and 20 on the other,
    // 80 along it. Unfolded about the edge: the root of (107.703 + 36.056)^2 + 80^2.
    let (a, b) = (40f64.hypot(100.0), 30f64.hypot(20.0));
    let wall = block("wall", Group::Other, [40.0, 200.0, 150.0]);
    let ends = [[60.0, 60.0, 50.0], [130.0, 140.0, 170.0]];
    let found = thread(&enclosure([240.0, 200.0, 300.0]), ends, |scene| {
        scene.with("wall", &wall, [100.0, 0.0, 0.0])
    });
    assert_near("edge", found, (a + b).hypot(80.0));
}

// The room of 30 x 12 x 12 of the puzzle of the spider and the fly (H. E. Dudeney, 1903):
// spider one below the ceiling in the middle of an end wall, fly one above the floor
// opposite; the shortest way on the walls is 40 and crosses five of the six faces, ten
// times as large here. A block that leaves 5 mm along all walls keeps a thread on the
// walls; ends are 2 mm off the end walls, 3 before the block. Unfolded about the block's
// edges the same five faces give, lengthwise, twice the root of 3^2 + 5^2 and 290, and
// across 55 + 110 + 55. Over four faces it is 385.7, over three 400.9 (by hand).
#[test]
fn the_spider_finds_the_way_over_five_faces() {
    // As large as in the puzzle, without the gap: 320 lengthwise and 240 across.
    assert_eq!(320f64.hypot(240.0), 400.0);
    let best = (2.0 * 3f64.hypot(5.0) + 290.0).hypot(220.0);
    let core = block("core", Group::Other, [290.0, 110.0, 110.0]);
    let ends = [[2.0, 60.0, 110.0], [298.0, 60.0, 10.0]];
    let found = thread(&enclosure([300.0, 120.0, 120.0]), ends, |scene| {
        scene.with("core", &core, [5.0; 3])
    });
    assert_near("spider", found, best);
}

#[test]
fn an_opening_off_the_straight_line_is_met_at_its_corner() {
    // A plate of 2 between two ends 149 off its faces, both 60 beside the opening's corner
    // and 60 above it: to the corner, through the plate, and from the corner.
    let mut e = enclosure([400.0, 200.0, 200.0]);
    let mut wall = plate("wall", [199.0, 0.0, 0.0], [2.0, 200.0, 200.0]);
    let hole = Box3::at(v(199.0, 60.0, 60.0), v(2.0, 30.0, 30.0));
    wall.cutouts = vec![Cutout::Rect(hole)];
    e.plates.push(wall);
    let best = 2.0 * (149f64 * 149.0 + 2.0 * 60.0 * 60.0).sqrt() + 2.0;
    let ends = [[50.0, 150.0, 150.0], [350.0, 150.0, 150.0]];
    assert_near("opening", thread(&e, ends, |scene| scene), best);
}

// Shortest ways of a car that only drives forward, which in a plane are the shortest of a
// cable that leaves and arrives in given directions (L. E. Dubins, 1957): cases worked out
// with the C library of the Python package dubins 1.0.1 (Shkel and Lumelsky's
// classification), enlarged to these radii. Ports look along the axes, so cases with other
// headings are left out, and those where both ends are in one place.
#[test]
fn between_directions_a_cable_takes_the_shortest_of_dubins_ways() {
    // From where the start stands, the goal's place, out of the port there, the radius, and
    // the library's length for the radius in brackets.
    for (name, from, goal, out, radius, best) in [
        // [0, 0, 90] to [4, 0, -90], radius 1: turn, straight, turn the same way.
        (
            "rsr",
            "+y",
            [120.0, 0.0],
            "+y",
            30.0,
            30.0 * 5.141592653589793,
        ),
        // [0, 0, 0] to [100, 60, 90], radius 20.
        ("lsl", "+x", [100.0, 60.0], "-y", 20.0, 120.8586456358895),
        // [0, 0, 0] to [50, 50, 0], radius 15: turns against one another.
        (
            "lsr",
            "+x",
            [100.0, 100.0],
            "-x",
            30.0,
            2.0 * 73.86273336772929,
        ),
    ] {
        let start = [200.0, 200.0, 200.0];
        let end = [200.0 + goal[0], 200.0 + goal[1], 200.0];
        let scene = joined(
            enclosure([500.0; 3]),
            [(start, from), (end, out)],
            4.0,
            radius,
        );
        let laid = lay(&scene, &Wish::default()).expect("a way");
        assert_near(name, laid.run.needed.as_mm(), best);
    }
}
