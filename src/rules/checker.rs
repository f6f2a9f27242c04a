//! Asks the rules, keeps what they found, and asks again only where a change can
//! have made a difference.

use super::index::Index;
use super::near_ways::NearWays;
use super::needs::{self, Needs};
use super::store::{Spot, Store};
use super::{Anchor, Facts, Finding, RULES, Scope};
use crate::edit::Touched;
use crate::geom::{Box3, Length};
use crate::model::{CableId, Catalogue, PartId, PortRef, Scene, Settings};
use crate::placement::{Dirty, Placed, PlacedPart};
use crate::route::hose::Hose;
use crate::route::{self, CableRun};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// With so many findings no more pairs and plates are asked about: such a scene is
/// no build any more, and memory has an end.
const MOST_FINDINGS: usize = 20_000;

/// So many pairs of near parts, and of parts and plates, are asked about at once.
const MOST_ASKED: usize = 2_000_000;

/// Keeps the findings of one scene up to date.
///
/// After [`Checker::update`] the findings are the same as after
/// [`Checker::check_all`] on the same scene; the cost is in proportion to what
/// was touched. A scene in which everything stands in one heap (20 000 findings,
/// two million near pairs) is judged as far as that, and a finding says so.
#[derive(Clone, Debug)]
pub struct Checker {
    settings: Arc<Settings>,
    catalogue: Arc<Catalogue>,
    placed: Placed,
    runs: BTreeMap<CableId, CableRun>,
    hoses: BTreeMap<CableId, Vec<Hose>>,
    needs: Needs,
    index: Index,
    near_ways: NearWays,
    store: Store,
    /// True where not everything was judged; then each update starts anew.
    unfinished: bool,
}

impl Checker {
    /// A checker that has looked at nothing yet. Without a catalogue the length
    /// of plugs is not known, and the cable rules say so.
    pub fn new(settings: Arc<Settings>) -> Checker {
        Checker {
            settings,
            catalogue: Arc::default(),
            placed: Placed::empty(),
            runs: BTreeMap::new(),
            hoses: BTreeMap::new(),
            needs: Needs::default(),
            index: Index::default(),
            near_ways: NearWays::default(),
            store: Store::default(),
            unfinished: false,
        }
    }

    /// With connectors and cable kinds.
    pub fn with_catalogue(mut self, catalogue: Arc<Catalogue>) -> Checker {
        self.catalogue = catalogue;
        self
    }

    /// Looks at everything.
    pub fn check_all(&mut self, scene: &Scene) {
        self.placed.update(scene, &Touched::all());
        self.everything(scene);
    }

    /// Looks at what a change touched.
    pub fn update(&mut self, scene: &Scene, touched: &Touched) {
        let dirty = self.placed.update(scene, touched);
        if dirty.all || self.unfinished {
            self.everything(scene);
        } else {
            self.some(scene, &dirty, &touched.parts);
        }
    }

    /// All findings, worst first, then by rule and key.
    pub fn findings(&self) -> Vec<&Finding> {
        self.store.all().collect()
    }

    /// Where everything stands.
    pub fn placed(&self) -> &Placed {
        &self.placed
    }

    /// The ways of all cables.
    pub fn runs(&self) -> &BTreeMap<CableId, CableRun> {
        &self.runs
    }

    /// How the hoses lie, one a stretch, by cable.
    pub fn hoses(&self) -> &BTreeMap<CableId, Vec<Hose>> {
        &self.hoses
    }

    /// What rules on the whole scene look up.
    pub fn index(&self) -> &Index {
        &self.index
    }

    /// The figures judged by.
    pub fn settings(&self) -> &Arc<Settings> {
        &self.settings
    }

    /// The catalogue in use.
    pub fn catalogue(&self) -> &Arc<Catalogue> {
        &self.catalogue
    }

