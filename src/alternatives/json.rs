//! Alternatives for programs.

use super::Alternative;
use serde_json::{Value, json as value};

/// A list of alternatives as `closefit check --json` gives it: lengths in millimetres.
pub fn json(all: &[Alternative]) -> Value {
    let one = |a: &Alternative| {
        let costs = a.costs.iter().map(|c| {
            value!({
                "key": c.key,
                "severity": c.severity.name(),
                "text": c.text,
                "worse": c.worse,
            })
        });
        value!({
            "how": a.how.name(),
            "words": a.words,
            "needed": a.needed.as_mm(),
            "available": a.available.as_mm(),
            "keeps_service": a.service,
            "more_at_hand": a.more.as_mm(),
            "longer_way": a.detour.as_mm(),
            "moved": a.moved.as_mm(),
            "brings": costs.collect::<Vec<_>>(),
            "ends": a.ends,
        })
    };
    all.iter().map(one).collect::<Vec<_>>().into()
}
