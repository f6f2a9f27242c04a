//! What differs between two arrangements of a scene, part by part and cable by cable.

use crate::geom::{Length, Turn, Vec3};
use crate::model::{Arrangement, Cable, CableId, PartId, PartKind, Place, Scene, Via};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::sync::Arc;

/// What differs.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Subject {
    /// A part.
    Part(PartId),
    /// A cable or hose.
    Cable(CableId),
}

/// One way in which it differs from the base.
#[derive(Clone, PartialEq, Debug)]
pub enum Change {
    /// The middle of the part's outline stands this far from that of the base.
    Moved(Vec3),
    /// Turned from one orientation to another.
    Turned(Turn, Turn),
    /// Another kind of part: in the base, here.
    Swapped(Arc<PartKind>, Arc<PartKind>),
    /// Placed in the base, beside the enclosure here.
    Missing,
    /// Beside the enclosure in the base, placed here.
    Added,
    /// Led to other ports or past other places.
    Rerouted,
    /// Length at hand in the base, here, over all stretches.
    Length(Length, Length),
    /// Otherwise another cable: its kind, section or name.
    Other,
}

/// A part or cable that is not as in the base.
#[derive(Clone, PartialEq, Debug)]
pub struct Difference {
    /// What it is about.
    pub subject: Subject,
    /// Its name here.
    pub name: String,
    /// In which ways; at least one.
    pub changes: Vec<Change>,
}

/// Differences of the arrangement with the index `of` against the one with the index
/// `base`: parts in the order of their ids, then cables. Locks and hiding do not count.
/// Empty where either index is not sound.
pub fn differences(scene: &Scene, base: usize, of: usize) -> Vec<Difference> {
    let (Some(old), Some(new)) = (scene.arrangements.get(base), scene.arrangements.get(of)) else {
        return Vec::new();
    };
    if base == of {
        return Vec::new();
    }
    let parts = scene.parts.iter().filter_map(|(id, part)| {
        let kinds = [base, of].map(|i| scene.kind_in(i, id));
        let changes = part_changes(
            (old.places.get(id), kinds[0]?),
            (new.places.get(id), kinds[1]?),
        );
        let follows = part.name == part.kind.name;
        let name = if follows { &kinds[1]?.name } else { &part.name };
        (!changes.is_empty()).then(|| Difference {
            subject: Subject::Part(id.clone()),
            name: name.clone(),
            changes,
        })
    });
    parts.chain(cables(old, new)).collect()
}

type Stands<'a> = (Option<&'a Place>, &'a Arc<PartKind>);

fn part_changes(old: Stands<'_>, new: Stands<'_>) -> Vec<Change> {
    let mut changes = Vec::new();
    if !Arc::ptr_eq(old.1, new.1) && old.1 != new.1 {
        changes.push(Change::Swapped(old.1.clone(), new.1.clone()));
    }
    match (old.0, new.0) {
        (Some(_), None) => changes.push(Change::Missing),
        (None, Some(_)) => changes.push(Change::Added),
        (None, None) => {}
        (Some(a), Some(b)) => {
            if a.turn != b.turn {
                changes.push(Change::Turned(a.turn, b.turn));
            }
            let same = changes.is_empty() && a.at == b.at;
            let by = b.outline(new.1).centre() - a.outline(old.1).centre();
            if !same && by != Vec3::ZERO {
                changes.push(Change::Moved(by));
            }
        }
    }
    changes
}

/// Cables are the same one by id, and where ids differ by the ports that they join.
fn cables(old: &Arrangement, new: &Arrangement) -> Vec<Difference> {
    let mut lost: BTreeMap<&CableId, &Cable> = old
        .cables
        .iter()
        .filter(|(id, _)| !new.cables.contains_key(*id))
        .collect();
    let mut found = Vec::new();
    for (id, cable) in &new.cables {
        let twin = old.cables.get(id).or_else(|| {
            let ends: BTreeSet<_> = cable.ports().collect();
            let at = lost
                .iter()
                .find(|(_, c)| c.ports().collect::<BTreeSet<_>>() == ends)
                .map(|(id, _)| *id)?;
            lost.remove(at)
        });
        let changes = match twin {
            Some(twin) => cable_changes(twin, cable),
            None => vec![Change::Added],
        };
        if !changes.is_empty() {
            found.push(Difference {
                subject: Subject::Cable(id.clone()),
                name: cable.name.clone(),
                changes,
            });
        }
    }
    found.extend(lost.into_iter().map(|(id, cable)| Difference {
        subject: Subject::Cable(id.clone()),
        name: cable.name.clone(),
        changes: vec![Change::Missing],
    }));
    found
}

