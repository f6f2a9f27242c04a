//! What a tried arrangement costs that the tables do not know: cables that are led round
//! something, and cautions of rules that look at more than a part or a pair. What is learned
//! from that makes the next arrangement of the search a better one.

use super::leads::Rest;
use super::lessons::Lessons;
use super::trial::Trial;
use super::wish::Aim;
use crate::edit::Edit;
use crate::model::{Cable, CableId, PartId, Scene, System};
use crate::route::ways::lay_all;
use crate::rules::{Finding, Severity, Subject};
use std::collections::BTreeSet;

/// Rules whose cautions the tables count. One on a cable counts in the price of its stretch.
const KNOWN: [&str; 5] = [
    "tight-gap",
    "outside",
    "opening-missed",
    "clash",
    "cable-short",
];

/// Rules whose cautions do not end because another part is there too: what is said of parts
/// without the others is said of them in any arrangement.
const LASTING: [&str; 4] = ["gap-uncertain", "plug-space", "space-blocked", "fan-air"];

/// Something that an arrangement costs beyond the tables.
#[derive(Clone, Debug)]
pub(super) struct Beyond {
    /// What it is about.
    key: String,
    /// In hundredths of a point.
    pub(super) cost: u64,
    what: What,
}

#[derive(Clone, Debug)]
enum What {
    /// A stretch is led on a longer way than straight.
    Way(CableId, usize),
    /// A caution; of cables that run through something the first.
    Caution(Box<Finding>),
}

impl Beyond {
    /// True where it is said of this cable.
    fn is_about(&self, cable: &CableId) -> bool {
        match &self.what {
            What::Way(id, _) => id == cable,
            What::Caution(f) => f.subjects.contains(&Subject::Cable(cable.clone())),
        }
    }
}

