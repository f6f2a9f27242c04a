//! Gaps that are there on paper and may not be there in metal.

use super::common::{mounted_on, names, part, shape_unjudged};
use super::nearest::{Near, nearest, nearest_straight};
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity, Subject};
use crate::geom::{Axis, Box3, Length};
use crate::model::{PartId, Space};
use crate::placement::{Broken, Chains, Link, Slope, Source};

/// See [`Rule::about`].
pub(super) struct GapUncertain;

impl Rule for GapUncertain {
    fn id(&self) -> &'static str {
        "gap-uncertain"
    }

    fn title(&self) -> &'static str {
        "Gap uncertain"
    }

    fn about(&self) -> &'static str {
        "Every dimension may be off. Where a gap is there by the nominal dimensions and gone when all \
         of the chain are at their worst, it is a caution. The chain runs from face to face through \
         the holes that hold the parts, screw play included; a dimension that was not measured and \
         without a figure of its own has the general tolerance of its size (ISO 2768-1 class m, transcribed; assets/rules.json). \
         The probability of interference assumes that the dimensions vary on their own and normally, \
         with their limits three standard deviations from the middle. A gap across an edge has a chain \
         along each axis: between boxes it closes where all of them do, between round ones along the \
         line between the nearest points. Judged for gaps below the largest that any pair class asks \
         for. \
         Touching parts are meant to touch; parts that hold each other are excused, and parts that \
         nothing holds are named by the rule on that."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Pair, Scope::Wall, Scope::Scene]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let known = !facts.settings.general.is_empty();
        let held = |id| !facts.placed.holds(id).is_empty() || facts.placed.is_carrier(id);
        match anchor {
            Anchor::Scene if !known && !facts.placed.is_empty() => {
                let text = "whether gaps may close was not judged: no general tolerances are set";
                let finding = Finding::unjudged(self.id(), Vec::new(), text.to_owned());
                out.push(finding.hint("Give them in the file of rules."));
            }
            Anchor::Pair(a, b) if known => {
                if !held(&a.id) || !held(&b.id) || facts.placed.holds_each_other(&a.id, &b.id) {
                    return;
                }
                let theirs = || b.of(Space::Solid).map(|p| &p.body);
                let reach = facts.settings.reach();
                let near = nearest(a, theirs(), &b.span, reach);
                let ends = [Some(&a.id), Some(&b.id)];
                let subjects = || vec![part(a), part(b)];
                let one = judge(facts, &near, ends, subjects(), names(a, b));
                let other = aslant(&near).then(|| {
                    let near = nearest_straight(a, theirs(), &b.span, reach);
                    judge(facts, &near, ends, subjects(), names(a, b))
                });
                out.extend(worse(one, other.flatten()));
            }
            Anchor::Wall(p, plate) if known => {
                if !held(&p.id) || mounted_on(facts.placed, &p.id, plate) {
                    return;
                }
                let theirs = || plate.bodies().iter();
                let reach = facts.settings.reach();
                let near = nearest(p, theirs(), &plate.bounds, reach);
                let ends = [Some(&p.id), None];
                let subjects = || vec![part(p), Subject::Plate(plate.id.clone())];
                let names = || (p.name.clone(), plate.name.clone());
                let one = judge(facts, &near, ends, subjects(), names());
                let other = aslant(&near).then(|| {
                    let near = nearest_straight(p, theirs(), &plate.bounds, reach);
                    judge(facts, &near, ends, subjects(), names())
                });
                out.extend(worse(one, other.flatten()));
            }
            _ => {}
        }
    }
}

/// True where the gap runs across an edge.
fn aslant(near: &Near) -> bool {
    let Near::At(_, [from, to], _) = near else {
        return false;
    };
    let apart = |a: &Axis| from.along(*a) != to.along(*a);
    Axis::ALL.iter().filter(|a| apart(a)).count() > 1
}

