//! Memory sockets that a cooler has covered.

use super::common::{free_before, part, shape_unjudged};
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::geom::{Box3, Length, Solid};
use crate::model::{Group, Space, ZoneRef};
use crate::placement::{Body, Gap, PlacedPart, between};

/// See [`Rule::about`].
pub(super) struct MemoryUnder;

impl Rule for MemoryUnder {
    fn id(&self) -> &'static str {
        "memory-under"
    }

    fn title(&self) -> &'static str {
        "No memory under the cooler"
    }

    fn about(&self) -> &'static str {
        "A cooler that reaches over the memory sockets leaves less than a module's height there. A \
         module in its socket is judged by the rule on clashes, with its own height; a free socket is \
         judged for a plain module (its height: assets/rules.json; module outline, from memory). \
         Touching is fine. A remark: the machine works with that socket empty. Of a board whose kind \
         has no memory sockets it is said that this was not judged, where a cooler on it reaches out of \
         the zone that holds it."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Pair]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Pair(a, b) = anchor else {
            return;
        };
        for (board, cooler) in [(a, b), (b, a)] {
            if board.group == Group::Board && cooler.group == Group::Cooler {
                look(facts, board, cooler, out);
            }
        }
    }
}

/// A cooler that reaches out over a board of which nobody knows where its memory is.
fn unknown(facts: &Facts, board: &PlacedPart, cooler: &PlacedPart) -> Option<Finding> {
    let mut holds = facts.placed.holds(&cooler.id).iter();
    let on = holds.find(|h| h.zone.part.as_ref() == Some(&board.id))?;
    let zone = facts.placed.zone(&on.zone)?;
    let span = Box3::around(cooler.of(Space::Solid).map(|q| &q.bounds))?;
    let own = zone.frame.block(zone.size, Length::ZERO);
    let (a, b) = zone.frame.normal.axis().others();
    let inside = [a, b].into_iter().all(|x| {
        own.min().along(x) <= span.min().along(x) && span.max().along(x) <= own.max().along(x)
    });
    if inside {
        return None;
    }
    let text = format!(
        "whether {} covers memory was not judged: where {} has its sockets is not known",
        cooler.name, board.name
    );
    let finding = Finding::unjudged("memory-under", vec![part(board), part(cooler)], text);
    Some(
        finding
            .at(span)
            .hint("Give its kind the sockets, or look at the board."),
    )
}

