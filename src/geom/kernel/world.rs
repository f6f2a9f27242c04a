//! Bodies that come near one another, kept while bodies move one at a time.

use super::columns::Columns;
use super::gap::Best;
use super::shape::{Seen, Solid};
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

/// A convex piece with the tag of its shape. Most are boxes, and then this is all of it: what
/// more there is to others lies in a list of its own.
#[derive(Clone, Copy, Debug)]
struct Part {
    bounds: Aabb,
    tag: u32,
    solid: u32,
}

/// In place of an index of a solid: the box that the bounds are.
const BOX: u32 = u32::MAX;

/// Where the pieces of a body lie.
#[derive(Clone, Copy, Debug, Default)]
struct Stretch {
    from: u32,
    len: u32,
    room: u32,
}

/// The pieces of all bodies in one list, those of neighbours near one another.
#[derive(Clone, Debug, Default)]
struct Pieces {
    part: Vec<Part>,
    solid: Vec<Solid>,
    body: Vec<Stretch>,
}

impl Pieces {
    fn of(&self, body: u32) -> &[Part] {
        let s = self.body[body as usize];
        &self.part[s.from as usize..(s.from + s.len) as usize]
    }

    #[inline]
    fn seen<'a>(&'a self, part: &'a Part) -> Seen<'a> {
        Seen {
            bounds: &part.bounds,
            solid: match part.solid {
                BOX => &Solid::Aligned,
                at => &self.solid[at as usize],
            },
        }
    }

    /// Gives a body other pieces: where it has its own if there is room, else at the end.
    fn set(&mut self, body: u32, shapes: &[Shape]) {
        let count: usize = shapes.iter().map(|s| s.pieces.len()).sum();
        let mut s = self.body[body as usize];
        if count > s.room as usize {
            s.from = self.part.len() as u32;
            s.room = count as u32;
        }
        s.len = count as u32;
        self.body[body as usize] = s;
        let mut at = s.from as usize;
        for shape in shapes {
            for piece in &shape.pieces {
                // What lay in this place leaves its solid to the next.
                let known = self.part.get(at).map_or(BOX, |p| p.solid);
                let solid = match (&piece.solid, known) {
                    (Solid::Aligned, _) => BOX,
                    (solid, BOX) => {
                        self.solid.push(solid.clone());
                        (self.solid.len() - 1) as u32
                    }
                    (solid, known) => {
                        self.solid[known as usize].clone_from(solid);
                        known
                    }
                };
                let part = Part {
                    bounds: piece.bounds,
                    tag: shape.tag(),
                    solid,
                };
                match self.part.get_mut(at) {
                    Some(old) => *old = part,
                    None => self.part.push(part),
                }
                at += 1;
            }
        }
    }

    /// The same without what bodies have left behind, in the order of `bodies`.
    fn packed(&self, bodies: impl Iterator<Item = u32>) -> Self {
        let mut packed = Self {
            part: Vec::with_capacity(self.part.len()),
            solid: Vec::with_capacity(self.solid.len()),
            body: vec![Stretch::default(); self.body.len()],
        };
        for body in bodies {
            let from = packed.part.len() as u32;
            for part in self.of(body) {
                let mut part = *part;
                if part.solid != BOX {
                    packed.solid.push(self.solid[part.solid as usize].clone());
                    part.solid = (packed.solid.len() - 1) as u32;
                }
                packed.part.push(part);
            }
            let len = packed.part.len() as u32 - from;
            packed.body[body as usize] = Stretch {
                from,
                len,
                room: len,
            };
        }
        packed
    }
}

