//! A choice of places put into the scene and judged by all rules.

use super::leads::{Price, Rest};
use super::pair::Meeting;
use super::puzzle::{Never, alone};
use super::tables::{Tables, without};
use super::wish::{Aim, WIDE_GAP, Wish};
use crate::edit::{self, Edit, Touched};
use crate::geom::Length;
use crate::model::{Catalogue, PartId, Scene, Settings};
use crate::rules::{Checker, Finding, Severity, Subject};
use std::collections::BTreeSet;
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
    base: &'a Scene,
    wish: &'a Wish,
    tables: &'a Tables,
    catalogue: Arc<Catalogue>,
    price: Price,
    /// The scene as it was tried last, and its checker.
    scene: Scene,
    checker: Checker,
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
}

/// What an arrangement comes to.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Figures {
    /// What all cables and hoses need together.
    pub cables: Length,
    /// Open findings of severity caution, of all rules but the one on ways.
    pub cautions: usize,
    /// Cables that run through something as they are led: to be led anew.
    pub blocked: usize,
    /// Smallest gap between a movable part and anything that it does not hold to;
    /// `None` where it is 10 mm or more.
    pub smallest_gap: Option<Length>,
    /// Parts that do not stay where they are.
    pub moved: usize,
}

impl Figures {
    /// Cables that are to be led anew, in words; nothing where there are none.
    pub fn ways_words(&self) -> String {
        match self.blocked {
            0 => String::new(),
            1 => ", 1 cable to be led anew".to_owned(),
            n => format!(", {n} cables to be led anew"),
        }
    }

    /// The smallest gap around what may move, in words. What only touches is no gap in the comparison, which
    /// looks at all parts; here it is said, for it counts as nothing between them.
    pub fn gap_words(&self) -> String {
        match self.smallest_gap {
            Some(Length::ZERO) => "none, touching".to_owned(),
            Some(gap) => format!("{} mm", gap.text1()),
            None => "10 mm or more".to_owned(),
        }
    }
}

impl<'a> Trial<'a> {
    pub(super) fn new(
        base: &'a Scene,
        wish: &'a Wish,
        tables: &'a Tables,
        settings: &Arc<Settings>,
        catalogue: &Arc<Catalogue>,
    ) -> Trial<'a> {
        let mut checker = Checker::new(settings.clone()).with_catalogue(catalogue.clone());
        checker.check_all(base);
        Trial {
            base,
            wish,
            tables,
            catalogue: catalogue.clone(),
            price: Price::new(wish, settings),
            scene: base.clone(),
            checker,
        }
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

    fn apply(&self, scene: &mut Scene, edit: &Edit) {
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

    /// Judges a choice by all rules.
    pub(super) fn judge(&mut self, choice: &[usize]) -> Verdict {
        let scene = self.scene_of(choice);
        self.look(scene);
        if self.wish.longer_cables {
            self.lengthen();
        }
        let stops = self.stops();
        let (mut cost, gap) = self.tables_cost(choice);
        let mut cables = Length::ZERO;
        for (id, run) in self.checker.runs() {
            cables += run.needed;
            for (index, stretch) in run.stretches.iter().enumerate() {
                let moving = [&stretch.from.part, &stretch.to.part];
                if !moving.into_iter().any(|p| self.tables.ids.contains(p)) {
                    continue;
                }
                let rest = Rest::of(&self.scene, &self.catalogue, id, index);
                cost += self.price.of(stretch, &rest).unwrap_or(0);
            }
        }
        let open = self.checker.findings().into_iter().filter(|f| {
            f.severity == Severity::Caution && self.checker.is_accepted(&self.scene, f).is_none()
        });
        let (ways, cautions): (Vec<_>, Vec<_>) = open.partition(|f| f.rule == "way-blocked");
        let ways: BTreeSet<_> = ways.iter().filter_map(|f| f.subjects.first()).collect();
        let figures = Figures {
            cables,
            cautions: cautions.len(),
            blocked: ways.len(),
            smallest_gap: (gap < WIDE_GAP.as_um()).then_some(Length::um(gap)),
            moved: self.moved(),
        };
        Verdict {
            stops,
            cost: cost + gap_cost(self.wish, gap),
            sum: cost,
            gap,
            figures,
        }
    }

    /// The scene tried last.
    pub(super) fn tried(&self) -> &Scene {
        &self.scene
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

    fn look(&mut self, scene: Scene) {
        let touched = Touched::between(&self.scene, &scene);
        self.scene = scene;
        self.checker.update(&self.scene, &touched);
    }

    fn stops(&self) -> Vec<Finding> {
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
        let few = if LASTING.contains(&stop.rule) && !named.is_empty() && named.len() < all.len() {
            let key = stop.key();
            let others: Vec<PartId> = all
                .iter()
                .filter(|m| !named.contains(m))
                .map(|m| self.tables.ids[*m].clone())
                .collect();
            self.look(without(&self.scene_of(choice), &others));
            self.stops().iter().any(|f| f.key() == key).then_some(named)
        } else {
            None
        };
        let given = self.given(choice);
        let of = few.unwrap_or(all).into_iter().map(|m| {
            // Of twins, the one that the search has at this place.
            let s = given[m].1;
            let group = self.tables.twins.iter().find(|g| g.contains(&m));
            let at_it = |n: &usize| choice[*n] == s;
            let n = group.and_then(|g| g.iter().copied().find(at_it));
            (n.unwrap_or(m), self.tables.body[m][s])
        });
        let mut of: Vec<(usize, u32)> = of.collect();
        of.sort_unstable();
        Never { of }
    }

    /// Movable parts that a finding names.
    fn named(&self, stop: &Finding) -> BTreeSet<usize> {
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
    missing * u64::from(wish.weights.of(Aim::SmallestGap)) * super::leads::POINT / 1000
}
