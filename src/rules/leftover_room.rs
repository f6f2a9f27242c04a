//! Leftover lengths of cables for which there is no room.

use super::common::port_name;
use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};
use crate::geom::{Box3, Length, Vec3};
use crate::route::leftover::{Leftover, What, tuck};

/// See [`Rule::about`].
pub(super) struct LeftoverRoom;

impl Rule for LeftoverRoom {
    fn id(&self) -> &'static str {
        "leftover-room"
    }

    fn title(&self) -> &'static str {
        "No room for what is left over"
    }

    fn about(&self) -> &'static str {
        "What a lead has beyond its way and the share for service, plugs of a run that nothing is \
         plugged on, and pieces of plugs that split off have to lie somewhere: in a tuck zone of the \
         enclosure. A leftover is coiled at the least radius of its cable, and takes the box around \
         that coil (arithmetic; the assumption has no source); it fits where that box goes in, so \
         much volume is left, and the loop reaches from its way and back. Exactly so much is enough; \
         less than 80 mm is taken up by the way (common practice, no source). In an enclosure without \
         tuck zones this is not judged."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Scene]
    }

    fn judge(&self, facts: &Facts, _: Anchor, out: &mut Vec<Finding>) {
        let all: Vec<&Leftover> = facts.index.leftovers().collect();
        if all.is_empty() {
            return;
        }
        let rooms = &facts.placed.enclosure().tucks;
        if rooms.is_empty() {
            let text = format!(
                "Where {} of cables left over goes was not judged: the enclosure names no place for it",
                total(&all)
            );
            let finding = Finding::unjudged(self.id(), Vec::new(), text)
                .hint("Add tuck zones to the enclosure, or shorten the leads.");
            out.push(finding);
            return;
        }
        for (left, room) in all.iter().zip(tuck(&all, facts.runs, rooms)) {
            if room.is_none() {
                out.push(lost(facts, left));
            }
        }
    }
}

fn total(all: &[&Leftover]) -> String {
    let length: Length = all.iter().map(|l| l.length).sum();
    format!("{} mm", length.text1())
}

fn lost(facts: &Facts, left: &Leftover) -> Finding {
    let cable = facts.scene.arrangement().cables.get(&left.cable);
    let name = cable.map_or(left.cable.as_str(), |c| c.name.as_str());
    let mut subjects = vec![Subject::Cable(left.cable.clone())];
    let what = match &left.what {
        What::Spare(stretch) => {
            let run = facts.runs.get(&left.cable);
            if let Some(s) = run.and_then(|r| r.stretches.get(*stretch)) {
                subjects.push(Subject::Port(s.to.clone()));
            }
            format!("{} mm left over", left.length.text1())
        }
        What::Plugs(1) => "a plug that is not used".to_owned(),
        What::Plugs(n) => format!("{n} plugs that are not used"),
        What::Tail(port) => {
            subjects.push(Subject::Port(port.clone()));
            subjects.push(Subject::Part(port.part.clone()));
            format!("the piece that splits off at {}", port_name(facts, port))
        }
    };
    let [a, b, c] = left.size;
    let text = format!(
        "{name}: {what} ({} x {} x {} mm, {:.0} cm³) find no room in a tuck zone within reach",
        a.text1(),
        b.text1(),
        c.text1(),
        left.volume() / 1000.0
    );
    let mut finding = Finding::new("leftover-room", Severity::Caution, subjects, text)
        .hint("Take a shorter lead, or lead it past a tuck zone.");
    finding.place = place(facts, left);
    finding
}

fn place(facts: &Facts, left: &Leftover) -> Option<Box3> {
    let end = facts.runs.get(&left.cable)?.stretches.last()?.legs.last()?;
    let [x, y, z] = end.end().map(Length::from_mm);
    let at = Vec3::new(x?, y?, z?);
    Some(Box3::new(at, at).grown(Length::mm(20)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, at_port, block, cable, enclosure, l, port, v};
    use crate::model::{Group, Role, Tuck};

    /// A straight lead of 300 with this length, and a room of this size beside its way.
    fn with_room(length: f64, room: Option<[f64; 3]>) -> Build {
        let mut e = enclosure([1000.0; 3]);
        if let Some([x, y, z]) = room {
            e.tucks.push(Tuck {
                id: "tray".into(),
                name: "tray".into(),
                room: Box3::at(v(200.0, 106.0, 105.0), v(x, y, z)),
            });
        }
        let mut host = block("host", Group::Board, [10.0; 3]);
        host.ports = vec![port("p", "host", v(10.0, 5.0, 5.0), "+x", Role::Source)];
        let mut drive = block("drive", Group::Drive, [10.0; 3]);
        drive.ports = vec![port("p", "drive", v(0.0, 5.0, 5.0), "-x", Role::Sink)];
        Build::new(e)
            .with("host", &host, [100.0; 3])
            .with("drive", &drive, [410.0, 100.0, 100.0])
            .cable(
                "c",
                cable(
                    Some("data"),
                    at_port("host", "p"),
                    at_port("drive", "p"),
                    length,
                    vec![],
                ),
            )
    }

    #[test]
    fn a_coil_that_just_goes_in_passes() {
        // 330 with the share for service; 170 left of 500: 1.35 turns of 20: two strands
        // of 4 are 8 thick (two circles in one), 48 across.
        with_room(500.0, Some([48.0, 48.0, 8.0])).expect("leftover-room", &[]);
        let found = with_room(500.0, Some([48.0, 47.999, 8.0])).only("leftover-room");
        assert_eq!(found.severity, Severity::Caution);
        assert_eq!(found.key(), "leftover-room:cable:c+drive:p");
        assert!(found.text.contains("170.0 mm left over"), "{}", found.text);
        assert!(found.text.contains("48.0 x 48.0 x 8.0"), "{}", found.text);
    }

    #[test]
    fn what_is_short_leaves_nothing_and_little_is_taken_up_by_the_way() {
        with_room(250.0, None).expect("leftover-room", &[]);
        with_room(409.999, None).expect("leftover-room", &[]);
        let found = with_room(410.0, None).only("leftover-room");
        assert!(
            found.unjudged && found.text.contains("80.0 mm"),
            "{}",
            found.text
        );
        assert_eq!(l(80.0), crate::route::leftover::LEAST);
    }
}
