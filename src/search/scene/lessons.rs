//! What trying arrangements taught that the tables do not know.

use std::collections::{BTreeMap, BTreeSet};

/// These movable parts on these bodies cannot be together.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct Never {
    /// Number of the part and its body, by ascending number.
    pub(super) of: Vec<(usize, u32)>,
}

/// What one thing costs more than the tables say, by what it is about.
type More = BTreeMap<String, u64>;

/// All that was learned. Whatever else stands where, each lesson holds.
#[derive(Default)]
pub(super) struct Lessons {
    nevers: Vec<Never>,
    alone: BTreeMap<usize, BTreeMap<u32, More>>,
    pairs: BTreeMap<(usize, usize), BTreeMap<(u32, u32), More>>,
    /// What was looked into already, whatever came of it.
    looked: BTreeSet<(String, Vec<(usize, u32)>)>,
}

impl Lessons {
    /// That parts cannot be together.
    pub(super) fn never(&mut self, never: Never) {
        if !self.nevers.contains(&never) {
            self.nevers.push(never);
        }
    }

    /// True the first time that this is asked of these parts.
    pub(super) fn is_new(&mut self, of: &[(usize, u32)], why: &str) -> bool {
        self.looked.insert((why.to_owned(), of.to_vec()))
    }

    /// That one or two parts on these bodies cost so much more for a reason; true where that
    /// is news. More parts than two are none of the search's costs.
    pub(super) fn costs(&mut self, of: &[(usize, u32)], why: &str, more: u64) -> bool {
        let known = match of {
            [(m, body)] => self.alone.entry(*m).or_default().entry(*body).or_default(),
            [(a, x), (b, y)] => {
                let pair = self.pairs.entry((*a, *b)).or_default();
                pair.entry((*x, *y)).or_default()
            }
            _ => return false,
        };
        let was = known.get(why).copied().unwrap_or(0);
        if more > was {
            known.insert(why.to_owned(), more);
        }
        more > was
    }

    pub(super) fn nevers(&self) -> &[Never] {
        &self.nevers
    }

    /// For each part, what its bodies cost more.
    pub(super) fn alone(&self) -> impl Iterator<Item = (usize, BTreeMap<u32, u64>)> {
        self.alone.iter().map(|(m, by)| (*m, sums(by)))
    }

    /// For each two parts, what their bodies cost more together.
    pub(super) fn pairs(
        &self,
    ) -> impl Iterator<Item = ((usize, usize), BTreeMap<(u32, u32), u64>)> {
        self.pairs.iter().map(|(pair, by)| (*pair, sums(by)))
    }
}

fn sums<K: Copy + Ord>(by: &BTreeMap<K, More>) -> BTreeMap<K, u64> {
    by.iter().map(|(k, m)| (*k, m.values().sum())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lesson_is_news_once_and_reasons_add_up() {
        let mut lessons = Lessons::default();
        assert!(lessons.costs(&[(0, 3)], "way", 5));
        assert!(!lessons.costs(&[(0, 3)], "way", 5), "known");
        assert!(!lessons.costs(&[(0, 3)], "way", 2), "less is no news");
        assert!(lessons.costs(&[(0, 3)], "caution", 7));
        assert!(lessons.costs(&[(0, 3), (2, 1)], "way", 4));
        assert!(
            !lessons.costs(&[(0, 3), (1, 0), (2, 1)], "way", 4),
            "three parts"
        );
        assert!(!lessons.costs(&[], "way", 4));
        assert!(lessons.is_new(&[(0, 3)], "way") && !lessons.is_new(&[(0, 3)], "way"));
        assert!(lessons.is_new(&[(0, 4)], "way") && lessons.is_new(&[(0, 3)], "caution"));
        let alone: Vec<_> = lessons.alone().collect();
        assert_eq!(alone, [(0, BTreeMap::from([(3, 12)]))]);
        let pairs: Vec<_> = lessons.pairs().collect();
        assert_eq!(pairs, [((0, 2), BTreeMap::from([((3, 1), 4)]))]);
    }
}
