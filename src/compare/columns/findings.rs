//! Open findings by severity.

use super::super::{Better, Column, Facts, Figure, Value};
use crate::rules::{Finding, Severity};

macro_rules! by_severity {
    ($name:ident, $severity:expr, $id:literal, $title:literal, $about:literal) => {
        #[doc = $title]
        pub(super) struct $name;

        impl Column for $name {
            fn id(&self) -> &'static str {
                $id
            }

            fn title(&self) -> &'static str {
                $title
            }

            fn unit(&self) -> &'static str {
                ""
            }

            fn about(&self) -> &'static str {
                $about
            }

            fn better(&self) -> Better {
                Better::Less
            }

            fn figure(&self, facts: Facts<'_>) -> Figure {
                count(facts, $severity)
            }
        }
    };
}

by_severity!(
    Stops,
    Severity::Stop,
    "stop",
    "Stops",
    "Open findings that keep the build from going together; accepted ones are left out."
);
by_severity!(
    Cautions,
    Severity::Caution,
    "caution",
    "Cautions",
    "Open findings that should be looked at; accepted ones are left out."
);
by_severity!(
    Remarks,
    Severity::Remark,
    "remark",
    "Remarks",
    "Open findings worth knowing, among them all that could not be judged; accepted ones are left out."
);

fn count(facts: Facts<'_>, severity: Severity) -> Figure {
    let checker = facts.checker;
    let open: Vec<&Finding> = checker
        .findings()
        .into_iter()
        .filter(|f| f.severity == severity && checker.is_accepted(facts.scene, f).is_none())
        .collect();
    let figure = Figure::of(Value::Count(open.len() as u64));
    let Some(first) = open.first() else {
        return figure;
    };
    let more = match open.len() {
        1 => String::new(),
        n => format!("; and {} more", n - 1),
    };
    let figure = figure.note(format!("{}{more}", first.text));
    match first.place {
        Some(place) => figure.at(place),
        None => figure,
    }
}
