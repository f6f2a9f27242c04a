//! Which of many boxes overlap: columns over two axes, each swept along the third.

use super::Aabb;

/// Columns along one axis at most.
const MOST_LINES: usize = u16::MAX as usize;

/// A box in a column, small enough that a sweep stays in the cache: along the sweep axis and the
/// two across, rounded outwards, so that nothing that overlaps is missed.
#[derive(Clone, Copy, Debug, Default)]
struct Entry {
    lo: f32,
    hi: f32,
    across: [[f32; 2]; 2],
    body: u32,
    /// The first column that the box reaches into.
    first: [u16; 2],
}

/// Where the entries of a column lie in the common list.
#[derive(Clone, Copy, Debug, Default)]
struct Stretch {
    from: u32,
    len: u32,
    room: u32,
}

/// Boxes sorted into columns about as wide as a box, each in all columns that it reaches into.
/// Space outside belongs to the columns at the border.
///
/// There are at most about as many columns as boxes and, as the width follows the mean, at most
/// `n * sqrt(n)` entries.
#[derive(Clone, Debug)]
pub(super) struct Columns {
    /// The two axes across the columns and the one along them.
    axes: [usize; 3],
    lo: [f64; 2],
    per_unit: [f64; 2],
    dims: [usize; 2],
    /// Entries column by column, those of each by `lo`.
    entry: Vec<Entry>,
    column: Vec<Stretch>,
    /// Room to work in: each box as it goes into its columns, and the order along the sweep.
    ready: Vec<(Entry, Range)>,
    by_lo: Vec<u64>,
}

/// The first and the last column that a box reaches into, along both axes across.
type Range = [[u16; 2]; 2];

impl Columns {
    /// Sorts all boxes in; empty ones are nowhere.
    pub fn new(boxes: &[Aabb]) -> Self {
        let mut columns = Self {
            axes: [0, 1, 2],
            lo: [0.0; 2],
            per_unit: [0.0; 2],
            dims: [1, 1],
            entry: Vec::new(),
            column: Vec::new(),
            ready: Vec::new(),
            by_lo: Vec::new(),
        };
        columns.lay(boxes);
        columns
    }

    /// Sorts all boxes in anew, in the room that there is.
    pub fn lay(&mut self, boxes: &[Aabb]) {
        let (mut all, mut sum, mut count) = (Aabb::EMPTY, [0.0; 3], 0_usize);
        for b in boxes.iter().filter(|b| !b.is_empty()) {
            all = all.union(b);
            count += 1;
            for (k, sum) in sum.iter_mut().enumerate() {
                *sum += b.hi[k] - b.lo[k];
            }
        }
        let span = |k: usize| {
            if count == 0 {
                0.0
            } else {
                all.hi[k] - all.lo[k]
            }
        };
        let mean = |k: usize| (sum[k] / count.max(1) as f64).max(f64::MIN_POSITIVE);
        let fit: [f64; 3] = std::array::from_fn(|k| (span(k) / mean(k)).max(1.0));
        // Sweep where there is most room to tell boxes apart.
        let mut axes = [0, 1, 2];
        axes.sort_by(|i, j| fit[*i].total_cmp(&fit[*j]));
        let [u, v, _] = axes;
        let most = count as f64 + 16.0;
        let shrink = (most / (fit[u] * fit[v])).sqrt().min(1.0);
        let lines = MOST_LINES.min(boxes.len() + 16);
        let dims = [u, v].map(|k| ((fit[k] * shrink) as usize).clamp(1, lines));
        let per_unit = [(u, dims[0]), (v, dims[1])].map(|(k, dim)| {
            if span(k) > 0.0 {
                dim as f64 / span(k)
            } else {
                0.0
            }
        });
        self.lo = [0.0; 2];
        if count > 0 {
            self.lo = [all.lo[u], all.lo[v]];
        }
        (self.axes, self.per_unit, self.dims) = (axes, per_unit, dims);
        self.column.clear();
        self.column.resize(dims[0] * dims[1], Stretch::default());
        let mut from = 0;
        self.ready.clear();
        self.by_lo.clear();
        for (i, b) in (0..).zip(boxes) {
            let ready = self.ready(i, b);
            self.ready.push(ready);
            if b.is_empty() {
                continue;
            }
            self.by_lo
                .push(u64::from(rising(ready.0.lo)) << 32 | u64::from(i));
            for at in cells(ready.1, self.dims[0]) {
                self.column[at].room += 1;
            }
        }
        for c in &mut self.column {
            // One more, so that the first body moved in finds a place.
            c.room += 1;
            c.from = from;
            from += c.room;
        }
        // What lies between the columns does not matter.
        self.entry.resize(from as usize, Entry::default());
        // Sorted once, bodies fill every column in order.
        self.by_lo.sort_unstable();
        for i in &self.by_lo {
            let (entry, range) = self.ready[*i as u32 as usize];
            for at in cells(range, self.dims[0]) {
                let c = &mut self.column[at];
                self.entry[(c.from + c.len) as usize] = entry;
                c.len += 1;
            }
        }
    }

