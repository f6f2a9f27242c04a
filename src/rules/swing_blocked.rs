//! Hinged panels that do not open because of what is mounted on them.

use super::common::{names, part};
use super::hinge::{OPEN, hinged};
use super::needs::Why;
use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};
use crate::geom::Box3;
use crate::model::{Space, Unit};
use crate::placement::PlacedPart;

/// See [`Rule::about`].
pub(super) struct SwingBlocked;

impl Rule for SwingBlocked {
    fn id(&self) -> &'static str {
        "swing-blocked"
    }

    fn title(&self) -> &'static str {
        "Panel does not open"
    }

    fn about(&self) -> &'static str {
        "What is mounted on a hinged panel, itself or through other parts, swings with it: about the \
         outer edge of the panel on the side of its hinge, by 90 degrees. A part that does not swing \
         with it, or a plate that does not come off, in that way is a caution, with the angle at which \
         they meet. Each solid is taken by its box; overlaps of up to 0.02 mm are passed over. Parts \
         that already overlap at rest are for the rule on clashes. The geometry is exact; that a panel \
         has to open by 90 degrees is common practice, no source."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Pair, Scope::Wall]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        match anchor {
            Anchor::Pair(a, b) => {
                let both = [(a, b), (b, a)].into_iter().filter_map(|(moves, stays)| {
                    let stays_by: Vec<Box3> = stays.of(Space::Solid).map(|q| q.bounds).collect();
                    let own = swings(facts, moves)?;
                    if swings(facts, stays).as_deref() == Some(own.as_str()) {
                        return None;
                    }
                    let (x, y) = names(moves, stays);
                    let (angle, at) = meets(facts, moves, &stays_by)?;
                    let subjects = vec![part(moves), part(stays)];
                    Some((angle, finding(subjects, &x, &y, &own, angle, at)))
                });
                out.extend(both.min_by(|a, b| a.0.total_cmp(&b.0)).map(|f| f.1));
            }
            Anchor::Wall(p, plate) => {
                let known = facts.placed.enclosure().plates.get(plate.index as usize);
                if known.is_some_and(|k| k.panel.is_some()) {
                    return;
                }
                let Some(own) = swings(facts, p) else {
                    return;
                };
                let boxes: Vec<Box3> = plate.bodies().iter().map(|b| *b.bounds()).collect();
                if let Some((angle, at)) = meets(facts, p, &boxes) {
                    let subjects = vec![part(p), Subject::Plate(plate.id.clone())];
                    out.push(finding(subjects, &p.name, &plate.name, &own, angle, at));
                }
            }
            _ => {}
        }
    }
}

/// The name of the hinged panel that a part swings with.
fn swings(facts: &Facts, p: &PlacedPart) -> Option<String> {
    let needs = facts.needs.of(p);
    needs.iter().find(|n| n.why == Why::Swing)?;
    hinged(facts.placed, p).map(|(plate, _)| plate.name.clone())
}

/// The least angle at which a part meets one of these boxes, and the box.
fn meets(facts: &Facts, p: &PlacedPart, stays: &[Box3]) -> Option<(f64, Box3)> {
    let (_, swing) = hinged(facts.placed, p)?;
    let mut first: Option<(f64, Box3)> = None;
    for own in p.of(Space::Solid) {
        let around = swing.around(&own.bounds);
        for other in stays.iter().filter(|b| b.overlaps(&around)) {
            if let Some(angle) = swing.meets(&own.bounds, other)
                && first.is_none_or(|f| angle < f.0)
            {
                first = Some((angle, *other));
            }
        }
    }
    first
}

fn finding(
    subjects: Vec<Subject>,
    own: &str,
    other: &str,
    panel: &str,
    angle: f64,
    at: Box3,
) -> Finding {
    let text = format!(
        "{panel} opens by {angle:.0} degrees, then {own} on it meets {other}; {OPEN:.0} wanted"
    );
    Finding::new("swing-blocked", Severity::Caution, subjects, text)
        .amounts(Unit::Degree, OPEN, angle)
        .at(at)
        .hint(format!(
            "Move one of them away from the hinge, or count on taking {other} out first."
        ))
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, block, enclosure, fan, frame, plate, square, v, zone};
    use crate::geom::{Box3, Dir};
    use crate::model::{Group, Panel};

    /// A lid at z = 100 with its hinge at the left, a fan under it, and a stone to the
    /// right of the fan.
    fn scene(hinge: Option<Dir>, x: f64, z: f64) -> Build {
        let mut case = enclosure([400.0, 200.0, 102.0]);
        case.plates = vec![plate("lid", [0.0, 0.0, 100.0], [400.0, 200.0, 2.0])];
        case.plates[0].panel = Some(Panel {
            leaves: Dir::PosZ,
            hinge,
            opening: Box3::at(v(0.0, 0.0, 100.0), v(400.0, 200.0, 2.0)),
        });
        let face = frame(v(0.0, 0.0, 100.0), "+x", "+y", "-z");
        let mut field = zone("lid", face, [400.0, 200.0], 0.0, &[Group::Fan]);
        field.holes = square(105.0, [100.0, 100.0], 4.3, None);
        case.zones = vec![field];
        let stone = block("stone", Group::Other, [50.0, 50.0, 10.0]);
        Build::new(case)
            .with("fan", &fan(120.0, 105.0, 25.0), [40.0, 40.0, 75.0])
            .with("stone", &stone, [x, 60.0, z])
    }

    #[test]
    fn a_fan_on_a_hinged_lid_sweeps_out_to_the_right() {
        // The fan's lower corner is at (160, -27) from the hinge line: its radius is
        // 162.26, so it gets 2.26 mm farther to the right than it stands at rest.
        scene(Some(Dir::NegX), 162.3, 85.0).expect("swing-blocked", &[]);
        let found = scene(Some(Dir::NegX), 161.0, 85.0).only("swing-blocked");
        assert_eq!(found.key(), "swing-blocked:fan+stone");
        assert!(found.text.contains("lid opens by"), "{}", found.text);
        // Lower down it has swung away before it gets so far to the right.
        scene(Some(Dir::NegX), 161.0, 60.0).expect("swing-blocked", &[]);
    }

    #[test]
    fn without_a_hinge_or_with_the_hinge_on_the_other_side_it_is_clear() {
        scene(None, 161.0, 85.0).expect("swing-blocked", &[]);
        scene(Some(Dir::PosX), 161.0, 85.0).expect("swing-blocked", &[]);
    }
}
