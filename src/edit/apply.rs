//! Carrying out an edit.

use super::{Edit, Touched};
use crate::geom::LIMIT_MM;
use crate::model::{Arrangement, Cable, CableId, PartId, PartKind, Place, PortRef, Scene};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Why an edit was refused. The scene is unchanged.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum EditError {
    /// The part is not in the scene.
    #[error("there is no part '{0}' in the scene")]
    NoPart(PartId),
    /// The id is in use.
    #[error("a part '{0}' is in the scene already")]
    PartExists(PartId),
    /// A cable names a port that does not exist.
    #[error("cable '{0}' ends at '{1}', which does not exist")]
    NoPort(CableId, PortRef),
    /// Nothing to amend.
    #[error("there is no step that this could belong to")]
    NoStep,
    /// A cable without a plug.
    #[error("cable '{0}' has no plug")]
    NoPlug(CableId),
    /// There is no such arrangement.
    #[error("there is no arrangement number {}", .0 + 1)]
    NoArrangement(usize),
    /// A scene keeps at least one arrangement.
    #[error("the last arrangement cannot be removed")]
    LastArrangement,
    /// A coordinate is out of range.
    #[error("part '{0}' would stand more than 100 m away")]
    TooFar(PartId),
}

/// Applies one edit and tells what it touched.
pub fn apply(scene: &mut Scene, edit: &Edit) -> Result<Touched, EditError> {
    let mut touched = Touched::default();
    match edit {
        Edit::AddPart { id, part, place } => {
            if scene.parts.contains_key(id) {
                return Err(EditError::PartExists(id.clone()));
            }
            check_place(id, place.as_ref())?;
            scene.parts.insert(id.clone(), part.clone());
            if let Some(place) = place {
                scene.arrangement_mut().places.insert(id.clone(), *place);
            }
            touched.part(id);
        }
        Edit::RemovePart(id) => {
            require(scene, id)?;
            scene.parts.remove(id);
            scene.measured.remove(&Some(id.clone()));
            for arrangement in &mut scene.arrangements {
                arrangement.places.remove(id);
                arrangement.kinds.remove(id);
                unplug(arrangement, &mut touched, |p| p.part == *id);
            }
            touched.part(id);
        }
        Edit::SetPlace(id, place) => {
            require(scene, id)?;
            check_place(id, place.as_ref())?;
            let arrangement = scene.arrangement_mut();
            match place {
                Some(place) => {
                    arrangement.places.insert(id.clone(), *place);
                }
                None => {
                    arrangement.places.remove(id);
                    unplug(arrangement, &mut touched, |p| p.part == *id);
                }
            }
            touched.part(id);
        }
        Edit::Rename(id, name) => {
            require(scene, id)?;
            if let Some(part) = scene.parts.get_mut(id) {
                part.name.clone_from(name);
            }
            touched.part(id);
        }
        Edit::SetKind(id, kind) => {
            require(scene, id)?;
            scene.set_kind(id, kind);
            unplug(scene.arrangement_mut(), &mut touched, |p| {
                p.part == *id && kind.port(&p.port).is_none()
            });
            touched.part(id);
        }
        Edit::SetCable(id, cable) => {
            if let Some(cable) = cable {
                check_cable(scene, &BTreeMap::new(), id, cable)?;
                scene
                    .arrangement_mut()
                    .cables
                    .insert(id.clone(), cable.clone());
            } else {
                scene.arrangement_mut().cables.remove(id);
            }
            touched.cable(id);
        }
        Edit::Accept(key, reason) => {
            let accepted = &mut scene.arrangement_mut().accepted;
            match reason {
                Some(reason) => {
                    accepted.insert(key.clone(), reason.clone());
                }
                None => {
                    accepted.remove(key);
                }
            }
        }
        Edit::Measure { of, span, is } => {
            if let Some(id) = of {
                require(scene, id)?;
            }
            let known = scene.measured.entry(of.clone()).or_default();
            match is {
                Some(is) => {
                    known.insert(*span, *is);
                }
                None => {
                    known.remove(span);
                }
            }
            scene.measured.retain(|_, known| !known.is_empty());
            // Chains run through it from anywhere.
            touched.everything();
        }
        Edit::SetTitle(title) => scene.title.clone_from(title),
        Edit::SetNotes(notes) => scene.notes.clone_from(notes),
        Edit::SetEnclosure(enclosure) => {
            scene.enclosure = enclosure.clone();
            scene.own_enclosure = false;
            touched.everything();
        }
        Edit::AddArrangement(arrangement) => {
            for (id, cable) in &arrangement.cables {
                check_cable(scene, &arrangement.kinds, id, cable)?;
            }
            for (id, place) in &arrangement.places {
                require(scene, id)?;
                check_place(id, Some(place))?;
            }
            scene.add_arrangement(arrangement);
            touched.everything();
        }
        Edit::RemoveArrangement(index) => {
            require_arrangement(scene, *index)?;
            if scene.arrangements.len() == 1 {
                return Err(EditError::LastArrangement);
            }
            scene.arrangements.remove(*index);
            if scene.current > *index || scene.current == scene.arrangements.len() {
                scene.current -= 1;
            }
            scene.settle_kinds();
            touched.everything();
        }
        Edit::RenameArrangement(index, name) => {
            require_arrangement(scene, *index)?;
            scene.arrangements[*index].name.clone_from(name);
        }
        Edit::Choose(index) => {
            require_arrangement(scene, *index)?;
            scene.take_up(*index);
            touched.everything();
        }
        Edit::MoveArrangement(from, to) => {
            require_arrangement(scene, *from)?;
            require_arrangement(scene, *to)?;
            let moved = scene.arrangements.remove(*from);
            scene.arrangements.insert(*to, moved);
            let now = scene.current;
            scene.current = match now {
                _ if now == *from => *to,
                _ if *from < now && now <= *to => now - 1,
                _ if *to <= now && now < *from => now + 1,
                _ => now,
            };
        }
    }
    Ok(touched)
}

