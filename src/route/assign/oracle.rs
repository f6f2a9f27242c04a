//! Every way of feeding, tried one by one: the answer that the search must match.

use super::net::{Arc, From, Measure, Need, Net, Run, Score, Sink, Source, Way, Ways};
use super::solve;
use proptest::prelude::*;

/// A net with all its stretches measured.
#[derive(Clone, Debug)]
pub(super) struct Case {
    pub net: Net,
    pub ways: Vec<Ways>,
}

impl Measure for Case {
    fn ways(&mut self, arc: usize) -> Ways {
        self.ways[arc].clone()
    }
}

impl Case {
    /// The score of a choice, or `None` where it cannot be built. Written without
    /// a look at the search's own judge.
    fn score(&self, choice: &[Option<usize>]) -> Option<Score> {
        let net = &self.net;
        let mut runs: Vec<Vec<usize>> = vec![Vec::new(); net.sources.len()];
        let mut reached = 0;
        for (source, run) in runs.iter_mut().enumerate() {
            let mut from = From::Source(source);
            loop {
                let mut next = choice
                    .iter()
                    .flatten()
                    .filter(|a| net.arcs[**a].from == from);
                let Some(arc) = next.next() else { break };
                if next.next().is_some() {
                    return None;
                }
                run.push(*arc);
                reached += 1;
                from = From::Sink(net.arcs[*arc].to);
            }
        }
        if reached != choice.iter().flatten().count() {
            return None;
        }
        // What passes on gives only once it is fed itself.
        let mut live = vec![false; net.sinks.len()];
        for _ in 0..=net.sinks.len() {
            for (source, run) in runs.iter().enumerate() {
                if net.sources[source].behind.iter().all(|s| live[*s]) {
                    run.iter().for_each(|a| live[net.arcs[*a].to] = true);
                }
            }
        }
        if choice.iter().zip(&live).any(|(c, l)| c.is_some() != *l) {
            return None;
        }
        let over = |load: u64, most: Option<u64>| most.is_some_and(|m| load > m);
        for (source, run) in runs.iter().enumerate() {
            let load: u64 = run.iter().map(|a| self.load(&runs, net.arcs[*a].to)).sum();
            let plug = |a: &usize| {
                let sink = net.arcs[*a].to;
                over(self.load(&runs, sink), net.sinks[sink].carries)
            };
            if over(load, net.sources[source].carries) || run.iter().any(plug) {
                return None;
            }
        }
        let mut all = Score::default();
        for (sink, chosen) in net.sinks.iter().zip(choice) {
            match (chosen, sink.need) {
                (Some(_), _) => {}
                (None, Need::Must) => all.unfed += 1,
                (None, Need::Wanted) => all.loose += 1,
            }
        }
        for run in runs.iter().filter(|r| !r.is_empty()) {
            let best = (0..net.plugs.len())
                .filter_map(|k| self.run(run, k))
                .min()?;
            all.tight += best.0;
            let stray = |a: &&usize| net.arcs[**a].astray && !net.arcs[**a].kept;
            all.astray += run.iter().filter(stray).count() as u64;
            all.length += best.1;
            all.leads += u64::from(!net.arcs[run[0]].kept);
        }
        Some(all)
    }

    fn load(&self, runs: &[Vec<usize>], sink: usize) -> u64 {
        let mut all = self.net.sinks[sink].draws;
        for (source, run) in runs.iter().enumerate() {
            let behind = &self.net.sources[source].behind;
            if behind.contains(&sink) {
                let through: u64 = run
                    .iter()
                    .map(|a| self.load(runs, self.net.arcs[*a].to))
                    .sum();
                // An equal share each, rounded up to the milliwatt.
                let shares = behind.len() as u64;
                all += (0..shares)
                    .map(|i| (through + i) / shares)
                    .max()
                    .unwrap_or(0);
            }
        }
        all
    }

    fn run(&self, run: &[usize], kind: usize) -> Option<(u64, i64)> {
        if self.net.plugs[kind] < run.len() {
            return None;
        }
        let mut all = (0, 0);
        for (i, arc) in run.iter().enumerate() {
            let ways = &self.ways[*arc];
            let goes_on = i == 0 && run.len() > 1;
            let list = if goes_on { &ways.first } else { &ways.alone };
            let way = list.iter().find(|w| w.kind == kind)?;
            if !self.net.arcs[*arc].kept {
                all.0 += u64::from(way.tight);
                all.1 += way.length;
            }
        }
        Some(all)
    }

    /// The best of all choices, by trying each.
    pub fn best(&self) -> Score {
        let mut best: Option<Score> = None;
        self.each(&mut Vec::new(), &mut best);
        best.expect("leaving all unfed is a choice")
    }

    fn each(&self, choice: &mut Vec<Option<usize>>, best: &mut Option<Score>) {
        let sink = choice.len();
        if sink == self.net.sinks.len() {
            if let Some(score) = self.score(choice) {
                *best = Some(best.map_or(score, |b| b.min(score)));
            }
            return;
        }
        let arcs = self.net.arcs.iter().enumerate();
        let here: Vec<usize> = arcs.filter(|a| a.1.to == sink).map(|a| a.0).collect();
        let kept = here.iter().copied().find(|a| self.net.arcs[*a].kept);
        if kept.is_none() {
            choice.push(None);
            self.each(choice, best);
            choice.pop();
        }
        for arc in here.into_iter().filter(|a| kept.is_none_or(|k| k == *a)) {
            choice.push(Some(arc));
            self.each(choice, best);
            choice.pop();
        }
    }