    /// The reason with which the scene accepts a finding; `None` also where it got
    /// worse since.
    pub fn is_accepted<'a>(&self, scene: &'a Scene, finding: &Finding) -> Option<&'a str> {
        let accepted = scene.arrangement().accepted.get(finding.key_str())?;
        accepted
            .covers(finding.severity, finding.off())
            .then_some(accepted.reason.as_str())
    }

    /// Keys that the scene accepts although nothing of the kind is found any more.
    pub fn stale_accepted<'a>(&self, scene: &'a Scene) -> Vec<&'a str> {
        let found: BTreeSet<&str> = self.store.all().map(Finding::key_str).collect();
        let keys = scene.arrangement().accepted.keys().map(String::as_str);
        keys.filter(|k| !found.contains(k)).collect()
    }

    fn everything(&mut self, scene: &Scene) {
        self.store = Store::default();
        self.needs = Needs::default();
        self.index = Index::default();
        self.runs.clear();
        self.hoses.clear();
        let mut dirty = Dirty {
            parts: scene.parts.keys().cloned().collect(),
            cables: scene.arrangement().cables.keys().cloned().collect(),
            ..Dirty::default()
        };
        dirty.zones = self.placed.limited_zones();
        for cable in scene.arrangement().cables.values() {
            dirty.ports.extend(cable.ports().cloned());
        }
        self.near_ways = NearWays::default();
        self.some(scene, &dirty, &dirty.parts);
    }

    /// `moved` are the parts that came, went or stand elsewhere.
    fn some(&mut self, scene: &Scene, dirty: &Dirty, moved: &BTreeSet<PartId>) {
        for slot in &dirty.gone {
            self.store.purge(*slot);
            self.needs.put(*slot, Vec::new());
        }
        let wanting = self.want(scene, dirty);
        let cables = &scene.arrangement().cables;
        for id in &dirty.cables {
            match cables.get(id) {
                Some(cable) => {
                    let mut run = route::run(scene, &self.placed, &self.catalogue, id, cable);
                    let hoses = route::hose::lay(&self.placed, &self.catalogue, cable, &mut run);
                    self.hoses.remove(id);
                    if !hoses.is_empty() {
                        self.hoses.insert(id.clone(), hoses);
                    }
                    let with = (scene, &*self.catalogue, &*self.settings);
                    self.index
                        .cable(with, self.placed.enclosure(), (id, cable), &run);
                    self.near_ways
                        .put(id, &route::ways::held_reach(cable, &run));
                    self.runs.insert(id.clone(), run);
                }
                None => {
                    self.near_ways.put(id, &[]);
                    self.runs.remove(id);
                    self.hoses.remove(id);
                    self.index.forget(id);
                }
            }
        }
        for id in &dirty.parts {
            self.index.part(&self.placed, id);
        }
        let mut ways = dirty.cables.clone();
        let stood = self.near_ways.follow(&self.placed, moved, &mut ways);
        let around = self.around(dirty, &wanting, &stood);
        let mut store = std::mem::take(&mut self.store);
        let desk = Desk {
            facts: Facts {
                scene,
                placed: &self.placed,
                settings: &self.settings,
                catalogue: &self.catalogue,
                runs: &self.runs,
                hoses: &self.hoses,
                needs: &self.needs,
                index: &self.index,
            },
            store: &mut store,
            asked: 0,
            unfinished: false,
        };
        self.unfinished = desk.judge(dirty, &wanting, &ways, &around);
        self.store = store;
    }

    /// Slots of the parts whose space has changed: their own, or what stands in it or stood there.
    fn around(&self, dirty: &Dirty, wanting: &BTreeSet<PartId>, stood: &[Box3]) -> BTreeSet<u32> {
        let parts = dirty.parts.iter().chain(wanting);
        let mut slots = BTreeSet::new();
        for part in parts.filter_map(|id| self.placed.part(id)) {
            slots.insert(part.slot);
            slots.extend(self.needs.meeting(&part.span));
        }
        slots.extend(stood.iter().flat_map(|b| self.needs.meeting(b)));
        slots
    }

    /// Works out anew what touched parts need. Returns the parts that need another
    /// space than before.
    fn want(&mut self, scene: &Scene, dirty: &Dirty) -> BTreeSet<PartId> {
        let mut wanting = BTreeSet::new();
        let parts = dirty
            .parts
            .iter()
            .chain(dirty.ports.iter().map(|p| &p.part));
        for part in parts.filter_map(|id| self.placed.part(id)) {
            let needs = needs::work_out(scene, &self.placed, &self.settings, &self.catalogue, part);
            if self.needs.put(part.slot, needs) {
                wanting.insert(part.id.clone());
            }
        }
        wanting
    }
}

/// One round of asking.
struct Desk<'a> {
    facts: Facts<'a>,
    store: &'a mut Store,
    asked: usize,
    unfinished: bool,
}

