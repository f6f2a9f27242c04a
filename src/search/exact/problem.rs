//! The question: parts, their candidates, and what candidates cost or forbid, alone or in pairs.

use super::bits::BitMatrix;

/// Marks a forbidden entry of a stored cost table.
pub(super) const NEVER: u64 = u64::MAX;
/// Largest sum of the dearest entries of all rules.
const MAX_TOTAL: u64 = 1 << 50;
/// Most candidates of one part.
const MAX_CANDIDATES: usize = 1 << 16;

/// Why a rule was not taken into a [`Problem`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ProblemError {
    /// A part number that [`Problem::add_part`] never gave out.
    #[error("there is no part {0}")]
    UnknownPart(usize),
    /// A demand number that [`Problem::add_demand`] never gave out.
    #[error("there is no demand {0}")]
    UnknownDemand(usize),
    /// A pair rule between a part and itself.
    #[error("part {0} cannot be paired with itself")]
    SamePart(usize),
    /// More than 65 536 candidates for one part.
    #[error("{0} candidates are too many for one part")]
    TooManyCandidates(usize),
    /// The dearest entries of all rules together pass 2^50.
    #[error("the costs are too large to be added exactly")]
    CostTooLarge,
    /// [`Problem::require_part`] for a part that rules already count on.
    #[error("part {0} was taken as always there by a rule before")]
    RequiredTooLate(usize),
}

/// What a rule says.
pub(super) enum RuleKind {
    /// Cost of each candidate of a part, [`NEVER`] where forbidden.
    One { part: usize, cost: Vec<u64> },
    /// Pairs of candidates that exclude each other.
    Clash { a: usize, b: usize, hit: BitMatrix },
    /// Cost of each pair of candidates, row-major by `a`, [`NEVER`] where forbidden.
    Pair { a: usize, b: usize, cost: Vec<u64> },
}

pub(super) struct Rule {
    pub(super) demand: Option<usize>,
    pub(super) kind: RuleKind,
}

struct Part {
    candidates: usize,
    demand: Option<usize>,
    /// Candidates that no arrangement takes, by the rules without a demand: what else is said of
    /// them is not asked.
    dead: Vec<bool>,
    /// Whether candidates of other parts are dead because this part is always there.
    counted_on: bool,
}

/// An arrangement question: every part takes exactly one of its candidates.
///
/// Rules forbid candidates or pairs of candidates of different parts, and give them costs; the
/// cost of an arrangement is the sum over all rules. Rules and parts may belong to a named
/// demand (see [`Problem::add_demand`]), which [`minimal_conflict`](super::minimal_conflict)
/// switches off to find out which demands cannot hold together.
#[derive(Default)]
pub struct Problem {
    parts: Vec<Part>,
    rules: Vec<Rule>,
    demands: Vec<String>,
    total: u64,
    /// Whether rules came in that may rule out more candidates.
    unsettled: bool,
    /// Whether the rules without a demand alone leave some part nothing.
    stuck: bool,
}

impl Problem {
    /// No parts, no rules: its one arrangement is empty and costs nothing.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a part with so many candidates (none makes the problem infeasible) and gives its
    /// number: 0, 1, 2 and so on.
    ///
    /// # Errors
    /// [`ProblemError::TooManyCandidates`] above 65 536.
    pub fn add_part(&mut self, candidates: usize) -> Result<usize, ProblemError> {
        if candidates > MAX_CANDIDATES {
            return Err(ProblemError::TooManyCandidates(candidates));
        }
        self.parts.push(Part {
            candidates,
            demand: None,
            dead: vec![false; candidates],
            counted_on: false,
        });
        Ok(self.parts.len() - 1)
    }

    /// Adds a demand by name and gives its number: 0, 1, 2 and so on.
    pub fn add_demand(&mut self, name: impl Into<String>) -> usize {
        self.demands.push(name.into());
        self.demands.len() - 1
    }

