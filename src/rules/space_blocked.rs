//! Solids in the space that another part keeps clear or that a hand reaches into.

use super::common::{mounted_on, names, part, shape_unjudged};
use super::overlaps::Overlaps;
use super::space_table::meeting;
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Subject};
use crate::geom::Length;
use crate::model::Space;
use crate::placement::{Gap, PlacedPart, PlacedPlate, apart, between};

/// See [`Rule::about`].
pub(super) struct SpaceBlocked;

impl Rule for SpaceBlocked {
    fn id(&self) -> &'static str {
        "space-blocked"
    }

    fn title(&self) -> &'static str {
        "Space blocked"
    }

    fn about(&self) -> &'static str {
        "Kinds of the catalogue keep space clear around them (the air before a supply's grille: \
         12.7 mm, ATX Power Supply Design Guide 0.9; the air before a card's fans) and ask for room \
         where a hand reaches in (at plugs). A solid part in kept space is a caution, in a reach space \
         a remark; so is a plate in a reach space that does not come off. Which spaces clash, how \
         badly and why stands in one table; but for solids it is common practice, no source. Touching \
         is no clash, and parts that hold each other are excused. Plates in kept space are judged \
         with the enclosure."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Pair, Scope::Wall]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        match anchor {
            Anchor::Pair(a, b) => {
                let spaces = |p: &PlacedPart| p.pieces.iter().any(|q| q.space != Space::Solid);
                let (x, y) = (spaces(a), spaces(b));
                if !(x || y) || facts.placed.holds_each_other(&a.id, &b.id) {
                    return;
                }
                // Two parts are named once, for the worse of what they do to each other.
                let both = [(a, b, x), (b, a, y)].into_iter().filter(|p| p.2);
                let found = both.filter_map(|(owner, guest, _)| pair(owner, guest));
                out.extend(found.min_by_key(|f| (f.severity, f.available)));
            }
            Anchor::Wall(p, plate) => out.extend(wall(facts, p, plate)),
            _ => {}
        }
    }
}

/// The worst of what a guest does to the spaces of an owner.
fn pair(owner: &PlacedPart, guest: &PlacedPart) -> Option<Finding> {
    for space in [Space::KeepOut, Space::Reach] {
        let row = meeting(Space::Solid, space);
        let Some(severity) = row.severity else {
            continue;
        };
        let mut met = Overlaps::default();
        met.look(guest, Space::Solid, owner, space, &[]);
        let (o, g) = names(owner, guest);
        let subjects = vec![part(owner), part(guest)];
        if let Some(depth) = met.depth {
            let mut text = sentence(space, &g, depth, &o, &met.piece);
            text.push_str(met.limit_words());
            let finding = Finding::new("space-blocked", severity, subjects, text)
                .figures(Length::ZERO, -depth)
                .hint(format!("Move {g} out of it: {}.", row.reason));
            return Some(met.mark(finding));
        }
        if let Some(why) = met.unjudged {
            let text = format!("whether {g} stands in a space of {o} was not judged: {why}");
            let finding = Finding::unjudged("space-blocked", subjects, text)
                .at(owner.outline)
                .hint("Look at the two parts in all views.");
            return Some(finding);
        }
    }
    None
}

fn sentence(space: Space, guest: &str, depth: Length, owner: &str, piece: &str) -> String {
    let kept = match space {
        Space::Reach => "needed to reach",
        _ => "kept clear by",
    };
    let what = match piece {
        "" => String::new(),
        name => format!(" ({name})"),
    };
    let deep = depth.text1();
    format!("{guest} stands {deep} mm deep in the space {kept} {owner}{what}")
}

