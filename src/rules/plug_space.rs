//! Plugs and the leads behind them that run into something.

use super::common::{free_before, mounted_on, names, port_name, shape_unjudged};
use super::needs::{Need, Why};
use super::plug_pairs;
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::geom::{Box3, Dir, Length, Solid};
use crate::model::{PortRef, Space};
use crate::placement::{Body, Gap, PlacedPart, PlacedPlate, apart, between};

/// See [`Rule::about`].
pub(super) struct PlugSpace;

impl Rule for PlugSpace {
    fn id(&self) -> &'static str {
        "plug-space"
    }

    fn title(&self) -> &'static str {
        "No room for a plug"
    }

    fn about(&self) -> &'static str {
        "A port with a cable in it needs room for the plug, for the straight lead behind it and for \
         the bend of that very cable: its least radius and half its thickness (figures: connectors and \
         cables of the catalogue, with their sources). A solid part or a plate in the place of the \
         plug stops the build, also a panel that comes off: it has to close over the plug. One that \
         leaves the plug its place but not the lead its bend is a caution with both figures; the part \
         at the other end of the cable is excused from that, and so are parts that hold each other; \
         the plate that a part is mounted on is excused from both. Touching is enough room. Where no socket is drawn, \
         a plug counts only with what it fills whichever way it lies. Two plugs in ports of \
         two parts that stand in one another stop the build as well; those in one part are taken to fit, \
         as its maker set the ports."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Pair, Scope::Wall]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        match anchor {
            Anchor::Pair(a, b) => {
                plug_pairs::look(facts, a, b, out);
                for (owner, guest) in [(a, b), (b, a)] {
                    let needs = facts.needs.of(owner);
                    if needs.is_empty() {
                        continue;
                    }
                    let bodies: Vec<&Body> = guest.of(Space::Solid).map(|p| &p.body).collect();
                    let (_, name) = names(owner, guest);
                    let other = Other {
                        subject: Subject::Part(guest.id.clone()),
                        name,
                        bodies,
                        span: guest.span,
                        part: Some(guest),
                        holds: facts.placed.holds_each_other(&a.id, &b.id),
                    };
                    look(facts, owner, needs, &other, out);
                }
            }
            Anchor::Wall(p, plate) => {
                let needs = facts.needs.of(p);
                if needs.is_empty() || mounted_on(facts.placed, &p.id, plate) {
                    return;
                }
                look(facts, p, needs, &wall(plate), out);
            }
            _ => {}
        }
    }
}

/// What may be in the way.
struct Other<'a> {
    subject: Subject,
    name: String,
    bodies: Vec<&'a Body>,
    span: Box3,
    part: Option<&'a PlacedPart>,
    /// Whether it holds the owner of the port, or is held by it.
    holds: bool,
}

fn wall(plate: &PlacedPlate) -> Other<'_> {
    Other {
        subject: Subject::Plate(plate.id.clone()),
        name: plate.name.clone(),
        bodies: plate.bodies().iter().collect(),
        span: plate.bounds,
        part: None,
        holds: false,
    }
}

/// What stands in a space.
struct Hit {
    region: Box3,
    /// How far out of the port's face it begins, seen by its box.
    from: Length,
    depth: Length,
}