fn look(facts: &Facts, board: &PlacedPart, cooler: &PlacedPart, out: &mut Vec<Finding>) {
    if !board.zones.iter().any(|z| z.takes.contains(&Group::Memory)) {
        out.extend(unknown(facts, board, cooler));
    }
    for (index, zone) in board.zones.iter().enumerate() {
        if !zone.takes.contains(&Group::Memory) || facts.placed.is_taken(board, index) {
            continue;
        }
        let id = ZoneRef {
            part: Some(board.id.clone()),
            zone: zone.id.clone(),
        };
        let words = facts.placed.zone_words(&id);
        let subjects = vec![part(cooler), Subject::Zone(id)];
        let Some(height) = facts.settings.limits.memory_height else {
            let text =
                format!("whether a module goes into {words} was not judged: no height is set");
            out.push(Finding::unjudged("memory-under", subjects, text).at(board.outline));
            continue;
        };
        let space = zone.frame.block(zone.size, height);
        let module = Body::from(Solid::Box(space));
        let solid = cooler.of(Space::Solid);
        let mut free: Option<Length> = None;
        let mut region = space;
        let mut why = None;
        for piece in solid.filter(|q| q.bounds.overlaps(&space)) {
            let met = match between(&module, &piece.body, Length::ZERO) {
                Gap::Overlap { region, .. } => region,
                Gap::Unjudged(unknown) => {
                    why = Some(unknown);
                    continue;
                }
                Gap::Apart { .. } | Gap::Beyond => continue,
            };
            let above = free_before(&space, zone.frame.normal, &piece.body);
            if free.is_none_or(|f| above < f) {
                (free, region) = (Some(above), met);
            }
        }
        let Some(free) = free else {
            let question = format!("{} leaves room over {words}", cooler.name);
            out.extend(why.map(|why| shape_unjudged("memory-under", subjects, &question, &why)));
            continue;
        };
        let text = format!(
            "{} leaves {} mm over {words}, a plain module needs {}",
            cooler.name,
            free.text1(),
            height.text1()
        );
        let (u, v, _) = zone.frame.coords(region.centre());
        let from = zone.frame.point(u, v);
        out.push(
            Finding::new("memory-under", Severity::Remark, subjects, text)
                .figures(height, free)
                .at(region)
                .mark(FindingMark::Gap {
                    from,
                    to: from + zone.frame.normal.times(free),
                })
                .hint("Leave that socket empty, take lower modules, or another cooler."),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, block, frame, l, pattern, seat, v, zone};
    use crate::geom::{Axis, Box3, Solid};
    use crate::model::{Group, PartKind};

    fn board() -> PartKind {
        let mut kind = block("board", Group::Board, [170.0, 170.0, 2.0]);
        let face = frame(v(20.0, 10.0, 2.0), "+x", "+y", "+z");
        let mut field = zone("dimm-1", face, [130.0, 6.0], 0.0, &[Group::Memory]);
        field.holes = vec![seat("1", "dimm", 65.0, 3.0)];
        kind.zones = vec![field];
        kind
    }

    /// A cooler whose fins start this high above the board.
    fn scene(fins: f64, y: f64) -> Build {
        let mut kind = block("cooler", Group::Cooler, [120.0, 120.0, 100.0]);
        let at = v(0.0, 0.0, fins);
        kind.body[0].solid = Solid::Box(Box3::new(at, v(120.0, 120.0, 100.0)));
        let mut build =
            Build::open()
                .with("board", &board(), [0.0; 3])
                .with("cooler", &kind, [25.0, y, 2.0]);
        build.settings.limits.memory_height = Some(l(31.3));
        build
    }

    #[test]
    fn fins_at_the_height_of_a_module_leave_it_room_and_lower_ones_do_not() {
        scene(31.3, 10.0).expect("memory-under", &[]);
        let found = scene(31.2, 10.0).only("memory-under");
        assert_eq!(found.key(), "memory-under:cooler+zone:board/dimm-1");
        assert_eq!(
            (found.needed, found.available),
            (Some(l(31.3)), Some(l(31.2)))
        );
    }

    #[test]
    fn beside_the_socket_it_is_no_matter() {
        scene(10.0, 16.0).expect("memory-under", &[]);
        scene(10.0, 15.9).expect("memory-under", &["memory-under:cooler+zone:board/dimm-1"]);
    }

    #[test]
    fn a_module_in_the_socket_is_for_the_rule_on_clashes() {
        let mut module = block("module", Group::Memory, [130.0, 6.0, 25.0]);
        let foot = frame(v(65.0, 3.0, 0.0), "+x", "-y", "-z");
        module.patterns = vec![pattern("edge", foot, vec![seat("1", "dimm", 0.0, 0.0)], 1)];
        let build = scene(31.2, 10.0).with("module", &module, [20.0, 10.0, 2.0]);
        build.expect("memory-under", &[]);
        build.expect("clash", &[]);
        let taken_out = build.moved("module", [0.0, 0.0, 300.0]);
        assert_eq!(taken_out.found("memory-under").len(), 1);
    }

    #[test]
    fn without_a_height_it_says_so() {
        let mut build = scene(31.2, 10.0);
        build.settings.limits.memory_height = None;
        assert!(build.only("memory-under").unjudged);
    }

    #[test]
    fn a_round_one_leaves_what_is_under_its_curve() {
        // A rod of 40 along y, its middle 44.4 over the board and 15 beside the socket's edge:
        // 44.4 less root of (20^2 - 15^2) is 31.171 over the nearest of it.
        let rod = |z: f64| {
            let mut kind = block("cooler", Group::Cooler, [40.0, 120.0, 100.0]);
            kind.body[0].solid = Solid::Cylinder {
                axis: Axis::Y,
                base: v(20.0, 0.0, z),
                radius: l(20.0),
                height: l(120.0),
            };
            let mut build = Build::open().with("board", &board(), [0.0; 3]).with(
                "cooler",
                &kind,
                [145.0, 0.0, 2.0],
            );
            build.settings.limits.memory_height = Some(l(31.3));
            build
        };
        let found = rod(44.4).only("memory-under").available.expect("a figure");
        let exact = 44.4 - (20f64.powi(2) - 15f64.powi(2)).sqrt();
        assert!((found.as_mm() - exact).abs() < 0.002, "{found:?} {exact}");
        rod(44.6).expect("memory-under", &[]);
    }
}