/// A fixed plate in a reach space.
fn wall(facts: &Facts, p: &PlacedPart, plate: &PlacedPlate) -> Option<Finding> {
    let mut reach = p.of(Space::Reach).peekable();
    reach.peek()?;
    let known = facts.placed.enclosure().plates.get(plate.index as usize);
    if known.is_some_and(|k| k.panel.is_some()) || mounted_on(facts.placed, &p.id, plate) {
        return None;
    }
    let severity = meeting(Space::Solid, Space::Reach).severity?;
    let mut worst: Option<(Length, crate::geom::Box3, &str)> = None;
    let mut why = None;
    for piece in reach {
        let bodies = || plate.bodies().iter();
        let mut met: Option<(Length, crate::geom::Box3)> = None;
        for body in bodies().filter(|b| b.bounds().overlaps(&piece.bounds)) {
            match between(&piece.body, body, Length::ZERO) {
                Gap::Overlap { depth, region, .. } if met.is_none_or(|(d, _)| d < depth) => {
                    met = Some((depth, region));
                }
                Gap::Unjudged(unknown) => why = Some(unknown),
                _ => {}
            }
        }
        if let Some((deepest, region)) = met {
            let pairs: Vec<_> = bodies().map(|b| (&piece.body, b)).collect();
            let depth = apart(&pairs).map_or(deepest, |out| out.depth);
            if worst.is_none_or(|(d, ..)| d < depth) {
                worst = Some((depth, region, piece.name.as_str()));
            }
        }
    }
    let subjects = vec![part(p), Subject::Plate(plate.id.clone())];
    let Some((depth, region, name)) = worst else {
        let question = format!("{} stands in a space of {}", plate.name, p.name);
        return why.map(|why| shape_unjudged("space-blocked", subjects, &question, &why));
    };
    let text = sentence(Space::Reach, &plate.name, depth, &p.name, name);
    Some(
        Finding::new("space-blocked", severity, subjects, text)
            .figures(Length::ZERO, -depth)
            .at(region)
            .mark(FindingMark::Overlap(region))
            .hint("Move the part away from the plate, or turn it."),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block, enclosure, l, piece, plate, v};
    use crate::geom::{Box3, Dir, Solid};
    use crate::model::{Group, Panel, PartKind};
    use crate::rules::Severity;

    fn with_space(space: Space, deep: f64) -> PartKind {
        let mut kind = block("supply", Group::Supply, [100.0, 100.0, 50.0]);
        let air = Solid::Box(Box3::at(v(0.0, 0.0, 50.0), v(100.0, 100.0, deep)));
        kind.body.push(piece(air, space, "before the grille"));
        kind
    }

    fn scene(space: Space, deep: f64, z: f64) -> Build {
        let disk = block("disk", Group::Drive, [100.0, 50.0, 20.0]);
        Build::open()
            .with("psu", &with_space(space, deep), [0.0; 3])
            .with("disk", &disk, [0.0, 0.0, z])
    }

    #[test]
    fn a_solid_in_kept_space_is_a_caution_and_touching_it_is_not() {
        // 12.7: air before a grille, ATX Power Supply Design Guide 0.9, s.4.3.
        scene(Space::KeepOut, 12.7, 62.7).expect("space-blocked", &[]);
        let found = scene(Space::KeepOut, 12.7, 60.0).only("space-blocked");
        assert_eq!(found.key(), "space-blocked:disk+psu");
        assert_eq!(found.severity, Severity::Caution);
        assert_eq!(
            found.text,
            "disk stands 2.7 mm deep in the space kept clear by supply (before the grille)"
        );
        assert_eq!(found.available, Some(l(-2.7)));
    }

    #[test]
    fn a_solid_where_a_hand_reaches_is_a_remark() {
        scene(Space::Reach, 40.0, 90.0).expect("space-blocked", &[]);
        let found = scene(Space::Reach, 40.0, 89.999).only("space-blocked");
        assert_eq!(found.severity, Severity::Remark);
        assert!(found.text.contains("needed to reach supply"));
    }

    #[test]
    fn a_part_that_comes_near_later_is_seen_and_one_that_leaves_is_forgotten() {
        // The reach space sticks far out of the part: its neighbours are found by it.
        let mut build = scene(Space::Reach, 300.0, 400.0);
        let mut checker = build.checked();
        for (z, found) in [(349.0, 1), (350.0, 0), (60.0, 1), (700.0, 0)] {
            let place = crate::model::Place::at(v(0.0, 0.0, z));
            let id = crate::build::pid("disk");
            let touched = build.edit(crate::edit::Edit::SetPlace(id, Some(place)));
            checker.update(&build.scene, &touched);
            let all = checker.findings();
            let of_rule = all.iter().filter(|f| f.rule == "space-blocked");
            assert_eq!(of_rule.count(), found, "{z}");
        }
    }

    #[test]
    fn a_fixed_plate_in_a_reach_space_is_named_and_a_panel_is_not() {
        let mut case = enclosure([200.0, 200.0, 100.0]);
        case.plates = vec![plate("lid", [0.0, 0.0, 80.0], [200.0, 200.0, 1.0])];
        let build = |case: &crate::model::Enclosure, deep: f64| {
            let kind = with_space(Space::Reach, deep);
            Build::new(case.clone()).with("psu", &kind, [0.0; 3])
        };
        build(&case, 30.0).expect("space-blocked", &[]);
        build(&case, 30.5).expect("space-blocked", &["space-blocked:plate:lid+psu"]);
        case.plates[0].panel = Some(Panel {
            leaves: Dir::PosZ,
            hinge: None,
            opening: Box3::at(v(0.0, 0.0, 80.0), v(200.0, 200.0, 1.0)),
        });
        build(&case, 30.5).expect("space-blocked", &[]);
    }
}
