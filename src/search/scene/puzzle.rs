//! The exact search's problem for the tables of a scene.

use super::leads::{Ends, POINT};
use super::lessons::{Lessons, Never};
use super::tables::Tables;
use super::wish::{Aim, Wish};
use crate::model::Scene;
use crate::search::exact::{Problem, ProblemError};
use std::collections::BTreeSet;

/// An arrangement that others have to differ from in so many sites.
#[derive(Clone, Debug)]
pub(super) struct Unlike {
    /// The place of each part.
    pub(super) choice: Vec<usize>,
    pub(super) parts: usize,
}

/// What stands over the tables in one run of the search.
#[derive(Clone, Default)]
pub(super) struct Over<'a> {
    /// What was learned.
    pub(super) lessons: Option<&'a Lessons>,
    /// What is known to cost more than the tables say counts too.
    pub(super) costs: bool,
    pub(super) unlike: &'a [Unlike],
    /// No gap of this many micrometres or less.
    pub(super) above: Option<i64>,
}

/// What a demand of the problem is about.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Demand {
    /// A part goes in.
    GoesIn(crate::model::PartId),
    /// A cable is long enough.
    Reaches(crate::model::CableId),
    /// The gap wished for is kept.
    Gap,
}

/// The problem, and what its demands are about, in the order of their numbers.
pub(super) struct Puzzle {
    pub(super) problem: Problem,
    pub(super) demands: Vec<Demand>,
}

impl Puzzle {
    pub(super) fn build(
        t: &Tables,
        scene: &Scene,
        wish: &Wish,
        over: &Over,
    ) -> Result<Puzzle, ProblemError> {
        let mut p = Puzzle {
            problem: Problem::new(),
            demands: Vec::new(),
        };
        for mover in &t.movers {
            p.problem.add_part(mover.spots.len())?;
        }
        p.demand_parts(t, scene)?;
        p.alone(t, scene, wish, over)?;
        p.near(t, wish, over)?;
        p.held(t)?;
        p.leads(t)?;
        p.twins(t)?;
        if let Some(lessons) = over.lessons {
            for never in lessons.nevers() {
                p.never(t, never)?;
            }
            if over.costs {
                p.learned(t, lessons)?;
            }
        }
        for unlike in over.unlike {
            p.unlike(t, unlike)?;
        }
        Ok(p)
    }

    /// Large parts first: those are kept in an answer if possible.
    fn demand_parts(&mut self, t: &Tables, scene: &Scene) -> Result<(), ProblemError> {
        let bulk = |m: &usize| {
            let kind = scene.parts.get(&t.ids[*m]).map(|p| &p.kind);
            kind.map_or(0.0, |k| k.outline().volume_mm3())
        };
        let mut order: Vec<usize> = (0..t.movers.len()).collect();
        order.sort_by(|a, b| bulk(b).total_cmp(&bulk(a)).then(a.cmp(b)));
        for m in order {
            let id = &t.ids[m];
            let demand = self.demand(Demand::GoesIn(id.clone()), id.as_str());
            self.problem.require_part(m, demand)?;
        }
        Ok(())
    }

    fn demand(&mut self, about: Demand, name: &str) -> usize {
        self.demands.push(about);
        self.problem.add_demand(name)
    }

    fn alone(
        &mut self,
        t: &Tables,
        scene: &Scene,
        wish: &Wish,
        over: &Over,
    ) -> Result<(), ProblemError> {
        for m in 0..t.movers.len() {
            self.problem.add_cost(m, None, |s| {
                let gap = t.movers[m].spots[s].unary.gap;
                over.above
                    .is_none_or(|above| gap > above)
                    .then(|| alone(t, scene, wish, m, s))
            })?;
        }
        Ok(())
    }

    fn near(&mut self, t: &Tables, wish: &Wish, over: &Over) -> Result<(), ProblemError> {
        let caution = u64::from(wish.weights.of(Aim::Cautions)) * POINT;
        for near in &t.near {
            let met = |i: usize, j: usize| near.met.get(&(t.body[near.a][i], t.body[near.b][j]));
            self.problem.add_clash(near.a, near.b, None, |i, j| {
                met(i, j).is_some_and(|m| {
                    m.clash.is_some() || over.above.is_some_and(|above| m.gap <= above)
                })
            })?;
            if caution > 0 && near.met.values().any(|m| m.cautions > 0) {
                self.problem.add_pair_cost(near.a, near.b, None, |i, j| {
                    Some(met(i, j).map_or(0, |m| u64::from(m.cautions) * caution))
                })?;
            }
        }
        let Some(gap) = wish.gap else { return Ok(()) };
        let demand = self.demand(Demand::Gap, "gap");
        for near in &t.near {
            let met = |i: usize, j: usize| near.met.get(&(t.body[near.a][i], t.body[near.b][j]));
            self.problem
                .add_clash(near.a, near.b, Some(demand), |i, j| {
                    met(i, j).is_some_and(|m| m.gap < gap.as_um())
                })?;
        }
        for m in 0..t.movers.len() {
            let spots = &t.movers[m].spots;
            self.problem.add_cost(m, Some(demand), |s| {
                (spots[s].unary.gap >= gap.as_um()).then_some(0)
            })?;
        }
        Ok(())
    }

    fn held(&mut self, t: &Tables) -> Result<(), ProblemError> {
        for held in &t.held {
            self.problem.add_clash(held.a, held.b, None, |i, j| {
                held.by[i].as_ref().is_some_and(|by| !by.contains(&j))
            })?;
        }
        Ok(())
    }

