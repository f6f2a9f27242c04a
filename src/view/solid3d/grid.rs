//! Finds what may lie over one another: a raster of cells over the picture.

use super::seen::P2;

/// Cells along each side.
const CELLS: usize = 48;

/// Rectangles by the cells that they reach into.
pub(crate) struct Cells {
    low: P2,
    step: P2,
    bounds: Vec<[P2; 2]>,
    cells: Vec<Vec<u32>>,
}

impl Cells {
    /// The raster over these rectangles.
    pub fn new(bounds: impl Iterator<Item = [P2; 2]>) -> Cells {
        let bounds: Vec<[P2; 2]> = bounds.collect();
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for [a, b] in &bounds {
            for k in 0..2 {
                low[k] = low[k].min(a[k]);
                high[k] = high[k].max(b[k]);
            }
        }
        let step = [0, 1].map(|k| ((high[k] - low[k]) / CELLS as f64).max(1e-9));
        let mut grid = Cells {
            low,
            step,
            bounds: Vec::new(),
            cells: vec![Vec::new(); CELLS * CELLS],
        };
        for (i, b) in bounds.iter().enumerate() {
            let [(x0, x1), (y0, y1)] = grid.span(*b);
            for y in y0..=y1 {
                for x in x0..=x1 {
                    grid.cells[y * CELLS + x].push(i as u32);
                }
            }
        }
        grid.bounds = bounds;
        grid
    }

    fn span(&self, b: [P2; 2]) -> [(usize, usize); 2] {
        [0, 1].map(|k| {
            let cell =
                |v: f64| ((v - self.low[k]) / self.step[k]).clamp(0.0, (CELLS - 1) as f64) as usize;
            (cell(b[0][k]), cell(b[1][k]))
        })
    }

    /// The rectangles that meet one, in their order.
    pub fn near(&self, b: [P2; 2]) -> Vec<u32> {
        let [(x0, x1), (y0, y1)] = self.span(b);
        let mut found: Vec<u32> = Vec::new();
        for y in y0..=y1 {
            for x in x0..=x1 {
                let here = self.cells[y * CELLS + x].iter().copied();
                found.extend(here.filter(|i| {
                    let o = self.bounds[*i as usize];
                    (0..2).all(|k| o[0][k] <= b[1][k] && b[0][k] <= o[1][k])
                }));
            }
        }
        found.sort_unstable();
        found.dedup();
        found
    }
}