impl<'a> Desk<'a> {
    /// True where not everything could be judged.
    fn judge(
        mut self,
        dirty: &Dirty,
        wanting: &BTreeSet<PartId>,
        ways: &BTreeSet<CableId>,
        around: &BTreeSet<u32>,
    ) -> bool {
        let placed = self.facts.placed;
        let mut ports: BTreeSet<PortRef> = dirty.ports.clone();
        let mut parts: BTreeSet<&PartId> = dirty.parts.iter().collect();
        parts.extend(dirty.ports.iter().map(|p| &p.part));
        let mut done: BTreeSet<(u32, u32)> = BTreeSet::new();
        for id in parts {
            if let Some(part) = placed.part(id) {
                self.ask(Scope::Part, Spot::Part(part.slot), Anchor::Part(part));
                // Where only its cables changed, nothing stands elsewhere, but a plug
                // may want room.
                if dirty.parts.contains(id) || wanting.contains(id) {
                    self.walls(part);
                    self.pairs(part, &mut done);
                }
            }
            if dirty.parts.contains(id) {
                self.beside(id);
                ports.extend(placed.ports_at(id).cloned());
            }
        }
        for slot in around {
            if let Some(part) = placed
                .at(*slot)
                .filter(|p| !self.facts.needs.of(p).is_empty())
            {
                self.ask(Scope::Around, Spot::Around(*slot), Anchor::Around(part));
            } else {
                self.store.clear(&Spot::Around(*slot));
            }
        }
        for key in &dirty.zones {
            let spot = Spot::Zone(*key);
            match (placed.zone_ref(*key), placed.stack(*key)) {
                (Some(zone), Some(stack)) => {
                    self.ask(Scope::Zone, spot, Anchor::Zone(&zone, &stack));
                }
                _ => self.store.clear(&spot),
            }
        }
        route::feed::add_upstream(self.facts.scene, placed, &mut ports);
        for port in &ports {
            let spot = Spot::Port(port.clone());
            if placed.plugged(port).is_empty() {
                self.store.clear(&spot);
            } else {
                self.ask(Scope::Port, spot, Anchor::Port(port));
            }
        }
        for id in &dirty.cables {
            let spot = Spot::Cable(id.clone());
            match self.facts.scene.arrangement().cables.get(id) {
                Some(cable) => self.ask(Scope::Cable, spot, Anchor::Cable(id, cable)),
                None => self.store.clear(&spot),
            }
        }
        for id in ways {
            let spot = Spot::Way(id.clone());
            match self.facts.scene.arrangement().cables.get(id) {
                Some(cable) => self.ask(Scope::Way, spot, Anchor::Cable(id, cable)),
                None => self.store.clear(&spot),
            }
        }
        self.ask(Scope::Scene, Spot::Scene, Anchor::Scene);
        let rest = self.unfinished.then(|| {
            let text =
                "more stands in one heap than can be judged; clashes and gaps were judged in part";
            let mut rest = Finding::unjudged("clash", Vec::new(), text.to_owned())
                .hint("Move parts apart, or lay them beside the enclosure.");
            // What was not looked at may be a clash: nobody is told that this can be built.
            rest.severity = super::Severity::Stop;
            rest
        });
        self.store.put(Spot::Rest, rest.into_iter().collect());
        self.unfinished
    }

    /// False where no more pairs and plates are to be asked about.
    fn goes_on(&mut self) -> bool {
        let goes_on = self.asked < MOST_ASKED && self.store.len() < MOST_FINDINGS;
        self.unfinished |= !goes_on;
        self.asked += 1;
        goes_on
    }

    fn ask(&mut self, scope: Scope, spot: Spot, anchor: Anchor) {
        let mut found = Vec::new();
        for rule in RULES.iter().filter(|r| r.scopes().contains(&scope)) {
            rule.judge(&self.facts, anchor, &mut found);
        }
        self.store.put(spot, found);
    }

    fn beside(&mut self, id: &PartId) {
        let spot = Spot::Beside(id.clone());
        match self.facts.scene.parts.get(id) {
            Some(part) if self.facts.placed.unplaced().contains(id) => {
                self.ask(Scope::Beside, spot, Anchor::Beside(id, part));
            }
            _ => self.store.clear(&spot),
        }
    }

    fn walls(&mut self, part: &PlacedPart) {
        for spot in self.store.walls(part.slot) {
            self.store.clear(&spot);
        }
        let reach = self.facts.settings.reach();
        let around = part.span.grown(reach);
        let around = match self.facts.needs.around(part) {
            Some(needs) => around.union(&needs),
            None => around,
        };
        for plate in self.facts.placed.plates_near(&around, Length::ZERO) {
            if !self.goes_on() {
                return;
            }
            let spot = Spot::Wall(part.slot, plate.index);
            self.ask(Scope::Wall, spot, Anchor::Wall(part, plate));
        }
    }

    /// Whom a part may have to do with: by its own place, by the space that it
    /// needs, and by the space that others need.
    fn near(&self, part: &PlacedPart) -> Vec<&'a PlacedPart> {
        let (placed, needs) = (self.facts.placed, self.facts.needs);
        let mut near = placed.near(&part.span, self.facts.settings.reach());
        if let Some(around) = needs.around(part) {
            near.extend(placed.near(&around, Length::ZERO));
            // Their plugs may meet in the room before both.
            let owners = needs.meeting(&around);
            near.extend(owners.into_iter().filter_map(|slot| placed.at(slot)));
        }
        let owners = needs.meeting(&part.span);
        near.extend(owners.into_iter().filter_map(|slot| placed.at(slot)));
        near.sort_unstable_by_key(|p| p.index);
        near.dedup_by_key(|p| p.index);
        near
    }

    fn pairs(&mut self, part: &PlacedPart, done: &mut BTreeSet<(u32, u32)>) {
        for other in self.store.partners(part.slot) {
            let pair = (part.slot.min(other), part.slot.max(other));
            if !done.contains(&pair) {
                self.store.clear(&Spot::Pair(pair.0, pair.1));
            }
        }
        if self.unfinished {
            return;
        }
        for other in self.near(part) {
            let pair = (part.slot.min(other.slot), part.slot.max(other.slot));
            if other.slot == part.slot || !done.insert(pair) {
                continue;
            }
            if !self.goes_on() {
                return;
            }
            let (a, b) = if part.id < other.id {
                (part, other)
            } else {
                (other, part)
            };
            self.ask(Scope::Pair, Spot::Pair(pair.0, pair.1), Anchor::Pair(a, b));
        }
    }
}
