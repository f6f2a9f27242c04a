//! Figures that the rules judge by.

use crate::file::error::{Check, Place, each, fault};
use crate::file::v1;
use crate::model::{PairClass, Settings};

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
    Ok(Settings {
        pairs: each("pairs", r.pairs, pair)?,
        opening_play: r.opening_play.0,
        opening_depth: r.opening_depth.0,
        service_percent: i64::from(r.service_percent),
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
        let err = settings("", 101).unwrap_err();
        assert_eq!(err.field(), Some("service_percent"));
    }
}
