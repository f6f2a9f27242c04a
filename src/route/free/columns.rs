//! The edges along one axis as columns of `f32`, for a look at many of them at a time.

use super::Point;
use super::graph::{Item, Outlook};

/// Edges looked at together.
const LANES: usize = 8;

/// One row an edge, filled up with rows that nothing reaches. Places are relative to the start, so
/// that `f32` is enough; the exact conditions are asked again of what is left.
#[derive(Default)]
pub struct Columns {
    /// Places along `axis + 1` and `axis + 2`, and the sign of the edge's quadrant.
    u: Vec<f32>,
    v: Vec<f32>,
    sign: Vec<f32>,
    /// The ends along the axis.
    lo: Vec<f32>,
    hi: Vec<f32>,
    /// Distance of the goal from the edge's line.
    away: Vec<f32>,
    item: Vec<Item>,
}

/// The conditions of one look, turned so that the axis of the columns comes last.
struct Look {
    from: [f32; 3],
    goal: f32,
    near: [f32; 2],
    wedge: [[f32; 3]; 2],
    loose: f32,
    budget: f32,
    slop: f32,
}

impl Columns {
    /// Adds an edge: its place across the axis, the sign of its quadrant, its ends, and the distance
    /// of the goal from its line.
    pub fn push(&mut self, at: [f64; 2], sign: f64, ends: [f64; 2], away: f64, item: Item) {
        self.u.push(at[0] as f32);
        self.v.push(at[1] as f32);
        self.sign.push(sign as f32);
        self.lo.push(ends[0] as f32);
        self.hi.push(ends[1] as f32);
        self.away.push(away as f32);
        self.item.push(item);
    }

    /// Fills up the last lanes.
    pub fn close(&mut self) {
        while !self.u.len().is_multiple_of(LANES) {
            self.u.push(f32::MAX);
            self.v.push(0.0);
            self.sign.push(1.0);
            self.lo.push(0.0);
            self.hi.push(0.0);
            self.away.push(0.0);
        }
    }

    /// Adds the edges on which a next corner may lie. `from` and `goal` are relative to the start;
    /// `slop` is more than the rounding of a place.
    pub fn choose(
        &self,
        axis: usize,
        look: &Outlook,
        [from, goal]: [Point; 2],
        slop: f32,
        out: &mut Vec<(usize, Item)>,
    ) {
        let turned = [(axis + 1) % 3, (axis + 2) % 3, axis];
        let off = |k: usize| {
            if look.axis == Some(k) {
                look.half as f32
            } else {
                0.0
            }
        };
        let c = Look {
            from: turned.map(|k| from[k] as f32),
            goal: goal[axis] as f32,
            near: [slop + off(turned[0]), slop + off(turned[1])],
            wedge: look.wedge.map(|w| turned.map(|k| w[k] as f32)),
            loose: look.loose as f32,
            budget: look.budget as f32 + slop,
            slop,
        };
        // Of each edge the end that reaches farthest into the half space decides.
        let far = look
            .wedge
            .map(|w| if w[axis] >= 0.0 { &self.hi } else { &self.lo });
        for first in (0..self.u.len()).step_by(LANES) {
            let row =
                |column: &[f32]| -> [f32; LANES] { std::array::from_fn(|i| column[first + i]) };
            let place = [row(&self.u), row(&self.v), row(&self.sign)];
            let reach = [row(&self.lo), row(&self.hi), row(&self.away)];
            let hits = c.test(place, reach, [row(far[0]), row(far[1])]);
            let items = self.item.iter().skip(first);
            out.extend(
                items
                    .zip(hits)
                    .filter(|(_, hit)| *hit != 0)
                    .map(|(item, _)| (axis, *item)),
            );
        }
    }
}

impl Look {
    /// One straight line of arithmetic a lane, so that the compiler does several lanes at once.
    #[inline]
    fn test(
        &self,
        [u, v, sign]: [[f32; LANES]; 3],
        [lo, hi, away]: [[f32; LANES]; 3],
        [end0, end1]: [[f32; LANES]; 2],
    ) -> [u32; LANES] {
        let mut hits = [0; LANES];
        let [w0, w1] = &self.wedge;
        for i in 0..LANES {
            let (du, dv) = (u[i] - self.from[0], v[i] - self.from[1]);
            let r2 = du * du + dv * dv;
            let r = r2.sqrt();
            let x = (self.from[2] * away[i] + self.goal * r) / (r + away[i] + 1e-20);
            let x = x.max(lo[i]).min(hi[i]);
            let (da, db) = (x - self.from[2], x - self.goal);
            let least = (r2 + da * da).sqrt() + (away[i] * away[i] + db * db).sqrt();
            let first = w0[0] * du + w0[1] * dv + w0[2] * (end0[i] - self.from[2]);
            let second = w1[0] * du + w1[1] * dv + w1[2] * (end1[i] - self.from[2]);
            // A way can bend on the edge only from a side that sees one of its two faces.
            let faces = (sign[i] * du * dv <= 0.0)
                | (du.abs() <= self.near[0])
                | (dv.abs() <= self.near[1]);
            let inside = (first >= -self.slop) & (second >= -self.slop - self.loose * least);
            hits[i] = u32::from(faces & inside & (least <= self.budget));
        }
        hits
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chooses_by_side_by_half_space_and_by_length() {
        let mut columns = Columns::default();
        // Edges along z; the sign says that the box lies in the quadrant below both coordinates.
        for (i, at) in [[10.0, 0.0], [10.0, 5.0], [-10.0, -5.0], [0.0, 60.0]]
            .iter()
            .enumerate()
        {
            let item = Item {
                edge: i as u32,
                first: 0,
                end: 1,
            };
            columns.push(*at, 1.0, [0.0, 10.0], (40.0 - at[0]).hypot(at[1]), item);
        }
        columns.close();
        let mut look = Outlook {
            from: [0.0; 3],
            wedge: [[0.0; 3]; 2],
            loose: 0.0,
            axis: None,
            half: 0.0,
            budget: 70.0,
        };
        let chosen = |look: &Outlook| {
            let mut out = Vec::new();
            columns.choose(2, look, [look.from, [40.0, 0.0, 0.0]], 1e-3, &mut out);
            out.iter().map(|(_, item)| item.edge).collect::<Vec<_>>()
        };
        // The second and third are seen from behind or from above both faces, the last is too far.
        assert_eq!(chosen(&look), [0]);
        look.budget = 200.0;
        assert_eq!(chosen(&look), [0, 3]);
        look.wedge[0] = [1.0, 0.0, 0.0];
        look.wedge[1] = [0.0, -1.0, 0.0];
        assert_eq!(chosen(&look), [0]);
    }
}
