//! What is left of the cliques of a packing at one node of its search.

/// The cliques that matter at the node at hand, each with the vertices that are left of it.
#[derive(Default)]
pub(super) struct Live {
    /// Clique and where its vertices begin and end in `members`.
    pub(super) cliques: Vec<(u32, u32, u32)>,
    pub(super) members: Vec<u32>,
    /// Of each clique: vertices left, and the first and last group that has one.
    pub(super) reach: Vec<(u32, u32, u32)>,
    /// Where the next vertex of each clique goes.
    next: Vec<u32>,
    /// Number of vertices left when this was made.
    pub(super) left: usize,
}

impl Live {
    /// Starts anew with the vertices left to each group; `of_vertex` has the cliques of each
    /// vertex.
    pub(super) fn start(&mut self, groups: &[Vec<u32>], of_vertex: &[Vec<u32>], cliques: usize) {
        self.left = left(groups);
        self.reach.clear();
        self.reach.resize(cliques, (0, u32::MAX, 0));
        for (g, group) in (0..).zip(groups) {
            for &k in group.iter().flat_map(|&v| &of_vertex[v as usize]) {
                let (count, first, last) = &mut self.reach[k as usize];
                *count += 1;
                *first = g.min(*first);
                *last = g;
            }
        }
        self.cliques.clear();
        self.next.clear();
        let mut from = 0;
        for (k, &(count, first, last)) in (0..).zip(&self.reach) {
            self.next.push(from);
            if first < last {
                self.cliques.push((k, from, from + count));
            }
            from += count;
        }
        self.members.clear();
        self.members.resize(from as usize, 0);
        for &v in groups.iter().flatten() {
            for &k in &of_vertex[v as usize] {
                let next = &mut self.next[k as usize];
                self.members[*next as usize] = v;
                *next += 1;
            }
        }
    }

    /// Takes a new clique in.
    pub(super) fn add(&mut self, k: u32, clique: &[u32], groups: &[Vec<u32>]) {
        let from = self.members.len() as u32;
        let there = |v: &&u32| groups.iter().any(|g| g.contains(v));
        self.members.extend(clique.iter().filter(there));
        self.cliques.push((k, from, self.members.len() as u32));
    }
}

/// Number of vertices left.
pub(super) fn left(groups: &[Vec<u32>]) -> usize {
    groups.iter().map(Vec::len).sum()
}