fn cable_changes(old: &Cable, new: &Cable) -> Vec<Change> {
    let mut changes = Vec::new();
    // Corners that the program laid follow from what stands where.
    let way = |c: &Cable| -> Vec<Vec<Via>> {
        let mut c = c.clone();
        if c.finds {
            c.straighten();
        }
        c.plugs.into_iter().map(|p| p.via).collect()
    };
    if !old.ports().eq(new.ports()) || way(old) != way(new) {
        changes.push(Change::Rerouted);
    }
    let length = |c: &Cable| c.plugs.iter().map(|p| p.length).sum::<Length>();
    if length(old) != length(new) {
        changes.push(Change::Length(length(old), length(new)));
    }
    if changes.is_empty() && old != new {
        changes.push(Change::Other);
    }
    changes
}

/// 'fan: moved 12.0 mm to the right and 3.0 mm up; turned'.
impl fmt::Display for Difference {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let cable = matches!(self.subject, Subject::Cable(_));
        write!(f, "{}: ", self.name)?;
        for (i, change) in self.changes.iter().enumerate() {
            if i > 0 {
                f.write_str("; ")?;
            }
            match change {
                Change::Missing if cable => f.write_str("missing here"),
                Change::Added if cable => f.write_str("not in the base"),
                other => write!(f, "{other}"),
            }?;
        }
        Ok(())
    }
}

impl fmt::Display for Change {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Change::Moved(by) => write!(f, "moved {}", way_words(*by)),
            Change::Turned(from, to) => f.write_str(&turn_words(*from, *to)),
            Change::Swapped(from, to) => {
                write!(f, "swapped, {} in place of {}", to.name, from.name)
            }
            Change::Missing => f.write_str("missing, lies beside the enclosure here"),
            Change::Added => f.write_str("placed, lies beside the enclosure in the base"),
            Change::Rerouted => f.write_str("led another way"),
            Change::Length(from, to) => {
                write!(f, "{} mm long in place of {} mm", to.text1(), from.text1())
            }
            Change::Other => f.write_str("another cable"),
        }
    }
}

/// '12.0 mm to the right and 3.0 mm up'.
fn way_words(by: Vec3) -> String {
    let words = |along: Length, more: &str, less: &str| {
        let way = if along > Length::ZERO { more } else { less };
        (along != Length::ZERO).then(|| format!("{} mm {way}", along.abs().text1()))
    };
    let ways: Vec<String> = [
        words(by.x, "to the right", "to the left"),
        words(by.y, "to the back", "to the front"),
        words(by.z, "up", "down"),
    ]
    .into_iter()
    .flatten()
    .collect();
    match ways.split_last() {
        None => "nowhere".to_owned(),
        Some((last, [])) => last.clone(),
        Some((last, first)) => format!("{} and {last}", first.join(", ")),
    }
}

