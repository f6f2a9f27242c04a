//! The findings of a scene as text and as JSON.

use super::{Checker, Finding, RULES, Severity};
use crate::geom::{Box3, Length};
use crate::model::Scene;
use crate::placement::{Chains, Link, Slope};
use serde_json::{Value, json};
use std::fmt::Write;

/// What `closefit check` prints.
#[derive(Clone, PartialEq, Debug)]
pub struct Report {
    /// For people.
    pub text: String,
    /// For programs.
    pub json: Value,
    /// Findings that stop the build and are not accepted.
    pub stops: usize,
}

/// Reports the findings of a scene that was checked, worst first; accepted ones
/// apart, with their reasons. The same scene gives the same bytes.
pub fn report(scene: &Scene, checker: &Checker) -> Report {
    let all = checker.findings();
    let (accepted, open): (Vec<&Finding>, Vec<&Finding>) = all
        .into_iter()
        .partition(|f| checker.is_accepted(scene, f).is_some());
    let count = |s: Severity| open.iter().filter(|f| f.severity == s).count();
    let stops = count(Severity::Stop);
    let stale = checker.stale_accepted(scene);

    let mut text = format!(
        "{}: {} in {}, arrangement '{}'\n",
        scene.title,
        counted(checker.placed().len(), "part"),
        scene.enclosure.name,
        scene.arrangement().name
    );
    for severity in Severity::ALL {
        let of_it: Vec<_> = open.iter().filter(|f| f.severity == severity).collect();
        if of_it.is_empty() {
            continue;
        }
        line(
            &mut text,
            &format!("\n{} ({})", severity.name(), of_it.len()),
        );
        for finding in of_it {
            line(
                &mut text,
                &format!("  {}{}", finding.sentence(), figures(finding)),
            );
            line(&mut text, &format!("    {}", finding.key_str()));
            if !finding.hint.is_empty() {
                line(&mut text, &format!("    {}", finding.hint));
            }
        }
    }
    if !accepted.is_empty() {
        line(&mut text, &format!("\naccepted ({})", accepted.len()));
        for finding in &accepted {
            let reason = checker.is_accepted(scene, finding).unwrap_or_default();
            line(&mut text, &format!("  {}", finding.sentence()));
            line(&mut text, &format!("    {}: {reason}", finding.key_str()));
        }
    }
    for key in &stale {
        line(
            &mut text,
            &format!("\naccepted but not found any more: {key}"),
        );
    }
    if open.is_empty() && accepted.is_empty() {
        line(&mut text, "\nnothing found");
    }
    line(
        &mut text,
        &format!(
            "\n{stops} stop, {} caution, {} remark, {} accepted; planning figures",
            count(Severity::Caution),
            count(Severity::Remark),
            accepted.len()
        ),
    );

    let list = |findings: &[&Finding]| -> Vec<Value> {
        findings.iter().map(|f| entry(scene, checker, f)).collect()
    };
    let json = json!({
        "title": scene.title,
        "enclosure": scene.enclosure.id.as_str(),
        "arrangement": scene.arrangement().name,
        "parts": checker.placed().len(),
        "rules": RULES.iter().map(|r| r.id()).collect::<Vec<_>>(),
        "stop": stops,
        "caution": count(Severity::Caution),
        "remark": count(Severity::Remark),
        "findings": list(&open),
        "accepted": list(&accepted),
        "accepted_not_found": stale,
    });
    Report { text, json, stops }
}

fn line(text: &mut String, content: &str) {
    writeln!(text, "{content}").expect("a string takes any text");
}

fn counted(n: usize, what: &str) -> String {
    let plural = if n == 1 { "" } else { "s" };
    format!("{n} {what}{plural}")
}

fn figures(f: &Finding) -> String {
    if let Some([needed, available]) = f.amounts_text() {
        return format!(" [needed {needed}, available {available}]");
    }
    match (f.needed, f.available) {
        (Some(n), Some(a)) => format!(" [needed {}, available {}]", n.text1(), a.text1()),
        _ => String::new(),
    }
}

fn mm(l: Length) -> Value {
    json!(l.as_mm())
}

fn corners(b: &Box3) -> Value {
    json!({ "min": b.min().as_mm(), "max": b.max().as_mm() })
}

