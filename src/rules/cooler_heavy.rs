//! Heavy coolers that travel on their board.

use super::common::above;
use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};
use crate::model::{Group, Unit};

/// See [`Rule::about`].
pub(super) struct CoolerHeavy;

impl Rule for CoolerHeavy {
    fn id(&self) -> &'static str {
        "cooler-heavy"
    }

    fn title(&self) -> &'static str {
        "Heavy cooler travels"
    }

    fn about(&self) -> &'static str {
        "A machine that is built to order travels at least once, to its owner. A cooler above the mass \
         allowed (assets/rules.json; common practice, no source) is a lever on its board: it is braced \
         or travels beside the machine, so it is named. Exactly that mass may travel. A cooler without \
         a mass in the catalogue is not judged, and that is said."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Part]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Part(p) = anchor else {
            return;
        };
        if p.group != Group::Cooler {
            return;
        }
        let subjects = vec![Subject::Part(p.id.clone())];
        let name = &p.name;
        let (mass, most) = (p.kind.ratings.mass_g, facts.settings.limits.cooler_mass_g);
        let (Some(mass), Some(most)) = (mass, most) else {
            let why = match mass {
                None => "its mass is not known",
                Some(_) => "no limit is set",
            };
            let text = format!("whether {name} may travel mounted was not judged: {why}");
            out.push(Finding::unjudged(self.id(), subjects, text).at(p.outline));
            return;
        };
        if mass <= most as f64 {
            return;
        }
        let said = above(mass, most as f64);
        let text = format!("{name} has {said} g on the board, {most} g at most may travel so");
        out.push(
            Finding::new(self.id(), Severity::Remark, subjects, text)
                .amounts(Unit::Gram, most as f64, mass)
                .at(p.outline)
                .hint("Brace it for the way, or send it beside the machine."),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, block};
    use crate::model::Group;
    use crate::rules::Severity;

    fn cooler(mass: Option<f64>) -> Build {
        let mut kind = block("tower", Group::Cooler, [120.0, 75.0, 160.0]);
        kind.ratings.mass_g = mass;
        Build::open().with("c", &kind, [0.0; 3])
    }

    #[test]
    fn the_mass_allowed_may_travel_and_more_is_a_remark() {
        cooler(Some(700.0)).expect("cooler-heavy", &[]);
        let found = cooler(Some(700.5)).only("cooler-heavy");
        assert_eq!(found.severity, Severity::Remark);
        assert_eq!(found.key(), "cooler-heavy:c");
    }

    #[test]
    fn without_a_mass_or_a_limit_it_says_so() {
        assert!(cooler(None).only("cooler-heavy").unjudged);
        let mut build = cooler(Some(2000.0));
        build.settings.limits.cooler_mass_g = None;
        assert!(build.only("cooler-heavy").unjudged);
    }
}
