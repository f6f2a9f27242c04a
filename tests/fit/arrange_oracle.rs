//! The exact arrangement search against enumeration and against placements known from books.

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use closefit::search::exact::{
    Conflict, Exclude, Options, Outcome, Problem, Progress, Status, minimal_conflict, solve,
};
use proptest::prelude::*;

mod squares;

/// A small random problem: candidates a part, and raw figures that rules are made from.
#[derive(Clone, Debug)]
struct Raw {
    sizes: Vec<usize>,
    seed: u64,
    clashes: u64,
    linked: u64,
    forbidden: u64,
    largest: u64,
}

/// A small generator (SplitMix64), so that a failing case is fully given by its seed.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, below: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % below.max(1)
    }
}

impl Raw {
    fn problem(&self) -> Problem {
        let mut dice = Dice(self.seed);
        let mut p = Problem::new();
        for &size in &self.sizes {
            let part = p.add_part(size).unwrap();
            if dice.roll(2) == 0 {
                let cost = |_| (dice.roll(100) >= self.forbidden).then(|| dice.roll(self.largest));
                p.add_cost(part, None, cost).unwrap();
            }
        }
        for a in 0..self.sizes.len() {
            for b in 0..a {
                let (a, b) = if dice.roll(2) == 0 { (a, b) } else { (b, a) };
                p.add_clash(a, b, None, |_, _| dice.roll(100) < self.clashes)
                    .unwrap();
                if dice.roll(100) < self.linked {
                    let cost =
                        |_, _| (dice.roll(100) >= self.forbidden).then(|| dice.roll(self.largest));
                    p.add_pair_cost(a, b, None, cost).unwrap();
                }
            }
        }
        p
    }
}

fn raw() -> impl Strategy<Value = Raw> {
    let sizes = prop::collection::vec(1usize..5, 0..7);
    let largest = prop_oneof![Just(1u64), Just(10), Just(1000), Just(1 << 40)];
    (sizes, any::<u64>(), 0u64..60, 0u64..100, 0u64..40, largest).prop_map(
        |(sizes, seed, clashes, linked, forbidden, largest)| Raw {
            sizes,
            seed,
            clashes,
            linked,
            forbidden,
            largest,
        },
    )
}

/// All choices that some rule does not forbid, with their cost, by plain enumeration.
fn enumerate(p: &Problem) -> Vec<(u64, Vec<usize>)> {
    let mut all = vec![Vec::new()];
    for part in 0..p.parts() {
        let longer = |c: &Vec<usize>| {
            let c = c.clone();
            (0..p.candidates(part)).map(move |k| [c.clone(), vec![k]].concat())
        };
        all = all.iter().flat_map(longer).collect();
    }
    let cost = |c: Vec<usize>| p.cost_of(&c).map(|cost| (cost, c));
    all.into_iter().filter_map(cost).collect()
}

fn best_of(all: &[(u64, Vec<usize>)]) -> Option<u64> {
    all.iter().map(|c| c.0).min()
}

fn check_outcome(p: &Problem, expected: Option<u64>, found: &Outcome) {
    assert_eq!(found.cost, expected);
    assert_eq!(found.bound, expected);
    let status = expected.map_or(Status::Infeasible, |_| Status::Optimal);
    assert_eq!(found.status, status);
    let cost = found.choice.as_ref().and_then(|c| p.cost_of(c));
    assert_eq!(cost, expected, "the choice costs what is said");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1500))]

    #[test]
    fn small_problems_agree_with_enumeration(raw in raw()) {
        let p = raw.problem();
        let expected = best_of(&enumerate(&p));
        for threads in [1, 3] {
            let options = Options { threads, ..Options::default() };
            check_outcome(&p, expected, &solve(&p, &options));
        }
    }

    #[test]
    fn excluded_arrangements_are_kept_away_from(raw in raw(), distance in 0usize..4) {
        let p = raw.problem();
        let all = enumerate(&p);
        let Some((_, first)) = all.iter().min_by_key(|c| c.0) else { return Ok(()) };
        let differ = |c: &[usize]| c.iter().zip(first).filter(|(a, b)| a != b).count();
        let far: Vec<_> = all.iter().filter(|c| differ(&c.1) >= distance).cloned().collect();
        let exclude = [Exclude { choice: first.clone(), distance }];
        let options = Options { exclude: &exclude, ..Options::default() };
        check_outcome(&p, best_of(&far), &solve(&p, &options));
    }

    #[test]
    fn only_what_costs_less_than_the_limit_counts(raw in raw(), more in 0u64..3, threads in 1usize..3) {
        let p = raw.problem();
        let expected = best_of(&enumerate(&p));
        let limit = expected.unwrap_or(5) + more;
        let options = Options { threads, below: Some(limit), ..Options::default() };
        check_outcome(&p, expected.filter(|e| *e < limit), &solve(&p, &options));
    }

    #[test]
    fn bounds_heard_on_the_way_are_valid(raw in raw()) {
        let p = raw.problem();
        let expected = best_of(&enumerate(&p));
        let heard: Mutex<Vec<Progress>> = Mutex::default();
        let hear = |h: Progress| heard.lock().unwrap().push(h);
        solve(&p, &Options { progress: Some(&hear), ..Options::default() });
        for h in heard.into_inner().unwrap() {
            if let Some(least) = expected {
                prop_assert!(h.bound <= least && h.best.is_none_or(|b| b >= least));
            }
        }
    }

    #[test]
    fn conflicts_are_real_and_irreducible(raw in raw()) {
        let mut dice = Dice(raw.seed);
        let rules: Vec<(usize, usize, u64)> = (0..8)
            .map(|_| (dice.roll(4) as usize, dice.roll(4) as usize, dice.roll(1 << 30)))
            .filter(|r| r.0 != r.1)
            .collect();
        // with only some demands on: rules that belong to the others are left out
        let with = |on: &dyn Fn(usize) -> bool| {
            let mut p = Problem::new();
            for k in 0..4 {
                p.add_part(1 + (raw.seed as usize >> (8 * k)) % 3).unwrap();
            }
            for (d, &(a, b, salt)) in rules.iter().enumerate() {
                let demand = p.add_demand(format!("rule {d}"));
                let mut dice = Dice(salt);
                let hit = |_, _| dice.roll(100) < 60;
                if on(d) {
                    p.add_clash(a, b, Some(demand), hit).unwrap();
                }
            }
            p
        };
        let feasible = |on: &dyn Fn(usize) -> bool| !enumerate(&with(on)).is_empty();
        match minimal_conflict(&with(&|_| true), &Options::default()) {
            Conflict::None(choice) => {
                prop_assert!(with(&|_| true).cost_of(&choice).is_some());
            }
            Conflict::Demands { demands, irreducible } => {
                prop_assert!(irreducible);
                prop_assert!(!feasible(&|d| demands.contains(&d)));
                for left_out in &demands {
                    prop_assert!(feasible(&|d| d != *left_out && demands.contains(&d)));
                }
            }
            Conflict::Unknown => prop_assert!(false, "nothing stopped it"),
        }
    }
}

