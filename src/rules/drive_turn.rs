//! Spinning drives in a position that their maker does not allow.

use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};
use crate::geom::Dir;
use crate::model::Group;

/// See [`Rule::about`].
pub(super) struct DriveTurn;

impl Rule for DriveTurn {
    fn id(&self) -> &'static str {
        "drive-turn"
    }

    fn title(&self) -> &'static str {
        "Drive in a wrong position"
    }

    fn about(&self) -> &'static str {
        "Makers of spinning drives say which sides may point up while they run (a field of the \
         catalogue). Another position is a caution. Where a drive has no such \
         field, the rule says that it did not judge, unless its sound is 0 dB: then nothing in it \
         moves, and it may stand as it likes."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Part]
    }

    fn judge(&self, _: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Part(p) = anchor else {
            return;
        };
        let ratings = &p.kind.ratings;
        let still = ratings.sound_db == Some(0.0) && ratings.up.is_empty();
        if p.group != Group::Drive || still {
            return;
        }
        let subjects = vec![Subject::Part(p.id.clone())];
        if ratings.up.is_empty() {
            let text = match ratings.sound_db {
                Some(_) => format!(
                    "{}: which of its sides may point up is not known, not judged",
                    p.name
                ),
                None => format!(
                    "{}: whether it spins, and which of its sides may then point up, is not known, \
                     not judged",
                    p.name
                ),
            };
            let finding = Finding::unjudged(self.id(), subjects, text)
                .at(p.outline)
                .hint("Look it up at the maker and note it in its kind; 0 dB where nothing moves.");
            out.push(finding);
            return;
        }
        let up = p.place.turn.inverse().dir(Dir::PosZ);
        if ratings.up.contains(&up) {
            return;
        }
        let allowed: Vec<&str> = ratings.up.iter().map(|d| d.name()).collect();
        let text = format!(
            "{} runs with its {} up; its maker allows {}",
            p.name,
            up.name(),
            allowed.join(", ")
        );
        out.push(
            Finding::new(self.id(), Severity::Caution, subjects, text)
                .at(p.outline)
                .hint("Turn it, or take a drive that may run like this."),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, block, turn};
    use crate::geom::{Dir, Turn};
    use crate::model::{Group, PartKind};

    fn drive(sound: Option<f64>, up: &[Dir]) -> PartKind {
        let mut kind = block("disk", Group::Drive, [100.0, 147.0, 26.0]);
        kind.ratings.sound_db = sound;
        kind.ratings.up = up.to_vec();
        kind
    }

    fn stands(kind: &PartKind, turned: Turn) -> Build {
        Build::open().turned("d", kind, [0.0; 3], turned)
    }

    #[test]
    fn only_the_sides_that_are_allowed_may_point_up() {
        let kind = drive(Some(28.0), &[Dir::PosZ, Dir::PosX]);
        stands(&kind, Turn::NONE).expect("drive-turn", &[]);
        // Its x up.
        stands(&kind, turn("+z", "+y")).expect("drive-turn", &[]);
        let found = stands(&kind, turn("+x", "+z")).only("drive-turn");
        assert_eq!(
            found.text,
            "disk runs with its +y up; its maker allows +z, +x"
        );
        assert!(!found.unjudged);
    }

    #[test]
    fn where_it_is_not_known_that_is_said() {
        let found = stands(&drive(Some(28.0), &[]), Turn::NONE).only("drive-turn");
        assert!(found.unjudged);
        let found = stands(&drive(None, &[]), Turn::NONE).only("drive-turn");
        assert!(found.unjudged && found.text.contains("whether it spins"));
        stands(&drive(Some(0.0), &[]), Turn::NONE).expect("drive-turn", &[]);
        let fan = block("fan", Group::Fan, [10.0; 3]);
        Build::open()
            .with("f", &fan, [0.0; 3])
            .expect("drive-turn", &[]);
    }
}