/// Bodies, each a union of shapes, sorted into columns of space.
///
/// The gap of two bodies is the least over their pairs of shapes; where some overlap, the depth
/// is the greatest over the pairs of convex pieces. A body may be empty: it is near nothing.
/// Shapes of one body are not compared. All results come in the same order on every run.
#[derive(Clone, Debug)]
pub struct World {
    near: f64,
    pieces: Pieces,
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
        let wide: Vec<Aabb> = bodies.iter().map(|b| widened(b, near)).collect();
        let columns = Columns::new(&wide);
        let count = bodies.iter().flatten().map(|s| s.pieces.len()).sum();
        let mut pieces = Pieces {
            part: Vec::with_capacity(count),
            solid: Vec::new(),
            body: vec![Stretch::default(); bodies.len()],
        };
        for (i, shapes) in (0..).zip(bodies) {
            pieces.set(i, shapes);
        }
        Self {
            near,
            pieces: pieces.packed(columns.in_order()),
            wide,
            columns,
            moves: 0,
        }
    }

    /// How many bodies there are.
    pub fn len(&self) -> usize {
        self.wide.len()
    }

    /// Whether there are no bodies.
    pub fn is_empty(&self) -> bool {
        self.wide.is_empty()
    }

    /// Lays the columns out afresh over the bodies as they stand.
    ///
    /// The answers do not depend on it; [`World::set_body`] does it once in a while.
    pub fn reindex(&mut self) {
        self.columns.lay(&self.wide);
        self.moves = 0;
    }

    /// Replaces body `i` by other shapes, or the same in another place.
    ///
    /// # Panics
    /// If there is no body `i`.
    pub fn set_body(&mut self, i: usize, shapes: &[Shape]) {
        self.columns.remove(i as u32, &self.wide[i]);
        self.pieces.set(i as u32, shapes);
        self.wide[i] = widened(shapes, self.near);
        self.columns.insert(i as u32, &self.wide[i]);
        self.moves += 1;
        // Bodies that drift out of the columns crowd those at the border, and leave room behind.
        if self.moves > 4 * self.len() + 64 {
            self.reindex();
            self.pieces = self.pieces.packed(self.columns.in_order());
        }
    }

    /// Whether the bounds of more than `most` pairs of bodies come near. A caller that does not
    /// trust its scene asks this before it asks for the list, which may be as long as the square
    /// of the number of bodies.
    pub fn is_crowded(&self, most: usize) -> bool {
        let mut pairs = Vec::new();
        let counts = (0..self.columns.len()).scan(0, |count, at| {
            self.columns.pairs(at, most, &mut pairs);
            *count += pairs.len();
            Some(*count)
        });
        counts.into_iter().any(|count| count > most)
    }

    /// Every pair of bodies with a gap under the wanted one or that overlap, by `a`, then `b`.
    pub fn near_pairs(&self) -> Vec<NearPair> {
        self.near_pairs_where(|_, _| true)
    }

    /// The same over only those pairs of shapes whose tags `meet` admits.
    pub fn near_pairs_where(&self, meet: impl Fn(u32, u32) -> bool) -> Vec<NearPair> {
        let mut later = Vec::new();
        let mut near = Vec::new();
        let mut found = Vec::with_capacity(2 * self.len());
        for at in 0..self.columns.len() {
            self.columns.pairs(at, usize::MAX, &mut near);
            for pair in &near {
                let (a, b) = ((pair >> 32) as u32, *pair as u32);
                found.extend(self.pair(a, b, &meet, &mut later));
            }
        }
        sorted(found, self.len())
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
        let (first, second) = (self.pieces.of(a), self.pieces.of(b));
        later.clear();
        let mut best = Best::under(self.near * (1.0 - CONTACT));
        for (i, p) in first.iter().enumerate() {
            for (j, q) in second.iter().enumerate() {
                let apart2 = p.bounds.distance2(&q.bounds);
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
            let (p, q) = (&first[*i as usize], &second[*j as usize]);
            if best.meet(self.pieces.seen(p), self.pieces.seen(q)) {
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

/// By `a`, then `b`: counted out by `a`, for that takes time in proportion to what there is.
fn sorted(found: Vec<NearPair>, bodies: usize) -> Vec<NearPair> {
    let mut start = vec![0_u32; bodies + 1];
    for p in &found {
        start[p.a as usize + 1] += 1;
    }
    for i in 0..bodies {
        start[i + 1] += start[i];
    }
    let mut order = vec![(0_u32, 0_u32); found.len()];
    let mut next = start.clone();
    for (i, p) in (0_u32..).zip(&found) {
        let at = &mut next[p.a as usize];
        order[*at as usize] = (p.b, i);
        *at += 1;
    }
    for w in start.windows(2) {
        order[w[0] as usize..w[1] as usize].sort_unstable();
    }
    order.iter().map(|(_, i)| found[*i as usize]).collect()
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
