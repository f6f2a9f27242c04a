//! The relaxed problem: each sink takes one stretch, each place of a source or of
//! a plug is taken once. Solved to the optimum by shortest augmenting paths, after
//! R. Jonker and A. Volgenant, 'A shortest augmenting path algorithm for dense and
//! sparse linear assignment problems', Computing 38 (1987) (from memory).

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// One entry: which column a row may take, at which weight.
#[derive(Clone, Copy, Debug)]
pub struct Entry {
    /// The column.
    pub column: usize,
    /// Its weight; not negative.
    pub weight: i128,
    /// What the caller knows it by.
    pub tag: usize,
}

/// A cheapest assignment with its proof.
pub struct Assigned {
    /// The entry each row takes.
    pub entries: Vec<Entry>,
    /// Prices of rows and of columns: no entry weighs less than its two prices, and
    /// no column's is above zero.
    u: Vec<i128>,
    v: Vec<i128>,
}

impl Assigned {
    /// By how much the whole weight rises at least where a row takes this entry.
    pub fn rise(&self, row: usize, entry: &Entry) -> i128 {
        entry.weight - self.u[row] - self.v[entry.column]
    }
}

/// The cheapest assignment of every row to a column of its own. `None` where some
/// row gets none.
pub fn assign(rows: &[Vec<Entry>], columns: usize) -> Option<Assigned> {
    let mut state = State {
        rows,
        row_of: vec![None; columns],
        entry_of: vec![None; rows.len()],
        u: vec![0; rows.len()],
        v: vec![0; columns],
    };
    for row in 0..rows.len() {
        state.add(row)?;
    }
    let State { entry_of, u, v, .. } = state;
    let entries = entry_of.into_iter().collect::<Option<_>>()?;
    Some(Assigned { entries, u, v })
}

struct State<'a> {
    rows: &'a [Vec<Entry>],
    row_of: Vec<Option<usize>>,
    entry_of: Vec<Option<Entry>>,
    u: Vec<i128>,
    v: Vec<i128>,
}

impl State<'_> {
    /// Brings one more row in, at the least rise of the whole weight.
    fn add(&mut self, start: usize) -> Option<()> {
        self.u[start] = self.rows[start]
            .iter()
            .map(|e| e.weight - self.v[e.column])
            .min()?;
        let mut dist: Vec<Option<i128>> = vec![None; self.v.len()];
        let mut done = vec![false; self.v.len()];
        let mut came: Vec<Option<(usize, Entry)>> = vec![None; self.v.len()];
        let mut heap = BinaryHeap::new();
        let mut settled = Vec::new();
        let mut row = start;
        let mut base = 0;
        let end = loop {
            for e in &self.rows[row] {
                if done[e.column] {
                    continue;
                }
                let d = base + e.weight - self.u[row] - self.v[e.column];
                if dist[e.column].is_none_or(|old| d < old) {
                    dist[e.column] = Some(d);
                    came[e.column] = Some((row, *e));
                    heap.push(Reverse((d, e.column)));
                }
            }
            let (d, column) = loop {
                let Reverse((d, column)) = heap.pop()?;
                if !done[column] {
                    break (d, column);
                }
            };
            done[column] = true;
            base = d;
            match self.row_of[column] {
                Some(next) => {
                    settled.push(column);
                    row = next;
                }
                None => break column,
            }
        };
        for column in settled {
            let rise = base - dist[column].unwrap_or(base);
            self.v[column] -= rise;
            if let Some(row) = self.row_of[column] {
                self.u[row] += rise;
            }
        }
        self.u[start] += base;
        let mut column = end;
        while let Some((row, entry)) = came[column] {
            let before = self.entry_of[row].replace(entry);
            self.row_of[column] = Some(row);
            match before {
                Some(e) => column = e.column,
                None => break,
            }
        }
        Some(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn brute(rows: &[Vec<Entry>], used: &mut Vec<bool>, row: usize) -> Option<i128> {
        let Some(entries) = rows.get(row) else {
            return Some(0);
        };
        let mut best = None;
        for e in entries {
            if std::mem::replace(&mut used[e.column], true) {
                continue;
            }
            if let Some(rest) = brute(rows, used, row + 1) {
                let all = rest + e.weight;
                best = Some(best.map_or(all, |b: i128| b.min(all)));
            }
            used[e.column] = false;
        }
        best
    }

    proptest! {
        #[test]
        fn as_cheap_as_trying_all(rows in prop::collection::vec(
            prop::collection::btree_map(0_usize..7, 0_i128..40, 0..6), 1..6)
        ) {
            let rows: Vec<Vec<Entry>> = rows
                .iter()
                .map(|r| {
                    let entry = |(c, w): (&usize, &i128)| Entry { column: *c, weight: *w, tag: *c };
                    r.iter().map(entry).collect()
                })
                .collect();
            let found = assign(&rows, 7);
            let weight = found.as_ref().map(|f| f.entries.iter().map(|e| e.weight).sum::<i128>());
            prop_assert_eq!(weight, brute(&rows, &mut vec![false; 7], 0));
            if let Some(found) = found {
                let mut columns: Vec<usize> = found.entries.iter().map(|e| e.column).collect();
                columns.sort_unstable();
                columns.dedup();
                prop_assert_eq!(columns.len(), rows.len());
                // The prices prove it: complementary slackness.
                prop_assert!(found.v.iter().all(|v| *v <= 0));
                for (row, entries) in rows.iter().enumerate() {
                    prop_assert!(entries.iter().all(|e| found.rise(row, e) >= 0));
                    prop_assert_eq!(found.rise(row, &found.entries[row]), 0);
                }
            }
        }
    }
}