/// Of two gaps of the same things the one that closes farther; two things are named once.
fn worse(a: Option<Finding>, b: Option<Finding>) -> Option<Finding> {
    let closes = |f: &Finding| {
        let by = f.needed.zip(f.available).map(|(n, a)| n - a);
        (std::cmp::Reverse(f.severity), by)
    };
    a.into_iter().chain(b).max_by_key(closes)
}

fn judge(
    facts: &Facts,
    near: &Near,
    ends: [Option<&PartId>; 2],
    subjects: Vec<Subject>,
    (x, y): (String, String),
) -> Option<Finding> {
    let (gap, [from, to], boxes) = match near {
        Near::Fine => return None,
        Near::At(gap, points, boxes) => (*gap, *points, *boxes),
        Near::Unjudged(why) => {
            let question = format!("the gap of {x} and {y} may close");
            return Some(shape_unjudged("gap-uncertain", subjects, &question, why));
        }
    };
    if gap <= Length::ZERO {
        return None;
    }
    let known = (facts.settings, &facts.scene.measured);
    // A part that nothing holds lies anywhere; the rule on that names it.
    let chain = match facts.placed.chains(known, ends, [from, to], boxes) {
        Ok(chain) => chain,
        Err(why @ (Broken::BeyondTable { .. } | Broken::Ring)) => {
            let text = format!("whether the gap of {x} and {y} may close was not judged: {why}");
            return Some(
                Finding::unjudged("gap-uncertain", subjects, text).at(Box3::new(from, to)),
            );
        }
        Err(Broken::Loose(_) | Broken::NoPlace | Broken::NoGap) => return None,
    };
    let spread = chain.spread();
    if spread.least >= Length::ZERO {
        return None;
    }
    // As measured, or as the kinds say of single dimensions, they stand in one another.
    let severity = match spread.nominal < Length::ZERO {
        true => Severity::Stop,
        false => Severity::Caution,
    };
    let text = format!(
        "{x} and {y}: gap {} mm, {} at worst, {:.2} ±{:.2} by root sum square; touches in {} of builds",
        spread.nominal.text2(),
        spread.least.text2(),
        spread.centre,
        spread.rss,
        percent(spread.interference),
    );
    Some(
        Finding::new("gap-uncertain", severity, subjects, text)
            .figures(spread.nominal - spread.least, spread.nominal)
            .at(Box3::new(from, to))
            .mark(FindingMark::Gap { from, to })
            .hint(hint(&chain))
            .chain(chain),
    )
}

/// The chain, the largest range first, so that one sees what to measure.
fn hint(chain: &Chains) -> String {
    let say = |(slope, link): &(&Slope, &Link)| {
        let along = match chain.is_straight() {
            true => String::new(),
            false => format!("{}: ", slope.axis.name()),
        };
        let (plus, minus) = (link.deviation.plus, link.deviation.minus);
        let by = if plus == minus {
            format!("±{}", plus.text2())
        } else {
            format!("+{} -{}", plus.text2(), minus.text2())
        };
        match link.source {
            Source::Play => format!("{along}{} {by}", link.what),
            Source::Measured | Source::Derived | Source::Given | Source::General => {
                format!("{along}{} {} {by}", link.what, link.nominal.abs().text2())
            }
        }
    };
    let links: Vec<String> = chain.by_range().iter().map(say).collect();
    format!("Measure, the most uncertain first: {}.", links.join("; "))
}

