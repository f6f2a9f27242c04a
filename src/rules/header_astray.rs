//! Leads in a header that is there for something else.

use super::common::{port_name, port_place};
use super::{Anchor, Facts, Finding, Rule, Scope, Severity, Subject};
use crate::model::{Port, PortRef, Purpose, Role};
use crate::route::feed;
use std::collections::BTreeSet;

/// See [`Rule::about`].
pub(super) struct HeaderAstray;

impl Rule for HeaderAstray {
    fn id(&self) -> &'static str {
        "header-astray"
    }

    fn title(&self) -> &'static str {
        "Lead in a header for something else"
    }

    fn about(&self) -> &'static str {
        "A board watches the speed of the processor's cooler and of a pump at a header of its own: \
         from another header the cooler may be driven by the wrong temperature or the board may not \
         start, and a pump may be throttled (common practice, no source). Leads on a hub or splitter \
         count with the header that its own lead is in. Which headers there are is a figure of the \
         board; where it has none for a purpose, nothing is asked. Boards are set up differently: \
         the maker's manual decides."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Port]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Port(at) = anchor else {
            return;
        };
        let Some(here) = port(facts, at).filter(|p| p.role == Role::Source) else {
            return;
        };
        for lead in below(facts, at) {
            let wants = port(facts, &lead).and_then(|p| p.purpose);
            let Some(wants) = wants.filter(|w| here.purpose != Some(*w)) else {
                continue;
            };
            if let Some(right) = header(facts, at, here, wants) {
                out.push(found(facts, at, &lead, wants, &right));
            }
        }
    }
}

fn port<'a>(facts: &Facts<'a>, at: &PortRef) -> Option<&'a Port> {
    facts.scene.parts.get(&at.part)?.kind.port(&at.port)
}

/// The leads that hang on a header, through hubs and splitters too.
fn below(facts: &Facts, at: &PortRef) -> BTreeSet<PortRef> {
    let mut all = BTreeSet::new();
    let mut open = vec![at.clone()];
    let mut seen: BTreeSet<PortRef> = BTreeSet::new();
    while let Some(at) = open.pop() {
        // Parts that feed one another in a ring are gone through once.
        if !seen.insert(at.clone()) {
            continue;
        }
        for id in facts.placed.plugged(&at) {
            let cable = facts.scene.arrangement().cables.get(id);
            let Some((from, to)) = cable.and_then(|c| feed::ends(facts.scene, c)) else {
                continue;
            };
            if *from != at {
                continue;
            }
            for end in to {
                all.insert(end.clone());
                let part = facts.scene.parts.get(&end.part);
                let goes_on = part.is_some_and(|p| feed::steers(&p.kind, &end.port));
                let sources = part.into_iter().flat_map(|p| &p.kind.ports);
                let gives = |p: &&Port| p.role == Role::Source && goes_on;
                open.extend(sources.filter(gives).map(|p| PortRef {
                    part: end.part.clone(),
                    port: p.id.clone(),
                }));
            }
        }
    }
    all
}

/// The header of the same part that is there for this.
fn header(facts: &Facts, at: &PortRef, here: &Port, wants: Purpose) -> Option<PortRef> {
    let part = facts.scene.parts.get(&at.part)?;
    let right = |p: &&Port| {
        p.role == Role::Source && p.connector == here.connector && p.purpose == Some(wants)
    };
    Some(PortRef {
        part: at.part.clone(),
        port: part.kind.ports.iter().find(right)?.id.clone(),
    })
}

