//! Which of many boxes overlap: columns over two axes, each swept along the third.

use super::Aabb;

/// A box in a column: its interval along the sweep axis, and whose it is.
#[derive(Clone, Copy, Debug)]
struct Entry {
    lo: f64,
    hi: f64,
    body: u32,
    /// The first column that the box reaches into.
    first: [u32; 2],
}

/// Boxes sorted into columns about as wide as a box, each in all columns that it reaches into.
/// Space outside belongs to the columns at the border.
///
/// Boxes are known by index and handed in with every call, so that they are stored once.
/// There are at most about as many columns as boxes and, as the width follows the mean, at most
/// `n * sqrt(n)` entries.
#[derive(Clone, Debug)]
pub(super) struct Columns {
    /// The two axes across the columns and the one along them.
    axes: [usize; 3],
    lo: [f64; 2],
    per_unit: [f64; 2],
    dims: [usize; 2],
    /// Entries of each column by `lo`.
    column: Vec<Vec<Entry>>,
}

impl Columns {
    /// Sorts all boxes in; empty ones are nowhere.
    pub fn new(boxes: &[Aabb]) -> Self {
        let full = || boxes.iter().filter(|b| !b.is_empty());
        let count = full().count();
        let all = full().fold(Aabb::EMPTY, |all, b| all.union(b));
        let span = |k: usize| {
            if count == 0 {
                0.0
            } else {
                all.hi[k] - all.lo[k]
            }
        };
        let mean = |k: usize| {
            let sum: f64 = full().map(|b| b.hi[k] - b.lo[k]).sum();
            (sum / count.max(1) as f64).max(f64::MIN_POSITIVE)
        };
        let fit: [f64; 3] = std::array::from_fn(|k| (span(k) / mean(k)).max(1.0));
        // Sweep where there is most room to tell boxes apart.
        let mut axes = [0, 1, 2];
        axes.sort_by(|i, j| fit[*i].total_cmp(&fit[*j]));
        let [u, v, _] = axes;
        let most = count as f64 + 16.0;
        let shrink = (most / (fit[u] * fit[v])).sqrt().min(1.0);
        let dims = [u, v].map(|k| ((fit[k] * shrink) as usize).clamp(1, boxes.len() + 16));
        let per_unit = [(u, dims[0]), (v, dims[1])].map(|(k, dim)| {
            if span(k) > 0.0 {
                dim as f64 / span(k)
            } else {
                0.0
            }
        });
        let mut columns = Self {
            axes,
            lo: if count == 0 {
                [0.0; 2]
            } else {
                [all.lo[u], all.lo[v]]
            },
            per_unit,
            dims,
            column: vec![Vec::new(); dims[0] * dims[1]],
        };
        let w = axes[2];
        let mut order: Vec<(f64, u32)> = (0..)
            .zip(boxes)
            .filter(|(_, b)| !b.is_empty())
            .map(|(i, b)| (b.lo[w], i))
            .collect();
        order.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
        let mut room = vec![0; columns.column.len()];
        for b in boxes.iter().filter(|b| !b.is_empty()) {
            columns.reach(b).for_each(|at| room[at] += 1);
        }
        for (column, room) in columns.column.iter_mut().zip(room) {
            // One more, so that the first body moved in finds a place.
            column.reserve_exact(room + 1);
        }
        for (_, body) in order {
            let b = &boxes[body as usize];
            let entry = columns.entry(body, b);
            for at in columns.reach(b) {
                columns.column[at].push(entry);
            }
        }
        columns
    }

    /// Index of the column line that holds coordinate `c` across axis `i`.
    #[inline]
    fn line(&self, i: usize, c: f64) -> usize {
        // The cast saturates: what lies outside falls to the border, what is no number to 0.
        (((c - self.lo[i]) * self.per_unit[i]) as usize).min(self.dims[i] - 1)
    }

    fn entry(&self, body: u32, b: &Aabb) -> Entry {
        let [u, v, w] = self.axes;
        Entry {
            lo: b.lo[w],
            hi: b.hi[w],
            body,
            first: [self.line(0, b.lo[u]) as u32, self.line(1, b.lo[v]) as u32],
        }
    }

    /// The columns that a box reaches into.
    #[inline]
    fn reach(&self, b: &Aabb) -> impl Iterator<Item = usize> + use<> {
        let [u, v, _] = self.axes;
        let (u0, u1) = (self.line(0, b.lo[u]), self.line(0, b.hi[u]));
        let (v0, v1) = (self.line(1, b.lo[v]), self.line(1, b.hi[v]));
        let row = self.dims[0];
        (v0..=v1).flat_map(move |v| (u0..=u1).map(move |u| v * row + u))
    }

    /// Puts a box in.
    pub fn insert(&mut self, body: u32, b: &Aabb) {
        if b.is_empty() {
            return;
        }
        let entry = self.entry(body, b);
        for at in self.reach(b) {
            let column = &mut self.column[at];
            let place = column.partition_point(|e| e.lo < entry.lo);
            column.insert(place, entry);
        }
    }

    /// Takes a box out; `b` is the box that was put in.
    pub fn remove(&mut self, body: u32, b: &Aabb) {
        if b.is_empty() {
            return;
        }
        let lo = b.lo[self.axes[2]];
        for at in self.reach(b) {
            let column = &mut self.column[at];
            let from = column.partition_point(|e| e.lo < lo);
            if let Some(i) = column[from..].iter().position(|e| e.body == body) {
                column.remove(from + i);
            }
        }
    }

    /// All pairs of boxes whose insides overlap, the lower index in the upper half; ascending.
    /// Once there are more than `most`, some of them.
    pub fn pairs(&self, boxes: &[Aabb], most: usize) -> Vec<u64> {
        let mut pairs = vec![0; 4 * boxes.len() + 64];
        let mut count = 0;
        for (at, column) in self.column.iter().enumerate() {
            let here = [(at % self.dims[0]) as u32, (at / self.dims[0]) as u32];
            for (i, e) in column.iter().enumerate() {
                let a = &boxes[e.body as usize];
                let ahead = &column[i + 1..];
                let run = ahead.iter().take_while(|f| f.lo < e.hi).count();
                if count > most {
                    break;
                }
                if pairs.len() < count + run {
                    pairs.resize(2 * pairs.len() + run, 0);
                }
                for f in &ahead[..run] {
                    let b = &boxes[f.body as usize];
                    // Two boxes may share several columns: the first of them counts.
                    let first = (e.first[0].max(f.first[0]) == here[0])
                        & (e.first[1].max(f.first[1]) == here[1]);
                    let (lo, hi) = (e.body.min(f.body), e.body.max(f.body));
                    // Written whether it counts or not: a branch here would be a guess.
                    pairs[count] = u64::from(lo) << 32 | u64::from(hi);
                    count += usize::from(a.within(b, 0.0) & first);
                }
            }
        }
        pairs.truncate(count);
        pairs.sort_unstable();
        pairs
    }

    /// The boxes whose insides overlap that of `b`, ascending, `body` itself left out.
    pub fn around(&self, body: u32, b: &Aabb, boxes: &[Aabb]) -> Vec<u32> {
        let mut found = Vec::new();
        if b.is_empty() {
            return found;
        }
        let w = self.axes[2];
        for at in self.reach(b) {
            for e in self.column[at].iter().take_while(|e| e.lo < b.hi[w]) {
                if e.hi > b.lo[w] && e.body != body && b.within(&boxes[e.body as usize], 0.0) {
                    found.push(e.body);
                }
            }
        }
        found.sort_unstable();
        found.dedup();
        found
    }
}
