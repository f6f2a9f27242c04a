//! Openings in what stands before a face.

use crate::geom::Length;

/// Where a plate lets air through: an area across the way of the air, in millimetres.
pub(super) enum Opening<'a> {
    /// A rectangle along the axes.
    Rect {
        /// Low corner.
        low: [f64; 2],
        /// High corner.
        high: [f64; 2],
    },
    /// A disc.
    Disc {
        /// Its middle.
        at: [f64; 2],
        /// Its radius.
        radius: f64,
    },
    /// All beyond an outline, and what lies in its holes (even-odd rule).
    Beyond {
        /// The ring around what is closed.
        outline: &'a [[Length; 2]],
        /// Rings within it.
        holes: &'a [Vec<[Length; 2]>],
    },
}

/// How much of a rectangle an opening takes.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Share {
    /// Nothing.
    None,
    /// Something, or it was not worked out.
    Some,
    /// The whole of it.
    All,
}

impl Opening<'_> {
    /// Low and high corner of where its edge runs.
    pub(super) fn extent(&self) -> [[f64; 2]; 2] {
        match self {
            Self::Rect { low, high } => [*low, *high],
            Self::Disc { at, radius } => [at.map(|c| c - radius), at.map(|c| c + radius)],
            Self::Beyond { outline, .. } => {
                let all = |axis: usize| outline.iter().map(move |c| c[axis].as_mm());
                [
                    [0, 1].map(|k| all(k).fold(f64::INFINITY, f64::min)),
                    [0, 1].map(|k| all(k).fold(f64::NEG_INFINITY, f64::max)),
                ]
            }
        }
    }

    /// Whether a point lies in it; on its edge, either.
    pub(super) fn holds(&self, at: [f64; 2]) -> bool {
        match self {
            Self::Rect { low, high } => (0..2).all(|i| low[i] <= at[i] && at[i] <= high[i]),
            Self::Disc { at: c, radius } => (at[0] - c[0]).hypot(at[1] - c[1]) <= *radius,
            Self::Beyond { outline, holes } => {
                !inside(outline, at) || holes.iter().any(|ring| inside(ring, at))
            }
        }
    }

    /// How much of a rectangle it takes; edges that touch share nothing.
    pub(super) fn share(&self, low: [f64; 2], high: [f64; 2]) -> Share {
        let apart = |a: [f64; 2], b: [f64; 2]| (0..2).any(|i| b[i] <= low[i] || a[i] >= high[i]);
        match self {
            Self::Rect { low: a, high: b } => {
                if apart(*a, *b) {
                    Share::None
                } else if (0..2).all(|i| a[i] <= low[i] && high[i] <= b[i]) {
                    Share::All
                } else {
                    Share::Some
                }
            }
            Self::Disc { at, radius } => {
                let off = |to: &dyn Fn(usize) -> f64| to(0).hypot(to(1));
                let near = off(&|i| (at[i].clamp(low[i], high[i]) - at[i]).abs());
                let far = off(&|i| (at[i] - low[i]).abs().max((high[i] - at[i]).abs()));
                if near >= *radius {
                    Share::None
                } else if far <= *radius {
                    Share::All
                } else {
                    Share::Some
                }
            }
            Self::Beyond { outline, holes } => {
                let mut rings = std::iter::once(*outline).chain(holes.iter().map(Vec::as_slice));
                let crossed = rings.any(|ring| {
                    let ends = ring.iter().zip(ring.iter().cycle().skip(1));
                    let mut ends = ends.map(|(a, b)| (a.map(Length::as_mm), b.map(Length::as_mm)));
                    ends.any(|(a, b)| {
                        let least = [0, 1].map(|i| a[i].min(b[i]));
                        let most = [0, 1].map(|i| a[i].max(b[i]));
                        !apart(least, most)
                    })
                });
                let middle = [(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0];
                match (crossed, self.holds(middle)) {
                    (true, _) => Share::Some,
                    (false, true) => Share::All,
                    (false, false) => Share::None,
                }
            }
        }
    }
}

/// True where a point lies in a ring, by the even-odd rule.
fn inside(ring: &[[Length; 2]], at: [f64; 2]) -> bool {
    let mut odd = false;
    for (i, a) in ring.iter().enumerate() {
        let (a, b) = (
            a.map(Length::as_mm),
            ring[(i + 1) % ring.len()].map(Length::as_mm),
        );
        if (a[1] > at[1]) != (b[1] > at[1])
            && at[0] < a[0] + (at[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
        {
            odd = !odd;
        }
    }
    odd
}
