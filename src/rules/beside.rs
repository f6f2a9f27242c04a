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

#[cfg(test)]
mod tests {
    use crate::build::{Build, block};
    use crate::model::Group;

    #[test]
    fn a_part_without_a_place_is_named_and_a_placed_one_is_not() {
        let kind = block("disk", Group::Drive, [10.0; 3]);
        let scene = Build::open().with("a", &kind, [0.0; 3]).beside("b", &kind);
        let found = scene.only("beside");
        assert_eq!(found.key(), "beside:b");
        assert_eq!(found.text, "disk lies beside the enclosure, not checked");
        assert!(found.unjudged);
    }
}
