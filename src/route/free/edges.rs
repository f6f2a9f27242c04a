//! Where a shortest way can bend: the open stretches of the box edges.

use super::Point;
use super::space::Space;

/// A stretch of one box edge that no other box covers.
#[derive(Debug, Clone, Copy)]
pub struct Edge {
    /// The axis along which it runs.
    pub axis: usize,
    /// Which of the space's boxes it belongs to.
    pub block: u32,
    /// Low (0) or high (1) face of the box along `axis + 1` and `axis + 2`.
    pub side: [usize; 2],
    /// Where these faces are, and the direction out of the box: +1 or -1.
    pub at: [f64; 2],
    pub out: [f64; 2],
    /// Ends along `axis`.
    pub lo: f64,
    pub hi: f64,
    /// The ends before widening.
    ends: [f64; 2],
    /// Whether another box cuts the edge off at its low and high end.
    pub cut: [bool; 2],
    /// Its places in `Space::knots`.
    pub knots: [u32; 2],
}

impl Edge {
    /// The point on it at `x` along its axis.
    pub fn point(&self, x: f64) -> Point {
        let mut p = [0.0; 3];
        p[self.axis] = x;
        p[(self.axis + 1) % 3] = self.at[0];
        p[(self.axis + 2) % 3] = self.at[1];
        p
    }

    /// The point put back from the widened box to the box itself.
    pub fn home(&self, space: &Space, p: Point) -> Point {
        let b = &space.home[self.block as usize];
        let (u, v) = ((self.axis + 1) % 3, (self.axis + 2) % 3);
        let mut q = p;
        q[u] = b[self.side[0]][u];
        q[v] = b[self.side[1]][v];
        let x = p[self.axis];
        q[self.axis] = if x <= self.lo {
            self.ends[0]
        } else if x >= self.hi {
            self.ends[1]
        } else {
            x.clamp(b[0][self.axis], b[1][self.axis])
        };
        q
    }
}

/// What another box covers of an edge, by its widened and its given faces.
struct Cut {
    wide: [f64; 2],
    home: [f64; 2],
}

/// All open stretches, box by box, and the places on them where another box's edge passes within
/// the samples' spacing: there a way may bend twice in a short distance, on one edge and the other.
pub fn list(space: &Space) -> (Vec<Edge>, Vec<f64>) {
    let mut edges = Vec::with_capacity(space.wide.len() * 10);
    let mut all_knots: Vec<f64> = Vec::new();
    let (mut cuts, mut knots) = (Vec::new(), Vec::new());
    let walls = &space.walls;
    for (block, b) in space.wide.iter().enumerate() {
        for code in 0..12 {
            let (axis, side) = (code / 4, [code % 2, code / 2 % 2]);
            let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
            let at = [b[side[0]][u], b[side[1]][v]];
            if at[0] < walls[0][u]
                || at[0] > walls[1][u]
                || at[1] < walls[0][v]
                || at[1] > walls[1][v]
            {
                continue;
            }
            let (lo, hi) = (
                b[0][axis].max(walls[0][axis]),
                b[1][axis].min(walls[1][axis]),
            );
            let out = side.map(|s| if s == 1 { 1.0 } else { -1.0 });
            let home = &space.home[block];
            let ends = [
                home[0][axis].max(space.bounds[0][axis]),
                home[1][axis].min(space.bounds[1][axis]),
            ];
            let edge = Edge {
                axis,
                block: block as u32,
                side,
                at,
                out,
                lo,
                hi,
                ends,
                cut: [false; 2],
                knots: [0; 2],
            };
            neighbours(space, &edge, &mut cuts, &mut knots);
            let mut add = |[lo, hi]: [f64; 2], ends: [f64; 2], cut: [bool; 2]| {
                if hi - lo > 3.0 * space.pad {
                    let first = all_knots.len();
                    all_knots.extend(knots.iter().filter(|&&k| k >= lo && k <= hi));
                    all_knots[first..].sort_by(f64::total_cmp);
                    edges.push(Edge {
                        lo,
                        hi,
                        ends,
                        cut,
                        knots: [first as u32, all_knots.len() as u32],
                        ..edge
                    });
                }
            };
            cuts.sort_by(|p: &Cut, q| p.wide[0].total_cmp(&q.wide[0]));
            let (mut from, mut end, mut was_cut) = (lo, ends[0], false);
            for c in &cuts {
                add([from, c.wide[0]], [end, c.home[0]], [was_cut, true]);
                if c.wide[1] > from {
                    (from, end, was_cut) = (c.wide[1], c.home[1], true);
                }
            }
            add([from, hi], [end, ends[1]], [was_cut, false]);
        }
    }
    (edges, all_knots)
}

