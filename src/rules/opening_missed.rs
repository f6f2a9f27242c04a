//! Faces of parts that miss the opening of the enclosure they belong to.

use super::common::{part, toward};
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::edit::Edit;
use crate::geom::{Axis, Box3, Dir, Length, Vec3};
use crate::model::{Group, Opening, Outlet};
use crate::placement::{PlacedPart, PlacedPlate, Support};

/// See [`Rule::about`].
pub(super) struct OpeningMissed;

impl Rule for OpeningMissed {
    fn id(&self) -> &'static str {
        "opening-missed"
    }

    fn title(&self) -> &'static str {
        "Opening missed"
    }

    fn about(&self) -> &'static str {
        "The connectors of a board, the bracket of a card and the face of a supply have to meet an \
         opening of the enclosure: of the same kind, looking the same way, no farther past its edges \
         than the play and no farther from the wall's inner face than the depth that the settings \
         allow (assets/rules.json, with sources). The best opening of the kind is taken. Of a board, card \
         or supply without such a face in its kind it is said that it was not judged, in an enclosure \
         with an opening for it."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Part]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Part(p) = anchor else {
            return;
        };
        if p.outlets.is_empty()
            && let Some(kind) = usual(p.group)
            && let mut openings = facts.placed.enclosure().openings.iter()
            && let Some(opening) = openings.find(|o| o.kind == kind)
        {
            let text = format!(
                "whether {} meets {} was not judged: where its face is is not known",
                p.name, opening.name
            );
            let finding = Finding::unjudged(self.id(), vec![part(p)], text).at(p.outline);
            out.push(finding.hint("Give its kind the face."));
        }
        for outlet in &p.outlets {
            out.extend(self.look(facts, p, outlet));
        }
    }
}

/// The kind of opening that parts of a group have a face for.
fn usual(group: Group) -> Option<&'static str> {
    match group {
        Group::Board => Some("board-io"),
        Group::Card => Some("card-slot"),
        Group::Supply => Some("supply-face"),
        _ => None,
    }
}

impl OpeningMissed {
    fn look(&self, facts: &Facts, p: &PlacedPart, outlet: &Outlet) -> Option<Finding> {
        let name = &p.name;
        let face = outlet.frame.block(outlet.size, Length::ZERO);
        let openings = &facts.placed.enclosure().openings;
        let same_kind = || openings.iter().filter(|o| o.kind == outlet.kind);
        let Some((opening, off)) = best(same_kind(), outlet) else {
            let (text, hint) = match same_kind().next() {
                None => (
                    format!(
                        "{name}: the enclosure has no opening of kind '{}'",
                        outlet.kind
                    ),
                    "Take another enclosure, or cut an opening.".to_owned(),
                ),
                Some(o) => (
                    format!(
                        "{name}: its face looks {}, {} {}",
                        toward(outlet.frame.normal),
                        o.name,
                        toward(o.frame.normal)
                    ),
                    "Turn it.".to_owned(),
                ),
            };
            let subjects = vec![part(p), Subject::Opening(format!("{}/{}", p.id, outlet.id))];
            let finding = Finding::new(self.id(), Severity::Stop, subjects, text);
            return Some(finding.at(face).hint(hint));
        };
        let (play, depth) = (facts.settings.opening_play, facts.settings.opening_depth);
        let hole = opening.frame.block(opening.size, Length::ZERO);
        let subjects = vec![
            part(p),
            Subject::Opening(format!("{}/{}", p.id, outlet.id)),
            Subject::Opening(opening.id.clone()),
        ];
        let (text, needed, available, back) = if off.along > play {
            let text = format!(
                "{name}: {} mm off along the wall from {}",
                off.along.text1(),
                opening.name
            );
            (text, play, off.along, (off.along, off.back))
        } else if off.from_wall > depth {
            let text = format!(
                "{name}: {} mm from the wall at {}, at most {} mm",
                off.from_wall.text1(),
                opening.name,
                depth.text1()
            );
            (
                text,
                depth,
                off.from_wall,
                (off.from_wall - depth, off.to_wall),
            )
        } else {
            return None;
        };
        // The arrow is the move that the figure names, not the way between middles.
        let mut by = home(&face, &hole, opening.frame.normal);
        let wall = opening.frame.normal.axis();
        match off.along > play {
            true => by.set(wall, Length::ZERO),
            false => by = Vec3::ZERO.with(wall, by.along(wall)),
        }
        let mut finding = Finding::new(self.id(), Severity::Stop, subjects, text)
            .figures(needed, available)
            .at(face.union(&hole))
            .mark(FindingMark::Gap {
                from: face.centre(),
                to: face.centre() + by,
            })
            .hint(format!("Move it {} mm {}.", back.0.text1(), toward(back.1)));
        // A part that is screwed on would come off its holes.
        let free = facts.placed.support(&p.id) != Some(Support::Held);
        if !p.place.locked && free {
            let mut place = p.place;
            place.at += home(&face, &hole, opening.frame.normal);
            finding.fix = Some(vec![Edit::SetPlace(p.id.clone(), Some(place))]);
        }
        Some(finding)
    }
}