/// 'turned a quarter about z', or 'turned' where no one axis does it.
fn turn_words(from: Turn, to: Turn) -> String {
    use crate::geom::Axis;
    for (axis, name) in [(Axis::X, "x"), (Axis::Y, "y"), (Axis::Z, "z")] {
        for (quarters, words) in [(1, "a quarter"), (2, "half"), (-1, "a quarter back")] {
            if from.then(Turn::about(axis, quarters)) == to {
                return format!("turned {words} about {name}");
            }
        }
    }
    "turned about two axes".to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, at_port, block, cable, cid, pid, port, v};
    use crate::edit::Edit;
    use crate::geom::Axis;
    use crate::model::{Group, Role};

    fn drive(size: [f64; 3], id: &str) -> PartKind {
        let mut kind = block(id, Group::Drive, size);
        kind.ports = vec![port("p", "fan-4pin", v(0.0, 0.0, 0.0), "-x", Role::Both)];
        kind
    }

    /// Two drives and a cable, and a branch at hand.
    fn two() -> Build {
        let kind = drive([100.0, 70.0, 10.0], "drive");
        let mut b = Build::open()
            .with("a", &kind, [10.0, 10.0, 0.0])
            .with("b", &kind, [10.0, 200.0, 0.0])
            .cable(
                "c",
                cable(None, at_port("a", "p"), at_port("b", "p"), 300.0, vec![]),
            );
        let copy = b.scene.arrangement().clone();
        b.edit(Edit::AddArrangement(copy));
        b
    }

    fn words(b: &Build) -> Vec<String> {
        let all = differences(&b.scene, 0, 1);
        all.iter().map(ToString::to_string).collect()
    }

    #[test]
    fn a_copy_differs_in_nothing_and_locking_does_not_count() {
        let mut b = two();
        assert_eq!(words(&b), [""; 0]);
        let (_, place) = b.scene.placed(&pid("a")).unwrap();
        let locked = Place {
            locked: true,
            ..*place
        };
        b.edit(Edit::SetPlace(pid("a"), Some(locked)));
        assert_eq!(words(&b), [""; 0]);
    }

    #[test]
    fn moves_are_told_by_their_ways() {
        let b = two()
            .moved("a", [12.0, 0.0, 0.0])
            .moved("b", [0.0, -3.5, 7.0]);
        assert_eq!(
            words(&b),
            [
                "drive: moved 12.0 mm to the right",
                "drive: moved 3.5 mm to the front and 7.0 mm up"
            ]
        );
    }

    #[test]
    fn a_turn_about_the_middle_moves_nothing() {
        let mut b = two();
        let (part, place) = b.scene.placed(&pid("a")).unwrap();
        let middle = place.outline(&part.kind).centre();
        let turn = Turn::about(Axis::Z, 1);
        let turned = part.kind.outline().turned(turn);
        let at = turned.moved(middle - turned.centre()).min();
        b.edit(Edit::SetPlace(
            pid("a"),
            Some(Place {
                turn,
                ..Place::at(at)
            }),
        ));
        assert_eq!(words(&b), ["drive: turned a quarter about z"]);
    }

    #[test]
    fn swapped_missing_and_cables() {
        let mut b = two();
        let long = Arc::new(drive([147.0, 101.6, 26.1], "drive-35"));
        b.edit(Edit::SetKind(pid("a"), long));
        assert!(
            words(&b)[0]
                .starts_with("drive 35: swapped, drive 35 in place of drive; moved 23.5 mm")
        );
        let mut b = two();
        let mut longer = b.scene.arrangement().cables[&cid("c")].clone();
        longer.plugs[0].length = Length::mm(450);
        longer.plugs[0].via = vec![Via::Point(v(50.0, 50.0, 50.0))];
        b.edit(Edit::SetCable(cid("c"), Some(longer)));
        assert_eq!(
            words(&b),
            ["c: led another way; 450.0 mm long in place of 300.0 mm"].map(|w| {
                w.replace(
                    "c:",
                    &format!("{}:", b.scene.arrangement().cables[&cid("c")].name),
                )
            })
        );
        b.edit(Edit::SetPlace(pid("b"), None));
        let name = &b.scene.arrangements[0].cables[&cid("c")].name;
        assert_eq!(
            words(&b),
            [
                "drive: missing, lies beside the enclosure here".to_owned(),
                format!("{name}: missing here")
            ]
        );
        let back = differences(&b.scene, 1, 0);
        assert_eq!(back[0].changes, [Change::Added]);
        assert!(differences(&b.scene, 0, 7).is_empty() && differences(&b.scene, 1, 1).is_empty());
    }

    #[test]
    fn a_cable_under_another_id_between_the_same_ports_is_the_same() {
        let mut b = two();
        let same = b.scene.arrangement().cables[&cid("c")].clone();
        b.edit(Edit::SetCable(cid("c"), None));
        b.edit(Edit::SetCable(cid("d"), Some(same)));
        assert_eq!(words(&b), [""; 0]);
    }
}
