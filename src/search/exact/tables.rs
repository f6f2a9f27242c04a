//! Pair costs of the open parts in the layout the bounds work on.

use std::sync::Arc;

use super::bound::State;
use super::number::{Real, padded};
use super::problem::{NEVER, Problem, RuleKind};

/// No pair cost between two variables.
const NO_LINK: usize = usize::MAX;

/// Dense pair costs between `n` variables (parts still open), fixed once built.
///
/// Values of all variables lie one after another in padded blocks, so that one vector holds a
/// figure for each value of each variable. Every linked pair has two more such blocks, its
/// *shifts*: what has been moved from the pair to either side (see [`State`]).
#[derive(Default)]
pub(super) struct Tables<R> {
    pub(super) n: usize,
    /// Part of each variable.
    pub(super) part: Vec<usize>,
    /// Candidate of each value, in the padded blocks.
    pub(super) candidate: Vec<u32>,
    /// Start of each variable's block; the last entry is the length of all blocks.
    start: Vec<usize>,
    /// Number of values of each variable.
    size: Vec<usize>,
    /// Start of the cells of pair (i, j), i < j, at `i * n + j`, or [`NO_LINK`].
    cells_at: Vec<usize>,
    /// Start of the shifts on the side of i of the pair of i and j, at `i * n + j`.
    shifts_at: Vec<usize>,
    shifts: usize,
    cells: Vec<R>,
}

/// What a build starts from: for every open part its candidates left and their own cost.
pub(super) struct Open<'a> {
    pub(super) parts: &'a [usize],
    pub(super) candidates: &'a [Vec<u32>],
    pub(super) cost: &'a [Vec<u64>],
    pub(super) base: u64,
}

impl<R: Real> Tables<R> {
    /// Positions of the values of variable `i` in the value vectors, padding included.
    #[inline]
    pub(super) fn block(&self, i: usize) -> std::ops::Range<usize> {
        self.start[i]..self.start[i + 1]
    }

    /// Positions of the values of variable `i` without the padding.
    #[inline]
    pub(super) fn values(&self, i: usize) -> std::ops::Range<usize> {
        self.start[i]..self.start[i] + self.size[i]
    }

    /// Length of the value vectors.
    pub(super) fn width(&self) -> usize {
        self.start[self.n]
    }

    /// Length of the shift vector.
    pub(super) fn shifts(&self) -> usize {
        self.shifts
    }

    /// Memory that the cells take.
    pub(super) fn bytes(&self) -> usize {
        self.cells.capacity() * size_of::<R>()
    }

    #[inline]
    pub(super) fn linked(&self, i: usize, j: usize) -> bool {
        self.cells_at[i.min(j) * self.n + i.max(j)] != NO_LINK
    }

    /// Positions of the shifts on the side of `i` of a linked pair.
    #[inline]
    pub(super) fn shift(&self, i: usize, j: usize) -> std::ops::Range<usize> {
        let at = self.shifts_at[i * self.n + j];
        at..at + self.start[i + 1] - self.start[i]
    }

