//! Giving every device its plug, as one step.

use super::Editor;
use crate::edit::Edit;
use crate::model::{Cable, CableId, PortRef, System};
use crate::route::assign::{self, Plan};
use std::collections::{BTreeMap, BTreeSet};

/// What the command did.
#[derive(Clone, PartialEq, Debug)]
pub struct Plugged {
    /// The plan that was carried out.
    pub plan: Plan,
    /// Leads that were taken away for it.
    pub removed: usize,
    /// Ends of hoses that nothing is on: where a hose goes is the builder's choice.
    pub hoses: Vec<PortRef>,
    /// Leads whose straight way runs through something or bends too tightly; another is to be
    /// found.
    pub blocked: usize,
}

impl Plugged {
    /// One sentence for the status line.
    pub fn words(&self) -> String {
        let plan = &self.plan;
        let proof = match plan.proved {
            true => "no shorter choice exists",
            false => "the search was broken off: a shorter choice may exist",
        };
        let leads = match plan.leads {
            0 if self.changes() => "Leads got further plugs".to_owned(),
            0 => return "Every port that can be fed has its plug.".to_owned(),
            1 => "1 lead laid".to_owned(),
            n => format!("{n} leads laid"),
        };
        let length = plan.length.as_mm() / 1000.0;
        let round = match self.blocked {
            0 => String::new(),
            1 => " For 1 that is not free straight a way is looked for.".to_owned(),
            n => format!(" For {n} that are not free straight ways are looked for."),
        };
        format!("{leads}, {length:.2} m of ways in all, counted straight; {proof}.{round}")
    }

    /// True where the scene was changed.
    pub fn changes(&self) -> bool {
        self.removed > 0 || !self.plan.cables.is_empty()
    }
}

impl Editor {
    /// Gives every device port that has none its plug, as one undo step: proved to
    /// be the shortest choice, then the one with the fewest leads, under port
    /// types, currents and lead lengths. Leads that are there stay.
    pub fn plug_all(&mut self) -> Plugged {
        self.give(|_| true, "give every device its plug")
    }

    /// Gives out all leads anew, as one undo step. Leads that are locked, or that
    /// the user led along a place, stay; so do hoses.
    pub fn plug_anew(&mut self) -> Plugged {
        let by_hand = |c: &Cable| c.locked || c.system == System::Liquid || c.is_led();
        self.give(by_hand, "give out all leads anew")
    }

    fn give(&mut self, keep: impl Fn(&Cable) -> bool, label: &str) -> Plugged {
        self.cancel_gesture();
        let scene = self.history.scene();
        let mut plan = assign::plan(
            scene,
            self.checker.placed(),
            &self.catalogue,
            &self.settings,
            |_, cable| keep(cable),
        );
        let cables = &scene.arrangement().cables;
        let mut gone: BTreeSet<CableId> = cables
            .iter()
            .filter(|(_, c)| !keep(c))
            .map(|(id, _)| id.clone())
            .collect();
        // What the program laid, the program leads.
        for (_, cable) in &mut plan.cables {
            cable.finds = true;
        }
        reuse(cables, &mut plan, &mut gone);
        let mut edits: Vec<Edit> = gone
            .iter()
            .map(|id| Edit::SetCable(id.clone(), None))
            .collect();
        let set = |(id, cable): &(CableId, Cable)| Edit::SetCable(id.clone(), Some(cable.clone()));
        edits.extend(plan.cables.iter().map(set));
        let mut done = Plugged {
            plan,
            removed: gone.len(),
            hoses: self.open_hoses(),
            blocked: 0,
        };
        if !edits.is_empty() {
            let applied = self.apply(label, &edits);
            debug_assert!(applied.is_ok(), "the plan names ports of this scene");
            done.blocked = self.age_new(done.plan.cables.iter().map(|(id, _)| id));
        }
        done
    }
}

impl Editor {
    fn open_hoses(&self) -> Vec<PortRef> {
        let hose = |connector: &str| {
            let kinds = self.catalogue.cables.values();
            kinds
                .filter(|k| k.system == System::Liquid)
                .any(|k| k.from == connector || k.to == connector)
        };
        let parts = self.checker.placed().parts();
        let ports = parts.flat_map(|p| {
            p.kind.ports.iter().map(|port| {
                let at = PortRef {
                    part: p.id.clone(),
                    port: port.id.clone(),
                };
                (at, port)
            })
        });
        ports
            .filter(|(at, port)| {
                hose(&port.connector) && self.checker.placed().plugged(at).is_empty()
            })
            .map(|(at, _)| at)
            .collect()
    }
}

/// A lead that goes and comes back between the same ports keeps its id and name,
/// and where it is of the same kind and length it is not touched at all.
fn reuse(cables: &BTreeMap<CableId, Cable>, plan: &mut Plan, gone: &mut BTreeSet<CableId>) {
    let ports = |c: &Cable| c.ports().cloned().collect::<Vec<PortRef>>();
    let mut taken: BTreeSet<CableId> = plan.cables.iter().map(|(id, _)| id.clone()).collect();
    for (id, cable) in &mut plan.cables {
        let same = gone
            .iter()
            .find(|old| cables.get(*old).is_some_and(|c| ports(c) == ports(cable)))
            .cloned();
        let Some(old) = same else { continue };
        if old != *id && taken.contains(&old) {
            continue;
        }
        gone.remove(&old);
        taken.insert(old.clone());
        if let Some(before) = cables.get(&old) {
            cable.name.clone_from(&before.name);
            let mut plain = before.clone();
            plain.straighten();
            plain.finds = cable.finds;
            if plain == *cable {
                *cable = before.clone();
            }
        }
        *id = old;
    }
    plan.cables.retain(|(id, c)| cables.get(id) != Some(c));
}
