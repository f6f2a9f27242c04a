//! The space that a placed part needs around it because of how it stands and what
//! is plugged into it, and a grid to find who stands in it.

use super::exhaust_intake::at_side;
use super::hinge::hinged;
use super::sweep::{moving, pulled};
use crate::geom::{Box3, Dir, Length};
use crate::model::{Catalogue, Group, Scene, Settings, Space};
use crate::placement::{Placed, PlacedPart, grid::Grid};
use crate::route::{straight_box, sure_plug_box};
use std::collections::BTreeMap;

/// Why a space is needed.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Why {
    /// The plug in this port (its position in the kind's list).
    Plug(usize),
    /// The straight lead behind the plug in this port and the bend after it. The
    /// lengths are out of the port's face: of the plug, to the end of the straight
    /// part, and to the outside of the bent lead.
    Lead {
        /// Position in the kind's list.
        port: usize,
        /// Length of the plug out of the socket.
        plug: Length,
        /// To the end of the straight lead.
        straight: Length,
        /// To the outside of the bent lead.
        bent: Length,
    },
    /// The air before a fan on its side that looks this way.
    Air(Dir),
    /// Where a hand has to get in: a reach space of the kind.
    Reach,
    /// The way of something that is pulled out this way.
    Pull(Dir),
    /// About all that swings with a hinged panel; the exact way is for the rule.
    Swing,
    /// Where the air of a part that warms it leaves, this way.
    Exhaust(Dir),
    /// Where fans on a radiator may stand and its air may leave, on its side that looks this way.
    Warmed(Dir),
}

/// A space that a part needs.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Need {
    /// Why.
    pub why: Why,
    /// Where, in the enclosure's frame.
    pub space: Box3,
}

/// The needs of all placed parts.
#[derive(Clone, Debug, Default)]
pub struct Needs {
    of: BTreeMap<u32, Vec<Need>>,
    grid: Grid,
}

impl Needs {
    /// What a part needs.
    pub fn of(&self, part: &PlacedPart) -> &[Need] {
        self.of.get(&part.slot).map_or(&[], Vec::as_slice)
    }

    /// The box around all that it needs.
    pub(super) fn around(&self, part: &PlacedPart) -> Option<Box3> {
        Box3::around(self.of(part).iter().map(|n| &n.space))
    }

    /// Slots of parts that may need a space which this box stands in.
    pub(super) fn meeting(&self, b: &Box3) -> Vec<u32> {
        self.grid.meeting(b)
    }

    /// Puts the needs of a slot in place of the ones before; true where they differ.
    pub(super) fn put(&mut self, slot: u32, needs: Vec<Need>) -> bool {
        if self.of.get(&slot).map_or(&[][..], Vec::as_slice) == needs.as_slice() {
            return false;
        }
        match Box3::around(needs.iter().map(|n| &n.space)) {
            Some(around) => {
                self.grid.insert(slot, around);
                self.of.insert(slot, needs);
            }
            None => {
                self.grid.remove(slot);
                self.of.remove(&slot);
            }
        }
        true
    }
}

