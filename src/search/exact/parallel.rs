//! One run of the tree search on several threads, with the same result however they are timed.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Condvar, Mutex, PoisonError};

use super::bound::State;
use super::branch::{Found, Search};
use super::number::Real;

/// Tasks wanted for each thread, and the deepest level they are made at.
const TASKS: usize = 12;
const LEVELS: usize = 3;

struct Task<R> {
    state: State<R>,
    prefix: Vec<u32>,
}

struct Done<R> {
    found: Found<R>,
    weights: Vec<f64>,
    nodes: u64,
}

/// Searches below `root` within `limit`, like [`Search::run`] without a budget.
///
/// Tasks are taken in order. Each knows the best cost of the tasks up to `threads` before it and
/// of no later one, so that what it finds does not depend on how fast the others are.
pub(super) fn run<R: Real>(
    search: &mut Search<'_, R>,
    root: &State<R>,
    prefix: &[u32],
    limit: R,
    threads: usize,
) -> Found<R> {
    if threads <= 1 {
        return search.run(root.clone(), prefix, limit, u64::MAX);
    }
    let tasks = split(search, root, prefix, limit, TASKS * threads);
    let next = AtomicUsize::new(0);
    let done: Mutex<Vec<Option<Done<R>>>> = Mutex::new(tasks.iter().map(|_| None).collect());
    let changed = Condvar::new();
    let work = || loop {
        let k = next.fetch_add(1, Ordering::Relaxed);
        let Some(task) = tasks.get(k) else { break };
        let known = (k + 1).saturating_sub(threads);
        let mut held = done.lock().unwrap_or_else(PoisonError::into_inner);
        while held[..known].iter().any(Option::is_none) {
            held = changed.wait(held).unwrap_or_else(PoisonError::into_inner);
        }
        let before = held[..known].iter().flatten();
        let best = before.filter_map(|d| d.found.best.as_ref().map(|b| b.0 - search.unit()));
        let limit = best.fold(limit, R::least);
        drop(held);
        let mut own = search.fork();
        let found = own.run(task.state.clone(), &task.prefix, limit, u64::MAX);
        let result = Done {
            found,
            weights: own.weights,
            nodes: own.nodes,
        };
        done.lock().unwrap_or_else(PoisonError::into_inner)[k] = Some(result);
        changed.notify_all();
    };
    std::thread::scope(|scope| {
        for _ in 1..threads {
            scope.spawn(work);
        }
        work();
    });
    let done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    gather(search, done.into_iter().flatten())
}

/// Branches breadth-first until there are enough tasks.
fn split<R: Real>(
    search: &mut Search<'_, R>,
    root: &State<R>,
    prefix: &[u32],
    limit: R,
    wanted: usize,
) -> Vec<Task<R>> {
    let mut tasks = vec![Task {
        state: root.clone(),
        prefix: prefix.to_vec(),
    }];
    for _ in 0..LEVELS {
        if tasks.len() >= wanted {
            break;
        }
        let level = std::mem::take(&mut tasks);
        for task in level {
            if task.state.vars.is_empty() {
                tasks.push(task);
                continue;
            }
            let below = search.expand(task.state, &task.prefix, limit);
            let below = below.into_iter();
            tasks.extend(below.map(|(state, prefix)| Task { state, prefix }));
        }
    }
    tasks
}

fn gather<R: Real>(search: &mut Search<'_, R>, done: impl Iterator<Item = Done<R>>) -> Found<R> {
    let before = search.weights.clone();
    let mut all = Found {
        best: None,
        complete: true,
        floor: R::BIG,
    };
    for d in done {
        search.nodes += d.nodes;
        search.learn(&before, &d.weights);
        if !d.found.complete {
            all.complete = false;
            all.floor = all.floor.least(d.found.floor);
        }
        if let Some(best) = d.found.best
            && all.best.as_ref().is_none_or(|b| best.0 < b.0)
        {
            all.best = Some(best);
        }
    }
    all
}