fn look(facts: &Facts, owner: &PlacedPart, needs: &[Need], other: &Other, out: &mut Vec<Finding>) {
    // A port of which the plug has no room is not named again for its lead.
    let mut done = None;
    for need in needs.iter().filter(|n| n.space.overlaps(&other.span)) {
        let (Why::Plug(port) | Why::Lead { port, .. }) = need.why else {
            continue;
        };
        // The bend of a lead goes round what the port's part is screwed to.
        if done == Some(port) || (other.holds && matches!(need.why, Why::Lead { .. })) {
            continue;
        }
        let at = &owner.ports[port];
        let hit = hit(need, at.at.along(at.leaves.axis()), at.leaves, other);
        if matches!(hit, Ok(None)) {
            continue;
        }
        let name = PortRef {
            part: owner.id.clone(),
            port: owner.kind.ports[port].id.clone(),
        };
        let subjects = vec![Subject::Port(name.clone()), other.subject.clone()];
        let what = port_name(facts, &name);
        let hit = match hit {
            Ok(Some(hit)) => hit,
            Ok(None) => continue,
            Err(why) => {
                done = Some(port);
                let question = format!("{} leaves room for the plug in {what}", other.name);
                out.push(shape_unjudged("plug-space", subjects, &question, &why));
                continue;
            }
        };
        match need.why {
            Why::Plug(_) => {
                done = Some(port);
                let text = format!(
                    "the plug in {what} stands {} mm deep in {}",
                    hit.depth.text1(),
                    other.name
                );
                out.push(
                    Finding::new("plug-space", Severity::Stop, subjects, text)
                        .figures(Length::ZERO, -hit.depth)
                        .at(hit.region)
                        .mark(FindingMark::Overlap(hit.region))
                        .hint(format!(
                            "Move {} out of the plug's place, or use another port.",
                            other.name
                        )),
                );
            }
            Why::Lead { straight, bent, .. } => {
                if other.part.is_some_and(|p| ends_at(facts, &name, p)) {
                    continue;
                }
                let text = format!(
                    "the lead at {what} has {} mm before {}, needs {} (plug and straight {}, then its bend)",
                    hit.from.text1(),
                    other.name,
                    bent.text1(),
                    straight.text1()
                );
                let from = at.at;
                out.push(
                    Finding::new("plug-space", Severity::Caution, subjects, text)
                        .figures(bent, hit.from)
                        .at(hit.region)
                        .mark(FindingMark::Gap {
                            from,
                            to: from + at.leaves.times(hit.from),
                        })
                        .hint("Use a plug with its lead to the side, or make room there."),
                );
            }
            _ => {}
        }
    }
}

/// True where a cable in the port of the first also has an end on the part.
fn ends_at(facts: &Facts, port: &PortRef, part: &PlacedPart) -> bool {
    let cables = &facts.scene.arrangement().cables;
    let plugged = facts.placed.plugged(port).iter();
    plugged
        .filter_map(|id| cables.get(id))
        .any(|c| c.ports().any(|p| p.part == part.id))
}

