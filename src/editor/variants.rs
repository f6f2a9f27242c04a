//! Commands on whole arrangements: each is one undo step.

use super::Editor;
use crate::edit::Edit;
use crate::model::{Arrangement, Cable, PartId, Scene};
use std::collections::BTreeSet;

impl Editor {
    /// Copies the arrangement at hand beside it under a free name and goes on with the
    /// copy. Returns its index.
    pub fn branch(&mut self) -> Option<usize> {
        self.cancel_gesture();
        let scene = self.scene();
        let (at, last) = (scene.current, scene.arrangements.len());
        let copy = Arrangement {
            name: fresh_name(scene, &scene.arrangement().name),
            ..scene.arrangement().clone()
        };
        let label = format!("branch '{}'", copy.name);
        let edits = [
            Edit::AddArrangement(copy),
            Edit::MoveArrangement(last, at + 1),
        ];
        self.apply(&label, &edits).ok()?;
        Some(at + 1)
    }

    /// Switches to another arrangement.
    pub fn choose(&mut self, index: usize) -> bool {
        self.cancel_gesture();
        if index == self.scene().current {
            return false;
        }
        let Some(to) = self.scene().arrangements.get(index) else {
            return false;
        };
        let label = format!("switch to '{}'", to.name);
        self.apply(&label, &[Edit::Choose(index)]).is_ok()
    }

    /// Switches to the next arrangement, or with -1 to the one before, in a ring.
    pub fn step_arrangement(&mut self, by: isize) -> bool {
        let n = self.scene().arrangements.len() as isize;
        let to = (self.scene().current as isize + by).rem_euclid(n);
        self.choose(to as usize)
    }

    /// Names an arrangement. False for an empty name and for the one it has.
    pub fn rename_arrangement(&mut self, index: usize, name: &str) -> bool {
        let name = name.trim();
        let same = self.scene().arrangements.get(index).map(|a| a.name == name);
        if name.is_empty() || same != Some(false) {
            return false;
        }
        let edit = Edit::RenameArrangement(index, name.to_owned());
        self.apply("rename arrangement", &[edit]).is_ok()
    }

    /// Takes an arrangement out; the last one stays.
    pub fn remove_arrangement(&mut self, index: usize) -> bool {
        self.cancel_gesture();
        let Some(gone) = self.scene().arrangements.get(index) else {
            return false;
        };
        let label = format!("remove '{}'", gone.name);
        self.apply(&label, &[Edit::RemoveArrangement(index)])
            .is_ok()
    }

    /// Moves an arrangement in the row.
    pub fn move_arrangement(&mut self, from: usize, to: usize) -> bool {
        let n = self.scene().arrangements.len();
        from != to
            && from < n
            && to < n
            && self
                .apply("reorder arrangements", &[Edit::MoveArrangement(from, to)])
                .is_ok()
    }

    /// Gives a part the place that it has in another arrangement, and its kind there;
    /// where it lies beside the enclosure there, so does it here. Cables on ports that
    /// are not there any more are taken off.
    pub fn take_place(&mut self, id: &PartId, from: usize) -> bool {
        let scene = self.scene();
        let Some(kind) = scene.kind_in(from, id).cloned() else {
            return false;
        };
        let other = &scene.arrangements[from];
        let place = other.places.get(id).copied();
        let label = format!("place as in '{}'", other.name);
        let mut edits = Vec::new();
        if scene.parts[id].kind != kind {
            edits.push(Edit::SetKind(id.clone(), kind));
        }
        if scene.arrangement().places.get(id) != place.as_ref() {
            edits.push(Edit::SetPlace(id.clone(), place));
        }
        !edits.is_empty() && self.apply(&label, &edits).is_ok()
    }

    /// Leads a cable as it is led in another arrangement; where it is not there, it is
    /// taken off here. False where nothing differs or the ports are not to be had.
    pub fn take_cable(&mut self, id: &crate::model::CableId, from: usize) -> bool {
        let scene = self.scene();
        let Some(other) = scene.arrangements.get(from) else {
            return false;
        };
        let cable = other.cables.get(id);
        if scene.arrangement().cables.get(id) == cable {
            return false;
        }
        if cable.is_some_and(|c| !self.free_but_for(c, id)) {
            return false;
        }
        let label = format!("cable as in '{}'", other.name);
        let edit = Edit::SetCable(id.clone(), cable.cloned());
        self.apply(&label, &[edit]).is_ok()
    }