/// The move that brings a face to the wall and inside the edges of its opening,
/// or to their middle where it is larger.
fn home(face: &Box3, hole: &Box3, normal: Dir) -> Vec3 {
    let mut by = Vec3::ZERO;
    for axis in Axis::ALL {
        let low = (hole.min().along(axis) - face.min().along(axis)).max(Length::ZERO);
        let high = (face.max().along(axis) - hole.max().along(axis)).max(Length::ZERO);
        let move_by = if axis == normal.axis() {
            hole.face(normal) - face.face(normal)
        } else if face.size().along(axis) > hole.size().along(axis) {
            (hole.centre() - face.centre()).along(axis)
        } else {
            low - high
        };
        by.set(axis, move_by);
    }
    by
}

/// How far a face is off its opening.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Off {
    /// How far it reaches past an edge of the opening, on the worst side.
    along: Length,
    /// The way back from that side.
    back: Dir,
    /// Distance from the wall's inner face, on either side of it.
    from_wall: Length,
    /// The way there.
    to_wall: Dir,
}

/// The opening that the face misses least, by the distance from wall and edges.
fn best<'a>(
    openings: impl Iterator<Item = &'a Opening>,
    outlet: &Outlet,
) -> Option<(&'a Opening, Off)> {
    openings
        .filter_map(|o| Some((o, off(o, outlet)?)))
        .min_by_key(|(o, off)| (off.along + off.from_wall, o.id.clone()))
}

fn off(opening: &Opening, outlet: &Outlet) -> Option<Off> {
    let normal = opening.frame.normal;
    if outlet.frame.normal != normal {
        return None;
    }
    let face = outlet.frame.block(outlet.size, Length::ZERO);
    let hole = opening.frame.block(opening.size, Length::ZERO);
    let past = |dir: Dir| (face.face(dir) - hole.face(dir)) * dir.sign();
    let (along, side) = Dir::ALL
        .into_iter()
        .filter(|d| d.axis() != normal.axis())
        .map(|d| (past(d), d))
        .max_by_key(|p| p.0)?;
    let out = past(normal);
    Some(Off {
        along: along.max(Length::ZERO),
        back: side.opposite(),
        from_wall: out.abs(),
        to_wall: if out > Length::ZERO {
            normal.opposite()
        } else {
            normal
        },
    })
}

