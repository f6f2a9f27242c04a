//! Coolers that reach out of the room which a board keeps for them.

use super::common::{free_before, part, shape_unjudged};
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::geom::{Box3, Length, Solid};
use crate::model::{Group, Space, Zone, ZoneRef};
use crate::placement::{Body, Gap, PlacedPart, between, without};

/// See [`Rule::about`].
pub(super) struct KeepIn;

impl Rule for KeepIn {
    fn id(&self) -> &'static str {
        "keep-in"
    }

    fn title(&self) -> &'static str {
        "Cooler over board parts"
    }

    fn about(&self) -> &'static str {
        "Around the processor's socket a board keeps a square free for the cooler: the zone that holds \
         it (95 x 95 about the socket of the 115x and 1200 family: Thermal/Mechanical Specifications \
         and Design Guidelines, figure B-1). Beyond it the board's own parts may be as high as its \
         form factor lets them (height zones of the kind, with their source). A cooler or block that reaches \
         out of the square lower than that is a remark with both figures: the board may have parts \
         there that nobody has drawn. What is drawn is for the rule on clashes. Touching is fine. A \
         board without height zones is not judged, and that is said where a cooler reaches out."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Pair]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Pair(a, b) = anchor else {
            return;
        };
        for (board, cooler) in [(a, b), (b, a)] {
            let cools = matches!(cooler.group, Group::Cooler | Group::Block);
            if board.group == Group::Board && cools {
                out.extend(look(facts, board, cooler));
            }
        }
    }
}

fn look(facts: &Facts, board: &PlacedPart, cooler: &PlacedPart) -> Option<Finding> {
    let holds = facts.placed.holds(&cooler.id).iter();
    let mut on_board = holds.filter(|h| h.zone.part.as_ref() == Some(&board.id));
    let id: ZoneRef = on_board.find(|h| h.suffices())?.zone.clone();
    let zone = facts.placed.zone(&id)?;
    let subjects = vec![part(cooler), Subject::Zone(id.clone())];
    if board.kind.heights.is_empty() {
        let over = cooler
            .of(Space::Solid)
            .find(|q| over(zone, &board.outline, &q.bounds).is_some_and(|b| !inside(zone, &b)))?;
        let text = format!(
            "whether parts of {} stand under {} was not judged: its height zones are not known",
            board.name, cooler.name
        );
        let finding = Finding::unjudged("keep-in", subjects, text).at(over.bounds);
        return Some(
            finding.hint("Look at the board around its socket, or give its kind the heights."),
        );
    }
    let mut worst: Option<(Length, Length, Length, Box3)> = None;
    let mut unknown = None;
    for heights in &board.kind.heights {
        let (turn, by) = (board.place.turn, board.place.shift(&board.kind));
        let space = heights.turned(turn).moved(by);
        let column = column(zone, &space);
        for q in cooler.of(Space::Solid) {
            // Round the zone's column.
            for room in without(&space, &column) {
                let Some(met) = q.bounds.intersection(&room) else {
                    continue;
                };
                match between(&Body::from(Solid::Box(room)), &q.body, Length::ZERO) {
                    Gap::Overlap { .. } => {}
                    Gap::Unjudged(why) => {
                        unknown = Some(why);
                        continue;
                    }
                    Gap::Apart { .. } | Gap::Beyond => continue,
                }
                let high = span(zone, &space).1;
                let from = span(zone, &room).0;
                let low = from + free_before(&room, zone.frame.normal, &q.body);
                let deep = high - low;
                if worst.is_none_or(|w| deep > w.0) {
                    worst = Some((deep, high, low, met));
                }
            }
        }
    }
    let Some((_, high, low, met)) = worst else {
        let question = format!("{} stands over parts of {}", cooler.name, board.name);
        return unknown.map(|why| shape_unjudged("keep-in", subjects, &question, &why));
    };
    let text = format!(
        "{} reaches out of {} {} mm over the board, whose parts there may be {} high",
        cooler.name,
        facts.placed.zone_words(&id),
        low.text1(),
        high.text1()
    );
    let (u, v, _) = zone.frame.coords(met.centre());
    let from = zone.frame.point(u, v);
    Some(
        Finding::new("keep-in", Severity::Remark, subjects, text)
            .figures(high, low)
            .at(met)
            .mark(FindingMark::Gap {
                from,
                to: from + zone.frame.normal.times(low),
            })
            .hint(
                "Measure the parts of this very board there, or take a cooler that stays inside.",
            ),
    )
}

/// From where to where a box reaches above the zone's face.
fn span(zone: &Zone, b: &Box3) -> (Length, Length) {
    let (_, _, p) = zone.frame.coords(b.min());
    let (_, _, q) = zone.frame.coords(b.max());
    (p.min(q), p.max(q))
}

/// The room over the zone's rectangle, as high as a space and a little more.
fn column(zone: &Zone, space: &Box3) -> Box3 {
    let axis = zone.frame.normal.axis();
    let face = zone.frame.block(zone.size, Length::ZERO);
    Box3::new(
        face.min().with(axis, space.min().along(axis)),
        face.max().with(axis, space.max().along(axis)),
    )
}

