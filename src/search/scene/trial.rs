//! A choice of places put into the scene and judged by all rules.

use super::answer::{AtHand, Figures};
use super::beyond::Beyond;
use super::leads::Price;
use super::lessons::Never;
use super::pair::Meeting;
use super::puzzle::alone;
use super::tables::{Tables, without};
use super::wish::{Aim, WIDE_GAP, Wish};
use crate::edit::{self, Edit, Touched};
use crate::geom::Length;
use crate::model::{CableId, Catalogue, PartId, Scene, Settings};
use crate::rules::{Checker, Finding, Severity, Subject};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Rules whose stop between some parts cannot end because others are there too.
const LASTING: [&str; 8] = [
    "clash",
    "outside",
    "opening-missed",
    "depth-short",
    "cable-short",
    "plug-space",
    "port-twice",
    "port-unmatched",
];

/// Puts choices into the scene.
pub(super) struct Trial<'a> {
    /// The scene as it is.
    pub(super) at_hand: &'a Scene,
    /// The same, straight where a cable's end may move.
    pub(super) base: &'a Scene,
    pub(super) wish: &'a Wish,
    pub(super) tables: &'a Tables,
    pub(super) catalogue: Arc<Catalogue>,
    pub(super) price: Price,
    /// Ends long work.
    pub(super) stop: &'a (dyn Fn() -> bool + Sync),
    /// Cables that run through something or bend too tightly at first: those that do not find
    /// their own way may do so.
    pub(super) was_wanting: BTreeSet<CableId>,
    /// How many cables were led so far.
    pub(super) led: usize,
    /// What stretches that are led along chosen ties on the desk cost on ways without.
    pub(super) untied: BTreeMap<(CableId, usize), u64>,
    /// Keys of cautions that places of the movable parts do not decide on.
    pub(super) constant: BTreeSet<String>,
    /// The scene as it was tried last, and its checker.
    pub(super) scene: Scene,
    pub(super) checker: Checker,
}

/// How an arrangement does.
#[derive(Clone, Debug)]
pub(super) struct Verdict {
    /// Open stop findings.
    pub(super) stops: Vec<Finding>,
    /// In hundredths of a point, all aims together; sound ones only.
    pub(super) cost: u64,
    /// The part of it that the smallest gap does not decide.
    pub(super) sum: u64,
    /// The smallest gap in micrometres, as far as it counts.
    pub(super) gap: i64,
    pub(super) figures: Figures,
    /// What it costs that the tables do not know.
    pub(super) beyond: Vec<Beyond>,
}