    /// Index of the column line that holds coordinate `c` across axis `i`.
    #[inline]
    fn line(&self, i: usize, c: f64) -> usize {
        // The cast saturates: what lies outside falls to the border, what is no number to 0.
        (((c - self.lo[i]) * self.per_unit[i]) as usize).min(self.dims[i] - 1)
    }

    #[inline]
    fn ready(&self, body: u32, b: &Aabb) -> (Entry, Range) {
        let [u, v, w] = self.axes;
        let range = self.range(b);
        let entry = Entry {
            lo: under(b.lo[w]),
            hi: over(b.hi[w]),
            across: [u, v].map(|k| [under(b.lo[k]), over(b.hi[k])]),
            body,
            first: [range[0][0], range[1][0]],
        };
        (entry, range)
    }

    #[inline]
    fn range(&self, b: &Aabb) -> Range {
        let line = |i: usize, c: f64| self.line(i, c) as u16;
        let [u, v, _] = self.axes;
        [
            [line(0, b.lo[u]), line(0, b.hi[u])],
            [line(1, b.lo[v]), line(1, b.hi[v])],
        ]
    }

    /// The columns that a box reaches into.
    #[inline]
    fn reach(&self, b: &Aabb) -> impl Iterator<Item = usize> + use<> {
        cells(self.range(b), self.dims[0])
    }

    /// Where the entries of a column lie.
    #[inline]
    fn here(&self, at: usize) -> std::ops::Range<usize> {
        let c = self.column[at];
        c.from as usize..(c.from + c.len) as usize
    }

    /// Puts a box in.
    pub fn insert(&mut self, body: u32, b: &Aabb) {
        if b.is_empty() {
            return;
        }
        let (entry, range) = self.ready(body, b);
        for at in cells(range, self.dims[0]) {
            let here = self.here(at);
            let c = &mut self.column[at];
            if c.len == c.room {
                // Full: the column goes to the end of the list, with room to grow.
                let from = self.entry.len();
                self.entry.extend_from_within(here);
                c.room = 2 * c.len + 2;
                c.from = from as u32;
                let end = from + c.room as usize;
                self.entry.resize(end, Entry::default());
            }
            let from = c.from as usize;
            c.len += 1;
            let column = &mut self.entry[from..from + c.len as usize];
            let last = column.len() - 1;
            let place = column[..last].partition_point(|e| e.lo < entry.lo);
            column.copy_within(place..last, place + 1);
            column[place] = entry;
        }
    }

    /// Takes a box out; `b` is the box that was put in.
    pub fn remove(&mut self, body: u32, b: &Aabb) {
        if b.is_empty() {
            return;
        }
        let lo = under(b.lo[self.axes[2]]);
        for at in self.reach(b) {
            let here = self.here(at);
            let column = &mut self.entry[here];
            let from = column.partition_point(|e| e.lo < lo);
            if let Some(i) = column[from..].iter().position(|e| e.body == body) {
                column.copy_within(from + i + 1.., from + i);
                self.column[at].len -= 1;
            }
        }
    }

