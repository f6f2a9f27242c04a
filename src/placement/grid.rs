//! A uniform grid over boxes: who is near, without looking at everyone.

use crate::geom::{Axis, Box3, Length};
use std::collections::BTreeMap;

/// Edge of a cell. Parts of this trade are 10 to 300 mm long, so most cover a
/// handful of cells.
const CELL: Length = Length::mm(128);

/// A box that would cover more cells than this is kept in a plain list instead,
/// so that no input can ask for unbounded memory.
const MOST_CELLS: i64 = 512;

type Cell = [i64; 3];

/// Boxes by cell. Keys are small numbers chosen by the owner of the grid.
#[derive(Clone, Debug, Default)]
pub(crate) struct Grid {
    cells: BTreeMap<Cell, Vec<u32>>,
    large: Vec<u32>,
    boxes: BTreeMap<u32, Box3>,
}

impl Grid {
    /// Puts a box in, in place of the one under the same key.
    pub fn insert(&mut self, key: u32, b: Box3) {
        self.remove(key);
        self.boxes.insert(key, b);
        match cells(&b) {
            Some((low, high)) => each(low, high, |cell| {
                self.cells.entry(cell).or_default().push(key);
            }),
            None => self.large.push(key),
        }
    }

    /// Takes the box with this key out, where there is one.
    pub fn remove(&mut self, key: u32) {
        let Some(b) = self.boxes.remove(&key) else {
            return;
        };
        match cells(&b) {
            Some((low, high)) => each(low, high, |cell| {
                if let Some(keys) = self.cells.get_mut(&cell) {
                    keys.retain(|k| *k != key);
                    if keys.is_empty() {
                        self.cells.remove(&cell);
                    }
                }
            }),
            None => self.large.retain(|k| *k != key),
        }
    }

    /// The keys of all boxes that meet `b`, touching included, in key order.
    pub fn meeting(&self, b: &Box3) -> Vec<u32> {
        let meets = |key: &u32| {
            self.boxes
                .get(key)
                .is_some_and(|other| other.intersection(b).is_some())
        };
        let Some((low, high)) = cells(b) else {
            return self.boxes.keys().copied().filter(meets).collect();
        };
        let mut found: Vec<u32> = self.large.clone();
        each(low, high, |cell| {
            if let Some(keys) = self.cells.get(&cell) {
                found.extend(keys);
            }
        });
        found.sort_unstable();
        found.dedup();
        found.retain(meets);
        found
    }
}

/// First and last cell of a box; `None` where there are too many between them.
fn cells(b: &Box3) -> Option<(Cell, Cell)> {
    let index = |l: Length| l.as_um().div_euclid(CELL.as_um());
    let of = |corner: crate::geom::Vec3| Axis::ALL.map(|a| index(corner.along(a)));
    let (low, high) = (of(b.min()), of(b.max()));
    let mut count = 1i64;
    for (l, h) in low.iter().zip(high) {
        count = count.saturating_mul(h - l + 1);
    }
    (count <= MOST_CELLS).then_some((low, high))
}

fn each(low: Cell, high: Cell, mut visit: impl FnMut(Cell)) {
    for x in low[0]..=high[0] {
        for y in low[1]..=high[1] {
            for z in low[2]..=high[2] {
                visit([x, y, z]);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Vec3;

    fn cube(x: i64, y: i64, z: i64, edge: i64) -> Box3 {
        Box3::at(Vec3::mm(x, y, z), Vec3::mm(edge, edge, edge))
    }

    #[test]
    fn touching_boxes_are_found_and_apart_ones_are_not() {
        let mut grid = Grid::default();
        grid.insert(7, cube(0, 0, 0, 10));
        grid.insert(3, cube(10, 0, 0, 10));
        grid.insert(9, cube(500, 0, 0, 10));
        assert_eq!(grid.meeting(&cube(0, 0, 0, 10)), [3, 7]);
        assert_eq!(grid.meeting(&cube(21, 0, 0, 10)), [] as [u32; 0]);
    }

    #[test]
    fn a_huge_box_costs_no_cells_and_is_still_found() {
        let mut grid = Grid::default();
        grid.insert(1, cube(-50_000, -50_000, -50_000, 100_000));
        grid.insert(2, cube(-70, 0, 0, 10));
        assert!(grid.cells.len() < 10);
        assert_eq!(grid.meeting(&cube(-65, 5, 5, 1)), [1, 2]);
        assert_eq!(grid.meeting(&cube(-40_000, 0, 0, 90_000)), [1, 2]);
        grid.remove(1);
        assert_eq!(grid.meeting(&cube(-65, 5, 5, 1)), [2]);
        grid.remove(2);
        assert!(grid.cells.is_empty() && grid.boxes.is_empty() && grid.large.is_empty());
    }

    #[test]
    fn a_box_put_in_again_has_moved() {
        let mut grid = Grid::default();
        grid.insert(1, cube(0, 0, 0, 10));
        grid.insert(1, cube(300, 0, 0, 10));
        assert_eq!(grid.meeting(&cube(0, 0, 0, 10)), [] as [u32; 0]);
        assert_eq!(grid.meeting(&cube(300, 0, 0, 10)), [1]);
    }
}