/// Works out what a part needs.
///
/// - A port with a cable: the plug, the straight lead behind it and room for the
///   lead's bend radius plus half its thickness, over the width of the lead. Of a
///   run with several plugs only the first end has a straight lead: the others are
///   crimped across it (common practice of such runs, no source). A captive lead
///   leaves its own part without a plug, where its maker led it.
/// - A fan with a known way of blowing: a quarter of its face's shorter edge before
///   and behind it. There the air that comes in from the sides has as large an area
///   to pass as the face itself (4 x edge x edge/4 = edge squared).
/// - A kind with reach spaces: those.
/// - A kind that is pulled out: the way of each of its solids, and of what it carries.
/// - What is mounted on a hinged panel: a box about the way of its solids.
/// - A cooler, card or supply with a known way of blowing: the air that leaves it,
///   as far as the settings say; a fan that blows out of the enclosure: as far to
///   its sides.
/// - A radiator: the room on both its sides where its fans stand and its air leaves.
pub(super) fn work_out(
    scene: &Scene,
    placed: &Placed,
    settings: &Settings,
    catalogue: &Catalogue,
    part: &PlacedPart,
) -> Vec<Need> {
    let mut needs = Vec::new();
    for piece in part.of(Space::Reach) {
        needs.push(Need {
            why: Why::Reach,
            space: piece.bounds,
        });
    }
    if let Some((way, by)) = pulled(part) {
        // With where it stands: something may be in a notch of it.
        let way_of = |b: &Box3| before(b, way, by).union(b);
        let all = moving(placed, part).into_iter();
        needs.extend(all.map(|q| Need {
            why: Why::Pull(way),
            space: way_of(&q.bounds),
        }));
    }
    if let Some((_, swing)) = hinged(placed, part) {
        needs.extend(part.of(Space::Solid).map(|q| Need {
            why: Why::Swing,
            space: swing.around(&q.bounds),
        }));
    }
    for port in placed.ports_at(&part.id) {
        plug_needs(scene, placed, catalogue, part, port, &mut needs);
    }
    if let (Group::Radiator, Some(reach)) = (part.group, settings.limits.exhaust_reach) {
        let axis = part.outline.thin_axis();
        for dir in [Dir::new(axis, false), Dir::new(axis, true)] {
            // To the sides as well, where it blows out of the enclosure beside fans at other
            // radiators.
            let beside = part.outline.grown(reach + FAN_WIDE);
            let mut space = before(&beside, dir, FAN_DEEP);
            space = space.union(&before(&part.outline, dir, FAN_DEEP + reach));
            needs.push(Need {
                why: Why::Warmed(dir),
                space,
            });
        }
    }
    if let Some(blows) = part.kind.blows.map(|d| part.place.turn.dir(d)) {
        match part.group {
            Group::Fan => {
                let deep = quarter(part, blows);
                for dir in [blows.opposite(), blows] {
                    needs.push(Need {
                        why: Why::Air(dir),
                        space: before(&part.outline, dir, deep),
                    });
                }
                let room = placed.enclosure().outline();
                if let Some(reach) = settings.limits.exhaust_reach
                    && at_side(part, blows, &room)
                {
                    needs.push(Need {
                        why: Why::Exhaust(blows),
                        space: beside(&part.outline, blows, reach),
                    });
                }
            }
            Group::Cooler | Group::Card | Group::Supply => {
                if let Some(reach) = settings.limits.exhaust_reach {
                    needs.push(Need {
                        why: Why::Exhaust(blows),
                        space: before(&part.outline, blows, reach),
                    });
                }
            }
            _ => {}
        }
    }
    needs
}

/// From a radiator, no fan at it ends farther off than this: of what is built into compact
/// computers the thickest are 51 mm (common practice, no source).
pub(super) const FAN_DEEP: Length = Length::mm(80);

/// No fan is wider than this (common practice, no source).
const FAN_WIDE: Length = Length::mm(200);

/// A quarter of the shorter edge of the face that looks this way.
pub(super) fn quarter(part: &PlacedPart, dir: Dir) -> Length {
    let (a, b) = dir.axis().others();
    let size = part.outline.size();
    Length::um(size.along(a).min(size.along(b)).as_um() / 4)
}

/// A box grown on all sides but along this way.
fn beside(b: &Box3, dir: Dir, reach: Length) -> Box3 {
    let grown = b.grown(reach);
    let (mut min, mut max) = (grown.min(), grown.max());
    min.set(dir.axis(), b.min().along(dir.axis()));
    max.set(dir.axis(), b.max().along(dir.axis()));
    Box3::new(min, max)
}

/// The slab of this depth before the face of a box.
pub(super) fn before(b: &Box3, dir: Dir, deep: Length) -> Box3 {
    let (mut min, mut max) = (b.min(), b.max());
    min.set(dir.axis(), b.face(dir));
    max.set(dir.axis(), b.face(dir) + deep * dir.sign());
    Box3::new(min, max)
}

fn plug_needs(
    scene: &Scene,
    placed: &Placed,
    catalogue: &Catalogue,
    part: &PlacedPart,
    port: &crate::model::PortRef,
    needs: &mut Vec<Need>,
) {
    let Some(at) = placed.port(port) else {
        return;
    };
    let kind = &part.kind.ports[at.index];
    let Some(connector) = catalogue.connectors.get(&kind.connector) else {
        return;
    };
    // Two cables in one port are for another rule; here the first one counts.
    let Some(cable) = placed
        .plugged(port)
        .first()
        .and_then(|id| scene.arrangement().cables.get(id))
    else {
        return;
    };
    if cable.from == *port && cable.kind.is_none() && kind.lead.is_some() {
        return;
    }
    needs.push(Need {
        why: Why::Plug(at.index),
        space: sure_plug_box(part, &at, connector.plug),
    });
    if cable.plugs.len() > 1 && cable.from != *port {
        return;
    }
    let plug = connector.plug[2];
    let straight = plug + connector.straight;
    let bent = straight + cable.bend + cable.section.thickness().half();
    needs.push(Need {
        why: Why::Lead {
            port: at.index,
            plug,
            straight,
            bent,
        },
        space: straight_box(&at, cable.section.thickness(), plug, bent),
    });
}
