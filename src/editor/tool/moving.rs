//! Moving parts that stand on the sheet.

use super::{Event, Tool};
use crate::edit::Edit;
use crate::editor::Editor;
use crate::editor::snap::{self, Landing, Pointer};
use crate::geom::{Axis, Turn, Vec3};
use crate::model::{PartId, Place};
use crate::placement::{self, Offer};
use std::collections::BTreeSet;

/// Parts being moved.
#[derive(Debug)]
pub struct Moving {
    /// The part under the pointer; it snaps, the others follow.
    pub lead: PartId,
    /// All parts that move, with their places at the start.
    pub starts: Vec<(PartId, Place)>,
    /// Where the pointer took hold.
    pub from: Pointer,
    /// Where it is.
    pub pointer: Pointer,
    /// Places in zones for the leading part.
    pub offers: Vec<Offer>,
    /// Where the leading part stands now.
    pub landing: Landing,
    /// Turn asked for during the drag.
    turn: Turn,
    known: Vec<Option<bool>>,
    free: bool,
}

impl Moving {
    /// Why the zone under the pointer does not take the part; of zones that are meant
    /// for it before others.
    pub fn refusal(&self) -> Option<&str> {
        if self.landing.offer.is_some() {
            return None;
        }
        snap::refusal(&self.offers, self.pointer)
    }

    pub(super) fn hint(&self) -> String {
        match (
            self.landing.offer.and_then(|i| self.offers.get(i)),
            self.refusal(),
        ) {
            (Some(offer), _) => super::placing::fits_text(offer),
            (None, Some(text)) => format!("This zone does not take it: {text}."),
            (None, None) if self.free => "Free on the grid. Release Alt to snap to holes.".into(),
            _ => "Alt places it freely on the grid; Escape puts it back.".into(),
        }
    }
}

impl Editor {
    /// Takes hold of the selected parts by one of them. `None` where none moves.
    pub(super) fn grab(&mut self, from: Pointer, lead: PartId) -> Option<Moving> {
        self.locked_hint = false;
        let ids = self.movable(&self.selection.parts().clone());
        if !ids.contains(&lead) {
            self.locked_hint = true;
            return None;
        }
        let scene = self.scene();
        let (part, place) = scene.placed(&lead)?;
        let offers = match ids.len() == 1 || self.snapping.carry {
            true => self.offers_for(&part.kind.clone(), &ids),
            false => Vec::new(),
        };
        let landing = Landing {
            place: *place,
            offer: None,
        };
        let turn = place.turn;
        let starts: Vec<(PartId, Place)> = ids
            .iter()
            .filter_map(|id| Some((id.clone(), *scene.placed(id)?.1)))
            .collect();
        self.history.begin("move");
        Some(Moving {
            lead,
            known: vec![None; offers.len()],
            starts,
            from,
            pointer: from,
            offers,
            landing,
            turn,
            free: false,
        })
    }

    pub(super) fn offers_for(
        &self,
        kind: &crate::model::PartKind,
        without: &BTreeSet<PartId>,
    ) -> Vec<Offer> {
        placement::offers(self.scene(), self.checker.placed(), kind, without)
    }

    pub(super) fn moving(&mut self, mut m: Moving, event: Event) -> Tool {
        match event {
            Event::Move { pointer, free, .. } => {
                m.pointer = pointer;
                m.free = free;
                self.drag(&mut m);
                Tool::Moving(m)
            }
            Event::Turn(axis, quarters) => {
                m.turn = m.turn.then(Turn::about(axis, quarters));
                self.drag(&mut m);
                Tool::Moving(m)
            }
            Event::Release => {
                self.history.commit();
                Tool::Idle
            }
            _ => Tool::Moving(m),
        }
    }

    fn drag(&mut self, m: &mut Moving) {
        let Some((_, start)) = m.starts.iter().find(|(id, _)| *id == m.lead) else {
            return;
        };
        let start = *start;
        let Some(part) = self.scene().parts.get(&m.lead).cloned() else {
            return;
        };
        let kind = part.kind.clone();
        let by = snap::in_plane(m.pointer.view, m.pointer.at - m.from.at);
        let middle = Pointer {
            at: start.outline(&kind).centre() + by,
            ..m.pointer
        };
        let landing = match self.snapping.zones && !m.free {
            true => {
                let along: BTreeSet<PartId> = m.starts.iter().map(|(id, _)| id.clone()).collect();
                // A part that stands somewhere has its turn from there.
                let held = (&m.lead, &part);
                self.pick_offer(
                    held,
                    &m.offers,
                    &mut m.known,
                    middle,
                    (m.turn, true),
                    &along,
                )
            }
            false => None,
        };
        m.landing = landing.unwrap_or_else(|| Landing {
            place: self.free_drag(start, m.turn, by),
            offer: None,
        });
        let place = Place {
            locked: start.locked,
            hidden: start.hidden,
            ..m.landing.place
        };
        let turn = start.turn.inverse().then(place.turn);
        let pivot = start.outline(&kind).centre();
        let shift = place.outline(&kind).centre() - pivot;
        let edits: Vec<Edit> = m
            .starts
            .iter()
            .map(|(id, p)| {
                let moved = match *id == m.lead {
                    true => place,
                    false => self.follow(id, *p, turn, pivot, shift),
                };
                Edit::SetPlace(id.clone(), Some(moved))
            })
            .collect();
        for edit in &edits {
            if let Ok(touched) = self.history.apply("move", edit) {
                self.after(touched);
            }
        }
        self.loosen_ways("move");
    }

    fn free_drag(&self, start: Place, turn: Turn, by: Vec3) -> Place {
        let grid = self.snapping.grid;
        let mut at = start.at + by;
        for axis in [Axis::X, Axis::Y, Axis::Z] {
            if by.along(axis) != crate::geom::Length::ZERO {
                at.set(axis, at.along(axis).snapped(grid));
            }
        }
        Place { at, turn, ..start }
    }

    /// Where a part ends up that moves and turns with the leading one.
    fn follow(&self, id: &PartId, p: Place, turn: Turn, pivot: Vec3, shift: Vec3) -> Place {
        let Some(part) = self.scene().parts.get(id) else {
            return p;
        };
        let outline = p.outline(&part.kind);
        let turned = outline.moved(-pivot).turned(turn).moved(pivot + shift);
        Place {
            at: turned.min(),
            turn: p.turn.then(turn),
            ..p
        }
    }
}