fn hit(need: &Need, face: Length, leaves: Dir, other: &Other) -> Result<Option<Hit>, String> {
    let own = Body::from(Solid::Box(need.space));
    let mut found: Option<Hit> = None;
    let mut why = None;
    for body in &other.bodies {
        if !body.bounds().overlaps(&need.space) {
            continue;
        }
        let (depth, region) = match between(&own, body, Length::ZERO) {
            Gap::Overlap { depth, region, .. } => (depth, region),
            Gap::Unjudged(unknown) => {
                why = Some(unknown);
                continue;
            }
            Gap::Apart { .. } | Gap::Beyond => continue,
        };
        let start = (need.space.face(leaves.opposite()) - face) * leaves.sign();
        let from = start + free_before(&need.space, leaves, body);
        found = Some(match found {
            Some(h) => Hit {
                region: h.region.union(&region),
                from: h.from.min(from),
                depth: h.depth.max(depth),
            },
            None => Hit {
                region,
                from,
                depth,
            },
        });
    }
    if let Some(hit) = &mut found {
        let pairs: Vec<_> = other.bodies.iter().map(|b| (&own, *b)).collect();
        hit.depth = apart(&pairs).map_or(hit.depth, |out| out.depth);
    }
    match (found, why) {
        (None, Some(why)) => Err(why),
        (found, _) => Ok(found),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{
        Build, at_port, block, cable, enclosure, frame, l, pid, plate, port, square, v, zone,
    };
    use crate::edit::Edit;
    use crate::model::{Group, PartKind, Role};

    /// A board with a drive header in its middle; its plug is 16 long and 6 wide
    /// whichever way it lies, 8 straight behind it.
    fn board() -> PartKind {
        let mut kind = block("board", Group::Board, [100.0, 100.0, 2.0]);
        let at = v(50.0, 50.0, 2.0);
        kind.ports = vec![port("sata", "drive", at, "+z", Role::Sink)];
        kind
    }

    fn other_end() -> PartKind {
        let mut kind = block("host", Group::Other, [10.0, 10.0, 10.0]);
        kind.ports = vec![port("p", "host", v(10.0, 5.0, 5.0), "+x", Role::Source)];
        kind
    }

    /// A lead of 4 with bend 20: 16 + 8 + 20 + 2 = 46 over the board's face.
    fn build(box_: crate::model::Enclosure) -> Build {
        let lead = cable(
            None,
            at_port("host", "p"),
            at_port("board", "sata"),
            900.0,
            vec![],
        );
        Build::new(box_)
            .with("board", &board(), [0.0; 3])
            .with("host", &other_end(), [200.0, 200.0, 0.0])
            .cable("c", lead)
    }

    fn under(z: f64) -> Build {
        let slab = block("slab", Group::Drive, [100.0, 100.0, 5.0]);
        build(enclosure([400.0; 3])).with("slab", &slab, [0.0, 0.0, z])
    }

    #[test]
    fn room_for_plug_straight_and_bend_is_enough() {
        under(48.0).expect("plug-space", &[]);
        let found = under(47.999).only("plug-space");
        assert_eq!(found.key(), "plug-space:board:sata+slab");
        assert_eq!(found.severity, Severity::Caution);
        assert_eq!(
            (found.needed, found.available),
            (Some(l(46.0)), Some(l(45.999)))
        );
    }

    #[test]
    fn a_solid_in_the_place_of_the_plug_stops_the_build() {
        assert_eq!(under(18.0).only("plug-space").severity, Severity::Caution);
        let found = under(17.0).only("plug-space");
        assert_eq!(found.severity, Severity::Stop);
        assert_eq!(
            found.text,
            "the plug in sata of board stands 1.0 mm deep in slab"
        );
        // Beside the plug, which is 6 wide whichever way it lies, there is room.
        let slab = block("slab", Group::Drive, [40.0, 100.0, 5.0]);
        let beside = |x| build(enclosure([400.0; 3])).with("s", &slab, [x, 0.0, 10.0]);
        beside(53.0).expect("plug-space", &[]);
        beside(52.9).expect("plug-space", &["plug-space:board:sata+s"]);
    }

    #[test]
    fn a_lid_has_to_close_over_the_plug_also_where_it_comes_off() {
        let lid = |z: f64| {
            let mut box_ = enclosure([400.0; 3]);
            box_.plates = vec![plate("lid", [0.0, 0.0, z], [400.0, 400.0, 1.0])];
            box_.plates[0].panel = Some(crate::model::Panel {
                leaves: Dir::PosZ,
                hinge: None,
                opening: Box3::at(v(0.0, 0.0, z), v(400.0, 400.0, 1.0)),
            });
            build(box_)
        };
        lid(48.0).expect("plug-space", &[]);
        assert_eq!(lid(20.0).only("plug-space").severity, Severity::Caution);
        let found = lid(17.5).only("plug-space");
        assert_eq!(found.severity, Severity::Stop);
        assert_eq!(found.key(), "plug-space:board:sata+plate:lid");
    }

    #[test]
    fn the_room_is_wanted_once_a_cable_is_plugged_in_and_not_before() {
        let mut build = under(30.0);
        let mut checker = build.checked();
        let count = |c: &crate::rules::Checker| {
            c.findings()
                .iter()
                .filter(|f| f.rule == "plug-space")
                .count()
        };
        assert_eq!(count(&checker), 1);
        let id = crate::build::cid("c");
        let lead = build.scene.arrangement().cables[&id].clone();
        let out = build.edit(Edit::SetCable(id.clone(), None));
        checker.update(&build.scene, &out);
        assert_eq!(count(&checker), 0);
        let back = build.edit(Edit::SetCable(id.clone(), Some(lead.clone())));
        checker.update(&build.scene, &back);
        assert_eq!(count(&checker), 1);
        // A lead that bends more tightly has room: 16 + 8 + 2 + 2 = 28.
        let mut thin = lead;
        thin.bend = l(2.0);
        let thin = build.edit(Edit::SetCable(id, Some(thin)));
        checker.update(&build.scene, &thin);
        assert_eq!(count(&checker), 0);
    }

    #[test]
    fn what_is_mounted_on_one_another_and_the_other_end_are_excused() {
        // The host stands over the port at 40: the lead ends there.
        let facing = under(300.0).moved("host", [-155.0, -155.0, 40.0]);
        facing.expect("plug-space", &[]);
        // A slab screwed to the board leaves the lead to bend round it, and no plug goes into it.
        let mut slab = block("slab", Group::Bracket, [100.0, 100.0, 5.0]);
        slab.patterns = vec![crate::build::pattern(
            "foot",
            frame(v(0.0, 0.0, 0.0), "+x", "-y", "-z"),
            square(80.0, [50.0, -50.0], 4.3, None),
            4,
        )];
        let held = |x: f64, z: f64| {
            let mut carrier = board();
            carrier.size.z = l(z);
            let mut top = zone(
                "top",
                frame(v(0.0, 0.0, z), "+x", "+y", "+z"),
                [100.0; 2],
                0.0,
                &[Group::Bracket],
            );
            top.holes = square(80.0, [50.0, 50.0], 4.3, None);
            carrier.zones = vec![top];
            let lead = cable(
                None,
                at_port("host", "p"),
                at_port("board", "sata"),
                900.0,
                vec![],
            );
            Build::open()
                .with("board", &carrier, [0.0; 3])
                .with("host", &other_end(), [200.0, 200.0, 0.0])
                .with("slab", &slab, [x, 0.0, z])
                .cable("c", lead)
        };
        let checked = held(0.0, 40.0).checked();
        assert!(
            checked
                .placed()
                .holds_each_other(&pid("board"), &pid("slab"))
        );
        let key = "plug-space:board:sata+slab";
        held(0.0, 40.0).expect("plug-space", &[]);
        held(5.0, 40.0).expect("plug-space", &[key]);
        assert_eq!(
            held(5.0, 40.0).only("plug-space").severity,
            Severity::Caution
        );
        for x in [0.0, 5.0] {
            assert_eq!(held(x, 17.0).only("plug-space").severity, Severity::Stop);
        }
    }

    #[test]
    fn a_round_thing_leaves_the_lead_what_is_under_its_curve() {
        // A rod of 40 along y, its middle 60 over the board's face and 15 + 2 beside the middle of
        // the lead of 4: 60 less root of (20^2 - 15^2) is 46.77, more than 46; 1 lower it is less.
        let mut rod = block("rod", Group::Drive, [40.0, 40.0, 40.0]);
        rod.body[0].solid = Solid::Cylinder {
            axis: crate::geom::Axis::Y,
            base: v(20.0, 0.0, 20.0),
            radius: l(20.0),
            height: l(40.0),
        };
        let at = |z: f64| build(enclosure([400.0; 3])).with("rod", &rod, [47.0, 30.0, z - 18.0]);
        at(60.0).expect("plug-space", &[]);
        let found = at(59.0).only("plug-space").available.expect("a figure");
        let exact = 59.0 - (20f64.powi(2) - 15f64.powi(2)).sqrt();
        assert!((found.as_mm() - exact).abs() < 0.002, "{found:?} {exact}");
    }
}