/// True where a box stands over the zone's rectangle and nowhere else.
fn inside(zone: &Zone, b: &Box3) -> bool {
    let column = zone.frame.block(zone.size, Length::ZERO);
    over(zone, &column, b).is_some_and(|met| met.size() == b.size())
}

/// The part of a box that stands over or under another, seen along the zone's normal.
fn over(zone: &Zone, below: &Box3, b: &Box3) -> Option<Box3> {
    let axis = zone.frame.normal.axis();
    let (mut min, mut max) = (below.min(), below.max());
    min.set(axis, b.min().along(axis));
    max.set(axis, b.max().along(axis));
    let column = Box3::new(min, max);
    let (a, c) = axis.others();
    let met = b.intersection(&column)?;
    let has_area = met.size().along(a) > Length::ZERO && met.size().along(c) > Length::ZERO;
    has_area.then_some(met)
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, block, frame, l, pattern, square, v, zone};
    use crate::geom::{Axis, Box3, Solid};
    use crate::model::{Group, PartKind};
    use crate::rules::Severity;

    /// A board with a square of 95 about its socket, and parts of up to 57 beyond it.
    fn board(heights: Option<f64>) -> PartKind {
        let mut kind = block("board", Group::Board, [170.0, 170.0, 2.0]);
        let face = frame(v(30.0, 30.0, 2.0), "+x", "+y", "+z");
        let mut field = zone("socket", face, [95.0, 95.0], 0.0, &[Group::Cooler]);
        field.holes = square(75.0, [47.5, 47.5], 4.0, None);
        kind.zones = vec![field];
        let room = |high| Box3::at(v(0.0, 0.0, 2.0), v(170.0, 170.0, high));
        kind.heights = heights.map(room).into_iter().collect();
        kind
    }

    /// A cooler on a foot of 90, with fins this wide that start this high.
    fn scene(heights: Option<f64>, wide: f64, low: f64) -> Build {
        let mut kind = block("cooler", Group::Cooler, [120.0, 90.0, 100.0]);
        let solid = |at, size| crate::build::solid(Solid::Box(Box3::at(at, size)));
        kind.body = vec![
            solid(v(0.0, 0.0, 0.0), v(90.0, 90.0, low)),
            solid(v(0.0, 0.0, low), v(wide, 90.0, 100.0 - low)),
        ];
        let foot = frame(v(45.0, 45.0, 0.0), "+x", "-y", "-z");
        kind.patterns = vec![pattern(
            "foot",
            foot,
            square(75.0, [0.0, 0.0], 4.0, None),
            4,
        )];
        Build::open().with("board", &board(heights), [0.0; 3]).with(
            "cooler",
            &kind,
            [32.5, 32.5, 2.0],
        )
    }

    #[test]
    fn inside_the_square_any_height_is_free() {
        // The square ends at 125, the cooler starts at 32.5.
        scene(Some(57.0), 92.5, 20.0).expect("keep-in", &[]);
        let found = scene(Some(57.0), 92.6, 20.0).only("keep-in");
        assert_eq!(found.key(), "keep-in:cooler+zone:board/socket");
        assert_eq!(found.severity, Severity::Remark);
        assert_eq!(
            (found.needed, found.available),
            (Some(l(57.0)), Some(l(20.0)))
        );
    }

    #[test]
    fn above_the_parts_that_may_be_there_it_may_reach_out() {
        scene(Some(57.0), 120.0, 57.0).expect("keep-in", &[]);
        let found = scene(Some(57.0), 120.0, 56.9).only("keep-in");
        assert_eq!(found.available, Some(l(56.9)));
    }

    #[test]
    fn without_heights_a_cooler_that_reaches_out_is_not_judged() {
        scene(None, 92.5, 20.0).expect("keep-in", &[]);
        assert!(scene(None, 92.6, 20.0).only("keep-in").unjudged);
    }

    #[test]
    fn a_round_one_is_as_low_as_its_curve() {
        // A rod of 40 along y whose middle stands 20 + 9 over the board, 15 over the board's edge
        // at 170: there it is 29 less root of (20^2 - 15^2) high, 15.77.
        let scene = |heights: f64| {
            let mut build = scene(Some(heights), 90.0, 40.0);
            let (id, part) = build
                .scene
                .parts
                .iter()
                .find(|p| p.0.as_str() == "cooler")
                .expect("it");
            let (id, mut kind) = (id.clone(), (*part.kind).clone());
            kind.size = v(200.0, 90.0, 100.0);
            kind.body.push(crate::build::solid(Solid::Cylinder {
                axis: Axis::Y,
                base: v(170.0 - 32.5 + 15.0, 0.0, 29.0),
                radius: l(20.0),
                height: l(90.0),
            }));
            let place = build.scene.arrangement().places[&id];
            build.edit(crate::edit::Edit::RemovePart(id.clone()));
            build.turned("cooler", &kind, [32.5, 32.5, 2.0], place.turn)
        };
        let exact = 29.0 - (20f64.powi(2) - 15f64.powi(2)).sqrt();
        scene(15.7).expect("keep-in", &[]);
        let found = scene(15.9).only("keep-in").available.expect("a figure");
        assert!((found.as_mm() - exact).abs() < 0.002, "{found:?} {exact}");
    }
}