/// What covers the edge, and where edges of other boxes pass near by.
fn neighbours(space: &Space, edge: &Edge, cuts: &mut Vec<Cut>, knots: &mut Vec<f64>) {
    cuts.clear();
    knots.clear();
    let near = space.spacing;
    let (axis, u, v) = (edge.axis, (edge.axis + 1) % 3, (edge.axis + 2) % 3);
    let (mut lo, mut hi) = (edge.point(edge.lo), edge.point(edge.hi));
    for k in [u, v] {
        lo[k] -= near;
        hi[k] += near;
    }
    space.any_near(lo, hi, |i| {
        if i == edge.block as usize {
            return false;
        }
        let c = &space.wide[i];
        // The other box seen from the edge, outwards of its own box.
        let seen = |k: usize, n: usize| {
            let (p, q) = (
                edge.out[n] * (c[0][k] - edge.at[n]),
                edge.out[n] * (c[1][k] - edge.at[n]),
            );
            (p.min(q), p.max(q))
        };
        let ((a0, a1), (b0, b1)) = (seen(u, 0), seen(v, 1));
        // A way that wraps around the edge needs the space beside both of its faces.
        let beside = a0 <= 0.0 && a1 > 0.0 && b0 < 0.0 && b1 >= 0.0;
        let above = a0 < 0.0 && a1 >= 0.0 && b0 <= 0.0 && b1 > 0.0;
        let [c0, c1] = [c[0][axis], c[1][axis]];
        if (beside || above) && c0 < edge.hi && c1 > edge.lo {
            let home = [0, 1].map(|n: usize| space.home[i][n][axis]);
            cuts.push(Cut {
                wide: [c0, c1],
                home,
            });
        }
        let close = |x: f64| x.abs() < near;
        if (close(a0) || close(a1) || close(b0) || close(b1))
            && a0 < near
            && a1 > -near
            && b0 < near
            && b1 > -near
        {
            knots.extend([c0, c1]);
        }
        false
    });
}

#[cfg(test)]
mod tests {
    use super::super::Block;
    use super::*;

    const CASE: Block = [[0.0; 3], [100.0; 3]];

    fn edges(boxes: &[Block]) -> Vec<Edge> {
        Space::new(CASE, boxes).expect("good boxes").edges
    }

    #[test]
    fn a_free_box_has_twelve_edges_and_one_on_the_floor_has_eight() {
        assert_eq!(edges(&[[[40.0; 3], [60.0; 3]]]).len(), 12);
        assert_eq!(edges(&[[[40.0, 40.0, 0.0], [60.0; 3]]]).len(), 8);
        // From wall to wall two edges are left.
        assert_eq!(edges(&[[[40.0, 0.0, 0.0], [60.0, 100.0, 60.0]]]).len(), 2);
    }

    #[test]
    fn a_box_on_another_cuts_the_edges_it_covers() {
        // A post across one upper edge of a block leaves two stretches of it.
        let all = edges(&[
            [[20.0; 3], [80.0, 80.0, 40.0]],
            [[40.0, 10.0, 30.0], [50.0, 30.0, 60.0]],
        ]);
        let cut: Vec<&Edge> = all
            .iter()
            .filter(|e| e.block == 0 && e.axis == 0 && e.side == [0, 1])
            .collect();
        assert_eq!(cut.len(), 2);
        assert_eq!((cut[0].cut, cut[1].cut), ([false, true], [true, false]));
        assert!((cut[0].hi - 40.0).abs() < 1e-6 && (cut[1].lo - 50.0).abs() < 1e-6);
    }

    #[test]
    fn the_edges_of_a_seam_in_a_flat_face_are_no_edges() {
        // Two halves of one block: what is left are the twelve edges of the whole, in pieces.
        let all = edges(&[
            [[20.0; 3], [50.0, 80.0, 80.0]],
            [[50.0, 20.0, 20.0], [80.0; 3]],
        ]);
        assert!(
            all.iter()
                .all(|e| e.axis == 0 || (e.at[usize::from(e.axis == 1)] - 50.0).abs() > 1.0)
        );
    }
}
