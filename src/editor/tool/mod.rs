//! Tools as state machines. Events carry scene lengths, never pixels; a gesture
//! is one transaction, and Escape gives back the state before it.

mod band;
mod cabling;
mod leading;
mod moving;
mod placing;

pub use band::Band;
pub use cabling::Cabling;
pub use leading::{Corner, Grip, Leading};
pub use moving::Moving;
pub use placing::Placing;

use super::Editor;
use super::snap::Pointer;
use crate::geom::{Axis, Box3, Length, Solid, Vec3};
use crate::model::{CableId, PartId, PartKind, PortRef};
use std::sync::Arc;

/// What lies under the pointer.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub enum Target {
    /// Bare sheet.
    #[default]
    Sheet,
    /// A part.
    Part(PartId),
    /// A port of a part.
    Port(PortRef),
    /// A cable.
    Cable(CableId),
    /// A corner of the selected cable's way, or the middle of one of its legs.
    Grip(Grip),
}

/// What happened.
#[derive(Clone, PartialEq, Debug)]
pub enum Event {
    /// The pointer went down on something. `add` keeps what is selected.
    Press {
        /// Where.
        pointer: Pointer,
        /// On what.
        target: Target,
        /// Shift or the like.
        add: bool,
    },
    /// The pointer moved. `free` (Alt) places on the grid without snapping.
    Move {
        /// Where to.
        pointer: Pointer,
        /// Over what.
        target: Target,
        /// Without snapping to zones.
        free: bool,
    },
    /// The pointer went up.
    Release,
    /// A part is taken from the shelf.
    Take(Arc<PartKind>),
    /// The held part is turned a quarter about an axis.
    Turn(Axis, i32),
    /// The gesture is given up.
    Cancel,
}

/// The tool at hand, with what it holds.
#[derive(Debug, Default)]
pub enum Tool {
    /// Nothing is held.
    #[default]
    Idle,
    /// A press on a part that has not become a drag yet.
    Pressed {
        /// Where the pointer went down.
        from: Pointer,
        /// The part under it.
        part: PartId,
        /// A click without a drag selects this part alone.
        narrow: bool,
    },
    /// Parts are being moved.
    Moving(Moving),
    /// A part from the shelf is being placed.
    Placing(Placing),
    /// A rubber band is being drawn.
    Band(Band),
    /// A cable is being drawn.
    Cabling(Cabling),
    /// A corner of a cable's way is held.
    Leading(Leading),
}

impl Tool {
    /// One sentence on what the tool does next, for the status line.
    pub fn hint(&self) -> String {
        match self {
            Tool::Idle | Tool::Pressed { .. } => String::new(),
            Tool::Moving(m) => m.hint(),
            Tool::Placing(p) => p.hint(),
            Tool::Band(_) => "Release to select what the frame touches.".to_owned(),
            Tool::Cabling(c) => c.hint(),
            Tool::Leading(l) => l.hint(),
        }
    }
}

impl Editor {
    /// Feeds an event to the tool at hand.
    pub fn handle(&mut self, event: Event) {
        if event == Event::Cancel {
            self.revision += 1;
            return self.cancel();
        }
        if matches!(self.tool, Tool::Idle)
            && !matches!(event, Event::Take(_) | Event::Turn(..))
            && let Some(m) = self.measuring.take()
        {
            let before = m.result.clone();
            let m = self.measure(m, event);
            if m.result != before {
                self.revision += 1;
            }
            self.measuring = Some(m);
            return;
        }
        self.revision += 1;
        if matches!(event, Event::Press { .. }) {
            self.corner = None;
        }
        let tool = std::mem::take(&mut self.tool);
        self.tool = match (tool, event) {
            (Tool::Placing(p), event) => self.placing(p, event),
            (_, Event::Take(kind)) => {
                let touched = self.history.abort();
                self.after(touched);
                self.take(kind)
            }
            (
                Tool::Idle,
                Event::Press {
                    pointer,
                    target,
                    add,
                },
            ) => self.press(pointer, target, add),
            (Tool::Pressed { from, part, narrow }, event) => {
                self.pressed(from, part, narrow, event)
            }
            (Tool::Moving(m), event) => self.moving(m, event),
            (Tool::Band(b), event) => self.band(b, event),
            (Tool::Cabling(c), event) => self.cabling(c, event),
            (Tool::Leading(l), event) => self.leading(l, event),
            (tool, _) => tool,
        };
    }