fn percent(p: f64) -> String {
    match p * 100.0 {
        p if p < 0.01 => "less than 0.01 %".to_owned(),
        p if p < 1.0 => format!("{p:.2} %"),
        p => format!("{p:.0} %"),
    }
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, block, enclosure, frame, l, pattern, plate, square, v, zone};
    use crate::model::{Group, PartKind};

    fn carried(id: &str) -> PartKind {
        let mut kind = block(id, Group::Drive, [100.0, 100.0, 20.0]);
        let foot = frame(v(50.0, 50.0, 0.0), "+x", "-y", "-z");
        kind.patterns = vec![pattern(
            "foot",
            foot,
            square(80.0, [0.0, 0.0], 4.3, None),
            4,
        )];
        kind
    }

    fn two(gap: f64) -> Build {
        two_with(gap, &carried("two"))
    }

    fn two_with(gap: f64, second: &PartKind) -> Build {
        let mut case = enclosure([400.0, 200.0, 100.0]);
        for (id, x) in [("left", 0.0), ("right", 100.0 + gap)] {
            let face = frame(v(x, 0.0, 0.0), "+x", "+y", "+z");
            let mut field = zone(id, face, [100.0, 100.0], 0.0, &[Group::Drive]);
            field.holes = square(80.0, [50.0, 50.0], 3.0, Some("M3"));
            case.zones.push(field);
        }
        Build::new(case)
            .gap(None, None, false, 5.0)
            .gap(None, None, true, 5.0)
            .with("a", &carried("one"), [0.0; 3])
            .with("b", second, [100.0 + gap, 0.0, 0.0])
    }

    #[test]
    fn a_gap_that_may_close_is_a_caution_with_its_chain() {
        // Face to hole 90 (+-0.3), hole to hole (+-0.3), hole to face 10 (+-0.2) by
        // ISO 2768-1 m, and M3 in 4.3 plays 0.65 twice: 2.1 at worst; root of the sum
        // of squares 0.09 + 0.09 + 0.04 + 2 x 0.4225 = 1.065 is 1.03.
        two(2.1).expect("gap-uncertain", &[]);
        let found = two(2.099).only("gap-uncertain");
        assert_eq!(found.key(), "gap-uncertain:a+b");
        assert_eq!(found.available, Some(l(2.099)));
        assert_eq!(found.needed, Some(l(2.1)));
        assert!(
            found.text.contains("±1.03 by root sum square"),
            "{}",
            found.text
        );
        assert!(found.text.contains("less than 0.01 %"), "{}", found.text);
        assert!(
            found.hint.contains("play of one at hole 1 ±0.65"),
            "{}",
            found.hint
        );
        assert!(found.hint.contains("one, face to hole 1 90.00 ±0.30"));
        // The report for machines has the same: five links that add up to the gap.
        let build = two(2.099);
        let report = crate::rules::report(&build.scene, &build.checked());
        let listed = report.json["findings"].as_array().expect("a list");
        let own = (listed.iter()).find(|f| f["rule"] == "gap-uncertain");
        let chain = &own.expect("listed")["chain"];
        assert_eq!(chain["links"].as_array().map(Vec::len), Some(5));
        let sum = (chain["links"].as_array().expect("links").iter())
            .map(|l| l["nominal"].as_f64().expect("a number"))
            .sum::<f64>();
        assert!(
            (sum - 2.099).abs() < 1e-9 && chain["nominal"] == 2.099,
            "{chain}"
        );
        assert_eq!(chain["least"], -0.001);
        let rss = chain["root_sum_square"].as_f64().expect("a number");
        assert!((rss - 1.065_f64.sqrt()).abs() < 1e-9, "{rss}");
        // 1.03 / 3 = 0.344 is one standard deviation: P(z < -1) = 15.87 % (tables).
        let found = two(0.344).only("gap-uncertain");
        assert!(
            found.text.contains("touches in 16 % of builds"),
            "{}",
            found.text
        );
    }

    #[test]
    fn touching_is_meant_and_overlap_is_a_clash() {
        two(0.0).expect("gap-uncertain", &[]);
        two(-0.5).expect("gap-uncertain", &[]);
    }

    #[test]
    fn own_figures_of_a_part_count_instead_of_the_table() {
        let mut exact = carried("two");
        exact.ratings.deviation[0] = Some(crate::model::Deviation::default());
        two(2.0).expect("gap-uncertain", &["gap-uncertain:a+b"]);
        // 2.1 less the 0.2 of its face: 1.9.
        two_with(2.0, &exact).expect("gap-uncertain", &[]);
    }

    #[test]
    fn a_plate_is_the_end_of_a_chain_through_the_enclosure() {
        let build = |z: f64| {
            let mut case = (*two(50.0).scene.enclosure).clone();
            case.plates = vec![plate("lid", [0.0, 0.0, z], [400.0, 200.0, 1.0])];
            Build::new(case)
                .gap(None, None, true, 5.0)
                .with("a", &carried("one"), [0.0; 3])
        };
        // 20 high +-0.2, the lid over the floor at 20.5 +-0.2.
        build(20.4).expect("gap-uncertain", &[]);
        build(20.3).expect("gap-uncertain", &["gap-uncertain:a+plate:lid"]);
    }

    #[test]
    fn without_a_table_it_says_that_it_did_not_judge() {
        let mut build = two(1.0);
        build.settings.general.clear();
        let found = build.only("gap-uncertain");
        assert!(found.unjudged, "{found:?}");
    }

    #[test]
    fn a_nearer_edge_hides_no_gap_that_closes() {
        // As in the straight case, 2.099 apart: 2.1 at worst. A piece of the second that is 1.4
        // off an edge of the first both ways, 1.98 in all, is nearer and closes less.
        let mut second = carried("two");
        let box_of = |at: [f64; 3], size: [f64; 3]| {
            crate::geom::Solid::Box(crate::geom::Box3::at(
                v(at[0], at[1], at[2]),
                v(size[0], size[1], size[2]),
            ))
        };
        let bump = crate::model::Piece {
            solid: box_of([-0.699, 0.0, 21.4], [0.6, 100.0, 5.0]),
            space: crate::model::Space::Solid,
            name: "edge".into(),
        };
        second.body[0].solid = box_of([0.0, 0.0, 0.0], [100.0, 100.0, 20.0]);
        second.body.push(bump);
        let found = two_with(2.099, &second).only("gap-uncertain");
        assert_eq!(found.available, Some(l(2.099)), "{}", found.text);
    }

    #[test]
    fn what_is_carried_by_a_part_that_holds_it_ends_at_plates_too() {
        // A slab that hangs on a block between it and the floor, beside a wall.
        let mut case = enclosure([400.0, 200.0, 100.0]);
        let face = frame(v(0.0, 0.0, 0.0), "+x", "+y", "+z");
        let mut field = zone("floor", face, [100.0, 100.0], 0.0, &[Group::Drive]);
        field.holes = square(80.0, [50.0, 50.0], 3.0, Some("M3"));
        case.zones = vec![field];
        case.plates = vec![plate("wall", [110.5, 0.0, 0.0], [2.0, 200.0, 100.0])];
        let mut foot = carried("foot");
        let head = frame(v(50.0, 50.0, 20.0), "+x", "+y", "+z");
        let holes = square(60.0, [0.0, 0.0], 4.3, None);
        foot.patterns.push(pattern("head", head, holes, 4));
        let mut slab = block("slab", Group::Radiator, [110.0, 100.0, 20.0]);
        let under = frame(v(0.0, 100.0, 0.0), "+x", "-y", "-z");
        let mut field = zone("under", under, [110.0, 100.0], 0.0, &[Group::Drive]);
        field.holes = square(60.0, [50.0, 50.0], 3.0, Some("M3"));
        slab.zones = vec![field];
        let build = |slab: &PartKind| {
            Build::new(case.clone())
                .gap(None, None, true, 5.0)
                .with("foot", &foot, [0.0; 3])
                .with("slab", slab, [0.0, 0.0, 20.0])
        };
        let found = build(&slab).only("gap-uncertain");
        assert_eq!(found.key(), "gap-uncertain:plate:wall+slab");
    }
}