fn found(facts: &Facts, at: &PortRef, lead: &PortRef, wants: Purpose, right: &PortRef) -> Finding {
    let name = |at: &PortRef| port_name(facts, at);
    let text = format!(
        "{} hangs on {}, not on {}, which is there for {}",
        name(lead),
        name(at),
        name(right),
        wants.words()
    );
    // What drives a processor's cooler wrongly is hot at once; a pump is slower.
    let severity = match wants {
        Purpose::Processor => Severity::Caution,
        Purpose::Pump => Severity::Remark,
    };
    let subjects = vec![Subject::Port(at.clone()), Subject::Port(lead.clone())];
    let mut finding = Finding::new("header-astray", severity, subjects, text)
        .hint("Plug it in there, or set its header up for it as the board's manual says.");
    finding.place = port_place(facts.placed, at);
    finding
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, at_port, block, cable, fan, port, v};
    use crate::model::{Group, PartKind, Port, Purpose, Role};

    fn board(purposes: &[Option<Purpose>]) -> PartKind {
        let mut board = block("board", Group::Board, [40.0; 3]);
        let header = |(i, purpose): (usize, &Option<Purpose>)| Port {
            purpose: *purpose,
            ..port(
                &format!("h{i}"),
                "fan-4pin",
                v(10.0, 10.0 * i as f64, 40.0),
                "+z",
                Role::Source,
            )
        };
        board.ports = purposes.iter().enumerate().map(header).collect();
        board
    }

    fn cooler(purpose: Option<Purpose>) -> PartKind {
        let mut kind = fan(120.0, 105.0, 25.0);
        kind.ports[0].purpose = purpose;
        kind
    }

    fn splitter() -> PartKind {
        let mut kind = block("splitter", Group::Adapter, [20.0, 10.0, 10.0]);
        let lead = fan(120.0, 105.0, 25.0).ports[0].clone();
        kind.ports = vec![
            Port {
                id: "in".into(),
                at: v(0.0, 5.0, 5.0),
                passes: true,
                ..lead
            },
            port("a", "fan-4pin", v(20.0, 5.0, 3.0), "+x", Role::Source),
        ];
        kind
    }

    fn lead(from: (&str, &str), to: (&str, &str)) -> crate::model::Cable {
        let end = |e: (&str, &str)| at_port(e.0, e.1);
        cable(None, end(from), end(to), 400.0, vec![])
    }

    fn bench(headers: &[Option<Purpose>], what: Option<Purpose>) -> Build {
        Build::open().with("board", &board(headers), [0.0; 3]).with(
            "cooler",
            &cooler(what),
            [200.0, 0.0, 0.0],
        )
    }

    const BOTH: [Option<Purpose>; 3] = [Some(Purpose::Processor), Some(Purpose::Pump), None];

    #[test]
    fn a_lead_in_its_own_header_passes() {
        let right = bench(&BOTH, Some(Purpose::Processor));
        right
            .cable("c", lead(("cooler", "lead"), ("board", "h0")))
            .expect("header-astray", &[]);
        // Any other fan may be in any header, the processor's too.
        for header in ["h0", "h1", "h2"] {
            let any = bench(&BOTH, None);
            any.cable("c", lead(("cooler", "lead"), ("board", header)))
                .expect("header-astray", &[]);
        }
    }

    #[test]
    fn a_lead_in_another_header_is_named() {
        for (what, header, severity) in [
            (Purpose::Processor, "h1", "caution"),
            (Purpose::Processor, "h2", "caution"),
            (Purpose::Pump, "h0", "remark"),
            (Purpose::Pump, "h2", "remark"),
        ] {
            let wrong = bench(&BOTH, Some(what));
            let found = wrong
                .cable("c", lead(("cooler", "lead"), ("board", header)))
                .only("header-astray");
            assert_eq!(found.severity.name(), severity);
            assert_eq!(
                found.key(),
                format!("header-astray:board:{header}+cooler:lead")
            );
        }
    }

    #[test]
    fn a_board_without_such_a_header_asks_for_nothing() {
        let none = bench(&[None, None], Some(Purpose::Processor));
        none.cable("c", lead(("cooler", "lead"), ("board", "h1")))
            .expect("header-astray", &[]);
    }

    #[test]
    fn what_hangs_on_a_splitter_counts_with_its_header() {
        let through = |header: &str| {
            bench(&BOTH, Some(Purpose::Processor))
                .with("s", &splitter(), [100.0, 100.0, 0.0])
                .cable("c0", lead(("s", "in"), ("board", header)))
                .cable("c1", lead(("cooler", "lead"), ("s", "a")))
        };
        through("h0").expect("header-astray", &[]);
        let found = through("h2").only("header-astray");
        assert_eq!(found.key(), "header-astray:board:h2+cooler:lead");
        // The hub's own outputs may be of another make: three pins fit.
        let mut hub = splitter();
        hub.ports[1].connector = "fan-3pin".into();
        let mut three = cooler(Some(Purpose::Processor));
        three.ports[0].connector = "fan-3pin".into();
        let found = Build::open()
            .with("board", &board(&BOTH), [0.0; 3])
            .with("cooler", &three, [200.0, 0.0, 0.0])
            .with("s", &hub, [100.0, 100.0, 0.0])
            .cable("c0", lead(("s", "in"), ("board", "h2")))
            .cable("c1", lead(("cooler", "lead"), ("s", "a")))
            .only("header-astray");
        assert_eq!(found.key(), "header-astray:board:h2+cooler:lead");
    }
}
