//! Cables of which a long piece hangs free.

use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};
use crate::geom::{Length, Vec3};
use crate::model::{Cable, CableId, System};
use crate::route::ways::{Span, free_spans};

/// See [`Rule::about`].
pub(super) struct HangsFree;

/// A tie point farther from the piece than this is no help, as a share of what may hang free.
const NEAR: f64 = 0.5;

impl Rule for HangsFree {
    fn id(&self) -> &'static str {
        "hangs-free"
    }

    fn title(&self) -> &'static str {
        "Hangs free"
    }

    fn about(&self) -> &'static str {
        "A piece of a cable's way that nothing holds, longer than the cable or the settings allow, \
         sags, rattles and gets into fans: a remark. Held is what is an end, a passage or tie that \
         it is led along, and what has something solid within 10 mm of its surface, where it can be \
         laid on or tied. Looked at every 5 mm. Just as long as allowed is fine. Hoses carry \
         themselves and are left out. The limit of the settings and the 10 mm: common practice, no \
         source."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Way]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Cable(id, cable) = anchor else {
            return;
        };
        let Some(run) = facts.runs.get(id) else {
            return;
        };
        let Some(most) = facts.settings.may_hang(cable) else {
            if cable.system != System::Liquid {
                let text = format!(
                    "how far {} hangs free was not judged: neither it nor the settings say how far \
                     it may",
                    cable.name
                );
                let subjects = vec![Subject::Cable(id.clone())];
                let hint = "Say in its details how far it may hang free.";
                out.push(Finding::unjudged(self.id(), subjects, text).hint(hint));
            }
            return;
        };
        let spans = free_spans(facts.placed, cable, run, most);
        let Some(worst) = spans.iter().max_by_key(|s| s.length) else {
            return;
        };
        out.push(finding(facts, id, cable, most, worst, spans.len()));
    }
}

fn finding(
    facts: &Facts,
    id: &CableId,
    cable: &Cable,
    most: Length,
    worst: &Span,
    count: usize,
) -> Finding {
    let times = match count {
        1 => String::new(),
        n => format!(", in {n} places"),
    };
    let text = format!(
        "{} hangs free for {:.0} mm{times}; {} at most",
        cable.name,
        worst.length.as_mm(),
        most.text1().trim_end_matches(".0"),
    );
    let hint = match tie_near(facts, cable, most, worst.middle) {
        Some((tie, off)) => format!(
            "Have it find its way, or lead it along tie '{tie}', {:.0} mm from the middle of that \
             piece.",
            off.as_mm()
        ),
        None if facts.scene.enclosure.ties.is_empty() => {
            "The enclosure has no tie points: stick one on near the middle of that piece, or lead \
             it along a wall."
                .to_owned()
        }
        None => "No tie point is near: stick one on near the middle of that piece, or lead it \
                 along a wall."
            .to_owned(),
    };
    Finding::new(
        "hangs-free",
        Severity::Remark,
        vec![Subject::Cable(id.clone())],
        text,
    )
    .figures(worst.length, most)
    .at(worst.around)
    .hint(hint)
}

/// The nearest tie point that it is not led along yet, with its distance.
fn tie_near<'a>(
    facts: &Facts<'a>,
    cable: &Cable,
    most: Length,
    at: Vec3,
) -> Option<(&'a str, Length)> {
    let led = |tie: &str| {
        let mut all = cable.plugs.iter().flat_map(|p| &p.via);
        all.any(|v| v.tie() == Some(tie))
    };
    let ties = facts.scene.enclosure.ties.iter();
    let near = ties
        .filter(|t| !led(&t.id))
        .map(|t| (t.id.as_str(), t.at.distance_mm(at)))
        .filter(|t| t.1 <= most.as_mm() * NEAR)
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    Some((near.0, Length::from_mm(near.1)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, at_port, block, cable, l, port, v};
    use crate::model::{Group, Role, Tie, Via};

    /// A lead of 4 mm thick from +x into -x, this far apart in the open.
    fn open(apart: f64, via: Vec<Via>) -> Build {
        let mut host = block("host", Group::Board, [10.0, 10.0, 10.0]);
        host.ports = vec![port("p", "host", v(10.0, 5.0, 5.0), "+x", Role::Source)];
        let mut drive = block("drive", Group::Drive, [10.0, 10.0, 10.0]);
        drive.ports = vec![port("p", "drive", v(0.0, 5.0, 5.0), "-x", Role::Sink)];
        let mut lead = cable(
            Some("data"),
            at_port("host", "p"),
            at_port("drive", "p"),
            900.0,
            via,
        );
        lead.section = crate::model::Section::Round(l(4.0));
        lead.hangs = Some(l(200.0));
        let mut build = Build::open()
            .with("host", &host, [100.0, 100.0, 100.0])
            .with("drive", &drive, [110.0 + apart, 100.0, 100.0])
            .cable("c", lead);
        let mut case = (*build.scene.enclosure).clone();
        case.ties.push(Tie {
            id: "middle".into(),
            at: v(260.0, 105.0, 105.0),
            clear: None,
        });
        build.scene.enclosure = std::sync::Arc::new(case);
        build
    }

    #[test]
    fn what_hangs_free_is_what_lies_between_what_holds() {
        // Held up to 12 (2 of its own and 10) from both ends: to 5 mm, 24 less than apart.
        open(220.0, vec![]).expect("hangs-free", &[]);
        let found = open(300.0, vec![]).only("hangs-free");
        assert_eq!(found.severity, Severity::Remark);
        let long = found.needed.expect("a figure");
        assert!((l(271.0)..=l(281.0)).contains(&long), "{long:?}");
        assert!(found.hint.contains("tie 'middle'"), "{}", found.hint);
        // Along the tie, a little off the middle, both pieces are short enough.
        for via in [Via::Tie("middle".into()), Via::Chosen("middle".into())] {
            open(300.0, vec![via]).expect("hangs-free", &[]);
        }
    }

    #[test]
    fn what_stands_near_holds_and_the_cables_own_limit_counts() {
        let shelf = block("shelf", Group::Other, [20.0, 60.0, 93.0]);
        // Its underside is at 103: the shelf ends 10 under that, or 10.5.
        open(300.0, vec![])
            .with("shelf", &shelf, [250.0, 80.0, 0.0])
            .expect("hangs-free", &[]);
        let low = block("shelf", Group::Other, [20.0, 60.0, 92.5]);
        open(300.0, vec![])
            .with("shelf", &low, [250.0, 80.0, 0.0])
            .only("hangs-free");
        let mut far = open(300.0, vec![]);
        let cables = &mut far.scene.arrangements[0].cables;
        cables.values_mut().for_each(|c| c.hangs = Some(l(290.0)));
        far.expect("hangs-free", &[]);
        // Nobody says how far it may: that is said. A hose carries itself.
        let mut unsaid = open(300.0, vec![]);
        unsaid.settings.limits.free_span = None;
        let cables = &mut unsaid.scene.arrangements[0].cables;
        cables.values_mut().for_each(|c| c.hangs = None);
        assert!(unsaid.only("hangs-free").unjudged);
        let cables = &mut unsaid.scene.arrangements[0].cables;
        cables.values_mut().for_each(|c| c.system = System::Liquid);
        unsaid.expect("hangs-free", &[]);
    }
}