    /// Says that `part` need only be there while `demand` is on. Comes before the pair rules of
    /// the part.
    ///
    /// # Errors
    /// An unknown part or demand; [`ProblemError::RequiredTooLate`] where a pair rule without a
    /// demand has already left a candidate of another part without a partner here.
    pub fn require_part(&mut self, part: usize, demand: usize) -> Result<(), ProblemError> {
        self.check(part, Some(demand))?;
        if self.parts[part].counted_on {
            return Err(ProblemError::RequiredTooLate(part));
        }
        self.parts[part].demand = Some(demand);
        Ok(())
    }

    /// Cost of each candidate of one part; `None` forbids it.
    ///
    /// # Errors
    /// An unknown part or demand, or costs whose sum is too large.
    pub fn add_cost(
        &mut self,
        part: usize,
        demand: Option<usize>,
        mut cost: impl FnMut(usize) -> Option<u64>,
    ) -> Result<(), ProblemError> {
        self.check(part, demand)?;
        let cost: Vec<u64> = (0..self.candidates(part))
            .map(|c| cost(c).unwrap_or(NEVER))
            .collect();
        self.count(&cost)?;
        if demand.is_none() {
            let dead = &mut self.parts[part].dead;
            dead.iter_mut()
                .zip(&cost)
                .for_each(|(d, &c)| *d |= c == NEVER);
        }
        let kind = RuleKind::One { part, cost };
        self.rules.push(Rule { demand, kind });
        Ok(())
    }

    /// Candidates of two parts that exclude each other. Not asked for candidates that earlier
    /// rules without a demand have ruled out, nor once they leave some part nothing: costs, which
    /// rule out most, come first at best.
    ///
    /// # Errors
    /// Unknown parts or demand, or the same part twice.
    pub fn add_clash(
        &mut self,
        a: usize,
        b: usize,
        demand: Option<usize>,
        mut clash: impl FnMut(usize, usize) -> bool,
    ) -> Result<(), ProblemError> {
        self.check_pair(a, b, demand)?;
        let (rows, columns) = (self.candidates(a), self.candidates(b));
        self.settle();
        if self.stuck {
            return Ok(());
        }
        let (dead_a, dead_b) = (&self.parts[a].dead, &self.parts[b].dead);
        let hit = if dead_a.contains(&true) || dead_b.contains(&true) {
            let mut asked = |i: usize, j: usize| !dead_a[i] && !dead_b[j] && clash(i, j);
            BitMatrix::new(rows, columns, &mut asked)
        } else {
            BitMatrix::new(rows, columns, &mut clash)
        };
        if hit.any() {
            let kind = RuleKind::Clash { a, b, hit };
            self.rules.push(Rule { demand, kind });
        }
        Ok(())
    }

    /// Cost of each pair of candidates of two parts; `None` forbids it. Not asked for candidates
    /// that earlier rules without a demand have ruled out.
    ///
    /// # Errors
    /// Unknown parts or demand, the same part twice, or costs whose sum is too large.
    pub fn add_pair_cost(
        &mut self,
        a: usize,
        b: usize,
        demand: Option<usize>,
        mut cost: impl FnMut(usize, usize) -> Option<u64>,
    ) -> Result<(), ProblemError> {
        self.check_pair(a, b, demand)?;
        let (rows, columns) = (self.candidates(a), self.candidates(b));
        let mut table = Vec::with_capacity(rows * columns);
        let (dead_a, dead_b) = (&self.parts[a].dead, &self.parts[b].dead);
        for (i, &row) in dead_a.iter().enumerate() {
            let dead = |j: usize| row || dead_b[j];
            table.extend((0..columns).map(|j| match dead(j) {
                true => NEVER,
                false => cost(i, j).unwrap_or(NEVER),
            }));
        }
        self.count(&table)?;
        self.unsettled |= demand.is_none();
        let kind = RuleKind::Pair { a, b, cost: table };
        self.rules.push(Rule { demand, kind });
        Ok(())
    }

