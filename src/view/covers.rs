//! What hides what: outlines on the plane of a view, with their depths.
//!
//! Outlines are kept in whole micrometres, so that an edge that lies on the edge of
//! what covers it is told from one that is covered.

use super::list::Point2;
use super::projection::Projection;
use crate::geom::{Length, Solid, Vec3};

/// Corners of the polygon that stands for a circle.
const ROUND: usize = 48;

/// Cells along each side of the raster that finds covers.
const CELLS: i64 = 24;

/// What something covers on the plane of the view, in micrometres to the right
/// and up.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Flat {
    /// Left, right, lower and upper end.
    Rect([i64; 4]),
    /// Middle and radius.
    Circle([i64; 2], i64),
    /// Rings, by the even-odd rule.
    Rings(Vec<Vec<[i64; 2]>>),
}

/// An outline with its depth.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Outline {
    /// Whose it is: an outline is not hidden by another of the same owner.
    pub owner: u32,
    /// What it covers.
    pub flat: Flat,
    /// Depth of the far face, in micrometres towards the eye.
    pub far: i64,
    /// Depth of the near face.
    pub near: i64,
    /// True where its own edges are drawn as hidden ones.
    pub edges: bool,
}

impl Outline {
    /// The outline of a solid in the enclosure's frame.
    pub fn of(solid: &Solid, projection: &Projection, owner: u32, edges: bool) -> Outline {
        let kind = projection.kind;
        let bounds = solid.bounds();
        let (far, near) = kind.reach(&bounds);
        let plane = |p: Vec3| [p.toward(kind.right()).as_um(), p.toward(kind.up()).as_um()];
        let eye = kind.eye().axis();
        let flat = match solid {
            Solid::Cylinder {
                axis, base, radius, ..
            } if *axis == eye => Flat::Circle(plane(*base), radius.as_um()),
            Solid::Extrusion {
                axis,
                outline,
                holes,
                ..
            } if *axis == eye => {
                let (u, v) = eye.others();
                let ring = |r: &Vec<[Length; 2]>| -> Vec<[i64; 2]> {
                    let at = |p: &[Length; 2]| plane(Vec3::ZERO.with(u, p[0]).with(v, p[1]));
                    r.iter().map(at).collect()
                };
                Flat::Rings(std::iter::once(outline).chain(holes).map(ring).collect())
            }
            _ => {
                let (a, b) = (plane(bounds.min()), plane(bounds.max()));
                Flat::Rect([
                    a[0].min(b[0]),
                    a[0].max(b[0]),
                    a[1].min(b[1]),
                    a[1].max(b[1]),
                ])
            }
        };
        Outline {
            owner,
            flat,
            far: far.as_um(),
            near: near.as_um(),
            edges,
        }
    }

    /// Left, right, lower and upper end.
    pub fn bounds(&self) -> [i64; 4] {
        match &self.flat {
            Flat::Rect(r) => *r,
            Flat::Circle(c, r) => [c[0] - r, c[0] + r, c[1] - r, c[1] + r],
            Flat::Rings(rings) => {
                let mut b = [i64::MAX, i64::MIN, i64::MAX, i64::MIN];
                for p in rings.iter().flatten() {
                    b = [
                        b[0].min(p[0]),
                        b[1].max(p[0]),
                        b[2].min(p[1]),
                        b[3].max(p[1]),
                    ];
                }
                b
            }
        }
    }

    /// Its rings; a circle as a polygon.
    pub fn corners(&self) -> Vec<Vec<[i64; 2]>> {
        match &self.flat {
            Flat::Rect([l, r, d, u]) => vec![vec![[*l, *d], [*r, *d], [*r, *u], [*l, *u]]],
            Flat::Circle(c, radius) => {
                let at = |i: usize| {
                    let p = Point2::unit(360.0 * i as f64 / ROUND as f64) * *radius as f64;
                    [c[0] + p.x.round() as i64, c[1] + p.y.round() as i64]
                };
                vec![(0..ROUND).map(at).collect()]
            }
            Flat::Rings(rings) => rings.clone(),
        }
    }

    /// Paint order: what is drawn later lies on top.
    pub fn before(&self, other: &Outline) -> bool {
        (self.far, self.owner) < (other.far, other.owner)
    }
}

/// Outlines in a raster, to ask what covers a place.
pub(crate) struct Covers {
    outlines: Vec<Outline>,
    bounds: Vec<[i64; 4]>,
    area: [i64; 4],
    cells: Vec<Vec<u32>>,
}

impl Covers {
    /// A raster over these outlines.
    pub fn new(outlines: Vec<Outline>) -> Covers {
        let bounds: Vec<[i64; 4]> = outlines.iter().map(Outline::bounds).collect();
        let area = bounds.iter().copied().reduce(|a, b| {
            [
                a[0].min(b[0]),
                a[1].max(b[1]),
                a[2].min(b[2]),
                a[3].max(b[3]),
            ]
        });
        let mut covers = Covers {
            outlines,
            area: area.unwrap_or([0; 4]),
            cells: vec![Vec::new(); (CELLS * CELLS) as usize],
            bounds: Vec::new(),
        };
        for (i, b) in (0u32..).zip(&bounds) {
            for cell in covers.cells_of(b) {
                covers.cells[cell].push(i);
            }
        }
        covers.bounds = bounds;
        covers
    }