/// True where a face of the part meets an opening in this plate, within play and
/// depth of the settings.
pub(super) fn meets_opening_in(facts: &Facts, p: &PlacedPart, plate: &PlacedPlate) -> bool {
    p.outlets.iter().any(|outlet| {
        let openings = facts.placed.enclosure().openings.iter();
        openings.filter(|o| o.kind == outlet.kind).any(|o| {
            let hole: Box3 = o.frame.block(o.size, Length::ZERO);
            let fits = off(o, outlet).is_some_and(|off| {
                off.along <= facts.settings.opening_play
                    && off.from_wall <= facts.settings.opening_depth
            });
            fits && hole.intersection(&plate.bounds).is_some()
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block, enclosure, frame, l, plate, v};
    use crate::model::{Cutout, Group};

    // The rear aperture is 158.75 x 44.45 (6.25 x 1.75 in, microATX 1.2 Fig. 4).
    fn case(kind: &str) -> crate::model::Enclosure {
        let mut case = enclosure([300.0, 300.0, 100.0]);
        let mut rear = plate("rear", [0.0, 299.0, 0.0], [300.0, 1.0, 100.0]);
        let hole = Box3::at(v(50.0, 299.0, 20.0), v(158.75, 1.0, 44.45));
        rear.cutouts = vec![Cutout::Rect(hole)];
        case.plates = vec![rear];
        case.openings = vec![Opening {
            id: "io".into(),
            name: "board opening".into(),
            kind: kind.into(),
            frame: frame(v(50.0, 299.0, 20.0), "+x", "+z", "+y"),
            size: [l(158.75), l(44.45)],
        }];
        case
    }

    fn board() -> crate::model::PartKind {
        let mut board = block("board", Group::Board, [170.0, 170.0, 44.45]);
        board.outlets = vec![Outlet {
            id: "io".into(),
            kind: "board-io".into(),
            frame: frame(v(165.0, 170.0, 0.0), "-x", "+z", "+y"),
            size: [l(158.75), l(44.45)],
        }];
        board
    }

    fn at(x: f64, y: f64, z: f64) -> Build {
        Build::new(case("board-io")).with("board", &board(), [x, y, z])
    }

    #[test]
    fn met_exactly_and_within_the_play_and_depth() {
        at(43.75, 129.0, 20.0).expect("opening-missed", &[]);
        at(43.25, 129.0, 20.5).expect("opening-missed", &[]);
        at(43.75, 126.0, 20.0).expect("opening-missed", &[]);
    }

    #[test]
    fn off_along_the_wall() {
        let found = at(40.75, 129.0, 20.0).only("opening-missed");
        assert_eq!(
            found.text,
            "board: 3.0 mm off along the wall from board opening"
        );
        assert_eq!(found.hint, "Move it 3.0 mm to the right.");
        assert_eq!(
            found.key(),
            "opening-missed:board+opening:board/io+opening:io"
        );
        assert_eq!(at(43.249, 129.0, 20.0).found("opening-missed").len(), 1);
        let home = at(40.75, 120.0, 10.0).fixed("opening-missed");
        let place = home.scene.arrangement().places[&crate::build::pid("board")];
        assert_eq!(place.at, v(43.75, 129.0, 20.0));
    }

    #[test]
    fn too_far_from_the_wall() {
        let found = at(43.75, 120.0, 20.0).only("opening-missed");
        assert_eq!(
            found.text,
            "board: 9.0 mm from the wall at board opening, at most 3.0 mm"
        );
        assert_eq!(found.hint, "Move it 6.0 mm to the back.");
    }

    #[test]
    fn no_opening_of_that_kind_or_none_that_way() {
        let scene = Build::new(case("card-slot")).with("board", &board(), [43.75, 129.0, 20.0]);
        let found = scene.only("opening-missed");
        assert!(found.text.contains("no opening of kind 'board-io'"));
        let turned = crate::build::turn("-x", "-y");
        let scene =
            Build::new(case("board-io")).turned("board", &board(), [40.0, 0.0, 0.0], turned);
        let found = scene.only("opening-missed");
        assert_eq!(found.hint, "Turn it.");
    }

    #[test]
    fn a_face_smaller_than_its_opening_may_lie_anywhere_in_it() {
        let mut small = board();
        small.outlets[0].size = [l(100.0), l(30.0)];
        let scene = |x| Build::new(case("board-io")).with("board", &small, [x, 129.0, 25.0]);
        scene(0.0).expect("opening-missed", &[]);
        scene(30.0).expect("opening-missed", &[]);
        assert_eq!(scene(60.0).found("opening-missed").len(), 1);
    }
}