    fn press(&mut self, pointer: Pointer, target: Target, add: bool) -> Tool {
        match target {
            Target::Part(part) => {
                let was = self.selection.has(&part);
                if add {
                    self.toggle(&part);
                } else if !was {
                    self.select([part.clone()]);
                }
                Tool::Pressed {
                    from: pointer,
                    part,
                    narrow: was && !add,
                }
            }
            Target::Grip(grip) => self.take_grip(grip, pointer),
            Target::Port(port) => Tool::Cabling(Cabling::new(port, pointer)),
            Target::Cable(cable) => {
                self.select_cable(Some(cable));
                Tool::Idle
            }
            Target::Sheet => Tool::Band(Band::new(pointer, add)),
        }
    }

    fn pressed(&mut self, from: Pointer, part: PartId, narrow: bool, event: Event) -> Tool {
        match event {
            Event::Move { pointer, free, .. } => {
                if !self.selection.has(&part) {
                    return Tool::Idle;
                }
                match self.grab(from, part) {
                    Some(m) => self.moving(
                        m,
                        Event::Move {
                            pointer,
                            target: Target::Sheet,
                            free,
                        },
                    ),
                    None => Tool::Idle,
                }
            }
            Event::Release => {
                if narrow {
                    self.select([part]);
                }
                Tool::Idle
            }
            _ => Tool::Pressed { from, part, narrow },
        }
    }

    /// The coordinate along a view's depth for a part that is put down freely:
    /// on the floor of the enclosure in the top view, in its middle otherwise.
    /// Where a free part stands along the depth of a view. From above it lies on the highest
    /// thing under it on which it goes in, else on the floor; from a side it stands in the
    /// middle.
    pub(super) fn default_depth(&self, held: &PartId, pointer: Pointer, outline: Vec3) -> Length {
        let outer = self.scene().enclosure.outline();
        let axis = super::snap::depth_axis(pointer.view);
        let floor = self
            .scene()
            .enclosure
            .plates
            .iter()
            .map(|p| p.solid.bounds())
            .filter(|b| b.min().along(axis) == outer.min().along(axis))
            .map(|b| b.max().along(axis))
            .filter(|top| *top < outer.centre().along(axis))
            .max();
        let size = outline.along(axis);
        match axis {
            Axis::Z => {
                let floor = floor.unwrap_or(Length::ZERO);
                self.highest_rest(held, pointer, outline, floor)
                    .unwrap_or(floor)
            }
            _ => (outer.centre().along(axis) - size.half()).snapped(Length::mm(1)),
        }
    }

    /// The highest upper face under the pointer's part on which it meets nothing.
    fn highest_rest(
        &self,
        held: &PartId,
        pointer: Pointer,
        size: Vec3,
        floor: Length,
    ) -> Option<Length> {
        let corner = pointer.at - size.half();
        let at = |z: Length| Box3::at(corner.with(Axis::Z, z), size);
        let placed = self.checker().placed();
        let parts = placed.parts().filter(|p| p.id != *held);
        let plates = placed.plates().iter().flat_map(|p| &p.solids);
        let outer = self.scene().enclosure.outline();
        let foot = at(outer.min().z);
        let column = Box3::new(foot.min(), foot.max().with(Axis::Z, outer.max().z));
        let near: Vec<Box3> = parts
            .map(|p| p.outline)
            .chain(plates.map(Solid::bounds))
            .filter(|b| b.overlaps(&column))
            .collect();
        let mut rests: Vec<Length> = near.iter().map(|b| b.max().z).collect();
        rests.push(floor);
        rests.sort();
        let goes_in = |z: &&Length| {
            let there = at(**z);
            there.max().z <= outer.max().z && !near.iter().any(|b| b.overlaps(&there))
        };
        rests.iter().rev().find(goes_in).copied()
    }
}
