//! Laying many cables, one after another.

use super::find::{Desk, Laid, NotLaid, Wish, lay};
use crate::edit::{Edit, apply};
use crate::model::{CableId, Catalogue, Scene, Settings};
use crate::placement::Placed;
use crate::route::run::CableRun;
use std::collections::BTreeMap;

/// One cable of a round.
pub type Outcome = (CableId, Result<Laid, NotLaid>);

/// Lays these cables in this order, each with what the ones before it leave free of
/// passages; with settings, along ties where they would hang free for too long. Ends early, with what was laid so far, once `cancelled` says so.
pub fn lay_all(
    scene: &Scene,
    placed: &Placed,
    catalogue: &Catalogue,
    runs: &BTreeMap<CableId, CableRun>,
    ids: &[CableId],
    settings: Option<&Settings>,
    cancelled: &dyn Fn() -> bool,
) -> Vec<Outcome> {
    let (mut scene, mut runs) = (scene.clone(), runs.clone());
    let mut out: Vec<Outcome> = Vec::with_capacity(ids.len());
    for id in ids {
        let Some(cable) = scene.arrangement().cables.get(id).cloned() else {
            continue;
        };
        let desk = Desk {
            scene: &scene,
            placed,
            catalogue,
            runs: &runs,
        };
        let wish = Wish {
            hangs: settings.and_then(|s| s.may_hang(&cable)),
            ..Wish::default()
        };
        let result = lay(&desk, id, &cable, &wish, cancelled);
        if let Err(NotLaid::Stopped) = result {
            break;
        }
        if let Ok(laid) = &result {
            runs.insert(id.clone(), laid.run.clone());
            let edit = Edit::SetCable(id.clone(), Some(laid.cable.clone()));
            if apply(&mut scene, &edit).is_err() {
                continue;
            }
        }
        out.push((id.clone(), result));
    }
    out
}