/// A problem of `parts` parts in one row of seats, each pair with a cost: no two on one seat.
/// Hard enough that the search takes a while, easy to check.
fn seating(parts: usize, seats: usize, seed: u64) -> Problem {
    let mut dice = Dice(seed);
    let mut p = Problem::new();
    for _ in 0..parts {
        p.add_part(seats).unwrap();
    }
    for a in 0..parts {
        for b in 0..a {
            p.add_clash(a, b, None, |i, j| i == j).unwrap();
            let flow = dice.roll(10);
            let cost = |i: usize, j: usize| Some(flow * i.abs_diff(j) as u64);
            p.add_pair_cost(a, b, None, cost).unwrap();
        }
    }
    p
}

#[test]
fn the_same_problem_gives_the_same_outcome() {
    for threads in [1, 2, 3] {
        let p = seating(7, 8, 5);
        let run = || {
            let options = Options {
                threads,
                ..Options::default()
            };
            let o = solve(&p, &options);
            (o.status, o.cost, o.bound, o.choice, o.nodes)
        };
        let first = run();
        assert_eq!(first.0, Status::Optimal);
        for _ in 0..3 {
            assert_eq!(run(), first, "{threads} threads");
        }
    }
}

/// A hang fails a test, a busy machine does not.
const PATIENCE: Duration = Duration::from_secs(60);

#[test]
fn a_time_limit_gives_a_valid_bound_in_time() {
    let p = seating(14, 15, 3);
    // A busy machine may find nothing in the first short time.
    let start = Instant::now();
    let limits = (0..8).map(|i| Duration::from_millis(60 << i));
    let stopped = limits.map(|limit| {
        let options = Options {
            time_limit: Some(limit),
            ..Options::default()
        };
        solve(&p, &options)
    });
    let found = stopped.into_iter().find(|o| o.status != Status::Unknown);
    assert!(start.elapsed() < PATIENCE, "stopped long after its time");
    let o = found.expect("something within its time");
    assert_eq!(o.status, Status::Feasible);
    let (cost, bound) = (o.cost.unwrap(), o.bound.unwrap());
    assert!(0 < bound && bound < cost);
    assert_eq!(p.cost_of(&o.choice.unwrap()), Some(cost));
    // the bound may not pass any arrangement: shuffle a few thousand
    let mut dice = Dice(1);
    let mut seats: Vec<usize> = (0..15).collect();
    for _ in 0..5000 {
        let (a, b) = (dice.roll(15) as usize, dice.roll(15) as usize);
        seats.swap(a, b);
        assert!(p.cost_of(&seats[..14]).is_some_and(|c| c >= bound));
    }
}

#[test]
fn no_time_at_all_still_gives_a_valid_outcome() {
    let p = seating(6, 6, 1);
    let options = Options {
        time_limit: Some(Duration::ZERO),
        ..Options::default()
    };
    let best = solve(&p, &Options::default()).cost.unwrap();
    let o = solve(&p, &options);
    assert!(matches!(o.status, Status::Unknown | Status::Feasible));
    assert!(o.bound.unwrap() <= best);
}

#[test]
fn the_cancel_flag_stops_all_threads_soon() {
    for threads in [1, 2] {
        let p = seating(16, 17, 2);
        let cancel = AtomicBool::new(false);
        // As soon as there is something to be kept.
        let heard = |p: Progress| {
            if p.best.is_some() {
                cancel.store(true, Ordering::Relaxed);
            }
        };
        let options = Options {
            threads,
            cancel: Some(&cancel),
            progress: Some(&heard),
            ..Options::default()
        };
        // Left alone, it takes far longer than anyone waits.
        let start = Instant::now();
        let o = solve(&p, &options);
        assert!(start.elapsed() < PATIENCE, "stopped late");
        assert_eq!(o.status, Status::Feasible);
        assert!(o.bound < o.cost);
    }
}
