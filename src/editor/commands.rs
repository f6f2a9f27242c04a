//! Commands on the selection: each is one undo step.

use super::Editor;
use crate::edit::Edit;
use crate::geom::{Axis, Box3, Dir, Length, Turn, Vec3};
use crate::model::{Acceptance, Part, PartId, PartKind, Place};
use crate::rules::Severity;
use std::collections::BTreeSet;
use std::sync::Arc;

impl Editor {
    /// The selected parts that may be moved, with what is mounted on them where
    /// carrying is on. Locked and unplaced parts are left out.
    pub fn movable(&self, ids: &BTreeSet<PartId>) -> BTreeSet<PartId> {
        let mut all = ids.clone();
        if self.snapping.carry {
            for id in ids {
                all.extend(self.checker.placed().carried(id));
            }
        }
        let scene = self.scene();
        all.retain(|id| scene.placed(id).is_some_and(|(_, place)| !place.locked));
        all
    }

    /// Moves the selection by a displacement. False where nothing could move.
    pub fn move_by(&mut self, by: Vec3) -> bool {
        let ids = self.movable(&self.selection.parts().clone());
        let edits: Vec<Edit> = ids
            .iter()
            .filter_map(|id| {
                let (_, place) = self.scene().placed(id)?;
                let place = Place {
                    at: place.at + by,
                    ..*place
                };
                Some(Edit::SetPlace(id.clone(), Some(place)))
            })
            .collect();
        !edits.is_empty() && by != Vec3::ZERO && self.apply("move", &edits).is_ok()
    }

    /// Moves the selection a step in a direction.
    pub fn nudge(&mut self, dir: Dir, step: Length) -> bool {
        self.move_by(dir.times(step))
    }

    /// Turns the selection by quarter turns about an axis of the enclosure, about
    /// the middle of its outline (to whole micrometres).
    pub fn turn(&mut self, axis: Axis, quarters: i32) -> bool {
        let ids = self.movable(&self.selection.parts().clone());
        let turn = Turn::about(axis, quarters);
        let scene = self.scene();
        let placed: Vec<(PartId, Arc<PartKind>, Place)> = ids
            .iter()
            .filter_map(|id| {
                let (part, place) = scene.placed(id)?;
                Some((id.clone(), part.kind.clone(), *place))
            })
            .collect();
        let outlines: Vec<Box3> = placed.iter().map(|(_, k, p)| p.outline(k)).collect();
        let Some(around) = Box3::around(&outlines) else {
            return false;
        };
        let centre = around.centre();
        let edits: Vec<Edit> = placed
            .iter()
            .zip(&outlines)
            .map(|((id, _, place), outline)| {
                let turned = outline.moved(-centre).turned(turn).moved(centre);
                let place = Place {
                    at: turned.min(),
                    turn: place.turn.then(turn),
                    ..*place
                };
                Edit::SetPlace(id.clone(), Some(place))
            })
            .collect();
        self.apply("turn", &edits).is_ok()
    }

    /// Puts one coordinate of a part's lower front left corner to a value; what
    /// is mounted on it moves along.
    pub fn set_coordinate(&mut self, id: &PartId, axis: Axis, value: Length) -> bool {
        let Some((_, place)) = self.scene().placed(id) else {
            return false;
        };
        let by = Vec3::ZERO.with(axis, value - place.at.along(axis));
        let before = self.selection.clone();
        self.selection.set([id.clone()]);
        let moved = self.move_by(by);
        self.selection = before;
        moved
    }

    /// Copies the selected parts beside themselves and selects the copies. Cables
    /// are not copied: a port takes one.
    pub fn duplicate(&mut self) -> bool {
        let scene = self.scene();
        let mut taken: BTreeSet<PartId> = scene.parts.keys().cloned().collect();
        let mut edits = Vec::new();
        let mut copies = Vec::new();
        for id in self.selection.parts() {
            let Some(part) = scene.parts.get(id) else {
                continue;
            };
            let place = scene.arrangement().places.get(id).map(|p| Place {
                at: p.at + Vec3::mm(10, 10, 0),
                locked: false,
                ..*p
            });
            let base = id.as_str().trim_end_matches(|c: char| c.is_ascii_digit());
            let copy = PartId::fresh(base.trim_end_matches('-'), |i| taken.contains(i));
            taken.insert(copy.clone());
            edits.push(Edit::AddPart {
                id: copy.clone(),
                part: part.clone(),
                place,
            });
            copies.push(copy);
        }
        if edits.is_empty() || self.apply("duplicate", &edits).is_err() {
            return false;
        }
        self.select(copies);
        true
    }

    /// Removes the corner of a way that was clicked last, else the selected cable, else
    /// the selected parts that are not locked.
    pub fn delete(&mut self) -> bool {
        if let Some(at) = self.chosen_corner().cloned() {
            return self.remove_corner(&at);
        }
        if let Some(cable) = self.selection.cable().cloned() {
            return self
                .apply("remove cable", &[Edit::SetCable(cable, None)])
                .is_ok();
        }
        let scene = self.scene();
        let locked = |id: &PartId| scene.placed(id).is_some_and(|(_, p)| p.locked);
        let edits: Vec<Edit> = self
            .selection
            .parts()
            .iter()
            .filter(|id| !locked(id))
            .map(|id| Edit::RemovePart(id.clone()))
            .collect();
        !edits.is_empty() && self.apply("remove", &edits).is_ok()
    }

    /// Locks or unlocks the selected parts.
    pub fn set_locked(&mut self, locked: bool) -> bool {
        let label = if locked { "lock" } else { "unlock" };
        self.change_places(label, |p| p.locked = locked)
    }

