//! How parts, ports and zones are called on paper.

use super::Build;
use crate::model::{PartId, PortRef, ZoneRef};

impl Build<'_> {
    /// A part's name, or its id where the scene lost it. Lists name parts by id, which
    /// is short and unique; the list of parts gives the names.
    pub fn part_name(&self, id: &PartId) -> String {
        let part = self.scene.parts.get(id);
        part.map_or_else(|| id.to_string(), |p| p.name.clone())
    }

    /// A port's name, or its id.
    pub fn port_name(&self, port: &PortRef) -> String {
        let kind = self.scene.parts.get(&port.part).map(|p| &p.kind);
        match kind.and_then(|k| k.port(&port.port)) {
            Some(p) => p.name.clone(),
            None => port.port.clone(),
        }
    }

    /// Part and port: 'board: fan 1'.
    pub fn port_words(&self, port: &PortRef) -> String {
        format!("{}: {}", port.part, self.port_name(port))
    }

    /// A zone, and whose it is: 'slot 1 of board'.
    pub fn zone_words(&self, zone: &ZoneRef) -> String {
        let name = self
            .placed
            .zone(zone)
            .map_or(zone.zone.as_str(), |z| &z.name);
        match &zone.part {
            Some(part) => format!("{name} of {part}"),
            None => name.to_owned(),
        }
    }

    /// A connector's name, or its id.
    pub fn connector_name(&self, id: &str) -> String {
        let known = self.catalogue.connectors.get(id);
        known.map_or_else(|| id.to_owned(), |c| c.name.clone())
    }

    /// The plug that goes into a port.
    pub fn plug_words(&self, port: &PortRef) -> String {
        let kind = self.scene.parts.get(&port.part).map(|p| &p.kind);
        let connector = kind.and_then(|k| k.port(&port.port)).map(|p| &p.connector);
        connector.map_or_else(String::new, |c| self.connector_name(c))
    }

    /// The parts in the order of the lists: by group as on the shelf, then by id.
    pub fn parts_in_order(&self) -> Vec<&PartId> {
        let mut ids: Vec<&PartId> = self.scene.parts.keys().collect();
        ids.sort_by_key(|id| (self.scene.parts[*id].kind.group, *id));
        ids
    }
}
