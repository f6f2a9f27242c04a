//! Parts that have no place yet.

use super::{Anchor, Facts, Finding, Rule, Scope, Subject};

/// See [`Rule::about`].
pub(super) struct Beside;

impl Rule for Beside {
    fn id(&self) -> &'static str {
        "beside"
    }

    fn title(&self) -> &'static str {
        "Beside the enclosure"
    }

    fn about(&self) -> &'static str {
        "A part that was chosen and has no place in this arrangement lies beside the enclosure. No \
         rule looks at it, so each such part is named."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Beside]
    }

    fn judge(&self, _: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Beside(id, part) = anchor else {
            return;
        };
        let text = format!("{} lies beside the enclosure, not checked", part.name);
        let subjects = vec![Subject::Part(id.clone())];
        out.push(
            Finding::unjudged(self.id(), subjects, text)
                .hint("Give it a place, or take it out of the scene."),
        );
    }
}
