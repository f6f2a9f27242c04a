//! The exact answer: relaxed problems bound from below, conflicts branch, after
//! G. Carpaneto and P. Toth, 'Some new branching and bounding criteria for the
//! asymmetric travelling salesman problem', Management Science 26 (1980) (from
//! memory). Stretches are measured only when a relaxed answer takes them.

use super::flow::{Assigned, Entry, assign};
use super::judge::{Chain, Fact, Judge, Verdict};
use super::net::{From, Measure, Need, Net, Run, Score, Ways};
use std::rc::Rc;

/// An answer.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Answer {
    /// Runs, kept ones among them, by source.
    pub runs: Vec<Run>,
    /// Sinks that nothing feeds, in order.
    pub unfed: Vec<usize>,
    /// How good it is.
    pub score: Score,
    /// True where no other answer is better.
    pub proved: bool,
    /// Relaxed problems that were solved.
    pub nodes: usize,
}

/// What the search has decided on the way to a node.
#[derive(Clone, Copy, Debug)]
enum Decision {
    Ban(usize),
    Take(usize),
    Feed(usize),
    Leave(usize),
    /// No stretch goes on from this sink.
    End(usize),
    /// A run weighs so much more than its stretches; put on one of them.
    Extra(usize, i128),
}

/// Decisions as a list that shares its tail.
#[derive(Clone, Default)]
struct Path(Option<Rc<(Decision, Path)>>);

impl Path {
    fn and(&self, decision: Decision) -> Path {
        Path(Some(Rc::new((decision, self.clone()))))
    }

    fn iter(&self) -> impl Iterator<Item = Decision> + '_ {
        let mut at = self;
        std::iter::from_fn(move || {
            let (decision, rest) = at.0.as_deref()?;
            at = rest;
            Some(*decision)
        })
    }
}

/// The best answer, or the best found within so many relaxed problems for each
/// independent part of the net.
pub fn solve(net: &Net, measure: &mut dyn Measure, most_nodes: usize) -> Answer {
    let mut behind = vec![Vec::new(); net.sinks.len()];
    for (source, s) in net.sources.iter().enumerate() {
        for sink in &s.behind {
            behind[*sink].push(source);
        }
    }
    let mut search = Search {
        net,
        measure,
        ways: vec![None; net.arcs.len()],
        least: net.arcs.iter().map(bound).collect(),
        behind,
        arcs_of: vec![Vec::new(); net.sinks.len()],
    };
    for (index, arc) in net.arcs.iter().enumerate() {
        search.arcs_of[arc.to].push(index);
    }
    let mut answer = Answer {
        runs: Vec::new(),
        unfed: Vec::new(),
        score: Score::default(),
        proved: true,
        nodes: 0,
    };
    let mut weight = 0;
    for part in parts(net) {
        let best = search.part(&part, most_nodes);
        let fed = |sink: &&usize| best.runs.iter().all(|r| !r.sinks.contains(sink));
        answer.unfed.extend(part.iter().filter(fed));
        weight += best.weight;
        answer.runs.extend(best.runs);
        answer.proved &= best.proved;
        answer.nodes += best.nodes;
    }
    answer.runs.sort_by_key(|r| r.source);
    answer.unfed.sort_unstable();
    answer.score = Score::of(weight);
    answer
}

fn bound(arc: &super::net::Arc) -> i128 {
    if arc.kept {
        return 0;
    }
    let score = Score {
        astray: u64::from(arc.astray),
        length: arc.bound,
        leads: u64::from(matches!(arc.from, From::Source(_))),
        ..Score::default()
    };
    score.weight()
}

/// Sinks that have to be thought of together, each group in order.
fn parts(net: &Net) -> Vec<Vec<usize>> {
    let n = net.sinks.len();
    let mut root: Vec<usize> = (0..n + net.sources.len()).collect();
    fn find(root: &mut [usize], mut i: usize) -> usize {
        while root[i] != i {
            root[i] = root[root[i]];
            i = root[i];
        }
        i
    }
    let mut join = |a: usize, b: usize| {
        let (a, b) = (find(&mut root, a), find(&mut root, b));
        root[a.max(b)] = a.min(b);
    };
    for arc in &net.arcs {
        match arc.from {
            From::Source(s) => join(arc.to, n + s),
            From::Sink(t) => join(arc.to, t),
        }
    }
    for (s, source) in net.sources.iter().enumerate() {
        for sink in &source.behind {
            join(*sink, n + s);
        }
    }
    let mut groups: std::collections::BTreeMap<usize, Vec<usize>> = Default::default();
    for sink in 0..n {
        groups.entry(find(&mut root, sink)).or_default().push(sink);
    }
    groups.into_values().collect()
}

