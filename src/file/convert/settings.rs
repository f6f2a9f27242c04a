//! Figures that the rules judge by.

use crate::file::error::{Check, Place, each, fault};
use crate::file::v1;
use crate::model::{Limits, PairClass, Settings, Step};

fn pair(p: v1::Pair) -> Check<PairClass> {
    if p.wall && p.b.is_some() {
        return fault("the other side is a plate and a group", "leave one out").at("b");
    }
    Ok(PairClass {
        a: p.a.map(|g| g.0),
        b: p.b.map(|g| g.0),
        wall: p.wall,
        gap: p.gap.0,
        reason: p.reason.0,
    })
}

pub(crate) fn read(r: v1::Rules) -> Check<Settings> {
    if r.service_percent > 100 {
        return fault(
            format!(
                "{} percent is more than the cable itself",
                r.service_percent
            ),
            "give 0 to 100",
        )
        .at("service_percent");
    }
    let steps = &r.general;
    if let Some(i) = (1..steps.len()).find(|i| steps[*i].to.0 <= steps[i - 1].to.0) {
        return fault(
            "it does not end above the step before",
            "list the steps with growing 'to'",
        )
        .at("to")
        .item(i)
        .at("general");
    }
    let l = r.limits;
    if l.fan_loss_percent.is_some_and(|p| p > 100) {
        return fault("a fan cannot lose more than all", "give 0 to 100")
            .at("fan_loss_percent")
            .at("limits");
    }
    Ok(Settings {
        pairs: each("pairs", r.pairs, pair)?,
        opening_play: r.opening_play.0,
        opening_depth: r.opening_depth.0,
        service_percent: i64::from(r.service_percent),
        general: r
            .general
            .into_iter()
            .map(|s| Step {
                to: s.to.0,
                by: s.by.0,
            })
            .collect(),
        limits: Limits {
            fan_loss_percent: l.fan_loss_percent.map(i64::from),
            card_mass_g: l.card_mass_g.map(i64::from),
            cooler_mass_g: l.cooler_mass_g.map(i64::from),
            exhaust_reach: l.exhaust_reach.map(|l| l.0),
            memory_height: l.memory_height.map(|l| l.0),
            free_span: l.free_span.map(|l| l.0),
            slot_set: l.slot_set.map(|l| l.0),
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::FileError;
    use crate::geom::Length;
    use crate::model::Group;

    fn settings(pair: &str, percent: u32) -> Result<Settings, FileError> {
        let json = format!(
            r#"{{"format":"closefit-rules","version":1,"pairs":[{pair}],"opening_play":0.5,
            "opening_depth":3,"service_percent":{percent}}}"#
        );
        read(serde_json::from_str(&json).unwrap()).map_err(FileError::from)
    }

    #[test]
    fn a_pair_is_of_two_groups_or_of_a_group_and_a_plate() {
        let s = settings(r#"{"a":"fan","b":"cooler","gap":5,"reason":"air"}"#, 10).unwrap();
        let gap = s.pair(Group::Cooler, Group::Fan).map(|p| p.gap);
        assert_eq!(gap, Some(Length::mm(5)));
        let err = settings(
            r#"{"a":"fan","b":"card","wall":true,"gap":5,"reason":""}"#,
            10,
        );
        assert_eq!(err.unwrap_err().field(), Some("pairs[0].b"));
        // A file of before these fields were there says nothing about them.
        assert_eq!((s.limits, s.general.len()), (Limits::default(), 0));
        let err = settings("", 101).unwrap_err();
        assert_eq!(err.field(), Some("service_percent"));
    }

    #[test]
    fn general_tolerances_grow_step_by_step() {
        let read = |steps: &str| {
            let json = format!(
                r#"{{"format":"closefit-rules","version":1,"pairs":[],"opening_play":0.5,
                "opening_depth":3,"service_percent":10,"general":[{steps}],
                "limits":{{"fan_loss_percent":10,"exhaust_reach":40}}}}"#
            );
            read(serde_json::from_str(&json).unwrap()).map_err(FileError::from)
        };
        let s = read(r#"{"to":6,"by":0.1},{"to":30,"by":0.2}"#).unwrap();
        let by = |mm| s.general(Length::mm(mm));
        assert_eq!(by(6), Some(Length::um(100)));
        assert_eq!(by(-7), Some(Length::um(200)));
        assert_eq!(by(31), None);
        assert_eq!(s.limits.exhaust_reach, Some(Length::mm(40)));
        let err = read(r#"{"to":6,"by":0.1},{"to":6,"by":0.2}"#).unwrap_err();
        assert_eq!(err.field(), Some("general[1].to"));
    }
}
