//! What stands in the way of a part that is pulled out.

use super::common::{names, part, shape_unjudged};
use super::needs::Why;
use super::sweep::{moving, paths, pulled};
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::geom::{Box3, Dir, Length};
use crate::model::Space;
use crate::placement::{Body, Gap, PlacedPart, between, travel};

/// See [`Rule::about`].
pub(super) struct PullBlocked;

impl Rule for PullBlocked {
    fn id(&self) -> &'static str {
        "pull-blocked"
    }

    fn title(&self) -> &'static str {
        "Cannot be pulled out"
    }

    fn about(&self) -> &'static str {
        "A tray, cage or module that is pulled out (a field of its kind: which way, and how far until \
         it is free) needs that way for its own solids and for all that it carries. Another part or a \
         plate that does not come off in that way is a caution, with how far it comes out; touching \
         is fine, and what clashes as it stands is for the rule on clashes. A solid that is straight along \
         the way or round goes through with its own section, an outline across it as well. The way: the kind's \
         own figure."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Pair, Scope::Wall]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        match anchor {
            Anchor::Pair(a, b) => {
                let both = [(a, b), (b, a)].into_iter().filter_map(|(owner, guest)| {
                    if !in_the_way(facts, owner, &guest.span) {
                        return None;
                    }
                    let guests = || guest.of(Space::Solid).map(|q| &q.body);
                    let hit = first(facts, owner, guests).transpose()?;
                    if facts.placed.carried(&owner.id).contains(&guest.id) {
                        return None;
                    }
                    if clash(owner, guest) {
                        return None;
                    }
                    let (x, y) = names(owner, guest);
                    let subjects = vec![part(owner), part(guest)];
                    Some(finding(&hit, subjects, &x, &y))
                });
                // Two things are named once, for the one that comes out less.
                out.extend(both.min_by_key(|f| (f.unjudged, f.available)));
            }
            Anchor::Wall(p, plate) => {
                if !in_the_way(facts, p, &plate.bounds) {
                    return;
                }
                let known = facts.placed.enclosure().plates.get(plate.index as usize);
                if known.is_some_and(|k| k.panel.is_some()) {
                    return;
                }
                let hit = first(facts, p, || plate.bodies().iter());
                // Material that may have been cut away cannot be held against it.
                let hit = match (hit, &plate.uncut) {
                    (Ok(Some(_)), Some(why)) => Err(why.clone()),
                    (hit, _) => hit,
                };
                if let Some(hit) = hit.transpose() {
                    let subjects = vec![part(p), Subject::Plate(plate.id.clone())];
                    out.push(finding(&hit, subjects, &p.name, &plate.name));
                }
            }
            _ => {}
        }
    }
}

/// True where something in this box may stand in a way that the part needs.
fn in_the_way(facts: &Facts, owner: &PlacedPart, b: &Box3) -> bool {
    let mut needs = facts.needs.of(owner).iter();
    needs.any(|n| matches!(n.why, Why::Pull(_)) && n.space.overlaps(b))
}

/// True where two parts overlap as they stand; the rule on clashes names that.
fn clash(a: &PlacedPart, b: &PlacedPart) -> bool {
    a.of(Space::Solid).any(|p| {
        let near = b.of(Space::Solid).filter(|q| q.bounds.overlaps(&p.bounds));
        near.into_iter()
            .any(|q| matches!(between(&p.body, &q.body, Length::ZERO), Gap::Overlap { .. }))
    })
}

/// What is met first.
struct Hit {
    way: Dir,
    free: Length,
    needed: Length,
    region: Box3,
}

