//! Cables and hoses: short, spare, length.

use super::super::{Better, Column, Facts, Figure, Value};
use crate::geom::{Box3, Length as Mm};
use crate::model::CableId;
use crate::route::CableRun;

/// Cables whose way cannot be found or measured in full.
fn missing(facts: Facts<'_>) -> Option<String> {
    let runs = facts.checker.runs().values();
    let open = runs.filter(|r| r.stretches.iter().any(|s| s.judged.is_err()));
    match open.count() {
        0 => None,
        1 => Some("the way of 1 cable could not be measured".to_owned()),
        n => Some(format!("the ways of {n} cables could not be measured")),
    }
}

fn measured(facts: Facts<'_>) -> impl Iterator<Item = &CableRun> {
    let runs = facts.checker.runs().values();
    runs.filter(|r| r.stretches.iter().all(|s| s.judged.is_ok()))
}

fn name<'a>(facts: Facts<'a>, id: &'a CableId) -> &'a str {
    let cables = &facts.scene.arrangement().cables;
    cables.get(id).map_or(id.as_str(), |c| &c.name)
}

fn place(facts: Facts<'_>, run: &CableRun) -> Option<Box3> {
    let ports = run.stretches.iter().flat_map(|s| [&s.from, &s.to]);
    let at: Vec<Box3> = ports
        .filter_map(|p| facts.checker.placed().port(p))
        .map(|p| Box3::new(p.at, p.at))
        .collect();
    Box3::around(&at)
}

fn with_place(figure: Figure, place: Option<Box3>) -> Figure {
    match place {
        Some(place) => figure.at(place),
        None => figure,
    }
}

const NO_CABLES: &str = "no cables are led";

/// Cables that do not reach.
pub(super) struct Short;

impl Column for Short {
    fn id(&self) -> &'static str {
        "cables_short"
    }

    fn title(&self) -> &'static str {
        "Cables short"
    }

    fn unit(&self) -> &'static str {
        ""
    }

    fn about(&self) -> &'static str {
        "Cables and hoses that are shorter than their way, and by how much the worst one is."
    }

    fn better(&self) -> Better {
        Better::Less
    }

    fn figure(&self, facts: Facts<'_>) -> Figure {
        let short: Vec<(Mm, &CableRun)> = measured(facts)
            .filter_map(|r| Some((r.short_by()?, r)))
            .collect();
        let figure = match facts.checker.runs().len() {
            0 => return Figure::of(Value::Count(0)).note(NO_CABLES),
            _ => Figure::of(Value::Count(short.len() as u64)).missing(missing(facts)),
        };
        match short.iter().max_by_key(|(by, _)| *by) {
            Some((by, run)) => {
                let words = format!("{} by {} mm", name(facts, &run.cable), by.text1());
                with_place(figure.note(words), place(facts, run))
            }
            None => figure,
        }
    }
}

/// What is left over.
pub(super) struct Spare;

impl Column for Spare {
    fn id(&self) -> &'static str {
        "cable_spare"
    }

    fn title(&self) -> &'static str {
        "Cable spare"
    }

    fn unit(&self) -> &'static str {
        "mm"
    }

    fn about(&self) -> &'static str {
        "What is left over on all cables and hoses that reach, which has to be stowed somewhere; \
         cables that are short do not count against it."
    }

    fn better(&self) -> Better {
        Better::Less
    }

    fn figure(&self, facts: Facts<'_>) -> Figure {
        let spare: Vec<(Mm, &CableRun)> = measured(facts)
            .filter_map(|r| Some((r.spare()?, r)))
            .collect();
        let missing = missing(facts);
        let Some((most, run)) = spare.iter().max_by_key(|(by, _)| *by) else {
            let why = match facts.checker.runs().len() {
                0 => NO_CABLES,
                _ => "no cable reaches",
            };
            return Figure::none(why).missing(missing);
        };
        let words = format!("most: {}, {} mm", name(facts, &run.cable), most.text1());
        let total = spare.iter().map(|(by, _)| *by).sum();
        let figure = Figure::of(Value::Length(total))
            .note(words)
            .missing(missing);
        with_place(figure, place(facts, run))
    }
}

/// What is to be bought or cut.
pub(super) struct Length;

impl Column for Length {
    fn id(&self) -> &'static str {
        "cable_length"
    }

    fn title(&self) -> &'static str {
        "Cable length"
    }

    fn unit(&self) -> &'static str {
        "mm"
    }

    fn about(&self) -> &'static str {
        "Length at hand of all cables and hoses together; the note says what their ways need."
    }

    fn better(&self) -> Better {
        Better::Less
    }

    fn figure(&self, facts: Facts<'_>) -> Figure {
        let runs = facts.checker.runs();
        if runs.is_empty() {
            return Figure::of(Value::Length(Mm::ZERO)).note(NO_CABLES);
        }
        let at_hand = runs.values().map(|r| r.available).sum();
        let needed: Mm = measured(facts).map(|r| r.needed).sum();
        let open = match missing(facts) {
            Some(missing) => format!("; {missing}"),
            None => String::new(),
        };
        let words = format!("{} cables need {} mm{open}", runs.len(), needed.text1());
        Figure::of(Value::Length(at_hand)).note(words)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, at_port, block, cable, port, v};
    use crate::model::{Group, Role};

    /// Two headers 200 apart that look at one another, and a cable of this length.
    fn joined(length: f64) -> Build {
        let mut left = block("left", Group::Board, [20.0; 3]);
        left.ports = vec![port(
            "out",
            "fan-4pin",
            v(20.0, 10.0, 10.0),
            "+x",
            Role::Source,
        )];
        let mut right = block("right", Group::Fan, [20.0; 3]);
        right.ports = vec![port("in", "fan-4pin", v(0.0, 10.0, 10.0), "-x", Role::Sink)];
        Build::open()
            .with("l", &left, [10.0, 10.0, 10.0])
            .with("r", &right, [230.0, 10.0, 10.0])
            .cable(
                "c",
                cable(
                    None,
                    at_port("l", "out"),
                    at_port("r", "in"),
                    length,
                    vec![],
                ),
            )
    }

    fn figures(b: &Build) -> [Figure; 3] {
        let checker = b.checked();
        let facts = Facts {
            scene: &b.scene,
            checker: &checker,
        };
        [
            Short.figure(facts),
            Spare.figure(facts),
            Length.figure(facts),
        ]
    }

    #[test]
    fn a_straight_cable_is_short_exact_or_spare() {
        // From face to face: 230 - 30 = 200.
        let [short, spare, length] = figures(&joined(180.0));
        assert_eq!(short.value, Some(Value::Count(1)));
        assert!(short.note.ends_with("by 20.0 mm"), "{}", short.note);
        assert_eq!((spare.value, length.text()), (None, "180.0".to_owned()));
        let [short, spare, _] = figures(&joined(200.0));
        assert_eq!((short.text(), spare.text()), ("0".into(), "0.0".into()));
        let [short, spare, _] = figures(&joined(250.0));
        assert_eq!((short.text(), spare.text()), ("0".into(), "50.0".into()));
    }

    #[test]
    fn a_way_that_cannot_be_measured_is_not_counted_as_reaching() {
        let mut b = joined(250.0);
        b.edit(crate::edit::Edit::SetPlace(crate::build::pid("r"), None));
        // Its part lies beside the enclosure: the edit takes the cable off.
        let [short, spare, length] = figures(&b);
        assert_eq!(short.note, NO_CABLES);
        assert_eq!((spare.text(), length.text()), ("-".into(), "0.0".into()));
    }
}
