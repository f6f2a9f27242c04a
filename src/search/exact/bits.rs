//! Sets and relations of candidates as bits.

/// A relation between `rows` and `columns`, one bit a pair.
pub(super) struct BitMatrix {
    words: usize,
    bits: Vec<u64>,
}

impl BitMatrix {
    /// The pairs for which `f` holds.
    pub(super) fn new(
        rows: usize,
        columns: usize,
        f: &mut impl FnMut(usize, usize) -> bool,
    ) -> Self {
        let words = columns.div_ceil(64);
        let mut bits = Vec::with_capacity(rows * words);
        for i in 0..rows {
            for first in (0..columns).step_by(64) {
                let last = columns.min(first + 64);
                let word = (first..last).fold(0, |w, j| w | u64::from(f(i, j)) << (j - first));
                bits.push(word);
            }
        }
        Self { words, bits }
    }

    pub(super) fn any(&self) -> bool {
        self.bits.iter().any(|&w| w != 0)
    }

    pub(super) fn get(&self, row: usize, column: usize) -> bool {
        self.bits[row * self.words + column / 64] >> (column % 64) & 1 != 0
    }

    pub(super) fn row(&self, row: usize) -> &[u64] {
        &self.bits[row * self.words..(row + 1) * self.words]
    }

    pub(super) fn row_mut(&mut self, row: usize) -> &mut [u64] {
        &mut self.bits[row * self.words..(row + 1) * self.words]
    }
}

/// The members of a bit set, ascending.
pub(super) fn members(words: &[u64]) -> impl Iterator<Item = usize> {
    words.iter().enumerate().flat_map(|(k, &word)| {
        std::iter::successors((word != 0).then_some(word), |w| {
            let rest = w & (w - 1);
            (rest != 0).then_some(rest)
        })
        .map(move |w| k * 64 + w.trailing_zeros() as usize)
    })
}

/// Number of members of a bit set.
pub(super) fn count(words: &[u64]) -> usize {
    words.iter().map(|w| w.count_ones() as usize).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_relation_gives_back_what_was_put_in() {
        let wanted = |i: usize, j: usize| (i * 31 + j * 17).is_multiple_of(5);
        let m = BitMatrix::new(7, 130, &mut |i, j| wanted(i, j));
        for i in 0..7 {
            let row: Vec<usize> = members(m.row(i)).collect();
            let plain: Vec<usize> = (0..130).filter(|&j| wanted(i, j)).collect();
            assert_eq!(row, plain);
            assert_eq!(count(m.row(i)), plain.len());
            assert!((0..130).all(|j| m.get(i, j) == wanted(i, j)));
        }
    }

    #[test]
    fn nothing_in_it_is_not_any() {
        assert!(!BitMatrix::new(3, 70, &mut |_, _| false).any());
        assert!(BitMatrix::new(3, 70, &mut |i, j| i == 2 && j == 69).any());
        assert_eq!(members(&[]).count(), 0);
    }
}
