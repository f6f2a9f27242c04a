//! Hinged panels that do not open because of what is mounted on them.

use super::common::{names, part, shape_unjudged};
use super::hinge::{OPEN, hinged};
use super::needs::Why;
use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};
use crate::geom::{Box3, Length, Solid, covering_boxes};
use crate::model::{Space, Unit};
use crate::placement::{Body, Gap, PlacedPart, between};

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
         they meet. Each solid is taken by its box, an outline by the boxes that cover it; overlaps of up \
         to 0.02 mm are passed over. Parts that already overlap at rest are for the rule on clashes; \
         where only their boxes do, it is said that it was not judged. The geometry is exact; that a panel \
         has to open by 90 degrees is common practice, no source."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Pair, Scope::Wall]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        match anchor {
            Anchor::Pair(a, b) => {
                let both = [(a, b), (b, a)].into_iter().filter_map(|(moves, stays)| {
                    let stays_by: Vec<&Body> = stays.of(Space::Solid).map(|q| &q.body).collect();
                    let own = swings(facts, moves)?;
                    if swings(facts, stays).as_deref() == Some(own.as_str()) {
                        return None;
                    }
                    let (x, y) = names(moves, stays);
                    let met = meets(facts, moves, &stays_by)?;
                    let subjects = vec![part(moves), part(stays)];
                    Some((met.angle(), finding(subjects, &x, &y, &own, met)))
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
                let bodies: Vec<&Body> = plate.bodies().iter().collect();
                if let Some(met) = meets(facts, p, &bodies) {
                    let subjects = vec![part(p), Subject::Plate(plate.id.clone())];
                    out.push(finding(subjects, &p.name, &plate.name, &own, met));
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

/// What a part that swings meets.
enum Met {
    /// At this angle in degrees, something in this box.
    At(f64, Box3),
    /// They interlock as they stand: their shapes are apart, the boxes around them are not.
    Interlocked(Box3),
}

impl Met {
    /// To find the first: what is not known comes last.
    fn angle(&self) -> f64 {
        match self {
            Met::At(angle, _) => *angle,
            Met::Interlocked(_) => OPEN,
        }
    }
}

/// An outline with more corners counts by its box.
const MOST_CORNERS: usize = 32;

/// The boxes by which a solid swings.
fn boxes(solid: &Solid) -> Vec<Box3> {
    match solid {
        Solid::Extrusion { outline, holes, .. }
            if outline.len() + holes.iter().map(Vec::len).sum::<usize>() <= MOST_CORNERS =>
        {
            covering_boxes(solid)
        }
        _ => vec![solid.bounds()],
    }
}

/// What a part meets first of these bodies.
fn meets(facts: &Facts, p: &PlacedPart, stays: &[&Body]) -> Option<Met> {
    let (_, swing) = hinged(facts.placed, p)?;
    let mut first: Option<(f64, Box3)> = None;
    let mut interlocked = None;
    for own in p.of(Space::Solid) {
        let around = swing.around(&own.bounds);
        let mine = boxes(&own.solid);
        for body in stays.iter().filter(|b| b.bounds().overlaps(&around)) {
            let theirs = boxes(body.solid());
            for (a, b) in mine.iter().flat_map(|a| theirs.iter().map(move |b| (a, b))) {
                if swing.rests_in(a, b) {
                    // What clashes as it stands is for the rule on clashes.
                    if !matches!(between(&own.body, body, Length::ZERO), Gap::Overlap { .. }) {
                        interlocked = Some(*b);
                    }
                } else if let Some(angle) = swing.meets(a, b)
                    && first.is_none_or(|f| angle < f.0)
                {
                    first = Some((angle, *b));
                }
            }
        }
    }
    match (first, interlocked) {
        (Some((angle, at)), _) => Some(Met::At(angle, at)),
        (None, Some(at)) => Some(Met::Interlocked(at)),
        (None, None) => None,
    }
}

fn finding(subjects: Vec<Subject>, own: &str, other: &str, panel: &str, met: Met) -> Finding {
    let (angle, at) = match met {
        Met::At(angle, at) => (angle, at),
        Met::Interlocked(at) => {
            let question = format!("{own} on {panel} swings past {other}");
            let why = "their shapes lie in one another's boxes";
            return shape_unjudged("swing-blocked", subjects, &question, why).at(at);
        }
    };
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
    use crate::build::{
        Build, block, enclosure, fan, frame, l, pattern, piece, plate, square, v, zone,
    };
    use crate::geom::{Axis, Box3, Dir, Length, Solid};
    use crate::model::{Group, Panel, Space};

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

    /// On a lid, `before` millimetres from its face, something with one solid, over a stone.
    fn hung(before: f64, solids: Vec<Solid>, stone: [f64; 3]) -> Build {
        let mut case = enclosure([500.0, 100.0, 200.0]);
        case.plates = vec![plate("lid", [0.0, 0.0, 198.0], [500.0, 100.0, 2.0])];
        case.plates[0].panel = Some(Panel {
            leaves: Dir::PosZ,
            hinge: Some(Dir::NegX),
            opening: Box3::at(v(0.0, 0.0, 198.0), v(500.0, 100.0, 2.0)),
        });
        let top = 198.0 - before;
        let face = frame(v(0.0, 0.0, top), "+x", "+y", "-z");
        let mut field = zone("lid", face, [500.0, 100.0], 0.0, &[Group::Drive]);
        field.holes = square(40.0, [240.0, 40.0], 4.3, None);
        case.zones = vec![field];
        let mut kind = block("hook", Group::Drive, [100.0, 60.0, 100.0]);
        let head = frame(v(50.0, 30.0, 100.0), "+x", "+y", "+z");
        let holes = square(40.0, [0.0, 0.0], 3.0, Some("M3"));
        kind.patterns = vec![pattern("head", head, holes, 4)];
        kind.body = (solids.into_iter())
            .map(|solid| piece(solid, Space::Solid, "solid"))
            .collect();
        Build::new(case)
            .with("hook", &kind, [190.0, 10.0, top - 100.0])
            .with(
                "stone",
                &block("stone", Group::Other, [30.0, 40.0, 30.0]),
                stone,
            )
    }

    #[test]
    fn a_hook_swings_by_its_own_outline() {
        let boxes = [
            ([0.0, 0.0, 90.0], [100.0, 60.0, 10.0]),
            ([0.0, 0.0, 0.0], [10.0, 60.0, 90.0]),
        ];
        let boxes = boxes.map(|(at, size)| {
            let v = |a: [f64; 3]| v(a[0], a[1], a[2]);
            Solid::Box(Box3::at(v(at), v(size)))
        });
        let (p, _) = Axis::Y.others();
        let flat = |x: i64, z: i64| if p == Axis::X { [x, z] } else { [z, x] };
        let corners = [(0, 0), (10, 0), (10, 90), (100, 90), (100, 100), (0, 100)];
        let outlined = Solid::Extrusion {
            axis: Axis::Y,
            low: l(0.0),
            high: l(60.0),
            outline: corners.map(|(x, z)| flat(x, z).map(Length::mm)).to_vec(),
            holes: vec![],
        };
        // In the notch, 10 to the right of the hanging leg.
        let both = [boxes.to_vec(), vec![outlined]];
        let found = both.map(|s| hung(0.0, s, [210.0, 20.0, 110.0]).only("swing-blocked"));
        // By hand: the leg's inner lower corner, at (200, -102) from the hinge, is at radius
        // 224.5; the stone's left face at 210 is met where it stands 79.4 below the hinge.
        let by = (102f64 / 200.0).atan() - (210f64 / 200f64.hypot(102.0)).acos();
        for f in found {
            let text = format!("lid opens by {:.0} degrees", by.to_degrees());
            assert!(f.text.contains(&text), "{} {by}", f.text);
        }
    }

    #[test]
    fn round_ones_in_one_anothers_boxes_are_not_passed() {
        // A rod of 60 along z; the stone's corner is 43.8 from its axis, inside its box.
        let rod = Solid::Cylinder {
            axis: Axis::Z,
            base: v(30.0, 30.0, 0.0),
            radius: l(30.0),
            height: l(100.0),
        };
        let found = hung(0.0, vec![rod], [245.0, 65.0, 110.0]).only("swing-blocked");
        assert!(found.unjudged, "{}", found.text);
    }

    #[test]
    fn a_zone_just_before_the_lid_swings_and_one_that_ends_at_it_does_not() {
        let solid = || {
            vec![Solid::Box(Box3::at(
                v(0.0, 0.0, 0.0),
                v(100.0, 60.0, 100.0),
            ))]
        };
        for before in [0.0, 0.3] {
            hung(before, solid(), [291.0, 20.0, 110.0]).only("swing-blocked");
        }
        hung(1.0, solid(), [291.0, 20.0, 110.0]).expect("swing-blocked", &[]);
        // On a floor that ends at a side panel: nothing is on that.
        let mut case = enclosure([500.0, 100.0, 200.0]);
        case.plates = vec![plate("side", [498.0, 0.0, 0.0], [2.0, 100.0, 200.0])];
        case.plates[0].panel = Some(Panel {
            leaves: Dir::PosX,
            hinge: Some(Dir::NegY),
            opening: Box3::at(v(498.0, 0.0, 0.0), v(2.0, 100.0, 200.0)),
        });
        let face = frame(v(0.0, 0.0, 2.0), "+x", "+y", "+z");
        let mut field = zone("floor", face, [498.0, 100.0], 0.0, &[Group::Fan]);
        field.holes = square(32.0, [470.0, 30.0], 4.3, None);
        case.zones = vec![field];
        let stone = block("stone", Group::Other, [20.0, 20.0, 20.0]);
        Build::new(case)
            .with("fan", &fan(40.0, 32.0, 20.0), [450.0, 10.0, 2.0])
            .with("stone", &stone, [492.0, 52.0, 2.0])
            .moved("stone", [-22.0, 0.0, 0.0])
            .expect("swing-blocked", &[]);
    }
}