    /// Rows of the cells of a linked pair, `i < j`: one row of `j`'s padded width a value of `i`.
    #[inline]
    pub(super) fn rows(&self, i: usize, j: usize) -> std::slice::ChunksExact<'_, R> {
        let at = self.cells_at[i * self.n + j];
        let width = self.start[j + 1] - self.start[j];
        self.cells[at..at + self.size[i] * width].chunks_exact(width)
    }

    /// Cell of a linked pair for value `a` of `i` and `b` of `j`, in either order of `i` and `j`.
    #[inline]
    pub(super) fn cell(&self, i: usize, j: usize, a: usize, b: usize) -> R {
        let (i, j, a, b) = if i < j { (i, j, a, b) } else { (j, i, b, a) };
        let width = self.start[j + 1] - self.start[j];
        self.cells[self.cells_at[i * self.n + j] + a * width + b]
    }

    /// Lays out the blocks for the sizes given; cells are not yet filled, pairs not yet linked.
    fn lay_out(&mut self, sizes: impl IntoIterator<Item = usize>) {
        self.size.clear();
        self.size.extend(sizes);
        self.n = self.size.len();
        self.start.clear();
        self.start.push(0);
        for &s in &self.size {
            self.start
                .push(self.start[self.start.len() - 1] + padded(s));
        }
        self.candidate.clear();
        self.candidate.resize(self.width(), u32::MAX);
        self.cells_at.clear();
        self.cells_at.resize(self.n * self.n, NO_LINK);
        self.shifts_at.clear();
        self.shifts_at.resize(self.n * self.n, 0);
        self.shifts = 0;
        self.cells.clear();
    }

    /// Adds a link between `i < j` whose cells were just pushed from `at` on.
    fn link(&mut self, i: usize, j: usize, at: usize) {
        let n = self.n;
        self.cells_at[i * n + j] = at;
        self.shifts_at[i * n + j] = self.shifts;
        self.shifts += self.block(i).len();
        self.shifts_at[j * n + i] = self.shifts;
        self.shifts += self.block(j).len();
    }

    /// Cells that [`Tables::from_rules`] would need for so many candidates a part.
    pub(super) fn demand(sizes: impl IntoIterator<Item = usize>) -> usize {
        let mut before = 0usize;
        let mut cells = 0usize;
        for s in sizes {
            cells = cells.saturating_add(before.saturating_mul(padded(s)));
            before += s;
        }
        cells
    }

    /// The open parts of a problem, every cost multiplied by `scale` after division by `divisor`.
    pub(super) fn from_rules(
        problem: &Problem,
        open: &Open<'_>,
        divisor: u64,
        scale: u64,
    ) -> State<R> {
        let mut t = Self::default();
        t.lay_out(open.candidates.iter().map(Vec::len));
        t.part.extend_from_slice(open.parts);
        let whole = |c: u64| R::whole(c / divisor * scale);
        let mut cost = vec![R::BIG; t.width()];
        let mut variable = vec![usize::MAX; problem.parts()];
        let mut value: Vec<Vec<u32>> = Vec::with_capacity(t.n);
        for (i, &part) in open.parts.iter().enumerate() {
            variable[part] = i;
            let mut back = vec![u32::MAX; problem.candidates(part)];
            for (k, &c) in open.candidates[i].iter().enumerate() {
                t.candidate[t.start[i] + k] = c;
                cost[t.start[i] + k] = whole(open.cost[i][k]);
                back[c as usize] = k as u32;
            }
            value.push(back);
        }
        for rule in problem.rules() {
            let (a, b) = match &rule.kind {
                RuleKind::One { .. } => continue,
                RuleKind::Clash { a, b, .. } | RuleKind::Pair { a, b, .. } => {
                    (variable[*a], variable[*b])
                }
            };
            if a == usize::MAX || b == usize::MAX {
                continue;
            }
            let (i, j) = (a.min(b), a.max(b));
            let width = padded(t.size[j]);
            if t.cells_at[i * t.n + j] == NO_LINK {
                let at = t.cells.len();
                t.cells.resize(at + t.size[i] * width, R::BIG);
                let plain = t.size[j];
                for row in t.cells[at..].chunks_exact_mut(width) {
                    row[..plain].fill(R::ZERO);
                }
                t.link(i, j, at);
            }
            let at = t.cells_at[i * t.n + j];
            let (step_a, step_b) = if a < b { (width, 1) } else { (1, width) };
            for (row, &c) in open.candidates[a].iter().enumerate() {
                let row = at + row * step_a;
                match &rule.kind {
                    RuleKind::One { .. } => {}
                    RuleKind::Clash { hit, .. } => {
                        for d in super::bits::members(hit.row(c as usize)) {
                            let k = value[b][d];
                            if k != u32::MAX {
                                t.cells[row + k as usize * step_b] = R::BIG;
                            }
                        }
                    }
                    RuleKind::Pair { b: part, cost, .. } => {
                        let width = problem.candidates(*part);
                        let given = &cost[c as usize * width..][..width];
                        for (k, &d) in open.candidates[b].iter().enumerate() {
                            let given = given[d as usize];
                            let plus = if given == NEVER { R::BIG } else { whole(given) };
                            t.cells[row + k * step_b] += plus;
                        }
                    }
                }
            }
        }
        let (vars, shift) = ((0..t.n).collect(), vec![R::ZERO; t.shifts]);
        let base = whole(open.base);
        State::new(Arc::new(t), vars, cost, shift, base)
    }

    /// Fills these tables with what is left of `from`: its variables and the values it has not
    /// ruled out, shifts folded into the cells, pairs above `gap` forbidden, pairs that no
    /// longer matter unlinked.
    pub(super) fn squeeze(&mut self, from: &State<R>, gap: R, kept: &mut Vec<u32>) -> Vec<R> {
        let old = from.tables();
        kept.clear();
        let mut ends = Vec::with_capacity(from.vars.len());
        for &i in &from.vars {
            let alive = |&v: &usize| from.cost[v] < R::FORBIDDEN;
            let first = old.block(i).start;
            kept.extend(old.values(i).filter(alive).map(|v| (v - first) as u32));
            ends.push(kept.len());
        }
        let span = |x: usize| if x == 0 { 0 } else { ends[x - 1] }..ends[x];
        self.lay_out((0..ends.len()).map(|x| span(x).len()));
        self.part.clear();
        self.part.extend(from.vars.iter().map(|&i| old.part[i]));
        let mut cost = vec![R::BIG; self.width()];
        for (x, &i) in from.vars.iter().enumerate() {
            for (k, &v) in kept[span(x)].iter().enumerate() {
                let at = old.block(i).start + v as usize;
                cost[self.start[x] + k] = from.cost[at];
                self.candidate[self.start[x] + k] = old.candidate[at];
            }
        }
        let mut shift_kept = Vec::new();
        for x in 0..self.n {
            for y in x + 1..self.n {
                let (i, j) = (from.vars[x], from.vars[y]);
                if !old.linked(i, j) {
                    continue;
                }
                let at = self.cells.len();
                let width = padded(span(y).len());
                let columns = &kept[span(y)];
                let shift_i = &from.shift[old.shift(i, j)];
                let shift_j = &from.shift[old.shift(j, i)];
                shift_kept.clear();
                shift_kept.extend(columns.iter().map(|&b| shift_j[b as usize]));
                let own_j = &cost[self.start[y]..][..columns.len()];
                let all_rows = &old.cells[old.cells_at[i * old.n + j]..];
                let old_width = old.block(j).len();
                let mut matters = R::ZERO;
                for (k, &a) in kept[span(x)].iter().enumerate() {
                    let row = &all_rows[a as usize * old_width..][..old_width];
                    let less = shift_i[a as usize];
                    let room = gap - cost[self.start[x] + k];
                    let first = self.cells.len();
                    self.cells.resize(first + width, R::BIG);
                    let new = &mut self.cells[first..first + columns.len()];
                    for ((new, &b), &shift) in new.iter_mut().zip(columns).zip(&*shift_kept) {
                        *new = row[b as usize] - shift;
                    }
                    for (new, &own) in new.iter_mut().zip(own_j) {
                        let v = *new - less;
                        let v = if v + own > room { R::BIG } else { v };
                        matters = if v > matters { v } else { matters };
                        *new = v;
                    }
                }
                if matters > R::ZERO {
                    self.link(x, y, at);
                } else {
                    self.cells.truncate(at);
                }
            }
        }
        cost
    }
}
