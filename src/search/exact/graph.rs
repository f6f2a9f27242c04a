//! Which candidates exclude each other, and cliques of them.

use super::bits::members;
use super::bound::State;
use super::number::Real;

/// Most vertices tried for the next place in a clique.
const TRIED: usize = 24;

/// The values of a state as vertices, numbered through, joined where they exclude each other.
pub(super) struct Graph {
    /// Number of the vertex for each candidate of each part; `u32::MAX` if ruled out.
    vertex: Vec<Vec<u32>>,
    /// Part and candidate of each vertex.
    pub(super) origin: Vec<(usize, u32)>,
    words: usize,
    excludes: Vec<u64>,
}

impl Graph {
    /// Most vertices that are worth it.
    const MAX_VERTICES: usize = 4096;

    /// The graph of what is left in `root` of `parts` parts; `None` if that is too much.
    pub(super) fn new<R: Real>(root: &State<R>, parts: usize) -> Option<Self> {
        let t = root.tables();
        let mut vertex = vec![Vec::new(); parts];
        let mut origin = Vec::new();
        let mut of_value = vec![usize::MAX; t.width()];
        for &i in &root.vars {
            let own: &mut Vec<u32> = &mut vertex[t.part[i]];
            for v in t.values(i).filter(|&v| root.cost[v] < R::FORBIDDEN) {
                let c = t.candidate[v] as usize;
                own.resize(own.len().max(c + 1), u32::MAX);
                own[c] = origin.len() as u32;
                of_value[v] = origin.len();
                origin.push((t.part[i], c as u32));
            }
        }
        let n = origin.len();
        if n > Self::MAX_VERTICES {
            return None;
        }
        let words = n.div_ceil(64);
        let mut excludes = vec![0; n * words];
        let mut exclude = |x: usize, y: usize| {
            excludes[x * words + y / 64] |= 1 << (y % 64);
            excludes[y * words + x / 64] |= 1 << (x % 64);
        };
        for (at, &i) in root.vars.iter().enumerate() {
            let vertices = |i: usize| {
                t.values(i)
                    .map(|v| of_value[v])
                    .filter(|&x| x != usize::MAX)
            };
            for x in vertices(i) {
                vertices(i).filter(|&y| y != x).for_each(|y| exclude(x, y));
            }
            for &j in root.vars[at + 1..].iter().filter(|&&j| t.linked(i, j)) {
                for (a, row) in t.values(i).zip(t.rows(i, j)) {
                    for (b, &cell) in t.values(j).zip(row) {
                        let (x, y) = (of_value[a], of_value[b]);
                        if cell >= R::FORBIDDEN && x != usize::MAX && y != usize::MAX {
                            exclude(x, y);
                        }
                    }
                }
            }
        }
        Some(Self {
            vertex,
            origin,
            words,
            excludes,
        })
    }

    /// The vertices that exclude this one, the others of its part among them.
    pub(super) fn excluded_by(&self, x: usize) -> &[u64] {
        &self.excludes[x * self.words..][..self.words]
    }

    /// Whether two vertices exclude each other.
    pub(super) fn exclude(&self, x: u32, y: u32) -> bool {
        self.excluded_by(x as usize)[y as usize / 64] >> (y % 64) & 1 != 0
    }

    /// Vertex of a candidate, if it is one.
    pub(super) fn vertex(&self, part: usize, candidate: u32) -> Option<usize> {
        let v = self.vertex.get(part)?.get(candidate as usize)?;
        (*v != u32::MAX).then_some(*v as usize)
    }

    /// A clique, ascending, that holds two vertices which exclude each other: grown first by
    /// vertices in `wanted`, then by any, each time by one that keeps many others possible.
    pub(super) fn clique(&self, x: u32, y: u32, wanted: &[u64]) -> Vec<u32> {
        let both =
            |a: &[u64], b: &[u64]| -> Vec<u64> { a.iter().zip(b).map(|(a, b)| a & b).collect() };
        let mut clique = vec![x, y];
        let mut possible = both(self.excluded_by(x as usize), self.excluded_by(y as usize));
        for only in [Some(wanted), None] {
            loop {
                let from = only.map_or_else(|| possible.clone(), |w| both(&possible, w));
                let all: Vec<usize> = members(&from).collect();
                let common = |y: usize| -> u32 {
                    let pairs = from.iter().zip(self.excluded_by(y));
                    pairs.map(|(a, b)| (a & b).count_ones()).sum()
                };
                let tried = all.iter().step_by(all.len() / TRIED + 1);
                let Some(&next) = tried.max_by_key(|&&y| (common(y), std::cmp::Reverse(y))) else {
                    break;
                };
                clique.push(next as u32);
                possible = both(&possible, self.excluded_by(next));
            }
        }
        clique.sort_unstable();
        clique
    }

    /// An empty set of vertices.
    pub(super) fn no_vertices(&self) -> Vec<u64> {
        vec![0; self.words]
    }
}