    /// Every box once, neighbours near one another in the list; empty ones are left out.
    pub fn in_order(&self) -> impl Iterator<Item = u32> + '_ {
        (0..self.column.len()).flat_map(move |at| {
            let here = self.first(at);
            let starts = move |e: &&Entry| e.first == here;
            let entries = self.entry[self.here(at)].iter();
            entries.filter(starts).map(|e| e.body)
        })
    }

    #[inline]
    fn first(&self, at: usize) -> [u16; 2] {
        [(at % self.dims[0]) as u16, (at / self.dims[0]) as u16]
    }

    /// How many columns there are.
    pub fn len(&self) -> usize {
        self.column.len()
    }

    /// The pairs of one column, the lower index in the upper half: boxes whose insides overlap,
    /// and a few that only touch. Over all columns each pair comes once, and neighbours near one
    /// another.
    pub fn pairs(&self, at: usize, most: usize, pairs: &mut Vec<u64>) {
        let here = self.first(at);
        let column = &self.entry[self.here(at)];
        let mut count = 0;
        for (i, e) in column.iter().enumerate() {
            let ahead = &column[i + 1..];
            let run = ahead.iter().take_while(|f| f.lo < e.hi).count();
            if pairs.len() < count + run {
                pairs.resize(2 * (count + run), 0);
            }
            for f in &ahead[..run] {
                // Two boxes may share several columns: the first of them counts.
                let first = (e.first[0].max(f.first[0]) == here[0])
                    & (e.first[1].max(f.first[1]) == here[1]);
                let [[u0, u1], [v0, v1]] = e.across;
                let [[s0, s1], [t0, t1]] = f.across;
                let meet = (u0 < s1) & (s0 < u1) & (v0 < t1) & (t0 < v1);
                let (lo, hi) = (e.body.min(f.body), e.body.max(f.body));
                // Written whether it counts or not: a branch here would be a guess.
                pairs[count] = u64::from(lo) << 32 | u64::from(hi);
                count += usize::from(meet & first);
            }
            if count > most {
                break;
            }
        }
        pairs.truncate(count);
    }

    /// The boxes whose insides overlap that of `b`, ascending, `body` itself left out.
    pub fn around(&self, body: u32, b: &Aabb, boxes: &[Aabb]) -> Vec<u32> {
        let mut found = Vec::new();
        if b.is_empty() {
            return found;
        }
        let w = self.axes[2];
        let (lo, hi) = (under(b.lo[w]), over(b.hi[w]));
        for at in self.reach(b) {
            let column = self.entry[self.here(at)].iter();
            for e in column.take_while(|e| e.lo < hi) {
                if e.hi > lo && e.body != body && b.within(&boxes[e.body as usize], 0.0) {
                    found.push(e.body);
                }
            }
        }
        found.sort_unstable();
        found.dedup();
        found
    }
}

/// The columns of a range.
#[inline]
fn cells([[u0, u1], [v0, v1]]: Range, row: usize) -> impl Iterator<Item = usize> {
    (v0..=v1).flat_map(move |v| (u0..=u1).map(move |u| usize::from(v) * row + usize::from(u)))
}

/// A whole number for each float, in the same order.
fn rising(c: f32) -> u32 {
    let bits = c.to_bits();
    if bits >> 31 == 0 {
        bits | 1 << 31
    } else {
        !bits
    }
}

/// A little less at most.
fn under(c: f64) -> f32 {
    let near = c as f32;
    if f64::from(near) > c {
        near.next_down()
    } else {
        near
    }
}

/// A little more at most.
fn over(c: f64) -> f32 {
    let near = c as f32;
    if f64::from(near) < c {
        near.next_up()
    } else {
        near
    }
}