fn first<'a, I: Iterator<Item = &'a Body>>(
    facts: &Facts,
    owner: &PlacedPart,
    bodies: impl Fn() -> I,
) -> Result<Option<Hit>, String> {
    let Some((way, needed)) = pulled(owner) else {
        return Ok(None);
    };
    let mut found: Option<Hit> = None;
    let mut unknown = None;
    for piece in moving(facts.placed, owner) {
        for path in paths(&piece.solid, way, needed) {
            let space = Body::from(path.space);
            for body in bodies().filter(|b| b.bounds().overlaps(space.bounds())) {
                let region = match between(&space, body, Length::ZERO) {
                    Gap::Overlap { region, .. } => region,
                    Gap::Unjudged(why) => {
                        unknown = Some(why);
                        continue;
                    }
                    Gap::Apart { .. } | Gap::Beyond => continue,
                };
                let exact = travel(&piece.body, body, way);
                let free = match (path.from, exact) {
                    (Some(start), _) => {
                        let boxes = (region.face(way.opposite()) - start) * way.sign();
                        // Rounder ones meet later than their boxes do.
                        exact.map_or(boxes, |t| t.max(boxes))
                    }
                    (None, Some(free)) => free,
                    (None, None) => continue,
                };
                if free >= needed {
                    continue;
                }
                if found.as_ref().is_none_or(|h| free < h.free) {
                    found = Some(Hit {
                        way,
                        free,
                        needed,
                        region,
                    });
                }
            }
        }
    }
    match (found, unknown) {
        (None, Some(why)) => Err(why),
        (found, _) => Ok(found),
    }
}