struct Search<'a> {
    net: &'a Net,
    measure: &'a mut dyn Measure,
    ways: Vec<Option<Ways>>,
    /// What each arc weighs at least; `i128::MAX` where it cannot be.
    least: Vec<i128>,
    behind: Vec<Vec<usize>>,
    arcs_of: Vec<Vec<usize>>,
}

/// A choice to be looked at.
struct Node {
    path: Path,
    choice: Vec<Option<usize>>,
    /// No answer under this path weighs less.
    weight: i128,
    /// What decisions add to arcs.
    extra: Vec<i128>,
}

struct Best {
    weight: i128,
    runs: Vec<Run>,
    proved: bool,
    nodes: usize,
}

impl Search<'_> {
    fn unfed(&self, sink: usize) -> i128 {
        let score = match self.net.sinks[sink].need {
            Need::Must => Score {
                unfed: 1,
                ..Score::default()
            },
            Need::Wanted => Score {
                loose: 1,
                ..Score::default()
            },
        };
        score.weight()
    }

    fn part(&mut self, sinks: &[usize], most_nodes: usize) -> Best {
        let mut best = self.start(sinks);
        let mut open: Vec<Node> = Vec::new();
        open.extend(self.relaxed(sinks, Path::default(), &mut best));
        while let Some(node) = open.pop() {
            if node.weight >= best.weight {
                continue;
            }
            if best.nodes >= most_nodes {
                best.proved = false;
                break;
            }
            let extra = &node.extra;
            let least: Vec<i128> = self
                .least
                .iter()
                .zip(extra)
                .map(|(l, e)| l.saturating_add(*e))
                .collect();
            let judge = self.judge(&least);
            let unfed: i128 = sinks
                .iter()
                .filter(|s| node.choice[**s].is_none())
                .map(|s| self.unfed(*s))
                .sum();
            let (verdict, runs) = judge.judge(&node.choice);
            // Sound, if only dearer than hoped for: good enough to cut others off.
            if let Some(all) = runs
                && all + unfed < best.weight
            {
                best.weight = all + unfed;
                best.runs = judge.runs(&node.choice);
            }
            let paths = match verdict {
                Verdict::Sound => continue,
                Verdict::Conflict(facts) => split(&node.path, &facts),
                Verdict::Dearer(chain) => self.lengthen(&node.path, &chain),
            };
            let mut next: Vec<Node> = Vec::new();
            for path in paths {
                next.extend(self.relaxed(sinks, path, &mut best));
            }
            // The most hopeful is looked at first.
            next.sort_by_key(|n| std::cmp::Reverse(n.weight));
            open.append(&mut next);
        }
        best
    }

    /// Only what is kept already.
    fn start(&mut self, sinks: &[usize]) -> Best {
        let mut choice = vec![None; self.net.sinks.len()];
        let mut weight = 0;
        for sink in sinks {
            choice[*sink] = self.kept(*sink);
            match choice[*sink] {
                Some(arc) => self.look(arc),
                None => weight += self.unfed(*sink),
            }
        }
        Best {
            weight,
            runs: self.judge(&self.least).runs(&choice),
            proved: true,
            nodes: 0,
        }
    }

    fn judge<'b>(&'b self, least: &'b [i128]) -> Judge<'b> {
        Judge {
            net: self.net,
            ways: &self.ways,
            least,
            behind: &self.behind,
        }
    }

    fn kept(&self, sink: usize) -> Option<usize> {
        let arcs = self.arcs_of[sink].iter().copied();
        arcs.into_iter().find(|a| self.net.arcs[*a].kept)
    }

    /// The cheapest choice under the decisions of a path, every stretch of it
    /// measured. `None` where there is none better than the best so far.
    fn relaxed(&mut self, sinks: &[usize], path: Path, best: &mut Best) -> Option<Node> {
        best.nodes += 1;
        let mut rules = Rules::of(self.net, &path)?;
        for sink in sinks {
            let Some(kept) = self.kept(*sink) else {
                continue;
            };
            if *rules.take[*sink].get_or_insert(kept) != kept {
                return None;
            }
        }
        loop {
            let rows: Vec<Vec<Entry>> = sinks
                .iter()
                .map(|sink| self.entries(*sink, &rules))
                .collect();
            let columns = self.net.sources.len() + 2 * self.net.sinks.len();
            let (rows, columns) = packed(rows, columns);
            let found = assign(&rows, columns)?;
            let weight: i128 = found.entries.iter().map(|e| e.weight).sum();
            if weight >= best.weight {
                return None;
            }
            let mut fresh = false;
            let mut choice = vec![None; self.net.sinks.len()];
            for (sink, entry) in sinks.iter().zip(&found.entries) {
                if entry.tag == UNFED {
                    continue;
                }
                choice[*sink] = Some(entry.tag);
                if self.ways[entry.tag].is_none() {
                    self.look(entry.tag);
                    fresh = true;
                }
            }
            if !fresh {
                let weight = weight + self.rise_of_rings(sinks, &choice, &rows, &found);
                let node = Node {
                    path,
                    choice,
                    weight,
                    extra: rules.extra,
                };
                return (node.weight < best.weight).then_some(node);
            }
        }
    }

    /// What it costs at least to feed the sinks that only feed one another: each
    /// ring needs one stretch from outside. The rings have no sink in common, so
    /// what each adds can be summed.
    fn rise_of_rings(
        &self,
        sinks: &[usize],
        choice: &[Option<usize>],
        rows: &[Vec<Entry>],
        found: &Assigned,
    ) -> i128 {
        let before = |sink: usize| match choice[sink].map(|a| self.net.arcs[a].from) {
            Some(From::Sink(t)) => Some(t),
            _ => None,
        };
        let mut ring = vec![None; choice.len()];
        let mut seen = vec![usize::MAX; choice.len()];
        for start in sinks {
            let mut at = Some(*start);
            while let Some(sink) = at.filter(|s| seen[*s] == usize::MAX) {
                seen[sink] = *start;
                at = before(sink);
            }
            // Back on a sink of this very walk: round that ring once more.
            while let Some(sink) = at.filter(|s| seen[*s] == *start && ring[*s].is_none()) {
                ring[sink] = Some(*start);
                at = before(sink);
            }
        }
        let mut least = std::collections::BTreeMap::new();
        for (row, sink) in sinks.iter().enumerate() {
            let Some(mine) = ring[*sink] else { continue };
            let outside = |e: &&Entry| {
                e.tag == UNFED
                    || match self.net.arcs[e.tag].from {
                        From::Sink(t) => ring[t] != Some(mine),
                        From::Source(_) => true,
                    }
            };
            let rise = rows[row].iter().filter(outside).map(|e| found.rise(row, e));
            let least = least.entry(mine).or_insert(i128::MAX / 4);
            *least = rise.min().map_or(*least, |r| r.min(*least));
        }
        least.values().fold(0, |a: i128, b| a.saturating_add(*b))
    }

    fn entries(&self, sink: usize, rules: &Rules) -> Vec<Entry> {
        let sources = self.net.sources.len();
        let mut entries = Vec::new();
        for arc in &self.arcs_of[sink] {
            let wanted = rules.take[sink].is_none_or(|t| t == *arc) && !rules.leave[sink];
            let column = match self.net.arcs[*arc].from {
                From::Source(s) => s,
                From::Sink(t) if rules.end[t] => continue,
                From::Sink(t) => sources + t,
            };
            if wanted && !rules.ban[*arc] && self.least[*arc] < i128::MAX {
                entries.push(Entry {
                    column,
                    weight: self.least[*arc] + rules.extra[*arc],
                    tag: *arc,
                });
            }
        }
        if rules.take[sink].is_none() && !rules.feed[sink] {
            entries.push(Entry {
                column: sources + self.net.sinks.len() + sink,
                weight: self.unfed(sink),
                tag: UNFED,
            });
        }
        entries
    }

    /// Measures a stretch.
    fn look(&mut self, arc: usize) {
        if self.ways[arc].is_some() {
            return;
        }
        let ways = self.measure.ways(arc);
        let a = &self.net.arcs[arc];
        let first = matches!(a.from, From::Source(_));
        let list = ways.alone.iter();
        let list = list.chain(ways.first.iter().filter(|_| first));
        let least = list.map(|w| {
            let score = Score {
                tight: u64::from(w.tight),
                astray: u64::from(a.astray),
                length: w.length,
                leads: u64::from(first),
                ..Score::default()
            };
            score.weight()
        });
        self.least[arc] = match a.kept {
            true => 0,
            false => least.min().unwrap_or(i128::MAX),
        };
        self.ways[arc] = Some(ways);
    }

    /// Splits at a run that is dearer than its stretches: without one of them; or
    /// as it is, at its own weight; or longer by one.
    fn lengthen(&self, path: &Path, chain: &Chain) -> Vec<Path> {
        let Some(last) = chain.arcs.last().map(|a| self.net.arcs[*a].to) else {
            return Vec::new();
        };
        let facts: Vec<Fact> = chain.arcs.iter().map(|a| Fact::Arc(*a)).collect();
        let mut paths = split(path, &facts);
        let mut whole = path.clone();
        for arc in &chain.arcs {
            whole = whole.and(Decision::Take(*arc));
        }
        if chain.goes_on {
            for (index, arc) in self.net.arcs.iter().enumerate() {
                if arc.from == From::Sink(last) && !chain.arcs.contains(&index) {
                    paths.push(whole.and(Decision::Take(index)));
                }
            }
        }
        if let Some((_, true_weight)) = chain.kind {
            let extra = true_weight - chain.least;
            let path = whole.and(Decision::End(last));
            paths.push(path.and(Decision::Extra(chain.arcs[0], extra)));
        }
        paths
    }
}

