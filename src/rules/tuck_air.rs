//! Cables that are tucked away in the air of a fan or a vent.

use super::common::part;
use super::needs::Why;
use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};
use crate::geom::{Box3, Length};
use crate::model::{Tuck, Vent};
use crate::route::leftover::{Leftover, tuck};
use std::collections::BTreeSet;

/// See [`Rule::about`].
pub(super) struct TuckAir;

impl Rule for TuckAir {
    fn id(&self) -> &'static str {
        "tuck-air"
    }

    fn title(&self) -> &'static str {
        "Leftover in the air"
    }

    fn about(&self) -> &'static str {
        "A tuck zone that takes leftover lengths must not lie before a fan or a vent: within a quarter \
         of the fan's edge before or behind its blades, or of the vent's shorter side behind it, where \
         the air that comes in from the sides has as large an area to pass as the face itself \
         (arithmetic: 4 x edge x edge/4 = edge squared). Touching is none. Zones in which nothing is \
         tucked do not count."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Scene]
    }

    fn judge(&self, facts: &Facts, _: Anchor, out: &mut Vec<Finding>) {
        let rooms = &facts.placed.enclosure().tucks;
        if rooms.is_empty() {
            return;
        }
        let all: Vec<&Leftover> = facts.index.leftovers().collect();
        let used: BTreeSet<usize> = tuck(&all, facts.runs, rooms)
            .into_iter()
            .flatten()
            .collect();
        for room in used.into_iter().filter_map(|i| rooms.get(i)) {
            fans(facts, room, out);
            for vent in &facts.placed.enclosure().vents {
                if let Some(at) = behind(vent)
                    .intersection(&room.room)
                    .filter(|_| behind(vent).overlaps(&room.room))
                {
                    let text = format!(
                        "Leftover cables in {} lie before the vent '{}'",
                        room.name, vent.id
                    );
                    let subjects = vec![
                        Subject::Opening(room.id.clone()),
                        Subject::Opening(vent.id.clone()),
                    ];
                    out.push(said(subjects, text, at));
                }
            }
        }
    }
}

fn fans(facts: &Facts, room: &Tuck, out: &mut Vec<Finding>) {
    for fan in facts.placed.parts() {
        let airs = facts.needs.of(fan).iter();
        let space = airs
            .filter(|n| matches!(n.why, Why::Air(_)))
            .find(|n| n.space.overlaps(&room.room));
        let Some(at) = space.and_then(|n| n.space.intersection(&room.room)) else {
            continue;
        };
        let text = format!(
            "Leftover cables in {} lie in the air of {}",
            room.name, fan.name
        );
        let subjects = vec![Subject::Opening(room.id.clone()), part(fan)];
        out.push(said(subjects, text, at));
    }
}

fn said(subjects: Vec<Subject>, text: String, at: Box3) -> Finding {
    Finding::new("tuck-air", Severity::Caution, subjects, text)
        .at(at)
        .hint("Take shorter leads, or lead them past another tuck zone.")
}

/// The room behind a vent that its air needs.
fn behind(vent: &Vent) -> Box3 {
    let deep = Length::um(vent.size[0].min(vent.size[1]).as_um() / 4);
    vent.frame.block(vent.size, Length::ZERO - deep)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, at_port, block, cable, enclosure, fan, frame, l, port, v};
    use crate::geom::Dir;
    use crate::model::{Enclosure, Group, Role};

    fn tucked(mut e: Enclosure, x: f64) -> Build {
        e.tucks.push(Tuck {
            id: "tray".into(),
            name: "tray".into(),
            room: Box3::at(v(x, 100.0, 20.0), v(60.0, 60.0, 20.0)),
        });
        let mut host = block("host", Group::Board, [10.0; 3]);
        host.ports = vec![port("p", "host", v(10.0, 5.0, 5.0), "+x", Role::Source)];
        let mut drive = block("drive", Group::Drive, [10.0; 3]);
        drive.ports = vec![port("p", "drive", v(0.0, 5.0, 5.0), "-x", Role::Sink)];
        Build::new(e)
            .with("host", &host, [100.0, 100.0, 20.0])
            .with("drive", &drive, [410.0, 100.0, 20.0])
            .cable(
                "c",
                cable(
                    Some("data"),
                    at_port("host", "p"),
                    at_port("drive", "p"),
                    500.0,
                    vec![],
                ),
            )
    }

    /// A fan on its edge at x = 300 that blows along x: its air is 30 mm deep.
    fn blowing(room_at: f64) -> Build {
        let mut kind = fan(120.0, 105.0, 25.0);
        kind.blows = Some(Dir::PosZ);
        let turn = crate::build::turn("+y", "+z");
        tucked(enclosure([1000.0; 3]), room_at).turned("fan", &kind, [300.0, 60.0, 10.0], turn)
    }

    #[test]
    fn a_zone_in_the_air_of_a_fan_is_a_caution_and_touching_is_none() {
        // The air before the fan begins 30 mm before x = 300: a room of 60 that ends there.
        blowing(210.0).expect("tuck-air", &[]);
        let found = blowing(210.001).only("tuck-air");
        assert_eq!(found.severity, Severity::Caution);
        assert_eq!(found.key(), "tuck-air:fan+opening:tray");
    }

    #[test]
    fn behind_a_vent_too() {
        let mut e = enclosure([1000.0; 3]);
        e.vents.push(Vent {
            id: "floor".into(),
            frame: frame(v(150.0, 50.0, 0.0), "+x", "+y", "-z"),
            size: [l(200.0), l(80.0)],
            free: 0.5,
            filter: false,
            filter_outside: false,
        });
        // A quarter of 80 is 20: where the room begins.
        tucked(e.clone(), 200.0).expect("tuck-air", &[]);
        e.vents[0].size[1] = l(80.004);
        let found = tucked(e, 200.0).only("tuck-air");
        assert_eq!(found.key(), "tuck-air:opening:floor+opening:tray");
    }
}
