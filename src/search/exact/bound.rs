//! Lower bounds: costs moved between the parts and their pairs until they add up.
//!
//! The cost of an arrangement is `base` + what each chosen value costs by itself + what each
//! pair of chosen values costs. Moving cost from a pair to one of its sides, or from there into
//! another pair, changes no arrangement's cost; what all values of a part have in common may go
//! into `base`. As everything else stays at or above zero, `base` is a lower bound. The order of
//! moves is that of sequential tree-reweighted message passing (Kolmogorov, IEEE PAMI 28 (2006)
//! 1568-1583): parts in turn spread their own costs evenly over the pairs ahead, and each pair
//! hands the least of it on.

use std::sync::Arc;

use super::number::{Real, least_of, least_sum, lower_to, padded};
use super::tables::Tables;

/// Open parts with the values left to each and the costs as moved so far.
#[derive(Clone)]
pub(super) struct State<R> {
    tables: Arc<Tables<R>>,
    /// Open variables, ascending.
    pub(super) vars: Vec<usize>,
    /// Own cost of each value; [`Real::BIG`] where it is ruled out.
    pub(super) cost: Vec<R>,
    /// What each pair has handed to either side; a pair costs its cell minus both shifts.
    pub(super) shift: Vec<R>,
    /// Lower bound so far.
    pub(super) base: R,
}

/// Reusable vectors of one searching thread.
#[derive(Default)]
pub(super) struct Scratch<R> {
    push: Vec<R>,
    take: Vec<R>,
    plus: Vec<R>,
    pub(super) kept: Vec<u32>,
}

impl<R: Real> State<R> {
    pub(super) fn new(
        tables: Arc<Tables<R>>,
        vars: Vec<usize>,
        cost: Vec<R>,
        shift: Vec<R>,
        base: R,
    ) -> Self {
        Self {
            tables,
            vars,
            cost,
            shift,
            base,
        }
    }

    pub(super) fn tables(&self) -> &Tables<R> {
        &self.tables
    }

    pub(super) fn into_tables(self) -> Arc<Tables<R>> {
        self.tables
    }

    /// Share of the work of a sweep that the values not ruled out need, were they by themselves.
    pub(super) fn in_use(&self) -> f64 {
        let t = self.tables();
        let alive = |i: usize| {
            let own = &self.cost[t.values(i)];
            own.iter().filter(|&&c| c < R::FORBIDDEN).count()
        };
        let alive: Vec<usize> = self.vars.iter().map(|&i| alive(i)).collect();
        let (mut now, mut then) = (0, 1);
        for (x, &i) in self.vars.iter().enumerate() {
            for (y, &j) in self.vars.iter().enumerate().skip(x + 1) {
                if t.linked(i, j) {
                    now += alive[x] * padded(alive[y]);
                    then += t.values(i).len() * t.block(j).len();
                }
            }
        }
        now as f64 / then as f64
    }

    /// The same costs for some of the variables only, its own bound starting at nothing.
    pub(super) fn part_of(&self, vars: Vec<usize>) -> Self {
        let (cost, shift) = (self.cost.clone(), self.shift.clone());
        Self::new(self.tables.clone(), vars, cost, shift, R::ZERO)
    }

    /// What is left after `value` (a position in the value vectors) is chosen for variable `i`,
    /// without the values that pass `limit`; `None` if some variable has no value left.
    pub(super) fn choose(&self, i: usize, value: usize, limit: R) -> Option<Self> {
        let t = self.tables();
        let base = self.base + self.cost[value];
        let mut cost = self.cost.clone();
        let row = value - t.block(i).start;
        for &j in self.vars.iter().filter(|&&j| j != i) {
            let mut left = R::BIG;
            let first = t.block(j).start;
            if t.linked(i, j) {
                let less = self.shift[t.shift(i, j)][row];
                let shift_j = &self.shift[t.shift(j, i)];
                for v in t.values(j) {
                    let k = v - first;
                    cost[v] += t.cell(i, j, row, k) - less - shift_j[k];
                }
            }
            for c in &mut cost[t.values(j)] {
                *c = if base + *c > limit { R::BIG } else { *c };
                left = left.least(*c);
            }
            if left >= R::FORBIDDEN {
                return None;
            }
        }
        let vars = self.vars.iter().copied().filter(|&j| j != i).collect();
        let (tables, shift) = (self.tables.clone(), self.shift.clone());
        Some(Self::new(tables, vars, cost, shift, base))
    }

    /// Moves what all values of a variable cost into the bound and rules out the values that
    /// then pass `limit`.
    ///
    /// # Errors
    /// The variable, if the bound passes the limit.
    fn settle(&mut self, i: usize, limit: R) -> Result<(), usize> {
        let block = self.tables.block(i);
        let least = least_of(&self.cost[block.clone()]);
        self.base += least;
        if self.base > limit {
            return Err(i);
        }
        let gap = limit - self.base;
        for c in &mut self.cost[block] {
            let rest = *c - least;
            *c = if rest > gap { R::BIG } else { rest };
        }
        Ok(())
    }

