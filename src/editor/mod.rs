//! The editor without a window: selection, tools, commands.
//!
//! The window turns clicks and keys into [`tool::Event`]s and method calls here;
//! tests do the same. All lengths are scene lengths, never pixels. Every change
//! goes through `edit`, and the checker is told what was touched.

mod alternatives;
pub mod commands;
pub mod measure;
pub mod plugging;
pub mod selection;
pub mod snap;
pub mod swap;
pub mod tool;
mod variants;
pub mod ways;
pub mod wiring;

use crate::edit::{Edit, EditError, History, Touched};
use crate::geom::Length;
use crate::model::{CableId, Catalogue, PartId, Scene, Settings};
use crate::rules::{Checker, Finding};
use selection::Selection;
use std::collections::BTreeSet;
use std::sync::Arc;
use tool::Tool;

/// How a held part finds its place.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Snapping {
    /// Jump to places where screw holes meet.
    pub zones: bool,
    /// Grid for free places.
    pub grid: Length,
    /// Parts that are mounted on a moved part move with it.
    pub carry: bool,
}

impl Default for Snapping {
    fn default() -> Snapping {
        Snapping {
            zones: true,
            grid: Length::mm(1),
            carry: true,
        }
    }
}

/// A scene being edited.
pub struct Editor {
    catalogue: Arc<Catalogue>,
    history: History,
    checker: Checker,
    selection: Selection,
    tool: Tool,
    settings: Arc<Settings>,
    revision: u64,
    measuring: Option<measure::Measuring>,
    locked_hint: bool,
    /// Cables whose own ways have to be laid anew.
    stale: BTreeSet<CableId>,
    /// The corner of a way that was clicked last.
    corner: Option<tool::Corner>,
    /// How a held part finds its place.
    pub snapping: Snapping,
}

impl Editor {
    /// Starts with a scene; checks it once.
    pub fn new(catalogue: Arc<Catalogue>, settings: Arc<Settings>, scene: Scene) -> Editor {
        let mut checker = Checker::new(settings.clone()).with_catalogue(catalogue.clone());
        checker.check_all(&scene);
        Editor {
            catalogue,
            history: History::new(scene),
            checker,
            selection: Selection::default(),
            tool: Tool::Idle,
            settings,
            revision: 0,
            measuring: None,
            locked_hint: false,
            stale: BTreeSet::new(),
            corner: None,
            snapping: Snapping::default(),
        }
    }

    /// The scene as it stands.
    pub fn scene(&self) -> &Scene {
        self.history.scene()
    }

    /// What parts and cables are chosen from.
    pub fn catalogue(&self) -> &Arc<Catalogue> {
        &self.catalogue
    }

    /// Placement, cable runs and findings of the scene as it stands.
    pub fn checker(&self) -> &Checker {
        &self.checker
    }

    /// Undo and redo.
    pub fn history(&self) -> &History {
        &self.history
    }

    /// What is selected.
    pub fn selection(&self) -> &Selection {
        &self.selection
    }

    /// The figures that the rules judge by.
    pub fn settings(&self) -> &Arc<Settings> {
        &self.settings
    }

    /// A number that changes whenever something that is drawn may have changed.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// The tool at hand.
    pub fn tool(&self) -> &Tool {
        &self.tool
    }

    /// Replaces the scene, for instance after opening a file. The past is
    /// forgotten and the scene counts as saved.
    pub fn replace(&mut self, scene: Scene) {
        self.checker.check_all(&scene);
        self.history = History::new(scene);
        self.selection = Selection::default();
        self.stale.clear();
        self.corner = None;
        self.tool = Tool::Idle;
        self.measuring = self.measuring.take().map(|_| measure::Measuring::default());
        self.revision += 1;
    }

    /// Counts the scene as saved.
    pub fn mark_saved(&mut self) {
        self.history.mark_clean();
    }