impl Trial<'_> {
    /// Open cautions of the scene on the desk.
    pub(super) fn cautions(&self) -> impl Iterator<Item = &Finding> {
        self.checker.findings().into_iter().filter(|f| {
            f.severity == Severity::Caution && self.checker.is_accepted(&self.scene, f).is_none()
        })
    }

    /// Cables that run through something, as the scene on the desk has them.
    pub(super) fn blocked(&self) -> BTreeSet<CableId> {
        let ways = self.cautions().filter(|f| f.rule == "way-blocked");
        ways.filter_map(cable_of).cloned().collect()
    }

    /// These, and those that bend more tightly than they may.
    pub(super) fn wanting(&self) -> BTreeSet<CableId> {
        let ways = self.cautions().filter(|f| f.wants_way());
        ways.filter_map(cable_of).cloned().collect()
    }

    /// True where an end of the cable may move.
    pub(super) fn moves(&self, cable: &Cable) -> bool {
        let ids = &self.tables.ids;
        cable.ports().any(|p| ids.contains(&p.part))
    }

    /// Leads each cable on the desk that runs through something or bends too tightly: those
    /// with an end that may move, those that find their own way, and those that were free
    /// before. True where there were any.
    pub(super) fn lay(&mut self) -> bool {
        self.lay_those(self.to_lay())
    }

    fn lay_those(&mut self, ids: Vec<CableId>) -> bool {
        if ids.is_empty() {
            return false;
        }
        self.led += ids.len();
        let (placed, runs) = (self.checker.placed(), self.checker.runs());
        let stop = self.stop;
        let laid = lay_all(&self.scene, placed, &self.catalogue, runs, &ids, None, stop);
        let mut scene = self.scene.clone();
        for (id, result) in laid {
            // A free way that is too long is none: the finder proves no shortest way, so that
            // is no reason to stop.
            if let Ok(laid) = result
                && (laid.reaches() || self.is_short(&id))
            {
                self.apply(&mut scene, &Edit::SetCable(id, Some(laid.cable)));
            }
        }
        self.look(scene);
        true
    }

    /// Works out what the cables on the desk that are led along chosen ties cost without.
    pub(super) fn untie(&mut self) {
        self.untied.clear();
        let cables = &self.scene.arrangement().cables;
        let tied = cables.iter().filter(|(_, c)| self.moves(c) && c.is_tied());
        let tied: Vec<(CableId, Cable)> = tied.map(|(id, c)| (id.clone(), c.clone())).collect();
        if tied.is_empty() {
            return;
        }
        let (was, led) = (self.scene.clone(), self.led);
        let mut scene = was.clone();
        for (id, cable) in &tied {
            let mut cable = cable.clone();
            cable.straighten();
            self.apply(&mut scene, &Edit::SetCable(id.clone(), Some(cable)));
        }
        self.look(scene);
        let mut ids = self.to_lay();
        ids.retain(|id| tied.iter().any(|t| t.0 == *id));
        self.lay_those(ids);
        let blocked = self.blocked();
        for lead in &self.tables.leads.leads {
            if !blocked.contains(&lead.cable)
                && tied.iter().any(|t| t.0 == lead.cable)
                && let Some(cost) = self.led(&lead.cable, lead.index)
            {
                self.untied.insert((lead.cable.clone(), lead.index), cost);
            }
        }
        self.led = led;
        self.look(was);
    }

    /// True where a cable on the desk is too short as it is led.
    fn is_short(&self, id: &CableId) -> bool {
        let run = self.checker.runs().get(id);
        run.is_some_and(|r| r.short_by().is_some())
    }

    /// Cables on the desk that are to be led anew.
    fn to_lay(&self) -> Vec<CableId> {
        let mut ids = Vec::new();
        for id in self.wanting() {
            let Some(cable) = self.scene.arrangement().cables.get(&id) else {
                continue;
            };
            let mine = self.moves(cable) || cable.finds || !self.was_wanting.contains(&id);
            if cable.system != System::Liquid && mine {
                ids.push(id);
            }
        }
        ids
    }

    /// The scene with cables as they are led at hand, where their ends stand as they do
    /// there; `None` where there are none.
    pub(super) fn kept(&self, scene: &Scene) -> Option<Scene> {
        let stand = |scene: &Scene, id: &PartId| {
            let (part, place) = scene.placed(id)?;
            Some((part.kind.id.clone(), place.at, place.turn))
        };
        let stays = |id: &PartId| stand(scene, id) == stand(self.at_hand, id);
        let mut kept = None;
        for (id, was) in &self.at_hand.arrangement().cables {
            let led = was.has_corners() && scene.arrangement().cables.get(id) != Some(was);
            if led && was.ports().all(|p| stays(&p.part)) {
                let kept = kept.get_or_insert_with(|| scene.clone());
                self.apply(kept, &Edit::SetCable(id.clone(), Some(was.clone())));
            }
        }
        kept
    }

    /// What the stretches with a movable end cost straight.
    pub(super) fn leads_cost(&self, choice: &[usize]) -> u64 {
        let leads = self.tables.leads.leads.iter();
        leads.filter_map(|l| l.cost(self.tables, choice)).sum()
    }

    /// What the scene on the desk, in which a choice stands, costs beyond the tables.
    pub(super) fn beyond(&self, choice: &[usize]) -> Vec<Beyond> {
        let mut all = Vec::new();
        for lead in &self.tables.leads.leads {
            let Some(is) = self.led(&lead.cable, lead.index) else {
                continue;
            };
            // Ways that the search lays have no ties: of those that do, only that counts.
            let untied = self.untied.get(&(lead.cable.clone(), lead.index));
            let is = untied.map_or(is, |u| is.min(*u));
            let more = is.saturating_sub(lead.cost(self.tables, choice).unwrap_or(0));
            if more > 0 {
                all.push(Beyond {
                    key: format!("way {} {}", lead.cable, lead.index),
                    cost: more,
                    what: What::Way(lead.cable.clone(), lead.index),
                });
            }
        }
        let weight = u64::from(self.wish.weights.of(Aim::Cautions)) * super::leads::POINT;
        if weight == 0 {
            return all;
        }
        let mut ways = BTreeSet::new();
        for f in self.cautions() {
            // The tables have the lengths of cables with an end that may move.
            let led = f.rule != "cable-short" || self.is_of_mover(f) && !f.wants_way();
            let known = KNOWN.contains(&f.rule) && led;
            let again = f.rule == "way-blocked" && !ways.insert(f.subjects.first());
            if known || again || self.constant.contains(&key(f)) {
                continue;
            }
            all.push(Beyond {
                key: key(f),
                cost: weight,
                what: What::Caution(Box::new(f.clone())),
            });
        }
        all
    }

    /// True for a finding on a cable with an end that may move.
    fn is_of_mover(&self, f: &Finding) -> bool {
        let cables = &self.scene.arrangement().cables;
        let cable = cable_of(f).and_then(|id| cables.get(id));
        cable.is_some_and(|c| self.moves(c))
    }

    /// Parts that may move at the ends of a cable.
    fn ends(&self, id: &CableId) -> BTreeSet<usize> {
        let cable = self.base.arrangement().cables.get(id);
        let at = |m: &usize| {
            let part = &self.tables.ids[*m];
            cable.is_some_and(|c| c.ports().any(|p| p.part == *part))
        };
        (0..self.tables.ids.len()).filter(at).collect()
    }

    /// What a stretch on the desk costs as it is led; `None` where it is not there or too
    /// short, which a stop finding says.
    fn led(&self, id: &CableId, index: usize) -> Option<u64> {
        let stretch = self.checker.runs().get(id)?.stretches.get(index)?;
        let rest = Rest::of(&self.scene, &self.catalogue, id, index);
        self.price.of(stretch, &rest)
    }

    /// Learns from what a choice costs beyond the tables: what does so whatever else stands
    /// where. True where there was something to learn.
    pub(super) fn learn_costs(
        &mut self,
        choice: &[usize],
        beyond: &[Beyond],
        lessons: &mut Lessons,
    ) -> bool {
        let mut news = false;
        for b in beyond {
            if (self.stop)() {
                break;
            }
            let named: BTreeSet<usize> = match &b.what {
                What::Way(id, _) => self.ends(id),
                // Whatever it runs into: it counts once, and so is learned of its ends only.
                What::Caution(f) if f.wants_way() => match cable_of(f) {
                    Some(id) => self.ends(id),
                    None => continue,
                },
                What::Caution(f) if !LASTING.contains(&f.rule) => continue,
                What::Caution(f) => self.named(f),
            };
            let named = self.choosing(&named);
            if named.is_empty() || named.len() > 2 {
                continue;
            }
            let of = self.bodies(choice, &named);
            if !lessons.is_new(&of, &b.key) {
                continue;
            }
            let least = match named.len() == self.tables.ids.len() {
                true => b.cost,
                false => self.alone_costs(choice, &named, b),
            };
            if least > 0 {
                news |= lessons.costs(&of, &b.key, least);
            }
        }
        news
    }

    /// What of it stays where no other part that may move is there, however the cables are
    /// led.
    fn alone_costs(&mut self, choice: &[usize], named: &BTreeSet<usize>, b: &Beyond) -> u64 {
        let scene = self.only(choice, named);
        let kept = self.kept(&scene);
        let mut least = b.cost;
        for scene in std::iter::once(scene).chain(kept) {
            self.look(scene);
            let mut ids = self.to_lay();
            ids.retain(|id| b.is_about(id));
            self.lay_those(ids);
            least = least.min(match &b.what {
                What::Way(id, index) => {
                    let mut leads = self.tables.leads.leads.iter();
                    let lead = leads.find(|l| l.cable == *id && l.index == *index);
                    let straight = lead.and_then(|l| l.cost(self.tables, choice));
                    let is = self.led(id, *index);
                    is.zip(straight).map_or(0, |(i, s)| i.saturating_sub(s))
                }
                What::Caution(_) => match self.cautions().any(|f| key(f) == b.key) {
                    true => b.cost,
                    false => 0,
                },
            });
        }
        // What was broken off says nothing.
        if (self.stop)() { 0 } else { least }
    }
}

/// The cable that a finding is on.
fn cable_of(f: &Finding) -> Option<&CableId> {
    f.subjects.iter().find_map(|s| match s {
        Subject::Cable(id) => Some(id),
        _ => None,
    })
}

/// What a caution is about: of cables that run through something, the cable.
pub(super) fn key(f: &Finding) -> String {
    match (f.rule, f.subjects.first()) {
        ("way-blocked", Some(Subject::Cable(id))) => format!("way-blocked {id}"),
        _ => f.key(),
    }
}
