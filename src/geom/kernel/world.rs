//! Bodies that come near one another, kept while bodies move one at a time.

use super::columns::Columns;
use super::gap::Best;
use super::shape::Piece;
use super::{Aabb, CONTACT, Gap, Shape, Vec3};

/// Two bodies with less than the wanted gap between them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NearPair {
    /// The body with the lower index.
    pub a: u32,
    /// The body with the higher index.
    pub b: u32,
    /// Tags of the two shapes that decide: the nearest, or the deepest in one another.
    pub tags: [u32; 2],
    /// How they stand; never [`Gap::Beyond`].
    pub gap: Gap,
}

impl NearPair {
    /// The distance; 0 where the bodies touch or overlap.
    pub fn distance(&self) -> f64 {
        self.gap.distance().unwrap_or(0.0)
    }

    /// Whether insides meet.
    pub fn is_overlap(&self) -> bool {
        self.gap.is_overlap()
    }
}

/// A convex piece with the tag of its shape.
#[derive(Clone, Debug)]
struct Tagged {
    piece: Piece,
    tag: u32,
}

/// Bodies, each a union of shapes, sorted into columns of space.
///
/// The gap of two bodies is the least over their pairs of shapes; where some overlap, the depth
/// is the greatest over the pairs of convex pieces. A body may be empty: it is near nothing.
/// Shapes of one body are not compared. All results come in the same order on every run.
#[derive(Clone, Debug)]
pub struct World {
    near: f64,
    body: Vec<Vec<Tagged>>,
    /// Bounds of each body, widened by half the wanted gap.
    wide: Vec<Aabb>,
    columns: Columns,
    moves: usize,
}

impl World {
    /// Takes the bodies in. `near` is the gap under which two are listed; a gap of `near` but for
    /// rounding (a share of [`CONTACT`]) is not under it. What is under 0 or not a number is taken
    /// as 0: then only pairs that overlap are listed.
    ///
    /// Takes time in proportion to the number of shapes.
    pub fn build(bodies: &[Vec<Shape>], near: f64) -> Self {
        let near = near.max(0.0);
        let body: Vec<Vec<Tagged>> = bodies.iter().map(|b| tagged(b)).collect();
        let wide: Vec<Aabb> = bodies.iter().map(|b| widened(b, near)).collect();
        let columns = Columns::new(&wide);
        Self {
            near,
            body,
            wide,
            columns,
            moves: 0,
        }
    }

    /// How many bodies there are.
    pub fn len(&self) -> usize {
        self.body.len()
    }

    /// Whether there are no bodies.
    pub fn is_empty(&self) -> bool {
        self.body.is_empty()
    }

    /// Lays the columns out afresh over the bodies as they stand.
    ///
    /// The answers do not depend on it; [`World::set_body`] does it once in a while.
    pub fn reindex(&mut self) {
        self.columns = Columns::new(&self.wide);
        self.moves = 0;
    }

    /// Replaces body `i` by other shapes, or the same in another place.
    ///
    /// # Panics
    /// If there is no body `i`.
    pub fn set_body(&mut self, i: usize, shapes: &[Shape]) {
        self.columns.remove(i as u32, &self.wide[i]);
        self.body[i] = tagged(shapes);
        self.wide[i] = widened(shapes, self.near);
        self.columns.insert(i as u32, &self.wide[i]);
        self.moves += 1;
        // Bodies that drift out of the columns crowd those at the border.
        if self.moves > 4 * self.len() + 64 {
            self.reindex();
        }
    }

    /// Whether the bounds of more than `most` pairs of bodies come near. A caller that does not
    /// trust its scene asks this before it asks for the list, which may be as long as the square
    /// of the number of bodies.
    pub fn is_crowded(&self, most: usize) -> bool {
        self.columns.pairs(&self.wide, most).len() > most
    }

    /// Every pair of bodies with a gap under the wanted one or that overlap, by `a`, then `b`.
    pub fn near_pairs(&self) -> Vec<NearPair> {
        self.near_pairs_where(|_, _| true)
    }

    /// The same over only those pairs of shapes whose tags `meet` admits.
    pub fn near_pairs_where(&self, meet: impl Fn(u32, u32) -> bool) -> Vec<NearPair> {
        let mut later = Vec::new();
        let mut pairs = Vec::with_capacity(2 * self.body.len());
        for pair in self.columns.pairs(&self.wide, usize::MAX) {
            let (a, b) = ((pair >> 32) as u32, pair as u32);
            pairs.extend(self.pair(a, b, &meet, &mut later));
        }
        pairs
    }

    /// The pairs of body `i` alone, by `a`, then `b`. Takes time in proportion to how many
    /// bodies are around it.
    ///
    /// # Panics
    /// If there is no body `i`.
    pub fn neighbours(&self, i: usize) -> Vec<NearPair> {
        self.neighbours_where(i, |_, _| true)
    }

    /// The same over only those pairs of shapes whose tags `meet` admits; the first tag is that
    /// of the body with the lower index.
    ///
    /// # Panics
    /// If there is no body `i`.
    pub fn neighbours_where(&self, i: usize, meet: impl Fn(u32, u32) -> bool) -> Vec<NearPair> {
        let own = i as u32;
        let mut later = Vec::new();
        self.columns
            .around(own, &self.wide[i], &self.wide)
            .into_iter()
            .filter_map(|b| self.pair(own.min(b), own.max(b), &meet, &mut later))
            .collect()
    }

    /// `later` is room to work in.
    fn pair(
        &self,
        a: u32,
        b: u32,
        meet: &impl Fn(u32, u32) -> bool,
        later: &mut Vec<(f64, u32, u32)>,
    ) -> Option<NearPair> {
        let (first, second) = (&self.body[a as usize], &self.body[b as usize]);
        later.clear();
        let mut best = Best::under(self.near * (1.0 - CONTACT));
        for (i, p) in first.iter().enumerate() {
            for (j, q) in second.iter().enumerate() {
                let apart2 = p.piece.bounds.distance2(&q.piece.bounds);
                if best.wants(apart2) && meet(p.tag, q.tag) {
                    later.push((apart2, i as u32, j as u32));
                }
            }
        }
        // The nearest bounds first: what they give rules most of the others out.
        later.sort_unstable_by(|x, y| x.0.total_cmp(&y.0));
        let mut decided = None;
        for (apart2, i, j) in later.iter() {
            if !best.wants(*apart2) {
                break;
            }
            if best.meet(&first[*i as usize].piece, &second[*j as usize].piece) {
                decided = Some((*i, *j));
            }
        }
        let (i, j) = decided?;
        if self.near == 0.0 && !best.gap.is_overlap() {
            return None;
        }
        Some(NearPair {
            a,
            b,
            tags: [first[i as usize].tag, second[j as usize].tag],
            gap: best.gap,
        })
    }
}

fn tagged(shapes: &[Shape]) -> Vec<Tagged> {
    let pieces = |s: &Shape| {
        let tag = s.tag();
        let each = move |piece: &Piece| Tagged {
            piece: piece.clone(),
            tag,
        };
        s.pieces.iter().map(each).collect::<Vec<_>>()
    };
    shapes.iter().flat_map(pieces).collect()
}

fn widened(shapes: &[Shape], near: f64) -> Aabb {
    let all = shapes
        .iter()
        .fold(Aabb::EMPTY, |all, s| all.union(s.bounds()));
    let by = Vec3([near * 0.5; 3]);
    Aabb {
        lo: all.lo - by,
        hi: all.hi + by,
    }
}
