//! A rubber band: selects the parts whose outline it touches.

use super::{Event, Tool};
use crate::editor::Editor;
use crate::editor::snap::{self, Pointer};
use crate::geom::Box3;
use crate::model::PartId;

/// A rubber band on one view.
#[derive(Clone, Debug)]
pub struct Band {
    /// Where it began.
    pub from: Pointer,
    /// Where it ends now.
    pub to: Pointer,
    add: bool,
}

impl Band {
    pub(super) fn new(at: Pointer, add: bool) -> Band {
        Band {
            from: at,
            to: at,
            add,
        }
    }

    /// True once the pointer has gone further than a click would.
    pub fn is_drawn(&self) -> bool {
        snap::in_plane(self.to.view, self.to.at - self.from.at) != crate::geom::Vec3::ZERO
    }
}

impl Editor {
    pub(super) fn band(&mut self, mut b: Band, event: Event) -> Tool {
        match event {
            Event::Move { pointer, .. } => {
                if pointer.view == b.from.view {
                    b.to = pointer;
                }
                Tool::Band(b)
            }
            Event::Release => {
                let mut ids: Vec<PartId> = match b.add {
                    true => self.selection.parts().iter().cloned().collect(),
                    false => Vec::new(),
                };
                if b.is_drawn() {
                    ids.extend(self.in_band(&b));
                }
                self.select(ids);
                Tool::Idle
            }
            _ => Tool::Band(b),
        }
    }

    fn in_band(&self, b: &Band) -> Vec<PartId> {
        let flat = Box3::new(b.from.at, b.to.at);
        let axis = snap::depth_axis(b.from.view);
        let scene = self.scene();
        let touches = |id: &PartId| {
            scene.placed(id).is_some_and(|(part, place)| {
                let o = place.outline(&part.kind);
                let lifted = Box3::new(
                    flat.min().with(axis, o.min().along(axis)),
                    flat.max().with(axis, o.max().along(axis)),
                );
                !place.hidden && !place.locked && o.overlaps(&lifted)
            })
        };
        scene
            .parts
            .keys()
            .filter(|id| touches(id))
            .cloned()
            .collect()
    }
}
