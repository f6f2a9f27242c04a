//! Taking one of the alternatives for a cable that is too short.

use super::Editor;
use crate::alternatives::Alternative;

impl Editor {
    /// Carries an alternative out, as one undo step. It has to be of the scene as it
    /// stands; where an edit does not apply any more, nothing changes and `Err` says why.
    pub fn take_alternative(&mut self, of: &Alternative) -> Result<(), String> {
        self.cancel_gesture();
        let label = of.how.words();
        self.apply(label, &of.edits).map_err(|e| e.to_string())
    }
}
