//! How much of a way is left, at least about: steps through the free cells of the room.

use super::Wind;
use crate::route::free::Point;

/// Cells of the room, about, in which the length left is worked out.
const CELLS: f64 = 40_000.0;
/// Steps along the axes are so much longer than the way, in the middle.
const ALONG: f64 = 0.75;

/// How far it is to the goal at least through the free space, in steps along the axes.
pub(super) struct Rest {
    low: Point,
    step: f64,
    size: [usize; 3],
    steps: Vec<u16>,
}

impl Rest {
    pub fn new(wind: &Wind, goals: impl Iterator<Item = Point>) -> Rest {
        let [low, high] = wind.bounds;
        let volume: f64 = (0..3).map(|k| high[k] - low[k]).product();
        let step = (volume / CELLS).cbrt().max(0.2 * wind.radius);
        let size: [usize; 3] =
            std::array::from_fn(|k| (((high[k] - low[k]) / step).ceil() as usize).max(1));
        let mut rest = Rest {
            low,
            step,
            size,
            steps: vec![u16::MAX; size.iter().product()],
        };
        let mut solid = vec![false; rest.steps.len()];
        for b in wind.boxes {
            // Cells whose middle is inside.
            let [lo, hi]: [[usize; 3]; 2] = [
                std::array::from_fn(|k| {
                    ((b[0][k] - wind.half - low[k]) / step - 0.5)
                        .ceil()
                        .max(0.0) as usize
                }),
                std::array::from_fn(|k| {
                    let most = ((b[1][k] + wind.half - low[k]) / step - 0.5)
                        .ceil()
                        .max(0.0);
                    (most as usize).min(size[k])
                }),
            ];
            for z in lo[2]..hi[2] {
                for y in lo[1]..hi[1] {
                    for x in lo[0]..hi[0] {
                        solid[(z * size[1] + y) * size[0] + x] = true;
                    }
                }
            }
        }
        let mut queue: Vec<usize> = goals.filter_map(|p| rest.index(p)).collect();
        queue.iter().for_each(|i| rest.steps[*i] = 0);
        let mut next = 0;
        while next < queue.len() {
            let i = queue[next];
            next += 1;
            let at = [i % size[0], i / size[0] % size[1], i / size[0] / size[1]];
            let strides = [1, size[0], size[0] * size[1]];
            for k in 0..3 {
                let down = (at[k] > 0).then(|| i - strides[k]);
                let up = (at[k] + 1 < size[k]).then(|| i + strides[k]);
                for j in down.into_iter().chain(up) {
                    if !solid[j] && rest.steps[j] == u16::MAX {
                        rest.steps[j] = rest.steps[i].saturating_add(1);
                        queue.push(j);
                    }
                }
            }
        }
        rest
    }

    fn index(&self, p: Point) -> Option<usize> {
        let at: [usize; 3] = std::array::from_fn(|k| {
            let cell = (p[k] - self.low[k]) / self.step;
            (cell.max(0.0) as usize).min(self.size[k] - 1)
        });
        Some((at[2] * self.size[1] + at[1]) * self.size[0] + at[0])
    }

    /// The length left; `None` where nothing leads to the goal.
    pub fn of(&self, p: Point) -> Option<f64> {
        let here = self.index(p)?;
        let size = self.size;
        // The place itself is free; the middle of its cell need not be.
        let around = [
            here as isize,
            here as isize - 1,
            here as isize + 1,
            here as isize - size[0] as isize,
            here as isize + size[0] as isize,
            here as isize - (size[0] * size[1]) as isize,
            here as isize + (size[0] * size[1]) as isize,
        ];
        let steps = around.into_iter().filter_map(|i| {
            let steps = *self.steps.get(usize::try_from(i).ok()?)?;
            (steps != u16::MAX).then_some(steps)
        });
        Some(f64::from(steps.min()?) * self.step * ALONG)
    }
}
