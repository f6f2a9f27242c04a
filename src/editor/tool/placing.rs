//! Placing a part from the shelf. It joins the scene where it is let go over
//! the sheet; before that it is a ghost, and the scene is untouched until then.

use super::{Event, Tool};
use crate::edit::Edit;
use crate::editor::Editor;
use crate::editor::snap::{self, Landing, Pointer};
use crate::geom::Turn;
use crate::model::{Part, PartId, PartKind};
use crate::placement::{Offer, Outcome};
use std::collections::BTreeSet;
use std::sync::Arc;

/// A part held from the shelf.
#[derive(Debug)]
pub struct Placing {
    /// What is held.
    pub kind: Arc<PartKind>,
    /// The id it has while it is tried on the sheet.
    pub id: PartId,
    /// The name that it would have.
    pub name: String,
    /// Places in zones.
    pub offers: Vec<Offer>,
    /// Where it would stand; `None` while the pointer is not over the sheet.
    pub landing: Option<Landing>,
    /// Where the pointer is.
    pub pointer: Option<Pointer>,
    turn: Turn,
    /// The user chose the turn.
    turned: bool,
    known: Vec<Option<bool>>,
    free: bool,
}

/// The sentence on an offer that fits.
pub(super) fn fits_text(offer: &Offer) -> String {
    match &offer.outcome {
        Outcome::Fits { matched, needs, .. } => {
            let zone = &offer.zone_world.name;
            format!("{zone}: {matched} screw holes meet, {needs} needed.")
        }
        Outcome::Refused(r) => r.text.clone(),
    }
}

impl Placing {
    /// Why the zone under the pointer does not take the part; of zones that are meant
    /// for it before others.
    pub fn refusal(&self) -> Option<&str> {
        let pointer = self.pointer?;
        if self.landing.is_some_and(|l| l.offer.is_some()) {
            return None;
        }
        snap::refusal(&self.offers, pointer)
    }

    pub(super) fn hint(&self) -> String {
        let offer = self.landing.and_then(|l| self.offers.get(l.offer?));
        match (offer, self.refusal()) {
            (Some(offer), _) => fits_text(offer),
            (None, Some(text)) => format!("This zone does not take it: {text}."),
            (None, None) if self.landing.is_none() => {
                format!(
                    "Drag '{}' onto a view; Escape puts it back.",
                    self.kind.name
                )
            }
            (None, None) if self.free => "Free on the grid. Release Alt to snap to holes.".into(),
            _ => match self
                .offers
                .iter()
                .any(|o| matches!(o.outcome, Outcome::Fits { .. }))
            {
                true => "Freely here, without a screw; its places are outlined.".into(),
                false => {
                    "It would stand freely, without a screw: nothing here has its holes.".into()
                }
            },
        }
    }
}

impl Editor {
    pub(super) fn take(&mut self, kind: Arc<PartKind>) -> Tool {
        let id = self.fresh_part(&kind);
        let name = self.fresh_name(&kind);
        let offers = self.offers_for(&kind, &BTreeSet::new());
        self.history.begin(&format!("add {}", kind.name));
        Tool::Placing(Placing {
            kind,
            id,
            name,
            known: vec![None; offers.len()],
            offers,
            landing: None,
            pointer: None,
            turn: Turn::NONE,
            turned: false,
            free: false,
        })
    }

    pub(super) fn placing(&mut self, mut p: Placing, event: Event) -> Tool {
        match event {
            Event::Move { pointer, free, .. } => {
                p.pointer = Some(pointer);
                p.free = free;
                self.hold(&mut p);
                Tool::Placing(p)
            }
            Event::Turn(axis, quarters) => {
                // From the turn that is seen, which a zone may have chosen.
                let seen = p.landing.map_or(p.turn, |l| l.place.turn);
                p.turn = seen.then(Turn::about(axis, quarters));
                p.turned = true;
                self.hold(&mut p);
                Tool::Placing(p)
            }
            Event::Release | Event::Press { .. } => {
                if p.landing.is_some() {
                    self.history.commit();
                    self.select([p.id]);
                } else {
                    let touched = self.history.abort();
                    self.after(touched);
                }
                Tool::Idle
            }
            Event::Take(kind) => {
                let touched = self.history.abort();
                self.after(touched);
                self.take(kind)
            }
            Event::Cancel => Tool::Placing(p),
        }
    }

    /// The pointer left the sheet with a part from the shelf: it is a ghost again.
    pub fn leave_sheet(&mut self) {
        let tool = std::mem::take(&mut self.tool);
        self.tool = match tool {
            Tool::Placing(mut p) => {
                p.landing = None;
                p.pointer = None;
                let touched = self.history.rewind();
                self.after(touched);
                Tool::Placing(p)
            }
            tool => tool,
        };
    }

    fn hold(&mut self, p: &mut Placing) {
        let Some(pointer) = p.pointer else {
            return;
        };
        let snapped = match self.snapping.zones && !p.free {
            true => {
                let part = Part {
                    name: p.name.clone(),
                    kind: p.kind.clone(),
                };
                let turn = (p.turn, p.turned);
                let held = (&p.id, &part);
                let none = BTreeSet::new();
                self.pick_offer(held, &p.offers, &mut p.known, pointer, turn, &none)
            }
            false => None,
        };
        let landing = snapped.unwrap_or_else(|| {
            let size = p.kind.outline().turned(p.turn).size();
            let keep = self.default_depth(&p.id, pointer, size);
            Landing {
                place: self.free_place(&p.kind, p.turn, pointer, keep),
                offer: None,
            }
        });
        let first = !self.scene().parts.contains_key(&p.id);
        p.landing = Some(landing);
        let edit = match first {
            true => Edit::AddPart {
                id: p.id.clone(),
                part: Part {
                    name: p.name.clone(),
                    kind: p.kind.clone(),
                },
                place: Some(landing.place),
            },
            false => Edit::SetPlace(p.id.clone(), Some(landing.place)),
        };
        if let Ok(touched) = self.history.apply("add", &edit) {
            self.after(touched);
        }
    }
}
