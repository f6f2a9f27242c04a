//! A search that was given up for a while and goes on comes to what one without limits proves.

use crate::search_desk::{Desk, ids};
use closefit::search::scene::{Answer, End, News, Run, Wish, seek};
use std::sync::Mutex;

#[test]
fn what_is_left_of_the_time_proves_the_first() {
    let desk = Desk::new();
    let mut given_up = 0;
    for (name, moving) in [
        ("slim-upright", ids(&["drive", "fan"])),
        ("cube-microatx", ids(&["drive", "fan-rear"])),
    ] {
        let scene = desk.example(name);
        let mut wish = Wish::of(&scene).only(moving);
        wish.top = 3;
        let better = Mutex::new(0);
        let told = |news| {
            if matches!(news, News::Better(_)) {
                *better.lock().unwrap() += 1;
            }
        };
        let search = |most_tried: usize, keep_on: bool| -> Answer {
            let run = Run {
                most_tried,
                keep_on,
                told: Some(&told),
                ..Run::default()
            };
            seek(&scene, &wish, &desk.settings, &desk.catalogue, &run)
        };
        let whole = search(usize::MAX, false);
        assert_eq!(whole.end, End::Proved, "{name}");
        let short = search(1, false);
        let long = search(1, true);
        assert_eq!(long.end, End::Proved, "{name}: {}", long.words());
        let first = |a: &Answer| a.found.first().map(|f| (f.points, f.proved));
        assert_eq!(first(&long), first(&whole), "{name}");
        // Best first, and nothing twice.
        let points: Vec<f64> = long.found.iter().map(|f| f.points).collect();
        assert!(
            points.windows(2).all(|w| w[0] <= w[1]),
            "{name}: {points:?}"
        );
        for (i, a) in long.found.iter().enumerate() {
            let places = |f: &closefit::search::scene::Found| f.arrangement.places.clone();
            assert!(
                long.found[..i].iter().all(|b| places(b) != places(a)),
                "{name}"
            );
        }
        if let End::Within(share) = short.end {
            given_up += 1;
            let best = short.found[0].points;
            assert!(
                best * (1.0 - share) <= points[0] + 1e-6,
                "{name}: the bound held"
            );
            let turned_up = *better.lock().unwrap() > 0;
            assert_eq!(turned_up, points[0] < best, "{name}");
        }
    }
    assert!(given_up > 0, "none was given up: this proves nothing");
}