    /// One pass over all variables, in their order or against it.
    ///
    /// # Errors
    /// The variable at which the bound passed `limit`: no arrangement stays within it.
    pub(super) fn sweep(
        &mut self,
        forward: bool,
        limit: R,
        scratch: &mut Scratch<R>,
    ) -> Result<(), usize> {
        let n = self.vars.len();
        for k in 0..n {
            let at = if forward { k } else { n - 1 - k };
            let i = self.vars[at];
            self.settle(i, limit)?;
            let t = &*self.tables;
            let links = |vars: &[usize]| vars.iter().filter(|&&j| t.linked(i, j)).count();
            let (before, after) = (links(&self.vars[..at]), links(&self.vars[at + 1..]));
            let ahead = if forward { after } else { before };
            if ahead == 0 {
                continue;
            }
            let share = R::share(before.max(after));
            scratch.push.clear();
            let own = &self.cost[t.block(i)];
            scratch.push.extend(own.iter().map(|&c| {
                if c >= R::FORBIDDEN {
                    R::ZERO
                } else {
                    (c * share).floor()
                }
            }));
            for step in 1..n {
                let next = if forward {
                    at.checked_add(step).filter(|&x| x < n)
                } else {
                    at.checked_sub(step)
                };
                let Some(next) = next else { break };
                let j = self.vars[next];
                if self.tables.linked(i, j) {
                    self.push(i, j, scratch);
                    self.pull(i, j, scratch);
                }
            }
        }
        Ok(())
    }

    /// Moves the share of `i`'s own costs into its pair with `j`.
    fn push(&mut self, i: usize, j: usize, scratch: &Scratch<R>) {
        let own = &mut self.cost[self.tables.block(i)];
        let shift = &mut self.shift[self.tables.shift(i, j)];
        for ((own, shift), &push) in own.iter_mut().zip(shift).zip(&scratch.push) {
            let push = push.least(*own).least(*shift + R::MAX_SHIFT);
            let push = if push < R::ZERO { R::ZERO } else { push };
            *shift -= push;
            *own -= push;
        }
    }

    /// Moves the least that each value of `j` costs in its pair with `i` to that value.
    fn pull(&mut self, i: usize, j: usize, scratch: &mut Scratch<R>) {
        let t = &*self.tables;
        let own_i = &self.cost[t.block(i)];
        let shift_i = &self.shift[t.shift(i, j)];
        let Scratch { take, plus, .. } = scratch;
        take.clear();
        take.resize(t.block(j).len(), R::BIG);
        if i < j {
            for ((row, &own), &shift) in t.rows(i, j).zip(own_i).zip(shift_i) {
                if own < R::FORBIDDEN {
                    lower_to(take, row, R::ZERO - shift);
                }
            }
        } else {
            plus.clear();
            plus.extend(own_i.iter().zip(shift_i).map(|(&own, &shift)| {
                if own < R::FORBIDDEN {
                    R::ZERO - shift
                } else {
                    R::BIG
                }
            }));
            let own_j = &self.cost[t.block(j)];
            for ((row, &own), take) in t.rows(j, i).zip(own_j).zip(take.iter_mut()) {
                if own < R::FORBIDDEN {
                    *take = least_sum(row, plus);
                }
            }
        }
        let own = &mut self.cost[t.block(j)];
        let shift = &mut self.shift[t.shift(j, i)];
        for ((own, shift), &least) in own.iter_mut().zip(shift).zip(&*take) {
            // without branches, so that it runs a vector at a time
            let dead = (least >= R::FORBIDDEN) | (*own >= R::FORBIDDEN);
            let gain = (least - *shift).least(R::MAX_SHIFT - *shift);
            let gain = if dead { R::ZERO } else { gain };
            let sum = *own + gain;
            *shift += gain;
            *own = if dead { R::BIG } else { sum };
        }
    }

    /// For each value, a lower bound on what choosing it adds to the bound.
    pub(super) fn look_ahead(&self, gain: &mut Vec<R>, scratch: &mut Scratch<R>) {
        let t = self.tables();
        gain.clear();
        gain.extend_from_slice(&self.cost);
        let Scratch { take, plus, .. } = scratch;
        for (at, &i) in self.vars.iter().enumerate() {
            for &j in &self.vars[at + 1..] {
                if !t.linked(i, j) {
                    continue;
                }
                let (block_i, block_j) = (t.block(i), t.block(j));
                let (shift_i, shift_j) = (&self.shift[t.shift(i, j)], &self.shift[t.shift(j, i)]);
                take.clear();
                take.resize(block_j.len(), R::BIG);
                plus.clear();
                let own_j = &self.cost[block_j.clone()];
                plus.extend(own_j.iter().zip(shift_j).map(|(&own, &shift)| own - shift));
                let own_i = &self.cost[block_i.clone()];
                for (k, row) in t.rows(i, j).enumerate() {
                    if own_i[k] < R::FORBIDDEN {
                        let least = least_sum(row, plus) - shift_i[k];
                        let gain = &mut gain[block_i.start + k];
                        *gain = (*gain + least).least(R::BIG);
                        lower_to(take, row, own_i[k] - shift_i[k]);
                    }
                }
                for ((gain, &least), &shift) in gain[block_j].iter_mut().zip(&*take).zip(shift_j) {
                    *gain = (*gain + (least - shift)).least(R::BIG);
                }
            }
        }
    }
}