impl<'a> Trial<'a> {
    pub(super) fn new(
        at_hand: &'a Scene,
        base: &'a Scene,
        wish: &'a Wish,
        tables: &'a Tables,
        settings: &Arc<Settings>,
        catalogue: &Arc<Catalogue>,
        stop: &'a (dyn Fn() -> bool + Sync),
    ) -> Trial<'a> {
        let mut checker = Checker::new(settings.clone()).with_catalogue(catalogue.clone());
        checker.check_all(base);
        let mut trial = Trial {
            at_hand,
            base,
            wish,
            tables,
            catalogue: catalogue.clone(),
            price: Price::new(wish, settings),
            stop,
            was_wanting: BTreeSet::new(),
            led: 0,
            untied: BTreeMap::new(),
            constant: BTreeSet::new(),
            scene: base.clone(),
            checker,
        };
        trial.was_wanting = trial.wanting();
        let bare = match tables.movers.iter().all(|m| !m.spots.is_empty()) {
            true => trial.only(&vec![0; tables.ids.len()], &BTreeSet::new()),
            false => without(base, &tables.ids),
        };
        trial.look(bare);
        trial.lay();
        trial.constant = trial.cautions().map(super::beyond::key).collect();
        trial
    }

    /// The scene with a choice put in.
    pub(super) fn scene_of(&self, choice: &[usize]) -> Scene {
        let mut scene = self.base.clone();
        for (m, s) in self.given(choice) {
            let spot = &self.tables.movers[m].spots[s];
            let id = &self.tables.ids[m];
            let kind = &spot.part.kind;
            let own = scene.parts.get(id).map(|p| p.kind.id.clone());
            if own.as_ref() != Some(&kind.id) {
                self.apply(&mut scene, &Edit::SetKind(id.clone(), kind.clone()));
            }
            self.apply(&mut scene, &Edit::SetPlace(id.clone(), Some(*spot.place())));
        }
        scene
    }

    pub(super) fn apply(&self, scene: &mut Scene, edit: &Edit) {
        let done = edit::apply(scene, edit);
        debug_assert!(done.is_ok(), "places of the tables are sound: {done:?}");
    }

    /// The place of each part; twins keep theirs where one of them takes it.
    fn given(&self, choice: &[usize]) -> Vec<(usize, usize)> {
        let t = self.tables;
        let mut all: Vec<(usize, usize)> = choice
            .iter()
            .copied()
            .enumerate()
            .take(t.ids.len())
            .collect();
        for group in &t.twins {
            let mut left: Vec<usize> = group.iter().map(|m| choice[*m]).collect();
            let stays = |m: usize, s: usize| {
                let place = t.movers[m].spots[s].place();
                t.movers[m]
                    .now
                    .is_some_and(|n| n.at == place.at && n.turn == place.turn)
            };
            let mut open = Vec::new();
            for m in group {
                match left.iter().position(|s| stays(*m, *s)) {
                    Some(k) => all[*m].1 = left.remove(k),
                    None => open.push(*m),
                }
            }
            for (m, s) in open.into_iter().zip(left) {
                all[m].1 = s;
            }
        }
        all
    }

    /// Judges a choice by all rules. Cables whose ends stay are led as they are, all others
    /// straight, or on ways of their own where that is not free; where that comes to a stop,
    /// those that stay are led anew too. What was judged is on the desk then.
    pub(super) fn judge(&mut self, choice: &[usize]) -> Verdict {
        let scene = self.scene_of(choice);
        if let Some(kept) = self.kept(&scene) {
            let verdict = self.tried_with(kept, choice);
            if verdict.stops.is_empty() {
                return verdict;
            }
        }
        self.tried_with(scene, choice)
    }

    fn tried_with(&mut self, scene: Scene, choice: &[usize]) -> Verdict {
        self.look(scene);
        if self.wish.longer_cables {
            self.lengthen();
        }
        if self.stops().is_empty() && self.lay() && self.wish.longer_cables {
            self.lengthen();
        }
        self.untie();
        self.value(choice)
    }

    /// What the scene on the desk comes to, in which a choice stands.
    pub(super) fn value(&self, choice: &[usize]) -> Verdict {
        let (tables, gap) = self.tables_cost(choice);
        let beyond = self.beyond(choice);
        let extra: u64 = beyond.iter().map(|b| b.cost).sum();
        let sum = tables + self.leads_cost(choice) + extra;
        Verdict {
            stops: self.stops(),
            cost: sum + gap_cost(self.wish, gap),
            sum,
            gap,
            figures: self.figures(gap),
            beyond,
        }
    }

    fn figures(&self, gap: i64) -> Figures {
        let runs = self.checker.runs().values();
        Figures {
            cables: runs.fold(Length::ZERO, |sum, run| sum + run.needed),
            cautions: self.cautions().filter(|f| f.rule != "way-blocked").count(),
            blocked: self.blocked().len(),
            movable_gap: (gap < WIDE_GAP.as_um()).then_some(Length::um(gap)),
            moved: self.moved(),
        }
    }

    /// The scene tried last.
    pub(super) fn tried(&self) -> &Scene {
        &self.scene
    }

    /// What the arrangement that the search starts from comes to, as it is led.
    pub(super) fn value_at_hand(&mut self) -> AtHand {
        let scene = self.at_hand;
        self.look(scene.clone());
        self.untie();
        let stands = self.tables.movers.iter().map(|m| {
            let now = m.now?;
            let own = |s: &super::spot::Spot| {
                let kind = scene.parts.get(&m.id).map(|p| &p.kind.id);
                (s.place().at, s.place().turn, Some(&s.part.kind.id)) == (now.at, now.turn, kind)
            };
            m.spots.iter().position(own)
        });
        let choice: Option<Vec<usize>> = stands.collect();
        let stops = self.stops().len();
        let verdict = choice.map(|c| self.value(&c));
        let points = verdict.as_ref().filter(|_| stops == 0).map(|v| v.cost);
        AtHand {
            points: points.map(super::seek::points),
            stops,
            figures: match verdict {
                Some(v) => v.figures,
                None => self.figures(WIDE_GAP.as_um()),
            },
        }
    }

    fn moved(&self) -> usize {
        let (was, is) = (self.base.arrangement(), self.scene.arrangement());
        let ids = self.tables.ids.iter();
        ids.filter(|id| {
            let place = |p: &crate::model::Place| (p.at, p.turn);
            let kind = |s: &Scene| s.parts.get(*id).map(|p| p.kind.id.clone());
            was.places.get(*id).map(place) != is.places.get(*id).map(place)
                || kind(self.base) != kind(&self.scene)
        })
        .count()
    }

    /// What the tables say, and the smallest gap in micrometres.
    fn tables_cost(&self, choice: &[usize]) -> (u64, i64) {
        let t = self.tables;
        let mut gap = WIDE_GAP.as_um();
        let mut cost = 0;
        for (m, spot) in choice.iter().copied().enumerate().take(t.ids.len()) {
            gap = gap.min(t.movers[m].spots[spot].unary.gap);
            cost += alone(t, self.base, self.wish, m, spot);
        }
        let caution = u64::from(self.wish.weights.of(Aim::Cautions)) * super::leads::POINT;
        for near in &t.near {
            let key = (
                t.body[near.a][choice[near.a]],
                t.body[near.b][choice[near.b]],
            );
            let met: Meeting = near.met.get(&key).copied().unwrap_or(Meeting::FAR);
            gap = gap.min(met.gap);
            cost += u64::from(met.cautions) * caution;
        }
        (cost, gap)
    }

    pub(super) fn look(&mut self, scene: Scene) {
        let touched = Touched::between(&self.scene, &scene);
        self.scene = scene;
        self.checker.update(&self.scene, &touched);
    }

    pub(super) fn stops(&self) -> Vec<Finding> {
        let all = self.checker.findings().into_iter();
        all.filter(|f| f.severity == Severity::Stop)
            .filter(|f| self.checker.is_accepted(&self.scene, f).is_none())
            .cloned()
            .collect()
    }

    /// Takes the next longer cable where that is all that is wrong with it.
    fn lengthen(&mut self) {
        let edits: Vec<Edit> = self
            .checker
            .findings()
            .into_iter()
            .filter(|f| f.rule == "cable-short")
            .filter_map(|f| f.fix.clone())
            .flatten()
            .collect();
        if edits.is_empty() {
            return;
        }
        let mut scene = self.scene.clone();
        for edit in &edits {
            self.apply(&mut scene, edit);
        }
        self.look(scene);
    }

    /// What can be learned from a stop finding of a choice: which of the parts cannot
    /// stand like this together. Tries whether those that the finding names are enough.
    pub(super) fn learn(&mut self, choice: &[usize], stop: &Finding) -> Never {
        let all: BTreeSet<usize> = (0..self.tables.ids.len()).collect();
        let named = self.named(stop);
        let may = LASTING.contains(&stop.rule) && !named.is_empty() && named.len() < all.len();
        let stays = may && {
            let only = self.only(choice, &named);
            let kept = self.kept(&only);
            let there = |t: &Self| t.stops().iter().any(|f| f.key() == stop.key());
            self.look(only);
            // However the cables are led.
            there(self) || {
                self.lay();
                there(self)
                    && kept.is_none_or(|kept| {
                        self.look(kept);
                        self.lay();
                        there(self)
                    })
            }
        };
        let of = self.choosing(if stays { &named } else { &all });
        Never {
            of: self.bodies(choice, &of),
        }
    }

    /// True where a part has one place only: it is there in every arrangement.
    fn is_given(&self, m: usize) -> bool {
        self.tables.bodies[m].len() == 1
    }

    /// Of these parts those that have a choice; one where none has.
    pub(super) fn choosing(&self, movers: &BTreeSet<usize>) -> BTreeSet<usize> {
        let free = movers.iter().copied().filter(|m| !self.is_given(*m));
        let free: BTreeSet<usize> = free.collect();
        match free.is_empty() {
            true => movers.iter().copied().take(1).collect(),
            false => free,
        }
    }

    /// The scene with a choice put in, without the movable parts but these and those that
    /// have one place only.
    pub(super) fn only(&self, choice: &[usize], movers: &BTreeSet<usize>) -> Scene {
        let numbers = 0..self.tables.ids.len();
        let others = numbers.filter(|m| !movers.contains(m) && !self.is_given(*m));
        let others: Vec<PartId> = others.map(|m| self.tables.ids[m].clone()).collect();
        without(&self.scene_of(choice), &others)
    }

    /// These parts, numbered as the search has them, with their bodies.
    pub(super) fn bodies(&self, choice: &[usize], movers: &BTreeSet<usize>) -> Vec<(usize, u32)> {
        let given = self.given(choice);
        let of = movers.iter().map(|m| {
            // Of twins, the one that the search has at this place.
            let s = given[*m].1;
            let group = self.tables.twins.iter().find(|g| g.contains(m));
            let at_it = |n: &usize| choice[*n] == s;
            let n = group.and_then(|g| g.iter().copied().find(at_it));
            (n.unwrap_or(*m), self.tables.body[*m][s])
        });
        let mut of: Vec<(usize, u32)> = of.collect();
        of.sort_unstable();
        of
    }

    /// Movable parts that a finding names.
    pub(super) fn named(&self, stop: &Finding) -> BTreeSet<usize> {
        let mut ids: BTreeSet<&PartId> = BTreeSet::new();
        for s in &stop.subjects {
            match s {
                Subject::Part(id) => _ = ids.insert(id),
                Subject::Port(port) => _ = ids.insert(&port.part),
                Subject::Zone(zone) => ids.extend(zone.part.iter()),
                Subject::Cable(id) => {
                    let cable = self.base.arrangement().cables.get(id);
                    ids.extend(cable.iter().flat_map(|c| c.ports().map(|p| &p.part)));
                }
                Subject::Plate(_) | Subject::Opening(_) => {}
            }
        }
        let numbers = self.tables.ids.iter().enumerate();
        let named = numbers.filter(|(_, id)| ids.contains(id));
        named.map(|(m, _)| m).collect()
    }
}

/// Points for a smallest gap, in hundredths.
pub(super) fn gap_cost(wish: &Wish, gap: i64) -> u64 {
    let missing = (WIDE_GAP.as_um() - gap).max(0) as u64;
    missing * u64::from(wish.weights.of(Aim::MovableGap)) * super::leads::POINT / 1000
}