    /// Hides or shows the selected parts.
    pub fn set_hidden(&mut self, hidden: bool) -> bool {
        let label = if hidden { "hide" } else { "show" };
        self.change_places(label, |p| p.hidden = hidden)
    }

    /// Shows every hidden part.
    pub fn show_all(&mut self) -> bool {
        let all: Vec<Edit> = self
            .scene()
            .arrangement()
            .places
            .iter()
            .filter(|(_, p)| p.hidden)
            .map(|(id, p)| {
                Edit::SetPlace(
                    id.clone(),
                    Some(Place {
                        hidden: false,
                        ..*p
                    }),
                )
            })
            .collect();
        !all.is_empty() && self.apply("show all", &all).is_ok()
    }

    fn change_places(&mut self, label: &str, change: impl Fn(&mut Place)) -> bool {
        let scene = self.scene();
        let edits: Vec<Edit> = self
            .selection
            .parts()
            .iter()
            .filter_map(|id| {
                let mut place = *scene.placed(id)?.1;
                change(&mut place);
                Some(Edit::SetPlace(id.clone(), Some(place)))
            })
            .collect();
        !edits.is_empty() && self.apply(label, &edits).is_ok()
    }

    /// Accepts a finding, as bad as it is now, with a reason; or takes the acceptance
    /// back.
    pub fn accept(&mut self, key: &str, reason: Option<&str>) -> bool {
        let label = if reason.is_some() {
            "accept finding"
        } else {
            "reopen finding"
        };
        let acceptance = reason.map(|reason| match self.finding(key) {
            Some(finding) => finding.accepted(reason),
            None => Acceptance::of(reason),
        });
        let edit = Edit::Accept(key.to_owned(), acceptance);
        self.apply(label, &[edit]).is_ok()
    }

    /// Carries out the fix that a finding offers, with what is mounted on the parts
    /// that it moves. It is taken back where it would not end the finding or would
    /// stop the build elsewhere; `Err` then says so.
    pub fn fix(&mut self, key: &str) -> Result<(), String> {
        let edits = self.finding(key).and_then(|f| f.fix.clone());
        let Some(edits) = edits else {
            return Err("Nothing is known that would mend it.".to_owned());
        };
        self.cancel_gesture();
        let own = |id: &PartId| {
            edits
                .iter()
                .any(|e| matches!(e, Edit::SetPlace(other, _) if other == id))
        };
        let mut all = edits.clone();
        for edit in &edits {
            if let Edit::SetPlace(id, Some(place)) = edit {
                let carried = self.carried_to(id, place.at);
                all.extend(carried.into_iter().filter(|e| match e {
                    Edit::SetPlace(id, _) => !own(id),
                    _ => true,
                }));
            }
        }
        let before = self.open_stops();
        self.history.begin("mend");
        let done = self.apply("mend", &all);
        let after = self.open_stops();
        let ended = self
            .finding(key)
            .is_none_or(|f| f.severity > Severity::Stop);
        if done.is_ok() && ended && after <= before {
            self.history.commit();
            return Ok(());
        }
        let touched = self.history.abort();
        self.after(touched);
        let more = after.saturating_sub(before);
        Err(match more {
            0 => "Not mended: moving it that way does not end it.".to_owned(),
            1 => "Not mended: that way it would stop at another place.".to_owned(),
            n => format!("Not mended: that way it would stop at {n} more places."),
        })
    }

    fn open_stops(&self) -> usize {
        let stops = self.checker.findings().into_iter();
        stops.filter(|f| f.severity == Severity::Stop).count()
    }

    /// What is mounted on a part, moved as far as the part is.
    fn carried_to(&self, id: &PartId, at: Vec3) -> Vec<Edit> {
        let Some((_, was)) = self.scene().placed(id) else {
            return Vec::new();
        };
        let by = at - was.at;
        let carried = self.checker.placed().carried(id);
        let places = carried.into_iter().filter_map(|c| {
            let (_, place) = self.scene().placed(&c).filter(|(_, p)| !p.locked)?;
            let place = Place {
                at: place.at + by,
                ..*place
            };
            Some(Edit::SetPlace(c, Some(place)))
        });
        places.collect()
    }

    /// Adds a part of a kind at a place and selects it. Returns its id.
    pub fn add_part(&mut self, kind: &Arc<PartKind>, place: Option<Place>) -> Option<PartId> {
        let id = self.fresh_part(kind);
        let part = Part {
            name: self.fresh_name(kind),
            kind: kind.clone(),
        };
        let edit = Edit::AddPart {
            id: id.clone(),
            part,
            place,
        };
        self.apply(&format!("add {}", kind.name), &[edit]).ok()?;
        self.select([id.clone()]);
        Some(id)
    }

    /// The kind's name, with a number where a part of the scene is called so already: a
    /// finding has to say which of two fans it means.
    pub fn fresh_name(&self, kind: &PartKind) -> String {
        let taken = |name: &str| self.scene().parts.values().any(|p| p.name == name);
        if !taken(&kind.name) {
            return kind.name.clone();
        }
        let numbered = (2..).map(|n| format!("{} (no. {n})", kind.name));
        let mut free = numbered.filter(|name| !taken(name));
        free.next().unwrap_or_else(|| kind.name.clone())
    }

    /// A free id for a part of this kind.
    pub fn fresh_part(&self, kind: &PartKind) -> PartId {
        PartId::fresh(kind.group.name(), |i| self.scene().parts.contains_key(i))
    }
}