fn require(scene: &Scene, id: &PartId) -> Result<(), EditError> {
    match scene.parts.contains_key(id) {
        true => Ok(()),
        false => Err(EditError::NoPart(id.clone())),
    }
}

fn require_arrangement(scene: &Scene, index: usize) -> Result<(), EditError> {
    match index < scene.arrangements.len() {
        true => Ok(()),
        false => Err(EditError::NoArrangement(index)),
    }
}

fn check_place(id: &PartId, place: Option<&Place>) -> Result<(), EditError> {
    let far = |p: &Place| p.at.as_mm().iter().any(|v| v.abs() > LIMIT_MM);
    match place.is_some_and(far) {
        true => Err(EditError::TooFar(id.clone())),
        false => Ok(()),
    }
}

/// `kinds` says what parts are where that differs from the arrangement at hand.
fn check_cable(
    scene: &Scene,
    kinds: &BTreeMap<PartId, Arc<PartKind>>,
    id: &CableId,
    cable: &Cable,
) -> Result<(), EditError> {
    if cable.plugs.is_empty() {
        return Err(EditError::NoPlug(id.clone()));
    }
    for port in cable.ports() {
        let found = scene.parts.get(&port.part).is_some_and(|p| {
            let kind = kinds.get(&port.part).unwrap_or(&p.kind);
            kind.port(&port.port).is_some()
        });
        if !found {
            return Err(EditError::NoPort(id.clone(), port.clone()));
        }
    }
    Ok(())
}

/// Takes plugs off the ports that `gone` names; a cable that loses its start or
/// its last plug goes with them.
fn unplug(arrangement: &mut Arrangement, touched: &mut Touched, gone: impl Fn(&PortRef) -> bool) {
    arrangement.cables.retain(|id, cable| {
        if !cable.ports().any(&gone) {
            return true;
        }
        touched.cable(id);
        if gone(&cable.from) {
            return false;
        }
        // The stretch of a plug that goes is not spliced onto the next one: a
        // run keeps its plugs in place, so a middle plug's stretch is added.
        let mut carried = crate::geom::Length::ZERO;
        let mut via = Vec::new();
        let mut kept = Vec::new();
        for mut plug in std::mem::take(&mut cable.plugs) {
            if gone(&plug.to) {
                carried += plug.length;
                via.append(&mut plug.via);
            } else {
                plug.length += carried;
                carried = crate::geom::Length::ZERO;
                via.append(&mut plug.via);
                plug.via = std::mem::take(&mut via);
                kept.push(plug);
            }
        }
        cable.plugs = kept;
        !cable.plugs.is_empty()
    });
}
