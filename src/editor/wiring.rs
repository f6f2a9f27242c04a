//! Cables: joining ports, choosing lengths, leading them along passages.

use super::Editor;
use crate::edit::Edit;
use crate::geom::Length;
use crate::model::{Cable, CableId, PlugEnd, Port, PortRef, Via};
use crate::route::{self, Choice};

impl Editor {
    /// The port, where its part exists and has it.
    pub fn port(&self, at: &PortRef) -> Option<&Port> {
        self.scene().parts.get(&at.part)?.kind.port(&at.port)
    }

    /// The cables that can join two ports, or why none can.
    pub fn choices(&self, a: &PortRef, b: &PortRef) -> Result<Vec<Choice>, String> {
        if a == b {
            return Err("a cable needs two different ports".to_owned());
        }
        let (Some(pa), Some(pb)) = (self.port(a), self.port(b)) else {
            return Err("one of the ports is gone".to_owned());
        };
        for at in [a, b] {
            if let Some((_, cable)) = self.cable_at(at) {
                return Err(format!(
                    "'{}' is taken by '{}': remove that cable first",
                    self.port(at).map_or("", |p| &p.name),
                    cable.name
                ));
            }
        }
        route::matching(self.catalogue(), pa, pb)
    }

    /// The cable that is plugged into a port.
    pub fn cable_at(&self, port: &PortRef) -> Option<(&CableId, &Cable)> {
        self.scene()
            .arrangement()
            .cables
            .iter()
            .find(|(_, c)| c.ports().any(|p| p == port))
    }

    /// Joins two ports by the first choice: the shortest length that reaches, or
    /// the longest at hand. Returns the cable's id, or why it cannot be.
    pub fn join(&mut self, a: &PortRef, b: &PortRef) -> Result<CableId, String> {
        let choices = self.choices(a, b)?;
        let choice = choices.first().ok_or("no cable joins these ports")?;
        let (from, to) = match choice.flipped {
            false => (a, b),
            true => (b, a),
        };
        let id = CableId::fresh(choice.kind.as_ref().map_or("lead", |k| k.as_str()), |i| {
            self.scene().arrangement().cables.contains_key(i)
        });
        let mut cable = Cable {
            name: choice.name.clone(),
            kind: choice.kind.clone(),
            system: choice.system,
            from: from.clone(),
            plugs: vec![PlugEnd {
                to: to.clone(),
                length: choice.lengths.first().copied().unwrap_or(Length::ZERO),
                via: Vec::new(),
            }],
            section: choice.section,
            bend: choice.bend,
            locked: false,
            extension: None,
            hangs: None,
            finds: false,
        };
        self.add_cable(&id, &cable)?;
        let needed = self.checker.runs().get(&id).map(|r| r.needed);
        let fits = choice
            .lengths
            .iter()
            .copied()
            .find(|l| needed.is_none_or(|n| *l >= n))
            .or(choice.lengths.last().copied());
        if let Some(length) = fits.filter(|l| *l != cable.plugs[0].length) {
            cable.plugs[0].length = length;
            // The first try and the fitting length are one step for the user.
            self.undo();
            self.add_cable(&id, &cable)?;
        }
        self.select_cable(Some(id.clone()));
        Ok(id)
    }

    fn add_cable(&mut self, id: &CableId, cable: &Cable) -> Result<(), String> {
        let label = format!("add {}", cable.name);
        self.apply(&label, &[Edit::SetCable(id.clone(), Some(cable.clone()))])
            .map_err(|e| e.to_string())
    }

    /// Changes a cable as one named step.
    pub fn change_cable(
        &mut self,
        id: &CableId,
        label: &str,
        change: impl FnOnce(&mut Cable),
    ) -> bool {
        let Some(mut cable) = self.scene().arrangement().cables.get(id).cloned() else {
            return false;
        };
        change(&mut cable);
        self.apply(label, &[Edit::SetCable(id.clone(), Some(cable))])
            .is_ok()
    }

    /// Sets the length at hand of one stretch.
    pub fn set_length(&mut self, id: &CableId, stretch: usize, length: Length) -> bool {
        self.change_cable(id, "cable length", |c| {
            if let Some(plug) = c.plugs.get_mut(stretch) {
                plug.length = length;
            }
        })
    }

    /// Leads one stretch along a passage, tie or point, as its last visit.
    pub fn add_via(&mut self, id: &CableId, stretch: usize, via: Via) -> bool {
        self.change_cable(id, "lead cable along", |c| {
            if let Some(plug) = c.plugs.get_mut(stretch) {
                plug.via.push(via);
            }
        })
    }

    /// Takes a visit out of a stretch.
    pub fn remove_via(&mut self, id: &CableId, stretch: usize, index: usize) -> bool {
        self.change_cable(id, "free cable", |c| {
            if let Some(plug) = c.plugs.get_mut(stretch)
                && index < plug.via.len()
            {
                plug.via.remove(index);
            }
        })
    }

    /// Exchanges a visit with the one before it.
    pub fn raise_via(&mut self, id: &CableId, stretch: usize, index: usize) -> bool {
        self.change_cable(id, "reorder cable way", |c| {
            if let Some(plug) = c.plugs.get_mut(stretch)
                && index > 0
                && index < plug.via.len()
            {
                plug.via.swap(index, index - 1);
            }
        })
    }
}