    /// The score of an answer's runs, by the same count as `best`.
    pub fn score_of(&self, runs: &[Run]) -> Option<Score> {
        let mut choice = vec![None; self.net.sinks.len()];
        for run in runs {
            for (arc, sink) in run.arcs.iter().zip(&run.sinks) {
                choice[*sink] = Some(*arc);
            }
        }
        self.score(&choice)
    }
}

fn ways(kinds: usize) -> impl Strategy<Value = Ways> {
    let way = || (0..kinds, 1_i64..40, prop::bool::weighted(0.2));
    let list = move || {
        prop::collection::vec(way(), 0..3).prop_map(|list| {
            let mut list: Vec<Way> = list
                .into_iter()
                .map(|(kind, length, tight)| Way {
                    kind,
                    length,
                    tight,
                })
                .collect();
            list.sort_by_key(|w| w.kind);
            list.dedup_by_key(|w| w.kind);
            list
        })
    };
    (list(), list()).prop_map(|(alone, first)| Ways { alone, first })
}

fn case() -> impl Strategy<Value = Case> {
    (1_usize..=4, 1_usize..=4, 1_usize..=3).prop_flat_map(|(sinks, sources, kinds)| {
        let need = prop_oneof![3 => Just(Need::Must), 1 => Just(Need::Wanted)];
        let carries = || prop::option::weighted(0.4, 3_u64..14);
        let sink = (1_u64..5, carries(), need).prop_map(|(draws, carries, need)| Sink {
            draws,
            carries,
            need,
        });
        let behind = prop_oneof![
            3 => Just(std::collections::BTreeSet::new()),
            1 => prop::collection::btree_set(0..sinks, 1..=sinks.min(2)),
        ];
        let source = (carries(), behind).prop_map(|(carries, behind)| Source {
            carries,
            behind: behind.into_iter().collect(),
        });
        let stray = prop::bool::weighted(0.3);
        let arc = (0..sinks + sources, 0..sinks, 0_i64..8, stray, ways(kinds));
        (
            prop::collection::vec(sink, sinks),
            prop::collection::vec(source, sources),
            prop::collection::vec(1_usize..4, kinds),
            prop::collection::vec(arc, 0..14),
        )
            .prop_map(move |(sinks, sources, plugs, arcs)| {
                let mut net = Net {
                    sinks,
                    sources,
                    plugs,
                    arcs: vec![],
                };
                let mut all = vec![];
                for (from, to, below, astray, ways) in arcs {
                    let from = match from.checked_sub(net.sources.len()) {
                        Some(sink) => From::Sink(sink),
                        None => From::Source(from),
                    };
                    let twice = net.arcs.iter().any(|a| a.from == from && a.to == to);
                    if twice || from == From::Sink(to) {
                        continue;
                    }
                    let lengths = ways.alone.iter().chain(&ways.first).map(|w| w.length);
                    let bound = (lengths.min().unwrap_or(0) - below).max(0);
                    net.arcs.push(Arc {
                        from,
                        to,
                        bound,
                        kept: false,
                        astray,
                    });
                    all.push(ways);
                }
                keep_one(&mut net, &mut all);
                Case { net, ways: all }
            })
    })
}

/// Now and then a first stretch is laid already, where nothing else limits it.
fn keep_one(net: &mut Net, all: &mut [Ways]) {
    let free = |a: &Arc| match a.from {
        From::Source(s) => net.sources[s].behind.is_empty() && a.bound % 3 == 0,
        From::Sink(_) => false,
    };
    let Some(arc) = net.arcs.iter().position(free) else {
        return;
    };
    let From::Source(source) = net.arcs[arc].from else {
        return;
    };
    net.sources[source].carries = None;
    net.sinks[net.arcs[arc].to].carries = None;
    net.arcs[arc].kept = true;
    net.arcs[arc].bound = 0;
    let way = Way {
        kind: 0,
        length: 0,
        tight: false,
    };
    all[arc] = Ways {
        alone: vec![way],
        first: vec![way],
    };
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn nothing_tried_one_by_one_is_better(case in case()) {
        let answer = solve(&case.net, &mut case.clone(), 100_000);
        prop_assert!(answer.proved);
        let found = case.score_of(&answer.runs);
        prop_assert_eq!(found, Some(answer.score), "{:?}", answer);
        prop_assert_eq!(answer.score, case.best(), "{:?}", answer);
    }
}

#[test]
fn the_answer_is_the_same_each_time() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    for _ in 0..20 {
        let tree = case().new_tree(&mut runner).expect("a case");
        let case = proptest::strategy::ValueTree::current(&tree);
        let once = solve(&case.net, &mut case.clone(), 100_000);
        assert_eq!(once, solve(&case.net, &mut case.clone(), 100_000));
    }
}