    /// True where all ports of a cable are free, or taken by the cable `id` only.
    fn free_but_for(&self, cable: &Cable, id: &crate::model::CableId) -> bool {
        let taken: BTreeSet<_> = self
            .scene()
            .arrangement()
            .cables
            .iter()
            .filter(|(other, _)| *other != id)
            .flat_map(|(_, c)| c.ports())
            .collect();
        cable.ports().all(|p| !taken.contains(p))
    }
}

/// The name with the next free number: 'first' gives 'first 2', that gives 'first 3'.
fn fresh_name(scene: &Scene, name: &str) -> String {
    let stem = name
        .trim_end_matches(|c: char| c.is_ascii_digit())
        .trim_end();
    let stem = if stem.is_empty() { "arrangement" } else { stem };
    let taken: BTreeSet<&str> = scene.arrangements.iter().map(|a| &*a.name).collect();
    (2..)
        .map(|n| format!("{stem} {n}"))
        .find(|n| !taken.contains(n.as_str()))
        .expect("there are more numbers than arrangements")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block, pid};
    use crate::geom::{Length, Vec3};
    use crate::model::Group;
    use std::sync::Arc;

    fn editor() -> Editor {
        let b = Build::open()
            .with("a", &block("one", Group::Drive, [10.0; 3]), [0.0; 3])
            .with(
                "b",
                &block("two", Group::Drive, [10.0; 3]),
                [50.0, 0.0, 0.0],
            );
        Editor::new(Arc::default(), Arc::new(b.settings.clone()), b.scene)
    }

    fn names(e: &Editor) -> Vec<&str> {
        let all = &e.scene().arrangements;
        all.iter().map(|a| a.name.as_str()).collect()
    }

    #[test]
    fn a_branch_stands_beside_its_origin_and_is_one_step() {
        let mut e = editor();
        assert_eq!(e.branch(), Some(1));
        assert_eq!(e.branch(), Some(2));
        e.choose(0);
        assert_eq!(e.branch(), Some(1));
        assert_eq!(names(&e), ["first", "first 4", "first 2", "first 3"]);
        assert_eq!(e.undo().as_deref(), Some("branch 'first 4'"));
        assert_eq!(names(&e), ["first", "first 2", "first 3"]);
        assert_eq!(e.scene().current, 0);
    }

    #[test]
    fn names_order_and_removal_each_undo() {
        let mut e = editor();
        e.branch();
        assert!(e.rename_arrangement(1, " tight "));
        assert!(!e.rename_arrangement(1, "tight") && !e.rename_arrangement(1, "  "));
        assert!(e.move_arrangement(1, 0) && !e.move_arrangement(0, 9));
        assert_eq!((names(&e), e.scene().current), (vec!["tight", "first"], 0));
        assert!(e.remove_arrangement(0));
        assert!(!e.remove_arrangement(0), "the last one stays");
        for expected in [vec!["tight", "first"], vec!["first", "tight"]] {
            e.undo();
            assert_eq!(names(&e), expected);
        }
        assert!(e.step_arrangement(1) && e.step_arrangement(1));
        assert_eq!(e.scene().current, 1);
    }

    #[test]
    fn one_part_takes_its_place_from_elsewhere() {
        let mut e = editor();
        e.branch();
        e.select([pid("a"), pid("b")]);
        e.move_by(Vec3::mm(7, 0, 0));
        assert!(e.take_place(&pid("a"), 0) && !e.take_place(&pid("a"), 0));
        let x = |e: &Editor, id| e.scene().placed(&pid(id)).map(|p| p.1.at.x);
        assert_eq!(x(&e, "a"), Some(Length::ZERO));
        assert_eq!(x(&e, "b"), Some(Length::mm(57)));
        assert!(!e.take_place(&pid("a"), 5));
    }
}