    /// Number of parts.
    pub fn parts(&self) -> usize {
        self.parts.len()
    }

    /// Number of candidates of `part`.
    ///
    /// # Panics
    /// If there is no such part.
    pub fn candidates(&self, part: usize) -> usize {
        self.parts[part].candidates
    }

    /// Names of the demands, in the order of their numbers.
    pub fn demands(&self) -> &[String] {
        &self.demands
    }

    /// Cost of an arrangement, one candidate a part, from the rules alone; `None` where a rule
    /// forbids it, or where it does not name exactly one existing candidate for every part.
    pub fn cost_of(&self, choice: &[usize]) -> Option<u64> {
        let fits = choice.len() == self.parts.len()
            && choice
                .iter()
                .zip(&self.parts)
                .all(|(&c, p)| c < p.candidates);
        if !fits {
            return None;
        }
        let mut total = 0;
        for rule in &self.rules {
            total += match &rule.kind {
                RuleKind::One { part, cost } => Some(cost[choice[*part]]),
                RuleKind::Clash { a, b, hit } => (!hit.get(choice[*a], choice[*b])).then_some(0),
                RuleKind::Pair { a, b, cost } => {
                    Some(cost[choice[*a] * self.parts[*b].candidates + choice[*b]])
                }
            }
            .filter(|&c| c != NEVER)?;
        }
        Some(total)
    }

    /// Sum of the dearest allowed entries of all rules: no arrangement costs more.
    pub(super) fn total(&self) -> u64 {
        self.total
    }

    pub(super) fn rules(&self) -> &[Rule] {
        &self.rules
    }

    pub(super) fn part_demand(&self, part: usize) -> Option<usize> {
        self.parts[part].demand
    }

    /// Rules out the candidates that a part which is always there has no partner for, until
    /// nothing changes.
    fn settle(&mut self) {
        let mut changed = std::mem::take(&mut self.unsettled);
        while changed {
            changed = false;
            for rule in self.rules.iter().filter(|r| r.demand.is_none()) {
                if let RuleKind::Pair { a, b, cost } = &rule.kind {
                    let (a, b) = (*a, *b);
                    let width = self.parts[b].candidates;
                    let never = |i: usize, j: usize| cost[i * width + j] == NEVER;
                    changed |= bury(&mut self.parts, a, b, never);
                    changed |= bury(&mut self.parts, b, a, |j, i| never(i, j));
                }
            }
        }
        let stuck = |p: &&mut Part| p.demand.is_none() && !p.dead.contains(&false);
        for part in self.parts.iter_mut().filter(stuck) {
            part.counted_on = true;
            self.stuck = true;
        }
    }

    /// Whether rules without a demand rule a candidate out by themselves. With all demands on,
    /// no arrangement takes it; others rule out more.
    pub(super) fn is_dead(&self, part: usize, candidate: usize) -> bool {
        self.parts[part].dead[candidate]
    }

    fn check(&self, part: usize, demand: Option<usize>) -> Result<(), ProblemError> {
        if part >= self.parts.len() {
            return Err(ProblemError::UnknownPart(part));
        }
        match demand {
            Some(d) if d >= self.demands.len() => Err(ProblemError::UnknownDemand(d)),
            _ => Ok(()),
        }
    }

    fn check_pair(&self, a: usize, b: usize, demand: Option<usize>) -> Result<(), ProblemError> {
        self.check(a, demand)?;
        self.check(b, demand)?;
        if a == b {
            return Err(ProblemError::SamePart(a));
        }
        Ok(())
    }

    fn count(&mut self, table: &[u64]) -> Result<(), ProblemError> {
        let top = table.iter().copied().filter(|&c| c != NEVER).max();
        let total = self.total.saturating_add(top.unwrap_or(0));
        if total > MAX_TOTAL {
            return Err(ProblemError::CostTooLarge);
        }
        self.total = total;
        Ok(())
    }
}

