//! Connectors and cable kinds.

use super::kind::section;
use super::{figures, id};
use crate::file::error::{Check, Place, fault};
use crate::file::v1;
use crate::geom::Length;
use crate::model::{CableKind, CableKindId, Connector};

/// Most plugs along one run.
const MAX_PLUGS: u32 = 100;

pub(crate) fn connector(c: v1::Connector) -> Connector {
    Connector {
        id: c.id.0,
        name: c.name.0,
        plug: c.plug.map(|l| l.0),
        straight: c.straight.0,
        carries_mw: c.carries_w.map(|w| w.0),
        splits_to: c.splits_to.into_iter().map(|i| i.0).collect(),
        figures: figures(c.figures),
    }
}

pub(crate) fn kind(k: v1::CableKind) -> Check<CableKind> {
    let lengths: Vec<Length> = k.lengths.into_iter().map(|l| l.0).collect();
    if lengths.is_empty() {
        return fault("no length is at hand", "give at least one").at("lengths");
    }
    if let Some(i) = (1..lengths.len()).find(|i| lengths[i - 1] >= lengths[*i]) {
        return fault(
            format!("{} does not follow {}", lengths[i], lengths[i - 1]),
            "list lengths once each, the shortest first",
        )
        .item(i)
        .at("lengths");
    }
    if !(1..=MAX_PLUGS).contains(&k.plugs) {
        return fault(
            format!("{} plugs", k.plugs),
            format!("give 1 to {MAX_PLUGS}"),
        )
        .at("plugs");
    }
    if k.plugs > 1 && k.pitch.0 == Length::ZERO {
        return fault("several plugs are no distance apart", "give the pitch").at("pitch");
    }
    if k.extends && k.plugs > 1 {
        return fault("an extension has one plug", "leave \"plugs\" out").at("plugs");
    }
    Ok(CableKind {
        id: id(&k.id, "id", CableKindId::new)?,
        name: k.name.0,
        system: k.system.0,
        from: k.from.0,
        to: k.to.0,
        lengths,
        section: section(k.section)?,
        bend: k.bend.0,
        plugs: k.plugs as usize,
        pitch: k.pitch.0,
        extends: k.extends,
        carries_mw: k.carries_w.map(|w| w.0),
        figures: figures(k.figures),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::FileError;

    fn field(lengths: &str, plugs: &str) -> Option<String> {
        let json = format!(
            r#"{{"id":"c","name":"","system":"data","from":"a","to":"b","lengths":{lengths},
            "section":{{"round":4}},"bend":9,{plugs}}}"#
        );
        let read = kind(serde_json::from_str(&json).unwrap());
        read.err()
            .map(|f| FileError::from(f).field().unwrap().to_owned())
    }

    #[test]
    fn lengths_rise_and_plugs_are_apart() {
        let one = r#""plugs":1"#;
        assert_eq!(field("[300,450]", one), None);
        assert_eq!(field("[]", one).as_deref(), Some("lengths"));
        assert_eq!(field("[450,300]", one).as_deref(), Some("lengths[1]"));
        assert_eq!(field("[300,300]", one).as_deref(), Some("lengths[1]"));
        assert_eq!(field("[300]", r#""plugs":0"#).as_deref(), Some("plugs"));
        assert_eq!(field("[300]", r#""plugs":4"#).as_deref(), Some("pitch"));
        assert_eq!(field("[300]", r#""plugs":4,"pitch":50"#), None);
    }
}