    /// All outlines.
    pub fn outlines(&self) -> &[Outline] {
        &self.outlines
    }

    fn cells_of(&self, b: &[i64; 4]) -> impl Iterator<Item = usize> + use<> {
        let cell = |v: i64, low: i64, high: i64| {
            let step = ((high - low) / CELLS).max(1);
            ((v - low) / step).clamp(0, CELLS - 1)
        };
        let [l, r, d, u] = self.area;
        let (x0, x1) = (cell(b[0], l, r), cell(b[1], l, r));
        let (y0, y1) = (cell(b[2], d, u), cell(b[3], d, u));
        (y0..=y1).flat_map(move |y| (x0..=x1).map(move |x| (y * CELLS + x) as usize))
    }

    /// The outlines that may cover some of `subject`, each once.
    pub fn over<'a>(&'a self, subject: &Outline) -> Vec<&'a Outline> {
        let b = subject.bounds();
        let mut found: Vec<u32> = Vec::new();
        for cell in self.cells_of(&b) {
            let here = self.cells[cell].iter().copied();
            found.extend(here.filter(|i| {
                let (o, c) = (&self.outlines[*i as usize], &self.bounds[*i as usize]);
                o.owner != subject.owner
                    && c[0] < b[1]
                    && c[1] > b[0]
                    && c[2] < b[3]
                    && c[3] > b[2]
                    && subject.before(o)
            }));
        }
        found.sort_unstable();
        found.dedup();
        let at = |i: u32| &self.outlines[i as usize];
        found.into_iter().map(at).collect()
    }

    /// True where something hides the point of the plane (in micrometres) that
    /// lies at this depth.
    pub fn hides(&self, at: [f64; 2], depth: f64) -> bool {
        let p = at.map(|v| v as i64);
        let Some(cell) = self.cells_of(&[p[0], p[0], p[1], p[1]]).next() else {
            return false;
        };
        self.cells[cell].iter().any(|i| {
            let o = &self.outlines[*i as usize];
            (o.far as f64) >= depth && contains(o, at)
        })
    }
}

/// The stretches of an edge along the page that lie inside `cover`, as intervals
/// of its running coordinate.
pub(crate) fn spans(cover: &Outline, a: [i64; 2], b: [i64; 2]) -> Vec<[i64; 2]> {
    // The running axis and the fixed one.
    let (run, fix) = if a[1] == b[1] { (0, 1) } else { (1, 0) };
    let (from, to, at) = (a[run].min(b[run]), a[run].max(b[run]), a[fix]);
    let clip = |low: i64, high: i64| {
        let (low, high) = (low.max(from), high.min(to));
        (low < high).then_some([low, high])
    };
    match &cover.flat {
        Flat::Rect(r) => {
            let (low, high) = (r[2 * fix], r[2 * fix + 1]);
            let inside = low < at && at < high;
            let span = inside.then(|| clip(r[2 * run], r[2 * run + 1]));
            span.flatten().into_iter().collect()
        }
        Flat::Circle(c, radius) => {
            let off = (at - c[fix]) as f64;
            let half = (*radius as f64 * *radius as f64 - off * off)
                .max(0.0)
                .sqrt() as i64;
            clip(c[run] - half, c[run] + half).into_iter().collect()
        }
        Flat::Rings(rings) => {
            let mut crossings: Vec<i64> = Vec::new();
            for ring in rings {
                for (i, p) in ring.iter().enumerate() {
                    let q = ring[(i + 1) % ring.len()];
                    // Half open, so that a corner counts once.
                    if (p[fix] > at) != (q[fix] > at) {
                        let t = (at - p[fix]) as f64 / (q[fix] - p[fix]) as f64;
                        crossings.push(p[run] + (t * (q[run] - p[run]) as f64).round() as i64);
                    }
                    // An edge along the outline of the cover is not hidden by it.
                    if p[fix] == at && q[fix] == at {
                        return Vec::new();
                    }
                }
            }
            crossings.sort_unstable();
            let pairs = crossings.chunks_exact(2);
            pairs.filter_map(|p| clip(p[0], p[1])).collect()
        }
    }
}

/// True where a point lies inside an outline.
pub(crate) fn contains(cover: &Outline, p: [f64; 2]) -> bool {
    match &cover.flat {
        Flat::Rect(r) => {
            let r = r.map(|v| v as f64);
            r[0] < p[0] && p[0] < r[1] && r[2] < p[1] && p[1] < r[3]
        }
        Flat::Circle(c, r) => (p[0] - c[0] as f64).hypot(p[1] - c[1] as f64) < *r as f64,
        Flat::Rings(rings) => {
            let mut odd = false;
            for ring in rings {
                for (i, a) in ring.iter().enumerate() {
                    let b = ring[(i + 1) % ring.len()];
                    let (a, b) = (a.map(|v| v as f64), b.map(|v| v as f64));
                    if (a[1] > p[1]) != (b[1] > p[1]) {
                        let x = a[0] + (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]);
                        odd ^= p[0] < x;
                    }
                }
            }
            odd
        }
    }
}