fn finding(hit: &Result<Hit, String>, subjects: Vec<Subject>, owner: &str, other: &str) -> Finding {
    let hit = match hit {
        Ok(hit) => hit,
        Err(why) => {
            let question = format!("{owner} comes out past {other}");
            return shape_unjudged("pull-blocked", subjects, &question, why);
        }
    };
    let (free, needed) = (hit.free.text1(), hit.needed.text1());
    let text = format!("{owner} comes out {free} mm and then meets {other}, needs {needed}");
    let to = hit
        .region
        .centre()
        .with(hit.way.axis(), hit.region.face(hit.way.opposite()));
    Finding::new("pull-blocked", Severity::Caution, subjects, text)
        .figures(hit.needed, hit.free)
        .at(hit.region)
        .mark(FindingMark::Gap {
            from: to - hit.way.times(hit.free),
            to,
        })
        .hint(format!(
            "Move {other} out of the way, or count on taking it out first."
        ))
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, block, enclosure, frame, l, pattern, piece, plate, square, v, zone};
    use crate::geom::{Axis, Box3, Dir, Length, Solid};
    use crate::model::{Group, Panel, PartKind, Pull, Space};

    /// A tray of 100 x 150 that comes out to the front by 160, and carries a drive.
    fn tray() -> PartKind {
        let mut kind = block("tray", Group::Bracket, [110.0, 150.0, 5.0]);
        kind.pulls = Some(Pull {
            way: Dir::NegY,
            by: l(160.0),
        });
        let face = frame(v(0.0, 0.0, 5.0), "+x", "+y", "+z");
        let mut top = zone("top", face, [110.0, 150.0], 0.0, &[Group::Drive]);
        top.holes = square(60.0, [55.0, 75.0], 3.5, None);
        kind.zones = vec![top];
        kind
    }

    fn drive() -> PartKind {
        let mut kind = block("drive", Group::Drive, [100.0, 140.0, 20.0]);
        let foot = frame(v(50.0, 70.0, 0.0), "+x", "-y", "-z");
        kind.patterns = vec![pattern(
            "foot",
            foot,
            square(60.0, [0.0, 0.0], 3.5, None),
            4,
        )];
        kind
    }

    fn scene(y: f64, z: f64) -> Build {
        let stone = block("stone", Group::Other, [50.0, 10.0, 10.0]);
        Build::open()
            .with("tray", &tray(), [0.0, 300.0, 0.0])
            .with("drive", &drive(), [5.0, 305.0, 5.0])
            .with("stone", &stone, [0.0, y, z])
    }

    #[test]
    fn what_stands_in_the_way_is_named_with_how_far_it_comes_out() {
        // The tray's front is at 300 and has to come to 140.
        scene(130.0, 0.0).expect("pull-blocked", &[]);
        let found = scene(130.1, 0.0).only("pull-blocked");
        assert_eq!(found.key(), "pull-blocked:stone+tray");
        assert_eq!(
            (found.needed, found.available),
            (Some(l(160.0)), Some(l(159.9)))
        );
    }

    #[test]
    fn what_the_tray_carries_needs_the_way_as_well() {
        // The drive's front is 5 behind the tray's, its top at 25.
        let found = scene(200.0, 24.9).only("pull-blocked");
        assert_eq!(found.available, Some(l(305.0 - 210.0)));
        scene(200.0, 25.0).expect("pull-blocked", &[]);
        // Without the drive nothing comes there.
        let bare = scene(200.0, 24.9).moved("drive", [500.0, 0.0, 0.0]);
        bare.expect("pull-blocked", &[]);
    }

    #[test]
    fn a_plate_that_stays_is_in_the_way_and_one_that_comes_off_is_not() {
        let mut case = enclosure([400.0, 500.0, 100.0]);
        case.plates = vec![plate("front", [0.0, 200.0, 0.0], [400.0, 1.0, 100.0])];
        let build = |case: &crate::model::Enclosure| {
            Build::new(case.clone()).with("tray", &tray(), [0.0, 300.0, 0.0])
        };
        let found = build(&case).only("pull-blocked");
        assert_eq!(found.available, Some(l(99.0)));
        case.plates[0].panel = Some(Panel {
            leaves: Dir::NegY,
            hinge: None,
            opening: Box3::at(v(0.0, 200.0, 0.0), v(400.0, 1.0, 100.0)),
        });
        build(&case).expect("pull-blocked", &[]);
    }

    /// A tray of 40 x 20, or a rod of 40, pulled 60 along x through a wall with a round opening.
    fn through(opening: f64, round: bool) -> Build {
        let mut case = enclosure([400.0, 400.0, 200.0]);
        let mut wall = plate("wall", [150.0, 0.0, 0.0], [2.0, 400.0, 200.0]);
        wall.cutouts = vec![crate::model::Cutout::Round {
            centre: v(151.0, 100.0, 100.0),
            diameter: l(opening),
        }];
        case.plates = vec![wall];
        let mut kind = block(
            "tray",
            Group::Bracket,
            [40.0, 40.0, if round { 40.0 } else { 20.0 }],
        );
        if round {
            kind.body[0].solid = Solid::Cylinder {
                axis: Axis::X,
                base: v(0.0, 20.0, 20.0),
                radius: l(20.0),
                height: l(40.0),
            };
        }
        kind.pulls = Some(Pull {
            way: Dir::PosX,
            by: l(60.0),
        });
        let z = if round { 80.0 } else { 90.0 };
        Build::new(case).with("tray", &kind, [100.0, 80.0, z])
    }

    #[test]
    fn a_round_opening_is_judged_by_its_circle() {
        // The tray's corners are hypot(20, 10) = 22.361 from the middle; a rod of 40 just goes
        // through an opening of 40, where its box would not.
        through(44.723, false).expect("pull-blocked", &[]);
        let found = through(44.721, false).only("pull-blocked");
        assert_eq!(found.key(), "pull-blocked:plate:wall+tray");
        // From 140 to the wall at 150.
        assert_eq!(found.available, Some(l(10.0)));
        through(40.0, true).expect("pull-blocked", &[]);
        through(39.99, true).expect("pull-blocked", &["pull-blocked:plate:wall+tray"]);
    }

    #[test]
    fn a_plate_whose_opening_could_not_be_taken_out_is_not_judged() {
        let mut scene = through(44.0, false);
        let mut case = (*scene.scene.enclosure).clone();
        case.plates[0].solid = Solid::Cylinder {
            axis: Axis::X,
            base: v(150.0, 100.0, 100.0),
            radius: l(90.0),
            height: l(2.0),
        };
        scene.scene.enclosure = std::sync::Arc::new(case);
        assert!(scene.only("pull-blocked").unjudged);
    }

    /// Something of one solid that is pulled back by 100, and a stone before it.
    fn pulled(size: [f64; 3], solid: Solid, stone: ([f64; 3], [f64; 3])) -> Build {
        let mut kind = block("tray", Group::Drive, size);
        kind.pulls = Some(Pull {
            way: Dir::PosY,
            by: l(100.0),
        });
        kind.body = vec![piece(solid, Space::Solid, "solid")];
        let block = block("stone", Group::Other, stone.1);
        Build::open()
            .with("tray", &kind, [10.0; 3])
            .with("stone", &block, stone.0)
    }

    #[test]
    fn what_stands_in_a_notch_is_in_the_way() {
        // An L: 100 deep at the left, 40 at the right. The stone stands 10 before the short arm.
        let ell = Solid::Extrusion {
            axis: Axis::Z,
            low: l(0.0),
            high: l(20.0),
            outline: [[0, 0], [100, 0], [100, 40], [50, 40], [50, 100], [0, 100]]
                .map(|p| p.map(Length::mm))
                .to_vec(),
            holes: vec![],
        };
        let at = |y: f64| {
            pulled(
                [100.0, 100.0, 20.0],
                ell.clone(),
                ([80.0, y, 10.0], [20.0, 10.0, 10.0]),
            )
        };
        let found = at(60.0).only("pull-blocked");
        assert_eq!(
            (found.needed, found.available),
            (Some(l(100.0)), Some(l(10.0)))
        );
        // Beside the long arm, and 100 before the short one.
        at(150.0).expect("pull-blocked", &[]);
        at(149.9).expect("pull-blocked", &["pull-blocked:stone+tray"]);
    }

    #[test]
    fn a_lying_rod_meets_what_is_under_its_curve() {
        // Radius 20 about y 30, z 30; the stone's upper edge lies at y 46, z 15, where the rod
        // reaches 30 + root of (400 - 225) = 43.229: 2.771 to go.
        let rod = Solid::Cylinder {
            axis: Axis::X,
            base: v(0.0, 20.0, 20.0),
            radius: l(20.0),
            height: l(100.0),
        };
        let at = |z: f64| {
            pulled(
                [100.0, 40.0, 40.0],
                rod.clone(),
                ([60.0, 46.0, z], [10.0, 4.0, 5.0]),
            )
        };
        let free = at(10.0).only("pull-blocked").available.expect("a figure");
        let exact = 46.0 - (30.0 + 175f64.sqrt());
        assert!((free.as_mm() - exact).abs() < 0.001, "{free:?} {exact}");
        // Under it there is room.
        at(5.0).expect("pull-blocked", &[]);
    }

    #[test]
    fn what_stands_before_a_slanted_edge_is_in_the_way() {
        // A wedge: 100 deep at its left, nothing at its right. By hand, a stone whose nearest
        // corner is at x 60, y 60: the edge is at y 40 there, 20 to go.
        let wedge = Solid::Extrusion {
            axis: Axis::Z,
            low: l(0.0),
            high: l(20.0),
            outline: [[0, 0], [100, 0], [0, 100]]
                .map(|p| p.map(Length::mm))
                .to_vec(),
            holes: vec![],
        };
        let at = |y: f64| {
            let stone = ([70.0, 10.0 + y, 10.0], [20.0, 10.0, 10.0]);
            pulled([100.0, 100.0, 20.0], wedge.clone(), stone)
        };
        let found = at(60.0).only("pull-blocked").available.expect("a figure");
        assert!((found.as_mm() - 20.0).abs() < 0.0015, "{found:?}");
        // As far as it is pulled, and no farther.
        at(139.99).expect("pull-blocked", &["pull-blocked:stone+tray"]);
        at(140.01).expect("pull-blocked", &[]);
    }
}