/// The dimensions from face to face in their order, in millimetres, and what they add up to.
fn chain(chain: &Chains) -> Value {
    let spread = chain.spread();
    let link = |(slope, l): (&Slope, &Link)| {
        json!({
            "axis": slope.axis.name(),
            "cosine": slope.cosine,
            "measure": l.what,
            "nominal": mm(l.nominal),
            "plus": mm(l.deviation.plus),
            "minus": mm(l.deviation.minus),
            "from": l.source.name(),
        })
    };
    json!({
        "nominal": mm(spread.nominal),
        "least": mm(spread.least),
        "most": mm(spread.most),
        "centre": spread.centre,
        "root_sum_square": spread.rss,
        "interference": spread.interference,
        "links": chain.links().map(link).collect::<Vec<_>>(),
    })
}

fn entry(scene: &Scene, checker: &Checker, f: &Finding) -> Value {
    let subjects: Vec<String> = f.subjects.iter().map(ToString::to_string).collect();
    json!({
        "key": f.key_str(),
        "rule": f.rule,
        "severity": f.severity.name(),
        "subjects": subjects,
        "needed": f.needed.map(mm),
        "available": f.available.map(mm),
        "amounts": f.amounts.map(|[needed, available]| json!({
            "unit": needed.unit.name(),
            "needed": needed.value(),
            "available": available.value(),
        })),
        "place": f.place.as_ref().map(corners),
        "text": f.text,
        "hint": f.hint,
        "chain": f.chain.as_deref().map(chain),
        "fixable": f.fix.is_some(),
        "unjudged": f.unjudged,
        "accepted": checker.is_accepted(scene, f),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block};
    use crate::edit::Edit;
    use crate::model::{Acceptance, Group};

    fn scene() -> Build {
        let kind = |id: &str| block(id, Group::Drive, [100.0, 50.0, 20.0]);
        Build::open()
            .with("a", &kind("one"), [0.0, 0.0, 0.0])
            .with("b", &kind("two"), [95.0, 0.0, 0.0])
            .beside("c", &kind("three"))
    }

    fn reported(build: &Build) -> Report {
        report(&build.scene, &build.checked())
    }

    #[test]
    fn findings_are_grouped_with_their_figures() {
        let report = reported(&scene());
        assert_eq!(report.stops, 1);
        for part in [
            "test: 2 parts in test box, arrangement 'first'",
            "stop (1)\n  One and two overlap by 5.0 mm [needed 0.0, available -5.0]\n    clash:a+b",
            "remark (3)",
            "Three lies beside the enclosure, not checked",
            "1 stop, 0 caution, 3 remark, 0 accepted; planning figures",
        ] {
            assert!(report.text.contains(part), "{part}\n---\n{}", report.text);
        }
        assert_eq!(report.json["stop"], 1);
        let first = &report.json["findings"][0];
        assert_eq!(first["key"], "clash:a+b");
        assert_eq!(first["available"], -5.0);
        assert_eq!(first["fixable"], true);
        assert_eq!(first["accepted"], Value::Null);
    }

    #[test]
    fn an_accepted_finding_stands_apart_with_its_reason_and_does_not_stop() {
        let mut scene = scene();
        let accept = |key: &str, why: &str| Edit::Accept(key.into(), Some(Acceptance::of(why)));
        scene.edit(accept("clash:a+b", "will be filed off"));
        scene.edit(accept("clash:gone", "was there once"));
        let report = reported(&scene);
        assert_eq!(report.stops, 0);
        assert!(report.text.contains("accepted (1)"));
        assert!(report.text.contains("clash:a+b: will be filed off"));
        assert!(report.text.contains("not found any more: clash:gone"));
        assert_eq!(report.json["accepted"][0]["accepted"], "will be filed off");
        assert_eq!(report.json["accepted_not_found"][0], "clash:gone");
    }

    #[test]
    fn the_same_scene_gives_the_same_bytes_and_an_empty_one_says_so() {
        let (one, two) = (reported(&scene()), reported(&scene()));
        assert_eq!(one.text, two.text);
        assert_eq!(one.json.to_string(), two.json.to_string());
        assert!(reported(&Build::open()).text.contains("nothing found"));
    }
}