/// The tag of a sink left unfed.
const UNFED: usize = usize::MAX;

/// One child for each fact: that one not, those before it so.
fn split(path: &Path, facts: &[Fact]) -> Vec<Path> {
    let mut path = path.clone();
    let mut paths = Vec::new();
    for fact in facts {
        let (no, yes) = match *fact {
            Fact::Arc(a) => (Decision::Ban(a), Decision::Take(a)),
            Fact::Unfed(s) => (Decision::Feed(s), Decision::Leave(s)),
        };
        paths.push(path.and(no));
        path = path.and(yes);
    }
    paths
}

/// Decisions, by what they are about.
struct Rules {
    ban: Vec<bool>,
    extra: Vec<i128>,
    take: Vec<Option<usize>>,
    feed: Vec<bool>,
    leave: Vec<bool>,
    end: Vec<bool>,
}

impl Rules {
    /// `None` where they contradict one another.
    fn of(net: &Net, path: &Path) -> Option<Rules> {
        let n = net.sinks.len();
        let mut rules = Rules {
            ban: vec![false; net.arcs.len()],
            extra: vec![0; net.arcs.len()],
            take: vec![None; n],
            feed: vec![false; n],
            leave: vec![false; n],
            end: vec![false; n],
        };
        for decision in path.iter() {
            match decision {
                Decision::Ban(a) => rules.ban[a] = true,
                Decision::Extra(a, w) => rules.extra[a] += w,
                Decision::Feed(s) => rules.feed[s] = true,
                Decision::Leave(s) => rules.leave[s] = true,
                Decision::End(s) => rules.end[s] = true,
                Decision::Take(a) => {
                    let to = net.arcs[a].to;
                    if rules.take[to].is_some_and(|t| t != a) {
                        return None;
                    }
                    rules.take[to] = Some(a);
                }
            }
        }
        let sound = (0..n).all(|s| {
            !(rules.leave[s] && (rules.feed[s] || rules.take[s].is_some()))
                && rules.take[s].is_none_or(|a| !rules.ban[a])
        });
        sound.then_some(rules)
    }
}

/// The same with columns numbered without gaps.
fn packed(mut rows: Vec<Vec<Entry>>, columns: usize) -> (Vec<Vec<Entry>>, usize) {
    let mut number = vec![usize::MAX; columns];
    let mut next = 0;
    for entry in rows.iter_mut().flatten() {
        let n = &mut number[entry.column];
        if *n == usize::MAX {
            *n = next;
            next += 1;
        }
        entry.column = *n;
    }
    (rows, next)
}
