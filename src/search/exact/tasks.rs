//! A search split into tasks, most promising first, for one thread or several.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Condvar, Mutex, PoisonError};

use super::bound::State;
use super::branch::{Found, Search};
use super::number::Real;

/// Tasks wanted, and for each further thread; the deepest level they are made at.
const TASKS: usize = 16;
const LEVELS: usize = 3;
/// Tasks that are looked into for something better before a long run.
const DIVES: usize = 16;
/// Bytes of tables that the tasks may keep between them.
const KEPT_BYTES: usize = 64 << 20;

struct Task<R> {
    /// Candidates chosen so far.
    prefix: Vec<u32>,
    /// What is left; derived again for each run where it would take too much memory.
    state: Option<State<R>>,
    /// Nothing in it costs less.
    low: R,
}

/// All of a problem that may lie within some limit, in pieces.
pub(super) struct Tasks<R> {
    root: State<R>,
    prefix: Vec<u32>,
    tasks: Vec<Task<R>>,
}

struct Done<R> {
    found: Found<R>,
    weights: Vec<f64>,
    nodes: u64,
}

impl<R: Real> Tasks<R> {
    /// Branches breadth-first until there are enough tasks, and sorts them by their bound.
    pub(super) fn new(
        search: &mut Search<'_, R>,
        root: State<R>,
        prefix: &[u32],
        limit: R,
        threads: usize,
    ) -> Self {
        let mut tasks = vec![(root.clone(), prefix.to_vec())];
        for _ in 0..LEVELS {
            if tasks.len() >= TASKS * threads {
                break;
            }
            let level = std::mem::take(&mut tasks);
            for (state, prefix) in level {
                if state.vars.is_empty() {
                    tasks.push((state, prefix));
                } else {
                    tasks.extend(search.expand(state, &prefix, limit));
                }
            }
        }
        let mut kept = 0;
        let mut tasks: Vec<Task<R>> = (tasks.into_iter())
            .map(|(state, prefix)| {
                kept += state.tables().bytes();
                let low = state.base;
                let state = (kept <= KEPT_BYTES).then_some(state);
                Task { prefix, state, low }
            })
            .collect();
        tasks.sort_by(|a, b| a.low.float().total_cmp(&b.low.float()));
        let prefix = prefix.to_vec();
        Self {
            root,
            prefix,
            tasks,
        }
    }

    /// Searches all tasks within `limit`; gives up where one of them takes more than `budget`
    /// nodes.
    ///
    /// Tasks are taken in order. Each knows the best cost of the tasks up to `threads` before it
    /// and of no later one, so that what it finds does not depend on how fast the others are.
    pub(super) fn run(
        &mut self,
        search: &mut Search<'_, R>,
        limit: R,
        budget: u64,
        threads: usize,
    ) -> Found<R> {
        let mut all = Found {
            best: None,
            complete: true,
            floor: R::BIG,
        };
        if threads <= 1 {
            let mut limit = limit;
            for k in 0..self.tasks.len() {
                let budget = if all.complete { budget } else { 0 };
                let found = self.search_one(k, search, limit, budget);
                if let Some((cost, _)) = &found.best {
                    limit = *cost - search.unit();
                }
                self.gather(k, found, limit + search.unit(), &mut all);
            }
            return all;
        }
        let before = search.weights.clone();
        for (k, done) in self
            .run_on(search, limit, budget, threads)
            .into_iter()
            .enumerate()
        {
            search.nodes += done.nodes;
            search.learn(&before, &done.weights);
            self.gather(k, done.found, limit + search.unit(), &mut all);
        }
        all
    }

    /// Looks for anything within `limit` in the most promising tasks, for at most `nodes` nodes
    /// in all.
    pub(super) fn dive(&self, search: &mut Search<'_, R>, limit: R, nodes: u64) -> Option<R> {
        let mut best = None;
        let budget = nodes / DIVES as u64;
        for task in self.tasks.iter().take(DIVES) {
            let limit = best.map_or(limit, |b| b - search.unit());
            if let Some(state) = self.state(task, limit) {
                let found = search.run(state, &task.prefix, limit, budget);
                best = found.best.map(|b| b.0).or(best);
            }
        }
        best
    }

    fn run_on(
        &self,
        search: &Search<'_, R>,
        limit: R,
        budget: u64,
        threads: usize,
    ) -> Vec<Done<R>> {
        let next = AtomicUsize::new(0);
        let done: Mutex<Vec<Option<Done<R>>>> =
            Mutex::new(self.tasks.iter().map(|_| None).collect());
        let changed = Condvar::new();
        let work = || loop {
            let k = next.fetch_add(1, Ordering::Relaxed);
            if k >= self.tasks.len() {
                break;
            }
            let known = (k + 1).saturating_sub(threads);
            let mut held = done.lock().unwrap_or_else(PoisonError::into_inner);
            while held[..known].iter().any(Option::is_none) {
                held = changed.wait(held).unwrap_or_else(PoisonError::into_inner);
            }
            let before = held[..known].iter().flatten();
            let given_up = before.clone().any(|d| !d.found.complete);
            let budget = if given_up { 0 } else { budget };
            let best = before.filter_map(|d| d.found.best.as_ref().map(|b| b.0 - search.unit()));
            let limit = best.fold(limit, R::least);
            drop(held);
            let mut own = search.fork();
            let result = Done {
                found: self.search_one(k, &mut own, limit, budget),
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
        done.into_iter().flatten().collect()
    }

    fn search_one(&self, k: usize, search: &mut Search<'_, R>, limit: R, budget: u64) -> Found<R> {
        let task = &self.tasks[k];
        match self.state(task, limit) {
            Some(state) => search.run(state, &task.prefix, limit, budget),
            None => Found {
                best: None,
                complete: true,
                floor: R::BIG,
            },
        }
    }

    /// Where a task starts; `None` if it has nothing within the limit.
    fn state(&self, task: &Task<R>, limit: R) -> Option<State<R>> {
        let kept = || task.state.clone().or_else(|| self.derive(task, limit));
        (task.low <= limit).then(kept).flatten()
    }

    /// The state of a task whose own was not kept; `None` if it has nothing within the limit.
    fn derive(&self, task: &Task<R>, limit: R) -> Option<State<R>> {
        let mut state = self.root.clone();
        for i in self.root.vars.clone() {
            let t = self.root.tables();
            let part = t.part[i];
            if task.prefix[part] != self.prefix[part] {
                let value = t.values(i).find(|&v| t.candidate[v] == task.prefix[part])?;
                state = state.choose(i, value, limit)?;
            }
        }
        Some(state)
    }

    /// Adds what one task gave to what all gave; `limit` is what it was searched to.
    fn gather(&mut self, k: usize, found: Found<R>, limit: R, all: &mut Found<R>) {
        let task = &mut self.tasks[k];
        if found.complete {
            task.low = if limit > task.low { limit } else { task.low };
        } else {
            all.complete = false;
            let floor = if found.floor > task.low {
                found.floor
            } else {
                task.low
            };
            all.floor = all.floor.least(floor);
        }
        if let Some(best) = found.best
            && all.best.as_ref().is_none_or(|b| best.0 < b.0)
        {
            all.best = Some(best);
        }
    }
}