/// Rules out the candidates of `part` for which `other` has no partner, if `other` is always
/// there; whether there were any.
fn bury(
    parts: &mut [Part],
    part: usize,
    other: usize,
    never: impl Fn(usize, usize) -> bool,
) -> bool {
    if parts[other].demand.is_some() {
        return false;
    }
    let alone = |i: usize| {
        let mut partners = parts[other].dead.iter().enumerate();
        partners.all(|(j, dead)| *dead || never(i, j))
    };
    let dead = &parts[part].dead;
    let buried: Vec<usize> = (0..dead.len()).filter(|&i| !dead[i] && alone(i)).collect();
    for &i in &buried {
        parts[part].dead[i] = true;
    }
    parts[other].counted_on |= !buried.is_empty();
    !buried.is_empty()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_for_parts_that_do_not_exist_are_refused() {
        let mut p = Problem::new();
        let a = p.add_part(2).unwrap();
        let b = p.add_part(3).unwrap();
        let never = |_: usize, _: usize| false;
        assert_eq!(
            p.add_clash(a, 9, None, never),
            Err(ProblemError::UnknownPart(9))
        );
        assert_eq!(
            p.add_clash(b, b, None, never),
            Err(ProblemError::SamePart(b))
        );
        assert_eq!(
            p.add_cost(a, Some(0), |_| None),
            Err(ProblemError::UnknownDemand(0))
        );
        assert_eq!(
            p.add_cost(a, None, |_| Some(1 << 60)),
            Err(ProblemError::CostTooLarge)
        );
        let many = MAX_CANDIDATES + 1;
        assert_eq!(p.add_part(many), Err(ProblemError::TooManyCandidates(many)));
    }

    #[test]
    fn the_cost_of_a_choice_adds_all_rules() {
        let mut p = Problem::new();
        let a = p.add_part(2).unwrap();
        let b = p.add_part(2).unwrap();
        p.add_cost(a, None, |c| Some(c as u64)).unwrap();
        p.add_pair_cost(b, a, None, |i, j| (i != j).then_some(10))
            .unwrap();
        p.add_clash(a, b, None, |i, j| i == 0 && j == 1).unwrap();
        assert_eq!(p.cost_of(&[1, 0]), Some(11));
        assert_eq!(p.cost_of(&[0, 1]), None, "excluded");
        assert_eq!(p.cost_of(&[0, 0]), None, "forbidden pair");
        assert_eq!(p.cost_of(&[0]), None, "a part is missing");
        assert_eq!(p.cost_of(&[0, 2]), None, "no such candidate");
        assert_eq!(p.total(), 11);
    }

    #[test]
    fn what_is_ruled_out_is_not_asked_again() {
        let mut p = Problem::new();
        let (a, b) = (p.add_part(3).unwrap(), p.add_part(2).unwrap());
        let c = p.add_part(2).unwrap();
        let demand = p.add_demand("d");
        p.require_part(c, demand).unwrap();
        p.add_cost(a, None, |i| (i != 0).then_some(0)).unwrap();
        // Leaves 1 of a without a partner, and 0 of b, as what it goes with is ruled out.
        p.add_pair_cost(a, b, None, |i, j| {
            assert_ne!(i, 0);
            (i == 2 && j == 1).then_some(1)
        })
        .unwrap();
        p.add_clash(a, b, None, |i, j| {
            assert_eq!((i, j), (2, 1));
            false
        })
        .unwrap();
        assert_eq!(p.cost_of(&[2, 1, 0]), Some(1));
        assert!((0..2).all(|i| p.cost_of(&[i, 1, 0]).is_none()));
        // A part that may be left out rules out nothing of others.
        p.add_pair_cost(c, b, None, |_, _| None).unwrap();
        p.add_clash(b, c, None, |_, _| true).unwrap();
        assert!(!p.is_dead(b, 1) && p.is_dead(c, 0));
        assert_eq!(
            p.require_part(b, demand),
            Err(ProblemError::RequiredTooLate(b))
        );
    }
}