    fn leads(&mut self, t: &Tables) -> Result<(), ProblemError> {
        for lead in &t.leads.leads {
            let about = Demand::Reaches(lead.cable.clone());
            let known = self.demands.iter().position(|d| *d == about);
            let demand = match known {
                Some(known) => known,
                None => self.demand(about, &lead.name),
            };
            // Whether it reaches belongs to the demand, what it costs does not; a rule of
            // both would cost nothing while the demand is off, which is as well.
            match &lead.ends {
                Ends::One(m, cost) => {
                    let body = &t.body[*m];
                    self.problem
                        .add_cost(*m, Some(demand), |s| cost[body[s] as usize])?;
                }
                Ends::Two(a, b, cost) => {
                    let (x, y) = (&t.body[*a], &t.body[*b]);
                    let columns = t.bodies[*b].len();
                    self.problem.add_pair_cost(*a, *b, Some(demand), |i, j| {
                        cost[x[i] as usize * columns + y[j] as usize]
                    })?;
                }
            }
        }
        Ok(())
    }

    /// Of twins the one with the smaller number takes the earlier place.
    fn twins(&mut self, t: &Tables) -> Result<(), ProblemError> {
        for group in &t.twins {
            for pair in group.windows(2) {
                self.problem
                    .add_clash(pair[0], pair[1], None, |i, j| i >= j)?;
            }
        }
        Ok(())
    }

    /// What places cost more than the tables say.
    fn learned(&mut self, t: &Tables, lessons: &Lessons) -> Result<(), ProblemError> {
        for (m, more) in lessons.alone() {
            let body = &t.body[m];
            self.problem
                .add_cost(m, None, |s| Some(more.get(&body[s]).copied().unwrap_or(0)))?;
        }
        for ((a, b), more) in lessons.pairs() {
            let (x, y) = (&t.body[a], &t.body[b]);
            self.problem.add_pair_cost(a, b, None, |i, j| {
                Some(more.get(&(x[i], y[j])).copied().unwrap_or(0))
            })?;
        }
        Ok(())
    }

    fn never(&mut self, t: &Tables, never: &Never) -> Result<(), ProblemError> {
        let on = |m: usize, body: u32| move |s: usize| t.body[m][s] == body;
        match never.of.as_slice() {
            [] => Ok(()),
            [(m, body)] => self
                .problem
                .add_cost(*m, None, |s| (!on(*m, *body)(s)).then_some(0)),
            [(a, x), (b, y)] => self
                .problem
                .add_clash(*a, *b, None, |i, j| on(*a, *x)(i) && on(*b, *y)(j)),
            // One more part says which of them is elsewhere.
            many => {
                let which = self.problem.add_part(many.len())?;
                for (k, (m, body)) in many.iter().enumerate() {
                    self.problem
                        .add_clash(which, *m, None, |w, s| w == k && on(*m, *body)(s))?;
                }
                Ok(())
            }
        }
    }

    /// One more part says which of the parts stand at another site.
    fn unlike(&mut self, t: &Tables, unlike: &Unlike) -> Result<(), ProblemError> {
        let free: Vec<usize> = (0..t.movers.len())
            .filter(|m| {
                t.site[*m]
                    .iter()
                    .any(|s| *s != t.site[*m][unlike.choice[*m]])
            })
            .collect();
        let sets = subsets(&free, unlike.parts);
        let which = self.problem.add_part(sets.len())?;
        for m in free {
            let own = t.site[m][unlike.choice[m]];
            self.problem.add_clash(which, m, None, |w, s| {
                sets[w].contains(&m) && t.site[m][s] == own
            })?;
        }
        Ok(())
    }
}

/// What a place costs by itself.
pub(super) fn alone(t: &Tables, scene: &Scene, wish: &Wish, m: usize, s: usize) -> u64 {
    let spot = &t.movers[m].spots[s];
    let weigh = |aim| u64::from(wish.weights.of(aim)) * POINT;
    let points = wish.kind_points.get(&t.ids[m]);
    let kind = points.and_then(|p| p.get(spot.kind)).copied().unwrap_or(0);
    let moved = u64::from(moves(t, scene, m, s)) * weigh(Aim::PartsMoved);
    let way = match (wish.gently, t.movers[m].now) {
        (true, Some(now)) => (now.at.distance_mm(spot.place().at) as u64).min(POINT),
        _ => 0,
    };
    kind * POINT + moved + way + u64::from(spot.unary.cautions) * weigh(Aim::Cautions)
}

/// Whether a part that takes this place counts as moved: no twin of it stands there now.
fn moves(t: &Tables, scene: &Scene, m: usize, s: usize) -> bool {
    let spot = &t.movers[m].spots[s];
    let there = |n: &usize| {
        t.movers[*n].now.is_some_and(|now| {
            let same = now.at == spot.place().at && now.turn == spot.place().turn;
            let kind = scene.parts.get(&t.ids[*n]).map(|p| &p.kind.id);
            same && kind == Some(&spot.part.kind.id)
        })
    };
    match t.twins.iter().find(|g| g.contains(&m)) {
        Some(group) => !group.iter().any(there),
        None => !there(&m),
    }
}

/// All sets of so many of the items, at most two; none at all if there are too few.
fn subsets(items: &[usize], size: usize) -> Vec<BTreeSet<usize>> {
    match size {
        0 => vec![BTreeSet::new()],
        1 => items.iter().map(|i| BTreeSet::from([*i])).collect(),
        _ => {
            let pairs = items
                .iter()
                .enumerate()
                .flat_map(|(k, a)| items[k + 1..].iter().map(move |b| BTreeSet::from([*a, *b])));
            pairs.collect()
        }
    }
}