    /// Counts the scene as unsaved: it came from a copy, not from its file.
    pub fn mark_unsaved(&mut self) {
        self.history.mark_unsaved();
    }

    /// Applies edits as one named step (or within the open gesture).
    pub fn apply(&mut self, label: &str, edits: &[Edit]) -> Result<(), EditError> {
        let touched = self.history.apply_all(label, edits)?;
        self.after(touched);
        Ok(())
    }

    /// Takes the last step back; returns its name.
    pub fn undo(&mut self) -> Option<String> {
        self.tool = Tool::Idle;
        let (label, touched) = self.history.undo()?;
        self.after(touched);
        Some(label)
    }

    /// Repeats the step that was taken back; returns its name.
    pub fn redo(&mut self) -> Option<String> {
        self.cancel();
        let (label, touched) = self.history.redo()?;
        self.after(touched);
        Some(label)
    }

    /// Ends the gesture at hand without a trace, as Escape does. Without a
    /// gesture it clears the selection.
    pub fn cancel(&mut self) {
        let idle = matches!(self.tool, Tool::Idle);
        if idle && self.measuring.is_some() {
            return self.measure_back();
        }
        self.tool = Tool::Idle;
        let touched = self.history.abort();
        self.after(touched);
        if idle {
            self.selection.clear();
        }
    }

    /// Ends the gesture at hand without a trace and keeps the selection.
    pub fn cancel_gesture(&mut self) {
        if !matches!(self.tool, Tool::Idle) {
            self.cancel();
        }
    }

    /// The finding with this key.
    pub fn finding(&self, key: &str) -> Option<&Finding> {
        self.checker.findings().into_iter().find(|f| f.key() == key)
    }

    /// Selects parts, replacing what was selected.
    pub fn select(&mut self, ids: impl IntoIterator<Item = PartId>) {
        self.selection.set(ids);
        self.after(Touched::default());
    }

    /// Adds a part to the selection or takes it out.
    pub fn toggle(&mut self, id: &PartId) {
        self.selection.toggle(id);
        self.after(Touched::default());
    }

    /// Selects a cable and no part.
    pub fn select_cable(&mut self, id: Option<CableId>) {
        self.selection.set_cable(id);
        self.after(Touched::default());
    }

    /// True while a part from the shelf or parts of the sheet are held.
    pub fn is_holding(&self) -> bool {
        matches!(self.tool, Tool::Placing(_) | Tool::Moving(_))
    }

    /// Selects every part that is placed, shown and not locked.
    pub fn select_all(&mut self) {
        let places = &self.scene().arrangement().places;
        let ids: Vec<PartId> = places
            .iter()
            .filter(|(_, p)| !p.locked && !p.hidden)
            .map(|(id, _)| id.clone())
            .collect();
        self.select(ids);
    }

    /// True where a selected part's place fulfils the test.
    pub fn any_selected(&self, test: impl Fn(&crate::model::Place) -> bool) -> bool {
        let scene = self.history.scene();
        self.selection
            .parts()
            .iter()
            .any(|id| scene.placed(id).is_some_and(|(_, p)| test(p)))
    }

    /// True once after a drag of a locked part, so that the window can say why
    /// nothing moved.
    pub fn take_locked_hint(&mut self) -> bool {
        std::mem::take(&mut self.locked_hint)
    }

    /// True where a selected part is not locked.
    pub fn any_deletable(&self) -> bool {
        let scene = self.history.scene();
        let locked = |id: &PartId| scene.placed(id).is_some_and(|(_, p)| p.locked);
        self.selection.parts().iter().any(|id| !locked(id))
    }

    fn after(&mut self, touched: Touched) {
        self.revision += 1;
        if !touched.is_empty() {
            self.checker.update(self.history.scene(), &touched);
            self.age_ways(&touched);
            // What was measured may have moved.
            if let Some(m) = &mut self.measuring {
                m.forget();
            }
        }
        self.selection.repair(self.history.scene());
    }
}
