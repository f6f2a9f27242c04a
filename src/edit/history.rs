//! Undo and redo by snapshots of committed transactions.

use super::{Edit, EditError, Touched, apply};
use crate::model::Scene;

/// Most steps kept; older ones are forgotten.
const KEPT: usize = 200;

struct Step {
    label: String,
    /// The scene on the other side of the step.
    scene: Scene,
    state: u64,
}

struct Open {
    label: String,
    before: Scene,
}

/// A scene with its past and future. Edits happen inside a transaction: one
/// gesture is one transaction is one step.
pub struct History {
    scene: Scene,
    state: u64,
    next_state: u64,
    clean: Option<u64>,
    past: Vec<Step>,
    future: Vec<Step>,
    open: Option<Open>,
}

impl History {
    /// A scene without a past, counted as saved.
    pub fn new(scene: Scene) -> History {
        History {
            scene,
            state: 0,
            next_state: 1,
            clean: Some(0),
            past: Vec::new(),
            future: Vec::new(),
            open: None,
        }
    }

    /// The scene as it stands, with the open transaction's edits.
    pub fn scene(&self) -> &Scene {
        &self.scene
    }

    /// Opens a transaction. One that is open already is committed first.
    pub fn begin(&mut self, label: &str) {
        self.commit();
        self.open = Some(Open {
            label: label.to_owned(),
            before: self.scene.clone(),
        });
    }

    /// True while a transaction is open.
    pub fn is_open(&self) -> bool {
        self.open.is_some()
    }

    /// Applies an edit in the open transaction, or as a step of its own.
    pub fn apply(&mut self, label: &str, edit: &Edit) -> Result<Touched, EditError> {
        let alone = self.open.is_none();
        if alone {
            self.begin(label);
        }
        let result = apply(&mut self.scene, edit);
        if alone {
            match result {
                Ok(_) => self.commit(),
                Err(_) => drop(self.open.take()),
            }
        }
        result
    }

    /// Applies several edits as one step, all or none.
    pub fn apply_all(&mut self, label: &str, edits: &[Edit]) -> Result<Touched, EditError> {
        let alone = self.open.is_none();
        if alone {
            self.begin(label);
        }
        let before = (!alone).then(|| self.scene.clone());
        let mut touched = Touched::default();
        for edit in edits {
            match apply(&mut self.scene, edit) {
                Ok(t) => touched.merge(t),
                Err(e) => {
                    match before {
                        Some(before) => self.scene = before,
                        None => drop(self.abort()),
                    }
                    return Err(e);
                }
            }
        }
        if alone {
            self.commit();
        }
        Ok(touched)
    }

    /// Applies edits as part of the latest step, all or none: what follows from that step
    /// and was worked out after it. In an open transaction they belong to that.
    ///
    /// # Errors
    /// That of the first edit that is refused; [`EditError::NoStep`] where there is no
    /// step, or where steps were taken back that could be repeated.
    pub fn amend(&mut self, edits: &[Edit]) -> Result<Touched, EditError> {
        if self.open.is_some() {
            return self.apply_all("", edits);
        }
        if self.past.is_empty() || !self.future.is_empty() {
            return Err(EditError::NoStep);
        }
        let before = self.scene.clone();
        let mut touched = Touched::default();
        for edit in edits {
            match apply(&mut self.scene, edit) {
                Ok(t) => touched.merge(t),
                Err(e) => {
                    self.scene = before;
                    return Err(e);
                }
            }
        }
        if self.scene != before {
            self.state = self.next_state;
            self.next_state += 1;
        }
        Ok(touched)
    }

    /// Puts the open transaction's scene back to where it began, keeping the
    /// transaction open: a drag previews from here at each step.
    pub fn rewind(&mut self) -> Touched {
        match &self.open {
            Some(open) => {
                let touched = Touched::between(&self.scene, &open.before);
                self.scene = open.before.clone();
                touched
            }
            None => Touched::default(),
        }
    }

    /// Closes the open transaction as one step. A transaction that changed
    /// nothing leaves no step.
    pub fn commit(&mut self) {
        let Some(open) = self.open.take() else {
            return;
        };
        if open.before == self.scene {
            return;
        }
        self.past.push(Step {
            label: open.label,
            scene: open.before,
            state: self.state,
        });
        self.state = self.next_state;
        self.next_state += 1;
        self.future.clear();
        if self.past.len() > KEPT {
            self.past.remove(0);
        }
    }

    /// Drops the open transaction; the scene is as before it.
    pub fn abort(&mut self) -> Touched {
        match self.open.take() {
            Some(open) => {
                let touched = Touched::between(&self.scene, &open.before);
                self.scene = open.before;
                touched
            }
            None => Touched::default(),
        }
    }

    /// Takes the last step back. An open transaction is dropped first and counts
    /// as that step. Returns its name and what changed.
    pub fn undo(&mut self) -> Option<(String, Touched)> {
        if let Some(open) = &self.open {
            let label = open.label.clone();
            return Some((label, self.abort()));
        }
        let step = self.past.pop()?;
        Some(self.step(step, false))
    }

    /// Repeats the step that was taken back last.
    pub fn redo(&mut self) -> Option<(String, Touched)> {
        if self.open.is_some() {
            return None;
        }
        let step = self.future.pop()?;
        Some(self.step(step, true))
    }

    fn step(&mut self, step: Step, forward: bool) -> (String, Touched) {
        let touched = Touched::between(&self.scene, &step.scene);
        let left = Step {
            label: step.label.clone(),
            scene: std::mem::replace(&mut self.scene, step.scene),
            state: std::mem::replace(&mut self.state, step.state),
        };
        match forward {
            true => self.past.push(left),
            false => self.future.push(left),
        }
        (step.label, touched)
    }

    /// Name of the step that undo would take back.
    pub fn undo_label(&self) -> Option<&str> {
        self.past.last().map(|s| s.label.as_str())
    }

    /// Name of the step that redo would repeat.
    pub fn redo_label(&self) -> Option<&str> {
        self.future.last().map(|s| s.label.as_str())
    }

    /// Names of all steps that can be taken back, the latest last.
    pub fn labels(&self) -> impl Iterator<Item = &str> {
        self.past.iter().map(|s| s.label.as_str())
    }

    /// Counts the scene as saved.
    pub fn mark_clean(&mut self) {
        self.clean = Some(self.state);
    }

    /// True where the scene is as it was saved last.
    pub fn is_clean(&self) -> bool {
        self.open.is_none() && self.clean == Some(self.state)
    }

    /// Counts the scene as unsaved, whatever was saved before.
    pub fn mark_unsaved(&mut self) {
        self.clean = None;
    }

    /// A number that changes with every committed step, undo and redo, and comes
    /// back when the same state does.
    pub fn state(&self) -> u64 {
        self.state
    }
}
